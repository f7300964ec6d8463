//! The last net before results are shown: what is not a finite number is no result.

use super::Outcome;
use crate::model::EnvironmentId;

/// The first result that is not a finite number, for readers. With input in the ranges of [`crate::ranges`]
/// there is none; if one escaped all the same, it must not be printed as if it meant something. Brackets are
/// finite by their type.
pub fn first_that_is_not(outcome: &Outcome) -> Option<String> {
    let name = |environment: EnvironmentId| outcome.case.model.environments[environment].name.as_str();
    let mut results: Vec<(String, f64)> = vec![("the heat balance".to_owned(), outcome.heat_balance)];
    for (id, flow) in EnvironmentId::all(outcome.heat_flows.len()).zip(&outcome.heat_flows) {
        results.extend(flow.map(|flow| (format!("the heat flow of {}", name(id)), flow)));
    }
    for element in &outcome.elements {
        results.push((format!("U of {}", element.element), element.u_value));
    }
    for factor in &outcome.factors {
        for coldest in [&factor.coldest, &factor.coldest_excluded].into_iter().flatten() {
            results.push((format!("f_Rsi of {}", name(factor.environment)), coldest.factor));
            results.push((
                format!("the lowest temperature in {}", name(factor.environment)),
                coldest.temperature,
            ));
        }
    }
    for profile in &outcome.profiles {
        for station in &profile.stations {
            results.push((format!("a temperature along {}", name(profile.environment)), station.temperature));
        }
    }
    results.into_iter().find(|(_, value)| !value.is_finite()).map(|(what, _)| what)
}
