//! Surface temperatures along the inner surfaces as CSV.

use crate::result::Outcome;

const HEADER: [&str; 10] = [
    "environment",
    "surface",
    "distance_mm",
    "x_mm",
    "y_mm",
    "material",
    "surface_resistance_m2K_W",
    "temperature_C",
    "temperature_factor",
    "heat_flux_W_m2",
];

/// One row a vertex; the heat flux is (θ_i − θ_si)/Rs, empty where the surface temperature is fixed.
///
/// # Errors
/// Those of the CSV writer.
pub fn table(outcome: &Outcome) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for (number, profile) in outcome.profiles.iter().enumerate() {
        let environment = &outcome.case.model.environments[profile.environment];
        for station in &profile.stations {
            let flux = (environment.temperature - station.temperature) / station.resistance;
            writer.write_record([
                environment.name.clone(),
                (number + 1).to_string(),
                format!("{:.3}", station.distance * 1e3),
                format!("{:.3}", station.at.0 * 1e3),
                format!("{:.3}", station.at.1 * 1e3),
                outcome.case.model.materials[station.material].name.clone(),
                station.resistance.to_string(),
                format!("{:.4}", station.temperature),
                station.factor.map_or_else(String::new, |factor| format!("{factor:.5}")),
                if flux.is_finite() { format!("{flux:.4}") } else { String::new() },
            ])?;
        }
    }
    Ok(writer.into_inner()?)
}
