//! The results of a junction: `results.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::cavities::{self, Cavity, LevelSurface, Sides};
use super::claims::{self, Claim};
use super::environments::{self, Environment, Material};
use super::f_rsi::{self, CondensationPass, Factor};
use super::flanking::{self, Flanking};
use super::grid::{self, Accuracy, Grid, Solver};
use super::psi::{self, ByConvention, Psi, Side};
use super::sections::{self, Floor, Section};
use super::{Bracketed, MaybeBracketed, Named, PROGRAM, VERSION};
use crate::bounds::Bracket;
use crate::geometry::millimetres;
use crate::model::EnvironmentId;
use crate::plan::cavities::cuts;
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
    /// What the case is about; empty where it does not say.
    pub description: String,
    /// The value of each parameter of the case, in the unit it is used with.
    pub parameters: Named<f64>,
    /// The rectangle of the drawing; its edges are cut-off planes unless it has points.
    pub extent: Sides,
    /// The corners of the polygon that the drawing fills, in order, mm, of which the extent is the smallest rectangle;
    /// absent where it fills that.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<[f64; 2]>")]
    pub extent_points: Option<Vec<[f64; 2]>>,
    /// The air that bounds the construction.
    pub environments: Vec<Environment>,
    /// The materials that can be seen.
    pub materials: Vec<Material>,
    /// L2D between the two sides, of the first pair where there are several, W/(m·K).
    pub l2d: MaybeBracketed,
    /// Heat flow from each environment into the construction, W/m; null where it is infinite, because
    /// surfaces of different fixed temperatures meet in a point.
    pub heat_flow: Named<Option<f64>>,
    /// Largest errors of `heat_flow`, from the brackets of L2D, W/m; without those of which none is known.
    pub heat_flow_errors: Named<f64>,
    /// Sum of all heat flows divided by half the sum of their magnitudes (ISO 10211).
    pub heat_balance: f64,
    /// Linear thermal transmittance, W/(m·K).
    pub psi: Psi,
    /// U_f of a window frame, W/(m²K); null where the case names no width of a frame.
    pub frame_u_value: Option<Bracketed>,
    /// That width, of the first pair where there are several, mm; absent where the case names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub frame_width: Option<f64>,
    /// Air cavities as they were taken.
    pub cavities: Vec<Cavity>,
    /// Where connected air was cut into several cavities, in words.
    pub cavity_cuts: Vec<String>,
    /// Directions of heat flow at level inside surfaces, from below, then from the left.
    pub level_surfaces: Vec<LevelSurface>,
    /// U of each flanking element, of the first pair where there are several, W/(m²K).
    pub u_values: Named<f64>,
    /// Each flanking element, of the first pair where there are several: where its U-value comes from, and
    /// where it runs.
    pub flanking: Vec<Flanking>,
    /// Flanking elements that are read from the drawing, layer by layer.
    pub sections: Vec<Section>,
    /// Floors on the ground, by both methods.
    pub floors: Vec<Floor>,
    /// Temperature factor of each internal environment.
    pub f_rsi: Named<Factor>,
    /// Which surface resistances f_Rsi is computed with: `condensation` or `heat_loss`.
    pub f_rsi_surface_resistances: &'static str,
    /// The pass for mould and condensation; absent where the case asks for none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "CondensationPass")]
    pub condensation: Option<CondensationPass>,
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
    /// What a submission states of its results, and what was computed.
    pub claims: Vec<Claim>,
    /// How the grid came about, and what a finer one gives.
    pub accuracy: Accuracy,
    /// Remarks for the reviewer.
    pub notes: Vec<String>,
    /// What the temperatures were computed on.
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
            description: case.description.clone(),
            parameters: case.parameters.iter().cloned().collect(),
            extent: Sides::from(&case.model.extent),
            extent_points: case
                .model
                .border
                .as_ref()
                .map(|corners| corners.iter().map(|corner| corner.map(millimetres)).collect()),
            environments: environments::environments(outcome),
            materials: environments::materials(outcome),
            l2d: outcome.l2d.into(),
            heat_flow: outcome
                .heat_flows
                .iter()
                .enumerate()
                .map(|(index, flow)| (environment(EnvironmentId::new(index)), *flow))
                .collect(),
            heat_flow_errors: heat_flow_errors(outcome),
            heat_balance: outcome.heat_balance,
            psi: Psi::of(outcome),
            frame_u_value: outcome.frame_u.map(Bracketed::from),
            frame_width: psi::frame_width(outcome),
            cavities: cavities::cavities(outcome),
            cavity_cuts: cuts(&case.model),
            level_surfaces: cavities::level_surfaces(outcome),
            u_values: psi::u_values(outcome),
            flanking: flanking::flanking(outcome),
            sections: sections::sections(outcome),
            floors: sections::floors(outcome),
            f_rsi: f_rsi::factors(outcome),
            f_rsi_surface_resistances: if outcome.computed.has_condensation() {
                "condensation"
            } else {
                "heat_loss"
            },
            condensation: CondensationPass::of(case),
            points: outcome.points.iter().cloned().collect(),
            point_errors: errors(false),
            points_condensation: outcome.points_condensation.iter().cloned().collect(),
            point_errors_condensation: errors(true),
            coupling: coupling.collect(),
            claims: claims::claims(outcome),
            accuracy: grid::accuracy(outcome),
            notes: outcome.notes.clone(),
            grid: Grid::of(outcome),
            solver: Solver::of(outcome),
            warnings: outcome.all_warnings().map(|warning| warning.message.clone()).collect(),
        }
    }
}

/// The largest error of each heat flow. With two temperatures the sum of each side is bracketed, which is the flow
/// of an environment that is a side alone; with more all are, unless fixed temperatures touch.
fn heat_flow_errors(outcome: &Outcome) -> Named<f64> {
    let model = &outcome.case.model;
    let temperature = |id: EnvironmentId| model.environments[id].temperature;
    let touched: Vec<EnvironmentId> = EnvironmentId::all(model.environments.len())
        .filter(|id| model.environments[*id].is_touched)
        .collect();
    let of_pair = |bracket: Option<Bracket>, between: [EnvironmentId; 2]| {
        Some(bracket?.half_width() * (temperature(between[0]) - temperature(between[1])).abs())
    };
    let of_pairs = |id: EnvironmentId| -> Option<f64> {
        let all = outcome.coupling.iter().map(|pair| (pair, of_pair(pair.bracket, pair.between)));
        let known: Option<Vec<_>> = all.map(|(pair, error)| Some((pair, error?))).collect();
        Some(known?.iter().filter(|(pair, _)| pair.between.contains(&id)).map(|(_, error)| error).sum())
    };
    let of_side = |id: EnvironmentId| {
        let is_alike = |other: &&EnvironmentId| temperature(**other) == temperature(id);
        let other = touched.iter().find(|other| !is_alike(other))?;
        let is_alone = touched.iter().filter(is_alike).count() == 1;
        of_pair(outcome.l2d.filter(|_| is_alone), [id, *other])
    };
    let error = |id: &EnvironmentId| {
        let error = if outcome.coupling.is_empty() { of_side(*id) } else { of_pairs(*id) };
        Some((model.environments[*id].name.clone(), error?))
    };
    touched.iter().filter_map(error).collect()
}

/// What the document says of one pair of environments, wherever it stands.
#[derive(Clone, Copy, Debug)]
pub struct OfPair<'d> {
    /// What is on either side, where the case has a list of pairs and that can be told.
    pub between: Option<&'d [Side; 2]>,
    /// L2D between the two sides, W/(m·K).
    pub l2d: Option<Bracketed>,
    /// ψ between them.
    pub psi: &'d ByConvention,
    /// U_f of a window frame, W/(m²K), and the frame's width, mm.
    pub frame: Option<(Bracketed, f64)>,
    /// Each flanking element.
    pub flanking: &'d [Flanking],
    /// Those that are read from the drawing, in the same order.
    pub sections: &'d [Section],
    /// The floors on the ground among them, in the same order.
    pub floors: &'d [Floor],
}

impl Solve {
    /// Every pair of environments.
    pub fn pairs(&self) -> Vec<OfPair<'_>> {
        match &self.psi {
            Psi::One(psi) => vec![OfPair {
                between: None,
                l2d: self.l2d.known(),
                psi,
                frame: self.frame_u_value.zip(self.frame_width),
                flanking: &self.flanking,
                sections: &self.sections,
                floors: &self.floors,
            }],
            Psi::Several(pairs) => pairs
                .iter()
                .map(|pair| OfPair {
                    between: pair.between.as_ref(),
                    l2d: pair.l2d.known(),
                    psi: &pair.psi,
                    frame: pair.frame_u_value.zip(pair.frame_width),
                    flanking: &pair.flanking,
                    sections: &pair.sections,
                    floors: &pair.floors,
                })
                .collect(),
        }
    }

    /// Each environment with its heat flow and the largest error of that, W/m.
    pub fn flows(&self) -> impl Iterator<Item = (&Environment, Option<f64>, Option<f64>)> {
        let flows = self.environments.iter().zip(self.heat_flow.values());
        flows.map(|(environment, flow)| {
            (environment, *flow, self.heat_flow_errors.get(&environment.name).copied())
        })
    }

    /// True if the case has a list of pairs.
    pub fn has_list_of_pairs(&self) -> bool {
        matches!(self.psi, Psi::Several(_))
    }
}
