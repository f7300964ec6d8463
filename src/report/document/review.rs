//! A submission under review.

use schemars::JsonSchema;
use serde::Serialize;

use super::VERSION;
use crate::review;

/// A submission under review.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Review {
    /// Version of this document.
    pub coldseam: u32,
    /// The file.
    pub submission: String,
    /// The title of the case.
    pub title: String,
    /// The worst of all verdicts: `pass`, `look` or `fail`.
    pub verdict: &'static str,
    /// The answer to each question.
    pub findings: Vec<Finding>,
}

/// The answer to a question.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Finding {
    /// Which question, by its key.
    pub question: &'static str,
    /// `pass`, `look` or `fail`.
    pub verdict: &'static str,
    /// What the verdict rests on.
    pub evidence: String,
}

impl Review {
    /// The document of a submission.
    pub fn of(name: &str, title: &str, findings: &[review::Finding]) -> Self {
        let finding = |finding: &review::Finding| Finding {
            question: finding.question.key(),
            verdict: finding.verdict.word(),
            evidence: finding.evidence.clone(),
        };
        Self {
            coldseam: VERSION,
            submission: name.to_owned(),
            title: title.to_owned(),
            verdict: review::verdict(findings).word(),
            findings: findings.iter().map(finding).collect(),
        }
    }
}
