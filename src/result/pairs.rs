//! The pair of environments that a junction of a dwelling means, where its case states ψ for several.

use super::Outcome;
use crate::case::{Between, Case, CasePsi, Diagnostic, Junction};

/// Leaves the case with the one block of `psi` that the junction names.
///
/// # Errors
/// A finding at the junction, which says what to write, where the junction names none of several pairs or one that the case does not have.
pub fn choose(case: &mut Case, junction: &Junction, source: &CasePsi) -> Result<(), Diagnostic> {
    let several = !case.further_psi.is_empty();
    let blocks: Vec<_> = case.psi.iter().chain(&case.further_psi).cloned().collect();
    let all: Vec<String> = blocks.iter().filter_map(|block| block.between.as_ref()).map(|sides| text(case, sides)).collect();
    let hint = format!(
        "write one of them at the junction: {}",
        all.iter().map(|pair| format!("`between: {pair}`")).collect::<Vec<_>>().join(", ")
    );
    let Some(wanted) = &source.between else {
        let message =
            format!("{} states ψ for {} pairs of environments, and the junction does not say which", source.file, blocks.len());
        return if several { Err(Diagnostic::error(junction.place, message).hint(hint)) } else { Ok(()) };
    };
    for name in wanted.sides.iter().flatten() {
        let known = || case.environments.iter().map(|environment| environment.name.as_str());
        if !known().any(|known| known == name) {
            let message = format!("{} has no environment named `{name}`", source.file);
            return Err(Diagnostic::error(wanted.place, message).maybe_hint(crate::case::did_you_mean(name, known())));
        }
    }
    let is_it = |sides: &[Vec<usize>; 2]| same(case, sides, wanted);
    match blocks.iter().position(|block| block.between.as_ref().is_some_and(is_it)) {
        Some(index) => case.psi = Some(blocks[index].clone()),
        // Without `between` the temperatures tell the pair, once the plan is painted.
        None if !several && blocks.iter().all(|block| block.between.is_none()) => {}
        None => {
            let message = format!("{} states no ψ between {}", source.file, self::wanted(wanted));
            return Err(Diagnostic::error(wanted.place, message).hint(hint));
        }
    }
    case.further_psi = Vec::new();
    case.psi_is_list = false;
    Ok(())
}

/// True if the outcome's L2D leads between the two sides that a junction names.
pub fn is_between(outcome: &Outcome, wanted: &Between) -> bool {
    outcome.sides().is_some_and(|sides| same(&outcome.case, &sides, wanted))
}

/// The sides as a junction names them.
pub fn wanted(between: &Between) -> String {
    let [first, second] = between.sides.each_ref().map(|names| side(&names.iter().map(String::as_str).collect::<Vec<_>>()));
    format!("[{first}, {second}]")
}

/// The sides as a junction would name them.
pub fn text(case: &Case, sides: &[Vec<usize>; 2]) -> String {
    let name = |index: &usize| case.environments[*index].name.as_str();
    let [first, second] = sides.each_ref().map(|own| side(&own.iter().map(name).collect::<Vec<_>>()));
    format!("[{first}, {second}]")
}

fn side(names: &[&str]) -> String {
    if let [name] = names { (*name).to_owned() } else { format!("[{}]", names.join(", ")) }
}

fn sorted(mut names: Vec<&str>) -> Vec<&str> {
    names.sort_unstable();
    names.dedup();
    names
}

/// The same two sides, in any order.
fn same(case: &Case, sides: &[Vec<usize>; 2], wanted: &Between) -> bool {
    let own = sides.each_ref().map(|side| sorted(side.iter().map(|index| case.environments[*index].name.as_str()).collect()));
    let [first, second] = wanted.sides.each_ref().map(|side| sorted(side.iter().map(String::as_str).collect()));
    own == [first.clone(), second.clone()] || own == [second, first]
}
