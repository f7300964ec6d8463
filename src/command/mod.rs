//! The command line: one file a subcommand.

pub mod arguments;
pub mod compare;
pub mod condensation;
pub mod dwelling;
pub mod keys;
pub mod materials;
pub mod new;
mod progress;
pub mod report;
pub mod review;
pub mod solve;
mod target;
pub mod uvalue;
pub mod validate;

use std::ffi::OsStr;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use indexmap::IndexMap;
use serde::Serialize;

use crate::case::{self, Case, Purpose, Rejected, Sources};
use crate::climate::Climate;
use crate::finding::{Diagnostic, Severity};
use crate::report::diagnostics::{printable_but, render};
use crate::report::{document, files};
use crate::result::{self, Failure};

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
    let more = FINDINGS.load(Ordering::Relaxed).saturating_sub(MOST_SHOWN);
    if more > 0 {
        complain(&format!("and {more} more findings\n"));
    }
    match (OUTPUT.lock().map(|state| *state), outcome) {
        (Ok(Output::Failed), Exit::Done | Exit::No) => Exit::Failed,
        _ => outcome,
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
        Failure::Solve(_) | Failure::NoBracket(_) => {
            complain(&format!("error: {failure}\n"));
            Exit::Failed
        }
    }
}

/// The same outcome, after saying that wrong input left nothing behind.
fn unwritten(outcome: Exit) -> Exit {
    if outcome == Exit::WrongInput {
        complain("nothing was written\n");
    }
    outcome
}

/// True if each file has a folder of its own for its results; false after saying which has not.
fn have_folders<P: AsRef<Path>>(paths: &[P]) -> bool {
    let mut problems = Vec::new();
    let mut of_name: IndexMap<&OsStr, Vec<&Path>> = IndexMap::new();
    for path in paths.iter().map(AsRef::as_ref) {
        let name = path.file_stem().unwrap_or_default();
        // What a shell hides, a terminal obeys or a report cannot spell names no folder.
        let is_plain = |name: &str| !name.starts_with('.') && !name.contains(char::is_control);
        if name.to_str().is_none_or(|name| !is_plain(name)) {
            let path = path.display();
            problems.push(format!("no folder for results can be named after {path}; rename the file"));
        }
        of_name.entry(name).or_default().push(path);
    }
    for paths in of_name.values() {
        let [first, second, others @ ..] = paths.as_slice() else { continue };
        let (first, second) = (first.display(), second.display());
        let others = if others.is_empty() { String::new() } else { format!(" ({} more too)", others.len()) };
        problems
            .push(format!("{first} and {second}{others} would write to the same folder; rename one of them"));
    }
    for problem in problems.iter().take(MOST_SHOWN) {
        complain(&format!("error: {problem}\n"));
    }
    FINDINGS.fetch_add(problems.len(), Ordering::Relaxed);
    problems.is_empty()
}

/// True if folders can be made there: what is on the way is a folder. False after saying what is none.
fn is_place_for_results(out: &Path) -> bool {
    let on_the_way = out.ancestors().find(|path| path.symlink_metadata().is_ok());
    let file = on_the_way.filter(|path| !path.is_dir());
    if let Some(file) = file {
        let (out, file) = (out.display(), file.display());
        complain(&format!(
            "error: no results can go to {out}: {file} is no folder; name another with --out\n"
        ));
    }
    file.is_none()
}

/// Reads all cases with `load`, showing every fault; `None` if any cannot be used, if there is none, or if two
/// would write to the same folder. Files for something else are passed over with a word: `cases/*.yaml` names
/// them too.
fn read_cases(
    paths: &[PathBuf],
    load: impl Fn(&Path) -> Result<Case, Rejected>,
) -> Option<Vec<(&Path, Case)>> {
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
    is_complete.then_some(cases)
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
    let written = files::replace(folder, contents, &outdated);
    if let Err(error) = &written {
        complain(&format!("error: cannot write results to {}: {error}\n", folder.display()));
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

/// More findings than this help nobody: those beyond are counted.
const MOST_SHOWN: usize = 100;
/// How many were to be shown in this run so far.
static FINDINGS: AtomicUsize = AtomicUsize::new(0);

/// Shows findings on standard error, errors first where not all are shown.
pub fn show(diagnostics: &[Diagnostic], sources: &Sources) {
    let before = FINDINGS.fetch_add(diagnostics.len(), Ordering::Relaxed);
    let mut shown = diagnostics.to_vec();
    if before + shown.len() > MOST_SHOWN {
        shown.sort_by_key(|diagnostic| diagnostic.severity != Severity::Error);
        shown.truncate(MOST_SHOWN.saturating_sub(before));
    }
    let colored = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    // Colours are control characters; what stands in files has been made harmless.
    let _ = io::stderr().lock().write_all(render(&shown, sources, colored).as_bytes());
}
