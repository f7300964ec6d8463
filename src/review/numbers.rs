//! The computation itself: another solver, the balance, the grid.

use super::{Findings, Question};
use crate::result::Outcome;
use crate::result::independent::{self, Other, PlaceAgain};

/// ISO 10211: the heat flows balance to this.
const BALANCE: f64 = 1e-4;

/// A bracket wider than this part of L2D to either side confirms little.
const TOO_WIDE: f64 = 0.01;

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
                    format!(
                        "{} change the heat flow by {change:.2} %",
                        if outcome.on_triangles().is_some() {
                            "triangles cut in four"
                        } else {
                            "cells of half the size"
                        }
                    ),
                );
            }
        }
        None => {
            findings.look(Question::Subdivision, "a grid twice as fine would be too large to compare with");
        }
    }
}

fn other_method(outcome: &Outcome, findings: &mut Findings) {
    let other = match independent::solve(outcome) {
        Ok(other) => other,
        Err(error) => {
            findings.look(Question::Independent, format!("the other method has no solution: {error}"));
            return;
        }
    };
    bracket_again(outcome, &other, findings);
    places_again(&other, findings);
    if other.places.is_empty() && outcome.l2d.is_none() {
        findings.look(
            Question::Independent,
            "L2D has no finite value here and no temperatures are asked for, so there is nothing to compare",
        );
    }
}

fn bracket_again(outcome: &Outcome, other: &Other, findings: &mut Findings) {
    let (Some(own), Some(l2d)) = (outcome.l2d, other.l2d) else { return };
    let (volumes, triangles) = ("finite volumes on the grid", "quadratic fields on triangles");
    let evidence = if outcome.handed_over.is_some() {
        format!("{triangles}: L2D {own}; {volumes}, {} unknowns: {l2d} W/(m·K)", other.unknowns)
    } else if outcome.on_triangles().is_some() {
        format!("{triangles}: L2D {own}; refined another way, {} unknowns: {l2d} W/(m·K)", other.unknowns)
    } else {
        format!("{volumes}: L2D {own}; {triangles}, {} unknowns: {l2d} W/(m·K)", other.unknowns)
    };
    if !own.overlaps(l2d) {
        findings.fail(Question::Independent, format!("{evidence}: the brackets exclude each other"));
    } else if l2d.half_width() > TOO_WIDE * own.middle().abs() {
        findings.look(Question::Independent, format!("{evidence}: too wide to tell much"));
    } else {
        findings.pass(Question::Independent, evidence);
    }
}

fn places_again(other: &Other, findings: &mut Findings) {
    for place in other.places.iter().filter(|place| !place.agrees()) {
        let says = format!("{place}: they differ by more than the errors estimated for both");
        if place.contradicts() {
            findings.fail(Question::Independent, says);
        } else {
            findings.look(Question::Independent, says);
        }
    }
    if !other.places.iter().all(PlaceAgain::agrees) {
        return;
    }
    let farthest = |places: &mut dyn Iterator<Item = &PlaceAgain>| {
        places.max_by(|one, other| one.difference().total_cmp(&other.difference())).cloned()
    };
    let is_factor = |place: &&PlaceAgain| place.range.is_some();
    let factors = farthest(&mut other.places.iter().filter(is_factor));
    let points = farthest(&mut other.places.iter().filter(|place| !is_factor(place)));
    for place in [factors, points].into_iter().flatten() {
        findings.pass(Question::Independent, format!("{place} (none differs by more)"));
    }
}
