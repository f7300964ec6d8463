//! Where the air of a plan is open to an environment: how wide, and what that makes of it.
//!
//! What meets a space directly, with nothing solid between, is open to it. In a frame (ISO 10077-2, from
//! memory) an opening up to 2 mm changes nothing, one up to 10 mm doubles λ, and behind a wider one the air
//! is that of the environment. In a building part (ISO 6946) openings of 500 mm² per metre, a slit of 0.5 mm,
//! change nothing, and from 1500 mm² on the air is that of the environment. The program takes air that is
//! painted as a cavity for a cavity, and says so where the standard does not.

use crate::model::{EnvironmentId, Model};
use std::collections::{HashMap, HashSet};

use super::{Filling, Raster};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, millimetres};
use crate::material::air::{CLOSED_OPENINGS, WIDE_OPENINGS};
use crate::material::cavity::{CLOSED_SLIT, Cavity, Method, WIDEST_SLIT};
use crate::text::Place;

/// Lengths nearer than this (m) to a limit are at it: the same as for edges.
const SAME: f64 = 1e-9;

/// An opening of connected air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Index of the environment behind it.
    pub environment: EnvironmentId,
    /// m.
    pub width: f64,
}

/// The widest opening of connected cells; none if all of them are enclosed.
pub fn widest(plan: &Raster, cells: &[(usize, usize)]) -> Option<Opening> {
    let own: HashSet<(usize, usize)> = cells.iter().copied().collect();
    // For each line and environment, the intervals along it where they meet.
    let mut faces: HashMap<(bool, usize, EnvironmentId), Vec<usize>> = HashMap::new();
    for (i, j) in &own {
        for (normal, line, along) in
            [(Axis::X, *i, *j), (Axis::X, i + 1, *j), (Axis::Y, *j, *i), (Axis::Y, j + 1, *i)]
        {
            let (first, second) = match normal {
                Axis::X => plan.beside_face(Axis::X, line, along),
                Axis::Y => plan.beside_face(Axis::Y, along, line),
            };
            for filling in [first, second] {
                if let Filling::Space(environment) = filling {
                    faces.entry((normal == Axis::X, line, environment)).or_default().push(along);
                }
            }
        }
    }
    let mut openings = Vec::new();
    for ((is_upright, _, environment), mut intervals) in faces {
        intervals.sort_unstable();
        let lines = if is_upright { &plan.ys } else { &plan.xs };
        for run in intervals.chunk_by(|one, next| *next <= one + 1) {
            if let (Some(first), Some(last)) = (run.first(), run.last()) {
                openings.push(Opening { environment, width: lines[last + 1] - lines[*first] });
            }
        }
    }
    openings
        .into_iter()
        .max_by(|one, other| one.width.total_cmp(&other.width).then(other.environment.cmp(&one.environment)))
}

/// The cavity with what its opening makes of it, and a warning where that is not what was painted.
pub fn opened(
    model: &Model,
    cavity: Cavity,
    place: Option<Place>,
    opening: Opening,
) -> (Cavity, Option<Diagnostic>) {
    let (width, name) = (opening.width, &model.environments[opening.environment].name);
    let mut message = format!("this air cavity is open to `{name}` over {} mm: ", millimetres(width));
    let as_space = format!("paint it as `space: {name}`, or close it");
    let area = width * 1e6;
    match cavity.method {
        Method::Frame if width <= CLOSED_SLIT.max(cavity.slit) + SAME => return (cavity, None),
        Method::Building if area <= CLOSED_OPENINGS + SAME * 1e6 => return (cavity, None),
        Method::Frame if width <= WIDEST_SLIT + SAME => {
            message +=
                "it counts as slightly ventilated, with twice the conductivity (ISO 10077-2, 2 to 10 mm)";
        }
        Method::Frame => {
            message += "beyond 10 mm its air is that of the space (ISO 10077-2); it is computed as slightly ventilated";
        }
        Method::Building if area < WIDE_OPENINGS - SAME * 1e6 => {
            message += "from 0.5 mm on (500 mm² a metre) it is slightly ventilated (ISO 6946); it is computed as closed";
        }
        Method::Building => {
            message += "from 1.5 mm on (1500 mm² a metre) its air is that of the space (ISO 6946); it is computed as closed";
        }
    }
    let cavity = if cavity.method == Method::Frame {
        Cavity { slit: width.min(WIDEST_SLIT), ..cavity }
    } else {
        cavity
    };
    (cavity, Some(Diagnostic::warning(place, message).hint(as_space)))
}
