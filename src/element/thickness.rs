//! Which value of a parameter reaches a target U-value.

/// The end of a search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found {
    /// The value at which U equals the target; U falls as the parameter rises, or the other way round.
    Value {
        /// The parameter.
        value: f64,
        /// True if larger values are better.
        more_is_better: bool,
    },
    /// U does not depend on the parameter.
    Independent,
    /// No value that can be built reaches the target; the best U met on the way, W/(m²K).
    OutOfReach(f64),
    /// Every value tried is good enough, down to (or up to) this one.
    Always(f64),
}

/// How far apart neighbouring trials lie.
const FACTOR: f64 = 1.25;
/// Trials before giving up: a factor of about 10⁴ either way.
const MOST_TRIALS: usize = 42;

/// Searches from `start` for the value at which `u_value` equals `target`. `u_value` is `None` where nothing
/// can be built.
pub fn search(u_value: &dyn Fn(f64) -> Option<f64>, start: f64, target: f64) -> Found {
    let start = if start == 0.0 { 1.0 } else { start };
    let Some(first) = u_value(start) else { return Found::OutOfReach(f64::INFINITY) };
    let (up, down) = (u_value(start * FACTOR), u_value(start / FACTOR));
    let changed = |other: Option<f64>| other.is_some_and(|other| (other - first).abs() > 1e-12 * first);
    if !changed(up) && !changed(down) {
        return Found::Independent;
    }
    let more_is_better = up.map_or_else(|| down.is_some_and(|down| down > first), |up| up < first);
    // Towards lower U if it is too high, and otherwise away from it, to use no more than needed.
    let is_enough = |u: f64| u <= target;
    let upwards = more_is_better != is_enough(first);
    let step = if upwards { FACTOR } else { 1.0 / FACTOR };
    let (mut last, mut best) = (start, first);
    for _ in 0..MOST_TRIALS {
        let next = last * step;
        let Some(u) = u_value(next) else { break };
        best = best.min(u);
        if is_enough(u) != is_enough(first) {
            let (enough, short) = if is_enough(u) { (next, last) } else { (last, next) };
            return Found::Value { value: bisect(u_value, enough, short, target), more_is_better };
        }
        last = next;
    }
    if is_enough(first) { Found::Always(last) } else { Found::OutOfReach(best) }
}

/// The last value that is enough between one that is and one that is not.
fn bisect(u_value: &dyn Fn(f64) -> Option<f64>, mut enough: f64, mut short: f64, target: f64) -> f64 {
    for _ in 0..60 {
        let middle = f64::midpoint(enough, short);
        if u_value(middle).is_some_and(|u| u <= target) {
            enough = middle;
        } else {
            short = middle;
        }
    }
    enough
}

/// The least of the `sizes` that is at least `value`, or the largest that is at most it where less is better.
pub fn next_size(sizes: &[f64], value: f64, more_is_better: bool) -> Option<f64> {
    let tolerance = 1e-9 * value.abs();
    if more_is_better {
        sizes.iter().copied().filter(|size| *size >= value - tolerance).min_by(f64::total_cmp)
    } else {
        sizes.iter().copied().filter(|size| *size <= value + tolerance).max_by(f64::total_cmp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A layer of λ 0.03 before R = 1.5, as long as there is a layer: 1/U = 1.5 + d/0.03.
    fn wall(millimetres: f64) -> Option<f64> {
        (millimetres > 0.0).then(|| 1.0 / (1.5 + millimetres * 1e-3 / 0.03))
    }

    #[test]
    fn the_thickness_is_found_from_above_and_below() {
        let exact = (1.0 / 0.15 - 1.5) * 0.03 * 1e3;
        for start in [10.0, 100.0, 400.0] {
            let Found::Value { value, more_is_better: true } = search(&wall, start, 0.15) else {
                panic!("from {start}")
            };
            assert!((value - exact).abs() < 1e-6, "{value} for {exact}");
        }
    }

    #[test]
    fn what_cannot_be_reached_is_told() {
        assert_eq!(search(&|_| Some(0.3), 100.0, 0.2), Found::Independent);
        assert!(
            matches!(search(&|x| Some(0.3 + 1.0 / x), 100.0, 0.2), Found::OutOfReach(best) if best > 0.3)
        );
        assert!(matches!(search(&wall, 100.0, 0.7), Found::Always(_)));
        // A joint makes things worse: less is better.
        let joint = |width: f64| Some(0.3 + width * 0.01);
        assert!(
            matches!(search(&joint, 10.0, 0.35), Found::Value { value, more_is_better: false } if (value - 5.0).abs() < 1e-6)
        );
    }

    #[test]
    fn boards_come_in_sizes() {
        let sizes = [100.0, 120.0, 140.0];
        assert_eq!(next_size(&sizes, 120.0, true), Some(120.0));
        assert_eq!(next_size(&sizes, 120.1, true), Some(140.0));
        assert_eq!(next_size(&sizes, 150.0, true), None);
        assert_eq!(next_size(&sizes, 130.0, false), Some(120.0));
    }
}
