//! The bracket of L2D from solved fields, what each triangle adds to its width, and why there may be none.

use std::fmt;

use super::energy::Energies;
use super::mesh::Mesh;
use super::properties::{Conductivity, Film, Unsolvable};
use super::system::{Pair, System};
use crate::bounds::{Bracket, NoBracket, polarised};

/// What heat passes on its way, by the numbers of the drawing.
#[derive(Clone, Debug)]
pub struct Physics {
    /// By solid.
    pub conductivities: Vec<Conductivity>,
    /// By segment; none where no heat passes.
    pub films: Vec<Option<Film>>,
    /// How many environments there are.
    pub environments: usize,
}

/// Why nothing can be stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotRefined {
    /// There is no system on the mesh.
    Unsolvable(Unsolvable),
    /// The bounds contradict each other or are not finite.
    NoBracket(NoBracket),
}

impl fmt::Display for NotRefined {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unsolvable(reason) => reason.fmt(f),
            Self::NoBracket(reason) => reason.fmt(f),
        }
    }
}

impl std::error::Error for NotRefined {}

impl From<Unsolvable> for NotRefined {
    fn from(reason: Unsolvable) -> Self {
        Self::Unsolvable(reason)
    }
}

impl From<NoBracket> for NotRefined {
    fn from(reason: NoBracket) -> Self {
        Self::NoBracket(reason)
    }
}

/// The bracket of L2D from the fields of one load with two temperatures, or of two groups of environments at 1
/// with all others at 0; and what each triangle adds to its width. W/(m·K).
///
/// # Errors
/// [`NoBracket`] if the bounds contradict each other or are not finite, or the load has one temperature only.
pub fn assess(system: &System, pairs: &[Pair]) -> Result<(Bracket, Vec<f64>), NoBracket> {
    let energies: Vec<Energies> = pairs.iter().map(|pair| system.energies(pair)).collect();
    match (pairs, energies.as_slice()) {
        ([pair], [energies]) => {
            let (highest, lowest) = crate::bounds::range(pair.environments());
            let squared = (highest - lowest) * (highest - lowest);
            let mismatch = energies.mismatch.iter().map(|mismatch| mismatch / squared).collect();
            Ok((energies.bracket()?.over(squared)?, mismatch))
        }
        ([first, second], [of_first, of_second]) => {
            let whole = |energies: &Energies| energies.mismatch.iter().sum();
            let bracket = polarised([whole(of_first), whole(of_second)], |a, b| {
                system.energies(&first.combined(a, second, b)).bracket()
            })?;
            let both = of_first.mismatch.iter().zip(&of_second.mismatch);
            Ok((bracket, both.map(|(first, second)| f64::midpoint(*first, *second)).collect()))
        }
        _ => Err(NoBracket::NotFinite),
    }
}

/// Points and edges of a mesh.
pub(super) fn nodes(mesh: &Mesh) -> usize {
    let sides = mesh.beyond.iter().flatten();
    let border = sides.filter(|beyond| **beyond == crate::polygons::NONE).count();
    mesh.points.len() + usize::midpoint(3 * mesh.corners.len(), border)
}
