//! The computation itself: another solver, the balance, the grid.

use super::{Findings, Question};
use crate::result::{Failure, Outcome, independent};

/// ISO 10211: the heat flows balance to this.
const BALANCE: f64 = 1e-4;

/// A bracket wider than this part of L2D to either side confirms little.
const TOO_WIDE: f64 = 0.1;

pub fn review(outcome: &Outcome, findings: &mut Findings) -> Result<(), Failure> {
    match (outcome.l2d, independent::bracket(outcome)) {
        (_, Err(Failure::Solve(error))) => {
            findings.look(Question::Independent, format!("the other solver has no solution: {error}"));
        }
        (_, Err(failure)) => return Err(failure),
        (Some(own), Ok(Some((other, unknowns)))) => {
            let evidence = format!(
                "multigrid on the refined grid: L2D {own}; conjugate gradients on a graded one of {unknowns} unknowns: {other} W/(m·K)"
            );
            if own.overlaps(other) && other.half_width() > TOO_WIDE * own.middle().abs() {
                findings.look(Question::Independent, format!("{evidence}: too wide to tell much"));
            } else if own.overlaps(other) {
                findings.pass(Question::Independent, evidence);
            } else {
                findings.fail(Question::Independent, format!("{evidence}: the brackets exclude each other"));
            }
        }
        _ => findings
            .look(Question::Independent, "L2D has no finite value here, so there is nothing to compare"),
    }
    let evidence =
        format!("{:.0e} of the heat flow; ISO 10211 asks for less than {BALANCE:.0e}", outcome.heat_balance);
    if outcome.heat_balance < BALANCE {
        findings.pass(Question::Balance, evidence);
    } else {
        findings.fail(Question::Balance, evidence);
    }
    if outcome.is_limited {
        findings
            .look(Question::Subdivision, "the accuracy wanted was not reached within the limit on unknowns");
    }
    match &outcome.evidence {
        Some(subdivision) => {
            if let Some(note) = subdivision.note() {
                findings.fail(Question::Subdivision, note);
            } else {
                let change = subdivision.heat_flow_change() * 100.0;
                findings.pass(
                    Question::Subdivision,
                    format!("cells of half the size change the heat flow by {change:.2} %"),
                );
            }
        }
        None => {
            findings.look(Question::Subdivision, "a grid twice as fine would be too large to compare with");
        }
    }
    Ok(())
}
