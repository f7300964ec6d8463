//! A case as the rest of the program sees it: the junction, and what the file says beside it.

use super::diagnostic::{Diagnostic, Rejected, Sources};
use crate::climate::Climate;
use crate::model::Model;

/// One junction with the document it was read from.
#[derive(Clone, Debug)]
pub struct Case {
    /// File name without its ending; results go to a folder of this name.
    pub name: String,
    /// One line for headings.
    pub title: String,
    /// What the case is about.
    pub description: String,
    /// The parameters with the values used, in the order written.
    pub parameters: Vec<(String, f64)>,
    /// Names of the parameters that are numbers, not expressions of others.
    pub free_parameters: Vec<String>,
    /// Names of the materials that included files define.
    pub shared_materials: Vec<String>,
    /// The junction itself.
    pub model: Model,
    /// True if `psi` is a list, so that results are lists too.
    pub psi_is_list: bool,
    /// The climate to check it with, if the case or a file it includes has one.
    pub climate: Option<Climate>,
    /// What a submission states about its results.
    pub claims: Vec<Claim>,
    /// The texts the case was read from.
    pub sources: Sources,
    /// Findings that do not stop the run.
    pub warnings: Vec<Diagnostic>,
}

impl Case {
    /// What is wrong with it, with the texts that it was read from.
    pub fn rejected(&self, diagnostics: Vec<Diagnostic>) -> Rejected {
        Rejected { diagnostics, sources: self.sources.clone() }
    }
}

/// A junction that was written nowhere.
impl From<Model> for Case {
    fn from(model: Model) -> Self {
        Self {
            name: String::new(),
            title: String::new(),
            description: String::new(),
            parameters: Vec::new(),
            free_parameters: Vec::new(),
            shared_materials: Vec::new(),
            model,
            psi_is_list: false,
            climate: None,
            claims: Vec::new(),
            sources: Sources::default(),
            warnings: Vec::new(),
        }
    }
}

/// A result that a submission states.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// One of the keys allowed under `claims`.
    pub key: String,
    /// For `u_values`, the element.
    pub element: Option<String>,
    /// The stated value.
    pub value: f64,
    /// Half a unit of the last digit written.
    pub rounding: f64,
}
