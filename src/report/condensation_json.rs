//! Mould and condensation as JSON: SI units, humidity 0 to 1, places in mm.

use serde_json::{Value, json};

use crate::climate::{Climate, MONTHS};
use crate::result::Outcome;
use crate::result::condensation::{Apart, Assessment, Limit, MonthRow, Verdict, Year};
use crate::result::temperature_factor::Coldest;
use crate::result::what_helps::{Change, Effect};

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Safe => "safe",
        Verdict::TooClose => "too_close",
        Verdict::Fails => "fails",
    }
}

/// The document of a case.
pub fn document(outcome: &Outcome, climate: Option<&Climate>, assessments: &[Assessment], effects: &[Effect]) -> Value {
    json!({
        "coldseam": super::json::VERSION,
        "program": env!("CARGO_PKG_VERSION"),
        "title": outcome.case.title,
        "is_safe": assessments.iter().all(Assessment::is_safe),
        "environments": assessments.iter().map(|item| assessment(outcome, climate, item)).collect::<Vec<_>>(),
        "what_helps": effects.iter().map(|item| effect(outcome, item)).collect::<Vec<_>>(),
    })
}

fn assessment(outcome: &Outcome, climate: Option<&Climate>, assessment: &Assessment) -> Value {
    let case = &outcome.case;
    let place = |coldest: &Coldest| {
        json!({
            "f_rsi": coldest.factor,
            "temperature": coldest.temperature,
            "at": [coldest.at.0 * 1e3, coldest.at.1 * 1e3],
            "material": case.model.materials[coldest.material].name,
        })
    };
    let limit = |limit: &Limit| {
        json!({
            "limit": limit.kind.key(),
            "needed_f_rsi": limit.needed,
            "verdict": limit.verdict.map(verdict),
            "begins_at_humidity": limit.onset,
            "length_below": limit.length_below,
        })
    };
    let year = |year: &Year| {
        let climate = climate?;
        Some(json!({
            "climate": climate.name,
            "source": climate.source,
            "indoor": year.indoor.description(),
            "judged_by": year.kind.key(),
            "critical_month": year.critical.map(|month| MONTHS[month]),
            "months": MONTHS.iter().zip(&year.months).map(|(name, row)| month(name, row)).collect::<Vec<_>>(),
        }))
    };
    let apart = |apart: &Apart| {
        let mut value = place(&apart.coldest);
        value["estimated_error"] = json!(apart.error);
        value["limits"] = json!([limit(&apart.limit)]);
        value["year"] = json!(apart.year.as_ref().and_then(year));
        value
    };
    json!({
        "environment": case.model.environments[assessment.environment].name,
        "temperature": case.model.environments[assessment.environment].temperature,
        "humidity": assessment.humidity,
        "external_temperature": assessment.external_temperature,
        "coldest": place(&assessment.coldest),
        "estimated_error": assessment.error,
        "humidity_margin": assessment.humidity.map(|_| 0.0),
        "only_judged_apart": assessment.only_apart,
        "excluded": assessment.excluded.as_ref().map(apart),
        "limits": assessment.limits.iter().map(limit).collect::<Vec<_>>(),
        "is_safe": assessment.is_safe(),
        "year": assessment.year.as_ref().and_then(year),
    })
}

fn month(name: &str, row: &MonthRow) -> Value {
    json!({
        "month": name,
        "outdoor_temperature": row.outdoor,
        "outdoor_pressure": row.outdoor_pressure,
        "indoor_pressure": row.indoor_pressure,
        "needed_saturation_pressure": row.needed_pressure,
        "needed_surface_temperature": row.needed_temperature,
        "needed_f_rsi": row.needed,
        "surface_temperature": row.surface,
        "surface_humidity": row.surface_humidity,
        "verdict": verdict(row.verdict),
    })
}

fn effect(outcome: &Outcome, effect: &Effect) -> Value {
    let (what, from, to) = match &effect.change {
        Change::Parameter { name, from, to } => (json!({ "parameter": name }), from, to),
        Change::Conductivity { material, from, to } => {
            (json!({ "conductivity_of": outcome.case.model.materials[*material].name }), from, to)
        }
    };
    let mut value = what;
    value["from"] = json!(from);
    value["to"] = json!(to);
    value["f_rsi_change"] = json!(effect.factor);
    value["psi_change"] = json!(effect.psi);
    value["is_safe"] = json!(effect.standing.is_safe);
    value
}
