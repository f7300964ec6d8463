//! `coldseam validate`: reference cases against their published or exact values.

use super::{Exit, complain, print};
use crate::validation::{CASES, compare};

/// Solves every embedded reference case and prints each value beside its reference.
pub fn run() -> Exit {
    let (mut passed, mut failed) = (0, 0);
    for (name, text) in CASES {
        let comparisons = match compare(name, text) {
            Ok(comparisons) => comparisons,
            Err(failure) => {
                complain(&format!("error: the reference case {name} could not be solved: {failure}\n"));
                return Exit::Failed;
            }
        };
        let mut table = format!("{name}\n");
        for comparison in comparisons {
            let reference = comparison.reference;
            let verdict = if comparison.passes() { "ok" } else { "FAILS" };
            table.push_str(&format!(
                "  {:<5} {:<16} {:>12.6} {:<9} reference {:>10} ± {:<9} deviation {:>9.1e}  {}\n",
                verdict,
                reference.quantity,
                comparison.computed,
                reference.unit,
                reference.reference,
                reference.tolerance,
                comparison.computed - reference.reference,
                reference.source
            ));
            if comparison.passes() { passed += 1 } else { failed += 1 }
        }
        print(&format!("{table}\n"));
    }
    print(&format!("{passed} values within tolerance, {failed} outside\n"));
    if failed == 0 { Exit::Done } else { Exit::No }
}
