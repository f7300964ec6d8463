//! A ground floor as a flanking element of its junction with the wall: by formula or from a second model (ISO 10211:2017, clause 12;
//! from memory).
//!
//! ```text
//! ψ = L2D − h_w·U_w − 0.5·B'·U_g     U_g by ISO 13370, B' twice the length of floor in the model
//! ψ = L2D − h_w·U_w − L2D_a          L2D_a: the floor and the ground alone, nothing but ground under the floor and the wall, and no heat
//!                                    through where the wall stood
//! ```
//!
//! Everything is read from the plan: the floor's layers at its cut-off plane, down to the material that fills the lower border there
//! (the ground), the wall's thickness from the section of the wall.

use crate::bounds::Bracket;
use crate::case::{Case, Cut, Diagnostic, Environment, Flanking, FloorMethod, Paint, Role, Shape, SurfaceRule};
use crate::element::ground::{self, Floor, GroundU, Kind};
use crate::geometry::{Axis, Rectangle, Span};
use crate::plan::section::Layer;
use crate::plan::surface::Surfaces;
use crate::plan::{Filling, Plan};

/// A floor read from a plan.
#[derive(Clone, Debug)]
pub struct FloorOnGround {
    /// How its loss is told.
    pub method: FloorMethod,
    /// What the formula takes.
    pub floor: Floor,
    /// What the formula gives.
    pub formula: GroundU,
    /// L2D_a, W/(m·K), once the second model is solved.
    pub model: Option<Bracket>,
    /// From the room down, without the ground.
    pub layers: Vec<Layer>,
    /// Index of the ground's material.
    pub ground: usize,
    /// Where the floor runs, m.
    span: Span,
    /// Height of the floor's surface and of the ground outside, m.
    levels: [f64; 2],
    /// The room's and the outside's index.
    environments: [usize; 2],
}

impl FloorOnGround {
    /// Length of floor in the model, m.
    pub fn length(&self) -> f64 {
        self.span.length()
    }

    /// What is subtracted from L2D by a method, W/(m·K).
    pub fn loss(&self, method: FloorMethod) -> Option<Bracket> {
        match method {
            FloorMethod::Formula => Some((self.formula.u_value * self.length()).into()),
            FloorMethod::Model => self.model,
        }
    }
}

/// Two heights closer than this (m) are one.
const SAME: f64 = 1e-9;

/// Reads a floor from the plan. `wall_thickness` is that of the walls' sections in the case, if it has any.
///
/// # Errors
/// A diagnostic if the plan does not show a floor on the ground from the cut-off plane to the wall.
pub fn read(
    case: &Case,
    plan: &Plan,
    surfaces: &Surfaces,
    flanking: &Flanking,
    method: FloorMethod,
    wall_thickness: Option<f64>,
) -> Result<FloorOnGround, Diagnostic> {
    let error = |message: &str, hint: &str| Err(Diagnostic::error(flanking.place, message).hint(hint));
    if case.cut == Cut::Horizontal {
        return error("a floor on the ground is seen in a vertical section", "this case says `cut: horizontal`");
    }
    let mut spans = flanking.spans.iter().flatten();
    let Some(span) = spans.next().copied() else {
        return error("a floor on the ground needs its length", "state `internal: [from, to]` in mm");
    };
    if spans.any(|other| *other != span) {
        let hint = "its U-value depends on its length, so that it can have only one";
        return error("this floor states different lengths", hint);
    }
    let Some(wall_thickness) = wall_thickness else {
        let hint =
            "give the wall above as a flanking element with `section: { y: … }`, or write `wall_thickness` in mm under `floor`";
        return error("the formula for a floor on the ground needs the thickness of the wall", hint);
    };
    let extent = case.extent.along(Axis::X);
    let ends = [(span.from - extent.from).abs() < SAME, (span.to - extent.to).abs() < SAME];
    let (edge, far) = match ends {
        [true, false] => (0, plan.columns() - 1),
        [false, true] => (plan.columns() - 1, 0),
        _ => {
            let hint = "its length runs from the wall to the extent's edge, which is the cut-off plane at half its width";
            return error("the floor must end at one edge of the extent", hint);
        }
    };
    let surface = |column: usize| (1..=plan.rows()).find_map(|j| Some((j, surfaces.film(Axis::Y, column, j)?)));
    let role = |environment: usize| case.environments[environment].role;
    let (Some((floor_line, room)), Filling::Solid(ground)) = (surface(edge), plan.at(edge, 0)) else {
        return error("there is no floor on ground at the extent's edge", "the lower border of the plan must be ground there");
    };
    if role(room.environment) != Role::Internal || !plan.at(edge, floor_line - 1).is_solid() {
        return error("there is no room above the floor at the extent's edge", "paint an internal environment down to the floor");
    }
    let Some((ground_line, outside)) = surface(far).filter(|(_, film)| role(film.environment) == Role::External) else {
        let hint = "the plan must reach over the ground outside, with an external environment above it";
        return error("there is no ground outside at the other edge of the extent", hint);
    };
    let levels = [plan.ys[floor_line], plan.ys[ground_line]];
    if levels[0] < levels[1] - SAME {
        let hint =
            "a basement's floor is not a slab on ground: state its U-value with `u_value`, for example from `coldseam uvalue`";
        return error("the floor lies below the ground outside", hint);
    }
    let mut layers: Vec<Layer> = Vec::new();
    let mut row = floor_line;
    while row > 0 && plan.at(edge, row - 1) != Filling::Solid(ground) {
        row -= 1;
        let Filling::Solid(material) = plan.at(edge, row) else {
            let hint = "a floor over a space is no slab on ground: state its U-value with `u_value`";
            return error("the layers of the floor do not reach the ground", hint);
        };
        let thickness = plan.ys[row + 1] - plan.ys[row];
        let resistance = thickness / case.materials[material].conductivity_y;
        match layers.last_mut() {
            Some(last) if last.material == material => {
                last.thickness += thickness;
                last.resistance += resistance;
            }
            _ => layers.push(Layer { material, thickness, resistance }),
        }
    }
    if row == 0 {
        return error("the layers of the floor do not reach the ground", "the lower border of the plan must be ground");
    }
    let floor = Floor {
        characteristic_dimension: 2.0 * span.length(),
        wall_thickness,
        ground_conductivity: case.materials[ground].conductivity_y,
        floor_resistance: layers.iter().map(|layer| layer.resistance).sum(),
        kind: Kind::Slab { edge: None },
    };
    let environments = [room.environment, outside.environment];
    let formula = ground::u_value(&floor);
    Ok(FloorOnGround { method, floor, formula, model: None, layers, ground, span, levels, environments })
}

/// The second model: floor and ground alone.
pub fn reference(case: &Case, floor: &FloorOnGround) -> Case {
    let extent = case.extent;
    let [floor_level, ground_level] = floor.levels;
    let place = case.extent_place;
    let across = extent.along(Axis::X);
    // The wall stands between the floor's end and this; beyond it is outside.
    let outside = if floor.span.from <= across.from + SAME {
        Span { from: floor.span.to + floor.floor.wall_thickness, to: across.to }
    } else {
        Span { from: across.from, to: floor.span.from - floor.floor.wall_thickness }
    };
    let (bottom, top) = (extent.along(Axis::Y).from, extent.along(Axis::Y).to);
    let shape = |paint: Paint, x: Span, from: f64, to: f64| Shape {
        paint,
        rectangles: vec![Rectangle { x, y: Span { from, to } }],
        place,
    };
    let mut plan = vec![shape(Paint::Solid(floor.ground), across, bottom, ground_level)];
    let underside = floor_level - floor.layers.iter().map(|layer| layer.thickness).sum::<f64>();
    if underside > ground_level + SAME {
        plan.push(shape(Paint::Solid(floor.ground), floor.span, ground_level, underside));
    }
    let mut level = floor_level;
    for layer in &floor.layers {
        plan.push(shape(Paint::Solid(layer.material), floor.span, level - layer.thickness, level));
        level -= layer.thickness;
    }
    plan.push(shape(Paint::Space(0), floor.span, floor_level, top));
    plan.push(shape(Paint::Space(1), outside, ground_level, top));
    let kept = |environment: usize| floor.environments.iter().position(|kept| *kept == environment);
    let rule = |rule: &SurfaceRule| match rule.environment.map(kept) {
        Some(None) => None,
        environment => Some(SurfaceRule { environment: environment.flatten(), ..rule.clone() }),
    };
    let environments: Vec<Environment> = floor.environments.iter().map(|index| case.environments[*index].clone()).collect();
    Case {
        title: format!("{}: floor and ground alone", case.title),
        environments,
        plan,
        surfaces: case.surfaces.iter().filter_map(rule).collect(),
        psi: None,
        condensation: None,
        climate: None,
        cavities: Vec::new(),
        points: Vec::new(),
        claims: Vec::new(),
        ..case.clone()
    }
}
