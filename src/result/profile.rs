//! Surface temperature along the inner surfaces.

use std::collections::HashMap;

use super::Solved;
use super::temperature_factor::external_temperature;
use crate::case::{Case, Role};
use crate::conduction::network::Face;
use crate::geometry::Axis;
use crate::grid::Grid;

/// One unbroken inner surface, walked with the solid on the left.
#[derive(Clone, Debug)]
pub struct Profile {
    /// Index of the environment.
    pub environment: usize,
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
    pub material: usize,
    /// Surface resistance of that face, m²K/W.
    pub resistance: f64,
    /// °C.
    pub temperature: f64,
    /// f_Rsi; NaN where the environment is not warmer than outside.
    pub factor: f64,
}

/// The profiles of all internal environments.
pub fn profiles(case: &Case, grid: &Grid, solved: &Solved) -> Vec<Profile> {
    let external = external_temperature(case);
    let mut profiles = Vec::new();
    for (index, environment) in case.environments.iter().enumerate() {
        if environment.role != Role::Internal {
            continue;
        }
        let faces: Vec<&Face> = solved.conduction.network.faces.iter().filter(|face| face.environment == index).collect();
        let difference = environment.temperature - external;
        for run in runs(&faces) {
            profiles.push(Profile { environment: index, stations: stations(&run, grid, solved, external, difference) });
        }
    }
    profiles
}

fn stations(run: &[&Face], grid: &Grid, solved: &Solved, external: f64, difference: f64) -> Vec<Station> {
    let mut distance = 0.0;
    let mut stations = Vec::with_capacity(run.len() + 1);
    let mut add = |vertex: usize, face: &Face, distance: f64| {
        let temperature = solved.field.temperature[vertex];
        let factor = if difference > 0.0 { (temperature - external) / difference } else { f64::NAN };
        let (material, resistance) = (face.material, face.resistance);
        stations.push(Station { distance, at: grid.position(vertex), material, resistance, temperature, factor });
    };
    for face in run {
        add(walk(face)[0], face, distance);
        distance += face.length;
    }
    if let Some(last) = run.last() {
        add(walk(last)[1], last, distance);
    }
    stations
}

/// The face's vertices in walking order, solid on the left.
fn walk(face: &Face) -> [usize; 2] {
    let [low, high] = face.vertices;
    let rising = match face.normal {
        Axis::X => face.solid_is_lower,
        Axis::Y => !face.solid_is_lower,
    };
    if rising { [low, high] } else { [high, low] }
}

/// Chains faces end to start. Open runs first, then closed ones.
fn runs<'f>(faces: &[&'f Face]) -> Vec<Vec<&'f Face>> {
    let mut starting_at: HashMap<usize, usize> = HashMap::new();
    let mut has_predecessor: HashMap<usize, bool> = HashMap::new();
    for (number, face) in faces.iter().enumerate() {
        let [start, end] = walk(face);
        starting_at.insert(start, number);
        has_predecessor.insert(end, true);
    }
    let heads = (0..faces.len()).filter(|number| !has_predecessor.contains_key(&walk(faces[*number])[0]));
    let mut used = vec![false; faces.len()];
    let mut runs = Vec::new();
    for head in heads.chain(0..faces.len()).collect::<Vec<_>>() {
        let mut run = Vec::new();
        let mut next = Some(head);
        while let Some(number) = next.filter(|number| !used[*number]) {
            used[number] = true;
            run.push(faces[number]);
            next = starting_at.get(&walk(faces[number])[1]).copied();
        }
        if !run.is_empty() {
            runs.push(run);
        }
    }
    runs
}
