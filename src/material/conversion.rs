//! From a declared conductivity to a design value: λ2 = λ1·F_T·F_m (ISO 10456:2007, clause 7).
//!
//! ```text
//! F_T = exp(f_T·(T2 − T1))                    temperature
//! F_m = exp(f_ψ·(ψ2 − ψ1))                    moisture by volume, m³/m³
//!     = exp(f_u·(u2 − u1))                    moisture by mass, kg/kg
//! ```
//!
//! The coefficients are those of the standard's annex A, from memory; where it makes f_T depend on λ, the
//! value of the middle of the usual range stands here. For phenolic foam two values are remembered, 0.002 and
//! 0.0053 1/K, and no source at hand decides between them: whichever gives the larger design value is used,
//! the greater when the design temperature is the higher one and the smaller when it is the lower one, and
//! the conversion says what the other would give. The factor for ageing, F_a, is not applied: declared values
//! of foams include ageing already.

/// What moisture is counted by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MoistureContent {
    /// f_ψ, for moisture in m³/m³.
    Volume(f64),
    /// f_u, for moisture in kg/kg.
    Mass(f64),
}

impl MoistureContent {
    /// The unit of moisture.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Volume(_) => "m³/m³",
            Self::Mass(_) => "kg/kg",
        }
    }
}

/// A kind of material with its conversion coefficients.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Class {
    /// The word used in files.
    pub name: &'static str,
    /// f_T, 1/K: the least and the greatest value it may have; equal where it is known.
    pub temperature: [f64; 2],
    /// f_ψ or f_u.
    pub moisture: MoistureContent,
}

/// The kinds known.
pub const CLASSES: &[Class] = &[
    Class { name: "mineral_wool", temperature: [0.0046, 0.0046], moisture: MoistureContent::Volume(4.0) },
    Class {
        name: "expanded_polystyrene",
        temperature: [0.0033, 0.0033],
        moisture: MoistureContent::Volume(4.0),
    },
    Class {
        name: "extruded_polystyrene",
        temperature: [0.0045, 0.0045],
        moisture: MoistureContent::Volume(2.5),
    },
    Class {
        name: "polyurethane_foam",
        temperature: [0.0055, 0.0055],
        moisture: MoistureContent::Volume(6.0),
    },
    Class { name: "phenolic_foam", temperature: [0.002, 0.0053], moisture: MoistureContent::Volume(5.0) },
    Class { name: "cellular_glass", temperature: [0.0037, 0.0037], moisture: MoistureContent::Volume(0.0) },
    Class { name: "cork", temperature: [0.0027, 0.0027], moisture: MoistureContent::Volume(6.0) },
    Class { name: "fired_clay", temperature: [0.001, 0.001], moisture: MoistureContent::Volume(10.0) },
    Class { name: "calcium_silicate", temperature: [0.001, 0.001], moisture: MoistureContent::Volume(10.0) },
    Class { name: "aerated_concrete", temperature: [0.001, 0.001], moisture: MoistureContent::Mass(4.0) },
];

/// Their names.
pub const CLASS_NAMES: [&str; CLASSES.len()] = {
    let mut names = [""; CLASSES.len()];
    let mut index = 0;
    while index < names.len() {
        names[index] = CLASSES[index].name;
        index += 1;
    }
    names
};

/// The class of that name.
pub fn find(name: &str) -> Option<Class> {
    CLASSES.iter().copied().find(|class| class.name == name)
}

/// The factors F_T and F_m from a temperature (°C) and moisture content to others; the careful one where f_T
/// is uncertain.
pub fn factors(class: Class, temperature: [f64; 2], moisture: [f64; 2]) -> [f64; 2] {
    let coefficient = match class.moisture {
        MoistureContent::Volume(coefficient) | MoistureContent::Mass(coefficient) => coefficient,
    };
    let [one, other] = class.temperature.map(|coefficient| factor(coefficient, temperature));
    [one.max(other), factor(coefficient, moisture)]
}

/// F_T with the other value of an uncertain f_T.
pub fn other_temperature_factor(class: Class, temperature: [f64; 2]) -> Option<f64> {
    let [one, other] = class.temperature.map(|coefficient| factor(coefficient, temperature));
    (one != other).then(|| one.min(other))
}

fn factor(coefficient: f64, [from, to]: [f64; 2]) -> f64 {
    libm::exp(coefficient * (to - from))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: EPS of 0.031 from 10 °C dry to 20 °C and 2 % by volume, exp(0.033)·exp(0.08).
    #[test]
    fn factors_multiply() {
        let [temperature, moisture] =
            factors(find("expanded_polystyrene").unwrap(), [10.0, 20.0], [0.0, 0.02]);
        assert!((temperature - 1.03355).abs() < 1e-5 && (moisture - 1.08329).abs() < 1e-5);
        assert_eq!(factors(find("fired_clay").unwrap(), [10.0, 10.0], [0.01, 0.01]), [1.0, 1.0]);
    }

    /// By hand: exp(0.0053·10) = 1.05443 when it gets warmer, exp(−0.002·10) = 0.98020 when it gets colder;
    /// the other values 1.02020 and 0.94838.
    #[test]
    fn an_uncertain_coefficient_is_taken_on_the_careful_side() {
        let foam = find("phenolic_foam").unwrap();
        for (temperature, careful, other) in
            [([10.0, 20.0], 1.05443, 1.02020), ([10.0, 0.0], 0.98020, 0.94838)]
        {
            assert!((factors(foam, temperature, [0.0, 0.0])[0] - careful).abs() < 1e-5);
            assert!((other_temperature_factor(foam, temperature).unwrap() - other).abs() < 1e-5);
        }
        assert_eq!(other_temperature_factor(foam, [10.0, 10.0]), None);
        assert_eq!(other_temperature_factor(find("cork").unwrap(), [10.0, 20.0]), None);
    }

    /// Aerated concrete with 4.5 % by mass conducts about a fifth more than dry (EN 1745, f_u = 4; common
    /// practice, no source).
    #[test]
    fn moist_aerated_concrete_conducts_a_fifth_more() {
        let [_, moisture] = factors(find("aerated_concrete").unwrap(), [10.0, 10.0], [0.0, 0.045]);
        assert!((moisture - 1.197).abs() < 1e-3);
    }
}
