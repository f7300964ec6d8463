//! Helpers of several tests.
#![allow(dead_code)]

use std::path::{Path, PathBuf};

use coldseam::case::{self, Case};
use coldseam::result::{self, Outcome};
use coldseam::shipped;

/// A path below the project's root.
pub fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
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

/// ψ by the first convention of a shipped case.
pub fn psi(name: &str, sets: &[&str]) -> f64 {
    solve_shipped(name, sets).psi[0].value
}
