//! The temperature factor of the internal surface, f_Rsi = (θ_si − θ_e)/(θ_i − θ_e) (ISO 10211:2017, ISO
//! 13788:2012).
//!
//! θ_i is the environment's own temperature, θ_e the lowest external one. With three and more temperatures
//! one number no longer tells the surface temperature for all conditions; then the weights g_j of θ_si = Σ
//! g_j·θ_j at the coldest place stand beside it.

use super::Solved;
use super::skin::Skin;
use crate::finding::Diagnostic;
use crate::model::{EnvironmentId, MaterialId, Model, Role};

/// The coldest place of a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Coldest {
    /// f_Rsi.
    pub factor: f64,
    /// °C.
    pub temperature: f64,
    /// m.
    pub at: (f64, f64),
    /// Number of the vertex there; of triangles, of the place on the skin.
    pub vertex: usize,
    /// Index of the material.
    pub material: MaterialId,
    /// For three and more temperatures, the weight of each environment's temperature; their sum is 1.
    pub weights: Vec<f64>,
}

/// f_Rsi of the surfaces of one internal environment.
#[derive(Clone, Debug)]
pub struct TemperatureFactor {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// θ_e, °C.
    pub external_temperature: f64,
    /// The coldest place of the surfaces that count.
    pub coldest: Option<Coldest>,
    /// The coldest place of those the case excludes (frames, glazing).
    pub coldest_excluded: Option<Coldest>,
}

/// θ_e: the lowest temperature of an external environment that touches the construction, or of any that does
/// if none is external.
pub fn external_temperature(model: &Model) -> f64 {
    let lowest = |role: Option<Role>| {
        let touching = model.environments.iter().filter(|environment| environment.is_touched);
        let matching = touching.filter(|environment| role.is_none_or(|role| environment.role == role));
        matching.map(|environment| environment.temperature).fold(f64::INFINITY, f64::min)
    };
    let external = lowest(Some(Role::External));
    if external.is_finite() { external } else { lowest(None) }
}

/// Vertex and material of an environment's surfaces: of those the case excludes, or of the others. Vertices
/// come twice and more.
pub fn surface<'a>(
    model: &'a Model,
    solved: &'a Solved,
    environment: EnvironmentId,
    of_excluded: bool,
) -> impl Iterator<Item = (usize, MaterialId)> + use<'a> {
    let excluded = model.judged_apart();
    let faces = solved.conduction.network.faces.iter();
    let own = faces.filter(move |face| {
        face.environment == environment && excluded.contains(&face.material) == of_excluded
    });
    own.flat_map(|face| face.vertices.map(|vertex| (vertex, face.material)))
}

/// The coldest place of an environment's surfaces with temperatures by place of the skin, °C: of those the case
/// excludes, or of the others.
pub fn coldest(
    model: &Model,
    skin: &Skin,
    temperatures: &[f64],
    environment: EnvironmentId,
    of_excluded: bool,
) -> Option<Coldest> {
    let external = external_temperature(model);
    let excluded = model.judged_apart();
    let own = skin
        .faces
        .iter()
        .filter(|face| face.environment == environment && excluded.contains(&face.material) == of_excluded);
    let (place, material) = own
        .flat_map(|face| {
            // Of equals the first as the grid counts them, whichever way one walks.
            let [one, other] = face.ends;
            let ends = if skin.vertices[one] < skin.vertices[other] { [one, other] } else { [other, one] };
            ends.map(|place| (place, face.material))
        })
        .min_by(|a, b| temperatures[a.0].total_cmp(&temperatures[b.0]))?;
    let temperature = temperatures[place];
    Some(Coldest {
        factor: (temperature - external) / (model.environments[environment].temperature - external),
        temperature,
        at: skin.places[place],
        vertex: skin.vertices[place],
        material,
        weights: skin.units.iter().map(|values| values[place]).collect(),
    })
}

/// A warning where no f_Rsi comes out.
pub fn without_rooms(model: &Model) -> Option<Diagnostic> {
    let rooms = || model.environments.iter().filter(|space| space.is_touched && space.role == Role::Internal);
    let outside = external_temperature(model);
    if rooms().any(|room| room.temperature > outside) {
        return None;
    }
    let (message, hint) = match rooms().next() {
        Some(room) => (
            format!("no room is warmer than outside ({outside} °C): there is no f_Rsi"),
            format!("look at the temperature of `{}`, {} °C", room.name, room.temperature),
        ),
        None => (
            "no environment that touches the construction has the role `internal`: there is no f_Rsi, and surface resistances are those of unheated spaces or outside".to_owned(),
            "write `role: internal` for a room".to_owned(),
        ),
    };
    Some(Diagnostic::warning(model.environments.first().and_then(|first| first.place), message).hint(hint))
}

/// f_Rsi of every internal environment that is warmer than outside and touches a surface.
pub fn factors(model: &Model, skin: &Skin) -> Vec<TemperatureFactor> {
    let external_temperature = external_temperature(model);
    let mut factors = Vec::new();
    for (environment, air) in model.environments_by_id() {
        if air.role != Role::Internal || air.temperature <= external_temperature {
            continue;
        }
        let [coldest, coldest_excluded] =
            [false, true].map(|excluded| coldest(model, skin, &skin.temperature, environment, excluded));
        if coldest.is_some() || coldest_excluded.is_some() {
            factors.push(TemperatureFactor { environment, external_temperature, coldest, coldest_excluded });
        }
    }
    factors
}

/// An estimated error of a temperature factor, rounded up.
pub fn error_text(error: f64) -> String {
    format!("{:.4}", (error * 1e4).ceil() / 1e4)
}
