//! Both fields on triangles: what is known exactly, and what must hold on any mesh.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::bounds::NoBracket;
use coldseam::triangulation::{Conductivity, Filling, Film, Mesh, NONE, Pair, System};

mod triangles;

use triangles::{Chance, lattice, mesh, steps, subdivided, turned};

/// L2D between environments 0 and 1, and the energies' identity checked.
fn l2d(system: &System, pair: &Pair) -> [f64; 2] {
    let energies = system.energies(pair);
    let sum: f64 = energies.mismatch.iter().sum();
    let difference = energies.potential - 2.0 * energies.work + energies.dissipation;
    assert!((sum - difference).abs() <= 1e-11 * energies.potential, "{sum} {difference} {energies:?}");
    let bracket = energies.bracket().unwrap();
    let squared = (pair.environments[0] - pair.environments[1]).powi(2);
    [bracket.lower() / squared, bracket.upper() / squared]
}

fn film(environment: usize, resistance: f64) -> Option<Film> {
    Some(Film { environment, resistance })
}

/// Layers of thickness, λ along and λ across, from the bottom; segment 0 below, 1 above.
fn wall(layers: &[(f64, f64, f64)], degrees: f64) -> (Mesh, Vec<Conductivity>) {
    let mut y = vec![0.0];
    for (thickness, ..) in layers {
        y.push(y[y.len() - 1] + thickness);
    }
    let height = y[y.len() - 1];
    let segment = |_: Filling, beyond: Option<Filling>, middle: [f64; 2]| {
        let [_, y] = turned(middle, -degrees);
        match beyond {
            None if y < 1e-9 => 0,
            None if y > height - 1e-9 => 1,
            _ => NONE,
        }
    };
    let mesh =
        lattice(&[0.0, 0.3, 1.7], &y, |_, j| Filling::Solid(j as u32), |p| turned(p, degrees), segment);
    let direction = turned([1.0, 0.0], degrees);
    (mesh, layers.iter().map(|(_, along, across)| Conductivity::along(direction, *along, *across)).collect())
}

#[test]
fn turned_walls_are_exact_on_the_coarsest_mesh() {
    let steel =
        [(0.2, 0.5, 0.5), (0.08, 0.035, 0.035), (0.001, 50.0, 50.0), (0.07, 0.035, 0.035), (0.01, 0.8, 0.8)];
    let timber = [(0.013, 0.25, 0.25), (0.0002, 160.0, 160.0), (0.12, 0.29, 0.12), (0.24, 0.055, 0.04)];
    for layers in
        [&steel[..], &timber[..], &[(0.3, 400.0, 0.01)], &[(1e-5, 0.01, 400.0), (0.3, 400.0, 400.0)]]
    {
        for degrees in [0.0, 7.0, 35.0, 90.0, 200.0] {
            for resistances in [[0.13, 0.04], [0.0, 0.04], [0.0, 0.0], [1e-6, 1e3]] {
                let (mesh, conductivities) = wall(layers, degrees);
                let films = [film(0, resistances[0]), film(1, resistances[1])];
                let system = System::of(&mesh, &conductivities, &films, 2).unwrap();
                let pair = system.solve(&[20.0, -5.0]);
                let resistance: f64 = resistances.iter().sum::<f64>()
                    + layers.iter().map(|(thickness, _, across)| thickness / across).sum::<f64>();
                let exact = 1.7 / resistance;
                let [lower, upper] = l2d(&system, &pair);
                for bound in [lower, upper] {
                    assert!(
                        (bound / exact - 1.0).abs() < 1e-10,
                        "{layers:?} {degrees}° {resistances:?}: {lower} {upper} {exact}"
                    );
                }
                let [inwards, outwards] = system.heat_flows(&pair)[..] else { panic!() };
                assert!((outwards - 25.0 * exact).abs() < 1e-9 * exact * 25.0, "{outwards}");
                assert!((inwards + outwards).abs() < 1e-12 * outwards);
                let inside = 20.0 - 25.0 * resistances[0] / resistance;
                let coldest = system.coldest(&pair, 0).unwrap();
                assert!((coldest.temperature - inside).abs() < 1e-8, "{coldest:?} {inside}");
            }
        }
    }
}

/// A ring between two polygons of n corners at these radii, with r rings of triangles; its inside and outside
/// are segments 0 and 1.
fn ring(n: usize, inner: f64, outer: f64, rings: usize) -> Mesh {
    let mut points = Vec::new();
    for j in 0..=rings {
        let radius = inner * (outer / inner).powf(j as f64 / rings as f64);
        points.extend((0..n).map(|i| turned([radius, 0.0], 360.0 * i as f64 / n as f64)));
    }
    let mut corners = Vec::new();
    for j in 0..rings {
        for i in 0..n {
            let at = |i: usize, j: usize| (j * n + i % n) as u32;
            let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
            corners.extend([[a, b, c], [a, c, d]]);
        }
    }
    let middle = (inner * outer).sqrt();
    let filling = vec![Filling::Solid(0); corners.len()];
    mesh(points, corners, filling, |_, beyond, [x, y]| match beyond {
        None => u32::from(x.hypot(y) > middle),
        Some(_) => NONE,
    })
}

#[test]
fn rings_enclose_the_logarithm() {
    let (inner, outer) = (0.05, 0.15);
    let exact = 2.0 * PI * 0.04 / f64::ln(outer / inner);
    let mut widths = Vec::new();
    for (n, rings) in [(12, 2), (24, 4), (48, 8), (96, 16)] {
        let stretch = 1.0 / (PI / n as f64).cos();
        let solve = |mesh: &Mesh| {
            let system =
                System::of(mesh, &[Conductivity::isotropic(0.04)], &[film(0, 0.0), film(1, 0.0)], 2).unwrap();
            let pair = system.solve(&[60.0, 0.0]);
            let flows = system.heat_flows(&pair);
            assert!((flows[0] + flows[1]).abs() < 1e-12 && flows[1] > 0.0, "{flows:?}");
            l2d(&system, &pair)
        };
        // Fixed surfaces nearer to each other lose more.
        let [_, upper] = solve(&ring(n, inner * stretch, outer, rings));
        let [lower, _] = solve(&ring(n, inner, outer * stretch, rings));
        assert!(lower <= exact && exact <= upper, "{lower} {exact} {upper}");
        widths.push(upper - lower);
    }
    let order = (widths[2] / widths[3]).log2();
    assert!((order - 2.0).abs() < 0.1, "order {order}: {widths:?}");
    assert!(widths[3] < 1e-3 * exact, "{widths:?}");
}

#[test]
fn rings_with_films_approach_the_formula() {
    let (inner, outer, lambda) = (0.05, 0.15, 0.04);
    let exact = 2.0 * PI / (0.13 / inner + f64::ln(outer / inner) / lambda + 0.04 / outer);
    let mesh = ring(240, inner, outer, 24);
    let system =
        System::of(&mesh, &[Conductivity::isotropic(lambda)], &[film(0, 0.13), film(1, 0.04)], 2).unwrap();
    let [lower, upper] = l2d(&system, &system.solve(&[60.0, 0.0]));
    assert!(
        (lower / exact - 1.0).abs() < 2e-4 && (upper / exact - 1.0).abs() < 2e-4,
        "{lower} {exact} {upper}"
    );
    assert!(upper - lower < 1e-5 * exact, "{lower} {upper}");
}

/// A lattice with vertices moved at random and solids, spaces and holes at random, and its loads.
struct Random {
    mesh: Mesh,
    conductivities: Vec<Conductivity>,
    films: Vec<Option<Film>>,
    environments: usize,
}

impl Random {
    fn of(seed: u64, fixed: bool) -> Self {
        let mut chance = Chance(seed);
        let (columns, rows) = (2 + chance.below(5), 2 + chance.below(5));
        let environments = 2 + chance.below(2);
        let solids = 1 + chance.below(4);
        let fillings: Vec<Filling> = (0..columns * rows)
            .map(|_| match chance.below(10) {
                0 => Filling::Nothing,
                1 | 2 => Filling::Space(chance.below(environments) as u32),
                _ => Filling::Solid(chance.below(solids) as u32),
            })
            .collect();
        let flat = 10_f64.powf(-4.0 * chance.part());
        let moves: Vec<[f64; 2]> =
            (0..(columns + 1) * (rows + 1)).map(|_| [0; 2].map(|_| 0.4 * (chance.part() - 0.5))).collect();
        let sides: Vec<u32> = (0..4).map(|_| chance.below(environments + 1) as u32).collect();
        let (width, height) = (columns as f64, rows as f64);
        let place = |[x, y]: [f64; 2]| {
            let [right, up] = moves[y as usize * (columns + 1) + x as usize];
            // The outline stays, so that its sides are told apart.
            let inside = |at: f64, size: f64| f64::from(u8::from(at > 0.0 && at < size));
            [x + right * inside(x, width), (y + up * inside(y, height)) * flat]
        };
        let space = |filling: Filling| match filling {
            Filling::Space(space) => Some(space),
            _ => None,
        };
        let mesh = lattice(
            &steps(columns, width),
            &steps(rows, height),
            |i, j| fillings[j * columns + i],
            place,
            |here, beyond, [x, y]| {
                if let Some(space) = space(here).or_else(|| beyond.and_then(space)) {
                    return space;
                }
                let side = [y <= 0.0, x >= width, y >= height * flat * (1.0 - 1e-12), x <= 0.0];
                match side.iter().position(|side| *side) {
                    Some(side) if beyond.is_none() && sides[side] < environments as u32 => sides[side],
                    _ => NONE,
                }
            },
        );
        let conductivities = (0..solids)
            .map(|_| {
                let angle = 360.0 * chance.part();
                let value = |chance: &mut Chance| 10_f64.powf(-2.0 + 4.6 * chance.part());
                let along = value(&mut chance);
                let across = if chance.below(2) == 0 { along } else { value(&mut chance) };
                Conductivity::along(turned([1.0, 0.0], angle), along, across)
            })
            .collect();
        let films = (0..environments)
            .map(|environment| {
                let resistance = match chance.below(6) {
                    0 if fixed => 0.0,
                    1 => 1e-6,
                    2 => 1e3,
                    _ => 1e-3 + chance.part(),
                };
                film(environment, resistance)
            })
            .collect();
        Self { mesh, conductivities, films, environments }
    }

    fn system(&self, mesh: &Mesh) -> System {
        System::of(mesh, &self.conductivities, &self.films, self.environments).unwrap()
    }
}

#[test]
fn bounds_hold_and_narrow_on_any_mesh() {
    let (mut enclosing, mut infinite, mut narrowed) = (0, 0, 0);
    for seed in 0..400 {
        let random = Random::of(seed, true);
        let mut load: Vec<f64> = vec![20.0, -5.0, 8.0];
        load.truncate(random.environments);
        let (mut lowest, mut highest) = (0.0, f64::INFINITY);
        let mut mesh = random.mesh.clone();
        for pass in 0..4 {
            let system = random.system(&mesh);
            let pair = system.solve(&load);
            let flows = system.heat_flows(&pair);
            let size: f64 = flows.iter().map(|flow| flow.abs()).sum();
            assert!(flows.iter().sum::<f64>().abs() <= 1e-9 * size, "seed {seed}: {flows:?}");
            if system.has_jump(&load) {
                assert_eq!(system.energies(&pair).bracket(), Err(NoBracket::NotFinite));
                infinite += 1;
                break;
            }
            let [lower, upper] = l2d(&system, &pair);
            let rounding = 1e-10 * upper;
            assert!(
                lower >= lowest - rounding,
                "seed {seed}, pass {pass}: lower {lowest} then {lower}, {upper}"
            );
            assert!(
                upper <= highest + rounding,
                "seed {seed}, pass {pass}: upper {highest} then {upper}, {lower}"
            );
            assert!(lower <= upper + rounding);
            if pass > 0 && upper - lower < 0.9 * (highest - lowest) {
                narrowed += 1;
            }
            (lowest, highest) = (lower, upper);
            enclosing += 1;
            mesh = subdivided(&mesh);
        }
    }
    assert!(enclosing > 1000 && infinite > 10 && narrowed > 500, "{enclosing} {infinite} {narrowed}");
}
