//! Air cavities of a plan, once they are told apart (`plan/cavities.rs`): their size from what was painted,
//! their temperatures from the solution, their conductivity from both.
//!
//! The conductivity depends on the direction of heat flow and, in frames, on the temperatures, which depend
//! on the conductivity; both are [settled](super::settling) together with the directions at level surfaces.

use super::Failure;
use super::computed::OnMesh;
use super::settling::Rough;
use crate::case::Case;
use crate::geometry::millimetres;
use crate::grid::Grid;
use crate::material::air::THICKEST;
use crate::material::cavity::{self, DIFFERENCE, MEAN_TEMPERATURE, Method, State};
use crate::model::{CavityFill, Cut, Model};
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
        let sides = cavity::equivalent_rectangle(size.area, size.sides);
        let seen = fields.as_ref().map(|fields| &fields[index]);
        if seen.is_none() && plan.raster().is_none() {
            return Some(unseen(index, fill, sides));
        }
        let flow = seen.map_or([1.0, 0.0], |seen| seen.flow);
        // Along the first side of the rectangle, and along the other.
        let [first, second] = [size.way, [-size.way[1], size.way[0]]];
        let [along, across] = [first, second].map(|way| flow[0] * way[0] + flow[1] * way[1]);
        let is_across = across.abs() > CLEARLY * along.abs();
        let (depth, width, flow, way) =
            if is_across { (sides[1], sides[0], across, second) } else { (sides[0], sides[1], along, first) };
        // The standard's horizontal flow reaches to 30° from the horizontal.
        let heat_flow = if model.cut == Cut::Horizontal || way[1].abs() < SIN_30 + 1e-6 {
            HeatFlow::Horizontal
        } else if flow * way[1] > 0.0 {
            HeatFlow::Up
        } else {
            HeatFlow::Down
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

/// What a cavity among slopes begins with, before anything is known of the heat flow: the mean of what it has along
/// either side, so that a drawing and the same one turned come to the same.
fn unseen(index: usize, fill: &CavityFill, [one, other]: [f64; 2]) -> Settled {
    let state = |depth: f64, width: f64| State {
        depth,
        width,
        heat_flow: HeatFlow::Horizontal,
        mean_temperature: MEAN_TEMPERATURE,
        difference: DIFFERENCE,
    };
    let [state, turned] = [state(one, other), state(other, one)];
    let [first, second] = [&state, &turned].map(|state| cavity::conductivity(&fill.cavity, state));
    Settled { cavity: index, state, conductivity: (first * second).sqrt() }
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
    /// m².
    area: f64,
    /// The smallest rectangle round it: the direction of its first side, and the lengths of both, m.
    way: [f64; 2],
    sides: [f64; 2],
}

/// sin 30°.
const SIN_30: f64 = 0.5;

fn sizes(model: &Model, plan: &Plan) -> Vec<Size> {
    let nothing = Size { area: 0.0, way: [1.0, 0.0], sides: [0.0; 2] };
    let mut sizes = vec![nothing; model.cavities.len()];
    let mut corners: Vec<Vec<[f64; 2]>> = vec![Vec::new(); model.cavities.len()];
    let cavity_of = cavity_of_material(model);
    match &plan.drawn {
        Drawn::Raster(plan) => {
            for j in 0..plan.rows() {
                for i in 0..plan.columns() {
                    let Filling::Solid(material) = plan.at(i, j) else { continue };
                    let Some(index) = cavity_of[material.index()] else { continue };
                    let (x, y) = (&plan.xs[i..i + 2], &plan.ys[j..j + 2]);
                    sizes[index].area += (x[1] - x[0]) * (y[1] - y[0]);
                    corners[index].extend([[x[0], y[0]], [x[1], y[1]]]);
                }
            }
        }
        Drawn::Edges(edges) => {
            for face in &edges.faces.faces {
                let Filling::Solid(material) = Filling::from(face.filling) else { continue };
                let Some(index) = cavity_of[material.index()] else { continue };
                sizes[index].area += face.area;
            }
            for edge in edges.edges() {
                for filling in [edge.left, edge.right] {
                    let Filling::Solid(material) = filling else { continue };
                    let Some(index) = cavity_of[material.index()] else { continue };
                    corners[index].extend(edge.ends);
                }
            }
        }
    }
    for (size, corners) in sizes.iter_mut().zip(&corners) {
        (size.way, size.sides) = match plan.raster() {
            Some(_) => ([1.0, 0.0], sides(corners, [1.0, 0.0])),
            None => smallest_rectangle(corners),
        };
    }
    sizes
}

/// The sides of the rectangle round some points of which the first runs along a direction, m.
fn sides(points: &[[f64; 2]], [x, y]: [f64; 2]) -> [f64; 2] {
    let reach = |way: [f64; 2]| {
        let along = || points.iter().map(|point| point[0] * way[0] + point[1] * way[1]);
        (along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)).max(0.0)
    };
    [reach([x, y]), reach([-y, x])]
}

/// The smallest rectangle round an outline, whose sides give the ratio of that which stands for the cavity (ISO
/// 10077-2:2017, 6.4; from memory), of whose edges `points` are the ends, two by two: one of its sides runs
/// along an edge of the convex hull, which of these are all that count. The direction of its longer side, and both
/// lengths, m, so that what follows from them does not hang on how the drawing lies.
fn smallest_rectangle(points: &[[f64; 2]]) -> ([f64; 2], [f64; 2]) {
    let level = [1.0, 0.0];
    let hull = hull(points);
    let turns = (0..hull.len()).filter_map(|k| {
        let (from, to) = (hull[k], hull[(k + 1) % hull.len()]);
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = libm::hypot(dx, dy);
        // By a quarter turn, to the right and at most 45° up or down.
        let way = [dx / length, dy / length];
        let way = if way[1].abs() > way[0].abs() { [-way[1], way[0]] } else { way };
        (length > 0.0).then_some(if way[0] < 0.0 { [-way[0], -way[1]] } else { way })
    });
    // Of alike ones the level one, which need not follow an edge.
    let mut best = (level, sides(points, level));
    for way in turns {
        let found = sides(points, way);
        if found[0] * found[1] < best.1[0] * best.1[1] * (1.0 - 1e-9) {
            best = (way, found);
        }
    }
    let ([x, y], [first, second]) = best;
    if second > first * (1.0 + 1e-9) { ([-y, x], [second, first]) } else { best }
}

/// The convex hull of points, anticlockwise (A. M. Andrew, Inf. Proc. Lett. 9 (1979) 216).
fn hull(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    sorted.dedup();
    let chain = |points: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while let [.., before, last] = chain.as_slice()
                && (last[0] - before[0]) * (point[1] - before[1])
                    <= (last[1] - before[1]) * (point[0] - before[0])
            {
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut sorted.iter());
    hull.extend(chain(&mut sorted.iter().rev()));
    hull
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
            let (solids, field) = (&solved.system.solids, &solved.pair.temperature);
            let found = solids.integrals(field, triangle).zip(solids.extremes(field, triangle));
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
