//! What a file is for, told by its keys: a folder holds junctions, and what they take from.

use std::path::Path;

use super::diagnostic::Sources;
use super::keys;
use super::node::{self, Value};
use super::reading;

/// What a file is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// A junction, or what was meant to be one.
    Junction,
    /// Areas and lengths to be added up.
    Dwelling,
    /// Plane elements.
    Elements,
    /// A year of weather.
    Climate,
    /// Parameters and materials for others.
    Shared,
}

impl Purpose {
    /// What it holds, and what to do with the file, for readers.
    pub fn text(self, file: &str) -> String {
        match self {
            Self::Junction => format!("a junction: `coldseam solve {file}`"),
            Self::Dwelling => format!("a dwelling: `coldseam dwelling {file}`"),
            Self::Elements => format!("plane elements: `coldseam uvalue {file}`"),
            Self::Climate => format!("a climate: `--climate {file}`"),
            Self::Shared => format!("what others share: `include: {file}` in a case"),
        }
    }
}

/// What the file at `path` is for; `None` where it holds no table of keys, whose reader says why.
pub fn purpose(path: &Path) -> Option<Purpose> {
    let text = reading::read_file(path).ok()?;
    let mut sources = Sources::default();
    let file = sources.add("", text);
    let tree = node::parse(&sources, file).ok()?;
    let Value::Table(entries) = &tree.value else { return None };
    let has = |keys: &[&str]| entries.iter().any(|entry| keys.contains(&entry.key.as_str()));
    Some(if has(&["plan", "environments", "extent", "psi"]) {
        Purpose::Junction
    } else if has(&["dwelling"]) {
        Purpose::Dwelling
    } else if has(&["build_ups", "floors", "windows"]) {
        Purpose::Elements
    } else if has(&["climate"]) {
        Purpose::Climate
    } else if has(&["materials", "parameters"])
        && entries.iter().all(|entry| keys::INCLUDED.key(&entry.key).is_some())
    {
        Purpose::Shared
    } else {
        Purpose::Junction
    })
}
