//! The summary for the terminal: what a modeller reads at a glance and copies into a report.

use crate::model::{Condensation, Environment, EnvironmentId, Role, Ruled};
use std::fmt::Write;

use super::diagnostics::printable;
use super::level_surfaces;
use crate::bounds::Bracket;
use crate::case::Case;
use crate::climate::humid_air::{MOULD, surface_humidity, surface_temperature_at};
use crate::material::four_digits;
use crate::result::cut_off::sides_text;
use crate::result::floor::FloorOnGround;
use crate::result::temperature_factor::{Coldest, TemperatureFactor, error_text};
use crate::result::{Outcome, psi::PsiValue};

/// Under every result, since the numbers can be taken for more than they are.
pub const CAUTION: &str = "Steady two-dimensional heat flow. Mould and condensation also depend on humidity, ventilation, furniture and workmanship;\n\
                           local codes and licensed practice decide. Values carry no guarantee of the building.";

/// The whole summary, ending in a line break.
pub fn text(outcome: &Outcome) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail, so the results of writeln! are not looked at.
    let case = &outcome.case;
    let _ = writeln!(text, "{}\n", printable(&case.title));
    flows(&mut text, outcome);
    for (number, pair) in outcome.pairs().enumerate() {
        if let Some(sides) = pair.sides().filter(|_| case.psi_is_list) {
            let _ = writeln!(text, "Pair {}: {}\n", number + 1, printable(&sides_text(&case.model, &sides)));
        }
        psi(&mut text, pair);
        frame(&mut text, pair);
        if case.psi_is_list {
            sections(&mut text, pair);
        }
    }
    cavities(&mut text, outcome);
    directions(&mut text, outcome);
    if !case.psi_is_list {
        sections(&mut text, outcome);
    }
    factors(&mut text, outcome);
    points(&mut text, outcome);
    claims(&mut text, outcome);
    let grid = &outcome.grid;
    let info = &outcome.heat_loss.field.info;
    let _ = writeln!(
        text,
        "Grid {} × {} vertices, {} unknowns; {} to a relative residual of {:.0e}; heat balance {:.0e}.",
        grid.vertex_columns(),
        grid.vertex_rows(),
        outcome.heat_loss.conduction.unknowns,
        iterations(info.iterations),
        info.residual,
        outcome.heat_balance
    );
    evidence(&mut text, outcome);
    let _ = writeln!(text, "{CAUTION}");
    text
}

fn name(environment: &Environment) -> String {
    printable(&environment.name)
}

fn flows(text: &mut String, outcome: &Outcome) {
    let case = &outcome.case;
    if let Some(l2d) = outcome.l2d {
        let _ = writeln!(text, "Thermal coupling coefficient   L2D = {l2d} W/(m·K)");
    }
    for (environment, flow) in case.model.environments.iter().zip(&outcome.heat_flows) {
        let (name, temperature) = (name(environment), environment.temperature);
        let flow = flow.map_or_else(|| "infinite".to_owned(), |flow| decimals(flow, 3));
        let _ = writeln!(text, "  {name:<20} {temperature:>6} °C {flow:>12} W/m into the construction");
    }
    for pair in &outcome.coupling {
        let [first, second] = pair.between.map(|index| name(&case.model.environments[index]));
        let _ = match pair.bracket {
            Some(bracket) => writeln!(text, "  between {first} and {second}: L2D = {bracket} W/(m·K)"),
            None => writeln!(text, "  between {first} and {second}: L2D = none: fixed temperatures touch"),
        };
    }
    text.push('\n');
}

fn psi(text: &mut String, outcome: &Outcome) {
    let Some(l2d) = outcome.l2d else { return };
    let same = |a: &PsiValue, b: &PsiValue| a.terms.iter().zip(&b.terms).all(|(a, b)| a.length == b.length);
    let mut done: Vec<&PsiValue> = Vec::new();
    for psi in &outcome.psi {
        if done.iter().any(|earlier| same(earlier, psi)) {
            continue;
        }
        let alike: Vec<&str> = outcome
            .psi
            .iter()
            .filter(|other| same(other, psi))
            .map(|other| other.convention.label())
            .collect();
        let _ = writeln!(text, "Linear thermal transmittance by {} dimensions", alike.join(" = "));
        let _ = writeln!(text, "  {:<30} {:>37.4}", "L2D", l2d.middle());
        for term in &psi.terms {
            let factors = format!("{:.4} W/(m²K) × {:.4} m", term.u_value, term.length);
            let _ = writeln!(
                text,
                "− {:<30} {factors:>26} {:>10.4}",
                printable(&term.element),
                term.product.middle()
            );
        }
        let _ = writeln!(text, "= ψ {:>65} W/(m·K)", decimals(psi.value, 4));
        let _ = writeln!(
            text,
            "  ψ = {} W/(m·K), guaranteed for this geometry and these conductivities",
            psi.bracket
        );
        if let (Some(method), Some((other, bracket))) =
            (psi.terms.iter().find_map(|term| term.method), psi.other_floor)
        {
            let _ = writeln!(
                text,
                "  This is with the floor by the {}. By the {}: ψ = {bracket} W/(m·K)",
                method.label(),
                other.label()
            );
        }
        text.push('\n');
        done.push(psi);
    }
}

fn frame(text: &mut String, outcome: &Outcome) {
    let width = outcome.case.model.psi.as_ref().and_then(|psi| psi.frame);
    if let (Some(u), Some(width)) = (outcome.frame_u, width) {
        let millimetres = four_digits(width.length() * 1e3);
        let _ = writeln!(text, "Frame (ISO 10077-2): U_f = ψ/{millimetres} mm = {u} W/(m²K)\n");
    }
}

fn cavities(text: &mut String, outcome: &Outcome) {
    for settled in &outcome.cavities {
        let fill = &outcome.case.model.cavities[settled.cavity];
        let state = settled.state;
        let _ = writeln!(
            text,
            "{}{}: {} mm along and {} mm across the heat flow ({}), {:.1} °C on average, {:.1} K apart: λ = {} W/(m·K)",
            outcome.case.model.materials[fill.material].label,
            fill.part.as_ref().map_or("", |part| part.kind.remark()),
            four_digits(state.depth * 1e3),
            four_digits(state.width * 1e3),
            state.heat_flow.word(),
            state.mean_temperature,
            state.difference,
            four_digits(settled.conductivity)
        );
    }
    for cut in crate::plan::cavities::cuts(&outcome.case.model) {
        let _ = writeln!(text, "{cut}");
    }
    if !outcome.cavities.is_empty() {
        text.push('\n');
    }
}

/// Of level surfaces, where it was not plain.
fn directions(text: &mut String, outcome: &Outcome) {
    let lines = level_surfaces::lines(outcome);
    for line in &lines {
        let _ = writeln!(text, "{line}");
    }
    if !lines.is_empty() {
        text.push('\n');
    }
}

fn sections(text: &mut String, outcome: &Outcome) {
    let case = &outcome.case;
    for element in &outcome.elements {
        let element_name = printable(&element.element);
        if let Some(floor) = &element.floor {
            self::floor(text, case, &element_name, floor);
            continue;
        }
        if let Some(build_up) = &element.build_up {
            let _ = writeln!(
                text,
                "U of {element_name} = {:.4} W/(m²K), of the build-up {} by the combined method (ISO 6946)",
                element.u_value,
                printable(build_up)
            );
            continue;
        }
        let Some(section) = &element.section else {
            let _ =
                writeln!(text, "U of {element_name} = {:.4} W/(m²K), stated in the case", element.u_value);
            continue;
        };
        let _ = writeln!(text, "U of {element_name} = {:.4} W/(m²K)", element.u_value);
        let mut row = |label: &str, thickness: Option<f64>, conductivity: Option<f64>, resistance: f64| {
            let thickness = thickness.map(|value| format!("{:.1} mm", value * 1e3)).unwrap_or_default();
            let conductivity =
                conductivity.map(|value| format!("λ {}", four_digits(value))).unwrap_or_default();
            let _ =
                writeln!(text, "  {label:<34} {thickness:>12} {conductivity:>12} {resistance:>9.4} m²K/W");
        };
        let film = |index: usize| {
            let film = section.films[index];
            (format!("surface to {}", name(&case.model.environments[film.environment])), film.resistance)
        };
        let ((first, first_resistance), (last, last_resistance)) = (film(0), film(1));
        row(&first, None, None, first_resistance);
        for layer in &section.layers {
            let material = &case.model.materials[layer.material];
            row(
                &printable(&material.label),
                Some(layer.thickness),
                Some(layer.thickness / layer.resistance),
                layer.resistance,
            );
        }
        row(&last, None, None, last_resistance);
    }
    if !outcome.elements.is_empty() {
        text.push('\n');
    }
}

/// A floor on the ground, by both methods.
fn floor(text: &mut String, case: &Case, element: &str, floor: &FloorOnGround) {
    let formula = &floor.floor;
    let _ = writeln!(
        text,
        "U of {element} = {:.4} W/(m²K) by the formula of ISO 13370 for a slab on ground",
        floor.formula.u_value
    );
    for layer in &floor.layers {
        let label = printable(&case.model.materials[layer.material].label);
        let conductivity = format!("λ {}", four_digits(layer.thickness / layer.resistance));
        let thickness = format!("{:.1} mm", layer.thickness * 1e3);
        let _ = writeln!(
            text,
            "  {label:<34} {thickness:>12} {conductivity:>12} {:>9.4} m²K/W",
            layer.resistance
        );
    }
    let _ = writeln!(
        text,
        "  B' = {:.3} m (twice the floor's internal length), w = {:.3} m, λ of the ground {} ({}), R_f = {:.4} m²K/W, d_t = {:.3} m",
        formula.characteristic_dimension,
        formula.wall_thickness,
        four_digits(formula.ground_conductivity),
        printable(&case.model.materials[floor.ground].label),
        formula.floor_resistance,
        floor.formula.equivalent_thickness
    );
    if let Some(model) = floor.model {
        let u = model.middle() / floor.length();
        let _ = writeln!(
            text,
            "  floor and ground alone, solved: {model} W/(m·K), which is U = {u:.4} W/(m²K) over its {:.3} m",
            floor.length()
        );
    }
}

fn factors(text: &mut String, outcome: &Outcome) {
    let case = &outcome.case;
    if outcome.factors.is_empty() {
        return;
    }
    let resistances = match (&outcome.condensation, &case.model.condensation) {
        (Some(_), Some(condensation)) => {
            format!("{} for condensation", condensation_resistance(case, condensation))
        }
        _ => "surface resistances for heat loss".to_owned(),
    };
    let _ = writeln!(text, "Temperature factor ({resistances})");
    for factor in &outcome.factors {
        let environment = &case.model.environments[factor.environment];
        if let Some(coldest) = &factor.coldest {
            let _ = writeln!(
                text,
                "  {:<20} f_Rsi = {}",
                name(environment),
                place(outcome, factor, false, coldest)
            );
            verdicts(text, outcome, coldest, environment);
            weights(text, case, coldest);
        }
        if let Some(coldest) = &factor.coldest_excluded {
            let _ = writeln!(
                text,
                "  {:<20} f     = {}  (excluded, judged apart)",
                "",
                place(outcome, factor, true, coldest)
            );
            apart(text, coldest, environment);
        }
    }
    text.push('\n');
}

/// The internal surface resistances that f_Rsi is computed with, in words.
pub fn condensation_resistance(case: &Case, condensation: &Condensation) -> String {
    let is_inside = |index: EnvironmentId| case.model.environments[index].role == Role::Internal;
    let mut higher = case.model.surfaces.iter().filter(|rule| rule.environment.is_none_or(is_inside));
    let is_higher = higher
        .any(|rule| matches!(rule.ruled, Ruled::Resistance(stated) if stated > condensation.resistance));
    let stated = if is_higher { " or the higher one stated under `surfaces`" } else { "" };
    format!("internal surface resistance {} m²K/W{stated}", condensation.resistance)
}

/// A number with so many decimals; what rounds to zero has no sign.
pub fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if shows_zero(&text) { text.trim_start_matches('-').to_owned() } else { text }
}

/// True for a written number of which no digit but zeros is left.
pub fn shows_zero(text: &str) -> bool {
    text.chars().all(|digit| matches!(digit, '+' | '-' | '0' | '.'))
}

/// A temperature with its error, K, rounded up.
pub fn temperature_text(temperature: f64, error: f64) -> String {
    format!("{temperature:.2} ± {:.2}", (error * 100.0).ceil() / 100.0)
}

/// An estimated error to stand behind the factor, if it is known.
pub fn in_brackets(error: Option<f64>) -> String {
    error.map_or_else(String::new, |error| format!(" (estimated error {})", error_text(error)))
}

/// The factor with its error and where it is.
fn place(outcome: &Outcome, factor: &TemperatureFactor, is_excluded: bool, coldest: &Coldest) -> String {
    let error = in_brackets(outcome.coldest_error(factor.environment, is_excluded));
    format!("{:.3}{error}: {}", coldest.factor, printable(&coldest.description(&outcome.case.model)))
}

fn verdicts(text: &mut String, outcome: &Outcome, coldest: &Coldest, environment: &Environment) {
    let condensation = outcome.case.model.condensation.as_ref();
    if let Some(critical) = condensation.and_then(|condensation| condensation.critical) {
        let verdict = if coldest.factor >= critical { "reached" } else { "NOT reached" };
        let _ = writeln!(text, "  {:<20} critical value of the case {critical}: {verdict}", "");
    }
    let Some(humidity) = environment.humidity.filter(|humidity| *humidity > 0.0) else { return };
    let temperature = environment.temperature;
    let at_surface = surface_humidity(temperature, humidity, coldest.temperature) * 100.0;
    let (mould, dew) = (
        surface_temperature_at(temperature, humidity, MOULD),
        surface_temperature_at(temperature, humidity, 1.0),
    );
    let _ = writeln!(
        text,
        "  {:<20} air of {temperature} °C and {:.0} %: surface humidity there {at_surface:.0} % (mould from 80 %, {mould:.1} °C; dew point {dew:.1} °C)",
        "",
        humidity * 100.0
    );
}

/// On frames and glazing condensation counts, not mould.
fn apart(text: &mut String, coldest: &Coldest, environment: &Environment) {
    let Some(humidity) = environment.humidity.filter(|humidity| *humidity > 0.0) else { return };
    let dew = surface_temperature_at(environment.temperature, humidity, 1.0);
    let verdict = if coldest.temperature >= dew { "no condensation there" } else { "CONDENSATION there" };
    let _ = writeln!(
        text,
        "  {:<20} air of {} °C and {:.0} %: {verdict}",
        "",
        environment.temperature,
        humidity * 100.0
    );
}

fn weights(text: &mut String, case: &Case, coldest: &Coldest) {
    if coldest.weights.is_empty() {
        return;
    }
    let parts: Vec<String> = case
        .model
        .environments
        .iter()
        .zip(&coldest.weights)
        .map(|(environment, weight)| format!("{:.3} × {}", weight, name(environment)))
        .collect();
    let _ = writeln!(text, "  {:<20} temperature there = {}", "", parts.join(" + "));
}

/// What ISO 10211 asks for: the effect of the subdivision, and the cut-off planes.
fn evidence(text: &mut String, outcome: &Outcome) {
    if let Some(evidence) = &outcome.evidence {
        let [own, finer] = evidence.cells;
        let change = evidence.heat_flow_change() * 100.0;
        let _ = write!(
            text,
            "Cells halved in both directions ({own} → {finer}) change the heat flow by {change:.2} %"
        );
        for factor in &evidence.factors {
            let name = name(&outcome.case.model.environments[factor.environment]);
            let _ = write!(text, ", f_Rsi of {name} by {:.4}", factor.change());
        }
        text.push_str(".\n");
    }
    for note in &outcome.notes {
        let _ = writeln!(text, "Note: {}.", printable(note));
    }
}

fn points(text: &mut String, outcome: &Outcome) {
    for point in points_text(outcome) {
        let _ = write!(
            text,
            "Temperature at {}: {} °C with the surface resistances for heat loss",
            printable(&point.name),
            point.heat_loss
        );
        if let Some(condensation) = point.condensation {
            let _ = write!(text, ", {condensation} °C with those for condensation");
        }
        text.push('\n');
    }
    if !outcome.points.is_empty() {
        text.push('\n');
    }
}

/// Their number in words.
pub fn iterations(count: usize) -> String {
    if count == 1 { "1 iteration".to_owned() } else { format!("{count} iterations") }
}

/// A named point for readers.
pub struct PointText {
    /// Its name.
    pub name: String,
    /// Temperature and error with the surface resistances for heat loss, °C.
    pub heat_loss: String,
    /// The same with those for condensation.
    pub condensation: Option<String>,
}

/// Every named point with its errors, rounded up.
pub fn points_text(outcome: &Outcome) -> Vec<PointText> {
    let errors = [false, true].map(|is_condensation| outcome.point_errors(is_condensation));
    let shown = |temperature: f64, error: Option<&f64>| match error {
        Some(error) => temperature_text(temperature, *error),
        None => format!("{temperature:.2}"),
    };
    let of = |(index, (name, temperature)): (usize, &(String, f64))| PointText {
        name: name.clone(),
        heat_loss: shown(*temperature, errors[0].get(index)),
        condensation: outcome
            .points_condensation
            .get(index)
            .map(|(_, other)| shown(*other, errors[1].get(index))),
    };
    outcome.points.iter().enumerate().map(of).collect()
}

fn claims(text: &mut String, outcome: &Outcome) {
    for claim in &outcome.case.claims {
        let computed = match claim.key.as_str() {
            "l2d" => outcome.l2d.map(Bracket::middle),
            "f_rsi" => outcome
                .factors
                .iter()
                .filter_map(|factor| factor.coldest.as_ref())
                .map(|coldest| coldest.factor)
                .reduce(f64::min),
            key => outcome.psi_by_key(key).map(|psi| psi.value),
        };
        let computed = computed.map_or_else(|| "not computed".to_owned(), |value| decimals(value, 4));
        let _ = writeln!(text, "Claimed {} = {}; computed {computed}", claim.key, claim.value);
    }
    if !outcome.case.claims.is_empty() {
        text.push('\n');
    }
}
