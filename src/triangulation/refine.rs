//! From the accuracy wanted to the mesh: solve, see where the bracket is wide, split there, solve again.
//!
//! Both bounds come from minima over quadratic functions on the mesh, and what they miss is the mismatch of
//! `energy.rs`, a sum over triangles. Splitting the triangles which have most of it in every pass (Dörfler, SIAM
//! J. Numer. Anal. 33 (1996) 1106–1124) lets it fall as fast as any mesh of as many triangles could, up to a
//! factor. Since the mismatch is the width of the bracket itself, nothing is estimated, and the loop ends when
//! the bracket is as narrow as wanted.

use std::fmt;

use super::energy::Energies;
use super::marking::mark;
use super::mesh::Mesh;
use super::metric::Metric;
use super::properties::{Conductivity, Film, Unsolvable};
use super::system::{Pair, System};
use crate::bounds::{Bracket, NoBracket, polarised};

/// Part of the mismatch whose triangles a pass splits.
pub const SHARE: f64 = 0.7;
/// Multiply-adds of all passes, some seconds: after these the bracket reached is taken.
pub(super) const MOST_WORK: f64 = 4e9;
/// Passes after which a bracket that does not narrow is given up.
pub(super) const MOST_PASSES: usize = 200;

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

/// How good an answer is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Half-width of the bracket of L2D, W/(m·K).
    pub half_width: f64,
    /// Unknowns of one field that no mesh may exceed.
    pub most_unknowns: usize,
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

/// A pass: unknowns of one field, and the bracket of L2D.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Unknowns of one field.
    pub unknowns: usize,
    /// W/(m·K).
    pub l2d: Bracket,
}

/// A mesh that is fine enough, or as fine as it may be.
#[derive(Clone, Debug)]
pub struct Refined {
    /// The triangles.
    pub mesh: Mesh,
    /// The equations on them.
    pub system: System,
    /// The fields of each load.
    pub pairs: Vec<Pair>,
    /// The bracket that these give, W/(m·K), whether it is as narrow as wanted or not; none if surfaces fixed
    /// at different temperatures meet, so that the heat flow is infinite.
    pub l2d: Option<Bracket>,
    /// What each pass had, the last one included.
    pub passes: Vec<Pass>,
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
            let (highest, lowest) = crate::bounds::range(&pair.environments);
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

/// Refines a mesh until the bracket of L2D is as narrow as wanted or the next mesh would be too large. `loads`
/// as for [`assess`]: the temperatures of all environments.
///
/// # Errors
/// [`NotRefined`] if nothing can be stated on the first mesh. If a finer one fails, the one before it is given.
pub fn refine(
    mesh: Mesh,
    physics: &Physics,
    loads: &[Vec<f64>],
    wanted: Wanted,
) -> Result<Refined, NotRefined> {
    let metrics: Vec<Metric> = physics.conductivities.iter().map(Conductivity::metric).collect();
    let mut passes = Vec::new();
    let (mut best, mut mismatch) = pass(mesh, physics, loads, &mut passes)?;
    let mut work = best.system.work();
    while let Some(l2d) = best.l2d {
        if l2d.half_width() <= wanted.half_width || passes.len() >= MOST_PASSES || work > MOST_WORK {
            break;
        }
        let edges = mark(&best.mesh, &mismatch, SHARE, &metrics);
        let mut finer = best.mesh.clone();
        if edges.is_empty() || finer.refine(&edges, &metrics) == 0 || nodes(&finer) > wanted.most_unknowns {
            break;
        }
        match pass(finer, physics, loads, &mut passes) {
            Ok(finer) => (best, mismatch) = finer,
            Err(_) => break,
        }
        work += best.system.work();
    }
    best.passes = passes;
    Ok(best)
}

/// One pass, and the mismatch of its triangles.
fn pass(
    mesh: Mesh,
    physics: &Physics,
    loads: &[Vec<f64>],
    passes: &mut Vec<Pass>,
) -> Result<(Refined, Vec<f64>), NotRefined> {
    let system = System::of(&mesh, &physics.conductivities, &physics.films, physics.environments)?;
    let pairs: Vec<Pair> = loads.iter().map(|load| system.solve(load)).collect();
    if loads.iter().any(|load| system.has_jump(load)) {
        return Ok((Refined { mesh, system, pairs, l2d: None, passes: Vec::new() }, Vec::new()));
    }
    let (l2d, mismatch) = assess(&system, &pairs)?;
    passes.push(Pass { unknowns: system.unknowns(), l2d });
    Ok((Refined { mesh, system, pairs, l2d: Some(l2d), passes: Vec::new() }, mismatch))
}

/// Points and edges of a mesh.
pub(super) fn nodes(mesh: &Mesh) -> usize {
    let sides = mesh.beyond.iter().flatten();
    let border = sides.filter(|beyond| **beyond == crate::polygons::NONE).count();
    mesh.points.len() + usize::midpoint(3 * mesh.corners.len(), border)
}
