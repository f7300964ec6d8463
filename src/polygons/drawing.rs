//! What is triangulated: polygons painted one over the other.

use super::filling::Filling;

/// A drawing in the plane, m.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// Painted in this order, later over earlier.
    pub strokes: Vec<Stroke>,
    /// Outside this simple polygon there is nothing, whatever is painted there.
    pub extent: Vec<[f64; 2]>,
    /// Outlines that paint nothing. Where they meet an edge between two fillings a vertex stays, so that what
    /// holds along the edge (a surface resistance) may change there.
    pub cuts: Vec<Vec<[f64; 2]>>,
}

/// A polygon with holes and what it is painted with.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// What it is painted with; `Nothing` takes away what was painted before.
    pub filling: Filling,
    /// Vertices in either orientation, m. The last is joined to the first.
    pub outline: Vec<[f64; 2]>,
    /// Polygons within which nothing is painted by this stroke.
    pub holes: Vec<Vec<[f64; 2]>>,
}

/// Which polygon of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outline {
    /// The outline of a stroke, by its number.
    Stroke(usize),
    /// A hole of a stroke.
    Hole {
        /// The stroke's number.
        stroke: usize,
        /// The hole's number within the stroke.
        hole: usize,
    },
    /// The extent.
    Extent,
    /// A cut, by its number.
    Cut(usize),
}

impl Drawing {
    /// Every polygon, in the order of the strokes, then extent and cuts.
    pub fn outlines(&self) -> Vec<(Outline, &[[f64; 2]])> {
        let mut all = Vec::new();
        for (number, stroke) in self.strokes.iter().enumerate() {
            all.push((Outline::Stroke(number), stroke.outline.as_slice()));
            for (hole, outline) in stroke.holes.iter().enumerate() {
                all.push((Outline::Hole { stroke: number, hole }, outline.as_slice()));
            }
        }
        all.push((Outline::Extent, self.extent.as_slice()));
        all.extend(self.cuts.iter().enumerate().map(|(number, cut)| (Outline::Cut(number), cut.as_slice())));
        all
    }
}
