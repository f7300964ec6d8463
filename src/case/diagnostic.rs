//! What went wrong, where, and what to do about it, as values.
//!
//! Every layer that reads the user's input collects [`Diagnostic`]s instead of stopping at the first fault, so that one run
//! shows all faults of a case. How they look on a terminal is the business of [`crate::report::diagnostics`].

use std::fmt;

pub use crate::text::Place;

/// How serious a finding is: an error stops the run, a warning does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Severity {
    /// The input cannot be used; nothing is computed or written.
    Error,
    /// The input can be used, but the user should look at this.
    Warning,
}

/// One finding about the input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Error or warning.
    pub severity: Severity,
    /// What was found, and what was expected, in one sentence.
    pub message: String,
    /// Where, if the finding belongs to a place in a file.
    pub place: Option<Place>,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(place: impl Into<Option<Place>>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Error, message: message.into(), place: place.into(), hint: None }
    }

    /// A warning at a place.
    pub fn warning(place: impl Into<Option<Place>>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(place, message) }
    }

    /// The same finding with advice.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// The same finding with advice, if there is any.
    #[must_use]
    pub fn maybe_hint(mut self, hint: Option<String>) -> Self {
        self.hint = hint.or(self.hint);
        self
    }
}

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

/// True if any of the findings is an error.
pub fn has_errors(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Error)
}
