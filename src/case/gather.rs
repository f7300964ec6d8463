//! The case file, the files it includes and the `--set` values, brought together: trees and evaluated
//! parameters.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::{Path, PathBuf};

use super::diagnostic::{Diagnostic, Place, Rejected, Source, Sources, has_errors};
use super::inheritance::Inheritance;
use super::keys::{self, MOST_INCLUDES};
use super::node::{self, Node, Value};
use super::reader::Reader;
use super::reading::{LARGEST_FILE, read_file};

/// The version of the case format this program reads.
pub const FORMAT_VERSION: f64 = 1.0;

/// Everything read, before any of it is interpreted.
pub struct Gathered {
    pub sources: Sources,
    /// The case's own tree.
    pub main: Node,
    /// The trees of included files, in the order of inclusion.
    pub included: Vec<Node>,
    /// Names and values, in the order written.
    pub parameters: Vec<(String, f64)>,
    /// Those that are numbers, not expressions of others.
    pub free_parameters: Vec<String>,
    pub diagnostics: Vec<Diagnostic>,
    /// What the dwelling gives, where the case is read for one of its junctions.
    pub inherited: Inheritance,
}

pub fn from_file(path: &Path, sets: &[String]) -> Result<Gathered, Rejected> {
    Gatherer::default().read_and_gather(path, sets)
}

/// The same, with includes confined to the folder of the file.
pub fn from_file_confined(path: &Path, sets: &[String]) -> Result<Gathered, Rejected> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let confined = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    Gatherer { confined: Some(confined), ..Gatherer::default() }.read_and_gather(path, sets)
}

/// From texts instead of files: the first is the case, those named `--set` its sets, the others what it
/// includes.
pub fn from_sources(sources: &[Source]) -> Result<Gathered, Rejected> {
    from_sources_with(sources, &[])
}

/// The same with further sets.
pub fn from_sources_with(sources: &[Source], further: &[String]) -> Result<Gathered, Rejected> {
    let (sets, files): (Vec<&Source>, Vec<&Source>) =
        sources.iter().partition(|source| source.name == "--set");
    let sets: Vec<String> =
        sets.into_iter().map(|source| source.text.clone()).chain(further.iter().cloned()).collect();
    let Some((main, included)) = files.split_first() else { return from_text("case", "", &sets) };
    let texts = included.iter().map(|source| (PathBuf::from(&source.name), source.text.clone())).collect();
    let folder = Path::new(&main.name).parent().unwrap_or(Path::new("")).to_owned();
    let identity = PathBuf::from(&main.name);
    Gatherer { texts: Some(texts), ..Gatherer::default() }.gather(
        &main.name,
        main.text.clone(),
        &folder,
        vec![identity],
        &sets,
    )
}

impl Gatherer {
    fn read_and_gather(mut self, path: &Path, sets: &[String]) -> Result<Gathered, Rejected> {
        match read_file(path) {
            Ok(text) => {
                let folder = path.parent().unwrap_or(Path::new("")).to_owned();
                let identity = path.canonicalize().unwrap_or_else(|_| path.to_owned());
                self.gather(&path.display().to_string(), text, &folder, vec![identity], sets)
            }
            Err(problem) => {
                self.diagnostics.push(Diagnostic::error(None, problem.of(path)));
                Err(self.reject())
            }
        }
    }
}

pub fn from_text(name: &str, text: &str, sets: &[String]) -> Result<Gathered, Rejected> {
    Gatherer::default().gather(name, text.to_owned(), Path::new(""), Vec::new(), sets)
}

#[derive(Default)]
pub(super) struct Gatherer {
    pub(super) sources: Sources,
    pub(super) included: Vec<Node>,
    seen: HashSet<PathBuf>,
    pub(super) diagnostics: Vec<Diagnostic>,
    /// Included files must lie below this folder.
    confined: Option<PathBuf>,
    /// Something is too large to go on.
    is_beyond_limits: bool,
    /// Texts that stand for all files that may be included.
    texts: Option<HashMap<PathBuf, String>>,
}

impl Gatherer {
    fn reject(self) -> Rejected {
        Rejected { diagnostics: self.diagnostics, sources: self.sources }
    }

    fn gather(
        mut self,
        name: &str,
        text: String,
        folder: &Path,
        mut chain: Vec<PathBuf>,
        sets: &[String],
    ) -> Result<Gathered, Rejected> {
        let empty = text.trim().is_empty();
        let file = self.sources.add(name, text);
        if empty {
            let place = Place { file, start: 0, end: 0 };
            self.diagnostics.push(Diagnostic::error(place, "the file is empty").hint(
                "`coldseam new` lists ready-made cases; `coldseam new NAME` writes one as a starting file",
            ));
            return Err(self.reject());
        }
        let main = match node::parse(&self.sources, file) {
            Ok(node) => node,
            Err(diagnostic) => {
                self.diagnostics.push(diagnostic);
                return Err(self.reject());
            }
        };
        let oversized = keys::oversized(&main, &keys::CASE);
        if !oversized.is_empty() {
            self.diagnostics.extend(oversized);
            return Err(self.reject());
        }
        self.check_version(&main);
        self.follow_includes(&main, folder, &mut chain);
        if self.is_beyond_limits {
            return Err(self.reject());
        }
        let (parameters, free_parameters) = self.parameters(&main, sets);
        if has_errors(&self.diagnostics) && !matches!(main.value, Value::Table(_)) {
            return Err(self.reject());
        }
        let Self { sources, included, diagnostics, .. } = self;
        Ok(Gathered {
            sources,
            main,
            included,
            parameters,
            free_parameters,
            diagnostics,
            inherited: Inheritance::default(),
        })
    }

    fn check_version(&mut self, node: &Node) {
        let mut reader = Reader::new(BTreeMap::new());
        if let Some(table) = reader.open_table(node, "the file") {
            match table.get("coldseam").map(|version| (&version.value, version.place)) {
                Some((Value::Number(version), _)) if *version == FORMAT_VERSION => {}
                Some((_, place)) => {
                    let quotes = if matches!(table.get("coldseam"), Some(Node { value: Value::Text(_), .. }))
                    {
                        ", without quotes"
                    } else {
                        ""
                    };
                    let hint = format!(
                        "this program reads version {FORMAT_VERSION}: `coldseam: {FORMAT_VERSION}`{quotes}"
                    );
                    let message = "this version of the case format is not known".to_owned();
                    self.diagnostics.push(Diagnostic::error(place, message).hint(hint));
                }
                None => {
                    let hint = format!("begin the file with `coldseam: {FORMAT_VERSION}`");
                    let message = "the version of the case format is missing";
                    self.diagnostics.push(Diagnostic::error(node.place, message).hint(hint));
                }
            }
        }
        // Faults of a table are found when it is read.
        if !matches!(node.value, Value::Table(_)) {
            let hint = "a file is a table of keys that begins with `coldseam: 1`; `coldseam new NAME` writes one as a starting file";
            self.diagnostics.extend(reader.diagnostics.into_iter().map(|finding| finding.hint(hint)));
        }
    }

    /// Reads the files named under `include`, depth first. `chain` holds the files being read, to find
    /// cycles.
    fn follow_includes(&mut self, node: &Node, folder: &Path, chain: &mut Vec<PathBuf>) {
        let mut reader = Reader::new(BTreeMap::new());
        let Value::Table(entries) = &node.value else { return };
        let Some(entry) = entries.iter().find(|entry| entry.key == "include") else { return };
        let names: Vec<(String, Place)> = match &entry.node.value {
            Value::Text(_) => vec![&entry.node],
            _ => reader.list(&entry.node, "include").map(|items| items.iter().collect()).unwrap_or_default(),
        }
        .into_iter()
        .filter_map(|item| {
            reader.text(item, "an included file's name").map(|name| (name.to_owned(), item.place))
        })
        .collect();
        self.diagnostics.append(&mut reader.diagnostics);
        for (name, place) in names {
            if self.is_beyond_limits {
                return;
            }
            self.include(&folder.join(&name), &name, place, chain);
        }
    }

    fn include(&mut self, path: &Path, name: &str, place: Place, chain: &mut Vec<PathBuf>) {
        let identity = if self.texts.is_some() {
            path.to_owned()
        } else {
            path.canonicalize().unwrap_or_else(|_| path.to_owned())
        };
        if chain.contains(&identity) {
            let hint = "a file cannot include itself, neither directly nor through another";
            self.diagnostics.push(
                Diagnostic::error(place, format!("the include `{name}` goes round in a circle")).hint(hint),
            );
            return;
        }
        if !self.seen.insert(identity.clone()) {
            return;
        }
        if self.seen.len() > MOST_INCLUDES {
            if !self.is_beyond_limits {
                let message = format!("more than {MOST_INCLUDES} included files");
                let hint = "put what they hold together into fewer";
                self.diagnostics.push(Diagnostic::error(place, message).hint(hint));
            }
            self.is_beyond_limits = true;
            return;
        }
        let is_outside = |root: &PathBuf| path.exists() && !identity.starts_with(root);
        if self.confined.as_ref().is_some_and(is_outside) {
            let hint = "a submission's files lie in its own folder; `--allow-outside` lets them be anywhere";
            let message = format!("the include `{name}` leaves the folder of the case");
            self.diagnostics.push(Diagnostic::error(place, message).hint(hint));
            return;
        }
        let read = match &self.texts {
            Some(texts) => texts.get(path).cloned().ok_or_else(|| {
                format!("cannot read {}: it is not among the texts of the report", path.display())
            }),
            None => read_file(path).map_err(|problem| problem.of(path)),
        };
        let text = match read {
            Ok(text) => text,
            Err(problem) => {
                let hint = "the path counts from the file that includes it";
                let message = format!("cannot include `{name}`: {problem}");
                self.diagnostics.push(Diagnostic::error(place, message).hint(hint));
                return;
            }
        };
        let total = self.sources.all().iter().map(|source| source.text.len()).sum::<usize>() + text.len();
        if total as u64 > LARGEST_FILE {
            let limit = LARGEST_FILE / 1024;
            let message = format!("with `{name}` the file and all it includes are larger than {limit} kB");
            self.diagnostics.push(Diagnostic::error(place, message).hint("no case needs so much"));
            self.is_beyond_limits = true;
            return;
        }
        let file = self.sources.add(path.display().to_string(), text);
        match node::parse(&self.sources, file) {
            Ok(node) => {
                let oversized = keys::oversized(&node, &keys::INCLUDED);
                if !oversized.is_empty() {
                    self.diagnostics.extend(oversized);
                    self.is_beyond_limits = true;
                    return;
                }
                self.check_version(&node);
                // That it is no table has been told with its version.
                if matches!(node.value, Value::Table(_)) {
                    let mut reader = Reader::new(BTreeMap::new());
                    reader.table(&node, "an included file", &keys::INCLUDED);
                    self.diagnostics.append(&mut reader.diagnostics);
                }
                chain.push(identity);
                self.follow_includes(&node, path.parent().unwrap_or(Path::new("")), chain);
                chain.pop();
                self.included.push(node);
            }
            Err(diagnostic) => self.diagnostics.push(diagnostic),
        }
    }
}
