//! Total thermal resistance of a plane element by the combined method (ISO 6946:2017, 6.7).
//!
//! ```text
//! upper limit   1/R' = Σ f_p/R_p            over every path p straight through (faces between paths adiabatic)
//! lower limit   R''  = Rsi + Σ R_j + Rse    1/R_j = Σ f/R over the parts of layer j (faces between layers isothermal)
//! R = (R' + R'')/2                          largest relative error  e = (R' − R'')/(2·R)
//! ```
//!
//! Patterns of several layers are taken as independent: a path's share is the product of its parts' shares. A
//! well-ventilated air layer and everything beyond it are left out and the outer surface resistance becomes
//! that of a still surface (6.9.4); a slightly ventilated one gives a value between that and the unventilated
//! one, linear in the area A_v of its openings (6.9.3):
//!
//! ```text
//! R = ((1500 − A_v)·R_u + (A_v − 500)·R_v)/1000
//! ```
//!
//! R_v is the resistance with the element ending at the layer, R_u the one with the layer closed and
//! everything beyond it as it is. So where several layers are ventilated, R_u is itself that of an element
//! whose outer layers are ventilated: the sum runs from the outermost inwards, and an element never extends
//! beyond a well-ventilated layer. R_v is taken no higher than R_u: by the rule alone, opening a layer of a
//! millimetre with nothing outside of it would insulate, since still air resists more than wind does.
//!
//! The rule for slightly ventilated layers is confirmed by a quotation of ISO 6946:2017; other clauses and
//! constants are from memory of it.

use super::build_up::{Body, BuildUp, Layer};

/// The combined method is not to be used beyond this ratio of the limits (6.7.2.1).
pub const LARGEST_RATIO: f64 = 1.5;

/// Total thermal resistance, with all that led to it; m²K/W.
#[derive(Clone, Debug, PartialEq)]
pub struct Total {
    /// Share of the area and total resistance of each path straight through, surfaces included.
    pub paths: Vec<(f64, f64)>,
    /// R'.
    pub upper: f64,
    /// R''.
    pub lower: f64,
    /// Total thermal resistance.
    pub resistance: f64,
    /// Number of layers that count, from inside.
    pub layers: usize,
    /// The surface resistances used, inside and outside.
    pub surfaces: [f64; 2],
    /// The slightly ventilated air layers that count, from inside.
    pub ventilation: Vec<SlightlyVentilated>,
    /// Index of a ventilated layer that counts as closed, since opening it would not lower the resistance.
    pub counted_as_closed: Option<usize>,
}

/// A slightly ventilated air layer in the total; m²K/W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlightlyVentilated {
    /// Index of the layer.
    pub layer: usize,
    /// R_u: the element with this layer closed.
    pub closed: f64,
    /// R_v: the element that ends at this layer.
    pub open: f64,
}

impl Total {
    /// The largest relative error of the combined method, 0 to 1.
    pub fn largest_error(&self) -> f64 {
        (self.upper - self.lower) / (self.upper + self.lower)
    }

    /// W/(m²K), before corrections.
    pub fn u_value(&self) -> f64 {
        1.0 / self.resistance
    }

    /// True if the limits are so far apart that the method is not meant to be used.
    pub fn is_beyond_method(&self) -> bool {
        self.upper / self.lower > LARGEST_RATIO
    }
}

/// Resistances of the layers of a build-up, m²K/W. Those of bridged layers are scaled so that the sum is the
/// total resistance of the combined method, surfaces counted.
pub fn layers(build_up: &BuildUp) -> Vec<f64> {
    let total = total(build_up);
    let mean = |layer: &Layer| layer.mean_resistance(build_up.heat_flow);
    let bridged: f64 = build_up.layers.iter().filter(|layer| layer.bridge.is_some()).map(mean).sum();
    let scale = if bridged > 0.0 { 1.0 + (total.resistance - total.lower) / bridged } else { 1.0 };
    build_up
        .layers
        .iter()
        .map(|layer| mean(layer) * if layer.bridge.is_some() { scale } else { 1.0 })
        .collect()
}

/// The total thermal resistance of a build-up.
pub fn total(build_up: &BuildUp) -> Total {
    let [inside, _] = build_up.surfaces;
    let still = build_up.heat_flow.internal_resistance();
    let mut total = combined(build_up, build_up.layers.len(), build_up.surfaces);
    for (index, layer) in build_up.layers.iter().enumerate().rev() {
        let Body::Air(air) = &layer.body else { continue };
        let share = air.ventilation.open_share();
        if share == 0.0 {
            continue;
        }
        let sheltered = combined(build_up, index, [inside, still]);
        let (closed, open) = (total.resistance, sheltered.resistance);
        if open >= closed {
            total.counted_as_closed = Some(index);
        } else if share == 1.0 {
            total = sheltered;
        } else {
            total.resistance = (1.0 - share) * closed + share * open;
            total.ventilation.insert(0, SlightlyVentilated { layer: index, closed, open });
        }
    }
    total
}

/// The combined method over the first `count` layers.
fn combined(build_up: &BuildUp, count: usize, surfaces: [f64; 2]) -> Total {
    let layers = &build_up.layers[..count];
    let films = surfaces[0] + surfaces[1];
    let mut paths = vec![(1.0, films)];
    for layer in layers {
        let parts = layer.paths(build_up.heat_flow);
        paths = paths
            .iter()
            .flat_map(|(share, sum)| {
                parts.iter().map(move |(fraction, resistance)| (share * fraction, sum + resistance))
            })
            .collect();
    }
    let upper = 1.0 / paths.iter().map(|(share, resistance)| share / resistance).sum::<f64>();
    let lower = films + layers.iter().map(|layer| layer.mean_resistance(build_up.heat_flow)).sum::<f64>();
    Total {
        resistance: f64::midpoint(upper, lower),
        paths,
        upper,
        lower,
        layers: count,
        surfaces,
        ventilation: Vec::new(),
        counted_as_closed: None,
    }
}

/// Total resistance of a build-up as if nothing bridged it, m²K/W: what corrections refer to.
pub fn unbridged(build_up: &BuildUp) -> f64 {
    let plain = |layer: &Layer| Layer { bridge: None, ..layer.clone() };
    total(&BuildUp { layers: build_up.layers.iter().map(plain).collect(), ..build_up.clone() }).resistance
}

/// A value rounded to two significant figures, as the standard presents U (ISO 6946:2017, 6.1).
pub fn two_figures(value: f64) -> String {
    if !(value > 0.0 && value.is_finite()) {
        return value.to_string();
    }
    let decimals = |value: f64| (1 - libm::log10(value).floor() as i32).max(0) as usize;
    let text = format!("{value:.*}", decimals(value));
    // 0.0996 rounds to 0.10, which has two figures with one decimal less.
    let rounded: f64 = text.parse().unwrap_or(value);
    format!("{rounded:.*}", decimals(rounded))
}
