//! Surface temperature along the inner surfaces.

use crate::model::{EnvironmentId, MaterialId, Model, Role};
use std::collections::HashMap;

use super::skin::{Face, Skin};
use super::temperature_factor::external_temperature;

/// One unbroken inner surface, walked with the solid on the left.
#[derive(Clone, Debug)]
pub struct Profile {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Its stations.
    pub stations: Vec<Station>,
}

/// A vertex of a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Distance from the start along the surface, m.
    pub distance: f64,
    /// m.
    pub at: (f64, f64),
    /// Index of the material of the face that follows (of the last one, of the face before).
    pub material: MaterialId,
    /// Surface resistance of that face, m²K/W.
    pub resistance: f64,
    /// °C.
    pub temperature: f64,
    /// f_Rsi; none where the environment is not warmer than outside.
    pub factor: Option<f64>,
}

/// From one station to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Its ends.
    pub ends: [Station; 2],
    /// Index of the material.
    pub material: MaterialId,
}

impl Stretch {
    /// The part where f_Rsi, linear between the stations, is below a value: distances from the profile's
    /// start, m.
    pub fn below(&self, factor: f64) -> Option<(f64, f64)> {
        let [first, last] = self.ends;
        let (one, other) = first.factor.zip(last.factor)?;
        let crossing = || {
            let part = (factor - one) / (other - one);
            first.distance + part * (last.distance - first.distance)
        };
        match (one < factor, other < factor) {
            (true, true) => Some((first.distance, last.distance)),
            (true, false) => Some((first.distance, crossing())),
            (false, true) => Some((crossing(), last.distance)),
            (false, false) => None,
        }
    }

    /// The place at a distance from the profile's start, m.
    pub fn at(&self, distance: f64) -> (f64, f64) {
        let [first, last] = self.ends;
        let part = (distance - first.distance) / (last.distance - first.distance);
        let between = |a: f64, b: f64| a + part * (b - a);
        (between(first.at.0, last.at.0), between(first.at.1, last.at.1))
    }
}

impl Profile {
    /// Its stretches, in order.
    pub fn stretches(&self) -> impl Iterator<Item = Stretch> {
        self.stations.windows(2).map(|ends| Stretch { ends: [ends[0], ends[1]], material: ends[0].material })
    }
}

/// The profiles of all internal environments.
pub fn profiles(model: &Model, skin: &Skin) -> Vec<Profile> {
    let external = external_temperature(model);
    let mut profiles = Vec::new();
    for (id, environment) in model.environments_by_id() {
        if environment.role != Role::Internal {
            continue;
        }
        let faces: Vec<&Face> = skin.faces.iter().filter(|face| face.environment == id).collect();
        let difference = environment.temperature - external;
        for run in runs(&faces) {
            profiles.push(Profile { environment: id, stations: stations(&run, skin, external, difference) });
        }
    }
    profiles
}

fn stations(run: &[&Face], skin: &Skin, external: f64, difference: f64) -> Vec<Station> {
    let mut distance = 0.0;
    let mut stations = Vec::with_capacity(run.len() + 1);
    let mut add = |place: usize, face: &Face, distance: f64| {
        let temperature = skin.temperature[place];
        let factor = (difference > 0.0).then(|| (temperature - external) / difference);
        let (material, resistance) = (face.material, face.resistance);
        stations.push(Station {
            distance,
            at: skin.places[place],
            material,
            resistance,
            temperature,
            factor,
        });
    };
    for face in run {
        add(face.ends[0], face, distance);
        let [from, to] = face.ends.map(|place| skin.places[place]);
        distance += libm::hypot(to.0 - from.0, to.1 - from.1);
    }
    if let Some(last) = run.last() {
        add(last.ends[1], last, distance);
    }
    stations
}

/// Chains faces end to start. Open runs first, then closed ones.
fn runs<'f>(faces: &[&'f Face]) -> Vec<Vec<&'f Face>> {
    let mut starting_at: HashMap<usize, usize> = HashMap::new();
    let mut has_predecessor: HashMap<usize, bool> = HashMap::new();
    for (number, face) in faces.iter().enumerate() {
        let [start, end] = face.ends;
        starting_at.insert(start, number);
        has_predecessor.insert(end, true);
    }
    let heads = (0..faces.len()).filter(|number| !has_predecessor.contains_key(&faces[*number].ends[0]));
    let mut used = vec![false; faces.len()];
    let mut runs = Vec::new();
    for head in heads.chain(0..faces.len()).collect::<Vec<_>>() {
        let mut run = Vec::new();
        let mut next = Some(head);
        while let Some(number) = next.filter(|number| !used[*number]) {
            used[number] = true;
            run.push(faces[number]);
            next = starting_at.get(&faces[number].ends[1]).copied();
        }
        if !run.is_empty() {
            runs.push(run);
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From 0.6 to 0.8 over 0.1 m: a quarter of it lies below 0.65, whichever way it runs.
    #[test]
    fn a_limit_is_crossed_where_f_reaches_it() {
        let station = |distance: f64, factor: f64| Station {
            distance,
            at: (0.0, distance),
            material: MaterialId::new(0),
            resistance: 0.13,
            temperature: 20.0 * factor,
            factor: Some(factor),
        };
        let stretch = |factors: [f64; 2]| Stretch {
            ends: [station(0.0, factors[0]), station(0.1, factors[1])],
            material: MaterialId::new(0),
        };
        let near = |found: Option<(f64, f64)>, expected: (f64, f64)| {
            let (from, to) = found.unwrap_or((f64::NAN, f64::NAN));
            assert!((from - expected.0).abs() < 1e-12 && (to - expected.1).abs() < 1e-12, "{from} to {to}");
        };
        near(stretch([0.6, 0.8]).below(0.65), (0.0, 0.025));
        near(stretch([0.8, 0.6]).below(0.65), (0.075, 0.1));
        near(stretch([0.6, 0.64]).below(0.65), (0.0, 0.1));
        assert_eq!(stretch([0.65, 0.8]).below(0.65), None);
    }
}
