//! A climate as a table: twelve monthly means of the air outside, as ISO 13788 needs them.
//!
//! ```text
//! Lowfield, 480 m                    titles above the table
//! Month; T mean; Rel. hum.; Rain     the heading
//! ; °C; %; mm                        what belongs to it
//! Jan; -0,4; 88; 70                  a line for each month, in any order
//! …
//! Year; 8,8; 80; 812                 sums are passed over
//! ```
//!
//! A wrong table gives wrong verdicts without a word, so that nothing is guessed: a column is taken where
//! every word of its heading is known ([`heading`], [`vocabulary`]), lines are months by what tells it
//! ([`months`], [`calendar`]), numbers must be able to be a year on Earth ([`numbers`]), and what stands
//! around the table must not contradict ([`surroundings`]). What was taken is said in the climate's source.

mod calendar;
mod dates;
mod heading;
mod labels;
mod lines;
mod months;
mod numbers;
mod sayings;
mod surroundings;
mod vocabulary;
mod wanted;
mod words;

use super::diagnostic::Diagnostic;
use crate::climate::{Climate, MONTHS, Month};
use crate::text::Place;
use heading::Columns;
use lines::{Line, Lines};
use months::Order;
use wanted::{HEADING, short};

pub use numbers::{no_year, too_hot};

/// No heading is further down.
const MOST_TITLES: usize = 60;
/// No table has more columns.
const MOST_COLUMNS: usize = 1_000;
/// No heading has more lines of units and the like below it.
const MOST_BELOW: usize = 3;

/// The climate of a table; the air inside is not told. `shown` is the file's name for readers.
pub fn read(name: &str, shown: &str, file: usize, text: &str) -> Result<Climate, Vec<Diagnostic>> {
    let one = |diagnostic| vec![diagnostic];
    let table = lines::read(text, file).map_err(|diagnostic| one(diagnostic.hint(HEADING)))?;
    if let Some(line) = table.all.iter().find(|line| line.width > MOST_COLUMNS) {
        let fault = Diagnostic::error(line.place, format!("{} columns are no table of months", line.width));
        return Err(one(fault.hint(HEADING)));
    }
    let head = head(&table, file).map_err(one)?;
    let columns = heading::columns(&head.lines.iter().collect::<Vec<_>>()).map_err(one)?;
    let taken = [columns.temperature, columns.humidity];
    let (data, notes): (Vec<&Line>, Vec<&Line>) = head.rest.iter().partition(|line| is_month(line, taken));
    let around: Vec<&Line> = head.titles.iter().chain(notes).collect();
    if let Some(diagnostic) = surroundings::contradiction(&columns, &around, &data, &table.remarks) {
        return Err(one(diagnostic));
    }
    if let Some(line) = data.iter().find(|line| !has_numbers(line) && heading::is_heading(line)) {
        let fault = Diagnostic::error(line.place, "another table begins here");
        return Err(one(fault.hint("leave one table of one place: one heading and twelve months")));
    }
    let named = named(&columns, &data, table.delimiter);
    if let Some(line) = data.iter().find(|line| line.fields.len() > named) {
        return Err(one(too_long(line, named, table.delimiter)));
    }
    let order = months::order(&columns, &data, head.lines[0].place).map_err(one)?;
    let months = values(&columns, &data, &order)?;
    if let Some(diagnostic) = numbers::implausible(&columns, &months) {
        return Err(one(Diagnostic { place: Some(head.lines[0].place), ..diagnostic }));
    }
    Ok(Climate { name: name.to_owned(), source: source(shown, &columns, &order), months, indoor: None })
}

/// A table's parts.
struct Head<'a> {
    titles: &'a [Line],
    /// The heading and what belongs to it.
    lines: &'a [Line],
    rest: &'a [Line],
}

/// Finds the heading: the last line above the numbers that names both columns. Where units alone do, the line
/// above names them.
fn head(table: &Lines, file: usize) -> Result<Head<'_>, Diagnostic> {
    let lines = table.all.as_slice();
    let has_names = |line: &Line| heading::is_heading(line) && !heading::is_of_units(line);
    let above = lines.iter().take(MOST_TITLES).take_while(|line| !has_numbers(line)).count();
    let last = |fits: &dyn Fn(&Line) -> bool| lines[..above].iter().rposition(fits);
    let first = match (last(&has_names), last(&|line| heading::is_heading(line))) {
        (Some(named), _) => named,
        (None, Some(units)) => units.saturating_sub(usize::from(units > 0 && lines[units - 1].filled() > 1)),
        (None, None) => return Err(no_heading(table, above, file)),
    };
    let is_grouped = first > 0 && heading::is_of_groups(&lines[first - 1], &lines[first]);
    let top = first - usize::from(is_grouped);
    let is_below =
        |line: &&Line| !has_numbers(line) && !line.fields.iter().any(|field| calendar::is_month_name(field));
    let below = lines[first + 1..].iter().take(MOST_BELOW).take_while(is_below).count();
    let end = first + 1 + below;
    Ok(Head { titles: &lines[..top], lines: &lines[top..end], rest: &lines[end..] })
}

/// True for a line of the table's body: two numbers, or a month's name and one.
fn has_numbers(line: &Line) -> bool {
    let numbers = line.fields.iter().filter(|field| numbers::is_number(field)).count();
    let names = line.fields.iter().filter(|field| calendar::is_month_name(field)).count();
    numbers > 1 || (numbers == 1 && names == 1) || numbers == line.fields.len()
}

fn no_heading(table: &Lines, above: usize, file: usize) -> Diagnostic {
    let top = Place { file, start: 0, end: 0 };
    let place = table.all.first().map_or(top, |line| line.place);
    let fault = |message: &str| Diagnostic::error(place, message);
    if let Some(line) = table.all.iter().take(MOST_TITLES).find(|line| is_turned(line)) {
        let message = "the months stand side by side here";
        return Diagnostic::error(line.place, message).hint(
            "turn the table, so that each month has a line and temperature and humidity a column each",
        );
    }
    if !table.all.is_empty() && table.all.iter().all(|line| line.fields.len() == 1) {
        return fault("the lines have one column only")
            .hint("part the columns by commas, semicolons, tabs or `|`, the same in all lines");
    }
    if table.all.is_empty() {
        return fault("the table is empty").hint(HEADING);
    }
    if table.remarks.iter().any(|(remark, _)| remark.as_bytes().contains(&table.delimiter)) {
        return fault("the columns are not named")
            .hint("a line that begins with `#` is a remark: begin the heading with `month` or without `#`");
    }
    if above == 0 {
        return fault("the columns are not named, the table begins with numbers").hint(HEADING);
    }
    // The likeliest line tells what is wrong with it.
    let likeliest = table.all[..above].iter().max_by_key(|line| line.filled());
    let reason = likeliest.and_then(|line| heading::columns(&[line]).err());
    reason.unwrap_or_else(|| fault("no line names the columns").hint(HEADING))
}

/// True for a heading of months instead of a column of them.
fn is_turned(line: &Line) -> bool {
    line.fields.iter().filter(|field| calendar::is_month_name(field)).count() >= MONTHS.len()
}

/// True for a month's line, also where its values are missing; notes have one field and are no month.
fn is_month(line: &Line, taken: [usize; 2]) -> bool {
    let has_value = taken.iter().filter_map(|column| line.field(*column)).any(numbers::is_number);
    has_value || line.filled() > 1 || line.fields.iter().any(|field| calendar::is_month_name(field))
}

/// How many columns have a heading. One without, between commas and of numbers alone, is none: more likely,
/// decimal commas part the numbers.
fn named(columns: &Columns, lines: &[&Line], delimiter: u8) -> usize {
    let is_of_numbers =
        |column: usize| lines.iter().filter_map(|line| line.field(column)).all(numbers::is_number);
    let is_none = |column: &usize| {
        delimiter == b',' && *column > 0 && columns.names[*column].is_empty() && is_of_numbers(*column)
    };
    let width = columns.names.len();
    width - (0..width).filter(is_none).count()
}

fn too_long(line: &Line, named: usize, delimiter: u8) -> Diagnostic {
    let message = format!("the heading names {named} columns, this line has {}", line.fields.len());
    Diagnostic::error(line.place, message).hint(if delimiter == b',' {
        "if commas stand for decimal points here, write `-0.4,88`, or part the columns by semicolons: `-0,4;88`"
    } else {
        "give every column a heading"
    })
}

/// The values of the year, or all that is wrong with them; what is wrong in many lines is said once.
fn values(columns: &Columns, lines: &[&Line], order: &Order) -> Result<[Month; 12], Vec<Diagnostic>> {
    let mut months = [Month::default(); 12];
    let mut faults: Vec<(Diagnostic, usize)> = Vec::new();
    for (line, month) in lines.iter().zip(&order.months) {
        let Some(month) = month else { continue };
        match (numbers::month(columns, line), faults.iter_mut()) {
            (Ok(read), _) => months[*month] = read,
            (Err(fault), mut known) => match known.find(|(known, _)| known.hint == fault.hint) {
                Some((_, count)) => *count += 1,
                None => faults.push((fault, 1)),
            },
        }
    }
    if faults.is_empty() {
        return Ok(months);
    }
    let told = faults.into_iter().map(|(fault, count)| match count {
        1 => fault,
        2 => Diagnostic { message: format!("{}, and likewise in another line", fault.message), ..fault },
        _ => Diagnostic {
            message: format!("{}, and likewise in {} other lines", fault.message, count - 1),
            ..fault
        },
    });
    Err(told.collect())
}

/// Which file and columns the values come from, in one line.
fn source(shown: &str, columns: &Columns, order: &Order) -> String {
    let name = |column: usize| short(&columns.names[column]);
    let months = match order.column {
        Some(column) => {
            let listed: Vec<usize> = order.months.iter().copied().flatten().collect();
            let goes_on = |pair: &[usize]| pair[1] == (pair[0] + 1) % MONTHS.len();
            let range = match (listed.first(), listed.last()) {
                (Some(first), Some(last)) if listed.windows(2).all(goes_on) => {
                    format!("{} to {}", MONTHS[*first], MONTHS[*last])
                }
                _ => "twelve months".to_owned(),
            };
            let by = columns.names.get(column).filter(|name| !name.is_empty());
            format!(
                "{range} by {}",
                by.map_or(format!("column {}", column + 1), |name| format!("`{}`", short(name)))
            )
        }
        None => "lines as January to December".to_owned(),
    };
    let (temperature, humidity) = (name(columns.temperature), name(columns.humidity));
    format!("{shown}: temperature `{temperature}`, humidity `{humidity}`, {months}")
}
