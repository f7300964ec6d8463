//! Which way heat flows through level surfaces, and how that was told.

use super::diagnostics::printable;
use crate::geometry::millimetres;
use crate::plan::level::{Run, Told};
use crate::result::Outcome;

/// A line for each run of which somebody might doubt the direction: none where that was certain beforehand.
pub fn lines(outcome: &Outcome) -> Vec<String> {
    let plan = &outcome.plan;
    let line = |(run, net_flow): (&Run, &f64)| {
        let told = match run.told {
            Told::Certain => return None,
            Told::Stated => "stated in the case".to_owned(),
            Told::Solution => format!("told from the solution, {:.3} W/m", net_flow.abs()),
            Told::Open | Told::Undecided => "undecided, so taken as".to_owned(),
        };
        let span = run.span(plan);
        let (word, resistance) = (run.heat_flow.word(), run.heat_flow.internal_resistance());
        let told = match run.told {
            Told::Undecided | Told::Open => format!("{told} {word}"),
            _ => format!("{word} ({told})"),
        };
        Some(format!(
            "Heat flow at the {} of {}, y = {}, x = {} to {} mm: {told}, R = {resistance} m²K/W",
            run.side(),
            printable(&outcome.case.model.environments[run.environment].name),
            millimetres(run.height(plan)),
            millimetres(span.from),
            millimetres(span.to),
        ))
    };
    plan.level.runs.iter().zip(&outcome.level_flows).filter_map(line).collect()
}
