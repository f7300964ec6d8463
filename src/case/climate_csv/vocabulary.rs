//! What the words of a heading say, in the languages of weather services nearby.
//!
//! Words that are not listed say nothing, and a column with such a word is not read: `temperature at 3 pm`
//! and `soil temperature` are temperatures too. So nothing depends on the second half of the list being
//! complete; it names the cause where one is known.

use super::words::{Word, words};
use Facet::{Moment, Place, Quantity, Statistic, Unit};
use Meaning::{
    Celsius, Daily, Filler, Humidity, Mean, Other, Outside, Pascal, Percent, Pressure, Relative, Share,
    Temperature, Vapour,
};

/// What a word of a heading says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meaning {
    /// A temperature.
    Temperature,
    /// A humidity.
    Humidity,
    /// Water vapour, whose pressure may stand for humidity.
    Vapour,
    /// A pressure.
    Pressure,
    /// Humidity is relative.
    Relative,
    /// °C.
    Celsius,
    /// %.
    Percent,
    /// 0 to 1.
    Share,
    /// A pressure's unit, in Pa.
    Pascal(f64),
    /// A mean.
    Mean,
    /// Daily, which is right beside "mean".
    Daily,
    /// Outside.
    Outside,
    /// Nothing of importance.
    Filler,
    /// What makes it something else than a monthly mean outside in the right unit, and how to call that.
    Other(Facet, &'static str),
}

/// In what respect a column is something else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facet {
    /// Another unit.
    Unit,
    /// Not the mean.
    Statistic,
    /// Not the air outside.
    Place,
    /// Not all day.
    Moment,
    /// Not temperature or relative humidity.
    Quantity,
}

/// Signs of quantities, which may carry an index.
const SYMBOLS: [(&str, Meaning); 7] = [
    ("theta", Temperature),
    ("θ", Temperature),
    ("t", Temperature),
    ("phi", Humidity),
    ("φ", Humidity),
    ("rh", Humidity),
    ("rf", Humidity),
];

/// Indices of those signs.
const INDICES: [(&str, Meaning); 10] = [
    ("e", Outside),
    ("a", Filler),
    ("i", Other(Place, "the air inside")),
    ("d", Other(Quantity, "the dew point")),
    ("w", Other(Quantity, "the wet bulb")),
    ("x", Other(Statistic, "a maximum")),
    ("n", Other(Statistic, "a minimum")),
    ("s", Other(Place, "a surface or the soil")),
    ("g", Other(Place, "the ground or a globe")),
    ("r", Other(Quantity, "radiation")),
];

const WORDS: &[(Meaning, &str)] = &[
    (
        Temperature,
        "temperature temperatures temp temperatur temperaturen temperatura temperaturas drybulb bulb db dbt teplota lampotila",
    ),
    (
        Humidity,
        "humidity hum humid feuchte feuchtigkeit humidite humedad umidita umidade vochtigheid fuktighet fugtighed wilgotnosc vlhkost kosteus",
    ),
    (Vapour, "vapour vapor dampf dampfdruck wasserdampf wasserdampfdruck vapeur"),
    (Pressure, "pressure druck pression partial partialdruck"),
    (Relative, "relative rel relativ relatief relativa relatieve hr ur rv wzgledna relativni suhteellinen"),
    (Celsius, "°c c celsius centigrade degc"),
    (Percent, "% percent pct prozent"),
    (Share, "fraction share anteil decimal"),
    (Pascal(1.0), "pa pascal"),
    (Pascal(100.0), "hpa mbar mb millibar"),
    (Pascal(1000.0), "kpa"),
    (
        Mean,
        "mean means average averages averaged avg ave mittel mittlere mittlerer mittelwert mittelwerte monatsmittel durchschnitt durchschnittliche durchschnittlicher moyen moyenne moyennes moy media medio gemiddelde gemiddeld gem medel middel genomsnitt gennemsnit srednia prumer prumerna keskiarvo",
    ),
    (Daily, "daily taglich tagliche tages quotidien quotidienne journaliere diaria giornaliera"),
    (
        Outside,
        "outside outdoor outdoors external exterior outer out ext aussen exterieur exterieure esterna esterno externa buiten ute udendors utomhus",
    ),
    (
        Filler,
        "air luft lucht aria aire ar ambient dry trocken monthly month monat monats monatlich monatliche mensuel mensuelle mensual mensile maandelijkse normal normals longterm long term deg degree degrees grad value values wert werte at of the der die de des du la le da do del della l d per",
    ),
    // From here on: what is not read, with its cause.
    (Other(Unit, "degrees Fahrenheit"), "°f f fahrenheit degf"),
    (Other(Unit, "kelvin"), "k °k kelvin kelvins degk"),
    (Other(Unit, "tenths"), "tenth tenths zehntel dixiemes decimas"),
    (
        Other(Statistic, "a maximum"),
        "max maximum maxima maximal maximale maximales maximums highest high hottest warmest peak hochste hochster hochst maxim massima massimo maximo hogsta hojeste",
    ),
    (
        Other(Statistic, "a minimum"),
        "min minimum minima minimal minimale minimums lowest low coldest tiefste niedrigste minimo laveste lagsta",
    ),
    (Other(Statistic, "a record"), "record records extreme extremes extrem"),
    (Other(Statistic, "an absolute value"), "abs absolute absolut absolue absolu absoluta assoluta"),
    (
        Other(Statistic, "a difference"),
        "difference diff delta δ change anomaly anomalies deviation departure trend abweichung differenz ecart excess range amplitude spread swing span schwankung",
    ),
    (
        Other(Statistic, "a standard deviation or an error"),
        "std sd stdev stddev sigma σ standard variance var error uncertainty standardabweichung",
    ),
    (
        Other(Statistic, "a median or another percentile"),
        "median mediana percentile percentiles quantile quantiles mode perzentil",
    ),
    (Other(Statistic, "a count or a sum"), "days count number anzahl sum total frequency hdd cdd gdd tage"),
    (Other(Statistic, "a design value"), "design dimensioning auslegung bemessung norm"),
    (Other(Statistic, "a mark"), "flag quality qc source code"),
    (
        Other(Place, "the soil"),
        "soil ground earth boden erde erdreich sol suelo suolo terreno bodem jord puda",
    ),
    (Other(Place, "a surface"), "surface skin roof wall facade pavement road oberflache oberflachen grass"),
    (
        Other(Place, "water"),
        "water sea sst ocean lake river wasser meer meeres mer eau agua mare acqua zee vann vatten hav",
    ),
    (Other(Place, "the sky"), "sky cloud cloudcover himmel ciel"),
    (Other(Place, "snow or ice"), "snow ice schnee"),
    (
        Other(Place, "the air inside"),
        "indoor indoors inside inner interior internal int room rooms flat dwelling house home zone attic cellar basement loft bathroom kitchen bedroom living wohnung innen raum zimmer interieur interieure intern interne interno interna binnen",
    ),
    (
        Other(Quantity, "the dew point"),
        "dew dewpoint dewpt dwpt dp taupunkt taupunkts rosee rocio rugiada dauwpunt frost frostpoint",
    ),
    (Other(Quantity, "the wet bulb"), "wet wetbulb wb wbt feuchtkugel feuchttemperatur nass psychrometric"),
    (
        Other(Quantity, "what is felt"),
        "feels felt feel like apparent perceived gefuhlte windchill chill heat index heatindex ressenti ressentie humidex utci wbgt comfort operative effective equivalent",
    ),
    (Other(Quantity, "radiation"), "radiant radiative globe black brightness sun sunlit solair"),
    (Other(Quantity, "a calculated quantity"), "virtual potential"),
    (
        Other(Quantity, "water by mass or volume, not relative humidity"),
        "specific mixing ratio spezifische mischungsverhaltnis content gehalt g kg gkg gm mg",
    ),
    (
        Other(Quantity, "what is missing to saturation, or saturation"),
        "deficit defizit saturation saturated sattigung vpd",
    ),
    (
        Other(Moment, "an hour or a part of the day"),
        "am pm hour hours hourly h clock utc gmt noon midday midnight morning afternoon evening night nights nighttime day daytime nacht mittag morgen abend uhr heure heures hora horas ora ore stunde sunrise sunset",
    ),
];

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
            parts.into_iter().for_each(|part| say(part, known(part)));
        } else {
            say(text, None);
        }
    }
    said
}

/// The meaning of a word of the list.
pub fn known(word: &str) -> Option<Meaning> {
    WORDS.iter().find(|(_, words)| words.split(' ').any(|known| known == word)).map(|(meaning, _)| *meaning)
}

fn symbol(word: &str) -> Option<Meaning> {
    SYMBOLS.iter().find(|(symbol, _)| *symbol == word).map(|(_, meaning)| *meaning)
}

fn index(word: &str) -> Option<Meaning> {
    INDICES.iter().find(|(index, _)| *index == word).map(|(_, meaning)| *meaning)
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
            || is_number(next)
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
    use std::collections::BTreeSet;

    use super::super::words::fold;
    use super::*;

    #[test]
    fn every_word_is_listed_once_and_as_it_is_looked_up() {
        let mut seen = BTreeSet::new();
        for word in WORDS.iter().flat_map(|(_, words)| words.split(' ')) {
            assert!(seen.insert(word), "{word} twice");
            assert_eq!((fold(word).as_str(), words(word).len()), (word, 1));
        }
    }

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
    }
}
