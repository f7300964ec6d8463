//! The case file, the files it includes and the `--set` values, brought together: trees and evaluated
//! parameters.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::diagnostic::{Diagnostic, Place, Rejected, Source, Sources, has_errors};
use super::expression;
use super::inheritance::Inheritance;
use super::keys;
use super::node::{self, Node, Value};
use super::reader::{Reader, expression_fault};
use super::suggestion::did_you_mean;
use crate::ranges;

/// The version of the case format this program reads.
pub const FORMAT_VERSION: f64 = 1.0;
/// A case is a page of text; a file beyond this size is something else.
const LARGEST_FILE: u64 = 1 << 20;
/// More includes than this are a loop in disguise.
const MOST_INCLUDES: usize = 64;

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
                self.diagnostics
                    .push(Diagnostic::error(None, format!("cannot read {}: {problem}", path.display())));
                Err(self.reject())
            }
        }
    }
}

pub fn from_text(name: &str, text: &str, sets: &[String]) -> Result<Gathered, Rejected> {
    Gatherer::default().gather(name, text.to_owned(), Path::new(""), Vec::new(), sets)
}

pub fn read_file(path: &Path) -> Result<String, String> {
    let text = read_text(path, LARGEST_FILE)?;
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// The text of an ordinary file.
///
/// # Errors
/// What keeps it from being read, in words that continue "cannot read NAME: ".
pub fn read_text(path: &Path, largest: u64) -> Result<String, String> {
    let metadata = std::fs::metadata(path).map_err(|error| plain(&error))?;
    if metadata.is_dir() {
        return Err("it is a folder; name a file in it".to_owned());
    }
    // A pipe or a device may never end.
    if !metadata.is_file() {
        return Err("it is not an ordinary file".to_owned());
    }
    let mut bytes = Vec::new();
    let mut file = File::open(path).map_err(|error| plain(&error))?.take(largest + 1);
    file.read_to_end(&mut bytes).map_err(|error| plain(&error))?;
    if bytes.len() as u64 > largest {
        return Err(format!("it is larger than {} kB, which no such file is", largest / 1024));
    }
    String::from_utf8(bytes).map_err(|error| {
        let line = error.as_bytes()[..error.utf8_error().valid_up_to()].split(|byte| *byte == b'\n').count();
        format!("line {line} is not text in UTF-8; have the editor save the file in that encoding")
    })
}

fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => error.to_string(),
    }
}

#[derive(Default)]
struct Gatherer {
    sources: Sources,
    included: Vec<Node>,
    seen: HashSet<PathBuf>,
    diagnostics: Vec<Diagnostic>,
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
                    let hint =
                        format!("this program reads version {FORMAT_VERSION}: `coldseam: {FORMAT_VERSION}`");
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
                self.diagnostics
                    .push(Diagnostic::error(place, format!("more than {MOST_INCLUDES} included files")));
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
            Some(texts) => {
                texts.get(path).cloned().ok_or_else(|| "it is not among the texts of the report".to_owned())
            }
            None => read_file(path),
        };
        let text = match read {
            Ok(text) => text,
            Err(problem) => {
                let hint =
                    format!("looked for {}; the path counts from the file that includes it", path.display());
                self.diagnostics
                    .push(Diagnostic::error(place, format!("cannot include `{name}`: {problem}")).hint(hint));
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
                let mut reader = Reader::new(BTreeMap::new());
                reader.table(&node, "an included file", &keys::INCLUDED);
                self.diagnostics.append(&mut reader.diagnostics);
                chain.push(identity);
                self.follow_includes(&node, path.parent().unwrap_or(Path::new("")), chain);
                chain.pop();
                self.included.push(node);
            }
            Err(diagnostic) => self.diagnostics.push(diagnostic),
        }
    }

    /// Evaluates all parameters: those of the includes, replaced by the case's, replaced by `--set`.
    /// The second list names those that are numbers.
    fn parameters(&mut self, main: &Node, sets: &[String]) -> (Vec<(String, f64)>, Vec<String>) {
        let mut definitions: Vec<(String, Node)> = Vec::new();
        let mut define =
            |name: &str, node: Node| match definitions.iter_mut().find(|(known, _)| known == name) {
                Some((_, definition)) => *definition = node,
                None => definitions.push((name.to_owned(), node)),
            };
        let mut reader = Reader::new(BTreeMap::new());
        for tree in self.included.iter().chain([main]) {
            let Value::Table(entries) = &tree.value else { continue };
            let Some(entry) = entries.iter().find(|entry| entry.key == "parameters") else { continue };
            if matches!(entry.node.value, Value::Null) {
                continue;
            }
            let Some(table) = reader.open_table(&entry.node, "parameters") else { continue };
            for entry in table.entries() {
                if expression::is_name(&entry.key) {
                    define(&entry.key, entry.node.clone());
                } else {
                    let message = format!("`{}` cannot name a parameter", entry.key);
                    let hint = "names are made of letters, digits and _, begin with a letter, and are not `min` or `max`";
                    reader.diagnostics.push(Diagnostic::error(entry.key_place, message).hint(hint));
                }
            }
        }
        self.diagnostics.append(&mut reader.diagnostics);
        for set in sets {
            let file = self.sources.add("--set", set);
            let place = Place { file, start: 0, end: set.len() };
            let Some((name, value)) = set.split_once('=') else {
                self.diagnostics.push(
                    Diagnostic::error(place, "--set needs NAME=VALUE")
                        .hint("for example: --set insulation=160"),
                );
                continue;
            };
            let name = name.trim();
            if let Some((_, definition)) = definitions.iter_mut().find(|(known, _)| known == name) {
                let place = Place { start: set.len() - value.len(), ..place };
                *definition = Node { value: Value::Text(value.to_owned()), place };
            } else {
                let hint = if definitions.is_empty() {
                    Some("the file has no `parameters:`".to_owned())
                } else {
                    did_you_mean(name, definitions.iter().map(|(name, _)| name.as_str()))
                };
                let place = Place { end: name.len(), ..place };
                self.diagnostics.push(
                    Diagnostic::error(
                        place,
                        format!("{} has no parameter named `{name}`", self.sources.get(0).name),
                    )
                    .maybe_hint(hint),
                );
            }
        }
        let is_number = |node: &Node| match &node.value {
            Value::Text(text) => expression::names(text).into_iter().next().is_none(),
            _ => true,
        };
        let free =
            definitions.iter().filter(|(_, node)| is_number(node)).map(|(name, _)| name.clone()).collect();
        (self.evaluate(&definitions), free)
    }

    /// Parameters may be expressions of other parameters, in any order.
    fn evaluate(&mut self, definitions: &[(String, Node)]) -> Vec<(String, f64)> {
        let mut reader = Reader::new(BTreeMap::new());
        let mut pending: Vec<&(String, Node)> = definitions.iter().collect();
        loop {
            let names: HashSet<&str> = pending.iter().map(|(name, _)| name.as_str()).collect();
            let is_pending = |word: &str| names.contains(word);
            let waits = |node: &Node| matches!(&node.value, Value::Text(text) if expression::names(text).into_iter().any(is_pending));
            let (waiting, ready): (Vec<_>, Vec<_>) =
                pending.iter().copied().partition(|(_, node)| waits(node));
            if ready.is_empty() {
                for (name, node) in waiting {
                    let hint = "its expression leads back to itself";
                    self.diagnostics.push(
                        Diagnostic::error(node.place, format!("the parameter `{name}` depends on itself"))
                            .hint(hint),
                    );
                    reader.define(name, 1.0);
                }
                break;
            }
            for (name, node) in ready {
                let value = self.parameter(&mut reader, name, node, definitions);
                // A placeholder keeps one faulty parameter from faulting every expression that uses it.
                reader.define(name, value.unwrap_or(1.0));
            }
            pending = waiting;
        }
        self.diagnostics.append(&mut reader.diagnostics);
        definitions.iter().map(|(name, _)| (name.clone(), reader.value_of(name).unwrap_or(1.0))).collect()
    }

    fn parameter(
        &mut self,
        reader: &mut Reader,
        name: &str,
        node: &Node,
        definitions: &[(String, Node)],
    ) -> Option<f64> {
        if let Value::Text(text) = &node.value
            && let Err(fault) = expression::evaluate(text, &|word| reader.value_of(word))
        {
            let names = definitions.iter().map(|(name, _)| name.as_str());
            self.diagnostics.push(expression_fault(&fault, text, node.place, names));
            return None;
        }
        reader.number(node, &format!("the parameter `{name}`"), ranges::PARAMETER)
    }
}
