//! Connected solids: between two of them no heat is conducted.

use crate::model::EnvironmentId;
use std::collections::BTreeSet;

use super::{Filling, Plan};

/// A solid of cells that hang together by their faces.
#[derive(Clone, Debug)]
pub struct Component {
    /// One of its cells.
    pub cell: (usize, usize),
    /// The environments that touch it.
    pub environments: BTreeSet<EnvironmentId>,
}

/// All solids, and for each cell (row by row) the solid it belongs to.
pub fn components(plan: &Plan) -> (Vec<Component>, Vec<Option<usize>>) {
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
        components.push(Component { cell, environments });
    }
    (components, of_cell)
}
