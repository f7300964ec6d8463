//! Slips in elements that slope and are told by points: each is told, as of level ones.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

mod common;

use common::turned::{
    LAYERS, Turned, corner, head, refused, solve, thickness, u_value, upright_corner, warnings,
};

/// One corner, and what is changed of its first wall: with a message that must be told.
#[test]
fn what_is_off_is_told() {
    let turned = Turned::exactly(20.0);
    let thick = thickness(&LAYERS);
    let text = corner(turned, &LAYERS, 1500.0);
    let stretch = |from: [f64; 2], to: [f64; 2]| turned.stretch(from, to);
    let section = stretch([-20.0, -1500.0], [thick + 20.0, -1500.0]);
    let internal = stretch([0.0, -1500.0], [0.0, 0.0]);
    let changed = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    };
    for (from, to, message) in [
        (
            &section,
            stretch([-20.0, -1200.0], [thick + 20.0, -1100.0]),
            "crosses edges that are not square to it, of which one runs at 110.0°",
        ),
        (&section, stretch([-20.0, -1500.0], [100.0, -1500.0]), "begins or ends within the element"),
        (&section, stretch([-90.0, -1200.0], [-20.0, -1200.0]), "does not lead through a construction"),
        (&section, stretch([0.0, -1500.0], [0.0, -300.0]), "runs along an edge"),
        (&section, stretch([15.0, -1400.0], [15.0, -300.0]), "runs along an edge"),
        (&section, stretch([-20.0, -1600.0], [thick + 20.0, -1600.0]), "lies outside of what is drawn"),
        (&section, stretch([7000.0, 9000.0], [8000.0, 9000.0]), "lies outside of what is drawn"),
        (&internal, stretch([0.0, -1500.0], [300.0, 0.0]), "an element runs one way"),
        (&internal, "[-1500, 0]".to_owned(), "this element runs along a slope"),
        (&internal, internal.replace("to:", "at:"), "has no key `at`"),
        (&internal, stretch([0.0, -1500.0], [0.0, -1500.0]), "has no length"),
        (&internal, stretch([0.0, -9000.0], [0.0, 0.0]), "and the longer side of `extent`"),
    ] {
        let told = refused(&changed(from, &to));
        assert!(told.contains(message), "{message}: {told}");
    }
    // All lengths run along something else than the section leads through.
    let second = stretch([-20.0, -1500.0], [thick + 20.0, -1500.0]);
    let across = stretch([-1500.0, -20.0], [-1500.0, thick + 20.0]);
    let told = refused(&text.replace(&second, &across));
    assert!(told.contains("and the element that its section leads through at 20.0°"), "{told}");
    for (from, to, message) in [
        (&internal, stretch([0.0, -1500.0], [0.0, -400.0]), "the loss of these 400 mm is left in ψ"),
        (&internal, stretch([0.0, -1500.0], [0.0, 900.0]), "which lies outside the extent"),
        (&internal, stretch([-600.0, -1500.0], [-600.0, 0.0]), "lies beside the element"),
        (&format!("section: {section}"), "u_value: 0.5".to_owned(), "and what is drawn at"),
    ] {
        let told = warnings(&solve(&changed(from, &to)));
        assert!(told.iter().any(|told| told.contains(message)), "{message}: {told:?}");
    }
    // The right U is as good as the section.
    let stated = changed(&format!("section: {section}"), &format!("u_value: {:?}", u_value(&LAYERS)));
    assert!(warnings(&solve(&stated)).is_empty());
    // The same wall taken off twice.
    let twice = text.clone()
        + &text.lines().find(|line| line.contains("first")).unwrap().replace("first", "again")
        + "\n";
    let told = warnings(&solve(&twice));
    assert!(told.iter().any(|told| told.contains("its loss is counted 2 times")), "{told:?}");
    // A stud near the cut that the section passes beside, drawn upright too.
    for (text, stud) in [
        (text.clone(), turned.area([15.0, 190.0], [-1400.0, -1350.0])),
        (upright_corner(&LAYERS, 1500.0), "x: [15, 190], y: [-1400, -1350]".to_owned()),
    ] {
        let studded = text.replace("psi:", &format!("  - {{ fill: m0, {stud} }}\npsi:"));
        let outcome = solve(&studded);
        let is_told = |note: &String| note.starts_with("along first") && note.contains("over 50 mm");
        assert!(outcome.notes.iter().any(is_told), "{:?}", outcome.notes);
    }
    // Its length points out of a drawing in which nothing slopes.
    let level = upright_corner(&LAYERS, 1500.0)
        .replace(
            "section: { y: -1500.0 }, internal: [-1500.0, 0]",
            "u_value: 0.2, internal: { from: [0, -1500], to: [600, 0] }",
        )
        .replacen("external: [-1500.0, 315.0]", "external: { from: [315, -1500], to: [1000, 200] }", 1);
    let told = refused(&level);
    assert!(told.contains("all edges of the drawing are level or upright"), "{told}");
}

/// A length of one convention, or of both, that misses the cut: which ends how far off, and what that makes in ψ, on a
/// slope and upright.
#[test]
fn a_length_that_misses_the_cut_is_told_with_what_it_makes_in_psi() {
    let thick = thickness(&LAYERS);
    let u = u_value(&LAYERS);
    let turned = Turned::exactly(20.0);
    let sloped = corner(turned, &LAYERS, 1500.0);
    let upright = upright_corner(&LAYERS, 1500.0);
    let points = |x: f64, from: f64, to: f64| turned.stretch([x, from], [x, to]);
    let on_an_axis = |_: f64, from: f64, to: f64| {
        format!("[{from:?}, {}]", if to == 0.0 { "0".to_owned() } else { format!("{to:?}") })
    };
    let written: [(&str, &dyn Fn(f64, f64, f64) -> String); 2] =
        [(&sloped, &points), (&upright, &on_an_axis)];
    for (text, length) in written {
        let right = solve(text);
        assert!(warnings(&right).is_empty(), "{:?}", warnings(&right));
        let internal = |from: f64| format!("internal: {}", length(0.0, from, 0.0));
        let external = |from: f64| format!("external: {}", length(thick, from, thick));
        for (off, what) in [
            (-200.0_f64, "200 mm beyond where"),
            (-50.0, "50 mm beyond where"),
            (900.0, "900 mm before where"),
        ] {
            let one = text.replacen(&internal(-1500.0), &internal(-1500.0 + off), 1);
            let both = one.replacen(&external(-1500.0), &external(-1500.0 + off), 1);
            assert!(one != *text && both != one, "{text}");
            for (changed, told_of) in [(&one, 1), (&both, 2)] {
                let outcome = solve(changed);
                let told = warnings(&outcome);
                let effect = u * off.abs() * 1e-3;
                let sense = if off < 0.0 { "lower" } else { "higher" };
                let is_told = |told: &&String| {
                    told.starts_with("the length of first by ")
                        && told.contains(what)
                        && told.ends_with(&format!("that makes ψ {effect:.4} W/(m·K) {sense}"))
                };
                assert_eq!(told.iter().filter(is_told).count(), told_of, "{told:?}");
                assert_eq!(told.len(), told_of, "{told:?}");
                for (number, (wrong, right)) in outcome.psi.iter().zip(&right.psi).enumerate() {
                    let made = if number < told_of { u * off * 1e-3 } else { 0.0 };
                    assert!(
                        (wrong.value - right.value - made).abs() < 1e-9,
                        "{} {made}",
                        wrong.value - right.value
                    );
                }
            }
        }
    }
    // Off sideways: as long as it should be, and on no surface.
    let shifted =
        sloped.replacen(&points(0.0, -1500.0, 0.0), &turned.stretch([40.0, -1530.0], [40.0, -30.0]), 1);
    let told = warnings(&solve(&shifted));
    let beside = "it lies beside the element's surfaces, 40 mm off the nearer";
    assert!(
        told.len() == 1 && told[0].contains("30 mm beyond where") && told[0].ends_with(beside),
        "{told:?}"
    );
}

/// Two sloped walls of one room in one line: a section through both does not say which is meant.
#[test]
fn a_section_leads_through_one_construction() {
    let turned = Turned::exactly(33.0);
    let mut text = head(&LAYERS[..1]);
    writeln!(text, "extent: {{ {} }}\nplan:", turned.area([0.0, 1500.0], [-500.0, 2500.0])).unwrap();
    writeln!(text, "  - {{ space: outside, {} }}", turned.area([-9.0, 1600.0], [-600.0, 2600.0])).unwrap();
    writeln!(text, "  - {{ fill: m0, {} }}", turned.area([-9.0, 1600.0], [0.0, 2000.0])).unwrap();
    writeln!(text, "  - {{ space: room, {} }}", turned.area([-9.0, 1600.0], [200.0, 1800.0])).unwrap();
    let both = turned.stretch([700.0, -100.0], [700.0, 2100.0]);
    let element = |name: &str, section: &str, at: f64| {
        format!(
            "{{ element: {name}, section: {section}, internal: {} }}",
            turned.stretch([0.0, at], [1500.0, at])
        )
    };
    let psi = |first: &str, second: &str| {
        format!(
            "{text}psi: {{ flanking: [{}, {}] }}\n",
            element("lower", first, 200.0),
            element("upper", second, 1800.0)
        )
    };
    let lower = turned.stretch([700.0, -100.0], [700.0, 300.0]);
    let upper = turned.stretch([700.0, 2100.0], [700.0, 1700.0]);
    assert!(refused(&psi(&both, &upper)).contains("leads through 2 constructions"));
    let outcome = solve(&psi(&lower, &upper));
    assert!(warnings(&outcome).is_empty(), "{:?}", warnings(&outcome));
    assert!(outcome.psi[0].value.abs() < 1e-9);
}
