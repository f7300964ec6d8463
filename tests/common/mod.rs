//! Helpers of several tests.
#![allow(dead_code, clippy::unwrap_used)]

pub mod dice;
pub mod turned;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use coldseam::case::{self, Case};
use coldseam::conduction::system::System;
use coldseam::report::{document, summary};
use coldseam::result::{self, Outcome};
use coldseam::shipped;
use faer::Side;
use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet};
use proptest::prelude::*;

/// A path below the project's root.
pub fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// All files of a folder with what they hold; empty where there is no folder.
pub fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let Ok(entries) = fs::read_dir(folder) else { return BTreeMap::new() };
    let files = entries.map(|entry| entry.unwrap()).filter(|entry| entry.path().is_file());
    files
        .map(|entry| (entry.file_name().to_string_lossy().into_owned(), fs::read(entry.path()).unwrap()))
        .collect()
}

/// A shipped case with parameters replaced.
pub fn shipped(name: &str, sets: &[&str]) -> Case {
    let text = shipped::find(name).expect("a shipped case").text;
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    case::from_text(name, text, &sets).unwrap_or_else(|rejected| panic!("{name} {sets:?}: {rejected}"))
}

/// Results of a shipped case.
pub fn solve_shipped(name: &str, sets: &[&str]) -> Outcome {
    result::compute(shipped(name, sets)).unwrap_or_else(|failure| panic!("{name}: {failure}"))
}

/// Results of a case given as text.
pub fn solve_text(text: &str) -> Outcome {
    let case = case::from_text("test", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    result::compute(case).unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

/// What `solve` prints of results.
pub fn summary(outcome: &Outcome) -> String {
    summary::text(&document::solve::Solve::of(outcome))
}

/// ψ by the first convention of a shipped case.
pub fn psi(name: &str, sets: &[&str]) -> f64 {
    solve_shipped(name, sets).psi[0].value
}

/// The solution of a system by faer's sparse Cholesky factorisation.
pub fn by_direct_factorisation(system: &System, right: &[f64]) -> Vec<f64> {
    let triplets: Vec<Triplet<usize, usize, f64>> =
        system.matrix.iter().map(|(value, (row, column))| Triplet::new(row, column, *value)).collect();
    let size = system.unknowns();
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &triplets).unwrap();
    let right = faer::Mat::from_fn(size, 1, |row, _| right[row]);
    let solution = matrix.sp_cholesky(Side::Lower).unwrap().solve(&right);
    (0..size).map(|row| solution[(row, 0)]).collect()
}

/// Plans of random rectangles, conductivities from 0.01 to 400 and down to slivers, in a room between two
/// temperatures or, with `third`, three.
pub fn random_plan(third: bool) -> impl Strategy<Value = String> {
    let rectangle = (0..40u32, 1..25u32, 0..40u32, 1..25u32, -2.0..2.6f64, 0..10u32);
    (prop::collection::vec(rectangle, 2..12), 0..3u32).prop_map(move |(rectangles, fixed)| {
        let mut materials = String::new();
        let mut plan = String::new();
        for (number, (x, width, y, height, logarithm, kind)) in rectangles.iter().enumerate() {
            // Offsets that never coincide give cells from 0.05 mm to metres.
            let (left, bottom) = (f64::from(x * 25) + 0.05 * number as f64, f64::from(y * 25) + 0.07 * number as f64);
            let (right, top) = (left + f64::from(width * 25), bottom + f64::from(height * 25));
            let area = format!("x: [{left:.2}, {right:.2}], y: [{bottom:.2}, {top:.2}]");
            match kind {
                0 => plan.push_str(&format!("  - {{ space: warm, {area} }}\n")),
                1 => plan.push_str(&format!("  - {{ space: cold, {area} }}\n")),
                3 if third => plan.push_str(&format!("  - {{ space: middling, {area} }}\n")),
                _ => {
                    let along_x = 10_f64.powf(*logarithm);
                    let along_y = if *kind == 2 { 10_f64.powf(-*logarithm / 2.0) } else { along_x };
                    materials.push_str(&format!("  m{number}: {{ conductivity: {{ x: {along_x:e}, y: {along_y:e} }}, source: test }}\n"));
                    plan.push_str(&format!("  - {{ fill: m{number}, {area} }}\n"));
                }
            }
        }
        let surfaces = match fixed {
            0 => "surfaces: [{ of: warm, resistance: 0 }]\n",
            1 => "surfaces: [{ of: cold, resistance: 0, x: [0, 500] }]\n",
            _ => "",
        };
        let (environment, space) = if third {
            ("  middling: { role: unheated, temperature: 12 }\n", "  - { space: middling, x: [800, 1000], y: [-100, 900] }\n")
        } else {
            ("", "")
        };
        format!(
            "coldseam: 1\ntitle: random\nmaterials:\n  base: {{ conductivity: 0.5, source: test }}\n{materials}\
             environments:\n  warm: {{ role: internal, temperature: 20 }}\n  cold: {{ role: external, temperature: 0 }}\n{environment}\
             extent: {{ x: [-100, 1700], y: [-100, 1700] }}\nplan:\n  - {{ space: cold }}\n  - {{ space: warm, x: [-100, 800], y: [-100, 900] }}\n{space}\
             \x20 - {{ fill: base, x: [100, 1500], y: [300, 1100] }}\n{plan}{surfaces}"
        )
    })
}
