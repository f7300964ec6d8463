//! What all charts have in common: a sheet in memory, lettering, colours.

use std::error::Error;

use plotters::coord::Shift;
use plotters::prelude::*;

use super::canvas::Canvas;
use super::palette::{GREY, INK, Rgb};
use super::paper::Paper;

/// Width of a chart, pixels.
pub const WIDTH: u32 = 1600;
/// Height of title and subtitle, pixels.
pub const HEADING: u32 = 110;

/// Where a chart is drawn.
pub type Sheet<'a> = DrawingArea<Paper<'a>, Shift>;

/// A colour as plotters takes it.
pub fn color(Rgb(red, green, blue): Rgb) -> RGBColor {
    RGBColor(red, green, blue)
}

/// Text of a size in pixels.
pub fn lettering(size: i32, ink: Rgb) -> TextStyle<'static> {
    ("sans-serif", size).into_font().color(&color(ink))
}

/// A PNG file of a white sheet with title and subtitle and whatever `content` draws below them.
///
/// # Errors
/// Those of drawing and encoding.
pub fn picture(
    title: &str,
    subtitle: &str,
    height: u32,
    content: impl FnOnce(&Sheet<'_>) -> Result<(), Box<dyn Error>>,
) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut canvas = Canvas::new(WIDTH, HEADING + height);
    {
        let sheet = Paper(&mut canvas).into_drawing_area();
        sheet.draw(&Text::new(title.to_owned(), (36, 22), lettering(32, INK)))?;
        sheet.draw(&Text::new(subtitle.to_owned(), (36, 68), lettering(22, GREY)))?;
        let (_, rest) = sheet.split_vertically(HEADING);
        content(&rest)?;
        sheet.present()?;
    }
    Ok(canvas.to_png()?)
}
