//! The flux without sources, vertex by vertex.
//!
//! The control volume of a vertex consists of up to four quarter cells, each of one material. In a ring
//! around the vertex:
//!
//! ```text
//!     ┌─────N─────┐      quarters 0 = SW, 1 = SE, 2 = NE, 3 = NW
//!     │  3  ↑f₂ 2 │      f₀ … f₃: flows through the inner faces S, E, N, W, each from quarter k to quarter k + 1
//!     W──f₃─●─f₁──E
//!     │  0  ↓f₀ 1 │      sₖ: what flows into quarter k through its two outer faces, halves of the scheme's flows
//!     └─────S─────┘      balance: fₖ = fₖ₋₁ + sₖ
//! ```
//!
//! An inner face between a quarter and a space carries what the surface resistance lets through, (T_vertex −
//! θₑ)·H, and nothing where there is no environment. So in a run of solid quarters the balances fix all
//! flows, and a remainder at its end is the imbalance that the solver left, or a heat source at the vertex;
//! it is spread over the quarters of the run. Two cases leave one flow c free: four solid quarters (a
//! circulation), and a run between two surfaces of fixed temperature. There c is chosen so that the
//! dissipation is least.
//!
//! In a quarter of sides a and b, the flow through the faces across x changes linearly from u to v, so the
//! flux is the lowest-order Raviart–Thomas field, and with p = u/b, p' = v/b
//!
//! ```text
//! ∫ q_x²/λ = a·b/λ · (p² + p·p' + p'²)/3
//! ```
//!
//! λ·∂T/∂x of the bilinear interpolant changes linearly along y from g to g'; hence, with means ḡ and p̄,
//!
//! ```text
//! ∫ (λ·∂T/∂x + q_x)²/λ = a·b/λ · [ (ḡ + p̄)² + (g − g')²/12 + (p − p')²/12 ]
//! ```
//!
//! The last term vanishes with the square of the cell's width, the one before with that of its height. The
//! first is shared in proportion to a²/λ_x and b²/λ_y: in a long cell it comes from its length. (Where four
//! materials meet, flow has to pass from one side of the edge to the other within the cells at the vertex;
//! making them narrower alone only makes that passage narrower.)

use super::Evaluation;

/// A part of the mismatch, by the direction in which cells must become narrower to lower it, W·K/m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mismatch {
    /// Narrower columns.
    pub along_x: f64,
    /// Lower rows.
    pub along_y: f64,
}

/// Sums over vertices.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sums {
    /// J.
    pub potential: f64,
    /// A.
    pub dissipation: f64,
    /// B.
    pub work: f64,
    /// ∫|d|.
    pub imbalance: f64,
}

/// What bounds one side of an inner face.
#[derive(Clone, Copy, Debug, Default)]
enum Film {
    /// No environment, or solid on both sides.
    #[default]
    None,
    /// A surface resistance: the environment's temperature, m²K/W, half the face's length and the temperature
    /// difference along the face.
    Resistance { environment: f64, resistance: f64, half: f64, rise: f64 },
    /// A fixed temperature.
    Fixed { environment: f64 },
}

/// One quarter cell.
#[derive(Clone, Copy, Debug, Default)]
struct Quarter {
    /// Its cell.
    cell: (usize, usize),
    /// λ along x and y.
    conductivity: [f64; 2],
    /// Its sides, m.
    sides: [f64; 2],
    /// Flows through the outer faces across x and y, positive along the axis.
    outer: [f64; 2],
    /// λ·∂T/∂x beside the vertex and in the middle of the cell's height, and λ·∂T/∂y beside it and in the
    /// middle of the width.
    gradient: [[f64; 2]; 2],
}

impl Quarter {
    /// a·b/λ over the square of the side that a flow along `axis` passes through.
    fn weight(&self, axis: usize) -> f64 {
        self.sides[axis] / self.sides[1 - axis] / self.conductivity[axis]
    }
}

/// For each quarter: the inner face across x with the sign that turns its f into a flow along x, and the same
/// for y.
const INNER: [[(usize, f64); 2]; 4] =
    [[(0, 1.0), (3, -1.0)], [(0, 1.0), (1, 1.0)], [(2, -1.0), (1, 1.0)], [(2, -1.0), (3, -1.0)]];
/// Whether the quarter lies to the west, and to the south, of the vertex.
const SIDE: [(bool, bool); 4] = [(true, true), (false, true), (false, false), (true, false)];

fn quarter(
    evaluation: &Evaluation<'_>,
    temperature: &[f64],
    (i, j): (usize, usize),
    number: usize,
) -> Option<Quarter> {
    let (columns, rows) = (evaluation.network.columns, evaluation.network.rows);
    let (west, south) = SIDE[number];
    let ci = if west { i.checked_sub(1)? } else { i };
    let cj = if south { j.checked_sub(1)? } else { j };
    if ci + 1 >= columns || cj + 1 >= rows {
        return None;
    }
    let conductivity = evaluation.conductivity[cj * (columns - 1) + ci];
    if conductivity[0] == 0.0 {
        return None;
    }
    let (xs, ys) = (&evaluation.grid.x.positions, &evaluation.grid.y.positions);
    let (width, height) = (xs[ci + 1] - xs[ci], ys[cj + 1] - ys[cj]);
    let own = j * columns + i;
    let beside = if west { own - 1 } else { own + 1 };
    let across = if south { own - columns } else { own + columns };
    let diagonal = if west { across - 1 } else { across + 1 };
    let t = |vertex: usize| temperature[vertex];
    // Derivatives along the axes, whichever side the neighbour lies on.
    let (sign_x, sign_y) = (if west { -1.0 } else { 1.0 }, if south { -1.0 } else { 1.0 });
    let near_x = conductivity[0] * sign_x * (t(beside) - t(own)) / width;
    let far_x = conductivity[0] * sign_x * (t(diagonal) - t(across)) / width;
    let near_y = conductivity[1] * sign_y * (t(across) - t(own)) / height;
    let far_y = conductivity[1] * sign_y * (t(diagonal) - t(beside)) / height;
    Some(Quarter {
        cell: (ci, cj),
        conductivity,
        sides: [0.5 * width, 0.5 * height],
        outer: [-near_x * 0.5 * height, -near_y * 0.5 * width],
        gradient: [[near_x, f64::midpoint(near_x, far_x)], [near_y, f64::midpoint(near_y, far_y)]],
    })
}

/// The films on the four inner faces.
fn films(
    evaluation: &Evaluation<'_>,
    temperature: &[f64],
    environments: &[f64],
    (i, j): (usize, usize),
) -> [Film; 4] {
    let columns = evaluation.network.columns;
    let own = j * columns + i;
    let south = own.checked_sub(columns).map_or(0, |below| evaluation.upright[below]);
    let west = if i > 0 { evaluation.level[own - 1] } else { 0 };
    [south, evaluation.level[own], evaluation.upright[own], west].map(|number| {
        let Some(face) = (number as usize).checked_sub(1).map(|number| &evaluation.network.faces[number])
        else {
            return Film::None;
        };
        let environment = environments[face.environment];
        if face.resistance == 0.0 {
            return Film::Fixed { environment };
        }
        let other = if face.vertices[0] == own { face.vertices[1] } else { face.vertices[0] };
        let rise = temperature[other] - temperature[own];
        Film::Resistance { environment, resistance: face.resistance, half: 0.5 * face.length, rise }
    })
}

/// The flows f₀ … f₃ through the inner faces, and the imbalance.
fn inner_flows(quarters: &[Option<Quarter>; 4], films: &[Film; 4], own: f64) -> ([f64; 4], f64) {
    let source = |k: usize| {
        quarters[k].as_ref().map_or(0.0, |quarter| {
            let (west, south) = SIDE[k];
            let sign = |lower: bool| if lower { 1.0 } else { -1.0 };
            sign(west) * quarter.outer[0] + sign(south) * quarter.outer[1]
        })
    };
    let mut flows = [0.0; 4];
    let mut imbalance = 0.0;
    let solid = quarters.each_ref().map(Option::is_some);
    if solid == [true; 4] {
        for k in 1..4 {
            flows[k] = flows[k - 1] + source(k);
        }
        let left = flows[3] + source(0) - flows[0];
        imbalance = left.abs();
        spread(quarters, &mut flows, left, (1, 4));
        flows[0] = 0.0;
        let free = least_dissipation(quarters, &flows, [true; 4]);
        return (flows.map(|flow| flow + free), imbalance);
    }
    // What leaves the solid through the film of face k.
    let outflow = |k: usize| match films[k] {
        Film::Resistance { environment, resistance, half, .. } => {
            Some((own - environment) * half / resistance)
        }
        Film::None => Some(0.0),
        Film::Fixed { .. } => None,
    };
    for first in (0..4).filter(|k| solid[*k] && !solid[(k + 3) % 4]) {
        let length = (0..4).take_while(|offset| solid[(first + offset) % 4]).count();
        let (start, last) = ((first + 3) % 4, (first + length - 1) % 4);
        // The run's faces in order: `start`, then those behind each of its quarters.
        let (at_start, at_end) = (outflow(start).map(|flow| -flow), outflow(last));
        flows[start] = match (at_start, at_end) {
            (Some(flow), _) => flow,
            (None, Some(flow)) => flow - (0..length).map(|offset| source((first + offset) % 4)).sum::<f64>(),
            (None, None) => 0.0,
        };
        let mut flow = flows[start];
        for offset in 0..length {
            let k = (first + offset) % 4;
            flow += source(k);
            flows[k] = flow;
        }
        match (at_start, at_end) {
            (Some(_), Some(end)) => {
                imbalance += (flow - end).abs();
                spread(quarters, &mut flows, flow - end, (first, length));
                flows[last] = end;
            }
            (None, None) => {
                let mut is_free = [false; 4];
                is_free[start] = true;
                (0..length).for_each(|offset| is_free[(first + offset) % 4] = true);
                let free = least_dissipation(quarters, &flows, is_free);
                for (flow, _) in flows.iter_mut().zip(is_free).filter(|(_, is_free)| *is_free) {
                    *flow += free;
                }
            }
            _ => {}
        }
    }
    (flows, imbalance)
}

/// Takes an imbalance out of the flows behind the quarters of a run, from each by its area: a heat source at
/// the vertex is one evenly spread over its control volume.
fn spread(quarters: &[Option<Quarter>; 4], flows: &mut [f64; 4], left: f64, (first, length): (usize, usize)) {
    let area = |k: usize| quarters[k].as_ref().map_or(0.0, |quarter| quarter.sides[0] * quarter.sides[1]);
    let run = || (first..first + length).map(|k| k % 4);
    let per_area = left / run().map(area).sum::<f64>();
    let mut taken = 0.0;
    for k in run() {
        taken += per_area * area(k);
        flows[k] -= taken;
    }
}

/// The c that, added to the free flows, makes the dissipation Σ w·(u² + u·v + v²)/3 least: v the inner, u the
/// outer flow of a quarter.
fn least_dissipation(quarters: &[Option<Quarter>; 4], flows: &[f64; 4], is_free: [bool; 4]) -> f64 {
    let (mut slope, mut curvature) = (0.0, 0.0);
    for (k, quarter) in quarters.iter().enumerate() {
        let Some(quarter) = quarter else { continue };
        for axis in 0..2 {
            let (face, sign) = INNER[k][axis];
            if is_free[face] {
                let weight = quarter.weight(axis);
                slope += weight * sign * (quarter.outer[axis] + 2.0 * sign * flows[face]);
                curvature += 2.0 * weight;
            }
        }
    }
    -slope / curvature
}

/// Adds the part of vertex (i, j) to the sums, and hands the mismatch of each of its quarters and half faces
/// to `sink` with its cell. The environments' temperatures are counted from `middle`.
pub fn each_quarter(
    evaluation: &Evaluation<'_>,
    temperature: &[f64],
    middle: f64,
    environments: &[f64],
    (i, j): (usize, usize),
    sums: &mut Sums,
    mut sink: impl FnMut((usize, usize), Mismatch),
) {
    let quarters = [0, 1, 2, 3].map(|number| quarter(evaluation, temperature, (i, j), number));
    if quarters.iter().all(Option::is_none) {
        return;
    }
    let own = temperature[j * evaluation.network.columns + i] - middle;
    let films = films(evaluation, temperature, environments, (i, j));
    let (flows, imbalance) = inner_flows(&quarters, &films, own);
    sums.imbalance += imbalance;
    for (k, quarter) in quarters.iter().enumerate() {
        let Some(quarter) = quarter else { continue };
        let mut mismatch = [0.0; 2];
        let squares = [0, 1].map(|axis| quarter.sides[axis].powi(2) / quarter.conductivity[axis]);
        for axis in 0..2 {
            let (face, sign) = INNER[k][axis];
            let across = quarter.sides[1 - axis];
            let scale = quarter.sides[0] * quarter.sides[1] / quarter.conductivity[axis];
            let (p, q) = (quarter.outer[axis] / across, sign * flows[face] / across);
            let [g, h] = quarter.gradient[axis];
            sums.dissipation += scale * (p * p + p * q + q * q) / 3.0;
            sums.potential += scale * (g * g + g * h + h * h) / 3.0;
            let mean = f64::midpoint(g, h) + f64::midpoint(p, q);
            let (of_flux, of_gradient) = ((p - q).powi(2) / 12.0, (g - h).powi(2) / 12.0);
            let share = squares[axis] / (squares[0] + squares[1]);
            mismatch[axis] += scale * (of_flux + share * mean * mean);
            mismatch[1 - axis] += scale * (of_gradient + (1.0 - share) * mean * mean);
        }
        sink(quarter.cell, Mismatch { along_x: mismatch[0], along_y: mismatch[1] });
    }
    for (k, film) in films.iter().enumerate() {
        // The solid quarter beside the face: heat leaves it forwards or backwards around the ring.
        let next = (k + 1) % 4;
        let (quarter, outflow) = match (&quarters[k], &quarters[next]) {
            (Some(quarter), None) => (quarter, flows[k]),
            (None, Some(quarter)) => (quarter, -flows[k]),
            _ => continue,
        };
        match *film {
            Film::None => {}
            Film::Fixed { environment } => sums.work -= environment * outflow,
            Film::Resistance { environment, resistance, half, rise } => {
                sums.work -= environment * outflow;
                sums.dissipation += resistance * outflow * outflow / half;
                // T runs from that of the vertex to that of the middle of the face.
                let (near, far) = (own - environment, own - environment + 0.5 * rise);
                sums.potential += half / resistance * (near * near + near * far + far * far) / 3.0;
                let part = half / resistance * (0.5 * rise).powi(2) / 3.0;
                // Faces S and N are upright.
                let (along_x, along_y) = if k.is_multiple_of(2) { (0.0, part) } else { (part, 0.0) };
                sink(quarter.cell, Mismatch { along_x, along_y });
            }
        }
    }
}
