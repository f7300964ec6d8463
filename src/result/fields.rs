//! Temperatures for drawing, finer than the results need them.

use super::computed::{Computed, OnGrid, OnTriangles};
use super::coupling::Temperatures;
use super::{Outcome, Solved};
use crate::conduction::Network;
use crate::geometry::Rectangle;
use crate::grid::Grid;
use crate::multigrid::SolveError;
use crate::plan::Raster;
use crate::plan::surface::{Purpose, Surfaces};
use crate::polygons::delaunay::ordered;
use std::collections::HashMap;

/// Temperatures for drawing, °C, by vertex of what they are drawn on.
#[derive(Clone, Debug)]
pub struct Fields {
    /// What they are drawn on.
    pub ground: Ground,
    /// With the surface resistances for heat loss.
    pub heat_loss: Vec<f64>,
    /// With those for condensation, if the case has a condensation block.
    pub condensation: Option<Vec<f64>>,
}

/// What fields are drawn on.
#[derive(Clone, Debug)]
pub enum Ground {
    /// A grid: bilinear in its cells.
    Grid {
        /// The plan's cells, which the grid subdivides.
        raster: Raster,
        /// The grid.
        grid: Grid,
    },
    /// Triangles: linear in each.
    Triangles(Patches),
}

/// Small triangles of solid.
#[derive(Clone, Debug, Default)]
pub struct Patches {
    /// m.
    pub points: Vec<[f64; 2]>,
    /// Numbers of points, anticlockwise.
    pub corners: Vec<[u32; 3]>,
    /// By point, the stream function with the surface resistances for heat loss, W/m; none where heat flows round
    /// a hole, so that it is not unique.
    pub stream: Option<Vec<f64>>,
    /// By point, the size of the heat flux, W/m².
    pub flux: Vec<f64>,
}

/// A stream function that differs by more than this part of its range from triangle to triangle is not unique.
const LOOP: f64 = 1e-3;

impl Outcome {
    /// The fields with cells no longer than `longest` (m) within an area, solved anew. They are the fields of
    /// the results where these are fine enough or the finer grid would be large.
    pub fn fields_within(&self, area: Rectangle, longest: f64) -> Fields {
        match &self.computed {
            Computed::Grid(on) => self.on_finer_grid(on, area, longest),
            Computed::Triangles(on) => on_patches(on),
        }
    }

    fn on_finer_grid(&self, on: &OnGrid, area: Rectangle, longest: f64) -> Fields {
        const MOST_VERTICES_TO_DRAW: usize = 300_000;
        let OnGrid { raster, grid, heat_loss, condensation } = on;
        let finer = grid.with_cells_within(raster, area, longest);
        if finer.vertices() > grid.vertices() && finer.vertices() <= MOST_VERTICES_TO_DRAW {
            let temperatures = Temperatures::of(&self.case.model).of_environment;
            let solve = |surfaces: &Surfaces, solved: &Solved| -> Result<Vec<f64>, SolveError> {
                let network = Network::of(&self.case.model, raster, surfaces, &finer);
                Ok(solved.carried(network, [grid, &finer], &temperatures)?.field.temperature)
            };
            let of_condensation = condensation.as_ref().map(|solved| {
                let surfaces = Surfaces::of(&self.case.model, &self.plan, Purpose::Condensation);
                solve(&surfaces, solved)
            });
            if let (Ok(heat_loss), Ok(condensation)) =
                (solve(&self.surfaces, heat_loss), of_condensation.transpose())
            {
                let ground = Ground::Grid { raster: raster.clone(), grid: finer };
                return Fields { ground, heat_loss, condensation };
            }
        }
        Fields {
            ground: Ground::Grid { raster: raster.clone(), grid: grid.clone() },
            heat_loss: heat_loss.field.temperature.clone(),
            condensation: condensation.as_ref().map(|solved| solved.field.temperature.clone()),
        }
    }
}

/// The same small triangles for every triangle of the mesh, so that neighbours share theirs.
fn on_patches(on: &OnTriangles) -> Fields {
    let pieces = match on.mesh.corners.len() {
        0..=4_000 => 8,
        4_001..=20_000 => 4,
        _ => 2,
    };
    let mut patches = Patches::default();
    let (mut heat_loss, mut condensation) = (Vec::new(), on.condensation.as_ref().map(|_| Vec::new()));
    let (mut stream, mut around) = (Vec::new(), Vec::<u32>::new());
    let mut number_of: HashMap<Spot, u32> = HashMap::new();
    let mut largest_jump = 0.0_f64;
    for (triangle, corners) in on.mesh.corners.iter().enumerate() {
        let mut numbers: Vec<u32> = Vec::new();
        for [a, b, c] in lattice(pieces) {
            let at = [a, b, c].map(|part| part as f64 / pieces as f64);
            let (system, pair) = (&on.heat_loss.system, &on.heat_loss.pair);
            let (Some(temperature), Some(here), Some(flux)) = (
                system.solids.temperature(&pair.temperature, triangle, at),
                system.stream(pair, triangle, at),
                system.solids.flux(&pair.temperature, triangle, at),
            ) else {
                continue;
            };
            let flux = libm::hypot(flux[0], flux[1]);
            let spot = Spot::of(*corners, triangle, [a, b, c]);
            let number = *number_of.entry(spot).or_insert_with(|| {
                let place = |axis: usize| {
                    (0..3).map(|k| at[k] * on.mesh.points[corners[k] as usize][axis]).sum::<f64>()
                };
                patches.points.push([place(0), place(1)]);
                heat_loss.push(temperature);
                stream.push(here);
                patches.flux.push(0.0);
                around.push(0);
                if let (Some(condensation), Some(solved)) = (&mut condensation, &on.condensation) {
                    let value = solved.system.solids.temperature(&solved.pair.temperature, triangle, at);
                    condensation.push(value.unwrap_or(temperature));
                }
                around.len() as u32 - 1
            });
            let index = number as usize;
            largest_jump = largest_jump.max((stream[index] - here).abs());
            patches.flux[index] += flux;
            around[index] += 1;
            numbers.push(number);
        }
        if numbers.len() == (pieces + 1) * (pieces + 2) / 2 {
            patches.corners.extend(small_triangles(pieces).map(|corners| corners.map(|k| numbers[k])));
        }
    }
    for (flux, around) in patches.flux.iter_mut().zip(&around) {
        *flux /= f64::from(*around);
    }
    let range = stream.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - stream.iter().copied().fold(f64::INFINITY, f64::min);
    patches.stream = (range > 0.0 && largest_jump <= LOOP * range).then_some(stream);
    Fields { ground: Ground::Triangles(patches), heat_loss, condensation }
}

/// A point of the lattice on a triangle, the same for all triangles that share it.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Spot {
    Corner(u32),
    /// So many pieces from the end with the lower number.
    Edge([u32; 2], usize),
    Within(usize, [usize; 3]),
}

impl Spot {
    fn of(corners: [u32; 3], triangle: usize, parts: [usize; 3]) -> Self {
        let held: Vec<usize> = (0..3).filter(|k| parts[*k] > 0).collect();
        match held.as_slice() {
            [only] => Self::Corner(corners[*only]),
            [one, other] => {
                let ends = ordered([corners[*one], corners[*other]]);
                let to = if ends[1] == corners[*one] { *one } else { *other };
                Self::Edge(ends, parts[to])
            }
            _ => Self::Within(triangle, parts),
        }
    }
}

/// Barycentric coordinates, in pieces, row by row from the first corner.
fn lattice(pieces: usize) -> impl Iterator<Item = [usize; 3]> {
    (0..=pieces).flat_map(move |row| (0..=row).map(move |step| [pieces - row, row - step, step]))
}

/// The small triangles between the points of the lattice, anticlockwise as the large one.
fn small_triangles(pieces: usize) -> impl Iterator<Item = [usize; 3]> {
    let at = |row: usize, step: usize| row * (row + 1) / 2 + step;
    (0..pieces).flat_map(move |row| {
        let upright = (0..=row).map(move |step| [at(row, step), at(row + 1, step), at(row + 1, step + 1)]);
        let turned = (0..row).map(move |step| [at(row, step), at(row + 1, step + 1), at(row, step + 1)]);
        upright.chain(turned)
    })
}
