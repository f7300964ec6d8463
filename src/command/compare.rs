//! `coldseam compare`: two cases side by side.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::arguments::{Format, Printed};
use super::{Exit, complain, failed, print, show, show_warnings};
use crate::bounds::Bracket;
use crate::case::{self, Case};
use crate::draw;
use crate::report::diagnostics::printable;
use crate::report::document::{self, compare::Compare};
use crate::report::files;
use crate::report::number_text::{shows_zero, temperature_text};
use crate::result;
use crate::result::comparison::{self, Change, Difference, Relation};

/// What `compare` was asked for.
#[derive(Args)]
pub struct Settings {
    /// The first case (YAML)
    first: PathBuf,
    /// The second case; the first again with --set for a variant
    second: PathBuf,
    /// Replace a parameter of the second case
    #[arg(long = "set", value_name = "NAME=VALUE")]
    sets: Vec<String>,
    /// Where the picture goes: DIR/FIRST-SECOND/
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    #[command(flatten)]
    printed: Printed,
    /// Leave the picture out
    #[arg(long)]
    no_pictures: bool,
}

/// Solves both and shows what differs; a picture of the difference of temperatures where the extents agree.
pub fn run(settings: &Settings) -> Exit {
    let Settings { first, second, .. } = settings;
    let read = |path: &Path, sets: &[String]| -> Option<Case> {
        case::load(path, sets).map_err(|rejected| show(&rejected.diagnostics, &rejected.sources)).ok()
    };
    let (Some(one), Some(other)) = (read(first, &[]), read(second, &settings.sets)) else {
        return Exit::WrongInput;
    };
    let mut outcomes = Vec::new();
    for case in [one, other] {
        match result::compute(case) {
            Ok(outcome) => outcomes.push(outcome),
            Err(failure) => return failed(&failure),
        }
    }
    let [one, other] = outcomes.as_slice() else { return Exit::Failed };
    show_warnings(one);
    show_warnings(other);
    let inputs = comparison::inputs([&one.case, &other.case]);
    let results = comparison::results([one, other]);
    let mut written = None;
    if !settings.no_pictures
        && let Some(canvas) = draw::difference(one, other, draw::FULL_WIDTH)
    {
        let path = settings.out.join(format!("{}-{}", one.case.name, other.case.name)).join("difference.png");
        let done = canvas.to_png().map_err(std::io::Error::other).and_then(|png| files::write(&path, &png));
        if let Err(error) = done {
            complain(&format!("error: cannot write {}: {error}\n", path.display()));
            return Exit::Failed;
        }
        written = Some(path);
    }
    match settings.printed.format {
        Format::Text => {
            let mut text = text(settings, &inputs, &results);
            if let Some(path) = written {
                let _ = writeln!(text, "\nWritten: {}", path.display());
            }
            print(&text);
        }
        Format::Json => {
            let cases = [first, second].map(|path| path.display().to_string());
            print(&document::text(&Compare::of(cases, &inputs, &results)));
        }
    }
    Exit::Done
}

/// A value with what is known of its error. What is exact needs no ±; errors of temperatures are rounded up.
fn number(value: Bracket, unit: &str) -> String {
    if unit == "°C" {
        temperature_text(value.middle(), value.half_width())
    } else if value.half_width() < 1e-12 {
        format!("{:.4}", value.lower())
    } else {
        value.to_string()
    }
}

/// The verdict in words.
fn said(line: &Change) -> String {
    let by = |difference: f64| {
        let decimals = if line.unit == "°C" { 2 } else { 4 };
        let rounded = format!("{difference:+.decimals$}");
        let text = if shows_zero(&rounded) { format!("{difference:+.1e}") } else { rounded };
        // A difference of temperatures is in kelvin.
        let unit = if line.unit == "°C" { "K" } else { line.unit };
        format!("{} {unit}", text.replace('-', "−")).trim_end().to_owned()
    };
    match line.verdict() {
        Relation::Same => "the same".to_owned(),
        Relation::NotTold(difference) => format!("cannot be told apart ({})", by(difference)),
        Relation::Different(difference) => by(difference),
        Relation::OnlyFirst => "only in the first".to_owned(),
        Relation::OnlySecond => "only in the second".to_owned(),
    }
}

fn text(settings: &Settings, inputs: &[Difference], results: &[Change]) -> String {
    let mut text = String::new();
    let sets =
        if settings.sets.is_empty() { String::new() } else { format!(" with {}", settings.sets.join(", ")) };
    let [first, second] =
        [&settings.first, &settings.second].map(|path| printable(&path.display().to_string()));
    let _ = writeln!(text, "first:  {first}\nsecond: {second}{}\n", printable(&sets));
    let _ = writeln!(text, "Put in");
    if inputs.is_empty() {
        let _ = writeln!(text, "  no difference");
    }
    for line in inputs {
        let [one, other] = line
            .values
            .each_ref()
            .map(|value| if value.is_empty() { "–".to_owned() } else { printable(value) });
        let lines = match &line.lines {
            [Some(first), Some(second)] if first == second => format!("  ({first})"),
            [Some(first), Some(second)] => format!("  ({first}  →  {second})"),
            [Some(only), None] | [None, Some(only)] => format!("  ({only})"),
            [None, None] => String::new(),
        };
        let _ = writeln!(text, "  {:<40} {one}  →  {other}{}", printable(&line.what), printable(&lines));
    }
    let _ = writeln!(text, "\nCame out (the second less the first)");
    let width = results.iter().map(|line| line.what.chars().count()).max().unwrap_or_default();
    for line in results {
        let shown =
            line.values.map(|value| value.map_or_else(|| "–".to_owned(), |value| number(value, line.unit)));
        let change = said(line);
        let _ =
            writeln!(text, "  {:<width$} {:>20} {:>20}  {change}", printable(&line.what), shown[0], shown[1]);
    }
    text
}
