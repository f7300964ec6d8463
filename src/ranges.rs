//! What the numbers of the input may be, quantity by quantity, in the unit of the file.
//!
//! The ranges are wider than any building needs and narrow enough that nothing computed from what they admit
//! overflows or loses its digits: a value beyond them is a slip of the keyboard, a wrong unit or an
//! expression gone astray. Where no source is named, a range is common practice with room on both sides.

use Allowed::{Between, Positive, ZeroOr};

/// Bounds of an allowed number.
#[derive(Clone, Copy, Debug)]
pub enum Allowed {
    /// From the first, which is above 0, to the second.
    Positive(f64, f64),
    /// 0, or from the first, which is above 0, to the second.
    ZeroOr(f64, f64),
    /// From the first to the second, both included.
    Between(f64, f64),
}

/// A kind of number: its unit in the file and what it may be.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    /// Empty for a number without.
    pub unit: &'static str,
    /// Its range.
    pub allowed: Allowed,
    /// How it is written, with values that are usual (common practice, no source), for whoever is beyond the
    /// range.
    pub usual: &'static str,
}

const fn quantity(unit: &'static str, allowed: Allowed, usual: &'static str) -> Quantity {
    Quantity { unit, allowed, usual }
}

impl Quantity {
    /// True if the value is allowed.
    pub fn contains(self, value: f64) -> bool {
        self.problem(value).is_none()
    }

    /// What is wrong with a value, for readers; nothing where it is allowed.
    pub fn problem(self, value: f64) -> Option<String> {
        match self.allowed {
            _ if !value.is_finite() => Some("must be a finite number".to_owned()),
            Positive(..) if value <= 0.0 => Some("must be greater than 0".to_owned()),
            Positive(_, most) if value > most => Some(format!("must be at most {most}")),
            Positive(least, _) if value < least => Some(format!("must be at least {least}")),
            ZeroOr(_, most) if value < 0.0 || value > most => Some(format!("must lie between 0 and {most}")),
            ZeroOr(least, _) if value > 0.0 && value < least => {
                Some(format!("must be 0 or at least {least}"))
            }
            Between(least, most) if value < least || value > most => {
                Some(format!("must lie between {least} and {most}"))
            }
            _ => None,
        }
    }

    /// The least value above 0, or of all, that is allowed.
    pub fn least(self) -> f64 {
        match self.allowed {
            Positive(least, _) | ZeroOr(least, _) | Between(least, _) => least,
        }
    }

    /// True for a range that only catches slips of the keyboard: it tells a reader nothing.
    pub fn is_wide(self) -> bool {
        const WIDE: f64 = 1e6;
        matches!(self.allowed, Between(least, most) if least <= -WIDE && most >= WIDE)
    }

    /// The range for readers, without the unit. What is smaller than anything that occurs is told where it is
    /// found.
    pub fn range(self) -> String {
        const SMALL: f64 = 1e-3;
        match self.allowed {
            Positive(least, most) if least < SMALL => format!("above 0 to {}", plain(most)),
            Positive(least, most) | Between(least, most) => format!("{} to {}", plain(least), plain(most)),
            ZeroOr(_, most) => format!("0 to {}", plain(most)),
        }
    }
}

/// A number for messages: as it is written, with an exponent where it would have a row of zeros.
pub(crate) fn plain(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e15).contains(&value.abs()) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}

/// Any number that has no unit of its own yet: parameters, sizes. Results of expressions near 0 are 0 up to
/// rounding, so nothing is too small.
pub const PARAMETER: Quantity = quantity("", Between(-1e12, 1e12), "parameters are mostly lengths in mm");

/// mm: coordinates. No junction is larger than a kilometre.
pub const COORDINATE: Quantity =
    quantity("mm", Between(-1e6, 1e6), "lengths are in mm; no junction is larger than a kilometre");
/// mm: a layer that is painted, as wide as the raster's narrowest gap (0.01 mm) at least.
pub const PAINTED_THICKNESS: Quantity =
    quantity("mm", Positive(0.01, 1e5), "thicknesses are in mm, as 150; a foil may be drawn from 0.01 mm on");
/// mm: the face of a row of layers.
pub const DRAWN_LENGTH: Quantity = quantity("mm", Positive(0.01, 1e6), "lengths are in mm, as 3000");
/// mm: a circle; a thinner one would have sides that are joined.
pub const DIAMETER: Quantity = quantity("mm", Positive(1.0, 1e5), "diameters are in mm, as 22 for a pipe");
/// °: a direction in the drawing, from +x towards +y.
pub const ANGLE: Quantity =
    quantity("°", Between(-360.0, 360.0), "angles are in degrees from +x towards +y: layers upwards have 90");
/// mm: a layer that is not painted. Evaporated metal on foils has some 30 nm.
pub const THICKNESS: Quantity = quantity("mm", Positive(1e-5, 2e4), "thicknesses are in mm, as 150");
/// mm: air layers; thicker ones than 300 are refused with a hint of their own.
pub const AIR_THICKNESS: Quantity = quantity("mm", Positive(0.1, 1e5), "thicknesses are in mm, as 40");
/// mm: lengths that are no layer, such as those of boards along a floor's edge.
pub const LENGTH: Quantity = quantity("mm", Positive(1e-3, 1e5), "lengths here are in mm, as 600");
/// mm: walls around a floor, door leaves as well.
pub const WALL_THICKNESS: Quantity = quantity("mm", Positive(10.0, 5e3), "it is in mm, as 365");
/// mm: the height of a suspended floor over the ground.
pub const UNDERFLOOR: Quantity = quantity("mm", Positive(10.0, 1e4), "it is in mm, as 500");
/// mm: the depth of a basement's floor under the ground.
pub const DEPTH: Quantity = quantity("mm", Positive(50.0, 5e4), "it is in mm, as 2500");
/// mm: bars within a layer; webs of metal have some 0.5.
pub const BAR: Quantity =
    quantity("mm", Positive(0.05, 1e4), "widths are in mm, as 60 for a rafter or 0.6 for a web of metal");
/// mm: from one bar to the next, centre to centre.
pub const SPACING: Quantity =
    quantity("mm", Positive(5.0, 2e4), "spacings are in mm from centre to centre, as 625");
/// mm: blocks and bricks.
pub const BLOCK: Quantity = quantity("mm", Positive(10.0, 1e4), "sizes of blocks are in mm, as 240");
/// mm: a window's width and height.
pub const WINDOW: Quantity = quantity("mm", Positive(50.0, 5e4), "sizes of windows are in mm, as 1230");
/// mm: the visible width of a window's frame.
pub const FRAME: Quantity =
    quantity("mm", Positive(1.0, 1e3), "the visible width of a frame is in mm, as 110");
/// mm: mortar joints; 0 for blocks laid dry.
pub const JOINT: Quantity =
    quantity("mm", ZeroOr(1e-5, 100.0), "joints are in mm, as 10; 0 for blocks laid dry");
/// mm: the slit of a cavity towards outside; 0 for none.
pub const SLIT: Quantity = quantity("mm", ZeroOr(1e-3, 1e4), "slits are in mm, as 6; 0 for none");
/// mm²: the cross-section of a fixing; 1 mm is a thin wire.
pub const CROSS_SECTION: Quantity =
    quantity("mm²", Positive(1e-3, 1e5), "cross-sections are in mm², as 50 for a rod of 8 mm");
/// mm: the length of a fixing.
pub const FIXING_LENGTH: Quantity =
    quantity("mm", Positive(1.0, 1e4), "lengths of fixings are in mm, as 160");
/// The share of an element's area that its fixings may take.
pub const MOST_FIXINGS: f64 = 0.05;
/// mm²: openings of an air layer, per metre or square metre.
pub const OPENINGS: Quantity = quantity("mm²", ZeroOr(1e-3, 1e7), "openings are in mm², as 500; 0 for none");
/// m: lengths of junctions and edges in a dwelling or window.
pub const LENGTH_IN_METRES: Quantity =
    quantity("m", Positive(1e-3, 1e5), "lengths of a house are in m, as 10.4");
/// m²: areas of a dwelling's elements, floors and parts of windows.
pub const AREA: Quantity = quantity("m²", Positive(1e-6, 1e6), "areas are in m², as 84.5");

/// W/(m·K). Evacuated foils reach some 3e-5, copper 400; what shall let no heat pass at all is left
/// unpainted.
pub const CONDUCTIVITY: Quantity = quantity(
    "W/(m·K)",
    Positive(1e-5, 1e3),
    "λ is in W/(m·K): insulation has 0.02 to 0.06, masonry 0.1 to 1.3, metals up to 400; 35 mW/(m·K) are 0.035",
);
/// kg/m³, from hydrogen (0.09) to osmium (22 600).
pub const DENSITY: Quantity =
    quantity("kg/m³", Positive(0.05, 3e4), "densities are in kg/m³: 20 for foam, 2400 for concrete");
/// J/(kg·K), from lead (130) to hydrogen (14 300), with room.
pub const HEAT_CAPACITY: Quantity = quantity(
    "J/(kg·K)",
    Between(1.0, 1e5),
    "specific heat capacities are in J/(kg·K): 1000 for masonry, 1600 for timber; 1 kJ/(kg·K) is 1000",
);
/// The water vapour resistance factor μ: 1 is air.
pub const VAPOUR_FACTOR: Quantity = quantity(
    "",
    Between(1.0, 1e9),
    "μ is a multiple of still air: 1 for mineral wool, 10 for plaster, 100000 for films",
);
/// m: s_d, the diffusion-equivalent air layer thickness; 1500 m count as tight.
pub const VAPOUR_THICKNESS: Quantity = quantity(
    "m",
    Positive(1e-6, 1e5),
    "s_d is in m, as 0.02 for a breathable membrane or 100 for a vapour barrier",
);
/// Emissivity: polished silver has some 0.01.
pub const EMISSIVITY: Quantity = quantity(
    "",
    Positive(1e-3, 1.0),
    "a share of what a black surface radiates: 0.9 for bare building materials, 0.05 to 0.2 for foil",
);

/// m²K/W: the resistance of a layer; 0 for what has none. 30 nm of metal have some 1e-10.
pub const RESISTANCE: Quantity = quantity(
    "m²K/W",
    ZeroOr(1e-10, 1e3),
    "thermal resistances are in m²K/W, as 0.18 for a layer of still air",
);
/// m²K/W: a surface resistance; 0 fixes the surface's temperature. Boiling water has some 1e-5; smaller ones
/// stand for 0.
pub const SURFACE_RESISTANCE: Quantity = quantity(
    "m²K/W",
    ZeroOr(1e-9, 100.0),
    "surface resistances are in m²K/W, as 0.13 inside and 0.04 outside; 0 fixes the surface's temperature",
);
/// m²K/W: the surface resistance of the condensation pass, which must not be 0: the surface would have the
/// room's temperature.
pub const CONDENSATION_RESISTANCE: Quantity =
    quantity("m²K/W", Positive(1e-9, 100.0), "it is in m²K/W: 0.25 on opaque surfaces (ISO 13788)");
/// W/(m²K): a flanking element's U-value, which has no surface resistances where temperatures are fixed.
pub const FLANKING_U_VALUE: Quantity = quantity("W/(m²K)", ZeroOr(1e-6, 1e4), "U is in W/(m²K), as 0.18");
/// W/(m²K): the U-value of an element with surfaces, 0 for one that is not to count.
pub const U_VALUE: Quantity = quantity("W/(m²K)", ZeroOr(1e-3, 20.0), "U is in W/(m²K), as 0.18");
/// W/(m²K): the U-value of a part that a formula divides by or weighs with.
pub const PART_U_VALUE: Quantity =
    quantity("W/(m²K)", Positive(1e-2, 20.0), "U is in W/(m²K), as 0.7 for glazing or 1.1 for a frame");
/// W/(m·K): the edge of a glazing.
pub const EDGE_PSI: Quantity =
    quantity("W/(m·K)", Between(-0.5, 2.0), "ψ of a glazing's edge is in W/(m·K), as 0.04");
/// W/(m·K): a junction's stated ψ.
pub const PSI: Quantity = quantity("W/(m·K)", Between(-100.0, 100.0), "ψ is in W/(m·K), as 0.04");
/// Fixings per m².
pub const FIXINGS: Quantity = quantity("1/m²", Positive(1e-6, 1e3), "it is a number for each m², as 6");
/// W/K: the point thermal transmittance of a fixing.
pub const POINT_TRANSMITTANCE: Quantity = quantity("W/K", Positive(1e-9, 10.0), "χ is in W/K, as 0.002");
/// W/(m·K): ψ or L2D that a submission states.
pub const CLAIMED_TRANSMITTANCE: Quantity =
    quantity("W/(m·K)", Between(-1e6, 1e6), "ψ and L2D are in W/(m·K), as 0.04");
/// W/(m²K): a U-value that a submission states.
pub const CLAIMED_U_VALUE: Quantity = quantity("W/(m²K)", Between(-1e6, 1e6), "U is in W/(m²K), as 0.18");
/// A temperature factor that a submission states.
pub const CLAIMED_FACTOR: Quantity =
    quantity("", Between(-1e6, 1e6), "a temperature factor is a share, as 0.78");

/// °C: an environment, from a store of liquid nitrogen (−196 °C) to the standard fire (1153 °C after four
/// hours; ISO 834).
pub const TEMPERATURE: Quantity =
    quantity("°C", Between(-200.0, 1200.0), "temperatures are in °C, as 20; 293 K are 20 °C");
/// °C: between which declared conductivities are converted.
pub const CONVERSION_TEMPERATURE: Quantity =
    quantity("°C", Between(-50.0, 100.0), "temperatures are in °C, as 10");
/// °C: a month's mean, and the air inside beside it.
pub const CLIMATE_TEMPERATURE: Quantity = quantity(
    "°C",
    Between(-60.0, 60.0),
    "temperatures are in °C, as 4.2; months are written [TEMPERATURE, HUMIDITY]",
);
/// %: relative humidity of an environment or a month's air. No room and no climate is drier; 0.5 is a share
/// that was meant as 50, and 1 one that was meant as 100.
pub const HUMIDITY: Quantity = quantity(
    "%",
    Between(2.0, 100.0),
    "relative humidity is in per cent: 50, not 0.5; months are written [TEMPERATURE, HUMIDITY]",
);
/// kg/h: moisture production.
pub const PRODUCTION: Quantity = quantity(
    "kg/h",
    ZeroOr(1e-6, 1e4),
    "moisture production is in kg/h, as 0.3 for a small dwelling; 250 g/h are 0.25",
);
/// m³/h: ventilation that carries it off.
pub const VENTILATION: Quantity = quantity("m³/h", Positive(1e-3, 1e7), "ventilation is in m³/h, as 120");
/// m/s: mean wind speed.
pub const WIND_SPEED: Quantity = quantity("m/s", ZeroOr(1e-3, 50.0), "wind speeds are in m/s, as 4");
/// The level of gaps in insulation (ISO 6946:2017, F.2), a whole number.
pub const AIR_GAPS: Quantity =
    quantity("", Between(0.0, 2.0), "levels are 0 (none), 1 (some) and 2 (that lead to the warm side)");
/// The humidity class of a dwelling (ISO 13788, annex A), a whole number.
pub const HUMIDITY_CLASS: Quantity = quantity(
    "",
    Between(1.0, 4.0),
    "classes are 1 (storage) to 4 (kitchens, sports halls); class 5 of laundries and pools needs `humidity`, or `production` with `ventilation`",
);
/// mm/day: rain in the heating season, on average.
pub const PRECIPITATION: Quantity = quantity("mm/day", ZeroOr(1e-6, 30.0), "it is in mm a day, as 2.5");
/// W·day/(m²·K·mm): the drainage factor times that of the heat loss, 0.04 at most in ISO 6946 (from memory).
pub const DRAINAGE: Quantity =
    quantity("W·day/(m²·K·mm)", ZeroOr(1e-6, 0.2), "it is in W·day/(m²·K·mm), as 0.04");
/// m²/m: openings under a suspended floor, some 0.0015.
pub const UNDERFLOOR_OPENINGS: Quantity =
    quantity("m²/m", ZeroOr(1e-6, 0.1), "openings are in m² for each m of the edge, as 0.0015");
/// The shielding factor of wind under a floor, 0.02 to 0.10 in ISO 13370.
pub const SHIELDING: Quantity =
    quantity("", Between(0.01, 0.2), "the factor is 0.02 (sheltered) to 0.10 (exposed)");
/// A temperature factor that a code asks for. 0 would ask for nothing.
pub const CRITICAL_FACTOR: Quantity = quantity(
    "",
    Between(0.1, 0.99),
    "a temperature factor is a share of the temperature difference, mostly 0.65 to 0.80; 75 % are 0.75",
);
/// A share: of an area, of rain, of a temperature difference.
pub const SHARE: Quantity = quantity("", ZeroOr(1e-9, 1.0), "it is a share from 0 to 1: 12 % are 0.12");

/// Temperatures closer than this (K) are one temperature, computed in different ways.
pub const SAME_TEMPERATURE: f64 = 1e-6;
/// Temperatures closer than this (K) and not the same drive no heat that could be told from rounding: a slip.
pub const LEAST_DIFFERENCE: f64 = 0.01;

/// W/(m·K), W/(m²K): what is asked for on the command line, an accuracy or a target. No solution has more
/// digits, and nothing loses more heat.
pub const ASKED: (f64, f64) = (1e-9, 1e3);
/// Unknowns asked for on the command line. The grid has a limit of its own, far below.
pub const MOST_UNKNOWNS: usize = 1_000_000_000;
