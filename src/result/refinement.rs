//! From the accuracy wanted to the grid: solve, see where the bracket is wide, cut there, solve again.

use super::coupling::Temperatures;
use super::{Failure, Solved, psi};
use crate::bounds::{Bracket, Evaluation, NoBracket, pair, range};
use crate::conduction::{Conduction, Network};
use crate::grid::{Grid, MOST_VERTICES, interpolate, pieces};
use crate::model::{EnvironmentId, Model};
use crate::multigrid::Parameters;
use crate::plan::Raster;
use crate::plan::surface::Surfaces;

/// How good an answer is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Half-width of the bracket of L2D, which is that of ψ, W/(m·K); in proportion where L2D is above
    /// [`LARGEST_L2D`].
    pub half_width: f64,
    /// Estimated error of f_Rsi; infinite where nothing is asked of it.
    pub factor_error: f64,
    /// Unknowns that no grid may exceed.
    pub most_unknowns: usize,
}

/// W/(m·K): no junction of a building loses more. Beyond it, as between metal and boiling water, a bracket of
/// the same width would need a million unknowns for digits that mean nothing.
pub const LARGEST_L2D: f64 = 50.0;

impl Default for Demand {
    fn default() -> Self {
        Self { half_width: 1e-4, factor_error: 1e-3, most_unknowns: 2_000_000 }
    }
}

impl Demand {
    /// The half-width wanted of a bracket, W/(m·K).
    pub fn half_width_of(&self, bracket: Bracket) -> f64 {
        self.half_width * (bracket.middle() / LARGEST_L2D).max(1.0)
    }

    /// The same of L2D, and nothing of f_Rsi.
    #[must_use]
    pub fn without_factors(self) -> Self {
        Self { factor_error: f64::INFINITY, ..self }
    }
}

/// Passes after which a bracket that does not narrow is given up.
pub const MOST_PASSES: usize = 40;
/// Part of the wanted mismatch that a pass aims at, since the prediction is somewhat hopeful.
const SAFETY: f64 = 0.85;
/// On the way the equations need not be solved more closely than the bracket shows.
pub const ON_THE_WAY: Parameters = Parameters { tolerance: 1e-8, last_change: 1e-6, most_iterations: 100 };

/// What a bracket is wanted of: with two temperatures the energy at these, divided by their difference
/// squared; with more, the coupling of two groups of environments, from the fields with one group at 1 and
/// all others at 0.
#[derive(Clone, Debug)]
pub struct Target {
    /// Environment temperatures of the fields that it takes.
    pub loads: Vec<Vec<f64>>,
}

impl Target {
    /// The target of a case.
    pub fn of(temperatures: &Temperatures, sides: &Option<[Vec<EnvironmentId>; 2]>) -> Self {
        let all = &temperatures.of_environment;
        let group = |side: &Vec<EnvironmentId>| {
            EnvironmentId::all(all.len()).map(|index| f64::from(u8::from(side.contains(&index)))).collect()
        };
        let loads = match sides {
            Some(sides)
                if !psi::are_whole(temperatures, sides) && sides.iter().all(|side| !side.is_empty()) =>
            {
                sides.iter().map(group).collect()
            }
            _ => vec![all.clone()],
        };
        Self { loads }
    }

    /// True if its bracket is infinite: surfaces fixed at different temperatures meet in a point under one of
    /// its loads.
    pub fn has_jump(&self, network: &Network) -> bool {
        self.loads.iter().any(|load| network.has_temperature_jump(load))
    }

    /// True if it is the coupling of two groups of environments, by unit loads.
    pub fn is_of_groups(&self) -> bool {
        self.loads.len() == 2
    }

    /// The fields that it takes, from solutions at the case's temperatures.
    pub fn fields(&self, solved: &Solved) -> Vec<Vec<f64>> {
        match self.loads.as_slice() {
            [_] => vec![solved.field.temperature.clone()],
            loads => loads.iter().map(|load| solved.combined(load)).collect(),
        }
    }

    /// What each cell adds to the width of the bracket, W/(m·K), row by row.
    pub fn mismatch_by_cell(&self, evaluation: &Evaluation<'_>, solved: &Solved) -> Vec<f64> {
        let mut sum: Vec<f64> = Vec::new();
        for (field, load) in self.fields(solved).iter().zip(&self.loads) {
            let (highest, lowest) = range(load);
            let factor = 1.0 / ((highest - lowest).powi(2) * self.loads.len() as f64);
            let cells = evaluation.mismatch_by_cell(field, load);
            sum.resize(cells.len(), 0.0);
            sum.iter_mut().zip(cells).for_each(|(sum, cell)| *sum += factor * cell);
        }
        sum
    }

    /// The bracket, and the mismatch of columns and rows in the unit of its width, W/(m·K).
    ///
    /// # Errors
    /// [`NoBracket`] if the bounds contradict each other.
    pub fn assess(
        &self,
        evaluation: &Evaluation<'_>,
        fields: &[Vec<f64>],
    ) -> Result<(Bracket, Vec<f64>, Vec<f64>), NoBracket> {
        if let ([load], [field]) = (self.loads.as_slice(), fields) {
            let (highest, lowest) = range(load);
            let squared = (highest - lowest).powi(2);
            let energies = evaluation.energies(field, load);
            let scaled = |values: &[f64]| values.iter().map(|value| value / squared).collect();
            return Ok((
                energies.bracket()?.over(squared)?,
                scaled(&energies.by_column),
                scaled(&energies.by_row),
            ));
        }
        let energies = [0, 1].map(|one| evaluation.energies(&fields[one], &self.loads[one]));
        let bracket = pair(evaluation, [&fields[0], &fields[1]], [&self.loads[0], &self.loads[1]])?;
        let mean = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| f64::midpoint(*a, *b)).collect();
        let [first, second] = &energies;
        Ok((bracket, mean(&first.by_column, &second.by_column), mean(&first.by_row, &second.by_row)))
    }
}

/// A grid that is fine enough.
pub struct Refined {
    /// The grid.
    pub grid: Grid,
    /// The fields of the target on it, nearly solved.
    pub fields: Vec<Vec<f64>>,
    /// The bracket that they give, W/(m·K).
    pub bracket: Bracket,
}

/// One solve on the way, and what it says about the grid.
pub struct Step {
    /// The equations.
    pub conduction: Conduction,
    /// The fields of the target, nearly solved.
    pub fields: Vec<Vec<f64>>,
    /// L2D, W/(m·K).
    pub bracket: Bracket,
    /// Pieces for columns and rows of cells that the bracket asks for; ones where it is as narrow as wanted.
    pub cuts: (Vec<usize>, Vec<usize>),
}

/// Solves for a target on a grid and looks where its bracket comes from.
///
/// # Errors
/// [`Failure`] if the equations cannot be solved, or the bounds contradict each other.
pub fn step(
    (model, plan, surfaces): (&Model, &Raster, &Surfaces),
    target: &Target,
    demand: &Demand,
    grid: &Grid,
    starts: Option<&[Vec<f64>]>,
) -> Result<Step, Failure> {
    let conduction = Conduction::of(Network::of(model, plan, surfaces, grid))?;
    let mut fields = Vec::new();
    for (number, load) in target.loads.iter().enumerate() {
        let start = starts.map(|starts| starts[number].as_slice());
        fields.push(conduction.solve_to(load, start, ON_THE_WAY)?.temperature);
    }
    let evaluation = Evaluation::of(model, plan, grid, &conduction.network);
    let (bracket, by_column, by_row) = target.assess(&evaluation, &fields)?;
    let half_width = demand.half_width_of(bracket);
    let cuts = if bracket.half_width() <= half_width {
        (vec![1; by_column.len()], vec![1; by_row.len()])
    } else {
        pieces(&by_column, &by_row, 2.0 * half_width * SAFETY)
    };
    Ok(Step { conduction, fields, bracket, cuts })
}

/// Refines from `grid` until the bracket is as narrow as wanted or the next grid would be too large.
///
/// # Errors
/// As [`step`].
pub fn refine(
    on: (&Model, &Raster, &Surfaces),
    target: &Target,
    demand: &Demand,
    mut grid: Grid,
    mut starts: Option<Vec<Vec<f64>>>,
) -> Result<Refined, Failure> {
    for number in 1.. {
        let Step { fields, bracket, cuts, .. } = step(on, target, demand, &grid, starts.as_deref())?;
        let finer = grid.split(on.1, &cuts.0, &cuts.1);
        if bracket.half_width() <= demand.half_width_of(bracket)
            || number >= MOST_PASSES
            || finer.vertices() > MOST_VERTICES
            || finer.solid_cells(on.1) > demand.most_unknowns
            || finer.vertices() == grid.vertices()
        {
            return Ok(Refined { grid, fields, bracket });
        }
        starts = Some(fields.iter().map(|field| interpolate(&grid, &finer, field)).collect());
        grid = finer;
    }
    unreachable!("passes are limited")
}
