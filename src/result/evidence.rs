//! What ISO 10211:2017 asks to be shown beside a result: the effect of the subdivision, and the place of the
//! cut-off planes.
//!
//! The subdivision is fine enough if halving the cells changes the sum of the heat flows by 1 % at most, and
//! f_Rsi by 0.005 at most (5.4.3 and annex A; from memory). The grid is compared with the one that has every
//! cell halved in both directions.

use super::temperature_factor::TemperatureFactor;
use super::u_value::ElementU;
use crate::element::limits;
use crate::geometry::{Axis, SAME_PLACE};
use crate::model::{Area, Cut, EnvironmentId, Model, Role, Round};
use crate::plan::section::Section;
use crate::plan::{Filling, Lane, Plan};

/// The result on the grid and on one with cells half as wide and half as high.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Cells of solid, as computed and finer.
    pub cells: [usize; 2],
    /// Half the sum of the magnitudes of all heat flows, W/m, as computed and finer.
    pub heat_flow: [f64; 2],
    /// f_Rsi.
    pub factors: Vec<FactorEvidence>,
}

impl Evidence {
    /// A remark if the standard's limits on the subdivision are not kept.
    pub fn note(&self) -> Option<String> {
        let change = self.heat_flow_change();
        let largest = self.factors.iter().map(FactorEvidence::change).fold(0.0, f64::max);
        (change > 0.01 || largest > 0.005).then(|| {
            format!(
                "halving the cells changes the heat flow by {:.1} % and f_Rsi by {largest:.4}; ISO 10211 allows 1 % and 0.005",
                change * 100.0
            )
        })
    }

    /// Relative change of the heat flow.
    pub fn heat_flow_change(&self) -> f64 {
        let [own, finer] = self.heat_flow;
        if own == 0.0 { 0.0 } else { (own - finer).abs() / own }
    }
}

/// f_Rsi of one environment on both grids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FactorEvidence {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// As computed and finer.
    pub values: [f64; 2],
}

impl FactorEvidence {
    /// What halving the cells changes.
    pub fn change(&self) -> f64 {
        (self.values[0] - self.values[1]).abs()
    }
}

/// Pairs the factors of both grids. Surfaces that the case excludes do not count.
pub fn factors(own: &[TemperatureFactor], finer: &[TemperatureFactor]) -> Vec<FactorEvidence> {
    let mut evidence = Vec::new();
    for (own, finer) in own.iter().zip(finer) {
        if let (Some(first), Some(second)) = (&own.coldest, &finer.coldest) {
            evidence
                .push(FactorEvidence { environment: own.environment, values: [first.factor, second.factor] });
        }
    }
    evidence
}

/// Shortest distance of a cut-off plane from the junction, m (ISO 10211:2017, 5.2.2; from memory).
const SHORTEST_DISTANCE: f64 = 1.0;
/// The same in thicknesses of the flanking element.
const THICKNESSES: f64 = 3.0;

/// The same for windows and doors: the glazing or panel that must show beside a frame (ISO 10077-2:2017, 6.3;
/// from memory), m.
const GLAZING: f64 = 0.19;
/// A thinner element (m) may be one of these.
const THIN: f64 = 0.15;

/// True if nothing but materials judged apart, frames and glazing, is cut.
fn is_glazing(model: &Model, section: &Section) -> bool {
    let apart = model.judged_apart();
    !section.layers.is_empty() && section.layers.iter().all(|layer| apart.contains(&layer.material))
}

/// How far from the junction an element must be cut, m.
pub fn distance_wanted(model: &Model, section: &Section) -> f64 {
    let is_frame = model.psi.as_ref().is_some_and(|psi| psi.frame.is_some());
    if is_frame || is_glazing(model, section) {
        GLAZING
    } else {
        SHORTEST_DISTANCE.max(THICKNESSES * section.thickness())
    }
}

/// A remark for each flanking element whose cut-off plane lies nearer to the junction than 1 m and than three
/// times its thickness, or, if it is glazing, than 190 mm: the length of the element in the model is judged.
/// Elements with a stated U-value are not, as their thickness is not known.
pub fn cut_off_notes(model: &Model, elements: &[ElementU]) -> Vec<String> {
    // A window frame is cut by the rules of ISO 10077-2 instead.
    let Some(psi) = model.psi.as_ref().filter(|psi| psi.frame.is_none()) else { return Vec::new() };
    let mut notes = Vec::new();
    for (flanking, element) in psi.flanking.iter().zip(elements) {
        let Some(section) = &element.section else { continue };
        let length = flanking.shortest();
        let wanted = distance_wanted(model, section);
        let demand = if is_glazing(model, section) {
            "ISO 10077-2 asks for 190 mm of glazing or panel".to_owned()
        } else {
            let other = if section.thickness() < THIN {
                " (190 mm are enough of glazing or a panel, by ISO 10077-2: name its materials under `exclude` of `condensation`)"
            } else {
                ""
            };
            format!(
                "ISO 10211 asks for {:.0} mm, the larger of 1 m and three times the thickness{other}",
                wanted * 1e3
            )
        };
        // A millimetre less is a matter of drawing.
        if length.is_finite() && length < wanted - 1e-3 {
            notes.push(format!(
                "the cut-off plane of {} lies {:.0} mm from the junction; {demand}",
                element.element,
                length * 1e3
            ));
        }
    }
    notes
}

/// The insulating panel that stands for the glazing when U_f is computed (ISO 10077-2:2017, 6.3; from
/// memory): λ and least visible length, m.
const PANEL: (f64, f64) = (0.035, GLAZING);

/// Remarks where the panel beside a window frame is not the standard's.
pub fn frame_notes(model: &Model, elements: &[ElementU]) -> Vec<String> {
    let Some(psi) = model.psi.as_ref().filter(|psi| psi.frame.is_some()) else { return Vec::new() };
    let mut notes = Vec::new();
    for (flanking, element) in psi.flanking.iter().zip(elements) {
        let Some(section) = &element.section else { continue };
        if !section.layers.iter().any(|layer| (layer.thickness / layer.resistance - PANEL.0).abs() < 1e-9) {
            notes.push(format!(
                "{} has no layer of λ = {}; ISO 10077-2 computes U_f with a panel of it",
                element.element, PANEL.0
            ));
        }
        let shortest = flanking.shortest();
        if shortest < PANEL.1 - 1e-6 {
            let (is, least) = (shortest * 1e3, PANEL.1 * 1e3);
            notes.push(format!(
                "{} is {is:.0} mm long; ISO 10077-2 asks for a panel of at least {least:.0} mm",
                element.element
            ));
        }
    }
    notes
}

/// How far the ground must reach beyond the building and below it, in widths of the floor as modelled: 2.5
/// times the whole floor's width b, of which a model shows half (ISO 10211:2017, table 1; from memory).
const GROUND: f64 = 5.0;

/// A remark where a vertical section rests on ground that ends too near. Ground is taken to be what fills the
/// whole lower border.
pub fn ground_notes(model: &Model, plan: &Plan) -> Vec<String> {
    let (xs, ys) = (plan.lines(Axis::X), plan.lines(Axis::Y));
    let lanes: Vec<Lane> = (0..plan.lanes(Axis::X)).map(|lane| plan.lane(Axis::X, lane)).collect();
    let is_ground = |lane: &Lane| {
        lane.steps.first().is_some_and(|step| step.filling.is_solid() && step.span.from - ys[0] < SAME_PLACE)
    };
    if model.cut != Cut::Vertical || !lanes.iter().all(is_ground) {
        return Vec::new();
    }
    let (mut floor, mut beside, mut surface) = (0.0, 0.0, f64::NEG_INFINITY);
    for (lane, ends) in lanes.iter().zip(xs.windows(2)) {
        let width = ends[1] - ends[0];
        let Some(top) = lane.steps.iter().find(|step| !step.filling.is_solid()) else { continue };
        match top.filling {
            Filling::Space(environment) if model.environments[environment].role == Role::Internal => {
                floor += width;
            }
            Filling::Space(environment) if model.environments[environment].role == Role::External => {
                beside += width;
                surface = surface.max(top.span.from);
            }
            _ => {}
        }
    }
    if floor == 0.0 || beside == 0.0 {
        return Vec::new();
    }
    let wanted = GROUND * floor;
    let parts = [("beside the building", beside), ("below its surface", surface - ys[0])];
    let short = parts.into_iter().filter(|(_, reach)| *reach < wanted - 1e-3);
    short
        .map(|(place, reach)| {
            format!(
                "the ground reaches {:.0} mm {place}; ISO 10211 asks for 2.5 times the width of the floor, {wanted:.0} mm for the {:.0} mm modelled as half of it",
                reach * 1e3,
                floor * 1e3,
                wanted = wanted * 1e3
            )
        })
        .collect()
}

/// What is uncertain about the conductivities in the plan, those apart that a build-up has told of.
pub fn doubts(model: &Model, plan: &Plan) -> Vec<String> {
    let of_build_ups = |name: &str| {
        let layers = model.build_ups.iter().flat_map(|build_up| &build_up.layers);
        layers.flat_map(limits::materials).any(|material| material.name == name)
    };
    let painted = plan.materials().into_iter().map(|index| &model.materials[index]);
    let own = painted.filter(|material| material.doubt.is_some() && !of_build_ups(&material.name));
    own.filter_map(|material| Some(format!("{}: {}", material.label, material.doubt.as_ref()?))).collect()
}

/// What stands for circles, where there are some.
pub fn round_note(model: &Model) -> Option<String> {
    let is_round = model.plan.iter().any(|shape| matches!(shape.area, Area::Round(_)));
    is_round.then(|| Round::REMARK.to_owned())
}
