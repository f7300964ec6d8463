//! What solids conduct, what films resist, and what may be wrong with either.

use std::fmt;

use super::metric::Metric;

/// What lies between a surface and an environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// The number of the environment.
    pub environment: usize,
    /// Surface resistance, m²·K/W; 0 fixes the surface at the environment's temperature.
    pub resistance: f64,
}

/// Thermal conductivity in the plane, W/(m·K): a symmetric positive definite tensor K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conductivity {
    /// Along x.
    pub xx: f64,
    /// What a gradient along y drives along x.
    pub xy: f64,
    /// Along y.
    pub yy: f64,
}

impl Conductivity {
    /// The same in all directions.
    pub const fn isotropic(conductivity: f64) -> Self {
        Self { xx: conductivity, xy: 0.0, yy: conductivity }
    }

    /// `along` a direction (a vector of any length), `across` at right angles to it.
    pub fn along(direction: [f64; 2], along: f64, across: f64) -> Self {
        let [x, y] = direction;
        let square = x * x + y * y;
        Self {
            xx: (along * x * x + across * y * y) / square,
            xy: (along - across) * x * y / square,
            yy: (along * y * y + across * x * x) / square,
        }
    }

    /// Lengths as heat sees them in it.
    pub fn metric(&self) -> Metric {
        Metric::of_conductivity([self.xx, self.xy, self.yy])
    }

    /// xx·yy − xy².
    pub(super) fn determinant(&self) -> f64 {
        self.xx * self.yy - self.xy * self.xy
    }

    /// K·v.
    pub(super) fn times(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.xx * x + self.xy * y, self.xy * x + self.yy * y]
    }

    /// K⁻¹·v.
    pub(super) fn inverse_times(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let determinant = self.determinant();
        [(self.yy * x - self.xy * y) / determinant, (self.xx * y - self.xy * x) / determinant]
    }

    /// v·K⁻¹v.
    pub(super) fn inverse_square(&self, [x, y]: [f64; 2]) -> f64 {
        (self.yy * x * x - 2.0 * self.xy * x * y + self.xx * y * y) / self.determinant()
    }

    /// K / det K, which is what the stream function sees (see `stream.rs`).
    pub(super) fn of_stream(&self) -> Self {
        let determinant = self.determinant();
        Self { xx: self.xx / determinant, xy: self.xy / determinant, yy: self.yy / determinant }
    }

    /// True if heat flows from warm to cold in every direction.
    fn is_positive(&self) -> bool {
        [self.xx, self.yy, self.determinant()].iter().all(|value| value.is_finite() && *value > 0.0)
    }
}

/// One of the two fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// T.
    Temperature,
    /// ψ.
    Stream,
}

/// Why there is no system for a mesh.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsolvable {
    /// A solid's conductivity is missing or no positive definite tensor.
    Conductivity {
        /// The solid.
        solid: usize,
    },
    /// A segment's film is missing, or has an environment that is not there or a resistance below 0.
    Film {
        /// The segment.
        segment: usize,
    },
    /// A triangle has no area, the wrong sense, or neighbours that do not agree with it.
    Triangle {
        /// The triangle.
        triangle: usize,
    },
    /// Conductivities, resistances and lengths differ so much that nothing is left of a pivot.
    NotPositiveDefinite {
        /// In the equations of which field.
        field: Field,
    },
    /// The factors would take more work or memory than anything that is drawn for a building.
    TooLarge,
}

impl fmt::Display for Unsolvable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Conductivity { solid } => {
                write!(f, "the conductivity of solid {solid} is not positive in all directions")
            }
            Self::Film { segment } => write!(f, "the surface resistance of segment {segment} is unusable"),
            Self::Triangle { triangle } => write!(f, "triangle {triangle} does not fit into the mesh"),
            Self::TooLarge => write!(f, "the drawing has more edges than triangles can be solved for"),
            Self::NotPositiveDefinite { field } => {
                let field = match field {
                    Field::Temperature => "temperatures",
                    Field::Stream => "heat flows",
                };
                write!(
                    f,
                    "the equations of the {field} lose all digits: conductivities or lengths differ too much"
                )
            }
        }
    }
}

impl std::error::Error for Unsolvable {}

/// # Errors
/// [`Unsolvable::Conductivity`] of the first that is not positive definite.
pub(super) fn check_conductivities(conductivities: &[Conductivity]) -> Result<(), Unsolvable> {
    match conductivities.iter().position(|conductivity| !conductivity.is_positive()) {
        Some(solid) => Err(Unsolvable::Conductivity { solid }),
        None => Ok(()),
    }
}

/// # Errors
/// [`Unsolvable::Film`] of the first that no surface can have.
pub(super) fn check_films(films: &[Option<Film>], environments: usize) -> Result<(), Unsolvable> {
    let unusable = |film: &Option<Film>| {
        film.is_some_and(|film| {
            film.environment >= environments || !film.resistance.is_finite() || film.resistance < 0.0
        })
    };
    match films.iter().position(unusable) {
        Some(segment) => Err(Unsolvable::Film { segment }),
        None => Ok(()),
    }
}
