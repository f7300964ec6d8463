//! The built-in table of generic design values.
//!
//! The rows stand in `generic.csv` beside this file, each with its source. Most λ, ρ and c are those of EN
//! 12524:2000, Table 1, checked against a published reproduction of it (`tests/published`); ISO 10456:2007,
//! Table 3, took them over. The few insulants carry the upper end of what manufacturers declare, since
//! insulants have no generic design value. What was written down from memory of the named table says so,
//! value by value; none is a substitute for the standard's text. Water vapour resistance factors are those of
//! ISO 10456:2007, from memory where no other source is named. Where two sources differ the row names both.
//! Emissivities are not listed: the finish of a surface decides them, not its material.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{ALONG_X, Material, Origin};

/// A row of the table.
#[derive(Clone, Debug, Deserialize)]
pub struct GenericMaterial {
    /// The name used in case files.
    pub name: String,
    /// The name shown to readers.
    pub label: String,
    /// The kind of material, for listing.
    pub group: String,
    /// W/(m·K).
    pub conductivity: f64,
    /// kg/m³, where the source has one.
    pub density: Option<f64>,
    /// Specific heat capacity, J/(kg·K), where the standard has one.
    pub heat_capacity: Option<f64>,
    /// Water vapour resistance factor, dry; infinite for what lets no vapour pass.
    pub vapour_dry: Option<f64>,
    /// The same, wet.
    pub vapour_wet: Option<f64>,
    /// The published tables of the values.
    pub source: String,
}

static TABLE: LazyLock<Vec<GenericMaterial>> = LazyLock::new(|| {
    csv::Reader::from_reader(include_bytes!("generic.csv").as_slice())
        .deserialize()
        .map(|row| row.expect("the built-in table is well-formed, as its test shows"))
        .collect()
});

/// All rows, in the order of the table.
pub fn table() -> &'static [GenericMaterial] {
    &TABLE
}

/// The row of that name.
pub fn find(name: &str) -> Option<&'static GenericMaterial> {
    table().iter().find(|row| row.name == name)
}

/// Rows that contain every word of `search` in their name, label, group or source, in any letter case.
pub fn search(search: &str) -> Vec<&'static GenericMaterial> {
    let words: Vec<String> = search.split_whitespace().map(str::to_lowercase).collect();
    let matches = |row: &GenericMaterial| {
        let text = format!("{} {} {} {}", row.name, row.label, row.group, row.source).to_lowercase();
        words.iter().all(|word| text.contains(word.as_str()))
    };
    table().iter().filter(|row| matches(row)).collect()
}

/// The rows, at most five, whose label has every word of a name that is no row's.
pub fn described_by(name: &str) -> Vec<&'static GenericMaterial> {
    const MOST: usize = 5;
    let words = |text: &str| -> Vec<String> {
        let text = text.to_lowercase();
        text.split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let wanted = words(name);
    let has_all = |row: &&GenericMaterial| {
        let label = words(&row.label);
        wanted.iter().all(|word| label.contains(word))
    };
    if wanted.is_empty() { Vec::new() } else { table().iter().filter(has_all).take(MOST).collect() }
}

impl From<&GenericMaterial> for Material {
    fn from(row: &GenericMaterial) -> Self {
        Self {
            name: row.name.clone(),
            label: row.label.clone(),
            conductivity_x: row.conductivity,
            conductivity_y: row.conductivity,
            axis: ALONG_X,
            density: row.density,
            heat_capacity: row.heat_capacity,
            vapour_resistance: row.vapour_dry.zip(row.vapour_wet).map(|(dry, wet)| [dry, wet]),
            source: row.source.clone(),
            origin: Origin::Generic,
            doubt: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn every_row_is_complete_and_named_once() {
        assert!(table().len() >= 80, "{} rows", table().len());
        let names: HashSet<&str> = table().iter().map(|row| row.name.as_str()).collect();
        assert_eq!(names.len(), table().len());
        for row in table() {
            assert!(row.conductivity > 0.0 && row.conductivity < 500.0, "{}", row.name);
            assert!(row.density.is_none_or(|density| density > 0.0), "{}", row.name);
            assert!(
                row.heat_capacity.is_none_or(|capacity| (100.0..5000.0).contains(&capacity)),
                "{}",
                row.name
            );
            let vapour = row.vapour_dry.zip(row.vapour_wet);
            assert!(vapour.is_none_or(|(dry, wet)| dry >= wet && wet >= 1.0), "{}", row.name);
            assert!(!row.source.is_empty() && !row.group.is_empty(), "{}", row.name);
        }
    }

    #[test]
    fn search_finds_by_any_word() {
        let names: Vec<&str> = search("STEEL austenitic").iter().map(|row| row.name.as_str()).collect();
        assert_eq!(names, ["stainless_steel"]);
        assert_eq!(search("no such thing").len(), 0);
    }
}
