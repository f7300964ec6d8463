//! A sheet of pixels with the few strokes that the pictures need. Positions are pixels, y downwards.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, ImageError};
use tiny_skia::{
    Color, FillRule, LineCap, Paint, Path, PathBuilder, Pixmap, Rect, Stroke, StrokeDash, Transform,
};

use super::font::{self, Weight};
use super::palette::Rgb;

/// Where text lies relative to its position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The position is the left end.
    Left,
    /// The position is the middle.
    Middle,
    /// The position is the right end.
    Right,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Pen {
    /// Colour.
    pub color: Rgb,
    /// Pixels.
    pub width: f32,
    /// Lengths of dash and gap, pixels; `None` for an unbroken line.
    pub dash: Option<(f32, f32)>,
}

impl Pen {
    /// An unbroken line.
    pub fn solid(color: Rgb, width: f32) -> Self {
        Self { color, width, dash: None }
    }

    /// A broken line.
    pub fn dashed(color: Rgb, width: f32, dash: f32, gap: f32) -> Self {
        Self { color, width, dash: Some((dash, gap)) }
    }
}

/// How text is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Lettering {
    /// Pixels.
    pub size: f32,
    /// Weight.
    pub weight: Weight,
    /// Colour.
    pub color: Rgb,
    /// Colour of a rim that keeps it readable on any ground.
    pub rim: Option<Rgb>,
    /// Alignment.
    pub anchor: Anchor,
}

/// An axis-parallel box on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f32,
    /// Upper edge.
    pub top: f32,
    /// Right edge.
    pub right: f32,
    /// Lower edge.
    pub bottom: f32,
}

impl Area {
    /// Horizontal size.
    pub fn width(self) -> f32 {
        self.right - self.left
    }

    /// Vertical size.
    pub fn height(self) -> f32 {
        self.bottom - self.top
    }

    /// True if the two have a point in common.
    pub fn overlaps(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// True if the other lies wholly within.
    pub fn holds(self, other: Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    /// Larger by `margin` on all sides.
    #[must_use]
    pub fn grown(self, margin: f32) -> Self {
        Self {
            left: self.left - margin,
            top: self.top - margin,
            right: self.right + margin,
            bottom: self.bottom + margin,
        }
    }
}

/// The sheet.
#[derive(Clone)]
pub struct Canvas {
    pixmap: Pixmap,
    /// How much of what is drawn covers what lies below, 0 to 255.
    cover: u8,
}

impl Canvas {
    /// A white sheet. Sizes below one pixel become one.
    pub fn new(width: u32, height: u32) -> Self {
        let mut pixmap = Pixmap::new(width.max(1), height.max(1))
            .expect("a sheet of at least one pixel and ordinary size");
        pixmap.fill(Color::WHITE);
        Self { pixmap, cover: u8::MAX }
    }

    /// Width, pixels.
    pub fn width(&self) -> u32 {
        self.pixmap.width()
    }

    /// Height, pixels.
    pub fn height(&self) -> u32 {
        self.pixmap.height()
    }

    /// Fills a box.
    pub fn fill(&mut self, area: Area, color: Rgb) {
        if let Some(rect) =
            Rect::from_ltrb(area.left, area.top, area.right.max(area.left), area.bottom.max(area.top))
        {
            let paint = self.paint(color);
            self.pixmap.fill_rect(rect, &paint, Transform::identity(), None);
        }
    }

    /// Draws the border of a box.
    pub fn border(&mut self, area: Area, pen: Pen) {
        let corners = [
            (area.left, area.top),
            (area.right, area.top),
            (area.right, area.bottom),
            (area.left, area.bottom),
        ];
        self.polyline(&corners, true, pen);
    }

    /// Draws a line.
    pub fn line(&mut self, from: (f32, f32), to: (f32, f32), pen: Pen) {
        self.polyline(&[from, to], false, pen);
    }

    /// Draws joined lines.
    pub fn polyline(&mut self, points: &[(f32, f32)], closed: bool, pen: Pen) {
        if let Some(path) = joined(points, closed) {
            self.stroke(&path, pen);
        }
    }

    /// Fills a polygon.
    pub fn polygon(&mut self, points: &[(f32, f32)], color: Rgb) {
        if let Some(path) = joined(points, true) {
            let paint = self.paint(color);
            self.pixmap.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        }
    }

    /// Fills what closed lines go round; lines that go the other way round leave it free.
    pub fn shape(&mut self, lines: &[Vec<(f32, f32)>], color: Rgb) {
        let mut path = PathBuilder::new();
        for line in lines {
            let Some((first, rest)) = line.split_first() else { continue };
            path.move_to(first.0, first.1);
            for point in rest {
                path.line_to(point.0, point.1);
            }
            path.close();
        }
        if let Some(path) = path.finish() {
            let paint = self.paint(color);
            self.pixmap.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        }
    }

    /// Draws a disc with a rim.
    pub fn disc(&mut self, center: (f32, f32), radius: f32, color: Rgb, rim: Pen) {
        if let Some(path) = PathBuilder::from_circle(center.0, center.1, radius) {
            let paint = self.paint(color);
            self.pixmap.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
            self.stroke(&path, rim);
        }
    }

    /// Writes a line of text with its baseline at `at`.
    pub fn text(&mut self, text: &str, at: (f32, f32), lettering: Lettering) {
        let left = at.0 - before_anchor(text, lettering);
        let path = font::outline(text, left, at.1, lettering.size, lettering.weight);
        self.letters(path, lettering);
    }

    /// Writes a line of text turned clockwise about `at`, its baseline so far below that point as the reader
    /// sees it.
    pub fn text_turned(
        &mut self,
        text: &str,
        at: (f32, f32),
        below: f32,
        degrees: f32,
        lettering: Lettering,
    ) {
        let left = -before_anchor(text, lettering);
        let path = font::outline(text, left, below, lettering.size, lettering.weight);
        let turn = Transform::from_rotate(degrees).post_translate(at.0, at.1);
        self.letters(path.and_then(|path| path.transform(turn)), lettering);
    }

    fn letters(&mut self, path: Option<Path>, lettering: Lettering) {
        let Some(path) = path else { return };
        if let Some(rim) = lettering.rim {
            self.stroke(&path, Pen::solid(rim, lettering.size / 4.0));
        }
        let paint = self.paint(lettering.color);
        self.pixmap.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
    }

    /// Writes a line of text that runs upwards, its baseline to the right of the letters' middle at `at`.
    pub fn text_upwards(&mut self, text: &str, at: (f32, f32), lettering: Lettering) {
        let lettering = Lettering { anchor: Anchor::Middle, ..lettering };
        self.text_turned(text, at, lettering.size * 0.36, -90.0, lettering);
    }

    /// Colours single pixels: `color` is asked for the middle of each pixel of the box and may leave it as it
    /// is.
    pub fn shade(&mut self, area: Area, color: impl Fn(f32, f32) -> Option<Rgb> + Sync) {
        let (left, right) =
            (area.left.max(0.0) as usize, (area.right.max(0.0) as usize).min(self.width() as usize));
        let (top, bottom) =
            (area.top.max(0.0) as usize, (area.bottom.max(0.0) as usize).min(self.height() as usize));
        let width = self.width() as usize;
        for (y, row) in self.pixmap.pixels_mut().chunks_mut(width).enumerate().take(bottom).skip(top) {
            for (x, pixel) in row.iter_mut().enumerate().take(right).skip(left) {
                if let Some(Rgb(red, green, blue)) = color(x as f32 + 0.5, y as f32 + 0.5) {
                    *pixel = tiny_skia::ColorU8::from_rgba(red, green, blue, 255).premultiply();
                }
            }
        }
    }

    /// The sheet as a PNG file.
    ///
    /// # Errors
    /// Those of the encoder.
    pub fn to_png(&self) -> Result<Vec<u8>, ImageError> {
        // The sheet is opaque, so the alpha channel can go.
        let rgb: Vec<u8> =
            self.pixmap.data().chunks_exact(4).flat_map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
        encode(&rgb, self.width(), self.height())
    }

    /// Draws with strokes and fills that let what lies below shine through: `alpha` 1 covers it.
    pub fn translucent(&mut self, alpha: f64, draw: impl FnOnce(&mut Self)) {
        self.cover = (alpha.clamp(0.0, 1.0) * 255.0).round() as u8;
        draw(self);
        self.cover = u8::MAX;
    }

    fn paint(&self, Rgb(red, green, blue): Rgb) -> Paint<'static> {
        let mut paint = Paint::default();
        paint.set_color_rgba8(red, green, blue, self.cover);
        paint
    }

    fn stroke(&mut self, path: &Path, pen: Pen) {
        let dash = pen.dash.and_then(|(dash, gap)| StrokeDash::new(vec![dash, gap], 0.0));
        let line_cap = if pen.dash.is_some() { LineCap::Butt } else { LineCap::Round };
        let stroke = Stroke {
            width: pen.width,
            line_cap,
            line_join: tiny_skia::LineJoin::Round,
            dash,
            ..Stroke::default()
        };
        let paint = self.paint(pen.color);
        self.pixmap.stroke_path(path, &paint, &stroke, Transform::identity(), None);
    }
}

/// Pixels of three bytes, row by row, as a PNG file.
fn encode(rgb: &[u8], width: u32, height: u32) -> Result<Vec<u8>, ImageError> {
    let mut bytes = Vec::new();
    // Flat colours repeat as they are; filters made the pictures larger and took a sixth of the time.
    let encoder = PngEncoder::new_with_quality(&mut bytes, CompressionType::Default, FilterType::NoFilter);
    encoder.write_image(rgb, width, height, ExtendedColorType::Rgb8)?;
    Ok(bytes)
}

/// How much of a text lies left of its position, pixels.
fn before_anchor(text: &str, lettering: Lettering) -> f32 {
    let width = font::width(text, lettering.size, lettering.weight);
    match lettering.anchor {
        Anchor::Left => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::Right => width,
    }
}

fn joined(points: &[(f32, f32)], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    path.move_to(first.0, first.1);
    for point in rest {
        path.line_to(point.0, point.1);
    }
    if closed {
        path.close();
    }
    path.finish()
}
