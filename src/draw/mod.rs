//! Pictures of a junction and its results.
//!
//! Every picture has the same frame (title, plan area with coordinates, side panel with legend, scale bar, caption), so that
//! they can be laid over each other:
//!
//! ```text
//! view ──▶ canvas, font, palette            what part of the plan is shown, and the tools to draw with
//! frame ─▶ plan_picture, field_picture      the pictures
//!            dimensions, isotherms, tags    their parts
//! ```
//!
//! Fields are drawn from the bilinear interpolant of the vertex temperatures pixel by pixel, materials as rectangles of true
//! size, so that pictures are sharp at any cell size. Sheets thinner than the pen are drawn as thick as the pen.

pub mod canvas;
mod dimensions;
pub mod field_picture;
mod font;
mod frame;
mod isotherms;
mod outline;
mod palette;
pub mod plan_picture;
mod tags;
pub mod view;

pub use canvas::Canvas;

use rayon::prelude::*;

use crate::result::Outcome;

/// Width of a full-size picture, pixels.
pub const FULL_WIDTH: u32 = 1600;

/// Draws all pictures of an outcome: file stems and canvases. `width` is in pixels; everything scales with it.
pub fn pictures(outcome: &Outcome, width: u32) -> Vec<(&'static str, Canvas)> {
    type Draw = fn(&Outcome, u32) -> Option<Canvas>;
    let draws: [(&'static str, Draw); 3] = [
        ("plan", |outcome, width| Some(plan_picture::draw(outcome, width))),
        ("temperature", |outcome, width| Some(field_picture::temperature(outcome, width))),
        ("temperature-factor", field_picture::temperature_factor),
    ];
    draws.into_par_iter().filter_map(|(name, draw)| Some((name, draw(outcome, width)?))).collect()
}
