//! The two methods beside each other: triangles against the grid on the shipped cases.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::bounds::Bracket;
use coldseam::geometry::Axis;
use coldseam::plan::surface::Surfaces;
use coldseam::plan::{self, Plan};
use coldseam::result::Outcome;
use coldseam::result::coupling::Temperatures;
use coldseam::result::psi;
use coldseam::result::refinement::Target;
use coldseam::triangulation::{
    Arrangement, Conductivity, Drawing, Filling, Film, Mesh, Metric, Physics, Refined, Stroke, Wanted, refine,
};

mod common;

/// The painted raster as rectangles, one a cell.
fn drawing(plan: &Plan) -> Drawing {
    let rectangle = |x: [f64; 2], y: [f64; 2]| vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    let mut strokes = Vec::new();
    for j in 0..plan.rows() {
        for i in 0..plan.columns() {
            let filling = match plan.at(i, j) {
                plan::Filling::Nothing => Filling::Nothing,
                plan::Filling::Solid(material) => Filling::Solid(material.index() as u32),
                plan::Filling::Space(environment) => Filling::Space(environment.index() as u32),
            };
            let outline = rectangle([plan.xs[i], plan.xs[i + 1]], [plan.ys[j], plan.ys[j + 1]]);
            strokes.push(Stroke { filling, outline, holes: Vec::new() });
        }
    }
    let (x, y) = ([plan.xs[0], plan.xs[plan.columns()]], [plan.ys[0], plan.ys[plan.rows()]]);
    Drawing { strokes, extent: rectangle(x, y), cuts: Vec::new() }
}

/// The films of the faces that a segment runs along, which must be one film.
fn film(plan: &Plan, surfaces: &Surfaces, [a, b]: [[f64; 2]; 2]) -> Option<Film> {
    let upright = a[0] == b[0];
    let (normal, on, along) = if upright { (Axis::X, 0, 1) } else { (Axis::Y, 1, 0) };
    let lines = |axis: usize| if axis == 0 { &plan.xs } else { &plan.ys };
    let (from, to) = (a[along].min(b[along]), a[along].max(b[along]));
    let line = lines(on).iter().position(|line| *line == a[on]).unwrap();
    let mut films = Vec::new();
    for (cell, ends) in lines(along).windows(2).enumerate() {
        if ends[0] >= from && ends[1] <= to {
            let (i, j) = if upright { (line, cell) } else { (cell, line) };
            films.push(surfaces.film(normal, i, j));
        }
    }
    let resistances: Vec<_> = films.iter().map(|film| film.map(|film| film.resistance)).collect();
    assert!(resistances.windows(2).all(|pair| pair[0] == pair[1]), "{a:?} {b:?}: {resistances:?}");
    films[0].map(|film| Film { environment: film.environment.index(), resistance: film.resistance })
}

/// L2D of an outcome's target by triangles.
fn by_triangles(outcome: &Outcome, half_width: f64) -> Refined {
    let (model, plan) = (&outcome.case.model, &outcome.plan);
    let conductivities: Vec<Conductivity> = model
        .materials
        .iter()
        .map(|material| Conductivity { xx: material.conductivity_x, xy: 0.0, yy: material.conductivity_y })
        .collect();
    let metrics: Vec<Metric> =
        conductivities.iter().map(|of| Metric::of_conductivity([of.xx, of.xy, of.yy])).collect();
    let (arrangement, mesh): (Arrangement, Mesh) = Mesh::of(&drawing(plan), &metrics).unwrap();
    let films = arrangement.segments.iter().map(|segment| {
        let ends = segment.ends.map(|end| arrangement.points[end as usize]);
        let is_surface = segment.left.is_solid() != segment.right.is_solid();
        if is_surface { film(plan, &outcome.surfaces, ends) } else { None }
    });
    let physics = Physics { conductivities, films: films.collect(), environments: model.environments.len() };
    let temperatures = Temperatures::of(model);
    let target = Target::of(&temperatures, &psi::sides(model, &temperatures, &mut Vec::new()));
    refine(mesh, &physics, &target.loads, Wanted { half_width, most_unknowns: 50_000 }).unwrap()
}

#[test]
fn shipped_cases_agree_with_the_grid() {
    for (name, most_unknowns) in [
        ("plinth", 2_000),
        ("window-sill-metal", 1_000),
        ("window-reveal", 600),
        ("window-sill", 300),
        ("outer-corner", 200),
        ("inner-corner", 200),
        ("balcony-slab", 600),
        ("window-head", 1_000),
        ("window-jamb", 1_000),
        ("intermediate-floor", 1_000),
    ] {
        let outcome = common::solve_shipped(name, &[]);
        let grid: Bracket = outcome.l2d.unwrap();
        let refined = by_triangles(&outcome, 5e-4);
        let triangles = refined.l2d.unwrap();
        let finer = by_triangles(&outcome, 5e-5).l2d.unwrap();
        assert!(finer.half_width() <= 5e-5 && finer.overlaps(triangles), "{name}: {finer}, {triangles}");
        assert!(finer.overlaps(grid), "{name}: {finer} by triangles, {grid} by grid");
        assert!(triangles.half_width() <= 5e-4, "{name}: {triangles}");
        assert!(triangles.overlaps(grid), "{name}: {triangles} by triangles, {grid} by grid");
        assert!(refined.system.unknowns() <= most_unknowns, "{name}: {}", refined.system.unknowns());
    }
}
