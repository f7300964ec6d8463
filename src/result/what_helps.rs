//! What a designer can change, one thing at a time, and what it does to f_Rsi and ψ.
//!
//! Each parameter that is a number is moved up and down by a step a builder would think of, each conductivity
//! lowered by a fifth; every variant is solved anew, so nothing is assumed linear.

use crate::model::{MaterialId, Model, UValueSource};
use rayon::prelude::*;

use super::condensation::{are_safe, assess};
use super::{Outcome, compute};
use crate::case::Case;
use crate::climate::Climate;
use crate::element::build_up::{Body, Layer};

/// One thing that is different.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// A parameter has another value.
    Parameter {
        /// Its name.
        name: String,
        /// As in the case.
        from: f64,
        /// In the variant.
        to: f64,
    },
    /// A material conducts less.
    Conductivity {
        /// Index of the material.
        material: MaterialId,
        /// W/(m·K).
        from: f64,
        /// W/(m·K).
        to: f64,
    },
}

/// What a case comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The lowest f_Rsi of all internal environments.
    pub factor: f64,
    /// ψ by the first convention, W/(m·K).
    pub psi: Option<f64>,
    /// True if every limit is kept for sure.
    pub is_safe: bool,
}

/// A change and what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// The change.
    pub change: Change,
    /// What the variant comes to.
    pub standing: Standing,
    /// f_Rsi of the variant less that of the case.
    pub factor: f64,
    /// The same for ψ, W/(m·K); none where there is none, or where what is taken off is no longer what is drawn.
    pub psi: Option<f64>,
}

/// Differences smaller than this are within what f_Rsi is known to.
pub const LEAST_FACTOR: f64 = 1e-3;
/// Differences smaller than this, W/(m·K), are within the brackets of ψ.
pub const LEAST_PSI: f64 = 1e-3;
/// λ of a variant as a part of that of the case.
const LOWER_CONDUCTIVITY: f64 = 0.8;

/// What an outcome comes to; `None` without an inside surface.
pub fn standing(outcome: &Outcome, climate: Option<&Climate>) -> Option<Standing> {
    let assessments = assess(outcome, climate);
    Some(Standing {
        factor: assessments.iter().map(|assessment| assessment.coldest.factor).reduce(f64::min)?,
        psi: outcome.psi.first().map(|psi| psi.value),
        is_safe: are_safe(&assessments),
    })
}

/// A step that a builder would think of, for a number of this size: 20, 10 or 5 (mm), or a fifth.
fn step(value: f64) -> f64 {
    match value.abs() {
        0.0 => 20.0,
        size if size >= 50.0 => 20.0,
        size if size >= 15.0 => 10.0,
        size if size >= 5.0 => 5.0,
        size => 0.2 * size,
    }
}

/// Everything that can be changed about a case; parameters upwards.
pub fn changes(outcome: &Outcome) -> Vec<Change> {
    let case = &outcome.case;
    let free = case.parameters.iter().filter(|(name, _)| case.free_parameters.contains(name));
    let upwards =
        free.map(|(name, from)| Change::Parameter { name: name.clone(), from: *from, to: moved(*from, 1.0) });
    let is_cavity =
        |material: &MaterialId| case.model.cavities.iter().any(|cavity| cavity.material == *material);
    let painted = outcome.plan.materials().into_iter().filter(|material| !is_cavity(material));
    let lower = painted.map(|material| {
        let from = case.model.materials[material].conductivity_x;
        Change::Conductivity { material, from, to: LOWER_CONDUCTIVITY * from }
    });
    upwards.chain(lower).collect()
}

/// The case with another λ of one of its materials, in the plan and in the build-ups whose U-value is taken
/// off.
fn conducting(case: &Case, changed: MaterialId, [from, to]: [f64; 2]) -> Case {
    let mut case = case.clone();
    case.model.materials[changed].conductivity_x = to;
    case.model.materials[changed].conductivity_y *= to / from;
    let Model { psi, further_psi, build_ups, painted, materials, .. } = &mut case.model;
    for item in psi.iter_mut().chain(further_psi).flat_map(|psi| &mut psi.flanking) {
        let (Some(name), UValueSource::Given(u_value)) = (&item.build_up, &mut item.u_value) else {
            continue;
        };
        // What it is painted with; where it is drawn by hand, what has the material's name.
        let drawn = painted.iter().find(|painted| painted.name == *name).map(|painted| -> f64 {
            let own = painted.layers.iter().filter(|layer| layer.material == changed);
            own.map(|layer| layer.area.reach(painted.through).length()).sum()
        });
        let is_named = |layer: &&Layer| match &layer.body {
            Body::Solid(material) => layer.bridge.is_none() && material.name == materials[changed].name,
            _ => false,
        };
        let named = || -> f64 {
            let layers = build_ups
                .iter()
                .filter(|build_up| build_up.name == *name)
                .flat_map(|build_up| &build_up.layers);
            layers.filter(is_named).map(|layer| layer.thickness).sum()
        };
        *u_value = 1.0 / (1.0 / *u_value + drawn.unwrap_or_else(named) * (1.0 / to - 1.0 / from));
    }
    case
}

/// A step up (1) or down (−1), rounded to what a drawing would say.
fn moved(from: f64, sign: f64) -> f64 {
    ((from + sign * step(from)) * 1e6).round() / 1e6
}

/// Solves every change in parallel. `load` reads the case with one parameter replaced (`NAME=VALUE`), or
/// gives nothing where that cannot be built; `done` is called after each change.
///
/// A parameter is moved down where moving it up does not raise f_Rsi. Largest effect first.
pub fn effects(
    base: &Outcome,
    climate: Option<&Climate>,
    load: &(dyn Fn(&str) -> Option<Case> + Sync),
    done: &(dyn Fn() + Sync),
) -> Vec<Effect> {
    let Some(own) = standing(base, climate) else { return Vec::new() };
    let solved = |change: Change| {
        let case = match &change {
            Change::Parameter { name, to, .. } => load(&format!("{name}={to:e}")),
            Change::Conductivity { material, from, to } => {
                Some(conducting(&base.case, *material, [*from, *to]))
            }
        };
        let outcome = compute(case?).ok()?;
        let standing = standing(&outcome, climate)?;
        // A U-value that is stated does not follow a λ: what is taken off is no longer what is drawn, as a warning
        // says, and ψ means nothing.
        let is_told_apart = outcome.warnings.len() > base.warnings.len();
        let psi = standing.psi.zip(own.psi).filter(|_| !is_told_apart).map(|(variant, base)| variant - base);
        Some(Effect { change, standing, factor: standing.factor - own.factor, psi })
    };
    let better = |change: Change| {
        let first = solved(change.clone());
        let effect = match (&change, &first) {
            (Change::Parameter { name, from, .. }, first)
                if first.as_ref().is_none_or(|first| first.factor < LEAST_FACTOR) =>
            {
                let second =
                    solved(Change::Parameter { name: name.clone(), from: *from, to: moved(*from, -1.0) });
                match (first, second) {
                    (Some(first), Some(second)) if first.factor >= second.factor => Some(first.clone()),
                    (first, second) => second.or(first.clone()),
                }
            }
            _ => first,
        };
        done();
        effect
    };
    let mut effects: Vec<Effect> = changes(base).into_par_iter().filter_map(better).collect();
    effects.sort_by(|a, b| b.factor.total_cmp(&a.factor));
    effects
}
