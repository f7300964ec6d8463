//! Which month each line is.
//!
//! Any column may tell, whatever it is headed: all that name months or have dates are read, and must agree.
//! Where none does, the lines are January to December in their order, unless a column tells them apart as
//! something else (days, years, stations) or counts from 1 to 12 in another order.

use std::collections::BTreeSet;

use super::calendar::{self, Reading};
use super::heading::{Columns, HEADING, short};
use super::lines::Line;
use super::words::words;
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

/// What a column may tell, by the first word of its heading.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Month,
    Time,
    /// Days, hours, years, stations.
    NoMonth,
    Unknown,
}

const MONTH_WORDS: &str =
    "month months mon mth monat monate monats mois mes mese mesi maand maned manad miesiac mesic kuukausi";
const TIME_WORDS: &str = "date dates datum dato data fecha period periode periodo time times timestamp datetime zeit zeitraum zeitpunkt temps when";
const OTHER_WORDS: &str = "day days tag tage jour jours dia dias giorno giorni dag dagen doy hour hours hr stunde stunden heure heures hora horas ora ore uur week weeks woche semaine semana season seasons saison quarter quartal year years yr jahr jahre annee ano anno jaar rok station stations site";
const SUMMARY_WORDS: &str = "year years annual annually yearly mean means average avg total sum max min maximum minimum std whole all of the months jahr jahres jahresmittel jahreswert mittel mittelwert summe annee annuel annuelle moyenne total ano anual media anno annuale jaar gemiddeld ar aret rok roczna rocznie";

fn is_one_of(list: &str, word: &str) -> bool {
    list.split(' ').any(|known| known == word)
}

fn kind(name: &str) -> Kind {
    let words = words(name);
    match words.first().map(|word| word.text.as_str()) {
        Some(word) if is_one_of(MONTH_WORDS, word) => Kind::Month,
        // `Year-month`, `Station, month`.
        Some(word)
            if is_one_of(OTHER_WORDS, word)
                && words[1..].iter().any(|word| is_one_of(MONTH_WORDS, &word.text)) =>
        {
            Kind::Month
        }
        Some(word) if is_one_of(TIME_WORDS, word) => Kind::Time,
        Some(word) if is_one_of(OTHER_WORDS, word) => Kind::NoMonth,
        _ => Kind::Unknown,
    }
}

/// True for the label of a line that sums up: the year's mean, `Jan–Dec`.
pub fn is_summary(label: &str) -> bool {
    let words: Vec<String> = words(label).into_iter().map(|word| word.text).collect();
    let letters: Vec<&String> =
        words.iter().filter(|word| !word.starts_with(|sign: char| sign.is_numeric())).collect();
    let is_first = |word: &str| calendar::is_month_name(word) && word.starts_with("ja");
    let is_whole = matches!(letters.as_slice(), [first, last] if is_first(first) && last.starts_with('d') && calendar::is_month_name(last));
    label == "Ø"
        || is_whole
        || (!letters.is_empty() && letters.iter().all(|word| is_one_of(SUMMARY_WORDS, word)))
}

/// A column beside the two that are taken.
struct Labels<'a> {
    column: usize,
    name: &'a str,
    kind: Kind,
    /// Of the lines that do not sum up: which line, and its field.
    fields: Vec<(usize, &'a str)>,
    summaries: BTreeSet<usize>,
}

impl<'a> Labels<'a> {
    fn of(column: usize, columns: &'a Columns, lines: &'a [&Line]) -> Self {
        let name = columns.names.get(column).map_or("", String::as_str);
        let all = lines.iter().enumerate().map(|(at, line)| (at, line.field(column).unwrap_or_default()));
        let (sums, fields): (Vec<_>, Vec<_>) = all.partition(|(_, field)| is_summary(field));
        Self {
            column,
            name,
            kind: kind(name),
            fields,
            summaries: sums.into_iter().map(|(at, _)| at).collect(),
        }
    }

    fn read(&self) -> Reading {
        if let Some(empty) = self.fields.iter().position(|(_, field)| field.is_empty()) {
            return Reading::Unread(empty);
        }
        let labels: Vec<&str> = self.fields.iter().map(|(_, field)| *field).collect();
        if labels.is_empty() { Reading::Unread(0) } else { calendar::read(&labels, self.kind == Kind::Month) }
    }

    fn months(&self, read: &[usize], lines: usize) -> Vec<Option<usize>> {
        let mut months = vec![None; lines];
        for ((at, _), month) in self.fields.iter().zip(read) {
            months[*at] = Some(*month);
        }
        months
    }

    fn has_distinct(&self) -> bool {
        let distinct: BTreeSet<&str> = self.fields.iter().map(|(_, field)| *field).collect();
        !distinct.contains("") && distinct.len() == self.fields.len() && self.fields.len() > 1
    }

    fn varies(&self) -> bool {
        self.fields.iter().any(|(_, field)| *field != self.fields[0].1)
    }

    /// Why the lines cannot be taken as January to December, though no column names months.
    fn tells_otherwise(&self, unread: usize, lines: &[&Line]) -> Option<Diagnostic> {
        if self.fields.is_empty() {
            return None;
        }
        let name = short(self.name);
        let at = |number: usize| self.fields.get(number).map(|(at, _)| lines[*at].place);
        let is_number = |field: &str| super::numbers::parse(field).is_some();
        let numbers: Vec<f64> =
            self.fields.iter().filter_map(|(_, field)| super::numbers::parse(field)).collect();
        let are_numbers = numbers.len() == self.fields.len();
        let steps = |least: f64, most: f64| {
            numbers.windows(2).all(|pair| (least..=most).contains(&(pair[1] - pair[0])))
        };
        let within = |least: f64, most: f64| {
            are_numbers
                && numbers.iter().all(|number| number.fract() == 0.0 && (least..=most).contains(number))
        };
        let message = if self.kind == Kind::NoMonth && self.varies() {
            format!("the lines are told apart by `{name}`, not by months")
        } else if within(20_000.0, 60_000.0) && steps(27.0, 32.0) {
            format!("`{name}` has dates as serial numbers, which programs count from different days")
        } else if self.kind == Kind::Time && self.varies() {
            let field = self.fields.get(unread).map_or("", |(_, field)| field);
            return Some(
                Diagnostic::error(at(unread), format!("`{}` is not read as a month", short(field)))
                    .hint(NAMES),
            );
        } else if within(1800.0, 2100.0) && steps(1.0, 1.0) && numbers.len() > 1 {
            format!("`{name}` has years, and no column has months")
        } else if within(0.0, 12.0) && self.has_distinct() && numbers.len() == 12 && !steps(1.0, 1.0) {
            format!("`{name}` counts in another order than January to December and is not headed `month`")
        } else if self.fields.iter().any(|(_, field)| calendar::is_month_name(field)) && self.varies() {
            let field = self.fields.get(unread).map_or("", |(_, field)| field);
            return Some(
                Diagnostic::error(at(unread), format!("`{}` is not read as a month", short(field)))
                    .hint(NAMES),
            );
        } else if self.has_distinct() && !self.fields.iter().all(|(_, field)| is_number(field)) {
            let (_, first) = self.fields[0];
            format!("the lines are told apart by `{name}` (`{}` and so on), not by months", short(first))
        } else {
            return None;
        };
        Some(Diagnostic::error(at(0), message).hint(NAMES))
    }
}

const NAMES: &str = "a line for each month, January to December, named in a column `month` by name, by number or as `2020-07`; means of days, hours or years have to be made first";

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
        && count % MONTHS.len() == 0
        && (is_in_order || (0..MONTHS.len()).all(|month| times(month) == years));
    if are_years {
        let message = format!("a year has 12 months, found {count}");
        return Err(Diagnostic::error(heading, message)
            .hint("if these are several years, leave one year, or the mean of each month over the years; if days or hours, make the means of months"));
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
