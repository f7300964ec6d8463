//! Every case by both methods: finite volumes on a grid, and quadratic fields on triangles. Both brackets hold
//! for certain, so they overlap.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::result::independent::{self, Other};
use coldseam::result::{self, Outcome};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

mod common;

/// Every junction that is shipped or validated, solved on the grid.
fn outcomes() -> Vec<Outcome> {
    let mut files = Vec::new();
    for folder in ["cases", "validation"] {
        for entry in std::fs::read_dir(common::root(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "yaml")
                && case::purpose(&path).is_none_or(|purpose| purpose == case::Purpose::Junction)
            {
                files.push(path);
            }
        }
    }
    files.sort();
    files.iter().map(|file| result::compute(case::load(file, &[]).unwrap()).unwrap()).collect()
}

#[test]
fn both_methods_agree_on_every_case() {
    let (mut brackets, mut points) = (0, 0);
    for outcome in outcomes() {
        let name = &outcome.case.name;
        for pair in outcome.pairs() {
            match independent::solve(pair).unwrap_or_else(|error| panic!("{name}: {error}")) {
                Other::Bracket { l2d, unknowns } => {
                    let own = pair.l2d.unwrap();
                    assert!(own.overlaps(l2d), "{name}: grid {own}, triangles {l2d}");
                    // Where L2D comes from triangles itself, the other is the grid, which was left for them.
                    if pair.by_triangles.is_none() {
                        assert!(l2d.half_width() <= own.half_width(), "{name}: {l2d} is wider than {own}");
                        // Long before the grid needs many.
                        assert!(unknowns < 2_000, "{name}: {unknowns}");
                    }
                    brackets += 1;
                }
                Other::Points(found) => {
                    assert!(pair.l2d.is_none());
                    for point in found {
                        assert!(point.agrees() && point.other.1 < 0.02, "{name}: {point:?}");
                        points += 1;
                    }
                }
            }
        }
    }
    assert!(brackets >= 19 && points >= 28, "{brackets} {points}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, max_global_rejects: 20_000, failure_persistence: None, rng_seed: RngSeed::Fixed(6946), ..ProptestConfig::default() })]

    /// Random plans, some with holes, metals and foils: whatever the grid solves, the triangles do too.
    #[test]
    fn both_methods_agree_on_random_plans(text in common::random_plan(true)) {
        let case = case::from_text("random", &text, &[]);
        prop_assume!(case.is_ok());
        let outcome = result::compute(case.unwrap());
        prop_assume!(outcome.is_ok());
        let outcome = outcome.unwrap();
        match independent::solve(&outcome) {
            Ok(Other::Bracket { l2d, .. }) => {
                let own = outcome.l2d.unwrap();
                prop_assert!(own.overlaps(l2d), "grid {own}, triangles {l2d}\n{text}");
            }
            Ok(Other::Points(points)) => {
                for point in points {
                    prop_assert!(point.agrees(), "{point:?}\n{text}");
                }
            }
            Err(error) => prop_assert!(false, "{error}\n{text}"),
        }
    }
}
