//! The one-dimensional section of a flanking element: its layers along a cut-off plane and its U-value.
//!
//! U = 1/(Rs₁ + Σ d/λ + Rs₂), ISO 6946:2017, 6.7.1. The layers are read from the plan itself, so that the
//! U-value subtracted from L2D belongs to the wall that was painted.

use super::lane::{Lane, NoLane};
use super::surface::{Film, Surfaces};
use super::thin::THIN_GAP;
use super::{Filling, Plan};
use crate::finding::Diagnostic;
use crate::geometry::{Axis, Span, Stretch, millimetres};
use crate::material::four_digits;
use crate::model::{MaterialId, Model};
use crate::text::Place;

/// A layer crossed by a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// Index of the material.
    pub material: MaterialId,
    /// m.
    pub thickness: f64,
    /// m²K/W.
    pub resistance: f64,
}

/// A section from one environment to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The films at the start and the end of the path.
    pub films: [Film; 2],
    /// The layers in the order of the path, which runs along rising x or y, or from one point to the other.
    pub layers: Vec<Layer>,
    /// Where the layers lie across the element, from film to film, m; between points, as far from the first.
    pub across: Span,
    /// Where they begin and end, m, if the section lies along no axis.
    pub ends: Option<Stretch>,
    /// W/(m²K); infinite between two fixed temperatures with nothing between.
    pub u_value: f64,
}

impl Section {
    /// Thickness of all layers, m.
    pub fn thickness(&self) -> f64 {
        self.layers.iter().map(|layer| layer.thickness).sum()
    }
}

/// The section along the plane `axis = at`.
///
/// # Errors
/// A diagnostic if the plane lies outside the plan or on an edge, or if it does not cross exactly one
/// construction.
pub fn section(
    model: &Model,
    plan: &Plan,
    surfaces: &Surfaces,
    (axis, at, range): (Axis, f64, Option<Span>),
    place: Option<Place>,
) -> Result<Section, Diagnostic> {
    let path = axis.across();
    let letter = axis.letter();
    let plane = format!("the plane {letter} = {:.3} mm", at * 1e3);
    let number = plan.lane_at(axis, at, range).map_err(|problem| match problem {
        NoLane::Outside => {
            let lines = plan.lines(axis);
            let (from, to) = (lines[0] * 1e3, lines[lines.len() - 1] * 1e3);
            Diagnostic::error(place, format!("{plane} lies outside the extent"))
                .hint(format!("the extent runs from {letter} = {from:.3} mm to {to:.3} mm"))
        }
        NoLane::OnAnEdge => {
            Diagnostic::error(place, format!("{plane} runs along an edge between different materials"))
                .hint("move the section to where the element is undisturbed, usually the cut-off plane")
        }
    })?;
    let lane = plan.within_lane(axis, number, at);
    let steps = &lane.steps;
    let mut found = constructions(&lane, surfaces);
    let overlaps = |from: usize, to: usize| {
        range.is_none_or(|range| steps[from].span.from < range.to && range.from < steps[to - 1].span.to)
    };
    found.retain(|(from, to, _)| overlaps(*from, *to));
    let [(from, to, films)] = found.as_slice() else {
        let across = path.letter();
        let (message, hint) = if found.is_empty() {
            (
                format!("{plane} does not lead through a construction from one environment to another"),
                format!(
                    "there must be a space on both sides of the solid along {across}; is the space painted up to this plane?{}",
                    side_of_rows(model)
                ),
            )
        } else {
            let gap = Gap::between(&lane, &found);
            (
                format!(
                    "{plane} crosses {} constructions{}",
                    found.len(),
                    gap.map_or(String::new(), |gap| gap
                        .said(model, &format!("{across} = {}", millimetres(gap.at))))
                ),
                gap.filter(Gap::is_slip).map_or_else(
                    || format!("name the one meant: `section: {{ {letter}: …, {across}: [from, to] }}`"),
                    |_| CLOSE_THE_GAP.to_owned(),
                ),
            )
        };
        return Err(Diagnostic::error(place, message).hint(hint));
    };
    // The edges that are crossed, both surfaces included.
    if lane.between[from - 1..*to].iter().any(|id| plan.is_oblique(*id, axis)) {
        let message = format!("{plane} crosses edges that are not square to it");
        let hint = "what heat flows through obliquely has no U-value along this plane: state that of the element with `u_value` or `build_up`";
        return Err(Diagnostic::error(place, message).hint(hint));
    }
    let conductivity = |material: MaterialId| model.materials[material].conductivity_along(path.direction());
    let solid = steps[*from..*to].iter().map(|step| (step.filling, step.span.length()));
    let layers = layers(solid, conductivity);
    let across = Span { from: steps[*from].span.from, to: steps[*to - 1].span.to };
    Ok(Section { films: *films, across, ends: None, u_value: u_value(films, &layers), layers })
}

/// What to look for where no construction is found, or the same space on both sides, in a drawing with rows along
/// lines: the end of a hint.
pub fn side_of_rows(model: &Model) -> &'static str {
    if model.has_rows_along_lines {
        " Layers beside a line lie to its left as one goes from `from` to `to`: exchange these where they lie on the wrong side"
    } else {
        ""
    }
}

/// What to do about a gap that nobody drew.
pub(super) const CLOSE_THE_GAP: &str = "close the gap: polygons that should meet need the same corners; write these as expressions of the parameters, or let one overlap the other";

/// The narrowest stretch without solid between constructions that a line leads through.
#[derive(Clone, Copy)]
pub(super) struct Gap {
    /// Where it begins along the line, m.
    pub(super) at: f64,
    width: f64,
    filling: Filling,
}

impl Gap {
    pub(super) fn between(lane: &Lane, found: &[Construction]) -> Option<Self> {
        let gaps = found.windows(2).filter_map(|pair| {
            let between = lane.steps.get(pair[0].1..pair[1].0)?;
            let (first, last) = (between.first()?, between.last()?);
            Some(Self { at: first.span.from, width: last.span.to - first.span.from, filling: first.filling })
        });
        gaps.min_by(|one, other| one.width.total_cmp(&other.width))
    }

    /// True if nobody drew it.
    pub(super) fn is_slip(&self) -> bool {
        self.width < THIN_GAP
    }

    /// `, between them 0.45 mm of outside, at y = 120 mm`.
    pub(super) fn said(&self, model: &Model, at: &str) -> String {
        let what = match self.filling {
            Filling::Space(environment) => format!("air of `{}`", model.environments[environment].name),
            Filling::Solid(_) | Filling::Nothing => "nothing".to_owned(),
        };
        format!(
            ", with a gap of {} mm between them, filled with {what}, at {at} mm",
            four_digits(self.width * 1e3)
        )
    }
}

/// A row of solids from one film to another: its first step, the step after its last, and the films.
pub(super) type Construction = (usize, usize, [Film; 2]);

/// What a lane leads through from one environment to another.
pub(super) fn constructions(lane: &Lane, surfaces: &Surfaces) -> Vec<Construction> {
    // The films before each step, and after the last.
    let film_at = |index: usize| surfaces.at(*lane.between.get(index.checked_sub(1)?)?);
    let mut found = Vec::new();
    let mut start = None;
    for index in 0..=lane.steps.len() {
        match (film_at(index), start) {
            // A film opens a construction where none is open, and closes it where the solid lies before it.
            (Some(film), None) => start = Some((index, film)),
            (Some(film), Some((from, first))) => {
                if lane.steps[from..index].iter().all(|step| step.filling.is_solid()) {
                    found.push((from, index, [first, film]));
                    start = None;
                } else {
                    start = Some((index, film));
                }
            }
            (None, _) => {}
        }
    }
    found
}

/// Solids one after the other, with their thicknesses (m), as layers.
pub(super) fn layers(
    solid: impl Iterator<Item = (Filling, f64)>,
    conductivity: impl Fn(MaterialId) -> f64,
) -> Vec<Layer> {
    let mut layers: Vec<Layer> = Vec::new();
    for (filling, thickness) in solid {
        let Filling::Solid(material) = filling else { continue };
        let resistance = thickness / conductivity(material);
        match layers.last_mut() {
            Some(last) if last.material == material => {
                last.thickness += thickness;
                last.resistance += resistance;
            }
            _ => layers.push(Layer { material, thickness, resistance }),
        }
    }
    layers
}

/// 1/(Rs₁ + Σ d/λ + Rs₂), W/(m²K).
pub(super) fn u_value(films: &[Film; 2], layers: &[Layer]) -> f64 {
    let within = layers.iter().map(|layer| layer.resistance).sum::<f64>();
    1.0 / (films[0].resistance + within + films[1].resistance)
}
