//! `coldseam solve`: from case files to results and pictures.

use std::path::{Path, PathBuf};

use clap::Args;
use sprs::CsMat;

use super::arguments::{Accuracy, Cases, Format, Results, are_set_once, threads, unknowns};
use super::places::is_place_for_results;
use super::{
    Exit, complain, failed, print, print_documents, read_cases, show_warnings, unwritten, write_all,
    written_to,
};
use crate::case::{self, Case};
use crate::draw;
use crate::report::document::{self, solve::Solve};
use crate::report::{files, matrix_market, profile_csv, summary};
use crate::result::coupling::Temperatures;
use crate::result::{self, Demand};

/// What `solve` was asked for.
#[derive(Args)]
pub struct Settings {
    #[command(flatten)]
    input: Cases,
    #[command(flatten)]
    results: Results,
    /// Write the equations (Matrix Market) to FILE.mtx and their right-hand side to FILE.rhs.mtx
    #[arg(long, value_name = "FILE.mtx")]
    matrix: Option<PathBuf>,
    #[command(flatten)]
    accuracy: Accuracy,
    /// Largest number of unknowns; where it is reached first, the bracket reached is stated with a warning
    #[arg(long, value_name = "N", default_value = "2000000", value_parser = unknowns, allow_negative_numbers = true)]
    unknowns: usize,
    /// Exit with code 3 if the accuracy wanted is not reached
    #[arg(long)]
    strict: bool,
    /// Threads to compute with (all cores if not given); the results do not depend on it
    #[arg(long, value_name = "N", value_parser = threads, allow_negative_numbers = true)]
    threads: Option<usize>,
}

/// Threads beyond which more of them only cost memory.
fn most_threads() -> usize {
    const A_CORE: usize = 4;
    A_CORE * std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Writes matrix and right-hand side: `FILE.mtx` and `FILE.rhs.mtx`; of both fields where these are on triangles.
fn write_equations(outcome: &result::Outcome, path: &Path) -> std::io::Result<()> {
    let case = &outcome.case;
    let temperatures = Temperatures::of(&case.model).of_environment;
    let Some(on) = outcome.on_grid() else { return write_both_systems(outcome, path) };
    let (system, right) = on.heat_loss.conduction.as_system(&temperatures);
    files::write_together(&of_equations(case, path, &system.matrix, &right))
}

/// Writes the equations of both fields on triangles: those of the temperature as on a grid, those of the stream
/// function beside them, `FILE.stream.mtx` and `FILE.stream.rhs.mtx`.
fn write_both_systems(outcome: &result::Outcome, path: &Path) -> std::io::Result<()> {
    let Some(on) = outcome.on_triangles() else { return Ok(()) };
    let temperatures = Temperatures::of(&outcome.case.model).of_environment;
    let [heat, stream] = on.heat_loss.system.matrices(&temperatures);
    let case = &outcome.case;
    files::write_together(&of_equations(case, path, &heat.matrix, &heat.right))?;
    files::write_together(&of_equations(case, &of_stream(path), &stream.matrix, &stream.right))
}

/// A matrix and its right-hand side as files.
fn of_equations(case: &Case, path: &Path, matrix: &CsMat<f64>, right: &[f64]) -> [(PathBuf, Vec<u8>); 2] {
    let comment = format!("{}, case {}: temperatures in °C, W/(m K)", env!("CARGO_PKG_VERSION"), case.name);
    [
        (path.to_owned(), matrix_market::symmetric(matrix, &comment).into_bytes()),
        (right_hand_side(path), matrix_market::vector(right, &comment).into_bytes()),
    ]
}

/// Where the equations of the stream function go.
fn of_stream(path: &Path) -> PathBuf {
    path.with_extension("stream.mtx")
}

fn right_hand_side(path: &Path) -> PathBuf {
    path.with_extension("rhs.mtx")
}

/// True if the equations of one case may be written there; false after saying why not.
fn may_be_written(path: &Path, cases: usize) -> bool {
    let problem = if cases > 1 {
        "takes one case, since it names one file".to_owned()
    } else if path.file_name().is_some_and(|name| name == ".mtx") {
        format!("{} has an ending and no name; write one before it, as equations.mtx", path.display())
    } else if path.extension().is_none_or(|ending| ending != "mtx") {
        format!("{} does not end in `.mtx`", path.display())
    } else {
        let stream = of_stream(path);
        let taken = [path.to_owned(), right_hand_side(path), right_hand_side(&stream), stream];
        let Some(taken) = taken.iter().find(|path| matrix_market::is_something_else(path)) else {
            return true;
        };
        format!("{} is there and holds something else; choose another name", taken.display())
    };
    complain(&format!("error: --matrix {problem}\n"));
    false
}

/// Reads all cases first, so that a fault in any of them leaves everything unwritten; then solves one after
/// the other.
pub fn run(settings: &Settings) -> Exit {
    if let Some(wanted) = settings.threads {
        let threads = wanted.min(most_threads());
        if threads < wanted {
            complain(&format!("note: {threads} threads are used; {wanted} would only wait for each other\n"));
        }
        // Fails only if a pool exists already, which is not so at this point.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(threads).build_global();
    }
    let demand = Demand { most_unknowns: settings.unknowns, ..settings.accuracy.demand() };
    if settings.matrix.as_ref().is_some_and(|path| !may_be_written(path, settings.input.cases.len())) {
        return unwritten(Exit::WrongInput);
    }
    if !are_set_once(&settings.input.sets) || !is_place_for_results(&settings.results.out) {
        return unwritten(Exit::WrongInput);
    }
    let load = |path: &Path| case::load(path, &settings.input.sets);
    let Some(cases) = read_cases(&settings.input.cases, &settings.results.out, is_result, load) else {
        return unwritten(Exit::WrongInput);
    };
    let mut documents = Vec::new();
    let mut outcomes = Vec::new();
    for (_, case) in cases {
        match result::compute_to(case, &demand) {
            Ok(outcome) => outcomes.push(outcome),
            Err(failure) => return unwritten(failed(&failure)),
        }
    }
    for outcome in &outcomes {
        show_warnings(outcome);
        let folder = settings.results.out.join(&outcome.case.name);
        let document = Solve::of(outcome);
        let text = summary::text(&document);
        let contents = match contents(settings, outcome, &document, &text) {
            Ok(contents) => contents,
            Err(error) => {
                complain(&format!("error: {}: {error}\n", outcome.case.name));
                return Exit::Failed;
            }
        };
        if !write_all(&folder, &contents, &draw::PICTURES) {
            return Exit::Failed;
        }
        if let Some(path) = &settings.matrix
            && let Err(error) = write_equations(outcome, path)
        {
            complain(&format!("error: cannot write the equations to {}: {error}\n", path.display()));
            return Exit::Failed;
        }
        match settings.results.printed.format {
            Format::Text => print(&(text + &written_to(&folder, &contents))),
            Format::Json => documents.push(document),
        }
    }
    if settings.results.printed.format == Format::Json {
        print_documents(&documents);
    }
    if settings.strict && outcomes.iter().any(|outcome| outcome.is_limited) {
        Exit::Failed
    } else {
        Exit::Done
    }
}

/// The files of numbers that it writes.
const FILES: [&str; 3] = ["results.json", "summary.txt", "profile.csv"];

/// True for the name of a file that it may write.
fn is_result(name: &str) -> bool {
    FILES.contains(&name) || name.strip_suffix(".png").is_some_and(|name| draw::PICTURES.contains(&name))
}

fn contents(
    settings: &Settings,
    outcome: &result::Outcome,
    document: &Solve,
    text: &str,
) -> Result<Vec<(String, Vec<u8>)>, Box<dyn std::error::Error>> {
    let files =
        [document::text(document).into_bytes(), text.as_bytes().to_vec(), profile_csv::table(outcome)?];
    let mut contents: Vec<(String, Vec<u8>)> = FILES.map(str::to_owned).into_iter().zip(files).collect();
    if !settings.results.no_pictures {
        use rayon::prelude::*;
        let pictures = draw::pictures(outcome, draw::FULL_WIDTH);
        let encoded: Result<Vec<_>, _> = pictures
            .into_par_iter()
            .map(|(name, canvas)| Ok((format!("{name}.png"), canvas.to_png()?)))
            .collect();
        contents.extend(encoded.map_err(|error: image::ImageError| error)?);
    }
    Ok(contents)
}
