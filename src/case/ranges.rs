//! What the numbers of the input may be, quantity by quantity, in the unit of the file.
//!
//! The ranges are wider than any building needs and narrow enough that nothing computed from what they admit overflows or loses its digits:
//! a value beyond them is a slip of the keyboard, a wrong unit or an expression gone astray. Where no source is named, a range is common
//! practice with room on both sides.

use super::reader::Allowed::{self, Between, Positive, ZeroOr};

/// Any number that has no unit of its own yet: parameters, sizes. Results of expressions near 0 are 0 up to rounding, so nothing is too small.
pub const PARAMETER: Allowed = Between(-1e12, 1e12);

/// mm: coordinates. No junction is larger than a kilometre.
pub const COORDINATE: Allowed = Between(-1e6, 1e6);
/// mm: a layer that is painted, as wide as the raster's narrowest gap (0.01 mm) at least.
pub const PAINTED_THICKNESS: Allowed = Positive(0.01, 1e5);
/// mm: a layer that is not painted. Evaporated metal on foils has some 30 nm.
pub const THICKNESS: Allowed = Positive(1e-5, 2e4);
/// mm: air layers; thicker ones than 300 are refused with a hint of their own.
pub const AIR_THICKNESS: Allowed = Positive(0.1, 1e5);
/// mm: lengths that are no layer, such as those of boards along a floor's edge.
pub const LENGTH: Allowed = Positive(1e-3, 1e5);
/// mm: walls around a floor, door leaves as well.
pub const WALL_THICKNESS: Allowed = Positive(10.0, 5e3);
/// mm: the height of a suspended floor over the ground.
pub const UNDERFLOOR: Allowed = Positive(10.0, 1e4);
/// mm: the depth of a basement's floor under the ground.
pub const DEPTH: Allowed = Positive(50.0, 5e4);
/// mm: bars within a layer; webs of metal have some 0.5.
pub const BAR: Allowed = Positive(0.05, 1e4);
/// mm: from one bar to the next, centre to centre.
pub const SPACING: Allowed = Positive(5.0, 2e4);
/// mm: blocks and bricks.
pub const BLOCK: Allowed = Positive(10.0, 1e4);
/// mm: a window's width and height.
pub const WINDOW: Allowed = Positive(50.0, 5e4);
/// mm: the visible width of a window's frame.
pub const FRAME: Allowed = Positive(1.0, 1e3);
/// mm: mortar joints; 0 for blocks laid dry.
pub const JOINT: Allowed = ZeroOr(1e-5, 100.0);
/// mm: the slit of a cavity towards outside; 0 for none.
pub const SLIT: Allowed = ZeroOr(1e-3, 1e4);
/// mm²: the cross-section of a fixing; 1 mm is a thin wire.
pub const CROSS_SECTION: Allowed = Positive(1e-3, 1e5);
/// mm: the length of a fixing.
pub const FIXING_LENGTH: Allowed = Positive(1.0, 1e4);
/// The share of an element's area that its fixings may take.
pub const MOST_FIXINGS: f64 = 0.05;
/// mm²: openings of an air layer, per metre or square metre.
pub const OPENINGS: Allowed = ZeroOr(1e-3, 1e7);
/// m: lengths of junctions and edges in a dwelling or window.
pub const LENGTH_IN_METRES: Allowed = Positive(1e-3, 1e5);
/// m²: areas of a dwelling's elements, floors and parts of windows.
pub const AREA: Allowed = Positive(1e-6, 1e6);

/// W/(m·K). Evacuated foils reach some 3e-5, copper 400; what shall let no heat pass at all is left unpainted.
pub const CONDUCTIVITY: Allowed = Positive(1e-5, 1e3);
/// kg/m³, from hydrogen (0.09) to osmium (22 600).
pub const DENSITY: Allowed = Positive(0.05, 3e4);
/// J/(kg·K), from lead (130) to hydrogen (14 300), with room.
pub const HEAT_CAPACITY: Allowed = Between(1.0, 1e5);
/// The water vapour resistance factor μ: 1 is air.
pub const VAPOUR_FACTOR: Allowed = Between(1.0, 1e9);
/// m: s_d, the diffusion-equivalent air layer thickness; 1500 m count as tight.
pub const VAPOUR_THICKNESS: Allowed = Positive(1e-6, 1e5);
/// Emissivity: polished silver has some 0.01.
pub const EMISSIVITY: Allowed = Positive(1e-3, 1.0);

/// m²K/W: the resistance of a layer; 0 for what has none. 30 nm of metal have some 1e-10.
pub const RESISTANCE: Allowed = ZeroOr(1e-10, 1e3);
/// m²K/W: a surface resistance; 0 fixes the surface's temperature. Boiling water has some 1e-5; smaller ones stand for 0.
pub const SURFACE_RESISTANCE: Allowed = ZeroOr(1e-9, 100.0);
/// m²K/W: the surface resistance of the condensation pass, which must not be 0: the surface would have the room's temperature.
pub const CONDENSATION_RESISTANCE: Allowed = Positive(1e-9, 100.0);
/// W/(m²K): a flanking element's U-value, which has no surface resistances where temperatures are fixed.
pub const FLANKING_U_VALUE: Allowed = ZeroOr(1e-6, 1e4);
/// W/(m²K): the U-value of an element with surfaces, 0 for one that is not to count.
pub const U_VALUE: Allowed = ZeroOr(1e-3, 20.0);
/// W/(m²K): the U-value of a part that a formula divides by or weighs with.
pub const PART_U_VALUE: Allowed = Positive(1e-2, 20.0);
/// W/(m·K): the edge of a glazing.
pub const EDGE_PSI: Allowed = Between(-0.5, 2.0);
/// W/(m·K): a junction's stated ψ.
pub const PSI: Allowed = Between(-100.0, 100.0);
/// Fixings per m².
pub const FIXINGS: Allowed = Positive(1e-6, 1e3);
/// W/K: the point thermal transmittance of a fixing.
pub const POINT_TRANSMITTANCE: Allowed = Positive(1e-9, 10.0);
/// Results that a submission states, W/(m·K), W/(m²K) or none.
pub const CLAIM: Allowed = Between(-1e6, 1e6);

/// °C: an environment, from a store of liquid nitrogen (−196 °C) to the standard fire (1153 °C after four hours; ISO 834).
pub const TEMPERATURE: Allowed = Between(-200.0, 1200.0);
/// °C: between which declared conductivities are converted.
pub const CONVERSION_TEMPERATURE: Allowed = Between(-50.0, 100.0);
/// °C: a month's mean, and the air inside beside it.
pub const CLIMATE_TEMPERATURE: Allowed = Between(-60.0, 60.0);
/// %: relative humidity of an environment or a month's air. No room and no climate is drier, and 0.5 is a share that was meant as 50.
pub const HUMIDITY: Allowed = Between(1.0, 100.0);
/// kg/h: moisture production.
pub const PRODUCTION: Allowed = ZeroOr(1e-6, 1e4);
/// m³/h: ventilation that carries it off.
pub const VENTILATION: Allowed = Positive(1e-3, 1e7);
/// m/s: mean wind speed.
pub const WIND_SPEED: Allowed = ZeroOr(1e-3, 50.0);
/// The level of gaps in insulation (ISO 6946:2017, F.2), a whole number.
pub const AIR_GAPS: Allowed = Between(0.0, 2.0);
/// The humidity class of a dwelling (ISO 13788, annex A), a whole number.
pub const HUMIDITY_CLASS: Allowed = Between(1.0, 4.0);
/// mm/day: rain in the heating season, on average.
pub const PRECIPITATION: Allowed = ZeroOr(1e-6, 30.0);
/// W·day/(m²·K·mm): the drainage factor times that of the heat loss, 0.04 at most in ISO 6946 (from memory).
pub const DRAINAGE: Allowed = ZeroOr(1e-6, 0.2);
/// m²/m: openings under a suspended floor, some 0.0015.
pub const UNDERFLOOR_OPENINGS: Allowed = ZeroOr(1e-6, 0.1);
/// The shielding factor of wind under a floor, 0.02 to 0.10 in ISO 13370.
pub const SHIELDING: Allowed = Between(0.01, 0.2);
/// A share: of an area, of rain, of a temperature difference.
pub const SHARE: Allowed = ZeroOr(1e-9, 1.0);

/// Temperatures closer than this (K) are one temperature, computed in different ways.
pub const SAME_TEMPERATURE: f64 = 1e-6;
/// Temperatures closer than this (K) and not the same drive no heat that could be told from rounding: a slip.
pub const LEAST_DIFFERENCE: f64 = 1e-3;

/// W/(m·K), W/(m²K): what is asked for on the command line, an accuracy or a target. No solution has more digits, and nothing loses more heat.
pub const ASKED: (f64, f64) = (1e-9, 1e3);
/// Unknowns asked for on the command line. The grid has a limit of its own, far below.
pub const MOST_UNKNOWNS: usize = 1_000_000_000;
/// Threads asked for on the command line; 0 for one a core.
pub const MOST_THREADS: usize = 1_024;
