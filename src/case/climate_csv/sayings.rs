//! What a cell of the heading says, word by word: single words may mean something else in their place
//! (`temperature in °C`, `T_in`), and words may be written as one (`Tmean`, `Außenlufttemperatur`).

use super::vocabulary::Facet::{Place, Quantity, Unit};
use super::vocabulary::Meaning::{
    self, Celsius, Filler, Humidity, Other, Pascal, Percent, Relative, Share, Vapour,
};
use super::vocabulary::{SYMBOLS, index, known, symbol};
use super::words::{Word, words};

/// A word and what it says, if that is known.
#[derive(Clone, Debug)]
pub struct Said {
    /// As in [`Word`].
    pub word: String,
    /// Nothing where it is not in the list.
    pub meaning: Option<Meaning>,
}

/// What a cell of the heading says, word by word.
pub fn said(cell: &str) -> Vec<Said> {
    let words = words(cell);
    let mut said: Vec<Said> = Vec::new();
    let numbers: Vec<&str> =
        words.iter().map(|word| word.text.as_str()).filter(|text| is_number(text)).collect();
    for (at, word) in words.iter().enumerate() {
        let text = word.text.as_str();
        let next = words.get(at + 1).map(|word| word.text.as_str());
        let before = at.checked_sub(1).map(|at| &words[at]);
        let mut say = |word: &str, meaning| said.push(Said { word: word.to_owned(), meaning });
        if is_number(text) {
            say(text, number(text, next, &numbers));
        } else if before.is_some_and(|before| is_number(&before.text) && is_of_number(&before.text, text)) {
            say(text, Some(Filler));
        } else if text == "d" && words.get(at + 1).is_some_and(is_difference) {
            say(text, known("delta"));
        } else if text == "in" {
            say(text, Some(preposition(word, before, next)));
        } else if text == "water" && next.is_some_and(|next| known(next) == Some(Vapour)) {
            say(text, Some(Filler));
        } else if text == "f" && before.is_some_and(|before| known(&before.text) == Some(Relative)) {
            say(text, Some(Humidity));
        } else if let Some(index) = before.filter(|before| symbol(&before.text).is_some()).and(index(text)) {
            say(text, Some(index));
        } else if let Some(meaning) = symbol(text).or_else(|| known(text)) {
            say(text, Some(meaning));
        } else if let Some((sign, rest, meanings)) = with_index(text) {
            say(sign, Some(meanings[0]));
            say(rest, Some(meanings[1]));
        } else if let Some(parts) = compound(text) {
            for part in parts {
                say(part, known(part));
            }
        } else {
            say(text, None);
        }
    }
    said
}

/// `dT`: a sign that hangs on a `d`.
fn is_difference(word: &Word) -> bool {
    let sign = |text: &str| symbol(text).is_some() || with_index(text).is_some();
    word.hangs_on && sign(&word.text)
}

/// `Tmean`, `te`, `RHavg`: a sign and what it is indexed with.
fn with_index(word: &str) -> Option<(&'static str, &str, [Meaning; 2])> {
    SYMBOLS.iter().find_map(|(symbol, meaning)| {
        let rest = word.strip_prefix(symbol)?;
        let is_told = |meaning: &Meaning| rest.len() > 2 || matches!(meaning, Celsius | Other(..));
        let index =
            if rest == "in" { index("i") } else { index(rest).or_else(|| known(rest).filter(is_told)) };
        Some((*symbol, rest, [*meaning, index?]))
    })
}

/// `Außenlufttemperatur`: words of the list, one after the other.
fn compound(word: &str) -> Option<Vec<&str>> {
    const SHORTEST: usize = 3;
    const LONGEST: usize = 60;
    if word.len() > LONGEST {
        return None;
    }
    (SHORTEST..word.len()).rev().filter(|length| word.is_char_boundary(*length)).find_map(|length| {
        let (first, rest) = word.split_at(length);
        known(first)?;
        let rest = if known(rest).is_some() && rest.len() >= SHORTEST { vec![rest] } else { compound(rest)? };
        Some([vec![first], rest].concat())
    })
}

/// `temperature in °C`, but `T_in`.
fn preposition(word: &Word, before: Option<&Word>, next: Option<&str>) -> Meaning {
    const LONG: usize = 8;
    let is_before_unit = next.is_some_and(|next| {
        matches!(known(next), Some(Celsius | Percent | Pascal(_) | Other(Unit | Quantity, _)))
            || ["deg", "degree", "degrees", "grad"].contains(&next)
            || is_number(next.trim_start_matches('-'))
    });
    let is_index = word.hangs_on && before.is_none_or(|before| before.text.len() < LONG);
    if is_before_unit && !is_index { Filler } else { Other(Place, "the air inside") }
}

fn is_number(word: &str) -> bool {
    word.starts_with(|sign: char| sign.is_numeric())
}

/// Years of the period, 2 m above the ground, 24 h, 0 to 1, 0 to 100: every other number may mean anything.
fn number(text: &str, next: Option<&str>, all: &[&str]) -> Option<Meaning> {
    match all {
        ["0", "1"] => return Some(Share),
        ["0", "100"] => return Some(Percent),
        _ => {}
    }
    let is_year = text.len() == 4 && text.parse().is_ok_and(|year: u32| (1800..=2100).contains(&year));
    (is_year || next.is_some_and(|next| is_of_number(text, next))).then_some(Filler)
}

fn is_of_number(number: &str, unit: &str) -> bool {
    match unit {
        "m" => number.parse().is_ok_and(|height: f64| (1.2..=2.5).contains(&height)),
        "h" | "hr" | "hour" | "hours" => number == "24",
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::vocabulary::Meaning::{Mean, Outside, Temperature};
    use super::*;

    #[test]
    fn words_are_understood_in_their_places() {
        let told = |cell: &str| said(cell).into_iter().map(|said| said.meaning).collect::<Vec<_>>();
        let inside = Some(Other(Place, "the air inside"));
        assert_eq!(told("Tmean"), [Some(Temperature), Some(Mean)]);
        assert_eq!(told("T in °C"), [Some(Temperature), Some(Filler), Some(Celsius)]);
        assert_eq!(told("T_in °C"), [Some(Temperature), inside, Some(Celsius)]);
        assert_eq!(told("Tin"), [Some(Temperature), inside]);
        assert_eq!(told("Temp in"), [Some(Temperature), inside]);
        assert_eq!(told("Außenlufttemperatur"), [Some(Outside), Some(Filler), Some(Temperature)]);
        assert_eq!(told("T at 15 h"), [Some(Temperature), Some(Filler), None, known("h")]);
        assert_eq!(told("RH (0–1)"), [Some(Humidity), Some(Share), Some(Share)]);
        assert_eq!(told("tl"), [None]);
        assert_eq!(told("dT"), [known("delta"), Some(Temperature)]);
        assert_eq!(told("température d'air")[1], Some(Filler));
        assert_eq!(told("T -2 m")[1], None);
    }
}
