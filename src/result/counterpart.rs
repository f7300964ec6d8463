//! Whether the ψ of a junction belongs to the elements that a dwelling adds it to.
//!
//! ψ = L2D − Σ U·l is right for an envelope whose elements have just these U. So each flanking element of a
//! junction's case has a counterpart among the dwelling's elements, and the two must have one U-value,
//! corrections apart: fixings are in no drawing. A floor on the ground is compared at the characteristic
//! dimension of the case, by what its formula takes.

use super::Outcome;
use super::floor::FloorOnGround;
use super::u_value::ElementU;
use crate::case::{Case, Dwelling, Element, ElementSource, Junction, NamedFloor, Reduction};
use crate::element::ground::{self, Floor, FloorKind};
use crate::finding::Diagnostic;
use crate::material::four_digits;
use crate::model::{EnvironmentId, Role};

/// U-values (W/(m²K)) that differ by less are the same.
const SAME: f64 = 5e-4;
/// The same relative to their size.
const SAME_SHARE: f64 = 1e-3;
/// Factors b that differ by less are the same.
const SAME_REDUCTION: f64 = 5e-3;
/// Characteristic dimensions of floors that differ by less, relatively, are the same.
const SAME_DIMENSION: f64 = 0.01;

/// What each flanking element of a junction is in the dwelling.
#[derive(Clone, Debug, Default)]
pub struct Counterparts {
    /// Flanking element and the element of the dwelling.
    pub pairs: Vec<(String, Option<String>)>,
    /// What a reader should know and no error is.
    pub remarks: Vec<String>,
    /// Errors and warnings, at the junction.
    pub findings: Vec<Diagnostic>,
}

/// Compares a junction's outcome with the elements of its dwelling; `files` are the names of the case's file
/// and the dwelling's.
pub fn counterparts(
    dwelling: &Dwelling,
    junction: &Junction,
    outcome: &Outcome,
    files: [&str; 2],
) -> Counterparts {
    let mut found = Counterparts::default();
    environments(junction, &outcome.case, files[0], &mut found);
    for (name, _) in &junction.matches {
        if !outcome.elements.iter().any(|element| element.element == *name) {
            let known = outcome.elements.iter().map(|element| element.element.as_str());
            let message = format!("{} has no flanking element named `{name}`", files[0]);
            let hint = crate::case::did_you_mean(name, known);
            found.findings.push(Diagnostic::error(junction.place, message).maybe_hint(hint));
        }
    }
    for flanking in &outcome.elements {
        let stated = junction.matches.iter().find(|(name, _)| *name == flanking.element);
        let candidates: Vec<&Element> = match stated {
            Some((_, None)) => {
                found.pairs.push((flanking.element.clone(), None));
                continue;
            }
            Some((_, Some(name))) => {
                dwelling.elements.iter().filter(|element| element.name == *name).collect()
            }
            None => candidates(dwelling, flanking),
        };
        if candidates.is_empty() {
            found.pairs.push((flanking.element.clone(), None));
            let name = &flanking.element;
            let message = format!(
                "`{name}` of {} has no counterpart among the dwelling's elements: its U-value is not checked",
                files[0]
            );
            let hint = format!(
                "`match: {{ {name}: … }}` names the element; `match: {{ {name}: none }}` says that the areas do not contain it"
            );
            found.findings.push(Diagnostic::warning(junction.place, message).hint(hint));
            continue;
        }
        let differences: Vec<Option<String>> =
            candidates.iter().map(|element| difference(flanking, element, files)).collect();
        let Some((element, _)) =
            candidates.iter().zip(&differences).find(|(_, difference)| difference.is_none())
        else {
            for difference in differences.into_iter().flatten() {
                let hint = format!(
                    "make them one element; or say which element of the dwelling it is: `match: {{ {}: … }}`, `none` where the areas do not contain it",
                    flanking.element
                );
                found.findings.push(Diagnostic::error(junction.place, difference).hint(hint));
            }
            continue;
        };
        found.pairs.push((flanking.element.clone(), Some(element.name.clone())));
        let [b, own] = [element.reduction.value(), junction.reduction.value()];
        if (b - own).abs() > SAME_REDUCTION {
            let message = format!(
                "b is {own} for the junction `{}` and {b} for the element `{}` beside it",
                junction.name, element.name
            );
            let hint = "what the junction adds to an element goes where the element's heat goes: state one `reduction` for both";
            found.findings.push(Diagnostic::warning(junction.place, message).hint(hint));
        }
        if let (Some(own), ElementSource::Floor(floor)) = (&flanking.floor, &element.source) {
            let [case, dwelling] = [own.floor.characteristic_dimension, floor.floor.characteristic_dimension];
            if (case / dwelling - 1.0).abs() > SAME_DIMENSION {
                found.remarks.push(format!(
                    "ψ is for a floor with B' {case:.2} m, that of the dwelling has {dwelling:.2} m"
                ));
            }
        }
    }
    found
}

/// Elements of the dwelling that a flanking element may be: by name, by the name of the build-up, floor or
/// window, by a word they share, by U.
fn candidates<'d>(dwelling: &'d Dwelling, flanking: &ElementU) -> Vec<&'d Element> {
    let is_floor = flanking.floor.is_some();
    // A floor read from the ground is no wall, and nothing else is a slab.
    let suits = |element: &&Element| match &element.source {
        ElementSource::Floor(floor) => is_floor || !matches!(floor.floor.kind, FloorKind::Slab { .. }),
        _ => !is_floor,
    };
    let all = |is_it: &dyn Fn(&Element) -> bool| -> Vec<&'d Element> {
        dwelling.elements.iter().filter(suits).filter(|element| is_it(element)).collect()
    };
    let name = flanking.element.to_lowercase();
    let words = words(&name);
    let rules: [&dyn Fn(&Element) -> bool; 3] = [
        &|element| element.name.to_lowercase() == name,
        &|element| element.source.name().is_some_and(|own| own.to_lowercase() == name),
        &|element| {
            let own =
                format!("{} {}", element.name, element.source.name().unwrap_or_default()).to_lowercase();
            self::words(&own).iter().any(|word| words.contains(word))
        },
    ];
    let by_name = rules.into_iter().map(all).find(|found| !found.is_empty());
    by_name
        .unwrap_or_else(|| all(&|element| is_floor || (u_of(element) / flanking.u_value - 1.0).abs() < 1e-6))
}

/// The words of a name that tell what it is, without the plural's ending; where it is tells nothing.
fn words(name: &str) -> Vec<&str> {
    const PLACES: [&str; 24] = [
        "above", "and", "at", "back", "below", "external", "first", "front", "ground", "inner", "internal",
        "left", "lower", "of", "outer", "outside", "party", "rear", "right", "side", "the", "to", "upper",
        "with",
    ];
    let words = name
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| word.chars().count() > 2 && !PLACES.contains(word));
    words.map(|word| word.strip_suffix('s').unwrap_or(word)).collect()
}

/// U before corrections, W/(m²K).
fn u_of(element: &Element) -> f64 {
    match element.source {
        ElementSource::BuildUp { uncorrected, .. } => uncorrected,
        _ => element.u_value,
    }
}

/// How a flanking element and an element of the dwelling differ.
fn difference(flanking: &ElementU, element: &Element, [case, dwelling]: [&str; 2]) -> Option<String> {
    let name = &flanking.element;
    if let ElementSource::Floor(floor) = &element.source
        && let Some(own) = &flanking.floor
    {
        return floors(own, floor).map(|what| {
            format!(
                "`{name}` of {case} and `{}` (floor {}) of {dwelling} are not one floor: {what}",
                element.name, floor.name
            )
        });
    }
    let (own, other) = (flanking.u_value, u_of(element));
    let allowed = same_u(own, other);
    ((own - other).abs() > allowed).then(|| {
        let corrected = if matches!(element.source, ElementSource::BuildUp { .. }) { ", before corrections" } else { "" };
        format!(
            "`{name}` of {case} has U {own:.4} W/(m²K), and `{}` of {dwelling} {other:.4} ({}{corrected}): ψ belongs to another element",
            element.name, element.origin
        )
    })
}

/// By how much two U-values may differ and be the same, W/(m²K): rounded ones by what they were rounded.
pub(super) fn same_u(own: f64, other: f64) -> f64 {
    SAME.max(SAME_SHARE * own.max(other)).max(rounding(own)).max(rounding(other))
}

/// Half a unit of the last digit of a value that is stated to a few digits, at most of its second significant
/// figure; 0 for any other.
fn rounding(value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    let is_whole = |decimals: &i32| {
        let scaled = value * 10_f64.powi(*decimals);
        (scaled - scaled.round()).abs() < 1e-6
    };
    let Some(decimals) = (0..=3).find(is_whole) else { return 0.0 };
    let second = 1 - libm::log10(value).floor() as i32;
    0.5 * 10_f64.powi(-decimals.max(second))
}

/// How two floors on the ground differ; what the formula takes from the drawing is compared at the drawing's
/// characteristic dimension.
fn floors(own: &FloorOnGround, other: &NamedFloor) -> Option<String> {
    match other.floor.kind {
        FloorKind::Slab { edge: None } => {}
        FloorKind::Slab { edge: Some(_) } => {
            return Some(
                "the dwelling's has edge insulation, which the ψ of the junction tells already".to_owned(),
            );
        }
        FloorKind::Suspended(_) | FloorKind::Basement { .. } => {
            return Some("the dwelling's is no slab on the ground".to_owned());
        }
    }
    let here = &own.floor;
    let there = Floor { characteristic_dimension: here.characteristic_dimension, ..other.floor.clone() };
    let (u, other_u) = (own.formula.u_value, ground::u_value(&there).u_value);
    if (u - other_u).abs() <= SAME.max(SAME_SHARE * u) {
        return None;
    }
    let values = [
        ("w", "mm", here.wall_thickness * 1e3, there.wall_thickness * 1e3),
        ("λ of the ground", "W/(m·K)", here.ground_conductivity, there.ground_conductivity),
        ("R_f", "m²K/W", here.floor_resistance, there.floor_resistance),
    ];
    let differing = values.iter().filter(|(.., own, other)| (own / other - 1.0).abs() > 1e-6);
    let differing: Vec<String> = differing
        .map(|(what, unit, own, other)| {
            format!("{what} {} and {} {unit}", four_digits(*own), four_digits(*other))
        })
        .collect();
    Some(format!("U {u:.4} and {other_u:.4} W/(m²K), from {}", differing.join(", ")))
}

/// What a junction's case leads to must be what its b says.
fn environments(junction: &Junction, case: &Case, file: &str, found: &mut Counterparts) {
    let of_role = |role: Role| {
        EnvironmentId::all(case.model.environments.len())
            .filter(|index| case.model.environments[*index].role == role)
            .collect::<Vec<_>>()
    };
    let between = case.model.psi.as_ref().and_then(|psi| psi.between.as_ref());
    let others: Vec<EnvironmentId> = match between {
        Some(sides) => {
            let all = sides.iter().flatten().copied();
            all.filter(|index| case.model.environments[*index].role != Role::Internal).collect()
        }
        None if of_role(Role::External).is_empty() => of_role(Role::Unheated),
        None => of_role(Role::External),
    };
    let is_unheated = |index: &EnvironmentId| case.model.environments[*index].role == Role::Unheated;
    if !others.is_empty() && others.iter().all(is_unheated) {
        if junction.reduction == Reduction::Unstated {
            let space = &case.model.environments[others[0]].name;
            let message = format!(
                "the ψ of {file} is towards `{space}`, which is not heated, and the junction states no `reduction`"
            );
            let hint = match super::dwelling::reduction(&case.model, Some(space)) {
                Ok(b) => {
                    format!(
                        "`reduction: {{ space: {space} }}` takes b = {b:.3} from the temperatures of the case; or state it"
                    )
                }
                Err(_) => {
                    "state b, or take it from a case: `reduction: { case: FILE, space: NAME }`".to_owned()
                }
            };
            found.findings.push(Diagnostic::error(junction.place, message).hint(hint));
        }
    } else if (junction.reduction.value() - 1.0).abs() > SAME_REDUCTION {
        let message = format!(
            "the ψ of {file} is towards outside, and b of the junction is {}",
            junction.reduction.value()
        );
        let hint = "b below 1 is for heat that goes to a space which is not heated";
        found.findings.push(Diagnostic::warning(junction.place, message).hint(hint));
    }
}
