//! A case solved on a grid: all edges of its drawing are level or upright.

use super::computed::{Computed, OnGrid};
use super::refinement::{self, Demand, Target};
use super::skin::Skin;
use super::solved::Solved;
use super::task::{Solution, Task};
use super::{Failure, coupling, painted, point, settling, temperature_factor};
use crate::bounds::Evaluation;
use crate::conduction::{Conduction, Network};
use crate::grid::Grid;
use crate::grid::lines::Fineness;
use crate::model::Area;
use crate::multigrid::SolveError;
use crate::plan::Raster;
use crate::plan::surface::Surfaces;

impl Task {
    /// Temperatures on a grid that gives the bracket of L2D this half-width.
    pub(super) fn rough_field(&self, raster: &Raster, half_width: f64) -> Result<(Grid, Vec<f64>), Failure> {
        let grid =
            Grid::coarsest(&self.case.model, raster).map_err(|findings| self.case.rejected(findings.0))?;
        let network = Network::of(&self.case.model, raster, &self.surfaces, &grid);
        let temperatures = &self.temperatures.of_environment;
        if network.has_temperature_jump(temperatures) {
            let grid = Grid::graded(&self.case.model, raster, Fineness::default())
                .map_err(|findings| self.case.rejected(findings.0))?;
            let field = self.solve(raster, &self.surfaces, &grid)?.field;
            return Ok((grid, field.temperature));
        }
        let demand = Demand { half_width, ..Demand::default() };
        let target = Target { loads: vec![temperatures.clone()] };
        let refined =
            refinement::refine((&self.case.model, raster, &self.surfaces), &target, &demand, grid, None)?;
        let field = refined.fields.into_iter().next().unwrap_or_default();
        Ok((refined.grid, field))
    }

    /// Solves on a given grid.
    pub(super) fn solve_on(&self, raster: &Raster, grid: Grid) -> Result<Solution, Failure> {
        let of = |surfaces: &Surfaces| self.solve(raster, surfaces, &grid);
        let heat_loss = of(&self.surfaces)?;
        let condensation = self.condensation_surfaces.as_ref().map(of).transpose()?;
        self.solution(raster, grid, heat_loss, condensation)
    }

    fn solve(&self, raster: &Raster, surfaces: &Surfaces, grid: &Grid) -> Result<Solved, SolveError> {
        self.solve_to_the_end(Conduction::of(Network::of(&self.case.model, raster, surfaces, grid))?, None)
    }

    /// Solves equations from a field near the solution, or from none.
    pub(super) fn solve_to_the_end(
        &self,
        conduction: Conduction,
        start: Option<&[f64]>,
    ) -> Result<Solved, SolveError> {
        let field = conduction.solve(&self.temperatures.of_environment, start)?;
        let units = self.unit_loads();
        let unit_fields = units.iter().map(|unit| conduction.solve(unit, None)).collect::<Result<_, _>>()?;
        Ok(Solved { conduction, field, unit_fields })
    }

    /// What solved equations come to.
    pub(super) fn solution(
        &self,
        raster: &Raster,
        grid: Grid,
        heat_loss: Solved,
        condensation: Option<Solved>,
    ) -> Result<Solution, Failure> {
        let network = &heat_loss.conduction.network;
        let evaluation = Evaluation::of(&self.case.model, raster, &grid, network);
        let coupling =
            coupling::coefficients(&heat_loss, &evaluation, self.temperatures.of_environment.len())?;
        let mut l2d = None;
        if self.states_l2d() && !self.target.has_jump(network) {
            l2d = Some(self.target.assess(&evaluation, &self.target.fields(&heat_loss))?.0);
        }
        let (model, of) = (&self.case.model, &self.temperatures.of_environment);
        let field = &heat_loss.field.temperature;
        let points = |solved: &Solved| point::temperatures(model, &grid, raster, &solved.field, &self.places);
        let fall = |area: &Area| painted::fall((raster, &grid, field), area);
        let skin = Skin::of_grid(&grid, condensation.as_ref().unwrap_or(&heat_loss));
        let solution = Solution {
            lacking: None,
            factors: temperature_factor::factors(model, &skin),
            skin,
            l2d,
            coupling,
            handed_over: None,
            own_flows: heat_loss.conduction.heat_flows(&heat_loss.field, of),
            level_flows: settling::net_flows(&self.plan, &grid, network, field, of),
            infinite: network.jumps(of).flatten().copied().collect(),
            points: [points(&heat_loss), condensation.as_ref().map(points).unwrap_or_default()],
            of_build_ups: painted::warnings(model, &self.plan, &fall),
            computed: Computed::Grid(Box::new(OnGrid {
                raster: raster.clone(),
                grid,
                heat_loss,
                condensation,
            })),
        };
        Ok(solution)
    }
}
