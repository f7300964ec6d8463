//! The command line: one file a subcommand.

pub mod arguments;
pub mod compare;
pub mod condensation;
pub mod dwelling;
pub mod keys;
pub mod materials;
pub mod new;
mod places;
mod progress;
pub mod report;
pub mod review;
pub mod solve;
mod target;
pub mod uvalue;
pub mod validate;

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use serde::Serialize;

use crate::case::{self, Case, Purpose, Rejected, Sources};
use crate::climate::Climate;
use crate::finding::{Diagnostic, Severity};
use crate::report::diagnostics::{printable_but, render};
use crate::report::{document, files};
use crate::result::{self, Failure};
use places::{are_free, have_folders};

/// Exit codes, by blame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Done,
    /// The answer is "no".
    No,
    /// The input is wrong.
    WrongInput,
    /// The computation failed.
    Failed,
}

impl From<Exit> for ExitCode {
    fn from(outcome: Exit) -> Self {
        Self::from(match outcome {
            Exit::Done => 0,
            Exit::No => 1,
            Exit::WrongInput => 2,
            Exit::Failed => 3,
        })
    }
}

/// What standard output has come to. A program goes on when its reader is gone: files are still to be
/// written, and the exit code is an answer too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Output {
    /// All that was printed was taken.
    Open,
    /// The reader went away, which is its right.
    Closed,
    /// What was printed is lost.
    Failed,
}

static OUTPUT: Mutex<Output> = Mutex::new(Output::Open);

/// Writes to standard output; whether that went well is told by [`end`].
pub fn print(text: &str) {
    let Ok(mut state) = OUTPUT.lock() else { return };
    if *state != Output::Open {
        return;
    }
    // Names of files and keys may hold anything; a terminal obeys control characters.
    let text = printable_but(text, &['\n', '\t']);
    let mut output = io::stdout().lock();
    if let Err(error) = output.write_all(text.as_bytes()).and_then(|()| output.flush()) {
        *state = if error.kind() == io::ErrorKind::BrokenPipe { Output::Closed } else { Output::Failed };
        if *state == Output::Failed {
            complain(&format!("error: cannot write to standard output: {error}\n"));
        }
    }
}

/// The end of a command: tells what was not shown, and the exit code. That results were lost in printing is a
/// failure.
pub fn end(outcome: Exit) -> Exit {
    count_the_rest();
    match (OUTPUT.lock().map(|state| *state), outcome) {
        (Ok(Output::Failed), Exit::Done | Exit::No) => Exit::Failed,
        _ => outcome,
    }
}

/// Tells how many findings there were beyond those that were shown.
fn count_the_rest() {
    for (count, kind) in [(&ERRORS, "error"), (&WARNINGS, "warning")] {
        let more = count.fetch_min(MOST_SHOWN, Ordering::Relaxed).saturating_sub(MOST_SHOWN);
        if more > 0 {
            let plural = if more == 1 { "" } else { "s" };
            complain(&format!("and {more} more {kind}{plural}\n"));
        }
    }
}

/// Writes to standard error; nothing can be done if that fails.
pub fn complain(text: &str) {
    let _ = io::stderr().lock().write_all(printable_but(text, &['\n']).as_bytes());
}

/// Shows why there is no outcome, and by whose fault.
pub fn failed(failure: &Failure) -> Exit {
    match failure {
        Failure::Rejected(rejected) => {
            show(&rejected.diagnostics, &rejected.sources);
            Exit::WrongInput
        }
        Failure::Solve(_) | Failure::NoBracket(_) | Failure::Triangles(_) => {
            complain(&format!("error: {failure}\n"));
            Exit::Failed
        }
    }
}

/// The same outcome, after saying that wrong input left nothing behind.
fn unwritten(outcome: Exit) -> Exit {
    if outcome == Exit::WrongInput {
        count_the_rest();
        complain("nothing was written\n");
    }
    outcome
}

/// Reads all cases with `load`, showing every fault; `None` if any cannot be used, if there is none, or if
/// results of a case, of which `is_result` tells the names, would go where they do harm. Files for something
/// else are passed over with a word: `cases/*.yaml` names them too.
fn read_cases<'a>(
    paths: &'a [PathBuf],
    out: &Path,
    is_result: impl Fn(&str) -> bool,
    load: impl Fn(&Path) -> Result<Case, Rejected>,
) -> Option<Vec<(&'a Path, Case)>> {
    let mut cases: Vec<(&Path, Case)> = Vec::new();
    let junctions: Vec<&PathBuf> = paths.iter().filter(|path| is_junction(path)).collect();
    if junctions.is_empty() {
        complain("error: none of the files holds a junction; `coldseam new` lists ready-made ones\n");
        return None;
    }
    let mut is_complete = have_folders(&junctions);
    let has_folders = is_complete;
    for path in junctions {
        match load(path) {
            Ok(case) => cases.push((path, case)),
            Err(rejected) => {
                show(&rejected.diagnostics, &rejected.sources);
                is_complete = false;
            }
        }
    }
    if !is_complete && has_folders && !cases.is_empty() {
        let usable: Vec<String> = cases.iter().map(|(path, _)| path.display().to_string()).collect();
        complain(&format!(
            "read without fault: {}; named without the others they can be used\n",
            usable.join(", ")
        ));
    }
    let folders: Vec<PathBuf> = cases.iter().map(|(_, case)| out.join(&case.name)).collect();
    let read: Vec<PathBuf> = cases.iter().flat_map(|(_, case)| places::files_of(&case.sources)).collect();
    (is_complete && are_free(&folders, is_result, &read)).then_some(cases)
}

/// False for a file that holds something else, after saying what.
fn is_for(path: &Path, wanted: Purpose, what: &str) -> bool {
    let other = case::purpose(path).filter(|purpose| *purpose != wanted);
    if let Some(other) = other {
        let file = path.display().to_string();
        complain(&format!("note: {file} is no {what}; it holds {}\n", other.text(&file)));
    }
    other.is_none()
}

/// True for a file that holds a junction; false after saying what it holds.
fn is_junction(path: &Path) -> bool {
    is_for(path, Purpose::Junction, "junction")
}

/// Reads the climate of a file, showing what is wrong with it.
fn read_climate(path: &Path) -> Option<Climate> {
    case::load_climate(path).map_err(|rejected| show(&rejected.diagnostics, &rejected.sources)).ok()
}

/// Writes files into a folder, all or none, and removes those that an earlier run left under one of the
/// `outdated` names; false after saying why it cannot.
fn write_all<N: AsRef<Path>>(folder: &Path, contents: &[(N, Vec<u8>)], outdated: &[&str]) -> bool {
    let outdated: Vec<String> = outdated.iter().map(|name| format!("{name}.png")).collect();
    let is_here = files::working_directory(folder);
    let written = files::replace(folder, contents, &outdated);
    if let Err(error) = &written {
        complain(&format!("error: cannot write results to {}: {error}\n", folder.display()));
    } else if let Some(place) = is_here {
        // A shell is still in the folder that was there before; further relative paths count from the new one.
        let _ = std::env::set_current_dir(&place);
        complain(&format!(
            "note: {} is a new folder in the place of the old one; `cd .` leads your shell into it\n",
            place.display()
        ));
    }
    written.is_ok()
}

/// The names of files, and where they went.
fn written_to<N: AsRef<str>>(folder: &Path, contents: &[(N, Vec<u8>)]) -> String {
    let names: Vec<&str> = contents.iter().map(|(name, _)| name.as_ref()).collect();
    format!("\nWritten to {}: {}\n\n", folder.display(), names.join(", "))
}

/// Prints a document, or a list of several.
fn print_documents<D: Serialize>(documents: &[D]) {
    print(&if let [only] = documents { document::text(only) } else { document::text(&documents) });
}

/// Shows what an outcome warns of.
fn show_warnings(outcome: &result::Outcome) {
    let warnings: Vec<Diagnostic> = outcome.all_warnings().cloned().collect();
    show(&warnings, &outcome.case.sources);
}

/// More findings of a kind than this help nobody: those beyond are counted.
const MOST_SHOWN: usize = 100;
/// How many were to be shown in this run so far. Each kind has a count of its own, so that no number of
/// warnings hides an error.
static ERRORS: AtomicUsize = AtomicUsize::new(0);
static WARNINGS: AtomicUsize = AtomicUsize::new(0);

/// Counts findings of a kind, and tells how many of them are shown.
fn room(count: &AtomicUsize, findings: usize) -> usize {
    let before = count.fetch_add(findings, Ordering::Relaxed);
    MOST_SHOWN.saturating_sub(before).min(findings)
}

/// Shows findings on standard error, errors first where not all are shown.
pub fn show(diagnostics: &[Diagnostic], sources: &Sources) {
    let of = |severity| diagnostics.iter().filter(move |diagnostic| diagnostic.severity == severity);
    let mut errors = room(&ERRORS, of(Severity::Error).count());
    let mut warnings = room(&WARNINGS, of(Severity::Warning).count());
    let is_shown = |diagnostic: &&Diagnostic| {
        let left = match diagnostic.severity {
            Severity::Error => &mut errors,
            Severity::Warning => &mut warnings,
        };
        let is_shown = *left > 0;
        *left = left.saturating_sub(1);
        is_shown
    };
    let mut shown: Vec<Diagnostic> = diagnostics.iter().filter(is_shown).cloned().collect();
    if shown.len() < diagnostics.len() {
        shown.sort_by_key(|diagnostic| diagnostic.severity != Severity::Error);
    }
    let colored = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    // Colours are control characters; what stands in files has been made harmless.
    let _ = io::stderr().lock().write_all(render(&shown, sources, colored).as_bytes());
}

/// Shows errors that have no place in a file.
fn complain_of(problems: &[String]) {
    for problem in problems.iter().take(room(&ERRORS, problems.len())) {
        complain(&format!("error: {problem}\n"));
    }
}
