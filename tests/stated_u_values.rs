//! U-values that a case states are those of what it draws, or a warning says by how much ψ is off.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::result::{self, Demand, Outcome};
use coldseam::review::{self, Seal, Verdict};

use common::dice::Dice;

mod common;

/// A corner of two walls of two layers, mirrored as wanted; what stands for `UPRIGHT` and `LEVEL` are their
/// U-values.
fn corner(
    [block, board]: [i64; 2],
    [of_block, of_board]: [f64; 2],
    mirrored: [bool; 2],
    flanking: [&str; 2],
) -> String {
    let thick = block + board;
    let span = |axis: usize, from: i64, to: i64| {
        if mirrored[axis] { format!("[{}, {}]", -to, -from) } else { format!("[{from}, {to}]") }
    };
    let area = |x: [i64; 2], y: [i64; 2]| format!("x: {}, y: {}", span(0, x[0], x[1]), span(1, y[0], y[1]));
    format!(
        "coldseam: 1
title: corner
cut: horizontal
materials:
  block: {{ conductivity: {of_block}, source: the test }}
  board: {{ conductivity: {of_board}, source: the test }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {} }}
plan:
  - {{ space: outside }}
  - {{ fill: board, {} }}
  - {{ fill: block, {} }}
  - {{ space: room, {} }}
psi:
  flanking:
    - {{ element: upright, {}, along: y, internal: {} }}
    - {{ element: level, {}, along: x, internal: {} }}
",
        area([-1500, thick + 200], [-1200, thick + 200]),
        area([-1500, thick], [-1200, thick]),
        area([-1500, block], [-1200, block]),
        area([-1500, 0], [-1200, 0]),
        flanking[0],
        span(1, -1200, 0),
        flanking[1],
        span(0, -1500, 0),
    )
}

fn solved(text: &str) -> Outcome {
    let case = case::from_text("test", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    let demand = Demand { half_width: 0.001, factor_error: 1.0, ..Demand::default() };
    result::compute_to(case, &demand).unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

fn told(outcome: &Outcome) -> Vec<&case::Diagnostic> {
    outcome.warnings.iter().filter(|warning| warning.message.contains("is taken off with U")).collect()
}

/// The U-value to two significant figures, as standards state it.
fn rounded(u: f64) -> f64 {
    format!("{u:.1e}").parse().unwrap()
}

#[test]
fn a_stated_u_value_is_that_of_the_drawing_or_the_difference_is_told() {
    let mut dice = Dice(3);
    for round in 0..24 {
        let sizes = [dice.between(100, 300), dice.between(60, 250)];
        let conductivities = [dice.between(20, 200) as f64 / 100.0, dice.between(20, 60) as f64 / 1000.0];
        let mirrored = [round % 2 == 1, round % 4 > 1];
        let u = 1.0
            / (0.17
                + sizes[0] as f64 * 1e-3 / conductivities[0]
                + sizes[1] as f64 * 1e-3 / conductivities[1]);
        // As it is, rounded, lower, higher, off by one per cent or half of a thousandth.
        let stated = [u, rounded(u), 0.8 * u, 1.3 * u, 1.01 * u, 1.0005 * u][round / 4 % 6];
        let flanking = [format!("u_value: {stated}"), format!("u_value: {u}")];
        let text = corner(sizes, conductivities, mirrored, flanking.each_ref().map(String::as_str));
        let outcome = solved(&text);
        let found = told(&outcome);
        let is_off = (stated / u - 1.0).abs() > 0.005 && stated != rounded(u);
        assert_eq!(found.len(), usize::from(is_off), "{stated} for {u}: {found:?}\n{text}");
        let findings = review::review(&outcome, &Seal::None);
        let of_review: Vec<Verdict> = findings
            .iter()
            .filter(|finding| finding.evidence.contains("is taken off with U"))
            .map(|finding| finding.verdict)
            .collect();
        let Some(warning) = found.first() else {
            assert!(of_review.is_empty(), "{of_review:?}");
            continue;
        };
        // What is said of ψ is what it would be with the section.
        let by_section = [
            if mirrored[1] { "section: { y: 1200 }" } else { "section: { y: -1200 }" },
            flanking[1].as_str(),
        ];
        let drawn = solved(&corner(sizes, conductivities, mirrored, by_section)).psi[0].value;
        let off = outcome.psi[0].value - drawn;
        assert!((off - 1.2 * (u - stated)).abs() < 1e-6);
        let [words, of_verdict] = if stated > u { ["lower", "fail"] } else { ["higher", "look"] };
        assert!(
            warning.message.contains(&format!("makes ψ {:.4} W/(m·K) {words}", off.abs())),
            "{} for {off}",
            warning.message
        );
        let line = text.lines().position(|line| line.contains("element: upright")).unwrap() + 1;
        assert_eq!(outcome.case.sources.line_column(warning.place.unwrap()).0, line);
        assert!(warning.hint.as_ref().unwrap().contains(by_section[0]), "{warning:?}");
        assert_eq!(of_review.iter().map(|verdict| verdict.word()).collect::<Vec<_>>(), [of_verdict]);
    }
}

/// Studs drawn in the wall: the build-up's U-value counts them. Without studs in the drawing it does not
/// agree, and that is told. Painted by the build-up itself it is that of the drawing.
#[test]
fn a_build_up_is_what_is_drawn() {
    let wall = |layers: &str, studs: bool| {
        let mut drawn = String::new();
        if studs {
            for number in 0..4 {
                let from = -2400 + 600 * number;
                drawn += &format!("  - {{ fill: softwood, x: [12, 152], y: [{from}, {}] }}\n", from + 45);
            }
        }
        format!(
            "coldseam: 1
title: studs
cut: horizontal
build_ups:
  frame: {{ layers: [[plasterboard, 12], {{ material: mineral_wool, thickness: 140, bridged_by: {{ material: softwood, width: 45, spacing: 600 }} }}] }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: [-300, 500], y: [-2400, 0] }}
plan:
  - {{ space: room, x: [-300, 0] }}
  - {{ space: outside, x: [0, 500] }}
  - {{ layers: {layers}, along: +x, from: 0, y: [-2400, 0] }}
{drawn}psi: {{ flanking: [{{ element: wall, build_up: frame, along: y, internal: [-2400, 0] }}] }}
"
        )
    };
    let plain = "[[plasterboard, 12], [mineral_wool, 140]]";
    for (layers, studs, expected) in [(plain, true, 0), (plain, false, 1), ("{ build_up: frame }", false, 0)]
    {
        let outcome = solved(&wall(layers, studs));
        assert_eq!(told(&outcome).len(), expected, "{layers} {studs}: {:?}", outcome.warnings);
    }
}

/// ISO 6946:2017, 6.7.2: U of a lining and a layer with studs, between the limits of the combined method; all
/// in m and W/(m·K).
fn combined([lining, layer]: [f64; 2], [of_lining, between, through]: [f64; 3], part: f64) -> f64 {
    let straight = |of_layer: f64| 1.0 / (0.17 + lining / of_lining + layer / of_layer);
    let upper = 1.0 / (part * straight(through) + (1.0 - part) * straight(between));
    let lower = 0.17 + lining / of_lining + layer / (part * through + (1.0 - part) * between);
    2.0 / (upper + lower)
}

/// Walls whose studs are drawn: a U-value of the same studs passes wherever the plane stands between them;
/// one of a thinner layer or without studs, though it lies between that through the studs and that between
/// them, is told, with how far ψ is off.
#[test]
fn a_u_value_beside_drawn_studs_counts_them() {
    let mut dice = Dice(11);
    for round in 0..30 {
        let (depth, width, spacing) = (dice.between(90, 240), dice.between(60, 90), dice.between(300, 450));
        let start = dice.between(0, spacing - width);
        let (between, through) =
            (dice.between(30, 45) as f64 / 1000.0, dice.between(110, 180) as f64 / 1000.0);
        let length = 6 * spacing;
        let mut studs = String::new();
        for number in 0..6 {
            let from = number * spacing + start;
            studs +=
                &format!("  - {{ fill: stud, x: [12, {}], y: [{from}, {}] }}\n", 12 + depth, from + width);
        }
        let part = width as f64 / spacing as f64;
        let u = |depth: f64, part: f64| combined([0.012, depth], [0.25, between, through], part);
        let real = u(depth as f64 * 1e-3, part);
        let stated = [real, u(depth as f64 * 0.6e-3, part), u(depth as f64 * 1e-3, 0.0)][round % 3];
        let text = format!(
            "coldseam: 1
title: studs
cut: horizontal
materials:
  board: {{ conductivity: 0.25, source: the test }}
  wool: {{ conductivity: {between}, source: the test }}
  stud: {{ conductivity: {through}, source: the test }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: [-300, 500], y: [0, {length}] }}
plan:
  - {{ space: room, x: [-300, 0] }}
  - {{ space: outside, x: [0, 500] }}
  - {{ layers: [[board, 12], [wool, {depth}]], along: +x, from: 0, y: [0, {length}] }}
{studs}psi: {{ flanking: [{{ element: wall, u_value: {stated}, along: y, internal: [0, {length}] }}] }}
"
        );
        let outcome = solved(&text);
        let found = told(&outcome);
        let expected = usize::from(round % 3 > 0);
        assert_eq!(found.len(), expected, "{stated} for {real}: {found:?}\n{text}");
        if round % 3 == 0 {
            // What is left of ψ is what the combined method is off by: it is a mean of two limits (ISO
            // 6946:2017, 6.7.2.1).
            let psi = outcome.psi[0].value / (1e-3 * length as f64);
            assert!(psi.abs() < 0.05 * real, "ψ {psi} a metre for U {real}\n{text}");
        }
    }
}
