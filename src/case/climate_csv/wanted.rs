//! What is said of a heading that does not name what is wanted.

use super::sayings::Said;
use super::vocabulary::Facet;
use super::vocabulary::Meaning::{Daily, Other, Vapour};

/// What a heading should look like.
pub const HEADING: &str = "head the columns `month,temperature,humidity`, with a line for each month such as `January,-0.4,88`: monthly means of the air outside in °C and %";

/// What to do with two of a kind.
pub const ONE_EACH: &str = "leave one of them: the monthly mean of the air outside";

/// What a column is wanted for.
pub struct Wanted {
    word: &'static str,
    /// In words.
    pub quantity: &'static str,
}

/// Temperature.
pub const TEMPERATURE: Wanted =
    Wanted { word: "temperature", quantity: "the monthly mean temperature of the air outside in °C" };
/// Humidity.
pub const HUMIDITY: Wanted =
    Wanted { word: "humidity", quantity: "the monthly mean relative humidity of the air outside in %" };

impl Wanted {
    /// Two columns may be it.
    pub fn both(&self, one: &str, other: &str) -> String {
        format!("`{}` and `{}` may both be the {}", short(one), short(other), self.word)
    }

    /// No column is.
    pub fn none(&self) -> String {
        format!("no column is named `{}`", self.word)
    }

    /// What a word has against a column being this.
    pub fn why_not(&self, said: &Said) -> String {
        let Self { word: wanted, quantity } = self;
        let word = &said.word;
        match said.meaning {
            Some(Other(Facet::Unit, unit)) => {
                format!("`{word}` stands for {unit}: convert to °C and head the column `temperature`")
            }
            Some(Other(_, what)) => {
                format!("`{word}` stands for {what}; what is needed is {quantity}, headed `{wanted}`")
            }
            Some(Vapour) => format!(
                "`{word}` is a pressure without its unit: write Pa or hPa, or relative humidity in % headed `humidity`"
            ),
            Some(Daily) => format!("`{word}` without `mean`: if it is {quantity}, head it `{wanted}`"),
            Some(_) => format!("`{word}` does not go with it; head {quantity} `{wanted}`"),
            None => format!("`{word}` is not understood; if the column has {quantity}, head it `{wanted}`"),
        }
    }
}

/// A heading for messages.
pub fn short(name: &str) -> String {
    const MOST: usize = 40;
    let mut short: String = name.chars().take(MOST).collect();
    if short.len() < name.len() {
        short.push('…');
    }
    short
}
