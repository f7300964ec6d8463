//! Arguments that several commands share, and the ranges of those that are numbers.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::complain_of;
use crate::case::expression::is_name;
use crate::ranges;
use crate::result::Demand;

/// Cases, and values that replace their parameters.
#[derive(Args)]
pub struct Cases {
    /// Case files (YAML)
    #[arg(required = true, value_name = "CASE")]
    pub cases: Vec<PathBuf>,
    /// Replace a parameter of the case; the value may be an expression
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = set)]
    pub sets: Vec<String>,
}

/// Where files go, what is printed, and whether pictures are among the files.
#[derive(Args)]
pub struct Results {
    /// Where results go: DIR/NAME-OF-THE-FILE/
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// What is printed.
    #[command(flatten)]
    pub printed: Printed,
    /// Leave the pictures out
    #[arg(long)]
    pub no_pictures: bool,
}

/// What is printed.
#[derive(Args)]
pub struct Printed {
    /// What to print on standard output
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// How close an answer is wanted.
#[derive(Args)]
pub struct Accuracy {
    /// Half-width wanted of the bracket of ψ; in proportion where L2D is above 50 W/(m·K)
    #[arg(long, value_name = "W/(m·K)", default_value = "0.0001", value_parser = accuracy, allow_negative_numbers = true)]
    pub accuracy: f64,
}

impl Accuracy {
    /// The same with the usual limit on unknowns.
    pub fn demand(&self) -> Demand {
        Demand { half_width: self.accuracy, ..Demand::default() }
    }
}

/// What to print on standard output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// The summary.
    Text,
    /// The JSON document alone; a list of documents for several cases.
    Json,
}

/// Reads the half-width of a bracket.
fn accuracy(text: &str) -> Result<f64, String> {
    positive(text, "0.0001")
}

/// Reads a U-value to be reached.
pub(super) fn u_value(text: &str) -> Result<f64, String> {
    positive(text, "0.15")
}

/// Reads a number within the range of what can be asked for.
fn positive(text: &str, example: &str) -> Result<f64, String> {
    let (least, most) = ranges::ASKED;
    match text.parse::<f64>() {
        Ok(value) if (least..=most).contains(&value) => Ok(value),
        _ => Err(format!("a number from {least:e} to {most:e} is wanted, such as {example}")),
    }
}

/// Looks whether a parameter and a value are named; which there are, only the file tells.
pub(super) fn set(text: &str) -> Result<String, String> {
    match text.split_once('=') {
        Some((name, value)) if is_name(name.trim()) && !value.trim().is_empty() => Ok(text.to_owned()),
        _ => Err("a parameter's name and its value are wanted, such as insulation=160".to_owned()),
    }
}

/// True if no parameter is set twice; false after saying which is.
pub(super) fn are_set_once(sets: &[String]) -> bool {
    let name = |set: &String| set.split('=').next().unwrap_or_default().trim().to_owned();
    let twice = sets
        .iter()
        .enumerate()
        .find(|(number, set)| sets[..*number].iter().any(|other| name(other) == name(set)));
    if let Some((_, set)) = twice {
        complain_of(&[format!(
            "--set {} stands twice: a parameter has one value, so strike one of them",
            name(set)
        )]);
    }
    twice.is_none()
}

/// Reads a limit on unknowns.
pub(super) fn unknowns(text: &str) -> Result<usize, String> {
    whole(text, 1, ranges::MOST_UNKNOWNS)
}

/// Reads a number of threads.
pub(super) fn threads(text: &str) -> Result<usize, String> {
    whole(text, 1, usize::MAX)
}

fn whole(text: &str, least: usize, most: usize) -> Result<usize, String> {
    match text.parse() {
        Ok(value) if (least..=most).contains(&value) => Ok(value),
        _ if most == usize::MAX => Err(format!("a whole number from {least} on is wanted")),
        _ => Err(format!("a whole number from {least} to {most} is wanted")),
    }
}
