//! What went wrong, where, and what to do about it, as values.
//!
//! Every layer that meets the user's input collects [`Diagnostic`]s instead of stopping at the first fault,
//! so that one run shows all faults of a case. How they look on a terminal is the business of the report.

use std::fmt;

use crate::text::Place;

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

/// True if any of the findings is an error.
pub fn has_errors(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Error)
}

/// Input that cannot be used: all that was found, of which at least one is an error.
#[derive(Clone, Debug)]
pub struct Unusable(pub Vec<Diagnostic>);

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        self.hint.iter().try_for_each(|hint| write!(f, " ({hint})"))
    }
}

impl fmt::Display for Unusable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let errors = self.0.iter().filter(|finding| finding.severity == Severity::Error);
        for (number, finding) in errors.enumerate() {
            let separator = if number > 0 { "\n" } else { "" };
            write!(f, "{separator}{finding}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Unusable {}
