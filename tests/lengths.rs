//! Lengths of flanking elements that leave out a part of what is drawn, or count what belongs to other
//! spaces, are told.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

mod common;

/// How a drawing is turned: x and y exchanged, and each mirrored.
#[derive(Clone, Copy, Debug)]
struct Turn {
    exchanged: bool,
    mirrored: [bool; 2],
}

impl Turn {
    fn all() -> impl Iterator<Item = Self> {
        (0..8).map(|bits| Self { exchanged: bits & 1 == 1, mirrored: [bits & 2 == 2, bits & 4 == 4] })
    }

    fn is_upright(self) -> bool {
        !self.exchanged && !self.mirrored[1]
    }

    /// A span of the upright drawing's axis 0 or 1, as it is written in the turned one.
    fn span(self, axis: usize, from: f64, to: f64) -> String {
        let name = if (axis == 0) == self.exchanged { "y" } else { "x" };
        let [from, to] = if self.mirrored[axis] { [-to, -from] } else { [from, to] };
        format!("{name}: [{from}, {to}]")
    }

    fn values(self, axis: usize, from: f64, to: f64) -> String {
        self.span(axis, from, to).split_once(": ").unwrap().1.to_owned()
    }

    fn plane(self, axis: usize, at: f64) -> String {
        let name = if (axis == 0) == self.exchanged { "y" } else { "x" };
        format!("{name}: {}", if self.mirrored[axis] { -at } else { at })
    }
}

/// A wall with a floor into it: a room above, and below it a garage (or, if there is none, another room at
/// the same temperature, which is counted with the first). `length` is that of the wall, from the floor's
/// level up.
fn told(turn: Turn, is_garage: bool, from: f64) -> (usize, usize, f64) {
    // As a section, where the drawing stands upright.
    let cut = if turn.is_upright() { "vertical" } else { "horizontal" };
    let [below, temperature] = if is_garage { ["unheated", "8"] } else { ["internal", "20"] };
    let text = format!(
        "coldseam: 1
title: a floor into a wall
cut: {cut}
materials: {{ m: {{ conductivity: 0.5, source: test }} }}
environments:
  room: {{ role: internal, temperature: 20 }}
  below: {{ role: {below}, temperature: {temperature} }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ {}, {} }}
plan:
  - {{ space: room, {}, {} }}
  - {{ space: below, {}, {} }}
  - {{ space: outside, {} }}
  - {{ fill: m, {}, {} }}
  - {{ fill: m, {}, {} }}
psi:
  between: [[room], [outside]]
  flanking: [{{ element: wall, section: {{ {} }}, internal: {} }}]
",
        turn.span(0, -1500.0, 600.0),
        turn.span(1, -1500.0, 1700.0),
        turn.span(0, -1500.0, 0.0),
        turn.span(1, 200.0, 1700.0),
        turn.span(0, -1500.0, 0.0),
        turn.span(1, -1500.0, 0.0),
        turn.span(0, 300.0, 600.0),
        turn.span(0, -1500.0, 300.0),
        turn.span(1, 0.0, 200.0),
        turn.span(0, 0.0, 300.0),
        turn.span(1, -1500.0, 1700.0),
        turn.plane(1, 1700.0),
        turn.values(1, from, 1700.0),
    );
    let outcome = common::solve_text(&text);
    let count = |part: &str| outcome.all_warnings().filter(|warning| warning.message.contains(part)).count();
    (count("is left in ψ"), count("separate other spaces"), outcome.psi[0].value)
}

/// ψ of the right length in the upright drawing is 0.1185 W/(m·K) (an independent finite-volume solution on a
/// uniform grid gives 0.1184).
#[test]
fn short_and_long_lengths_are_told_whichever_way_the_drawing_lies() {
    for turn in Turn::all() {
        for (from, short, long) in [
            (200.0, 0, 0),
            (0.0, 0, 0),    // external dimensions: with the floor
            (100.0, 0, 0),  // half of the floor
            (-300.0, 0, 0), // a step below
            (290.0, 0, 0),  // screed and finish
            (320.0, 1, 0),
            (700.0, 1, 0),
            (1600.0, 1, 0),
            (-900.0, 0, 1),
            (-1500.0, 0, 1),
        ] {
            let (told_short, told_long, psi) = told(turn, true, from);
            assert_eq!((told_short, told_long), (short, long), "{turn:?}, from {from}");
            if from == 200.0 && turn.is_upright() {
                assert!((psi - 0.1185).abs() < 3e-4, "{turn:?}: {psi}");
            }
        }
        // Where the room below counts elsewhere, the wall below is of another pair all the same.
        assert_eq!(told(turn, false, -1500.0).1, 1, "{turn:?}");
    }
}

/// A thick wall under a thin one, in every orientation: lengths that overlap, and a section cut through the
/// other wall, are told.
#[test]
fn overlaps_and_sections_of_another_element_are_told() {
    for turn in Turn::all() {
        let told = |lower: [f64; 2], upper_at: f64, part: &str| {
            let text = format!(
                "coldseam: 1
title: a step in a wall
cut: horizontal
materials: {{ m: {{ conductivity: 0.2, source: test }} }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ {}, {} }}
plan:
  - {{ space: outside }}
  - {{ space: room, {} }}
  - {{ fill: m, {}, {} }}
  - {{ fill: m, {}, {} }}
psi:
  flanking:
    - {{ element: lower, section: {{ {} }}, internal: {} }}
    - {{ element: upper, section: {{ {} }}, internal: {} }}
",
                turn.span(0, -100.0, 600.0),
                turn.span(1, -1200.0, 1200.0),
                turn.span(0, -100.0, 0.0),
                turn.span(0, 0.0, 400.0),
                turn.span(1, -1200.0, 0.0),
                turn.span(0, 0.0, 100.0),
                turn.span(1, 0.0, 1200.0),
                turn.plane(1, -1200.0),
                turn.values(1, lower[0], lower[1]),
                turn.plane(1, upper_at),
                turn.values(1, 0.0, 1200.0),
            );
            let outcome = common::solve_text(&text);
            outcome.all_warnings().filter(|warning| warning.message.contains(part)).count()
        };
        assert_eq!(told([-1200.0, 0.0], 1200.0, ""), 0, "{turn:?}");
        assert_eq!(told([-1200.0, 400.0], 1200.0, "overlap by 400 mm"), 1, "{turn:?}");
        // U 0.4608 (400 mm) is taken off for what has 1.4925 (100 mm): 1/(0.13 + d/0.2 + 0.04).
        assert_eq!(told([-1200.0, 0.0], -1200.0, "U 0.4608 W/(m²K) of its section"), 1, "{turn:?}");
    }
}

/// No shipped case has such a length: real details do not trip over the limits.
#[test]
fn shipped_cases_have_no_such_length() {
    for shipped in coldseam::shipped::CASES {
        let outcome = common::solve_shipped(shipped.name, &[]);
        assert!(
            !outcome.all_warnings().any(|warning| warning.message.starts_with("the length of")),
            "{}",
            shipped.name
        );
    }
}

/// Two walls side by side run along the same heights: nothing is taken off twice. What two elements of one
/// wall share is.
#[test]
fn elements_side_by_side_do_not_overlap() {
    let text = |[one, other]: [&str; 2], [until, from]: [u32; 2]| {
        format!(
            "coldseam: 1
title: two walls of one room
cut: horizontal
materials: {{ m: {{ conductivity: 0.2, source: the test }} }}
environments: {{ room: {{ role: internal, temperature: 20 }}, outside: {{ role: external, temperature: 0 }} }}
extent: {{ x: [-300, 1500], y: [0, 1000] }}
plan:
  - {{ space: outside }}
  - {{ space: room, x: [0, 1200] }}
  - {{ fill: m, x: [-200, 0], y: [0, 1000] }}
  - {{ fill: m, x: [1200, 1400], y: [0, 1000] }}
psi:
  flanking:
    - {{ element: left, section: {{ {one} }}, internal: [0, {until}] }}
    - {{ element: right, section: {{ {other} }}, internal: [{from}, 1000] }}
"
        )
    };
    let count = |text: String| {
        let outcome = common::solve_text(&text);
        outcome.all_warnings().filter(|warning| warning.message.contains("overlap by")).count()
    };
    assert_eq!(count(text(["y: 0, x: [-200, 0]", "y: 0, x: [1200, 1400]"], [1000, 0])), 0);
    assert_eq!(count(text(["y: 0, x: [-200, 0]", "y: 1000, x: [-200, 0]"], [600, 400])), 1);
}
