//! Pictures of a junction and its results.
//!
//! Every picture has the same frame (title, plan area with coordinates, side panel with legend, scale bar,
//! caption), so that they can be laid over each other:
//!
//! ```text
//! view ──▶ canvas, font, palette            what part of the plan is shown, and the tools to draw with
//! regions, outline, sheets, roomy           the plan's fillings, the lines between them, room for labels
//! ground ─▶ triangles, isotherms, chains    what a field is drawn on: values at points, lines of a level
//! division                                  the cells or triangles of the equations
//! frame ─▶ plan_picture, field_picture,     the pictures
//!          grid_picture
//!            scalar, dimensions,            their parts
//!            resistance_labels, tags
//! ```
//!
//! Fields are drawn pixel by pixel: from the bilinear interpolant of the vertex temperatures on a grid that is
//! finer than that of the results where this is too coarse for smooth isotherms, or from small triangles, in
//! which they are linear. Materials are areas of true size, so that pictures are sharp at any cell size. Sheets
//! thinner than the pen are drawn as thick as the pen.

pub mod canvas;
mod chains;
mod chart;
pub mod course_picture;
mod dimensions;
mod division;
pub mod field_picture;
mod finer;
mod font;
mod frame;
mod grid_picture;
mod ground;
mod isotherms;
mod legend;
pub mod months_picture;
mod outline;
mod palette;
mod paper;
pub mod plan_picture;
pub mod profile_picture;
mod regions;
mod resistance_labels;
mod roomy;
mod scalar;
mod sheets;
mod slope_dimensions;
mod tags;
mod triangles;
pub mod view;

pub use canvas::Canvas;
pub use paper::Paper;
pub use regions::areas;

use rayon::prelude::*;

use crate::conduction::Network;
use crate::geometry::Rectangle;
use crate::plan::surface::{Purpose, Surfaces};
use crate::result::profile::{self, Profile};
use crate::result::skin::Skin;
use crate::result::{Fields, Ground, Outcome};

/// Width of a full-size picture, pixels.
pub const FULL_WIDTH: u32 = 1600;

/// Cells across the longer side of what is shown, for smooth isotherms.
const CELLS_ACROSS: f64 = 100.0;

/// Draws all pictures of an outcome: file stems and canvases. `width` is in pixels; everything scales with
/// it.
pub fn pictures(outcome: &Outcome, width: u32) -> Vec<(&'static str, Canvas)> {
    pictures_of(outcome, &fine_fields(outcome), width)
}

/// The same from fields at hand.
pub fn pictures_of(outcome: &Outcome, fields: &Fields, width: u32) -> Vec<(&'static str, Canvas)> {
    type Draw = fn(&Outcome, &Fields, u32) -> Option<Canvas>;
    let draws: [Draw; PICTURES.len()] = [
        |outcome, _, width| Some(plan_picture::draw(outcome, width)),
        |outcome, fields, width| Some(field_picture::temperature(outcome, fields, width)),
        |outcome, fields, width| field_picture::temperature_factor(outcome, fields, width, None),
        field_picture::heat_flow,
        |outcome, _, width| grid_picture::draw(outcome, width),
    ];
    let named = PICTURES.into_par_iter().zip(draws);
    named.filter_map(|(name, draw)| Some((name, draw(outcome, fields, width)?))).collect()
}

/// The names of all pictures that a case may have.
pub const PICTURES: [&str; 5] = ["plan", "temperature", "temperature-factor", "heat-flow", "grid"];

/// How much warmer the second of two cases is, drawn on the plan of the first; none where their extents
/// differ.
pub fn difference(first: &Outcome, second: &Outcome, width: u32) -> Option<Canvas> {
    field_picture::difference(first, second, [&fine_fields(first), &fine_fields(second)], width)
}

/// Profiles along the inside surfaces as fine as pictures are drawn.
pub fn fine_profiles(outcome: &Outcome, fields: &Fields) -> Vec<Profile> {
    let model = &outcome.case.model;
    let (raster, grid) = match &fields.ground {
        Ground::Grid { raster, grid } => (raster, grid),
        Ground::Triangles(_) => return profile::profiles(model, &outcome.skin),
    };
    let (purpose, temperatures) = match &fields.condensation {
        Some(temperatures) => (Purpose::Condensation, temperatures),
        None => (Purpose::HeatLoss, &fields.heat_loss),
    };
    let surfaces = Surfaces::of(model, &outcome.plan, purpose);
    let network = Network::of(model, raster, &surfaces, grid);
    profile::profiles(model, &Skin::of_network(grid, &network, temperatures))
}

/// Where the plan lies in every picture of an outcome.
#[derive(Clone, Copy, Debug)]
pub struct Placement {
    /// Width and height of the picture, pixels.
    pub picture: (u32, u32),
    /// From places in the plan to pixels.
    pub view: view::View,
}

/// Where the plan lies in pictures of a width.
pub fn placement(outcome: &Outcome, width: u32) -> Placement {
    let frame = frame::Frame::new(outcome, width, "", &[]);
    Placement { picture: (frame.canvas.width(), frame.canvas.height()), view: frame.view }
}

/// The fields that pictures are drawn from.
pub fn fine_fields(outcome: &Outcome) -> Fields {
    let shown = view::detail(&outcome.plan);
    outcome.fields_within(shown, longest_side(shown))
}

/// Sides of cells and triangles no longer than this are fine enough for a picture of an area, m.
fn longest_side(shown: Rectangle) -> f64 {
    shown.x.length().max(shown.y.length()) / CELLS_ACROSS
}
