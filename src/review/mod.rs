//! The reviewer's questions about a submission, each answered with pass, look or fail, the evidence and the
//! reason.
//!
//! "Fail" is for what cannot be right or favours the submission beyond what the standards allow; "look" for
//! what only a person can judge.

mod claims;
mod drawing;
mod lengths;
mod materials;
mod numbers;
mod surfaces;

use crate::finding::Diagnostic;
use crate::result::Outcome;

/// The answer to a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Nothing wrong was found.
    Pass,
    /// A person has to judge.
    Look,
    /// Something is wrong.
    Fail,
}

impl Verdict {
    /// The word in results.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Look => "look",
            Self::Fail => "fail",
        }
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// Is the case inside a report the one that the report was made from?
    Checksum,
    /// Do the stated results lie within the bracket plus their rounding?
    Claims,
    /// Do the stated U-values match the sections?
    UValues,
    /// Are the cut-off planes, and the ground, far enough?
    CutOff,
    /// Are there thin gaps or slivers?
    Gaps,
    /// Does a shape hide another, or is a material never seen?
    Hidden,
    /// Are there unpainted holes that make surfaces adiabatic?
    Holes,
    /// Are conductivities usual for their kind of material?
    Conductivities,
    /// Does every conductivity have a source that can be checked?
    Sources,
    /// Are the surface resistances the standard's?
    Surfaces,
    /// Do the lengths fit the plan?
    Lengths,
    /// Do the conventions of measurement agree with each other?
    Conventions,
    /// Does an independent solver on another grid agree?
    Independent,
    /// Is the heat balance closed?
    Balance,
    /// Is the grid fine enough by ISO 10211, and the accuracy reached?
    Subdivision,
    /// What does the computation itself warn of, beyond what is answered above?
    Warnings,
}

impl Question {
    /// All of them, in the order of asking.
    pub const ALL: [Self; 16] = [
        Self::Checksum,
        Self::Claims,
        Self::UValues,
        Self::CutOff,
        Self::Gaps,
        Self::Hidden,
        Self::Holes,
        Self::Conductivities,
        Self::Sources,
        Self::Surfaces,
        Self::Lengths,
        Self::Conventions,
        Self::Independent,
        Self::Balance,
        Self::Subdivision,
        Self::Warnings,
    ];

    /// The key in results.
    pub fn key(self) -> &'static str {
        match self {
            Self::Checksum => "checksum",
            Self::Claims => "claims",
            Self::UValues => "u_values",
            Self::CutOff => "cut_off_planes",
            Self::Gaps => "gaps",
            Self::Hidden => "hidden",
            Self::Holes => "holes",
            Self::Conductivities => "conductivities",
            Self::Sources => "sources",
            Self::Surfaces => "surface_resistances",
            Self::Lengths => "lengths",
            Self::Conventions => "conventions",
            Self::Independent => "independent_solution",
            Self::Balance => "heat_balance",
            Self::Subdivision => "subdivision",
            Self::Warnings => "warnings",
        }
    }

    /// The question for readers.
    pub fn text(self) -> &'static str {
        match self {
            Self::Checksum => "Is the case the one that the report was made from?",
            Self::Claims => "Do the stated results lie within the bracket plus their rounding?",
            Self::UValues => "Do the stated U-values match the sections?",
            Self::CutOff => "Are the cut-off planes and the ground far enough?",
            Self::Gaps => "Are there thin gaps or slivers?",
            Self::Hidden => "Is anything painted that cannot be seen?",
            Self::Holes => "Are there unpainted holes that make surfaces adiabatic?",
            Self::Conductivities => "Are the conductivities usual for their kind of material?",
            Self::Sources => "Has every conductivity a source that can be checked?",
            Self::Surfaces => "Are the surface resistances the standard's?",
            Self::Lengths => "Do the lengths fit the plan?",
            Self::Conventions => "Do the conventions of measurement agree?",
            Self::Independent => "Does a second method agree?",
            Self::Balance => "Is the heat balance closed?",
            Self::Subdivision => "Is the grid fine enough?",
            Self::Warnings => "Does the computation warn of anything else?",
        }
    }
}

/// One answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// To which question.
    pub question: Question,
    /// The answer.
    pub verdict: Verdict,
    /// What was found.
    pub evidence: String,
}

/// Collects answers; a question without a finding passes.
#[derive(Default)]
struct Findings(Vec<Finding>);

impl Findings {
    fn add(&mut self, question: Question, verdict: Verdict, evidence: impl Into<String>) {
        self.0.push(Finding { question, verdict, evidence: evidence.into() });
    }

    fn fail(&mut self, question: Question, evidence: impl Into<String>) {
        self.add(question, Verdict::Fail, evidence);
    }

    fn look(&mut self, question: Question, evidence: impl Into<String>) {
        self.add(question, Verdict::Look, evidence);
    }

    fn pass(&mut self, question: Question, evidence: impl Into<String>) {
        self.add(question, Verdict::Pass, evidence);
    }
}

/// Whether the case came out of a report, and if so whether its checksum is right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Seal {
    /// A plain case file.
    None,
    /// The checksum stated in the report and the one computed from the case in it.
    Stated {
        /// As stated.
        stated: String,
        /// As computed.
        computed: String,
    },
}

/// Answers every question, in their order; several findings for one question stand together.
pub fn review(outcome: &Outcome, seal: &Seal) -> Vec<Finding> {
    let mut findings = Findings::default();
    match seal {
        Seal::None => findings.pass(Question::Checksum, "a plain case file; it carries no checksum"),
        Seal::Stated { stated, computed } if stated == computed => {
            findings.pass(Question::Checksum, format!("SHA-256 {computed}"));
        }
        Seal::Stated { stated, computed } => {
            let evidence = format!(
                "the report states SHA-256 {stated}, the case in it has {computed}: it was changed afterwards"
            );
            findings.fail(Question::Checksum, evidence);
        }
    }
    claims::review(outcome, &mut findings);
    drawing::review(outcome, &mut findings);
    materials::review(outcome, &mut findings);
    surfaces::review(outcome, &mut findings);
    lengths::review(outcome, &mut findings);
    numbers::review(outcome, &mut findings);
    warnings(outcome, &mut findings);
    let mut ordered = Vec::new();
    for question in Question::ALL {
        let own: Vec<Finding> =
            findings.0.iter().filter(|finding| finding.question == question).cloned().collect();
        if own.is_empty() {
            ordered.push(Finding { question, verdict: Verdict::Pass, evidence: "nothing found".to_owned() });
        }
        ordered.extend(own);
    }
    ordered
}

/// Every warning that no finding says already. What an included file has beside what is used is its own business.
fn warnings(outcome: &Outcome, findings: &mut Findings) {
    let is_own = |warning: &&Diagnostic| warning.place.is_none_or(|place| place.file == 0);
    let own = outcome.case.warnings.iter().filter(is_own);
    let all = own.chain(outcome.pairs().flat_map(|pair| &pair.warnings));
    for warning in all {
        if !findings.0.iter().any(|finding| finding.evidence == warning.message) {
            findings.look(Question::Warnings, warning.message.clone());
        }
    }
}

/// The worst of all answers.
pub fn verdict(findings: &[Finding]) -> Verdict {
    findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass)
}
