//! The pair of environments that a junction of a dwelling means, where its case states ψ for several.

use std::collections::HashMap;
use std::path::{Component, Path};

use super::Outcome;
use crate::case::{Between, Case, CasePsi, Junction};
use crate::finding::Diagnostic;
use crate::model::{EnvironmentId, Role};

/// The pairs that a junction's case states ψ for.
#[derive(Clone, Debug)]
pub struct Pairs {
    /// In the order of the case.
    stated: Vec<Stated>,
}

/// One of several pairs of a case.
#[derive(Clone, Debug)]
struct Stated {
    /// As a junction would name it.
    text: String,
    sides: [Vec<String>; 2],
    /// True if it counts in a dwelling: an unheated space's loss is in its b.
    is_heated: bool,
}

impl Pairs {
    /// Those of a case, before one is chosen; a case with one block has none to choose from.
    pub fn of(case: &Case) -> Self {
        let blocks =
            case.model.psi.iter().chain(&case.model.further_psi).filter_map(|block| block.between.as_ref());
        let stated = blocks.map(|sides| Stated {
            text: text(case, sides),
            sides: canonical(names(case, sides)),
            is_heated: sides
                .iter()
                .flatten()
                .any(|index| case.model.environments[*index].role == Role::Internal),
        });
        Self { stated: if case.model.further_psi.is_empty() { Vec::new() } else { stated.collect() } }
    }
}

/// A warning for each pair of a case that counts and that no junction takes from its file, at the first
/// junction that names the file.
pub fn not_taken(junctions: &[(&Junction, &CasePsi, &Pairs)]) -> Vec<Diagnostic> {
    let mut warnings = Vec::new();
    let mut of_file: HashMap<Vec<Component<'_>>, Vec<&(&Junction, &CasePsi, &Pairs)>> = HashMap::new();
    for stated in junctions {
        of_file.entry(components(&stated.1.file)).or_default().push(stated);
    }
    let firsts = junctions.iter().filter_map(|(junction, source, pairs)| {
        Some((junction, source, pairs, of_file.remove(&components(&source.file))?))
    });
    for (junction, source, pairs, same) in firsts {
        let taken: Vec<[Vec<String>; 2]> = same
            .into_iter()
            .filter_map(|(_, source, _)| source.between.as_ref())
            .map(canonical_wanted)
            .collect();
        for pair in pairs.stated.iter().filter(|pair| pair.is_heated && !taken.contains(&pair.sides)) {
            let message = format!(
                "{} states ψ between {} too, and no junction takes it: it is not in the sum",
                source.file, pair.text
            );
            let hint = format!("add a junction with `case: {}` and `between: {}`", source.file, pair.text);
            warnings.push(Diagnostic::warning(junction.place, message).hint(hint));
        }
    }
    warnings
}

/// Of a file's name, without those that lead nowhere.
fn components(file: &str) -> Vec<Component<'_>> {
    Path::new(file).components().filter(|part| !matches!(part, Component::CurDir)).collect()
}

/// Leaves the case with the one block of `psi` that the junction names.
///
/// # Errors
/// A finding at the junction, which says what to write, where the junction names none of several pairs or one
/// that the case does not have.
pub fn choose(case: &mut Case, junction: &Junction, source: &CasePsi) -> Result<(), Diagnostic> {
    let several = !case.model.further_psi.is_empty();
    let blocks: Vec<_> = case.model.psi.iter().chain(&case.model.further_psi).cloned().collect();
    let all: Vec<String> =
        blocks.iter().filter_map(|block| block.between.as_ref()).map(|sides| text(case, sides)).collect();
    let hint = format!(
        "write one of them at the junction: {}",
        all.iter().map(|pair| format!("`between: {pair}`")).collect::<Vec<_>>().join(", ")
    );
    let Some(wanted) = &source.between else {
        let message = format!(
            "{} states ψ for {} pairs of environments, and the junction does not say which",
            source.file,
            blocks.len()
        );
        return if several { Err(Diagnostic::error(junction.place, message).hint(hint)) } else { Ok(()) };
    };
    for name in wanted.sides.iter().flatten() {
        let known = || case.model.environments.iter().map(|environment| environment.name.as_str());
        if !known().any(|known| known == name) {
            let message = format!("{} has no environment named `{name}`", source.file);
            return Err(
                Diagnostic::error(wanted.place, message).maybe_hint(crate::case::did_you_mean(name, known()))
            );
        }
    }
    let is_it = |sides: &[Vec<EnvironmentId>; 2]| same(case, sides, wanted);
    match blocks.iter().position(|block| block.between.as_ref().is_some_and(is_it)) {
        Some(index) => case.model.psi = Some(blocks[index].clone()),
        // Without `between` the temperatures tell the pair, once the plan is painted.
        None if !several && blocks.iter().all(|block| block.between.is_none()) => {}
        None => {
            let message = format!("{} states no ψ between {}", source.file, self::wanted(wanted));
            return Err(Diagnostic::error(wanted.place, message).hint(hint));
        }
    }
    case.model.further_psi = Vec::new();
    case.psi_is_list = false;
    Ok(())
}

/// True if the outcome's L2D leads between the two sides that a junction names.
pub fn is_between(outcome: &Outcome, wanted: &Between) -> bool {
    outcome.sides().is_some_and(|sides| same(&outcome.case, &sides, wanted))
}

/// The sides as a junction names them.
pub fn wanted(between: &Between) -> String {
    let [first, second] =
        between.sides.each_ref().map(|names| side(&names.iter().map(String::as_str).collect::<Vec<_>>()));
    format!("[{first}, {second}]")
}

/// The sides as a junction would name them.
pub fn text(case: &Case, sides: &[Vec<EnvironmentId>; 2]) -> String {
    let [first, second] = names(case, sides).map(|own| side(&own));
    format!("[{first}, {second}]")
}

/// The names of the environments on either side.
fn names<'c>(case: &'c Case, sides: &[Vec<EnvironmentId>; 2]) -> [Vec<&'c str>; 2] {
    let name = |id: &EnvironmentId| case.model.environments[*id].name.as_str();
    sides.each_ref().map(|side| side.iter().map(name).collect())
}

fn side(names: &[&str]) -> String {
    if let [name] = names { (*name).to_owned() } else { format!("[{}]", names.join(", ")) }
}

/// The same two sides, in any order.
fn same(case: &Case, sides: &[Vec<EnvironmentId>; 2], wanted: &Between) -> bool {
    canonical(names(case, sides)) == canonical_wanted(wanted)
}

/// The sides that a junction names, in an order of their own.
fn canonical_wanted(wanted: &Between) -> [Vec<String>; 2] {
    canonical(wanted.sides.each_ref().map(|side| side.iter().map(String::as_str).collect()))
}

/// Two sides in an order of their own, each name once.
fn canonical(sides: [Vec<&str>; 2]) -> [Vec<String>; 2] {
    let mut sides = sides.map(|mut names| {
        names.sort_unstable();
        names.dedup();
        names.into_iter().map(str::to_owned).collect::<Vec<_>>()
    });
    sides.sort();
    sides
}
