//! A climate as a table: a heading that names its columns, then a line for each month from January on.
//!
//! ```text
//! month; temperature; humidity        commas, semicolons or tabs; lines with `#` are remarks
//! 1; -0.4; 88                         °C and %
//! ```
//!
//! Which column is which is told by the heading alone: a table with its columns the other way round, or whose
//! first month stands where the heading belongs, would else be read without a word.

use super::diagnostic::{Diagnostic, Place};
use crate::climate::{Climate, MONTHS, Month};
use crate::ranges;

const HEADING: &str = "the first line names the columns, as `temperature,humidity`; then January to December, as `-0.4,88` in °C and %";

/// A month's columns, by number.
struct Columns {
    temperature: usize,
    humidity: usize,
    month: Option<usize>,
    all: usize,
}

/// Twelve lines of temperature in °C and relative humidity in %, after a heading; the air inside is not told.
pub fn read(name: &str, file: usize, text: &str) -> Result<Climate, Vec<Diagnostic>> {
    let mut diagnostics = Vec::new();
    let mut columns: Option<Columns> = None;
    let mut months: Vec<Month> = Vec::new();
    let mut count = 0;
    for record in records(text) {
        let record = record.map_err(|error| {
            vec![Diagnostic::error(top(file), format!("not a table: {error}")).hint(HEADING)]
        })?;
        let place = place_of(&record, file, text);
        let mut fields: Vec<&str> = record.iter().collect();
        while fields.last().is_some_and(|field| field.is_empty()) {
            fields.pop();
        }
        if fields.is_empty() {
            continue;
        }
        let Some(columns) = &columns else {
            columns = Some(heading(&fields, place).map_err(|diagnostic| vec![diagnostic])?);
            continue;
        };
        count += 1;
        match month(columns, &fields, count, place) {
            Ok(month) => months.push(month),
            Err(diagnostic) => diagnostics.push(diagnostic),
        }
    }
    if count != MONTHS.len() {
        diagnostics
            .push(Diagnostic::error(top(file), format!("a year has 12 months, found {count}")).hint(HEADING));
    }
    match <[Month; 12]>::try_from(months) {
        Ok(months) if diagnostics.is_empty() => Ok(Climate {
            name: name.to_owned(),
            source: format!("{name}, as supplied"),
            months,
            indoor: None,
        }),
        _ => Err(diagnostics),
    }
}

/// True for a line of the table: neither a remark nor empty.
fn is_of_table(line: &str) -> bool {
    !line.trim().is_empty() && !line.starts_with('#')
}

/// All lines of the table, parted by what parts the first of them.
fn records(text: &str) -> impl Iterator<Item = csv::Result<csv::StringRecord>> {
    let first = text.lines().find(|line| is_of_table(line)).unwrap_or_default();
    let delimiter = [b';', b'\t'].into_iter().find(|sign| first.as_bytes().contains(sign)).unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new();
    reader.delimiter(delimiter).comment(Some(b'#')).flexible(true).has_headers(false).trim(csv::Trim::All);
    reader.from_reader(text.as_bytes()).into_records()
}

fn top(file: usize) -> Place {
    Place { file, start: 0, end: 0 }
}

fn place_of(record: &csv::StringRecord, file: usize, text: &str) -> Place {
    let from = record.position().map_or(0, |position| position.byte() as usize).min(text.len());
    // The reader's position may lie before line ends and remarks that it passes over.
    let mut start = from;
    for line in text[from..].split_inclusive('\n') {
        if is_of_table(line) {
            return Place { file, start, end: start + line.trim_end().len() };
        }
        start += line.len();
    }
    Place { file, start: from, end: from }
}

fn heading(fields: &[&str], place: Place) -> Result<Columns, Diagnostic> {
    if fields.iter().all(|field| field.parse::<f64>().is_ok()) {
        return Err(Diagnostic::error(place, "the columns are not named, the table begins with numbers")
            .hint(HEADING));
    }
    let names: Vec<String> = fields.iter().map(|field| field.to_lowercase()).collect();
    let only = |what: &str, words: &[&str], signs: &[&str]| {
        let is_named = |name: &str| words.iter().any(|word| name.contains(word)) || signs.contains(&name);
        let found: Vec<usize> = (0..names.len()).filter(|column| is_named(&names[*column])).collect();
        match found.as_slice() {
            [column] => Ok(*column),
            [] => Err(Diagnostic::error(place, format!("no column is named `{what}`")).hint(HEADING)),
            [first, second, ..] => {
                let (first, second) = (fields[*first], fields[*second]);
                Err(Diagnostic::error(place, format!("`{first}` and `{second}` may both be the {what}"))
                    .hint("leave out the columns that are not the monthly mean"))
            }
        }
    };
    Ok(Columns {
        temperature: only("temperature", &["temp", "theta", "θ", "°c"], &["t", "te", "t_e"])?,
        humidity: only("humidity", &["humid", "phi", "φ", "%"], &["rh", "rf"])?,
        month: names.iter().position(|name| name.starts_with("month")),
        all: fields.len(),
    })
}

/// The line of a month, counted from 1.
fn month(columns: &Columns, fields: &[&str], number: usize, place: Place) -> Result<Month, Diagnostic> {
    if fields.len() > columns.all {
        let (named, found) = (columns.all, fields.len());
        let message = format!("the heading names {named} columns, this line has {found}");
        return Err(Diagnostic::error(place, message)
            .hint("if commas stand for decimal points here, write `-0.4,88`"));
    }
    let field = |column: usize| fields.get(column).filter(|field| !field.is_empty());
    let (Some(temperature), Some(humidity)) = (field(columns.temperature), field(columns.humidity)) else {
        return Err(Diagnostic::error(place, "a month needs two numbers").hint(HEADING));
    };
    let (temperature, percent) = (value(temperature, place)?, value(humidity, place)?);
    let stated = columns.month.and_then(|column| fields.get(column)).and_then(|stated| month_number(stated));
    if let Some(stated) = stated.filter(|stated| *stated != number)
        && let (Some(expected), Some(stated)) = (MONTHS.get(number - 1), MONTHS.get(stated - 1))
    {
        let message = format!("this is {stated}, where {expected} is due");
        return Err(Diagnostic::error(place, message).hint("list the months from January to December"));
    }
    if !ranges::CLIMATE_TEMPERATURE.contains(temperature) || !ranges::HUMIDITY.contains(percent) {
        let message = format!("{temperature} °C and {percent} % cannot be the means of a month");
        let is_share = (0.0..=1.0).contains(&percent);
        return Err(Diagnostic::error(place, message).hint(if is_share {
            "humidity is stated in %: 88, not 0.88"
        } else {
            HEADING
        }));
    }
    Ok(Month { temperature, humidity: percent / 100.0 })
}

/// A month's number from 1, where a number or an English name tells it.
fn month_number(stated: &str) -> Option<usize> {
    let stated = stated.to_lowercase();
    let is_named = |month: &str| stated.len() >= 3 && month.to_lowercase().starts_with(&stated);
    let by_name = MONTHS.iter().position(|month| is_named(month)).map(|index| index + 1);
    by_name.or_else(|| stated.parse().ok().filter(|number| (1..=MONTHS.len()).contains(number)))
}

fn value(written: &str, place: Place) -> Result<f64, Diagnostic> {
    if let Some(value) = written.parse().ok().filter(|value: &f64| value.is_finite()) {
        return Ok(value);
    }
    let hint = if written.contains(',') {
        "decimals have a point: -0.4"
    } else if written.contains(['%', '°']) {
        "write the number alone, without its unit"
    } else if written.contains(['−', '–']) {
        "write the minus sign as `-`"
    } else {
        HEADING
    };
    Err(Diagnostic::error(place, format!("`{written}` is no number")).hint(hint))
}
