//! What is possible and yet hardly meant: values in a wrong unit, with a slipped decimal point, or in the
//! wrong place. They stay as they are, and a warning names them with their line.
//!
//! Where no source is named the limits are common practice with room on both sides.

use super::diagnostic::{Diagnostic, Place};
use super::floors::NamedFloor;
use crate::element::build_up::{Body, BuildUp, Fixing, Layer};
use crate::element::{correction, ground, resistance};
use crate::material::kind::{self, AsWindow};
use crate::material::{Material, four_digits};
use crate::model::{Environment, Role, Ruled, SurfaceRule};
use crate::ranges::plain;

/// W/(m²K): less is a metre and more of insulation, or a slip.
const LEAST_U: f64 = 0.03;
/// W/(m²K): surfaces alone let 7.1 pass upwards (ISO 6946).
const LARGEST_U: f64 = 7.5;
/// W/(m·K): insulation is below, every other solid above.
const INSULATION: f64 = 0.1;
/// W/(m·K): metals are above.
const METAL: f64 = 10.0;
/// W/(m·K): vacuum panels have 0.004.
const LEAST_CONDUCTIVITY: f64 = 0.002;
/// m: no board or mat is thinner.
const THINNEST_INSULATION: f64 = 1e-3;
/// kg/m³: nothing that insulates (λ below 0.08) is heavier; dense boards of wood fibre have some 300.
const HEAVIEST_INSULATION: f64 = 1000.0;
/// W/(m·K): what conducts less is an insulant.
const CONDUCTS_LITTLE: f64 = 0.08;
/// kg/m³: nothing but metal is heavier; concrete with barite has some 3 800.
const HEAVIEST_MINERAL: f64 = 6000.0;
/// kg/m³: no board, mat or foam is lighter.
const LIGHTEST_INSULATION: f64 = 4.0;
/// kg/m³: no metal, brick, concrete or timber is lighter; balsa has some 100.
const LIGHTEST_SOLID: f64 = 40.0;
/// J/(kg·K): lead has 130, water 4 190, hydrogen 14 300.
const HEAT_CAPACITY: std::ops::RangeInclusive<f64> = 100.0..=15_000.0;
/// No room that people live or work in is so dry.
const DRIEST_ROOM: f64 = 0.15;
/// m: no gap that is built is narrower.
const THINNEST_AIR: f64 = 5e-4;
/// m: no layer of metal is thicker.
const THICKEST_METAL: f64 = 0.03;
/// A material that conducts so many times more than others of its kind is written in another unit.
const MUCH_MORE: f64 = 4.0;
/// The same downwards: insulation, of which none is so much better, and all else, of which much is light.
const MUCH_LESS: [f64; 2] = [4.0, 10.0];
/// A material that conducts so many times more than its kind is of no kin of it either.
const OF_ANY: f64 = 100.0;
/// What is named so is of its kind in name alone: foamed concrete, steel stud equivalent, aerogel render.
const UNLIKE: [&str; 14] = [
    "foam",
    "foamed",
    "aerogel",
    "perlite",
    "lightweight",
    "light",
    "equivalent",
    "honeycomb",
    "composite",
    "break",
    "insulating",
    "expanded",
    "panel",
    "filled",
];
/// What is named so stands for several materials at once.
const MIXED: [&str; 5] = ["equivalent", "composite", "panel", "honeycomb", "break"];
/// °C: no room that people live or work in is colder or warmer. Swimming halls have some 34.
const ROOM: std::ops::RangeInclusive<f64> = -30.0..=45.0;
/// °C: no air outside, and none in an attic under a roof, is colder or warmer.
const OUTSIDE: std::ops::RangeInclusive<f64> = -60.0..=70.0;
/// m²K/W: what furniture before a surface may reach is below.
const LARGEST_SURFACE: f64 = 1.0;

const RESISTANCE_NOT_COEFFICIENT: &str =
    "it is a resistance in m²K/W (0.13, 0.04), not a coefficient in W/(m²K)";

/// What is to be asked about a surface resistance, in m²K/W.
pub fn surface(what: &str, resistance: f64, place: Place) -> Option<Diagnostic> {
    (resistance > LARGEST_SURFACE).then(|| {
        let message = format!("{what} is {resistance} m²K/W, more than any surface has");
        Diagnostic::warning(place, message).hint(RESISTANCE_NOT_COEFFICIENT)
    })
}

/// What is to be asked about temperatures. Where all resistances towards an environment are stated it may be
/// anything, an oven or a pipe; the standard's resistances hold for rooms and weather.
pub fn temperatures(environments: &[Environment], rules: &[SurfaceRule]) -> Vec<Diagnostic> {
    let is_stated = |index: usize| {
        rules.iter().any(|rule| {
            matches!(rule.ruled, Ruled::Resistance(_))
                && rule.environment.is_none_or(|environment| environment.index() == index)
        })
    };
    let is_odd = |environment: &Environment| {
        let usual = if environment.role == Role::Internal { ROOM } else { OUTSIDE };
        !usual.contains(&environment.temperature)
    };
    let odd = environments
        .iter()
        .enumerate()
        .filter(|(index, environment)| is_odd(environment) && !is_stated(*index));
    odd.map(|(_, environment)| {
        let Environment { name, temperature, role, .. } = environment;
        let role = role.word();
        let message = format!("`{name}` ({role}) has {} °C", plain(*temperature));
        let hint = "temperatures are in °C: 293 K and 68 °F are 20 °C; for what is no room, state the resistances of its surfaces: the standard's hold for rooms";
        Diagnostic::warning(environment.place, message).hint(hint)
    })
    .collect()
}

/// What is to be asked about a build-up.
pub fn build_up(build_up: &BuildUp) -> Vec<Diagnostic> {
    let mut found: Vec<Diagnostic> = build_up.layers.iter().flat_map(layer).collect();
    let mut ask = |place: Place, message: String, hint: &str| {
        found.push(Diagnostic::warning(place, message).hint(hint));
    };
    let name = &build_up.name;
    for (key, surface) in ["inside", "outside"].into_iter().zip(build_up.surfaces) {
        if surface > LARGEST_SURFACE {
            let message = format!(
                "the surface resistance `{key}` of {name} is {surface} m²K/W, more than any surface has"
            );
            ask(build_up.place, message, RESISTANCE_NOT_COEFFICIENT);
        }
    }
    let thickness: f64 = build_up.layers.iter().map(|layer| layer.thickness).sum();
    let is_thin =
        |layer: &Layer| matches!(&layer.body, Body::Solid(material) if material.conductivity_x < METAL);
    if thickness < THINNEST_INSULATION && build_up.layers.iter().all(is_thin) {
        let message = format!("{name} is {} mm thick in all", four_digits(thickness * 1e3));
        ask(build_up.place, message, "thicknesses are in mm");
    }
    let u_value = correction::corrected(build_up, &resistance::total(build_up)).u_value;
    found.extend(hardly(&format!("the build-up {name}"), u_value, build_up.place));
    found
}

fn layer(layer: &Layer) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    let mut ask =
        |message: String, hint: &str| found.push(Diagnostic::warning(layer.place, message).hint(hint));
    let label = &layer.label;
    let millimetres = |metres: f64| four_digits(metres * 1e3);
    if let Body::Solid(material) = &layer.body {
        let conductivity = material.conductivity_x;
        if conductivity < INSULATION && layer.thickness < THINNEST_INSULATION {
            let message = format!(
                "{label} insulates (λ {}) and is {} mm thick",
                four_digits(conductivity),
                millimetres(layer.thickness)
            );
            ask(message, "thicknesses are in mm");
        }
        if conductivity >= METAL && layer.thickness > THICKEST_METAL {
            let message = format!(
                "{label} is {} mm of metal (λ {})",
                millimetres(layer.thickness),
                four_digits(conductivity)
            );
            ask(message, "λ is in W/(m·K), not in mW/(m·K); thicknesses are in mm");
        }
    }
    if let Body::Air(_) = layer.body
        && layer.thickness < THINNEST_AIR
    {
        ask(
            format!("{label} is {} mm thick", millimetres(layer.thickness)),
            "thicknesses are in mm; a gap of contact is no layer",
        );
    }
    if let Some(bridge) = &layer.bridge
        && bridge.pattern.fraction() > 0.5
    {
        let share = bridge.pattern.fraction() * 100.0;
        ask(
            format!(
                "{} takes {share:.0} % of {label}, more than the layer's own material",
                bridge.material.label
            ),
            "`bridged_by` names what interrupts the layer, `fraction` its share of the area",
        );
    }
    if let Some(fixings) = layer.fixings
        && let Fixing::Rod { length, .. } = fixings.each
        && length > layer.thickness * (1.0 + 1e-9)
    {
        let message = format!(
            "the fixings in {label} are {} mm long and the layer {} mm thick: they count as right through",
            millimetres(length),
            millimetres(layer.thickness)
        );
        ask(
            message,
            "`length` is what lies within this layer; leave it out for fixings that go right through",
        );
    }
    found
}

/// True if one of these words is in a material's name or label.
fn is_called(material: &Material, words: &[&str]) -> bool {
    let name = format!("{} {}", material.name, material.label).to_lowercase();
    name.split(|letter: char| !letter.is_alphabetic()).any(|word| words.contains(&word))
}

fn is_unlike(material: &Material) -> bool {
    let is_polystyrene = is_called(material, &["polystyrene"]);
    // Of what is an insulant anyway such words are part of the name.
    is_called(material, &UNLIKE) && !is_polystyrene || is_polystyrene && is_called(material, &["concrete"])
}

/// What is to be asked about a material's conductivity.
pub fn material(material: &Material, place: Place) -> Option<Diagnostic> {
    let least = material.conductivity_x.min(material.conductivity_y);
    let most = material.conductivity_x.max(material.conductivity_y);
    let kind = kind::of(material);
    let much_less = MUCH_LESS[usize::from(kind.is_some_and(|kind| kind.range.1 >= INSULATION))];
    if let Some(kind) = kind
        && (most > MUCH_MORE * kind.range.1 || least < kind.range.0 / much_less)
        && (!is_unlike(material) || most > OF_ANY * kind.range.1)
    {
        let odd = if most > MUCH_MORE * kind.range.1 { most } else { least };
        let (low, high) = kind.range;
        let message = format!(
            "{} conducts {} W/(m·K), where {} has {low} to {high}",
            material.label,
            four_digits(odd),
            kind.name
        );
        let hint = "λ is in W/(m·K): 35 mW/(m·K) are 0.035; if it is something else, let its name say so";
        return Some(Diagnostic::warning(place, message).hint(hint));
    }
    (least < LEAST_CONDUCTIVITY).then(|| {
        let message = format!(
            "{} conducts {} W/(m·K), less than a vacuum panel (0.004)",
            material.label,
            four_digits(least)
        );
        Diagnostic::warning(place, message)
            .hint("λ is in W/(m·K); what shall let no heat pass is left unpainted")
    })
}

/// What is to be asked about a material's density and specific heat capacity.
pub fn weight(material: &Material, place: Place) -> Vec<Diagnostic> {
    const HINT: &str =
        "densities are in kg/m³: 16 for foam, 600 for aerated concrete, 2400 for concrete; 1.6 t/m³ are 1600";
    let mut found = Vec::new();
    let label = &material.label;
    let most = material.conductivity_x.max(material.conductivity_y);
    let told = kind::of(material).filter(|_| !is_unlike(material));
    let insulates = told.is_some_and(|kind| kind.range.1 < INSULATION);
    // Glazing is heavy and, with its gaps, an insulant; what stands for several materials may be anything.
    let is_anything =
        is_called(material, &MIXED) || kind::of(material).is_some_and(|kind| kind.as_window == AsWindow::Is);
    let heaviest = match most {
        most if most >= METAL || is_anything => f64::INFINITY,
        most if most < CONDUCTS_LITTLE || insulates => HEAVIEST_INSULATION,
        _ => HEAVIEST_MINERAL,
    };
    let lightest = match told {
        Some(_) if insulates => LIGHTEST_INSULATION,
        // A frame or glazing drawn as a panel is mostly air.
        Some(kind) if kind.range.0 >= CONDUCTS_LITTLE => LIGHTEST_SOLID,
        _ => 0.0,
    };
    if let Some(density) = material.density.filter(|density| !(lightest..=heaviest).contains(density)) {
        let message = format!(
            "{label} (λ {}) has a density of {} kg/m³, as nothing of its kind has",
            four_digits(most),
            plain(density)
        );
        found.push(Diagnostic::warning(place, message).hint(HINT));
    }
    if let Some(capacity) = material.heat_capacity.filter(|capacity| !HEAT_CAPACITY.contains(capacity)) {
        let message = format!("{label} has a specific heat capacity of {} J/(kg·K)", plain(capacity));
        let hint =
            "it is in J/(kg·K): 1000 for masonry, 1600 for timber, 4190 for water; 1 kJ/(kg·K) is 1000";
        found.push(Diagnostic::warning(place, message).hint(hint));
    }
    found
}

/// What is to be asked about the humidity of a room.
pub fn humidity(environment: &Environment) -> Option<Diagnostic> {
    let humidity = environment.humidity.filter(|_| environment.role == Role::Internal)?;
    dry_room(&format!("`{}` (internal)", environment.name), humidity, environment.place?)
}

/// What is to be asked about the relative humidity of air inside, 0 to 1.
pub fn dry_room(what: &str, humidity: f64, place: Place) -> Option<Diagnostic> {
    (humidity < DRIEST_ROOM).then(|| {
        let message = format!(
            "{what} has {} % of relative humidity, drier than any dwelling",
            four_digits(humidity * 100.0)
        );
        Diagnostic::warning(place, message).hint(
            "relative humidity is in per cent: 50; what is drier is never damp, so that nothing is found",
        )
    })
}

/// What is to be asked about a painted material of that thickness (m), the narrower way.
pub fn painted(material: &Material, thickness: f64, place: Place) -> Option<Diagnostic> {
    let insulates = kind::of(material).is_some_and(|kind| kind.range.1 < INSULATION) && !is_unlike(material);
    (insulates && thickness < THINNEST_INSULATION).then(|| {
        let message = format!(
            "{} insulates (λ {}) and is {} mm thick",
            material.label,
            material.conductivity_text(),
            four_digits(thickness * 1e3)
        );
        Diagnostic::warning(place, message).hint("thicknesses are in mm: 0.15 m are 150")
    })
}

/// What is to be asked about a floor.
pub fn floor(floor: &NamedFloor, place: Place) -> Option<Diagnostic> {
    hardly(&format!("the floor {}", floor.name), ground::u_value(&floor.floor).u_value, place)
}

/// What is to be asked about a U-value.
pub fn hardly(what: &str, u_value: f64, place: Place) -> Option<Diagnostic> {
    let side = match u_value {
        u if u < LEAST_U => "less than a metre of insulation has",
        u if u > LARGEST_U => "more than two surfaces without anything between let pass",
        _ => return None,
    };
    let message = format!("the U-value of {what} comes to {} W/(m²K), {side}", four_digits(u_value));
    Some(
        Diagnostic::warning(place, message)
            .hint("check the units (mm, W/(m·K), m²K/W) and the decimal points"),
    )
}
