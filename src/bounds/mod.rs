//! Two-sided bounds of the heat loss from one solution, and where their difference comes from.
//!
//! Let θ be the exact temperature for given environment temperatures θₑ, and
//!
//! ```text
//! E = ∫ λ|∇θ|² + ∮ (θ − θₑ)²/Rs          which for two temperatures is L2D·(θ₁ − θ₂)²
//! ```
//!
//! **From above** (Dirichlet's principle): θ minimises this expression among all continuous temperatures that
//! take the fixed values where Rs = 0. The bilinear interpolant T of the vertex temperatures is one of them,
//! so `potential` J(T) ≥ E.
//!
//! **From below** (Thomson's principle): for any heat flux q without sources, with q_n its part out of the
//! surface,
//!
//! ```text
//! 0 ≤ ∫ |λ∇θ + q|²/λ + ∮ ((θ − θₑ)/Rs − q_n)²·Rs  =  E + A − 2B,     A = ∫ |q|²/λ + ∮ Rs·q_n²,   B = −∮ θₑ·q_n
//! ```
//!
//! by Green's theorem. Putting s·q for q and choosing the best s gives E ≥ B²/A. The same with T in place of
//! θ shows that J(T) − (2B − A) = ∫ |λ∇T + q|²/λ + ∮ ((T − θₑ)/Rs − q_n)²·Rs, a sum of squares over the
//! cells: the [indicator](Mismatch) of where the two disagree (Prager and Synge, Quart. Appl. Math. 5 (1947)
//! 241–269).
//!
//! **The flux** comes from the scheme, whose flows balance on every control volume (`quarters.rs`). An
//! imbalance that the solver has left is a source d there; it adds 2∫ θ·d to the right-hand side, and since
//! θ, counted from the middle of the range of θₑ, is never larger than half that range Δ, B − (Δ/2)·∫|d|
//! takes the place of B. So the bounds hold for unfinished solutions too.
//!
//! **Pairs of environments** by polarisation (`polarisation.rs`).

mod bracket;
mod polarisation;
mod quarters;

use rayon::prelude::*;

use crate::conduction::Network;
use crate::geometry::Axis;
use crate::grid::Grid;
use crate::model::Model;
use crate::plan::{Filling, Raster};
pub use bracket::{Bracket, NoBracket, Pass};
pub use polarisation::polarised;
pub use quarters::Mismatch;
use quarters::{Sums, each_quarter};

/// The energies of a field, W·K/m, and the mismatch between them.
#[derive(Clone, Debug)]
pub struct Energies {
    /// J(T).
    pub potential: f64,
    /// A.
    pub dissipation: f64,
    /// B.
    pub work: f64,
    /// What the imbalances could add to B.
    pub unbalanced: f64,
    /// The mismatch by columns of cells that narrower columns would lower, W·K/m.
    pub by_column: Vec<f64>,
    /// The same by rows.
    pub by_row: Vec<f64>,
}

/// A grid's cells and films, arranged for evaluating fields on it.
#[derive(Clone, Debug)]
pub struct Evaluation<'a> {
    network: &'a Network,
    grid: &'a Grid,
    /// λ along x and y of each cell; zeros where it is not solid.
    conductivity: Vec<[f64; 2]>,
    /// For each vertex, 1 + the number of the upright face that begins there, 0 for none.
    upright: Vec<u32>,
    /// The same for level faces.
    level: Vec<u32>,
}

/// Fewer vertices than this are not shared among threads.
const QUARTERS_WORTH_SHARING: usize = 4_000;

impl<'a> Evaluation<'a> {
    /// Arranges a network on its grid.
    pub fn of(model: &Model, plan: &Raster, grid: &'a Grid, network: &'a Network) -> Self {
        let (columns, rows) = (network.columns, network.rows);
        let conductivity = (0..rows - 1)
            .flat_map(|j| (0..columns - 1).map(move |i| (i, j)))
            .map(|(i, j)| match grid.filling(plan, i, j) {
                Filling::Solid(material) => {
                    [model.materials[material].conductivity_x, model.materials[material].conductivity_y]
                }
                _ => [0.0; 2],
            })
            .collect();
        let (mut upright, mut level) = (vec![0; columns * rows], vec![0; columns * rows]);
        for (number, face) in network.faces.iter().enumerate() {
            let starts = if face.normal == Axis::X { &mut upright } else { &mut level };
            starts[face.vertices[0]] = number as u32 + 1;
        }
        Self { network, grid, conductivity, upright, level }
    }

    /// The energies of a field (one temperature a vertex, anything where there is no solid) at given
    /// environment temperatures.
    pub fn energies(&self, temperature: &[f64], environment_temperatures: &[f64]) -> Energies {
        let (columns, rows) = (self.network.columns, self.network.rows);
        let (highest, lowest) = range(environment_temperatures);
        let middle = f64::midpoint(highest, lowest);
        let environments: Vec<f64> =
            environment_temperatures.iter().map(|temperature| temperature - middle).collect();
        // A block of rows at a time; blocks do not depend on the number of threads, so neither does the order
        // of the sums.
        const ROWS_TOGETHER: usize = 16;
        let block = |first: usize| {
            let rows_here = first..(first + ROWS_TOGETHER).min(rows);
            let mut block = Block {
                sums: Sums::default(),
                by_column: vec![0.0; columns - 1],
                by_row: vec![0.0; rows_here.len() + 1],
            };
            let Block { sums, by_column, by_row } = &mut block;
            for j in rows_here {
                for i in 0..columns {
                    each_quarter(
                        self,
                        temperature,
                        middle,
                        &environments,
                        (i, j),
                        sums,
                        |(i, j), mismatch| {
                            by_column[i] += mismatch.along_x;
                            by_row[j + 1 - first] += mismatch.along_y;
                        },
                    );
                }
            }
            (first, block)
        };
        let starts: Vec<usize> = (0..rows).step_by(ROWS_TOGETHER).collect();
        let blocks: Vec<(usize, Block)> = if columns * rows >= QUARTERS_WORTH_SHARING {
            starts.into_par_iter().map(block).collect()
        } else {
            starts.into_iter().map(block).collect()
        };
        let mut sums = Sums::default();
        let (mut by_column, mut by_row) = (vec![0.0; columns - 1], vec![0.0; rows - 1]);
        for (first, block) in blocks {
            sums.potential += block.sums.potential;
            sums.dissipation += block.sums.dissipation;
            sums.work += block.sums.work;
            sums.imbalance += block.sums.imbalance;
            by_column.iter_mut().zip(&block.by_column).for_each(|(sum, part)| *sum += part);
            for (offset, part) in block.by_row.iter().enumerate() {
                if let Some(sum) = (first + offset).checked_sub(1).and_then(|row| by_row.get_mut(row)) {
                    *sum += part;
                }
            }
        }
        let unbalanced = 0.5 * (highest - lowest) * sums.imbalance;
        Energies {
            potential: sums.potential,
            dissipation: sums.dissipation,
            work: sums.work,
            unbalanced,
            by_column,
            by_row,
        }
    }

    /// The mismatch in each cell, W·K/m, row by row.
    pub fn mismatch_by_cell(&self, temperature: &[f64], environment_temperatures: &[f64]) -> Vec<f64> {
        let cells = self.mismatch_in_cells(temperature, environment_temperatures);
        cells.iter().map(|mismatch| mismatch.along_x + mismatch.along_y).collect()
    }

    /// The same by the direction in which cells must become narrower to lower it.
    pub fn mismatch_in_cells(&self, temperature: &[f64], environment_temperatures: &[f64]) -> Vec<Mismatch> {
        let columns = self.network.columns;
        let mut cells = vec![Mismatch::default(); self.conductivity.len()];
        for j in 0..self.network.rows {
            for i in 0..columns {
                each_quarter(
                    self,
                    temperature,
                    0.0,
                    environment_temperatures,
                    (i, j),
                    &mut Sums::default(),
                    |(i, j), mismatch| {
                        let cell = &mut cells[j * (columns - 1) + i];
                        cell.along_x += mismatch.along_x;
                        cell.along_y += mismatch.along_y;
                    },
                );
            }
        }
        cells
    }
}

/// Highest and lowest.
pub fn range(temperatures: &[f64]) -> (f64, f64) {
    let fold = |start, choose: fn(f64, f64) -> f64| temperatures.iter().copied().fold(start, choose);
    (fold(f64::NEG_INFINITY, f64::max), fold(f64::INFINITY, f64::min))
}

/// The bracket of L2D between two environments, or groups of them, from the two fields with one group at 1
/// and all others at 0; W/(m·K) for fields in K per K.
///
/// # Errors
/// [`NoBracket`] if the energies are not finite or contradict each other.
pub fn pair(
    evaluation: &Evaluation<'_>,
    fields: [&[f64]; 2],
    units: [&[f64]; 2],
) -> Result<Bracket, NoBracket> {
    let mismatches = [0, 1].map(|one| evaluation.energies(fields[one], units[one]).mismatch());
    polarised(mismatches, |a, b| {
        let combine = |first: &[f64], second: &[f64]| -> Vec<f64> {
            first.iter().zip(second).map(|(first, second)| a * first + b * second).collect()
        };
        evaluation.energies(&combine(fields[0], fields[1]), &combine(units[0], units[1])).bracket()
    })
}

/// What a block of rows of vertices adds.
struct Block {
    sums: Sums,
    by_column: Vec<f64>,
    /// From the row of cells below the first row of vertices.
    by_row: Vec<f64>,
}

impl Energies {
    /// The bracket of E.
    ///
    /// # Errors
    /// [`NoBracket`] if the energies are not finite or contradict each other.
    pub fn bracket(&self) -> Result<Bracket, NoBracket> {
        let work = (self.work - self.unbalanced).max(0.0);
        let lower = if self.dissipation > 0.0 { work * work / self.dissipation } else { 0.0 };
        Bracket::of(lower, self.potential, self.potential)
    }

    /// The whole mismatch, J − 2B + A for a flux in balance.
    pub fn mismatch(&self) -> f64 {
        self.by_column.iter().sum::<f64>() + self.by_row.iter().sum::<f64>()
    }
}
