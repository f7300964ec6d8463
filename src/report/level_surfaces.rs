//! Which way heat flows through level surfaces, and how that was told.

use std::collections::HashMap;

use super::diagnostics::printable;
use super::document::cavities::LevelSurface;
use crate::plan::level::Told;

/// Surfaces of which so many follow each other and are alike are one that curves: a circle's polygon has 48 sides.
const CURVE: usize = 4;

/// A line for each surface of which somebody might doubt the direction: none where that was certain
/// beforehand. One that curves has one line.
pub fn lines(surfaces: &[LevelSurface]) -> Vec<String> {
    let doubtful: Vec<&LevelSurface> =
        surfaces.iter().filter(|surface| surface.told != Told::Certain).collect();
    let mut lines = Vec::new();
    for chain in chains(&doubtful) {
        if chain.len() < CURVE {
            lines.extend(chain.iter().map(|surface| line(surface, &span(surface), surface.net_flow)));
        } else {
            let flow = chain.iter().map(|surface| surface.net_flow).sum();
            lines.push(line(chain[0], &reach(&chain), flow));
        }
    }
    lines
}

fn line(surface: &LevelSurface, place: &str, net_flow: f64) -> String {
    let word = surface.heat_flow.word();
    let told = match surface.told {
        Told::Stated => format!("{word} (stated in the case)"),
        Told::Certain | Told::Solution => {
            format!("{word} (told from the solution, {:.3} W/m)", net_flow.abs())
        }
        Told::Open | Told::Undecided => format!("undecided, so taken as {word}"),
    };
    format!(
        "Heat flow at the {} of {}, {place}: {told}, R = {} m²K/W",
        surface.surface,
        printable(&surface.environment),
        surface.resistance
    )
}

/// Where one surface lies.
fn span(surface: &LevelSurface) -> String {
    let to = surface.y_right.map_or_else(String::new, |right| format!(" to {right}"));
    let [left, right] = surface.x;
    format!("y = {}{to}, x = {left} to {right} mm", surface.y)
}

/// Where several lie.
fn reach(chain: &[&LevelSurface]) -> String {
    let ends: Vec<[f64; 2]> = chain.iter().flat_map(|surface| ends(surface)).collect();
    let side = |axis: usize| {
        let values = || ends.iter().map(|end| end[axis]);
        (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
    };
    let ((left, right), (low, high)) = (side(0), side(1));
    format!("{} sides within y = {low} to {high}, x = {left} to {right} mm", chain.len())
}

/// Its left and its right end, mm.
fn ends(surface: &LevelSurface) -> [[f64; 2]; 2] {
    let [left, right] = surface.x;
    [[left, surface.y], [right, surface.y_right.unwrap_or(surface.y)]]
}

/// The surfaces in their order, those together that are alike and joined end to end.
fn chains<'s>(surfaces: &[&'s LevelSurface]) -> Vec<Vec<&'s LevelSurface>> {
    let place = |end: [f64; 2]| end.map(f64::to_bits);
    let mut at: HashMap<[u64; 2], Vec<usize>> = HashMap::new();
    for (number, surface) in surfaces.iter().enumerate() {
        for end in ends(surface) {
            at.entry(place(end)).or_default().push(number);
        }
    }
    let are_alike = |one: &LevelSurface, other: &LevelSurface| {
        one.environment == other.environment
            && (one.surface, one.heat_flow, one.told) == (other.surface, other.heat_flow, other.told)
    };
    let mut is_taken = vec![false; surfaces.len()];
    let mut chains = Vec::new();
    for first in 0..surfaces.len() {
        if std::mem::replace(&mut is_taken[first], true) {
            continue;
        }
        let (mut chain, mut open) = (Vec::new(), vec![first]);
        while let Some(number) = open.pop() {
            chain.push(surfaces[number]);
            for other in ends(surfaces[number]).iter().filter_map(|end| at.get(&place(*end))).flatten() {
                if !is_taken[*other] && are_alike(surfaces[number], surfaces[*other]) {
                    is_taken[*other] = true;
                    open.push(*other);
                }
            }
        }
        chains.push(chain);
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standard::HeatFlow;

    fn surface(x: [f64; 2], y: [f64; 2], heat_flow: HeatFlow) -> LevelSurface {
        LevelSurface {
            environment: "duct".to_owned(),
            surface: "floor",
            y: y[0],
            y_right: (y[0] != y[1]).then_some(y[1]),
            x,
            heat_flow,
            told: Told::Solution,
            resistance: heat_flow.internal_resistance(),
            net_flow: 0.25,
        }
    }

    #[test]
    fn a_curve_has_one_line_and_what_has_few_sides_one_for_each() {
        let height = |corner: f64| (corner - 2.0) * (corner - 2.0);
        let side = |corner: f64| {
            surface([corner, corner + 1.0], [height(corner), height(corner + 1.0)], HeatFlow::Up)
        };
        let curve: Vec<LevelSurface> = [2.0, 1.0, 3.0, 0.0].map(side).into();
        assert_eq!(
            lines(&curve),
            [
                "Heat flow at the floor of duct, 4 sides within y = 0 to 4, x = 0 to 4 mm: up (told from the solution, 1.000 W/m), R = 0.1 m²K/W"
            ]
        );
        assert_eq!(lines(&curve[..3]).len(), 3);
        let mut other = curve;
        other[0] = surface([2.0, 3.0], [0.0, 1.0], HeatFlow::Down);
        assert_eq!(lines(&other).len(), 4, "what differs parts them");
        other.push(surface([20.0, 30.0], [5.0, 5.0], HeatFlow::Up));
        assert!(lines(&other).iter().any(|line| line.contains("duct, y = 5, x = 20 to 30 mm: up")));
    }
}
