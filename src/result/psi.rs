//! The linear thermal transmittance, ψ = L2D − Σ U_j·l_j (ISO 10211:2017), by each convention of measurement.

use super::coupling::Temperatures;
use super::u_value::ElementU;
use crate::bounds::{Bracket, NoBracket};
use crate::finding::Diagnostic;
use crate::model::{Convention, EnvironmentId, Flanking, FloorMethod, Model};

/// ψ by one convention, with its subtraction.
#[derive(Clone, Debug)]
pub struct PsiValue {
    /// How lengths are measured.
    pub convention: Convention,
    /// W/(m·K), the middle of the bracket.
    pub value: f64,
    /// ψ lies in it for certain, for the geometry and conductivities given; W/(m·K). It is as wide as that of
    /// L2D, and wider by that of a floor on the ground which is itself computed from a model.
    pub bracket: Bracket,
    /// What was subtracted from L2D.
    pub terms: Vec<Term>,
    /// With a floor on the ground, ψ by the method not chosen for it.
    pub other_floor: Option<(FloorMethod, Bracket)>,
}

/// A note where planes of symmetry leave a part of the junction, of which L2D and ψ are.
pub fn symmetry_note(model: &Model, values: &[PsiValue]) -> Option<String> {
    let planes = model.psi.as_ref()?.planes_of_symmetry();
    let first = values.first().filter(|_| planes > 0)?;
    Some(if planes == 1 {
        format!(
            "L2D and ψ are of the half that is drawn, up to the plane of symmetry: the whole junction has twice as much, ψ = {:.4} W/(m·K) by {} dimensions",
            2.0 * first.value,
            first.convention.label()
        )
    } else {
        format!(
            "L2D and ψ are of the part that is drawn, up to {planes} planes of symmetry, not of the whole junction"
        )
    })
}

/// U·l of one flanking element.
#[derive(Clone, Debug)]
pub struct Term {
    /// The element's name.
    pub element: String,
    /// W/(m²K).
    pub u_value: f64,
    /// m.
    pub length: f64,
    /// What is subtracted, U·l, W/(m·K).
    pub product: Bracket,
    /// For a floor on the ground, how its loss was told.
    pub method: Option<FloorMethod>,
}

/// The key of ψ by a convention for the pair of this number, counted from 0: `internal`, `internal_2`.
pub fn numbered_key(convention: Convention, pair: usize) -> String {
    if pair == 0 { convention.key().to_owned() } else { format!("{}_{}", convention.key(), pair + 1) }
}

/// ψ for every convention that all flanking elements state.
///
/// # Errors
/// [`NoBracket`] if a loss is not finite.
pub fn values(model: &Model, elements: &[ElementU], l2d: Bracket) -> Result<Vec<PsiValue>, NoBracket> {
    let Some(psi) = &model.psi else { return Ok(Vec::new()) };
    let mut values = Vec::new();
    for (index, convention) in Convention::ALL.into_iter().enumerate() {
        let Some(terms) = terms(&psi.flanking, elements, index, None).filter(|terms| !terms.is_empty())
        else {
            continue;
        };
        let bracket = difference(l2d, &terms)?;
        let method = terms.iter().find_map(|term| term.method);
        let other_floor = method.and_then(|method| {
            let terms = self::terms(&psi.flanking, elements, index, Some(method.other()))?;
            Some(difference(l2d, &terms).map(|bracket| (method.other(), bracket)))
        });
        let other_floor = other_floor.transpose()?;
        values.push(PsiValue { convention, value: bracket.middle(), bracket, terms, other_floor });
    }
    Ok(values)
}

fn difference(l2d: Bracket, terms: &[Term]) -> Result<Bracket, NoBracket> {
    terms.iter().try_fold(l2d, |rest, term| rest.minus(term.product))
}

/// What is subtracted by a convention, floors on the ground by their own method or another one; `None` if a
/// length or a model is missing.
fn terms(
    flanking: &[Flanking],
    elements: &[ElementU],
    convention: usize,
    method: Option<FloorMethod>,
) -> Option<Vec<Term>> {
    let term = |(flanking, element): (&Flanking, &ElementU)| {
        let length = flanking.length(convention)?;
        let method = element.floor.as_ref().map(|floor| method.unwrap_or(floor.method));
        let product = match (&element.floor, method) {
            (Some(floor), Some(method)) => floor.loss(method, length)?,
            _ => Bracket::exact(element.u_value * length).ok()?,
        };
        Some(Term {
            element: element.element.clone(),
            u_value: product.middle() / length,
            length,
            product,
            method,
        })
    };
    flanking.iter().zip(elements).map(term).collect()
}

/// The two groups of environments that L2D couples: those the case names or, where there are more than two
/// temperatures and none named, all internal and all external ones.
pub fn sides(
    model: &Model,
    temperatures: &Temperatures,
    errors: &mut Vec<Diagnostic>,
) -> Option<[Vec<EnvironmentId>; 2]> {
    let psi = model.psi.as_ref();
    if let Some(psi) = psi {
        one_convention_at_least(psi, errors);
    }
    let Some((psi, between)) = psi.and_then(|psi| Some((psi, psi.between.as_ref()?))) else {
        if temperatures.distinct() > 2
            && let Some(psi) = psi
        {
            let hint = "for example `between: [room, outside]`; an entry may be a list of environments";
            errors.push(
                Diagnostic::error(psi.place, "with more than two temperatures `psi` needs `between`")
                    .hint(hint),
            );
        }
        let takes_part = |index: &EnvironmentId| model.environments[*index].is_touched;
        if temperatures.distinct() == 2 {
            let (highest, _) = temperatures.range();
            let all = || EnvironmentId::all(model.environments.len()).filter(takes_part);
            let is_warm = |index: &EnvironmentId| temperatures.of_environment[*index] == highest;
            return Some([all().filter(is_warm).collect(), all().filter(|index| !is_warm(index)).collect()]);
        }
        let of_role = |role| {
            EnvironmentId::all(model.environments.len())
                .filter(takes_part)
                .filter(|index| model.environments[*index].role == role)
                .collect()
        };
        return Some([of_role(crate::model::Role::Internal), of_role(crate::model::Role::External)]);
    };
    let [first, second] = between;
    if let Some(index) = first.iter().find(|index| second.contains(index)) {
        let name = &model.environments[*index].name;
        let message = format!("`between` names `{name}` on both sides");
        let hint = "name the environments of one side, then those of the other: `between: [room, outside]`";
        errors.push(Diagnostic::error(psi.place, message).hint(hint));
    } else if let Some(side) =
        between.iter().find(|side| side.iter().all(|index| !model.environments[*index].is_touched))
    {
        let names: Vec<&str> = side.iter().map(|index| model.environments[*index].name.as_str()).collect();
        let message = format!("`between` names `{}`, which no solid touches", names.join("`, `"));
        errors.push(
            Diagnostic::error(psi.place, message).hint("paint it beside the construction, or name another"),
        );
    }
    Some(between.clone())
}

/// True if the sides are all environments of two temperatures, so that L2D follows from the heat flow at
/// these.
pub fn are_whole(temperatures: &Temperatures, sides: &[Vec<EnvironmentId>; 2]) -> bool {
    let complete = |side: &Vec<EnvironmentId>| {
        let own = side.first().map(|index| temperatures.of_environment[*index]);
        let mut all = temperatures
            .of_environment
            .iter()
            .enumerate()
            .filter(|(index, _)| temperatures.is_touched[*index]);
        all.all(|(index, temperature)| {
            (Some(*temperature) == own) == side.contains(&EnvironmentId::new(index))
        })
    };
    temperatures.distinct() == 2 && sides.iter().all(complete)
}

fn one_convention_at_least(psi: &crate::model::Psi, errors: &mut Vec<Diagnostic>) {
    let stated_by_all = |index: usize| psi.flanking.iter().all(|flanking| flanking.spans[index].is_some());
    if !psi.flanking.is_empty() && !(0..Convention::ALL.len()).any(stated_by_all) {
        let hint = "every flanking element must state `internal`, or every one `external`, or every one `overall_internal`";
        errors.push(
            Diagnostic::error(psi.place, "no convention of measurement is stated by all flanking elements")
                .hint(hint),
        );
    }
}
