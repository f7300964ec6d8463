//! Drawings that are level but for next to nothing: whatever they are turned by, they say what they say level.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

use proptest::prelude::*;

mod common;

use common::turned::{LAYERS, Turned, corner, head, solve, thickness, wall, warnings};

/// An eaves: a wall below a roof at 38°, cut square, all as polygons and points.
fn eaves(turned: Turned) -> String {
    let (sin, cos) = 38.0_f64.to_radians().sin_cos();
    let (thick, roof) = (200.0, 250.0);
    let up = |along: f64, off: f64| [along * cos - off * sin, along * sin + off * cos];
    let outer = [-thick, -thick * sin / cos + roof / cos];
    let [px, py] = up(1800.0, 0.0);
    let mut text = head(&[(thick, 0.12), (roof, 0.04)]);
    let extent = turned.points(&[
        [-500.0, -1500.0],
        [300.0, -1500.0],
        up(1800.0, -300.0),
        up(1800.0, 500.0),
        [-500.0, up(1800.0, 500.0)[1]],
    ]);
    let wall = turned.points(&[[-thick, -1500.0], [0.0, -1500.0], [0.0, roof / cos], outer]);
    let slope = turned.points(&[[-thick, -thick * sin / cos], up(3000.0, 0.0), up(3000.0, roof), outer]);
    let room = turned.points(&[[0.0, -1500.0], [300.0, -1500.0], up(1800.0, -300.0), [px, py], [0.0, 0.0]]);
    write!(
        text,
        "extent: {{ {extent} }}\nplan:\n  - {{ space: outside }}\n  - {{ fill: m0, {wall} }}\n  - {{ fill: m1, {slope} }}\n  \
         - {{ space: room, {room} }}\npsi:\n  flanking:\n    \
         - {{ element: wall, section: {}, internal: {}, external: {} }}\n    \
         - {{ element: roof, section: {}, internal: {}, external: {} }}\n",
        turned.stretch([0.0, -1500.0], [-thick, -1500.0]),
        turned.stretch([0.0, -1500.0], [0.0, 0.0]),
        turned.stretch([-thick, -1500.0], outer),
        turned.stretch([px, py], up(1800.0, roof)),
        turned.stretch([0.0, 0.0], [px, py]),
        turned.stretch(outer, up(1800.0, roof)),
    )
    .unwrap();
    text
}

/// All drawings at an angle.
fn drawings(turned: Turned) -> [String; 4] {
    let corner = corner(turned, &LAYERS, 1500.0);
    // A rail that the section passes beside.
    let railed = corner.replace(
        "psi:",
        &format!("  - {{ fill: m0, {} }}\npsi:", turned.area([15.0, 190.0], [-1400.0, -1350.0])),
    );
    [eaves(turned), corner, wall(turned, &LAYERS, 2000.0), railed]
}

/// What is said of each drawing is what is said level, and ψ is the same.
fn says_what_it_says_level(turned: Turned) {
    for (level, text) in drawings(Turned::exactly(0.0)).iter().zip(drawings(turned)) {
        let (level, outcome) = (solve(level), solve(&text));
        assert!(warnings(&level).is_empty(), "{:?}", warnings(&level));
        assert!(warnings(&outcome).is_empty(), "{turned:?}: {:?}\n{text}", warnings(&outcome));
        let said = |notes: &[String]| notes.iter().filter(|note| note.starts_with("along ")).count();
        assert_eq!(
            said(&outcome.notes),
            said(&level.notes),
            "{turned:?}: {:?} {:?}",
            outcome.notes,
            level.notes
        );
        assert_eq!(outcome.psi.len(), level.psi.len());
        // Rounding of the sums, and of coordinates at either end of two lengths with U below 1 W/(m²K).
        let allowed = 1e-9 + 4.0 * turned.step * 1e-3;
        for (one, other) in outcome.psi.iter().zip(&level.psi) {
            let (one, other) = (one.bracket, other.bracket);
            let is_same = one.lower() <= other.upper() + allowed && other.lower() <= one.upper() + allowed;
            assert!(is_same, "{turned:?}: {one} {other}");
        }
    }
}

/// From where corners are one to where everybody sees the slope.
const ANGLES: [f64; 16] =
    [1e-6, 1e-5, 3e-5, 6e-5, 1e-4, 2e-4, 4e-4, 1e-3, 1.6e-3, 0.003, 0.005, 0.01, 0.05, 0.1, 0.3, 1.0];

#[test]
fn a_drawing_turned_by_next_to_nothing_says_what_it_says_level() {
    for angle in ANGLES {
        for degrees in [angle, -angle, 90.0 + angle] {
            says_what_it_says_level(Turned::exactly(degrees));
        }
    }
}

/// A length that is short of the junction is found at all of these angles: none falls between the views.
#[test]
fn slips_are_told_at_all_small_angles() {
    let thick = thickness(&LAYERS);
    for angle in ANGLES {
        for degrees in [angle, -angle] {
            let turned = Turned::exactly(degrees);
            let internal = |from: f64, to: f64| turned.stretch([0.0, from], [0.0, to]);
            let external = turned.stretch([thick, -1500.0], [thick, thick]);
            let text = corner(turned, &LAYERS, 1500.0);
            let changed = |from: &str, to: &str| {
                assert!(text.contains(from), "{from}");
                warnings(&solve(&text.replacen(from, to, 1)))
            };
            let whole = internal(-1500.0, 0.0);
            let short = changed(&whole, &internal(-1500.0, -400.0));
            // To the micrometre that the angle makes of it.
            let is_told = |told: &String| {
                ["400", "399.99"].iter().any(|size| told.contains(&format!("the loss of these {size}")))
            };
            assert!(short.len() == 1 && is_told(&short[0]), "{degrees}: {short:?}");
            let missed = changed(&whole, &internal(-1600.0, 0.0));
            assert!(
                missed.len() == 1 && missed[0].contains("mm beyond where the element is cut"),
                "{degrees}: {missed:?}"
            );
            let beside =
                changed(&external, &turned.stretch([thick + 300.0, -1500.0], [thick + 300.0, thick]));
            assert!(
                beside.iter().any(|told| told.contains("lies beside the element")),
                "{degrees}: {beside:?}"
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Any angle from a millionth of a degree to one, by its logarithm; coordinates whole or written to the micrometre.
    #[test]
    fn any_small_angle_says_what_it_says_level(
        logarithm in -6.0_f64..0.0,
        is_negative in any::<bool>(),
        quarters in 0_u8..4,
        is_rounded in any::<bool>(),
    ) {
        let angle = 10.0_f64.powf(logarithm);
        let degrees = f64::from(quarters) * 90.0 + if is_negative { -angle } else { angle };
        says_what_it_says_level(Turned { degrees, step: if is_rounded { 1e-3 } else { 0.0 } });
    }
}
