//! What must not hang on how a drawing lies, and what is told of slopes: cavities that lie askew, rules within closed
//! polygons, materials by direction, planes of symmetry, and the review of all of these.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::result::what_helps;
use coldseam::review::{self, Finding, Question, Seal, Verdict};

mod common;

use common::solve_text;
use common::turned::{Turned, solve, warnings};

fn reviewed(text: &str) -> Vec<Finding> {
    review::review(&solve(text), &Seal::None)
}

fn found(findings: &[Finding], verdict: Verdict, question: Question, words: &str) -> bool {
    let mut own =
        findings.iter().filter(|finding| finding.verdict == verdict && finding.question == question);
    own.any(|finding| finding.evidence.contains(words))
}

/// A frame with a cavity that lies at 45° to the heat flow, turned as a whole.
fn askew(turn: Turned, is_mirrored: bool) -> String {
    let side = |x: f64| if is_mirrored { -x } else { x };
    let at =
        |corners: &[[f64; 2]]| turn.points(&corners.iter().map(|[x, y]| [side(*x), *y]).collect::<Vec<_>>());
    let area = |left: f64, right: f64| at(&[[left, -150.0], [right, -150.0], [right, 150.0], [left, 150.0]]);
    format!(
        "coldseam: 1\ntitle: Askew\ncut: horizontal\nmaterials: {{ plastic: {{ conductivity: 0.17, source: test }} }}\nenvironments:\n  \
         room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\nextent: {{ {} }}\nplan:\n  \
         - {{ space: room, {} }}\n  - {{ space: outside, {} }}\n  - {{ fill: plastic, {} }}\n  - {{ cavity: frame, {} }}\n",
        area(-100.0, 170.0),
        area(-100.0, 10.0),
        area(10.0, 170.0),
        area(0.0, 70.0),
        at(&[[8.0, -25.0], [20.0, -37.0], [62.0, 5.0], [50.0, 17.0]]),
    )
}

#[test]
fn an_oblique_cavity_conducts_the_same_however_the_drawing_lies() {
    let upright = solve(&askew(Turned::exactly(0.0), false));
    let own = upright.cavities[0].conductivity;
    for degrees in [0.0, 30.0, 45.0, 90.0, 135.0, 180.0, 217.0, 270.0] {
        for is_mirrored in [false, true] {
            let turned = solve(&askew(Turned::exactly(degrees), is_mirrored));
            let other = turned.cavities[0].conductivity;
            assert!((other / own - 1.0).abs() < 1e-4, "{degrees}° {is_mirrored}: {other} for {own}");
            assert!(turned.l2d.unwrap().overlaps(upright.l2d.unwrap()));
        }
    }
}

/// A corner that stands twice in a polygon, as where it is closed, or where a parameter makes two one.
#[test]
fn a_rule_within_a_closed_polygon_holds_within_it_only() {
    let text = |points: &str| {
        format!(
            "coldseam: 1\ntitle: Ruled\ncut: horizontal\nmaterials: {{ block: {{ conductivity: 0.18, source: test }} }}\nenvironments:\n  \
             room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\nextent: {{ x: [0, 300], y: [0, 1000] }}\nplan:\n  \
             - {{ space: room, x: [0, 100] }}\n  - {{ space: outside, x: [200, 300] }}\n  - {{ fill: block, x: [90, 200], y: [0, 1000] }}\n\
             surfaces:\n  - {{ of: room, resistance: 0.5, points: [{points}] }}\n"
        )
    };
    let open = "[100, 400], [100, 590], [80, 600], [80, 400]";
    let l2d = solve_text(&text(open)).l2d.unwrap();
    for more in [
        "[100, 400], [100, 590], [80, 600], [80, 400], [100, 400]",
        "[100, 400], [100, 590], [100, 590], [80, 600], [80, 400]",
    ] {
        let other = solve_text(&text(more)).l2d.unwrap();
        assert!(l2d.overlaps(other), "{l2d} {other}");
    }
    let none = "[10, 400], [10, 590], [5, 600], [5, 400], [10, 400]";
    assert!(
        warnings(&solve_text(&text(none))).iter().any(|warning| warning.contains("holds for no surface"))
    );
}

/// A build-up of a material by direction, at an angle: what is taken off for it is what is drawn.
#[test]
fn materials_by_direction_have_the_u_value_that_is_drawn() {
    for degrees in [15.0, 35.0, 80.0, 142.0, 250.0, 331.0] {
        let turn = Turned::exactly(degrees);
        let wall = |u_value: &str| {
            format!(
                "coldseam: 1\ntitle: By direction\ncut: horizontal\nmaterials:\n  grain: {{ conductivity: {{ x: 0.12, y: 0.4 }}, source: test }}\n  \
                 board: {{ conductivity: 0.031, source: test }}\nbuild_ups:\n  wall: {{ layers: [[grain, 200], [board, 50]] }}\nenvironments:\n  \
                 room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\nextent: {{ {} }}\nplan:\n  \
                 - {{ space: room, {} }}\n  - {{ space: outside, {} }}\n  - {{ layers: {{ build_up: wall }}, along: {} }}\n\
                 psi:\n  flanking:\n    - {{ element: wall, {u_value}, internal: {} }}\n",
                turn.area([-300.0, 550.0], [0.0, 1000.0]),
                turn.area([-300.0, 0.0], [0.0, 1000.0]),
                turn.area([250.0, 550.0], [0.0, 1000.0]),
                turn.stretch([0.0, 1000.0], [0.0, 0.0]),
                turn.stretch([0.0, 0.0], [0.0, 1000.0]),
            )
        };
        for sound in
            ["build_up: wall".to_owned(), format!("section: {}", turn.stretch([0.0, 0.0], [250.0, 0.0]))]
        {
            let outcome = solve(&wall(&sound));
            assert_eq!(warnings(&outcome), Vec::<String>::new(), "{degrees}° {sound}");
            assert!(outcome.psi[0].value.abs() < 1e-6, "{degrees}° {sound}: {}", outcome.psi[0].value);
        }
        let drawn = 1.0 / (0.13 + 0.2 / 0.12 + 0.05 / 0.031 + 0.04);
        let wrong = wall(&format!("u_value: {}", drawn + 0.1));
        let said = warnings(&solve(&wrong));
        assert!(said.iter().any(|warning| warning.contains("0.1000 W/(m·K) lower")), "{degrees}° {said:?}");
        let findings = reviewed(&wrong);
        let is_told = |finding: &Finding| {
            finding.verdict != Verdict::Pass && finding.evidence.contains("0.1000 W/(m·K) lower")
        };
        assert!(findings.iter().any(is_told), "{findings:#?}");
    }
}

/// Faults of lengths and cuts that the review must not pass over.
#[test]
fn lengths_on_the_other_face_are_seen() {
    let ridge = coldseam::shipped::find("ridge").unwrap().text;
    let honest = reviewed(ridge);
    assert!(honest.iter().all(|finding| finding.verdict != Verdict::Fail), "{honest:#?}");
    let swapped = ridge
        .replace("internal: {", "INTERNAL: {")
        .replace("external: {", "internal: {")
        .replace("INTERNAL: {", "external: {");
    let findings = reviewed(&swapped);
    assert!(
        found(&findings, Verdict::Fail, Question::Conventions, "two conventions mixed up"),
        "{findings:#?}"
    );
}

#[test]
fn what_the_computation_warns_of_is_in_the_review() {
    let corner = coldseam::shipped::find("corner-135").unwrap().text;
    let (from, to) =
        (corner.find("    - element: bay wall").unwrap(), corner.find("\ncondensation:").unwrap());
    let without = format!("{}{}", &corner[..from], &corner[to..]);
    let findings = reviewed(&without);
    assert!(
        found(&findings, Verdict::Look, Question::Warnings, "no flanking element takes off"),
        "{findings:#?}"
    );
    let no_condensation = corner.replace("condensation: {", "description_of: {");
    assert!(coldseam::case::from_text("none", &no_condensation, &[]).is_err());
    let line = corner.lines().find(|line| line.starts_with("condensation:")).unwrap();
    let findings = reviewed(&corner.replace(line, ""));
    assert!(found(&findings, Verdict::Look, Question::Surfaces, "no `condensation`"), "{findings:#?}");
}

#[test]
fn coarse_claims_are_told_and_tested_to_the_last_digit_that_is_printed() {
    let ridge = coldseam::shipped::find("ridge").unwrap().text;
    let claiming = |claims: &str| reviewed(&format!("{ridge}\nclaims: {{ {claims} }}\n"));
    for (claims, verdict) in [
        ("psi_internal: 0.024", Verdict::Pass),
        ("psi_internal: 0.0236", Verdict::Pass),
        ("psi_internal: 0", Verdict::Fail),
        ("psi_internal: 0.0", Verdict::Fail),
        ("psi_internal: 0.02", Verdict::Fail),
        ("l2d: 1", Verdict::Fail),
        ("f_rsi: 1", Verdict::Fail),
        ("f_rsi: 0.91", Verdict::Pass),
    ] {
        let own: Vec<Finding> =
            claiming(claims).into_iter().filter(|own| own.question == Question::Claims).collect();
        assert_eq!(own.iter().map(|own| own.verdict).max(), Some(verdict), "{claims}: {own:#?}");
    }
    let coarse = claiming("psi_internal: 0.0");
    assert!(found(&coarse, Verdict::Look, Question::Claims, "is stated to ± 0.05 only"), "{coarse:#?}");
}

/// Half of a ridge: what it comes to is said to be half.
#[test]
fn what_is_left_out_by_symmetry_is_said() {
    let whole = common::solve_shipped("ridge", &[]);
    let text = coldseam::shipped::find("ridge").unwrap().text;
    let from = text.find("    - element: back roof").unwrap();
    let to = text.find("\ncondensation:").unwrap();
    let half = format!("{}{}", &text[..from], &text[to..])
        .replace("  flanking:", "  symmetry: [{ x: 0 }]\n  flanking:")
        .replace("  points: [[px - spare", "  points: [[0, -spare / c], [px - spare")
        .replace("[0, (h4 + spare) / c],\n    [-px - (h4 + spare) * s, py + (h4 + spare) * c], [-px + spare * s, py - spare * c], [0, -spare / c]]", "[0, (h4 + spare) / c]]");
    let outcome = solve(&half);
    assert!((2.0 * outcome.psi[0].value - whole.psi[0].value).abs() < 2e-4, "{}", outcome.psi[0].value);
    let said = format!("twice as much, ψ = {:.4} W/(m·K)", 2.0 * outcome.psi[0].value);
    assert!(outcome.notes.iter().any(|note| note.contains(&said)), "{:?}", outcome.notes);
    assert!(whole.notes.iter().all(|note| !note.contains("symmetry")));
}

/// A U-value that is stated does not follow a conductivity: nothing is said of ψ then.
#[test]
fn what_helps_says_nothing_of_psi_where_a_stated_u_value_stays_behind() {
    let corner = coldseam::shipped::find("corner-135").unwrap().text;
    let section = corner.lines().find(|line| line.contains("section: { from:")).unwrap();
    let wall = 1.0 / (0.13 + 0.013 / 0.4 + 0.215 / 0.18 + 0.15 / 0.031 + 0.008 + 0.04);
    let stated = corner.replace(section, &format!("      u_value: {wall}"));
    for (text, is_said) in [(corner, true), (stated.as_str(), false)] {
        let outcome = solve(text);
        let effects = what_helps::effects(&outcome, None, &|_| None, &|| ());
        let wanted = |effect: &&what_helps::Effect| match effect.change {
            what_helps::Change::Conductivity { material, .. } => {
                outcome.case.model.materials[material].name == "graphite_eps"
            }
            what_helps::Change::Parameter { .. } => false,
        };
        let effect = effects.iter().find(wanted).unwrap();
        assert_eq!(effect.psi.is_some(), is_said, "{effect:?}");
        assert!(effect.psi.is_none_or(|psi| (psi + 0.004).abs() < 0.002), "{effect:?}");
    }
}
