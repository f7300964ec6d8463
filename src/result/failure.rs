//! Why there is no outcome.

use std::fmt;

use crate::bounds::NoBracket;
use crate::case::Rejected;
use crate::multigrid::SolveError;
use crate::triangulation::NotRefined;

/// Why there is no outcome.
#[derive(Clone, Debug)]
pub enum Failure {
    /// The input cannot be used.
    Rejected(Box<Rejected>),
    /// The equations could not be solved.
    Solve(SolveError),
    /// The bounds of a value contradict each other or are not finite.
    NoBracket(NoBracket),
    /// There are no equations on triangles, or no bounds from them.
    Triangles(NotRefined),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rejected(rejected) => rejected.fmt(f),
            Self::Solve(error) => error.fmt(f),
            Self::NoBracket(error) => error.fmt(f),
            Self::Triangles(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Failure {}

impl From<Rejected> for Failure {
    fn from(rejected: Rejected) -> Self {
        Self::Rejected(Box::new(rejected))
    }
}

impl From<NoBracket> for Failure {
    fn from(error: NoBracket) -> Self {
        Self::NoBracket(error)
    }
}

impl From<NotRefined> for Failure {
    fn from(error: NotRefined) -> Self {
        Self::Triangles(error)
    }
}

impl From<SolveError> for Failure {
    fn from(error: SolveError) -> Self {
        Self::Solve(error)
    }
}
