//! Interstitial condensation month by month (ISO 13788:2012, clause 6).
//!
//! Temperatures fall along the resistances, vapour pressure along the diffusion-equivalent air layer thickness s_d = μ·d. Where the
//! straight line would exceed saturation, vapour condenses: the pressure then follows the tightest line below the saturation
//! pressures, the lower convex hull of (0, p_i), (s_d, p_sat) at every interface, and (s_d total, p_e). With g = δ0·Δp/Δs_d before and after,
//!
//! ```text
//! condensation at an interface = δ0·[ (p_before − p)/Δs_before − (p − p_after)/Δs_after ]      δ0 = 2·10⁻¹⁰ kg/(m·s·Pa)
//! ```
//!
//! An interface that holds condensate keeps its saturation pressure, and dries where this is negative. Layers with more than
//! 0.25 m²K/W are divided. The count starts in a month with condensation that follows one without.
//!
//! μ is the wet (lower) value inside of the layer that insulates most and the dry (higher) one from there outwards, which lets most
//! vapour in and least out. Bridged layers count as where they are not bridged. Constants are from memory of the standard.

use super::build_up::{Body, BuildUp};
use super::resistance;
use crate::climate::humid_air::saturation_pressure;
use crate::climate::{Climate, DAYS, Indoor};

/// Vapour permeability of air, kg/(m·s·Pa).
const AIR_PERMEABILITY: f64 = 2e-10;
/// Layers are divided into parts of at most this resistance, m²K/W.
const LARGEST_PART: f64 = 0.25;
/// s_d of an air layer, m.
const AIR_LAYER: f64 = 0.01;
/// μ above this is as good as infinite.
const TIGHT: f64 = 1e6;
/// Less than this, kg/m², is rounding.
const NOTHING: f64 = 1e-9;

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
}

#[derive(Clone, Copy)]
struct Corner {
    vapour: f64,
    pressure: f64,
    interface: Option<usize>,
}

/// One interface in one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wet {
    /// Index into [`Course::interfaces`].
    pub interface: usize,
    /// Condensation in the month, negative for drying, kg/m².
    pub change: f64,
    /// Held at its end, kg/m².
    pub held: f64,
}

/// A year.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// Index of the month the count starts with; `None` if nothing condenses in any month.
    pub first: Option<usize>,
    /// In calendar order from `first`: what each month does, interfaces that stay dry left out.
    pub months: Vec<(usize, Vec<Wet>)>,
    /// The largest sum held at the end of a month, kg/m².
    pub peak: f64,
    /// What is left after the year, kg/m².
    pub left: f64,
}

/// How a build-up is seen by heat and vapour.
///
/// # Errors
/// The index of a layer whose vapour resistance is not known.
pub fn course(build_up: &BuildUp) -> Result<Course, usize> {
    let total = resistance::total(build_up);
    let layers = &build_up.layers[..total.layers];
    let heat = |index: usize| layers[index].body_resistance(build_up.heat_flow);
    let main = (0..layers.len()).max_by(|a, b| heat(*a).total_cmp(&heat(*b))).unwrap_or(0);
    let mut of_layers = Vec::new();
    for (index, layer) in layers.iter().enumerate() {
        of_layers.push(match &layer.body {
            Body::Air(_) => AIR_LAYER,
            Body::Solid(material) => {
                let [dry, wet] = material.vapour_resistance.ok_or(index)?;
                (if index < main { wet } else { dry }).min(TIGHT) * layer.thickness
            }
            Body::Resistance { vapour_thickness, .. } => vapour_thickness.ok_or(index)?,
        });
    }
    let [inside, outside] = total.surfaces;
    let mut interfaces = Vec::new();
    let (mut resistance, mut vapour) = (inside, 0.0);
    for (index, of_layer) in of_layers.iter().enumerate() {
        let parts = (heat(index) / LARGEST_PART).ceil().max(1.0) as usize;
        for part in 1..=parts {
            resistance += heat(index) / parts as f64;
            vapour += of_layer / parts as f64;
            if part < parts || index + 1 < layers.len() {
                interfaces.push(Interface { layer: index, part: part as f64 / parts as f64, resistance, vapour });
            }
        }
    }
    Ok(Course { interfaces, resistance: resistance + outside, surfaces: total.surfaces, vapour, of_layers })
}

impl Course {
    /// Temperature, °C, behind a thermal resistance (m²K/W) from the room, between air of two temperatures.
    fn temperature(&self, [inside, outside]: [f64; 2], resistance: f64) -> f64 {
        inside - (inside - outside) * resistance / self.resistance
    }

    /// Temperatures from the inner surface over all interfaces to the outer surface, °C, between air of two temperatures.
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

    /// The corners of the course of vapour pressure: s_d, pressure and, between the surfaces, the interface.
    fn corners(&self, temperatures: [f64; 2], pressures: [f64; 2], wet: &[bool]) -> Vec<Corner> {
        let saturated = self.saturation(temperatures);
        let corner = |vapour: f64, pressure: f64, interface: Option<usize>| Corner { vapour, pressure, interface };
        let mut corners = vec![corner(0.0, pressures[0], None)];
        // Corners up to this one stay: wet interfaces are at saturation in any case.
        let mut fixed = 0;
        let between = self.interfaces.iter().zip(saturated).enumerate();
        let between = between.map(|(index, (interface, pressure))| corner(interface.vapour, pressure, Some(index)));
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

    /// Condensation, kg/(m²·s), at each interface, between given air temperatures (°C) and vapour pressures (Pa); `wet` ones hold
    /// condensate.
    pub fn condensation(&self, temperatures: [f64; 2], pressures: [f64; 2], wet: &[bool]) -> Vec<f64> {
        let mut condensation = vec![0.0; self.interfaces.len()];
        for triple in self.corners(temperatures, pressures, wet).windows(3) {
            let [before, at, after] = triple else { continue };
            let Some(index) = at.interface else { continue };
            let slope = |a: &Corner, b: &Corner| (a.pressure - b.pressure) / (b.vapour - a.vapour).max(1e-12);
            condensation[index] = AIR_PERMEABILITY * (slope(before, at) - slope(at, after));
        }
        condensation
    }

    /// Vapour pressure at each interface, Pa; `wet` as for [`Self::condensation`].
    pub fn pressures(&self, temperatures: [f64; 2], pressures: [f64; 2], wet: &[bool]) -> Vec<f64> {
        let corners = self.corners(temperatures, pressures, wet);
        let at = |interface: &Interface| {
            let next = corners.partition_point(|corner| corner.vapour < interface.vapour).clamp(1, corners.len() - 1);
            let (a, b) = (corners[next - 1], corners[next]);
            let part = ((interface.vapour - a.vapour) / (b.vapour - a.vapour).max(1e-12)).clamp(0.0, 1.0);
            a.pressure + (b.pressure - a.pressure) * part
        };
        self.interfaces.iter().map(at).collect()
    }

    /// A year of months with this air inside.
    pub fn year(&self, climate: &Climate, indoor: &Indoor) -> Year {
        let dry = vec![false; self.interfaces.len()];
        let rates = |month: usize, wet: &[bool]| {
            let outdoor = &climate.months[month];
            let pressures = [indoor.pressure(outdoor), outdoor.pressure()];
            self.condensation([indoor.temperature, outdoor.temperature], pressures, wet)
        };
        let is_condensing = |month: usize| rates(month, &dry).iter().any(|rate| *rate > 0.0);
        let condensing: Vec<bool> = (0..12).map(is_condensing).collect();
        // A month with condensation after one without; with condensation all year round any month is as good.
        let first = (0..12).find(|month| condensing[*month] && !condensing[(month + 11) % 12]).or(condensing[0].then_some(0));
        let Some(first) = first else { return Year { first, months: Vec::new(), peak: 0.0, left: 0.0 } };
        let mut held = vec![0.0_f64; self.interfaces.len()];
        let mut months = Vec::new();
        let mut peak = 0.0_f64;
        for month in (first..first + 12).map(|month| month % 12) {
            let before = held.clone();
            self.month(&mut held, DAYS[month] * 86_400.0, &|wet| rates(month, wet));
            let wet = |index: usize| before[index] > NOTHING || held[index] > NOTHING;
            let changes = (0..held.len()).filter(|index| wet(*index));
            months.push((
                month,
                changes.map(|index| Wet { interface: index, change: held[index] - before[index], held: held[index] }).collect(),
            ));
            peak = peak.max(held.iter().sum());
        }
        Year { first: Some(first), months, peak, left: held.iter().sum() }
    }

    /// Lets a month pass over what is held. When an interface falls dry in its course, the rest of the month goes on without it.
    fn month(&self, held: &mut [f64], seconds: f64, rates: &dyn Fn(&[bool]) -> Vec<f64>) {
        let mut left = seconds;
        for _ in 0..=self.interfaces.len() {
            let wet: Vec<bool> = held.iter().map(|held| *held > NOTHING).collect();
            let rates = rates(&wet);
            let until_dry =
                |(held, rate): (&f64, &f64)| if *held > NOTHING && *rate < 0.0 { -held / rate } else { f64::INFINITY };
            let step = held.iter().zip(&rates).map(until_dry).fold(left, f64::min);
            for (held, rate) in held.iter_mut().zip(&rates) {
                *held = (*held + rate * step).max(0.0);
                if *held <= NOTHING {
                    *held = 0.0;
                }
            }
            left -= step;
            if left <= 0.0 {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::build_up::{HeatFlow, Layer};
    use crate::material::Material;

    fn wall(layers: &[(f64, f64, f64)], inside: f64) -> BuildUp {
        let place = crate::case::Place { file: 0, start: 0, end: 0 };
        let layer = |(millimetres, conductivity, vapour): &(f64, f64, f64)| Layer {
            label: String::new(),
            thickness: millimetres * 1e-3,
            body: Body::Solid(Material { vapour_resistance: Some([*vapour; 2]), ..Material::homogeneous("m", *conductivity) }),
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

    /// Independent calculation from the standard's formulas: plasterboard, wool and board between 20 °C, 50 % and −5 °C, 80 %. Temperatures at the
    /// surfaces and interfaces; condensation at the board's inner face; 7.23 kg/m² in 90 days.
    #[test]
    fn winter_condensation_matches_an_independent_calculation() {
        let course = course(&wall(&TIMBER_WALL, 0.25)).unwrap();
        let temperatures = course.temperatures([20.0, -5.0]);
        let boundary = |layer: usize| course.interfaces.iter().position(|at| at.is_boundary() && at.layer == layer).unwrap();
        let shown =
            [temperatures[0], temperatures[1 + boundary(0)], temperatures[1 + boundary(1)], *temperatures.last().unwrap()];
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
    fn a_year_dries_what_winter_left_or_says_what_stays() {
        use crate::climate::{Moisture, Month};
        let temperatures = [-1.0, 0.0, 4.0, 8.0, 13.0, 16.0, 18.0, 17.0, 14.0, 9.0, 4.0, 0.0];
        let months =
            temperatures.map(|temperature| Month { temperature, humidity: if temperature > 10.0 { 0.70 } else { 0.85 } });
        let indoor = Indoor { temperature: 20.0, moisture: Moisture::Humidity(0.5) };
        let climate = Climate { name: String::new(), source: String::new(), months, indoor: Some(indoor) };
        let bare = course(&wall(&TIMBER_WALL, 0.13)).unwrap().year(&climate, &indoor);
        assert!(bare.peak > 1.0 && bare.first.is_some());
        // A vapour control layer of s_d 100 m keeps the wall dry.
        let mut layers = TIMBER_WALL.to_vec();
        layers.insert(1, (0.2, 0.33, 500_000.0));
        assert_eq!(course(&wall(&layers, 0.13)).unwrap().year(&climate, &indoor).first, None);
        // Nothing can leave through metal: what condenses stays, and the sum of the changes is what is held.
        layers = TIMBER_WALL.to_vec();
        layers[2] = (1.0, 50.0, f64::INFINITY);
        let tight = course(&wall(&layers, 0.13)).unwrap();
        let year = tight.year(&climate, &indoor);
        let changes: f64 = year.months.iter().flat_map(|(_, wet)| wet).map(|wet| wet.change).sum();
        assert!((changes - year.left).abs() < 1e-9);
        assert_eq!(year.months.len(), 12);
    }

    #[test]
    fn a_layer_without_vapour_resistance_is_named() {
        let mut wall = wall(&TIMBER_WALL, 0.13);
        wall.layers[1].body = Body::Resistance { resistance: 1.0, vapour_thickness: None };
        assert_eq!(course(&wall), Err(1));
    }
}
