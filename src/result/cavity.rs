//! Air cavities of a plan, once they are told apart (`plan/cavities.rs`): their size from what was painted,
//! their temperatures from the solution, their conductivity from both.
//!
//! The conductivity depends on the direction of heat flow and, in frames, on the temperatures, which depend
//! on the conductivity; both are [settled](super::settling) together with the directions at level surfaces.

use super::Failure;
use super::computed::OnMesh;
use super::settling::Rough;
use crate::case::Case;
use crate::geometry::{Axis, Span, millimetres};
use crate::grid::Grid;
use crate::material::air::THICKEST;
use crate::material::cavity::{self, DIFFERENCE, MEAN_TEMPERATURE, Method, State};
use crate::model::{Cut, Model};
use crate::plan::{Drawn, Filling, Plan, Raster, cavities};
use crate::standard::HeatFlow;
use crate::triangulation::Mesh;

/// A cavity as it was finally taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Index into the case's cavities.
    pub cavity: usize,
    /// Its size and temperatures.
    pub state: State,
    /// Equivalent conductivity, W/(m·K).
    pub conductivity: f64,
}

/// The case with the air of its plan told apart into cavities.
///
/// # Errors
/// [`Failure`] if the plan cannot be used.
pub(super) fn told_apart(case: Case) -> Result<Case, Failure> {
    if case.model.cavities.is_empty() {
        return Ok(case);
    }
    let (plan, _) = Plan::of(&case.model).map_err(|findings| case.rejected(findings.0))?;
    let (model, found) = match &plan.drawn {
        Drawn::Raster(raster) => cavities::told_apart(case.model.clone(), raster),
        Drawn::Edges(edges) => cavities::as_painted(case.model.clone(), edges),
    };
    let warnings = case.warnings.iter().cloned().chain(found).collect();
    Ok(Case { model, warnings, ..case })
}

/// A flow along y counts as the heat flow's direction where it is larger by this factor: where both are equal
/// by symmetry, rounding must not decide anew each time.
const CLEARLY: f64 = 1.01;

/// Every cavity that can be seen in the plan, with its temperatures if there is a field.
pub(super) fn states(model: &Model, plan: &Plan, field: Option<&Rough>) -> Vec<Settled> {
    let sizes = sizes(model, plan);
    let fields = field.map(|field| match (field, &plan.drawn) {
        (Rough::Grid(grid, temperatures), Drawn::Raster(raster)) => {
            Seen::of(model, raster, grid, temperatures)
        }
        (Rough::Triangles(on), _) => Seen::on_triangles(model, &on.0, &on.1),
        (Rough::Grid(..), Drawn::Edges(_)) => vec![Seen::NOTHING; model.cavities.len()],
    });
    let state = |(index, size): (usize, &Size)| {
        let fill = &model.cavities[index];
        if size.area == 0.0 {
            return None;
        }
        let sides = cavity::equivalent_rectangle(size.area, [size.x.length(), size.y.length()]);
        let seen = fields.as_ref().map(|fields| &fields[index]);
        let [along_x, along_y] = seen.map_or([1.0, 0.0], |seen| seen.flow);
        let axis = if along_y.abs() > CLEARLY * along_x.abs() { Axis::Y } else { Axis::X };
        let (depth, width, flow) = match axis {
            Axis::X => (sides[0], sides[1], along_x),
            Axis::Y => (sides[1], sides[0], along_y),
        };
        let heat_flow = match (axis, model.cut) {
            (Axis::X, _) | (_, Cut::Horizontal) => HeatFlow::Horizontal,
            (Axis::Y, Cut::Vertical) if along_y > 0.0 => HeatFlow::Up,
            (Axis::Y, Cut::Vertical) => HeatFlow::Down,
        };
        let difference = seen.map_or(DIFFERENCE, |seen| match fill.cavity.method {
            Method::Frame => seen.high - seen.low,
            Method::Building => flow.abs() / seen.area * depth,
        });
        let mean_temperature = seen.map_or(MEAN_TEMPERATURE, |seen| seen.mean / seen.area);
        let state = State { depth, width, heat_flow, mean_temperature, difference };
        Some(Settled { cavity: index, state, conductivity: cavity::conductivity(&fill.cavity, &state) })
    };
    sizes.iter().enumerate().filter_map(state).collect()
}

/// A remark for each void that is no air layer for the standard.
pub fn notes(model: &Model, cavities: &[Settled]) -> Vec<String> {
    let is_beyond = |settled: &&Settled| {
        let method = model.cavities[settled.cavity].cavity.method;
        method == Method::Building && settled.state.depth > THICKEST + 1e-9
    };
    let note = |settled: &Settled| {
        let name = &model.materials[model.cavities[settled.cavity].material].name;
        format!(
            "{name} is {} mm along the heat flow: ISO 6946 gives constants of air layers up to 300 mm and asks for a balance of the heat flows into \
             thicker ones. Paint it as a `space` of the role `unheated` where its temperature matters",
            millimetres(settled.state.depth)
        )
    };
    cavities.iter().filter(is_beyond).map(note).collect()
}

/// For each material the cavity that it stands for, if any.
fn cavity_of_material(model: &Model) -> Vec<Option<usize>> {
    let mut of_material = vec![None; model.materials.len()];
    for (index, fill) in model.cavities.iter().enumerate() {
        of_material[fill.material.index()] = Some(index);
    }
    of_material
}

/// What can be seen of a cavity.
#[derive(Clone, Copy)]
struct Size {
    area: f64,
    x: Span,
    y: Span,
}

impl Size {
    fn add(&mut self, area: f64, low: [f64; 2], high: [f64; 2]) {
        self.area += area;
        self.x = Span { from: self.x.from.min(low[0]), to: self.x.to.max(high[0]) };
        self.y = Span { from: self.y.from.min(low[1]), to: self.y.to.max(high[1]) };
    }
}

fn sizes(model: &Model, plan: &Plan) -> Vec<Size> {
    let none = Span { from: f64::INFINITY, to: f64::NEG_INFINITY };
    let mut sizes = vec![Size { area: 0.0, x: none, y: none }; model.cavities.len()];
    let cavity_of = cavity_of_material(model);
    match &plan.drawn {
        Drawn::Raster(plan) => {
            for j in 0..plan.rows() {
                for i in 0..plan.columns() {
                    let Filling::Solid(material) = plan.at(i, j) else { continue };
                    let Some(index) = cavity_of[material.index()] else { continue };
                    let (x, y) = (&plan.xs[i..i + 2], &plan.ys[j..j + 2]);
                    sizes[index].add((x[1] - x[0]) * (y[1] - y[0]), [x[0], y[0]], [x[1], y[1]]);
                }
            }
        }
        Drawn::Edges(edges) => {
            for face in &edges.faces.faces {
                let Filling::Solid(material) = Filling::from(face.filling) else { continue };
                let Some(index) = cavity_of[material.index()] else { continue };
                sizes[index].add(face.area, face.low, face.high);
            }
        }
    }
    sizes
}

/// Temperatures in a cavity.
#[derive(Clone, Copy)]
struct Seen {
    /// m².
    area: f64,
    /// The integral of the temperature, K·m².
    mean: f64,
    /// The extremes, which lie on the cavity's surface, since nothing inside gives off heat.
    low: f64,
    high: f64,
    /// The integral of the gradient with its sign turned, K·m.
    flow: [f64; 2],
}

impl Seen {
    const NOTHING: Self =
        Self { area: 0.0, mean: 0.0, low: f64::INFINITY, high: f64::NEG_INFINITY, flow: [0.0, 0.0] };

    /// For each cavity, on triangles.
    fn on_triangles(model: &Model, mesh: &Mesh, solved: &OnMesh) -> Vec<Self> {
        let mut all = vec![Self::NOTHING; model.cavities.len()];
        let cavity_of = cavity_of_material(model);
        for (triangle, filling) in mesh.filling.iter().enumerate() {
            let Filling::Solid(material) = Filling::from(*filling) else { continue };
            let Some(index) = cavity_of[material.index()] else { continue };
            let (system, pair) = (&solved.system, &solved.pair);
            let found = system.integrals(pair, triangle).zip(system.extremes(pair, triangle));
            let Some(((mean, gradient), [high, low])) = found else { continue };
            let seen = &mut all[index];
            seen.area += mesh.area(triangle);
            seen.mean += mean;
            seen.flow = [seen.flow[0] - gradient[0], seen.flow[1] - gradient[1]];
            (seen.low, seen.high) = (seen.low.min(low), seen.high.max(high));
        }
        all
    }

    /// For each cavity, on a grid.
    fn of(model: &Model, plan: &Raster, grid: &Grid, temperatures: &[f64]) -> Vec<Self> {
        let mut all = vec![Self::NOTHING; model.cavities.len()];
        let cavity_of = cavity_of_material(model);
        let columns = grid.vertex_columns();
        for j in 0..grid.vertex_rows() - 1 {
            for i in 0..columns - 1 {
                let Filling::Solid(material) = grid.filling(plan, i, j) else { continue };
                let Some(index) = cavity_of[material.index()] else { continue };
                let seen = &mut all[index];
                let vertex = |right: usize, up: usize| (j + up) * columns + i + right;
                let ((left, lower), (right, upper)) =
                    (grid.position(vertex(0, 0)), grid.position(vertex(1, 1)));
                let (width, height) = (right - left, upper - lower);
                let corner = |right: usize, up: usize| temperatures[vertex(right, up)];
                let corners = [corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1)];
                seen.area += width * height;
                seen.mean += width * height * corners.iter().sum::<f64>() / 4.0;
                seen.flow[0] -= 0.5 * height * (corners[1] + corners[3] - corners[0] - corners[2]);
                seen.flow[1] -= 0.5 * width * (corners[2] + corners[3] - corners[0] - corners[1]);
                seen.low = corners.iter().copied().fold(seen.low, f64::min);
                seen.high = corners.iter().copied().fold(seen.high, f64::max);
            }
        }
        all
    }
}
