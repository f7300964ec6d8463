//! Elements that slope, told by points: sections across them, lengths along them, planes of symmetry, and an extent
//! whose edges cut them squarely. A drawing turned as a whole is the same junction.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

use coldseam::report::document::{self, solve::Solve};
use coldseam::result::Outcome;

mod common;

use common::turned::{
    LAYERS, Turned, corner, head, refused, solve, thickness, u_value, upright_corner, wall, warnings,
};

#[test]
fn a_plane_wall_has_no_psi_at_any_angle() {
    let thin = [(15.0, 0.7), (0.2, 50.0), (240.0, 0.035), (1.0, 160.0), (22.0, 0.13)];
    for layers in [thin.as_slice(), &LAYERS] {
        let exact = u_value(layers);
        for degrees in [0.0, 3.0, 20.0, 45.0, 61.0, 90.0, 119.0, 165.0, 200.0, -33.3, -77.0, 305.0] {
            let outcome = solve(&wall(Turned::exactly(degrees), layers, 1700.0));
            assert!(warnings(&outcome).is_empty(), "{degrees}°: {:?}", warnings(&outcome));
            let u = outcome.elements[0].u_value;
            assert!((u - exact).abs() < 1e-9 * exact, "{degrees}°: U {u}, {exact}");
            assert_eq!(outcome.psi.len(), 2);
            for psi in &outcome.psi {
                assert!(psi.value.abs() < 1e-9 * exact, "{degrees}°: {psi:?}");
                assert!((psi.terms[0].length - 1.7).abs() < 1e-12);
            }
            let section = outcome.elements[0].section.as_ref().unwrap();
            let drawn: Vec<f64> = section.layers.iter().map(|layer| layer.thickness * 1e3).collect();
            // Given from the room outwards, whichever way it lies; a section along an axis follows that.
            let is_level = degrees % 90.0 == 0.0;
            let in_order = |order: &mut dyn Iterator<Item = &(f64, f64)>| {
                order.zip(&drawn).all(|((given, _), found)| (given - found).abs() < 1e-9)
            };
            let as_given = in_order(&mut layers.iter());
            assert!(as_given || (is_level && in_order(&mut layers.iter().rev())), "{degrees}°: {drawn:?}");
        }
    }
}

#[test]
fn a_turned_corner_is_the_upright_one() {
    let upright = solve(&upright_corner(&LAYERS, 1500.0));
    assert!(warnings(&upright).is_empty() && upright.plan.raster().is_some(), "{:?}", warnings(&upright));
    for degrees in [20.0, 45.0, 77.0, -51.0, 164.0] {
        let outcome = solve(&corner(Turned::exactly(degrees), &LAYERS, 1500.0));
        assert!(warnings(&outcome).is_empty(), "{degrees}°: {:?}", warnings(&outcome));
        assert_eq!(upright.notes, outcome.notes, "{degrees}°");
        same(&upright, &outcome, &format!("{degrees}°"));
    }
    // Not turned, it stays on the grid.
    let outcome = solve(&corner(Turned::exactly(0.0), &LAYERS, 1500.0));
    assert!(outcome.plan.raster().is_some());
    same(&upright, &outcome, "0°");
}

/// U to rounding, ψ by both conventions within both brackets, f_Rsi within both errors.
fn same(one: &Outcome, other: &Outcome, what: &str) {
    for (one, other) in one.elements.iter().zip(&other.elements) {
        assert!((one.u_value - other.u_value).abs() < 1e-9 * one.u_value, "{what}: {one:?} {other:?}");
    }
    assert_eq!((one.psi.len(), other.psi.len()), (2, 2), "{what}");
    for (one, other) in one.psi.iter().zip(&other.psi) {
        assert!(one.bracket.overlaps(other.bracket), "{what}: {} {}", one.bracket, other.bracket);
    }
    let factor = |outcome: &Outcome| outcome.factors[0].coldest.as_ref().unwrap().factor;
    let errors: f64 = [one, other]
        .iter()
        .map(|outcome| outcome.coldest_error(outcome.factors[0].environment, false).unwrap())
        .sum();
    assert!((factor(one) - factor(other)).abs() <= errors, "{what}: {} {}", factor(one), factor(other));
}

/// Any walls at any angle.
#[test]
fn random_corners_are_the_same_turned() {
    let mut state = 20_u64;
    let mut random = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for number in 0..12 {
        let count = 1 + (random() * 3.0) as usize;
        let layers: Vec<(f64, f64)> =
            (0..count).map(|_| ((20.0 + random() * 180.0).round(), 0.03 * 50.0_f64.powf(random()))).collect();
        let length = (1500.0 + random() * 500.0).round();
        let degrees = 360.0 * random();
        let turned = Turned::exactly(degrees);
        let (one, other) = (solve(&upright_corner(&layers, length)), solve(&corner(turned, &layers, length)));
        assert_eq!(warnings(&one), warnings(&other), "{number}: {degrees}° {layers:?}");
        same(&one, &other, &format!("{number}: {degrees}° {layers:?}"));
        let plane = solve(&wall(turned, &layers, length));
        let exact = u_value(&layers);
        assert!(plane.psi.iter().all(|psi| psi.value.abs() < 1e-9 * exact), "{degrees}° {:?}", plane.psi);
    }
}

/// Points that were rounded to the millimetre, and drawings to a tenth of one: U is that of the layers as drawn, and
/// nothing about them is doubtful.
#[test]
fn rounded_points_are_meant_as_they_were() {
    for degrees in [20.0, 45.0, 77.0, -12.0] {
        let exact = corner(Turned::exactly(degrees), &LAYERS, 1500.0);
        let rounded = corner(Turned { degrees, step: 1.0 }, &LAYERS, 1500.0);
        let (drawn, _) = exact.split_once("psi:").unwrap();
        let (_, points) = rounded.split_once("psi:").unwrap();
        let outcome = solve(&format!("{drawn}psi:{points}"));
        assert!(warnings(&outcome).is_empty(), "{degrees}°: {:?}", warnings(&outcome));
        for element in &outcome.elements {
            let off = element.u_value / u_value(&LAYERS) - 1.0;
            assert!(off.abs() < 1e-9, "{degrees}°: {off:e}");
        }
        // ψ by lengths that are a millimetre longer or shorter.
        let own = solve(&exact);
        for (one, other) in own.psi.iter().zip(&outcome.psi) {
            assert!((one.value - other.value).abs() < 2.0 * 1.5e-3 * u_value(&LAYERS), "{degrees}°");
        }
        let outcome = solve(&corner(Turned { degrees, step: 0.1 }, &LAYERS, 1500.0));
        let told = warnings(&outcome);
        assert!(told.iter().all(|told| told.contains("a gap of")), "{degrees}°: {told:?}");
        assert!((outcome.psi[0].value - own.psi[0].value).abs() < 5e-4, "{degrees}°");
    }
}

/// Half a corner at its plane of symmetry has half the loss of the whole.
#[test]
fn a_plane_of_symmetry_may_slope() {
    for degrees in [0.0, 20.0, 45.0, 70.0] {
        let turned = Turned::exactly(degrees);
        let whole_text = corner(turned, &LAYERS, 1500.0);
        let thick = thickness(&LAYERS);
        let far = thick + 300.0;
        let half_extent = turned.points(&[[-300.0, -1500.0], [far, -1500.0], [far, far], [-300.0, -300.0]]);
        let lines = whole_text.lines().filter(|line| !line.contains("element: second"));
        let mut half = String::new();
        for line in lines {
            match line {
                line if line.starts_with("extent") => writeln!(half, "extent: {{ {half_extent} }}"),
                "psi:" => {
                    writeln!(half, "psi:\n  symmetry: [{}]", turned.stretch([0.0, 0.0], [thick, thick]))
                }
                line => writeln!(half, "{line}"),
            }
            .unwrap();
        }
        let (whole, outcome) = (solve(&whole_text), solve(&half));
        assert!(warnings(&outcome).is_empty(), "{degrees}°: {:?}", warnings(&outcome));
        for (one, two) in outcome.psi.iter().zip(&whole.psi) {
            let (one, two) = (one.bracket, two.bracket);
            assert!(
                2.0 * one.lower() <= two.upper() && two.lower() <= 2.0 * one.upper(),
                "{degrees}°: {one} {two}"
            );
        }
        // Without it, the cut is one that nobody takes off; beside the wall, nothing lies on it.
        let without = half.replace("  symmetry:", "  # symmetry:");
        let told = warnings(&solve(&without));
        assert!(
            told.iter().any(|told| told.contains("no flanking element takes off")),
            "{degrees}°: {told:?}"
        );
        let beside = turned.stretch([-200.0, 0.0], [thick - 200.0, thick]);
        let off = half.replace(&turned.stretch([0.0, 0.0], [thick, thick]), &beside);
        let told = refused(&off);
        assert!(told.contains("lies on no edge of what is painted"), "{degrees}°: {told}");
    }
}

/// An extent with a notch, level all over: what lies in the notch is cut off.
#[test]
fn a_level_extent_may_have_a_notch() {
    let rectangle = upright_corner(&LAYERS, 1500.0);
    let [near, thick] = [-1500.0, thickness(&LAYERS)];
    let far = thick + 300.0;
    let notched = rectangle.lines().map(|line| match line {
        line if line.starts_with("extent") => {
            format!("extent: {{ points: [[{near}, -100], [-100, -100], [-100, {near}], [{far}, {near}], [{far}, {far}], [{near}, {far}]] }}")
        }
        line => line.to_owned(),
    });
    let notched = notched.collect::<Vec<_>>().join("\n");
    let (one, other) = (solve(&rectangle), solve(&notched));
    assert!(warnings(&other).is_empty(), "{:?}", warnings(&other));
    same(&one, &other, "notched");
    // A stroke wholly in the notch lies outside, as one beside a rectangle does; a point there too.
    let outside = notched.replace("psi:", "  - { fill: m0, x: [-1000, -900], y: [-1000, -900] }\npsi:");
    let told = warnings(&solve(&outside));
    assert_eq!(told, ["this shape lies outside the extent"]);
    let point = format!("{notched}\npoints: {{ lost: [-1000, -1000] }}\n");
    assert!(refused(&point).contains("lies outside the extent"));
    // Closed by its first corner once more, it is the same.
    let closed =
        notched.replace(&format!("[{near}, {far}]] }}"), &format!("[{near}, {far}], [{near}, -100]] }}"));
    assert_ne!(closed, notched);
    same(&other, &solve(&closed), "closed");
    let four = notched
        .replace(&format!("[{near}, -100], [-100, -100], [-100, {near}]"), &format!("[{near}, {near}]"));
    assert!(solve(&four).plan.raster().is_some());
}

#[test]
fn results_say_the_points() {
    let outcome = solve(&corner(Turned::exactly(20.0), &LAYERS, 1500.0));
    let solved: serde_json::Value = serde_json::from_str(&document::text(&Solve::of(&outcome))).unwrap();
    let near = |value: &serde_json::Value, [x, y]: [f64; 2]| {
        let (sin, cos) = 20_f64.to_radians().sin_cos();
        let [x, y] = [x * cos - y * sin, x * sin + y * cos];
        (value[0].as_f64().unwrap() - x).abs() < 1e-3 && (value[1].as_f64().unwrap() - y).abs() < 1e-3
    };
    let item = &solved["flanking"][0];
    assert!(
        near(&item["internal_points"][0], [0.0, -1500.0]) && near(&item["internal_points"][1], [0.0, 0.0])
    );
    let length = |key: &str| item[key][1].as_f64().unwrap() - item[key][0].as_f64().unwrap();
    assert!((length("internal") - 1500.0).abs() < 1e-3 && (length("external") - 1815.0).abs() < 1e-3);
    assert!(item.get("overall_internal_points").is_none());
    let section = &solved["sections"][0];
    assert!(near(&section["points"][0], [0.0, -1500.0]) && near(&section["points"][1], [315.0, -1500.0]));
    assert_eq!(
        (&section["from"]["environment"], &section["to"]["environment"]),
        (&"room".into(), &"outside".into())
    );
    assert!(near(&solved["extent_points"][0], [-1500.0, -1500.0]));
    let level = solve(&upright_corner(&LAYERS, 1500.0));
    let level: serde_json::Value = serde_json::from_str(&document::text(&Solve::of(&level))).unwrap();
    assert!(level.get("extent_points").is_none() && level["flanking"][0].get("internal_points").is_none());
    assert!(level["sections"][0].get("points").is_none());
}

/// A roof with a fall of 2° told by points along it is level for all that counts, and its length is the distance.
#[test]
fn a_fall_is_level() {
    let rise = 1500.0 * 2_f64.to_radians().tan();
    let text = head(&LAYERS[1..2])
        + &format!(
            "extent: {{ x: [0, 1500], y: [-400, 700] }}\nplan:\n  - {{ space: room }}\n  \
             - {{ space: outside, points: [[0, 100], [1500, {top:?}], [1500, 700], [0, 700]] }}\n  \
             - {{ fill: m0, points: [[0, 0], [1500, {rise:?}], [1500, {top:?}], [0, 100]] }}\n\
             psi: {{ flanking: [{{ element: roof, u_value: {u:?}, internal: {{ from: [0, 0], to: [1500, {rise:?}] }} }}] }}\n",
            top = rise + 100.0,
            u = 1.0 / (0.17 + 0.1 / 0.5),
        );
    let outcome = solve(&text);
    assert!(warnings(&outcome).is_empty(), "{:?}", warnings(&outcome));
    let length = outcome.psi[0].terms[0].length;
    assert!((length - 1.5 / 2_f64.to_radians().cos()).abs() < 1e-12, "{length}");
}
