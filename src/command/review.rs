//! `coldseam review`: tries to find fault with submissions.

use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;

use super::arguments::{Format, Printed};
use super::progress::Progress;
use super::{Exit, complain, is_junction, print, show};
use crate::case::{self, Case, Rejected};
use crate::report::document::{self, review::Review};
use crate::report::{read_back, review_text};
use crate::result::{self, Failure};
use crate::review::{self, Finding, Seal, Verdict};

/// What `review` was asked for.
#[derive(Args)]
pub struct Settings {
    /// Case files (YAML), reports (HTML) or folders
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    #[command(flatten)]
    printed: Printed,
    /// Let includes leave the folder of the case
    #[arg(long)]
    allow_outside: bool,
}

/// More files in a folder than this are no submissions.
const MOST_FILES: usize = 1000;

/// Reviews every submission; the answer is "no" if any fails. Input that cannot be read leads to exit code 2,
/// and a case that cannot be solved to 3, after all others are reviewed.
pub fn run(settings: &Settings) -> Exit {
    let Some((files, mut all_read)) = files(&settings.paths) else { return Exit::WrongInput };
    if files.is_empty() {
        complain("error: there is nothing to review\n");
        return Exit::WrongInput;
    }
    let mut reviewed = Vec::new();
    let mut all_solved = true;
    let progress = Progress::new(files.len(), "submissions");
    let answer = |path: &PathBuf| {
        let answered = submission(path, settings.allow_outside).and_then(|(case, seal)| answers(case, &seal));
        progress.one_done();
        answered
    };
    let answered: Vec<_> = files.par_iter().map(answer).collect();
    drop(progress);
    for (path, answered) in files.iter().zip(answered) {
        match answered {
            Ok((title, findings)) => {
                reviewed.push(Review::of(&path.display().to_string(), &title, &findings));
            }
            Err(Failure::Rejected(rejected)) => {
                show(&rejected.diagnostics, &rejected.sources);
                all_read = false;
            }
            Err(failure @ (Failure::Solve(_) | Failure::NoBracket(_) | Failure::Triangles(_))) => {
                complain(&format!("error: {}: {failure}\n", path.display()));
                all_solved = false;
            }
        }
    }
    match settings.printed.format {
        Format::Text => {
            for one in &reviewed {
                print(&review_text::text(one));
            }
            if reviewed.len() > 1 {
                print(&review_text::table(&reviewed));
            }
        }
        // A document that says nothing would look like one that says "nothing found".
        Format::Json if reviewed.is_empty() => {}
        Format::Json => {
            // Of several files a list, even where only one could be read.
            print(&match reviewed.as_slice() {
                [only] if files.len() == 1 => document::text(only),
                all => document::text(&all),
            });
        }
    }
    if !all_solved {
        Exit::Failed
    } else if !all_read {
        Exit::WrongInput
    } else if reviewed.iter().any(|one| one.verdict == Verdict::Fail) {
        Exit::No
    } else {
        Exit::Done
    }
}

/// Folders opened, in the order of their names, and whether all in them can be read; `None` after saying what
/// is wrong.
fn files(paths: &[PathBuf]) -> Option<(Vec<PathBuf>, bool)> {
    let mut files = Vec::new();
    let mut all_read = true;
    for path in paths {
        if !path.is_dir() {
            files.push(path.clone());
            continue;
        }
        let mut own = match in_folder(path) {
            Ok(own) => own,
            Err(error) => {
                complain(&format!("error: cannot read {}: {error}\n", path.display()));
                return None;
            }
        };
        if own.is_empty() {
            complain(&format!(
                "error: {} holds neither cases (.yaml) nor reports (.html), nor do the folders in it\n",
                path.display()
            ));
            return None;
        }
        if own.len() > MOST_FILES {
            complain(&format!(
                "error: {} holds {} files; at most {MOST_FILES} are reviewed in one go: name some of them\n",
                path.display(),
                own.len()
            ));
            return None;
        }
        own.retain(|file| {
            let is_own = is_own(file, path);
            let is_report = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html"));
            if is_own && !is_report && !is_junction(file) {
                return false;
            }
            if !is_own {
                complain(&format!(
                    "error: {} is not an ordinary file of its folder and was not read\n",
                    file.display()
                ));
                all_read = false;
            }
            is_own
        });
        files.extend(own);
    }
    Some((files, all_read))
}

/// What looks like a submission, in the order of names: in the folder itself, or else in those that it holds, as
/// results lie.
fn in_folder(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let entries = listed(folder)?;
    let own: Vec<PathBuf> = entries.iter().filter(|path| is_submission(path)).cloned().collect();
    if !own.is_empty() {
        return Ok(own);
    }
    let is_hidden = |path: &Path| path.file_name().is_some_and(|name| name.as_encoded_bytes()[0] == b'.');
    let mut deeper = Vec::new();
    for path in entries.iter().filter(|path| path.is_dir() && !is_hidden(path)) {
        // A link may lead anywhere, and is told like a file that is one.
        if path.is_symlink() {
            deeper.push(path.clone());
        } else {
            deeper.extend(listed(path)?.into_iter().filter(|path| is_submission(path)));
        }
    }
    let is_any = deeper.iter().any(|path| is_submission(path));
    Ok(if is_any { deeper } else { Vec::new() })
}

/// All that lies in a folder, in the order of names.
fn listed(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let paths: std::io::Result<Vec<PathBuf>> =
        std::fs::read_dir(folder)?.map(|entry| entry.map(|entry| entry.path())).collect();
    let mut paths = paths?;
    paths.sort();
    Ok(paths)
}

fn is_submission(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    matches!(ending.as_deref(), Some("yaml" | "yml" | "html"))
}

/// False for a link that leads out of the folder, and for what cannot be read to its end.
fn is_own(file: &Path, folder: &Path) -> bool {
    let leads_out = || match (file.canonicalize(), folder.canonicalize()) {
        (Ok(file), Ok(folder)) => !file.starts_with(folder),
        _ => true,
    };
    file.is_file() && !(file.is_symlink() && leads_out())
}

fn submission(path: &Path, allow_outside: bool) -> Result<(Case, Seal), Failure> {
    let is_report = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html"));
    if is_report {
        return Ok(read_back::submission(path)?);
    }
    let read = |path: &Path| -> Result<Case, Rejected> {
        if allow_outside { case::load(path, &[]) } else { case::load_confined(path, &[]) }
    };
    Ok((read(path)?, Seal::None))
}

fn answers(case: Case, seal: &Seal) -> Result<(String, Vec<Finding>), Failure> {
    let outcome = result::compute(case)?;
    let findings = review::review(&outcome, seal);
    Ok((outcome.case.title, findings))
}
