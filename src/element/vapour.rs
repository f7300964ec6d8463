//! Interstitial condensation month by month (ISO 13788:2012, clause 6).
//!
//! Temperatures fall along the resistances, vapour pressure along the diffusion-equivalent air layer
//! thickness s_d = μ·d. Where the straight line would exceed saturation, vapour condenses: the pressure then
//! follows the tightest line below the saturation pressures, the lower convex hull of (0, p_i), (s_d, p_sat)
//! at every interface, and (s_d total, p_e). With g = δ0·Δp/Δs_d before and after,
//!
//! ```text
//! condensation at an interface = δ0·[ (p_before − p)/Δs_before − (p − p_after)/Δs_after ]      δ0 = 2·10⁻¹⁰ kg/(m·s·Pa)
//! ```
//!
//! An interface that holds condensate keeps its saturation pressure, and dries where this is negative. Layers
//! with more than 0.25 m²K/W are divided. [`super::condensate`] goes through the months.
//!
//! μ is the wet (lower) value inside of the layer that insulates most and the dry (higher) one from there
//! outwards, which lets most vapour in and least out. Bridged layers count as where they are not bridged.
//! Constants are from memory of the standard.
//!
//! What lets no vapour pass (metals, glass) counts with μ = 3·10⁷: a finite value is needed, and this one
//! gives 0.05 mm of aluminium the 1500 m of the foils in ISO 10456:2007, Table 4 (from memory).
//!
//! A well-ventilated air layer is outside air (ISO 6946:2017, 6.9.4), and nothing beyond it counts. For
//! slightly ventilated ones ISO 13788 has no rule (from memory). Neither reading is the careful one
//! everywhere: closed, the cladding keeps vapour in; open, the layers behind it are colder. So there are two
//! courses then, and both are to be gone through.

use super::air_layer::Ventilation;
use super::build_up::{Body, BuildUp};
use crate::climate::humid_air::saturation_pressure;

/// Vapour permeability of air, kg/(m·s·Pa).
const AIR_PERMEABILITY: f64 = 2e-10;
/// Layers are divided into parts of at most this resistance, m²K/W.
const LARGEST_PART: f64 = 0.25;
/// s_d of an air layer, m.
const AIR_LAYER: f64 = 0.01;
/// μ of what lets no vapour pass.
const TIGHT: f64 = 3e7;

/// A point between two parts of a build-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Interface {
    /// Index of the layer on its inner side.
    pub layer: usize,
    /// How far through that layer, 0 to 1.
    pub part: f64,
    /// Thermal resistance from the room to here, m²K/W.
    resistance: f64,
    /// s_d from the room to here, m.
    pub vapour: f64,
}

impl Interface {
    /// True between two layers, false within one.
    pub fn is_boundary(&self) -> bool {
        self.part == 1.0
    }
}

/// What the check takes: a build-up as seen by heat and vapour.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// From inside to outside, surfaces of the construction excluded.
    pub interfaces: Vec<Interface>,
    /// Total thermal resistance, m²K/W.
    resistance: f64,
    /// Surface resistances inside and outside, m²K/W.
    surfaces: [f64; 2],
    /// Total s_d, m.
    pub vapour: f64,
    /// s_d of each layer counted, m.
    pub of_layers: Vec<f64>,
    /// Where each of them comes from.
    pub origins: Vec<Origin>,
}

/// Where the s_d of a layer comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Origin {
    /// Stated as such.
    Stated,
    /// The fixed value of air layers.
    Air,
    /// One μ for all states.
    Only(f64),
    /// μ, wet, of a layer inside of the main insulation.
    Wet(f64),
    /// μ, dry, of the main insulation or of a layer outside of it.
    Dry(f64),
    /// No vapour passes; this μ counts.
    Tight(f64),
}

impl Origin {
    /// μ, where the layer has one.
    pub fn factor(self) -> Option<f64> {
        match self {
            Self::Stated | Self::Air => None,
            Self::Only(factor) | Self::Wet(factor) | Self::Dry(factor) | Self::Tight(factor) => Some(factor),
        }
    }
}

#[derive(Clone, Copy)]
struct Corner {
    vapour: f64,
    pressure: f64,
    interface: Option<usize>,
}

/// How a build-up is seen by heat and vapour, slightly ventilated air layers being closed.
///
/// # Errors
/// The index of a layer whose vapour resistance is not known.
pub fn course(build_up: &BuildUp) -> Result<Course, usize> {
    let well = ventilated(build_up, |ventilation| ventilation == Ventilation::Well);
    up_to(build_up, well)
}

/// The same with outside air in the first slightly ventilated air layer, where there is one that counts.
///
/// # Errors
/// As for [`course`].
pub fn open_course(build_up: &BuildUp) -> Option<Result<Course, usize>> {
    let open = ventilated(build_up, |ventilation| ventilation != Ventilation::None)?;
    let well = ventilated(build_up, |ventilation| ventilation == Ventilation::Well);
    (Some(open) != well && open > 0).then(|| up_to(build_up, Some(open)))
}

/// Index of the first air layer so ventilated.
fn ventilated(build_up: &BuildUp, counts: impl Fn(Ventilation) -> bool) -> Option<usize> {
    build_up.layers.iter().position(|layer| matches!(&layer.body, Body::Air(air) if counts(air.ventilation)))
}

/// The layers inside of the one that has outside air, or all.
fn up_to(build_up: &BuildUp, open: Option<usize>) -> Result<Course, usize> {
    let layers = &build_up.layers[..open.unwrap_or(build_up.layers.len())];
    let [inside, beside_outdoor_air] = build_up.surfaces;
    // Behind a ventilated layer the air is at rest (ISO 6946:2017, 6.9.4).
    let outside = if open.is_some() { inside } else { beside_outdoor_air };
    let heat = |index: usize| layers[index].body_resistance(build_up.heat_flow);
    let main = (0..layers.len()).max_by(|a, b| heat(*a).total_cmp(&heat(*b))).unwrap_or(0);
    let mut of_layers = Vec::new();
    let mut origins = Vec::new();
    for (index, layer) in layers.iter().enumerate() {
        let (origin, of_layer) = match &layer.body {
            Body::Air(_) => (Origin::Air, AIR_LAYER),
            Body::Solid(material) => {
                let [dry, wet] = material.vapour_resistance.ok_or(index)?;
                let origin = match if index < main { wet } else { dry } {
                    factor if factor.is_infinite() => Origin::Tight(TIGHT),
                    factor if dry == wet => Origin::Only(factor),
                    factor if index < main => Origin::Wet(factor),
                    factor => Origin::Dry(factor),
                };
                (origin, origin.factor().unwrap_or(TIGHT) * layer.thickness)
            }
            Body::Resistance { vapour_thickness, .. } => (Origin::Stated, vapour_thickness.ok_or(index)?),
        };
        origins.push(origin);
        of_layers.push(of_layer);
    }
    let mut interfaces = Vec::new();
    let (mut resistance, mut vapour) = (inside, 0.0);
    for (index, of_layer) in of_layers.iter().enumerate() {
        let parts = (heat(index) / LARGEST_PART).ceil().max(1.0) as usize;
        for part in 1..=parts {
            resistance += heat(index) / parts as f64;
            vapour += of_layer / parts as f64;
            if part < parts || index + 1 < layers.len() {
                interfaces.push(Interface {
                    layer: index,
                    part: part as f64 / parts as f64,
                    resistance,
                    vapour,
                });
            }
        }
    }
    let surfaces = [inside, outside];
    Ok(Course { interfaces, resistance: resistance + outside, surfaces, vapour, of_layers, origins })
}

impl Course {
    /// Temperature, °C, behind a thermal resistance (m²K/W) from the room, between air of two temperatures.
    fn temperature(&self, [inside, outside]: [f64; 2], resistance: f64) -> f64 {
        inside - (inside - outside) * resistance / self.resistance
    }

    /// Temperatures from the inner surface over all interfaces to the outer surface, °C, between air of two
    /// temperatures.
    pub fn temperatures(&self, air: [f64; 2]) -> Vec<f64> {
        let [inside, outside] = self.surfaces;
        let inner = self.interfaces.iter().map(|interface| interface.resistance);
        let all = [inside].into_iter().chain(inner).chain([self.resistance - outside]);
        all.map(|resistance| self.temperature(air, resistance)).collect()
    }

    /// Saturation pressures at the interfaces between air of two temperatures (°C), Pa.
    pub fn saturation(&self, air: [f64; 2]) -> Vec<f64> {
        let at = |interface: &Interface| saturation_pressure(self.temperature(air, interface.resistance));
        self.interfaces.iter().map(at).collect()
    }

    /// The corners of the course of vapour pressure below these saturation pressures at the interfaces: s_d,
    /// pressure and, between the surfaces, the interface.
    fn corners(&self, saturated: &[f64], pressures: [f64; 2], wet: &[bool]) -> Vec<Corner> {
        let corner =
            |vapour: f64, pressure: f64, interface: Option<usize>| Corner { vapour, pressure, interface };
        let mut corners = vec![corner(0.0, pressures[0], None)];
        // Corners up to this one stay: wet interfaces are at saturation in any case.
        let mut fixed = 0;
        let between = self.interfaces.iter().zip(saturated).enumerate();
        let between =
            between.map(|(index, (interface, pressure))| corner(interface.vapour, *pressure, Some(index)));
        for point in between.chain([corner(self.vapour, pressures[1], None)]) {
            while corners.len() - 1 > fixed {
                let (before, last) = (corners[corners.len() - 2], corners[corners.len() - 1]);
                // `last` lies above the line from `before` to the new point, or on it: no contact there.
                let is_above = (last.pressure - before.pressure) * (point.vapour - before.vapour)
                    >= (point.pressure - before.pressure) * (last.vapour - before.vapour);
                if !is_above {
                    break;
                }
                corners.pop();
            }
            corners.push(point);
            if point.interface.is_some_and(|index| wet[index]) {
                fixed = corners.len() - 1;
            }
        }
        corners
    }

    /// Condensation, kg/(m²·s), at each interface, between given air temperatures (°C) and vapour pressures
    /// (Pa); `wet` ones hold condensate.
    pub fn condensation(&self, temperatures: [f64; 2], pressures: [f64; 2], wet: &[bool]) -> Vec<f64> {
        self.rates(&self.saturation(temperatures), pressures, wet)
    }

    /// The same from the saturation pressures at the interfaces, Pa.
    pub(super) fn rates(&self, saturated: &[f64], pressures: [f64; 2], wet: &[bool]) -> Vec<f64> {
        let mut condensation = vec![0.0; self.interfaces.len()];
        for triple in self.corners(saturated, pressures, wet).windows(3) {
            let [before, at, after] = triple else { continue };
            let Some(index) = at.interface else { continue };
            let slope = |a: &Corner, b: &Corner| (a.pressure - b.pressure) / (b.vapour - a.vapour).max(1e-12);
            condensation[index] = AIR_PERMEABILITY * (slope(before, at) - slope(at, after));
        }
        condensation
    }

    /// Vapour pressure at each interface, Pa; `wet` as for [`Self::condensation`].
    pub fn pressures(&self, temperatures: [f64; 2], pressures: [f64; 2], wet: &[bool]) -> Vec<f64> {
        let corners = self.corners(&self.saturation(temperatures), pressures, wet);
        let at = |interface: &Interface| {
            let next = corners
                .partition_point(|corner| corner.vapour < interface.vapour)
                .clamp(1, corners.len() - 1);
            let (a, b) = (corners[next - 1], corners[next]);
            let part = ((interface.vapour - a.vapour) / (b.vapour - a.vapour).max(1e-12)).clamp(0.0, 1.0);
            a.pressure + (b.pressure - a.pressure) * part
        };
        self.interfaces.iter().map(at).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::build_up::Layer;
    use crate::material::Material;
    use crate::standard::HeatFlow;

    fn wall(layers: &[(f64, f64, f64)], inside: f64) -> BuildUp {
        let place = crate::text::Place { file: 0, start: 0, end: 0 };
        let layer = |(millimetres, conductivity, vapour): &(f64, f64, f64)| Layer {
            label: String::new(),
            thickness: millimetres * 1e-3,
            body: Body::Solid(Material {
                vapour_resistance: Some([*vapour; 2]),
                ..Material::homogeneous("m", *conductivity)
            }),
            bridge: None,
            fixings: None,
            air_gaps: 0,
            rain: None,
            place,
        };
        BuildUp {
            name: String::new(),
            title: String::new(),
            heat_flow: HeatFlow::Horizontal,
            surfaces: [inside, 0.04],
            layers: layers.iter().map(layer).collect(),
            place,
        }
    }

    const TIMBER_WALL: [(f64, f64, f64); 3] = [(12.5, 0.25, 4.0), (100.0, 0.035, 1.0), (18.0, 0.13, 50.0)];

    /// Independent calculation from the standard's formulas: plasterboard, wool and board between 20 °C, 50 %
    /// and −5 °C, 80 %. Temperatures at the surfaces and interfaces; condensation at the board's inner face;
    /// 7.23 kg/m² in 90 days.
    #[test]
    fn winter_condensation_matches_an_independent_calculation() {
        let course = course(&wall(&TIMBER_WALL, 0.25)).unwrap();
        let temperatures = course.temperatures([20.0, -5.0]);
        let boundary = |layer: usize| {
            course.interfaces.iter().position(|at| at.is_boundary() && at.layer == layer).unwrap()
        };
        let shown = [
            temperatures[0],
            temperatures[1 + boundary(0)],
            temperatures[1 + boundary(1)],
            *temperatures.last().unwrap(),
        ];
        for (computed, printed) in shown.into_iter().zip([18.13, 17.75, -3.66, -4.70]) {
            assert!((computed - printed).abs() < 0.006, "{computed} for {printed}");
        }
        let pressures = [0.5 * saturation_pressure(20.0), 0.8 * saturation_pressure(-5.0)];
        let rates = course.condensation([20.0, -5.0], pressures, &vec![false; course.interfaces.len()]);
        let expected = 9.585e-7 - 2.86e-8;
        for (index, rate) in rates.iter().enumerate() {
            let here = if index == boundary(1) { expected } else { 0.0 };
            assert!((rate - here).abs() < 3e-10, "interface {index}: {rate} for {here}");
        }
        assert!((rates[boundary(1)] * 90.0 * 86_400.0 - 7.23).abs() < 0.005);
    }

    #[test]
    fn a_layer_without_vapour_resistance_is_named() {
        let mut wall = wall(&TIMBER_WALL, 0.13);
        wall.layers[1].body = Body::Resistance { resistance: 1.0, vapour_thickness: None };
        assert_eq!(course(&wall), Err(1));
    }
}
