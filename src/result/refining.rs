//! From a case to a grid on which L2D, the named points and the coldest places are all as exact as wanted.
//!
//! Each pass solves nearly, for heat loss and for condensation, and asks the bracket of L2D
//! ([`refinement`](super::refinement)) and the places ([`place`](super::place)) where the grid must be finer.
//! When none of them asks for more, the equations are solved to the end and every cell is halved once: should
//! that change a place by more than its error allows, refinement goes on.

use super::Failure;
use super::computed::{Computed, OnGrid};
use super::evidence::{self, Evidence};
use super::outcome::Outcome;
use super::place::{self, Assessed, Place};
use super::refinement::{self, Demand, MOST_PASSES, ON_THE_WAY};
use super::skin::Skin;
use super::solved::Solved;
use super::taking_over::{HandedOver, MOST_CELLS_FOR_BRACKET};
use super::task::Task;
use super::temperature_factor;
use crate::bounds::{Bracket, Evaluation, Pass};
use crate::conduction::{Conduction, Network};
use crate::grid::lines::Fineness;
use crate::grid::{Grid, MOST_VERTICES, interpolate};
use crate::multigrid::SolveError;
use crate::plan::Raster;
use crate::plan::surface::Surfaces;

/// Cells of solid that no refinement for places exceeds.
const MOST_CELLS_FOR_PLACES: usize = 300_000;

/// Fields from which a pass starts.
#[derive(Default)]
struct Starts {
    /// One for each load of the target.
    of_target: Option<Vec<Vec<f64>>>,
    /// At the case's temperatures, with the surface resistances for heat loss and for condensation.
    own: [Option<Vec<f64>>; 2],
}

/// Everything nearly solved on a grid.
struct Nearly {
    of_target: Option<Vec<Vec<f64>>>,
    heat_loss: Solved,
    condensation: Option<Solved>,
    pass: Option<Pass>,
    /// Pieces of columns and rows that the bracket asks for; none without a bracket.
    cuts: Option<(Vec<usize>, Vec<usize>)>,
}

impl Task {
    /// Refines until everything is as exact as `demand` wants or the next grid would be too large, and
    /// computes what the solutions come to.
    pub(super) fn refined_on_grid(self, raster: &Raster, demand: &Demand) -> Result<Outcome, Failure> {
        let mut grid =
            Grid::coarsest(&self.case.model, raster).map_err(|findings| self.case.rejected(findings.0))?;
        // Where surfaces of different fixed temperatures meet in a point, the energy is infinite and so is
        // every bracket.
        let has_jump = self.target.has_jump(&Network::of(&self.case.model, raster, &self.surfaces, &grid));
        if has_jump {
            grid = Grid::graded(&self.case.model, raster, Fineness::default())
                .map_err(|findings| self.case.rejected(findings.0))?;
        }
        let mut passes = Vec::new();
        let mut starts = Starts::default();
        let mut are_asked = false;
        for number in 1.. {
            let nearly = self.nearly(raster, &grid, &starts, demand, has_jump)?;
            passes.extend(nearly.pass);
            if !are_asked && let Some(on_grid) = Self::asks_too_much(raster, &grid, &nearly, demand) {
                // Once: where they do not reach what is wanted, they will not for the next grid either.
                are_asked = true;
                if let Ok(answers) = self.answers(demand)
                    && answers.is_narrow()
                {
                    return self.finish_on_triangles(answers, demand, Some(HandedOver { on_grid, passes }));
                }
            }
            let is_narrow =
                nearly.pass.is_none_or(|pass| pass.l2d.half_width() <= demand.half_width_of(pass.l2d));
            let most = if is_narrow {
                demand.most_unknowns.min(MOST_CELLS_FOR_PLACES)
            } else {
                demand.most_unknowns
            };
            let cut = |grid: &Grid, by_bracket: Option<(Vec<usize>, Vec<usize>)>, assessed: &Assessed| {
                let (columns, rows) = finer_of(by_bracket, assessed.cuts());
                let finer = grid.split(raster, &columns, &rows);
                let is_possible = number < MOST_PASSES
                    && finer.vertices() <= MOST_VERTICES
                    && finer.solid_cells(raster) <= most
                    && finer.vertices() > grid.vertices();
                is_possible.then_some(finer)
            };
            let solved = [Some(&nearly.heat_loss), nearly.condensation.as_ref()];
            let places = self.places_on(raster, &grid, solved, demand);
            let assessed = self.assess(raster, &grid, solved, &places, None)?;
            if let Some(finer) = cut(&grid, nearly.cuts, &assessed) {
                let carry = |field: &Vec<f64>| interpolate(&grid, &finer, field);
                starts = Starts {
                    of_target: nearly.of_target.map(|fields| fields.iter().map(carry).collect()),
                    own: solved.map(|solved| solved.map(|solved| carry(&solved.field.temperature))),
                };
                grid = finer;
                continue;
            }
            let to_the_end =
                |nearly: Solved| self.solve_to_the_end(nearly.conduction, Some(&nearly.field.temperature));
            let condensation = nearly.condensation.map(to_the_end).transpose()?;
            let solution = self.solution(raster, grid, to_the_end(nearly.heat_loss)?, condensation)?;
            let Computed::Grid(on) = &solution.computed else { unreachable!("it was solved on a grid") };
            let grid_of = &on.grid;
            let solved = [Some(&on.heat_loss), on.condensation.as_ref()];
            let places = self.places_on(raster, grid_of, solved, demand);
            let (evidence, changes) = self.evidence(on, &solution.skin, demand, &places)?.unzip();
            let assessed = self.assess(raster, grid_of, solved, &places, changes.as_deref())?;
            let Some(finer) = cut(grid_of, None, &assessed) else {
                return self.finish(solution, passes, !is_narrow, evidence, assessed.errors);
            };
            let carry = |field: &Vec<f64>| interpolate(grid_of, &finer, field);
            starts = Starts {
                of_target: (!has_jump).then(|| self.target.fields(&on.heat_loss).iter().map(carry).collect()),
                own: solved.map(|solved| solved.map(|solved| carry(&solved.field.temperature))),
            };
            grid = finer;
        }
        unreachable!("the number of passes is limited")
    }

    /// The bracket of a grid, where it asks for more cells than the grid is to have for its sake.
    fn asks_too_much(raster: &Raster, grid: &Grid, nearly: &Nearly, demand: &Demand) -> Option<Bracket> {
        let ((columns, rows), pass) = nearly.cuts.as_ref().zip(nearly.pass)?;
        let is_enough = pass.l2d.half_width() <= demand.half_width_of(pass.l2d)
            || grid.split(raster, columns, rows).solid_cells(raster) <= MOST_CELLS_FOR_BRACKET;
        (!is_enough).then_some(pass.l2d)
    }

    /// Solves as closely as the way needs.
    fn nearly(
        &self,
        raster: &Raster,
        grid: &Grid,
        starts: &Starts,
        demand: &Demand,
        has_jump: bool,
    ) -> Result<Nearly, Failure> {
        let conduction = |surfaces: &Surfaces| {
            Conduction::of(Network::of(&self.case.model, raster, surfaces, grid)).map_err(Failure::from)
        };
        let solve = |conduction: Conduction, start: Option<&Vec<f64>>| -> Result<Solved, Failure> {
            let field = conduction.solve_to(
                &self.temperatures.of_environment,
                start.map(Vec::as_slice),
                ON_THE_WAY,
            )?;
            Ok(Solved { conduction, field, unit_fields: Vec::new() })
        };
        let mut nearly = if has_jump {
            let heat_loss = solve(conduction(&self.surfaces)?, starts.own[0].as_ref())?;
            Nearly { of_target: None, heat_loss, condensation: None, pass: None, cuts: None }
        } else {
            let on = (&self.case.model, raster, &self.surfaces);
            let step = refinement::step(on, &self.target, demand, grid, starts.of_target.as_deref())?;
            let pass = Pass { unknowns: step.conduction.unknowns, l2d: step.bracket };
            // With one load the field is solved already, and this solve ends at once.
            let start = if step.fields.len() == 1 { step.fields.first() } else { starts.own[0].as_ref() };
            let heat_loss = solve(step.conduction, start)?;
            Nearly {
                of_target: Some(step.fields),
                heat_loss,
                condensation: None,
                pass: Some(pass),
                cuts: Some(step.cuts),
            }
        };
        if let Some(surfaces) = &self.condensation_surfaces {
            let start = starts.own[1].as_ref().unwrap_or(&nearly.heat_loss.field.temperature);
            nearly.condensation = Some(solve(conduction(surfaces)?, Some(start))?);
        }
        Ok(nearly)
    }

    fn places_on(
        &self,
        raster: &Raster,
        grid: &Grid,
        [heat_loss, condensation]: [Option<&Solved>; 2],
        demand: &Demand,
    ) -> Vec<Place> {
        let Some(basis) = condensation.or(heat_loss) else { return Vec::new() };
        let factors = temperature_factor::factors(&self.case.model, &Skin::of_grid(grid, basis));
        let has = (condensation.is_some(), demand.factor_error);
        place::places(&self.case.model, (grid, raster), &self.places, &factors, basis, has)
    }

    fn assess(
        &self,
        raster: &Raster,
        grid: &Grid,
        solved: [Option<&Solved>; 2],
        places: &[Place],
        changes: Option<&[f64]>,
    ) -> Result<Assessed, SolveError> {
        let evaluations = solved.map(|solved| {
            solved.map(|solved| {
                (Evaluation::of(&self.case.model, raster, grid, &solved.conduction.network), solved)
            })
        });
        let solutions = [0, 1]
            .map(|number| evaluations[number].as_ref().map(|(evaluation, solved)| (evaluation, *solved)));
        let cells = (grid.vertex_columns() - 1, grid.vertex_rows() - 1);
        place::assess(places, solutions, &self.temperatures.of_environment, cells, changes)
    }

    /// What a grid with every cell halved in both directions changes, also at places, K; none if that would
    /// be too large.
    fn evidence(
        &self,
        solution: &OnGrid,
        skin: &Skin,
        demand: &Demand,
        places: &[Place],
    ) -> Result<Option<(Evidence, Vec<f64>)>, SolveError> {
        let raster = &solution.raster;
        let grid = solution.grid.doubled(raster);
        let cells = [&solution.grid, &grid].map(|grid| grid.solid_cells(raster));
        if cells[1] > demand.most_unknowns || grid.vertices() > MOST_VERTICES {
            return Ok(None);
        }
        let of = &self.temperatures.of_environment;
        let on_fine = |surfaces: &Surfaces, solved: &Solved| -> Result<Solved, SolveError> {
            solved.carried(
                Network::of(&self.case.model, raster, surfaces, &grid),
                [&solution.grid, &grid],
                of,
            )
        };
        let fine = on_fine(&self.surfaces, &solution.heat_loss)?;
        let condensation = match (&self.condensation_surfaces, &solution.condensation) {
            (Some(surfaces), Some(solved)) => Some(on_fine(surfaces, solved)?),
            _ => None,
        };
        let basis = condensation.as_ref().unwrap_or(&fine);
        let fine_factors = temperature_factor::factors(&self.case.model, &Skin::of_grid(&grid, basis));
        let flow = |solved: &Solved| {
            solved.conduction.heat_flows(&solved.field, of).iter().map(|flow| flow.abs()).sum::<f64>() / 2.0
        };
        // The coldest place of the finer grid may be another, so that places are looked for anew; their order
        // is the same.
        let finer_places = self.places_on(raster, &grid, [Some(&fine), condensation.as_ref()], demand);
        let temperature = |place: &Place, [heat_loss, of_condensation]: [&Solved; 2]| {
            place.temperature(
                &if place.is_condensation { of_condensation } else { heat_loss }.field.temperature,
            )
        };
        let own = [&solution.heat_loss, solution.factor_basis()];
        let change = |(place, finer): (&Place, &Place)| {
            (temperature(place, own) - temperature(finer, [&fine, basis])).abs()
        };
        let changes = places.iter().zip(&finer_places).map(change).collect();
        let own_factors = temperature_factor::factors(&self.case.model, skin);
        let evidence = Evidence {
            cells,
            heat_flow: [flow(&solution.heat_loss), flow(&fine)],
            factors: evidence::factors(&own_factors, &fine_factors),
        };
        Ok(Some((evidence, changes)))
    }
}

/// The larger number of pieces of each column and row.
fn finer_of(
    by_bracket: Option<(Vec<usize>, Vec<usize>)>,
    (columns, rows): (Vec<usize>, Vec<usize>),
) -> (Vec<usize>, Vec<usize>) {
    let Some((own_columns, own_rows)) = by_bracket else { return (columns, rows) };
    let larger = |a: Vec<usize>, b: Vec<usize>| a.into_iter().zip(b).map(|(a, b)| a.max(b)).collect();
    (larger(own_columns, columns), larger(own_rows, rows))
}
