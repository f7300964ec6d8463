//! U-values that a case states, or takes from a section elsewhere, against what it draws: ψ takes off U·l of
//! each flanking element, and L2D holds what is drawn of it.
//!
//! The drawn U-value is that of sections through the half of the element's length next to its cut-off plane.
//! Where they differ, as between and through studs, it is that of all of them by their widths, between the
//! limits of the combined method (ISO 6946:2017, 6.7.2.2 and 6.7.2.3): heat flows straight through, each part
//! for itself, or every plane across it is isothermal. Where studs follow each other, how many of them a
//! stretch counts depends on where it begins and ends: every stretch from edge to edge, at least half as long
//! as what is looked at, has its limits, and the stated U-value may lie anywhere between the lowest and the
//! highest.

use super::counterpart;
use super::planes::{CutAt, planes};
use super::u_value::ElementU;
use super::views::{View, described, views};
use crate::finding::Diagnostic;
use crate::geometry::{SAME_PLACE, Span, millimetres};
use crate::material::four_digits;
use crate::model::{EnvironmentId, Flanking, Model, UValueSource};
use crate::plan::Plan;
use crate::plan::section::{Section, section};
use crate::plan::surface::Surfaces;

/// Stretches begin at one of so many edges: where studs follow each other these are several of them.
const MOST_STARTS: usize = 16;
/// U-values through air cavities are settled with the solution, and not by the section: they may differ by
/// this share.
pub(super) const WITH_CAVITIES: f64 = 0.05;

/// What is cut over more than this (m) may be ground, which has no air below: floors lie on that.
const LEAST_GROUND: f64 = 2.0;

/// A stated U-value that is not that of what is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// Number of the flanking element.
    pub element: usize,
    /// W/(m²K).
    pub stated: f64,
    /// The nearest of what is drawn, W/(m²K).
    pub drawn: f64,
    /// Its cut-off plane, for readers.
    plane: String,
    /// How far from the plane it was looked at, m, where what is drawn differs along the element.
    differs_over: Option<f64>,
}

impl Stated {
    /// What was found, for readers.
    pub fn message(&self, item: &Flanking) -> String {
        let plane = &self.plane;
        let origin = match (&item.build_up, item.u_value) {
            (Some(name), _) => format!("of the build-up {name}"),
            (None, UValueSource::Section { axis, at, .. }) => {
                format!("of its section at {} = {} mm", axis.letter(), millimetres(at))
            }
            (None, UValueSource::Across(_)) => "of its section".to_owned(),
            (None, _) => "as stated".to_owned(),
        };
        let longest = item.longest();
        let [stated, drawn] = [self.stated, self.drawn].map(four_digits);
        let where_drawn = match self.differs_over {
            None => format!("at {plane} has U {drawn}"),
            Some(over) => format!(
                "over {} mm from {plane} has U {drawn} at the {}, all its parts counted",
                (over * 1e3).round(),
                if self.stated > self.drawn { "most" } else { "least" }
            ),
        };
        format!(
            "{} is taken off with U {stated} W/(m²K) {origin}, and what is drawn {where_drawn}: that makes ψ {:.4} W/(m·K) {}",
            item.element,
            (self.stated - self.drawn).abs() * longest,
            if self.stated > self.drawn { "lower" } else { "higher" }
        )
    }
}

/// A flanking element whose model has air on one side at most.
#[derive(Clone, Debug, PartialEq)]
pub struct Faceless {
    /// Number of the flanking element.
    pub element: usize,
    /// Its cut-off plane, for readers.
    plane: String,
    /// W/(m²K).
    u_value: f64,
}

impl Faceless {
    /// What was found, for readers.
    pub fn message(&self, item: &Flanking) -> String {
        format!(
            "{} is taken off, {:.4} W/(m·K), but from {} inwards what is drawn of it has no air on both sides: a face on the edge of what is painted lets no heat pass, and ψ comes out lower by up to as much",
            item.element,
            self.u_value * item.longest(),
            self.plane
        )
    }
}

/// What is wrong with the U-values that a case states.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// Each that differs from what is drawn by more than its rounding.
    pub differing: Vec<Stated>,
    /// Elements of which no part is drawn with air on both sides. Ground is: it goes deep.
    pub faceless: Vec<Faceless>,
}

/// Looks at all flanking elements.
pub fn found(
    (model, plan, surfaces): (&Model, &Plan, &Surfaces),
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Found {
    let mut found = Found::default();
    if model.psi.as_ref().is_some_and(|psi| psi.flanking.len() == elements.len()) {
        for view in views(model, plan, elements) {
            found.add(&view, surfaces, sides);
        }
    }
    found.differing.sort_by_key(|stated| stated.element);
    found.faceless.sort_by_key(|faceless| faceless.element);
    found
}

impl Found {
    fn add(&mut self, view: &View<'_>, surfaces: &Surfaces, sides: &[Vec<EnvironmentId>; 2]) {
        let items = view.psi().map(|psi| psi.flanking.as_slice()).unwrap_or_default();
        for (element, (item, plane)) in items.iter().zip(planes(view, sides)).enumerate() {
            let stated = match item.u_value {
                UValueSource::Given(stated) => stated,
                UValueSource::Section { .. } | UValueSource::Across(_) => view.elements[element].u_value,
                UValueSource::Floor { .. } => continue,
            };
            // What is cut obliquely has no U-value along the plane, and `cut_off` has told of it.
            let Some(plane) = plane.filter(|plane| !plane.is_oblique) else { continue };
            let lanes = lanes((&view.model, &view.plan, surfaces), item, &plane);
            let middle = f64::midpoint(plane.across.from, plane.across.to);
            let told = described(&view.plan, plane.axis, plane.at, middle);
            // A section between two spaces has been read, so that it has faces.
            let is_section = matches!(item.u_value, UValueSource::Section { .. });
            if lanes.is_empty() && !is_section && plane.across.length() < LEAST_GROUND {
                self.faceless.push(Faceless { element, plane: told.clone(), u_value: stated });
            }
            self.differing.extend(differing(&view.model, (element, item, stated), told, &lanes));
        }
    }
}

/// A stated U-value of an element, if it differs from what is drawn.
fn differing(
    model: &Model,
    (element, item, stated): (usize, &Flanking, f64),
    plane: String,
    lanes: &[Lane],
) -> Option<Stated> {
    let is_cavity = |lane: &Lane| {
        lane.section
            .layers
            .iter()
            .any(|layer| model.cavities.iter().any(|cavity| cavity.material == layer.material))
    };
    let share = if lanes.iter().any(is_cavity) { WITH_CAVITIES } else { 0.0 };
    // A section is one part of what it cuts, and `along` says where the others are; any other U-value counts
    // all of them.
    let is_section = matches!(item.u_value, UValueSource::Section { .. });
    let (least, most) = if is_section {
        let u_values = || lanes.iter().map(|lane| lane.section.u_value);
        (u_values().reduce(f64::min)?, u_values().reduce(f64::max)?)
    } else {
        limits(lanes)?
    };
    let nearest = stated.clamp(least, most);
    let allowed = counterpart::same_u(stated, nearest).max(share * nearest);
    ((stated - nearest).abs() > allowed).then(|| {
        let differs = lanes.iter().any(|lane| lane.section.layers != lanes[0].section.layers);
        let is_mean = differs && !is_section;
        let differs_over = lanes.last().filter(|_| is_mean).map(|lane| lane.along.to);
        Stated { element, stated, drawn: nearest, plane, differs_over }
    })
}

/// Warnings for all of them.
pub fn warnings(
    of: (&Model, &Plan, &Surfaces),
    sides: &[Vec<EnvironmentId>; 2],
    elements: &[ElementU],
) -> Vec<Diagnostic> {
    let (model, ..) = of;
    let Some(psi) = &model.psi else { return Vec::new() };
    let warning = |stated: Stated| {
        let item = &psi.flanking[stated.element];
        let plane = if item.slope.is_some() {
            "from: [x, y], to: [x, y]".to_owned()
        } else {
            stated.plane.replace(" =", ":").trim_end_matches(" mm").to_owned()
        };
        let hint = if stated.differs_over.is_some() {
            "take the U-value of what is drawn, `build_up: NAME` with the same studs; or draw what the U-value is of: `layers: { build_up: NAME }` paints it"
                .to_owned()
        } else {
            format!(
                "`section: {{ {plane} }}` takes what is drawn; or correct the U-value, or draw the element that it is of: a window of U_w as one panel of that U"
            )
        };
        Diagnostic::warning(item.place, stated.message(item)).hint(hint)
    };
    let without_faces = |faceless: Faceless| {
        let item = &psi.flanking[faceless.element];
        let hint = "paint the air beside it as a `space`, and let the `extent` go on beyond its surfaces";
        Diagnostic::warning(item.place, faceless.message(item)).hint(hint)
    };
    let Found { differing, faceless } = found(of, sides, elements);
    differing.into_iter().map(warning).chain(faceless.into_iter().map(without_faces)).collect()
}

/// A stretch of an element that one section stands for.
struct Lane {
    /// Distance of its ends from the cut-off plane, m.
    along: Span,
    section: Section,
}

/// The element in stretches, from its plane to half of its length.
fn lanes((model, plan, surfaces): (&Model, &Plan, &Surfaces), item: &Flanking, plane: &CutAt) -> Vec<Lane> {
    let lines = plan.lines(plane.axis);
    let shortest = item.shortest();
    let reach = 0.5 * shortest + SAME_PLACE;
    let lane = |lines: &[f64]| {
        let [one, other] = [lines[0], lines[1]].map(|line| (line - plane.at) * plane.inwards);
        let along = Span { from: one.min(other), to: one.max(other).min(reach) };
        if along.from < -SAME_PLACE || along.to <= along.from {
            return None;
        }
        let at = f64::midpoint(lines[0], lines[1]);
        let section =
            section(model, plan, surfaces, (plane.axis, at, Some(inner(plane.across))), item.place).ok()?;
        section.u_value.is_finite().then_some(Lane { along, section })
    };
    let mut found: Vec<Lane> = lines.windows(2).filter_map(lane).collect();
    found.sort_by(|a, b| a.along.from.total_cmp(&b.along.from));
    // Lines that something else needs part nothing here.
    found.dedup_by(|next, lane| {
        let is_like = next.section.layers == lane.section.layers && next.section.films == lane.section.films;
        let goes_on = is_like && next.along.from - lane.along.to < SAME_PLACE;
        if goes_on {
            lane.along.to = next.along.to;
        }
        goes_on
    });
    found
}

/// The least and the most U of the stretches from edge to edge that are at least half as long as all.
fn limits(lanes: &[Lane]) -> Option<(f64, f64)> {
    let half = 0.5 * lanes.last()?.along.to;
    let stretches = (0..lanes.len().min(MOST_STARTS))
        .flat_map(|first| (first..lanes.len()).map(move |last| &lanes[first..=last]));
    let is_long = |lanes: &&[Lane]| lanes.iter().map(|lane| lane.along.length()).sum::<f64>() >= half;
    let each: Vec<(f64, f64)> =
        stretches.filter(is_long).map(|lanes| (straight(lanes), isothermal(lanes))).collect();
    let least = each.iter().map(|(straight, _)| *straight).reduce(f64::min)?;
    let most = each.iter().map(|(_, isothermal)| *isothermal).reduce(f64::max)?;
    Some((least, most.max(least)))
}

/// U where heat flows straight through, each part for itself, W/(m²K).
fn straight(lanes: &[Lane]) -> f64 {
    let whole: f64 = lanes.iter().map(|lane| lane.along.length()).sum();
    lanes.iter().map(|lane| lane.along.length() * lane.section.u_value).sum::<f64>() / whole
}

/// U where every plane across is isothermal, W/(m²K); where the faces lie at different depths, that of the
/// part that insulates least.
fn isothermal(lanes: &[Lane]) -> f64 {
    let first = &lanes[0].section;
    let is_level = |lane: &Lane| {
        let Span { from, to } = lane.section.across;
        (from - first.across.from).abs() < SAME_PLACE && (to - first.across.to).abs() < SAME_PLACE
    };
    if !lanes.iter().all(is_level) {
        return lanes.iter().map(|lane| lane.section.u_value).fold(0.0, f64::max);
    }
    // Each layer of each lane as a stretch of depth with a conductivity.
    let depths = |lane: &Lane| {
        let mut depth = 0.0;
        let layers = lane.section.layers.iter().map(|layer| {
            let from = depth;
            depth += layer.thickness;
            (Span { from, to: depth }, layer.thickness / layer.resistance)
        });
        layers.collect::<Vec<_>>()
    };
    let layers: Vec<Vec<(Span, f64)>> = lanes.iter().map(depths).collect();
    let mut edges: Vec<f64> = layers.iter().flatten().flat_map(|(span, _)| [span.from, span.to]).collect();
    edges.sort_by(f64::total_cmp);
    let whole: f64 = lanes.iter().map(|lane| lane.along.length()).sum();
    let resistance = |ends: &[f64]| {
        let middle = f64::midpoint(ends[0], ends[1]);
        let conductivity = |layers: &Vec<(Span, f64)>| {
            layers
                .iter()
                .find(|(span, _)| span.from <= middle && middle <= span.to)
                .map_or(0.0, |(_, conductivity)| *conductivity)
        };
        let mean = layers
            .iter()
            .zip(lanes)
            .map(|(layers, lane)| lane.along.length() * conductivity(layers))
            .sum::<f64>()
            / whole;
        if mean > 0.0 { (ends[1] - ends[0]) / mean } else { 0.0 }
    };
    let films = first.films.iter().map(|film| film.resistance).sum::<f64>();
    1.0 / (films + edges.windows(2).map(resistance).sum::<f64>())
}

/// A stretch without its ends, so that what only touches it is not met.
fn inner(span: Span) -> Span {
    let margin = SAME_PLACE.min(0.25 * span.length());
    Span { from: span.from + margin, to: span.to - margin }
}
