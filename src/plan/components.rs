//! Connected solids: between two of them no heat is conducted.

use crate::model::EnvironmentId;
use std::collections::BTreeSet;

use super::{Drawn, Edges, Filling, Plan, Raster};
use crate::geometry::Axis;
use crate::polygons::groups::Groups;

/// A solid that hangs together by its faces.
#[derive(Clone, Debug)]
pub struct Component {
    /// A point within it, m.
    pub within: [f64; 2],
    /// The environments that touch it.
    pub environments: BTreeSet<EnvironmentId>,
}

/// All solids, and which of them each piece of surface belongs to.
pub struct Components {
    pub all: Vec<Component>,
    /// By cell of a raster (row by row) or face between edges.
    of_area: Vec<Option<usize>>,
}

impl Components {
    pub fn of(plan: &Plan) -> Self {
        match &plan.drawn {
            Drawn::Raster(raster) => of_raster(raster),
            Drawn::Edges(edges) => of_edges(edges),
        }
    }

    /// The solid of a cell of a raster.
    pub fn of_cell(&self, raster: &Raster, i: usize, j: usize) -> Option<&Component> {
        self.of_area[j * raster.columns() + i].map(|number| &self.all[number])
    }

    /// The solid beside an edge of others than a raster.
    pub fn beside(&self, edges: &Edges, edge: usize) -> Option<&Component> {
        let faces = edges.faces.beside[edge].into_iter().flatten();
        faces.filter_map(|face| self.of_area[face]).map(|number| &self.all[number]).next()
    }
}

fn of_raster(plan: &Raster) -> Components {
    let (columns, rows) = (plan.columns(), plan.rows());
    let mut components = Vec::new();
    let mut of_cell = vec![None; columns * rows];
    for start in 0..of_cell.len() {
        let cell = (start % columns, start / columns);
        if of_cell[start].is_some() || !plan.at(cell.0, cell.1).is_solid() {
            continue;
        }
        let number = components.len();
        of_cell[start] = Some(number);
        let mut environments = BTreeSet::new();
        let mut open = vec![cell];
        while let Some((i, j)) = open.pop() {
            let west = i.checked_sub(1).map(|west| (west, j));
            let east = (i + 1 < columns).then_some((i + 1, j));
            let south = j.checked_sub(1).map(|south| (i, south));
            let north = (j + 1 < rows).then_some((i, j + 1));
            for (i, j) in [west, east, south, north].into_iter().flatten() {
                match plan.at(i, j) {
                    Filling::Space(environment) => {
                        environments.insert(environment);
                    }
                    Filling::Solid(_) if of_cell[j * columns + i].is_none() => {
                        of_cell[j * columns + i] = Some(number);
                        open.push((i, j));
                    }
                    _ => {}
                }
            }
        }
        let middle = |axis: Axis, index: usize| {
            let lines = if axis == Axis::X { &plan.xs } else { &plan.ys };
            f64::midpoint(lines[index], lines[index + 1])
        };
        components
            .push(Component { within: [middle(Axis::X, cell.0), middle(Axis::Y, cell.1)], environments });
    }
    Components { all: components, of_area: of_cell }
}

fn of_edges(edges: &Edges) -> Components {
    let faces = &edges.faces;
    let is_solid = |face: usize| Filling::from(faces.faces[face].filling).is_solid();
    let mut groups = Groups::new(faces.faces.len());
    for beside in &faces.beside {
        if let [Some(one), Some(other)] = *beside
            && is_solid(one)
            && is_solid(other)
        {
            groups.join(one, other);
        }
    }
    let mut all: Vec<Component> = Vec::new();
    let mut of_area = vec![None; faces.faces.len()];
    for face in (0..of_area.len()).filter(|face| is_solid(*face)) {
        let first = groups.first(face);
        if of_area[first].is_none() {
            of_area[first] = Some(all.len());
            all.push(Component { within: faces.faces[face].within, environments: BTreeSet::new() });
        }
        of_area[face] = of_area[first];
    }
    for beside in &faces.beside {
        let [Some(one), Some(other)] = *beside else { continue };
        for (face, before) in [(one, other), (other, one)] {
            if let (Some(number), Filling::Space(environment)) =
                (of_area[face], Filling::from(faces.faces[before].filling))
            {
                all[number].environments.insert(environment);
            }
        }
    }
    Components { all, of_area }
}
