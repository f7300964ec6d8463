//! Mould and surface condensation on the inside of a junction (ISO 13788:2012, clause 5): where, from which humidity, in which months.
//!
//! ```text
//! surface humidity      φ_si = p_i/p_sat(θ_si)
//! lowest safe surface   p_sat(θ_si,min) = p_i/φ_limit        φ_limit 0.8 for mould, 1 for condensation
//! needed factor         f_min = (θ_si,min − θ_e)/(θ_i − θ_e)
//! ```
//!
//! The months take the fields of the one solution: temperatures are linear in those of the environments (ISO 10211, weighting factors).
//! Heated rooms as warm as the one looked at follow its indoor temperature, outside follows the month, and spaces between stay where
//! they are between the two.

use super::Outcome;
use super::coupling::Temperatures;
use super::profile::{self, Profile};
use super::temperature_factor::{Coldest, coldest, external_temperature};
use crate::case::{Case, Role};
use crate::climate::humid_air::{MOULD, saturation_pressure, saturation_temperature};
use crate::climate::{Climate, Indoor, Moisture};

/// What one internal environment's surfaces come to.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// Index of the environment.
    pub environment: usize,
    /// The coldest place of the surfaces that count.
    pub coldest: Coldest,
    /// Estimated error of its f_Rsi, where a finer grid was computed.
    pub error: Option<f64>,
    /// The coldest place of those judged apart (frames, glazing).
    pub excluded: Option<Coldest>,
    /// θ_e of the design conditions, °C.
    pub external_temperature: f64,
    /// Relative humidity of the design conditions, 0 to 1, where the case states one.
    pub humidity: Option<f64>,
    /// Each limit at the design conditions.
    pub limits: Vec<Limit>,
    /// Month by month, where there is a climate.
    pub year: Option<Year>,
}

/// What must not happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Surface humidity above 80 %.
    Mould,
    /// Surface humidity of 100 %.
    Condensation,
    /// f_Rsi below the value a code asks for.
    Criterion,
}

impl Kind {
    /// For readers.
    pub fn label(self) -> &'static str {
        match self {
            Self::Mould => "mould growth (80 % at the surface)",
            Self::Condensation => "surface condensation (100 %)",
            Self::Criterion => "criterion of the case",
        }
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
    pub kind: Kind,
    /// f_Rsi that it takes; none where the humidity of the room is not stated.
    pub needed: Option<f64>,
    /// The verdict, where it can be told.
    pub verdict: Option<Verdict>,
    /// Relative humidity of the room, 0 to 1, from which the limit is passed; above 1 it never is. None for a criterion.
    pub onset: Option<f64>,
    /// Length of surface below the limit, m.
    pub length_below: f64,
}

impl Limit {
    /// The humidity from which the limit is passed, for readers.
    pub fn onset_text(&self) -> String {
        match self.onset {
            None => "–".to_owned(),
            Some(onset) if onset >= 1.0 => "never".to_owned(),
            Some(onset) => format!("{:.0} %", onset * 100.0),
        }
    }

    /// f_Rsi that it takes, for readers.
    pub fn needed_text(&self) -> String {
        self.needed.map_or_else(|| "–".to_owned(), |needed| format!("{needed:.3}"))
    }

    /// Length of surface below it, for readers.
    pub fn below_text(&self) -> String {
        if self.needed.is_some() { format!("{:.3} m", self.length_below) } else { "–".to_owned() }
    }
}

/// Twelve months.
#[derive(Clone, Debug)]
pub struct Year {
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
    /// The verdict on mould.
    pub verdict: Verdict,
}

impl Assessment {
    /// True if everything that was looked at is safe; what is too close to tell is not.
    pub fn is_safe(&self) -> bool {
        let limits = self.limits.iter().filter_map(|limit| limit.verdict);
        let months = self.year.iter().flat_map(|year| &year.months).map(|month| month.verdict);
        limits.chain(months).all(|verdict| verdict == Verdict::Safe)
    }

    /// The strictest factor that anything asks for.
    pub fn needed(&self) -> Option<f64> {
        let limits = self.limits.iter().filter_map(|limit| limit.needed);
        let months = self.year.iter().flat_map(|year| &year.months).filter_map(|month| month.needed);
        limits.chain(months).reduce(f64::max)
    }
}

/// Every internal environment that is warmer than outside; with a climate month by month too.
pub fn assess(outcome: &Outcome, climate: Option<&Climate>) -> Vec<Assessment> {
    let case = &outcome.case;
    let of = |factor: &super::temperature_factor::TemperatureFactor| {
        let coldest = factor.coldest.clone()?;
        let environment = &case.environments[factor.environment];
        let error = outcome.factor_error(factor.environment);
        let external = factor.external_temperature;
        let limits = limits(outcome, factor.environment, &coldest, external, error);
        let year = climate.map(|climate| {
            let stated = environment.humidity.map(Moisture::Humidity);
            let own = stated.map(|moisture| Indoor { temperature: environment.temperature, moisture });
            (climate, climate.indoor.or(own))
        });
        let year =
            year.and_then(|(climate, indoor)| Some(self::year(outcome, (factor.environment, &coldest), climate, indoor?, error)));
        Some(Assessment {
            environment: factor.environment,
            coldest,
            error,
            excluded: factor.coldest_excluded.clone(),
            external_temperature: external,
            humidity: environment.humidity,
            limits,
            year,
        })
    };
    outcome.factors.iter().filter_map(of).collect()
}

fn limits(outcome: &Outcome, environment: usize, coldest: &Coldest, external: f64, error: Option<f64>) -> Vec<Limit> {
    let case = &outcome.case;
    let air = &case.environments[environment];
    let range = air.temperature - external;
    let saturated = saturation_pressure(air.temperature);
    let length_below = |needed: f64| {
        let own = outcome.profiles.iter().filter(|profile| profile.environment == environment);
        // An empty sum is −0.
        own.map(|profile| length(&case_profile(case, profile), needed)).sum::<f64>() + 0.0
    };
    let by_humidity = |kind: Kind, share: f64| {
        let needed = air.humidity.map(|humidity| (saturation_temperature(humidity * saturated / share) - external) / range);
        let needed = needed.filter(|needed| needed.is_finite());
        Limit {
            kind,
            needed,
            verdict: needed.map(|needed| Verdict::of(coldest.factor, needed, error)),
            onset: Some(share * saturation_pressure(coldest.temperature) / saturated),
            length_below: needed.map_or(0.0, length_below),
        }
    };
    let mut limits = vec![by_humidity(Kind::Mould, MOULD), by_humidity(Kind::Condensation, 1.0)];
    if let Some(critical) = case.condensation.as_ref().and_then(|condensation| condensation.critical) {
        limits.push(Limit {
            kind: Kind::Criterion,
            needed: Some(critical),
            verdict: Some(Verdict::of(coldest.factor, critical, error)),
            onset: None,
            length_below: length_below(critical),
        });
    }
    limits
}

/// The stretches of a profile that count: materials judged apart are left out.
fn case_profile(case: &Case, profile: &Profile) -> Vec<profile::Stretch> {
    let excluded = case.judged_apart();
    profile.stretches().filter(|stretch| !excluded.contains(&stretch.material)).collect()
}

/// Length of the stretches colder than a factor allows, m.
fn length(stretches: &[profile::Stretch], needed: f64) -> f64 {
    stretches.iter().filter_map(|stretch| stretch.below(needed)).map(|(from, to)| to - from).sum()
}

/// Temperatures of all environments in a month.
fn month_temperatures(case: &Case, environment: usize, indoor: f64, outdoor: f64) -> Vec<f64> {
    let own = case.environments[environment].temperature;
    let external = external_temperature(case);
    let of = |other: &crate::case::Environment| match other.role {
        Role::External => outdoor,
        Role::Internal if other.temperature == own => indoor,
        Role::Internal => other.temperature,
        // An unheated space stays where it is between inside and outside.
        Role::Unheated => outdoor + (other.temperature - external) / (own - external) * (indoor - outdoor),
    };
    case.environments.iter().map(of).collect()
}

fn year(
    outcome: &Outcome,
    (environment, design): (usize, &Coldest),
    climate: &Climate,
    indoor: Indoor,
    error: Option<f64>,
) -> Year {
    let case = &outcome.case;
    let solved = outcome.factor_basis();
    let is_plain = Temperatures::of(case).distinct() < 3;
    let row = |month: &crate::climate::Month| {
        let (outdoor, inside) = (month.temperature, indoor.temperature);
        let surface = if is_plain {
            outdoor + design.factor * (inside - outdoor)
        } else {
            let field = solved.combined(&month_temperatures(case, environment, inside, outdoor));
            coldest(case, &outcome.grid, solved, &field, environment, false).map_or(inside, |coldest| coldest.temperature)
        };
        let indoor_pressure = indoor.pressure(month);
        let needed_pressure = indoor_pressure / MOULD;
        let needed_temperature = saturation_temperature(needed_pressure);
        let needed = (outdoor < inside).then(|| (needed_temperature - outdoor) / (inside - outdoor));
        let surface_humidity = indoor_pressure / saturation_pressure(surface);
        let verdict = match needed {
            Some(needed) => Verdict::of((surface - outdoor) / (inside - outdoor), needed, error),
            None if surface_humidity <= MOULD => Verdict::Safe,
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
    Year { indoor, months, critical }
}
