//! Floors on and above the ground, and heated basements (ISO 13370:2017).
//!
//! ```text
//! B   = A/(P/2)                                   characteristic dimension
//! d_t = w + λ·(Rsi + R_f + Rse)                   total equivalent thickness of the floor
//!
//! slab      U = 2λ/(π·B + d_t)·ln(π·B/d_t + 1)    d_t < B        U = λ/(0.457·B + d_t)   otherwise
//! edge      ψ = −(λ/π)·(ln(D/d_t + 1) − ln(D/(d_t + d') + 1))    d' = λ·(R_n − d_n/λ); D twice the depth of a vertical board
//!           U = U_slab + 2·ψ/B
//! suspended 1/U = 1/U_f + 1/(U_g + U_x)           U_g: slab formula with the resistance on the ground
//!           U_x = 2·h·U_w/B + 1450·ε·v·f_w/B
//! basement  floor as a slab with d_t + z/2 for d_t;  d_w = λ·(Rsi + R_w + Rse)
//!           U_w = 2λ/(π·z)·(1 + (d_t/2)/(d_t + z))·ln(z/d_w + 1)      d_t no larger than d_w
//! ```
//!
//! w wall thickness, λ of the ground, R_f of the floor, z depth below ground, h height above ground, ε area
//! of openings per metre of perimeter, v wind speed at 10 m, f_w wind shielding factor. The formulas are from
//! memory of the standard; tests check them against published tables.

use std::f64::consts::PI;

use crate::standard::{EXTERNAL_RESISTANCE, HeatFlow};

/// Surface resistance of a floor on its warm side, m²K/W.
const FLOOR_SURFACE: f64 = HeatFlow::Down.internal_resistance();
/// Surface resistance of a basement wall on its warm side, m²K/W.
const WALL_SURFACE: f64 = HeatFlow::Horizontal.internal_resistance();

/// A floor over the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// B, m.
    pub characteristic_dimension: f64,
    /// Full thickness of the external walls, m.
    pub wall_thickness: f64,
    /// Thermal conductivity of the ground, W/(m·K).
    pub ground_conductivity: f64,
    /// Thermal resistance of the floor between its surfaces, m²K/W.
    pub floor_resistance: f64,
    /// How it lies.
    pub kind: FloorKind,
}

/// How a floor lies on the ground.
#[derive(Clone, Debug, PartialEq)]
pub enum FloorKind {
    /// On the ground over its whole area.
    Slab {
        /// Insulation along its edge.
        edge: Option<Edge>,
    },
    /// Over a naturally ventilated space.
    Suspended(Suspended),
    /// The floor and walls of a heated basement.
    Basement {
        /// Depth of the floor below the ground, m.
        depth: f64,
        /// Thermal resistance of the basement walls between their surfaces, m²K/W.
        wall_resistance: f64,
    },
}

/// Insulation along the edge of a slab.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// True for a board standing in the ground, false for one lying at the floor's edge.
    pub is_vertical: bool,
    /// Its width (lying) or depth (standing), m.
    pub reach: f64,
    /// m.
    pub thickness: f64,
    /// Thermal resistance, m²K/W.
    pub resistance: f64,
}

/// The space under a suspended floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspended {
    /// Height of the floor's surface above the ground outside, m.
    pub height: f64,
    /// Thermal transmittance of the walls of the space above ground, W/(m²K).
    pub wall_u_value: f64,
    /// Area of ventilation openings per perimeter length, m²/m.
    pub openings: f64,
    /// Mean wind speed at 10 m height, m/s.
    pub wind_speed: f64,
    /// Wind shielding factor: 0.02 sheltered, 0.05 average, 0.10 exposed.
    pub shielding: f64,
    /// Thermal resistance of insulation on the ground of the space, m²K/W.
    pub ground_resistance: f64,
}

/// The result, with its intermediate values.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundU {
    /// d_t (for a suspended floor that of the ground under it), m.
    pub equivalent_thickness: f64,
    /// Further values by their name, in the order of the calculation.
    pub steps: Vec<(&'static str, f64)>,
    /// U of the floor, W/(m²K).
    pub u_value: f64,
    /// U of the basement walls, W/(m²K).
    pub wall_u_value: Option<f64>,
}

/// The slab formula for an equivalent thickness.
fn slab(ground: f64, dimension: f64, thickness: f64) -> f64 {
    if thickness < dimension {
        2.0 * ground / (PI * dimension + thickness) * libm::log(PI * dimension / thickness + 1.0)
    } else {
        ground / (0.457 * dimension + thickness)
    }
}

/// The thermal transmittance of a floor over the ground.
pub fn u_value(floor: &Floor) -> GroundU {
    let (ground, dimension) = (floor.ground_conductivity, floor.characteristic_dimension);
    let equivalent = |resistance: f64| equivalent_thickness(floor, resistance);
    match &floor.kind {
        FloorKind::Slab { edge } => {
            let thickness = equivalent(floor.floor_resistance);
            let plain = slab(ground, dimension, thickness);
            let Some(edge) = edge else {
                return GroundU {
                    equivalent_thickness: thickness,
                    steps: Vec::new(),
                    u_value: plain,
                    wall_u_value: None,
                };
            };
            let psi = edge_transmittance(ground, thickness, edge);
            GroundU {
                equivalent_thickness: thickness,
                steps: vec![
                    ("U without edge insulation, W/(m²K)", plain),
                    ("ψ of the edge insulation, W/(m·K)", psi),
                ],
                u_value: plain + 2.0 * psi / dimension,
                wall_u_value: None,
            }
        }
        FloorKind::Suspended(space) => {
            let thickness = equivalent(space.ground_resistance);
            let floor_u = 1.0 / (2.0 * FLOOR_SURFACE + floor.floor_resistance);
            let ground_u = slab(ground, dimension, thickness);
            let walls = 2.0 * space.height * space.wall_u_value / dimension;
            let air = 1450.0 * space.openings * space.wind_speed * space.shielding / dimension;
            GroundU {
                equivalent_thickness: thickness,
                steps: vec![
                    ("U of the floor above the space, W/(m²K)", floor_u),
                    ("U of the ground under it, W/(m²K)", ground_u),
                    ("U of its walls and ventilation, W/(m²K)", walls + air),
                ],
                u_value: 1.0 / (1.0 / floor_u + 1.0 / (ground_u + walls + air)),
                wall_u_value: None,
            }
        }
        FloorKind::Basement { depth, wall_resistance } => {
            let thickness = equivalent(floor.floor_resistance);
            let wall_thickness = ground * (WALL_SURFACE + wall_resistance + EXTERNAL_RESISTANCE);
            let least = thickness.min(wall_thickness);
            let wall = 2.0 * ground / (PI * depth)
                * (1.0 + 0.5 * least / (least + depth))
                * libm::log(depth / wall_thickness + 1.0);
            GroundU {
                equivalent_thickness: thickness,
                steps: vec![("equivalent thickness of the basement walls, m", wall_thickness)],
                u_value: slab(ground, dimension, thickness + 0.5 * depth),
                wall_u_value: Some(wall),
            }
        }
    }
}

/// Edge insulation thicker than this (m) is no board.
const THICKEST_EDGE: f64 = 0.5;

/// Why the formula for edge insulation gives no U-value for a floor; `None` where it does or there is no such
/// insulation. Its derivation takes the floor as wide beside the board: a lying board covers half the floor's
/// width B at most, and a standing one counts as a lying one of twice its depth. U must be no larger than
/// without the board and no smaller than with such a board under the whole floor.
pub fn no_edge_value(floor: &Floor) -> Option<String> {
    let FloorKind::Slab { edge: Some(edge) } = &floor.kind else { return None };
    let (ground, dimension) = (floor.ground_conductivity, floor.characteristic_dimension);
    let millimetres = |metres: f64| (metres * 1e3).round();
    let farthest = 0.5 * dimension;
    if edge.reach > farthest {
        return Some(format!(
            "it reaches {} mm, and the formula of ISO 13370 holds to half the characteristic dimension, {} mm",
            millimetres(edge.reach),
            millimetres(farthest)
        ));
    }
    let thickest = THICKEST_EDGE.min(edge.reach);
    if edge.thickness > thickest {
        return Some(format!(
            "it is {} mm thick; at most {} mm can be",
            millimetres(edge.thickness),
            millimetres(thickest)
        ));
    }
    let replaced = edge.thickness / ground;
    if edge.resistance <= replaced {
        return Some(format!(
            "its resistance of {:.3} m²K/W is no more than the {replaced:.3} m²K/W of the ground in its place",
            edge.resistance
        ));
    }
    let thickness = equivalent_thickness(floor, floor.floor_resistance);
    let [plain, full] = [0.0, ground * edge.resistance - edge.thickness]
        .map(|more| slab(ground, dimension, thickness + more));
    let u = u_value(floor).u_value;
    (!(full..=plain).contains(&u)).then(|| {
        format!("the formula of ISO 13370 gives U {u:.3} W/(m²K), and it must lie between {full:.3} (a board under the whole floor) and {plain:.3} (none)")
    })
}

/// d_t for a resistance of the floor, m.
fn equivalent_thickness(floor: &Floor, resistance: f64) -> f64 {
    floor.wall_thickness + floor.ground_conductivity * (FLOOR_SURFACE + resistance + EXTERNAL_RESISTANCE)
}

/// ψ of edge insulation, W/(m·K): negative, since it saves heat.
fn edge_transmittance(ground: f64, thickness: f64, edge: &Edge) -> f64 {
    let additional = ground * (edge.resistance - edge.thickness / ground);
    let reach = if edge.is_vertical { 2.0 * edge.reach } else { edge.reach };
    -ground / PI * (libm::log(reach / thickness + 1.0) - libm::log(reach / (thickness + additional) + 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn floor(area: f64, perimeter: f64, ground: f64, resistance: f64, kind: FloorKind) -> Floor {
        Floor {
            characteristic_dimension: 2.0 * area / perimeter,
            wall_thickness: 0.3,
            ground_conductivity: ground,
            floor_resistance: resistance,
            kind,
        }
    }

    const BARE: FloorKind = FloorKind::Slab { edge: None };

    /// Approved Document L1 (2002), Table C1: P/A against R_f, from memory of the table; printed to two
    /// figures there.
    #[test]
    fn slabs_match_the_table_of_approved_document_l1() {
        let table = [
            (0.10, [0.219, 0.180, 0.158, 0.143, 0.131, 0.122]),
            (0.30, [0.495, 0.376, 0.311, 0.267, 0.234, 0.208]),
            (0.50, [0.698, 0.500, 0.396, 0.327, 0.278, 0.242]),
            (0.70, [0.859, 0.587, 0.448, 0.360, 0.305, 0.265]),
            (1.00, [1.051, 0.676, 0.495, 0.397, 0.331, 0.284]),
        ];
        for (ratio, row) in table {
            for (half, printed) in row.into_iter().enumerate() {
                let u = u_value(&floor(1.0, ratio, 1.5, 0.5 * half as f64, BARE)).u_value;
                assert!(
                    (u - printed).abs() < 6e-4,
                    "P/A {ratio}, R {}: {u} for {printed}",
                    0.5 * half as f64
                );
            }
        }
    }

    /// Worked house as published: 58.89 m² and 33.8 m exposed, bare slab on clay. The publication reads U
    /// 0.74 off the table's row P/A 0.55; the formula at the true ratio of 0.574 gives more.
    #[test]
    fn the_published_house_lies_on_its_row_of_the_table() {
        let row = u_value(&floor(1.0, 0.55, 1.5, 0.0, BARE)).u_value;
        assert!((row - 0.74).abs() < 5e-3, "{row}");
        let house = u_value(&floor(58.89, 33.8, 1.5, 0.0, BARE)).u_value;
        assert!((house - 0.761).abs() < 6e-4, "{house}");
    }

    /// Independent calculation from the standard's formulas: 10 m × 10 m, λ 2, w 0.3.
    #[test]
    fn edge_insulation_matches_an_independent_calculation() {
        let board = |is_vertical, reach| {
            let edge = Edge { is_vertical, reach, thickness: 0.05, resistance: 0.05 / 0.035 };
            u_value(&floor(100.0, 40.0, 2.0, 0.0, FloorKind::Slab { edge: Some(edge) }))
        };
        let plain = u_value(&floor(100.0, 40.0, 2.0, 0.0, BARE));
        assert!((plain.u_value - 0.7615).abs() < 6e-5);
        assert!((u_value(&floor(100.0, 40.0, 2.0, 2.5, BARE)).u_value - 0.2498).abs() < 6e-5);
        for (edged, psi, u) in [(board(false, 1.0), -0.3955, 0.6033), (board(true, 0.6), -0.4380, 0.5863)] {
            assert!((edged.steps[1].1 - psi).abs() < 6e-5 && (edged.u_value - u).abs() < 6e-5, "{edged:?}");
        }
    }

    const SPACE: Suspended = Suspended {
        height: 0.3,
        wall_u_value: 1.5,
        openings: 0.003,
        wind_speed: 5.0,
        shielding: 0.05,
        ground_resistance: 0.0,
    };

    /// Independent calculation: A 50 m², P 30 m, λ 1.5; the steps are U_g and U_x.
    #[test]
    fn suspended_floor_matches_an_independent_calculation() {
        let result = u_value(&floor(50.0, 30.0, 1.5, 2.5, FloorKind::Suspended(SPACE)));
        assert!(
            (result.steps[1].1 - 0.7825).abs() < 6e-5 && (result.steps[2].1 - 0.5963).abs() < 6e-5,
            "{result:?}"
        );
        assert!((1.0 / result.u_value - (0.34 + 2.5) - 1.0 / (0.7825 + 0.5963)).abs() < 1e-4);
    }

    /// The same floor with insulation of 1 m²K/W on the ground of the space: U_g and U by an independent
    /// calculation.
    #[test]
    fn insulation_on_the_ground_under_a_suspended_floor_counts() {
        let space = Suspended { ground_resistance: 1.0, ..SPACE };
        let result = u_value(&floor(50.0, 30.0, 1.5, 2.5, FloorKind::Suspended(space)));
        assert!(
            (result.steps[1].1 - 0.4251).abs() < 6e-5 && (result.u_value - 0.261_84).abs() < 6e-6,
            "{result:?}"
        );
    }

    /// Walls and floor of the same basement insulated, each alone and both (m²K/W): U_bw and U_bf by an
    /// independent calculation. Where the walls are thicker than the floor, in equivalent thickness, the
    /// floor's counts beside the ground.
    #[test]
    fn insulated_basements_match_an_independent_calculation() {
        for (floor_resistance, wall_resistance, wall, of_floor) in
            [(0.0, 2.0, 0.2576, 0.4965), (2.0, 2.0, 0.3052, 0.2423)]
        {
            let kind = FloorKind::Basement { depth: 2.5, wall_resistance };
            let result = u_value(&floor(100.0, 40.0, 2.0, floor_resistance, kind));
            assert!((result.u_value - of_floor).abs() < 6e-5, "{result:?}");
            assert!((result.wall_u_value.unwrap_or_default() - wall).abs() < 6e-5, "{result:?}");
        }
    }

    /// Independent calculation: A 100 m², P 40 m, z 2.5 m, λ 2, nothing insulated.
    #[test]
    fn basement_matches_an_independent_calculation() {
        let result =
            u_value(&floor(100.0, 40.0, 2.0, 0.0, FloorKind::Basement { depth: 2.5, wall_resistance: 0.0 }));
        assert!((result.u_value - 0.4965).abs() < 6e-5, "{result:?}");
        assert!((result.wall_u_value.unwrap_or_default() - 1.1457).abs() < 6e-5, "{result:?}");
    }
}
