//! Keys of materials and of plane elements: build-ups, floors, windows.

use super::Kind::{Either, List, Name, Named, Number, Pair, Table, Text, Word};
use super::{Block, HEAT_FLOWS, Key, Kind, MANY, MOST_LAYERS, SOME, block, key};
use crate::material::conversion::CLASS_NAMES;
use crate::ranges;

/// `materials.NAME`.
pub static MATERIAL: Block = block(
    "A material of the file's own, under a name of its own",
    &[
        key(
            "conductivity",
            Either(&[Number(ranges::CONDUCTIVITY), Table(&CONDUCTIVITY_BY_AXIS)]),
            "Thermal conductivity λ, as a design value; by axes where it depends on the direction",
            "0.032",
        )
        .needed(),
        key(
            "source",
            Text,
            "Where λ comes from, so that a reviewer can check it",
            "\"declared by the supplier, sheet 12\"",
        )
        .needed(),
        key("density", Number(ranges::DENSITY), "Density", "120"),
        key("heat_capacity", Number(ranges::HEAT_CAPACITY), "Specific heat capacity", "1030"),
        key(
            "vapour_resistance",
            Either(&[Number(ranges::VAPOUR_FACTOR), Pair([("dry", &MU), ("wet", &MU)])]),
            "Water vapour resistance factor μ; needed for condensation within build-ups",
            "[10, 5]",
        ),
        key("label", Text, "What readers call it", "\"mineral wool 032\"").unless("its name, with spaces"),
        key(
            "convert",
            Table(&CONVERT),
            "From a declared to a design value of λ (ISO 10456)",
            "{ class: mineral_wool, temperature: [10, 20] }",
        ),
    ],
);
const MU: Kind = Number(ranges::VAPOUR_FACTOR);

/// `materials.NAME.conductivity` by axes.
pub static CONDUCTIVITY_BY_AXIS: Block = block(
    "λ by direction: by the axes of the drawing; in a build-up x leads through the layer",
    &[
        key("x", Number(ranges::CONDUCTIVITY), "λ along x", "0.13").needed(),
        key("y", Number(ranges::CONDUCTIVITY), "λ along y", "0.32").needed(),
    ],
);

/// `materials.NAME.convert`.
pub static CONVERT: Block = block(
    "From a declared to a design value of λ (ISO 10456)",
    &[
        key("class", Word(&CLASS_NAMES), "The kind of material", "mineral_wool").needed(),
        key(
            "temperature",
            Pair([
                ("declared", &Number(ranges::CONVERSION_TEMPERATURE)),
                ("design", &Number(ranges::CONVERSION_TEMPERATURE)),
            ]),
            "Mean temperatures",
            "[10, 20]",
        )
        .unless("no change"),
        key(
            "moisture",
            Pair([("declared", &Number(ranges::SHARE)), ("design", &Number(ranges::SHARE))]),
            "Moisture contents, m³/m³; for aerated concrete kg/kg",
            "[0, 0.02]",
        )
        .unless("no change"),
    ],
);

/// `build_ups.NAME`.
pub static BUILD_UP: Block = block(
    "A plane element by its layers (ISO 6946), to be computed, painted or subtracted",
    &[
        key(
            "layers",
            List(
                MOST_LAYERS,
                &Either(&[
                    Pair([("MATERIAL", &Name("material")), ("THICKNESS", &Number(ranges::THICKNESS))]),
                    Table(&BUILD_UP_LAYER),
                ]),
            ),
            "From inside to outside: [MATERIAL, THICKNESS in mm], or a table with more",
            "[[plaster_gypsum, 13], [aircrete_600, 215]]",
        )
        .needed(),
        key("heat_flow", HEAT_FLOWS, "The direction of heat flow in winter: up for roofs", "up")
            .unless("horizontal"),
        key("inside", Number(ranges::SURFACE_RESISTANCE), "Internal surface resistance R_si", "0.13")
            .unless("ISO 6946 by heat_flow: 0.13, up 0.10, down 0.17"),
        key("outside", Number(ranges::SURFACE_RESISTANCE), "External surface resistance R_se", "0.04")
            .unless("0.04"),
        key("title", Text, "One line for headings", "\"External wall\"").unless("its name"),
    ],
);

/// `build_ups.NAME.layers`, an item.
pub static BUILD_UP_LAYER: Block = block(
    "A layer that is not only a material and a thickness",
    &[
        key("material", Name("material"), "What it is made of; with `thickness`", "mineral_wool"),
        key("air", Number(ranges::AIR_THICKNESS), "An air layer of this thickness, at most 300", "25"),
        key(
            "resistance",
            Number(ranges::RESISTANCE),
            "Its thermal resistance, where no material is named",
            "0.18",
        ),
        key("thickness", Number(ranges::THICKNESS), "Its thickness; none for a membrane", "140"),
        key("label", Text, "What readers call it", "\"service cavity\""),
        key(
            "bridged_by",
            Table(&BRIDGE),
            "What interrupts the layer: studs, rafters, mortar joints",
            "{ material: softwood, width: 45, spacing: 600 }",
        ),
        key(
            "fixings",
            Table(&FIXINGS),
            "Metal parts through the layer, which raise U",
            "{ number: 5, conductivity: 17, cross_section: 12.6 }",
        ),
        key("air_gaps", Number(ranges::AIR_GAPS), "Level of gaps in insulation, 0, 1 or 2 (ISO 6946)", "1")
            .unless("0"),
        key(
            "rain",
            Table(&RAIN),
            "Rain that runs under insulation on top of a roof",
            "{ precipitation: 2, drainage: 0.04 }",
        ),
        key(
            "emissivity",
            Either(&[
                Number(ranges::EMISSIVITY),
                Pair([("inner", &Number(ranges::EMISSIVITY)), ("outer", &Number(ranges::EMISSIVITY))]),
            ]),
            "Of an air layer's faces; a single number is that of one, the other has 0.9",
            "0.2",
        )
        .unless("0.9"),
        key(
            "openings",
            Number(ranges::OPENINGS),
            "Openings of an air layer to outside, per metre if upright, per m² if level",
            "800",
        )
        .unless("0, closed"),
        key(
            "vapour_thickness",
            Number(ranges::VAPOUR_THICKNESS),
            "Diffusion-equivalent air layer thickness s_d of a layer given by its resistance",
            "20",
        ),
    ],
)
.one_of(&[&["material", "air", "resistance"]]);

/// `build_ups.NAME.layers.bridged_by`.
pub static BRIDGE: Block = block(
    "What interrupts a layer: `fraction`, or `width` and `spacing`, or `block` and `joint`",
    &[
        key("material", Name("material"), "What it is made of", "softwood").needed(),
        key("fraction", Number(ranges::SHARE), "Its share of the area, 0 to 1", "0.12"),
        key("width", Number(ranges::BAR), "Width of each bar", "45"),
        key("spacing", Number(ranges::SPACING), "From one bar to the next, centre to centre", "600"),
        key(
            "block",
            Pair([("LENGTH", &Number(ranges::BLOCK)), ("HEIGHT", &Number(ranges::BLOCK))]),
            "A block's face",
            "[440, 215]",
        ),
        key(
            "joint",
            Either(&[
                Number(ranges::JOINT),
                Pair([("BED", &Number(ranges::JOINT)), ("PERPENDICULAR", &Number(ranges::JOINT))]),
            ]),
            "Joints round the blocks",
            "10",
        ),
    ],
);

/// `build_ups.NAME.layers.fixings`.
pub static FIXINGS: Block = block(
    "Metal parts through a layer (ISO 6946, F.3): by their dimensions, or by χ",
    &[
        key("number", Number(ranges::FIXINGS), "How many", "5").needed(),
        key("conductivity", Number(ranges::CONDUCTIVITY), "λ of the metal", "17"),
        key("cross_section", Number(ranges::CROSS_SECTION), "Of each", "12.6"),
        key("length", Number(ranges::FIXING_LENGTH), "Length within the layer", "120")
            .unless("the layer's thickness"),
        key(
            "point_transmittance",
            Number(ranges::POINT_TRANSMITTANCE),
            "χ of each, in place of its dimensions",
            "0.002",
        ),
    ],
);

/// `build_ups.NAME.layers.rain`.
pub static RAIN: Block = block(
    "Rain under insulation on top of a roof (ISO 6946, F.4)",
    &[
        key("precipitation", Number(ranges::PRECIPITATION), "Mean rate in the heating season", "2").needed(),
        key("drainage", Number(ranges::DRAINAGE), "The product f·x", "0.04").needed(),
    ],
);

/// `floors.NAME`.
pub static FLOOR: Block = block(
    "A floor over the ground (ISO 13370): a slab unless `suspended` or `basement` says otherwise",
    &[
        key("area", Number(ranges::AREA), "Area by internal dimensions", "48").needed(),
        key("perimeter", Number(ranges::LENGTH_IN_METRES), "Exposed perimeter", "28").needed(),
        key("wall_thickness", Number(ranges::WALL_THICKNESS), "Full thickness of the walls round it", "380")
            .needed(),
        key("ground", Name("material"), "What is under it", "soil_sand").needed(),
        key("build_up", Name("build-up"), "What it is made of", "slab"),
        key(
            "resistance",
            Number(ranges::RESISTANCE),
            "Its thermal resistance without surfaces, in place of a build-up",
            "2.5",
        ),
        key(
            "edge",
            Table(&EDGE),
            "Insulation along the edge of a slab",
            "{ position: standing, reach: 600, material: eps, thickness: 50 }",
        ),
        key(
            "suspended",
            Table(&SUSPENDED),
            "The space under a suspended floor",
            "{ height: 300, wall_u_value: 1.5, openings: 0.0015, wind_speed: 4, shielding: 0.05 }",
        ),
        key(
            "basement",
            Table(&BASEMENT),
            "The floor of a heated basement",
            "{ depth: 2400, wall_resistance: 3 }",
        ),
        key("title", Text, "One line for headings", "\"Ground floor\"").unless("its name"),
    ],
)
.one_of(&[&["build_up", "resistance"]]);

/// `floors.NAME.edge`.
pub static EDGE: Block = block(
    "Insulation along the edge of a slab",
    &[
        key("position", Word(&["lying", "standing"]), "How the board lies", "standing").needed(),
        key("reach", Number(ranges::LENGTH), "Its width if lying, its depth if standing", "600").needed(),
        key("material", Name("material"), "What it is made of", "eps").needed(),
        key("thickness", Number(ranges::LENGTH), "Its thickness", "50").needed(),
    ],
);

/// `floors.NAME.suspended`.
pub static SUSPENDED: Block = block(
    "The ventilated space under a suspended floor",
    &[
        key("height", Number(ranges::UNDERFLOOR), "Height of the floor above the ground outside", "300")
            .needed(),
        key("wall_u_value", Number(ranges::PART_U_VALUE), "U of the walls of the space", "1.5").needed(),
        key(
            "openings",
            Number(ranges::UNDERFLOOR_OPENINGS),
            "Openings by the length of the perimeter",
            "0.0015",
        )
        .needed(),
        key("wind_speed", Number(ranges::WIND_SPEED), "Mean wind speed at 10 m", "4").needed(),
        key("shielding", Number(ranges::SHIELDING), "0.02 sheltered, 0.05 average, 0.10 exposed", "0.05")
            .needed(),
        key(
            "ground_resistance",
            Number(ranges::RESISTANCE),
            "Of what insulates the ground of the space",
            "0",
        )
        .unless("0"),
    ],
);

/// `floors.NAME.basement`.
pub static BASEMENT: Block = block(
    "A heated basement",
    &[
        key("depth", Number(ranges::DEPTH), "Depth of its floor under the ground outside", "2400").needed(),
        key("walls", Name("build-up"), "What its walls are made of", "basement_wall"),
        key(
            "wall_resistance",
            Number(ranges::RESISTANCE),
            "Their thermal resistance without surfaces, in place of a build-up",
            "3",
        ),
    ],
)
.one_of(&[&["walls", "wall_resistance"]]);

const WINDOW_PART: Kind =
    List(SOME, &Pair([("AREA", &Number(ranges::AREA)), ("U_VALUE", &Number(ranges::PART_U_VALUE))]));

/// `windows.NAME`.
pub static WINDOW: Block = block(
    "A window (ISO 10077-1): one light by its size (the first six keys), or lists of its parts",
    &[
        key("width", Number(ranges::WINDOW), "Overall width", "1230"),
        key("height", Number(ranges::WINDOW), "Overall height", "1480"),
        key("frame_width", Number(ranges::FRAME), "Visible width of the frame, all round", "110"),
        key("frame_u_value", Number(ranges::PART_U_VALUE), "U_f", "1.1"),
        key("glazing_u_value", Number(ranges::PART_U_VALUE), "U_g", "0.6"),
        key("edge_psi", Number(ranges::EDGE_PSI), "ψ_g of the glazing's edge", "0.035"),
        key("frame", WINDOW_PART, "Parts of the frame: area in m², U_f", "[[0.5, 1.1]]"),
        key("glazing", WINDOW_PART, "Parts of the glazing: area in m², U_g", "[[1.3, 0.6]]"),
        key(
            "edges",
            List(
                SOME,
                &Pair([("LENGTH", &Number(ranges::LENGTH_IN_METRES)), ("PSI", &Number(ranges::EDGE_PSI))]),
            ),
            "Edges of the glazing: length in m, ψ_g",
            "[[4.6, 0.035]]",
        ),
        key("title", Text, "One line for headings", "\"Front window\"").unless("its name"),
    ],
);

static A_MATERIAL: Kind = Table(&MATERIAL);
static A_BUILD_UP: Kind = Table(&BUILD_UP);
static A_FLOOR: Kind = Table(&FLOOR);
static A_WINDOW: Kind = Table(&WINDOW);

/// The blocks of elements as keys of a file.
pub(super) const MATERIALS: Key = key(
    "materials",
    Named("NAME", MANY, &A_MATERIAL),
    "The file's own materials, beside those that `coldseam materials` lists",
    "",
);
pub(super) const BUILD_UPS: Key =
    key("build_ups", Named("NAME", SOME, &A_BUILD_UP), "Plane elements, from inside to outside", "");
pub(super) const FLOORS: Key = key("floors", Named("NAME", MANY, &A_FLOOR), "Floors over the ground", "");
pub(super) const WINDOWS: Key = key("windows", Named("NAME", MANY, &A_WINDOW), "Windows", "");
