//! What all charts have in common: a sheet in memory, lettering, colours.

use std::error::Error;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::{FontStyle, register_font};

use super::canvas;
use super::palette::{GREY, INK, Rgb};

/// Width of a chart, pixels.
pub const WIDTH: u32 = 1600;
/// Height of title and subtitle, pixels.
pub const HEADING: u32 = 110;

/// Where a chart is drawn.
pub type Sheet<'a> = DrawingArea<BitMapBackend<'a>, Shift>;

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
    register_font("sans-serif", FontStyle::Normal, dejavu::sans::regular())
        .map_err(|_| "the font cannot be read")?;
    let height = HEADING + height;
    let mut pixels = vec![0; (WIDTH * height * 3) as usize];
    {
        let sheet = BitMapBackend::with_buffer(&mut pixels, (WIDTH, height)).into_drawing_area();
        sheet.fill(&WHITE)?;
        sheet.draw(&Text::new(title.to_owned(), (36, 22), lettering(32, INK)))?;
        sheet.draw(&Text::new(subtitle.to_owned(), (36, 68), lettering(22, GREY)))?;
        let (_, rest) = sheet.split_vertically(HEADING);
        content(&rest)?;
        sheet.present()?;
    }
    Ok(canvas::encode(&pixels, WIDTH, height)?)
}
