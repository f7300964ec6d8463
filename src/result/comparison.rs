//! Two cases side by side: what differs in what was put in, and in what came out.

mod documents;

use super::Outcome;
use super::cut_off::sides_text;
use crate::bounds::Bracket;
use crate::case::{Case, written};
use crate::material::Origin;
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

/// What was put in and differs: everything that the documents say, after parameters have their values, in whatever way it is spelled.
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
    for name in names(cases.map(|case| case.materials.iter().map(|material| material.name.as_str()).collect())) {
        let material = |case: &Case| {
            case.materials.iter().find(|material| material.name == name && material.origin == Origin::Generic).cloned()
        };
        let conductivity = cases.map(|case| material(case).map(|material| material.conductivity_text()).unwrap_or_default());
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
    add("L2D".to_owned(), "W/(m·K)", outcomes.map(|outcome| outcome.l2d));
    for convention in crate::case::Convention::ALL {
        let psi = |outcome: &Outcome| outcome.psi.iter().find(|psi| psi.convention == convention).map(|psi| psi.bracket);
        add(format!("ψ, {} dimensions", convention.label()), "W/(m·K)", outcomes.map(psi));
    }
    let further = |outcome: &Outcome| -> Vec<String> {
        let sides = |pair: &Outcome| pair.sides().map(|sides| sides_text(&outcome.case, &sides));
        outcome.further_pairs.iter().filter_map(sides).collect()
    };
    let of_both = outcomes.map(further);
    for sides in names([0, 1].map(|one| of_both[one].iter().map(String::as_str).collect())) {
        let own = |one: usize| of_both[one].iter().position(|own| own == sides);
        let pairs = [0, 1].map(|one| own(one).map(|index| &outcomes[one].further_pairs[index]));
        add(format!("L2D, {sides}"), "W/(m·K)", pairs.map(|pair| pair?.l2d));
        for convention in crate::case::Convention::ALL {
            let psi = |pair: Option<&Outcome>| pair?.psi.iter().find(|psi| psi.convention == convention).map(|psi| psi.bracket);
            add(format!("ψ, {sides}, {} dimensions", convention.label()), "W/(m·K)", pairs.map(psi));
        }
    }
    for name in names(outcomes.map(|outcome| outcome.elements.iter().map(|element| element.element.as_str()).collect())) {
        let u = |outcome: &Outcome| Bracket::exact(outcome.elements.iter().find(|element| element.element == name)?.u_value).ok();
        add(format!("U of {name}"), "W/(m²K)", outcomes.map(u));
    }
    for name in
        names(outcomes.map(|outcome| outcome.case.environments.iter().map(|environment| environment.name.as_str()).collect()))
    {
        let factor = |outcome: &Outcome| {
            let index = outcome.case.environments.iter().position(|environment| environment.name == name)?;
            let factor = outcome.factors.iter().find(|factor| factor.environment == index)?.coldest.as_ref()?.factor;
            let error = outcome.factor_error(index).unwrap_or(0.0);
            Bracket::around(factor, error).ok()
        };
        add(format!("f_Rsi of {name}"), "", outcomes.map(factor));
    }
    changes
}
