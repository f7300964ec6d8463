//! Keys of a climate and of a dwelling.

use super::Kind::{Either, List, Lists, Name, Named, Number, Pair, Table, Text};
use super::{Block, CONVENTIONS, Kind, MANY, SOME, block, key};
use crate::ranges;

/// `climate`.
pub static CLIMATE: Block = block(
    "A year of monthly means outside, and the air inside",
    &[
        key("name", Text, "The place", "\"Hill town, 480 m\"").needed(),
        key("source", Text, "Where the values come from", "\"test reference year, document 7\"").needed(),
        key(
            "months",
            Lists(12, &Pair([("TEMPERATURE", &Number(ranges::CLIMATE_TEMPERATURE)), ("HUMIDITY", &Number(ranges::HUMIDITY))])),
            "January to December: temperature in °C, relative humidity in %",
            "[[-1, 85], [0, 82], [4, 76], [8, 71], [13, 71], [16, 72], [18, 72], [17, 75], [14, 80], [9, 83], [4, 86], [0, 87]]",
        )
        .needed(),
        key("indoor", Table(&INDOOR), "The air inside, all year", "{ temperature: 20, class: 3 }"),
    ],
);

/// `climate.indoor`.
pub static INDOOR: Block = block(
    "The air inside (ISO 13788): its moisture by `humidity`, by `class`, or by `production` with `ventilation`",
    &[
        key("temperature", Number(ranges::CLIMATE_TEMPERATURE), "Its temperature", "20").needed(),
        key("humidity", Number(ranges::HUMIDITY), "Relative humidity all year; the standard's margin of 5 % is added", "50"),
        key("class", Number(ranges::HUMIDITY_CLASS), "Humidity class 1 to 4", "3"),
        key("production", Number(ranges::PRODUCTION), "Moisture that is produced", "0.4"),
        key("ventilation", Number(ranges::VENTILATION), "Outdoor air that carries it off", "120"),
    ],
)
.one_of(&[&["humidity", "class", "production"]]);

/// `dwelling`.
pub static DWELLING: Block = block(
    "A dwelling: areas and lengths, to be added up (ISO 13789)",
    &[
        key("convention", CONVENTIONS, "How all its lengths and areas are measured", "external").needed(),
        key("elements", List(5_000, &Table(&ELEMENT)), "Plane elements", ""),
        key("junctions", List(5_000, &Table(&JUNCTION)), "Junctions", ""),
    ],
);

/// b of an element or a junction.
const FACTOR: Kind = Either(&[Number(ranges::SHARE), Table(&REDUCTION)]);

/// `dwelling.elements`, an item.
pub static ELEMENT: Block = block(
    "A plane element of the dwelling",
    &[
        key("element", Text, "Its name", "\"external walls\"").needed(),
        key("area", Number(ranges::AREA), "Its area", "84").needed(),
        key("u_value", Number(ranges::U_VALUE), "Its U-value, stated", "0.18"),
        key("build_up", Name("build-up"), "The build-up that it is", "wall"),
        key("floor", Name("floor"), "The floor over the ground that it is", "slab"),
        key("window", Name("window"), "The window that it is", "front"),
        key("reduction", FACTOR, "Temperature reduction factor b, below 1 towards what is not heated", "0.6")
            .unless("1"),
        key("convention", CONVENTIONS, "How the area is measured: as the dwelling is", "external")
            .unless("the dwelling's"),
    ],
)
.one_of(&[&["u_value", "build_up", "floor", "window"]]);

/// The environments on either side.
pub(super) const SIDES: Kind = Pair([("ONE", &SIDE), ("OTHER", &SIDE)]);
const SIDE: Kind = Either(&[Name("environment"), List(SOME, &Name("environment"))]);

/// `dwelling.junctions`, an item.
pub static JUNCTION: Block = block(
    "A junction of the dwelling",
    &[
        key("junction", Text, "Its name", "\"outer corners\"").needed(),
        key("length", Number(ranges::LENGTH_IN_METRES), "Its length", "10.4").needed(),
        key("case", Text, "The case that ψ is computed from: a file, from the folder of this one", "outer-corner.yaml"),
        key("psi", Number(ranges::PSI), "ψ, stated; with `source`", "0.06"),
        key("source", Text, "Where a stated ψ is from", "\"default value of the code, table 3\""),
        key("convention", CONVENTIONS, "By which dimensions a stated ψ is: the dwelling's", "external"),
        key("between", SIDES, "The environments on either side, where the case states ψ for several pairs", "[room, outside]"),
        key(
            "set",
            Named("PARAMETER", MANY, &Number(ranges::PARAMETER)),
            "Parameters that the junction's case keeps for itself, against the dwelling's",
            "{ lap: 20 }",
        ),
        key(
            "match",
            Named("FLANKING", SOME, &Text),
            "Which element of the dwelling a flanking element of the case is; `none` where the areas do not contain it",
            "{ wall: external walls }",
        ),
        key("reduction", FACTOR, "Temperature reduction factor b, below 1 towards what is not heated", "0.6").unless("1"),
    ],
)
.one_of(&[&["case", "psi"]]);

/// `reduction` by the temperatures of a case.
pub static REDUCTION: Block = block(
    "b = (θ_i − θ_u)/(θ_i − θ_e) by the temperatures of a case",
    &[
        key(
            "case",
            Text,
            "The case: a file, from the folder of this one; an element needs one",
            "garage.yaml",
        )
        .unless("the junction's own"),
        key("space", Name("environment"), "Its environment that is not heated", "garage")
            .unless("the only one"),
    ],
);
