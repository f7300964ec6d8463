//! Random drawings: whatever somebody may draw, and then some.

use coldseam::triangulation::{Conductivity, Filling};

use super::{Dice, Painted, Point, Polygon, rectangle, turned};

/// A random drawing and its load.
pub struct Random {
    pub painted: Painted,
    /// The temperature of each space, °C.
    pub load: Vec<f64>,
}

/// From 0 to 1, in steps of a millionth.
pub fn part(dice: &mut Dice) -> f64 {
    dice.between(0, 1_000_000) as f64 * 1e-6
}

fn real(dice: &mut Dice, least: f64, most: f64) -> f64 {
    least + (most - least) * part(dice)
}

/// Between two positive ends, all sizes alike.
fn scale(dice: &mut Dice, least: f64, most: f64) -> f64 {
    least * (most / least).powf(part(dice))
}

fn placed(outline: &[Point], degrees: f64, at: Point) -> Polygon {
    let moved = |point: &Point| {
        let [x, y] = turned(*point, degrees);
        [at[0] + x, at[1] + y]
    };
    outline.iter().map(moved).collect()
}

/// Corners around a middle, near and far by turns of luck.
fn star(dice: &mut Dice, middle: Point, size: f64) -> Polygon {
    let corners = dice.between(3, 12);
    let start = real(dice, 0.0, 360.0);
    (0..corners)
        .map(|corner| {
            let radius = size * real(dice, 0.1, 1.0);
            let [x, y] = turned([radius, 0.0], start + 360.0 * corner as f64 / corners as f64);
            [middle[0] + x, middle[1] + y]
        })
        .collect()
}

fn conductivity(dice: &mut Dice) -> Conductivity {
    let along = scale(dice, 0.01, 400.0);
    if dice.between(0, 3) > 0 {
        return Conductivity::isotropic(along);
    }
    Conductivity::along(turned([1.0, 0.0], real(dice, 0.0, 180.0)), along, scale(dice, 0.01, 400.0))
}

fn resistance(dice: &mut Dice) -> f64 {
    match dice.between(0, 7) {
        0 => 0.0,
        1 => scale(dice, 1e-4, 1.0),
        _ => real(dice, 0.04, 1.0),
    }
}

impl Random {
    pub fn of(seed: u64) -> Self {
        let dice = &mut Dice(seed);
        for _ in 0..5 {
            dice.between(0, 1); // seeds that are close begin alike
        }
        let spaces = dice.between(2, 3) as usize;
        let resistances: Vec<f64> = (0..spaces).map(|_| resistance(dice)).collect();
        let mut painted = Painted::new(&resistances);
        painted.space(1, rectangle([-9.0, 9.0], [-9.0, 9.0]));
        match dice.between(0, 3) {
            0 => body(dice, &mut painted),
            1 => layers(dice, &mut painted, 0.0),
            _ => {
                let degrees = real(dice, -70.0, 70.0);
                layers(dice, &mut painted, degrees);
                if dice.between(0, 1) == 0 {
                    // Eaves: layers of another slope over the first.
                    let other = real(dice, -70.0, 70.0);
                    layers(dice, &mut painted, other);
                }
            }
        }
        for _ in 0..dice.between(1, 8) {
            feature(dice, &mut painted, spaces);
        }
        Self { painted, load: [20.0, 0.0, 8.0][..spaces].to_vec() }
    }
}

/// A star with the room in it.
fn body(dice: &mut Dice, painted: &mut Painted) {
    let size = real(dice, 0.5, 1.5);
    let outline = star(dice, [0.0, 0.0], size);
    let shrink = real(dice, 0.3, 0.99);
    let room = outline.iter().map(|point| point.map(|x| shrink * x)).collect();
    painted.solid(conductivity(dice), outline);
    painted.space(0, room);
}

/// Layers from foils to walls, the room below.
fn layers(dice: &mut Dice, painted: &mut Painted, degrees: f64) {
    let at = [real(dice, -0.3, 0.3), real(dice, -0.3, 0.3)];
    let length = real(dice, 0.3, 1.5);
    painted.space(0, placed(&rectangle([-length, length], [-0.5, 0.0]), degrees, at));
    let mut height = 0.0;
    for _ in 0..dice.between(1, 5) {
        let thickness = scale(dice, 5e-5, 0.3);
        let layer = rectangle([-length, length], [height, height + thickness]);
        painted.solid(conductivity(dice), placed(&layer, degrees, at));
        height += thickness;
    }
}

fn filling(dice: &mut Dice, painted: &mut Painted, spaces: usize) -> Filling {
    match dice.between(0, 9) {
        0 => Filling::Nothing,
        1 | 2 => Filling::Space(dice.between(0, spaces as i64 - 1) as u32),
        _ => {
            painted.conductivities.push(conductivity(dice));
            Filling::Solid(painted.conductivities.len() as u32 - 1)
        }
    }
}

/// One more polygon, which may have to do with those that are there.
fn feature(dice: &mut Dice, painted: &mut Painted, spaces: usize) {
    let place = [real(dice, -0.8, 0.8), real(dice, -0.5, 0.5)];
    let degrees = if dice.between(0, 3) == 0 { 0.0 } else { real(dice, 0.0, 360.0) };
    // An edge of what was painted last.
    let outline = &painted.drawing.strokes[painted.drawing.strokes.len() - 1].outline;
    let at = dice.between(0, outline.len() as i64 - 1) as usize;
    let (from, to) = (outline[at], outline[(at + 1) % outline.len()]);
    let [x, y] = [to[0] - from[0], to[1] - from[1]];
    let length = x.hypot(y);
    let along = y.atan2(x).to_degrees();
    let is_long = length > 0.05;
    let filling = filling(dice, painted, spaces);
    let (outline, holes) = match dice.between(0, 10) {
        // Foils.
        0 | 1 => {
            let foil = rectangle([-real(dice, 0.1, 1.5), 0.3], [0.0, scale(dice, 5e-5, 2e-4)]);
            (placed(&foil, degrees, place), vec![])
        }
        // Wedges down to a degree.
        2 => {
            let (length, angle) = (real(dice, 0.1, 1.5), scale(dice, 1.0, 30.0));
            (placed(&[[0.0, 0.0], [length, 0.0], turned([length, 0.0], angle)], degrees, place), vec![])
        }
        // Slivers.
        3 => {
            let tip = [real(dice, -0.1, 1.1), scale(dice, 1e-4, 5e-3)];
            (placed(&[[0.0, 0.0], [1.0, 0.0], tip], degrees, place), vec![])
        }
        // A tenth of a millimetre beside an edge, or on it, on either side.
        4 | 5 if is_long => {
            let off = if dice.between(0, 2) == 0 { 0.0 } else { 1e-4 };
            let depth = scale(dice, 1e-3, 0.3);
            let (side, other) =
                if dice.between(0, 1) == 0 { (off, off + depth) } else { (-off - depth, -off) };
            let ends = [real(dice, -0.2, 0.5) * length, real(dice, 0.51, 1.2) * length];
            (placed(&rectangle(ends, [side, other]), along, from), vec![])
        }
        // Touches a corner.
        6 => {
            let size = [scale(dice, 0.01, 0.5), scale(dice, 0.01, 0.5)];
            (placed(&rectangle([0.0, size[0]], [0.0, size[1]]), degrees, from), vec![])
        }
        // Two squares that touch in a corner.
        7 => {
            let size = real(dice, 0.05, 0.3);
            let square = rectangle([0.0, size], [0.0, size]);
            painted.paint(filling, placed(&square, degrees, place), vec![]);
            (placed(&square, degrees + 180.0, place), vec![])
        }
        8 => {
            let size = real(dice, 0.1, 0.8);
            let outline = star(dice, place, size);
            let shrink = real(dice, 0.3, 0.98);
            let towards =
                |point: &Point| [0, 1].map(|axis| place[axis] + shrink * (point[axis] - place[axis]));
            let hole = outline.iter().map(towards).collect();
            (outline, vec![hole])
        }
        9 => {
            let size = [scale(dice, 0.01, 1.0), scale(dice, 0.01, 1.0)];
            (placed(&rectangle([0.0, size[0]], [0.0, size[1]]), degrees, place), vec![])
        }
        _ => {
            let size = real(dice, 0.02, 0.8);
            (star(dice, place, size), vec![])
        }
    };
    painted.paint(filling, outline, holes);
}
