//! Air cavities of a plan: their size from what was painted, their temperatures from the solution, their conductivity from both.
//!
//! The conductivity depends on the direction of heat flow and, in frames, on the temperatures, which depend on the conductivity; both are
//! [settled](super::settling) together with the directions at level surfaces.

use crate::case::{Case, Cut};
use crate::element::build_up::HeatFlow;
use crate::geometry::Axis;
use crate::grid::Grid;
use crate::material::cavity::{self, DIFFERENCE, MEAN_TEMPERATURE, State};
use crate::plan::{Filling, Plan};

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

/// Every cavity that can be seen in the plan, with its temperatures if there is a field.
pub fn states(case: &Case, plan: &Plan, field: Option<(&Grid, &Vec<f64>)>) -> Vec<Settled> {
    let seen = |(index, fill): (usize, &crate::case::CavityFill)| {
        let cells: Vec<(usize, usize)> = (0..plan.rows())
            .flat_map(|j| (0..plan.columns()).map(move |i| (i, j)))
            .filter(|(i, j)| plan.at(*i, *j) == Filling::Solid(fill.material))
            .collect();
        let area: f64 = cells.iter().map(|(i, j)| (plan.xs[i + 1] - plan.xs[*i]) * (plan.ys[j + 1] - plan.ys[*j])).sum();
        if area == 0.0 {
            return None;
        }
        let side = |lines: &[f64], place: fn(&(usize, usize)) -> usize| {
            let places = || cells.iter().map(place);
            lines[places().max().unwrap_or(0) + 1] - lines[places().min().unwrap_or(0)]
        };
        let circumscribed = [side(&plan.xs, |cell| cell.0), side(&plan.ys, |cell| cell.1)];
        let sides = cavity::equivalent_rectangle(area, circumscribed);
        let seen = field.map_or(Seen::UNKNOWN, |(grid, temperatures)| Seen::of(fill.material, plan, grid, temperatures));
        let axis = if seen.flow[0].abs() >= seen.flow[1].abs() { Axis::X } else { Axis::Y };
        let (depth, width) = match axis {
            Axis::X => (sides[0], sides[1]),
            Axis::Y => (sides[1], sides[0]),
        };
        let heat_flow = match (axis, case.cut) {
            (Axis::X, _) | (_, Cut::Horizontal) => HeatFlow::Horizontal,
            (Axis::Y, Cut::Vertical) if seen.flow[1] > 0.0 => HeatFlow::Up,
            (Axis::Y, Cut::Vertical) => HeatFlow::Down,
        };
        let state = State { depth, width, heat_flow, mean_temperature: seen.mean, difference: seen.difference };
        Some(Settled { cavity: index, state, conductivity: cavity::conductivity(&fill.cavity, &state) })
    };
    case.cavities.iter().enumerate().filter_map(seen).collect()
}

/// Temperatures in a cavity.
struct Seen {
    mean: f64,
    difference: f64,
    /// Against the mean gradient, K/m.
    flow: [f64; 2],
}

impl Seen {
    const UNKNOWN: Self = Self { mean: MEAN_TEMPERATURE, difference: DIFFERENCE, flow: [1.0, 0.0] };

    /// The extremes lie on the cavity's surface, since nothing inside gives off heat.
    fn of(material: usize, plan: &Plan, grid: &Grid, temperatures: &[f64]) -> Self {
        let columns = grid.vertex_columns();
        let (mut area, mut mean, mut flow) = (0.0, 0.0, [0.0, 0.0]);
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for j in 0..grid.vertex_rows() - 1 {
            for i in 0..columns - 1 {
                if grid.filling(plan, i, j) != Filling::Solid(material) {
                    continue;
                }
                let vertex = |right: usize, up: usize| (j + up) * columns + i + right;
                let ((left, lower), (right, upper)) = (grid.position(vertex(0, 0)), grid.position(vertex(1, 1)));
                let (width, height) = (right - left, upper - lower);
                let corner = |right: usize, up: usize| temperatures[vertex(right, up)];
                let corners = [corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1)];
                area += width * height;
                mean += width * height * corners.iter().sum::<f64>() / 4.0;
                flow[0] -= 0.5 * height * (corners[1] + corners[3] - corners[0] - corners[2]);
                flow[1] -= 0.5 * width * (corners[2] + corners[3] - corners[0] - corners[1]);
                low = corners.iter().copied().fold(low, f64::min);
                high = corners.iter().copied().fold(high, f64::max);
            }
        }
        Self { mean: mean / area, difference: high - low, flow }
    }
}
