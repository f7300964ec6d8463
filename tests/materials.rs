//! The generic table against published values, which stand in files of their own (`tests/published`).

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::material::generic::{self, GenericMaterial};
use std::collections::HashMap;

mod common;

/// The rows of a file by name.
fn published(file: &str) -> HashMap<String, csv::StringRecord> {
    let path = common::root(&format!("tests/published/{file}"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    reader.records().map(|record| record.unwrap()).map(|record| (record[0].to_owned(), record)).collect()
}

fn row(name: &str) -> &'static GenericMaterial {
    generic::find(name).unwrap_or_else(|| panic!("{name} is published but not in the table"))
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text:?} is no number"))
}

/// λ, ρ, c of our row and of the published one, bounds of ρ left out.
fn differences(ours: &GenericMaterial, published: &csv::StringRecord) -> Vec<String> {
    let mut differences = Vec::new();
    let mut compare = |what: &str, ours: Option<f64>, printed: &str| {
        let agrees =
            if printed.starts_with(['<', '>']) { ours.is_none() } else { ours == Some(number(printed)) };
        if !agrees {
            differences.push(format!("{what} {ours:?} for {printed}"));
        }
    };
    compare("conductivity", Some(ours.conductivity), &published[1]);
    compare("density", ours.density, &published[2]);
    compare("heat_capacity", ours.heat_capacity, &published[3]);
    differences
}

/// The two plasters that the reproduction of EN 12524 has the other way round.
const SWAPPED: [&str; 2] = ["plaster_gypsum_sand", "render"];

#[test]
fn rows_agree_with_en_12524() {
    let published = published("en-12524.csv");
    assert!(published.len() >= 114, "{} rows", published.len());
    for (name, record) in &published {
        let source = if SWAPPED.contains(&name.as_str()) {
            let other = SWAPPED.iter().find(|other| **other != name).unwrap();
            assert!(!differences(row(name), record).is_empty(), "{name} agrees after all");
            &published[*other]
        } else {
            record
        };
        let differences = differences(row(name), source);
        assert!(differences.is_empty(), "{name}: {}", differences.join(", "));
    }
    // A row that cites the table is in it, and the other way round.
    for row in generic::table() {
        let cites = row.source.contains("EN 12524");
        assert_eq!(cites, published.contains_key(&row.name), "{}: {}", row.name, row.source);
    }
}

#[test]
fn vapour_factors_agree_with_what_is_published() {
    for (name, record) in published("vapour.csv") {
        let (dry, wet) = (row(&name).vapour_dry, row(&name).vapour_wet);
        assert_eq!((dry, wet), (Some(number(&record[1])), Some(number(&record[2]))), "{name}");
    }
}

/// Volumetric heat capacities of ground in J/(m³K), as stated beside EN 12524 and by ISO 13370:2017, Table 7
/// (from memory: 3.0e6 and 2.0e6).
#[test]
fn ground_holds_the_heat_that_the_standards_give() {
    for (name, volumetric) in [("soil_clay", 3.0e6), ("soil_sand", 2.0e6)] {
        let held = row(name).density.unwrap() * row(name).heat_capacity.unwrap();
        assert!((held / volumetric - 1.0).abs() < 0.05, "{name}: {held}");
    }
}
