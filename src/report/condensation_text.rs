//! Mould and condensation for the terminal: verdicts and months.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::condensation::{Assessment, ColdestPlace, Condensation, Limit, Verdict, Year};
use super::factor_text::{LimitText, in_brackets};
use super::summary::CAUTION;
use super::what_helps_text;

/// What steady two-dimensional surface temperatures leave out.
const SURFACES: &str = "For surfaces free of furniture and curtains and without air leakage; thermal bridges in three dimensions can be colder.";

/// How frames and glazing are judged.
const APART: &str = "On frames and glazing condensation counts, not mould. They follow the weather of a day: ISO 13788 judges them at the coldest\n  \
     day of a year (state its mean as the outside temperature); monthly means are too mild for them.";
/// What the stated humidity means.
const NO_MARGIN: &str = "The stated humidity is the design value: no margin is added to it here (months with a fixed humidity get the standard's 5 %).";

/// Everything about a case; with what helps, if it was asked for.
pub fn text(document: &Condensation, with_what_helps: bool) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n", printable(&document.title));
    for environment in &document.environments {
        assessment(&mut text, environment);
        if let Some(year) = &environment.year {
            months(&mut text, environment, year);
        } else if document.climate.is_some() {
            let room = printable(&environment.environment);
            let _ = writeln!(
                text,
                "  Not looked at month by month: neither {room} nor the climate states the humidity.\n"
            );
        }
    }
    if document.environments.is_empty() {
        let _ = writeln!(text, "No internal environment is warmer than outside and touches a surface.\n");
    }
    if let Some(changes) = &document.against_file {
        text.push_str(&what_helps_text::against_file(changes));
    }
    // Without an inside surface there is nothing to help.
    if with_what_helps && !document.environments.is_empty() {
        text.push_str(&what_helps_text::effects(&document.what_helps, document.is_safe));
    }
    let _ = writeln!(text, "{SURFACES}\n{CAUTION}");
    text
}

fn assessment(text: &mut String, assessment: &Assessment) {
    let humidity =
        assessment.humidity.map_or_else(String::new, |humidity| format!(" and {:.0} %", humidity * 100.0));
    let _ = writeln!(
        text,
        "{}: air of {} °C{humidity}, outside {} °C",
        printable(&assessment.environment),
        assessment.temperature,
        assessment.external_temperature
    );
    let coldest = &assessment.coldest;
    let factor = if assessment.only_judged_apart {
        "all surfaces are judged apart, as frames and glazing: f"
    } else {
        "f_Rsi"
    };
    let _ = writeln!(text, "  {factor} = {}", place(coldest, assessment.estimated_error));
    if let Some(weights) = &coldest.weights {
        let weights: Vec<String> =
            weights.iter().map(|(name, weight)| format!("{weight:.3} × {}", printable(name))).collect();
        let _ = writeln!(text, "  temperature there = {}", weights.join(" + "));
    }
    if let Some((dew, there)) = assessment.dew_point.zip(assessment.surface_humidity) {
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
        let place = place(&apart.coldest, apart.estimated_error);
        let _ = writeln!(text, "  judged apart, frames and glazing: f = {place}");
        apart.limits.iter().for_each(|limit| self::limit(text, limit));
    }
    if assessment.only_judged_apart || assessment.excluded.is_some() {
        let external = assessment.external_temperature;
        let _ = writeln!(text, "  {APART} The outside temperature here is {external} °C.");
    }
    if assessment.humidity.is_some() {
        let _ = writeln!(text, "  {NO_MARGIN}");
    }
    text.push('\n');
}

/// The factor with its error and where it is.
fn place(coldest: &ColdestPlace, error: Option<f64>) -> String {
    format!("{:.3}{}: {}", coldest.f_rsi, in_brackets(error), printable(&coldest.description()))
}

fn limit(text: &mut String, limit: &Limit) {
    let LimitText { needed, verdict, onset, below } = LimitText::of(limit);
    let _ =
        writeln!(text, "  {:<38} {needed:>11} {verdict:>18} {onset:>20} {below:>15}", limit.limit.label());
}

fn months(text: &mut String, assessment: &Assessment, year: &Year) {
    let (name, source) = (printable(&year.climate), printable(&year.source));
    let _ =
        writeln!(text, "  Month by month (ISO 13788): climate of {name} ({source}); inside {}", year.indoor);
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
        year.judged_by.word()
    );
    for row in &year.months {
        let needed = row.needed_f_rsi.map_or_else(|| "–".to_owned(), |needed| format!("{needed:.3}"));
        let _ = writeln!(
            text,
            "  {:<10} {:>7.1} {:>9.0} {:>9.0} {:>12.0} {:>12.2} {needed:>8} {:>9.2} {:>10.0}  {}",
            row.month,
            row.outdoor_temperature,
            row.outdoor_pressure,
            row.indoor_pressure,
            row.needed_saturation_pressure,
            row.needed_surface_temperature,
            row.surface_temperature,
            row.surface_humidity * 100.0,
            row.verdict.label()
        );
    }
    for (space, temperature) in &year.unheated {
        let space = printable(space);
        let _ = writeln!(
            text,
            "  {space} is unheated and stays where it is between inside and outside: {temperature:.1} °C in the coldest month"
        );
    }
    critical(text, year, "", assessment.coldest.f_rsi);
    if let Some((apart, year)) =
        assessment.excluded.as_ref().and_then(|apart| Some((apart, apart.year.as_ref()?)))
    {
        critical(text, year, "frames and glazing, condensation by monthly means: ", apart.coldest.f_rsi);
    }
    text.push('\n');
}

/// The month that asks for most, and those that fail.
fn critical(text: &mut String, year: &Year, of: &str, factor: f64) {
    let Some(month) = year.critical_month else { return };
    let Some(needed) = year.months.iter().find(|row| row.month == month).and_then(|row| row.needed_f_rsi)
    else {
        return;
    };
    let failing = year.months.iter().filter(|row| row.verdict == Verdict::Fails);
    let failing: Vec<&str> = failing.map(|row| row.month).collect();
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
