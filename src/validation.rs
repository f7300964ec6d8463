//! Reference cases with published or exact values, embedded in the program.

use crate::model::EnvironmentId;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::bounds::Bracket;
use crate::case;
use crate::result::{self, Failure, Outcome};

macro_rules! reference_cases {
    ($($name:literal),+ $(,)?) => {
        &[$(($name, include_str!(concat!("../validation/", $name, ".yaml")))),+]
    };
}

/// Names and case files.
pub const CASES: &[(&str, &str)] = reference_cases![
    "iso-10211-case-1",
    "iso-10211-case-2",
    "plane-wall",
    "corner-fixed-temperatures",
    "corner-unequal-thicknesses",
    "square-channel",
    "thin-fin",
    "convection-plate",
];

/// A value that a case must reproduce.
#[derive(Clone, Debug, Deserialize)]
pub struct Reference {
    /// Name of the case.
    pub case: String,
    /// What is compared: `point NAME`, `heat flow ENVIRONMENT`, `L2D`, `psi CONVENTION`, `U ELEMENT` or
    /// `f_Rsi ENVIRONMENT`.
    pub quantity: String,
    /// The published or exact value.
    pub reference: f64,
    /// Largest deviation allowed.
    pub tolerance: f64,
    /// Unit of both.
    pub unit: String,
    /// Where the value comes from.
    pub source: String,
}

/// A reference beside what was computed.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The reference.
    pub reference: &'static Reference,
    /// The computed value; NaN if the case has no such quantity.
    pub computed: f64,
}

impl Comparison {
    /// True if the deviation is within the tolerance.
    pub fn passes(&self) -> bool {
        (self.computed - self.reference.reference).abs() <= self.reference.tolerance
    }
}

static REFERENCES: LazyLock<Vec<Reference>> = LazyLock::new(|| {
    csv::Reader::from_reader(include_bytes!("../validation/references.csv").as_slice())
        .deserialize()
        .map(|row| row.expect("the embedded references are well-formed, as their test shows"))
        .collect()
});

/// Solves one reference case and compares all its values.
///
/// # Errors
/// [`Failure`] if the case cannot be solved.
pub fn compare(name: &str, text: &str) -> Result<Vec<Comparison>, Failure> {
    let outcome = result::compute(case::from_text(name, text, &[])?)?;
    let references = REFERENCES.iter().filter(|reference| reference.case == name);
    Ok(references
        .map(|reference| Comparison {
            reference,
            computed: quantity(&outcome, &reference.quantity).unwrap_or(f64::NAN),
        })
        .collect())
}

fn quantity(outcome: &Outcome, quantity: &str) -> Option<f64> {
    let environment =
        |name: &str| outcome.case.model.environments.iter().position(|environment| environment.name == name);
    if quantity == "L2D" {
        return outcome.l2d.map(Bracket::middle);
    }
    if let Some(name) = quantity.strip_prefix("point ") {
        return outcome.points.iter().find(|(point, _)| point == name).map(|(_, temperature)| *temperature);
    }
    if let Some(name) = quantity.strip_prefix("heat flow ") {
        return outcome.heat_flows[environment(name)?];
    }
    if let Some(key) = quantity.strip_prefix("psi ") {
        return outcome.psi.iter().find(|psi| psi.convention.key() == key).map(|psi| psi.value);
    }
    if let Some(name) = quantity.strip_prefix("U ") {
        return outcome
            .elements
            .iter()
            .find(|element| element.element == name)
            .map(|element| element.u_value);
    }
    let index = environment(quantity.strip_prefix("f_Rsi ")?)?;
    let factor = outcome.factors.iter().find(|factor| factor.environment == EnvironmentId::new(index))?;
    factor.coldest.as_ref().map(|coldest| coldest.factor)
}
