//! A file read for its plane elements alone: a build-up file, or a case that defines some.

use std::collections::BTreeMap;
use std::path::Path;

use super::climate_csv;
use super::climates;
use super::diagnostic::{Diagnostic, Rejected, Sources, has_errors};
use super::dwellings::{self, Dwelling};
use super::floors::NamedFloor;
use super::gather::Gathered;
use super::keys;
use super::names::{Names, block};
use super::node::Node;
use super::reader::Reader;
use super::reading;
use super::thousands;
use super::windows::NamedWindow;
use crate::climate::Climate;
use crate::element::build_up::BuildUp;
use crate::material::Material;
use crate::ranges;

/// The plane elements of a file.
#[derive(Clone, Debug)]
pub struct Library {
    /// One line for headings; empty where the file has none.
    pub title: String,
    /// The parameters with the values used, in the order written.
    pub parameters: Vec<(String, f64)>,
    /// For some parameters, the sizes that can be bought, rising.
    pub sizes: Vec<(String, Vec<f64>)>,
    /// The file's own materials, included files first.
    pub materials: Vec<Material>,
    /// In the order written, included files first.
    pub build_ups: Vec<BuildUp>,
    /// In the order written, included files first.
    pub floors: Vec<NamedFloor>,
    /// In the order written, included files first.
    pub windows: Vec<NamedWindow>,
    /// A dwelling to be added up, if the file describes one.
    pub dwelling: Option<Dwelling>,
    /// The climate to check it with, if the file or one it includes has one.
    pub climate: Option<Climate>,
    /// The texts it was read from.
    pub sources: Sources,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
}

pub fn library(gathered: Gathered) -> Result<Library, Rejected> {
    let Gathered { sources, main, included, parameters, diagnostics, .. } = gathered;
    let mut reader = Reader::new(parameters.iter().cloned().collect::<BTreeMap<_, _>>());
    reader.diagnostics = diagnostics;
    let table = reader.table(&main, "a build-up file", &keys::CASE);
    let title = table.and_then(|table| table.text(&mut reader, "title"));
    let title = title.unwrap_or_default().trim().to_owned();
    let mut names = Names::default();
    names.define(&mut reader, &main, &included);
    let sizes = sizes(&mut reader, &main, &included);
    let climate = climate(&mut reader, &main, &included);
    let dwelling = block(&main, "dwelling").and_then(|node| dwellings::read(&mut reader, &names, node));
    let Names { materials, build_ups, floors, windows, .. } = names;
    if build_ups.is_empty()
        && floors.is_empty()
        && windows.is_empty()
        && dwelling.is_none()
        && !has_errors(&reader.diagnostics)
    {
        let hint = "define it under `build_ups: { NAME: { layers: [[MATERIAL, THICKNESS], …] } }`, from inside to outside";
        reader.fault::<()>(
            main.place,
            "there is no build-up, floor or window in this file",
            Some(hint.to_owned()),
        );
    }
    let mut diagnostics = reader.diagnostics;
    let trees: Vec<&Node> = included.iter().chain([&main]).collect();
    diagnostics.extend(thousands::warnings(&sources, &reader.lengths, &trees));
    keys::advise(&mut diagnostics, &main, &included);
    if has_errors(&diagnostics) {
        return Err(Rejected { diagnostics, sources });
    }
    Ok(Library {
        title,
        parameters,
        sizes,
        materials,
        build_ups,
        floors,
        windows,
        dwelling,
        climate,
        sources,
        warnings: diagnostics,
    })
}

/// For some parameters, the sizes that can be bought, rising.
pub fn sizes(reader: &mut Reader, main: &Node, included: &[Node]) -> Vec<(String, Vec<f64>)> {
    let mut sizes = Vec::new();
    for node in included.iter().chain([main]).filter_map(|tree| block(tree, "sizes")) {
        let Some(table) = reader.open_table(node, "sizes") else { continue };
        for entry in table.entries() {
            if !reader.knows(&entry.key) {
                reader.unknown_parameter(&entry.key, entry.key_place);
            }
            let items = reader.list(&entry.node, "the sizes of a parameter").unwrap_or_default();
            let values: Vec<Option<f64>> =
                items.iter().map(|item| reader.number(item, "a size", ranges::PARAMETER)).collect();
            let mut values: Vec<f64> = values.into_iter().flatten().collect();
            values.sort_by(f64::total_cmp);
            sizes.push((entry.key.clone(), values));
        }
    }
    sizes
}

/// The climate of the file itself, or else of the last file it includes.
pub fn climate(reader: &mut Reader, main: &Node, included: &[Node]) -> Option<Climate> {
    let blocks = included.iter().chain([main]).filter_map(|tree| block(tree, "climate"));
    let climates: Vec<Option<Climate>> = blocks.map(|node| climates::read(reader, node)).collect();
    climates.into_iter().next_back().flatten()
}

/// A file read for its climate alone.
pub fn climate_of(gathered: Gathered) -> Result<Climate, Rejected> {
    let Gathered { sources, main, included, parameters, diagnostics, .. } = gathered;
    let mut reader = Reader::new(parameters.iter().cloned().collect::<BTreeMap<_, _>>());
    reader.diagnostics = diagnostics;
    reader.table(&main, "a climate file", &keys::CASE);
    let climate = climate(&mut reader, &main, &included);
    if climate.is_none() && !has_errors(&reader.diagnostics) {
        let hint = "`coldseam new climate` writes one as a starting file".to_owned();
        reader.fault::<()>(main.place, "there is no `climate:` in this file", Some(hint));
    }
    match climate {
        Some(climate) if !has_errors(&reader.diagnostics) => Ok(climate),
        _ => {
            let mut diagnostics = reader.diagnostics;
            keys::advise(&mut diagnostics, &main, &included);
            Err(Rejected { diagnostics, sources })
        }
    }
}

/// A table of months.
pub fn climate_of_csv(path: &Path) -> Result<Climate, Rejected> {
    let mut sources = Sources::default();
    let text = match reading::read_table(path) {
        Ok(text) => text,
        Err(problem) => {
            let diagnostics = vec![Diagnostic::error(None, problem.of(path))];
            return Err(Rejected { diagnostics, sources });
        }
    };
    let name = super::name_of(path);
    let shown = path.file_name().map_or_else(|| name.clone(), |file| file.to_string_lossy().into_owned());
    let file = sources.add(path.display().to_string(), text.as_str());
    climate_csv::read(&name, &shown, file, &text).map_err(|diagnostics| Rejected { diagnostics, sources })
}
