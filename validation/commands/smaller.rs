//! The smallest input that shows a fault: lines are left out, and then stretches of a line, as long as the fault
//! stays (after A. Zeller and R. Hildebrandt, Simplifying and isolating failure-inducing input, 2002).

use std::io;

use crate::inputs::Input;

/// Runs that are spent on one fault.
const MOST_RUNS: usize = 400;

/// The input made smaller while `shows` says that the fault is still there.
pub fn smaller(input: &Input, shows: &mut dyn FnMut(&Input) -> io::Result<bool>) -> io::Result<Input> {
    let mut best = input.clone();
    let mut left = MOST_RUNS;
    for file in 0..best.files.len() {
        for separator in ["\n", ", "] {
            let mut length = best.files[file].1.matches(separator).count().div_ceil(2);
            while length > 0 {
                let mut from = 0;
                let mut is_smaller = false;
                loop {
                    let parts: Vec<&str> = best.files[file].1.split(separator).collect();
                    if from >= parts.len() {
                        break;
                    }
                    if left == 0 {
                        return Ok(best);
                    }
                    left -= 1;
                    let mut other = best.clone();
                    let until = (from + length).min(parts.len());
                    other.files[file].1 = [&parts[..from], &parts[until..]].concat().join(separator);
                    if shows(&other)? {
                        best = other;
                        is_smaller = true;
                    } else {
                        from += length;
                    }
                }
                if !is_smaller || length > 1 {
                    length /= 2;
                }
            }
        }
    }
    Ok(best)
}
