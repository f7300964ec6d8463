//! The surface resistances in use, written at the surfaces.

use super::canvas::{Anchor, Area, Lettering};
use super::font::{self, Weight};
use super::frame::Frame;
use super::palette::{INK, PAPER};
use super::tags::Placed;
use super::view::clipped_between;
use crate::plan::surface::Film;
use crate::result::Outcome;

/// A surface that can be seen, pixels.
struct Surface {
    film: Film,
    from: (f32, f32),
    to: (f32, f32),
    /// Off the solid, of length 1.
    outwards: (f32, f32),
}

impl Surface {
    fn length(&self) -> f32 {
        libm::hypotf(self.to.0 - self.from.0, self.to.1 - self.from.1)
    }

    fn at(&self, part: f32) -> (f32, f32) {
        (self.from.0 + (self.to.0 - self.from.0) * part, self.from.1 + (self.to.1 - self.from.1) * part)
    }
}

/// Writes each resistance of each environment once, beside the longest surface that has it.
pub(super) fn resistance_labels(frame: &mut Frame, outcome: &Outcome, placed: &mut Placed) {
    for surface in longest(frame, outcome) {
        label(frame, &surface, placed);
    }
}

fn longest(frame: &Frame, outcome: &Outcome) -> Vec<Surface> {
    let mut longest: Vec<Surface> = Vec::new();
    for edge in outcome.plan.edges() {
        let edge = edge.with_solid_on_left();
        let Some(film) = outcome.surfaces.at(edge.id) else { continue };
        let [from, to] = edge.ends.map(|[x, y]| (x, y));
        let Some((from, to)) = clipped_between(frame.view.shown, from, to) else { continue };
        let [mut from, mut to] = [frame.view.point(from), frame.view.point(to)];
        let length = libm::hypotf(to.0 - from.0, to.1 - from.1);
        if length <= 0.0 {
            continue;
        }
        // With the solid on the left the air is on the right, on the canvas as on the plan.
        let outwards = (-(to.1 - from.1) / length, (to.0 - from.0) / length);
        if (to.0, to.1) < (from.0, from.1) {
            (from, to) = (to, from);
        }
        let surface = Surface { film, from, to, outwards };
        let same =
            |other: &Film| other.environment == film.environment && other.resistance == film.resistance;
        match longest.iter_mut().find(|other| same(&other.film)) {
            Some(other) if other.length() < surface.length() => *other = surface,
            Some(_) => {}
            None => longest.push(surface),
        }
    }
    longest
}

/// On the side of the air, a little off the surface, where there is room.
fn label(frame: &mut Frame, surface: &Surface, placed: &mut Placed) {
    let unit = frame.unit;
    let text = format!("Rs {:.2}", surface.film.resistance);
    let lettering = Lettering { anchor: Anchor::Middle, rim: Some(PAPER), ..frame.lettering(16.0, INK) };
    let size = (font::width(&text, lettering.size, Weight::Regular), 20.0 * unit);
    let (right, down) = surface.outwards;
    let (level, upright) = (down.abs(), right.abs());
    if surface.length() < upright * size.1 + level * size.0 {
        return;
    }
    // As far off as keeps the label's box clear of the surface.
    let off = upright * (size.0 / 2.0 + 9.0 * unit) + level * (size.1 / 2.0 + 7.0 * unit);
    // Farther off where a dimension line runs along the surface.
    let parts = [off, off + 44.0 * unit].map(|off| [0.5, 0.3, 0.7, 0.15, 0.85].map(|part| (part, off)));
    for (part, off) in parts.into_iter().flatten() {
        let on = surface.at(part);
        let middle = (on.0 + right * off, on.1 + down * off);
        let label = Area {
            left: middle.0 - size.0 / 2.0,
            right: middle.0 + size.0 / 2.0,
            top: middle.1 - size.1 / 2.0,
            bottom: middle.1 + size.1 / 2.0,
        };
        if placed.is_free(label) && frame.view.area.holds(label) {
            placed.take(label);
            frame.canvas.text(&text, (middle.0, middle.1 + 6.0 * unit), lettering);
            break;
        }
    }
}
