//! What stands above and below a table: titles, remarks, sources.
//!
//! Nothing is read from it, but a table below "Temperatures in °F" or "Living room" is not read as if that did
//! not stand there, unless its headings say otherwise. Only words that are plain in running text count.

use super::heading::{Columns, short};
use super::lines::Line;
use super::vocabulary::{Facet, Meaning, known};
use super::words::words;
use crate::finding::Diagnostic;
use crate::text::Place;

const UNITS: &str = "°f fahrenheit °k kelvin";
const PLACES_AND_STATISTICS: &str =
    "indoor indoors inside innen interieur soil boden max maximum maxima min minimum minima median";
/// `F` and `K` are units after these.
const BEFORE_UNITS: &str = "deg degree degrees unit units in";

/// The first contradiction between what stands around the table and the headings.
pub fn contradiction(columns: &Columns, around: &[&Line], remarks: &[(String, Place)]) -> Option<Diagnostic> {
    let titles = around.iter().map(|line| (line.fields.join(" "), line.place, true));
    let remarks = remarks.iter().map(|(text, place)| (text.clone(), *place, false));
    titles.chain(remarks).find_map(|(text, place, is_title)| {
        let (word, facet, what) = against(&text, is_title, &columns.settled)?;
        let rest = match facet {
            Facet::Unit => "convert to °C, or say `°C` in the heading",
            Facet::Statistic => "if the column has means, say `mean` in the heading",
            _ => "if both columns are of the air outside, say `outside` in their headings",
        };
        let message = format!("`{}` stands beside the table", short(&text));
        Some(Diagnostic::error(place, message).hint(format!("`{word}` stands for {what}: {rest}")))
    })
}

fn against(text: &str, is_title: bool, settled: &[Facet]) -> Option<(String, Facet, &'static str)> {
    let words = words(text);
    words.iter().enumerate().find_map(|(at, word)| {
        let is_listed = |list: &str| list.split(' ').any(|listed| listed == word.text);
        let is_unit_letter = matches!(word.text.as_str(), "f" | "k")
            && at
                .checked_sub(1)
                .is_some_and(|before| BEFORE_UNITS.split(' ').any(|known| known == words[before].text));
        if !(is_unit_letter || is_listed(UNITS) || is_title && is_listed(PLACES_AND_STATISTICS)) {
            return None;
        }
        match known(&word.text) {
            Some(Meaning::Other(facet, what)) if !settled.contains(&facet) => {
                Some((word.text.clone(), facet, what))
            }
            _ => None,
        }
    })
}
