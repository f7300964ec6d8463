//! The command line: one file a subcommand.

pub mod compare;
pub mod condensation;
pub mod dwelling;
pub mod materials;
pub mod new;
pub mod report;
pub mod review;
pub mod solve;
mod target;
pub mod uvalue;
pub mod validate;

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use crate::case::{Diagnostic, Sources};
use crate::report::diagnostics::render;
use crate::result::Failure;

/// Exit codes, by blame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done.
    Done,
    /// The answer is "no".
    No,
    /// The input is wrong.
    WrongInput,
    /// The computation failed.
    Failed,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Done => 0,
            Outcome::No => 1,
            Outcome::WrongInput => 2,
            Outcome::Failed => 3,
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
pub fn failed(failure: &Failure) -> Outcome {
    match failure {
        Failure::Rejected(rejected) => {
            show(&rejected.diagnostics, &rejected.sources);
            Outcome::WrongInput
        }
        Failure::Solve(error) => {
            complain(&format!("error: {error}\n"));
            Outcome::Failed
        }
    }
}

/// Shows findings on standard error.
pub fn show(diagnostics: &[Diagnostic], sources: &Sources) {
    let colored = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    complain(&render(diagnostics, sources, colored));
}
