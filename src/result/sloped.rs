//! Flanking elements that run along slopes: which of them is cut where, and whether what is taken off is what is
//! drawn there.
//!
//! A slope that is cut square has no plane along an axis that a length could end at. So every stated element that is
//! cut on no such plane belongs to a sloped cut, to that whose U-value is nearest; and what a section tells of others
//! the cut itself tells: its layers, and the straight surfaces that end at it.

use super::border::{Border, join};
use super::counterpart::same_u;
use super::lengths::COAT;
use super::outline::Slope;
use super::stated::WITH_CAVITIES;
use super::u_value::ElementU;
use crate::finding::Diagnostic;
use crate::geometry::{Stretch, millimetres};
use crate::material::four_digits;
use crate::model::{Convention, EnvironmentId, Flanking, Model, Psi, Role, UValueSource};
use crate::plan::surface::Surfaces;

/// A cut may be off square by so much, rad: 3°, cos of which no thickness feels.
const OFF_SQUARE: f64 = 0.0524;

/// Which stated elements, by number, belong to which sloped cuts between two sides.
pub(super) struct Matched<'b> {
    /// The cuts, each with the element that takes it off.
    pub(super) cuts: Vec<(&'b Slope, Option<usize>)>,
}

impl<'b> Matched<'b> {
    /// `is_placed` tells elements that are cut on a plane along an axis.
    pub(super) fn of(
        border: &'b Border,
        (model, surfaces): (&Model, &Surfaces),
        (psi, elements): (&Psi, &[ElementU]),
        sides: &[Vec<EnvironmentId>; 2],
        is_placed: impl Fn(usize) -> bool,
    ) -> Self {
        let joins = |slope: &&Slope| join(slope.environments, sides);
        let mut cuts: Vec<(&Slope, Option<usize>)> =
            border.slopes.iter().filter(joins).map(|slope| (slope, None)).collect();
        for (number, item) in psi.flanking.iter().enumerate() {
            let may_slope = item.slope.is_some() || matches!(item.u_value, UValueSource::Given(_));
            if is_placed(number) || !may_slope {
                continue;
            }
            let stated = elements[number].u_value;
            let off = |slope: &Slope| (slope.u_value(model, surfaces) - stated).abs();
            let nearest = (0..cuts.len())
                .filter(|cut| cuts[*cut].1.is_none() && may_be_cut(item, cuts[*cut].0))
                .min_by(|a, b| off(cuts[*a].0).total_cmp(&off(cuts[*b].0)));
            let Some(nearest) = nearest else { continue };
            cuts[nearest].1 = Some(number);
            // One that is cut at both ends.
            let other =
                (0..cuts.len()).find(|cut| cuts[*cut].1.is_none() && cuts[nearest].0.leads_to(cuts[*cut].0));
            if let Some(other) = other {
                cuts[other].1 = Some(number);
            }
        }
        Self { cuts }
    }

    /// True if an element belongs to a sloped cut.
    pub(super) fn has(&self, number: usize) -> bool {
        self.cuts.iter().any(|(_, own)| *own == Some(number))
    }

    /// What is wrong with the cuts and with what is taken off for them.
    pub(super) fn warnings(
        &self,
        (model, surfaces): (&Model, &Surfaces),
        psi: &Psi,
        elements: &[ElementU],
    ) -> Vec<Diagnostic> {
        let mut warnings = Vec::new();
        for (slope, number) in &self.cuts {
            warnings.extend(not_square(psi, slope));
            let Some(number) = number else {
                warnings.push(uncovered(model, surfaces, psi, slope));
                continue;
            };
            let (item, element) = (&psi.flanking[*number], &elements[*number]);
            warnings.extend(other_u(model, surfaces, item, element, slope));
            warnings.extend(other_length(model, item, slope));
        }
        warnings
    }
}

/// True unless the points of an element's lengths are all elsewhere.
fn may_be_cut(item: &Flanking, slope: &Slope) -> bool {
    let [from, to] = slope.ends();
    let is_near = |end: [f64; 2]| Stretch { from, to }.distance(end) < COAT;
    let mut points = item.points.iter().flatten().peekable();
    points.peek().is_none() || points.any(|points| is_near(points.from) || is_near(points.to))
}

/// `x = 1474, y = 1232 mm and x = 1337, y = 1429 mm`.
fn place(slope: &Slope) -> String {
    let end = |[x, y]: [f64; 2]| format!("x = {}, y = {} mm", millimetres(x), millimetres(y));
    let [from, to] = slope.ends();
    format!("{} and {}", end(from), end(to))
}

fn not_square(psi: &Psi, slope: &Slope) -> Option<Diagnostic> {
    let off = slope.off_square();
    (off > OFF_SQUARE).then(|| {
        let message = format!(
            "the cut between {} is {:.0}° off square to the surfaces: no heat passes it, so that temperatures and the loss near it are not those of the element that goes on",
            place(slope),
            off.to_degrees()
        );
        Diagnostic::warning(psi.place, message).hint("end layers and spaces on one line square to the slope")
    })
}

fn uncovered(model: &Model, surfaces: &Surfaces, psi: &Psi, slope: &Slope) -> Diagnostic {
    let message = format!(
        "no flanking element takes off what is cut between {} (U {:.4} W/(m²K)): its loss is left in ψ",
        place(slope),
        slope.u_value(model, surfaces)
    );
    let hint = "give it under `flanking` with its `u_value` or `build_up`, and its length along the slope";
    Diagnostic::warning(psi.place, message).hint(hint)
}

fn other_u(
    model: &Model,
    surfaces: &Surfaces,
    item: &Flanking,
    element: &ElementU,
    slope: &Slope,
) -> Option<Diagnostic> {
    let (stated, drawn) = (element.u_value, slope.u_value(model, surfaces));
    let share = if slope.has_cavity(model) { WITH_CAVITIES } else { 0.0 };
    let allowed = same_u(stated, drawn).max(share * drawn);
    ((stated - drawn).abs() > allowed).then(|| {
        let origin = item.build_up.as_ref().map_or("as stated".to_owned(), |name| format!("of the build-up {name}"));
        let longest = item.longest();
        let message = format!(
            "{} is taken off with U {} W/(m²K) {origin}, and what is drawn where it is cut, between {}, has U {}: that makes ψ {:.4} W/(m·K) {}",
            item.element,
            four_digits(stated),
            place(slope),
            four_digits(drawn),
            (stated - drawn).abs() * longest,
            if stated > drawn { "lower" } else { "higher" }
        );
        let hint = "correct the U-value, or draw the element that it is of";
        Diagnostic::warning(item.place, message).hint(hint)
    })
}

fn other_length(model: &Model, item: &Flanking, slope: &Slope) -> Option<Diagnostic> {
    let rooms = |is_wanted: bool| -> Vec<EnvironmentId> {
        model
            .environments_by_id()
            .filter(|(_, space)| (space.role == Role::Internal) == is_wanted)
            .map(|(id, _)| id)
            .collect()
    };
    let inner = slope.surface_length(&rooms(true))?;
    let outer = slope.surface_length(&rooms(false)).unwrap_or(inner);
    for (number, convention) in Convention::ALL.into_iter().enumerate() {
        let Some(length) = item.length(number) else { continue };
        let (what, surface) = if length < inner.min(outer) - COAT {
            ("is shorter than", inner.min(outer))
        } else if convention == Convention::Internal && length > inner + COAT {
            ("is longer than", inner)
        } else {
            continue;
        };
        let message = format!(
            "the length of {} by {} dimensions, {} mm, {what} the surface along the slope, {} mm",
            item.element,
            convention.label(),
            millimetres(length),
            millimetres(surface)
        );
        let hint = "along a slope any span of the right length will do: count from the cut to the junction";
        return Some(Diagnostic::warning(item.place, message).hint(hint));
    }
    None
}
