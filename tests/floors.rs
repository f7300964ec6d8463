//! Floors on the ground in junctions, against the standard's formulas written down once more here (ISO
//! 13370:2017, ISO 10211:2017 clause 12; both from memory).

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self};
use coldseam::model::Convention;
use coldseam::result::{self, Demand, Outcome};

use common::dice::Dice;

mod common;

/// A floor with its wall, as drawn and as the formulas see it.
struct Drawn {
    text: String,
    half_dimension: f64,
    wall: f64,
    wall_u: f64,
    floor_u: f64,
    wall_height: f64,
    floor_height: f64,
}

/// What stands at the floor's end in a drawing.
#[derive(Clone, Copy, PartialEq)]
enum AtTheEnd {
    Wall,
    /// A brick leaf before a ventilated cavity that is painted as outside.
    WallWithLeaf,
    DoorLeaf,
    /// A wall with a window of its own thickness in it.
    Window,
    /// An inner leaf with a gap at half the height, before air of outside.
    HalfALeaf,
}

fn drawn(dice: &mut Dice, end: AtTheEnd, floor: &str, lengths: &str, is_mirrored: bool) -> Drawn {
    let half = dice.between(2_500, 6_000);
    let (inner, outer) = (dice.between(100, 300), dice.between(60, 250));
    let (leaf, cavity) = if end == AtTheEnd::WallWithLeaf { (102, 50) } else { (0, 0) };
    let body = if end == AtTheEnd::DoorLeaf { dice.between(40, 110) } else { inner + outer };
    let wall = body + leaf + cavity;
    let (screed, board) = (dice.between(40, 80), dice.between(60, 200));
    let above_ground = dice.between(0, 300);
    let (clay, far) = (dice.between(10, 35) as f64 / 10.0, 12_000);
    // Mirrored, the same drawing runs the other way.
    let x = |from: i64, to: i64| {
        if is_mirrored { format!("[{}, {}]", -to, -from) } else { format!("[{from}, {to}]") }
    };
    let wall_height = 1_200;
    let mut plan = format!(
        "  - {{ fill: earth, x: {}, y: [-12000, {}] }}\n  - {{ fill: earth, x: {}, y: [-1000, {}] }}\n  - {{ layers: [[screed, {screed}], [board, {board}]], along: -y, from: 0, x: {} }}\n  - {{ space: room, x: {}, y: [0, 1200] }}\n  - {{ space: outside, x: {}, y: [{}, 1200] }}\n",
        x(-half, far),
        -above_ground,
        x(-half, 0),
        -screed - board,
        x(-half, 0),
        x(-half, 0),
        x(0, far),
        -above_ground,
    );
    let (first, second) =
        if end == AtTheEnd::DoorLeaf { (body / 2, body - body / 2) } else { (inner, outer) };
    plan += &format!(
        "  - {{ fill: inner, x: {}, y: [{}, 1200] }}\n  - {{ fill: outer, x: {}, y: [{}, 1200] }}\n",
        x(0, first),
        -above_ground,
        x(first, first + second),
        -above_ground
    );
    if leaf > 0 {
        plan +=
            &format!("  - {{ fill: brick, x: {}, y: [{}, 1200] }}\n", x(body + cavity, wall), -above_ground);
    }
    if end == AtTheEnd::Window {
        plan += &format!("  - {{ fill: frame, x: {}, y: [400, 900] }}\n", x(0, first + second));
    }
    let extent_top = 1_200;
    let text = format!(
        "coldseam: 1
title: floor
materials:
  earth: {{ conductivity: {clay}, source: test }}
  screed: {{ conductivity: 1.2, source: test }}
  board: {{ conductivity: 0.035, source: test }}
  inner: {{ conductivity: 0.3, source: test }}
  outer: {{ conductivity: 0.04, source: test }}
  brick: {{ conductivity: 0.8, source: test }}
  frame: {{ conductivity: 0.1, source: test }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: {}, y: [-12000, {extent_top}] }}
plan:
{plan}condensation: {{ exclude: [frame] }}
psi:
  flanking:
    - {{ element: wall, section: {{ y: 1200, x: {} }}, WALL }}
    - {{ element: floor, floor: {{ {floor} }}, LENGTHS }}
",
        x(-half, far),
        x(-100, body)
    );
    let span = |key: &str| match key {
        "external" => ("external", format!("[-{above_ground}, 1200]"), x(-half, wall)),
        "overall_internal" => ("overall_internal", "[0, 1200]".to_owned(), x(-half, 0)),
        _ => ("internal", "[0, 1200]".to_owned(), x(-half, 0)),
    };
    let rows: Vec<_> = lengths.split(' ').map(span).collect();
    let list = |index: usize| {
        let one = |(key, wall, floor): &(&str, String, String)| {
            format!("{key}: {}", if index == 0 { wall } else { floor })
        };
        rows.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let mut text = text.replace("WALL", &list(0)).replace("LENGTHS", &list(1));
    // A height of zero is no span: then external and internal are the same.
    if above_ground == 0 {
        text = text.replace("[-0, 1200]", "[0, 1200]");
    }
    if end == AtTheEnd::HalfALeaf {
        text = text.replace(
            &format!("x: {}, y: [{}, 1200] }}\n  - {{ fill: outer", x(0, first), -above_ground),
            &format!(
                "x: {leaf}, y: [{}, 500] }}\n  - {{ fill: inner, x: {leaf}, y: [900, 1200] }}\n  - {{ fill: outer",
                -above_ground,
                leaf = x(0, first)
            ),
        );
    }
    let metres = |millimetres: i64| millimetres as f64 * 1e-3;
    let wall_u = 1.0 / (0.17 + metres(first) / 0.3 + metres(second) / 0.04);
    let (dimension, wall) = (2.0 * metres(half), metres(wall));
    let resistance = metres(screed) / 1.2 + metres(board) / 0.035;
    let total = wall + clay * (0.17 + resistance + 0.04);
    let pi_b = std::f64::consts::PI * dimension;
    let floor_u = if total < dimension {
        2.0 * clay / (pi_b + total) * (1.0 + pi_b / total).ln()
    } else {
        clay / (0.457 * dimension + total)
    };
    Drawn {
        text,
        half_dimension: metres(half),
        wall,
        wall_u,
        floor_u,
        wall_height: metres(wall_height),
        floor_height: metres(above_ground),
    }
}

fn solved(text: &str) -> Outcome {
    let case = case::from_text("floor", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    let demand = Demand { half_width: 0.02, ..Demand::default() };
    result::compute_to(case, &demand).unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

/// Why a case cannot be computed.
fn refusal(case: case::Case) -> String {
    match result::compute(case) {
        Ok(outcome) => {
            panic!(
                "accepted, with w {:?}",
                outcome.elements[1].floor.as_ref().map(|floor| floor.floor.wall_thickness)
            )
        }
        Err(failure) => failure.to_string(),
    }
}

/// ψ = L2D − h_w·U_w − 0.5·B'·U_g and ψ_e = L2D − (h_w + h_f)·U_w − (0.5·B' + w)·U_g with one B' and one U_g,
/// whichever lengths are stated; each line subtracts the product that it shows.
#[test]
fn random_floors_are_subtracted_by_every_convention() {
    let mut dice = Dice(11);
    let lengths = [
        "internal",
        "external",
        "internal external",
        "overall_internal external",
        "internal external overall_internal",
    ];
    for round in 0..15 {
        let end = [AtTheEnd::Wall, AtTheEnd::WallWithLeaf][round % 2];
        let drawn = drawn(&mut dice, end, "method: iso13370", lengths[round % 5], round % 3 == 0);
        let outcome = solved(&drawn.text);
        let l2d = outcome.l2d.unwrap().middle();
        assert_eq!(outcome.psi.len(), lengths[round % 5].split(' ').count());
        for psi in &outcome.psi {
            let (height, length) = match psi.convention {
                Convention::External => {
                    (drawn.wall_height + drawn.floor_height, drawn.half_dimension + drawn.wall)
                }
                _ => (drawn.wall_height, drawn.half_dimension),
            };
            let expected = l2d - height * drawn.wall_u - length * drawn.floor_u;
            assert!(
                (psi.value - expected).abs() < 1e-9,
                "{:?}: {} for {expected}\n{}",
                psi.convention,
                psi.value,
                drawn.text
            );
            for term in &psi.terms {
                assert!((term.u_value * term.length - term.product.middle()).abs() < 1e-12, "{term:?}");
            }
            assert!(
                (psi.terms[1].u_value - drawn.floor_u).abs() < 1e-9
                    && (psi.terms[1].length - length).abs() < 1e-9
            );
            // By the second model: the loss of 0.5·B' spread over 0.5·B', and counted over the stated length.
            let model = outcome.elements[1].floor.as_ref().unwrap().model.unwrap().middle();
            let by_model = l2d - height * drawn.wall_u - length * model / drawn.half_dimension;
            assert!((psi.other_floor.unwrap().1.middle() - by_model).abs() < 1e-9);
        }
    }
}

/// The second model is that of the internal length, whichever convention the case states, and ψ by it is what
/// both models say.
#[test]
fn the_second_model_does_not_move_with_the_convention() {
    for seed in [3, 4] {
        let by = |lengths: &str| {
            let drawn = drawn(&mut Dice(seed), AtTheEnd::Wall, "method: model", lengths, seed == 4);
            let outcome = solved(&drawn.text);
            let model = outcome.elements[1].floor.as_ref().unwrap().model.unwrap();
            assert!(outcome.psi[0].bracket.half_width() <= 0.02);
            assert!((outcome.elements[1].u_value - model.middle() / drawn.half_dimension).abs() < 1e-12);
            assert!(
                (outcome.psi[0].terms[1].u_value - outcome.elements[1].u_value).abs() < 1e-12,
                "one U for every length"
            );
            (
                outcome.psi[0].value
                    + outcome.psi[0].terms.iter().map(|term| term.product.middle()).sum::<f64>(),
                model,
            )
        };
        let ((first, internal), (second, external)) = (by("internal"), by("external"));
        assert!(internal.overlaps(external), "{internal} and {external}");
        assert!((first - second).abs() < 0.04, "L2D is the same whatever is subtracted");
    }
}

/// Where no wall stands at the floor's end its thickness is asked for, at the floor's line; once stated it is
/// what counts.
#[test]
fn a_door_leaf_is_no_wall() {
    let mut dice = Dice(5);
    for round in 0..18 {
        let end = [AtTheEnd::DoorLeaf, AtTheEnd::Window, AtTheEnd::HalfALeaf][round % 3];
        let seed = dice.between(1, 1_000_000) as u64;
        let unstated = drawn(&mut Dice(seed), end, "method: iso13370", "internal", round % 2 == 0);
        let case =
            case::from_text("floor", &unstated.text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
        let message = refusal(case);
        let line = unstated.text.lines().position(|line| line.contains("element: floor")).unwrap() + 1;
        assert!(
            message.contains("needs the thickness of the wall") && message.contains(&format!(":{line}:")),
            "{message}"
        );
        if round > 2 {
            continue;
        }
        let stated =
            drawn(&mut Dice(seed), end, "method: iso13370, wall_thickness: 365", "internal", round % 2 == 0);
        let floor = solved(&stated.text).elements[1].floor.clone().unwrap().floor;
        assert_eq!(floor.wall_thickness, 0.365);
        assert!((floor.characteristic_dimension - 2.0 * stated.half_dimension).abs() < 1e-12);
    }
}

/// A stated wall thickness that is not the drawn one is a warning with both and both U, at the floor's line;
/// the stated one counts. Where they are one, or the plan shows no wall, there is none.
#[test]
fn a_stated_wall_is_compared_with_the_drawn_one() {
    let mut dice = Dice(31);
    for round in 0..24 {
        let seed = dice.between(1, 1_000_000) as u64;
        let end = [AtTheEnd::Wall, AtTheEnd::WallWithLeaf, AtTheEnd::DoorLeaf, AtTheEnd::Window][round % 4];
        let of_plan = drawn(&mut Dice(seed), end, "method: iso13370", "internal", round % 3 == 0);
        let wall = (of_plan.wall * 1e3).round() as i64;
        let off = [0, 1, -1, 2, -2, 40][round / 4];
        let floor = format!("method: iso13370, wall_thickness: {}", wall + off);
        let text = drawn(&mut Dice(seed), end, &floor, "internal", round % 3 == 0).text;
        let outcome = solved(&text);
        assert!(
            (outcome.elements[1].floor.as_ref().unwrap().floor.wall_thickness * 1e3 - (wall + off) as f64)
                .abs()
                < 1e-9
        );
        let found: Vec<_> = outcome
            .all_warnings()
            .filter(|warning| warning.message.contains("`wall_thickness` says"))
            .collect();
        let has_wall = matches!(end, AtTheEnd::Wall | AtTheEnd::WallWithLeaf);
        assert_eq!(found.len(), usize::from(has_wall && off.abs() > 1), "{found:?} for {off}\n{text}");
        let line = text.lines().position(|line| line.contains("element: floor")).unwrap() + 1;
        for warning in found {
            let message = &warning.message;
            assert!(
                message.contains(&format!("says {} mm", wall + off))
                    && message.contains(&format!("is {wall} mm")),
                "{message}"
            );
            assert_eq!(outcome.case.sources.line_column(warning.place.unwrap()).0, line);
            let hint = warning.hint.as_ref().unwrap();
            let stated = outcome.elements[1].u_value;
            assert!(
                hint.contains(&format!("{stated:.4}")) && hint.contains(&format!("{:.4}", of_plan.floor_u)),
                "{hint}"
            );
        }
    }
}

/// Lengths that cannot be those of one floor.
#[test]
fn floors_whose_lengths_do_not_fit_are_refused() {
    let drawn =
        drawn(&mut Dice(8), AtTheEnd::Wall, "method: iso13370, wall_thickness: 400", "internal", false);
    let half = (drawn.half_dimension * 1e3).round();
    let internal = format!("internal: [-{half}, 0] }}\n");
    for (lengths, expected) in [
        (format!("external: [-{half}, -{}] }}\n", half - 300.0), "external length is too short"),
        (format!("internal: [-{half}, 0], external: [-{half}, -100] }}\n"), "external length is too short"),
        (
            format!("internal: [-{half}, 0], external: [{}, 400] }}\n", 10.0 - half),
            "must end at one edge of the extent",
        ),
    ] {
        let text = drawn
            .text
            .replace(&internal, &lengths)
            .replace("internal: [0, 1200] }", "internal: [0, 1200], external: [0, 1200] }");
        assert_ne!(text, drawn.text);
        let case = case::from_text("floor", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
        let message = refusal(case);
        assert!(message.contains(expected), "{message} for {lengths}");
    }
}

/// Edge insulation of random boards: what is accepted has a U-value between that without a board and that of
/// the board's resistance under the whole floor (formulas of ISO 13370 written down here); what is not names
/// its reason at the line of the board.
#[test]
fn edge_insulation_has_limits() {
    let mut dice = Dice(21);
    let (mut accepted, mut refused) = (0, 0);
    for _ in 0..3_000 {
        let (area, perimeter) = (dice.between(2, 200) as f64, dice.between(4, 60) as f64);
        let (wall, earth) = (dice.between(100, 600) as f64, dice.between(5, 40) as f64 / 10.0);
        let resistance = dice.between(0, 60) as f64 / 10.0;
        let (reach, thickness) = (dice.between(50, 5_000) as f64, dice.between(10, 700) as f64);
        let board = 10_f64.powf(dice.between(-200, 80) as f64 / 100.0);
        let is_standing = dice.between(0, 1) == 1;
        let position = if is_standing { "standing" } else { "lying" };
        let text = format!(
            "coldseam: 1
materials: {{ earth: {{ conductivity: {earth}, source: test }}, board: {{ conductivity: {board}, source: test }} }}
floors:
  ground:
    area: {area}
    perimeter: {perimeter}
    wall_thickness: {wall}
    ground: earth
    resistance: {resistance}
    edge: {{ position: {position}, reach: {reach}, material: board, thickness: {thickness} }}
"
        );
        let pi = std::f64::consts::PI;
        let dimension = 2.0 * area / perimeter;
        if !(0.5..=500.0).contains(&dimension) {
            continue;
        }
        let slab = |total: f64| {
            if total < dimension {
                2.0 * earth / (pi * dimension + total) * (1.0 + pi * dimension / total).ln()
            } else {
                earth / (0.457 * dimension + total)
            }
        };
        let total = wall * 1e-3 + earth * (0.21 + resistance);
        let more = thickness * 1e-3 * (earth / board - 1.0);
        let depth = reach * 1e-3 * if is_standing { 2.0 } else { 1.0 };
        let psi = -earth / pi * ((depth / total + 1.0).ln() - (depth / (total + more) + 1.0).ln());
        let expected = slab(total) + 2.0 * psi / dimension;
        match case::library_from_text("floor", &text, &[]) {
            Ok(library) => {
                accepted += 1;
                let u = coldseam::element::ground::u_value(&library.floors[0].floor).u_value;
                assert!((u - expected).abs() < 1e-9, "{u} for {expected}\n{text}");
                assert!(u > 0.0 && u <= slab(total) && u >= slab(total + more), "{u}\n{text}");
                assert!(more > 0.0 && reach * 1e-3 <= dimension / 2.0);
            }
            Err(rejected) => {
                refused += 1;
                let message = rejected.to_string();
                assert!(
                    message.contains("floor.yaml:10:") && message.contains("gives no U-value"),
                    "{message}\n{text}"
                );
                let reasons = ["it reaches", "thick; at most", "no more than the", "must lie between"];
                assert!(reasons.iter().any(|reason| message.contains(reason)), "{message}");
                // Nothing ordinary is refused: a board of 30 to 120 mm that insulates, up to a quarter of the
                // floor's dimension.
                let is_ordinary = (30.0..120.0).contains(&thickness)
                    && board < 0.06
                    && reach > thickness
                    && depth < dimension / 4.0;
                assert!(!is_ordinary, "{message}\n{text}");
            }
        }
    }
    assert!(accepted > 200 && refused > 200, "{accepted} accepted, {refused} refused");
}

/// A bed of the ground's own material between the layers of a floor is one of its layers: it is as if another
/// material of that λ lay there.
#[test]
fn a_bed_of_the_grounds_material_is_a_layer() {
    let text = coldseam::shipped::find("plinth").unwrap().text;
    for (first, second) in
        [("BED", "[perimeter_board, floor_insulation]"), ("[perimeter_board, floor_insulation]", "BED")]
    {
        let with = |material: &str| {
            let order = format!("[render, screed], {first}, {second}, [concrete_2200, slab]")
                .replace("BED", &format!("[{material}, 50]"));
            let text = text
                .replace(
                    "[render, screed], [perimeter_board, floor_insulation], [concrete_2200, slab]",
                    &order,
                )
                .replace(
                    "slab_bottom: -screed - floor_insulation - slab",
                    "slab_bottom: -screed - floor_insulation - slab - 50",
                )
                .replace("materials:\n", "materials:\n  dry_sand: { conductivity: 2.0, source: test }\n");
            solved(&text)
        };
        let (sand, other) = (with("soil_sand"), with("dry_sand"));
        assert!(
            (sand.psi[0].value - other.psi[0].value).abs() < 1e-9,
            "{} and {}",
            sand.psi[0].value,
            other.psi[0].value
        );
        // d/λ by hand: render, board, bed, concrete.
        let resistance = 0.065 / 1.0 + 0.150 / 0.035 + 0.050 / 2.0 + 0.150 / 1.65;
        let floor = sand.elements.iter().find_map(|element| element.floor.as_ref()).unwrap();
        assert!((floor.floor.floor_resistance - resistance).abs() < 1e-9, "{}", floor.floor.floor_resistance);
    }
}
