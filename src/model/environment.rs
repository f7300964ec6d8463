//! Air that bounds the construction, and how the drawing lies in space.

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
