//! Temperatures along the surfaces, whichever method they come from.

use std::collections::HashMap;

use super::Solved;
use crate::conduction::Network;
use crate::geometry::Axis;
use crate::grid::Grid;
use crate::model::{EnvironmentId, MaterialId};
use crate::triangulation::{FilmEdge, Solids, Temperatures};

/// A straight piece of surface between two places, with the temperature linear between these.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Index of the solid's material.
    pub material: MaterialId,
    /// m²K/W.
    pub resistance: f64,
    /// Numbers of the places at its ends, for whoever walks with the solid on the left.
    pub ends: [usize; 2],
}

/// The surfaces of a plan with their temperatures.
#[derive(Clone, Debug, Default)]
pub struct Skin {
    /// In no particular order, but the same for the same case.
    pub faces: Vec<Face>,
    /// m.
    pub places: Vec<(f64, f64)>,
    /// By place, the vertex of the grid that it is; of triangles, the place itself.
    pub vertices: Vec<usize>,
    /// By place, °C.
    pub temperature: Vec<f64>,
    /// For three and more temperatures, by environment and place: the temperature with that environment at 1 and
    /// all others at 0.
    pub units: Vec<Vec<f64>>,
}

/// Into so many pieces an edge of a triangle is cut; the temperature along it is quadratic.
const PIECES: usize = 4;

impl Skin {
    /// From a solution on a grid.
    pub fn of_grid(grid: &Grid, solved: &Solved) -> Self {
        let mut skin = Self::of_network(grid, &solved.conduction.network, &solved.field.temperature);
        let of = |field: &[f64]| skin.vertices.iter().map(|vertex| field[*vertex]).collect();
        skin.units = solved.unit_fields.iter().map(|field| of(&field.temperature)).collect();
        skin
    }

    /// From temperatures (°C) at the vertices of a grid, without units.
    pub fn of_network(grid: &Grid, network: &Network, temperature: &[f64]) -> Self {
        let mut skin = Self::default();
        let mut place_of: HashMap<usize, usize> = HashMap::new();
        for face in &network.faces {
            let [low, high] = face.vertices;
            let is_rising = match face.normal {
                Axis::X => face.solid_is_lower,
                Axis::Y => !face.solid_is_lower,
            };
            let ends = if is_rising { [low, high] } else { [high, low] }.map(|vertex| {
                *place_of.entry(vertex).or_insert_with(|| {
                    skin.vertices.push(vertex);
                    skin.vertices.len() - 1
                })
            });
            let (environment, material, resistance) = (face.environment, face.material, face.resistance);
            skin.faces.push(Face { environment, material, resistance, ends });
        }
        skin.temperature = skin.vertices.iter().map(|vertex| temperature[*vertex]).collect();
        skin.places = skin.vertices.iter().map(|vertex| grid.position(*vertex)).collect();
        skin
    }

    /// From a solution on triangles: each edge in pieces, cut also where it is coldest.
    pub fn of_triangles(solids: &Solids, field: &Temperatures, units: &[&Temperatures]) -> Self {
        let mut skin = Self { units: vec![Vec::new(); units.len()], ..Self::default() };
        // Edges that follow each other share their ends.
        let mut known: HashMap<[u64; 2], Vec<(usize, f64)>> = HashMap::new();
        for edge in solids.film_edges() {
            let at = |field: &Temperatures, part: f64| {
                solids.temperature_along(field, &edge, part).unwrap_or(f64::NAN)
            };
            let mut parts: Vec<f64> = (0..=PIECES).map(|piece| piece as f64 / PIECES as f64).collect();
            parts.extend(solids.coldest_on(field, &edge));
            parts.sort_by(f64::total_cmp);
            parts.dedup();
            let last = parts.len() - 1;
            let mut ends: Vec<usize> = Vec::new();
            for (number, part) in parts.iter().enumerate() {
                let [x, y] = place(&edge, *part);
                let temperature = at(field, *part);
                let here = known.entry([x.to_bits(), y.to_bits()]).or_default();
                // Solids that touch in a point only have temperatures of their own there.
                let alike = |other: f64| (other - temperature).abs() <= 1e-9 * (1.0 + temperature.abs());
                let is_end = number == 0 || number == last;
                let found = here.iter().find(|(_, other)| is_end && alike(*other)).map(|(place, _)| *place);
                ends.push(found.unwrap_or_else(|| {
                    here.push((skin.places.len(), temperature));
                    skin.places.push((x, y));
                    skin.temperature.push(temperature);
                    for (unit, values) in units.iter().zip(&mut skin.units) {
                        values.push(at(unit, *part));
                    }
                    skin.places.len() - 1
                }));
            }
            let (environment, resistance) = (EnvironmentId::new(edge.film.environment), edge.film.resistance);
            let material = MaterialId::new(edge.solid);
            skin.faces.extend(ends.windows(2).map(|ends| Face {
                environment,
                material,
                resistance,
                ends: [ends[0], ends[1]],
            }));
        }
        skin.vertices = (0..skin.places.len()).collect();
        skin
    }

    /// The temperatures of all places at other environment temperatures, from the units.
    pub fn combined(&self, environment_temperatures: &[f64]) -> Vec<f64> {
        let mut sum = vec![0.0; self.places.len()];
        for (unit, factor) in self.units.iter().zip(environment_temperatures) {
            for (sum, value) in sum.iter_mut().zip(unit) {
                *sum += factor * value;
            }
        }
        sum
    }
}

fn place(edge: &FilmEdge, part: f64) -> [f64; 2] {
    let [from, to] = edge.ends;
    if part == 1.0 {
        return to;
    }
    [0, 1].map(|axis| from[axis] + part * (to[axis] - from[axis]))
}
