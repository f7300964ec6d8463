//! Which month each line is.
//!
//! Any column may tell, whatever it is headed: all that name months or have dates are read, and must agree.
//! Where none does, the lines are January to December in their order, unless a column tells them apart as
//! something else (days, years, stations) or counts from 1 to 12 in another order.

use std::collections::BTreeSet;

use super::calendar::Reading;
use super::heading::Columns;
use super::labels::{Kind, Labels, NAMES};
use super::lines::Line;
use super::wanted::{HEADING, short};
use crate::climate::MONTHS;
use crate::finding::Diagnostic;
use crate::text::Place;

/// The months of the lines.
pub struct Order {
    /// Of each line, from 0; nothing for lines of the year's mean and the like.
    pub months: Vec<Option<usize>>,
    /// The column that tells.
    pub column: Option<usize>,
}

/// The months of lines, or why they are not known.
pub fn order(columns: &Columns, lines: &[&Line], heading: Place) -> Result<Order, Diagnostic> {
    let width = lines.iter().map(|line| line.fields.len()).max().unwrap_or_default();
    let beside = (0..width).filter(|column| ![columns.temperature, columns.humidity].contains(column));
    let labels: Vec<Labels> = beside.map(|column| Labels::of(column, columns, lines)).collect();
    let mut told: Option<(usize, Vec<Option<usize>>)> = None;
    let mut untold: Vec<(&Labels, usize)> = Vec::new();
    let mut ambiguous: Option<&Labels> = None;
    for label in &labels {
        match (label.read(), label.kind) {
            (Reading::Months(read), _) => {
                let months = label.months(&read, lines.len());
                match &told {
                    Some((column, known)) if *known != months => {
                        return Err(disagreement([*column, label.column], [known, &months], columns, lines));
                    }
                    Some(_) => {}
                    None => told = Some((label.column, months)),
                }
            }
            (Reading::Ambiguous, _) => ambiguous = Some(label),
            (Reading::Unread(at), Kind::Month) => {
                let (line, field) = label.fields.get(at).copied().unwrap_or_default();
                let message = if field.is_empty() {
                    format!("`{}` has no month here", short(label.name))
                } else {
                    format!("`{}` is not read as a month", short(field))
                };
                return Err(Diagnostic::error(lines.get(line).map(|line| line.place), message).hint(NAMES));
            }
            (Reading::Unread(at), _) => untold.push((label, at)),
        }
    }
    if let Some((column, months)) = told {
        is_one_year(&months, lines, heading)?;
        return Ok(Order { months, column: Some(column) });
    }
    if let Some(label) = ambiguous {
        let message = format!("`{}` may be months in more than one way, or days", short(label.name));
        return Err(Diagnostic::error(lines.first().map(|line| line.place), message).hint(NAMES));
    }
    if let Some(diagnostic) = untold.iter().find_map(|(label, at)| label.tells_otherwise(*at, lines)) {
        return Err(diagnostic);
    }
    let has_more = lines.len() > MONTHS.len();
    let sums: BTreeSet<usize> =
        labels.iter().filter(|_| has_more).flat_map(|label| label.summaries.iter().copied()).collect();
    let mut next = 0..;
    let months: Vec<Option<usize>> =
        (0..lines.len()).map(|line| if sums.contains(&line) { None } else { next.next() }).collect();
    is_one_year(&months, lines, heading)?;
    Ok(Order { months, column: None })
}

fn disagreement(
    at: [usize; 2],
    read: [&[Option<usize>]; 2],
    columns: &Columns,
    lines: &[&Line],
) -> Diagnostic {
    let line = (0..lines.len()).find(|line| read[0][*line] != read[1][*line]).unwrap_or_default();
    let [one, other] = [0, 1].map(|which| {
        let name = columns.names.get(at[which]).map_or("", String::as_str);
        let month = read[which][line].map_or("no month", |month| MONTHS[month]);
        format!("{month} by `{}`", short(name))
    });
    Diagnostic::error(lines[line].place, format!("this is {one}, but {other}")).hint(NAMES)
}

/// Of a year.
const HOURS: [usize; 2] = [8760, 8784];

/// Twelve months, each once.
fn is_one_year(months: &[Option<usize>], lines: &[&Line], heading: Place) -> Result<(), Diagnostic> {
    let count = months.iter().flatten().count();
    let times = |wanted: usize| months.iter().flatten().filter(|month| **month == wanted).count();
    let years = count / MONTHS.len();
    let is_in_order = months.iter().flatten().enumerate().all(|(number, month)| number == *month);
    let are_years = years > 1
        && !HOURS.contains(&count)
        && count.is_multiple_of(MONTHS.len())
        && (is_in_order || (0..MONTHS.len()).all(|month| times(month) == years));
    if are_years {
        let message = format!("a year has 12 months, found {count}");
        return Err(Diagnostic::error(heading, message)
            .hint("if these are several years, leave one year, or the mean of each month over the years; if several places, leave one; if days or hours, make the means of months"));
    }
    if is_in_order && count != MONTHS.len() {
        let hint = match count {
            13 => {
                "if the last line is the mean of the year, leave it out or call it `year` in a column `month`"
            }
            365 | 366 => "these are days: make the means of the months",
            count if HOURS.contains(&count) => "these are hours: make the means of the months",
            4 => "these may be seasons: the months are needed",
            _ => HEADING,
        };
        return Err(Diagnostic::error(heading, format!("a year has 12 months, found {count}")).hint(hint));
    }
    let missing: Vec<&str> =
        (0..MONTHS.len()).filter(|month| times(*month) == 0).map(|month| MONTHS[month]).collect();
    let twice =
        (0..months.len()).find(|line| months[*line].is_some() && months[..*line].contains(&months[*line]));
    let is_or_are = if missing.len() == 1 { "is" } else { "are" };
    let missing = if missing.is_empty() {
        String::new()
    } else {
        format!("{} {is_or_are} missing", missing.join(", "))
    };
    match twice {
        Some(line) => {
            let month = months[line].map_or("", |month| MONTHS[month]);
            let rest = if missing.is_empty() { missing } else { format!(", and {missing}") };
            Err(Diagnostic::error(lines[line].place, format!("{month} stands twice{rest}")).hint(NAMES))
        }
        None if missing.is_empty() => Ok(()),
        None => {
            Err(Diagnostic::error(heading, format!("a year has 12 months, found {count}: {missing}"))
                .hint(NAMES))
        }
    }
}
