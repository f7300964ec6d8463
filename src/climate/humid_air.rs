//! Water vapour in air: saturation, dew point, and the surface temperature at which a given humidity is
//! reached (ISO 13788:2012).
//!
//! ```text
//! p_sat(θ) = 610.5·exp(17.269·θ/(237.3 + θ))   Pa,  θ ≥ 0 °C
//!          = 610.5·exp(21.875·θ/(265.5 + θ))   Pa,  θ < 0 °C
//! ```

/// The surface humidity above which mould may grow (ISO 13788).
pub const MOULD: f64 = 0.8;

/// Saturation pressure of water vapour, Pa, at a temperature in °C.
pub fn saturation_pressure(temperature: f64) -> f64 {
    let (a, b) = if temperature >= 0.0 { (17.269, 237.3) } else { (21.875, 265.5) };
    610.5 * libm::exp(a * temperature / (b + temperature))
}

/// The temperature, °C, at which vapour of the given pressure, Pa, saturates.
pub fn saturation_temperature(pressure: f64) -> f64 {
    let (a, b) = if pressure >= 610.5 { (17.269, 237.3) } else { (21.875, 265.5) };
    let logarithm = libm::log(pressure / 610.5);
    b * logarithm / (a - logarithm)
}

/// The surface temperature, °C, at which air of the given temperature and relative humidity (0 to 1) has
/// `surface_humidity` at the surface: the dew point for 1, the onset of mould for [`MOULD`].
pub fn surface_temperature_at(temperature: f64, humidity: f64, surface_humidity: f64) -> f64 {
    saturation_temperature(humidity * saturation_pressure(temperature) / surface_humidity)
}

/// Relative humidity, 0 to 1 and beyond, at a surface of the given temperature beside air of the given state.
pub fn surface_humidity(air_temperature: f64, humidity: f64, surface_temperature: f64) -> f64 {
    humidity * saturation_pressure(air_temperature) / saturation_pressure(surface_temperature)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Saturation pressures over water and ice at whole degrees, Pa: ISO 13788:2012, Annex E, from memory of
    /// its rounding.
    #[test]
    fn saturation_pressure_matches_the_table() {
        for (temperature, pressure) in
            [(-10.0, 260.0), (-5.0, 401.0), (0.0, 611.0), (10.0, 1227.0), (20.0, 2337.0)]
        {
            let computed = saturation_pressure(temperature);
            assert!((computed - pressure).abs() < 1.0, "{temperature} °C: {computed} Pa");
        }
    }

    /// Air of 20 °C and 50 % has its dew point at 9.3 °C (psychrometric charts, common practice, no source).
    #[test]
    fn dew_point_matches_the_chart_and_inverts_the_pressure() {
        assert!((surface_temperature_at(20.0, 0.5, 1.0) - 9.3).abs() < 0.05);
        assert!(
            (surface_humidity(20.0, 0.5, surface_temperature_at(20.0, 0.5, MOULD)) - MOULD).abs() < 1e-12
        );
        for temperature in [-12.0, -1.0, 0.0, 7.0, 31.0] {
            assert!((saturation_temperature(saturation_pressure(temperature)) - temperature).abs() < 1e-9);
        }
    }
}
