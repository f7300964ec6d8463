//! Elements that slope, told by points: sections across them, lengths along them, planes of symmetry, and an extent
//! whose edges cut them squarely. A drawing turned as a whole is the same junction.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fmt::Write;

use coldseam::case;
use coldseam::report::document::{self, solve::Solve};
use coldseam::result::{self, Outcome};

mod common;

fn solve(text: &str) -> Outcome {
    let case = case::from_text("spans", text, &[]).unwrap_or_else(|error| panic!("{error}\n{text}"));
    result::compute(case).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn warnings(outcome: &Outcome) -> Vec<String> {
    outcome.all_warnings().map(|warning| warning.message.clone()).collect()
}

/// What is wrong with a text that is refused.
fn refused(text: &str) -> String {
    match case::from_text("spans", text, &[]) {
        Err(error) => error.to_string(),
        Ok(case) => match result::compute(case) {
            Err(error) => error.to_string(),
            Ok(outcome) => panic!("accepted, with {:?}\n{text}", warnings(&outcome)),
        },
    }
}

/// A turn by an angle, with the coordinates rounded to a step of so many mm.
#[derive(Clone, Copy)]
struct Turned {
    degrees: f64,
    step: f64,
}

impl Turned {
    fn exactly(degrees: f64) -> Self {
        Self { degrees, step: 0.0 }
    }

    fn point(self, [x, y]: [f64; 2]) -> String {
        let (sin, cos) = self.degrees.to_radians().sin_cos();
        let rounded =
            |value: f64| if self.step > 0.0 { (value / self.step).round() * self.step } else { value };
        let [x, y] = [x * cos - y * sin, x * sin + y * cos].map(rounded);
        format!("[{x:?}, {y:?}]")
    }

    fn points(self, corners: &[[f64; 2]]) -> String {
        let corners: Vec<String> = corners.iter().map(|corner| self.point(*corner)).collect();
        format!("points: [{}]", corners.join(", "))
    }

    fn area(self, [left, right]: [f64; 2], [bottom, top]: [f64; 2]) -> String {
        self.points(&[[left, bottom], [right, bottom], [right, top], [left, top]])
    }

    fn stretch(self, from: [f64; 2], to: [f64; 2]) -> String {
        format!("{{ from: {}, to: {} }}", self.point(from), self.point(to))
    }
}

/// mm, and W/(m·K).
type Layers = [(f64, f64)];

fn head(layers: &Layers) -> String {
    let mut text = "coldseam: 1\ntitle: turned\ncut: horizontal\nenvironments:\n  room: { role: internal, temperature: 20 }\n  \
                    outside: { role: external, temperature: 0 }\nmaterials:\n"
        .to_owned();
    for (number, (_, conductivity)) in layers.iter().enumerate() {
        writeln!(text, "  m{number}: {{ conductivity: {conductivity:?}, source: test }}").unwrap();
    }
    text
}

fn thickness(layers: &Layers) -> f64 {
    layers.iter().map(|layer| layer.0).sum()
}

/// U with 0.13 and 0.04, as in a horizontal section.
fn u_value(layers: &Layers) -> f64 {
    1.0 / (0.13 + layers.iter().map(|(thickness, lambda)| thickness * 1e-3 / lambda).sum::<f64>() + 0.04)
}

/// A plane wall along x before it is turned, the room below it. The strokes go on beyond the extent, which cuts them.
fn wall(turned: Turned, layers: &Layers, length: f64) -> String {
    let thick = thickness(layers);
    let mut text = head(layers);
    writeln!(text, "extent: {{ {} }}\nplan:", turned.area([0.0, length], [-300.0, thick + 300.0])).unwrap();
    let beyond = [-250.0, length + 250.0];
    writeln!(text, "  - {{ space: room, {} }}", turned.area(beyond, [-400.0, 0.0])).unwrap();
    writeln!(text, "  - {{ space: outside, {} }}", turned.area(beyond, [thick, thick + 400.0])).unwrap();
    let mut from = 0.0;
    for (number, (layer, _)) in layers.iter().enumerate() {
        writeln!(text, "  - {{ fill: m{number}, {} }}", turned.area(beyond, [from, from + layer])).unwrap();
        from += layer;
    }
    writeln!(
        text,
        "psi: {{ flanking: [{{ element: wall, section: {}, internal: {}, external: {} }}] }}",
        turned.stretch([0.0, -50.0], [0.0, thick + 80.0]),
        turned.stretch([0.0, 0.0], [length, 0.0]),
        turned.stretch([length, thick], [0.0, thick]),
    )
    .unwrap();
    text
}

/// A corner of two walls round a room to the lower left, as polygons and points.
fn corner(turned: Turned, layers: &Layers, length: f64) -> String {
    let thick = thickness(layers);
    let (near, far) = (-length, thick + 300.0);
    let beyond = near - 200.0;
    let mut text = head(layers);
    writeln!(text, "extent: {{ {} }}\nplan:", turned.area([near, far], [near, far])).unwrap();
    writeln!(text, "  - {{ space: outside, {} }}", turned.area([beyond, far + 100.0], [beyond, far + 100.0]))
        .unwrap();
    let mut outer = thick;
    for (number, (layer, _)) in layers.iter().enumerate().rev() {
        writeln!(text, "  - {{ fill: m{number}, {} }}", turned.area([beyond, outer], [beyond, outer]))
            .unwrap();
        outer -= layer;
    }
    writeln!(text, "  - {{ space: room, {} }}\npsi:\n  flanking:", turned.area([beyond, 0.0], [beyond, 0.0]))
        .unwrap();
    for (name, exchanged) in [("first", false), ("second", true)] {
        let point = |x: f64, y: f64| if exchanged { [y, x] } else { [x, y] };
        let stretch =
            |from: [f64; 2], to: [f64; 2]| turned.stretch(point(from[0], from[1]), point(to[0], to[1]));
        writeln!(
            text,
            "    - {{ element: {name}, section: {}, internal: {}, external: {} }}",
            stretch([-20.0, near], [thick + 20.0, near]),
            stretch([0.0, near], [0.0, 0.0]),
            stretch([thick, near], [thick, thick]),
        )
        .unwrap();
    }
    text
}

/// The same corner as everybody draws it.
fn upright_corner(layers: &Layers, length: f64) -> String {
    let thick = thickness(layers);
    let (near, far) = (-length, thick + 300.0);
    let mut text = head(layers);
    writeln!(
        text,
        "extent: {{ x: [{near:?}, {far:?}], y: [{near:?}, {far:?}] }}\nplan:\n  - {{ space: outside }}"
    )
    .unwrap();
    let mut outer = thick;
    for (number, (layer, _)) in layers.iter().enumerate().rev() {
        writeln!(text, "  - {{ fill: m{number}, x: [{near:?}, {outer:?}], y: [{near:?}, {outer:?}] }}")
            .unwrap();
        outer -= layer;
    }
    writeln!(
        text,
        "  - {{ space: room, x: [{near:?}, 0], y: [{near:?}, 0] }}\npsi:\n  flanking:\n    \
         - {{ element: first, section: {{ y: {near:?} }}, internal: [{near:?}, 0], external: [{near:?}, {thick:?}] }}\n    \
         - {{ element: second, section: {{ x: {near:?} }}, internal: [{near:?}, 0], external: [{near:?}, {thick:?}] }}"
    )
    .unwrap();
    text
}

const LAYERS: [(f64, f64); 3] = [(15.0, 0.7), (175.0, 0.5), (125.0, 0.035)];

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
        (&internal, stretch([0.0, -1200.0], [0.0, 0.0]), "its length ends at no cut-off plane"),
        (&internal, stretch([0.0, -1200.0], [0.0, 0.0]), "no flanking element takes off what is cut at"),
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
    // Its length points out of a drawing in which nothing slopes.
    let level = upright_corner(&LAYERS, 1500.0)
        .replace(
            "section: { y: -1500.0 }, internal: [-1500.0, 0]",
            "u_value: 0.2, internal: { from: [0, -1500], to: [600, 0] }",
        )
        .replace("external: [-1500.0, 315.0]", "external: { from: [315, -1500], to: [1000, 200] }");
    let told = refused(&level);
    assert!(told.contains("all edges of the drawing are level or upright"), "{told}");
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
