//! The canvas as charts are drawn on it, so that all pictures have the same strokes and letters.

use std::convert::Infallible;

use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
    FontTransform,
};

use super::canvas::{Anchor, Area, Canvas, Lettering, Pen};
use super::font::{self, Weight};
use super::palette::{PAPER, Rgb};

/// Parts of a line's height above and below the baseline, and the height by the size of the letters.
const ASCENT: f32 = 0.928;
const DESCENT: f32 = 0.236;

/// A canvas for charts.
pub struct Paper<'a>(pub &'a mut Canvas);

fn ink(color: BackendColor) -> Rgb {
    let (red, green, blue) = color.rgb;
    Rgb(red, green, blue)
}

fn pen(style: &impl BackendStyle) -> Pen {
    Pen::solid(ink(style.color()), style.stroke_width().max(1) as f32)
}

/// The middle of a pixel.
fn point((x, y): BackendCoord) -> (f32, f32) {
    (x as f32 + 0.5, y as f32 + 0.5)
}

/// The size of letters whose lines are so high.
fn letters(height: f64) -> f32 {
    height as f32 / (ASCENT + DESCENT)
}

type Done = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Paper<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        (self.0.width(), self.0.height())
    }

    fn ensure_prepared(&mut self) -> Done {
        Ok(())
    }

    fn present(&mut self) -> Done {
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, color: BackendColor) -> Done {
        let (left, top) = (x as f32, y as f32);
        let pixel = Area { left, top, right: left + 1.0, bottom: top + 1.0 };
        self.0.translucent(color.alpha, |canvas| canvas.fill(pixel, ink(color)));
        Ok(())
    }

    fn draw_line<S: BackendStyle>(&mut self, from: BackendCoord, to: BackendCoord, style: &S) -> Done {
        self.0.translucent(style.color().alpha, |canvas| canvas.line(point(from), point(to), pen(style)));
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Done {
        let (one, other) = (point(from), point(to));
        let area = Area {
            left: one.0.min(other.0),
            right: one.0.max(other.0),
            top: one.1.min(other.1),
            bottom: one.1.max(other.1),
        };
        self.0.translucent(style.color().alpha, |canvas| {
            if fill {
                canvas.fill(area.grown(0.5), ink(style.color()));
            } else {
                canvas.border(area, pen(style));
            }
        });
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Done {
        let points: Vec<(f32, f32)> = path.into_iter().map(point).collect();
        self.0.translucent(style.color().alpha, |canvas| canvas.polyline(&points, false, pen(style)));
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Done {
        let (color, rim) = (ink(style.color()), pen(style));
        self.0.disc(point(center), radius as f32, if fill { color } else { PAPER }, rim);
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        corners: I,
        style: &S,
    ) -> Done {
        let corners: Vec<(f32, f32)> = corners.into_iter().map(point).collect();
        self.0.translucent(style.color().alpha, |canvas| canvas.polygon(&corners, ink(style.color())));
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(&mut self, text: &str, style: &S, at: BackendCoord) -> Done {
        let (size, at) = (letters(style.size()), point(at));
        let anchor = match style.anchor().h_pos {
            HPos::Left => Anchor::Left,
            HPos::Center => Anchor::Middle,
            HPos::Right => Anchor::Right,
        };
        // From the anchor down to the baseline, as the reader of the text sees it.
        let down = size
            * match style.anchor().v_pos {
                VPos::Top => ASCENT,
                VPos::Center => f32::midpoint(ASCENT, -DESCENT),
                VPos::Bottom => -DESCENT,
            };
        let lettering =
            Lettering { size, weight: Weight::Regular, color: ink(style.color()), rim: None, anchor };
        let degrees = match style.transform() {
            FontTransform::None => 0.0,
            FontTransform::Rotate90 => 90.0,
            FontTransform::Rotate180 => 180.0,
            FontTransform::Rotate270 => -90.0,
        };
        self.0.text_turned(text, at, down, degrees, lettering);
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let width = font::width(text, letters(style.size()), Weight::Regular);
        Ok((width.ceil() as u32, style.size().ceil() as u32))
    }
}
