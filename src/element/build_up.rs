//! What a plane element is made of, from inside to outside.

use super::air_layer::AirLayer;
use crate::material::Material;
use crate::standard::HeatFlow;
use crate::text::Place;

/// A plane element.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildUp {
    /// Its name in the file.
    pub name: String,
    /// One line for headings.
    pub title: String,
    /// Direction of heat flow.
    pub heat_flow: HeatFlow,
    /// Surface resistances inside and outside, m²K/W.
    pub surfaces: [f64; 2],
    /// From inside to outside.
    pub layers: Vec<Layer>,
    /// Where it is written.
    pub place: Place,
}

/// A layer, homogeneous or bridged.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// The name shown to readers.
    pub label: String,
    /// m; 0 for a membrane or a layer given by its resistance alone.
    pub thickness: f64,
    /// What most of it is.
    pub body: Body,
    /// What interrupts it.
    pub bridge: Option<Bridge>,
    /// Metal parts that pass through it.
    pub fixings: Option<Fixings>,
    /// Gaps between and behind insulation boards: level 0, 1 or 2 of ISO 6946:2017, F.2.
    pub air_gaps: u8,
    /// Rain that flows between inverted-roof insulation and the waterproofing, mm/day in the heating season.
    pub rain: Option<Rain>,
    /// Where it is written.
    pub place: Place,
}

/// What a layer consists of, bridges apart.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A material.
    Solid(Material),
    /// Air.
    Air(AirLayer),
    /// Something known by its thermal resistance alone, m²K/W; with its diffusion-equivalent air layer
    /// thickness s_d in m, where known.
    Resistance {
        /// m²K/W.
        resistance: f64,
        /// m.
        vapour_thickness: Option<f64>,
    },
}

/// A second material that takes part of a layer's area through its whole thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct Bridge {
    /// What it is made of.
    pub material: Material,
    /// Where it lies.
    pub pattern: Pattern,
}

/// How a bridge repeats over the area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pattern {
    /// A share of the area, 0 to 1, in no particular place.
    Fraction(f64),
    /// Bars of one direction.
    Bars {
        /// m.
        width: f64,
        /// From one bar to the next, centre to centre, m.
        spacing: f64,
    },
    /// Joints round blocks.
    Joints {
        /// Length and height of a block, m.
        block: [f64; 2],
        /// Width of the bed joint and the perpendicular joint, m; 0 where there is none.
        joints: [f64; 2],
    },
}

impl Pattern {
    /// The bridge's share of the area, 0 to 1.
    pub fn fraction(&self) -> f64 {
        match self {
            Self::Fraction(fraction) => *fraction,
            Self::Bars { width, spacing } => width / spacing,
            Self::Joints { block: [length, height], joints: [bed, perpendicular] } => {
                1.0 - length * height / ((length + perpendicular) * (height + bed))
            }
        }
    }
}

/// Metal fasteners through a layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixings {
    /// Per m² of element.
    pub number: f64,
    /// What each conducts.
    pub each: Fixing,
}

/// How a fastener is described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fixing {
    /// By its dimensions.
    Rod {
        /// W/(m·K).
        conductivity: f64,
        /// m².
        cross_section: f64,
        /// The length that passes through the layer, m; shorter than the layer where it is recessed.
        length: f64,
    },
    /// By its point thermal transmittance χ, W/K, as its approval declares.
    Point(f64),
}

/// Rainwater under inverted-roof insulation (ISO 6946:2017, F.4).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rain {
    /// Mean precipitation in the heating season, mm/day.
    pub precipitation: f64,
    /// Drainage factor f times the factor x of increased heat loss, W·day/(m²·K·mm).
    pub drainage: f64,
}

impl Layer {
    /// Thermal resistance of the layer where it is not bridged, m²K/W.
    pub fn body_resistance(&self, heat_flow: HeatFlow) -> f64 {
        match &self.body {
            Body::Solid(material) => self.thickness / material.conductivity_x,
            Body::Air(air) => {
                // Bars bound the airspace; how wide it is beside bridges that are only a share of the area is
                // not known, and taking it as wide is the careful choice.
                let width = match self.bridge.as_ref().map(|bridge| bridge.pattern) {
                    Some(Pattern::Bars { width, spacing }) => spacing - width,
                    _ => f64::INFINITY,
                };
                air.resistance(self.thickness, width, heat_flow)
            }
            Body::Resistance { resistance, .. } => *resistance,
        }
    }

    /// Thermal resistance of the bridge through the layer, m²K/W.
    pub fn bridge_resistance(&self) -> Option<f64> {
        self.bridge.as_ref().map(|bridge| self.thickness / bridge.material.conductivity_x)
    }

    /// Shares of the area and their resistances: the body first, then the bridge.
    pub fn paths(&self, heat_flow: HeatFlow) -> Vec<(f64, f64)> {
        let body = self.body_resistance(heat_flow);
        match (&self.bridge, self.bridge_resistance()) {
            (Some(bridge), Some(resistance)) => {
                let fraction = bridge.pattern.fraction();
                vec![(1.0 - fraction, body), (fraction, resistance)]
            }
            _ => vec![(1.0, body)],
        }
    }

    /// Thermal resistance of the layer if its faces were isothermal, m²K/W.
    pub fn mean_resistance(&self, heat_flow: HeatFlow) -> f64 {
        match self.paths(heat_flow).as_slice() {
            [(_, resistance)] => *resistance,
            paths => 1.0 / paths.iter().map(|(fraction, resistance)| fraction / resistance).sum::<f64>(),
        }
    }
}
