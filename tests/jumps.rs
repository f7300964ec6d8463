//! Fixed temperatures that touch: only what has a finite value gets a bracket, and that bracket holds.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::Bracket;
use coldseam::case;
use coldseam::conduction::Network;
use coldseam::grid::Grid;
use coldseam::model::EnvironmentId;
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::report::document::solve::Solve;
use coldseam::result::{Demand, Failure, Outcome, compute_to};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

mod common;

fn computed(text: &str, half_width: f64) -> Result<Outcome, Failure> {
    compute_to(
        case::from_text("jump", text, &[]).map_err(Failure::from)?,
        &Demand { half_width, ..Demand::default() },
    )
}

/// A slab 400 mm wide and 200 mm thick: two rooms share its upper side, the outside its lower one.
fn two_rooms(second: f64, resistances: [f64; 3], between: &str) -> String {
    let [room, hall, outside] = resistances;
    format!(
        "coldseam: 1\ntitle: rooms\nmaterials: {{ slab: {{ conductivity: 1, source: test }} }}\n\
         environments:\n  room: {{ role: internal, temperature: 20 }}\n  hall: {{ role: internal, temperature: {second} }}\n\
         \x20 outside: {{ role: external, temperature: 0 }}\n  cellar: {{ role: unheated, temperature: 10 }}\n\
         extent: {{ x: [0, 400], y: [-100, 300] }}\nplan:\n  - {{ space: outside, x: [0, 300], y: [-100, 0] }}\n\
         \x20 - {{ space: cellar, x: [300, 400], y: [-100, 0] }}\n\
         \x20 - {{ fill: slab, x: [0, 400], y: [0, 200] }}\n  - {{ space: room, x: [0, 200], y: [200, 300] }}\n\
         \x20 - {{ space: hall, x: [200, 400], y: [200, 300] }}\n\
         surfaces:\n  - {{ of: room, resistance: {room} }}\n  - {{ of: hall, resistance: {hall} }}\n\
         \x20 - {{ of: outside, resistance: {outside} }}\n  - {{ of: cellar, resistance: 0.1 }}\n\
         psi:\n  between: {between}\n  flanking: [{{ element: all, u_value: 0, internal: [0, 400], along: x }}]\n"
    )
}

#[test]
fn rooms_of_one_fixed_temperature_that_touch_have_l2d_as_a_group_but_not_each() {
    for second in [20.0, 15.0] {
        let mut brackets: Vec<Bracket> = Vec::new();
        for half_width in [5e-3, 5e-4] {
            let outcome =
                computed(&two_rooms(second, [0.0, 0.0, 0.04], "[[room, hall], outside]"), half_width)
                    .unwrap();
            let l2d = outcome.l2d.unwrap();
            assert!(l2d.half_width() <= half_width, "{l2d:?}");
            brackets.push(l2d);
            for pair in &outcome.coupling {
                let touches = pair.between.iter().any(|id| id.index() < 2);
                assert_eq!(pair.bracket.is_none(), touches, "{pair:?}");
            }
            assert!(
                outcome
                    .warnings
                    .iter()
                    .any(|warning| warning.message.contains("`room`–`outside`") && warning.hint.is_some())
            );
            let document = Solve::of(&outcome);
            assert!(document.coupling[0].l2d.lower.is_none() && document.l2d.lower.is_some());
            assert!(common::summary(&outcome).contains("none: fixed temperatures touch"));
            assert!(outcome.heat_flows.iter().flatten().all(|flow| flow.is_finite()));
        }
        assert!(brackets[0].overlaps(brackets[1]), "{brackets:?}");
    }
}

#[test]
fn surface_resistances_give_every_pair_its_bracket() {
    let outcome = computed(&two_rooms(20.0, [0.1, 0.0, 0.04], "[[room, hall], outside]"), 5e-4).unwrap();
    assert!(outcome.coupling.iter().all(|pair| pair.bracket.is_some()));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, max_global_rejects: 20_000, failure_persistence: None, rng_seed: RngSeed::Fixed(4711), ..ProptestConfig::default() })]

    /// Three environments, any of them with fixed surfaces, two of them at one temperature or not: the
    /// brackets stated at two accuracies overlap, and none is stated where a load jumps.
    #[test]
    fn brackets_of_random_plans_with_fixed_surfaces_hold(
        text in common::random_plan(true), fixed in prop::array::uniform3(any::<bool>()), middling in prop::sample::select(vec![0.0, 12.0, 20.0]),
    ) {
        let plan_end = text.find("surfaces:").unwrap_or(text.len());
        let rules: Vec<String> = ["warm", "cold", "middling"].iter().zip(fixed).filter(|(_, fixed)| *fixed)
            .map(|(name, _)| format!("  - {{ of: {name}, resistance: 0 }}\n")).collect();
        let rules = if rules.is_empty() { String::new() } else { format!("surfaces:\n{}", rules.concat()) };
        let text = format!("{}{rules}", &text[..plan_end])
            .replace("middling: { role: unheated, temperature: 12 }", &format!("middling: {{ role: unheated, temperature: {middling} }}"));
        let case = case::from_text("random", &text, &[]);
        prop_assume!(case.is_ok());
        let case = case.unwrap();
        let Ok((plan, _)) = Plan::of(&case.model) else { return Err(TestCaseError::reject("no plan")) };
        let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
        let outcomes: Vec<Outcome> = [0.5, 0.1].iter().map(|width| {
            let limit = Demand { half_width: *width, most_unknowns: 10_000, ..Demand::default() };
            compute_to(case.clone(), &limit).unwrap()
        }).collect();
        let pairs = outcomes[0].coupling.iter().zip(&outcomes[1].coupling);
        let brackets = pairs.map(|(a, b)| (a.bracket, b.bracket)).chain([(outcomes[0].l2d, outcomes[1].l2d)]);
        for (first, second) in brackets {
            prop_assert_eq!(first.is_some(), second.is_some());
            if let (Some(first), Some(second)) = (first, second) {
                let rounding = 1e-11 * first.upper().abs().max(second.upper().abs());
                prop_assert!(first.lower() <= second.upper() + rounding && second.lower() <= first.upper() + rounding, "{:?} and {:?}\n{}", first, second, text);
            }
        }
        let network = Network::of(
            &case.model,
            plan.raster().unwrap(),
            &surfaces,
            &Grid::coarsest(&case.model, plan.raster().unwrap()).unwrap(),
        );
        for pair in &outcomes[0].coupling {
            let touches = |own: usize| network.fixed.iter().any(|(_, environments)| environments.contains(&EnvironmentId::new(own)) && environments.len() > 1);
            prop_assert_eq!(pair.bracket.is_none(), pair.between.iter().any(|own| touches((*own).index())));
        }
    }
}

/// Where rooms of different fixed temperatures touch, their heat flows are infinite and no number stands for
/// them; those of others stand.
#[test]
fn infinite_heat_flows_are_no_numbers() {
    let outcome = computed(&two_rooms(15.0, [0.0, 0.0, 0.04], "[[room, hall], outside]"), 5e-4);
    let outcome = outcome.unwrap_or_else(|failure| panic!("{failure}"));
    let flow = |name: &str| {
        let index =
            outcome.case.model.environments.iter().position(|environment| environment.name == name).unwrap();
        outcome.heat_flows[index]
    };
    assert!(flow("room").is_none() && flow("hall").is_none() && flow("outside").is_some());
    let document = Solve::of(&outcome);
    assert!(document.heat_flow["room"].is_none() && document.heat_flow["outside"].is_some());
    let text = common::summary(&outcome);
    assert_eq!(text.matches("infinite W/m into").count(), 2, "{text}");
}
