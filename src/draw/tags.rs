//! Finding places for labels: inside what they name if there is room, beside it with a leader line if not.

use super::canvas::Area;

/// Boxes already taken.
#[derive(Default)]
pub struct Placed(Vec<Area>);

/// Where a label went.
pub struct Placement {
    /// Middle of the label, pixels.
    pub middle: (f32, f32),
    /// True if it lies beside its object and wants a leader line.
    pub beside: bool,
}

impl Placed {
    /// Marks a box as taken.
    pub fn take(&mut self, area: Area) {
        self.0.push(area);
    }

    /// True if nothing is there yet.
    pub fn is_free(&self, area: Area) -> bool {
        !self.0.iter().any(|other| other.overlaps(area))
    }

    /// Places a label of the given size on `object`, within `bounds`: in its middle, along its longer side,
    /// or beside it.
    pub fn place(&mut self, object: Area, size: (f32, f32), bounds: Area, gap: f32) -> Placement {
        let around = |middle: (f32, f32)| Area {
            left: middle.0 - size.0 / 2.0,
            right: middle.0 + size.0 / 2.0,
            top: middle.1 - size.1 / 2.0,
            bottom: middle.1 + size.1 / 2.0,
        };
        let along = |part: f32| (object.left + object.width() * part, object.top + object.height() * part);
        let center = along(0.5);
        let mut candidates = Vec::new();
        if object.width() >= size.0 && object.height() >= size.1 {
            for part in [0.5, 0.35, 0.65, 0.2, 0.8] {
                let (x, y) = along(part);
                let middle = if object.width() > object.height() { (x, center.1) } else { (center.0, y) };
                candidates.push((middle, false));
            }
        }
        for ring in 1..6 {
            let distance = gap * ring as f32;
            for (right, down) in [
                (1.0, -0.6),
                (1.0, 0.6),
                (-1.0, -0.6),
                (-1.0, 0.6),
                (0.3, -1.0),
                (-0.3, 1.0),
                (1.0, 0.0),
                (-1.0, 0.0),
            ] {
                candidates.push((
                    (
                        center.0 + right * (distance + size.0 / 2.0),
                        center.1 + down * (distance + size.1 / 2.0),
                    ),
                    true,
                ));
            }
        }
        let fits = |(middle, _): &&((f32, f32), bool)| {
            bounds.holds(around(*middle)) && self.is_free(around(*middle))
        };
        let (middle, beside) = candidates.iter().find(fits).copied().unwrap_or((center, false));
        self.take(around(middle));
        Placement { middle, beside }
    }
}
