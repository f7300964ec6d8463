//! Both fields on triangles: what is known exactly, and what must hold on any mesh.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::bounds::NoBracket;
use coldseam::triangulation::{
    Conductivity, Drawing, Filling, Film, Mesh, NONE, NotRefined, Physics, Stroke, System, Unsolvable,
    Wanted, refine,
};

mod triangles;

use triangles::random::{Kind, Random};
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
fn brackets(mesh: &Mesh, films: &[Option<Film>]) -> Vec<[f64; 2]> {
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
        let temperature = system.temperature(&pair, triangle, at).unwrap();
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
                system.film_edges().filter(|edge| edge.film.environment == environment).collect();
            let Some(coldest) = system.coldest(&pair, environment) else {
                assert!(edges.is_empty());
                continue;
            };
            let sampled = edges.iter().flat_map(|edge| {
                (0..=64).map(|part| system.temperature_along(&pair, edge, f64::from(part) / 64.0).unwrap())
            });
            let lowest = sampled.fold(f64::INFINITY, f64::min);
            assert!(
                coldest.temperature <= lowest && coldest.temperature > lowest - 0.1,
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
fn fixed_temperatures_that_meet_have_no_heat_loss_but_temperatures() {
    let mesh = squares(&["##", "##"], [0, 1, 0, 1]);
    let films = [film(0, 0.0), film(1, 0.0)];
    let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], &films, 2).unwrap();
    assert!(system.has_jump(&[20.0, 0.0]) && !system.has_jump(&[5.0, 5.0]));
    let pair = system.solve(&[20.0, 0.0]);
    assert_eq!(system.energies(&pair).bracket(), Err(NoBracket::NotFinite));
    // By symmetry the middle has the mean.
    let middle = (0..mesh.corners.len()).find_map(|triangle| {
        let corner = mesh.corners[triangle].iter().position(|c| mesh.points[*c as usize] == [1.0, 1.0])?;
        system.temperature(&pair, triangle, [0, 1, 2].map(|i| f64::from(u8::from(i == corner))))
    });
    assert!((middle.unwrap() - 10.0).abs() < 1e-9, "{middle:?}");
    // Films of other resistance, or a gap, keep them apart.
    for films in [[film(0, 0.0), film(1, 0.1)], [film(0, 0.0), None]] {
        let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], &films, 2).unwrap();
        assert!(!system.has_jump(&[20.0, 0.0]));
        assert!(system.energies(&system.solve(&[20.0, 0.0])).bracket().is_ok());
    }
    let physics = Physics {
        conductivities: vec![Conductivity::isotropic(1.0)],
        films: films.to_vec(),
        environments: 2,
    };
    let wanted = Wanted { half_width: 1e-3, most_unknowns: 1000 };
    assert!(refine(mesh, &physics, &[vec![20.0, 0.0]], wanted).unwrap().l2d.is_none());
}

#[test]
fn what_cannot_be_solved_is_told() {
    let mesh = squares(&["#0", "##"], [1; 4]);
    let (lambda, films) = ([Conductivity::isotropic(1.0)], [film(0, 0.13), film(1, 0.04)]);
    let of = |mesh: &Mesh, lambda: &[Conductivity], films: &[Option<Film>], environments: usize| {
        System::of(mesh, lambda, films, environments).map(|system| system.unknowns())
    };
    assert!(of(&mesh, &lambda, &films, 2).is_ok_and(|unknowns| unknowns > 30));
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let lambda = [Conductivity::isotropic(wrong)];
        assert_eq!(of(&mesh, &lambda, &films, 2), Err(Unsolvable::Conductivity { solid: 0 }));
    }
    let skew = [Conductivity { xx: 1.0, xy: 1.0, yy: 1.0 }];
    assert_eq!(of(&mesh, &skew, &films, 2), Err(Unsolvable::Conductivity { solid: 0 }));
    assert_eq!(of(&mesh, &[], &films, 2), Err(Unsolvable::Conductivity { solid: 0 }));
    assert_eq!(of(&mesh, &lambda, &films[..1], 2), Err(Unsolvable::Film { segment: 1 }));
    assert_eq!(of(&mesh, &lambda, &films, 1), Err(Unsolvable::Film { segment: 1 }));
    for wrong in [-0.1, f64::NAN, f64::INFINITY] {
        assert_eq!(
            of(&mesh, &lambda, &[film(0, wrong), film(1, 0.04)], 2),
            Err(Unsolvable::Film { segment: 0 })
        );
    }
    let spoilt = |spoil: fn(&mut Mesh)| {
        let mut mesh = mesh.clone();
        spoil(&mut mesh);
        of(&mesh, &lambda, &films, 2)
    };
    let first = Err(Unsolvable::Triangle { triangle: 0 });
    assert_eq!(spoilt(|mesh| mesh.corners[0].swap(0, 1)), first);
    assert_eq!(spoilt(|mesh| mesh.corners[0][0] = 1000), first);
    assert_eq!(spoilt(|mesh| mesh.beyond[0] = [1000; 3]), first);
    assert_eq!(spoilt(|mesh| mesh.beyond[0] = [0; 3]), first);
    assert_eq!(spoilt(|mesh| mesh.points[0] = mesh.points[1]), first);
    assert_eq!(spoilt(|mesh| mesh.points[0] = [f64::NAN; 2]), first);
    assert!(spoilt(|mesh| mesh.filling.clear()).is_err());
    // Nothing solid, nothing wrong: no heat.
    let none = squares(&["0."], [NONE; 4]);
    let system = System::of(&none, &[], &films, 2).unwrap();
    let pair = system.solve(&[20.0, 0.0]);
    assert_eq!(system.heat_flows(&pair), [0.0, 0.0]);
    assert_eq!(system.energies(&pair).bracket().unwrap().upper(), 0.0);
    assert!(system.coldest(&pair, 0).is_none());
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

#[test]
fn refining_reaches_what_is_wanted_or_says_what_it_reached() {
    let rectangle = |x: [f64; 2], y: [f64; 2]| vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    let stroke = |filling: Filling, outline: Vec<[f64; 2]>| Stroke { filling, outline, holes: Vec::new() };
    let turned = |outline: Vec<[f64; 2]>| outline.into_iter().map(|point| turned(point, 20.0)).collect();
    let drawing = Drawing {
        strokes: vec![
            stroke(Filling::Space(1), rectangle([-2.0, 2.0], [-2.0, 2.0])),
            stroke(Filling::Solid(0), turned(rectangle([0.0, 1.0], [0.0, 1.0]))),
            stroke(Filling::Space(0), turned(rectangle([0.3, 0.6], [0.3, 0.6]))),
            stroke(Filling::Solid(1), turned(rectangle([0.6, 1.0], [0.4, 0.401]))),
        ],
        extent: rectangle([-2.0, 2.0], [-2.0, 2.0]),
        cuts: Vec::new(),
    };
    let (arrangement, mesh) = Mesh::of(&drawing, &[]).unwrap();
    let films = arrangement.segments.iter().map(|segment| match (segment.left, segment.right) {
        (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
            film(space as usize, [0.13, 0.04][space as usize])
        }
        _ => None,
    });
    let physics = Physics {
        conductivities: vec![Conductivity::isotropic(0.1), Conductivity::isotropic(50.0)],
        films: films.collect(),
        environments: 2,
    };
    let run = |loads: &[Vec<f64>], half_width: f64, most_unknowns: usize| {
        refine(mesh.clone(), &physics, loads, Wanted { half_width, most_unknowns }).unwrap()
    };
    let refined = run(&[vec![20.0, 0.0]], 5e-4, 5_000);
    let l2d = refined.l2d.unwrap();
    assert!(l2d.half_width() <= 5e-4, "{:?}", refined.passes);
    assert_eq!(refined.passes.last().unwrap().l2d, l2d);
    assert!(refined.passes.iter().all(|pass| pass.l2d.overlaps(l2d)));
    let units = run(&[vec![1.0, 0.0], vec![0.0, 1.0]], 5e-4, 5_000).l2d.unwrap();
    assert!(units.half_width() <= 5e-4 && units.overlaps(l2d), "{units} {l2d}");
    let stopped = run(&[vec![20.0, 0.0]], 1e-9, 500);
    let few = stopped.system.unknowns();
    assert!(few <= 500 && few > 150, "{few}");
    assert!(stopped.l2d.unwrap().half_width() > 1e-9 && stopped.l2d.unwrap().overlaps(l2d));
    // A single temperature is no question.
    let wanted = Wanted { half_width: 1e-3, most_unknowns: 1000 };
    let none = refine(mesh.clone(), &physics, &[vec![5.0, 5.0]], wanted);
    assert_eq!(none.map(|refined| refined.l2d), Err(NotRefined::NoBracket(NoBracket::NotFinite)));
}
