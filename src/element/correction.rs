//! Corrections of the thermal transmittance (ISO 6946:2017, Annex F): U_c = U + ΔU_g + ΔU_f + ΔU_r.
//!
//! ```text
//! air gaps            ΔU_g = ΔU''·(R1/R)²              ΔU'' = 0, 0.01, 0.04 W/(m²K) for levels 0, 1, 2
//! fasteners           ΔU_f = 0.8·λ_f·A_f·n_f/d0·(R1/R)²
//!                     ΔU_f = n_f·χ                     where the point transmittance is known
//! inverted roofs      ΔU_r = p·f·x·(R1/R)²
//! ```
//!
//! R1 is the resistance of the layer concerned, R that of the whole element without bridges, d0 the layer's
//! thickness.
//!
//! **Recessed fasteners.** The standard's formula is α·λ_f·A_f·n_f/d·(R1/R)² with α = 0.8·d1/d0, d1 the
//! length of fastener in the layer. It is remembered with d1 and with d0 for d, and with R1 of the whole
//! layer and of the part d1 alone; no source at hand decides. The largest reading is used, d1 for d and R1 of
//! the whole layer, by which a recess changes nothing; the least is d0 for d and R1 of the part d1, smaller
//! by (d1/d0)³. [`Correction::least`] holds it for the reader.
//!
//! No correction where the fastener's conductivity is below 1 W/(m·K), nor in air layers. The sum
//! may be left out where it is below 3 % of U (7.1). Clauses and constants are from memory of the standard.

use super::build_up::{Body, BuildUp, Fixing, Layer};
use super::resistance::{self, Total};

/// Below this share of U the standard lets corrections go.
pub const NEGLIGIBLE: f64 = 0.03;
/// Fasteners that conduct worse than this (W/(m·K)) need no correction.
pub const LEAST_CONDUCTIVITY: f64 = 1.0;

/// What a correction is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// Gaps in or behind insulation.
    AirGaps,
    /// Mechanical fasteners.
    Fixings,
    /// Rainwater under inverted-roof insulation.
    Rain,
}

/// An addition to U.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// What for.
    pub cause: Cause,
    /// Index of the layer concerned.
    pub layer: usize,
    /// W/(m²K).
    pub value: f64,
    /// The least other reading of the rule, W/(m²K), where it can be read in several ways.
    pub least: Option<f64>,
}

/// U with its corrections.
#[derive(Clone, Debug, PartialEq)]
pub struct Corrected {
    /// Each correction.
    pub corrections: Vec<Correction>,
    /// Their sum, W/(m²K).
    pub sum: f64,
    /// True if the sum is below 3 % of U and therefore not added.
    pub is_negligible: bool,
    /// The final thermal transmittance, W/(m²K).
    pub u_value: f64,
}

impl Corrected {
    /// U if one of the corrections had another value, W/(m²K); `plain` is U without any.
    pub fn with(&self, layer: usize, cause: Cause, value: f64, plain: f64) -> f64 {
        let of =
            |item: &Correction| if (item.layer, item.cause) == (layer, cause) { value } else { item.value };
        applied(plain, self.corrections.iter().map(of).sum()).1
    }
}

/// Whether a sum of corrections is negligible, and U with it.
fn applied(plain: f64, sum: f64) -> (bool, f64) {
    let is_negligible = sum < NEGLIGIBLE * plain;
    (is_negligible, if is_negligible { plain } else { plain + sum })
}

/// Corrects the U-value of a build-up whose total resistance is known.
pub fn corrected(build_up: &BuildUp, total: &Total) -> Corrected {
    let whole = resistance::unbridged(build_up);
    let corrections: Vec<Correction> = build_up.layers[..total.layers]
        .iter()
        .enumerate()
        .flat_map(|(index, layer)| {
            let share = (layer.body_resistance(build_up.heat_flow) / whole).powi(2);
            let gaps = [0.0, 0.01, 0.04][usize::from(layer.air_gaps.min(2))] * share;
            let rain = layer.rain.map_or(0.0, |rain| rain.precipitation * rain.drainage * share);
            [(Cause::AirGaps, gaps), (Cause::Fixings, fixings(layer, share)), (Cause::Rain, rain)]
                .into_iter()
                .filter(|(_, value)| *value > 0.0)
                .map(move |(cause, value)| {
                    let recess = (cause == Cause::Fixings).then(|| recess(layer)).flatten();
                    Correction { cause, layer: index, value, least: recess.map(|part| value * part.powi(3)) }
                })
        })
        .collect();
    let sum = corrections.iter().map(|correction| correction.value).sum::<f64>();
    let (is_negligible, u_value) = applied(total.u_value(), sum);
    Corrected { corrections, sum, is_negligible, u_value }
}

fn fixings(layer: &Layer, share: f64) -> f64 {
    let Some(fixings) = layer.fixings else { return 0.0 };
    match fixings.each {
        Fixing::Point(transmittance) => fixings.number * transmittance,
        Fixing::Rod { conductivity, .. }
            if conductivity < LEAST_CONDUCTIVITY || matches!(layer.body, Body::Air(_)) =>
        {
            0.0
        }
        Fixing::Rod { conductivity, cross_section, .. } => {
            0.8 * conductivity * cross_section * fixings.number / layer.thickness * share
        }
    }
}

/// The part of the layer that a recessed fastener passes through, below 1.
fn recess(layer: &Layer) -> Option<f64> {
    match layer.fixings?.each {
        Fixing::Rod { length, .. } if length < layer.thickness => Some(length / layer.thickness),
        _ => None,
    }
}
