//! Surfaces: where a solid meets an environment, and with which resistance.
//!
//! For heat loss the resistances are those of ISO 6946:2017, Table 7, by the direction of heat flow: internal 0.13 m²K/W for
//! horizontal flow, 0.10 upwards, 0.17 downwards; external 0.04. For condensation they are those of ISO 13788:2012: internal
//! 0.25 unless the case says otherwise, 0.13 on the materials judged apart (frames and glazing).
//!
//! In a horizontal section all surfaces are upright. In a vertical one, which way heat flows through a level surface follows from the environment's temperature: one warmer than the mean of the
//! highest and the lowest temperature gives heat off, any other takes it up.

use super::{Filling, Plan};
use crate::case::{Case, Cut, Role};
use crate::geometry::Axis;

/// ISO 6946: internal surface resistance for horizontal heat flow, m²K/W.
pub const INTERNAL_HORIZONTAL: f64 = 0.13;
/// ISO 6946: internal surface resistance for upward heat flow, m²K/W.
pub const INTERNAL_UPWARDS: f64 = 0.10;
/// ISO 6946: internal surface resistance for downward heat flow, m²K/W.
pub const INTERNAL_DOWNWARDS: f64 = 0.17;
/// ISO 6946: external surface resistance, m²K/W.
pub const EXTERNAL: f64 = 0.04;
/// ISO 13788: internal surface resistance of frames and glazing when condensation is judged, m²K/W.
pub const CONDENSATION_EXCLUDED: f64 = 0.13;

/// What the surface resistances are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Heat loss: L2D, U and ψ.
    HeatLoss,
    /// Mould growth and surface condensation: f_Rsi.
    Condensation,
}

/// A face between a solid and an environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Index of the environment.
    pub environment: usize,
    /// Index of the solid's material.
    pub material: usize,
    /// m²K/W; 0 fixes the surface temperature.
    pub resistance: f64,
}

/// The films of all faces of a plan.
#[derive(Clone, Debug)]
pub struct Surfaces {
    columns: usize,
    upright: Vec<Option<Film>>,
    level: Vec<Option<Film>>,
}

impl Surfaces {
    /// Finds the films of a plan and their resistances for a purpose.
    pub fn of(case: &Case, plan: &Plan, purpose: Purpose) -> Self {
        let (columns, rows) = (plan.columns(), plan.rows());
        let mut surfaces = Self { columns, upright: vec![None; (columns + 1) * rows], level: vec![None; columns * (rows + 1)] };
        for j in 0..rows {
            for i in 0..=columns {
                surfaces.upright[j * (columns + 1) + i] = film(case, plan, purpose, Axis::X, i, j);
            }
        }
        for j in 0..=rows {
            for i in 0..columns {
                surfaces.level[j * columns + i] = film(case, plan, purpose, Axis::Y, i, j);
            }
        }
        surfaces
    }

    /// The film of the face (i, j) with normal along `normal`, if a solid meets an environment there.
    pub fn film(&self, normal: Axis, i: usize, j: usize) -> Option<Film> {
        match normal {
            Axis::X => self.upright[j * (self.columns + 1) + i],
            Axis::Y => self.level[j * self.columns + i],
        }
    }
}

fn film(case: &Case, plan: &Plan, purpose: Purpose, normal: Axis, i: usize, j: usize) -> Option<Film> {
    let (environment, material, solid_is_lower) = match plan.beside_face(normal, i, j) {
        (Filling::Solid(material), Filling::Space(environment)) => (environment, material, true),
        (Filling::Space(environment), Filling::Solid(material)) => (environment, material, false),
        _ => return None,
    };
    let middle = |lines: &[f64], index: usize| f64::midpoint(lines[index], lines[index + 1]);
    let (x, y) = match normal {
        Axis::X => (plan.xs[i], middle(&plan.ys, j)),
        Axis::Y => (middle(&plan.xs, i), plan.ys[j]),
    };
    let rule = case.surfaces.iter().rev().find(|rule| {
        rule.environment.is_none_or(|index| index == environment)
            && rule.material.is_none_or(|index| index == material)
            && rule.within.contains(x, y)
    });
    let ruled = rule.map(|rule| rule.resistance);
    let resistance = match (purpose, &case.condensation, case.environments[environment].role) {
        // A fixed surface temperature stays fixed.
        (Purpose::Condensation, Some(condensation), Role::Internal) if ruled != Some(0.0) => {
            if condensation.exclude.contains(&material) { CONDENSATION_EXCLUDED } else { condensation.resistance }
        }
        _ => ruled.unwrap_or_else(|| standard_resistance(case, environment, normal, solid_is_lower)),
    };
    Some(Film { environment, material, resistance })
}

/// ISO 6946:2017, Table 7.
fn standard_resistance(case: &Case, environment: usize, normal: Axis, solid_is_lower: bool) -> f64 {
    let environment = &case.environments[environment];
    if environment.role == Role::External {
        return EXTERNAL;
    }
    if normal == Axis::X || case.cut == Cut::Horizontal {
        return INTERNAL_HORIZONTAL;
    }
    let temperatures = || case.environments.iter().map(|environment| environment.temperature);
    let highest = temperatures().fold(f64::NEG_INFINITY, f64::max);
    let lowest = temperatures().fold(f64::INFINITY, f64::min);
    let gives_off_heat = environment.temperature > f64::midpoint(highest, lowest);
    // Solid below a warm room: heat goes down into it. Solid above: up.
    if gives_off_heat == solid_is_lower { INTERNAL_DOWNWARDS } else { INTERNAL_UPWARDS }
}
