//! What the words of a heading say, in the languages of weather services nearby.
//!
//! Words that are not listed say nothing, and a column with such a word is not read: `temperature at 3 pm`
//! and `soil temperature` are temperatures too. So nothing depends on the second half of the list being
//! complete; it names the cause where one is known.

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
pub const SYMBOLS: [(&str, Meaning); 7] = [
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
    (Percent, "% percent cent pct prozent"),
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
        "diff change trend excess range amplitude spread swing span schwankung",
    ),
    // A mean of these is none of the air's temperature.
    (
        Other(Quantity, "a difference"),
        "difference differences delta δ anomaly anomalies deviation deviations departure departures abweichung abweichungen anomalie anomalien differenz differenzen ecart ecarts",
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
        "dew point dewpoint dewpt dwpt dp taupunkt taupunkts rosee rocio rugiada dauwpunt frost frostpoint",
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

/// The meaning of a word of the list.
pub fn known(word: &str) -> Option<Meaning> {
    WORDS.iter().find(|(_, words)| words.split(' ').any(|known| known == word)).map(|(meaning, _)| *meaning)
}

/// The meaning of a sign of a quantity.
pub fn symbol(word: &str) -> Option<Meaning> {
    SYMBOLS.iter().find(|(symbol, _)| *symbol == word).map(|(_, meaning)| *meaning)
}

/// The meaning of an index of such a sign.
pub fn index(word: &str) -> Option<Meaning> {
    INDICES.iter().find(|(index, _)| *index == word).map(|(_, meaning)| *meaning)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::words::{fold, words};
    use super::*;

    #[test]
    fn every_word_is_listed_once_and_as_it_is_looked_up() {
        let mut seen = BTreeSet::new();
        for word in WORDS.iter().flat_map(|(_, words)| words.split(' ')) {
            assert!(seen.insert(word), "{word} twice");
            assert_eq!((fold(word).as_str(), words(word).len()), (word, 1));
        }
    }
}
