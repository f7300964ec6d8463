//! `coldseam report`: one HTML file a case, for the reviewer.

use std::path::{Path, PathBuf};

use clap::Args;

use super::arguments::{Accuracy, Cases, are_set_once};
use super::places::{are_free, is_place_for_results};
use super::{Exit, complain, failed, print, read_cases, read_climate, show_warnings, unwritten, write_all};
use crate::case::{self, Case};
use crate::report::html;
use crate::result;
use crate::review::{self, Seal};

/// What `report` was asked for.
#[derive(Args)]
pub struct Settings {
    #[command(flatten)]
    input: Cases,
    /// Where reports go: DIR/NAME-OF-THE-CASE/report.html
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Show the months of this climate (YAML, or a table of months as CSV)
    #[arg(long, value_name = "FILE")]
    climate: Option<PathBuf>,
    #[command(flatten)]
    accuracy: Accuracy,
}

/// The one file that it writes for a case.
const FILE: &str = "report.html";

/// Reads and computes all cases first, so that a fault in any of them leaves everything unwritten.
pub fn run(settings: &Settings) -> Exit {
    if !are_set_once(&settings.input.sets) || !is_place_for_results(&settings.out) {
        return unwritten(Exit::WrongInput);
    }
    let Some(cases) = read(settings) else { return unwritten(Exit::WrongInput) };
    let mut pages = Vec::new();
    for (_, case) in cases {
        let folder = settings.out.join(&case.name);
        let made = result::compute_to(case, &settings.accuracy.demand()).map(|outcome| {
            let findings = review::review(&outcome, &Seal::None);
            (outcome, findings)
        });
        let (outcome, findings) = match made {
            Ok(made) => made,
            Err(failure) => return unwritten(failed(&failure)),
        };
        show_warnings(&outcome);
        match html::page(&outcome, &findings) {
            Ok(page) => pages.push((folder, page.into_bytes())),
            Err(error) => {
                complain(&format!("error: {}: {error}\n", outcome.case.name));
                return Exit::Failed;
            }
        }
    }
    for (folder, page) in pages {
        if !write_all(&folder, &[(FILE, page)], &[]) {
            return Exit::Failed;
        }
        print(&format!("wrote {}\n", folder.join(FILE).display()));
    }
    Exit::Done
}

/// The cases, each with the climate that was named.
fn read(settings: &Settings) -> Option<Vec<(&Path, Case)>> {
    let is_result = |name: &str| name == FILE;
    let load = |path: &Path| case::load(path, &settings.input.sets);
    let cases = read_cases(&settings.input.cases, &settings.out, is_result, load);
    let Some(file) = &settings.climate else { return cases };
    let (climate, mut cases) = (read_climate(file), cases?);
    let climate = climate?;
    let folders: Vec<PathBuf> = cases.iter().map(|(_, case)| settings.out.join(&case.name)).collect();
    let mut is_complete = are_free(&folders, is_result, std::slice::from_ref(file));
    for (path, case) in &mut cases {
        let lacks = if case.model.condensation.is_none() {
            Some("`condensation: {}`, since months are judged with its surface resistances")
        } else if climate.indoor.is_none()
            && case.model.environments.iter().all(|environment| environment.humidity.is_none())
        {
            Some("an environment with a `humidity`, which the climate does not tell")
        } else {
            None
        };
        if let Some(lacks) = lacks {
            complain(&format!("error: {} needs {lacks}\n", path.display()));
            is_complete = false;
        }
        case.climate = Some(climate.clone());
    }
    is_complete.then_some(cases)
}
