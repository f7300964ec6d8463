//! The temperature at places: in triangles, along surfaces, and where a surface is coldest.

use super::properties::Film;
use super::solids::{Solids, Temperatures};
use super::system::{Pair, System};

/// A piece of surface: an edge of one triangle, with the solid on its left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmEdge {
    /// The triangle.
    pub triangle: usize,
    /// The solid that it is a part of.
    pub solid: usize,
    /// The segment of the drawing that the edge is a piece of.
    pub segment: usize,
    /// Its corner opposite the edge.
    pub opposite: usize,
    /// What lies before it.
    pub film: Film,
    /// Both ends, m.
    pub ends: [[f64; 2]; 2],
}

/// A place on a surface, and its temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coldest {
    /// The temperature.
    pub temperature: f64,
    /// Where, m.
    pub point: [f64; 2],
    /// On which edge.
    pub edge: FilmEdge,
    /// How far along it, from 0 to 1.
    pub part: f64,
}

impl Solids {
    /// The surfaces, in the order of triangles.
    pub fn film_edges(&self) -> impl Iterator<Item = FilmEdge> {
        self.nodes.edges.iter().filter_map(|edge| {
            let (cell, [first, last, _]) = (&self.nodes.cells[edge.cell], edge.places());
            Some(FilmEdge {
                triangle: cell.triangle,
                solid: cell.solid,
                segment: edge.segment,
                opposite: edge.opposite,
                film: edge.film?,
                ends: [cell.points[first], cell.points[last]],
            })
        })
    }

    /// The temperature in a triangle of the mesh at given barycentric coordinates; none if it holds no solid,
    /// or solid that touches no film and so has no definite temperature.
    pub fn temperature(&self, field: &Temperatures, triangle: usize, at: [f64; 3]) -> Option<f64> {
        let cell = self.nodes.cell_of.get(triangle).copied().flatten()?;
        Some(quadratic(&self.within(field, cell), at))
    }

    /// The temperature at a part (0 to 1) of an edge; none as for a triangle.
    pub fn temperature_along(&self, field: &Temperatures, edge: &FilmEdge, part: f64) -> Option<f64> {
        let mut at = [0.0; 3];
        at[(edge.opposite + 1) % 3] = 1.0 - part;
        at[(edge.opposite + 2) % 3] = part;
        self.temperature(field, edge.triangle, at)
    }

    /// How far along an edge, between its ends, it is coldest; none if that is at an end.
    pub fn coldest_on(&self, field: &Temperatures, edge: &FilmEdge) -> Option<f64> {
        let value = |part: f64| self.temperature_along(field, edge, part);
        lowest_between(value(0.0)?, value(0.5)?, value(1.0)?)
    }

    /// The coldest place of the surfaces towards an environment, the first of equals; none if there are none.
    pub fn coldest(&self, field: &Temperatures, environment: usize) -> Option<Coldest> {
        self.coldest_where(field, |edge| edge.film.environment == environment)
    }

    /// The coldest place of the surfaces that count, the first of equals; none if none do.
    pub fn coldest_where(&self, field: &Temperatures, counts: impl Fn(&FilmEdge) -> bool) -> Option<Coldest> {
        let mut coldest: Option<Coldest> = None;
        for edge in self.film_edges().filter(counts) {
            let value = |part: f64| self.temperature_along(field, &edge, part);
            let (Some(first), Some(middle), Some(last)) = (value(0.0), value(0.5), value(1.0)) else {
                continue;
            };
            for part in [0.0, 1.0].into_iter().chain(lowest_between(first, middle, last)) {
                let Some(temperature) = value(part) else { continue };
                if coldest.is_none_or(|coldest| temperature < coldest.temperature) {
                    let [from, to] = edge.ends;
                    let point = [0, 1].map(|axis| from[axis] + part * (to[axis] - from[axis]));
                    coldest = Some(Coldest { temperature, point, edge, part });
                }
            }
        }
        coldest
    }
}

impl System {
    /// The stream function in a triangle, W/m; none as for the temperature. It jumps from triangle to triangle
    /// where heat flows from one loop of the boundary to another.
    pub fn stream(&self, pair: &Pair, triangle: usize, at: [f64; 3]) -> Option<f64> {
        let cell = self.solids.nodes.cell_of.get(triangle).copied().flatten()?;
        Some(quadratic(&self.stream_in(pair, cell), at))
    }
}

/// Where the quadratic through three values has its lowest point, if that lies between the ends: with u = first
/// + b·s + c·s², at s = −b/2c.
fn lowest_between(first: f64, middle: f64, last: f64) -> Option<f64> {
    let (before, after) = (middle - first, last - middle);
    let (slope, bend) = (3.0 * before - after, 2.0 * (after - before));
    (bend > 0.0 && slope < 0.0 && slope + 2.0 * bend > 0.0).then(|| -slope / (2.0 * bend))
}

/// A quadratic from its six values at barycentric coordinates.
fn quadratic(value: &[f64; 6], [a, b, c]: [f64; 3]) -> f64 {
    (a * (2.0 * a - 1.0) * value[0] + b * (2.0 * b - 1.0) * value[1] + c * (2.0 * c - 1.0) * value[2])
        + 4.0 * (b * c * value[3] + c * a * value[4] + a * b * value[5])
}

#[cfg(test)]
mod tests {
    use super::lowest_between;

    #[test]
    fn lowest_points_of_quadratics() {
        for (lowest, bend) in [(0.3, 2.0), (0.01, 1e-6), (0.99, 1e9)] {
            let value = |s: f64| 5.0 + bend * (s - lowest) * (s - lowest);
            let found = lowest_between(value(0.0), value(0.5), value(1.0)).unwrap();
            assert!((found - lowest).abs() < 1e-9);
            assert!(lowest_between(-value(0.0), -value(0.5), -value(1.0)).is_none());
        }
        assert!(lowest_between(0.0, 1.0, 2.0).is_none());
        assert!(lowest_between(1.0, 0.4, 0.0).is_none());
    }
}
