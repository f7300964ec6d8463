//! Temperature and humidity of a line, and whether those of a year can be what they should be.
//!
//! What has no unit of its own is compared with what occurs on Earth: the hottest months have some 42 °C, the
//! hottest places 34 °C in the mean of the year, and the driest deserts some 30 % in their dampest month
//! (common knowledge of climatology, no source). So tables in °F, kelvin or tenths, or of absolute humidity,
//! are found where their heading does not tell.

use super::heading::{Columns, Unit};
use super::lines::Line;
use super::wanted::{HEADING, short};
use crate::climate::humid_air::saturation_pressure;
use crate::climate::{MONTHS, Month};
use crate::finding::Diagnostic;
use crate::ranges;

/// °C: no month is hotter.
const HOTTEST_MONTH: f64 = 45.0;
/// °C: no year is hotter.
const HOTTEST_YEAR: f64 = 35.0;
/// %: no year is so dry that all its months are below.
const DRIEST_YEAR: f64 = 25.0;
/// %: not even where the heading says that humidity is relative.
const DRIEST_BY_FAR: f64 = 10.0;

const MISSING: &str = "a month's value is missing here: take it from a station nearby or from other years, for all twelve are needed";
const FAHRENHEIT: &str = "no month's mean is so hot: if these are °F, °C = (°F − 32)/1.8; if kelvin, °C = K − 273.15; if tenths, divide by 10";
const PER_CENT: &str =
    "humidity is stated in %: 88, not 0.88; if it is a share of 1, head the column `humidity (fraction)`";
const ABSOLUTE: &str =
    "no climate is so dry: relative humidity in % is needed, neither g/m³, g/kg nor a vapour pressure";

/// A number with a decimal point or comma and any minus sign.
pub fn parse(written: &str) -> Option<f64> {
    let plain = written.replace(['−', '–', '‒'], "-").replace(',', ".");
    let is_number = plain.bytes().any(|sign| sign.is_ascii_digit())
        && plain.bytes().all(|sign| sign.is_ascii_digit() || b"+-.eE".contains(&sign));
    plain.parse().ok().filter(|value: &f64| is_number && value.is_finite())
}

/// The same with the unit beside it.
fn with_unit(written: &str, units: &[&str]) -> Option<f64> {
    let bare = units.iter().find_map(|unit| written.strip_suffix(unit)).unwrap_or(written);
    parse(bare.trim_end())
}

const DEGREES: [&str; 3] = ["°C", "° C", "℃"];
const PER_CENTS: [&str; 1] = ["%"];

/// True for a number, with or without its unit.
pub fn is_number(field: &str) -> bool {
    with_unit(field, &DEGREES).is_some() || with_unit(field, &PER_CENTS).is_some()
}

/// True for what stands where a value is missing.
fn is_missing(written: &str) -> bool {
    const MARKS: [&str; 14] =
        ["", "na", "n/a", "nan", "null", "none", "nil", "missing", "#n/a", "m", "x", "k.a.", "nd", "n.d."];
    let small = written.to_lowercase();
    MARKS.contains(&small.as_str()) || written.chars().all(|sign| "-−–—*?…./".contains(sign))
}

/// −99, −999.9, 9999: nines alone, beyond the range.
fn is_mark(written: &str, value: f64) -> bool {
    let digits: String = written.chars().filter(char::is_ascii_digit).collect();
    let nines = digits.trim_end_matches('0');
    value == -32768.0 || nines.len() >= 2 && nines.bytes().all(|digit| digit == b'9')
}

fn value(line: &Line, column: usize, what: &str, units: &[&str]) -> Result<f64, Diagnostic> {
    let fault = |message: String| Diagnostic::error(line.place, message);
    let written = line.field(column).unwrap_or_default();
    match with_unit(written, units) {
        Some(value) => Ok(value),
        None if written.is_empty() => Err(fault(format!("the {what} is missing")).hint(MISSING)),
        None if is_missing(written) => {
            Err(fault(format!("the {what} is missing (`{written}`)")).hint(MISSING))
        }
        None => {
            let hint = if written.contains(['°', 'F', 'K']) {
                "temperatures are needed in °C, the number alone"
            } else if written.contains(',') && written.contains('.') || written.matches(',').count() > 1 {
                "write numbers without signs between thousands, as 1013.2"
            } else {
                "write the number alone, as -0.4 or -0,4, and remarks in a column of their own or a line with `#`"
            };
            Err(fault(format!("`{}` is no number", short(written))).hint(hint))
        }
    }
}

/// The values of a line.
pub fn month(columns: &Columns, line: &Line) -> Result<Month, Diagnostic> {
    let fault = |message: String| Diagnostic::error(line.place, message);
    let temperature = value(line, columns.temperature, "temperature", &DEGREES)?;
    let stated = value(line, columns.humidity, "humidity", &PER_CENTS)?;
    let field = |column: usize| line.field(column).unwrap_or_default();
    let too_cold = || {
        let is_cold = !ranges::CLIMATE_TEMPERATURE.contains(temperature);
        is_cold.then(|| Diagnostic::error(None, no_month(temperature)).hint(HEADING))
    };
    if let Some(diagnostic) = too_hot(temperature).or_else(too_cold) {
        if is_mark(field(columns.temperature), temperature) {
            return Err(fault(format!("the temperature is missing (`{temperature}`)")).hint(MISSING));
        }
        return Err(Diagnostic { place: Some(line.place), ..diagnostic });
    }
    if !(0.0..=100.0).contains(&stated) && is_mark(field(columns.humidity), stated) {
        return Err(fault(format!("the humidity is missing (`{stated}`)")).hint(MISSING));
    }
    if stated == 0.0 {
        let hint = "air without any vapour occurs nowhere: 0 often stands for a missing value";
        return Err(fault("the humidity is 0".to_owned()).hint(hint));
    }
    let share = match columns.unit {
        Unit::Percent => stated / 100.0,
        Unit::Share if stated > 1.0 => {
            let message = format!("a humidity of {stated} is no share of 1, which the heading says it is");
            return Err(fault(message).hint("head the column `humidity` if it is in %"));
        }
        Unit::Share => stated,
        Unit::Pascal(unit) => stated * unit / saturation_pressure(temperature),
    };
    if ranges::HUMIDITY.contains(share * 100.0) {
        return Ok(Month { temperature, humidity: share });
    }
    if let Unit::Pascal(_) = columns.unit {
        let percent = (share * 1e3).round() / 10.0;
        let message =
            format!("a vapour pressure of {stated} at {temperature} °C is {percent} % of saturation");
        return Err(
            fault(message).hint("check the unit of the vapour pressure in the heading: Pa, hPa or kPa")
        );
    }
    let hint = if (0.0..=1.0).contains(&stated) { PER_CENT } else { ABSOLUTE_OR_NOT };
    Err(fault(format!("{stated} % cannot be the mean of a month")).hint(hint))
}

const ABSOLUTE_OR_NOT: &str = "relative humidity is needed, in %, which lies between 2 and 100";

fn no_month(temperature: f64) -> String {
    format!("{temperature} °C cannot be the mean of a month")
}

/// What a month's mean temperature has against it.
pub fn too_hot(temperature: f64) -> Option<Diagnostic> {
    (temperature > HOTTEST_MONTH).then(|| Diagnostic::error(None, no_month(temperature)).hint(FAHRENHEIT))
}

/// What no year on Earth has, where humidity is known to be relative.
pub fn no_year(months: &[Month; 12]) -> Option<Diagnostic> {
    too_hot_a_year(months).or_else(|| too_dry_a_year(months, DRIEST_BY_FAR))
}

fn too_hot_a_year(months: &[Month; 12]) -> Option<Diagnostic> {
    let mean = months.iter().map(|month| month.temperature).sum::<f64>() / MONTHS.len() as f64;
    (mean > HOTTEST_YEAR).then(|| {
        let message = format!("the mean of the year would be {mean:.1} °C, which no place has");
        Diagnostic::error(None, message).hint(FAHRENHEIT)
    })
}

fn too_dry_a_year(months: &[Month; 12], driest: f64) -> Option<Diagnostic> {
    let most = 100.0 * months.iter().map(|month| month.humidity).fold(0.0, f64::max);
    (most < driest).then(|| {
        let message = format!("no month would have more than {most:.1} % of relative humidity");
        Diagnostic::error(None, message).hint(ABSOLUTE)
    })
}

/// What no year on Earth has.
pub fn implausible(columns: &Columns, months: &[Month; 12]) -> Option<Diagnostic> {
    let driest = if columns.is_relative { DRIEST_BY_FAR } else { DRIEST_YEAR };
    too_hot_a_year(months).or_else(|| too_dry_a_year(months, driest))
}
