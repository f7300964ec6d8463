//! A mesh for the bracket of L2D alone.
//!
//! Both bounds come from minima over quadratic functions on the mesh, and what they miss is the mismatch of
//! `energy.rs`, a sum over triangles. Splitting the triangles which have most of it (Dörfler, SIAM J. Numer.
//! Anal. 33 (1996) 1106–1124) lets it fall as fast as any mesh of as many triangles could, up to a factor. Since
//! the mismatch is the width of the bracket itself, nothing is estimated, and refinement ends when the bracket is
//! as narrow as wanted.

use super::assess::{NotRefined, Physics};
use super::mesh::Mesh;
use super::system::{Pair, System};
use super::towards::{Answered, Question, Width, refine_towards};
use crate::bounds::{Bracket, NoBracket, Pass};

/// Part of what is missing whose triangles are split.
pub const SHARE: f64 = 0.7;

/// How good an answer is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Half-width of the bracket of L2D, W/(m·K).
    pub half_width: f64,
    /// Unknowns of one field that no mesh may exceed.
    pub most_unknowns: usize,
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

/// Refines a mesh until the bracket of L2D is as narrow as wanted or the next mesh would be too large. `loads`
/// as for [`super::assess`]: the temperatures of all environments.
///
/// # Errors
/// [`NotRefined`] if nothing can be stated on the first mesh. If a finer one fails, the one before it is given.
pub fn refine(
    mesh: Mesh,
    physics: &Physics,
    loads: &[Vec<f64>],
    wanted: Wanted,
) -> Result<Refined, NotRefined> {
    let bracket = Width { loads: loads.to_vec(), half_width: wanted.half_width };
    let question = Question {
        physics: physics.clone(),
        temperatures: loads.first().cloned().unwrap_or_default(),
        goals: Vec::new(),
        bracket: Some(bracket),
    };
    let Answered { mesh, answers, passes, .. } =
        refine_towards(mesh, &[question], SHARE, wanted.most_unknowns)?;
    let answer = answers.into_iter().next().ok_or(NoBracket::NotFinite)?;
    Ok(Refined { mesh, system: answer.system, pairs: answer.pairs, l2d: answer.l2d, passes })
}
