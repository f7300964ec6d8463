//! Mould and surface condensation on the inside of a junction (ISO 13788:2012, clause 5): where, from which
//! humidity, in which months.
//!
//! ```text
//! surface humidity      φ_si = p_i/p_sat(θ_si)
//! lowest safe surface   p_sat(θ_si,min) = p_i/φ_limit        φ_limit 0.8 for mould, 1 for condensation
//! needed factor         f_min = (θ_si,min − θ_e)/(θ_i − θ_e)
//! ```
//!
//! The months take the fields of the one solution: temperatures are linear in those of the environments (ISO
//! 10211, weighting factors). Which temperatures these are in a month: [`months`].
//!
//! The materials that the case judges apart, frames and glazing, are judged too: on them condensation counts,
//! not mould, since water does them no harm that 80 % would (common reading of ISO 13788's clause on elements
//! of low thermal inertia; from memory). What they come to counts like the rest. They follow the weather
//! within hours, so that the standard takes the coldest day of a year for them; months are too mild, and a
//! month without condensation proves nothing. The design conditions are the place for that day's temperature.
//!
//! A humidity of the design conditions is taken as it stands, without the margin that a fixed humidity gets
//! month by month: codes that ask for 20 °C and 50 % (DIN 4108-2: f_Rsi 0.70 at −5 °C, which is the value
//! without margin) mean those 50 %.

use super::Outcome;
use super::coupling::Temperatures;
use super::months;
use super::profile::Profile;
use super::temperature_factor::{Coldest, coldest};
use crate::climate::humid_air::{MOULD, saturation_pressure, saturation_temperature};
use crate::climate::{Climate, Indoor};
use crate::model::EnvironmentId;

/// What one internal environment's surfaces come to.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// The coldest place of the surfaces that count.
    pub coldest: Coldest,
    /// True if all surfaces are judged apart (frames, glazing): then all of this is about them.
    pub only_apart: bool,
    /// Estimated error of its f_Rsi, where a finer grid was computed.
    pub error: Option<f64>,
    /// The surfaces judged apart beside those that count.
    pub excluded: Option<Apart>,
    /// θ_e of the design conditions, °C.
    pub external_temperature: f64,
    /// Relative humidity of the design conditions, 0 to 1, where the case states one.
    pub humidity: Option<f64>,
    /// Each limit at the design conditions.
    pub limits: Vec<Limit>,
    /// Month by month, where there is a climate.
    pub year: Option<MonthlyCheck>,
}

/// True if there is a room and everything of all rooms is safe.
pub fn are_safe(assessments: &[Assessment]) -> bool {
    !assessments.is_empty() && assessments.iter().all(Assessment::is_safe)
}

/// What the surfaces judged apart (frames, glazing) come to.
#[derive(Clone, Debug)]
pub struct Apart {
    /// The coldest place.
    pub coldest: Coldest,
    /// Estimated error of its factor, where a finer grid was computed.
    pub error: Option<f64>,
    /// Condensation at the design conditions.
    pub limit: Limit,
    /// Month by month, where there is a climate.
    pub year: Option<MonthlyCheck>,
}

/// What must not happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitKind {
    /// Surface humidity above 80 %.
    Mould,
    /// Surface humidity of 100 %.
    Condensation,
    /// f_Rsi below the value a code asks for.
    Criterion,
}

impl LimitKind {
    /// For readers.
    pub fn label(self) -> &'static str {
        match self {
            Self::Mould => "mould growth (80 % at the surface)",
            Self::Condensation => "surface condensation (100 %)",
            Self::Criterion => "criterion of the case",
        }
    }

    /// In one or two words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Mould => "mould",
            Self::Condensation => "condensation",
            Self::Criterion => "criterion",
        }
    }

    /// The humidity at the surface that it begins with, 0 to 1; that of condensation where it is about
    /// something else.
    fn share(self) -> f64 {
        if self == Self::Mould { MOULD } else { 1.0 }
    }

    /// The key in results.
    pub fn key(self) -> &'static str {
        match self {
            Self::Mould => "mould",
            Self::Condensation => "condensation",
            Self::Criterion => "criterion",
        }
    }
}

/// Whether a limit is kept. The error of f_Rsi decides how sure that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Kept, whatever the error.
    Safe,
    /// Nearer than the estimated error.
    TooClose,
    /// Not kept.
    Fails,
}

impl Verdict {
    fn of(factor: f64, needed: f64, error: Option<f64>) -> Self {
        let error = error.unwrap_or(0.0);
        if factor - error >= needed {
            Self::Safe
        } else if factor + error < needed {
            Self::Fails
        } else {
            Self::TooClose
        }
    }

    /// For readers.
    pub fn label(self) -> &'static str {
        match self {
            Self::Safe => "safe",
            Self::TooClose => "too close to tell",
            Self::Fails => "FAILS",
        }
    }
}

/// A limit at the design conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Which.
    pub kind: LimitKind,
    /// f_Rsi that it takes; none where the humidity of the room is not stated.
    pub needed: Option<f64>,
    /// The verdict, where it can be told.
    pub verdict: Option<Verdict>,
    /// Relative humidity of the room, 0 to 1, from which the limit is passed; above 1 it never is. None for a
    /// criterion.
    pub onset: Option<f64>,
    /// Length of surface below the limit, m.
    pub length_below: f64,
}

/// Twelve months.
#[derive(Clone, Debug)]
pub struct MonthlyCheck {
    /// What must not happen in any month: mould, or condensation on surfaces judged apart.
    pub kind: LimitKind,
    /// The air inside.
    pub indoor: Indoor,
    /// January to December.
    pub months: Vec<MonthRow>,
    /// Index of the month that asks for the highest f_Rsi; none if no month asks for any.
    pub critical: Option<usize>,
}

/// One month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthRow {
    /// °C.
    pub outdoor: f64,
    /// Vapour pressure outside, Pa.
    pub outdoor_pressure: f64,
    /// Vapour pressure inside, Pa.
    pub indoor_pressure: f64,
    /// Saturation pressure that the surface needs, Pa.
    pub needed_pressure: f64,
    /// Lowest safe surface temperature, °C.
    pub needed_temperature: f64,
    /// f_min; none where it is not colder outside than inside.
    pub needed: Option<f64>,
    /// The coldest surface, °C.
    pub surface: f64,
    /// Relative humidity there, 0 to 1 and beyond.
    pub surface_humidity: f64,
    /// The verdict.
    pub verdict: Verdict,
}

impl MonthlyCheck {
    /// The months that fail, by index.
    pub fn failing(&self) -> impl Iterator<Item = usize> {
        (0..self.months.len()).filter(|month| self.months[*month].verdict == Verdict::Fails)
    }
}

impl Assessment {
    /// True if something was judged and all of it is safe, surfaces judged apart included; what is too close
    /// to tell is not.
    pub fn is_safe(&self) -> bool {
        self.is_judged() && self.verdicts().all(|verdict| verdict == Verdict::Safe)
    }

    /// True if anything could be judged.
    pub fn is_judged(&self) -> bool {
        self.verdicts().next().is_some()
    }

    fn verdicts(&self) -> impl Iterator<Item = Verdict> {
        let limits = self.limits.iter().chain(self.excluded.iter().map(|apart| &apart.limit));
        let years = self.year.iter().chain(self.excluded.iter().filter_map(|apart| apart.year.as_ref()));
        let months = years.flat_map(|year| &year.months).map(|month| month.verdict);
        limits.filter_map(|limit| limit.verdict).chain(months)
    }

    /// The strictest factor that anything asks for.
    pub fn needed(&self) -> Option<f64> {
        let limits = self.limits.iter().filter_map(|limit| limit.needed);
        let months = self.year.iter().flat_map(|year| &year.months).filter_map(|month| month.needed);
        limits.chain(months).reduce(f64::max)
    }
}

/// Surfaces that are judged by one rule.
struct Surfaces<'o> {
    outcome: &'o Outcome,
    environment: EnvironmentId,
    coldest: &'o Coldest,
    error: Option<f64>,
    external: f64,
    are_apart: bool,
}

/// Every internal environment that is warmer than outside; with a climate month by month too.
pub fn assess(outcome: &Outcome, climate: Option<&Climate>) -> Vec<Assessment> {
    let case = &outcome.case;
    let of = |factor: &super::temperature_factor::TemperatureFactor| {
        let environment = &case.model.environments[factor.environment];
        let surfaces = |coldest, are_apart: bool| Surfaces {
            outcome,
            environment: factor.environment,
            coldest,
            error: outcome.coldest_error(factor.environment, are_apart),
            external: factor.external_temperature,
            are_apart,
        };
        let own = factor.coldest.as_ref().map(|coldest| surfaces(coldest, false));
        let apart = factor.coldest_excluded.as_ref().map(|coldest| surfaces(coldest, true));
        let only_apart = own.is_none();
        let (judged, apart) = if only_apart { (apart?, None) } else { (own?, apart) };
        let indoor = climate
            .and_then(|climate| Some((climate, months::indoor(&case.model, climate, factor.environment)?)));
        let year = |surfaces: &Surfaces<'_>| indoor.map(|(climate, indoor)| surfaces.year(climate, indoor));
        Some(Assessment {
            environment: factor.environment,
            coldest: judged.coldest.clone(),
            only_apart,
            error: judged.error,
            excluded: apart.map(|apart| Apart {
                coldest: apart.coldest.clone(),
                error: apart.error,
                limit: apart.by_humidity(LimitKind::Condensation),
                year: year(&apart),
            }),
            external_temperature: factor.external_temperature,
            humidity: environment.humidity,
            limits: judged.limits(),
            year: year(&judged),
        })
    };
    outcome.factors.iter().filter_map(of).collect()
}

/// The assessment of the lowest f_Rsi, which a submission states. Rooms that have nothing but surfaces judged
/// apart have none.
pub fn lowest(assessments: &[Assessment]) -> Option<&Assessment> {
    let counted = assessments.iter().filter(|assessment| !assessment.only_apart);
    counted.min_by(|a, b| a.coldest.factor.total_cmp(&b.coldest.factor))
}

impl Surfaces<'_> {
    fn limits(&self) -> Vec<Limit> {
        if self.are_apart {
            return vec![self.by_humidity(LimitKind::Condensation)];
        }
        let mut limits = vec![self.by_humidity(LimitKind::Mould), self.by_humidity(LimitKind::Condensation)];
        let condensation = self.outcome.case.model.condensation.as_ref();
        if let Some(critical) = condensation.and_then(|condensation| condensation.critical) {
            limits.push(Limit {
                kind: LimitKind::Criterion,
                needed: Some(critical),
                verdict: Some(Verdict::of(self.coldest.factor, critical, self.error)),
                onset: None,
                length_below: self.length_below(critical),
            });
        }
        limits
    }

    /// A limit that follows from the humidity of the room.
    fn by_humidity(&self, kind: LimitKind) -> Limit {
        let air = &self.outcome.case.model.environments[self.environment];
        let saturated = saturation_pressure(air.temperature);
        let lowest = |humidity: f64| saturation_temperature(humidity * saturated / kind.share());
        let needed = air
            .humidity
            .map(|humidity| (lowest(humidity) - self.external) / (air.temperature - self.external));
        let needed = needed.filter(|needed| needed.is_finite());
        Limit {
            kind,
            needed,
            verdict: needed.map(|needed| Verdict::of(self.coldest.factor, needed, self.error)),
            onset: Some(kind.share() * saturation_pressure(self.coldest.temperature) / saturated),
            length_below: needed.map_or(0.0, |needed| self.length_below(needed)),
        }
    }

    /// Length of these surfaces colder than a factor allows, m.
    fn length_below(&self, needed: f64) -> f64 {
        let apart = self.outcome.case.model.judged_apart();
        let own = self.outcome.profiles.iter().filter(|profile| profile.environment == self.environment);
        let stretches = own
            .flat_map(Profile::stretches)
            .filter(|stretch| apart.contains(&stretch.material) == self.are_apart);
        // An empty sum is −0.
        stretches.filter_map(|stretch| stretch.below(needed)).map(|(from, to)| to - from).sum::<f64>() + 0.0
    }

    fn year(&self, climate: &Climate, indoor: Indoor) -> MonthlyCheck {
        let case = &self.outcome.case;
        let skin = &self.outcome.skin;
        let is_plain = Temperatures::of(&case.model).distinct() < 3;
        let kind = if self.are_apart { LimitKind::Condensation } else { LimitKind::Mould };
        let row = |month: &crate::climate::Month| {
            let (outdoor, inside) = (month.temperature, indoor.temperature);
            let surface = if is_plain {
                outdoor + self.coldest.factor * (inside - outdoor)
            } else {
                let field = skin.combined(&months::temperatures(&case.model, climate, outdoor));
                coldest(&case.model, skin, &field, self.environment, self.are_apart)
                    .map_or(inside, |coldest| coldest.temperature)
            };
            let indoor_pressure = indoor.pressure(month);
            let needed_pressure = indoor_pressure / kind.share();
            let needed_temperature = saturation_temperature(needed_pressure);
            let needed = (outdoor < inside).then(|| (needed_temperature - outdoor) / (inside - outdoor));
            let surface_humidity = indoor_pressure / saturation_pressure(surface);
            let verdict = match needed {
                Some(needed) => Verdict::of((surface - outdoor) / (inside - outdoor), needed, self.error),
                None if surface_humidity <= kind.share() => Verdict::Safe,
                None => Verdict::Fails,
            };
            MonthRow {
                outdoor,
                outdoor_pressure: month.pressure(),
                indoor_pressure,
                needed_pressure,
                needed_temperature,
                needed,
                surface,
                surface_humidity,
                verdict,
            }
        };
        let months: Vec<MonthRow> = climate.months.iter().map(row).collect();
        let asking = (0..12).filter_map(|month| Some((month, months[month].needed?)));
        let critical = asking.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(month, _)| month);
        MonthlyCheck { kind, indoor, months, critical }
    }
}
