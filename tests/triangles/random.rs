//! Lattices with vertices moved at random, and solids, spaces, holes and films at random.

use coldseam::triangulation::{Conductivity, Filling, Film, Mesh, NONE, System};

use super::{Dice, below, film, lattice, part, steps, turned};

/// A random mesh and what heat passes on its way.
pub struct Random {
    pub mesh: Mesh,
    pub conductivities: Vec<Conductivity>,
    pub films: Vec<Option<Film>>,
    pub environments: usize,
}

/// What may be random.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// λ from 0.01 to 400, also by direction, R from 0 to 1000, heights down to a hundred-thousandth of widths.
    Wild,
    /// Alike values and fair shapes.
    Tame,
}

impl Random {
    pub fn of(seed: u64, kind: Kind) -> Self {
        let wild = kind == Kind::Wild;
        let dice = &mut Dice(seed);
        for _ in 0..5 {
            part(dice); // seeds that are close begin alike
        }
        let (columns, rows) = (2 + below(dice, 5), 2 + below(dice, 5));
        let environments = 2 + below(dice, 2);
        let solids = 1 + below(dice, 4);
        let fillings: Vec<Filling> = (0..columns * rows)
            .map(|_| match below(dice, 10) {
                0 => Filling::Nothing,
                1 | 2 => Filling::Space(below(dice, environments) as u32),
                _ => Filling::Solid(below(dice, solids) as u32),
            })
            .collect();
        let flat = if wild { 10_f64.powf(-5.0 * part(dice)) } else { 1.0 };
        let moves: Vec<[f64; 2]> = (0..(columns + 1) * (rows + 1))
            .map(|_| [0.4 * (part(dice) - 0.5), 0.4 * (part(dice) - 0.5)])
            .collect();
        let sides: Vec<u32> = (0..4).map(|_| below(dice, environments + 1) as u32).collect();
        let (width, height) = (columns as f64, rows as f64);
        let place = |[x, y]: [f64; 2]| {
            let [right, up] = moves[y as usize * (columns + 1) + x as usize];
            // The outline stays, so that its sides are told apart.
            let within = |at: f64, size: f64| f64::from(u8::from(at > 0.0 && at < size));
            [x + right * within(x, width), (y + up * within(y, height)) * flat]
        };
        let space = |filling: Filling| match filling {
            Filling::Space(space) => Some(space),
            _ => None,
        };
        let segment = |here: Filling, beyond: Option<Filling>, [x, y]: [f64; 2]| {
            if let Some(space) = space(here).or_else(|| beyond.and_then(space)) {
                return space;
            }
            let side = [y <= 0.0, x >= width, y >= height * flat * (1.0 - 1e-12), x <= 0.0];
            match side.iter().position(|side| *side) {
                Some(side) if beyond.is_none() && sides[side] < environments as u32 => sides[side],
                _ => NONE,
            }
        };
        let filling = |i: usize, j: usize| fillings[j * columns + i];
        let mesh = lattice(&steps(columns, width), &steps(rows, height), filling, place, segment);
        let mut conductivities = Vec::new();
        for _ in 0..solids {
            let exponents = if wild { [-2.0, 4.6] } else { [-0.3, 0.6] };
            let direction = turned([1.0, 0.0], 360.0 * part(dice));
            let mut value = || 10_f64.powf(exponents[0] + exponents[1] * part(dice));
            let (along, other) = (value(), value());
            let across = if below(dice, 2) == 0 { along } else { other };
            conductivities.push(Conductivity::along(direction, along, across));
        }
        let films = (0..environments)
            .map(|environment| {
                let resistance = match below(dice, 7) {
                    0 | 3 if wild => 0.0,
                    1 if wild => 1e-6,
                    2 if wild => 1e3,
                    _ => 0.1 + part(dice),
                };
                film(environment, resistance)
            })
            .collect();
        Self { mesh, conductivities, films, environments }
    }

    /// The system on this mesh or a finer one.
    pub fn system(&self, mesh: &Mesh) -> System {
        System::of(mesh, &self.conductivities, &self.films, self.environments).unwrap()
    }

    /// Temperatures, one for each environment.
    pub fn load(&self) -> Vec<f64> {
        [20.0, -5.0, 8.0][..self.environments].to_vec()
    }
}
