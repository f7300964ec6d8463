//! The command line: one file a subcommand.

pub mod arguments;
pub mod compare;
pub mod condensation;
pub mod dwelling;
pub mod keys;
pub mod materials;
pub mod new;
pub mod report;
pub mod review;
pub mod solve;
mod target;
pub mod uvalue;
pub mod validate;

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Serialize;

use crate::case::{self, Case, Rejected, Sources};
use crate::climate::Climate;
use crate::finding::Diagnostic;
use crate::report::diagnostics::render;
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

/// Writes to standard output. A reader that went away ends the program quietly.
pub fn print(text: &str) {
    let mut output = io::stdout().lock();
    if output.write_all(text.as_bytes()).and_then(|()| output.flush()).is_err() {
        std::process::exit(0);
    }
}

/// Writes to standard error; nothing can be done if that fails.
pub fn complain(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
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

/// Reads all cases with `load`, showing every fault; `None` if any cannot be used, or if two would write to
/// the same folder.
fn read_cases(
    paths: &[PathBuf],
    load: impl Fn(&Path) -> Result<Case, Rejected>,
) -> Option<Vec<(&Path, Case)>> {
    let mut cases: Vec<(&Path, Case)> = Vec::new();
    let mut is_complete = true;
    for path in paths {
        match load(path) {
            Ok(case) => {
                if let Some((other, _)) = cases.iter().find(|(_, other)| other.name == case.name) {
                    let (first, second) = (other.display(), path.display());
                    complain(&format!(
                        "error: {first} and {second} would write to the same folder; rename one of them\n"
                    ));
                    is_complete = false;
                }
                cases.push((path, case));
            }
            Err(rejected) => {
                show(&rejected.diagnostics, &rejected.sources);
                is_complete = false;
            }
        }
    }
    is_complete.then_some(cases)
}

/// Reads the climate of a file, showing what is wrong with it.
fn read_climate(path: &Path) -> Option<Climate> {
    case::load_climate(path).map_err(|rejected| show(&rejected.diagnostics, &rejected.sources)).ok()
}

/// Writes files into a folder; false after saying why it cannot.
fn write_all<N: AsRef<Path>>(folder: &Path, contents: &[(N, Vec<u8>)]) -> bool {
    let written = contents.iter().try_for_each(|(name, content)| files::write(&folder.join(name), content));
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

/// Shows findings on standard error.
pub fn show(diagnostics: &[Diagnostic], sources: &Sources) {
    let colored = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    complain(&render(diagnostics, sources, colored));
}
