//! What a field is drawn on, a grid or triangles, and all that a picture asks of it.

use super::chains::Point;
use super::isotherms;
use super::triangles::Triangles;
use super::view::clipped;
use crate::conduction::Network;
use crate::geometry::Rectangle;
use crate::grid::Grid;
use crate::plan::{Raster, interval};
use crate::result::stream::{Stream, stream};
use crate::result::{Fields, Ground, Outcome, Patches};

/// A grid or triangles, ready to be asked. Fields on it are told by the values at its vertices.
pub(super) enum FieldGround<'a> {
    /// Bilinear in cells.
    Grid {
        /// What fills the cells.
        raster: &'a Raster,
        grid: &'a Grid,
    },
    /// Linear in triangles, which lie in solids only.
    Triangles { patches: &'a Patches, lookup: Triangles<'a> },
}

impl<'a> FieldGround<'a> {
    /// Of fields.
    pub fn of(fields: &'a Fields) -> Self {
        match &fields.ground {
            Ground::Grid { raster, grid } => Self::Grid { raster, grid },
            Ground::Triangles(patches) => {
                Self::Triangles { patches, lookup: Triangles::of(&patches.points, &patches.corners) }
            }
        }
    }

    /// The places of the vertices, m.
    pub fn places(&self) -> Vec<Point> {
        match self {
            Self::Grid { grid, .. } => (0..grid.vertices()).map(|vertex| grid.position(vertex)).collect(),
            Self::Triangles { patches, .. } => patches.points.iter().map(|[x, y]| (*x, *y)).collect(),
        }
    }

    /// The value at a point within solids; none elsewhere, and where it is not known.
    pub fn in_solid(&self, value: &[f64], x: f64, y: f64) -> Option<f64> {
        if let Self::Grid { raster, grid } = self {
            let (i, j) = (interval(&grid.x.positions, x)?, interval(&grid.y.positions, y)?);
            if !grid.filling(raster, i, j).is_solid() {
                return None;
            }
        }
        self.at(value, x, y)
    }

    /// The value at a point within solids or on their border; none where it is not known.
    pub fn at(&self, value: &[f64], x: f64, y: f64) -> Option<f64> {
        let here = match self {
            Self::Grid { grid, .. } => {
                let locate = |lines: &[f64], value: f64| {
                    let cell = interval(lines, value)?;
                    Some((cell, (value - lines[cell]) / (lines[cell + 1] - lines[cell])))
                };
                let ((i, right), (j, up)) = (locate(&grid.x.positions, x)?, locate(&grid.y.positions, y)?);
                let (vertex, above) = (j * grid.vertex_columns() + i, grid.vertex_columns());
                let row = |first: usize| between(value[first], value[first + 1], right);
                between(row(vertex), row(vertex + above), up)
            }
            Self::Triangles { patches, lookup } => {
                let (triangle, weights) = lookup.at(x, y)?;
                let corners = patches.corners[triangle].map(|corner| value[corner as usize]);
                corners.iter().zip(weights).map(|(value, weight)| value * weight).sum()
            }
        };
        (!here.is_nan()).then_some(here)
    }

    /// The lines of a level within solids and a rectangle, m. They end where the value is not known.
    pub fn lines(&self, value: &[f64], level: f64, within: Rectangle) -> Vec<Vec<Point>> {
        let lines = match self {
            Self::Grid { raster, grid } => {
                let (xs, ys) = (&grid.x.positions, &grid.y.positions);
                let above = grid.vertex_columns();
                isotherms::on_grid(grid, value, level, |i, j| {
                    let vertex = j * above + i;
                    xs[i + 1] >= within.x.from
                        && xs[i] <= within.x.to
                        && ys[j + 1] >= within.y.from
                        && ys[j] <= within.y.to
                        && grid.filling(raster, i, j).is_solid()
                        && [vertex, vertex + 1, vertex + above, vertex + above + 1]
                            .iter()
                            .all(|corner| value[*corner].is_finite())
                })
            }
            Self::Triangles { patches, .. } => {
                isotherms::on_triangles(&patches.points, &patches.corners, value, level, |corners| {
                    corners.iter().all(|corner| value[*corner as usize].is_finite())
                })
            }
        };
        // Those at the border reach beyond it; what sticks out is cut off, in as many pieces as it takes.
        lines.iter().flat_map(|line| clipped(within, line)).collect()
    }

    /// The stream function of the heat flow at temperatures (°C, those for heat loss) and the size of the flux;
    /// none if no heat flows.
    pub fn stream(&self, outcome: &Outcome, temperatures: &[f64]) -> Option<Stream> {
        match self {
            Self::Grid { raster, grid } => {
                let network = Network::of(&outcome.case.model, raster, &outcome.surfaces, grid);
                stream(&outcome.case, raster, grid, &network, temperatures)
            }
            Self::Triangles { patches, .. } => {
                Some(Stream { function: patches.stream.clone(), flux: patches.flux.clone() })
            }
        }
    }
}

/// From one value to another; an end that does not count need not be known.
fn between(from: f64, to: f64, part: f64) -> f64 {
    if part == 0.0 {
        from
    } else if part == 1.0 {
        to
    } else {
        from * (1.0 - part) + to * part
    }
}
