//! Budgets of the everyday solver: iterations, growth with size, and its errors.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self, Case};
use coldseam::conduction::{Conduction, Network};
use coldseam::grid::Grid;
use coldseam::grid::lines::Fineness;
use coldseam::multigrid::{Hierarchy, Operator, Parameters, SolveError, solve};
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::result::{Demand, compute_to};
use coldseam::validation;

mod common;

fn metal() -> Case {
    let (name, text) = validation::CASES.iter().find(|case| case.0 == "iso-10211-case-2").unwrap();
    case::from_text(name, text, &[]).unwrap()
}

/// Unknowns and iterations of a cold solve on the default grading scaled by `part`.
fn iterations(case: &Case, part: f64) -> (usize, usize) {
    let (plan, _) = Plan::of(case).unwrap();
    let surfaces = Surfaces::of(case, &plan, Purpose::HeatLoss);
    let grid = Grid::graded(case, &plan, Fineness::default().scaled(part)).unwrap();
    let conduction = Conduction::of(Network::of(case, &plan, &surfaces, &grid)).unwrap();
    let temperatures: Vec<f64> = case.environments.iter().map(|environment| environment.temperature).collect();
    let field = conduction.solve(&temperatures, None).unwrap();
    (conduction.unknowns, field.info.iterations)
}

#[test]
fn iterations_stay_few_from_ten_thousand_to_a_million_unknowns() {
    for (name, case, parts) in [
        ("sill", common::shipped("window-sill-metal", &[]), [1.3, 0.4, 0.13]),
        ("plinth", common::shipped("plinth", &[]), [4.0, 1.25, 0.4]),
        ("metal", metal(), [0.6, 0.17, 0.055]),
    ] {
        let counts: Vec<(usize, usize)> = parts.iter().map(|part| iterations(&case, *part)).collect();
        assert!(counts[0].0 < 25_000 && counts[2].0 > 700_000, "{name}: sizes {counts:?}");
        assert!(counts.iter().all(|(_, iterations)| *iterations <= 12), "{name}: {counts:?}");
        assert!(counts[2].1 <= counts[0].1 + 3, "{name}: growth {counts:?}");
    }
}

#[test]
fn a_start_near_the_solution_saves_iterations() {
    let outcome = common::solve_shipped("balcony-slab", &[]);
    let solved = outcome.condensation.as_ref().unwrap();
    let temperatures: Vec<f64> = outcome.case.environments.iter().map(|environment| environment.temperature).collect();
    let again = solved.conduction.solve(&temperatures, Some(&solved.field.temperature)).unwrap();
    let cold = solved.conduction.solve(&temperatures, None).unwrap();
    assert!(again.info.iterations + 3 <= cold.info.iterations, "{:?} after {:?}", again.info, cold.info);
}

fn operator(columns: usize, rows: usize, center: impl Fn(usize, usize, f64) -> f64) -> Operator {
    let mut operator = Operator::zeros(columns, rows, false);
    for j in 0..rows {
        for i in 0..columns {
            let place = operator.layout.at(i, j);
            operator.east[place] = if i + 1 < columns { 1.0 } else { 0.0 };
            operator.north[place] = if j + 1 < rows { 3.0 } else { 0.0 };
        }
    }
    for j in 0..rows {
        for i in 0..columns {
            let place = operator.layout.at(i, j);
            operator.center[place] = center(i, j, operator.row(i, j).total());
        }
    }
    operator.set_spans();
    operator
}

/// Iterations and the true residual, by the plain formula, for a right-hand side of small numbers.
fn solve_numbers(operator: Operator, parameters: Parameters) -> Result<(usize, f64), SolveError> {
    let layout = operator.layout.clone();
    let hierarchy = Hierarchy::of(operator).map_err(|_| SolveError::NotPositiveDefinite)?;
    let mut right = vec![0.0; layout.size()];
    for j in 0..layout.rows {
        for i in 0..layout.columns {
            right[layout.at(i, j)] = 1.0 + ((i * 7 + j * 3) % 5) as f64;
        }
    }
    let mut solution = vec![0.0; layout.size()];
    let info = solve(&hierarchy, &right, &mut solution, parameters)?;
    let mut product = vec![0.0; layout.size()];
    hierarchy.finest().apply(&solution, &mut product);
    let norm = |values: &[f64]| values.iter().map(|value| value * value).sum::<f64>().sqrt();
    let difference: Vec<f64> = right.iter().zip(&product).map(|(b, ax)| b - ax).collect();
    Ok((info.iterations, norm(&difference) / norm(&right)))
}

#[test]
fn grids_of_any_shape_are_solved() {
    for (columns, rows) in [(2, 2), (1, 150), (150, 1), (7, 13), (97, 101), (3, 2_000), (2_000, 3), (64, 65), (128, 4), (5, 999)]
    {
        let result = solve_numbers(operator(columns, rows, |_, _, total| total + 0.01), Parameters::default());
        let (iterations, residual) = result.unwrap_or_else(|error| panic!("{columns} × {rows}: {error}"));
        assert!(iterations <= 12 && residual < 1e-9, "{columns} × {rows}: {iterations} iterations, residual {residual}");
    }
}

#[test]
fn failures_say_what_they_are() {
    let negative = operator(40, 40, |i, j, total| if (i, j) == (20, 20) { 0.5 } else { total + 0.01 });
    assert_eq!(solve_numbers(negative, Parameters::default()), Err(SolveError::NotPositiveDefinite));
    let parameters = Parameters { most_iterations: 3, ..Parameters::default() };
    match solve_numbers(operator(90, 90, |_, _, total| total + 1e-3), parameters) {
        Err(SolveError::NoConvergence { history }) => {
            assert_eq!(history.len(), 3);
            assert!(history.windows(2).all(|pair| pair[1] < pair[0]), "{history:?}");
        }
        other => panic!("{other:?}"),
    }
}

/// Cells of a micrometre beside long ones of a good conductor are too much for the cycle in single precision; double takes over.
#[test]
fn very_thin_cells_are_solved_all_the_same() {
    let demand = Demand { half_width: 1e-5, factor_error: f64::INFINITY, ..Demand::default() };
    let outcome = compute_to(common::shipped("window-sill-metal", &[]), &demand).unwrap();
    let thinnest = outcome.grid.x.positions.windows(2).map(|ends| ends[1] - ends[0]).fold(f64::INFINITY, f64::min);
    assert!(thinnest < 1e-5, "{thinnest}");
    assert!(outcome.l2d.unwrap().half_width() <= 1e-5 && !outcome.is_limited);
}
