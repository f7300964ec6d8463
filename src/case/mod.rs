//! The case file: what the person wrote.
//!
//! ```text
//! text ──node──▶ tree ──gather──▶ tree with includes and parameters ──interpret──▶ Case
//! ```
//!
//! [`load`] and [`from_text`] are the two ways in. Both return either a [`Case`] in SI units with all names
//! resolved, or [`Rejected`] with everything that is wrong.

mod area;
mod build_ups;
mod climate_csv;
mod climates;
pub mod diagnostic;
pub mod document;
mod drawn;
mod dwellings;
pub mod expression;
mod extent;
mod floors;
mod gather;
mod inheritance;
mod interpret;
pub mod keys;
mod layers;
mod lengths;
mod library;
mod materials;
mod names;
mod node;
mod parameters;
mod planes;
mod plausible;
mod polygon;
mod psi;
mod purpose;
mod reader;
mod reading;
mod row;
pub mod schema;
mod shapes;
mod suggestion;
mod table;
mod thousands;
mod windows;
pub mod written;

use std::path::Path;

use crate::climate::Climate;

pub use diagnostic::{Diagnostic, Place, Rejected, Severity, Source, Sources};
pub use document::{Case, Claim};
pub use dwellings::{
    Between, CasePsi, Dwelling, Element, ElementSource, Exception, Junction, PsiSource, Reduction,
};
pub use floors::NamedFloor;

pub use inheritance::{Taken, load as load_for_dwelling};
pub use library::Library;
pub use purpose::{Purpose, purpose};
pub(crate) use reading::read_text;
pub use suggestion::did_you_mean;
pub use windows::NamedWindow;

/// What a file is called: its name without the ending.
fn name_of(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// Reads the case file at `path`, with parameters replaced by `sets` (`NAME=VALUE`).
///
/// # Errors
/// [`Rejected`] with every fault of the file, its includes and the sets.
pub fn load(path: &Path, sets: &[String]) -> Result<Case, Rejected> {
    interpret::case(name_of(path), gather::from_file(path, sets)?)
}

/// As [`load`], for a file that is not trusted: included files must lie in the folder of the case or below
/// it, links followed.
///
/// # Errors
/// As [`load`].
pub fn load_confined(path: &Path, sets: &[String]) -> Result<Case, Rejected> {
    interpret::case(name_of(path), gather::from_file_confined(path, sets)?)
}

/// Reads a case from the texts of an earlier one: the case, the files it includes, and its sets (named
/// `--set`).
///
/// # Errors
/// As [`load`]; files that are not among the texts cannot be included.
pub fn from_sources(sources: &[Source]) -> Result<Case, Rejected> {
    let main = sources.first().map_or("case", |source| source.name.as_str());
    interpret::case(name_of(Path::new(main)), gather::from_sources(sources)?)
}

/// Reads the plane elements of the build-up or case file at `path` and the files it includes.
///
/// # Errors
/// [`Rejected`] with every fault of the file, its includes and the sets, or if there is no element in it.
pub fn load_library(path: &Path, sets: &[String]) -> Result<Library, Rejected> {
    library::library(gather::from_file(path, sets)?)
}

/// Reads the climate of the file at `path` or of a file it includes; a table (`.csv`, `.tsv`, `.txt`) holds
/// the months alone.
///
/// # Errors
/// [`Rejected`] with every fault of the file and its includes, or if there is no climate in it.
pub fn load_climate(path: &Path) -> Result<Climate, Rejected> {
    if is_table(path) {
        return library::climate_of_csv(path);
    }
    library::climate_of(gather::from_file(path, &[])?)
}

/// True for a table of months, by the ending of its name; a text may be either.
pub fn is_table(path: &Path) -> bool {
    let has = |endings: &[&str]| {
        path.extension().is_some_and(|own| endings.iter().any(|ending| own.eq_ignore_ascii_case(ending)))
    };
    let is_yaml = || {
        let text = reading::read_file(path).unwrap_or_default();
        text.lines().any(|line| line.starts_with("climate:"))
    };
    has(&["csv", "tsv", "tab"]) || (has(&["txt", "dat"]) && !is_yaml())
}

/// Reads a climate from text that has no file; `name` stands for the file in messages.
///
/// # Errors
/// As [`load_climate`].
pub fn climate_from_text(name: &str, text: &str) -> Result<Climate, Rejected> {
    library::climate_of(gather::from_text(&format!("{name}.yaml"), text, &[])?)
}

/// Reads plane elements from text that has no file; `name` stands for the file in messages.
///
/// # Errors
/// As [`load_library`].
pub fn library_from_text(name: &str, text: &str, sets: &[String]) -> Result<Library, Rejected> {
    library::library(gather::from_text(&format!("{name}.yaml"), text, sets)?)
}

/// Reads a case from text that has no file, such as a built-in one; `name` stands for the file in messages.
///
/// # Errors
/// [`Rejected`] with every fault of the text and the sets. Includes are looked up from the working directory.
pub fn from_text(name: &str, text: &str, sets: &[String]) -> Result<Case, Rejected> {
    interpret::case(name.to_owned(), gather::from_text(&format!("{name}.yaml"), text, sets)?)
}
