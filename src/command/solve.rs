//! `coldseam solve`: from case files to results and pictures.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::{Outcome, complain, failed, print, print_documents, read_cases, show_warnings, write_all, written_to};
use crate::case;
use crate::draw;
use crate::report::{files, json, matrix_market, profile_csv, summary};
use crate::result::coupling::Temperatures;
use crate::result::{self, Demand};

const NOTHING_WRITTEN: &str = "nothing was written\n";

/// How results appear on standard output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// The summary.
    Text,
    /// The JSON document alone; a list of documents for several cases.
    Json,
}

/// What `solve` was asked for.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Case files.
    pub cases: Vec<PathBuf>,
    /// `NAME=VALUE` for each parameter to replace.
    pub sets: Vec<String>,
    /// Folder under which each case gets a folder of its name.
    pub out: PathBuf,
    /// What to print.
    pub format: Format,
    /// Whether to draw.
    pub pictures: bool,
    /// How good an answer is wanted.
    pub demand: Demand,
    /// Whether an answer that is not as good counts as failed.
    pub strict: bool,
    /// Where to write the equations, for a single case.
    pub matrix: Option<PathBuf>,
}

/// Writes matrix and right-hand side: `FILE.mtx` and `FILE.rhs.mtx`.
fn write_equations(outcome: &result::Outcome, path: &Path) -> std::io::Result<()> {
    let case = &outcome.case;
    let temperatures = Temperatures::of(case).of_environment;
    let (system, right) = outcome.heat_loss.conduction.as_system(&temperatures);
    let comment = format!("coldseam {}, case {}: temperatures in °C, W/(m K)", env!("CARGO_PKG_VERSION"), case.name);
    files::write(path, matrix_market::symmetric(&system.matrix, &comment).as_bytes())?;
    files::write(&path.with_extension("rhs.mtx"), matrix_market::vector(&right, &comment).as_bytes())
}

/// Reads all cases first, so that a fault in any of them leaves everything unwritten; then solves one after the other.
pub fn run(settings: &Settings) -> Outcome {
    if settings.matrix.is_some() && settings.cases.len() > 1 {
        complain("error: --matrix takes one case, since it names one file\n");
        return Outcome::WrongInput;
    }
    let Some(cases) = read_cases(&settings.cases, |path| case::load(path, &settings.sets)) else {
        complain(NOTHING_WRITTEN);
        return Outcome::WrongInput;
    };
    let mut documents = Vec::new();
    let mut outcomes = Vec::new();
    for (_, case) in cases {
        match result::compute_to(case, &settings.demand) {
            Ok(outcome) => outcomes.push(outcome),
            Err(failure) => {
                let outcome = failed(&failure);
                if outcome == Outcome::WrongInput {
                    complain(NOTHING_WRITTEN);
                }
                return outcome;
            }
        }
    }
    for outcome in &outcomes {
        show_warnings(outcome);
        let folder = settings.out.join(&outcome.case.name);
        let document = json::document(outcome);
        let text = summary::text(outcome);
        let contents = match contents(settings, outcome, &document, &text) {
            Ok(contents) => contents,
            Err(error) => {
                complain(&format!("error: {}: {error}\n", outcome.case.name));
                return Outcome::Failed;
            }
        };
        if !write_all(&folder, &contents) {
            return Outcome::Failed;
        }
        if let Some(path) = &settings.matrix
            && let Err(error) = write_equations(outcome, path)
        {
            complain(&format!("error: cannot write the equations to {}: {error}\n", path.display()));
            return Outcome::Failed;
        }
        match settings.format {
            Format::Text => print(&(text + &written_to(&folder, &contents))),
            Format::Json => documents.push(document),
        }
    }
    if settings.format == Format::Json {
        print_documents(documents);
    }
    if settings.strict && outcomes.iter().any(|outcome| outcome.is_limited) { Outcome::Failed } else { Outcome::Done }
}

fn contents(
    settings: &Settings,
    outcome: &result::Outcome,
    document: &Value,
    text: &str,
) -> Result<Vec<(String, Vec<u8>)>, Box<dyn std::error::Error>> {
    let mut contents: Vec<(String, Vec<u8>)> = vec![
        ("results.json".into(), format!("{document:#}\n").into_bytes()),
        ("summary.txt".into(), text.as_bytes().to_vec()),
        ("profile.csv".into(), profile_csv::table(outcome)?),
    ];
    if settings.pictures {
        use rayon::prelude::*;
        let pictures = draw::pictures(outcome, draw::FULL_WIDTH);
        let encoded: Result<Vec<_>, _> =
            pictures.into_par_iter().map(|(name, canvas)| Ok((format!("{name}.png"), canvas.to_png()?))).collect();
        contents.extend(encoded.map_err(|error: image::ImageError| error)?);
    }
    Ok(contents)
}
