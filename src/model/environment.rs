//! Air that bounds the construction, and how the drawing lies in space.

use crate::finding::Diagnostic;
use crate::ranges;
use crate::text::Place;

/// How the drawing lies in space, which decides the direction of heat flow at level surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// A vertical section: y is up.
    Vertical,
    /// A horizontal section, seen from above: all surfaces of the drawing are upright in reality.
    Horizontal,
}

/// Air of one temperature, bounding the construction.
#[derive(Clone, Debug, PartialEq)]
pub struct Environment {
    /// Its name in the case.
    pub name: String,
    /// What kind of space it is.
    pub role: Role,
    /// °C.
    pub temperature: f64,
    /// Relative humidity, 0 to 1, where given.
    pub humidity: Option<f64>,
    /// False where no solid touches it, which is known once the case is painted: it then takes no part.
    pub is_touched: bool,
    /// Where it is defined, if it is written.
    pub place: Option<Place>,
}

/// What kind of space an environment is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A heated space: its surfaces are checked, its losses are L2D.
    Internal,
    /// Outside air.
    External,
    /// A space inside the building that is not heated: internal surface resistances, no temperature factor.
    Unheated,
}

impl Role {
    /// The word used in case files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Internal => "internal",
            Self::External => "external",
            Self::Unheated => "unheated",
        }
    }
}

/// Temperatures that differ by rounding alone become one, as edges do. Others must differ by so much that
/// what they drive is no rounding.
pub(crate) fn tell_apart(environments: &mut [Environment]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for index in 1..environments.len() {
        let (earlier, rest) = environments.split_at_mut(index);
        let own = &mut rest[0];
        let difference = |other: &Environment| (other.temperature - own.temperature).abs();
        if let Some(same) = earlier.iter().find(|other| difference(other) < ranges::SAME_TEMPERATURE) {
            own.temperature = same.temperature;
        } else if let Some(near) = earlier.iter().find(|other| difference(other) < ranges::LEAST_DIFFERENCE) {
            let message = format!(
                "the temperatures of `{}` and `{}` differ by only {:.1e} K",
                near.name,
                own.name,
                difference(near)
            );
            let hint = "make them equal, or give them a difference that matters (0.01 K at least)";
            found.push(Diagnostic::error(own.place, message).hint(hint));
        }
    }
    found
}
