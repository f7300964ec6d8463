//! Surface resistances, m²K/W, by the direction of heat flow.

/// The way heat flows through an element in winter, which decides surface resistances and air layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatFlow {
    /// Walls, and anything within 30° of upright.
    Horizontal,
    /// Roofs and ceilings.
    Up,
    /// Floors.
    Down,
}

impl HeatFlow {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Horizontal, Self::Up, Self::Down];

    /// The word used in build-up files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Horizontal => "horizontal",
            Self::Up => "up",
            Self::Down => "down",
        }
    }

    /// ISO 6946:2017, Table 7: internal surface resistance, m²K/W.
    pub const fn internal_resistance(self) -> f64 {
        match self {
            Self::Horizontal => 0.13,
            Self::Up => 0.10,
            Self::Down => 0.17,
        }
    }
}

/// ISO 6946:2017, Table 7: external surface resistance, m²K/W.
pub const EXTERNAL_RESISTANCE: f64 = 0.04;
/// ISO 13788:2012: internal surface resistance of opaque surfaces when condensation is judged, m²K/W.
pub const CONDENSATION_ON_OPAQUE: f64 = 0.25;
/// ISO 13788:2012: the same of frames and glazing, m²K/W.
pub const CONDENSATION_ON_FRAMES: f64 = 0.13;
/// ISO 10077-2: internal surface resistance where a frame and its glazing see less of the room, m²K/W.
pub const REDUCED_RADIATION: f64 = 0.20;
