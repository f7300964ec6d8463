//! Pictures of drawings with slopes, pixel by pixel: solids have the colour of their temperature, nothing is
//! drawn beyond them, and drawings without a slope look the same whichever way they are computed.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::draw::{self, Canvas, field_picture, plan_picture};
use coldseam::plan::Filling;
use coldseam::result::{self, Outcome};
use coldseam::shipped;
use image::RgbImage;

mod common;

/// Pixels.
const WIDTH: u32 = 2000;
/// What is drawn with a pen.
const INK: [u8; 3] = [25, 25, 30];

/// A wall whose top slopes under a roof of 35°, with a timber in it and an overhang outside.
const EAVES: &str = "coldseam: 1
title: Eaves
materials:
  block: { conductivity: 0.18, source: s }
  wool: { conductivity: 0.035, source: s }
  board: { conductivity: 0.13, source: s }
environments:
  room: { role: internal, temperature: 20, humidity: 50 }
  outside: { role: external, temperature: -5 }
extent: { x: [-700, 1000], y: [-800, 1200] }
plan:
  - { space: outside, x: [-700, 1000], y: [-800, 1200] }
  - { space: room, x: [0, 1000], y: [-800, 0] }
  - { space: room, points: [[0, 0], [1000, 0], [1000, 700]] }
  - { fill: block, x: [-300, 0], y: [-800, 60] }
  - { space: outside, points: [[-300, -210], [0, 0], [0, 60], [-300, 60]] }
  - { fill: wool, points: [[-300, -210], [1000, 700], [1000, 980], [-300, 70]] }
  - { fill: board, points: [[-200, -140], [-60, -42], [-60, 238], [-200, 140]] }
  - { fill: board, points: [[-450, -35], [1000, 980], [1000, 1010], [-450, -5]] }
psi:
  flanking:
    - { element: wall, u_value: 0.4, internal: [-800, 0] }
    - { element: roof, u_value: 0.14, internal: [0, 1000] }
";

/// A sheet of 1 mm that slopes by 5° over insulation.
const SILL: &str = "coldseam: 1
title: Sill
materials:
  block: { conductivity: 0.18, source: s }
  wool: { conductivity: 0.035, source: s }
  metal: { conductivity: 160, source: s }
environments:
  room: { role: internal, temperature: 20, humidity: 50 }
  outside: { role: external, temperature: -5 }
extent: { x: [-300, 700], y: [-500, 500] }
plan:
  - { space: room, x: [-300, 100], y: [-500, 500] }
  - { space: outside, x: [100, 700], y: [-500, 500] }
  - { fill: block, x: [0, 200], y: [-500, 500] }
  - { fill: wool, x: [200, 350], y: [-500, -30] }
  - { fill: wool, points: [[200, -30], [350, -30], [350, -13.123], [200, 0]] }
  - { fill: metal, points: [[200, 0], [450, -21.872], [450, -20.868], [200, 1.004]] }
psi:
  flanking:
    - { element: wall, u_value: 0.2, internal: [-500, 0] }
    - { element: upper, u_value: 0.7, internal: [0, 500] }
";

/// A picture with what the plan has at each of its pixels.
struct Look {
    image: RgbImage,
}

impl Look {
    fn at(canvas: &Canvas) -> Self {
        let image = image::load_from_memory(&canvas.to_png().unwrap()).unwrap().to_rgb8();
        Self { image }
    }

    fn color(&self, (x, y): (u32, u32)) -> [u8; 3] {
        self.image.get_pixel(x, y).0
    }

    /// True if something drawn with the pen lies within so many pixels.
    fn is_near_ink(&self, (x, y): (u32, u32), reach: u32) -> bool {
        let (right, bottom) =
            ((x + reach).min(self.image.width() - 1), (y + reach).min(self.image.height() - 1));
        (y.saturating_sub(reach)..=bottom)
            .any(|y| (x.saturating_sub(reach)..=right).any(|x| are_alike(self.color((x, y)), INK, 30)))
    }
}

/// A pixel of the plan area.
struct Spot {
    pixel: (u32, u32),
    /// m.
    place: (f64, f64),
    filling: Filling,
    /// To the nearest edge between fillings and to the border, pixels.
    to_edge: f64,
}

/// Every pixel of the plan area.
fn spots(outcome: &Outcome) -> Vec<Spot> {
    let view = draw::placement(outcome, WIDTH).view;
    let edges = outcome.plan.edges();
    let area = view.area;
    let mut spots = Vec::new();
    for y in area.top.ceil() as u32..area.bottom.floor() as u32 {
        for x in area.left.ceil() as u32..area.right.floor() as u32 {
            let (right, down) = (x as f32 + 0.5, y as f32 + 0.5);
            let place = view.plan_point(right, down);
            let border = [right - area.left, area.right - right, down - area.top, area.bottom - down];
            let to_border = border.into_iter().fold(f32::INFINITY, f32::min);
            let to_edges = edges.iter().map(|edge| distance(place, edge.ends) * view.scale);
            let to_edge = to_edges.fold(f64::from(to_border), f64::min);
            let filling = outcome.plan.filling_at(place.0, place.1).unwrap();
            spots.push(Spot { pixel: (x, y), place, filling, to_edge });
        }
    }
    spots
}

fn distance((x, y): (f64, f64), [from, to]: [[f64; 2]; 2]) -> f64 {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let part = (((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (x - from[0] - part * dx).hypot(y - from[1] - part * dy)
}

fn are_alike(one: [u8; 3], other: [u8; 3], tolerance: u8) -> bool {
    one.iter().zip(other).all(|(one, other)| one.abs_diff(other) <= tolerance)
}

/// The temperature of the solution itself, °C.
fn temperature(outcome: &Outcome, (x, y): (f64, f64)) -> f64 {
    let on = outcome.on_triangles().unwrap();
    let (triangle, weights) = on.mesh.find([x, y]).unwrap();
    on.heat_loss.system.solids.temperature(&on.heat_loss.pair.temperature, triangle, weights).unwrap()
}

/// The colour of a temperature between −5 and 20 °C.
fn scale(temperature: f64) -> [u8; 3] {
    let color = colorous::CIVIDIS.eval_continuous(((temperature + 5.0) / 25.0).clamp(0.0, 1.0));
    [color.r, color.g, color.b]
}

/// Where the coldest places of an outcome are, pixels.
fn coldest(outcome: &Outcome) -> Vec<(f32, f32)> {
    let view = draw::placement(outcome, WIDTH).view;
    let coldest = outcome.factors.iter().filter_map(|factor| factor.coldest.as_ref());
    coldest.map(|coldest| view.point(coldest.at)).collect()
}

/// Beside the coldest place lies a box with its factor.
fn is_near(coldest: &[(f32, f32)], (x, y): (u32, u32)) -> bool {
    coldest.iter().any(|(right, down)| (x as f32 - right).abs() < 260.0 && (y as f32 - down).abs() < 120.0)
}

fn temperature_picture(outcome: &Outcome) -> Canvas {
    field_picture::temperature(outcome, &draw::fine_fields(outcome), WIDTH)
}

/// A shipped case, on triangles: a sloped shape that others cover asks for them.
fn on_triangles(name: &str) -> Outcome {
    let text = shipped::find(name).unwrap().text;
    let text =
        text.replacen("\nplan:\n", "\nplan:\n  - { space: outside, points: [[1, 1], [9, 1], [1, 9]] }\n", 1);
    let outcome = result::compute(case::from_text(name, &text, &[]).unwrap()).unwrap();
    assert!(outcome.on_triangles().is_some(), "{name} is still computed on a grid");
    outcome
}

#[test]
fn solids_have_the_colour_of_their_temperature() {
    for text in [EAVES, SILL] {
        let outcome = common::solve_text(text);
        let look = Look::at(&temperature_picture(&outcome));
        let coldest = coldest(&outcome);
        let (mut coloured, mut all) = (0, 0);
        for spot in spots(&outcome) {
            if !spot.filling.is_solid() || spot.to_edge < 2.0 || is_near(&coldest, spot.pixel) {
                continue;
            }
            all += 1;
            let expected = scale(temperature(&outcome, spot.place));
            if are_alike(look.color(spot.pixel), expected, 3) {
                coloured += 1;
            } else {
                // Lines and labels are drawn over it.
                let found = look.color(spot.pixel);
                assert!(look.is_near_ink(spot.pixel, 8), "{:?}: {found:?}, not {expected:?}", spot.place);
            }
        }
        assert!(all > 20_000 && coloured * 2 > all, "{coloured} of {all} pixels");
    }
}

#[test]
fn nothing_is_drawn_beyond_the_solids() {
    let outcome = common::solve_text(EAVES);
    let fields = draw::fine_fields(&outcome);
    let flow = Look::at(&field_picture::heat_flow(&outcome, &fields, WIDTH).unwrap());
    // A case does not differ from itself: the same picture without a line.
    let none = Look::at(&draw::difference(&outcome, &outcome, WIDTH).unwrap());
    let mut lines = 0;
    for spot in spots(&outcome) {
        if spot.filling.is_solid() {
            lines += u32::from(spot.to_edge > 3.0 && are_alike(flow.color(spot.pixel), INK, 30));
        } else if spot.to_edge > 3.0 {
            assert_eq!(flow.color(spot.pixel), none.color(spot.pixel), "{:?}", spot.place);
        }
    }
    assert!(lines > 1_000, "{lines} pixels of heat flow lines");
}

#[test]
fn a_level_plan_looks_the_same_on_triangles() {
    let name = "intermediate-floor";
    let (grid, triangles) = (common::solve_shipped(name, &[]), on_triangles(name));
    let [one, other] = [&grid, &triangles].map(|outcome| Look::at(&plan_picture::draw(outcome, WIDTH)));
    let mut same = 0;
    for spot in spots(&triangles).iter().filter(|spot| spot.to_edge > 2.0) {
        let is_same = one.color(spot.pixel) == other.color(spot.pixel);
        same += u32::from(is_same);
        // Tags and names need not stand in the same place.
        let is_label = one.is_near_ink(spot.pixel, 24) || other.is_near_ink(spot.pixel, 24);
        let colors = [one.color(spot.pixel), other.color(spot.pixel)];
        assert!(is_same || is_label, "{:?}: {colors:?}", spot.place);
    }
    assert!(same > 100_000, "{same} pixels");
}

#[test]
fn level_temperatures_look_the_same_on_triangles() {
    let name = "intermediate-floor";
    let (grid, triangles) = (common::solve_shipped(name, &[]), on_triangles(name));
    let looks = [&grid, &triangles].map(|outcome| Look::at(&temperature_picture(outcome)));
    let view = draw::placement(&triangles, WIDTH).view;
    // Several places may be as cold; each method takes one of them.
    let coldest = [coldest(&grid), coldest(&triangles)].concat();
    let (mut same, mut on_a_line) = (0, 0);
    for spot in spots(&triangles).iter().filter(|spot| spot.filling.is_solid() && spot.to_edge > 3.0) {
        if is_near(&coldest, spot.pixel) {
            continue;
        }
        let [one, other] = looks.each_ref().map(|look| look.color(spot.pixel));
        if are_alike(one, other, 3) {
            same += 1;
        } else {
            let is_line = looks.iter().any(|look| look.is_near_ink(spot.pixel, 8));
            assert!(is_line, "{:?}: {one:?} and {other:?}", spot.place);
        }
        // Isotherms every 2 K: where the temperature crosses one within the pixel, both draw it.
        let half = 0.5 / view.scale;
        let around = [(half, 0.0), (-half, 0.0), (0.0, half), (0.0, -half)];
        let levels = around.map(|(right, up)| {
            (temperature(&triangles, (spot.place.0 + right, spot.place.1 + up)) / 2.0).floor()
        });
        if levels.iter().any(|level| *level != levels[0]) {
            on_a_line += 1;
            assert!(looks.iter().all(|look| look.is_near_ink(spot.pixel, 8)), "no line at {:?}", spot.place);
        }
    }
    assert!(same > 20_000 && on_a_line > 500, "{same} pixels alike, {on_a_line} on a line");
}

#[test]
fn a_grid_and_triangles_are_compared() {
    let name = "intermediate-floor";
    let (grid, triangles) = (common::solve_shipped(name, &[]), on_triangles(name));
    for (first, second) in [(&grid, &triangles), (&triangles, &grid)] {
        let look = Look::at(&draw::difference(first, second, WIDTH).unwrap());
        for spot in spots(first).iter().filter(|spot| spot.filling.is_solid() && spot.to_edge > 2.0) {
            // The scale goes from pale yellow to dark; the grounds are paler, the hatch is white and grey.
            let [red, green, blue] = look.color(spot.pixel);
            let is_scale = blue < 215 && red.max(green) >= green.min(blue);
            assert!(is_scale || look.is_near_ink(spot.pixel, 16), "{:?}: {red} {green} {blue}", spot.place);
        }
    }
}

#[test]
fn a_sloping_sheet_is_as_thick_as_the_pen() {
    let outcome = common::solve_text(SILL);
    let look = Look::at(&plan_picture::draw(&outcome, WIDTH));
    let view = draw::placement(&outcome, WIDTH).view;
    // As the scale of materials has it for 160 W/(m·K), of 0.02 to 200.
    let part = (160.0_f64 / 0.02).ln() / (200.0_f64 / 0.02).ln();
    let color = colorous::MAGMA.eval_continuous(0.97 - 0.77 * part);
    let mut seen = 0;
    for step in 0..=100 {
        let x = 0.2 + 0.25 * (f64::from(step) + 0.5) / 101.0;
        let (right, down) = view.point((x, 0.000_502 - (x - 0.2) * 0.087_488));
        // One pixel above the middle and one below too: the sheet itself is thinner than a pixel.
        let is_seen = [-1.0, 0.0, 1.0].iter().all(|off| {
            let pixel = (right as u32, (down + off) as u32);
            are_alike(look.color(pixel), [color.r, color.g, color.b], 60)
        });
        seen += u32::from(is_seen);
    }
    // The number of the metal covers some of it.
    assert!(seen > 70, "{seen} of 101 places");
}
