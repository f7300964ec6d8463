//! Keys of a file and of the junction it draws.

use super::Kind::{Either, List, Name, Named, Number, Table, Text, Version, Word};
use super::elements::{BUILD_UPS, FLOORS, MATERIALS, WINDOWS};
use super::house::{CLIMATE, DWELLING, SIDES};
use super::shapes::{CAVITY, CORNERS, FILL, LAYERS, SPACE};
use super::{
    Block, HEAT_FLOWS, Key, Kind, MANY, MOST_INCLUDES, MOST_POINTS, MOST_SHAPES, POINT, SOME, SPAN, block,
    key,
};
use crate::ranges;

const FORMAT: Key = key("coldseam", Version(1), "Version of the format", "1").needed();
const TITLE: Key = key("title", Text, "One line for headings", "\"Sill of a set-out window\"");
const DESCRIPTION: Key = key("description", Text, "What it is about", "\"Frame in the insulation zone\"");
const INCLUDE: Key = key(
    "include",
    Either(&[Text, List(MOST_INCLUDES, &Text)]),
    "Files with parameters, materials, elements and a climate that several files share, from the folder of this one",
    "[build-ups.yaml]",
);
const PARAMETERS: Key = key(
    "parameters",
    Named("PARAMETER", MANY, &Number(ranges::PARAMETER)),
    "Names for numbers, to be used in expressions (+ - * / ( ) min max sqrt sin cos tan); `--set NAME=VALUE` replaces them",
    "{ insulation: 150, block: 215 }",
);
const SIZES: Key = key(
    "sizes",
    Named("PARAMETER", MANY, &List(SOME, &Number(ranges::PARAMETER))),
    "For parameters, the sizes that can be bought",
    "{ insulation: [100, 120, 140, 160] }",
);
const YEAR: Key = key("climate", Table(&CLIMATE), "A year of monthly means outside, and the air inside", "");

/// A file.
pub static CASE: Block = block(
    "A file. What is needed depends on what it is for: a junction needs title, environments, extent and plan; a file of elements build_ups, floors or windows; a \
     dwelling dwelling; a climate climate",
    &[
        FORMAT,
        TITLE,
        DESCRIPTION,
        INCLUDE,
        PARAMETERS,
        SIZES,
        MATERIALS,
        BUILD_UPS,
        FLOORS,
        WINDOWS,
        YEAR,
        key("dwelling", Table(&DWELLING), "Areas and lengths of a dwelling, to be added up", ""),
        key(
            "cut",
            Word(&["vertical", "horizontal"]),
            "How the drawing lies in space: y is up, or it is seen from above",
            "horizontal",
        )
        .unless("vertical"),
        key(
            "environments",
            Named("NAME", SOME, &Table(&ENVIRONMENT)),
            "Air of one temperature that bounds the construction",
            "",
        ),
        key(
            "extent",
            Table(&EXTENT),
            "Outside this rectangle or polygon there is nothing; its edges are cut-off planes",
            "{ x: [-300, 700], y: [-1200, 500] }",
        ),
        key(
            "plan",
            List(MOST_SHAPES, &Either(&[Table(&SPACE), Table(&FILL), Table(&LAYERS), Table(&CAVITY)])),
            "What is where, painted in order, later over earlier; what is not painted lets no heat pass",
            "[{ space: room, x: [-300, 0] }]",
        ),
        key(
            "surfaces",
            List(MANY, &Table(&SURFACE)),
            "Exceptions to the standard surface resistances, later over earlier",
            "",
        ),
        key(
            "psi",
            Either(&[Table(&PSI), List(SOME, &Table(&PSI))]),
            "What is taken off L2D to give ψ; a list with one block for each pair of environments where there are several",
            "",
        ),
        key(
            "condensation",
            Table(&CONDENSATION),
            "The pass for mould and condensation (ISO 13788)",
            "{ exclude: [glazing] }",
        ),
        key(
            "points",
            Named("NAME", MOST_POINTS, &POINT),
            "Places whose temperature is wanted",
            "{ frame_foot: [185, 0] }",
        ),
        key(
            "claims",
            Table(&CLAIMS),
            "What a submission states; `coldseam review` compares it",
            "{ psi_internal: 0.021, f_rsi: 0.93 }",
        ),
    ],
);

/// An included file.
pub static INCLUDED: Block = block(
    "A file that others include",
    &[FORMAT, TITLE, DESCRIPTION, INCLUDE, PARAMETERS, SIZES, MATERIALS, BUILD_UPS, FLOORS, WINDOWS, YEAR],
);

/// `environments.NAME`.
pub static ENVIRONMENT: Block = block(
    "Air of one temperature, under a name of its own",
    &[
        key("role", Word(&["internal", "external", "unheated"]), "What kind of space it is", "internal")
            .needed(),
        key("temperature", Number(ranges::TEMPERATURE), "Its temperature", "20").needed(),
        key(
            "humidity",
            Number(ranges::HUMIDITY),
            "Relative humidity of a room, for the checks on mould and condensation",
            "50",
        ),
    ],
);

/// `extent`.
pub static EXTENT: Block = block(
    "A rectangle by x and y, or a polygon by points",
    &[
        key("x", SPAN, "From left to right", "[-300, 700]"),
        key("y", SPAN, "From bottom to top", "[-1200, 500]"),
        key(
            "points",
            CORNERS,
            "Corners of a polygon in order, in place of x and y: edges that are square to a slope cut it squarely",
            "[[-300, -1200], [700, -1200], [700, 500], [-300, 900]]",
        ),
    ],
);

/// `surfaces`, an item.
pub static SURFACE: Block = block(
    "An exception to the standard surface resistances, where all that is stated of `of`, `on`, `x` and `y` or `points` holds",
    &[
        key("of", Name("environment"), "Only towards this environment", "room"),
        key("on", Name("material"), "Only on this material", "glazing"),
        key("x", SPAN, "Only from left to right", "[0, 300]"),
        key("y", SPAN, "Only from bottom to top", "[0, 90]"),
        key(
            "points",
            CORNERS,
            "Only within this polygon, its corners in order, in place of x and y",
            "[[0, 0], [300, 0], [300, 90]]",
        ),
        key("resistance", Number(ranges::SURFACE_RESISTANCE), "The surface resistance; 0 fixes the surface's temperature", "0.2"),
        key(
            "heat_flow",
            HEAT_FLOWS,
            "The direction of heat flow through level surfaces, where the case knows better than the solution",
            "up",
        ),
    ],
)
.one_of(&[&["resistance", "heat_flow"]]);

/// `psi`.
pub static PSI: Block = block(
    "ψ = L2D − Σ U·l",
    &[
        key("between", SIDES, "The environments on either side; each may be a list", "[room, outside]")
            .unless("the two temperatures that there are"),
        key("flanking", List(SOME, &Table(&FLANKING)), "Plane elements whose loss is taken off", "").needed(),
        key(
            "frame",
            SPAN,
            "Width of a window frame, over which what is left is spread to give U_f (ISO 10077-2)",
            "[0, 110]",
        ),
        key(
            "symmetry",
            List(SOME, &Table(&PLANE)),
            "Edges of the model that are planes of symmetry, not cut-off planes",
            "[{ x: 0 }]",
        ),
    ],
);

/// `psi.flanking`, an item.
pub static FLANKING: Block = block(
    "A plane element: where its U-value comes from, and its length by one convention or more",
    &[
        key("element", Text, "Its name", "wall").needed(),
        key("section", Table(&PLANE), "U through the model along this plane", "{ y: -1200 }"),
        key("build_up", Name("build-up"), "U of this build-up, with its studs and joints", "wall"),
        key("u_value", Number(ranges::FLANKING_U_VALUE), "U, stated", "0.9"),
        key(
            "floor",
            Table(&FLOOR_ON_GROUND),
            "A floor on the ground, read from the drawing",
            "{ method: iso13370 }",
        ),
        key(
            "along",
            Word(&["x", "y"]),
            "The axis that its surface runs along, where nothing else tells",
            "y",
        ),
        key("internal", LENGTH, "Its length by internal dimensions", "[-1200, 0]"),
        key("external", LENGTH, "Its length by external dimensions", "[-1200, 200]"),
        key("overall_internal", LENGTH, "Its length by overall internal dimensions", "[-1200, 0]"),
    ],
)
.one_of(&[&["section", "build_up", "u_value", "floor"]]);

const LENGTH: Kind = Either(&[SPAN, Table(&STRETCH)]);

/// `psi.flanking.internal` and its like, along a slope.
pub static STRETCH: Block = block(
    "A length between two points along the element, as where it slopes",
    &[
        key("from", POINT, "One end", "[0, 0]").needed(),
        key("to", POINT, "The other end", "[1200, 840]").needed(),
    ],
);

const PLACE: Kind = Either(&[Number(ranges::COORDINATE), SPAN]);

/// `psi.flanking.section` and `psi.symmetry`, an item.
pub static PLANE: Block = block(
    "A plane through the drawing: its position on one axis, and a stretch of the other where only a part of it is meant; or from one point to another, as where what it cuts slopes",
    &[
        key("x", PLACE, "Position, or stretch", "0"),
        key("y", PLACE, "Position, or stretch", "-1200"),
        key("from", POINT, "One end, in place of x and y", "[0, 0]"),
        key("to", POINT, "The other end", "[-210, 300]"),
    ],
);

/// `psi.flanking.floor`.
pub static FLOOR_ON_GROUND: Block = block(
    "How the loss of a floor on the ground is told apart from that of its junction with the wall",
    &[
        key(
            "method",
            Word(&["iso13370", "model"]),
            "By the formula of ISO 13370, or by a second model without the junction",
            "iso13370",
        )
        .needed(),
        key("wall_thickness", Number(ranges::WALL_THICKNESS), "w of the wall on the floor's edge", "380")
            .unless("that of the wall drawn there"),
    ],
);

/// `condensation`.
pub static CONDENSATION: Block = block(
    "The pass for mould and condensation (ISO 13788)",
    &[
        key("resistance", Number(ranges::CONDENSATION_RESISTANCE), "Internal surface resistance", "0.25")
            .unless("0.25"),
        key(
            "exclude",
            List(MANY, &Name("material")),
            "Materials judged by condensation in place of mould: frames and glazing, with 0.13",
            "[glazing]",
        ),
        key("critical", Number(ranges::CRITICAL_FACTOR), "The f_Rsi that a code asks for", "0.7"),
    ],
);

/// `claims`.
pub static CLAIMS: Block = block(
    "What a submission states of its results",
    &[
        key("psi_internal", Number(ranges::CLAIMED_TRANSMITTANCE), "ψ by internal dimensions", "0.021"),
        key("psi_external", Number(ranges::CLAIMED_TRANSMITTANCE), "ψ by external dimensions", "-0.065"),
        key(
            "psi_overall_internal",
            Number(ranges::CLAIMED_TRANSMITTANCE),
            "ψ by overall internal dimensions",
            "0.021",
        ),
        key("f_rsi", Number(ranges::CLAIMED_FACTOR), "The lowest temperature factor", "0.93"),
        key("l2d", Number(ranges::CLAIMED_TRANSMITTANCE), "Thermal coupling coefficient", "1.106"),
        key(
            "u_values",
            Named("FLANKING", SOME, &Number(ranges::CLAIMED_U_VALUE)),
            "U of flanking elements",
            "{ wall: 0.16 }",
        ),
    ],
);
