//! The pictures of fields: temperature, temperature factor, heat flux, and the difference of two cases.

use super::canvas::Canvas;
use super::finer::finer;
use super::ground::FieldGround;
use super::longest_side;
use super::palette::{self, Rgb};
use super::plan_picture::{captions, source};
use super::scalar::{Shown, draw};
use super::view::{detail, round_below};
use crate::climate::humid_air::{MOULD, surface_temperature_at};
use crate::model::EnvironmentId;
use crate::result::coupling::Temperatures;
use crate::result::temperature_factor::error_text;
use crate::result::{Fields, Outcome};

fn plain(value: f64, decimals: usize) -> String {
    format!("{:.decimals$}", value + 0.0)
}

/// A power of ten, of its exponent.
fn power(value: f64, _: usize) -> String {
    crate::material::four_digits(libm::pow(10.0, value))
}

/// Heat flow lines drawn, about.
const HEAT_FLOW_LINES: f64 = 30.0;
/// Fluxes below this part of the largest look alike.
const LEAST_FLUX: f64 = 1e-3;

/// The heat flux with heat flow lines that have equal flows between them, where the lines have a unique place; none if
/// no heat flows.
pub fn heat_flow(outcome: &Outcome, fields: &Fields, width: u32) -> Option<Canvas> {
    let ground = FieldGround::of(fields);
    let stream = ground.stream(outcome, &fields.heat_loss)?;
    let largest = stream.flux.iter().copied().filter(|flux| flux.is_finite()).fold(0.0, f64::max);
    let (step, lines) = stream
        .function
        .map(|function| {
            let (step, levels) = flow_levels(&function, &ground, outcome);
            (step, (function, levels))
        })
        .unzip();
    let top = libm::log10(largest);
    let shown = Shown {
        ground: &ground,
        value: stream.flux.iter().map(|flux| libm::log10(flux.max(largest * LEAST_FLUX))).collect(),
        range: (top + libm::log10(LEAST_FLUX), top),
        color: palette::uncertainty,
        step: 1.0,
        critical: None,
        quantity: "Heat flux in W/m²",
        decimals: 0,
        label: power,
        lines,
    };
    let (heading, legend): (String, &[&str]) = match step {
        Some(step) => (
            format!(
                "Heat flux and heat flow lines, {} W/m between neighbours (surface resistances for heat loss)",
                crate::material::four_digits(step)
            ),
            &["heat flow line"],
        ),
        None => (
            "Heat flux (surface resistances for heat loss); no lines, since heat flows from all round into a hole"
                .to_owned(),
            &[],
        ),
    };
    Some(draw(outcome, width, &heading, &captions(outcome), &shown, legend))
}

/// The step between heat flow lines, W/m, and where they lie: as many as the part shown has room for.
fn flow_levels(function: &[f64], ground: &FieldGround<'_>, outcome: &Outcome) -> (f64, Vec<f64>) {
    let shown = detail(&outcome.plan);
    let places = ground.places();
    let visible = function.iter().zip(&places);
    let visible = visible.filter(|(value, (x, y))| !value.is_nan() && shown.contains(*x, *y));
    let (lowest, highest) = visible.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (value, _)| {
        (low.min(*value), high.max(*value))
    });
    let step = round_below((highest - lowest) / HEAT_FLOW_LINES * 1.5);
    let (first, last) = ((lowest / step).floor() as i64, (highest / step).ceil() as i64);
    (step, (first..=last).map(|index| (index as f64 + 0.5) * step).collect())
}

/// The temperature field with labelled isotherms.
pub fn temperature(outcome: &Outcome, fields: &Fields, width: u32) -> Canvas {
    let (high, low) = Temperatures::of(&outcome.case.model).range();
    let step = round_below((high - low) / 8.0);
    let shown = Shown {
        ground: &FieldGround::of(fields),
        value: fields.heat_loss.clone(),
        range: (low, high),
        color: palette::temperature,
        step,
        critical: None,
        quantity: "Temperature in °C",
        decimals: usize::from(step < 1.0),
        label: plain,
        lines: None,
    };
    let heading =
        format!("Temperature, isotherms every {} K (surface resistances for heat loss)", shown.step);
    draw(outcome, width, &heading, &captions(outcome), &shown, &["isotherm"])
}

/// Darker, the further from the middle: both signs alike, told apart by the numbers on the lines.
fn away_from_middle(part: f64) -> Rgb {
    palette::uncertainty((2.0 * part - 1.0).abs())
}

/// A signed number.
fn signed(value: f64, decimals: usize) -> String {
    if value.abs() < 1e-9 { "0".to_owned() } else { format!("{value:+.decimals$}").replace('-', "−") }
}

/// How much warmer (+) or colder (−) the second of two cases of one extent is; none where the extents differ.
pub fn difference(first: &Outcome, second: &Outcome, fields: [&Fields; 2], width: u32) -> Option<Canvas> {
    if first.case.model.corners() != second.case.model.corners() {
        return None;
    }
    let shown = detail(&first.plan);
    let finer = finer(fields[0], shown, longest_side(shown));
    let fields = [finer.as_ref().unwrap_or(fields[0]), fields[1]];
    let [own, other] = fields.map(FieldGround::of);
    let [own_value, other_value] = fields.map(|fields| &fields.heat_loss);
    let value: Vec<f64> = own
        .places()
        .iter()
        .zip(own_value)
        .map(|((x, y), temperature)| {
            other.at(other_value, *x, *y).map_or(f64::NAN, |other| other - temperature)
        })
        .collect();
    let largest = value.iter().copied().filter(|value| value.is_finite()).map(f64::abs).fold(0.0, f64::max);
    // Without a difference there is still a scale.
    let largest = largest.max(0.01);
    let step = round_below(largest / 4.0);
    let shown = Shown {
        ground: &own,
        value,
        range: (-largest, largest),
        color: away_from_middle,
        step,
        critical: None,
        quantity: "Temperature difference in K",
        decimals: if step < 0.1 { 2 } else { usize::from(step < 1.0) },
        label: signed,
        lines: None,
    };
    let heading = format!(
        "Second less first, lines every {} K; second: {}",
        crate::material::four_digits(step),
        second.case.title
    );
    Some(draw(first, width, &heading, &captions(first), &shown, &["line of equal difference"]))
}

/// The temperature factor, with the critical value marked; none where no environment is warmer than outside.
pub fn temperature_factor(
    outcome: &Outcome,
    fields: &Fields,
    width: u32,
    needed: Option<(f64, String)>,
) -> Option<Canvas> {
    let case = &outcome.case;
    let warmest = outcome.factors.iter().max_by(|a, b| {
        case.model.environments[a.environment]
            .temperature
            .total_cmp(&case.model.environments[b.environment].temperature)
    })?;
    let environment = &case.model.environments[warmest.environment];
    let (external, internal) = (warmest.external_temperature, environment.temperature);
    let factor = |temperature: f64| (temperature - external) / (internal - external);
    let stated = case.model.condensation.as_ref().and_then(|condensation| condensation.critical);
    let critical =
        needed.or(stated.map(|critical| (critical, format!("critical {critical}")))).or_else(|| {
            let onset = factor(surface_temperature_at(internal, environment.humidity?, MOULD));
            (0.0..1.0).contains(&onset).then(|| {
                (
                    onset,
                    format!(
                        "{onset:.2}: mould at {:.0} % humidity",
                        environment.humidity.unwrap_or_default() * 100.0
                    ),
                )
            })
        });
    let shown = Shown {
        ground: &FieldGround::of(fields),
        value: fields
            .condensation
            .as_ref()
            .unwrap_or(&fields.heat_loss)
            .iter()
            .map(|temperature| factor(*temperature))
            .collect(),
        range: (0.0, 1.0),
        color: palette::factor,
        step: 0.1,
        critical,
        quantity: "Temperature factor",
        decimals: 1,
        label: plain,
        lines: None,
    };
    let resistances = if fields.condensation.is_some() { "condensation" } else { "heat loss" };
    let heading = format!("Temperature factor (θ − θe)/(θi − θe), surface resistances for {resistances}");
    let estimate = |environment: EnvironmentId| {
        Some(format!(" (estimated error {})", error_text(outcome.factor_error(environment)?)))
    };
    let places = outcome.factors.iter().filter_map(|factor| {
        let coldest = factor.coldest.as_ref()?;
        let name = &case.model.environments[factor.environment].name;
        Some(format!(
            "f_Rsi = {:.3}{} in {name}: {:.1} °C on {}",
            coldest.factor,
            estimate(factor.environment).unwrap_or_default(),
            coldest.temperature,
            case.model.materials[coldest.material].label
        ))
    });
    let captions = [places.collect::<Vec<_>>().join("    "), source(outcome)];
    Some(draw(
        outcome,
        width,
        &heading,
        &captions,
        &shown,
        &["line of equal factor", "inside surface below critical"],
    ))
}
