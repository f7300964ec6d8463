//! The texts that a case was read from, and what is wrong with them.

use std::fmt;

pub use crate::finding::{Diagnostic, Severity, has_errors};
pub use crate::text::Place;

/// A text the input came from: a file, a built-in case or the value of a `--set`.
#[derive(Clone, Debug)]
pub struct Source {
    /// The name shown to the user.
    pub name: String,
    /// The whole text, without a byte order mark.
    pub text: String,
}

/// All texts that one case was read from.
#[derive(Clone, Debug, Default)]
pub struct Sources(Vec<Source>);

impl Sources {
    /// Adds a text and returns its number.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> usize {
        self.0.push(Source { name: name.into(), text: text.into() });
        self.0.len() - 1
    }

    /// All of them, in the order they were read.
    pub fn all(&self) -> &[Source] {
        &self.0
    }

    /// The text with number `file`.
    pub fn get(&self, file: usize) -> &Source {
        &self.0[file]
    }

    /// Line and column of a place, both counted from 1, columns in characters.
    pub fn line_column(&self, place: Place) -> (usize, usize) {
        let text = &self.get(place.file).text;
        let before = &text[..place.start.min(text.len())];
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }
}

/// Input that cannot be used: all its errors and warnings, with the texts they point into.
#[derive(Clone, Debug, Default)]
pub struct Rejected {
    /// Every finding, in the order of discovery.
    pub diagnostics: Vec<Diagnostic>,
    /// The texts that the places point into.
    pub sources: Sources,
}

impl fmt::Display for Rejected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for diagnostic in &self.diagnostics {
            if let Some(place) = diagnostic.place {
                let (line, column) = self.sources.line_column(place);
                write!(f, "{}:{line}:{column}: ", self.sources.get(place.file).name)?;
            }
            writeln!(f, "{}", diagnostic.message)?;
        }
        Ok(())
    }
}

impl std::error::Error for Rejected {}
