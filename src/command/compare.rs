//! `coldseam compare`: two cases side by side.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::arguments::{Format, Printed, are_set_once, set};
use super::places::{are_free, can_name_folders, files_of, is_place_for_results};
use super::{Exit, complain, failed, is_junction, print, show, show_warnings, unwritten, write_all};
use crate::case::{self, Case};
use crate::draw;
use crate::report::compare_text;
use crate::report::document::{self, compare::Compare};
use crate::report::files;
use crate::result::{self, Outcome, comparison};

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
    /// Where the picture goes: DIR/compared/FIRST/SECOND/
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
    if !settings.no_pictures && !can_name_folders(&[first, second]) {
        return unwritten(Exit::WrongInput);
    }
    let read = |path: &Path, sets: &[String]| -> Option<Case> {
        case::load(path, sets).map_err(|rejected| show(&rejected.diagnostics, &rejected.sources)).ok()
    };
    let (Some(one), Some(other)) = (read(first, &[]), read(second, &settings.sets)) else {
        return unwritten(Exit::WrongInput);
    };
    // One folder in another: joined by a hyphen, `a` and `b-c` would share theirs with `a-b` and `c`.
    let folder = settings.out.join("compared").join(&one.name).join(&other.name);
    let inputs: Vec<PathBuf> = [&one, &other].into_iter().flat_map(|case| files_of(&case.sources)).collect();
    let is_free = || {
        is_place_for_results(&folder)
            && are_free(std::slice::from_ref(&folder), |name| name == PICTURE, &inputs)
    };
    if !settings.no_pictures && !is_free() {
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
    let picture = if settings.no_pictures { Ok(None) } else { put_picture(one, other, &folder) };
    let Ok(written) = picture else { return Exit::Failed };
    let cases = [first, second].map(|path| path.display().to_string());
    let document = Compare::of(cases, &settings.sets, &inputs, &results);
    match settings.printed.format {
        Format::Text => {
            let mut text = compare_text::text(&document);
            if let Some(path) = written {
                let _ = writeln!(text, "\nWritten: {}", path.display());
            } else if !settings.no_pictures {
                let _ = writeln!(text, "\nNo picture of the difference: the extents are not the same.");
            }
            print(&text);
        }
        Format::Json => print(&document::text(&document)),
    }
    Exit::Done
}

/// Puts the picture of the difference into the folder, and tells where. Two cases of which there is none leave
/// none of an earlier run. An error has been told.
fn put_picture(one: &Outcome, other: &Outcome, folder: &Path) -> Result<Option<PathBuf>, ()> {
    let told = |what: String| complain(&format!("error: {what}\n"));
    let path = folder.join(PICTURE);
    let Some(canvas) = draw::difference(one, other, draw::FULL_WIDTH) else {
        let removed = files::remove_result(&path);
        removed.map_err(|error| told(format!("cannot remove the old {}: {error}", path.display())))?;
        return Ok(None);
    };
    let png = canvas.to_png().map_err(|error| told(format!("the picture cannot be made: {error}")))?;
    write_all(folder, &[(PICTURE, png)], &[]).then_some(Some(path)).ok_or(())
}
