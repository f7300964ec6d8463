//! The report: one HTML file with everything a reviewer needs, complete without scripts, and read back by
//! `coldseam review`.
//!
//! The page stands in `page.html`; every text that comes from the case is escaped by the template engine.
//! Nothing is loaded from outside: a content security policy in the page forbids it.

use crate::model::{Convention, EnvironmentId, FloorMethod, MaterialId, UValueSource};
use std::error::Error;
use std::ops::Range;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use minijinja::{Environment, Value, context};
use serde_json::json;

use super::level_surfaces;
use super::read_back::{checksum, escaped, portable};
use super::summary::{CAUTION, condensation_resistance, decimals, iterations, points_text};
use crate::bounds::Bracket;
use crate::case::Case;
use crate::draw::{self, profile_picture};
use crate::geometry::{Axis, Span, millimetres};
use crate::material::{Origin, four_digits, generic};
use crate::plan::Filling;
use crate::plan::surface::{Purpose, Surfaces};
use crate::result::condensation::{Assessment, Limit, Verdict, assess, lowest};
use crate::result::cut_off::sides_text;
use crate::result::profile::Profile;
use crate::result::psi::numbered_key;
use crate::result::temperature_factor::error_text;
use crate::result::{Fields, Outcome};
use crate::review::Finding;

/// Width of the pictures in the report, pixels.
const WIDTH: u32 = 1100;

/// The whole page.
///
/// # Errors
/// Those of drawing and of the template.
pub fn page(outcome: &Outcome, findings: &[Finding]) -> Result<String, Box<dyn Error>> {
    let case = &outcome.case;
    let assessments = assess(outcome, None);
    let lowest = lowest(&assessments).map(|assessment| assessment.environment);
    let fields = draw::fine_fields(outcome);
    let profiles = draw::fine_profiles(outcome, &fields);
    let mut environment = Environment::new();
    environment.add_template("page.html", include_str!("page.html"))?;
    let sources = &portable(case.sources.all());
    let shown_sources: Vec<Value> = sources
        .iter()
        .map(|source| {
            // Escaped by our own rules, which reading back undoes.
            let [name, text] =
                [&source.name, &source.text].map(|text| Value::from_safe_string(escaped(text)));
            context! { name => source.name, escaped_name => name, text }
        })
        .collect();
    let data = data(outcome, &fields, &profiles).to_string().replace('<', "\\u003c");
    let coldest = outcome
        .factors
        .iter()
        .filter_map(|factor| factor.coldest.as_ref())
        .map(|coldest| coldest.temperature);
    let (low, high) = temperatures(case);
    let page = environment.get_template("page.html")?.render(context! {
        version => env!("CARGO_PKG_VERSION"),
        title => case.title,
        description => case.description,
        checksum => checksum(sources),
        l2d => outcome.l2d.map(bracket),
        psi => psi(outcome),
        frame_u => outcome.frame_u.map(|u| u.to_string()),
        points => points_text(outcome)
            .into_iter()
            .map(|point| context! { name => point.name, heat_loss => point.heat_loss, condensation => point.condensation.unwrap_or_else(|| "–".to_owned()) })
            .collect::<Vec<_>>(),
        environments_judged => assessments.iter().map(|assessment| judged(outcome, assessment, lowest)).collect::<Vec<_>>(),
        resistances => match &case.model.condensation {
            Some(condensation) => format!("With {} for condensation.", condensation_resistance(case, condensation)),
            None => "With the surface resistances for heat loss.".to_owned(),
        },
        pictures => pictures(outcome, &fields)?,
        profile => STANDARD.encode(profile_picture::draw(outcome, &profiles, &assessments)?),
        slider => context! { low, high, value => format!("{:.1}", coldest.fold(high, f64::min) + 0.5) },
        materials => materials(outcome),
        environments => environments(outcome),
        elements => elements(outcome),
        extent => format!(
            "x from {} to {} mm, y from {} to {} mm",
            millimetres(case.model.extent.x.from), millimetres(case.model.extent.x.to), millimetres(case.model.extent.y.from), millimetres(case.model.extent.y.to)
        ),
        cavities => cavities(outcome),
        parameters => case.parameters.iter().map(|(name, value)| context! { name, value => decimal(*value) }).collect::<Vec<_>>(),
        method => method(outcome),
        findings => findings.iter().map(|finding| context! {
            question => finding.question.text(), verdict => finding.verdict.word(), evidence => finding.evidence,
        }).collect::<Vec<_>>(),
        sources => shown_sources,
        cautions => CAUTION.replace('\n', " "),
        data => Value::from_safe_string(data),
    })?;
    Ok(page)
}

/// A number as the case would have it, without what binary fractions leave in the last digits.
fn decimal(value: f64) -> String {
    ((value * 1e6).round() / 1e6 + 0.0).to_string()
}

fn temperatures(case: &Case) -> (f64, f64) {
    let all = || case.model.environments.iter().map(|environment| environment.temperature);
    (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
}

fn bracket(bracket: Bracket) -> Value {
    context! {
        value => format!("{:.4}", bracket.middle()),
        // Rounded outwards, so that the statement stays true.
        lower => format!("{:.5}", (bracket.lower() * 1e5).floor() / 1e5),
        upper => format!("{:.5}", (bracket.upper() * 1e5).ceil() / 1e5),
    }
}

fn psi(outcome: &Outcome) -> Vec<Value> {
    outcome.pairs().enumerate().flat_map(|(number, pair)| psi_of_pair(pair, number)).collect()
}

fn psi_of_pair(outcome: &Outcome, number: usize) -> Vec<Value> {
    let Some(l2d) = outcome.l2d else { return Vec::new() };
    let between = outcome
        .sides()
        .filter(|_| outcome.case.psi_is_list)
        .map(|sides| sides_text(&outcome.case.model, &sides));
    let one = |psi: &crate::result::psi::PsiValue| {
        let terms: Vec<Value> = psi
            .terms
            .iter()
            .map(|term| {
                context! {
                    element => term.element,
                    method => term.method.map(FloorMethod::label),
                    u_value => format!("{:.4}", term.u_value),
                    length => format!("{:.4}", term.length),
                    product => format!("{:.4}", term.product.middle()),
                }
            })
            .collect();
        context! {
            key => format!("psi_{}", numbered_key(psi.convention, number)),
            between,
            convention => psi.convention.label(),
            l2d => format!("{:.4}", l2d.middle()),
            terms,
            value => decimals(psi.value, 4),
            bracket => psi.bracket.to_string(),
            other => psi.other_floor.map(|(method, bracket)| context! { method => method.label(), bracket => bracket.to_string() }),
        }
    };
    outcome.psi.iter().map(one).collect()
}

fn judged(outcome: &Outcome, assessment: &Assessment, lowest: Option<EnvironmentId>) -> Value {
    let coldest = &assessment.coldest;
    let row = |limit: &Limit, of: String| {
        context! {
            label => format!("{}{of}", limit.kind.label()),
            needed => limit.needed_text(),
            verdict => limit.verdict.map_or("humidity unknown", Verdict::label),
            fails => limit.verdict == Some(Verdict::Fails),
            onset => limit.onset_text(),
            below => limit.below_text(),
        }
    };
    let apart = assessment.excluded.iter().map(|apart| {
        let place = apart.coldest.description(&outcome.case.model);
        row(
            &apart.limit,
            format!(" on frames and glazing, judged apart: f = {:.3}, {place}", apart.coldest.factor),
        )
    });
    let limits: Vec<Value> =
        assessment.limits.iter().map(|limit| row(limit, String::new())).chain(apart).collect();
    context! {
        name => outcome.case.model.environments[assessment.environment].name,
        factor => format!("{:.3}", coldest.factor),
        only_apart => assessment.only_apart,
        is_lowest => lowest == Some(assessment.environment),
        error => assessment.error.map(error_text),
        place => coldest.description(&outcome.case.model),
        limits,
    }
}

fn pictures(outcome: &Outcome, fields: &Fields) -> Result<Vec<Value>, Box<dyn Error>> {
    let labels = [
        ("plan", "Plan", "The plan: materials by number, environments, cut-off planes and lengths"),
        ("temperature", "Temperature", "Temperature field with isotherms"),
        (
            "temperature-factor",
            "Temperature factor",
            "Temperature factor, with the critical value and the surfaces below it marked",
        ),
        ("heat-flow", "Heat flow", "Heat flux with heat flow lines that have equal flows between them"),
        ("grid", "Grid", "The computing grid and where the uncertainty sits"),
    ];
    let mut pictures = Vec::new();
    for (key, canvas) in draw::pictures_of(outcome, fields, WIDTH) {
        let Some((_, label, alt)) = labels.iter().find(|(known, ..)| *known == key) else { continue };
        let (width, height) = (canvas.width(), canvas.height());
        let data = STANDARD.encode(canvas.to_png()?);
        pictures.push(context! { key, label, alt, width, height, data });
    }
    Ok(pictures)
}

fn materials(outcome: &Outcome) -> Vec<Value> {
    let row = |index: MaterialId| {
        let material = &outcome.case.model.materials[index];
        let own = match (material.origin, generic::find(&material.name)) {
            (Origin::Generic, _) => "generic table: ".to_owned(),
            (Origin::Own, Some(row)) => {
                format!(
                    "the case's own, not the generic one of this name (λ {}): ",
                    four_digits(row.conductivity)
                )
            }
            _ => String::new(),
        };
        context! { label => material.label, conductivity => material.conductivity_text(), source => format!("{own}{}", material.source) }
    };
    outcome.plan.materials().into_iter().map(row).collect()
}

fn environments(outcome: &Outcome) -> Vec<Value> {
    let (case, plan) = (&outcome.case, &outcome.plan);
    let row = |id: EnvironmentId| {
        let environment = &case.model.environments[id];
        let resistances = |surfaces: &Surfaces| {
            let mut values: Vec<f64> = Vec::new();
            for j in 0..=plan.rows() {
                for i in 0..=plan.columns() {
                    let upright = (j < plan.rows()).then(|| surfaces.film(Axis::X, i, j)).flatten();
                    let level = (i < plan.columns()).then(|| surfaces.film(Axis::Y, i, j)).flatten();
                    let own = [upright, level].into_iter().flatten().filter(|film| film.environment == id);
                    values.extend(own.map(|film| film.resistance));
                }
            }
            values.sort_by(f64::total_cmp);
            values.dedup();
            values.iter().map(|value| format!("{value}")).collect::<Vec<_>>().join(", ")
        };
        let heat_loss = resistances(&outcome.surfaces);
        let condensation = outcome
            .condensation
            .as_ref()
            .map(|_| resistances(&Surfaces::of(&case.model, plan, Purpose::Condensation)));
        context! {
            name => environment.name,
            role => environment.role.word(),
            temperature => environment.temperature.to_string(),
            humidity => environment.humidity.map_or_else(|| "–".to_owned(), |humidity| format!("{:.0} %", humidity * 100.0)),
            resistances => match condensation {
                Some(condensation) if condensation != heat_loss => format!("{heat_loss}; for condensation {condensation}"),
                _ => heat_loss,
            },
            flow => outcome.heat_flows[id].map_or_else(|| "infinite".to_owned(), |flow| decimals(flow, 3)),
        }
    };
    EnvironmentId::all(case.model.environments.len()).map(row).collect()
}

fn elements(outcome: &Outcome) -> Vec<Value> {
    outcome.pairs().flat_map(elements_of_pair).collect()
}

fn elements_of_pair(outcome: &Outcome) -> Vec<Value> {
    let Some(psi) = &outcome.case.model.psi else { return Vec::new() };
    let row = |(flanking, element): (&crate::model::Flanking, &crate::result::u_value::ElementU)| {
        let origin = match (&element.section, &element.floor, flanking.u_value) {
            (Some(section), ..) => {
                let layers = section.layers.iter().map(|layer| {
                    format!(
                        "{} {} mm",
                        outcome.case.model.materials[layer.material].label,
                        four_digits(layer.thickness * 1e3)
                    )
                });
                format!("section through the model: {}", layers.collect::<Vec<_>>().join(", "))
            }
            (_, Some(floor), _) => format!(
                "floor on the ground by the {}: B' {:.3} m, w {:.3} m, d_t {:.3} m",
                floor.method.label(),
                floor.floor.characteristic_dimension,
                floor.floor.wall_thickness,
                floor.formula.equivalent_thickness
            ),
            (.., UValueSource::Given(_)) => match &element.build_up {
                Some(build_up) => format!("of the build-up {build_up} by the combined method (ISO 6946)"),
                None => "stated in the case".to_owned(),
            },
            _ => String::new(),
        };
        let lengths = Convention::ALL.iter().zip(flanking.spans).filter_map(|(convention, span)| {
            let span = span?;
            Some(format!("{} {} to {}", convention.label(), millimetres(span.from), millimetres(span.to)))
        });
        context! {
            name => element.element,
            u_value => format!("{:.4}", element.u_value),
            origin,
            lengths => lengths.collect::<Vec<_>>().join("; "),
        }
    };
    psi.flanking.iter().zip(&outcome.elements).map(row).collect()
}

fn cavities(outcome: &Outcome) -> Vec<String> {
    let line = |settled: &crate::result::cavity::Settled| {
        let fill = &outcome.case.model.cavities[settled.cavity];
        let label = &outcome.case.model.materials[fill.material].label;
        let remark = fill.part.as_ref().map_or("", |part| part.kind.remark());
        let state = settled.state;
        format!(
            "{label}{remark}: {} × {} mm, {:.1} °C, {:.1} K: λ = {} W/(m·K)",
            four_digits(state.depth * 1e3),
            four_digits(state.width * 1e3),
            state.mean_temperature,
            state.difference,
            four_digits(settled.conductivity)
        )
    };
    outcome.cavities.iter().map(line).chain(crate::plan::cavities::cuts(&outcome.case.model)).collect()
}

fn method(outcome: &Outcome) -> Vec<String> {
    let info = &outcome.heat_loss.field.info;
    let mut lines = vec![
        format!(
            "Steady two-dimensional conduction by vertex-centred finite volumes on a grid through every edge of the plan: {} × {} vertices, {} unknowns.",
            outcome.grid.vertex_columns(),
            outcome.grid.vertex_rows(),
            outcome.heat_loss.conduction.unknowns
        ),
        "L2D lies between an upper bound (Dirichlet's principle) and a lower bound (Thomson's principle), both computed from the solution.".to_owned(),
        format!("Multigrid with conjugate gradients, {} to a relative residual of {:.0e}.", iterations(info.iterations), info.residual),
        format!("Heat balance: {:.0e} of the heat flow (ISO 10211 asks for less than 1e-4).", outcome.heat_balance),
    ];
    lines.extend(level_surfaces::lines(outcome).into_iter().map(|line| line + "."));
    if !outcome.passes.is_empty() {
        let passes = outcome
            .passes
            .iter()
            .map(|pass| format!("{} unknowns ± {:.5}", pass.unknowns, pass.l2d.half_width()));
        lines.push(format!(
            "Refined where the bounds differ: {} W/(m·K).",
            passes.collect::<Vec<_>>().join(", ")
        ));
    }
    if let Some(evidence) = &outcome.evidence {
        let [own, finer] = evidence.cells;
        lines.push(format!(
            "Cells halved in both directions ({own} to {finer}) change the heat flow by {:.2} %.",
            evidence.heat_flow_change() * 100.0
        ));
    }
    lines.extend(outcome.notes.iter().map(|note| format!("Note: {note}.")));
    lines.extend(outcome.all_warnings().map(|warning| format!("Warning: {}.", warning.message)));
    lines
}

/// The indices of the lines that a stretch needs, one more on either side.
fn needed(lines: &[f64], span: Span) -> Range<usize> {
    let first = lines.partition_point(|line| *line < span.from).saturating_sub(1);
    let last = (lines.partition_point(|line| *line <= span.to) + 1).min(lines.len());
    first..last
}

/// What probe and slider read.
fn data(outcome: &Outcome, fields: &Fields, profiles: &[Profile]) -> serde_json::Value {
    let (case, plan) = (&outcome.case, &outcome.plan);
    let placement = draw::placement(outcome, WIDTH);
    // Only what the pictures show can be pointed at.
    let shown = placement.view.shown;
    let (columns, rows) =
        (needed(&fields.grid.x.positions, shown.x), needed(&fields.grid.y.positions, shown.y));
    let rounded = |values: &[f64], decimals: i32| -> Vec<serde_json::Value> {
        let unit = 10_f64.powi(decimals);
        let vertices = rows.clone().flat_map(|j| columns.clone().map(move |i| (i, j)));
        vertices
            .map(|(i, j)| values[j * fields.grid.vertex_columns() + i])
            .map(|value| {
                if value.is_finite() { json!((value * unit).round() / unit) } else { serde_json::Value::Null }
            })
            .collect()
    };
    let lines = |lines: &[f64]| lines.iter().map(|line| millimetres(*line)).collect::<Vec<_>>();
    let filling = |i: usize, j: usize| match plan.at(i, j) {
        Filling::Nothing => serde_json::Value::Null,
        Filling::Space(environment) => json!({ "space": case.model.environments[environment].name }),
        Filling::Solid(material) => json!({ "solid": case.model.materials[material].label }),
    };
    let (external, internal) = temperatures(case);
    let factor = fields.condensation.as_ref().unwrap_or(&fields.heat_loss);
    let factor: Vec<f64> =
        factor.iter().map(|temperature| (temperature - external) / (internal - external)).collect();
    let profiles: Vec<Vec<serde_json::Value>> = profiles
        .iter()
        .map(|profile| {
            let station = |station: &crate::result::profile::Station| {
                json!([
                    millimetres(station.at.0),
                    millimetres(station.at.1),
                    (station.temperature * 1e3).round() / 1e3
                ])
            };
            profile.stations.iter().map(station).collect()
        })
        .collect();
    json!({
        "view": {
            "picture": [placement.picture.0, placement.picture.1],
            "left": placement.view.area.left,
            "top": placement.view.area.top,
            "width": placement.view.area.width(),
            "height": placement.view.area.height(),
            // Pixels per mm, and the place of the upper left corner.
            "scale": placement.view.scale * 1e-3,
            "x": millimetres(placement.view.shown.x.from),
            "y": millimetres(placement.view.shown.y.to),
        },
        "plan": {
            "xs": lines(&plan.xs),
            "ys": lines(&plan.ys),
            "filling": (0..plan.rows()).flat_map(|j| (0..plan.columns()).map(move |i| (i, j))).map(|(i, j)| filling(i, j)).collect::<Vec<_>>(),
        },
        "xs": lines(&fields.grid.x.positions[columns.clone()]),
        "ys": lines(&fields.grid.y.positions[rows.clone()]),
        "temperature": rounded(&fields.heat_loss, 2),
        "factor": rounded(&factor, 4),
        "profiles": profiles,
    })
}
