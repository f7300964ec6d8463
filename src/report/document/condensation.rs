//! Mould and condensation on the surfaces of a junction: `condensation.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::f_rsi;
use super::what_helps::{AgainstFile, WhatHelps};
use super::{Named, PROGRAM, VERSION, place};
use crate::case::Case;
use crate::climate::humid_air::{surface_humidity, surface_temperature_at};
use crate::climate::{Climate, MONTHS};
use crate::model::{Environment, Role};
use crate::result::condensation::{self as assessed, LimitKind};
use crate::result::temperature_factor::Coldest;
use crate::result::what_helps::Effect;
use crate::result::{Outcome, months};

/// Mould and condensation at a junction.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Condensation {
    /// Version of this document.
    pub coldseam: u32,
    /// Version of the program.
    pub program: &'static str,
    /// The title of the case.
    pub title: String,
    /// True if everything that was looked at is safe; what is too close to tell is not.
    pub is_safe: bool,
    /// The name of the climate whose months were gone through; absent without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub climate: Option<String>,
    /// Every internal environment that is warmer than outside.
    pub environments: Vec<Assessment>,
    /// What single changes are worth, the best first; empty unless asked for.
    pub what_helps: Vec<WhatHelps>,
    /// What the values given with `--set` change; absent where they change nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AgainstFile")]
    pub against_file: Option<AgainstFile>,
}

/// What one internal environment's surfaces come to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Assessment {
    /// The environment.
    pub environment: String,
    /// Its temperature, °C.
    pub temperature: f64,
    /// Relative humidity of the design conditions, 0 to 1; null where the case states none.
    pub humidity: Option<f64>,
    /// The outside temperature of the design conditions, °C.
    pub external_temperature: f64,
    /// The coldest place of the surfaces that count.
    pub coldest: ColdestPlace,
    /// Estimated error of its factor; null where no finer grid was computed.
    pub estimated_error: Option<f64>,
    /// The dew point of its air, °C; absent where the case states no humidity.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub dew_point: Option<f64>,
    /// Relative humidity at the coldest place, 0 to 1 and beyond; absent where the case states no humidity.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub surface_humidity: Option<f64>,
    /// Margin added to the humidity of the design conditions, 0 to 1; null where the case states no humidity.
    pub humidity_margin: Option<f64>,
    /// True if all surfaces are judged apart (frames, glazing): then all of this is about them.
    pub only_judged_apart: bool,
    /// The surfaces judged apart beside those that count; null where there are none.
    pub excluded: Option<Apart>,
    /// Each limit at the design conditions.
    pub limits: Vec<Limit>,
    /// True if everything that was looked at in this environment is safe.
    pub is_safe: bool,
    /// Month by month; null without a climate.
    pub year: Option<Year>,
}

/// The coldest place of some surfaces.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ColdestPlace {
    /// The temperature factor there.
    pub f_rsi: f64,
    /// The temperature there, °C.
    pub temperature: f64,
    /// Where that is, x and y, mm.
    pub at: [f64; 2],
    /// The material whose surface it is, by name.
    pub material: String,
    /// The same for readers.
    pub material_label: String,
    /// For three and more temperatures, the weight of each environment's temperature; their sum is 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Named<f64>")]
    pub weights: Option<Named<f64>>,
}

/// What the surfaces judged apart (frames, glazing) come to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Apart {
    /// The coldest place of them.
    #[serde(flatten)]
    pub coldest: ColdestPlace,
    /// Estimated error of its factor; null where no finer grid was computed.
    pub estimated_error: Option<f64>,
    /// Condensation at the design conditions.
    pub limits: [Limit; 1],
    /// Month by month; null without a climate.
    pub year: Option<Year>,
}

/// A limit at the design conditions.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Limit {
    /// Which: `mould` (80 % at the surface), `condensation` (100 %), or `criterion` (the critical f_Rsi of
    /// the case).
    pub limit: LimitKind,
    /// The temperature factor that it takes; null where the humidity of the room is not stated.
    pub needed_f_rsi: Option<f64>,
    /// The verdict; null where it cannot be told.
    pub verdict: Option<Verdict>,
    /// Relative humidity of the room, 0 to 1, from which the limit is passed; above 1 it never is. Null for a
    /// criterion.
    pub begins_at_humidity: Option<f64>,
    /// Length of surface below the limit, m.
    pub length_below: f64,
}

/// Whether a limit is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Kept for sure.
    Safe,
    /// Too close to tell.
    TooClose,
    /// Passed for sure.
    Fails,
}

/// Twelve months.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Year {
    /// The name of the climate.
    pub climate: String,
    /// Where the climate comes from.
    pub source: String,
    /// The air inside, in words.
    pub indoor: String,
    /// The temperature of each unheated space in the coldest month, °C: it stays where it is between inside and
    /// outside at the design conditions.
    pub unheated: Named<f64>,
    /// What must not happen in any month: `mould`, or `condensation` on surfaces judged apart.
    pub judged_by: LimitKind,
    /// The month that asks for the highest temperature factor; null if no month asks for any.
    pub critical_month: Option<&'static str>,
    /// January to December.
    pub months: Vec<Month>,
}

/// One month.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Month {
    /// Its name.
    pub month: &'static str,
    /// Temperature outside, °C.
    pub outdoor_temperature: f64,
    /// Vapour pressure outside, Pa.
    pub outdoor_pressure: f64,
    /// Vapour pressure inside, Pa.
    pub indoor_pressure: f64,
    /// Saturation pressure that the surface needs, Pa.
    pub needed_saturation_pressure: f64,
    /// Lowest safe surface temperature, °C.
    pub needed_surface_temperature: f64,
    /// The temperature factor that it takes; null where it is not colder outside than inside.
    pub needed_f_rsi: Option<f64>,
    /// The coldest surface, °C.
    pub surface_temperature: f64,
    /// Relative humidity there, 0 to 1 and beyond.
    pub surface_humidity: f64,
    /// The verdict.
    pub verdict: Verdict,
}

impl Verdict {
    /// For readers.
    pub fn label(self) -> &'static str {
        let computed = match self {
            Self::Safe => assessed::Verdict::Safe,
            Self::TooClose => assessed::Verdict::TooClose,
            Self::Fails => assessed::Verdict::Fails,
        };
        computed.label()
    }
}

impl From<assessed::Verdict> for Verdict {
    fn from(verdict: assessed::Verdict) -> Self {
        match verdict {
            assessed::Verdict::Safe => Self::Safe,
            assessed::Verdict::TooClose => Self::TooClose,
            assessed::Verdict::Fails => Self::Fails,
        }
    }
}

impl Condensation {
    /// The document of a case.
    pub fn of(
        outcome: &Outcome,
        climate: Option<&Climate>,
        assessments: &[assessed::Assessment],
        effects: &[Effect],
    ) -> Self {
        Self {
            coldseam: VERSION,
            program: PROGRAM,
            title: outcome.case.title.clone(),
            is_safe: assessed::are_safe(assessments),
            climate: climate.map(|climate| climate.name.clone()),
            environments: assessments
                .iter()
                .map(|item| Assessment::of(&outcome.case, climate, item))
                .collect(),
            what_helps: effects.iter().map(|effect| WhatHelps::of(&outcome.case, effect)).collect(),
            against_file: None,
        }
    }

    /// The environment of the lowest f_Rsi, which a submission states. Rooms that have nothing but surfaces
    /// judged apart have none.
    pub fn lowest(&self) -> Option<&Assessment> {
        let counted = self.environments.iter().filter(|environment| !environment.only_judged_apart);
        counted.min_by(|a, b| a.coldest.f_rsi.total_cmp(&b.coldest.f_rsi))
    }
}

impl Assessment {
    fn of(case: &Case, climate: Option<&Climate>, assessment: &assessed::Assessment) -> Self {
        let year = |year: &assessed::MonthlyCheck| climate.map(|climate| Year::of(case, climate, year));
        let apart = |apart: &assessed::Apart| Apart {
            coldest: ColdestPlace::of(case, &apart.coldest),
            estimated_error: apart.error,
            limits: [Limit::from(&apart.limit)],
            year: apart.year.as_ref().and_then(year),
        };
        let environment = &case.model.environments[assessment.environment];
        let temperature = environment.temperature;
        // Air without water has no dew point.
        let humidity = assessment.humidity.filter(|humidity| *humidity > 0.0);
        Self {
            environment: environment.name.clone(),
            temperature,
            humidity: assessment.humidity,
            external_temperature: assessment.external_temperature,
            coldest: ColdestPlace::of(case, &assessment.coldest),
            estimated_error: assessment.error,
            dew_point: humidity.map(|humidity| surface_temperature_at(temperature, humidity, 1.0)),
            surface_humidity: humidity
                .map(|humidity| surface_humidity(temperature, humidity, assessment.coldest.temperature)),
            humidity_margin: assessment.humidity.map(|_| 0.0),
            only_judged_apart: assessment.only_apart,
            excluded: assessment.excluded.as_ref().map(apart),
            limits: assessment.limits.iter().map(Limit::from).collect(),
            is_safe: assessment.is_safe(),
            year: assessment.year.as_ref().and_then(year),
        }
    }
}

impl ColdestPlace {
    fn of(case: &Case, coldest: &Coldest) -> Self {
        let material = &case.model.materials[coldest.material];
        Self {
            f_rsi: coldest.factor,
            temperature: coldest.temperature,
            at: place(coldest.at),
            material: material.name.clone(),
            material_label: material.label.clone(),
            weights: f_rsi::weights(case, coldest),
        }
    }
}

impl From<&assessed::Limit> for Limit {
    fn from(limit: &assessed::Limit) -> Self {
        Self {
            limit: limit.kind,
            needed_f_rsi: limit.needed,
            verdict: limit.verdict.map(Verdict::from),
            begins_at_humidity: limit.onset,
            length_below: limit.length_below,
        }
    }
}

impl Year {
    fn of(case: &Case, climate: &Climate, year: &assessed::MonthlyCheck) -> Self {
        let coldest = year.months.iter().map(|row| row.outdoor).fold(f64::INFINITY, f64::min);
        let all = months::temperatures(&case.model, climate, coldest);
        let spaces = case.model.environments.iter().zip(all);
        let is_unheated = |space: &Environment| space.role == Role::Unheated && space.is_touched;
        let unheated = spaces
            .filter(|(space, _)| is_unheated(space))
            .map(|(space, temperature)| (space.name.clone(), temperature));
        let month = |(month, row): (&&'static str, &assessed::MonthRow)| Month {
            month,
            outdoor_temperature: row.outdoor,
            outdoor_pressure: row.outdoor_pressure,
            indoor_pressure: row.indoor_pressure,
            needed_saturation_pressure: row.needed_pressure,
            needed_surface_temperature: row.needed_temperature,
            needed_f_rsi: row.needed,
            surface_temperature: row.surface,
            surface_humidity: row.surface_humidity,
            verdict: row.verdict.into(),
        };
        Self {
            climate: climate.name.clone(),
            source: climate.source.clone(),
            indoor: year.indoor.description(),
            unheated: unheated.collect(),
            judged_by: year.kind,
            critical_month: year.critical.map(|month| MONTHS[month]),
            months: MONTHS.iter().zip(&year.months).map(month).collect(),
        }
    }
}
