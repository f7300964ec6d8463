//! Against exact solutions, published values and an independent general-purpose solver.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::{Bracket, Evaluation};
use coldseam::case::{self, Case};
use coldseam::conduction::system::System;
use coldseam::conduction::{Conduction, Network};
use coldseam::grid::Grid;
use coldseam::grid::lines::Fineness;
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::result::Outcome;
use coldseam::shipped::CASES;
use coldseam::validation;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

mod common;

#[test]
fn reference_cases_reproduce_published_and_exact_values() {
    let mut compared = 0;
    for (name, text) in validation::CASES {
        for comparison in validation::compare(name, text).unwrap() {
            let reference = comparison.reference;
            assert!(
                comparison.passes(),
                "{name}, {}: {} is not {} ± {}",
                reference.quantity,
                comparison.computed,
                reference.reference,
                reference.tolerance
            );
            compared += 1;
        }
    }
    assert!(compared >= 80, "{compared} values compared");
}

/// Half of a square column (ISO 10211, case 1) as a Fourier series: one short side at 1, the other sides at
/// 0, x from the long cold side, y from the cold short side, width 1 and height 2.
fn fourier(x: f64, y: f64) -> f64 {
    use std::f64::consts::PI;
    (1..400)
        .step_by(2)
        .map(|k| {
            let k = f64::from(k) * PI;
            let rise =
                ((k * (y - 2.0) / 2.0).exp() - (-k * (y + 2.0) / 2.0).exp()) / (1.0 - (-2.0 * k).exp());
            4.0 / k * (k * x / 2.0).sin() * rise
        })
        .sum()
}

#[test]
fn iso_10211_case_1_is_the_fourier_series() {
    let (_, text) = validation::CASES[0];
    let outcome = common::solve_text(text);
    let mut largest: f64 = 0.0;
    for (name, temperature) in &outcome.points {
        let row = f64::from(name.as_bytes()[0] - b'a' + 1);
        let column = f64::from(name.as_bytes()[1] - b'0');
        largest = largest.max((temperature - 20.0 * fourier(column / 4.0, 2.0 - row / 4.0)).abs());
    }
    assert_eq!(outcome.points.len(), 28);
    assert!(largest < 0.02, "largest deviation {largest} K");
    // Where 0 °C and 20 °C meet, the heat flow has no finite value; the program must not state one.
    assert!(outcome.l2d.is_none());
    assert!(outcome.warnings.iter().any(|warning| warning.message.contains("infinite")));
}

/// The brackets of the coupling on uniform grids, from the coarsest grid with every cell halved `halvings`
/// times, and on as many more as asked for, each with every cell halved once more.
fn brackets(name: &str, halvings: usize, grids: usize) -> Vec<Bracket> {
    let text = validation::CASES.iter().find(|(case, _)| *case == name).unwrap().1;
    let case = case::from_text(name, text, &[]).unwrap();
    let (plan, _) = Plan::of(&case.model).unwrap();
    let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
    let temperatures: Vec<f64> =
        case.model.environments.iter().map(|environment| environment.temperature).collect();
    let squared = (temperatures[0] - temperatures[1]).powi(2);
    let grids =
        std::iter::successors(Some(Grid::coarsest(&case.model, plan.raster().unwrap()).unwrap()), |grid| {
            Some(grid.doubled(plan.raster().unwrap()))
        })
        .skip(halvings)
        .take(grids);
    let bracket = |grid: Grid| {
        let conduction =
            Conduction::of(Network::of(&case.model, plan.raster().unwrap(), &surfaces, &grid)).unwrap();
        let field = conduction.solve(&temperatures, None).unwrap().temperature;
        Evaluation::of(&case.model, plan.raster().unwrap(), &grid, &conduction.network)
            .energies(&field, &temperatures)
            .bracket()
            .unwrap()
            .over(squared)
            .unwrap()
    };
    grids.map(bracket).collect()
}

/// The powers of the cell size with which the errors of both bounds fall, from each grid to the next.
fn orders(brackets: &[Bracket], exact: f64) -> Vec<[f64; 2]> {
    let errors = |bracket: &Bracket| [bracket.upper() - exact, exact - bracket.lower()];
    brackets
        .windows(2)
        .map(|pair| [0, 1].map(|end| (errors(&pair[0])[end] / errors(&pair[1])[end]).log2()))
        .collect()
}

/// The singularity at a re-entrant corner of 270° leaves the power 2·2/3 = 4/3 of the cell size to energies
/// on uniform grids (Strang and Fix, An Analysis of the Finite Element Method, chapter 8).
#[test]
fn a_reentrant_corner_converges_with_the_power_four_thirds() {
    let exact = 12.0 + 1.0 - 2.0 / std::f64::consts::PI * 2.0_f64.ln();
    let orders = orders(&brackets("corner-fixed-temperatures", 4, 5), exact);
    for end in [0, 1] {
        let off: Vec<f64> = orders.iter().map(|order| (order[end] - 4.0 / 3.0).abs()).collect();
        assert!(off.is_sorted_by(|a, b| a > b) && off[3] < 0.03, "observed orders {orders:?}");
    }
}

/// The coupling of the plate with convection (width 0.6 m, height 1 m, λ 52, h 750) by separation of
/// variables: the sum over the roots β of β·tan(0.6·β) = h/λ, one in each interval of length π/0.6.
fn plate_coupling() -> f64 {
    let (width, conductivity, ratio) = (0.6, 52.0, 750.0 / 52.0);
    let term = |number: u32| {
        let (mut low, mut high) =
            (f64::from(number) * std::f64::consts::PI, (f64::from(number) + 0.5) * std::f64::consts::PI);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let is_above = middle * middle.sin() * middle.cos().signum() > ratio * width * middle.cos().abs();
            *(if is_above { &mut high } else { &mut low }) = middle;
        }
        let beta = low / width;
        let share = low.sin().powi(2) / (0.5 * width + (2.0 * low).sin() / (4.0 * beta)) / beta;
        share * (beta * beta.tanh() + ratio) / (beta + ratio * beta.tanh())
    };
    conductivity * (0..200_000).rev().map(term).sum::<f64>()
}

/// The field of the plate has bounded second derivatives but for a logarithm where a fixed temperature meets
/// a film, so that the order tends to 2 from below.
#[test]
fn a_plate_with_convection_converges_nearly_with_the_square() {
    let orders = orders(&brackets("convection-plate", 4, 5), plate_coupling());
    for end in [0, 1] {
        let own: Vec<f64> = orders.iter().map(|order| order[end]).collect();
        assert!(
            own.is_sorted_by(|a, b| a < b) && own[3] > 1.75 && own[3] < 2.0,
            "observed orders {orders:?}"
        );
    }
}

struct Problem {
    network: Network,
    temperatures: Vec<f64>,
}

fn problem(case: &Case, fineness: Fineness) -> Option<Problem> {
    let (plan, _) = Plan::of(&case.model).ok()?;
    let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
    let grid = Grid::graded(&case.model, plan.raster().unwrap(), fineness).ok()?;
    let temperatures = case.model.environments.iter().map(|environment| environment.temperature).collect();
    Some(Problem {
        network: Network::of(&case.model, plan.raster().unwrap(), &surfaces, &grid),
        temperatures,
    })
}

/// The temperatures at the free vertices by multigrid, and the system they solve.
fn by_multigrid(problem: &Problem) -> (Vec<f64>, System, Vec<f64>, usize) {
    let conduction = Conduction::of(problem.network.clone()).unwrap();
    let field = conduction.solve(&problem.temperatures, None).unwrap();
    let system = System::of(&problem.network);
    let fixed = problem.network.fixed_temperatures(&problem.temperatures);
    let right = system.right_hand_side(&problem.network, &problem.temperatures, &fixed);
    let solution = system.vertex_of.iter().map(|vertex| field.temperature[*vertex]).collect();
    (solution, system, right, field.info.iterations)
}

fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

#[test]
fn shipped_cases_agree_with_a_direct_solver() {
    for shipped in CASES {
        let case = common::shipped(shipped.name, &[]);
        if !case.model.is_level() {
            continue; // there is no grid
        }
        let coarse = Fineness { part_of_interval: 0.5, at_edge: 5e-3, growth: 0.5 };
        let problem = problem(&case, coarse).unwrap();
        let (multigrid, system, right, iterations) = by_multigrid(&problem);
        let direct = common::by_direct_factorisation(&system, &right);
        assert!(iterations <= 12, "{}: {iterations} iterations", shipped.name);
        assert!(
            largest_difference(&multigrid, &direct) < 1e-7,
            "{}: {}",
            shipped.name,
            largest_difference(&multigrid, &direct)
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, max_global_rejects: 20_000, failure_persistence: None, rng_seed: RngSeed::Fixed(10211), ..ProptestConfig::default() })]

    /// Multigrid converges on every plan that the checks let through, and agrees with a direct factorisation.
    #[test]
    fn multigrid_agrees_with_a_direct_solver_on_random_plans(text in common::random_plan(false)) {
        let case = case::from_text("random", &text, &[]);
        prop_assume!(case.is_ok());
        let problem = problem(&case.unwrap(), Fineness { part_of_interval: 0.5, at_edge: 0.02, growth: 0.8 });
        prop_assume!(problem.is_some());
        let (multigrid, system, right, iterations) = by_multigrid(&problem.unwrap());
        prop_assert!(iterations <= 30, "{} iterations\n{}", iterations, text);
        let direct = common::by_direct_factorisation(&system, &right);
        let difference = largest_difference(&multigrid, &direct);
        prop_assert!(difference < 1e-7, "difference {} K\n{}", difference, text);
    }
}

/// The closed form of two temperatures and one film each: a plane wall turned by a right angle is the same
/// wall.
#[test]
fn homogeneous_corner_matches_a_second_implementation() {
    // Wall 0.30 m of λ 0.13, inner legs 1.20 m: computed once with another program of this method (see
    // validation), not a publication.
    let outcome: Outcome = common::solve_text(
        "coldseam: 1\ntitle: corner\ncut: horizontal\nmaterials: { wood: { conductivity: 0.13, source: test } }\n\
         environments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n\
         extent: { x: [-1200, 400], y: [-1200, 400] }\nplan:\n  - { space: outside }\n  - { fill: wood, x: [-1200, 300], y: [-1200, 300] }\n\
         \x20 - { space: room, x: [-1200, 0], y: [-1200, 0] }\n\
         psi:\n  flanking:\n    - { element: a, section: { x: -1200 }, internal: [-1200, 0], external: [-1200, 300] }\n\
         \x20   - { element: b, section: { y: -1200 }, internal: [-1200, 0], external: [-1200, 300] }\n",
    );
    assert!((outcome.elements[0].u_value - 0.40360).abs() < 1e-5);
    assert!((outcome.l2d.unwrap().middle() - 1.0311).abs() < 4e-4, "{:?}", outcome.l2d);
    assert!((outcome.psi[0].value - 0.0625).abs() < 2e-4 && (outcome.psi[1].value + 0.1797).abs() < 2e-4);
}
