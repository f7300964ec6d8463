//! Every case by both methods: finite volumes on a grid, and quadratic fields on triangles. Both brackets hold
//! for certain, so they overlap; temperatures agree within the errors stated by both.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::result::independent;
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
    let (mut brackets, mut points, mut factors) = (0, 0, 0);
    for outcome in outcomes() {
        let name = &outcome.case.name;
        for pair in outcome.pairs() {
            let other = independent::solve(pair).unwrap_or_else(|error| panic!("{name}: {error}"));
            println!("{name}: {} unknowns, {:?}", other.unknowns, other.l2d);
            assert_eq!(pair.l2d.is_some(), other.l2d.is_some(), "{name}");
            if let (Some(own), Some(l2d)) = (pair.l2d, other.l2d) {
                assert!(own.overlaps(l2d), "{name}: grid {own}, triangles {l2d}");
                assert!(l2d.half_width() <= own.half_width(), "{name}: {l2d} is wider than {own}");
                brackets += 1;
            }
            assert_eq!(pair.place_errors.len(), other.places.len(), "{name}");
            for place in &other.places {
                println!("  {place}; differ by {:.1e}", place.difference());
                assert!(place.agrees() && place.other.is_exact(), "{name}: {place}");
                *if place.range.is_some() { &mut factors } else { &mut points } += 1;
            }
            assert!(other.unknowns < 4_000, "{name}: {}", other.unknowns);
        }
    }
    println!("{brackets} {points} {factors}");
    assert!(brackets >= 19 && points >= 28 && factors >= 10, "{brackets} {points} {factors}");
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
        let other = independent::solve(&outcome);
        prop_assert!(other.is_ok(), "{other:?}\n{text}");
        let other = other.unwrap();
        if let (Some(own), Some(l2d)) = (outcome.l2d, other.l2d) {
            prop_assert!(own.overlaps(l2d), "grid {own}, triangles {l2d}\n{text}");
        }
        for place in &other.places {
            prop_assert!(place.agrees(), "{place}\n{text}");
        }
    }
}
