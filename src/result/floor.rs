//! A ground floor as a flanking element of its junction with the wall: by formula or from a second model (ISO
//! 10211:2017, clause 12; from memory).
//!
//! ```text
//! ψ   = L2D − h_w·U_w − 0.5·B'·U_g                  by internal dimensions, B' twice the internal length of floor in the model
//! ψ_e = L2D − (h_w + h_f)·U_w − (0.5·B' + w)·U_g    by external ones, with the same B' and U_g
//! U_g   by ISO 13370; or L2D_a/(0.5·B'), L2D_a: the floor and the ground alone, nothing but ground under the floor and the wall, and no
//!       heat through where the wall stood
//! ```
//!
//! Everything is read from the plan: the floor's layers at its cut-off plane, down to the material that fills
//! the lower border there (the ground), and the thickness w of the wall that stands at the floor's end.

use super::u_value::ElementU;
use crate::bounds::Bracket;
use crate::element::ground::{self, Floor, FloorKind, GroundU};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Rectangle, Span};
use crate::material::four_digits;
use crate::model::{
    Cut, Environment, EnvironmentId, Flanking, FloorMethod, MaterialId, Model, Paint, Role, Shape,
    SurfaceRule,
};
use crate::plan::section::Layer;
use crate::plan::surface::Surfaces;
use crate::plan::{Filling, Raster};
use crate::text::Place;

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
    /// Thickness of the wall that the plan shows at the floor's end, m; `None` where it shows none.
    pub drawn_wall: Option<f64>,
    /// From the room down, without the ground.
    pub layers: Vec<Layer>,
    /// Index of the ground's material.
    pub ground: MaterialId,
    /// Where the floor runs by internal dimensions, m: half of B'.
    span: Span,
    /// Height of the floor's surface and of the ground outside, m.
    levels: [f64; 2],
    /// The room's and the outside's index.
    environments: [EnvironmentId; 2],
}

impl FloorOnGround {
    /// Internal length of floor in the model, half of B', m.
    pub fn length(&self) -> f64 {
        self.span.length()
    }

    /// U_g by a method, W/(m²K): the same for every convention of measurement.
    pub fn u_value(&self, method: FloorMethod) -> Option<Bracket> {
        match method {
            FloorMethod::Formula => Bracket::exact(self.formula.u_value).ok(),
            FloorMethod::Model => self.model?.over(self.length()).ok(),
        }
    }

    /// The room's and the outside's index.
    pub fn environments(&self) -> [EnvironmentId; 2] {
        self.environments
    }

    /// What is subtracted from L2D by a method over a length of floor, W/(m·K).
    pub fn loss(&self, method: FloorMethod, length: f64) -> Option<Bracket> {
        self.u_value(method)?.over(1.0 / length).ok()
    }
}

/// A finding where the wall thickness that the case states is not that of the wall in the plan.
pub fn other_wall(floor: &FloorOnGround, place: Option<Place>) -> Option<Diagnostic> {
    let stated = floor.floor.wall_thickness;
    let drawn = floor.drawn_wall.filter(|drawn| (drawn - stated).abs() > SAME_WALL)?;
    let of_drawn = ground::u_value(&Floor { wall_thickness: drawn, ..floor.floor.clone() }).u_value;
    let millimetres = |metres: f64| four_digits(metres * 1e3);
    let message = format!(
        "`wall_thickness` says {} mm, and the wall drawn on the floor's end is {} mm thick",
        millimetres(stated),
        millimetres(drawn)
    );
    let hint = format!(
        "the stated one counts: U of the floor by formula is {:.4} W/(m²K) with it and {of_drawn:.4} with the drawn one; without the key the \
         drawn one counts",
        floor.formula.u_value
    );
    Some(Diagnostic::warning(place, message).hint(hint))
}

/// The most that ψ counts of the L2D of a second model: 1, and more by external dimensions; `None` if no
/// floor is told by its model.
pub fn largest_share_of_model(model: &Model, elements: &[ElementU]) -> Option<f64> {
    let flanking = model.psi.as_ref().map(|psi| psi.flanking.as_slice()).unwrap_or_default();
    let shares = flanking.iter().zip(elements).filter_map(|(flanking, element)| {
        let floor = element.floor.as_ref().filter(|floor| floor.method == FloorMethod::Model)?;
        let longest =
            flanking.spans.iter().flatten().map(|span| span.length()).fold(floor.length(), f64::max);
        Some(longest / floor.length())
    });
    shares.reduce(f64::max)
}

/// Two heights closer than this (m) are one.
const SAME: f64 = 1e-9;

/// What stands at the end of a floor is a wall from this thickness on, m: door leaves and windows are thinner
/// (common practice, no source).
const LEAST_WALL: f64 = 0.12;
/// Wall thicknesses closer than this (m) are one, rounded to whole millimetres.
const SAME_WALL: f64 = 1e-3 + SAME;
/// Air between leaves of one wall is no wider than this, m (common practice, no source).
const WIDEST_CAVITY: f64 = 0.15;

/// Reads a floor from the plan, with the wall's thickness where the case states it.
///
/// # Errors
/// A diagnostic if the plan does not show a floor on the ground from the cut-off plane to the wall.
pub fn read(
    model: &Model,
    plan: &Raster,
    surfaces: &Surfaces,
    flanking: &Flanking,
    method: FloorMethod,
    wall_thickness: Option<f64>,
) -> Result<FloorOnGround, Diagnostic> {
    let error = |message: &str, hint: &str| Err(Diagnostic::error(flanking.place, message).hint(hint));
    if model.cut == Cut::Horizontal {
        return error(
            "a floor on the ground is seen in a vertical section",
            "this case says `cut: horizontal`",
        );
    }
    let spans: Vec<Span> = flanking.spans.iter().flatten().copied().collect();
    let extent = model.extent.along(Axis::X);
    let is_at = |a: f64, b: f64| (a - b).abs() < SAME;
    let [from_left, from_right] = [
        spans.iter().all(|span| is_at(span.from, extent.from) && !is_at(span.to, extent.to)),
        spans.iter().all(|span| is_at(span.to, extent.to) && !is_at(span.from, extent.from)),
    ];
    let (edge, far) = match [from_left, from_right] {
        [true, false] => (0, plan.columns() - 1),
        [false, true] => (plan.columns() - 1, 0),
        _ if spans.is_empty() => {
            return error("a floor on the ground needs its length", "state `internal: [from, to]` in mm");
        }
        _ => {
            let hint = "its length runs from the wall to the extent's edge, which is the cut-off plane at half its width";
            return error("the floor must end at one edge of the extent", hint);
        }
    };
    let surface =
        |column: usize| (1..=plan.rows()).find_map(|j| Some((j, surfaces.film(Axis::Y, column, j)?)));
    let role = |environment: EnvironmentId| model.environments[environment].role;
    let (Some((floor_line, room)), Filling::Solid(ground)) = (surface(edge), plan.at(edge, 0)) else {
        return error(
            "there is no floor on ground at the extent's edge",
            "the lower border of the plan must be ground there",
        );
    };
    if role(room.environment) != Role::Internal || !plan.at(edge, floor_line - 1).is_solid() {
        return error(
            "there is no room above the floor at the extent's edge",
            "paint an internal environment down to the floor",
        );
    }
    let Some((ground_line, outside)) =
        surface(far).filter(|(_, film)| role(film.environment) == Role::External)
    else {
        let hint = "the plan must reach over the ground outside, with an external environment above it";
        return error("there is no ground outside at the other edge of the extent", hint);
    };
    let levels = [plan.ys[floor_line], plan.ys[ground_line]];
    if levels[0] < levels[1] - SAME {
        let hint = "a basement's floor is not a slab on ground: state its U-value with `u_value`, for example from `coldseam uvalue`";
        return error("the floor lies below the ground outside", hint);
    }
    let drawn_wall = wall_thickness_in(model, plan, floor_line, edge == 0);
    let Some(wall_thickness) = wall_thickness.or(drawn_wall) else {
        let hint = "write `wall_thickness` in mm under `floor`: that of the walls around the floor, all layers counted; it is read from the \
                    plan only where a wall of 120 mm or more stands on the floor's end without interruption";
        let message = "the formula for a floor on the ground needs the thickness of the wall, and no wall stands at the floor's end";
        return error(message, hint);
    };
    let [internal, external, overall] = flanking.spans;
    let span = match (internal.or(overall), external) {
        (Some(span), None) => span,
        (Some(span), Some(external)) if external.length() > span.length() - SAME => span,
        (None, Some(external)) if external.length() > wall_thickness + SAME => {
            // By external dimensions the floor reaches to the wall's outer face.
            if edge == 0 {
                Span { to: external.to - wall_thickness, ..external }
            } else {
                Span { from: external.from + wall_thickness, ..external }
            }
        }
        _ => {
            let hint = "by external dimensions it reaches to the outer face of the wall, by internal ones to the inner face";
            return error("the floor's external length is too short", hint);
        }
    };
    // The ground is what reaches up from the lower border without a break: a bed of the same material between
    // the floor's layers is one of these.
    let ground_rows = (0..floor_line).take_while(|row| plan.at(edge, *row) == Filling::Solid(ground)).count();
    let mut layers: Vec<Layer> = Vec::new();
    for row in (ground_rows..floor_line).rev() {
        let Filling::Solid(material) = plan.at(edge, row) else {
            let hint = "a floor over a space is no slab on ground: state its U-value with `u_value`";
            return error("the layers of the floor do not reach the ground", hint);
        };
        let thickness = plan.ys[row + 1] - plan.ys[row];
        let resistance = thickness / model.materials[material].conductivity_y;
        match layers.last_mut() {
            Some(last) if last.material == material => {
                last.thickness += thickness;
                last.resistance += resistance;
            }
            _ => layers.push(Layer { material, thickness, resistance }),
        }
    }
    let floor = Floor {
        characteristic_dimension: 2.0 * span.length(),
        wall_thickness,
        ground_conductivity: model.materials[ground].conductivity_y,
        floor_resistance: layers.iter().map(|layer| layer.resistance).sum::<f64>() + 0.0, // a sum of nothing is −0
        kind: FloorKind::Slab { edge: None },
    };
    let environments = [room.environment, outside.environment];
    let formula = ground::u_value(&floor);
    Ok(FloorOnGround {
        method,
        floor,
        formula,
        model: None,
        drawn_wall,
        layers,
        ground,
        span,
        levels,
        environments,
    })
}

/// Thickness of the wall that stands on the floor's end, m; `None` where no wall stands there in every row
/// from the floor's surface to the room's top.
fn wall_thickness_in(model: &Model, plan: &Raster, floor_line: usize, edge_is_left: bool) -> Option<f64> {
    let edge = if edge_is_left { 0 } else { plan.columns() - 1 };
    let is_room = |row: usize| match plan.at(edge, row) {
        Filling::Space(environment) => model.environments[environment].role == Role::Internal,
        _ => false,
    };
    let rows = (floor_line..plan.rows()).take_while(|row| is_room(*row));
    let thicknesses: Option<Vec<f64>> = rows.map(|row| wall_in_row(model, plan, row, edge_is_left)).collect();
    let thicknesses = thicknesses?;
    // At the room's top the wall is what it is away from the junction.
    thicknesses
        .last()
        .copied()
        .filter(|_| thicknesses.iter().all(|thickness| *thickness >= LEAST_WALL - SAME))
}

/// Thickness of what stands in a row of the plan between room and outside, m; `None` for nothing, or where
/// something there is judged apart as frames and glazing are.
fn wall_in_row(model: &Model, plan: &Raster, row: usize, edge_is_left: bool) -> Option<f64> {
    let columns = plan.columns();
    let column = |step: usize| if edge_is_left { step } else { columns - 1 - step };
    let width = |step: usize| plan.xs[column(step) + 1] - plan.xs[column(step)];
    let (mut thickness, mut gap) = (0.0, 0.0);
    let mut is_outside = false;
    for step in 0..columns {
        match plan.at(column(step), row) {
            Filling::Nothing => break,
            Filling::Solid(material) if model.judged_apart().contains(&material) => return None,
            Filling::Solid(_) => {
                // A leaf before a ventilated cavity belongs to the wall.
                thickness += gap + width(step);
                gap = 0.0;
            }
            Filling::Space(environment) if model.environments[environment].role == Role::External => {
                if thickness == 0.0 {
                    return None;
                }
                is_outside = true;
                gap += width(step);
                if gap > WIDEST_CAVITY {
                    break;
                }
            }
            // What stands between rooms is no outer wall.
            Filling::Space(_) => (thickness, gap) = (0.0, 0.0),
        }
    }
    is_outside.then_some(thickness)
}

/// The second model: floor and ground alone.
pub fn reference(model: &Model, floor: &FloorOnGround) -> Model {
    let extent = model.extent;
    let [floor_level, ground_level] = floor.levels;
    let place = model.extent_place;
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
        area: Rectangle { x, y: Span { from, to } }.into(),
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
    plan.push(shape(Paint::Space(EnvironmentId::new(0)), floor.span, floor_level, top));
    plan.push(shape(Paint::Space(EnvironmentId::new(1)), outside, ground_level, top));
    let kept = |environment: EnvironmentId| {
        floor.environments.iter().position(|kept| *kept == environment).map(EnvironmentId::new)
    };
    let rule = |rule: &SurfaceRule| match rule.environment.map(kept) {
        Some(None) => None,
        environment => Some(SurfaceRule { environment: environment.flatten(), ..rule.clone() }),
    };
    let environments: Vec<Environment> =
        floor.environments.iter().map(|index| model.environments[*index].clone()).collect();
    Model {
        environments,
        plan,
        surfaces: model.surfaces.iter().filter_map(rule).collect(),
        psi: None,
        condensation: None,
        cavities: Vec::new(),
        painted: Vec::new(),
        has_rows_along_lines: false,
        points: Vec::new(),
        ..model.clone()
    }
}
