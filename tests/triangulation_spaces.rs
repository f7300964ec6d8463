//! Solids, spaces and holes however they enclose and touch each other, and what cannot be solved.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::NoBracket;
use coldseam::triangulation::{
    Conductivity, Filling, Film, Mesh, NONE, Physics, System, Unsolvable, Wanted, refine,
};

mod triangles;

use triangles::{film, l2d, lattice, steps, subdivided};

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
        let temperature = system.solids.temperature(&pair.temperature, triangle, middle);
        let solid = mesh.filling[triangle] == Filling::Solid(0);
        assert_eq!(temperature.is_some(), solid && !upper, "{triangle}");
        assert_eq!(system.stream(&pair, triangle, middle).is_some(), temperature.is_some());
        undefined += usize::from(solid && upper);
    }
    assert_eq!(undefined, 16);
    assert!(system.solids.temperature(&pair.temperature, usize::MAX, middle).is_none());
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
fn fixed_temperatures_that_meet_have_no_heat_loss_but_temperatures() {
    let mesh = squares(&["##", "##"], [0, 1, 0, 1]);
    let films = [film(0, 0.0), film(1, 0.0)];
    let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], &films, 2).unwrap();
    assert!(system.solids.has_jump(&[20.0, 0.0]) && !system.solids.has_jump(&[5.0, 5.0]));
    let pair = system.solve(&[20.0, 0.0]);
    assert_eq!(system.energies(&pair).bracket(), Err(NoBracket::NotFinite));
    // By symmetry the middle has the mean.
    let middle = (0..mesh.corners.len()).find_map(|triangle| {
        let corner = mesh.corners[triangle].iter().position(|c| mesh.points[*c as usize] == [1.0, 1.0])?;
        system.solids.temperature(
            &pair.temperature,
            triangle,
            [0, 1, 2].map(|i| f64::from(u8::from(i == corner))),
        )
    });
    assert!((middle.unwrap() - 10.0).abs() < 1e-9, "{middle:?}");
    // Films of other resistance, or a gap, keep them apart.
    for films in [[film(0, 0.0), film(1, 0.1)], [film(0, 0.0), None]] {
        let system = System::of(&mesh, &[Conductivity::isotropic(1.0)], &films, 2).unwrap();
        assert!(!system.solids.has_jump(&[20.0, 0.0]));
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
    assert!(system.solids.coldest(&pair.temperature, 0).is_none());
}
