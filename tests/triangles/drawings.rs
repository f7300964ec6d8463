//! Walls of random layers with rectangles, sheets, stars and crossing conductors in them, at any angle.

use coldseam::triangulation::{Conductivity, Drawing, Filling, Film, Mesh, Physics, Stroke};

use super::{Dice, below, part, turned};

/// A random wall on its coarsest mesh, and points in it or at its corners; some may lie in the air.
pub struct Wall {
    pub mesh: Mesh,
    pub physics: Physics,
    pub points: Vec<[f64; 2]>,
}

type Outline = Vec<[f64; 2]>;

fn rectangle(x: [f64; 2], y: [f64; 2]) -> Outline {
    vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]]
}

fn between(dice: &mut Dice, from: f64, to: f64) -> f64 {
    from + (to - from) * part(dice)
}

/// λ from 0.01 to a highest value, evenly over its logarithm.
fn lambda(dice: &mut Dice, highest: f64) -> f64 {
    0.01 * (highest / 0.01).powf(part(dice))
}

impl Wall {
    /// The same for the same number; none if it cannot be triangulated.
    pub fn of(seed: u64) -> Option<Self> {
        let dice = &mut Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        for _ in 0..5 {
            part(dice);
        }
        let mut strokes: Vec<(Filling, Outline)> = Vec::new();
        let mut conductivities = Vec::new();
        let mut solid = |lambda: f64| {
            conductivities.push(Conductivity::isotropic(lambda));
            Filling::Solid(conductivities.len() as u32 - 1)
        };
        let thickness = between(dice, 0.15, 0.5);
        let half = between(dice, 0.3, 0.7) * thickness;
        strokes.push((Filling::Space(0), rectangle([-0.4, 0.0], [-0.8, 0.8])));
        strokes.push((Filling::Space(1), rectangle([thickness, thickness + 0.4], [-0.8, 0.8])));
        strokes.push((solid(lambda(dice, 3.0)), rectangle([0.0, half], [-0.8, 0.8])));
        strokes.push((solid(lambda(dice, 3.0)), rectangle([half, thickness], [-0.8, 0.8])));
        let mut points = vec![[between(dice, 0.0, thickness), between(dice, -0.5, 0.5)]];
        for _ in 0..=below(dice, 5) {
            let [x, y] = [between(dice, -0.08, thickness), between(dice, -0.4, 0.4)];
            let highest = if below(dice, 3) == 0 { 400.0 } else { 3.0 };
            let filling = match below(dice, 12) {
                0 => Filling::Space(1),
                1 => Filling::Space(0),
                _ => solid(lambda(dice, highest)),
            };
            let outline = match below(dice, 5) {
                0 | 1 => rectangle([x, x + between(dice, 0.02, 0.2)], [y, y + between(dice, 0.02, 0.3)]),
                2 => {
                    let sheet = [between(dice, 0.05, 0.4), between(dice, 2e-4, 2e-3)];
                    let [width, height] = if below(dice, 2) == 0 { sheet } else { [sheet[1], sheet[0]] };
                    rectangle([x, x + width], [y, y + height])
                }
                3 => {
                    let corners = 4 + below(dice, 6);
                    let radius = between(dice, 0.03, 0.15);
                    (0..corners)
                        .map(|corner| {
                            let along = turned([1.0, 0.0], 360.0 * corner as f64 / corners as f64);
                            let radius = radius * between(dice, 0.3, 1.0);
                            [x + radius * along[0], y + radius * along[1]]
                        })
                        .collect()
                }
                _ => {
                    // Conductors that meet in a point.
                    let size = between(dice, 0.03, 0.1);
                    let other = rectangle([x - size, x], [y - size, y]);
                    strokes.push((filling, other));
                    rectangle([x, x + size], [y, y + size])
                }
            };
            points.push(outline[0]);
            strokes.push((filling, outline));
        }
        points.push([0.0, between(dice, -0.5, 0.5)]);
        let degrees = if below(dice, 2) == 0 { 0.0 } else { between(dice, 0.0, 90.0) };
        let drawing = Drawing {
            strokes: strokes
                .into_iter()
                .map(|(filling, outline)| Stroke {
                    filling,
                    outline: outline.into_iter().map(|point| turned(point, degrees)).collect(),
                    holes: Vec::new(),
                })
                .collect(),
            extent: rectangle([-9.0, 9.0], [-9.0, 9.0]),
            cuts: Vec::new(),
        };
        let (arrangement, mesh) = Mesh::of(&drawing, &[]).ok()?;
        let resistances = [between(dice, 0.1, 0.25), if below(dice, 8) == 0 { 0.0 } else { 0.04 }];
        let film = |one: Filling, other: Filling| match (one, other) {
            (Filling::Space(space), Filling::Solid(_)) | (Filling::Solid(_), Filling::Space(space)) => {
                let environment = space as usize;
                Some(Film { environment, resistance: resistances[environment] })
            }
            _ => None,
        };
        let films = arrangement.segments.iter().map(|segment| film(segment.left, segment.right)).collect();
        let points = points.into_iter().map(|point| turned(point, degrees)).collect();
        Some(Self { mesh, physics: Physics { conductivities, films, environments: 2 }, points })
    }
}
