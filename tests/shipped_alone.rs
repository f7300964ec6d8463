//! Shipped junctions by a method that shares nothing with the program but what is painted, conductivities and surface
//! resistances: a mesh of its own and Galerkin's method on it, finer and finer (`alone/`); and their U-values by the sums of
//! ISO 6946 written out.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

mod alone;
mod common;

use alone::Triangles;
use alone::quadratic::{Solution, solve};

/// What a sequence of three tends to, each step smaller by the same factor.
fn limit([one, two, three]: [f64; 3]) -> f64 {
    three - (two - three).powi(2) / ((one - two) - (two - three))
}

/// L2D by the other method comes down to within the bracket, and temperatures come as near as is stated.
fn converges(name: &str) {
    let outcome = common::solve_shipped(name, &[]);
    let bracket = outcome.l2d.unwrap();
    let mut mesh = Triangles::of(&outcome.case.model);
    let mut own: Vec<Solution> = Vec::new();
    for _ in 0..3 {
        own.push(solve(&outcome, &mesh));
        mesh = mesh.quartered();
    }
    let l2d = [0, 1, 2].map(|pass: usize| own[pass].l2d);
    // Each is the energy of a temperature, which is never below the least.
    assert!(l2d[0] > l2d[1] && l2d[1] > l2d[2] && l2d[2] >= bracket.lower(), "{name}: {l2d:?}, {bracket}");
    let limit = limit(l2d);
    assert!(bracket.lower() <= limit && limit <= bracket.upper(), "{name}: {l2d:?} to {limit}, {bracket}");
    // Between the order of a sharp notch's edge and that of smooth fields, 4: the limit means something.
    let order = ((l2d[0] - l2d[1]) / (l2d[1] - l2d[2])).log2();
    assert!((1.0..4.5).contains(&order), "{name}: order {order}");
    let environments = &outcome.case.model.environments;
    let highest = environments.iter().map(|space| space.temperature).fold(f64::NEG_INFINITY, f64::max);
    let lowest = environments.iter().map(|space| space.temperature).fold(f64::INFINITY, f64::min);
    assert!(!outcome.points.is_empty(), "{name} has no point");
    for (number, ((point, stated), error)) in
        outcome.points.iter().zip(outcome.point_errors(false)).enumerate()
    {
        let [before, found] =
            [1, 2].map(|pass: usize| lowest + own[pass].points[number] * (highest - lowest));
        assert!(
            (stated - found).abs() <= error + (found - before).abs(),
            "{name}, {point}: {stated} ± {error}, {before} and then {found}"
        );
    }
}

macro_rules! converge {
    ($($test:ident: $name:literal),+ $(,)?) => {
        $(#[test]
        fn $test() {
            converges($name);
        })+
    };
}

converge! {
    corner_of_135_degrees: "corner-135",
    door_threshold: "door-threshold",
    eaves_at_the_ceiling: "eaves-ceiling",
    eaves_at_the_rafters: "eaves-rafter",
    parapet: "parapet",
    party_wall_at_a_floor: "party-wall-floor",
    party_wall_at_the_ground: "party-wall-ground",
    party_wall_at_the_roof: "party-wall-roof",
    pipe_in_a_wall: "pipe-in-wall",
    ridge: "ridge",
    splayed_reveal: "window-splay",
    sloping_sill: "window-sill-sloped",
    timber_floor: "timber-floor",
    verge: "verge",
}

/// The method alone on what is known: a plane wall, and the corner that is exact (`shipped_cases` has its ψ from the grid).
#[test]
fn the_method_knows_a_plane_wall_and_the_corner() {
    let outcome = common::solve_shipped("corner-135", &["angle=180"]);
    let own = solve(&outcome, &Triangles::of(&outcome.case.model));
    let exact = 3.2 / (0.13 + 0.013 / 0.4 + 0.215 / 0.18 + 0.15 / 0.031 + 0.008 + 0.04);
    assert!((own.l2d / exact - 1.0).abs() < 1e-6, "{} for {exact}", own.l2d);
    converges("outer-corner");
}

/// U of sections by ISO 6946: the sum of thickness over conductivity, with 0.13 for heat that flows level, 0.10 up and
/// 0.17 down, 0.04 outside, and the inside's again where the air beyond is still.
#[test]
fn sections_have_the_u_values_of_their_layers() {
    let wall = 0.13 + 0.013 / 0.4 + 0.215 / 0.18 + 0.15 / 0.031 + 0.008 / 1.0 + 0.04;
    let old_wall = 0.13 + 0.013 / 0.4 + 0.215 / 0.77 + 0.14 / 0.031 + 0.008 / 1.0 + 0.04;
    let flat_roof = 0.10 + 0.013 / 0.4 + 0.2 / 2.3 + 0.2 / 0.035 + 0.005 / 0.23 + 0.04;
    let joists = 0.17 + 0.022 / 0.12 + 0.2 / (0.875 * 0.035 + 0.125 * 0.12) + 0.17;
    let party_wall = 0.13 + 2.0 * (0.013 / 0.4 + 0.1 / 1.13) + 0.075 / 0.035 + 0.13;
    let ceiling = 0.10 + 0.0125 / 0.21 + 0.3 / 0.035 + 0.10;
    let share = 50.0 / 600.0;
    let rafters = 0.2 / ((1.0 - share) * 0.035 + share * 0.12);
    let roof = 0.10 + 0.0125 / 0.21 + 0.04 / 0.035 + rafters + 0.022 / 0.12 + 0.10;
    // ISO 13370 for d_t above B' (formula from memory): B' 6 m, w 0.386 m, λ of the ground 2.
    let floor_layers = 0.17 + 0.065 / 1.0 + 0.15 / 0.035 + 0.15 / 1.65 + 0.04;
    let ground_floor = 0.457 * 6.0 / 2.0 + 0.386 / 2.0 + floor_layers;
    for (name, elements) in [
        ("corner-135", &[("side wall", wall), ("bay wall", wall)][..]),
        ("door-threshold", &[("door", 1.0 / 1.2)]),
        ("eaves-ceiling", &[("wall", wall), ("ceiling", ceiling)]),
        ("eaves-rafter", &[("wall", wall), ("roof", roof)]),
        ("parapet", &[("wall", wall), ("roof", flat_roof)]),
        ("party-wall-floor", &[("party wall below", party_wall), ("party wall above", party_wall)]),
        ("party-wall-ground", &[("own floor", ground_floor), ("neighbour's floor", ground_floor)]),
        ("party-wall-roof", &[("own ceiling", ceiling), ("neighbour's ceiling", ceiling)]),
        ("pipe-in-wall", &[("wall", wall)]),
        ("ridge", &[("front roof", roof), ("back roof", roof)]),
        ("timber-floor", &[("wall", wall), ("timber floor", joists)]),
        ("verge", &[("gable", wall), ("roof", roof)]),
        ("window-sill-sloped", &[("wall", wall), ("window", 1.0 / 0.9)]),
        ("window-splay", &[("wall", old_wall), ("window", 1.0 / 1.4)]),
    ] {
        let outcome = common::solve_shipped(name, &[]);
        for (element, resistance) in elements {
            let found = outcome.elements.iter().find(|own| own.element == *element).unwrap();
            assert!(
                (found.u_value * resistance - 1.0).abs() < 1e-9,
                "{name}, {element}: {} for {}",
                found.u_value,
                1.0 / resistance
            );
        }
    }
}
