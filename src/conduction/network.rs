//! The conductances between vertices, and between vertices and environments.

use crate::geometry::Axis;
use crate::grid::Grid;
use crate::model::{EnvironmentId, MaterialId, Model};
use crate::plan::surface::Surfaces;
use crate::plan::{Filling, Raster};

/// A vertex on a surface, coupled to an environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceLink {
    /// Number of the vertex.
    pub vertex: usize,
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// H: half the face's length over its resistance, W/(m·K).
    pub conductance: f64,
}

/// A face of a grid cell that an environment touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// The two vertices it joins, in rising order along the axis.
    pub vertices: [usize; 2],
    /// m.
    pub length: f64,
    /// Direction of its normal.
    pub normal: Axis,
    /// True if the solid lies on the lower side (left of an upright face, below a level one).
    pub solid_is_lower: bool,
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Index of the solid's material.
    pub material: MaterialId,
    /// m²K/W.
    pub resistance: f64,
}

/// All conductances of a grid, W/(m·K) each (W per metre of junction and kelvin).
#[derive(Clone, Debug)]
pub struct Network {
    /// Number of vertices along x.
    pub columns: usize,
    /// Number of vertices along y.
    pub rows: usize,
    /// G from each vertex to its eastern neighbour; 0 where there is none.
    pub east: Vec<f64>,
    /// G from each vertex to its northern neighbour; 0 where there is none.
    pub north: Vec<f64>,
    /// Every exposed face.
    pub faces: Vec<Face>,
    /// Couplings to environments through surface resistances above 0.
    pub links: Vec<SurfaceLink>,
    /// For each vertex on a surface without resistance, its environments; several where such surfaces meet.
    pub fixed: Vec<(usize, Vec<EnvironmentId>)>,
    /// True for vertices of solids.
    pub is_solid: Vec<bool>,
}

impl Network {
    /// The network of a case on a grid.
    pub fn of(model: &Model, plan: &Raster, surfaces: &Surfaces, grid: &Grid) -> Self {
        let (columns, rows) = (grid.vertex_columns(), grid.vertex_rows());
        let vertices = grid.vertices();
        let mut network = Self {
            columns,
            rows,
            east: vec![0.0; vertices],
            north: vec![0.0; vertices],
            faces: Vec::new(),
            links: Vec::new(),
            fixed: Vec::new(),
            is_solid: vec![false; vertices],
        };
        let (xs, ys) = (&grid.x.positions, &grid.y.positions);
        for j in 0..rows - 1 {
            let height = ys[j + 1] - ys[j];
            for i in 0..columns - 1 {
                let Filling::Solid(material) = grid.filling(plan, i, j) else { continue };
                let width = xs[i + 1] - xs[i];
                let vertex = j * columns + i;
                let along_x = model.materials[material].conductivity_x * (height / 2.0) / width;
                let along_y = model.materials[material].conductivity_y * (width / 2.0) / height;
                network.east[vertex] += along_x;
                network.east[vertex + columns] += along_x;
                network.north[vertex] += along_y;
                network.north[vertex + 1] += along_y;
                for corner in [vertex, vertex + 1, vertex + columns, vertex + columns + 1] {
                    network.is_solid[corner] = true;
                }
            }
        }
        network.add_faces(plan, surfaces, grid);
        network
    }

    fn add_faces(&mut self, plan: &Raster, surfaces: &Surfaces, grid: &Grid) {
        let (columns, rows) = (self.columns, self.rows);
        let (xs, ys) = (&grid.x.positions, &grid.y.positions);
        let mut fixed: std::collections::BTreeMap<usize, Vec<EnvironmentId>> =
            std::collections::BTreeMap::new();
        for j in 0..rows {
            for i in 0..columns {
                let vertex = j * columns + i;
                let upright = (j + 1 < rows).then(|| (Axis::X, grid.x.plan_line[i], vertex + columns));
                let level = (i + 1 < columns).then(|| (Axis::Y, grid.y.plan_line[j], vertex + 1));
                for (normal, plan_line, other) in [upright, level].into_iter().flatten() {
                    let Some(plan_line) = plan_line else { continue };
                    let (face_i, face_j, length) = match normal {
                        Axis::X => (plan_line, grid.y.plan_interval[j], ys[j + 1] - ys[j]),
                        Axis::Y => (grid.x.plan_interval[i], plan_line, xs[i + 1] - xs[i]),
                    };
                    let Some(film) = surfaces.film(normal, face_i, face_j) else { continue };
                    let solid_is_lower = plan.beside_face(normal, face_i, face_j).0.is_solid();
                    for vertex in [vertex, other] {
                        if film.resistance > 0.0 {
                            let conductance = length / 2.0 / film.resistance;
                            self.links.push(SurfaceLink {
                                vertex,
                                environment: film.environment,
                                conductance,
                            });
                        } else {
                            let environments = fixed.entry(vertex).or_default();
                            if !environments.contains(&film.environment) {
                                environments.push(film.environment);
                            }
                        }
                    }
                    self.faces.push(Face {
                        vertices: [vertex, other],
                        length,
                        normal,
                        solid_is_lower,
                        environment: film.environment,
                        material: film.material,
                        resistance: film.resistance,
                    });
                }
            }
        }
        self.fixed = fixed.into_iter().collect();
    }

    /// For each vertex, whether its temperature is unknown.
    pub fn is_free(&self) -> Vec<bool> {
        let mut is_free = self.is_solid.clone();
        for (vertex, _) in &self.fixed {
            is_free[*vertex] = false;
        }
        is_free
    }

    /// The temperatures of the fixed vertices, in their order: that of their environment, or the mean of
    /// several.
    pub fn fixed_temperatures(&self, environment_temperatures: &[f64]) -> Vec<f64> {
        let mean = |environments: &Vec<EnvironmentId>| {
            environments.iter().map(|index| environment_temperatures[*index]).sum::<f64>()
                / environments.len() as f64
        };
        self.fixed.iter().map(|(_, environments)| mean(environments)).collect()
    }

    /// The neighbours of a vertex with the conductance to each, in rising order of their numbers (S, W, E,
    /// N); conductances of 0 are left out.
    pub fn neighbours(&self, vertex: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let columns = self.columns;
        let south = vertex.checked_sub(columns).map(|south| (south, self.north[south]));
        let west = (!vertex.is_multiple_of(columns)).then(|| (vertex - 1, self.east[vertex - 1]));
        let east = (vertex % columns + 1 < columns).then(|| (vertex + 1, self.east[vertex]));
        let north = (vertex + columns < self.is_solid.len()).then(|| (vertex + columns, self.north[vertex]));
        [south, west, east, north].into_iter().flatten().filter(|(_, conductance)| *conductance > 0.0)
    }

    /// True if surfaces of different fixed temperatures meet in a point, so that the heat flow has no finite
    /// value.
    pub fn has_temperature_jump(&self, environment_temperatures: &[f64]) -> bool {
        self.jumps(environment_temperatures).next().is_some()
    }

    /// The environments at each vertex where surfaces of different fixed temperatures meet. Their heat flows
    /// have no finite value.
    pub fn jumps<'n>(
        &'n self,
        environment_temperatures: &'n [f64],
    ) -> impl Iterator<Item = &'n [EnvironmentId]> {
        let is_jump = |environments: &&[EnvironmentId]| {
            environments
                .iter()
                .any(|index| environment_temperatures[*index] != environment_temperatures[environments[0]])
        };
        self.fixed.iter().map(|(_, environments)| environments.as_slice()).filter(is_jump)
    }
}
