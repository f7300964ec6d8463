//! Both fields on triangles: what is known exactly, and what must hold on any mesh.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::triangulation::{Conductivity, Filling, Mesh, NONE, System};

mod triangles;

use triangles::random::{Kind, Random};
use triangles::{film, l2d, lattice, mesh, subdivided, turned};

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
                let coldest = system.solids.coldest(&pair.temperature, 0).unwrap();
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

#[test]
fn temperatures_follow_the_logarithm() {
    let (inner, outer) = (0.05, 0.15);
    let mesh = ring(96, inner, outer, 16);
    let system =
        System::of(&mesh, &[Conductivity::isotropic(0.04)], &[film(0, 0.0), film(1, 0.0)], 2).unwrap();
    let pair = system.solve(&[60.0, 10.0]);
    for (triangle, corners) in mesh.corners.iter().enumerate() {
        let at = [0.5, 0.3, 0.2];
        let point = [0, 1].map(|axis| -> f64 {
            corners.iter().zip(at).map(|(corner, part)| part * mesh.points[*corner as usize][axis]).sum()
        });
        let exact = 60.0 - 50.0 * (point[0].hypot(point[1]) / inner).ln() / (outer / inner).ln();
        let temperature = system.solids.temperature(&pair.temperature, triangle, at).unwrap();
        assert!((temperature - exact).abs() < 0.03, "{point:?}: {temperature} {exact}");
    }
}

#[test]
fn the_coldest_place_of_a_surface_is_nowhere_else() {
    let mut interior = 0;
    for seed in 0..150 {
        let random = Random::of(seed, Kind::Tame);
        let system = random.system(&random.mesh);
        let pair = system.solve(&random.load());
        for environment in 0..random.environments {
            let edges: Vec<_> =
                system.solids.film_edges().filter(|edge| edge.film.environment == environment).collect();
            let Some(coldest) = system.solids.coldest(&pair.temperature, environment) else {
                assert!(edges.is_empty());
                continue;
            };
            let sampled = edges.iter().flat_map(|edge| {
                (0..=64).map(|part| {
                    system.solids.temperature_along(&pair.temperature, edge, f64::from(part) / 64.0).unwrap()
                })
            });
            let lowest = sampled.fold(f64::INFINITY, f64::min);
            assert!(
                coldest.temperature <= lowest + 1e-12 && coldest.temperature > lowest - 0.1,
                "{coldest:?} {lowest}"
            );
            let [from, to] = coldest.edge.ends;
            for axis in 0..2 {
                let point = from[axis] + coldest.part * (to[axis] - from[axis]);
                assert!((coldest.point[axis] - point).abs() < 1e-12);
            }
            interior += usize::from(coldest.part > 0.0 && coldest.part < 1.0);
        }
    }
    assert!(interior > 10, "{interior}");
}

#[test]
fn extreme_values_neither_break_nor_widen_the_bracket() {
    // A foil of 1 µm between layers of 0.3 m, cut in pieces of 0.3 to 1.4 m; metal behind 1000 m²K/W.
    for layers in [
        [(0.3, 0.01, 0.01), (1e-6, 400.0, 400.0), (0.3, 0.01, 0.01)],
        [(0.3, 400.0, 400.0), (1e-6, 0.01, 0.01), (0.3, 400.0, 400.0)],
        [(1e-6, 400.0, 0.01), (1e-6, 400.0, 400.0), (0.3, 0.01, 400.0)],
    ] {
        for resistances in [[1e3, 1e3], [1e-6, 1e-6], [0.0, 1e3], [1e-9, 0.13]] {
            let (mesh, conductivities) = wall(&layers, 35.0);
            let films = [film(0, resistances[0]), film(1, resistances[1])];
            let system = System::of(&mesh, &conductivities, &films, 2).unwrap();
            let resistance: f64 = resistances.iter().sum::<f64>()
                + layers.iter().map(|(thickness, _, across)| thickness / across).sum::<f64>();
            let [lower, upper] = l2d(&system, &system.solve(&[20.0, 0.0]));
            for bound in [lower, upper] {
                assert!(
                    (bound * resistance / 1.7 - 1.0).abs() < 1e-9,
                    "{layers:?} {resistances:?}: {lower} {upper}"
                );
            }
        }
    }
}

#[test]
fn threads_change_no_bit() {
    let random = Random::of(12, Kind::Wild);
    let mesh = subdivided(&subdivided(&random.mesh));
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let system = random.system(&mesh);
            let pair = system.solve(&random.load());
            let energies = system.energies(&pair);
            (pair, energies)
        })
    };
    let one = run(1);
    assert_eq!(one, run(2));
    assert_eq!(one, run(5));
}
