//! Air cavities as materials of equivalent conductivity, λ = d/R, R = 1/(h_a + h_r).
//!
//! ```text
//! frames (ISO 10077-2:2017, 6.4)
//!     h_a = max(0.025/d, 0.73·ΔT^⅓)   b ≥ 5 mm, else 0.025/d
//!     h_r = h_r0·F/(1/ε1 + 1/ε2 − 1)                              F = (1 + √(1 + (d/b)²) − d/b)/2
//! building parts (ISO 6946:2017, annex D)
//!     h_a, h_r as `air` has them
//! h_r0 = 4·σ·T³
//! ```
//!
//! d is the cavity's size along the heat flow, b across it, T its mean temperature. ΔT is the largest
//! difference over its surfaces in a frame and the difference across it, from face to face on average, in a
//! building part: the ends of a long gap see other temperatures, but what convects is what lies opposite. A
//! piece of air that is no rectangle (`plan/gaps.rs` tells the pieces) counts as the one of equal area and
//! equal ratio of sides. A slit to outside of 2 to 10 mm doubles λ.
//!
//! The formula for frames is from memory and checked against published constants.

use super::{Material, Origin, air};
use crate::standard::HeatFlow;

/// Stefan–Boltzmann constant, W/(m²K⁴).
const STEFAN_BOLTZMANN: f64 = 5.67e-8;
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

    /// How many times its thickness a gap is long at least, so that it is cut at its bends.
    ///
    /// ISO 6946 says nothing of bent voids. Where two arms of equal thickness stick out of the corner by
    /// twice that thickness, the rectangle of equal area and ratio is 2.2 times as deep as the gap and
    /// conducts far too well. ISO 10077-2 asks for that rectangle whatever the shape, so a frame's cavity is
    /// cut only where it is a gap beyond any doubt.
    pub fn long(self) -> f64 {
        match self {
            Self::Frame => 5.0,
            Self::Building => 2.0,
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

/// The material that stands for a cavity; its conductivity is a first value, the solution gives the one that
/// is used.
pub fn material(number: &str, cavity: &Cavity) -> Material {
    let standard = cavity.method.standard();
    Material {
        label: format!("Air cavity {number} ({standard})"),
        source: format!("equivalent by {standard}, from its size and temperatures"),
        origin: Origin::Equivalent,
        ..Material::homogeneous(&format!("cavity {number}"), 0.1)
    }
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
    /// K: in a frame the largest over its surfaces, in a building part from face to face.
    pub difference: f64,
}

/// Temperature and difference taken where nothing better is known.
pub const MEAN_TEMPERATURE: f64 = 10.0;
/// K.
pub const DIFFERENCE: f64 = 10.0;

/// Equivalent conductivity of a cavity, W/(m·K).
pub fn conductivity(cavity: &Cavity, state: &State) -> f64 {
    let State { depth, width, .. } = *state;
    let difference = state.difference.max(0.0);
    let [first, second] = cavity.emissivity;
    let black = 4.0 * STEFAN_BOLTZMANN * (state.mean_temperature + ZERO).powi(3);
    let (convective, radiative) = match cavity.method {
        Method::Frame => {
            let still = air::STILL / depth;
            let convective = if width < NARROW { still } else { still.max(0.73 * libm::cbrt(difference)) };
            (convective, black * air::view(depth, width) / (1.0 / first + 1.0 / second - 1.0))
        }
        Method::Building => {
            let convective = air::convection(depth, state.heat_flow, difference);
            (convective, black * air::exchange(cavity.emissivity, depth, width))
        }
    };
    let closed = depth * (convective + radiative);
    if cavity.slit > CLOSED_SLIT { 2.0 * closed } else { closed }
}

/// Sides (x, y) of the rectangle of the given area whose sides have the ratio of those of the circumscribed
/// one, m.
pub fn equivalent_rectangle(area: f64, circumscribed: [f64; 2]) -> [f64; 2] {
    let [x, y] = circumscribed;
    let scale = (area / (x * y)).sqrt();
    [x * scale, y * scale]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Acta Polytechnica Hungarica 11(8), 2014, quotes the standard's constants for 10 K and 283 K (C3 1.57,
    /// C4 2.11); the values follow from them by an independent calculation: d × b in mm, R, λ.
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

    /// Narrower than 5 mm no air moves, whatever the depth: h_a = 0.025/d and radiation of 30 × 4 mm, by an
    /// independent calculation (with convection 0.1145).
    #[test]
    fn narrow_frame_cavities_only_conduct_and_radiate() {
        let cavity = Cavity { method: Method::Frame, emissivity: [0.9, 0.9], slit: 0.0 };
        let heat_flow = HeatFlow::Horizontal;
        let state =
            State { depth: 0.03, width: 0.004, heat_flow, mean_temperature: 9.85, difference: DIFFERENCE };
        let lambda = conductivity(&cavity, &state);
        assert!((lambda - 0.0923).abs() < 2e-4, "{lambda}");
    }

    /// A wide cavity of a building part is an air layer: ISO 6946, table of unventilated layers with surfaces
    /// of high emissivity, mm, upward, horizontal and downward heat flow.
    #[test]
    fn wide_cavities_are_air_layers() {
        let cavity = Cavity { method: Method::Building, emissivity: [0.9, 0.9], slit: 0.0 };
        for (depth, printed) in crate::material::air::PRINTED {
            for (heat_flow, printed) in
                [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down].into_iter().zip(printed)
            {
                let state = State {
                    depth: depth * 1e-3,
                    width: 100.0,
                    heat_flow,
                    mean_temperature: 10.0,
                    difference: 4.0,
                };
                let resistance = state.depth / conductivity(&cavity, &state);
                assert!((resistance - printed).abs() < 0.0055, "{depth} mm, {heat_flow:?}: {resistance}");
            }
        }
    }

    /// R of small airspaces and above 5 K by an independent calculation from the constants of ISO 6946:2017,
    /// annex D (transcribed; the one for downward flow above 5 K from memory), at 10 °C: d × b in mm,
    /// emissivities, difference in K; up, horizontal, down.
    #[test]
    fn small_airspaces_match_the_published_constants() {
        let table = [
            (50.0, 50.0, [0.9, 0.9], 4.0, [0.1962, 0.2275, 0.2743]),
            (100.0, 50.0, [0.9, 0.9], 4.0, [0.2106, 0.2470, 0.3197]),
            (20.0, 60.0, [0.9, 0.2], 3.0, [0.3417, 0.4492, 0.4492]),
            (50.0, 2000.0, [0.9, 0.9], 12.0, [0.1466, 0.1700, 0.2106]),
            (100.0, 100.0, [0.9, 0.05], 20.0, [0.2989, 0.4480, 1.4601]),
            (8.0, 300.0, [0.9, 0.9], 15.0, [0.1363, 0.1363, 0.1363]),
        ];
        for (depth, width, emissivity, difference, printed) in table {
            for (heat_flow, printed) in
                [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down].into_iter().zip(printed)
            {
                let cavity = Cavity { method: Method::Building, emissivity, slit: 0.0 };
                let (depth, width) = (depth * 1e-3, width * 1e-3);
                let state = State { depth, width, heat_flow, mean_temperature: 10.0, difference };
                let resistance = depth / conductivity(&cavity, &state);
                assert!(
                    (resistance - printed).abs() < 6e-5,
                    "{depth} × {width}, {difference} K, {heat_flow:?}: {resistance}"
                );
            }
        }
    }

    /// The two rows of constants meet without a jump, and more difference never convects less.
    #[test]
    fn convection_does_not_jump() {
        let cavity = Cavity { method: Method::Building, emissivity: [0.05, 0.05], slit: 0.0 };
        for heat_flow in [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down] {
            let of = |difference: f64| {
                conductivity(
                    &cavity,
                    &State { depth: 0.1, width: 1.0, heat_flow, mean_temperature: 10.0, difference },
                )
            };
            for step in 0..2_000 {
                let (here, next) = (of(f64::from(step) * 0.01), of(f64::from(step + 1) * 0.01));
                assert!((0.0..0.002).contains(&(next / here - 1.0)), "{heat_flow:?} {step}: {here} {next}");
            }
        }
    }

    #[test]
    fn the_equivalent_rectangle_keeps_area_and_ratio() {
        let [x, y] = equivalent_rectangle(0.0006, [0.04, 0.02]);
        assert!((x * y - 0.0006).abs() < 1e-15 && (x / y - 2.0).abs() < 1e-12);
    }
}
