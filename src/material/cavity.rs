//! Air cavities as materials of equivalent conductivity, λ = d/R, R = 1/(h_a + h_r).
//!
//! ```text
//! h_r = 4·σ·T³·E·F        1/E = 1/ε1 + 1/ε2 − 1        F = (1 + √(1 + (d/b)²) − d/b)/2
//!
//! frames (ISO 10077-2:2017, 6.4)      h_a = max(0.025/d, 0.73·ΔT^⅓)   b ≥ 5 mm, else 0.025/d
//! building parts (ISO 6946:2017, annex D)   h_a = max(0.025/d, X)     X = 1.25 horizontal, 1.95 up, 0.12·d^−0.44 down
//! ```
//!
//! d is the cavity's size along the heat flow, b across it, T its mean temperature and ΔT the largest difference over its surfaces. A cavity
//! that is no rectangle counts as the one of equal area and equal ratio of sides. A slit to outside of 2 to 10 mm doubles λ. From memory
//! of the standards; tests check it against published values.

use crate::element::build_up::HeatFlow;

/// Stefan–Boltzmann constant, W/(m²K⁴).
const STEFAN_BOLTZMANN: f64 = 5.67e-8;
/// Conductivity of still air, W/(m·K).
const STILL_AIR: f64 = 0.025;
/// 0 °C in K.
const ZERO: f64 = 273.15;
/// Cavities narrower than this across the heat flow (m) have no convection.
const NARROW: f64 = 0.005;
/// A slit up to this width (m) ventilates nothing.
pub const CLOSED_SLIT: f64 = 0.002;
/// A slit wider than this (m) makes the cavity outside air.
pub const WIDEST_SLIT: f64 = 0.010;

/// By which standard a cavity is treated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// ISO 10077-2: frames of windows and doors.
    Frame,
    /// ISO 6946: voids and layers of building parts.
    Building,
}

impl Method {
    /// The word used in case files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Frame => "frame",
            Self::Building => "building",
        }
    }

    /// For readers.
    pub fn standard(self) -> &'static str {
        match self {
            Self::Frame => "ISO 10077-2",
            Self::Building => "ISO 6946",
        }
    }
}

/// A cavity as described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cavity {
    /// By which standard.
    pub method: Method,
    /// Emissivities of the two sides that face each other along the heat flow.
    pub emissivity: [f64; 2],
    /// Width of the slit that connects it to outside, m.
    pub slit: f64,
}

/// What the field says of a cavity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Size of the equivalent rectangle along the heat flow, m.
    pub depth: f64,
    /// The same across it, m.
    pub width: f64,
    /// Direction of the heat flow.
    pub heat_flow: HeatFlow,
    /// °C.
    pub mean_temperature: f64,
    /// K.
    pub difference: f64,
}

/// Temperature and difference taken where nothing better is known.
pub const MEAN_TEMPERATURE: f64 = 10.0;
/// K.
pub const DIFFERENCE: f64 = 10.0;

/// Equivalent conductivity of a cavity, W/(m·K).
pub fn conductivity(cavity: &Cavity, state: &State) -> f64 {
    let State { depth, width, .. } = *state;
    let still = STILL_AIR / depth;
    let convective = match cavity.method {
        Method::Frame if width < NARROW => still,
        Method::Frame => still.max(0.73 * state.difference.max(0.0).cbrt()),
        Method::Building => still.max(match state.heat_flow {
            HeatFlow::Horizontal => 1.25,
            HeatFlow::Up => 1.95,
            HeatFlow::Down => 0.12 * depth.powf(-0.44),
        }),
    };
    let [first, second] = cavity.emissivity;
    let exchange = 1.0 / (1.0 / first + 1.0 / second - 1.0);
    let ratio = depth / width;
    let view = 0.5 * (1.0 + (1.0 + ratio * ratio).sqrt() - ratio);
    let radiative = 4.0 * STEFAN_BOLTZMANN * (state.mean_temperature + ZERO).powi(3) * exchange * view;
    let closed = depth * (convective + radiative);
    if cavity.slit > CLOSED_SLIT { 2.0 * closed } else { closed }
}

/// Sides (x, y) of the rectangle of the given area whose sides have the ratio of those of the circumscribed one, m.
pub fn equivalent_rectangle(area: f64, circumscribed: [f64; 2]) -> [f64; 2] {
    let [x, y] = circumscribed;
    let scale = (area / (x * y)).sqrt();
    [x * scale, y * scale]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Acta Polytechnica Hungarica 11(8), 2014, quotes the standard's constants for 10 K and 283 K (C3 1.57, C4 2.11); the values follow
    /// from them by an independent calculation: d × b in mm, R, λ.
    #[test]
    fn frame_cavities_match_the_published_constants() {
        let cavity = Cavity { method: Method::Frame, emissivity: [0.9, 0.9], slit: 0.0 };
        let table = [
            (20.0, 20.0, 0.2196, 0.0911),
            (20.0, 40.0, 0.2006, 0.0997),
            (40.0, 20.0, 0.2393, 0.1671),
            (10.0, 50.0, 0.1577, 0.0634),
            (5.0, 5.0, 0.1253, 0.0399),
        ];
        for (depth, width, resistance, printed) in table {
            let state = State {
                depth: depth * 1e-3,
                width: width * 1e-3,
                heat_flow: HeatFlow::Horizontal,
                mean_temperature: 9.85,
                difference: DIFFERENCE,
            };
            let lambda = conductivity(&cavity, &state);
            assert!((lambda / printed - 1.0).abs() < 4e-3, "{depth} × {width}: {lambda} for {printed}");
            assert!((depth * 1e-3 / lambda / resistance - 1.0).abs() < 4e-3);
            assert_eq!(conductivity(&Cavity { slit: 0.005, ..cavity }, &state), 2.0 * lambda);
        }
    }

    /// A wide cavity of a building part is an air layer of ISO 6946, Table 8: 25 mm, 0.18 horizontal, 0.16 up, 0.19 down.
    #[test]
    fn wide_cavities_are_air_layers() {
        let cavity = Cavity { method: Method::Building, emissivity: [0.9, 0.9], slit: 0.0 };
        for (heat_flow, printed) in [(HeatFlow::Horizontal, 0.18), (HeatFlow::Up, 0.16), (HeatFlow::Down, 0.19)] {
            let state = State { depth: 0.025, width: 10.0, heat_flow, mean_temperature: 10.0, difference: 5.0 };
            let resistance = 0.025 / conductivity(&cavity, &state);
            assert!((resistance - printed).abs() < 0.006, "{heat_flow:?}: {resistance}");
        }
    }

    #[test]
    fn the_equivalent_rectangle_keeps_area_and_ratio() {
        let [x, y] = equivalent_rectangle(0.0006, [0.04, 0.02]);
        assert!((x * y - 0.0006).abs() < 1e-15 && (x / y - 2.0).abs() < 1e-12);
    }
}
