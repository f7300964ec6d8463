//! The tables and sentences of the page, from the document of results.

use minijinja::{Value, context};

use crate::material::{conductivity_text, four_digits};
use crate::model::{FloorMethod, PieceKind};
use crate::report::document::Bracketed;
use crate::report::document::cavities::Cavity;
use crate::report::document::condensation::{Assessment, Condensation, Limit, Month, Verdict, Year};
use crate::report::document::environments::{Environment, Material, Origin};
use crate::report::document::flanking::{Flanking, Run, UValueFrom};
use crate::report::document::grid::Pass;
use crate::report::document::psi::{OnePsi, Subtracted};
use crate::report::document::review::{Finding, Review};
use crate::report::document::sections::{Floor, Layer, Section};
use crate::report::document::solve::{OfPair, Solve};
use crate::report::factor_text::LimitText;
use crate::report::number_text::{decimals, heat_flow, iterations, subdivided, why_triangles};
use crate::report::{level_surfaces, point_text};
use crate::result::psi::numbered_key;
use crate::result::temperature_factor::error_text;

/// A number as the case would have it, without what binary fractions leave in the last digits.
fn decimal(value: f64) -> String {
    ((value * 1e6).round() / 1e6 + 0.0).to_string()
}

pub(super) fn parameters(solve: &Solve) -> Vec<Value> {
    solve.parameters.iter().map(|(name, value)| context! { name, value => decimal(*value) }).collect()
}

pub(super) fn extent(solve: &Solve) -> String {
    let ([left, right], [bottom, top]) = (solve.extent.x, solve.extent.y);
    let bounds = format!("x from {left} to {right} mm, y from {bottom} to {top} mm");
    let Some(corners) = &solve.extent_points else { return bounds };
    let corners: Vec<String> = corners.iter().map(|[x, y]| format!("[{x}, {y}]")).collect();
    format!("{bounds}; a polygon with the corners {} mm", corners.join(", "))
}

/// A value with its bounds.
pub(super) fn bracket(bracket: Bracketed) -> Value {
    context! {
        value => format!("{:.4}", bracket.value),
        // Rounded outwards, so that the statement stays true.
        lower => format!("{:.5}", (bracket.lower * 1e5).floor() / 1e5),
        upper => format!("{:.5}", (bracket.upper * 1e5).ceil() / 1e5),
    }
}

/// ψ of every pair by every convention.
pub(super) fn psi(solve: &Solve) -> Vec<Value> {
    solve.pairs().iter().enumerate().flat_map(|(number, pair)| psi_of_pair(pair, number)).collect()
}

fn psi_of_pair(pair: &OfPair<'_>, number: usize) -> Vec<Value> {
    let Some(l2d) = pair.l2d else { return Vec::new() };
    let between = pair.between.map(|[one, other]| format!("{} and {}", one.text(), other.text()));
    let term = |term: &Subtracted| {
        context! {
            element => term.element,
            method => term.floor_method.map(FloorMethod::label),
            u_value => format!("{:.4}", term.u_value),
            length => format!("{:.4}", term.length),
            product => format!("{:.4}", term.product),
        }
    };
    let other = |psi: &OnePsi| {
        let other = &psi.floor.as_ref()?.by_other_floor_method;
        Some(context! { method => other.floor_method.label(), bracket => other.psi.to_string() })
    };
    let one = |(convention, psi): (crate::model::Convention, &OnePsi)| {
        context! {
            key => format!("psi_{}", numbered_key(convention, number)),
            between,
            convention => convention.label(),
            l2d => format!("{:.4}", l2d.value),
            terms => psi.subtracted.iter().map(term).collect::<Vec<_>>(),
            value => decimals(psi.psi.value, 4),
            bracket => psi.psi.to_string(),
            other => other(psi),
        }
    };
    pair.psi.stated().map(one).collect()
}

pub(super) fn points(solve: &Solve) -> Vec<Value> {
    let row = |point: point_text::PointText| {
        context! {
            name => point.name,
            heat_loss => point.heat_loss,
            condensation => point.condensation.unwrap_or_else(|| "–".to_owned()),
        }
    };
    point_text::points(solve).into_iter().map(row).collect()
}

pub(super) fn materials(solve: &Solve) -> Vec<Value> {
    let row = |material: &Material| {
        let own = match (material.origin, material.generic_conductivity) {
            (Origin::Generic, _) => "generic table: ".to_owned(),
            (Origin::Own, Some(generic)) => {
                format!("the case's own, not the generic one of this name (λ {}): ", four_digits(generic))
            }
            _ => String::new(),
        };
        context! {
            label => material.label,
            conductivity => conductivity_text(
                [material.conductivity_x, material.conductivity_y],
                material.turned_by.is_some()
            ),
            source => format!("{own}{}", material.source),
        }
    };
    solve.materials.iter().map(row).collect()
}

pub(super) fn environments(solve: &Solve) -> Vec<Value> {
    let listed = |values: &[f64]| values.iter().map(f64::to_string).collect::<Vec<_>>().join(", ");
    let row = |(environment, flow, error): (&Environment, Option<f64>, Option<f64>)| {
        let (heat_loss, condensation) =
            (&environment.surface_resistances, &environment.surface_resistances_condensation);
        context! {
            name => environment.name,
            role => environment.role.word(),
            temperature => environment.temperature.to_string(),
            humidity => environment.humidity
                .map_or_else(|| "–".to_owned(), |humidity| format!("{:.0} %", humidity * 100.0)),
            resistances => if condensation.is_empty() || condensation == heat_loss {
                listed(heat_loss)
            } else {
                format!("{}; for condensation {}", listed(heat_loss), listed(condensation))
            },
            flow => heat_flow(flow, error),
        }
    };
    solve.flows().map(row).collect()
}

/// The flanking elements of every pair.
pub(super) fn elements(solve: &Solve) -> Vec<Value> {
    solve.pairs().iter().flat_map(elements_of_pair).collect()
}

fn elements_of_pair(pair: &OfPair<'_>) -> Vec<Value> {
    let (mut sections, mut floors) = (pair.sections.iter(), pair.floors.iter());
    let row = |element: &Flanking| {
        let origin = match element.u_value_from {
            UValueFrom::Section => sections.next().map(of_section),
            UValueFrom::Floor => floors.next().map(of_floor),
            UValueFrom::BuildUp => element
                .build_up
                .as_ref()
                .map(|build_up| format!("of the build-up {build_up} by the combined method (ISO 6946)")),
            UValueFrom::Case => Some("stated in the case".to_owned()),
        };
        let lengths = element.lengths().map(|(convention, run)| format!("{} {run}", convention.label()));
        context! {
            name => element.element,
            u_value => format!("{:.4}", element.u_value),
            origin => origin.unwrap_or_default(),
            lengths => lengths.collect::<Vec<_>>().join("; "),
        }
    };
    pair.flanking.iter().map(row).collect()
}

fn of_section(section: &Section) -> String {
    let layer = |layer: &Layer| format!("{} {} mm", layer.material_label, four_digits(layer.thickness));
    let layers: Vec<String> = section.layers.iter().map(layer).collect();
    let between = section.points.map(|points| format!(" from {} mm", Run::Between(points)));
    format!("section through the model{}: {}", between.unwrap_or_default(), layers.join(", "))
}

fn of_floor(floor: &Floor) -> String {
    format!(
        "floor on the ground by the {}: B' {:.3} m, w {:.3} m, d_t {:.3} m",
        floor.method.label(),
        floor.characteristic_dimension,
        floor.wall_thickness / 1e3,
        floor.equivalent_thickness
    )
}

pub(super) fn cavities(solve: &Solve) -> Vec<String> {
    let line = |cavity: &Cavity| {
        format!(
            "{}{}: {} × {} mm, {:.1} °C, {:.1} K: λ = {} W/(m·K)",
            cavity.material_label,
            cavity.part.map_or("", PieceKind::remark),
            four_digits(cavity.along),
            four_digits(cavity.across),
            cavity.mean_temperature,
            cavity.temperature_difference,
            four_digits(cavity.conductivity)
        )
    };
    solve.cavities.iter().map(line).chain(solve.cavity_cuts.iter().cloned()).collect()
}

/// Passes with their unknowns and half-widths.
fn refined(passes: &[Pass]) -> String {
    let half_width = |pass: &Pass| 0.5 * pass.upper - 0.5 * pass.lower;
    let pass = |pass: &Pass| format!("{} unknowns ± {:.5}", pass.unknowns, half_width(pass));
    passes.iter().map(pass).collect::<Vec<_>>().join(", ")
}

/// How it was computed, a sentence each.
pub(super) fn method(solve: &Solve) -> Vec<String> {
    let residual = solve.solver.residual;
    let unknowns = solve.grid.unknowns;
    let on = match (solve.grid.columns.zip(solve.grid.rows), solve.grid.triangles) {
        (Some((columns, rows)), _) => format!(
            "Steady two-dimensional conduction by vertex-centred finite volumes on a grid through every edge of the plan: {columns} × {rows} vertices, {unknowns} unknowns."
        ),
        (None, triangles) => format!(
            "Steady two-dimensional conduction by quadratic temperatures and quadratic stream functions on {} triangles, since {}: {} vertices, {unknowns} unknowns of the larger system.",
            triangles.unwrap_or_default(),
            why_triangles(solve),
            solve.grid.vertices
        ),
    };
    let solved = match solve.solver.iterations {
        Some(count) => format!(
            "Multigrid with conjugate gradients, {} to a relative residual of {residual:.0e}.",
            iterations(count)
        ),
        None => format!("Both systems factorised and corrected to a relative residual of {residual:.0e}."),
    };
    let mut lines = vec![
        on,
        "L2D lies between an upper bound (Dirichlet's principle) and a lower bound (Thomson's principle), both computed from the solution.".to_owned(),
        solved,
        format!("Heat balance: {:.0e} of the heat flow (ISO 10211 asks for less than 1e-4).", solve.heat_balance),
    ];
    lines.extend(level_surfaces::lines(&solve.level_surfaces).into_iter().map(|line| line + "."));
    let accuracy = &solve.accuracy;
    if !accuracy.passes.is_empty() {
        lines.push(format!("Refined where the bounds differ: {} W/(m·K).", refined(&accuracy.passes)));
    }
    if let Some(triangles) = &accuracy.triangles {
        lines.push(format!(
            "By the last grid, L2D is {} W/(m·K), which confirms the triangles ({}).",
            triangles.by_grid,
            refined(&triangles.passes)
        ));
    }
    if let Some(subdivision) = &accuracy.subdivision {
        let what = subdivided(solve.grid.triangles.is_some());
        lines.push(format!(
            "{what} ({} to {}) change the heat flow by {:.2} %.",
            subdivision.cells.value,
            subdivision.cells.finer,
            subdivision.heat_flow.change * 100.0
        ));
    }
    lines.extend(solve.notes.iter().map(|note| format!("Note: {note}.")));
    lines.extend(solve.warnings.iter().map(|warning| format!("Warning: {warning}.")));
    lines
}

/// What the inside surfaces of each environment come to.
pub(super) fn judged(condensation: &Condensation) -> Vec<Value> {
    let lowest = condensation.lowest();
    let row = |limit: &Limit, of: &str| {
        let words = LimitText::of(limit);
        context! {
            label => format!("{}{of}", limit.limit.label()),
            needed => words.needed,
            verdict => words.verdict,
            fails => limit.verdict == Some(Verdict::Fails),
            onset => words.onset,
            below => words.below,
        }
    };
    let room = |room: &Assessment| {
        let apart = room.excluded.iter().flat_map(|apart| {
            let (factor, place) = (apart.coldest.f_rsi, apart.coldest.description());
            let of = format!(" on frames and glazing, judged apart: f = {factor:.3}, {place}");
            apart.limits.iter().map(move |limit| row(limit, &of))
        });
        context! {
            name => room.environment,
            factor => format!("{:.3}", room.coldest.f_rsi),
            only_apart => room.only_judged_apart,
            is_lowest => lowest.is_some_and(|lowest| lowest.environment == room.environment),
            error => room.estimated_error.map(error_text),
            place => room.coldest.description(),
            limits => room.limits.iter().map(|limit| row(limit, "")).chain(apart).collect::<Vec<_>>(),
            years => years(room),
        }
    };
    condensation.environments.iter().map(room).collect()
}

/// A room's months, and those of what is judged apart in it.
fn years(room: &Assessment) -> Vec<Value> {
    let apart = room.excluded.as_ref().and_then(|apart| apart.year.as_ref());
    let own = room.year.iter().map(|year| year_of(year, ""));
    own.chain(apart.map(|year| year_of(year, ", frames and glazing"))).collect()
}

fn year_of(year: &Year, of: &str) -> Value {
    let month = |month: &Month| {
        context! {
            name => month.month,
            outdoor => format!("{:.1}", month.outdoor_temperature),
            outdoor_pressure => format!("{:.0}", month.outdoor_pressure),
            indoor_pressure => format!("{:.0}", month.indoor_pressure),
            needed => month.needed_f_rsi.map_or_else(|| "–".to_owned(), |needed| format!("{needed:.3}")),
            surface => format!("{:.2}", month.surface_temperature),
            humidity => format!("{:.0} %", month.surface_humidity * 100.0),
            verdict => month.verdict.label(),
            fails => month.verdict == Verdict::Fails,
        }
    };
    let unheated = |(space, temperature): (&String, &f64)| {
        format!("{space} is unheated: {temperature:.1} °C in the coldest month.")
    };
    context! {
        head => format!("Month by month (ISO 13788){of}: {}", year.judged_by.word()),
        climate => format!("Climate of {} ({}); inside {}.", year.climate, year.source, year.indoor),
        unheated => year.unheated.iter().map(unheated).collect::<Vec<_>>().join(" "),
        months => year.months.iter().map(month).collect::<Vec<_>>(),
    }
}

/// The answers to the reviewer's questions.
pub(super) fn findings(review: &Review) -> Vec<Value> {
    let row = |finding: &Finding| {
        let (question, verdict) = (finding.question_text, finding.verdict.word());
        context! { question, verdict, evidence => finding.evidence }
    };
    review.findings.iter().map(row).collect()
}

/// The ends and the start of the slider for surface temperatures, °C: a little above the coldest place.
pub(super) fn slider(solve: &Solve) -> Value {
    let all = || solve.environments.iter().map(|environment| environment.temperature);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let coldest = solve.f_rsi.values().filter_map(|factor| factor.places().0);
    let coldest = coldest.map(|factor| factor.coldest.temperature).fold(high, f64::min);
    context! { low, high, value => format!("{:.1}", coldest + 0.5) }
}
