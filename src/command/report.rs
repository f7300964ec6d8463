//! `coldseam report`: one HTML file a case, for the reviewer.

use std::path::PathBuf;

use super::{Outcome, complain, failed, print, read_cases, show_warnings};
use crate::case;
use crate::report::{files, html};
use crate::result::{self, Demand};
use crate::review::{self, Seal};

/// What `report` was asked for.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Case files.
    pub cases: Vec<PathBuf>,
    /// `NAME=VALUE` for each parameter to replace.
    pub sets: Vec<String>,
    /// Folder under which each case gets a folder of its name.
    pub out: PathBuf,
    /// How good an answer is wanted.
    pub demand: Demand,
}

/// Reads all cases first, so that a fault in any of them leaves everything unwritten.
pub fn run(settings: &Settings) -> Outcome {
    let Some(cases) = read_cases(&settings.cases, |path| case::load(path, &settings.sets)) else {
        complain("nothing was written\n");
        return Outcome::WrongInput;
    };
    for (_, case) in cases {
        let path = settings.out.join(&case.name).join("report.html");
        let made = result::compute_to(case, &settings.demand).and_then(|outcome| {
            let findings = review::review(&outcome, &Seal::None)?;
            Ok((outcome, findings))
        });
        let (outcome, findings) = match made {
            Ok(made) => made,
            Err(failure) => return failed(&failure),
        };
        show_warnings(&outcome);
        let written = html::page(&outcome, &findings).and_then(|page| Ok(files::write(&path, page.as_bytes())?));
        if let Err(error) = written {
            complain(&format!("error: cannot write {}: {error}\n", path.display()));
            return Outcome::Failed;
        }
        print(&format!("wrote {}\n", path.display()));
    }
    Outcome::Done
}
