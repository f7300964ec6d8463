//! The thermal resistance of an air layer (ISO 6946:2017, 6.9 and Annex D).
//!
//! ```text
//! R = 1/(h_a + E·h_r0)     h_a and E as [`air`] has them for up to 5 K, d ≤ 0.3 m across the heat flow
//! ```
//!
//! h_r0 is 5.1 W/(m²K), the standard's value at 10 °C (from memory). With two emissivities of 0.9 this gives
//! its table of unventilated layers.

use crate::material::air::{self, CLOSED_OPENINGS, WIDE_OPENINGS};
use crate::standard::HeatFlow;

/// Black-body radiative coefficient at 10 °C, W/(m²K).
const RADIATIVE: f64 = 5.1;
/// The constants hold up to this temperature difference across the layer, K.
pub const LARGEST_DIFFERENCE: f64 = 5.0;

/// How much outside air passes through an air layer (ISO 6946:2017, 6.9).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ventilation {
    /// Openings up to 500 mm² per metre of length (upright) or per square metre (level).
    None,
    /// Openings of this many mm² per metre or square metre, between 500 and 1500.
    Slight(f64),
    /// Openings from 1500: outside air. The layer and everything beyond it count for nothing.
    Well,
}

impl Ventilation {
    /// The class for an area of openings, mm² per metre (upright layers) or per square metre (level ones).
    pub fn of_openings(openings: f64) -> Self {
        if openings <= CLOSED_OPENINGS {
            Self::None
        } else if openings < WIDE_OPENINGS {
            Self::Slight(openings)
        } else {
            Self::Well
        }
    }

    /// The weight of the well-ventilated layer in the total, 0 to 1: (A_v − 500)/1000.
    pub fn open_share(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Slight(openings) => (openings - CLOSED_OPENINGS) / (WIDE_OPENINGS - CLOSED_OPENINGS),
            Self::Well => 1.0,
        }
    }
}

/// An air layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirLayer {
    /// Emissivities of the two faces, 0 to 1.
    pub emissivity: [f64; 2],
    /// How it is ventilated.
    pub ventilation: Ventilation,
}

impl AirLayer {
    /// Thermal resistance of the layer when unventilated, m²K/W, at a thickness in m; `width` (m) between
    /// what bounds it sideways.
    pub fn resistance(&self, thickness: f64, width: f64, heat_flow: HeatFlow) -> f64 {
        let convective = air::convection(thickness, heat_flow, 0.0);
        1.0 / (convective + air::exchange(self.emissivity, thickness, width) * RADIATIVE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::air::PRINTED;

    const ORDINARY: AirLayer = AirLayer { emissivity: [0.9, 0.9], ventilation: Ventilation::None };

    /// ISO 6946:2017, Table 8 (unventilated air layers with high emissivity), printed to two decimals.
    #[test]
    fn ordinary_layers_match_the_standards_table() {
        for (thickness, printed) in PRINTED {
            for (heat_flow, printed) in
                [HeatFlow::Up, HeatFlow::Horizontal, HeatFlow::Down].into_iter().zip(printed)
            {
                let resistance = ORDINARY.resistance(thickness * 1e-3, f64::INFINITY, heat_flow);
                assert!(
                    (resistance - printed).abs() <= 0.005 + 1e-3,
                    "{thickness} mm {heat_flow:?}: {resistance}"
                );
            }
        }
    }

    /// One face of emissivity 0.2, at least 25 mm: 0.44 horizontal, 0.34 upwards, 0.50 downwards (BR
    /// 443:2019, 4.7.2).
    #[test]
    fn a_face_of_low_emissivity_matches_the_published_values() {
        let layer = AirLayer { emissivity: [0.2, 0.9], ..ORDINARY };
        for (heat_flow, printed) in
            [(HeatFlow::Horizontal, 0.44), (HeatFlow::Up, 0.34), (HeatFlow::Down, 0.50)]
        {
            let resistance = layer.resistance(0.025, f64::INFINITY, heat_flow);
            assert!((resistance - printed).abs() < 0.0055, "{heat_flow:?}: {resistance}");
        }
    }

    /// The form of D.4 worked by hand: 200 mm deep and 355 wide, d/b 0.56338, √(1 + d²/b²) 1.14778, 2/(1 −
    /// 0.56338 + 1.14778) = 1.26231, h_r = 5.1/(2/0.9 − 2 + 1.26231) = 3.43543; R = 1/(1.25 + 3.43543). From
    /// a width of 2 m on it is an ordinary layer.
    #[test]
    fn small_airspaces_radiate_less() {
        let resistance = |width: f64| ORDINARY.resistance(0.2, width, HeatFlow::Horizontal);
        assert!((resistance(0.355) - 0.213_428).abs() < 2e-6, "{}", resistance(0.355));
        assert_eq!(resistance(2.0), resistance(f64::INFINITY));
    }

    #[test]
    fn openings_decide_the_class() {
        assert_eq!(Ventilation::of_openings(500.0), Ventilation::None);
        assert_eq!(Ventilation::of_openings(900.0), Ventilation::Slight(900.0));
        assert_eq!(Ventilation::of_openings(1500.0), Ventilation::Well);
    }
}
