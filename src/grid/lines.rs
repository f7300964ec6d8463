//! Grid lines of one axis, graded towards the edges of the plan.
//!
//! Temperature gradients are steep where materials meet, so cells are smallest at edges and grow by a constant factor away from
//! them. With sₑ the size wanted at edge e and g the growth per unit of distance, the size wanted at x is
//!
//! ```text
//! h(x) = min over the two edges e of the interval of  sₑ + g·|x − e|
//! ```
//!
//! and the interval is cut where ∫ dx/h(x) passes equal steps, which gives cells of size h to within rounding to a whole number.

/// How fine a grid is.
#[derive(Clone, Copy, Debug)]
pub struct Fineness {
    /// Cell size at an edge as a part of the narrower interval beside it.
    pub part_of_interval: f64,
    /// Largest cell size at an edge, m.
    pub at_edge: f64,
    /// Growth of the cell size per unit of distance from an edge.
    pub growth: f64,
}

/// Fine enough for ψ of every shipped case to lie within 0.0005 W/(m·K) of that on a grid several times finer.
impl Default for Fineness {
    fn default() -> Self {
        Self { part_of_interval: 0.25, at_edge: 0.7e-3, growth: 0.12 }
    }
}

impl Fineness {
    /// The same grading with cells of `part` times the size.
    #[must_use]
    pub fn scaled(self, part: f64) -> Self {
        Self { part_of_interval: self.part_of_interval * part, at_edge: self.at_edge * part, growth: self.growth * part }
    }
}

/// The lines of one axis and how they lie on the plan's raster.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Rising, m.
    pub positions: Vec<f64>,
    /// For each interval between lines, the interval of the plan it lies in.
    pub plan_interval: Vec<usize>,
    /// For each line, the line of the plan it lies on, if any.
    pub plan_line: Vec<Option<usize>>,
}

impl Lines {
    /// Subdivides the intervals between `edges` (rising, m). An interval without solid is not subdivided.
    pub fn graded(edges: &[f64], has_solid: &[bool], fineness: Fineness) -> Self {
        let sizes = edge_sizes(edges, has_solid, fineness);
        let mut lines = Self { positions: vec![edges[0]], plan_interval: Vec::new(), plan_line: vec![Some(0)] };
        for (interval, ends) in edges.windows(2).enumerate() {
            let length = ends[1] - ends[0];
            if has_solid[interval] {
                for distance in cuts(length, sizes[interval], sizes[interval + 1], fineness.growth) {
                    lines.positions.push(ends[0] + distance);
                    lines.plan_interval.push(interval);
                    lines.plan_line.push(None);
                }
            }
            lines.positions.push(ends[1]);
            lines.plan_interval.push(interval);
            lines.plan_line.push(Some(interval + 1));
        }
        lines
    }

    /// Cuts every interval in two halves.
    #[must_use]
    pub fn halved(&self) -> Self {
        let mut lines = Self { positions: Vec::new(), plan_interval: Vec::new(), plan_line: Vec::new() };
        for (index, ends) in self.positions.windows(2).enumerate() {
            lines.positions.extend([ends[0], f64::midpoint(ends[0], ends[1])]);
            lines.plan_interval.extend([self.plan_interval[index]; 2]);
            lines.plan_line.extend([self.plan_line[index], None]);
        }
        lines.positions.extend(self.positions.last());
        lines.plan_line.extend(self.plan_line.last());
        lines
    }
}

/// The cell size wanted at each edge: a part of the narrower neighbouring interval, at most `at_edge`, and never more than the
/// growth from the other edges allows. The first and last edge are cut-off planes and ask for nothing of their own.
fn edge_sizes(edges: &[f64], has_solid: &[bool], fineness: Fineness) -> Vec<f64> {
    let last = edges.len() - 1;
    let narrower = |edge: usize| {
        let before =
            edge.checked_sub(1).filter(|interval| has_solid[*interval]).map(|interval| edges[interval + 1] - edges[interval]);
        let after = (edge < last && has_solid[edge]).then(|| edges[edge + 1] - edges[edge]);
        before.unwrap_or(f64::INFINITY).min(after.unwrap_or(f64::INFINITY))
    };
    let mut sizes: Vec<f64> = (0..=last)
        .map(|edge| {
            let part = narrower(edge) * fineness.part_of_interval;
            if edge == 0 || edge == last { part } else { part.min(fineness.at_edge) }
        })
        .collect();
    for edge in 1..=last {
        sizes[edge] = sizes[edge].min(sizes[edge - 1] + fineness.growth * (edges[edge] - edges[edge - 1]));
    }
    for edge in (0..last).rev() {
        sizes[edge] = sizes[edge].min(sizes[edge + 1] + fineness.growth * (edges[edge + 1] - edges[edge]));
    }
    sizes
}

/// Distances of the interior cuts from the start of an interval of the given length, with size `first` at its start and `last`
/// at its end.
fn cuts(length: f64, first: f64, last: f64, growth: f64) -> Vec<f64> {
    // Where the two straight branches of h(x) meet: first + g·x = last + g·(length − x).
    let meeting = f64::midpoint((last - first) / growth, length);
    let meeting = meeting.clamp(0.0, length);
    // ∫ dx/(s + g·x) = ln(1 + g·x/s)/g along each branch, from its own end.
    let count = |distance: f64, size: f64| (growth * distance / size).ln_1p() / growth;
    let reach = |count: f64, size: f64| size * (growth * count).exp_m1() / growth;
    let (rising, falling) = (count(meeting, first), count(length - meeting, last));
    let total = rising + falling;
    let pieces = (total - 1e-9).ceil().max(1.0);
    (1..pieces as usize)
        .map(|piece| {
            let passed = total * piece as f64 / pieces;
            if passed < rising { reach(passed, first) } else { length - reach(total - passed, last) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_rise_keep_every_edge_and_grow_slowly() {
        let edges = [-1.2, -0.013, 0.0, 0.0015, 0.215, 0.365, 0.373, 20.0];
        let fineness = Fineness::default();
        let lines = Lines::graded(&edges, &[true; 7], fineness);
        for edge in edges {
            assert!(lines.positions.contains(&edge), "{edge}");
        }
        let sizes: Vec<f64> = lines.positions.windows(2).map(|ends| ends[1] - ends[0]).collect();
        assert!(sizes.iter().all(|size| *size > 0.0));
        for pair in sizes.windows(2) {
            let ratio = (pair[0] / pair[1]).max(pair[1] / pair[0]);
            assert!(ratio < 2.2, "neighbouring cells {} and {} m", pair[0], pair[1]);
        }
        assert!(lines.positions.len() < 400, "{} lines", lines.positions.len());
    }

    #[test]
    fn empty_intervals_stay_whole_and_halving_doubles() {
        let lines = Lines::graded(&[0.0, 1.0, 1.1], &[false, true], Fineness::default());
        assert_eq!(lines.plan_interval[0], 0);
        assert_eq!(lines.plan_interval[1], 1);
        let halved = lines.halved();
        assert_eq!(halved.positions.len(), 2 * lines.positions.len() - 1);
        assert_eq!(halved.plan_line.iter().flatten().count(), 3);
        assert_eq!(halved.plan_interval.len() + 1, halved.positions.len());
    }
}
