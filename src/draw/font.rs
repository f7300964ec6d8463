//! Text as outlines of DejaVu Sans, which the program carries with it.

use std::sync::LazyLock;

use tiny_skia::{Path, PathBuilder};
use ttf_parser::{Face, OutlineBuilder};

static REGULAR: LazyLock<Face<'static>> = LazyLock::new(|| face(dejavu::sans::regular()));
static BOLD: LazyLock<Face<'static>> = LazyLock::new(|| face(dejavu::sans::bold()));

fn face(bytes: &'static [u8]) -> Face<'static> {
    Face::parse(bytes, 0).expect("the embedded font is a valid TrueType file")
}

/// Stroke weight of text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Running text.
    Regular,
    /// Headings and results.
    Bold,
}

impl Weight {
    fn face(self) -> &'static Face<'static> {
        match self {
            Self::Regular => &REGULAR,
            Self::Bold => &BOLD,
        }
    }
}

/// Width of a line of text of the given size, pixels.
pub fn width(text: &str, size: f32, weight: Weight) -> f32 {
    let face = weight.face();
    text.chars().map(|character| advance(face, character, size)).sum()
}

fn advance(face: &Face<'_>, character: char, size: f32) -> f32 {
    let glyph = face.glyph_index(character).unwrap_or_default();
    f32::from(face.glyph_hor_advance(glyph).unwrap_or_default()) * size / f32::from(face.units_per_em())
}

/// The outline of a line of text with its baseline starting at (x, y); `None` if nothing is visible.
pub fn outline(text: &str, x: f32, y: f32, size: f32, weight: Weight) -> Option<Path> {
    let face = weight.face();
    let scale = size / f32::from(face.units_per_em());
    let mut pen = Pen { path: PathBuilder::new(), x, y, scale };
    for character in text.chars() {
        face.outline_glyph(face.glyph_index(character).unwrap_or_default(), &mut pen);
        pen.x += advance(face, character, size);
    }
    pen.path.finish()
}

struct Pen {
    path: PathBuilder,
    x: f32,
    y: f32,
    scale: f32,
}

impl Pen {
    fn place(&self, x: f32, y: f32) -> (f32, f32) {
        (self.x + x * self.scale, self.y - y * self.scale)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.place(x1, y1), self.place(x, y));
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) = (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_font_has_the_signs_of_the_trade() {
        for character in "ψθλ²·°−×≤Δ…→–—".chars() {
            assert!(
                REGULAR.glyph_index(character).is_some() && BOLD.glyph_index(character).is_some(),
                "{character}"
            );
        }
        assert!(width("ψ = 0.03", 20.0, Weight::Bold) > width("ψ", 20.0, Weight::Regular));
    }
}
