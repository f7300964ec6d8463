//! Outside and inside air month by month, for the checks of ISO 13788:2012.
//!
//! ```text
//! p_i = (φ_i + 0.05)·p_sat(θ_i)            a fixed indoor humidity, with the standard's margin
//!     = p_e + s·Δp                         humidity classes: Δp = 270, 540, 810, 1080 Pa for θ_e ≤ 0 °C, falling to 0 at 20 °C
//!     = p_e + s·G·R_v·T_i/V                moisture production G and ventilation V
//! ```
//!
//! The pressure differences are the upper limits of classes 1 to 4 (annex A), s the safety factor of 1.10,
//! the margin on a fixed humidity 0.05; all from memory (a quotation of the 2001 edition agrees with factor
//! and margin). A single design condition has no margin: codes that state one, as 20 °C and 50 %, mean that
//! humidity as it stands.

pub mod humid_air;

use humid_air::saturation_pressure;

/// Gas constant of water vapour, J/(kg·K).
const VAPOUR_GAS_CONSTANT: f64 = 462.0;
/// Vapour pressure excess of the humidity classes at 0 °C outside, Pa.
const HUMIDITY_CLASSES: [f64; 4] = [270.0, 540.0, 810.0, 1080.0];
/// The safety factor on the excess of indoor vapour pressure.
pub const SAFETY: f64 = 1.10;
/// The margin on a fixed indoor humidity.
pub const MARGIN: f64 = 0.05;
/// Names of the months.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
/// Their lengths in days.
pub const DAYS: [f64; 12] = [31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// A year of monthly means, and the air inside.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    /// The place.
    pub name: String,
    /// Where the values come from.
    pub source: String,
    /// January to December.
    pub months: [Month; 12],
    /// The air inside, where the file describes it.
    pub indoor: Option<Indoor>,
}

/// Mean outdoor air of a month.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Month {
    /// °C.
    pub temperature: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
}

/// The air inside, all year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Indoor {
    /// °C.
    pub temperature: f64,
    /// Its moisture.
    pub moisture: Moisture,
}

/// What decides the moisture of indoor air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moisture {
    /// A fixed relative humidity, 0 to 1, as stated: [`MARGIN`] comes on top.
    Humidity(f64),
    /// A humidity class, 1 to 4.
    Class(u8),
    /// Production and removal by ventilation.
    Production {
        /// kg/h.
        rate: f64,
        /// Flow of outdoor air, m³/h.
        ventilation: f64,
    },
}

impl Month {
    /// Vapour pressure, Pa.
    pub fn pressure(&self) -> f64 {
        self.humidity * saturation_pressure(self.temperature)
    }
}

impl Indoor {
    /// Vapour pressure inside in a month, Pa; never above saturation.
    pub fn pressure(&self, month: &Month) -> f64 {
        let saturated = saturation_pressure(self.temperature);
        let pressure = match self.moisture {
            Moisture::Humidity(humidity) => (humidity + MARGIN) * saturated,
            Moisture::Class(class) => {
                let at_zero = HUMIDITY_CLASSES[usize::from(class.clamp(1, 4)) - 1];
                month.pressure() + SAFETY * at_zero * (1.0 - month.temperature / 20.0).clamp(0.0, 1.0)
            }
            Moisture::Production { rate, ventilation } => {
                let excess = rate / ventilation * VAPOUR_GAS_CONSTANT * (self.temperature + 273.15);
                month.pressure() + SAFETY * excess
            }
        };
        pressure.min(saturated)
    }

    /// In words.
    pub fn description(&self) -> String {
        let moisture = match self.moisture {
            Moisture::Humidity(humidity) if humidity + MARGIN > 1.0 => {
                format!(
                    "{} % relative humidity, taken as saturated with the standard's margin",
                    percent(humidity)
                )
            }
            Moisture::Humidity(humidity) => {
                let (stated, margin) = (percent(humidity), percent(MARGIN));
                format!(
                    "{stated} % relative humidity, {} % with the standard's margin of {margin} %",
                    percent(humidity + MARGIN)
                )
            }
            Moisture::Class(class) => format!("humidity class {class}, excess × {SAFETY:.2}"),
            Moisture::Production { rate, ventilation } => {
                format!("{rate} kg/h of moisture and {ventilation} m³/h of outdoor air, excess × {SAFETY:.2}")
            }
        };
        format!("{} °C, {moisture}", self.temperature)
    }
}

/// A relative humidity of 0 to 1 in %, to a tenth where it is not whole.
fn percent(humidity: f64) -> String {
    format!("{}", (humidity * 1e3).round() / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// January of the example of ISO 13788:2001 (climate from memory of it; values by an independent
    /// calculation): 2.8 °C, 92 %, class 3.
    #[test]
    fn humidity_class_three_in_january() {
        let month = Month { temperature: 2.8, humidity: 0.92 };
        let indoor = Indoor { temperature: 20.0, moisture: Moisture::Class(3) };
        assert!((month.pressure() - 687.0).abs() < 0.6);
        assert!((indoor.pressure(&month) - 1453.0).abs() < 0.6, "{}", indoor.pressure(&month));
    }

    /// 1 kg/h into 250 m³/h of air at 20 °C adds 4 g/m³, which is 541.7 Pa by the gas law; 10 % more for
    /// safety.
    #[test]
    fn production_follows_the_gas_law() {
        let month = Month { temperature: 0.0, humidity: 0.8 };
        let indoor =
            Indoor { temperature: 20.0, moisture: Moisture::Production { rate: 1.0, ventilation: 250.0 } };
        assert!((indoor.pressure(&month) - month.pressure() - 1.1 * 541.7).abs() < 0.1);
        let warm = Month { temperature: 25.0, humidity: 0.5 };
        assert_eq!(Indoor { moisture: Moisture::Class(4), ..indoor }.pressure(&warm), warm.pressure());
    }

    /// A fixed humidity of 50 % counts as 55 %: 0.55 of 2337 Pa (saturation at 20 °C: ISO 13788:2012, Annex
    /// E, from memory). No humidity is above 100 %.
    #[test]
    fn a_fixed_humidity_has_its_margin_and_says_so() {
        let month = Month { temperature: 0.0, humidity: 0.8 };
        let indoor = |humidity: f64| Indoor { temperature: 20.0, moisture: Moisture::Humidity(humidity) };
        assert!((indoor(0.5).pressure(&month) - 0.55 * 2337.0).abs() < 0.6);
        assert!((indoor(0.97).pressure(&month) - 2337.0).abs() < 1.0);
        assert_eq!(
            indoor(0.5).description(),
            "20 °C, 50 % relative humidity, 55 % with the standard's margin of 5 %"
        );
        assert_eq!(
            indoor(0.97).description(),
            "20 °C, 97 % relative humidity, taken as saturated with the standard's margin"
        );
    }
}
