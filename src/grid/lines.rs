//! Grid lines of one axis, graded towards the edges of the plan.
//!
//! Temperature gradients are steep where materials meet, so cells are smallest at edges and grow by a
//! constant factor away from them. With sₑ the size wanted at edge e and g the growth per unit of distance,
//! the size wanted at x is
//!
//! ```text
//! h(x) = min over the two edges e of the interval of  sₑ + g·|x − e|
//! ```
//!
//! and the interval is cut where ∫ dx/h(x) passes equal steps, which gives cells of size h to within rounding
//! to a whole number.

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

/// Fine enough for ψ of every shipped case to lie within 0.0005 W/(m·K) of that on a grid several times
/// finer.
impl Default for Fineness {
    fn default() -> Self {
        Self { part_of_interval: 0.25, at_edge: 0.7e-3, growth: 0.12 }
    }
}

impl Fineness {
    /// The same grading with cells of `part` times the size.
    #[must_use]
    pub fn scaled(self, part: f64) -> Self {
        Self {
            part_of_interval: self.part_of_interval * part,
            at_edge: self.at_edge * part,
            growth: self.growth * part,
        }
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
        let mut lines =
            Self { positions: vec![edges[0]], plan_interval: Vec::new(), plan_line: vec![Some(0)] };
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

    /// The edges alone, with long intervals cut until none is more than `ratio` times as long as a neighbour.
    pub fn coarsest(edges: &[f64], has_solid: &[bool], ratio: f64) -> Self {
        let lines = Self {
            positions: edges.to_vec(),
            plan_interval: (0..edges.len() - 1).collect(),
            plan_line: (0..edges.len()).map(Some).collect(),
        };
        lines.balanced(has_solid, ratio)
    }

    /// Cuts every interval into the given number of equal pieces.
    #[must_use]
    pub fn split(&self, pieces: &[usize]) -> Self {
        let mut lines = Self { positions: Vec::new(), plan_interval: Vec::new(), plan_line: Vec::new() };
        for (index, ends) in self.positions.windows(2).enumerate() {
            lines.positions.push(ends[0]);
            lines.plan_line.push(self.plan_line[index]);
            lines.plan_interval.extend(std::iter::repeat_n(self.plan_interval[index], pieces[index]));
            for piece in 1..pieces[index] {
                lines.positions.push(ends[0] + (ends[1] - ends[0]) * (piece as f64 / pieces[index] as f64));
                lines.plan_line.push(None);
            }
        }
        lines.positions.extend(self.positions.last());
        lines.plan_line.extend(self.plan_line.last());
        lines
    }

    /// Halves intervals until none is more than `ratio` times as long as a neighbour. `has_solid` is by
    /// intervals of the plan; those without solid are left alone.
    #[must_use]
    pub fn balanced(&self, has_solid: &[bool], ratio: f64) -> Self {
        // Lengths that differ by rounding only must not count as different.
        const ROUNDING: f64 = 1.0 + 1e-9;
        let mut lines = self.clone();
        loop {
            let count = lines.plan_interval.len();
            let length = |index: usize| lines.positions[index + 1] - lines.positions[index];
            let is_solid = |index: usize| has_solid[lines.plan_interval[index]];
            let pieces: Vec<usize> = (0..count)
                .map(|index| {
                    let neighbours = [index.checked_sub(1), Some(index + 1).filter(|next| *next < count)];
                    let mut shortest = f64::INFINITY;
                    for neighbour in neighbours.into_iter().flatten().filter(|neighbour| is_solid(*neighbour))
                    {
                        shortest = shortest.min(length(neighbour));
                    }
                    if is_solid(index) && length(index) > ratio * shortest * ROUNDING { 2 } else { 1 }
                })
                .collect();
            if pieces.iter().all(|pieces| *pieces == 1) {
                return lines;
            }
            lines = lines.split(&pieces);
        }
    }
}

/// The cell size wanted at each edge: a part of the narrower neighbouring interval, at most `at_edge`, and
/// never more than the growth from the other edges allows. The first and last edge are cut-off planes and ask
/// for nothing of their own.
fn edge_sizes(edges: &[f64], has_solid: &[bool], fineness: Fineness) -> Vec<f64> {
    let last = edges.len() - 1;
    let narrower = |edge: usize| {
        let before = edge
            .checked_sub(1)
            .filter(|interval| has_solid[*interval])
            .map(|interval| edges[interval + 1] - edges[interval]);
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

/// Distances of the interior cuts from the start of an interval of the given length, with size `first` at its
/// start and `last` at its end.
fn cuts(length: f64, first: f64, last: f64, growth: f64) -> Vec<f64> {
    // Where the two straight branches of h(x) meet: first + g·x = last + g·(length − x).
    let meeting = f64::midpoint((last - first) / growth, length);
    let meeting = meeting.clamp(0.0, length);
    // ∫ dx/(s + g·x) = ln(1 + g·x/s)/g along each branch, from its own end.
    let count = |distance: f64, size: f64| libm::log1p(growth * distance / size) / growth;
    let reach = |count: f64, size: f64| size * libm::expm1(growth * count) / growth;
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
        let halved = lines.split(&vec![2; lines.plan_interval.len()]);
        assert_eq!(halved.positions.len(), 2 * lines.positions.len() - 1);
        assert_eq!(halved.plan_line.iter().flatten().count(), 3);
        assert_eq!(halved.plan_interval.len() + 1, halved.positions.len());
    }

    #[test]
    fn balancing_bounds_the_ratio_of_neighbours() {
        let has_solid = [true, true, false, true];
        let lines = Lines::coarsest(&[0.0, 1.2, 1.2015, 5.0, 5.3], &has_solid, 4.0);
        assert!(lines.plan_interval.contains(&2) && lines.positions.contains(&1.2015));
        let length = |index: usize| lines.positions[index + 1] - lines.positions[index];
        for index in 1..lines.plan_interval.len() {
            if lines.plan_interval[index - 1..=index].iter().all(|interval| has_solid[*interval]) {
                let ratio = length(index) / length(index - 1);
                assert!((0.24..4.1).contains(&ratio), "{ratio}");
            }
        }
    }
}
