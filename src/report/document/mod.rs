//! The documents of results for other programs: what `--format json` prints and the `.json` files hold.
//!
//! SI units throughout: U in W/(m²K), L2D and ψ in W/(m·K), heat flow in W/m and positive into the
//! construction, temperatures in °C, humidity from 0 to 1; places and thicknesses in mm. Keys are a contract:
//! [`schema`] publishes them with what is said of them here.

pub mod build_up;
pub mod cavities;
pub mod claims;
pub mod compare;
pub mod condensate;
pub mod condensation;
pub mod dwelling;
pub mod elements;
pub mod environments;
pub mod f_rsi;
pub mod flanking;
pub mod grid;
pub mod psi;
pub mod review;
pub mod schema;
pub mod sections;
pub mod solve;
pub mod target;
pub mod uvalue;
pub mod what_helps;
mod words;

use std::fmt;

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

use crate::bounds::Bracket;
use crate::geometry::{Span, Stretch, millimetres};

/// Version of the documents.
pub const VERSION: u32 = 1;

/// The program that wrote a document.
pub const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Values by the names that the input gives them, in its order.
pub type Named<T> = IndexMap<String, T>;

/// A value between guaranteed bounds.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Bracketed {
    /// The middle between the bounds.
    pub value: f64,
    /// The guaranteed lower bound.
    pub lower: f64,
    /// The guaranteed upper bound.
    pub upper: f64,
}

impl Bracketed {
    /// The largest error of the value.
    pub fn half_width(self) -> f64 {
        0.5 * self.upper - 0.5 * self.lower
    }
}

/// As a bracket is shown.
impl fmt::Display for Bracketed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match Bracket::of(self.lower, self.upper, 0.0) {
            Ok(bracket) => bracket.fmt(f),
            Err(_) => self.value.fmt(f),
        }
    }
}

impl From<Bracket> for Bracketed {
    fn from(bracket: Bracket) -> Self {
        Self { value: bracket.middle(), lower: bracket.lower(), upper: bracket.upper() }
    }
}

/// The same where there may be none: then all three are null.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct MaybeBracketed {
    /// The middle between the bounds; null where there is no value.
    pub value: Option<f64>,
    /// The guaranteed lower bound; null where there is no value.
    pub lower: Option<f64>,
    /// The guaranteed upper bound; null where there is no value.
    pub upper: Option<f64>,
}

impl MaybeBracketed {
    /// The value, if there is one.
    pub fn known(self) -> Option<Bracketed> {
        let (value, lower, upper) = (self.value?, self.lower?, self.upper?);
        Some(Bracketed { value, lower, upper })
    }
}

impl From<Option<Bracket>> for MaybeBracketed {
    fn from(bracket: Option<Bracket>) -> Self {
        Self {
            value: bracket.map(Bracket::middle),
            lower: bracket.map(Bracket::lower),
            upper: bracket.map(Bracket::upper),
        }
    }
}

/// A document as it is printed and written.
///
/// # Panics
/// Never: maps have names as keys, and nothing here refuses to be written.
pub fn text(document: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(document).expect("keys are names");
    text + "\n"
}

/// A point of the drawing, mm.
fn place(at: (f64, f64)) -> [f64; 2] {
    [at.0 * 1e3, at.1 * 1e3]
}

/// The ends of a span, mm.
fn ends(span: Span) -> [f64; 2] {
    [millimetres(span.from), millimetres(span.to)]
}

/// The ends of a stretch, mm.
fn points_of(stretch: Stretch) -> [[f64; 2]; 2] {
    [stretch.from, stretch.to].map(|point| point.map(millimetres))
}
