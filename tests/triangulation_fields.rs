//! Both fields on triangles: what is known exactly, and what must hold on any mesh.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::triangulation::{Conductivity, Filling, Mesh, NONE, System};

mod triangles;

use triangles::{film, l2d, lattice, mesh, steps, subdivided, turned};

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

/// Squares of 1 m: `#` solid, digits spaces, `.` nothing; the first line is the top. Around it is nothing but what
/// `around` says of a side (0 below, 1 to the right, 2 above, 3 to the left).
fn squares(lines: &[&str], around: [u32; 4]) -> Mesh {
    let (columns, rows) = (lines[0].len(), lines.len());
    let filling = |i: usize, j: usize| match lines[rows - 1 - j].as_bytes()[i] {
        b'#' => Filling::Solid(0),
        b'.' => Filling::Nothing,
        digit => Filling::Space(u32::from(digit - b'0')),
    };
    let (width, height) = (columns as f64, rows as f64);
    let lines = |count: usize| steps(2 * count, count as f64);
    lattice(
        &lines(columns),
        &lines(rows),
        |i, j| filling(i / 2, j / 2),
        |p| p,
        |here, beyond, [x, y]| match (here, beyond) {
            (Filling::Space(space), _) | (_, Some(Filling::Space(space))) => space,
            (_, None) => match [y <= 0.0, x >= width, y >= height, x <= 0.0].iter().position(|side| *side) {
                Some(side) => around[side],
                None => NONE,
            },
            _ => NONE,
        },
    )
}

/// Brackets of L2D on the mesh and two finer ones, for 20 and 0.
fn brackets(mesh: &Mesh, films: &[Option<coldseam::triangulation::Film>]) -> Vec<[f64; 2]> {
    let mut mesh = mesh.clone();
    let mut brackets = Vec::new();
    for _ in 0..3 {
        let environments = films.len();
        let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], films, environments).unwrap();
        let mut load = vec![0.0; environments];
        load[0] = 20.0;
        brackets.push(l2d(&system, &system.solve(&load)));
        mesh = subdivided(&mesh);
    }
    brackets
}

#[test]
fn enclosed_spaces_lose_heat_however_they_touch() {
    let films = [film(0, 0.13), film(1, 0.04)];
    for (name, lines, around) in [
        ("in the middle", vec!["#####", "##0##", "#####"], [1; 4]),
        ("two of them", vec!["######", "#0##0#", "######"], [1; 4]),
        ("touching each other", vec!["#####", "#0###", "##0##", "#####"], [1; 4]),
        ("touching outside", vec!["###1", "##0#", "####"], [1; 4]),
        ("touching outside twice", vec!["1###", "#0##", "##1#", "####"], [1; 4]),
        ("beside one without heat", vec!["#####", "#0#.#", "#####"], [1; 4]),
        ("touching one without heat", vec!["#####", "#0###", "##.##", "#####"], [1; 4]),
        ("one in another piece", vec!["#####", "#000#", "#0#0#", "#000#", "#####"], [1; 4]),
        ("solids in a row of points", vec!["0#1", "#1#", "1#0"], [NONE; 4]),
        ("outside in stretches", vec!["####", "#0##", "####"], [1, NONE, 1, NONE]),
        ("outside a hole", vec!["####", "#0##", "##1#", "####"], [NONE; 4]),
        ("outside on one side of a hole", vec!["#####", "#0#1#", "#####"], [NONE, 0, NONE, NONE]),
    ] {
        let brackets = brackets(&squares(&lines, around), &films);
        for pair in brackets.windows(2) {
            let [[lower, upper], [finer_lower, finer_upper]] = [pair[0], pair[1]];
            assert!(lower <= finer_lower && finer_upper <= upper, "{name}: {brackets:?}");
        }
        // At corners of 270° the energy's error falls by 2^(4/3) with half the size, that is by 2.5.
        let width = |mesh: usize| brackets[mesh][1] - brackets[mesh][0];
        assert!(width(2) < width(1) / 2.4 && width(1) < width(0) / 2.4, "{name}: {brackets:?}");
        assert!(brackets[2][0] > 0.0, "{name}: {brackets:?}");
    }
}

#[test]
fn solids_that_touch_in_a_point_are_two_solids() {
    let films = [film(0, 0.13), film(1, 0.04)];
    let alone = brackets(&squares(&["0#", "10"], [1; 4]), &films);
    let touching = brackets(&squares(&["0#", "#0"], [1; 4]), &films);
    for (alone, touching) in alone.iter().flatten().zip(touching.iter().flatten()) {
        assert!((touching - 2.0 * alone).abs() < 1e-10 * touching, "{touching} {alone}");
    }
}

#[test]
fn pieces_without_film_and_with_one_environment() {
    let mesh = squares(&["#.#", "...", "##0"], [1, NONE, NONE, NONE]);
    let films = [film(0, 0.13), film(1, 0.04)];
    let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], &films, 2).unwrap();
    let pair = system.solve(&[20.0, 0.0]);
    let middle = [1.0 / 3.0; 3];
    let mut undefined = 0;
    for (triangle, corners) in mesh.corners.iter().enumerate() {
        let upper = corners.iter().all(|corner| mesh.points[*corner as usize][1] >= 2.0);
        let temperature = system.temperature(&pair, triangle, middle);
        let solid = mesh.filling[triangle] == Filling::Solid(0);
        assert_eq!(temperature.is_some(), solid && !upper, "{triangle}");
        assert_eq!(system.stream(&pair, triangle, middle).is_some(), temperature.is_some());
        undefined += usize::from(solid && upper);
    }
    assert_eq!(undefined, 16);
    assert!(system.temperature(&pair, usize::MAX, middle).is_none());
    let [lower, upper] = l2d(&system, &pair);
    assert!(lower > 0.0 && lower < upper);
    // At one temperature there is no heat flow at all.
    let same = system.solve(&[7.3, 7.3]);
    assert!(system.heat_flows(&same).iter().all(|flow| flow.abs() < 1e-12));
    let energies = system.energies(&same);
    assert!(energies.potential < 1e-24 && energies.dissipation < 1e-24);
    assert_eq!(energies.bracket().unwrap().lower(), 0.0);
}
