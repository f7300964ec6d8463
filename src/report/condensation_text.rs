//! Mould and condensation for the terminal: verdicts, months, what helps.

use std::fmt::Write;

use super::diagnostics::printable;
use super::factor_text::in_brackets;
use super::summary::CAUTION;
use crate::climate::humid_air::{saturation_pressure, saturation_temperature, surface_humidity};
use crate::climate::{Climate, MONTHS};
use crate::material::four_digits;
use crate::result::Outcome;
use crate::result::condensation::{Assessment, Limit, MonthlyCheck, Verdict};
use crate::result::what_helps::{Change, Effect, LEAST_FACTOR, LEAST_PSI, Standing};

/// What steady two-dimensional surface temperatures leave out.
const SURFACES: &str = "For surfaces free of furniture and curtains and without air leakage; thermal bridges in three dimensions can be colder.";

/// How frames and glazing are judged.
const APART: &str = "On frames and glazing condensation counts, not mould. They follow the weather of a day: ISO 13788 judges them at the coldest\n  \
     day of a year (state its mean as the outside temperature); monthly means are too mild for them.";
/// What the stated humidity means.
const NO_MARGIN: &str = "The stated humidity is the design value: no margin is added to it here (months with a fixed humidity get the standard's 5 %).";

/// Everything about a case.
pub fn text(outcome: &Outcome, climate: Option<&Climate>, assessments: &[Assessment]) -> String {
    let mut text = String::new();
    let case = &outcome.case;
    let _ = writeln!(text, "{}\n", printable(&case.title));
    for assessment in assessments {
        self::assessment(&mut text, outcome, assessment);
        if let (Some(climate), Some(year)) = (climate, &assessment.year) {
            months(&mut text, climate, assessment, year);
        } else if climate.is_some() {
            let room = printable(&case.model.environments[assessment.environment].name);
            let _ = writeln!(
                text,
                "  Not looked at month by month: neither {room} nor the climate states the humidity.\n"
            );
        }
    }
    if assessments.is_empty() {
        let _ = writeln!(text, "No internal environment is warmer than outside and touches a surface.\n");
    }
    text
}

/// Under every text.
pub fn cautions() -> String {
    format!("{SURFACES}\n{CAUTION}\n")
}

fn assessment(text: &mut String, outcome: &Outcome, assessment: &Assessment) {
    let case = &outcome.case;
    let air = &case.model.environments[assessment.environment];
    let name = printable(&air.name);
    let humidity =
        assessment.humidity.map_or_else(String::new, |humidity| format!(" and {:.0} %", humidity * 100.0));
    let _ = writeln!(
        text,
        "{name}: air of {} °C{humidity}, outside {} °C",
        air.temperature, assessment.external_temperature
    );
    let error = in_brackets(assessment.error);
    let coldest = &assessment.coldest;
    let factor = if assessment.only_apart {
        "all surfaces are judged apart, as frames and glazing: f"
    } else {
        "f_Rsi"
    };
    let _ = writeln!(
        text,
        "  {factor} = {:.3}{error}: {}",
        coldest.factor,
        printable(&coldest.description(&case.model))
    );
    if !coldest.weights.is_empty() {
        let weight = |(environment, weight): (&crate::model::Environment, &f64)| {
            format!("{weight:.3} × {}", printable(&environment.name))
        };
        let weights: Vec<String> = case.model.environments.iter().zip(&coldest.weights).map(weight).collect();
        let _ = writeln!(text, "  temperature there = {}", weights.join(" + "));
    }
    if let Some(humidity) = assessment.humidity {
        let dew = saturation_temperature(humidity * saturation_pressure(air.temperature));
        let there = surface_humidity(air.temperature, humidity, coldest.temperature);
        let _ = writeln!(
            text,
            "  dew point of the air {dew:.1} °C; humidity at the coldest surface {:.0} %",
            there * 100.0
        );
    }
    let _ = writeln!(
        text,
        "  {:<38} {:>11} {:>18} {:>20} {:>15}",
        "", "needs f_Rsi", "verdict", "begins at humidity", "surface below"
    );
    for limit in &assessment.limits {
        self::limit(text, limit);
    }
    if let Some(apart) = &assessment.excluded {
        let error = in_brackets(apart.error);
        let place = printable(&apart.coldest.description(&case.model));
        let _ = writeln!(
            text,
            "  judged apart, frames and glazing: f = {:.3}{error}: {place}",
            apart.coldest.factor
        );
        self::limit(text, &apart.limit);
    }
    if assessment.only_apart || assessment.excluded.is_some() {
        let external = assessment.external_temperature;
        let _ = writeln!(text, "  {APART} The outside temperature here is {external} °C.");
    }
    if assessment.humidity.is_some() {
        let _ = writeln!(text, "  {NO_MARGIN}");
    }
    text.push('\n');
}

fn limit(text: &mut String, limit: &Limit) {
    let verdict = limit.verdict.map_or("humidity unknown", Verdict::label);
    let (needed, onset, below) = (limit.needed_text(), limit.onset_text(), limit.below_text());
    let _ = writeln!(text, "  {:<38} {needed:>11} {verdict:>18} {onset:>20} {below:>15}", limit.kind.label());
}

fn months(text: &mut String, climate: &Climate, assessment: &Assessment, year: &MonthlyCheck) {
    let (name, source) = (printable(&climate.name), printable(&climate.source));
    let _ = writeln!(
        text,
        "  Month by month (ISO 13788): climate of {name} ({source}); inside {}",
        year.indoor.description()
    );
    let _ = writeln!(
        text,
        "  {:<10} {:>7} {:>9} {:>9} {:>12} {:>12} {:>8} {:>9} {:>10}  {}",
        "",
        "θe °C",
        "pe Pa",
        "pi Pa",
        "psat Pa min",
        "θsi °C min",
        "f min",
        "θsi °C",
        "surface %",
        year.kind.word()
    );
    for (month, row) in MONTHS.iter().zip(&year.months) {
        let needed = row.needed.map_or_else(|| "–".to_owned(), |needed| format!("{needed:.3}"));
        let _ = writeln!(
            text,
            "  {month:<10} {:>7.1} {:>9.0} {:>9.0} {:>12.0} {:>12.2} {needed:>8} {:>9.2} {:>10.0}  {}",
            row.outdoor,
            row.outdoor_pressure,
            row.indoor_pressure,
            row.needed_pressure,
            row.needed_temperature,
            row.surface,
            row.surface_humidity * 100.0,
            row.verdict.label()
        );
    }
    critical(text, year, "", assessment.coldest.factor);
    if let Some((apart, year)) =
        assessment.excluded.as_ref().and_then(|apart| Some((apart, apart.year.as_ref()?)))
    {
        critical(text, year, "frames and glazing, condensation by monthly means: ", apart.coldest.factor);
    }
    text.push('\n');
}

/// The month that asks for most, and those that fail.
fn critical(text: &mut String, year: &MonthlyCheck, of: &str, factor: f64) {
    let Some((month, needed)) =
        year.critical.and_then(|month| Some((MONTHS[month], year.months[month].needed?)))
    else {
        return;
    };
    let failing: Vec<&str> = year.failing().map(|month| MONTHS[month]).collect();
    let verdict = if failing.is_empty() {
        "no month fails".to_owned()
    } else {
        format!("FAILS in {}", failing.join(", "))
    };
    let _ = writeln!(
        text,
        "  {of}critical month {month}: f_Rsi of at least {needed:.3} is needed, the detail has {factor:.3}; {verdict}"
    );
}

/// A change in words: "20 more insulation (150 → 170)".
pub fn change(outcome: &Outcome, change: &Change) -> String {
    match change {
        Change::Parameter { name, from, to } => {
            let step = four_digits((to - from).abs());
            let direction = if to > from { "more" } else { "less" };
            format!("{step} {direction} {} ({from} → {to})", printable(name))
        }
        Change::Conductivity { material, from, to } => {
            let label = printable(&outcome.case.model.materials[*material].label);
            format!("λ of {label} a fifth lower ({} → {})", four_digits(*from), four_digits(*to))
        }
    }
}

/// A signed number with a proper minus.
fn signed(value: f64, decimals: usize) -> String {
    format!("{value:+.decimals$}").replace('-', "−")
}

/// What helps, largest effect first.
pub fn effects(outcome: &Outcome, own: Standing, effects: &[Effect]) -> String {
    let mut text = String::from("What helps, one change at a time, each solved anew:\n");
    let tells = |effect: &&Effect| {
        effect.factor.abs() >= LEAST_FACTOR || effect.psi.is_some_and(|psi| psi.abs() >= LEAST_PSI)
    };
    for effect in effects.iter().filter(tells) {
        let psi = effect.psi.map_or_else(String::new, |psi| format!(", ψ {}", signed(psi, 3)));
        let mended = if effect.standing.is_safe && !own.is_safe { "  → safe" } else { "" };
        let _ = writeln!(
            text,
            "  {:<66} f_Rsi {}{psi}{mended}",
            change(outcome, &effect.change),
            signed(effect.factor, 3)
        );
    }
    let rest: Vec<String> = effects
        .iter()
        .filter(|effect| !tells(effect))
        .map(|effect| match &effect.change {
            Change::Parameter { name, .. } => printable(name),
            Change::Conductivity { material, .. } => {
                format!("λ of {}", printable(&outcome.case.model.materials[*material].label))
            }
        })
        .collect();
    if !rest.is_empty() {
        let _ = writeln!(
            text,
            "  no difference worth telling (below {LEAST_FACTOR} and {LEAST_PSI} W/(m·K)): {}",
            rest.join(", ")
        );
    }
    let _ = writeln!(
        text,
        "  Numbers of the drawing are in mm; a change that cannot be built is left out. Check what else a change touches.\n"
    );
    text
}

/// How a variant differs from the file as it stands.
pub fn against_file(changed: &[(String, f64, f64)], file: Standing, own: Standing) -> String {
    let changes: Vec<String> =
        changed.iter().map(|(name, from, to)| format!("{} {from} → {to}", printable(name))).collect();
    let word = |standing: Standing| if standing.is_safe { "safe" } else { "NOT safe" };
    let psi = file
        .psi
        .zip(own.psi)
        .map_or_else(String::new, |(file, own)| format!(", ψ {file:.3} → {own:.3} W/(m·K)"));
    format!(
        "Against the file as it stands ({}): f_Rsi {:.3} → {:.3}{psi}; {} → {}\n\n",
        changes.join(", "),
        file.factor,
        own.factor,
        word(file),
        word(own)
    )
}
