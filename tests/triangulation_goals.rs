//! Temperatures at places on triangles: what is known exactly, and that stated errors hold on random walls.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::PI;

use coldseam::triangulation::{
    Answered, Conductivity, Drawing, Filling, Film, Goal, Known, Mesh, Physics, Place, Question, SHARE,
    Stroke, Width, refine_towards,
};

mod triangles;

use triangles::drawings::Wall;
use triangles::turned;

type Outline = Vec<[f64; 2]>;

fn rectangle(x: [f64; 2], y: [f64; 2]) -> Outline {
    vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]]
}

/// Outlines filled one over the other, with λ by solid and R by space.
fn drawn(strokes: Vec<(Filling, Outline)>, lambda: &[f64], resistances: &[f64]) -> (Mesh, Physics) {
    let strokes = strokes
        .into_iter()
        .map(|(filling, outline)| Stroke { filling, outline, holes: Vec::new() })
        .collect();
    let extent = rectangle([-9.0, 9.0], [-9.0, 9.0]);
    let (arrangement, mesh) = Mesh::of(&Drawing { strokes, extent, cuts: Vec::new() }, &[]).unwrap();
    let film = |one: Filling, other: Filling| match (one, other) {
        (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
            let environment = space as usize;
            Some(Film { environment, resistance: resistances[environment] })
        }
        _ => None,
    };
    let films = arrangement.segments.iter().map(|segment| film(segment.left, segment.right)).collect();
    let conductivities = lambda.iter().map(|lambda| Conductivity::isotropic(*lambda)).collect();
    (mesh, Physics { conductivities, films, environments: resistances.len() })
}

fn point(point: [f64; 2], allowed: f64) -> Goal {
    Goal { place: Place::Point(point), allowed }
}

fn coldest(environment: usize, solids: &[bool], allowed: f64) -> Goal {
    Goal { place: Place::Coldest { environment, solids: solids.to_vec() }, allowed }
}

fn question(physics: &Physics, temperatures: &[f64], goals: Vec<Goal>) -> Question {
    Question { physics: physics.clone(), temperatures: temperatures.to_vec(), goals, bracket: None }
}

fn known(answered: &Answered) -> Vec<Known> {
    answered.answers[0].known.iter().copied().map(Option::unwrap).collect()
}

#[test]
fn plane_walls_are_exact_on_the_coarsest_mesh() {
    for degrees in [0.0, 35.0, 200.0] {
        let strokes = [
            (Filling::Space(0), rectangle([0.0, 1.0], [-0.3, 0.0])),
            (Filling::Solid(0), rectangle([0.0, 1.0], [0.0, 0.2])),
            (Filling::Solid(1), rectangle([0.0, 1.0], [0.2, 0.201])),
            (Filling::Solid(2), rectangle([0.0, 1.0], [0.201, 0.3])),
            (Filling::Space(1), rectangle([0.0, 1.0], [0.3, 0.6])),
        ];
        let turn = |outline: Outline| outline.into_iter().map(|point| turned(point, degrees)).collect();
        let strokes = strokes.into_iter().map(|(filling, outline)| (filling, turn(outline))).collect();
        let (mesh, physics) = drawn(strokes, &[0.5, 160.0, 0.04], &[0.13, 0.04]);
        let flux = 25.0 / (0.13 + 0.2 / 0.5 + 0.001 / 160.0 + 0.099 / 0.04 + 0.04);
        let at = |y: f64| turned([0.37, y], degrees);
        let goals = vec![
            point(at(0.1), 0.02),
            point(at(0.2005), 0.02),
            point(at(0.25), 0.02),
            coldest(0, &[true], 0.02),
            coldest(1, &[false, false, true], 0.02),
        ];
        let answered =
            refine_towards(mesh.clone(), &[question(&physics, &[20.0, -5.0], goals)], SHARE, 10_000).unwrap();
        assert!(answered.is_reached() && answered.mesh.corners.len() == mesh.corners.len());
        let exact = [
            20.0 - flux * (0.13 + 0.1 / 0.5),
            20.0 - flux * (0.13 + 0.2 / 0.5 + 0.0005 / 160.0),
            -5.0 + flux * (0.04 + 0.05 / 0.04),
            20.0 - flux * 0.13,
            -5.0 + flux * 0.04,
        ];
        for (known, exact) in known(&answered).iter().zip(exact) {
            assert!((known.temperature - exact).abs() <= known.error(), "{degrees}°: {known:?} {exact}");
            assert!(known.error() < 1e-6 && known.of_mean < 1e-6, "{known:?}");
        }
    }
}

#[test]
fn rings_follow_the_logarithm() {
    let (inner, outer) = (0.05, 0.15);
    // So many corners that chords are 10⁻⁵ of the radius from the arc.
    let circle = |radius: f64| (0..720).map(|i| turned([radius, 0.0], 0.5 * f64::from(i))).collect();
    let strokes = vec![
        (Filling::Space(1), rectangle([-1.0, 1.0], [-1.0, 1.0])),
        (Filling::Solid(0), circle(outer)),
        (Filling::Space(0), circle(inner)),
    ];
    let (mesh, physics) = drawn(strokes, &[0.04], &[0.0, 0.0]);
    let goals = [0.06, 0.08, 0.1, 0.14].map(|radius| point(turned([radius, 0.0], 400.0 * radius), 0.005));
    let answered =
        refine_towards(mesh, &[question(&physics, &[60.0, 10.0], goals.to_vec())], SHARE, 30_000).unwrap();
    assert!(answered.is_reached());
    for known in known(&answered) {
        let radius = known.point[0].hypot(known.point[1]);
        let exact = 60.0 - 50.0 * (radius / inner).ln() / (outer / inner).ln();
        assert!((known.temperature - exact).abs() <= known.error() + 6e-4, "{known:?} {exact}");
    }
}

/// Half a square, one side of which is at 20, the others at 0 (ISO 10211:2017, case 1): there the heat flow is
/// infinite, but temperatures are a series.
#[test]
fn temperatures_are_exact_where_the_heat_flow_is_infinite() {
    let strokes = vec![
        (Filling::Space(1), rectangle([-1.0, 2.0], [-1.0, 3.0])),
        (Filling::Space(0), rectangle([0.0, 1.0], [2.0, 2.5])),
        (Filling::Solid(0), rectangle([0.0, 1.0], [0.0, 2.0])),
    ];
    let (mesh, physics) = drawn(strokes, &[1.0], &[0.0, 0.0]);
    let exact = |[x, y]: [f64; 2]| -> f64 {
        let term = |n: i32| {
            let k = f64::from(2 * n + 1) * PI;
            80.0 / k * (k * x).sin() * (k * (y - 2.0)).exp() * (1.0 - (-2.0 * k * y).exp())
                / (1.0 - (-4.0 * k).exp())
        };
        (0..4000).map(term).sum()
    };
    let points: Vec<[f64; 2]> =
        [[0.25, 1.75], [0.5, 1.75], [0.5, 1.0], [0.03, 1.98], [0.97, 1.9], [0.4, 1.999]].into();
    let goals = points.iter().map(|at| point(*at, 0.005)).collect();
    let answered = refine_towards(mesh, &[question(&physics, &[20.0, 0.0], goals)], SHARE, 20_000).unwrap();
    assert!(answered.is_reached(), "{answered:?}");
    for known in known(&answered) {
        let off = (known.temperature - exact(known.point)).abs();
        assert!(off <= known.error() && known.of_mean.is_infinite(), "{known:?} {}", exact(known.point));
    }
}

/// A corner of a building between a room and outside, mirror-like in its diagonal, and a stud of metal.
fn corner() -> (Mesh, Physics) {
    let strokes = vec![
        (Filling::Space(1), rectangle([-1.0, 2.0], [-1.0, 2.0])),
        (Filling::Solid(0), rectangle([0.0, 1.5], [0.0, 1.5])),
        (Filling::Solid(1), rectangle([0.0, 1.5], [0.1, 0.3])),
        (Filling::Solid(1), rectangle([0.1, 0.3], [0.0, 1.5])),
        (Filling::Solid(2), rectangle([0.8, 0.806], [0.0, 0.3])),
        (Filling::Space(0), rectangle([0.3, 1.5], [0.3, 1.5])),
        (Filling::Nothing, rectangle([1.5, 2.0], [-1.0, 2.0])),
        (Filling::Nothing, rectangle([-1.0, 2.0], [1.5, 2.0])),
    ];
    drawn(strokes, &[0.04, 0.8, 50.0], &[0.13, 0.04])
}

#[test]
fn one_mesh_serves_two_sets_of_films_and_a_bracket() {
    let (mesh, physics) = corner();
    let mut of_condensation = physics.clone();
    for film in of_condensation.films.iter_mut().flatten().filter(|film| film.environment == 0) {
        film.resistance = 0.25;
    }
    let load = [20.0, 0.0];
    let places = |allowed: f64| {
        vec![
            point([0.3, 0.3], allowed),
            coldest(0, &[true, true, false], allowed),
            coldest(0, &[false, false, true], allowed),
            coldest(0, &[false, false, false], allowed),
            point([5.0, 5.0], allowed),
        ]
    };
    let run = |allowed: f64, half_width: f64, most_unknowns: usize| {
        let mut first = question(&physics, &load, places(allowed));
        first.bracket = Some(Width { loads: vec![load.to_vec()], half_width });
        let second = question(&of_condensation, &load, places(allowed));
        refine_towards(mesh.clone(), &[first, second], SHARE, most_unknowns).unwrap()
    };
    let answered = run(0.02, 1e-4, 20_000);
    let fine = run(0.001, 1e-5, 60_000);
    assert!(answered.is_reached() && fine.is_reached(), "{}", answered.unknowns());
    assert!(answered.unknowns() < 4_000, "{}", answered.unknowns());
    let [coarse, finer] = [&answered, &fine].map(|answered| answered.answers[0].l2d.unwrap());
    assert!(coarse.half_width() <= 1e-4 && finer.half_width() <= 1e-5 && coarse.overlaps(finer));
    assert!(answered.answers[1].l2d.is_none());
    for (coarse, fine) in answered.answers.iter().zip(&fine.answers) {
        assert_eq!(coarse.known[3..], [None, None]);
        for (known, fine) in coarse.known.iter().zip(&fine.known).take(3) {
            let (known, fine) = (known.unwrap(), fine.unwrap());
            let off = (known.temperature - fine.temperature).abs();
            assert!(off <= known.error() + fine.error() && known.error() <= 0.02, "{known:?} {fine:?}");
        }
        // The corner itself is the coldest place but for the stud.
        let [at_corner, coldest, stud] = [0, 1, 2].map(|number| coarse.known[number].unwrap());
        assert!((at_corner.temperature - coldest.temperature).abs() < 0.04 && stud.point[1] == 0.3);
    }
    // Higher resistances make colder surfaces.
    let [warm, cold] = [0, 1].map(|number| answered.answers[number].known[1].unwrap().temperature);
    assert!(cold < warm - 0.5, "{warm} {cold}");
}

#[test]
fn what_is_not_reached_is_told() {
    let (mesh, physics) = corner();
    let goals = vec![point([0.8, 0.3], 1e-6), point([0.3, 0.3], 0.5)];
    let stopped = refine_towards(mesh, &[question(&physics, &[20.0, 0.0], goals)], SHARE, 1_000).unwrap();
    let [sharp, easy] = known(&stopped)[..] else { panic!() };
    assert!(!stopped.is_reached() && !sharp.is_exact() && easy.is_exact());
    assert!(stopped.unknowns() <= 1_000);
    // Where poor and good conductors meet crosswise, no mesh follows the temperature to the point itself; what
    // others need is found all the same.
    let strokes = vec![
        (Filling::Space(0), rectangle([-1.0, 1.0], [-1.0, 0.0])),
        (Filling::Solid(0), rectangle([-0.2, 0.2], [0.0, 0.4])),
        (Filling::Solid(1), rectangle([-0.2, 0.0], [0.0, 0.2])),
        (Filling::Solid(1), rectangle([0.0, 0.2], [0.2, 0.4])),
        (Filling::Space(1), rectangle([-1.0, 1.0], [0.4, 1.0])),
    ];
    let (mesh, physics) = drawn(strokes, &[1.0, 50.0], &[0.13, 0.04]);
    let goals = vec![point([0.0, 0.2], 0.001), point([0.1, 0.1], 0.02)];
    let crossed = refine_towards(mesh, &[question(&physics, &[20.0, 0.0], goals)], SHARE, 10_000).unwrap();
    let [crossing, beside] = known(&crossed)[..] else { panic!() };
    assert!(!crossing.is_exact() && beside.is_exact(), "{crossing:?} {beside:?}");
    assert!(crossed.unknowns() < 5_000, "{}", crossed.unknowns());
}

/// How many goals of random walls there were, whose errors were compared, and by how much the worst of them missed.
#[derive(Default)]
struct Tally {
    compared: usize,
    held: usize,
    /// Stated over true error, where there is one.
    waste: Vec<f64>,
    beyond: String,
}

impl Tally {
    /// A wall, and the same solved much more exactly.
    fn wall(&mut self, seed: u64, allowed: f64) {
        let Some(wall) = Wall::of(seed) else { return };
        let count = wall.physics.conductivities.len();
        let some: Vec<bool> = (0..count as u64).map(|solid| (solid + seed).is_multiple_of(2)).collect();
        let others: Vec<bool> = some.iter().map(|counts| !counts).collect();
        let goals = |allowed: f64| -> Vec<Goal> {
            let points = wall.points.iter().map(|at| point(*at, allowed));
            let surfaces = [vec![true; count], some.clone(), others.clone()];
            points.chain(surfaces.iter().map(|solids| coldest(0, solids, allowed))).collect()
        };
        let run = |allowed: f64, most_unknowns: usize| {
            let question = question(&wall.physics, &[20.0, 0.0], goals(allowed));
            refine_towards(wall.mesh.clone(), &[question], SHARE, most_unknowns)
        };
        let Ok(coarse) = run(allowed, 4_000) else { return };
        let fine = run(0.02 * allowed, 6_000).unwrap();
        for (number, both) in coarse.answers[0].known.iter().zip(&fine.answers[0].known).enumerate() {
            let (Some(known), Some(fine)) = both else { continue };
            // What the finer one does not know is no measure of the coarser one.
            if fine.error() > 0.2 * known.error() {
                continue;
            }
            let off = (known.temperature - fine.temperature).abs();
            self.compared += 1;
            self.held += usize::from(off <= known.error());
            if off > 1e-6 {
                self.waste.push(known.error() / off);
            }
            if off > known.error() {
                self.beyond += &format!(
                    "\nwall {seed}, goal {number}: {off:.5} K, {:.5} stated, {known:?}",
                    known.error()
                );
            }
        }
    }
}

/// Other walls than those on which the constants of the estimate were chosen (0 to 199 and 1 000 to 1 149). Their
/// number can be set by the environment: `GOALS=400 cargo test --release --test triangulation_goals`.
#[test]
fn stated_errors_hold_on_random_walls() {
    let walls = std::env::var("GOALS").ok().and_then(|walls| walls.parse().ok()).unwrap_or(30);
    let mut tally = Tally::default();
    for wall in 0..walls {
        tally.wall(20_000 + wall, [0.1, 0.02][wall as usize % 2]);
    }
    let Tally { compared, held, mut waste, beyond } = tally;
    waste.sort_by(f64::total_cmp);
    let median = waste[waste.len() / 2];
    let found =
        format!("{held} of {compared} errors hold, the median is {median:.1} times too large{beyond}");
    println!("{found}");
    assert!(compared > 4 * walls as usize && 100 * held >= 99 * compared && median < 15.0, "{found}");
}
