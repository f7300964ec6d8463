//! Drawings of polygons together with what heat passes in them, for tests.

#![allow(dead_code)] // each test file takes what it needs
#![allow(clippy::duplicate_mod)] // and other helpers throw dice too

#[path = "../common/dice.rs"]
mod dice;
pub mod plain;
pub mod random;

use coldseam::triangulation::{
    Conductivity, Drawing, Filling, Film, Mesh, Metric, NotRefined, Physics, Refined, Stroke,
    TriangulationError, Wanted, refine,
};
pub use dice::Dice;

pub type Point = [f64; 2];
pub type Polygon = Vec<Point>;

pub fn rectangle(x: [f64; 2], y: [f64; 2]) -> Polygon {
    vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]]
}

/// A regular polygon about a middle; its corners lie at `radius`, the first in the direction of x.
pub fn regular(corners: usize, middle: Point, radius: f64) -> Polygon {
    (0..corners)
        .map(|corner| {
            let [x, y] = turned([radius, 0.0], 360.0 * corner as f64 / corners as f64);
            [middle[0] + x, middle[1] + y]
        })
        .collect()
}

/// Turned about the origin.
pub fn turned([x, y]: Point, degrees: f64) -> Point {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    [cosine * x - sine * y, sine * x + cosine * y]
}

/// The same material in a drawing that was turned: R·K·Rᵀ.
pub fn turned_conductivity(of: Conductivity, degrees: f64) -> Conductivity {
    let (s, c) = degrees.to_radians().sin_cos();
    Conductivity {
        xx: c * c * of.xx - 2.0 * c * s * of.xy + s * s * of.yy,
        xy: c * s * (of.xx - of.yy) + (c * c - s * s) * of.xy,
        yy: s * s * of.xx + 2.0 * c * s * of.xy + c * c * of.yy,
    }
}

/// A drawing with every polygon turned about the origin.
pub fn turned_drawing(drawing: &Drawing, degrees: f64) -> Drawing {
    let mut all = drawing.clone();
    let outlines = all
        .strokes
        .iter_mut()
        .flat_map(|stroke| std::iter::once(&mut stroke.outline).chain(&mut stroke.holes));
    for point in outlines.chain(&mut all.cuts).chain([&mut all.extent]).flatten() {
        *point = turned(*point, degrees);
    }
    all
}

/// Polygons painted one over the other with spaces and solids.
#[derive(Clone)]
pub struct Painted {
    pub drawing: Drawing,
    /// By solid.
    pub conductivities: Vec<Conductivity>,
    /// Towards each space, m²·K/W.
    pub resistances: Vec<f64>,
}

impl Painted {
    pub fn new(resistances: &[f64]) -> Self {
        let extent = rectangle([-90.0, 90.0], [-90.0, 90.0]);
        let drawing = Drawing { strokes: Vec::new(), extent, cuts: Vec::new() };
        Self { drawing, conductivities: Vec::new(), resistances: resistances.to_vec() }
    }

    pub fn paint(&mut self, filling: Filling, outline: Polygon, holes: Vec<Polygon>) {
        self.drawing.strokes.push(Stroke { filling, outline, holes });
    }

    pub fn space(&mut self, number: u32, outline: Polygon) {
        self.paint(Filling::Space(number), outline, Vec::new());
    }

    /// A solid of its own.
    pub fn solid(&mut self, conductivity: Conductivity, outline: Polygon) {
        let number = self.conductivities.len() as u32;
        self.paint(Filling::Solid(number), outline, Vec::new());
        self.conductivities.push(conductivity);
    }

    /// The same with λ alike in all directions.
    pub fn plain(&mut self, lambda: f64, outline: Polygon) {
        self.solid(Conductivity::isotropic(lambda), outline);
    }

    /// All of it turned about the origin, materials that conduct by direction too.
    #[must_use]
    pub fn turned(&self, degrees: f64) -> Self {
        Self {
            drawing: turned_drawing(&self.drawing, degrees),
            conductivities: self.conductivities.iter().map(|of| turned_conductivity(*of, degrees)).collect(),
            resistances: self.resistances.clone(),
        }
    }

    /// The coarsest mesh.
    pub fn mesh(&self) -> Result<(Mesh, Physics), TriangulationError> {
        let metric = Conductivity::metric;
        let metrics: Vec<Metric> = self.conductivities.iter().map(metric).collect();
        let (arrangement, mesh) = Mesh::of(&self.drawing, &metrics)?;
        let film = |one: Filling, other: Filling| match (one, other) {
            (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
                let environment = space as usize;
                Some(Film { environment, resistance: self.resistances[environment] })
            }
            _ => None,
        };
        let films = arrangement.segments.iter().map(|segment| film(segment.left, segment.right)).collect();
        let environments = self.resistances.len();
        Ok((mesh, Physics { conductivities: self.conductivities.clone(), films, environments }))
    }
}

/// What became of a drawing.
#[derive(Debug)]
pub enum Refused {
    Drawing(TriangulationError),
    System(NotRefined),
}

/// A drawing refined for one load.
pub fn solve(
    painted: &Painted,
    load: &[f64],
    half_width: f64,
    most_unknowns: usize,
) -> Result<Refined, Refused> {
    let (mesh, physics) = painted.mesh().map_err(Refused::Drawing)?;
    refine(mesh, &physics, &[load.to_vec()], Wanted { half_width, most_unknowns }).map_err(Refused::System)
}
