//! Which column is which: told by the heading alone, since numbers do not tell °C from °F, nor means from
//! maxima.
//!
//! A column is taken where every word of its heading is known and none makes it something else. Lines between
//! the heading and the first month (units, `mean` and `max` below a common `Temperature`) belong to the
//! heading; what stands above and below the table is read for words that contradict it.

use super::lines::Line;
use super::sayings::{Said, said};
use super::vocabulary::{Facet, Meaning};
use super::wanted::{HEADING, HUMIDITY, ONE_EACH, TEMPERATURE, Wanted, short};
use crate::finding::Diagnostic;

use Meaning::{
    Celsius, Daily, Filler, Humidity, Mean, Other, Outside, Pascal, Percent, Pressure, Relative, Share,
    Temperature, Vapour,
};

/// The unit that stands for humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unit {
    /// Relative humidity in %.
    Percent,
    /// Relative humidity, 0 to 1.
    Share,
    /// Vapour pressure, and its unit in Pa.
    Pascal(f64),
}

/// The columns taken.
#[derive(Debug)]
pub struct Columns {
    /// Which has the temperature.
    pub temperature: usize,
    /// Which has the humidity.
    pub humidity: usize,
    /// In which unit.
    pub unit: Unit,
    /// True where the heading itself says that humidity is relative.
    pub is_relative: bool,
    /// What the headings themselves settle, whatever stands around the table.
    pub settled: Vec<Facet>,
    /// All headings, with what stands below them.
    pub names: Vec<String>,
}

/// Whether a column may be taken, and if not, why.
enum Judged<T> {
    Taken(T),
    Refused(Said),
    Another,
}

fn is(said: &[Said], meanings: &[Meaning]) -> bool {
    said.iter().any(|said| said.meaning.is_some_and(|meaning| meanings.contains(&meaning)))
}

fn is_like(said: &[Said], parts: &[&str]) -> bool {
    said.iter().any(|said| parts.iter().any(|part| said.word.contains(part)))
}

/// The first word that keeps a column from being what it is like: with a known cause, or else not known.
fn against(said: &[Said], allowed: &dyn Fn(Meaning) -> bool) -> Option<Said> {
    let is_mean = is(said, &[Mean]);
    let stops = |said: &&Said| {
        said.meaning.is_none_or(|meaning| !(allowed(meaning) || (meaning == Daily && is_mean)))
    };
    let has_cause = |said: &&Said| matches!(said.meaning, Some(Other(..)));
    said.iter().filter(stops).find(has_cause).or_else(|| said.iter().find(stops)).cloned()
}

fn temperature(said: &[Said]) -> Judged<()> {
    const LIKE: [&str; 9] =
        ["temp", "fahrenheit", "kelvin", "°f", "°k", "dewpoint", "taupunkt", "wetbulb", "teplot"];
    if !is(said, &[Temperature, Celsius]) && !is_like(said, &LIKE) && !is_like_all(said, &["dew", "wet"]) {
        return Judged::Another;
    }
    let allowed = |meaning| matches!(meaning, Temperature | Celsius | Mean | Outside | Filler);
    against(said, &allowed).map_or(Judged::Taken(()), Judged::Refused)
}

/// A word by itself, not a part of one.
fn is_like_all(said: &[Said], words: &[&str]) -> bool {
    said.iter().any(|said| words.contains(&said.word.as_str()))
}

fn humidity(said: &[Said]) -> Judged<Unit> {
    const LIKE: [&str; 8] = ["humid", "umid", "feucht", "moist", "vocht", "mixing", "vlhk", "ratio"];
    let is_pressure = is(said, &[Vapour]);
    let is_bare = is(said, &[Percent])
        && said.iter().all(|said| matches!(said.meaning, Some(Percent | Relative | Mean | Outside)));
    if !is(said, &[Humidity, Vapour]) && !is_bare && !is_like(said, &LIKE) {
        return Judged::Another;
    }
    let pascal = said.iter().find_map(|said| match said.meaning {
        Some(Pascal(unit)) => Some(unit),
        _ => None,
    });
    let allowed = |meaning| match meaning {
        Mean | Outside | Filler => true,
        Vapour | Pressure | Pascal(_) => is_pressure,
        Humidity | Relative | Percent => !is_pressure,
        Share => !is_pressure && !is(said, &[Percent]),
        _ => false,
    };
    match (against(said, &allowed), pascal) {
        (Some(word), _) => Judged::Refused(word),
        (None, Some(unit)) => Judged::Taken(Unit::Pascal(unit)),
        (None, None) if is_pressure => {
            let vapour = said.iter().find(|said| said.meaning == Some(Vapour));
            vapour.cloned().map_or(Judged::Another, Judged::Refused)
        }
        (None, None) if is(said, &[Share]) => Judged::Taken(Unit::Share),
        (None, None) => Judged::Taken(Unit::Percent),
    }
}

/// True for a line that may name the columns: one has a temperature, another a humidity.
pub fn is_heading(line: &Line) -> bool {
    let cells: Vec<Vec<Said>> = line.fields.iter().map(|field| said(field)).collect();
    let is_temperature = |cell: &[Said]| !matches!(temperature(cell), Judged::Another);
    let is_humidity = |cell: &[Said]| !matches!(humidity(cell), Judged::Another);
    let one = cells.iter().position(|cell| is_temperature(cell) && !is_humidity(cell));
    let other = cells.iter().position(|cell| is_humidity(cell) && !is_temperature(cell));
    one.is_some() && other.is_some()
}

/// True for a heading of units alone.
pub fn is_of_units(line: &Line) -> bool {
    line.fields.iter().flat_map(|field| said(field)).all(|said| {
        matches!(said.meaning, Some(Celsius | Percent | Share | Pascal(_) | Filler | Other(Facet::Unit, _)))
    })
}

/// What heads a column, from top to bottom. A cell above several, as `Temperature` above `mean` and `max`,
/// stands above the first of them.
fn cells<'a>(lines: &[&'a Line], column: usize) -> Vec<&'a str> {
    let mut own: Vec<&str> = lines.iter().filter_map(|line| line.field(column)).collect();
    if let [first, below @ ..] = lines
        && first.field(column).is_none()
        && below.iter().any(|line| line.field(column).is_some())
        && let Some(shared) = (0..column).rev().find_map(|column| first.field(column))
    {
        own.insert(0, shared);
    }
    own
}

/// True for a line above the heading that says what groups of columns are: `Outside;;Inside;`.
pub fn is_of_groups(line: &Line, heading: &Line) -> bool {
    line.width == heading.width
        && line.filled() > 1
        && line.fields.iter().flat_map(|field| said(field)).all(|said| said.meaning.is_some())
}

/// The columns that a heading of one or more lines names.
pub fn columns(lines: &[&Line]) -> Result<Columns, Diagnostic> {
    let width = lines.iter().map(|line| line.width).max().unwrap_or_default();
    let cells: Vec<Vec<&str>> = (0..width).map(|column| cells(lines, column)).collect();
    let names: Vec<String> = cells.iter().map(|cells| cells.join(" | ")).collect();
    // Cell by cell: `T in` above `°C` is not `T in °C`.
    let told: Vec<Vec<Said>> =
        cells.iter().map(|cells| cells.iter().flat_map(|cell| said(cell)).collect()).collect();
    let place = lines.first().map(|line| line.place);
    let fault = |message: String| Diagnostic::error(place, message);
    let refuse = |column: usize, word: &Said, wanted: &Wanted| {
        let message = format!("`{}` is not read as {}", short(&names[column]), wanted.quantity);
        fault(message).hint(wanted.why_not(word))
    };

    let temperatures: Vec<Judged<()>> = told.iter().map(|said| temperature(said)).collect();
    let taken: Vec<usize> =
        (0..width).filter(|column| matches!(temperatures[*column], Judged::Taken(()))).collect();
    let temperature = match taken.as_slice() {
        [column] => *column,
        [one, other, ..] => return Err(fault(TEMPERATURE.both(&names[*one], &names[*other])).hint(ONE_EACH)),
        [] => {
            let refused = (0..width).find_map(|column| match &temperatures[column] {
                Judged::Refused(word) => Some(refuse(column, word, &TEMPERATURE)),
                _ => None,
            });
            return Err(refused.unwrap_or_else(|| fault(TEMPERATURE.none()).hint(HEADING)));
        }
    };

    let humidities: Vec<Judged<Unit>> = told.iter().map(|said| humidity(said)).collect();
    let of = |is_pressure: bool| -> Vec<(usize, Unit)> {
        let unit = |column: usize| match humidities[column] {
            Judged::Taken(unit) if matches!(unit, Unit::Pascal(_)) == is_pressure => Some((column, unit)),
            _ => None,
        };
        (0..width).filter_map(unit).collect()
    };
    let taken = Some(of(false)).filter(|taken| !taken.is_empty()).unwrap_or_else(|| of(true));
    let (humidity, unit) = match taken.as_slice() {
        [one] => *one,
        [(one, _), (other, _), ..] => {
            return Err(fault(HUMIDITY.both(&names[*one], &names[*other])).hint(ONE_EACH));
        }
        [] => {
            let refused = (0..width).find_map(|column| match &humidities[column] {
                Judged::Refused(word) => Some(refuse(column, word, &HUMIDITY)),
                _ => None,
            });
            return Err(refused.unwrap_or_else(|| fault(HUMIDITY.none()).hint(HEADING)));
        }
    };
    let is_relative = unit != Unit::Percent
        || is(&told[humidity], &[Relative, Percent])
        || is_like_all(&told[humidity], &["rh", "rf", "φ", "phi"]);
    let both = [&told[temperature], &told[humidity]];
    let settled = [
        (Facet::Unit, is(&told[temperature], &[Celsius])),
        (Facet::Statistic, is(&told[temperature], &[Mean])),
        (Facet::Moment, is(&told[temperature], &[Mean])),
        (Facet::Place, both.iter().all(|said| is(said, &[Outside]))),
    ];
    let settled = settled.into_iter().filter(|(_, is_settled)| *is_settled).map(|(facet, _)| facet).collect();
    Ok(Columns { temperature, humidity, unit, is_relative, settled, names })
}
