//! One mesh for the bracket of L2D and for temperatures at places, as exact as each of them is wanted.
//!
//! Each pass solves, sees how far every answer is from what is wanted, and splits the triangles that have most of
//! what is missing: what a triangle adds to the width of a bracket or to the error of a temperature, in units of
//! what is allowed, summed over all answers that are not yet exact enough. Both fall with the square of the number
//! of unknowns on such meshes, so that the units compare. A coldest place may move from pass to pass; it is sought
//! anew in each.
//!
//! Heat loss and condensation take different surface resistances: each has its equations, on one mesh.

use rayon::prelude::*;

use super::assess::{NotRefined, Physics, assess, nodes};
use super::goal::{Goal, Known};
use super::marking::mark;
use super::mesh::Mesh;
use super::metric::Metric;
use super::properties::Conductivity;
use super::system::{Pair, System};
use crate::bounds::{Bracket, Pass};

/// Triangles with no longer edge than this are not split, m. Where conductors of very different conductivity meet
/// in a point, temperatures there may go with a power of the distance so small that no mesh follows it.
const SMALLEST: f64 = 1e-7;
/// Multiply-adds of all passes, some seconds: after these what is reached is taken.
const MOST_WORK: f64 = 4e9;
/// Passes after which answers that do not get more exact are given up.
const MOST_PASSES: usize = 200;

/// What is asked of one set of surface resistances.
#[derive(Clone, Debug)]
pub struct Question {
    /// What heat passes on its way.
    pub physics: Physics,
    /// The temperatures of all environments at which the goals are sought.
    pub temperatures: Vec<f64>,
    /// Temperatures wanted.
    pub goals: Vec<Goal>,
    /// The bracket of L2D wanted, if any.
    pub bracket: Option<Width>,
}

/// A bracket of L2D that is wanted.
#[derive(Clone, Debug)]
pub struct Width {
    /// As for [`assess`].
    pub loads: Vec<Vec<f64>>,
    /// Half-width wanted, W/(m·K).
    pub half_width: f64,
}

/// What one set of surface resistances gave.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The equations on the mesh.
    pub system: System,
    /// The fields at the temperatures asked for.
    pub pair: Pair,
    /// The fields of each load of the bracket.
    pub pairs: Vec<Pair>,
    /// By goal; none where there is no such place.
    pub known: Vec<Option<Known>>,
    /// The bracket asked for, W/(m·K); none if none was, or if the heat flow is infinite.
    pub l2d: Option<Bracket>,
    /// True if everything is as exact as wanted.
    pub is_reached: bool,
}

/// A mesh that is fine enough, or as fine as it may be, and the answers on it.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The triangles.
    pub mesh: Mesh,
    /// By question.
    pub answers: Vec<Answer>,
    /// What each pass had of the bracket that the first question asks for, the last one included.
    pub passes: Vec<Pass>,
    /// The middle of the triangle that has most of what is missing, m, where not all is reached.
    pub lacking: Option<[f64; 2]>,
}

impl Answered {
    /// True if everything is as exact as wanted.
    pub fn is_reached(&self) -> bool {
        self.answers.iter().all(|answer| answer.is_reached)
    }

    /// Unknowns of the largest field.
    pub fn unknowns(&self) -> usize {
        self.answers.iter().map(|answer| answer.system.unknowns()).max().unwrap_or(0)
    }

    /// The bracket that the first question asks for.
    pub fn l2d(&self) -> Option<Bracket> {
        self.answers.first()?.l2d
    }
}

/// Refines a mesh until all questions are answered as exactly as wanted or the next mesh would have too many
/// unknowns. In each pass the triangles that have a `share` of what is missing are split, [`super::SHARE`] as a rule.
///
/// # Errors
/// [`NotRefined`] if nothing can be stated on the first mesh. If a finer one fails, the one before it is given.
pub fn refine_towards(
    mesh: Mesh,
    questions: &[Question],
    share: f64,
    most_unknowns: usize,
) -> Result<Answered, NotRefined> {
    let metrics: Vec<Metric> = questions.first().map_or_else(Vec::new, |first| {
        first.physics.conductivities.iter().map(Conductivity::metric).collect()
    });
    let (mut best, mut missing) = pass(mesh, questions)?;
    let (mut passes, mut work) = (Vec::new(), 0.0);
    for _ in 0..MOST_PASSES {
        passes.extend(best.l2d().map(|l2d| Pass { unknowns: best.unknowns(), l2d }));
        work += best.answers.iter().map(|answer| answer.system.work()).sum::<f64>();
        if best.is_reached() || work > MOST_WORK {
            break;
        }
        let edges = mark(&best.mesh, &missing, share, &metrics);
        let mut finer = best.mesh.clone();
        if edges.is_empty() || finer.refine(&edges, &metrics) == 0 || nodes(&finer) > most_unknowns {
            break;
        }
        match pass(finer, questions) {
            Ok(finer) => (best, missing) = finer,
            Err(_) => break,
        }
    }
    best.passes = passes;
    Ok(best)
}

/// One pass, and what is missing by triangle.
fn pass(mesh: Mesh, questions: &[Question]) -> Result<(Answered, Vec<f64>), NotRefined> {
    let count = mesh.corners.len();
    let mut missing = Missing { is_small: small(&mesh), parts: vec![0.0; count], all: vec![0.0; count] };
    let found: Vec<(Answer, Vec<Lack>)> =
        questions.par_iter().map(|question| answer(&mesh, question)).collect::<Result<_, _>>()?;
    let mut answers = Vec::new();
    for (answer, lacks) in found {
        for lack in lacks {
            missing.add(&lack.parts, lack.error, lack.allowed);
        }
        answers.push(answer);
    }
    let lacking = missing.most().map(|triangle| mesh.centre(triangle));
    let missing = missing.parts;
    Ok((Answered { mesh, answers, passes: Vec::new(), lacking }, missing))
}

/// An error beyond what is allowed.
struct Lack {
    /// What each triangle has of it.
    parts: Vec<f64>,
    error: f64,
    allowed: f64,
}

fn answer(mesh: &Mesh, question: &Question) -> Result<(Answer, Vec<Lack>), NotRefined> {
    let Physics { conductivities, films, environments } = &question.physics;
    let system = System::of(mesh, conductivities, films, *environments)?;
    let pair = system.solve(&question.temperatures);
    let mut lacks = Vec::new();
    let (mut l2d, mut pairs) = (None, Vec::new());
    if let Some(width) = &question.bracket {
        // The load of a bracket is mostly the temperatures themselves.
        let solved = |load: &Vec<f64>| {
            if *load == question.temperatures { pair.clone() } else { system.solve(load) }
        };
        pairs = width.loads.iter().map(solved).collect();
        if !width.loads.iter().any(|load| system.solids.has_jump(load)) {
            let (found, mismatch) = assess(&system, &pairs)?;
            l2d = Some(found);
            if found.half_width() > width.half_width {
                lacks.push(Lack { parts: mismatch, error: found.half_width(), allowed: width.half_width });
            }
        }
    }
    // Without a goal nobody asks for it.
    let gap = question.goals.first().map(|_| system.gap(&pair));
    let mut known = Vec::new();
    for goal in &question.goals {
        let found = gap.as_ref().and_then(|gap| system.know(&pair, gap, goal));
        known.push(found.as_ref().map(|(known, _)| *known));
        if let Some((known, parts)) = found.filter(|(known, _)| !known.is_exact()) {
            lacks.push(Lack { parts, error: known.error(), allowed: goal.allowed });
        }
    }
    let is_reached = lacks.is_empty();
    Ok((Answer { system, pair, pairs, known, l2d, is_reached }, lacks))
}

/// What is missing, in units of what is allowed.
struct Missing {
    /// By triangle, whether it is too small to be split.
    is_small: Vec<bool>,
    /// By triangle, what splitting can mend.
    parts: Vec<f64>,
    /// By triangle, everything.
    all: Vec<f64>,
}

impl Missing {
    /// Adds an error, from what triangles have of it. What small triangles have stays; if that alone is too much,
    /// the answer cannot be reached, and nothing need be split for it.
    fn add(&mut self, parts: &[f64], error: f64, allowed: f64) {
        let sum: f64 = parts.iter().sum();
        let stays: f64 =
            parts.iter().zip(&self.is_small).filter(|(_, small)| **small).map(|(part, _)| part).sum();
        // Where not all of the error is in the parts, they still say where it comes from.
        let scale = error / sum / allowed;
        if scale.is_finite() {
            self.all.iter_mut().zip(parts).for_each(|(all, part)| *all += scale * part);
        }
        if !scale.is_finite() || stays * scale > 1.0 {
            return;
        }
        for ((missing, part), is_small) in self.parts.iter_mut().zip(parts).zip(&self.is_small) {
            if !is_small {
                *missing += scale * part;
            }
        }
    }

    /// The triangle that has most of it; none if nothing is missing.
    fn most(&self) -> Option<usize> {
        let missing = (0..self.all.len()).filter(|triangle| self.all[*triangle] > 0.0);
        missing.max_by(|one, other| self.all[*one].total_cmp(&self.all[*other]))
    }
}

/// By triangle, whether it has no edge longer than the smallest.
fn small(mesh: &Mesh) -> Vec<bool> {
    let is_short = |a: u32, b: u32| {
        let [a, b] = [a, b].map(|corner| mesh.points[corner as usize]);
        (b[0] - a[0]).abs().max((b[1] - a[1]).abs()) <= SMALLEST
    };
    mesh.corners.iter().map(|[a, b, c]| is_short(*a, *b) && is_short(*b, *c) && is_short(*c, *a)).collect()
}
