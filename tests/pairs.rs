//! What is subtracted belongs to the pair, and the flanking elements take off all that is cut, once.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self, Case};
use coldseam::geometry::Axis;
use coldseam::result::{self, Demand, Outcome};
use coldseam::shipped;
use proptest::prelude::*;

mod common;

/// Rough: what is asked here does not depend on the grid.
fn rough(case: Case) -> Result<Outcome, String> {
    let demand = Demand { half_width: 0.05, factor_error: 1.0, ..Demand::default() };
    result::compute_to(case, &demand).map_err(|failure| failure.to_string())
}

fn read(text: &str) -> Case {
    case::from_text("test", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"))
}

/// What is said about cut-off planes.
#[derive(Debug, Default, PartialEq)]
struct Verdict {
    missing: usize,
    twice: usize,
    without_plane: usize,
    off_the_plane: usize,
}

fn verdict(outcome: &Outcome) -> Verdict {
    let mut verdict = Verdict::default();
    for warning in &outcome.warnings {
        if warning.message.contains("no flanking element takes off") {
            verdict.missing += 1;
        } else if warning.message.contains("is counted") {
            verdict.twice += 1;
        } else if warning.message.contains("ends at no cut-off plane") {
            verdict.without_plane += 1;
        } else if warning.message.contains("200 mm before where the element is cut, at y = -1200 mm") {
            verdict.off_the_plane += 1;
        } else {
            panic!("another warning: {}", warning.message);
        }
    }
    verdict
}

#[test]
fn every_shipped_case_is_covered_and_every_element_is_missed_and_found_twice() {
    let mut elements = 0;
    for shipped in shipped::CASES {
        let whole = common::shipped(shipped.name, &[]);
        let Some(psi) = whole.model.psi.clone() else { continue };
        assert_eq!(verdict(&rough(whole.clone()).unwrap()), Verdict::default(), "{}", shipped.name);
        for index in 0..psi.flanking.len() {
            elements += 1;
            // What runs from edge to edge of the extent is cut at both ends.
            let item = &psi.flanking[index];
            let is_whole = item
                .runs_along
                .is_some_and(|axis| item.spans.contains(&Some(whole.model.extent.along(axis))));
            let ends = if is_whole { 2 } else { 1 };
            let mut dropped = whole.clone();
            dropped.model.psi.as_mut().unwrap().flanking.remove(index);
            // A floor whose wall is not told any more may be refused.
            if let Ok(outcome) = rough(dropped) {
                assert_eq!(
                    verdict(&outcome),
                    Verdict { missing: ends, ..Verdict::default() },
                    "{} without {index}",
                    shipped.name
                );
            }
            let mut doubled = whole.clone();
            let flanking = &mut doubled.model.psi.as_mut().unwrap().flanking;
            flanking.push(flanking[index].clone());
            let outcome = rough(doubled).unwrap();
            // An element along a slope has the plane that no other has; the second finds none.
            let told = if whole.model.is_level() || verdict(&outcome).twice > 0 {
                Verdict { twice: ends, ..Verdict::default() }
            } else {
                Verdict { without_plane: 1, ..Verdict::default() }
            };
            assert_eq!(verdict(&outcome), told, "{} with {index} twice", shipped.name);
        }
    }
    assert!(elements >= 20, "{elements}");
}

/// A point or box of the plan as it is drawn: turned and mirrored.
#[derive(Clone, Copy, Debug)]
struct Pose {
    swapped: bool,
    mirrored: [bool; 2],
}

impl Pose {
    fn span(self, axis: usize, [from, to]: [i32; 2]) -> (&'static str, [i32; 2]) {
        let drawn = if self.swapped { 1 - axis } else { axis };
        (["x", "y"][drawn], if self.mirrored[axis] { [-to, -from] } else { [from, to] })
    }

    fn text(self, axis: usize, span: [i32; 2]) -> String {
        let (letter, [from, to]) = self.span(axis, span);
        format!("{letter}: [{from}, {to}]")
    }

    fn area(self, x: [i32; 2], y: [i32; 2]) -> String {
        format!("{}, {}", self.text(0, x), self.text(1, y))
    }

    fn plane(self, axis: usize, at: i32) -> String {
        let (letter, [at, _]) = self.span(axis, [at, at]);
        format!("{letter}: {at}")
    }

    fn ends(self, axis: usize, span: [i32; 2]) -> String {
        let (_, [from, to]) = self.span(axis, span);
        format!("[{from}, {to}]")
    }
}

/// A T-junction: an outer wall between two rooms and the outside, and the partition of the rooms.
#[derive(Debug)]
struct Junction {
    pose: Pose,
    wall: i32,
    partition: i32,
    leg: i32,
}

const ELEMENTS: [&str; 3] = ["lower wall", "upper wall", "partition"];
/// The elements that belong to each pair.
const PAIRS: [(&str, &str, usize); 3] =
    [("lower", "outside", 0), ("upper", "outside", 1), ("lower", "upper", 2)];

impl Junction {
    fn text(&self, temperatures: [i32; 3], psi: &str) -> String {
        let Self { pose, wall, partition, leg } = *self;
        let (low, high) = (-leg - partition, leg);
        format!(
            "coldseam: 1\ntitle: t\ncut: horizontal\nmaterials: {{ m: {{ conductivity: 0.4, source: t }} }}\nenvironments:\n\
             \x20 lower: {{ role: internal, temperature: {} }}\n  upper: {{ role: internal, temperature: {} }}\n\
             \x20 outside: {{ role: external, temperature: {} }}\n\
             extent: {{ {} }}\nplan:\n  - {{ space: lower, {} }}\n  - {{ space: upper, {} }}\n  - {{ space: outside, {} }}\n\
             \x20 - {{ fill: m, {} }}\n  - {{ fill: m, {} }}\npsi:{psi}\n",
            temperatures[0],
            temperatures[1],
            temperatures[2],
            pose.area([-leg, wall + 100], [low, high]),
            pose.area([-leg, 0], [low, -partition]),
            pose.area([-leg, 0], [0, high]),
            pose.area([wall, wall + 100], [low, high]),
            pose.area([0, wall], [low, high]),
            pose.area([-leg, 0], [-partition, 0]),
        )
    }

    fn element(&self, index: usize) -> String {
        let Self { pose, partition, leg, .. } = *self;
        let (axis, plane, span) =
            [(1, -leg - partition, [-leg - partition, -partition]), (1, leg, [0, leg]), (0, -leg, [-leg, 0])]
                [index];
        format!(
            "{{ element: {}, section: {{ {} }}, internal: {} }}",
            ELEMENTS[index],
            pose.plane(axis, plane),
            pose.ends(axis, span)
        )
    }

    fn block(&self, pair: usize, elements: &[usize]) -> String {
        let (one, other, _) = PAIRS[pair];
        let elements: Vec<String> = elements.iter().map(|index| self.element(*index)).collect();
        format!("{{ between: [{one}, {other}], flanking: [{}] }}", elements.join(", "))
    }
}

fn junctions() -> impl Strategy<Value = Junction> {
    (any::<bool>(), any::<[bool; 2]>(), 80..400i32, 80..400i32, 500..1500i32).prop_map(
        |(swapped, mirrored, wall, partition, leg)| Junction {
            pose: Pose { swapped, mirrored },
            wall,
            partition,
            leg,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, rng_seed: proptest::test_runner::RngSeed::Fixed(13), ..ProptestConfig::default() })]

    #[test]
    fn elements_of_random_junctions_are_told_to_be_missing_twice_or_of_another_pair(
        junction in junctions(),
        pair in 0..3usize,
        elements in prop::collection::vec(0..3usize, 0..4),
    ) {
        let text = junction.text([20, 12, 0], &format!(" {}", junction.block(pair, &elements)));
        let own = PAIRS[pair].2;
        let outcome = rough(read(&text));
        if elements.iter().any(|element| *element != own) {
            let failure = outcome.map(|outcome| outcome.psi).unwrap_err();
            prop_assert!(failure.contains("but ψ is that between"), "{failure}\n{text}");
        } else {
            let count = elements.len();
            let expected = Verdict { missing: usize::from(count == 0), twice: usize::from(count > 1), ..Verdict::default() };
            prop_assert_eq!(verdict(&outcome.unwrap()), expected, "{}", text);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, rng_seed: proptest::test_runner::RngSeed::Fixed(14), ..ProptestConfig::default() })]

    /// L2D of a pair does not depend on temperatures (all surfaces are upright here), so that the list, each
    /// pair alone and another set of temperatures must agree, two of them with three temperatures and one
    /// with two.
    #[test]
    fn a_list_of_pairs_agrees_with_each_pair_alone(junction in junctions()) {
        let blocks: Vec<String> = (0..3).map(|pair| junction.block(pair, &[PAIRS[pair].2])).collect();
        let list = format!(" [{}]", blocks.join(", "));
        let two = result::compute(read(&junction.text([20, 20, 0], &list))).unwrap();
        let three = result::compute(read(&junction.text([20, 5, -10], &list))).unwrap();
        prop_assert_eq!(two.pairs().count(), 3);
        for pair in 0..3 {
            let (one, other, element) = PAIRS[pair];
            let alone = result::compute(read(&junction.text([19, 7, 0], &format!(" {}", blocks[pair])))).unwrap();
            let own = [&two, &three].map(|outcome| outcome.pair([&[other], &[one]]).unwrap());
            prop_assert_eq!(&own[0].elements[0].element, ELEMENTS[element]);
            for other in own {
                prop_assert!(other.warnings.is_empty());
                let (a, b) = (alone.psi[0].bracket, other.psi[0].bracket);
                prop_assert!(a.lower() <= b.upper() && b.lower() <= a.upper(), "{:?} {:?}", a, b);
                prop_assert!(a.half_width() <= 5e-4 && b.half_width() <= 5e-4, "{:?} {:?}", a, b);
            }
        }
    }
}

/// A room over a garage beside the outside: the floor to the garage is no part of room–outside.
#[test]
fn a_floor_to_the_garage_is_not_taken_off_between_room_and_outside() {
    let case = |flanking: &str| {
        format!(
            "coldseam: 1\ntitle: t\nmaterials: {{ m: {{ conductivity: 0.1, source: t }} }}\nenvironments:\n\
             \x20 room: {{ role: internal, temperature: 20 }}\n  garage: {{ role: unheated, temperature: 8 }}\n\
             \x20 outside: {{ role: external, temperature: 0 }}\nextent: {{ x: [-1200, 400], y: [-1400, 1200] }}\nplan:\n\
             \x20 - {{ space: outside }}\n  - {{ space: room, x: [-1200, 0], y: [0, 1200] }}\n\
             \x20 - {{ space: garage, x: [-1200, 0], y: [-1400, -200] }}\n  - {{ fill: m, x: [0, 300], y: [-1400, 1200] }}\n\
             \x20 - {{ fill: m, x: [-1200, 0], y: [-200, 0] }}\npsi:\n  between: [room, outside]\n  flanking:\n\
             \x20   - {{ element: wall, section: {{ y: 1200 }}, internal: [0, 1200] }}\n{flanking}"
        )
    };
    let garage_floor = "    - { element: floor, section: { x: -1200 }, internal: [-1200, 0] }\n";
    let failure = rough(read(&case(garage_floor))).map(|outcome| outcome.psi).unwrap_err();
    assert!(
        failure.contains("floor lies between garage and room, but ψ is that between room and outside"),
        "{failure}"
    );
    let stated = "    - { element: floor, u_value: 0.45, internal: [-1200, 0], along: x }\n";
    let failure = rough(read(&case(stated))).map(|outcome| outcome.psi).unwrap_err();
    assert!(failure.contains("but ψ is that between room and outside"), "{failure}");
    assert_eq!(verdict(&rough(read(&case(""))).unwrap()), Verdict::default());
}

/// A wall with an opening above it, the window a stated panel or left out, and a plane of symmetry.
fn sill(window: &str, psi: &str) -> String {
    format!(
        "coldseam: 1\ntitle: t\ncut: horizontal\nmaterials: {{ m: {{ conductivity: 0.2, source: t }}, p: {{ conductivity: 0.05, source: t }} }}\n\
         environments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
         extent: {{ x: [-300, 600], y: [-1200, 1000] }}\nplan:\n  - {{ space: room, x: [-300, 100] }}\n  - {{ space: outside, x: [170, 600] }}\n\
         \x20 - {{ fill: m, x: [0, 400], y: [-1200, 0] }}\n{window}psi:\n{psi}"
    )
}

const WALL: &str = "    - { element: wall, section: { y: -1200 }, internal: [-1200, 0] }\n";
const PANEL: &str = "  - { fill: p, x: [100, 170], y: [0, 1000] }\n";

#[test]
fn windows_planes_of_symmetry_and_frames_are_told_from_cut_off_planes() {
    let judge = |window: &str, psi: &str| rough(read(&sill(window, psi))).map(|outcome| verdict(&outcome));
    // Left out: nothing leads from room to outside there.
    assert_eq!(judge("", &format!("  flanking:\n{WALL}")), Ok(Verdict::default()));
    let window = "    - { element: window, u_value: 0.64, internal: [0, 1000] }\n";
    assert_eq!(
        judge("", &format!("  flanking:\n{WALL}{window}")),
        Ok(Verdict { without_plane: 1, ..Verdict::default() })
    );
    assert_eq!(judge(PANEL, &format!("  flanking:\n{WALL}{window}")), Ok(Verdict::default()));
    assert_eq!(
        judge(PANEL, &format!("  flanking:\n{WALL}")),
        Ok(Verdict { missing: 1, ..Verdict::default() })
    );
    assert_eq!(
        judge(PANEL, &format!("  symmetry: [{{ y: 1000 }}]\n  flanking:\n{WALL}")),
        Ok(Verdict::default())
    );
    let failure = judge(PANEL, &format!("  symmetry: [{{ y: 900 }}]\n  flanking:\n{WALL}")).unwrap_err();
    assert!(failure.contains("the plane of symmetry y = 900 mm lies on no edge"), "{failure}");
    assert_eq!(judge(PANEL, &format!("  frame: [0, 1000]\n  flanking:\n{WALL}")), Ok(Verdict::default()));
    // A length that stops short of the plane leaves part of the model in ψ.
    let short = "    - { element: wall, section: { y: -1200 }, internal: [-1000, 0] }\n";
    assert_eq!(
        judge("", &format!("  flanking:\n{short}")),
        Ok(Verdict { off_the_plane: 1, ..Verdict::default() })
    );
}

#[test]
fn a_missing_element_is_named_with_its_layers_and_its_loss() {
    let outcome = rough(read(&sill(PANEL, &format!("  flanking:\n{WALL}")))).unwrap();
    // U = 1/(0.13 + 0.07/0.05 + 0.04) = 0.6369 over 1 m.
    let message = &outcome.warnings[0].message;
    assert!(
        message.contains("y = 1000 mm, x from 100 to 170 mm") && message.contains("p 70 mm; U 0.6369"),
        "{message}"
    );
    assert!(
        message.contains("over the 1000 mm that it goes on unchanged, 0.6369 W/(m·K) are left in ψ"),
        "{message}"
    );
}

#[test]
fn the_axis_of_a_stated_element_is_inferred_or_asked_for() {
    let axes = |text: &str| {
        let outcome = rough(read(text))?;
        Ok::<_, String>(
            outcome
                .case
                .model
                .psi
                .unwrap()
                .flanking
                .iter()
                .map(|item| item.runs_along.unwrap())
                .collect::<Vec<_>>(),
        )
    };
    let window = "    - { element: window, u_value: 0.64, internal: [0, 1000] }\n";
    assert_eq!(axes(&sill(PANEL, &format!("  flanking:\n{WALL}{window}"))).unwrap(), [Axis::Y, Axis::Y]);
    let corner = |flanking: &str| {
        format!(
            "coldseam: 1\ntitle: t\ncut: horizontal\nmaterials: {{ m: {{ conductivity: 0.2, source: t }} }}\n\
             environments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
             extent: {{ x: [-1200, 600], y: [-1200, 600] }}\nplan:\n  - {{ space: outside }}\n  - {{ fill: m, x: [-1200, 400], y: [-1200, 400] }}\n\
             \x20 - {{ space: room, x: [-1200, 0], y: [-1200, 0] }}\npsi:\n  flanking:\n{flanking}"
        )
    };
    let level = "    - { element: level, u_value: 0.46, internal: [-1200, 0] }\n";
    // Lies level in a corner whose upright wall is told by its section: it was drawn upright before.
    let upright = "    - { element: upright, section: { y: -1200 }, internal: [-1200, 0] }\n";
    assert_eq!(axes(&corner(&format!("{upright}{level}"))).unwrap(), [Axis::Y, Axis::X]);
    let upright = "    - { element: upright, u_value: 0.46, along: y, internal: [-1200, 0] }\n";
    assert_eq!(axes(&corner(&format!("{level}{upright}"))).unwrap(), [Axis::X, Axis::Y]);
    for (number, flanking) in
        [level.to_owned(), format!("{level}{level}"), level.replace("-1200", "-1100")].iter().enumerate()
    {
        let failure = axes(&corner(flanking)).unwrap_err();
        assert!(
            failure.contains("does not tell whether its surface runs along x or along y"),
            "{number}: {failure}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, rng_seed: proptest::test_runner::RngSeed::Fixed(15), ..ProptestConfig::default() })]

    /// λ through a layer of a build-up is its x, whichever way it is painted; the U-value is that of the sum
    /// of resistances.
    #[test]
    fn a_build_up_has_one_u_value_in_all_four_directions(
        layers in prop::collection::vec((20..200i32, 0.03..2.0f64, 0.03..2.0f64), 1..5),
        bridged in prop::option::of(0.05..0.3f64),
    ) {
        let mut materials = "  stud: { conductivity: { x: 0.3, y: 0.13 }, source: t }\n".to_owned();
        let mut rows = String::new();
        let mut resistance = 0.17;
        for (number, (thickness, x, y)) in layers.iter().enumerate() {
            materials += &format!("  m{number}: {{ conductivity: {{ x: {x}, y: {y} }}, source: t }}\n");
            rows += &format!("      - [m{number}, {thickness}]\n");
            resistance += f64::from(*thickness) * 1e-3 / x;
        }
        let u_value = if let Some(fraction) = bridged {
            // ISO 6946, 6.7.2: the mean of both limits.
            let (a, b) = (0.1 / 0.04, 0.1 / 0.3);
            let upper = 1.0 / ((1.0 - fraction) / (resistance + a) + fraction / (resistance + b));
            let lower = resistance + 1.0 / ((1.0 - fraction) / a + fraction / b);
            materials += "  wool: { conductivity: 0.04, source: t }\n";
            rows += &format!("      - {{ material: wool, thickness: 100, bridged_by: {{ material: stud, fraction: {fraction} }} }}\n");
            2.0 / (upper + lower)
        } else {
            1.0 / resistance
        };
        for (direction, fixed) in [("+x", "y"), ("-x", "y"), ("+y", "x"), ("-y", "x")] {
            let across = if fixed == "y" { "x" } else { "y" };
            let outer = if direction.starts_with('+') { "[0, 2000]" } else { "[-2000, 0]" };
            let text = format!(
                "coldseam: 1\ntitle: t\ncut: horizontal\nmaterials:\n{materials}build_ups:\n  wall:\n    layers:\n{rows}environments:\n\
                 \x20 room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
                 extent: {{ {across}: [-2000, 2000], {fixed}: [0, 300] }}\nplan:\n  - {{ space: room }}\n  - {{ space: outside, {across}: {outer} }}\n\
                 \x20 - {{ layers: {{ build_up: wall }}, along: {direction}, from: 0, {fixed}: [0, 300] }}\n\
                 psi:\n  flanking:\n    - {{ element: by section, section: {{ {fixed}: 0 }}, internal: [0, 300] }}\n"
            );
            let outcome = rough(read(&text)).unwrap();
            prop_assert!((outcome.elements[0].u_value - u_value).abs() < 1e-9, "{} {}\n{}", outcome.elements[0].u_value, u_value, text);
            prop_assert!(outcome.psi[0].bracket.lower() < 1e-6 && outcome.psi[0].bracket.upper() > -1e-6);
            // The same by name.
            let section = format!("section: {{ {fixed}: 0 }}");
            let named = rough(read(&text.replace(&section, "build_up: wall"))).unwrap();
            prop_assert!((named.elements[0].u_value - u_value).abs() < 1e-9);
            prop_assert_eq!(verdict(&named), Verdict::default());
        }
    }
}

/// Studs of 50 mm at 600 mm in a wall of 150 mm, cut between them.
fn stud_wall(flanking: &str, studs: &str) -> String {
    format!(
        "coldseam: 1\ntitle: t\ncut: horizontal\nmaterials: {{ wool: {{ conductivity: 0.04, source: t }}, stud: {{ conductivity: 0.13, source: t }} }}\n\
         build_ups:\n  wall: {{ layers: [{{ material: wool, thickness: 150, bridged_by: {{ material: stud, width: 50, spacing: 600 }} }}] }}\n\
         environments:\n  room: {{ role: internal, temperature: 20 }}\n  outside: {{ role: external, temperature: 0 }}\n\
         extent: {{ x: [-1500, 400], y: [-1500, 400] }}\nplan:\n  - {{ space: outside }}\n  - {{ fill: wool, x: [-1500, 150], y: [-1500, 150] }}\n\
         {studs}  - {{ space: room, x: [-1500, 0], y: [-1500, 0] }}\npsi:\n  flanking:\n{flanking}"
    )
}

#[test]
fn studs_that_the_section_misses_are_told_and_a_build_up_counts_them() {
    let studs = "  - { fill: stud, x: [-600, -550], y: [0, 150] }\n  - { fill: stud, x: [-1200, -1150], y: [0, 150] }\n";
    let at_corner = "  - { fill: stud, x: [-50, 150], y: [-50, 150] }\n";
    let upright = "    - { element: upright, section: { y: -1500 }, internal: [-1500, 0] }\n";
    let level = "    - { element: level, section: { x: -1500 }, internal: [-1500, 0] }\n";
    let notes = |text: &str| rough(read(text)).unwrap().notes;
    let differs = |note: &&String| note.contains("differs from its section");
    let with_studs = notes(&stud_wall(&format!("{upright}{level}"), &format!("{studs}{at_corner}")));
    let told: Vec<&String> = with_studs.iter().filter(differs).collect();
    assert_eq!(told.len(), 1, "{with_studs:?}");
    assert!(
        told[0].contains(
            "along level the model differs from its section over 100 mm, between x = -1200 and -550 mm (stud)"
        ),
        "{told:?}"
    );
    // The junction itself is what ψ is for.
    assert!(!notes(&stud_wall(&format!("{upright}{level}"), at_corner)).iter().any(|note| differs(&note)));
    let named = "    - { element: level, build_up: wall, along: x, internal: [-1500, 0] }\n";
    let outcome = rough(read(&stud_wall(&format!("{upright}{named}"), studs))).unwrap();
    // One twelfth of studs; ISO 6946, 6.7.2.
    let (a, b, fraction) = (0.15 / 0.04, 0.15 / 0.13, 1.0 / 12.0);
    let upper: f64 = 1.0 / ((1.0 - fraction) / (0.17 + a) + fraction / (0.17 + b));
    let lower: f64 = 0.17 + 1.0 / ((1.0 - fraction) / a + fraction / b);
    assert!((outcome.elements[1].u_value - 2.0 / (upper + lower)).abs() < 1e-9);
    assert!(!outcome.notes.iter().any(|note| differs(&note)), "{:?}", outcome.notes);
    assert_eq!(verdict(&outcome), Verdict::default());
}

#[test]
fn the_distance_of_a_cut_off_plane_is_that_of_walls_or_of_glazing() {
    let notes = |height: i32, exclude: &str| {
        let window =
            format!("    - {{ element: window, section: {{ y: {height} }}, internal: [0, {height}] }}\n");
        let psi = format!("  flanking:\n{WALL}{window}{exclude}");
        let notes = rough(read(&sill(PANEL, &psi).replace("1000", &height.to_string()))).unwrap().notes;
        notes.into_iter().find(|note| note.contains("cut-off plane of window")).unwrap_or_default()
    };
    let apart = "condensation: { exclude: [p] }\n";
    assert_eq!(notes(190, apart), "");
    assert!(
        notes(150, apart)
            .ends_with("lies 150 mm from the junction; ISO 10077-2 asks for 190 mm of glazing or panel")
    );
    assert!(
        notes(190, "").contains("ISO 10211 asks for 1000 mm")
            && notes(190, "").contains("190 mm are enough of glazing")
    );
    assert_eq!(notes(1000, ""), "");
}

/// A T-junction with an intermediate floor instead of a partition: level surfaces, a cavity in the wall, a
/// metal sheet through it, three temperatures.
fn storeys(
    [wall, slab, gap]: [i32; 3],
    conductivities: [f64; 2],
    temperatures: [i32; 3],
    psi: &str,
) -> String {
    let [wall_conductivity, slab_conductivity] = conductivities;
    let [lower, upper, outside] = temperatures;
    let cavity = wall - 20 - gap;
    format!(
        "coldseam: 1
title: storeys
materials:
  wall: {{ conductivity: {wall_conductivity}, source: the test }}
  slab: {{ conductivity: {slab_conductivity}, source: the test }}
environments:
  lower: {{ role: internal, temperature: {lower}, humidity: 50 }}
  upper: {{ role: internal, temperature: {upper}, humidity: 50 }}
  outside: {{ role: external, temperature: {outside} }}
extent: {{ x: [-1500, 900], y: [-1800, 1800] }}
plan:
  - {{ space: lower, x: [-1500, 0], y: [-1800, 0] }}
  - {{ space: upper, x: [-1500, 0], y: [{slab}, 1800] }}
  - {{ space: outside, x: [{wall}, 900] }}
  - {{ fill: wall, x: [0, {wall}], y: [-1800, 1800] }}
  - {{ cavity: building, x: [{cavity}, {}], y: [-1800, 1800] }}
  - {{ fill: slab, x: [-1500, {cavity}], y: [0, {slab}] }}
  - {{ fill: steel, x: [-100, {}], y: [10, 12] }}
condensation: {{ resistance: 0.25 }}
points: {{ ceiling: [0, 0], floor: [0, {slab}], sheet: [-100, 12], within: [{}, -300] }}
{psi}
",
        cavity + gap,
        wall + 60,
        cavity - 10
    )
}

/// f_Rsi and points belong to the case, not to a pair: whichever pair comes first, and without any, they are
/// the same within their stated errors; so are ψ of each pair, the directions of heat flow and the cavities.
#[test]
fn the_order_of_the_pairs_changes_nothing() {
    let mut seed = 5_u64;
    let mut between = |least: i32, most: i32| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        least + ((seed >> 33) % (most - least + 1) as u64) as i32
    };
    for round in 0..6 {
        let sizes = [between(200, 450), between(120, 300), between(20, 60)];
        let conductivities = [f64::from(between(10, 80)) / 100.0, f64::from(between(10, 25)) / 10.0];
        let temperatures = [[20, 12, 0], [20, 20, -5], [8, 21, 0]][round % 3];
        let slab = sizes[1];
        let blocks = [
            "{ between: [lower, outside], flanking: [{ element: lower wall, section: { y: -1800 }, internal: [-1800, 0] }] }"
                .to_owned(),
            format!(
                "{{ between: [outside, upper], flanking: [{{ element: upper wall, section: {{ y: 1800 }}, internal: [{slab}, 1800] }}] }}"
            ),
            "{ between: [lower, upper], flanking: [{ element: floor, section: { x: -1500 }, internal: [-1500, 0] }] }".to_owned(),
        ];
        let with = |order: &[usize]| {
            let list: Vec<&str> = order.iter().map(|index| blocks[*index].as_str()).collect();
            let psi = if list.is_empty() { String::new() } else { format!("psi: [{}]", list.join(", ")) };
            let text = storeys(sizes, conductivities, temperatures, &psi);
            result::compute(read(&text)).unwrap_or_else(|failure| panic!("{failure}\n{text}"))
        };
        let orders: [&[usize]; 5] = [&[0, 1, 2], &[1, 2, 0], &[2, 0, 1], &[2, 1, 0], &[]];
        let outcomes: Vec<Outcome> = orders.into_iter().map(with).collect();
        let first = &outcomes[0];
        assert!(!first.cavities.is_empty() && first.plan.level.runs.len() >= 2 && first.factors.len() == 2);
        for other in &outcomes[1..] {
            for (one, factor) in first.factors.iter().zip(&other.factors) {
                let environment = factor.environment;
                assert_eq!(one.environment, environment);
                let (one, factor) =
                    (one.coldest.as_ref().unwrap().factor, factor.coldest.as_ref().unwrap().factor);
                let errors: f64 =
                    [first, other].iter().map(|outcome| outcome.factor_error(environment).unwrap()).sum();
                assert!(
                    (one - factor).abs() <= errors,
                    "round {round}: f {one} and {factor}, errors {errors}"
                );
            }
            for is_condensation in [false, true] {
                let points = |outcome: &Outcome| {
                    if is_condensation { outcome.points_condensation.clone() } else { outcome.points.clone() }
                };
                let errors = [first, other].map(|outcome| outcome.point_errors(is_condensation));
                assert_eq!(points(first).len(), 4);
                for (index, ((name, one), (_, two))) in points(first).iter().zip(&points(other)).enumerate() {
                    let error = errors[0][index] + errors[1][index];
                    assert!(
                        (one - two).abs() <= error,
                        "round {round}: {name} {one} and {two} °C, errors {error}"
                    );
                }
            }
            for (one, two) in first.cavities.iter().zip(&other.cavities) {
                let (one, two) = (one.conductivity, two.conductivity);
                assert!((one / two - 1.0).abs() < 1e-9, "round {round}: λ of a cavity {one} and {two}");
            }
            let directions = |outcome: &Outcome| {
                outcome.plan.level.runs.iter().map(|run| run.heat_flow).collect::<Vec<_>>()
            };
            assert_eq!(directions(first), directions(other), "round {round}");
            if other.psi.is_empty() {
                continue;
            }
            for sides in [["lower", "outside"], ["upper", "outside"], ["upper", "lower"]] {
                let [one, two] = [first, other]
                    .map(|outcome| outcome.pair([&[sides[0]], &[sides[1]]]).unwrap().psi[0].bracket);
                assert!(one.overlaps(two), "round {round}: {one} and {two}");
            }
        }
    }
}
