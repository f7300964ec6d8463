//! Refining a drawing until its bracket is as narrow as wanted.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::{Bracket, NoBracket};
use coldseam::triangulation::{
    Conductivity, Drawing, Filling, Film, Mesh, Metric, NotRefined, Physics, Stroke, Wanted, refine,
};

mod polygons;

use polygons::{Dice, Kind, random_drawing};

type Outline = Vec<[f64; 2]>;

fn turned([x, y]: [f64; 2], degrees: f64) -> [f64; 2] {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    [cosine * x - sine * y, sine * x + cosine * y]
}

fn rectangle(x: [f64; 2], y: [f64; 2]) -> Outline {
    vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]]
}

/// Polygons turned about the origin, painted one over the other with a space or a solid, and the λ of each solid.
struct Painted {
    drawing: Drawing,
    conductivities: Vec<Conductivity>,
    degrees: f64,
}

impl Painted {
    fn turned(degrees: f64) -> Self {
        let extent = rectangle([-9.0, 9.0], [-9.0, 9.0]);
        let drawing = Drawing { strokes: Vec::new(), extent, cuts: Vec::new() };
        Self { drawing, conductivities: Vec::new(), degrees }
    }

    fn paint(&mut self, filling: Filling, outline: Outline) {
        let outline = outline.into_iter().map(|point| turned(point, self.degrees)).collect();
        self.drawing.strokes.push(Stroke { filling, outline, holes: Vec::new() });
    }

    fn space(&mut self, number: u32, x: [f64; 2], y: [f64; 2]) {
        self.paint(Filling::Space(number), rectangle(x, y));
    }

    fn solid(&mut self, lambda: f64, x: [f64; 2], y: [f64; 2]) {
        self.paint(Filling::Solid(self.conductivities.len() as u32), rectangle(x, y));
        self.conductivities.push(Conductivity::isotropic(lambda));
    }

    /// A random drawing over a solid between a room and outside, with λ from 0.01 to 400, also by direction.
    fn random(dice: &mut Dice) -> Self {
        let kind = [Kind::Level, Kind::Any, Kind::Nearly][dice.between(0, 2) as usize];
        let [width, height] = if kind == Kind::Level { [0.7, 0.7] } else { [6.0, 4.0] };
        let mut drawn = Self::turned(0.0);
        drawn.space(1, [-9.0, 9.0], [-9.0, 9.0]);
        drawn.space(0, [-9.0, 9.0], [-9.0, 0.3 * height]);
        drawn.paint(Filling::Solid(4), rectangle([0.0, width], [0.25 * height, 0.6 * height]));
        drawn.drawing.strokes.extend(random_drawing(dice, kind).strokes);
        let lambda = |dice: &mut Dice| 10_f64.powf(-2.0 + 4.6e-3 * dice.between(0, 1000) as f64);
        for _ in 0..5 {
            let along = lambda(dice);
            let across = if dice.between(0, 3) == 0 { lambda(dice) } else { along };
            let direction = turned([1.0, 0.0], dice.between(0, 180) as f64);
            drawn.conductivities.push(Conductivity::along(direction, along, across));
        }
        drawn
    }

    /// Its coarsest mesh, with the resistances towards each space.
    fn mesh(self, resistances: &[f64]) -> (Mesh, Physics) {
        let metric = |of: &Conductivity| Metric::of_conductivity([of.xx, of.xy, of.yy]);
        let metrics: Vec<Metric> = self.conductivities.iter().map(metric).collect();
        let (arrangement, mesh) = Mesh::of(&self.drawing, &metrics).unwrap();
        let film = |one: Filling, other: Filling| match (one, other) {
            (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
                let environment = space as usize;
                Some(Film { environment, resistance: resistances[environment] })
            }
            _ => None,
        };
        let films = arrangement.segments.iter().map(|segment| film(segment.left, segment.right)).collect();
        let environments = resistances.len();
        (mesh, Physics { conductivities: self.conductivities, films, environments })
    }
}

#[test]
fn a_roof_with_foils_takes_few_thousand_unknowns() {
    // 6 m at 35°: foil and membrane of 0.2 mm, a sheet of steel that begins half-way, rafters, a screw through all.
    let mut roof = Painted::turned(35.0);
    roof.space(0, [0.0, 6.0], [-0.3, 0.0]);
    roof.solid(0.25, [0.0, 6.0], [0.0, 0.013]);
    roof.solid(160.0, [0.0, 6.0], [0.013, 0.0132]);
    roof.solid(0.035, [0.0, 6.0], [0.0132, 0.2532]);
    roof.solid(0.2, [0.0, 6.0], [0.2532, 0.2534]);
    roof.solid(50.0, [3.0, 6.0], [0.1, 0.101]);
    roof.solid(0.13, [1.0, 1.08], [0.0132, 0.2532]);
    roof.solid(0.13, [4.0, 4.08], [0.0132, 0.2532]);
    roof.solid(50.0, [4.037, 4.043], [0.0131, 0.2533]);
    roof.space(1, [0.0, 6.0], [0.2534, 0.6]);
    let (mesh, physics) = roof.mesh(&[0.10, 0.04]);
    let wanted = Wanted { half_width: 5e-4, most_unknowns: 10_000 };
    let refined = refine(mesh, &physics, &[vec![20.0, 0.0]], wanted).unwrap();
    let (l2d, unknowns) = (refined.l2d.unwrap(), refined.system.unknowns());
    assert!(l2d.half_width() <= 5e-4 && unknowns < 5_000, "{l2d} by {unknowns} unknowns");
    assert!(l2d.lower() < 1.1718 && l2d.upper() > 1.1716, "{l2d}");
}

#[test]
fn refining_reaches_what_is_wanted_or_says_what_it_reached() {
    let mut drawn = Painted::turned(20.0);
    drawn.space(1, [-2.0, 2.0], [-2.0, 2.0]);
    drawn.solid(0.1, [0.0, 1.0], [0.0, 1.0]);
    drawn.space(0, [0.3, 0.6], [0.3, 0.6]);
    drawn.solid(50.0, [0.6, 1.0], [0.4, 0.401]);
    let (mesh, physics) = drawn.mesh(&[0.13, 0.04]);
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

#[test]
fn brackets_of_random_drawings_hold_the_same_value_in_every_pass() {
    let (mut narrow, mut wide, mut infinite) = (0, 0, 0);
    for seed in 0..250 {
        let dice = &mut Dice(seed);
        for _ in 0..4 {
            dice.between(0, 9); // seeds that are close begin alike
        }
        let drawn = Painted::random(dice);
        let mut resistance = || match dice.between(0, 9) {
            0 => 0.0,
            1 => 1e-6,
            2 => 1e3,
            _ => 0.04 + 0.01 * dice.between(0, 20) as f64,
        };
        let (mesh, physics) = drawn.mesh(&[resistance(), resistance(), resistance()]);
        let wanted = Wanted { half_width: 2e-3, most_unknowns: 12_000 };
        let refined = refine(mesh, &physics, &[vec![20.0, 0.0, 8.0]], wanted).unwrap();
        let Some(l2d) = refined.l2d else {
            infinite += 1;
            continue;
        };
        let fold = |start: f64, end: fn(f64, f64) -> f64, of: fn(&Bracket) -> f64| {
            refined.passes.iter().map(|pass| of(&pass.l2d)).fold(start, end)
        };
        let lower = fold(0.0, f64::max, |bracket| bracket.lower());
        let upper = fold(f64::INFINITY, f64::min, |bracket| bracket.upper());
        assert!(lower <= upper * (1.0 + 1e-9) + 1e-12, "seed {seed}: {lower} {upper}");
        let energies = refined.system.energies(&refined.pairs[0]);
        let sum: f64 = energies.mismatch.iter().sum();
        let difference = energies.potential - 2.0 * energies.work + energies.dissipation;
        assert!(
            (sum - difference).abs() <= 1e-10 * energies.potential + 1e-15,
            "seed {seed}: {sum} {difference}"
        );
        // Beyond what a junction loses, in proportion.
        let is_narrow = l2d.half_width() <= 2e-3 * (l2d.middle() / 50.0).max(1.0);
        narrow += usize::from(is_narrow);
        wide += usize::from(!is_narrow);
    }
    assert!(narrow > 230 && wide < 6 && infinite < 10, "{narrow} {wide} {infinite}");
}
