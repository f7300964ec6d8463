//! The computation itself: another solver, the balance, the grid.

use super::{Findings, Question};
use crate::result::Outcome;
use crate::result::independent::{self, Other, PointAgain};

/// ISO 10211: the heat flows balance to this.
const BALANCE: f64 = 1e-4;

/// A bracket wider than this part of L2D to either side confirms little.
const TOO_WIDE: f64 = 0.1;

pub fn review(outcome: &Outcome, findings: &mut Findings) {
    other_method(outcome, findings);
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
}

fn other_method(outcome: &Outcome, findings: &mut Findings) {
    const NOTHING: &str =
        "L2D has no finite value here and no points are named, so there is nothing to compare";
    match (independent::solve(outcome), outcome.l2d) {
        (Err(error), _) => {
            findings.look(Question::Independent, format!("the other method has no solution: {error}"));
        }
        (Ok(Other::Bracket { l2d: other, unknowns }), Some(own)) => {
            let (volumes, triangles) = ("finite volumes on the grid", "quadratic fields on triangles");
            let (first, second) =
                if outcome.by_triangles.is_some() { (triangles, volumes) } else { (volumes, triangles) };
            let evidence = format!("{first}: L2D {own}; {second}, {unknowns} unknowns: {other} W/(m·K)");
            if own.overlaps(other) && other.half_width() > TOO_WIDE * own.middle().abs() {
                findings.look(Question::Independent, format!("{evidence}: too wide to tell much"));
            } else if own.overlaps(other) {
                findings.pass(Question::Independent, evidence);
            } else {
                findings.fail(Question::Independent, format!("{evidence}: the brackets exclude each other"));
            }
        }
        (Ok(Other::Points(points)), _) => {
            let apart =
                |one: &&PointAgain, other: &&PointAgain| one.difference().total_cmp(&other.difference());
            let Some(farthest) = points.iter().max_by(apart) else {
                findings.look(Question::Independent, NOTHING);
                return;
            };
            let evidence = format!(
                "L2D has no finite value here; by quadratic fields on triangles the named points differ by at most {:.1e} K (`{}`)",
                farthest.difference(),
                farthest.name
            );
            match points.iter().find(|point| !point.agrees()) {
                None => findings.pass(Question::Independent, evidence),
                Some(point) => {
                    let (own, other, name) = (point.own.0, point.other.0, &point.name);
                    let says = format!(
                        "{evidence}: at `{name}` {own:.3} and {other:.3} °C, beyond the errors estimated"
                    );
                    findings.fail(Question::Independent, says);
                }
            }
        }
        (Ok(Other::Bracket { .. }), None) => findings.look(Question::Independent, NOTHING),
    }
}
