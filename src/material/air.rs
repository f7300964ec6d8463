//! Heat transfer across air between two parallel faces (ISO 6946:2017, Annex D): the formulas that air layers
//! of build-ups and cavities of plans share.
//!
//! ```text
//! h_a = max(0.025/d, X)   X = 1.25 horizontal, 1.95 up, 0.12·d^−0.44 down, W/(m²K); above 5 K
//!                             0.73·ΔT^⅓        1.14·ΔT^⅓   0.09·ΔT^0.187·d^−0.44
//! h_r = E·h_r0            1/E = 1/ε1 + 1/ε2 − 2 + 1/F     F = (1 + √(1 + (d/b)²) − d/b)/2; 1 from b = 10·d on
//! ```
//!
//! d is the size along the heat flow, b across it, ΔT the difference from face to face. From ten times its
//! depth on an airspace is a layer between two planes; narrower ones, as between joists, exchange less by
//! radiation (D.4).
//!
//! The two rows of X differ where they meet, by 0.1 % for horizontal and upward flow and by 1.3 % for
//! downward. So that nothing jumps there the larger of both is taken; between 4.7 and 5.1 K this is up to 1.3
//! % of h_a more than the standard's.
//!
//! The constants of horizontal and upward flow, 0.025/d and the form for small airspaces are confirmed by a
//! quotation of the standard; 0.09·ΔT^0.187·d^−0.44 is from memory, no source was found for it.

use crate::standard::HeatFlow;

/// Conductivity of still air, W/(m·K).
pub const STILL: f64 = 0.025;
/// Airspaces narrower than this many times their depth are small ones.
const SMALL: f64 = 10.0;
/// Thicker than this (m), an airspace is no layer for the standard: it asks for a balance of the heat flows
/// into it.
pub const THICKEST: f64 = 0.3;
/// ISO 6946: openings up to this, mm² per metre, ventilate nothing.
pub const CLOSED_OPENINGS: f64 = 500.0;
/// From this on, mm² per metre, the air is that outside.
pub const WIDE_OPENINGS: f64 = 1500.0;

/// h_a, W/(m²K), across a depth in m with a difference in K.
pub fn convection(depth: f64, heat_flow: HeatFlow, difference: f64) -> f64 {
    let moving = match heat_flow {
        HeatFlow::Horizontal => f64::max(1.25, 0.73 * libm::cbrt(difference)),
        HeatFlow::Up => f64::max(1.95, 1.14 * libm::cbrt(difference)),
        HeatFlow::Down => f64::max(0.12, 0.09 * libm::pow(difference, 0.187)) * libm::pow(depth, -0.44),
    };
    moving.max(STILL / depth)
}

/// F, from the depth along the heat flow and the width across it, m.
pub fn view(depth: f64, width: f64) -> f64 {
    let ratio = depth / width;
    0.5 * (1.0 + libm::hypot(ratio, 1.0) - ratio)
}

/// E, from the emissivities of both faces, depth and width, m.
pub fn exchange([first, second]: [f64; 2], depth: f64, width: f64) -> f64 {
    let view = if width < SMALL * depth { view(depth, width) } else { 1.0 };
    1.0 / (1.0 / first + 1.0 / second - 2.0 + 1.0 / view)
}

/// ISO 6946:2017, Table 8, unventilated layers with surfaces of high emissivity: mm; m²K/W upward,
/// horizontal, downward.
#[cfg(test)]
pub(crate) const PRINTED: [(f64, [f64; 3]); 8] = include!("../../tests/published/air-layers.txt");
