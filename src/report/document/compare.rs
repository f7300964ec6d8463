//! Two cases side by side.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Bracketed, VERSION};
use crate::result::comparison::{self, Change, Difference};

/// Two cases side by side.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Compare {
    /// Version of this document.
    pub coldseam: u32,
    /// The files of the first and the second case.
    pub cases: [String; 2],
    /// What was replaced in the second case with `--set`, as `name=value`.
    pub sets: Vec<String>,
    /// What differs in what was put in.
    pub inputs: Vec<InputDifference>,
    /// What came out of both.
    pub results: Vec<ResultDifference>,
}

/// A difference in what was put in.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct InputDifference {
    /// What differs.
    pub what: String,
    /// In the first case; empty where only the second has it.
    pub first: String,
    /// In the second case; empty where only the first has it.
    pub second: String,
    /// Where it stands in the file of either case; null where it does not.
    pub lines: [Option<String>; 2],
}

/// A result of both cases.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ResultDifference {
    /// Which result.
    pub what: String,
    /// Its unit; empty for factors.
    pub unit: &'static str,
    /// In the first case; null where it has none. Bounds of L2D and ψ are guaranteed, those of temperatures
    /// and factors estimated.
    pub first: Option<Bracketed>,
    /// In the second case, likewise.
    pub second: Option<Bracketed>,
    /// What can be said of both.
    pub verdict: Relation,
    /// The second less the first, in the unit of the result (K for temperatures); null where there is no
    /// difference to state.
    pub difference: Option<f64>,
}

/// What can be said of a result in two cases.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Relation {
    /// Equal to the last digit.
    Same,
    /// They differ for all that is known of their errors.
    Different,
    /// What is known of their errors allows them to be equal.
    CannotBeToldApart,
    /// The second case has no such result.
    OnlyInFirst,
    /// The first case has no such result.
    OnlyInSecond,
}

impl From<comparison::Relation> for Relation {
    fn from(relation: comparison::Relation) -> Self {
        match relation {
            comparison::Relation::Same => Self::Same,
            comparison::Relation::Different(_) => Self::Different,
            comparison::Relation::NotTold(_) => Self::CannotBeToldApart,
            comparison::Relation::OnlyFirst => Self::OnlyInFirst,
            comparison::Relation::OnlySecond => Self::OnlyInSecond,
        }
    }
}

impl Compare {
    /// The document of a comparison.
    pub fn of(cases: [String; 2], sets: &[String], inputs: &[Difference], results: &[Change]) -> Self {
        let input = |line: &Difference| {
            let [first, second] = line.values.clone();
            InputDifference { what: line.what.clone(), first, second, lines: line.lines.clone() }
        };
        let result = |line: &Change| {
            let [first, second] = line.values.map(|value| value.map(Bracketed::from));
            let verdict = line.verdict();
            let (what, difference) = (line.what.clone(), verdict.difference());
            ResultDifference { what, unit: line.unit, first, second, verdict: verdict.into(), difference }
        };
        Self {
            coldseam: VERSION,
            cases,
            sets: sets.to_vec(),
            inputs: inputs.iter().map(input).collect(),
            results: results.iter().map(result).collect(),
        }
    }
}
