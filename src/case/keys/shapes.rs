//! Keys of what a plan paints.

use super::Kind::{Either, List, Name, Number, Pair, Table, Word};
use super::{Block, Key, Kind, MOST_CORNERS, MOST_HOLES, MOST_LAYERS, POINT, SPAN, block, key};
use crate::ranges;

/// The corners of a polygon.
pub(super) const CORNERS: Kind = List(MOST_CORNERS, &POINT);
const X: Key = key("x", SPAN, "From left to right", "[0, 215]");
const Y: Key = key("y", SPAN, "From bottom to top", "[-1200, 0]");
const OUTLINE: Key = key(
    "points",
    CORNERS,
    "Corners of a polygon of any straight edges, in order, in place of x and y",
    "[[0, 0], [90, 0], [90, 20], [60, 20], [60, 70], [0, 70]]",
);

const HOLES: Key = key(
    "holes",
    List(MOST_HOLES, &CORNERS),
    "Polygons within `points` that stay what was painted before",
    "[[[20, 20], [40, 20], [40, 40], [20, 40]]]",
);
const CIRCLE: Key = key(
    "round",
    Table(&ROUND),
    "A circle, in place of x and y; computed as a regular polygon of 48 sides and the same area",
    "{ at: [0, 900], diameter: 22 }",
);

/// `plan.round`.
pub static ROUND: Block = block(
    "A circle",
    &[
        key("at", POINT, "Its middle", "[0, 900]").needed(),
        key("diameter", Number(ranges::DIAMETER), "Its diameter", "22").needed(),
    ],
);

/// `plan`, a space.
pub static SPACE: Block = block(
    "An entry of `plan` that paints air of an environment; without x or y all of the extent that way",
    &[key("space", Name("environment"), "The environment", "room").needed(), X, Y, OUTLINE, HOLES, CIRCLE],
);

/// `plan`, a fill.
pub static FILL: Block = block(
    "An entry of `plan` that paints a material, by x and y, by points or round",
    &[key("fill", Name("material"), "The material", "softwood").needed(), X, Y, OUTLINE, HOLES, CIRCLE],
);

/// `plan`, layers.
pub static LAYERS: Block = block(
    "An entry of `plan` that paints layers side by side; along an axis, where they lie the other way is y for layers along x, x for layers along y; at an angle, or beside a line, `length` and `ends`",
    &[
        key(
            "layers",
            Either(&[
                List(
                    MOST_LAYERS,
                    &Pair([
                        ("MATERIAL", &Name("material")),
                        ("THICKNESS", &Number(ranges::PAINTED_THICKNESS)),
                    ]),
                ),
                Table(&LAYERS_OF_BUILD_UP),
            ]),
            "[MATERIAL, THICKNESS in mm] each, or a build-up",
            "[[aircrete_600, 215], [eps, 140]]",
        )
        .needed(),
        key(
            "along",
            Either(&[Word(&["+x", "-x", "+y", "-y"]), Table(&ALONG_ANGLE), Table(&ALONG_LINE)]),
            "The direction in which the layers follow each other, or the line that they lie to the left of",
            "+x",
        )
        .needed(),
        key(
            "from",
            Either(&[Number(ranges::COORDINATE), POINT]),
            "Where the first begins; at an angle, the corner at which its first face begins",
            "0",
        ),
        X,
        Y,
        key(
            "length",
            Number(ranges::DRAWN_LENGTH),
            "At an angle: how long the first face is, with the layers to its left",
            "3000",
        ),
        key(
            "ends",
            Either(&[END, Pair([("FIRST", &END), ("SECOND", &END)])]),
            "At an angle or beside a line: cut at right angles, upright, or along a horizontal; one word for both ends, or one for each",
            "plumb",
        )
        .unless("square"),
    ],
);

const END: Kind = Word(&["square", "plumb", "level"]);

/// `plan.along`, by an angle.
pub static ALONG_ANGLE: Block = block(
    "The direction in which layers follow each other",
    &[key("angle", Number(ranges::ANGLE), "From +x towards +y: 90 is upwards", "125").needed()],
);

/// `plan.along`, by a line.
pub static ALONG_LINE: Block = block(
    "The first face of a row of layers, which lie to the left of whoever goes along it",
    &[
        key("from", POINT, "Where it begins", "[0, 200]").needed(),
        key("to", POINT, "Where it ends", "[1474, 1232]").needed(),
    ],
);

/// `plan`, layers of a build-up.
pub static LAYERS_OF_BUILD_UP: Block = block(
    "Layers by a build-up",
    &[key("build_up", Name("build-up"), "Its name; its first layer is the first", "wall").needed()],
);

/// `plan`, a cavity.
pub static CAVITY: Block = block(
    "An entry of `plan` that paints enclosed air, by x and y, by points or round. Air that is connected counts as one cavity, cut at throats of 2 mm and less and where long gaps bend",
    &[
        key("cavity", Word(&["frame", "building"]), "By ISO 10077-2, or by ISO 6946", "frame").needed(),
        X,
        Y,
        OUTLINE,
        HOLES,
        CIRCLE,
        key(
            "emissivity",
            Either(&[
                Number(ranges::EMISSIVITY),
                Pair([("ONE", &Number(ranges::EMISSIVITY)), ("OTHER", &Number(ranges::EMISSIVITY))]),
            ]),
            "Of its sides; a single number is that of one, the other has 0.9",
            "0.2",
        )
        .unless("0.9"),
        key(
            "slit",
            Number(ranges::SLIT),
            "Width of the slit by which it is open to outside, at most 10",
            "3",
        )
        .unless("0"),
    ],
);
