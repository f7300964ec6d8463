//! A submission under review.

use schemars::JsonSchema;
use serde::Serialize;

use super::VERSION;
use crate::review::{self, Question, Verdict};

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
    pub verdict: Verdict,
    /// The answer to each question.
    pub findings: Vec<Finding>,
}

/// The answer to a question.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Finding {
    /// Which question, by its key.
    pub question: Question,
    /// The question for readers.
    pub question_text: &'static str,
    /// `pass`, `look` or `fail`.
    pub verdict: Verdict,
    /// What the verdict rests on.
    pub evidence: String,
}

impl Review {
    /// The document of a submission.
    pub fn of(name: &str, title: &str, findings: &[review::Finding]) -> Self {
        let finding = |finding: &review::Finding| Finding {
            question: finding.question,
            question_text: finding.question.text(),
            verdict: finding.verdict,
            evidence: finding.evidence.clone(),
        };
        Self {
            coldseam: VERSION,
            submission: name.to_owned(),
            title: title.to_owned(),
            verdict: review::verdict(findings),
            findings: findings.iter().map(finding).collect(),
        }
    }
}
