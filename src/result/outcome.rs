//! Everything computed for a case, and what can be asked of it.

use super::cavity::Settled;
use super::computed::{Computed, OnGrid, OnTriangles};
use super::coupling::{Coupling, Temperatures};
use super::evidence::Evidence;
use super::place::{PlaceError, Subject};
use super::profile::Profile;
use super::psi::{self, PsiValue};
use super::refinement::Target;
use super::skin::Skin;
use super::taking_over::HandedOver;
use super::temperature_factor::TemperatureFactor;
use super::u_value::ElementU;
use crate::bounds::{Bracket, Evaluation, Pass};
use crate::case::Case;
use crate::finding::Diagnostic;
use crate::model::EnvironmentId;
use crate::plan::Plan;
use crate::plan::surface::Surfaces;
use crate::triangulation::{Pair, assess};

/// Everything computed for a case.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The case.
    pub case: Case,
    /// Its plan.
    pub plan: Plan,
    /// Surface resistances for heat loss.
    pub surfaces: Surfaces,
    /// The temperatures, and the equations that they solve.
    pub computed: Computed,
    /// The temperatures along the surfaces that f_Rsi is computed from.
    pub skin: Skin,
    /// L2D between the two sides, W/(m·K); `None` where it has no finite value or the sides are not told.
    pub l2d: Option<Bracket>,
    /// Where triangles took over, since the grid would have needed too many unknowns: what it had come to.
    pub handed_over: Option<HandedOver>,
    /// Heat flow from each environment into the construction, W/m, in the order of the case's environments.
    /// None where it is infinite, because surfaces of different fixed temperatures meet in a point.
    pub heat_flows: Vec<Option<f64>>,
    /// Sum of all heat flows divided by half the sum of their magnitudes (ISO 10211).
    pub heat_balance: f64,
    /// For three and more temperatures, the coupling coefficient of each pair of environments.
    pub coupling: Vec<Coupling>,
    /// U of each flanking element.
    pub elements: Vec<ElementU>,
    /// Air cavities as they were taken.
    pub cavities: Vec<Settled>,
    /// Net flow from the environment into the solid through each of the plan's runs of level surface, W/m.
    pub level_flows: Vec<f64>,
    /// ψ by each convention that every flanking element states.
    pub psi: Vec<PsiValue>,
    /// U_f of a window frame, W/(m²K), where the case names its width.
    pub frame_u: Option<Bracket>,
    /// Where the case has several pairs of environments, the outcomes for those after the first, each refined
    /// for itself.
    pub further_pairs: Vec<Outcome>,
    /// f_Rsi of each internal environment.
    pub factors: Vec<TemperatureFactor>,
    /// Temperatures at the named points with the surface resistances for heat loss, °C.
    pub points: Vec<(String, f64)>,
    /// The same with those for condensation; none without a condensation block.
    pub points_condensation: Vec<(String, f64)>,
    /// The errors of both and of f_Rsi.
    pub place_errors: Vec<PlaceError>,
    /// Surface temperatures along the inner surfaces.
    pub profiles: Vec<Profile>,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
    /// Remarks for the reviewer.
    pub notes: Vec<String>,
    /// The solves that led to the grid or mesh; none where the grid was given.
    pub passes: Vec<Pass>,
    /// True if the limit on unknowns was reached before the accuracy wanted.
    pub is_limited: bool,
    /// What a finer grid would give; none where the grid was given or the finer one would be too large.
    pub evidence: Option<Evidence>,
}

impl Outcome {
    /// The solution on a grid, if it is one.
    pub fn on_grid(&self) -> Option<&OnGrid> {
        match &self.computed {
            Computed::Grid(on) => Some(on),
            Computed::Triangles(_) => None,
        }
    }

    /// The solution on triangles, if it is one.
    pub fn on_triangles(&self) -> Option<&OnTriangles> {
        match &self.computed {
            Computed::Grid(_) => None,
            Computed::Triangles(on) => Some(on),
        }
    }

    /// The outcome for each pair of environments whose ψ is wanted.
    pub fn pairs(&self) -> impl Iterator<Item = &Outcome> {
        std::iter::once(self).chain(&self.further_pairs)
    }

    /// The outcome for a pair, by the names of the environments on either side, in any order.
    pub fn pair(&self, sides: [&[&str]; 2]) -> Option<&Outcome> {
        let is_side = |own: &Vec<EnvironmentId>, names: &[&str]| {
            own.len() == names.len()
                && own.iter().all(|index| names.contains(&self.case.model.environments[*index].name.as_str()))
        };
        self.pairs().find(|pair| {
            let Some([one, other]) = pair.sides() else { return false };
            let [first, second] = sides;
            (is_side(&one, first) && is_side(&other, second))
                || (is_side(&one, second) && is_side(&other, first))
        })
    }

    /// The environments on either side of L2D, where they can be told.
    pub fn sides(&self) -> Option<[Vec<EnvironmentId>; 2]> {
        psi::sides(&self.case.model, &Temperatures::of(&self.case.model), &mut Vec::new())
    }

    /// ψ by the key under which a report shows it and a submission claims it: `psi_internal`, and
    /// `psi_internal_2` for the second pair.
    pub fn psi_by_key(&self, key: &str) -> Option<&PsiValue> {
        let key = key.strip_prefix("psi_")?;
        self.pairs().enumerate().find_map(|(number, pair)| {
            let named = |psi: &&PsiValue| key == psi::numbered_key(psi.convention, number);
            pair.psi.iter().find(named)
        })
    }

    /// Findings about the case and about its results that do not stop the run.
    pub fn all_warnings(&self) -> impl Iterator<Item = &Diagnostic> {
        self.case.warnings.iter().chain(&self.warnings)
    }

    /// Estimated error of f_Rsi in an environment.
    pub fn factor_error(&self, environment: EnvironmentId) -> Option<f64> {
        self.coldest_error(environment, false)
    }

    /// Estimated error of the temperature factor at the coldest place of an environment, of surfaces excluded
    /// or of the others.
    pub fn coldest_error(&self, environment: EnvironmentId, is_excluded: bool) -> Option<f64> {
        let subject = Subject::Coldest { environment, is_excluded };
        let own = self.place_errors.iter().find(|place| place.subject == subject)?;
        let external =
            self.factors.iter().find(|factor| factor.environment == environment)?.external_temperature;
        Some(own.error / (self.case.model.environments[environment].temperature - external))
    }

    /// Estimated errors of the named points, K, in their order, with the surface resistances for heat loss or
    /// condensation.
    pub fn point_errors(&self, is_condensation: bool) -> Vec<f64> {
        let own = self.place_errors.iter().filter(|place| matches!(place.subject, Subject::Point(_)));
        own.filter(|place| place.is_condensation == is_condensation).map(|place| place.error).collect()
    }

    /// What each cell of the grid or each triangle adds to the width of the bracket of L2D, W/(m·K).
    pub fn mismatch(&self) -> Vec<f64> {
        let temperatures = Temperatures::of(&self.case.model);
        let sides = psi::sides(&self.case.model, &temperatures, &mut Vec::new());
        let target = Target::of(&temperatures, &sides);
        match &self.computed {
            Computed::Grid(on) => {
                let network = &on.heat_loss.conduction.network;
                let evaluation = Evaluation::of(&self.case.model, &on.raster, &on.grid, network);
                target.mismatch_by_cell(&evaluation, &on.heat_loss)
            }
            Computed::Triangles(on) => {
                let system = &on.heat_loss.system;
                let pairs: Vec<Pair> = target.loads.iter().map(|load| system.solve(load)).collect();
                assess(system, &pairs).map(|(_, mismatch)| mismatch).unwrap_or_default()
            }
        }
    }
}
