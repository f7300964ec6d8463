//! Answers to the reviewer's questions for the terminal.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::review::Review;
use crate::review::Verdict;

/// One submission.
pub fn text(review: &Review) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}: {}", printable(&review.submission), printable(&review.title));
    let mut last = None;
    for finding in &review.findings {
        let question = if last == Some(finding.question) { "" } else { finding.question_text };
        last = Some(finding.question);
        if !question.is_empty() {
            let _ = writeln!(text, "  {question}");
        }
        let _ = writeln!(text, "    {:<5} {}", mark(finding.verdict), printable(&finding.evidence));
    }
    let count =
        |verdict: Verdict| review.findings.iter().filter(|finding| finding.verdict == verdict).count();
    let (fails, looks) = (count(Verdict::Fail), count(Verdict::Look));
    let _ = writeln!(text, "  {}: {fails} fail, {looks} to look at\n", mark(review.verdict));
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
pub fn table(reviews: &[Review]) -> String {
    let mut text = String::from("Summary\n");
    for review in reviews {
        let failing: Vec<&str> = review
            .findings
            .iter()
            .filter(|finding| finding.verdict == Verdict::Fail)
            .map(|finding| finding.question.key())
            .collect();
        let _ = writeln!(
            text,
            "  {:<5} {}  {}",
            mark(review.verdict),
            printable(&review.submission),
            failing.join(", ")
        );
    }
    text
}
