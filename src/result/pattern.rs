//! The repeating pattern of a build-up solved in two dimensions, beside the combined method of ISO 6946.
//!
//! Bars (studs, rafters, battens) are one section through half a bar and half the bay, adiabatic at both ends
//! by symmetry. All bars of one spacing are taken as parallel and one behind the other.
//!
//! Masonry has joints in two directions. It takes two steps that keep all areas true: a plan through block
//! and perpendicular joint, whose loss gives the conductivity of a course; then a section through course and
//! bed joint.
//!
//! By Rayleigh's monotonicity the solution lies between the limits of the combined method: adiabatic lines
//! added at the parts' edges give the upper limit of the resistance, isothermal planes added between the
//! layers the lower one.

use super::{Demand, Failure, compute_to};
use crate::bounds::{Bracket, NoBracket};
use crate::element::build_up::{Body, BuildUp, Layer, Pattern};
use crate::element::resistance::{self, Total};
use crate::geometry::{Rectangle, Span};
use crate::material::Material;
use crate::model::{
    Area, Cut, Environment, EnvironmentId, MaterialId, Model, Paint, Role, Ruled, Shape, SurfaceRule,
};

/// U of the pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct PatternU {
    /// W/(m²K). Guaranteed for bars; for masonry that of the second step, the first being taken as exact.
    pub u_value: Bracket,
    /// Masonry: the conductivity of a course, W/(m·K).
    pub course: Option<f64>,
    /// Unknowns of the last model.
    pub unknowns: usize,
}

/// Why a bridged build-up has no two-dimensional value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPattern {
    /// Nothing is bridged: one dimension is enough.
    Plain,
    /// Some bridge is a share of the area without a place.
    Fraction,
    /// Patterns of several kinds or spacings, which have no common period.
    Several,
    /// A slightly ventilated air layer is no conduction.
    Ventilated,
}

impl NoPattern {
    /// What to tell the reader, if anything.
    pub fn reason(self) -> Option<&'static str> {
        match self {
            Self::Plain => None,
            Self::Fraction => Some(
                "a bridge is given by its share of the area alone: `width` and `spacing` let it be solved in two dimensions",
            ),
            Self::Several => Some(
                "bridges of different kinds or spacings have no common period to be solved in two dimensions",
            ),
            Self::Ventilated => Some("with a ventilated air layer there is no two-dimensional value"),
        }
    }
}

/// The half-width wanted of U, as a part of it.
const ACCURACY: f64 = 5e-4;
/// The least size of anything in the model, m: plans take what is thinner for a slip.
const THINNEST: f64 = 1e-4;
/// Thickness, m, given to a layer that is known by its resistance alone.
const SHEET: f64 = 1e-3;

/// Solves the pattern of a build-up; the inner result says why there is none.
///
/// # Errors
/// [`Failure`] if the equations cannot be solved.
pub fn solve(build_up: &BuildUp) -> Result<Result<PatternU, NoPattern>, Failure> {
    let total = resistance::total(build_up);
    let layers = &build_up.layers[..total.layers];
    let patterns: Vec<Pattern> =
        layers.iter().filter_map(|layer| layer.bridge.as_ref()).map(|bridge| bridge.pattern).collect();
    let spacing = |pattern: &Pattern| match pattern {
        Pattern::Bars { spacing, .. } => Some(*spacing),
        _ => None,
    };
    let refusal = match patterns.as_slice() {
        [] => Some(NoPattern::Plain),
        _ if !total.ventilation.is_empty() => Some(NoPattern::Ventilated),
        all if all.iter().any(|pattern| matches!(pattern, Pattern::Fraction(_))) => Some(NoPattern::Fraction),
        [_] => None,
        [first, rest @ ..] => {
            let same = spacing(first).is_some() && rest.iter().all(|other| spacing(other) == spacing(first));
            (!same).then_some(NoPattern::Several)
        }
    };
    if let Some(refusal) = refusal {
        return Ok(Err(refusal));
    }
    let (u_value, course, unknowns) =
        if let Pattern::Joints { block: [length, height], joints: [bed, perpendicular] } = patterns[0] {
            let (plan, _) =
                period(build_up, &total, 0.5 * (length + perpendicular), Some(0.5 * perpendicular))?;
            let masonry = layers.iter().position(|layer| layer.bridge.is_some()).unwrap_or_default();
            let others: f64 = layers
                .iter()
                .enumerate()
                .filter(|(index, _)| *index != masonry)
                .map(|(_, layer)| layer.body_resistance(build_up.heat_flow))
                .sum();
            let [inside, outside] = total.surfaces;
            let course = layers[masonry].thickness / (1.0 / plan.middle() - others - inside - outside);
            let mut of_courses = build_up.clone();
            of_courses.layers[masonry].body = Body::Solid(Material::homogeneous("course", course));
            let (section, unknowns) = period(&of_courses, &total, 0.5 * (height + bed), Some(0.5 * bed))?;
            (section, Some(course), unknowns)
        } else {
            let spacing = spacing(&patterns[0]).unwrap_or_default();
            let (u_value, unknowns) = period(build_up, &total, 0.5 * spacing, None)?;
            (u_value, None, unknowns)
        };
    Ok(Ok(PatternU { u_value, course, unknowns }))
}

/// How many times larger the model is drawn. With all lengths and conductivities grown alike every resistance
/// stays, and so does U.
fn scale(layers: &[Layer], joint: Option<f64>) -> f64 {
    let widths = layers.iter().filter(|layer| layer.bridge.is_some()).map(|layer| half_width(layer, joint));
    let sizes = layers.iter().map(|layer| layer.thickness).chain(widths).filter(|size| *size > 0.0);
    (THINNEST / sizes.fold(THINNEST, f64::min)).max(1.0)
}

/// U over half a period, m. `joint` is half the joint's width; for bars each layer has its own.
fn period(
    build_up: &BuildUp,
    total: &Total,
    half: f64,
    joint: Option<f64>,
) -> Result<(Bracket, usize), Failure> {
    let scale = scale(&build_up.layers[..total.layers], joint);
    let model = model(build_up, total, half, joint, scale);
    let length = half * scale;
    let demand =
        Demand { half_width: ACCURACY * length * total.u_value(), ..Demand::default() }.without_factors();
    let outcome = compute_to(model, &demand)?;
    let l2d = outcome.l2d.ok_or(NoBracket::NotFinite)?;
    Ok((l2d.over(length)?, outcome.computed.unknowns()))
}

/// Half a period as a model: x through the layers, y along the period, `scale` times as large.
fn model(build_up: &BuildUp, total: &Total, half: f64, joint: Option<f64>, scale: f64) -> Model {
    let mut materials: Vec<Material> = Vec::new();
    let mut plan = Vec::new();
    let shape =
        |paint: Paint, x: Span, y: Span| Shape { paint, area: Rectangle { x, y }.into(), place: None };
    let whole = Span { from: 0.0, to: half * scale };
    let mut at = 0.0;
    for layer in &build_up.layers[..total.layers] {
        let resistance = layer.body_resistance(build_up.heat_flow);
        if layer.thickness == 0.0 && resistance == 0.0 {
            continue;
        }
        let thickness = if layer.thickness > 0.0 { layer.thickness } else { SHEET } * scale;
        let x = Span { from: at, to: at + thickness };
        at += thickness;
        materials.push(Material::homogeneous(&layer.label, thickness / resistance));
        plan.push(shape(Paint::Solid(MaterialId::new(materials.len() - 1)), x, whole));
        if let Some(bridge) = &layer.bridge {
            let width = half_width(layer, joint) * scale;
            if width > 0.0 {
                materials.push(Material::homogeneous(
                    &bridge.material.label,
                    bridge.material.conductivity_x * scale,
                ));
                plan.push(shape(
                    Paint::Solid(MaterialId::new(materials.len() - 1)),
                    x,
                    Span { from: 0.0, to: width },
                ));
            }
        }
    }
    let air = 0.1 * at;
    plan.push(shape(Paint::Space(EnvironmentId::new(0)), Span { from: -air, to: 0.0 }, whole));
    plan.push(shape(Paint::Space(EnvironmentId::new(1)), Span { from: at, to: at + air }, whole));
    let environment = |name: &str, role: Role, temperature: f64| Environment {
        name: name.to_owned(),
        role,
        temperature,
        humidity: None,
        is_touched: true,
        place: None,
    };
    let rule = |environment: EnvironmentId| SurfaceRule {
        environment: Some(environment),
        materials: None,
        within: Area::everywhere(),
        ruled: Ruled::Resistance(total.surfaces[environment]),
        place: None,
    };
    Model {
        cut: Cut::Horizontal,
        materials,
        build_ups: Vec::new(),
        environments: vec![
            environment("inside", Role::Internal, 20.0),
            environment("outside", Role::External, 0.0),
        ],
        extent: Rectangle { x: Span { from: -air, to: at + air }, y: whole },
        border: None,
        extent_place: None,
        plan,
        surfaces: EnvironmentId::all(2).map(rule).collect(),
        psi: None,
        further_psi: Vec::new(),
        condensation: None,
        cavities: Vec::new(),
        painted: Vec::new(),
        has_rows_along_lines: false,
        points: Vec::new(),
    }
}

fn half_width(layer: &Layer, joint: Option<f64>) -> f64 {
    match layer.bridge.as_ref().map(|bridge| bridge.pattern) {
        Some(Pattern::Bars { width, .. }) => 0.5 * width,
        _ => joint.unwrap_or_default(),
    }
}
