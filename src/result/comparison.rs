//! Two cases side by side: what differs in what was put in, and in what came out.

use super::Outcome;
use crate::bounds::Bracket;
use crate::case::Case;
use crate::geometry::millimetres;
use crate::material::Material;

/// One line of a comparison; an empty side means that the case has no such thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What it is about.
    pub what: String,
    /// In the first and the second case.
    pub values: [String; 2],
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

/// What was put in and differs: parameters, materials, environments, surfaces, extent, lengths.
pub fn inputs(cases: [&Case; 2]) -> Vec<Difference> {
    let mut differences = Vec::new();
    let mut compare = |what: String, values: [Option<String>; 2]| {
        let values = values.map(Option::unwrap_or_default);
        if values[0] != values[1] {
            differences.push(Difference { what, values });
        }
    };
    compare("title".to_owned(), cases.map(|case| Some(case.title.clone())));
    for name in names(cases.map(|case| case.parameters.iter().map(|(name, _)| name.as_str()).collect())) {
        let value = |case: &Case| case.parameters.iter().find(|(known, _)| known == name).map(|(_, value)| value.to_string());
        compare(format!("parameter {name}"), cases.map(value));
    }
    for name in names(cases.map(|case| case.materials.iter().map(|material| material.name.as_str()).collect())) {
        let material = |case: &Case| case.materials.iter().find(|material| material.name == name).cloned();
        compare(
            format!("λ of {name}, W/(m·K)"),
            cases.map(|case| material(case).map(|material: Material| material.conductivity_text())),
        );
        compare(format!("source of {name}"), cases.map(|case| material(case).map(|material| material.source)));
    }
    for name in names(cases.map(|case| case.environments.iter().map(|environment| environment.name.as_str()).collect())) {
        let environment = |case: &Case| case.environments.iter().find(|environment| environment.name == name).cloned();
        compare(
            format!("kind of {name}"),
            cases.map(|case| environment(case).map(|environment| environment.role.word().to_owned())),
        );
        compare(
            format!("temperature of {name}, °C"),
            cases.map(|case| environment(case).map(|environment| environment.temperature.to_string())),
        );
        let humidity = |case: &Case| environment(case)?.humidity.map(|humidity| format!("{:.0} %", humidity * 100.0));
        compare(format!("humidity of {name}"), cases.map(humidity));
    }
    let extent = |case: &Case| {
        let [x, y] = [case.extent.x, case.extent.y].map(|span| format!("{} to {}", millimetres(span.from), millimetres(span.to)));
        Some(format!("x {x}, y {y}"))
    };
    compare("extent, mm".to_owned(), cases.map(extent));
    compare("shapes painted".to_owned(), cases.map(|case| Some(case.plan.len().to_string())));
    compare("surface rules".to_owned(), cases.map(|case| Some(case.surfaces.len().to_string())));
    let condensation = |case: &Case| {
        let condensation = case.condensation.as_ref()?;
        let critical = condensation.critical.map_or_else(|| "none".to_owned(), |critical| critical.to_string());
        Some(format!("resistance {}, criterion {critical}", condensation.resistance))
    };
    compare("condensation".to_owned(), cases.map(condensation));
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
