//! Where a build-up leaves the limits of the methods it is computed by, and choices between readings of them:
//! for the reader of its U-value.

use super::air_layer::LARGEST_DIFFERENCE;
use super::build_up::{Body, BuildUp, Fixing, Layer};
use super::correction::{self, Cause, Corrected};
use super::resistance::{self, LARGEST_RATIO, SlightlyVentilated, Total};
use crate::material::Material;

/// From here on a conductor is a metal, W/(m·K): no mineral or plastic of buildings reaches it, no metal of
/// buildings lies below.
const METAL: f64 = 10.0;
/// The temperature difference between both sides at which air layers are judged, K.
const DESIGN_DIFFERENCE: f64 = 20.0;
/// Corrections beyond this part of U are no corrections any more (common practice, no source).
const LARGEST_CORRECTION: f64 = 0.5;

/// What a layer and its bridge are made of.
pub fn materials(layer: &Layer) -> impl Iterator<Item = &Material> {
    let body = if let Body::Solid(material) = &layer.body { Some(material) } else { None };
    body.into_iter().chain(layer.bridge.as_ref().map(|bridge| &bridge.material))
}

/// The same for the reader of a result that the build-up takes part in, painted or subtracted: each sentence
/// names the build-up. Corrections are in no drawing, so that U there is without them.
pub fn notes_elsewhere(build_up: &BuildUp) -> Vec<String> {
    let total = resistance::total(build_up);
    let corrected = correction::corrected(build_up, &total);
    let mut notes = notes_with_name(build_up);
    if corrected.u_value > total.u_value() {
        notes.push(format!(
            "build-up {}: its corrections (ΔU {:.4} W/(m²K)) are left out of drawing and subtraction alike: U {:.4} here, {:.4} with them",
            build_up.name,
            corrected.sum,
            total.u_value(),
            corrected.u_value
        ));
    }
    notes
}

/// What the reader of a sum has to know of a build-up whose U-value is a part of it.
pub fn notes_with_name(build_up: &BuildUp) -> Vec<String> {
    let total = resistance::total(build_up);
    let notes = notes(build_up, &total, &correction::corrected(build_up, &total));
    notes.into_iter().map(|note| format!("build-up {}: {note}", build_up.name)).collect()
}

/// What the reader of the U-value has to know, a sentence each.
pub fn notes(build_up: &BuildUp, total: &Total, corrected: &Corrected) -> Vec<String> {
    let mut notes = Vec::new();
    let counted = &build_up.layers[..total.layers];
    if total.is_beyond_method() {
        notes.push(format!(
            "the limits are more than a factor of {LARGEST_RATIO} apart: the standard asks for the two-dimensional value instead"
        ));
    }
    for layer in counted {
        if let Some(bridge) = &layer.bridge
            && bridge.material.conductivity_x >= METAL
            && bridge.pattern.fraction() > 0.0
        {
            notes.push(format!(
                "metal ({}) bridges {}: ISO 6946 leaves this out of the combined method; take the two-dimensional value (`width` and `spacing`)",
                bridge.material.label, layer.label
            ));
        }
        if let Body::Air(_) = layer.body {
            let share = layer.body_resistance(build_up.heat_flow) / total.resistance;
            if share * DESIGN_DIFFERENCE > LARGEST_DIFFERENCE {
                notes.push(format!(
                    "{} has {:.1} K across it where the sides differ by {DESIGN_DIFFERENCE} K; its resistance is that for up to {LARGEST_DIFFERENCE} K (ISO 6946, Annex D) and falls beyond",
                    layer.label,
                    share * DESIGN_DIFFERENCE
                ));
            }
        }
        if let Some(fixings) = layer.fixings
            && let Fixing::Rod { conductivity, .. } = fixings.each
        {
            if conductivity < correction::LEAST_CONDUCTIVITY {
                notes.push(format!(
                    "the fixings in {} conduct less than 1 W/(m·K) and need no correction",
                    layer.label
                ));
            } else if let Body::Air(_) = layer.body {
                notes.push(format!("fixings across an air layer ({}) need no correction", layer.label));
            }
        }
    }
    for SlightlyVentilated { layer, closed, open } in &total.ventilation {
        notes.push(format!(
            "{} slightly ventilated: between {closed:.3} (unventilated) and {open:.3} m²K/W (well ventilated)",
            build_up.layers[*layer].label
        ));
    }
    for material in counted.iter().flat_map(materials) {
        if let Some(doubt) = &material.doubt {
            notes.push(format!("{}: {doubt}", material.label));
        }
    }
    if let Some(index) = total.counted_as_closed {
        notes.push(format!(
            "{} counts as unventilated: by the rule alone, opening it would raise the resistance",
            build_up.layers[index].label
        ));
    }
    if corrected.sum > LARGEST_CORRECTION * total.u_value() {
        notes.push(format!(
            "the corrections are {:.0} % of U, more than corrections are meant for: check them, or draw the element as a case",
            corrected.sum / total.u_value() * 100.0
        ));
    }
    for item in &corrected.corrections {
        if let (Cause::Fixings, Some(least)) = (item.cause, item.least) {
            notes.push(format!(
                "recessed fixings in {}: read as if right through (d1 below the line, R1 of the whole layer), ΔU {:.4} W/(m²K); with d0 below and R1 of the length d1 alone it would be {least:.4}, and U {:.4} instead of {:.4}; no source decides",
                build_up.layers[item.layer].label,
                item.value,
                corrected.with(item.layer, item.cause, least, total.u_value()),
                corrected.u_value
            ));
        }
    }
    notes
}
