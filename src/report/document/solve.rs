//! The results of a junction: `results.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::cavities::{self, Cavity, LevelSurface};
use super::f_rsi::{self, Factor};
use super::grid::{self, Accuracy, Grid, Solver};
use super::psi::{self, Psi};
use super::sections::{self, Floor, Section};
use super::{Bracketed, MaybeBracketed, Named, PROGRAM, VERSION};
use crate::model::EnvironmentId;
use crate::result::Outcome;

/// The results of a junction.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Solve {
    /// Version of this document.
    pub coldseam: u32,
    /// Version of the program.
    pub program: &'static str,
    /// The title of the case.
    pub title: String,
    /// The value of each parameter of the case, in the unit it is used with.
    pub parameters: Named<f64>,
    /// L2D between the two sides, of the first pair where there are several, W/(m·K).
    pub l2d: MaybeBracketed,
    /// Heat flow from each environment into the construction, W/m; null where it is infinite, because
    /// surfaces of different fixed temperatures meet in a point.
    pub heat_flow: Named<Option<f64>>,
    /// Sum of all heat flows divided by half the sum of their magnitudes (ISO 10211).
    pub heat_balance: f64,
    /// Linear thermal transmittance, W/(m·K).
    pub psi: Psi,
    /// U_f of a window frame, W/(m²K); null where the case names no width of a frame.
    pub frame_u_value: Option<Bracketed>,
    /// Air cavities as they were taken.
    pub cavities: Vec<Cavity>,
    /// Directions of heat flow at level inside surfaces, from below, then from the left.
    pub level_surfaces: Vec<LevelSurface>,
    /// U of each flanking element, of the first pair where there are several, W/(m²K).
    pub u_values: Named<f64>,
    /// Flanking elements that are read from the drawing, layer by layer.
    pub sections: Vec<Section>,
    /// Floors on the ground, by both methods.
    pub floors: Vec<Floor>,
    /// Temperature factor of each internal environment.
    pub f_rsi: Named<Factor>,
    /// Which surface resistances f_Rsi is computed with: `condensation` or `heat_loss`.
    pub f_rsi_surface_resistances: &'static str,
    /// Temperatures at the named points with the surface resistances for heat loss, °C.
    pub points: Named<f64>,
    /// Estimated errors of `points`, K; empty where none is known.
    pub point_errors: Named<f64>,
    /// Temperatures at the named points with the surface resistances for condensation, °C; empty without a
    /// condensation block.
    pub points_condensation: Named<f64>,
    /// Estimated errors of `points_condensation`, K; empty where none is known.
    pub point_errors_condensation: Named<f64>,
    /// For three and more temperatures, the coupling of each pair of environments.
    pub coupling: Vec<Coupling>,
    /// How the grid came about, and what a finer one gives.
    pub accuracy: Accuracy,
    /// Remarks for the reviewer.
    pub notes: Vec<String>,
    /// Size of the grid.
    pub grid: Grid,
    /// How the equations were solved.
    pub solver: Solver,
    /// What the run warned of.
    pub warnings: Vec<String>,
}

/// The coupling of two environments.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Coupling {
    /// The coupling coefficient L2D, W/(m·K); null where fixed temperatures touch.
    #[serde(flatten)]
    pub l2d: MaybeBracketed,
    /// The two environments.
    pub between: [String; 2],
}

impl Solve {
    /// The document of an outcome.
    pub fn of(outcome: &Outcome) -> Self {
        let case = &outcome.case;
        let environment = |id: EnvironmentId| case.model.environments[id].name.clone();
        let errors = |is_condensation: bool| {
            let names = outcome.points.iter().map(|(name, _)| name.clone());
            names.zip(outcome.point_errors(is_condensation)).collect()
        };
        let coupling = outcome
            .coupling
            .iter()
            .map(|pair| Coupling { l2d: pair.bracket.into(), between: pair.between.map(environment) });
        Self {
            coldseam: VERSION,
            program: PROGRAM,
            title: case.title.clone(),
            parameters: case.parameters.iter().cloned().collect(),
            l2d: outcome.l2d.into(),
            heat_flow: outcome
                .heat_flows
                .iter()
                .enumerate()
                .map(|(index, flow)| (environment(EnvironmentId::new(index)), *flow))
                .collect(),
            heat_balance: outcome.heat_balance,
            psi: Psi::of(outcome),
            frame_u_value: outcome.frame_u.map(Bracketed::from),
            cavities: cavities::cavities(outcome),
            level_surfaces: cavities::level_surfaces(outcome),
            u_values: psi::u_values(outcome),
            sections: sections::sections(outcome),
            floors: sections::floors(outcome),
            f_rsi: f_rsi::factors(outcome),
            f_rsi_surface_resistances: if outcome.condensation.is_some() {
                "condensation"
            } else {
                "heat_loss"
            },
            points: outcome.points.iter().cloned().collect(),
            point_errors: errors(false),
            points_condensation: outcome.points_condensation.iter().cloned().collect(),
            point_errors_condensation: errors(true),
            coupling: coupling.collect(),
            accuracy: grid::accuracy(outcome),
            notes: outcome.notes.clone(),
            grid: Grid { vertices: outcome.grid.vertices(), unknowns: outcome.heat_loss.conduction.unknowns },
            solver: Solver::of(&outcome.heat_loss.field.info),
            warnings: outcome.all_warnings().map(|warning| warning.message.clone()).collect(),
        }
    }
}
