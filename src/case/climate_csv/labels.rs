//! A column beside temperature and humidity: whether it tells months, or that the lines are none.

use std::collections::BTreeSet;

use super::calendar::{self, Reading};
use super::heading::Columns;
use super::lines::Line;
use super::wanted::short;
use super::words::words;
use crate::finding::Diagnostic;

/// How to name months.
pub const NAMES: &str = "a line for each month, January to December, named in a column `month` by name, by number or as `2020-07`; means of days, hours or years have to be made first";

/// What a column may tell, by the first word of its heading.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Months.
    Month,
    /// Dates or periods.
    Time,
    /// Days, hours, years, stations.
    NoMonth,
    /// Anything.
    Unknown,
}

const MONTH_WORDS: &str =
    "month months mon mth monat monate monats mois mes mese mesi maand maned manad miesiac mesic kuukausi";
const TIME_WORDS: &str = "date dates datum dato data fecha period periode periodo time times timestamp datetime zeit zeitraum zeitpunkt temps when";
const OTHER_WORDS: &str = "day days tag tage jour jours dia dias giorno giorni dag dagen doy hour hours hr stunde stunden heure heures hora horas ora ore uur week weeks woche semaine semana season seasons saison quarter quartal year years yr jahr jahre annee ano anno jaar rok station stations site";
const SUMMARY_WORDS: &str = "year years annual annually yearly mean means average avg total sum max min maximum minimum std whole all of the months ann djf mam jja son winter spring summer autumn fall jahr jahres jahresmittel jahreswert mittel mittelwert summe annee annuel annuelle moyenne total ano anual media anno annuale jaar gemiddeld ar aret rok roczna rocznie";

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
pub struct Labels<'a> {
    /// Its number.
    pub column: usize,
    /// Its heading.
    pub name: &'a str,
    /// What the heading says.
    pub kind: Kind,
    /// Of the lines that do not sum up: which line, and its field.
    pub fields: Vec<(usize, &'a str)>,
    /// The lines that do.
    pub summaries: BTreeSet<usize>,
}

impl<'a> Labels<'a> {
    /// The labels of a column.
    pub fn of(column: usize, columns: &'a Columns, lines: &'a [&Line]) -> Self {
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

    /// Their months, in the order of the fields.
    pub fn read(&self) -> Reading {
        if let Some(empty) = self.fields.iter().position(|(_, field)| field.is_empty()) {
            return Reading::Unread(empty);
        }
        let labels: Vec<&str> = self.fields.iter().map(|(_, field)| *field).collect();
        if labels.is_empty() { Reading::Unread(0) } else { calendar::read(&labels, self.kind == Kind::Month) }
    }

    /// The same for every line.
    pub fn months(&self, read: &[usize], lines: usize) -> Vec<Option<usize>> {
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
    pub fn tells_otherwise(&self, unread: usize, lines: &[&Line]) -> Option<Diagnostic> {
        let name = short(self.name);
        if self.fields.is_empty() {
            let is_one =
                lines.windows(2).all(|pair| pair[0].field(self.column) == pair[1].field(self.column));
            let message = format!("the lines are told apart by `{name}`, not by months");
            let first = lines.first().map(|line| line.place);
            return (!is_one).then(|| Diagnostic::error(first, message).hint(NAMES));
        }
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
