//! The hierarchy of grids and the cycle over it.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use rayon::prelude::*;

use super::level::{Level, NotPositiveDefinite};
use super::relaxation::{self, WORTH_SHARING};
use super::transfer::Transfer;

/// A grid with at most this many vertices is solved directly.
const COARSEST: usize = 120;
/// A direction with fewer lines than this is not coarsened any further.
const SHORT: usize = 5;
/// Visits of the next coarser level in one cycle: 2 makes it a W-cycle, which halves the iterations of a V-cycle at a third more
/// work each, since every level has a quarter of the vertices of the one before.
const VISITS: usize = 2;

/// The operator on all grids, ready to precondition.
#[derive(Clone, Debug)]
pub struct Hierarchy {
    levels: Vec<Level>,
    transfers: Vec<Transfer>,
    coarsest: Cholesky<f64, Dyn>,
}

/// Arrays for one cycle, one set a level.
pub struct Workspace {
    x: Vec<Vec<f64>>,
    b: Vec<Vec<f64>>,
    residual: Vec<Vec<f64>>,
}

impl Hierarchy {
    /// Builds all levels below the finest.
    ///
    /// # Errors
    /// [`NotPositiveDefinite`] if a factorisation fails.
    pub fn of(finest: Level) -> Result<Self, NotPositiveDefinite> {
        let mut levels = vec![finest];
        let mut transfers = Vec::new();
        loop {
            let last = levels.len() - 1;
            let level = &mut levels[last];
            level.factor_lines()?;
            if level.vertices() <= COARSEST {
                break;
            }
            let (along_x, along_y) = (level.columns >= SHORT, level.rows >= SHORT);
            let transfer = Transfer::of(level, along_x, along_y);
            let coarse = transfer.galerkin(level);
            transfers.push(transfer);
            levels.push(coarse);
        }
        let coarsest = dense(&levels[levels.len() - 1]).cholesky().ok_or(NotPositiveDefinite)?;
        Ok(Self { levels, transfers, coarsest })
    }

    /// The finest level.
    pub fn finest(&self) -> &Level {
        &self.levels[0]
    }

    /// Number of levels.
    pub fn depth(&self) -> usize {
        self.levels.len()
    }

    /// Arrays for [`Self::precondition`].
    pub fn workspace(&self) -> Workspace {
        let arrays = || self.levels.iter().map(|level| vec![0.0; level.size()]).collect();
        Workspace { x: arrays(), b: arrays(), residual: arrays() }
    }

    /// One cycle from zero for A·z = r: the preconditioner. Symmetric and positive definite.
    pub fn precondition(&self, r: &[f64], z: &mut [f64], workspace: &mut Workspace) {
        workspace.b[0].copy_from_slice(r);
        workspace.x[0].fill(0.0);
        self.descend(0, workspace);
        z.copy_from_slice(&workspace.x[0]);
    }

    /// One cycle on a level and all below, improving x[depth].
    fn descend(&self, depth: usize, workspace: &mut Workspace) {
        let level = &self.levels[depth];
        if depth == self.transfers.len() {
            self.solve_coarsest(level, &workspace.b[depth], &mut workspace.x[depth]);
            return;
        }
        {
            let (x, b) = (&mut workspace.x[depth], &workspace.b[depth]);
            relaxation::rows(level, x, b, 0);
            relaxation::rows(level, x, b, 1);
            relaxation::columns(level, x, b, 0);
            relaxation::columns(level, x, b, 1);
        }
        residual(level, &workspace.x[depth], &workspace.b[depth], &mut workspace.residual[depth]);
        let transfer = &self.transfers[depth];
        let coarse_stride = self.levels[depth + 1].stride;
        transfer.restrict(level, &workspace.residual[depth], coarse_stride, &mut workspace.b[depth + 1]);
        workspace.x[depth + 1].fill(0.0);
        // On the coarsest level the first visit is exact already.
        let visits = if depth + 1 == self.transfers.len() { 1 } else { VISITS };
        for _ in 0..visits {
            self.descend(depth + 1, workspace);
        }
        let (finer, coarser) = workspace.x.split_at_mut(depth + 1);
        transfer.prolong(level, &coarser[0], coarse_stride, &mut finer[depth]);
        let (x, b) = (&mut workspace.x[depth], &workspace.b[depth]);
        relaxation::columns(level, x, b, 1);
        relaxation::columns(level, x, b, 0);
        relaxation::rows(level, x, b, 1);
        relaxation::rows(level, x, b, 0);
    }

    fn solve_coarsest(&self, level: &Level, b: &[f64], x: &mut [f64]) {
        let places = || (0..level.rows).flat_map(move |j| (0..level.columns).map(move |i| level.at(i, j)));
        let mut solution = DVector::from_iterator(level.vertices(), places().map(|place| b[place]));
        self.coarsest.solve_mut(&mut solution);
        for (place, value) in places().zip(solution.iter()) {
            x[place] = *value;
        }
    }
}

fn dense(level: &Level) -> DMatrix<f64> {
    let mut matrix = DMatrix::zeros(level.vertices(), level.vertices());
    let mut unit = vec![0.0; level.size()];
    let mut column = vec![0.0; level.columns];
    for number in 0..level.vertices() {
        let place = level.at(number % level.columns, number / level.columns);
        unit[place] = 1.0;
        for j in 0..level.rows {
            level.apply_row(&unit, j, &mut column);
            for (i, value) in column.iter().enumerate() {
                matrix[(j * level.columns + i, number)] = *value;
            }
        }
        unit[place] = 0.0;
    }
    matrix
}

/// r = b − A·x.
pub fn residual(level: &Level, x: &[f64], b: &[f64], r: &mut [f64]) {
    let s = level.stride;
    let row = |j: usize, target: &mut [f64]| {
        let start = level.at(0, j);
        for (offset, entry) in target[1..=level.columns].iter_mut().enumerate() {
            let here = start + offset;
            *entry = b[here] - level.center[here] * x[here] + level.neighbours(x, here);
        }
    };
    let rows = &mut r[s..s * (level.rows + 1)];
    if level.vertices() < WORTH_SHARING {
        rows.chunks_mut(s).enumerate().for_each(|(j, target)| row(j, target));
    } else {
        rows.par_chunks_mut(s).enumerate().for_each(|(j, target)| row(j, target));
    }
}
