//! Two cases side by side: what differs in what was put in, and in what came out.

mod documents;

use super::Outcome;
use super::cut_off::sides_text;
use super::u_value::ElementU;
use crate::bounds::Bracket;
use crate::case::{Case, written};
use crate::material::Origin;
use crate::model::{Convention, EnvironmentId};
use documents::documents;

/// One line of a comparison; an empty side means that the case has no such thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What it is about.
    pub what: String,
    /// In the first and the second case.
    pub values: [String; 2],
    /// Where it stands, `line 7`, or `line 7 of parts.yaml` in an included file.
    pub lines: [Option<String>; 2],
}

/// A result in both cases.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What it is.
    pub what: String,
    /// Its unit.
    pub unit: &'static str,
    /// With what is known of its error.
    pub values: [Option<Bracket>; 2],
}

/// What can be said of a result in two cases, with what is known of its error in each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Relation {
    /// Equal to the last digit.
    Same,
    /// What is known of both allows them to be equal; second less first.
    NotTold(f64),
    /// They differ for all that is known; second less first.
    Different(f64),
    /// The second case has no such result.
    OnlyFirst,
    /// The first case has no such result.
    OnlySecond,
}

impl Relation {
    /// The word in machine output.
    pub fn word(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::NotTold(_) => "cannot_be_told_apart",
            Self::Different(_) => "different",
            Self::OnlyFirst => "only_in_first",
            Self::OnlySecond => "only_in_second",
        }
    }

    /// Second less first, where both are.
    pub fn difference(self) -> Option<f64> {
        match self {
            Self::Same => Some(0.0),
            Self::NotTold(difference) | Self::Different(difference) => Some(difference),
            Self::OnlyFirst | Self::OnlySecond => None,
        }
    }
}

/// Relative difference that is rounding.
const ROUNDING: f64 = 1e-12;

impl Change {
    /// What can be said of it.
    pub fn verdict(&self) -> Relation {
        let (one, other) = match self.values {
            [Some(one), Some(other)] => (one, other),
            [Some(_), None] => return Relation::OnlyFirst,
            [None, _] => return Relation::OnlySecond,
        };
        let size = one.upper().abs().max(one.lower().abs()).max(1.0);
        let is_same = |a: f64, b: f64| (a - b).abs() <= ROUNDING * size;
        let difference = other.middle() - one.middle();
        if is_same(one.lower(), other.lower()) && is_same(one.upper(), other.upper()) {
            Relation::Same
        } else if other.overlaps(one) {
            Relation::NotTold(difference)
        } else {
            Relation::Different(difference)
        }
    }
}

/// What was put in and differs: everything that the documents say, after parameters have their values, in
/// whatever way it is spelled.
pub fn inputs(cases: [&Case; 2]) -> Vec<Difference> {
    let mut differences = Vec::new();
    match cases.map(written::of) {
        [Ok(first), Ok(second)] => documents(&[first, second], &mut differences),
        _ => differences.push(Difference {
            what: "the documents, which cannot be read again".to_owned(),
            values: cases.map(|case| case.name.clone()),
            lines: Default::default(),
        }),
    }
    // Which generic materials a plan uses stands in it; what they conduct does not.
    for name in
        names(cases.map(|case| case.model.materials.iter().map(|material| material.name.as_str()).collect()))
    {
        let material = |case: &Case| {
            case.model
                .materials
                .iter()
                .find(|material| material.name == name && material.origin == Origin::Generic)
                .cloned()
        };
        let conductivity =
            cases.map(|case| material(case).map(|material| material.conductivity_text()).unwrap_or_default());
        if conductivity[0] != conductivity[1] {
            let what = format!("λ of {name} in use, W/(m·K)");
            differences.push(Difference { what, values: conductivity, lines: Default::default() });
        }
    }
    differences
}

/// Names of both, each once, in the order met.
fn names(lists: [Vec<&str>; 2]) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for name in lists.into_iter().flatten() {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// What came out, whether or not it differs.
pub fn results(outcomes: [&Outcome; 2]) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut add = |what: String, unit: &'static str, values: [Option<Bracket>; 2]| {
        if values.iter().any(Option::is_some) {
            changes.push(Change { what, unit, values });
        }
    };
    for (label, pairs) in pairs(outcomes) {
        add(format!("L2D{label}"), "W/(m·K)", pairs.map(|pair| pair?.l2d));
        for convention in Convention::ALL {
            let psi = |pair: Option<&Outcome>| {
                pair?.psi.iter().find(|psi| psi.convention == convention).map(|psi| psi.bracket)
            };
            add(format!("ψ{label}, {} dimensions", convention.label()), "W/(m·K)", pairs.map(psi));
        }
        add(format!("U_f of the frame{label}"), "W/(m²K)", pairs.map(|pair| pair?.frame_u));
        for name in names(pairs.map(|pair| {
            pair.into_iter().flat_map(|pair| &pair.elements).map(|element| element.element.as_str()).collect()
        })) {
            let u = |pair: Option<&Outcome>| {
                of_element(pair?.elements.iter().find(|element| element.element == name)?)
            };
            add(format!("U of {name}{label}"), "W/(m²K)", pairs.map(u));
        }
    }
    let coupled = outcomes.map(couplings);
    for name in names(coupled.each_ref().map(|own| own.iter().map(|(name, _)| name.as_str()).collect())) {
        let own = |list: &Vec<(String, Option<Bracket>)>| list.iter().find(|(known, _)| known == name)?.1;
        add(format!("coupling of {name}"), "W/(m·K)", coupled.each_ref().map(own));
    }
    for name in names(outcomes.map(|outcome| {
        outcome.case.model.environments.iter().map(|environment| environment.name.as_str()).collect()
    })) {
        for (is_apart, label) in [(false, ""), (true, ", judged apart")] {
            let factor = |outcome: &Outcome| {
                let (id, _) = outcome
                    .case
                    .model
                    .environments_by_id()
                    .find(|(_, environment)| environment.name == name)?;
                let factor = outcome.factors.iter().find(|factor| factor.environment == id)?;
                let coldest = if is_apart { &factor.coldest_excluded } else { &factor.coldest };
                Bracket::around(coldest.as_ref()?.factor, outcome.coldest_error(id, is_apart).unwrap_or(0.0))
                    .ok()
            };
            add(format!("f_Rsi of {name}{label}"), "", outcomes.map(factor));
        }
    }
    for (is_condensation, label) in [(false, ""), (true, ", resistances for condensation")] {
        let points = |outcome: &Outcome| -> Vec<(String, Option<Bracket>)> {
            let points = if is_condensation { &outcome.points_condensation } else { &outcome.points };
            let errors = outcome.point_errors(is_condensation);
            let error = |index: usize| errors.get(index).copied().unwrap_or(0.0);
            let known = points.iter().enumerate();
            known
                .map(|(index, (name, value))| (name.clone(), Bracket::around(*value, error(index)).ok()))
                .collect()
        };
        let of_both = outcomes.map(points);
        for name in names(of_both.each_ref().map(|own| own.iter().map(|(name, _)| name.as_str()).collect())) {
            let own = |list: &Vec<(String, Option<Bracket>)>| list.iter().find(|(known, _)| known == name)?.1;
            add(format!("temperature at {name}{label}"), "°C", of_both.each_ref().map(own));
        }
    }
    changes
}

/// U of a flanking element; that of a floor told by a model is as uncertain as the model.
fn of_element(element: &ElementU) -> Option<Bracket> {
    match &element.floor {
        Some(floor) => floor.u_value(floor.method),
        None => Bracket::exact(element.u_value).ok(),
    }
}

/// Pairs of environments with what to add to a label, and the outcome of each case for it, whichever order
/// the cases state them in.
fn pairs<'o>(outcomes: [&'o Outcome; 2]) -> Vec<(String, [Option<&'o Outcome>; 2])> {
    let sides = |pair: &Outcome| -> String {
        let Some(mut sides) = pair.sides() else { return String::new() };
        for side in &mut sides {
            side.sort_by_key(|index| pair.case.model.environments[*index].name.clone());
        }
        let text = sides_text(&pair.case.model, &sides);
        sides.swap(0, 1);
        text.min(sides_text(&pair.case.model, &sides))
    };
    let of_both = outcomes.map(|outcome| outcome.pairs().map(|pair| (sides(pair), pair)).collect::<Vec<_>>());
    if let [[(first, one)], [(second, other)]] = of_both.each_ref().map(Vec::as_slice) {
        // Environments that have another name in the other case: the one pair of both is compared
        // nonetheless.
        let label = if first == second { String::new() } else { format!(" ({first} | {second})") };
        return vec![(label, [Some(*one), Some(*other)])];
    }
    let all = names(of_both.each_ref().map(|own| own.iter().map(|(sides, _)| sides.as_str()).collect()));
    let find = |own: &Vec<(String, &'o Outcome)>, name: &str| {
        own.iter().find(|(sides, _)| sides == name).map(|(_, pair)| *pair)
    };
    all.into_iter().map(|name| (format!(", {name}"), of_both.each_ref().map(|own| find(own, name)))).collect()
}

/// Coupling coefficients by the names of the environments.
fn couplings(outcome: &Outcome) -> Vec<(String, Option<Bracket>)> {
    let name = |id: EnvironmentId| outcome.case.model.environments[id].name.as_str();
    let text = |[one, other]: [EnvironmentId; 2]| {
        let mut names = [name(one), name(other)];
        names.sort_unstable();
        names.join(" and ")
    };
    outcome.coupling.iter().map(|pair| (text(pair.between), pair.bracket)).collect()
}
