//! What stands around the columns: titles, remarks, sources, columns that are not taken.
//!
//! Nothing is read from it, but a table below "Temperatures in °F" or "Living room" is not read as if that did
//! not stand there, unless its headings say otherwise. A text of known words alone is taken at its word
//! (`Kitchen`, `Wet bulb`); in running text and names (Lowfield by the Sea) only words that are plain count.

use super::heading::Columns;
use super::lines::Line;
use super::sayings::said;
use super::vocabulary::{Facet, Meaning, known};
use super::wanted::short;
use super::words::{Word, words};
use crate::finding::Diagnostic;
use crate::text::Place;

const UNITS: &str = "°f fahrenheit °k kelvin tenths zehntel";
const PLACES_AND_STATISTICS: &str = "indoor indoors inside innen interieur soil boden max maximum maxima min minimum minima median anomaly anomalies anomalie anomalien deviation deviations departure departures abweichung abweichungen ecart ecarts";
/// What is named after people and places: `Max-Planck-Straße`, `Bodenallee`.
const NAMED: &str = "street road avenue lane square strasse str platz allee weg gasse ring ufer damm institute institut school schule gymnasium university universitat";
/// Converted from a unit into °C: before it, and between the two.
const FROM: &str = "from von aus de da";
const INTO: &str = "to into in nach zu en a";
/// `F` and `K` are units after these.
const BEFORE_UNITS: &str = "deg degree degrees unit units in";

/// What a text has against the table: a word, in which respect, and how to call it.
type Against = (String, Facet, &'static str);

/// The first contradiction between the headings and what stands around them.
pub fn contradiction(
    columns: &Columns,
    around: &[&Line],
    lines: &[&Line],
    remarks: &[(String, Place)],
) -> Option<Diagnostic> {
    let fault = |text: &str, place: Place, (word, facet, what): Against| {
        let rest = match facet {
            Facet::Unit => "convert to °C, or say `°C` in the heading",
            Facet::Statistic | Facet::Moment => "if the column has means, say `mean` in the heading",
            Facet::Place => "if both columns are of the air outside, say `outside` in their headings",
            Facet::Quantity => "if the columns have something else, leave that out",
        };
        let message = format!("`{}` stands beside the columns", short(text));
        Diagnostic::error(place, message).hint(format!("`{word}` stands for {what}: {rest}"))
    };
    let settled = columns.settled.as_slice();
    let of_title = around.iter().find_map(|line| {
        let text = line.fields.join(" ");
        let in_field = || line.fields.iter().find_map(|field| taken_at_its_word(field, settled));
        let against = in_field().or_else(|| in_running_text(&text, true, settled))?;
        Some(fault(text.trim(), line.place, against))
    });
    let of_remark = || {
        remarks.iter().find_map(|(text, place)| {
            in_running_text(text, false, settled).map(|against| fault(text, *place, against))
        })
    };
    let of_column = || {
        let first = lines.first()?;
        let beside = (0..first.fields.len())
            .filter(|column| ![columns.temperature, columns.humidity].contains(column));
        beside.filter_map(|column| first.field(column).map(|field| (column, field))).find_map(
            |(column, field)| {
                let is_constant = lines.iter().all(|line| line.field(column) == Some(field));
                let against = taken_at_its_word(field, settled).filter(|_| is_constant)?;
                Some(fault(field, first.place, against))
            },
        )
    };
    of_title.or_else(of_remark).or_else(of_column)
}

fn other(word: &str, meaning: Option<Meaning>, settled: &[Facet]) -> Option<Against> {
    match meaning {
        Some(Meaning::Other(facet, what)) if !settled.contains(&facet) => {
            Some((word.to_owned(), facet, what))
        }
        _ => None,
    }
}

/// A text of known words, of which one is against the table.
fn taken_at_its_word(text: &str, settled: &[Facet]) -> Option<Against> {
    let is_hour = text.contains(':') && text.chars().all(|sign| sign.is_ascii_digit() || sign == ':');
    if is_hour && !settled.contains(&Facet::Moment) {
        return Some((text.to_owned(), Facet::Moment, "an hour of the day"));
    }
    let said = said(text);
    let is_known = said.iter().all(|said| said.meaning.is_some());
    said.iter().filter(|_| is_known).find_map(|said| other(&said.word, said.meaning, settled))
}

fn in_running_text(text: &str, is_title: bool, settled: &[Facet]) -> Option<Against> {
    let words = words(text);
    words.iter().enumerate().find_map(|(at, word)| {
        let text = word.text.as_str();
        let is_listed = |list: &str| list.split(' ').any(|listed| listed == text);
        let before = at.checked_sub(1).map_or("", |before| words[before].text.as_str());
        if text == "°c" && before == "0.1" && !settled.contains(&Facet::Unit) {
            return Some(("0.1 °C".to_owned(), Facet::Unit, "tenths"));
        }
        let is_unit = matches!(text, "f" | "k") && BEFORE_UNITS.split(' ').any(|known| known == before);
        let is_hour = matches!(text, "am" | "pm") && before.parse::<f64>().is_ok();
        let counts = is_unit || is_listed(UNITS) || is_title && (is_hour || is_listed(PLACES_AND_STATISTICS));
        let is_told_away = is_part_of_a_name(&words, at) || is_converted(&words, at);
        other(text, known(text), settled).filter(|_| counts && !is_told_away)
    })
}

fn is_in(list: &str, word: Option<&Word>) -> bool {
    word.is_some_and(|word| list.split(' ').any(|listed| listed == word.text))
}

/// True for `Max` of `Max-Planck-Straße`: a word that is not known follows, and soon what is named so.
fn is_part_of_a_name(words: &[Word], at: usize) -> bool {
    const NEAR: usize = 3;
    let is_unknown = |word: &Word| said(&word.text).iter().any(|said| said.meaning.is_none());
    let rest = words.get(at + 1..).unwrap_or_default();
    rest.first().is_some_and(|next| is_unknown(next) && !is_in(NAMED, Some(next)))
        && rest.iter().take(NEAR).any(|word| is_in(NAMED, Some(word)))
}

/// True for `°F` of `converted from °F to °C`.
fn is_converted(words: &[Word], at: usize) -> bool {
    let before = |back: usize| at.checked_sub(back).map(|index| &words[index]);
    let is_degree = is_in("deg degree degrees grad", before(1));
    let is_celsius = |word: &Word| known(&word.text) == Some(Meaning::Celsius);
    let after: Vec<&Word> = words
        .iter()
        .skip(at + 1)
        .filter(|word| !["deg", "degree", "degrees", "grad"].contains(&word.text.as_str()))
        .take(2)
        .collect();
    is_in(FROM, before(if is_degree { 2 } else { 1 }))
        && matches!(after.as_slice(), [into, unit] if is_in(INTO, Some(into)) && is_celsius(unit))
}
