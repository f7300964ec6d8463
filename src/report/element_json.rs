//! Plane elements as JSON: SI units, thicknesses in mm.

use serde_json::{Value, json};

use super::condensate_text;
use crate::case::{NamedFloor, NamedWindow};
use crate::climate::MONTHS;
use crate::element::build_up::{Body, BuildUp, Layer};
use crate::element::condensate::{Ending, Peak, Wet, Wetting, Year};
use crate::element::correction::{self, Cause};
use crate::element::ground::{self, Kind};
use crate::element::limits;
use crate::element::resistance;
use crate::result::pattern::{NoPattern, PatternU};

/// One build-up with every intermediate value.
pub fn build_up(build_up: &BuildUp, pattern: &Result<PatternU, NoPattern>) -> Value {
    let total = resistance::total(build_up);
    let corrected = correction::corrected(build_up, &total);
    let layers: Vec<Value> = build_up.layers.iter().map(|layer| self::layer(build_up, layer)).collect();
    let corrections: Vec<Value> = corrected
        .corrections
        .iter()
        .map(|item| {
            let cause = match item.cause {
                Cause::AirGaps => "air_gaps",
                Cause::Fixings => "fixings",
                Cause::Rain => "rain",
            };
            json!({ "cause": cause, "layer": item.layer + 1, "delta_u": item.value, "least_reading": item.least,
                "u_value_by_least_reading": item.least.map(|least| corrected.with(item.layer, item.cause, least, total.u_value())) })
        })
        .collect();
    json!({
        "name": build_up.name,
        "title": build_up.title,
        "heat_flow": build_up.heat_flow.word(),
        "surface_resistances": { "inside": total.surfaces[0], "outside": total.surfaces[1] },
        "layers": layers,
        "layers_counted": total.layers,
        "paths": total.paths.iter().map(|(share, resistance)| json!({ "fraction": share, "resistance": resistance })).collect::<Vec<_>>(),
        "upper_limit": total.upper,
        "lower_limit": total.lower,
        "largest_relative_error": total.largest_error(),
        "total_resistance": total.resistance,
        "two_dimensional": pattern.as_ref().ok().map(|solved| json!({
            "u_value": solved.u_value.middle(),
            "lower": solved.u_value.lower(),
            "upper": solved.u_value.upper(),
            "course_conductivity": solved.course,
            "unknowns": solved.unknowns,
        })),
        "slightly_ventilated": total.ventilation.iter().map(|of| json!({ "layer": of.layer + 1, "closed": of.closed, "open": of.open })).collect::<Vec<_>>(),
        "notes": limits::notes(build_up, &total, &corrected),
        "corrections": corrections,
        "corrections_applied": !corrected.is_negligible,
        "u_value": corrected.u_value,
        "u_value_rounded": resistance::two_figures(corrected.u_value),
    })
}

/// Condensation inside, month by month.
pub fn condensation(build_up: &BuildUp, wetting: &Wetting<'_>) -> Value {
    let Wetting { climate, indoor, course, year, slight } = wetting;
    let place = |index: usize| condensate_text::interface(build_up, &course.interfaces[index]);
    let wet = |wet: &Wet| json!({ "place": place(wet.interface), "change": wet.change, "held": wet.held });
    let months: Vec<Value> = year
        .months
        .iter()
        .map(|(month, items)| json!({ "month": MONTHS[*month], "condensate": items.iter().map(wet).collect::<Vec<_>>() }))
        .collect();
    let peak = |peak: &Peak| json!({ "place": place(peak.interface), "amount": peak.amount, "month": MONTHS[peak.month] });
    let gain = |(interface, gain): &(usize, f64)| json!({ "place": place(*interface), "amount": gain });
    json!({
        "climate": climate.name,
        "source": climate.source,
        "indoor": indoor.description(),
        "vapour_thickness": course.of_layers,
        "vapour_resistance": course.origins.iter().map(|origin| origin.factor()).collect::<Vec<_>>(),
        "slightly_ventilated": slight.as_ref().map(|slight| json!({
            "taken_as": if slight.is_open { "outside_air" } else { "unventilated" },
            "other_reading": summary(&slight.other),
        })),
        "months": months,
        "years": year.years,
        "ending": ending(year),
        "largest": year.largest(),
        "largest_by_place": if year.largest().is_some() { year.peaks.iter().map(peak).collect() } else { Vec::new() },
        "left_after_a_year": year.left,
        "left_by_place": year.gains.iter().map(gain).collect::<Vec<_>>(),
    })
}

fn ending(year: &Year) -> &'static str {
    match year.ending {
        Ending::Dry => "dry",
        Ending::Repeats => "repeats",
        Ending::Grows => "grows",
        Ending::Open => "open",
    }
}

fn summary(year: &Year) -> Value {
    json!({ "ending": ending(year), "largest": year.largest(), "left_after_a_year": year.left })
}

/// One floor with every intermediate value.
pub fn floor(floor: &NamedFloor) -> Value {
    let result = ground::u_value(&floor.floor);
    let kind = match floor.floor.kind {
        Kind::Slab { .. } => "slab",
        Kind::Suspended(_) => "suspended",
        Kind::Basement { .. } => "basement",
    };
    let steps: serde_json::Map<String, Value> =
        result.steps.iter().map(|(label, value)| ((*label).to_owned(), json!(value))).collect();
    json!({
        "name": floor.name,
        "title": floor.title,
        "kind": kind,
        "area": floor.area,
        "perimeter": floor.perimeter,
        "characteristic_dimension": floor.floor.characteristic_dimension,
        "wall_thickness": floor.floor.wall_thickness * 1e3,
        "ground": { "material": floor.ground.label, "conductivity": floor.floor.ground_conductivity, "source": floor.ground.source },
        "floor_resistance": floor.floor.floor_resistance,
        "equivalent_thickness": result.equivalent_thickness,
        "steps": steps,
        "wall_u_value": result.wall_u_value,
        "u_value": result.u_value,
        "u_value_rounded": resistance::two_figures(result.u_value),
    })
}

/// One window with its parts.
pub fn window(window: &NamedWindow) -> Value {
    let parts = &window.window;
    json!({
        "name": window.name,
        "title": window.title,
        "area": parts.area(),
        "glazing": parts.glazing.iter().map(|(area, u)| json!({ "area": area, "u_value": u })).collect::<Vec<_>>(),
        "frame": parts.frame.iter().map(|(area, u)| json!({ "area": area, "u_value": u })).collect::<Vec<_>>(),
        "edges": parts.edges.iter().map(|(length, psi)| json!({ "length": length, "psi": psi })).collect::<Vec<_>>(),
        "u_value": parts.u_value(),
        "u_value_rounded": resistance::two_figures(parts.u_value()),
    })
}

fn layer(build_up: &BuildUp, layer: &Layer) -> Value {
    let mut value = json!({
        "label": layer.label,
        "thickness": layer.thickness * 1e3,
        "resistance": layer.body_resistance(build_up.heat_flow),
    });
    if let Body::Solid(material) = &layer.body {
        value["conductivity"] = json!(material.conductivity_x);
        value["source"] = json!(material.source);
    }
    if let (Some(bridge), Some(resistance)) = (&layer.bridge, layer.bridge_resistance()) {
        value["bridged_by"] = json!({
            "material": bridge.material.label,
            "conductivity": bridge.material.conductivity_x,
            "fraction": bridge.pattern.fraction(),
            "resistance": resistance,
        });
    }
    value
}
