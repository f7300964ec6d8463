//! `coldseam compare`: two cases side by side.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::arguments::{Format, Printed, are_set_once, set};
use super::places::{are_free, files_of, is_place_for_results};
use super::{Exit, complain, failed, is_junction, print, show, show_warnings, unwritten, write_all};
use crate::case::{self, Case};
use crate::draw;
use crate::report::compare_text;
use crate::report::document::{self, compare::Compare};
use crate::result;
use crate::result::comparison;

/// What `compare` was asked for.
#[derive(Args)]
pub struct Settings {
    /// The first case (YAML)
    first: PathBuf,
    /// The second case; the first again with --set for a variant
    second: PathBuf,
    /// Replace a parameter of the second case
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = set)]
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

/// The one file that it writes.
const PICTURE: &str = "difference.png";

/// Solves both and shows what differs; a picture of the difference of temperatures where the extents agree.
pub fn run(settings: &Settings) -> Exit {
    let Settings { first, second, .. } = settings;
    if !are_set_once(&settings.sets) || !is_place_for_results(&settings.out) {
        return unwritten(Exit::WrongInput);
    }
    // Both are named for what they are, even where neither is a junction.
    if [first, second].map(|path| is_junction(path)).contains(&false) {
        complain("error: two junctions are compared\n");
        return unwritten(Exit::WrongInput);
    }
    let read = |path: &Path, sets: &[String]| -> Option<Case> {
        case::load(path, sets).map_err(|rejected| show(&rejected.diagnostics, &rejected.sources)).ok()
    };
    let (Some(one), Some(other)) = (read(first, &[]), read(second, &settings.sets)) else {
        return unwritten(Exit::WrongInput);
    };
    let folder = settings.out.join(format!("{}-{}", one.name, other.name));
    let inputs: Vec<PathBuf> = [&one, &other].into_iter().flat_map(|case| files_of(&case.sources)).collect();
    if !settings.no_pictures && !are_free(std::slice::from_ref(&folder), |name| name == PICTURE, &inputs) {
        return unwritten(Exit::WrongInput);
    }
    let mut outcomes = Vec::new();
    for case in [one, other] {
        match result::compute(case) {
            Ok(outcome) => outcomes.push(outcome),
            Err(failure) => return unwritten(failed(&failure)),
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
        let png = match canvas.to_png() {
            Ok(png) => png,
            Err(error) => {
                complain(&format!("error: the picture cannot be made: {error}\n"));
                return Exit::Failed;
            }
        };
        if !write_all(&folder, &[(PICTURE, png)], &[]) {
            return Exit::Failed;
        }
        written = Some(folder.join(PICTURE));
    }
    let cases = [first, second].map(|path| path.display().to_string());
    let document = Compare::of(cases, &settings.sets, &inputs, &results);
    match settings.printed.format {
        Format::Text => {
            let mut text = compare_text::text(&document);
            if let Some(path) = written {
                let _ = writeln!(text, "\nWritten: {}", path.display());
            }
            print(&text);
        }
        Format::Json => print(&document::text(&document)),
    }
    Exit::Done
}
