//! The lines of the raster: every edge once, and none closer than a sliver.

use crate::finding::Diagnostic;
use crate::geometry::{Axis, SAME_EDGE};
use crate::text::Place;

/// Edges closer than this (m) and not the same leave a gap that nobody meant.
const THINNEST: f64 = 1e-5;

/// Sorts and merges edge positions. Each position comes with the place it was written at.
pub fn merge(
    mut edges: Vec<(f64, Option<Place>)>,
    axis: Axis,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<f64> {
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut lines: Vec<(f64, Option<Place>)> = Vec::new();
    for (position, place) in edges {
        match lines.last() {
            Some((last, _)) if position - last < SAME_EDGE => {}
            Some((last, other)) if position - last < THINNEST - SAME_EDGE => {
                let letter = axis.letter();
                let (low, high, gap) = (last * 1e3, position * 1e3, (position - last) * 1e3);
                let message = format!(
                    "two edges are only {gap:.6} mm apart, at {letter} = {low:.6} mm and {high:.6} mm"
                );
                let hint = "gaps and slivers below 0.01 mm are almost always a slip: make the two edges meet";
                // The later shape in the file is the one to look at.
                let start = |place: Option<Place>| place.map(|place| place.start);
                let place = if start(*other) > start(place) { *other } else { place };
                let diagnostic = Diagnostic::error(place, message).hint(hint);
                // Several edges may meet in the same sliver.
                if !diagnostics.contains(&diagnostic) {
                    diagnostics.push(diagnostic);
                }
            }
            _ => lines.push((position, place)),
        }
    }
    lines.into_iter().map(|(position, _)| position).collect()
}

/// Index of the merged line at `position`.
pub fn index_of(lines: &[f64], position: f64) -> usize {
    let after = lines.partition_point(|line| *line < position);
    match after {
        0 => 0,
        _ if after == lines.len() => after - 1,
        _ if lines[after] - position < position - lines[after - 1] => after,
        _ => after - 1,
    }
}
