//! Answers to the reviewer's questions for the terminal.

use std::fmt::Write;

use super::diagnostics::printable;
use crate::review::{self, Finding, Verdict};

/// One submission.
pub fn text(name: &str, title: &str, findings: &[Finding]) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}: {}", printable(name), printable(title));
    let mut last = None;
    for finding in findings {
        let question = if last == Some(finding.question) { "" } else { finding.question.text() };
        last = Some(finding.question);
        if !question.is_empty() {
            let _ = writeln!(text, "  {question}");
        }
        let _ = writeln!(text, "    {:<5} {}", mark(finding.verdict), printable(&finding.evidence));
    }
    let verdict = review::verdict(findings);
    let count = |verdict: Verdict| findings.iter().filter(|finding| finding.verdict == verdict).count();
    let (fails, looks) = (count(Verdict::Fail), count(Verdict::Look));
    let _ = writeln!(text, "  {}: {fails} fail, {looks} to look at\n", mark(verdict));
    text.lines().map(str::trim_end).fold(String::new(), |text, line| text + line + "\n")
}

fn mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Look => "LOOK",
        Verdict::Fail => "FAIL",
    }
}

/// A line a submission.
pub fn table(rows: &[(&str, &[Finding])]) -> String {
    let mut text = String::from("Summary\n");
    for (name, findings) in rows {
        let failing: Vec<&str> = findings
            .iter()
            .filter(|finding| finding.verdict == Verdict::Fail)
            .map(|finding| finding.question.key())
            .collect();
        let _ = writeln!(
            text,
            "  {:<5} {}  {}",
            mark(review::verdict(findings)),
            printable(name),
            failing.join(", ")
        );
    }
    text
}
