//! What must hold of both bounds on any mesh.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::NoBracket;
use coldseam::triangulation::{Pair, assess};

mod triangles;

use triangles::random::{Kind, Random};
use triangles::{l2d, subdivided};

#[test]
fn bounds_hold_and_narrow_on_nested_meshes() {
    let (mut enclosing, mut infinite, mut narrowed) = (0, 0, 0);
    for seed in 0..200 {
        let random = Random::of(seed, Kind::Wild);
        let load = random.load();
        let (mut lowest, mut highest) = (0.0, f64::INFINITY);
        let mut mesh = random.mesh.clone();
        for pass in 0..4 {
            let system = random.system(&mesh);
            let pair = system.solve(&load);
            let flows = system.heat_flows(&pair);
            let size: f64 = flows.iter().map(|flow| flow.abs()).sum();
            assert!(flows.iter().sum::<f64>().abs() <= 1e-9 * size, "seed {seed}: {flows:?}");
            if system.solids.has_jump(&load) {
                assert_eq!(system.energies(&pair).bracket(), Err(NoBracket::NotFinite));
                infinite += 1;
                break;
            }
            let [lower, upper] = l2d(&system, &pair);
            let rounding = 1e-10 * upper + 1e-20;
            assert!(
                lower >= lowest - rounding,
                "seed {seed}, pass {pass}: {lowest}, then {lower} of {upper}"
            );
            assert!(
                upper <= highest + rounding,
                "seed {seed}, pass {pass}: {highest}, then {upper} of {lower}"
            );
            narrowed += usize::from(pass > 0 && upper - lower < 0.9 * (highest - lowest));
            (lowest, highest) = (lower, upper);
            enclosing += 1;
            mesh = subdivided(&mesh);
        }
    }
    assert!(enclosing > 600 && infinite > 5 && narrowed > 300, "{enclosing} {infinite} {narrowed}");
}

#[test]
fn brackets_of_alike_materials_become_narrow_whatever_encloses_what() {
    let (mut with_heat, mut widest) = (0, 0.0_f64);
    for seed in 1000..1200 {
        let random = Random::of(seed, Kind::Tame);
        let mesh = subdivided(&subdivided(&subdivided(&random.mesh)));
        let system = random.system(&mesh);
        let [lower, upper] = l2d(&system, &system.solve(&random.load()));
        if upper > 1e-20 {
            with_heat += 1;
            widest = widest.max((upper - lower) / upper);
            assert!(upper - lower < 0.03 * upper, "seed {seed}: {lower} {upper}");
        }
    }
    assert!(with_heat > 150, "{with_heat}");
    assert!(widest > 1e-4, "{widest}");
}

#[test]
fn fields_and_flows_depend_on_the_load_linearly() {
    for seed in 0..60 {
        let random = Random::of(seed, Kind::Wild);
        let system = random.system(&random.mesh);
        let load = random.load();
        let units: Vec<Pair> = (0..load.len())
            .map(|one| {
                system.solve(&(0..load.len()).map(|i| f64::from(u8::from(i == one))).collect::<Vec<f64>>())
            })
            .collect();
        let mut sum = units[0].combined(load[0], &units[1], load[1]);
        for (unit, temperature) in units.iter().zip(&load).skip(2) {
            sum = sum.combined(1.0, unit, *temperature);
        }
        assert_eq!(sum.environments(), load);
        let whole = system.solve(&load);
        for triangle in 0..random.mesh.corners.len() {
            for at in [[1.0, 0.0, 0.0], [0.2, 0.3, 0.5]] {
                let temperature =
                    [&sum, &whole].map(|pair| system.solids.temperature(&pair.temperature, triangle, at));
                if let [Some(one), Some(other)] = temperature {
                    assert!((one - other).abs() < 1e-9, "seed {seed}: {one} {other}");
                    assert!(one > -20.0 && one < 40.0, "seed {seed}: {one}");
                }
            }
        }
        let flows = [&sum, &whole].map(|pair| system.heat_flows(pair));
        let size: f64 = flows[1].iter().map(|flow| flow.abs()).sum();
        assert!(
            flows[0].iter().zip(&flows[1]).all(|(one, other)| (one - other).abs() <= 1e-9 * size + 1e-12),
            "seed {seed}: {flows:?}"
        );
        // What i gives to j is what j gives to i.
        let gives = |from: usize, to: usize| system.heat_flows(&units[from])[to];
        assert!((gives(0, 1) - gives(1, 0)).abs() < 1e-9 * gives(0, 1).abs() + 1e-12, "seed {seed}");
    }
}

#[test]
fn couplings_are_enclosed_and_add_up() {
    let (mut brackets, mut three) = (0, 0);
    for seed in 1000..1060 {
        let random = Random::of(seed, Kind::Tame);
        let count = random.environments;
        let fine = subdivided(&subdivided(&random.mesh));
        let unit = |one: usize| -> Vec<f64> { (0..count).map(|i| f64::from(u8::from(i == one))).collect() };
        let mut of_meshes = Vec::new();
        for mesh in [&random.mesh, &fine] {
            let system = random.system(mesh);
            let units: Vec<Pair> = (0..count).map(|one| system.solve(&unit(one))).collect();
            let mut couplings = Vec::new();
            for i in 0..count {
                for j in 0..i {
                    let (bracket, mismatch) = assess(&system, &[units[i].clone(), units[j].clone()]).unwrap();
                    assert!(mismatch.iter().all(|mismatch| *mismatch >= 0.0));
                    assert!(bracket.upper() >= 0.0);
                    couplings.push(bracket);
                }
            }
            // All that leaves the first: the sum of its couplings.
            let whole = system.energies(&units[0]).bracket().unwrap();
            let first = [couplings.first(), couplings.get(1)].into_iter().flatten();
            let (lower, upper) =
                first.fold((0.0, 0.0), |sum, bracket| (sum.0 + bracket.lower(), sum.1 + bracket.upper()));
            let rounding = 1e-9 * whole.upper();
            assert!(lower <= whole.upper() + rounding && whole.lower() <= upper + rounding, "seed {seed}");
            of_meshes.push(couplings);
        }
        three += usize::from(count == 3);
        for (coarse, fine) in of_meshes[0].iter().zip(&of_meshes[1]) {
            assert!(coarse.overlaps(*fine) || coarse.upper() < 1e-12, "seed {seed}: {coarse:?} {fine:?}");
            brackets += 1;
        }
    }
    assert!(brackets > 80 && three > 10, "{brackets} {three}");
}
