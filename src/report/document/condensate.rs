//! Condensation inside a build-up, month by month.

use schemars::JsonSchema;
use serde::Serialize;

use crate::climate::MONTHS;
use crate::element::build_up::BuildUp;
use crate::element::condensate as computed;
use crate::element::vapour::{Interface, Origin};
use crate::report::diagnostics::printable;

/// Condensation inside a build-up, or why it cannot be told.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Condensate {
    /// The vapour resistance of a layer is not known.
    Unknown {
        /// The layer whose vapour resistance is not known.
        vapour_resistance_unknown: String,
    },
    /// The year that the build-up comes to.
    Known(Box<CondensateYear>),
}

/// The year that a build-up comes to (ISO 13788).
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CondensateYear {
    /// The name of the climate.
    pub climate: String,
    /// Where the climate comes from.
    pub source: String,
    /// The air inside, in words.
    pub indoor: String,
    /// Vapour-equivalent thickness s_d of each layer counted, m.
    pub vapour_thickness: Vec<f64>,
    /// Vapour resistance factor μ of each layer counted; null where s_d comes from elsewhere.
    pub vapour_resistance: Vec<Option<f64>>,
    /// Where s_d of each layer counted comes from.
    pub vapour_thickness_from: Vec<VapourFrom>,
    /// How a slightly ventilated air layer was taken; null where there is none.
    pub slightly_ventilated: Option<Slight>,
    /// The months from the first with condensation, in calendar order; what stays dry is left out.
    pub months: Vec<MonthOfCondensate>,
    /// Years gone through until the year shown, from dry.
    pub years: usize,
    /// What the years come to.
    pub ending: Ending,
    /// The largest sum held at any moment of that year, kg/m²; null where the years come to no end of it.
    pub largest: Option<f64>,
    /// The same for each place that is ever wet; empty where `largest` is null.
    pub largest_by_place: Vec<Peak>,
    /// What the year adds for good, kg/m².
    pub left_after_a_year: f64,
    /// The same for each place that gains.
    pub left_by_place: Vec<Gain>,
}

/// How a slightly ventilated air layer was taken.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Slight {
    /// The worse reading, which is shown.
    pub taken_as: TakenAs,
    /// What the other reading comes to.
    pub other_reading: OtherReading,
}

/// A reading of a slightly ventilated air layer.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TakenAs {
    /// As outside air: what lies beyond does not count.
    OutsideAir,
    /// As closed.
    Unventilated,
}

/// The year by the other reading.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OtherReading {
    /// What the years come to.
    pub ending: Ending,
    /// The largest sum held at any moment, kg/m²; null where the years come to no end of it.
    pub largest: Option<f64>,
    /// What the year adds for good, kg/m².
    pub left_after_a_year: f64,
    /// Years gone through until then, from dry.
    pub years: usize,
}

/// Where the vapour-equivalent thickness of a layer comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum VapourFrom {
    /// It is stated.
    Stated,
    /// The fixed value of air layers.
    Air,
    /// One μ for all states.
    OnlyValue,
    /// μ, wet, of a layer inside of the main insulation.
    WetValue,
    /// μ, dry, of the main insulation or of a layer outside of it.
    DryValue,
    /// No vapour passes.
    Tight,
}

impl VapourFrom {
    /// For readers; nothing where there is nothing to choose.
    pub fn label(self) -> &'static str {
        match self {
            Self::Stated => "stated as s_d",
            Self::Air => "air layer",
            Self::OnlyValue => "",
            Self::WetValue => "wet value",
            Self::DryValue => "dry value",
            Self::Tight => "vapour-tight",
        }
    }
}

impl From<Origin> for VapourFrom {
    fn from(origin: Origin) -> Self {
        match origin {
            Origin::Stated => Self::Stated,
            Origin::Air => Self::Air,
            Origin::Only(_) => Self::OnlyValue,
            Origin::Wet(_) => Self::WetValue,
            Origin::Dry(_) => Self::DryValue,
            Origin::Tight(_) => Self::Tight,
        }
    }
}

/// The place of an interface in words.
pub fn interface(build_up: &BuildUp, interface: &Interface) -> String {
    let label = |index: usize| printable(&build_up.layers[index].label);
    if interface.is_boundary() {
        format!("between {} and {}", label(interface.layer), label(interface.layer + 1))
    } else {
        format!("within {}", label(interface.layer))
    }
}

/// What the years come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// Nothing condenses in any month.
    Dry,
    /// The year ends as it began.
    Repeats,
    /// The same is added every year.
    Grows,
    /// Neither could be shown.
    Open,
}

/// What a month does.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MonthOfCondensate {
    /// Its name.
    pub month: &'static str,
    /// Each place that is wet.
    pub condensate: Vec<Wet>,
}

/// A place in a month.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Wet {
    /// Where, in words.
    pub place: String,
    /// Condensation in the month, negative for drying, kg/m².
    pub change: f64,
    /// Held at its end, kg/m²; where a place gains every year, counted from the start of the year shown.
    pub held: f64,
}

/// The most that a place holds.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Peak {
    /// Where, in words.
    pub place: String,
    /// How much, kg/m².
    pub amount: f64,
    /// The month in which, or at the end of which, it is reached.
    pub month: &'static str,
}

/// What a place gains every year.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Gain {
    /// Where, in words.
    pub place: String,
    /// How much, kg/m².
    pub amount: f64,
}

impl From<computed::Ending> for Ending {
    fn from(ending: computed::Ending) -> Self {
        match ending {
            computed::Ending::Dry => Self::Dry,
            computed::Ending::Repeats => Self::Repeats,
            computed::Ending::Grows => Self::Grows,
            computed::Ending::Open => Self::Open,
        }
    }
}

impl CondensateYear {
    /// The document of a build-up's year.
    pub fn of(build_up: &BuildUp, wetting: &computed::Wetting<'_>) -> Self {
        let computed::Wetting { climate, indoor, course, year, slight } = wetting;
        let place = |index: usize| interface(build_up, &course.interfaces[index]);
        let wet =
            |wet: &computed::Wet| Wet { place: place(wet.interface), change: wet.change, held: wet.held };
        let month = |(month, items): &(usize, Vec<computed::Wet>)| MonthOfCondensate {
            month: MONTHS[*month],
            condensate: items.iter().map(wet).collect(),
        };
        let peak = |peak: &computed::Peak| Peak {
            place: place(peak.interface),
            amount: peak.amount,
            month: MONTHS[peak.month],
        };
        let gain = |(interface, amount): &(usize, f64)| Gain { place: place(*interface), amount: *amount };
        let slight = slight.as_ref().map(|slight| Slight {
            taken_as: if slight.is_open { TakenAs::OutsideAir } else { TakenAs::Unventilated },
            other_reading: OtherReading {
                ending: slight.other.ending.into(),
                largest: slight.other.largest(),
                left_after_a_year: slight.other.left,
                years: slight.other.years,
            },
        });
        Self {
            climate: climate.name.clone(),
            source: climate.source.clone(),
            indoor: indoor.description(),
            vapour_thickness: course.of_layers.clone(),
            vapour_resistance: course.origins.iter().map(|origin| origin.factor()).collect(),
            vapour_thickness_from: course.origins.iter().copied().map(VapourFrom::from).collect(),
            slightly_ventilated: slight,
            months: year.months.iter().map(month).collect(),
            years: year.years,
            ending: year.ending.into(),
            largest: year.largest(),
            largest_by_place: if year.largest().is_some() {
                year.peaks.iter().map(peak).collect()
            } else {
                Vec::new()
            },
            left_after_a_year: year.left,
            left_by_place: year.gains.iter().map(gain).collect(),
        }
    }
}
