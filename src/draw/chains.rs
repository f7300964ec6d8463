//! Joining pieces of line into long ones.

use std::collections::HashMap;
use std::hash::Hash;

/// A place on a plan, m.
pub type Point = (f64, f64);

/// Pieces between named places, joined end to end where two meet.
pub struct Pieces<K> {
    places: HashMap<K, Point>,
    links: HashMap<K, Vec<K>>,
}

impl<K: Copy + Eq + Hash + Ord> Pieces<K> {
    /// None yet.
    pub fn new() -> Self {
        Self { places: HashMap::new(), links: HashMap::new() }
    }

    /// Names a place, if it has no name yet.
    pub fn place(&mut self, name: K, at: impl FnOnce() -> Point) {
        self.places.entry(name).or_insert_with(at);
    }

    /// Adds the piece between two places that have names.
    pub fn join(&mut self, one: K, other: K) {
        self.links.entry(one).or_default().push(other);
        self.links.entry(other).or_default().push(one);
    }

    /// The lines, each as points in order.
    pub fn lines(mut self) -> Vec<Vec<Point>> {
        // Sorted, so that the same pieces always give the same lines; open ends first.
        let mut starts: Vec<K> = self.links.keys().copied().collect();
        starts.sort_unstable_by_key(|name| (self.links[name].len(), *name));
        let mut lines = Vec::new();
        for start in starts {
            let mut line = vec![self.places[&start]];
            let mut at = start;
            while let Some(next) = self.links.get_mut(&at).and_then(Vec::pop) {
                if let Some(back) = self.links.get_mut(&next)
                    && let Some(index) = back.iter().position(|name| *name == at)
                {
                    back.swap_remove(index);
                }
                line.push(self.places[&next]);
                at = next;
            }
            if line.len() > 1 {
                lines.push(line);
            }
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_become_one_line_whatever_their_order() {
        let mut pieces = Pieces::new();
        for name in 0..4_u32 {
            pieces.place(name, || (f64::from(name), 0.0));
        }
        for (one, other) in [(2, 1), (3, 2), (0, 1)] {
            pieces.join(one, other);
        }
        assert_eq!(pieces.lines(), [[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)]]);
    }
}
