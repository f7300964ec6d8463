//! Drawings turned as a whole, told by points, and the same as everybody draws them.

use std::fmt::Write;

use coldseam::case;
use coldseam::result::{self, Outcome};

pub fn solve(text: &str) -> Outcome {
    let case = case::from_text("spans", text, &[]).unwrap_or_else(|error| panic!("{error}\n{text}"));
    result::compute(case).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

pub fn warnings(outcome: &Outcome) -> Vec<String> {
    outcome.all_warnings().map(|warning| warning.message.clone()).collect()
}

/// What is wrong with a text that is refused.
pub fn refused(text: &str) -> String {
    match case::from_text("spans", text, &[]) {
        Err(error) => error.to_string(),
        Ok(case) => match result::compute(case) {
            Err(error) => error.to_string(),
            Ok(outcome) => panic!("accepted, with {:?}\n{text}", warnings(&outcome)),
        },
    }
}

/// A turn by an angle, with the coordinates rounded to a step of so many mm.
#[derive(Clone, Copy, Debug)]
pub struct Turned {
    pub degrees: f64,
    /// mm; 0 for none.
    pub step: f64,
}

impl Turned {
    pub fn exactly(degrees: f64) -> Self {
        Self { degrees, step: 0.0 }
    }

    pub fn point(self, [x, y]: [f64; 2]) -> String {
        let (sin, cos) = self.degrees.to_radians().sin_cos();
        let rounded =
            |value: f64| if self.step > 0.0 { (value / self.step).round() * self.step } else { value };
        let [x, y] = [x * cos - y * sin, x * sin + y * cos].map(rounded);
        format!("[{x:?}, {y:?}]")
    }

    pub fn points(self, corners: &[[f64; 2]]) -> String {
        let corners: Vec<String> = corners.iter().map(|corner| self.point(*corner)).collect();
        format!("points: [{}]", corners.join(", "))
    }

    pub fn area(self, [left, right]: [f64; 2], [bottom, top]: [f64; 2]) -> String {
        self.points(&[[left, bottom], [right, bottom], [right, top], [left, top]])
    }

    pub fn stretch(self, from: [f64; 2], to: [f64; 2]) -> String {
        format!("{{ from: {}, to: {} }}", self.point(from), self.point(to))
    }
}

/// mm, and W/(m·K).
pub type Layers = [(f64, f64)];

pub fn head(layers: &Layers) -> String {
    let mut text = "coldseam: 1\ntitle: turned\ncut: horizontal\nenvironments:\n  room: { role: internal, temperature: 20 }\n  \
                    outside: { role: external, temperature: 0 }\nmaterials:\n"
        .to_owned();
    for (number, (_, conductivity)) in layers.iter().enumerate() {
        writeln!(text, "  m{number}: {{ conductivity: {conductivity:?}, source: test }}").unwrap();
    }
    text
}

pub fn thickness(layers: &Layers) -> f64 {
    layers.iter().map(|layer| layer.0).sum()
}

/// U with 0.13 and 0.04, as in a horizontal section.
pub fn u_value(layers: &Layers) -> f64 {
    1.0 / (0.13 + layers.iter().map(|(thickness, lambda)| thickness * 1e-3 / lambda).sum::<f64>() + 0.04)
}

/// A plane wall along x before it is turned, the room below it. The strokes go on beyond the extent, which cuts them.
pub fn wall(turned: Turned, layers: &Layers, length: f64) -> String {
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
pub fn corner(turned: Turned, layers: &Layers, length: f64) -> String {
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
pub fn upright_corner(layers: &Layers, length: f64) -> String {
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

pub const LAYERS: [(f64, f64); 3] = [(15.0, 0.7), (175.0, 0.5), (125.0, 0.035)];
