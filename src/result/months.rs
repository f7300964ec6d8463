//! The air of every space in a month: what the check month by month takes for its temperature and moisture.
//!
//! **Heated rooms.** Where all of them are alike, the climate's indoor air stands for them. Where they differ
//! in temperature or in stated humidity, each keeps its own temperature, and its own humidity where one is
//! stated; the climate's moisture stands for the others.
//!
//! **Outside** follows the month.
//!
//! **Unheated spaces** stay where they are between inside and outside: θ_u = θ_e + p·(θ_i − θ_e), p from the
//! stated temperatures. With rooms of several temperatures nobody says which of them heats the space, and p
//! differs: the room that leaves the space coldest in the month counts. At the stated temperatures all agree.

use super::temperature_factor::external_temperature;
use crate::climate::{Climate, Indoor, Moisture};
use crate::model::{Environment, EnvironmentId, Model, Role};

/// The air of one heated room through the year; none where nothing tells its humidity.
pub fn indoor(model: &Model, climate: &Climate, environment: EnvironmentId) -> Option<Indoor> {
    let room = &model.environments[environment];
    let stated = room.humidity.map(Moisture::Humidity);
    let of_climate = climate.indoor.map(|indoor| indoor.moisture);
    let moisture = if are_alike(model) { of_climate.or(stated) } else { stated.or(of_climate) };
    Some(Indoor { temperature: room_temperature(model, climate, room), moisture: moisture? })
}

/// The temperature of each environment in a month whose outside temperature is given, °C.
pub fn temperatures(model: &Model, climate: &Climate, outdoor: f64) -> Vec<f64> {
    let external = external_temperature(model);
    let of = |space: &Environment| match space.role {
        Role::External => outdoor,
        Role::Internal => room_temperature(model, climate, space),
        Role::Unheated => {
            let heated_by = |room: &Environment| {
                let share = ((space.temperature - external) / (room.temperature - external)).clamp(0.0, 1.0);
                let change = room_temperature(model, climate, room) - room.temperature;
                space.temperature + (1.0 - share) * (outdoor - external) + share * change
            };
            rooms(model)
                .filter(|room| room.temperature > external)
                .map(heated_by)
                .reduce(f64::min)
                .unwrap_or(space.temperature)
        }
    };
    model.environments.iter().map(of).collect()
}

fn room_temperature(model: &Model, climate: &Climate, room: &Environment) -> f64 {
    climate.indoor.filter(|_| are_alike(model)).map_or(room.temperature, |indoor| indoor.temperature)
}

/// The heated rooms that the construction has.
fn rooms(model: &Model) -> impl Iterator<Item = &Environment> {
    model.environments.iter().filter(|space| space.role == Role::Internal && space.is_touched)
}

fn are_alike(model: &Model) -> bool {
    let kind = |room: &Environment| (room.temperature, room.humidity);
    let Some(first) = rooms(model).next() else { return true };
    rooms(model).all(|room| kind(room) == kind(first))
}
