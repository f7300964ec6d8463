//! The JSON document of a run.
//!
//! Keys of version 1, SI units throughout: U in W/(m²K), L2D and ψ in W/(m·K), heat flow in W/m and positive into the
//! construction, temperatures in °C, places in mm. `value` is the middle between the
//! guaranteed bounds `lower` and `upper`.

use crate::model::EnvironmentId;
use serde_json::{Map, Value, json};

use super::level_surfaces;
use crate::bounds::Bracket;
use crate::case::Case;
use crate::geometry::{Rectangle, Span, millimetres};
use crate::result::Outcome;
use crate::result::cavity::Settled;
use crate::result::temperature_factor::Coldest;
use crate::result::u_value::ElementU;

/// Version of the document.
pub const VERSION: u32 = 1;

/// The document of an outcome.
pub fn document(outcome: &Outcome) -> Value {
    let case = &outcome.case;
    let environment = |id: EnvironmentId| case.model.environments[id].name.as_str();
    let bracket = |value: Option<Bracket>| json!({ "value": value.map(Bracket::middle), "lower": value.map(Bracket::lower), "upper": value.map(Bracket::upper) });
    let of_pair = |outcome: &Outcome| -> Map<String, Value> {
        outcome
        .psi
        .iter()
        .map(|psi| {
            let terms: Vec<Value> = psi
                .terms
                .iter()
                .map(|term| json!({ "element": term.element, "u_value": term.u_value, "length": term.length, "product": term.product.middle() }))
                .collect();
            let mut value = bracket(Some(psi.bracket));
            value["subtracted"] = terms.into();
            if let (Some(method), Some((other, bracket_of_other))) =
                (psi.terms.iter().find_map(|term| term.method), psi.other_floor)
            {
                value["floor_method"] = json!(method.word());
                let mut by_other = bracket(Some(bracket_of_other));
                by_other["floor_method"] = json!(other.word());
                value["by_other_floor_method"] = by_other;
            }
            (psi.convention.key().to_owned(), value)
        })
        .collect()
    };
    let psi = if case.psi_is_list {
        let one = |outcome: &Outcome| {
            let side = |side: Vec<EnvironmentId>| match side.as_slice() {
                [only] => json!(environment(*only)),
                several => json!(several.iter().map(|index| environment(*index)).collect::<Vec<_>>()),
            };
            let mut value = of_pair(outcome);
            value.insert("between".to_owned(), outcome.sides().map(|sides| json!(sides.map(side))).unwrap_or_default());
            value.insert("l2d".to_owned(), bracket(outcome.l2d));
            value.insert("u_values".to_owned(), json!(u_values(outcome)));
            value.insert("frame_u_value".to_owned(), outcome.frame_u.map(|u| bracket(Some(u))).unwrap_or_default());
            Value::Object(value)
        };
        outcome.pairs().map(one).collect::<Vec<_>>().into()
    } else {
        Value::Object(of_pair(outcome))
    };
    let heat_flow: Map<String, Value> = outcome
        .heat_flows
        .iter()
        .enumerate()
        .map(|(index, flow)| (environment(EnvironmentId::new(index)).to_owned(), json!(flow)))
        .collect();
    let f_rsi: Map<String, Value> = outcome
        .factors
        .iter()
        .map(|factor| {
            let with_error = |mut value: Value, is_excluded: bool| {
                value["estimated_error"] = json!(outcome.coldest_error(factor.environment, is_excluded));
                value
            };
            let mut value = match &factor.coldest {
                Some(coldest) => with_error(coldest_place(case, coldest), false),
                None => json!({ "value": null }),
            };
            if let Some(excluded) = &factor.coldest_excluded {
                value["excluded"] = with_error(coldest_place(case, excluded), true);
            }
            value["external_temperature"] = json!(factor.external_temperature);
            (environment(factor.environment).to_owned(), value)
        })
        .collect();
    let sections: Vec<Value> = outcome.elements.iter().filter_map(|element| section(case, element)).collect();
    let temperatures = |points: &[(String, f64)]| -> Map<String, Value> {
        points.iter().map(|(name, temperature)| (name.clone(), json!(temperature))).collect()
    };
    let errors = |is_condensation: bool| -> Map<String, Value> {
        let names = outcome.points.iter().map(|(name, _)| name.clone());
        names.zip(outcome.point_errors(is_condensation)).map(|(name, error)| (name, json!(error))).collect()
    };
    let coupling: Vec<Value> = outcome
        .coupling
        .iter()
        .map(|pair| {
            let mut value = bracket(pair.bracket);
            value["between"] = json!(pair.between.map(environment));
            value
        })
        .collect();
    let parameters: Map<String, Value> = case.parameters.iter().map(|(name, value)| (name.clone(), json!(value))).collect();
    let info = &outcome.heat_loss.field.info;
    json!({
        "coldseam": VERSION,
        "program": env!("CARGO_PKG_VERSION"),
        "title": case.title,
        "parameters": parameters,
        "l2d": bracket(outcome.l2d),
        "heat_flow": heat_flow,
        "heat_balance": outcome.heat_balance,
        "psi": psi,
        "frame_u_value": outcome.frame_u.map(|u| bracket(Some(u))),
        "cavities": cavities(outcome),
        "level_surfaces": level_surfaces::document(outcome),
        "u_values": u_values(outcome),
        "sections": sections,
        "floors": outcome.elements.iter().filter_map(floor).collect::<Vec<_>>(),
        "f_rsi": f_rsi,
        "f_rsi_surface_resistances": if outcome.condensation.is_some() { "condensation" } else { "heat_loss" },
        "points": temperatures(&outcome.points),
        "point_errors": errors(false),
        "points_condensation": temperatures(&outcome.points_condensation),
        "point_errors_condensation": errors(true),
        "coupling": coupling,
        "accuracy": accuracy(outcome),
        "notes": outcome.notes,
        "grid": { "vertices": outcome.grid.vertices(), "unknowns": outcome.heat_loss.conduction.unknowns },
        "solver": { "iterations": info.iterations, "residual": info.residual },
        "warnings": outcome.all_warnings().map(|warning| warning.message.as_str()).collect::<Vec<_>>(),
    })
}

/// The sides of a rectangle, mm.
fn rectangle(rectangle: &Rectangle) -> Value {
    let side = |span: Span| [millimetres(span.from), millimetres(span.to)];
    json!({ "x": side(rectangle.x), "y": side(rectangle.y) })
}

fn u_values(outcome: &Outcome) -> Map<String, Value> {
    outcome.elements.iter().map(|element| (element.element.clone(), json!(element.u_value))).collect()
}

/// Air cavities as they were taken.
fn cavities(outcome: &Outcome) -> Vec<Value> {
    let cavity = |settled: &Settled| {
        let fill = &outcome.case.model.cavities[settled.cavity];
        json!({
            "material": outcome.case.model.materials[fill.material].name,
            "method": fill.cavity.method.standard(),
            "part": fill.part.as_ref().map(|part| part.kind.word()),
            "connected_air": fill.part.as_ref().map(|part| part.region + 1),
            "rectangles": fill.part.iter().flat_map(|part| &part.rectangles).map(rectangle).collect::<Vec<_>>(),
            "along": settled.state.depth * 1e3,
            "across": settled.state.width * 1e3,
            "heat_flow": settled.state.heat_flow.word(),
            "mean_temperature": settled.state.mean_temperature,
            "temperature_difference": settled.state.difference,
            "conductivity": settled.conductivity,
        })
    };
    outcome.cavities.iter().map(cavity).collect()
}

/// How the grid came about, and what a finer one gives.
fn accuracy(outcome: &Outcome) -> Value {
    let passes = outcome
        .passes
        .iter()
        .map(|pass| json!({ "unknowns": pass.unknowns, "lower": pass.l2d.lower(), "upper": pass.l2d.upper() }));
    let subdivision = outcome.evidence.as_ref().map(|evidence| {
        let factors: Map<String, Value> = evidence
            .factors
            .iter()
            .map(|factor| {
                let name = outcome.case.model.environments[factor.environment].name.clone();
                (name, json!({ "value": factor.values[0], "finer": factor.values[1], "estimated_error": outcome.factor_error(factor.environment) }))
            })
            .collect();
        json!({
            "cells": { "value": evidence.cells[0], "finer": evidence.cells[1] },
            "heat_flow": { "value": evidence.heat_flow[0], "finer": evidence.heat_flow[1], "change": evidence.heat_flow_change() },
            "f_rsi": factors,
        })
    });
    json!({ "limit_reached": outcome.is_limited, "passes": passes.collect::<Vec<_>>(), "subdivision": subdivision })
}

fn coldest_place(case: &Case, coldest: &Coldest) -> Value {
    let mut value = json!({
        "value": coldest.factor,
        "at": [coldest.at.0 * 1e3, coldest.at.1 * 1e3],
        "material": case.model.materials[coldest.material].name,
        "temperature": coldest.temperature,
    });
    if !coldest.weights.is_empty() {
        let weights: Map<String, Value> = case
            .model
            .environments
            .iter()
            .zip(&coldest.weights)
            .map(|(environment, weight)| (environment.name.clone(), json!(weight)))
            .collect();
        value["weights"] = weights.into();
    }
    value
}

/// A floor on the ground, by both methods.
fn floor(element: &ElementU) -> Option<Value> {
    let floor = element.floor.as_ref()?;
    Some(json!({
        "element": element.element,
        "method": floor.method.word(),
        "characteristic_dimension": floor.floor.characteristic_dimension,
        "wall_thickness": floor.floor.wall_thickness * 1e3,
        "ground_conductivity": floor.floor.ground_conductivity,
        "floor_resistance": floor.floor.floor_resistance,
        "equivalent_thickness": floor.formula.equivalent_thickness,
        "u_value_iso13370": floor.formula.u_value,
        "l2d_model": floor.model.map(|model| json!({ "value": model.middle(), "lower": model.lower(), "upper": model.upper() })),
    }))
}

fn section(case: &Case, element: &ElementU) -> Option<Value> {
    let section = element.section.as_ref()?;
    let film = |index: usize| {
        let film = section.films[index];
        json!({ "environment": case.model.environments[film.environment].name, "resistance": film.resistance })
    };
    let layers: Vec<Value> = section
        .layers
        .iter()
        .map(|layer| {
            let material = &case.model.materials[layer.material];
            json!({ "material": material.name, "thickness": layer.thickness * 1e3, "resistance": layer.resistance })
        })
        .collect();
    Some(json!({ "element": element.element, "u_value": element.u_value, "from": film(0), "layers": layers, "to": film(1) }))
}
