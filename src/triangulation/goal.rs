//! The temperature at a place, and how exactly it is known.
//!
//! A place has a temperature on the mesh, and near it there are triangles or edges of a surface over which a mean
//! is taken, whose error the response to a source there tells (`response.rs`):
//!
//! ```text
//! T(place) = mean of T there + (T(place) − mean of T there)
//!            half of ⟨r_T, r_G⟩    the shape of T near the place is that of T_h, but for
//!            mends most of its     a path from anywhere in the triangle to the place along
//!            error                 which ∇T_h and −K⁻¹q_h differ: ∫ (∇T_h + K⁻¹q_h)·ds
//! ```
//!
//! **The coldest place of a surface.** Along a plane wall and in alike corners the lowest of equal temperatures is
//! a matter of rounding; no such chance may decide the mesh. So the mean is taken over all edges that are coldest
//! or nearly so, with a weight that falls as exp(−(T − T_min)/`NEARLY`). And another place may be colder than the
//! mesh knows: where ∇T_h and −K⁻¹q_h differ much, the surface may be colder by as much. How far the coldest such
//! temperature lies below the coldest one on the mesh counts as the shape.

use super::response::Gap;
use super::sampling::FilmEdge;
use super::source::Source;
use super::system::{Pair, System};

/// Difference from the lowest temperature, as a part of the error allowed, at which a place still counts as
/// coldest to 37 %.
const NEARLY: f64 = 0.2;
/// Edges with less of the weight are left aside.
const LEAST_WEIGHT: f64 = 1e-6;
/// A place this much outside a triangle, in barycentric coordinates, still touches it.
const TOUCHES: f64 = 1e-9;
/// Temperatures that differ by less than this part of them are one.
const ALIKE: f64 = 1e-9;
/// What rounding may leave, as a part of the largest difference of temperatures.
const OF_ROUNDING: f64 = 1e-9;
/// The error as a part of the sum over triangles, whose signs are lost. Chosen with the next two on 222 random walls
/// with λ from 0.01 to 400, solved to 0.1 and to 0.02 K (points 0.4 % beyond what is stated, coldest places none of
/// 435), tried on 150 others: 1 015 of 1 017 errors hold, the worst is 1.16 times what is stated, the median a
/// twelfth of it (tests/triangulation_goals.rs).
const OF_SUM: f64 = 0.35;
/// The error as a part of what the response mends.
const OF_MENDED: f64 = 0.5;
/// The error as a part of what the temperature and the flux of a triangle disagree about, along its edges.
const OF_SHAPE: f64 = 0.5;

/// Whose temperature is wanted.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// A point in a solid or on its surface, m.
    Point([f64; 2]),
    /// The coldest place of the surfaces of some solids towards an environment.
    Coldest {
        /// The number of the environment.
        environment: usize,
        /// By solid, whether its surfaces count; those beyond the end do not.
        solids: Vec<bool>,
    },
}

/// A temperature wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Goal {
    /// Whose.
    pub place: Place,
    /// The error allowed, in the unit of the environments' temperatures.
    pub allowed: f64,
}

/// A temperature, and how exactly it is known. All but the point in the unit of the environments' temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The temperature.
    pub temperature: f64,
    /// Where, m.
    pub point: [f64; 2],
    /// The error allowed.
    pub allowed: f64,
    /// What the response has mended: the temperature on the mesh is lower by this.
    pub mended: f64,
    /// Half the sum over triangles of the mismatch of the temperature times that of the response.
    pub by_sum: f64,
    /// By how much the temperature at the place and that near it may differ more or less than on the mesh; for a
    /// coldest place, by how much some place may be colder.
    pub shape: f64,
    /// The error of the mean near the place is no larger than this, for certain; infinite where surfaces of
    /// different fixed temperatures meet.
    pub of_mean: f64,
    /// What rounding may leave.
    pub rounding: f64,
}

impl Known {
    /// The error stated, which is an estimate.
    pub fn error(&self) -> f64 {
        self.rounding + (OF_SUM * self.by_sum).max(OF_MENDED * self.mended.abs()) + self.shape
    }

    /// True if it is as exact as wanted.
    pub fn is_exact(&self) -> bool {
        self.error() <= self.allowed
    }
}

/// A place on a mesh.
struct Placed {
    point: [f64; 2],
    temperature: f64,
    source: Source,
    /// Cells, and how far the shape of the temperature there is known.
    shape: Vec<(usize, f64)>,
}

impl System {
    /// The temperature at a place, and what each triangle of the mesh adds to its error; none where there is no
    /// solid, or no surface that counts. `gap` is that of the pair.
    pub(super) fn know(&self, pair: &Pair, gap: &Gap, goal: &Goal) -> Option<(Known, Vec<f64>)> {
        let placed = match &goal.place {
            Place::Point(point) => self.at_point(pair, gap, *point)?,
            Place::Coldest { environment, solids } => {
                let counts = |edge: &FilmEdge| {
                    edge.film.environment == *environment && solids.get(edge.solid) == Some(&true)
                };
                self.at_coldest(pair, gap, counts, NEARLY * goal.allowed)?
            }
        };
        let response = self.response(&placed.source);
        let (own, of_response) = (self.product(gap, gap), self.product(&response, &response));
        let mended = 0.5 * self.product(gap, &response).iter().sum::<f64>();
        let mut parts: Vec<f64> =
            own.iter().zip(&of_response).map(|(own, of_response)| 0.5 * (own * of_response).sqrt()).collect();
        let by_sum = parts.iter().sum();
        let whole = |mismatch: &[f64]| mismatch.iter().sum::<f64>().sqrt();
        let is_finite = !self.solids.has_jump(pair.environments());
        let of_mean = if is_finite { 0.5 * whole(&own) * whole(&of_response) } else { f64::INFINITY };
        let shape = placed.shape.iter().map(|(_, shape)| *shape).fold(0.0, f64::max);
        for (cell, shape) in placed.shape {
            parts[self.solids.nodes.cells[cell].triangle] += shape;
        }
        let known = Known {
            temperature: placed.temperature + mended,
            point: placed.point,
            allowed: goal.allowed,
            mended,
            by_sum,
            shape,
            of_mean,
            rounding: OF_ROUNDING * difference(pair),
        };
        Some((known, parts))
    }

    /// A point: a source in all triangles that touch it. Where solids touch in a point only, each has a temperature
    /// of its own there: the lowest counts.
    fn at_point(&self, pair: &Pair, gap: &Gap, point: [f64; 2]) -> Option<Placed> {
        let mut touching: Vec<(usize, f64)> = Vec::new();
        for (cell, here) in self.solids.nodes.cells.iter().enumerate() {
            let at = self.solids.shapes[cell].coordinates(&here.points, point);
            if at.iter().all(|part| *part >= -TOUCHES) {
                touching.push((cell, self.solids.temperature(&pair.temperature, here.triangle, at)?));
            }
        }
        let (lowest, highest) = extremes(touching.iter().map(|(_, temperature)| *temperature))?;
        // Cells that share the point differ by rounding only.
        let alike = ALIKE * (highest.abs() + lowest.abs() + difference(pair));
        touching.retain(|(_, temperature)| *temperature <= lowest + alike);
        let part = 1.0 / touching.len() as f64;
        let shape = touching.iter().map(|(cell, _)| (*cell, OF_SHAPE * self.off(gap, *cell))).collect();
        let cells = touching.into_iter().map(|(cell, _)| (cell, part)).collect();
        Some(Placed { point, temperature: lowest, source: Source { cells, edges: Vec::new() }, shape })
    }

    /// The coldest place of the surfaces that count: a source on all edges that are coldest or nearly so.
    fn at_coldest(
        &self,
        pair: &Pair,
        gap: &Gap,
        counts: impl Fn(&FilmEdge) -> bool,
        nearly: f64,
    ) -> Option<Placed> {
        let coldest = self.solids.coldest_where(&pair.temperature, &counts)?;
        let films = self.solids.nodes.edges.iter().enumerate().filter(|(_, edge)| edge.film.is_some());
        let (mut edges, mut shape) = (Vec::new(), Vec::new());
        for ((number, edge), film_edge) in films.zip(self.solids.film_edges()) {
            if !counts(&film_edge) {
                continue;
            }
            let above = edge
                .places()
                .map(|place| self.solids.within(&pair.temperature, edge.cell)[place] - coldest.temperature);
            let [first, last, middle] = above.map(|above| libm::exp(-above / nearly));
            let is_coldest = film_edge == coldest.edge;
            let weight = ((first + 4.0 * middle + last) / 6.0).max(if is_coldest { 1.0 / 6.0 } else { 0.0 });
            if weight > LEAST_WEIGHT {
                edges.push((number, edge.length * weight));
            }
            let lowest = if is_coldest { 0.0 } else { above.iter().copied().fold(f64::INFINITY, f64::min) };
            // A surface of fixed temperature is no colder.
            if film_edge.film.resistance > 0.0 {
                shape.push((edge.cell, (OF_SHAPE * self.off(gap, edge.cell) - lowest).max(0.0)));
            }
        }
        let whole: f64 = edges.iter().map(|(_, weight)| weight).sum();
        for (_, weight) in &mut edges {
            *weight /= whole;
        }
        let source = Source { cells: Vec::new(), edges };
        Some(Placed { point: coldest.point, temperature: coldest.temperature, source, shape })
    }

    /// How much the temperature and the flux of a cell differ about the difference of temperatures along its
    /// edges, at most.
    fn off(&self, gap: &Gap, cell: usize) -> f64 {
        let points = &self.solids.nodes.cells[cell].points;
        let gradients = gap.flux[cell].map(|flux| self.solids.conductivity[cell].inverse_times(flux));
        let along = |side: usize| {
            let [a, b] = [points[(side + 1) % 3], points[(side + 2) % 3]];
            let squares = gradients.iter().map(|[x, y]| {
                let along = x * (b[0] - a[0]) + y * (b[1] - a[1]);
                along * along
            });
            (squares.sum::<f64>() / 3.0).sqrt()
        };
        along(0).max(along(1)).max(along(2))
    }
}

/// The largest difference between the temperatures of environments.
fn difference(pair: &Pair) -> f64 {
    let (highest, lowest) = crate::bounds::range(pair.environments());
    highest - lowest
}

/// The lowest and the highest of some values; none if there are none.
fn extremes(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let both = values.map(|value| (value, value));
    both.reduce(|(lowest, highest), (value, _)| (lowest.min(value), highest.max(value)))
}
