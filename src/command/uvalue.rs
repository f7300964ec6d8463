//! `coldseam uvalue`: thermal transmittance of plane elements, and the thickness that reaches a target.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::solve::Format;
use super::{Outcome, complain, print, show};
use crate::case::{self, Library};
use crate::element::thickness::{self, Found};
use crate::element::{correction, ground, resistance};
use crate::material::four_digits;
use crate::report::diagnostics::printable;
use crate::report::{element_json, element_text};
use crate::result::pattern;

/// What `uvalue` was asked for.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Build-up files, or cases with build-ups.
    pub files: Vec<PathBuf>,
    /// `NAME=VALUE` for each parameter to replace.
    pub sets: Vec<String>,
    /// What to print.
    pub format: Format,
    /// The U-value wanted, W/(m²K), and the parameter that may change to reach it.
    pub target: Option<(f64, String)>,
}

/// Reads all files, prints every element, and searches for the target if there is one: the answer is "no" if any element that
/// depends on the parameter cannot reach it.
pub fn run(settings: &Settings) -> Outcome {
    let mut libraries = Vec::new();
    for path in &settings.files {
        match case::load_library(path, &settings.sets) {
            Ok(library) => libraries.push((path, library)),
            Err(rejected) => {
                show(&rejected.diagnostics, &rejected.sources);
                return Outcome::WrongInput;
            }
        }
    }
    if let Some((_, vary)) = &settings.target
        && let Some((path, library)) = libraries.iter().find(|(_, library)| value_of(library, vary).is_none())
    {
        let names = library.parameters.iter().map(|(name, _)| name.as_str());
        let hint = case::did_you_mean(vary, names).unwrap_or_else(|| "--vary names one of the file's parameters".to_owned());
        complain(&format!("error: {} has no parameter named `{}`; {hint}\n", path.display(), printable(vary)));
        return Outcome::WrongInput;
    }
    let mut documents = Vec::new();
    let mut all_reached = true;
    for (path, library) in &libraries {
        show(&library.warnings, &library.sources);
        let mut text = String::new();
        if !library.title.is_empty() {
            text.push_str(&format!("{}\n\n", printable(&library.title)));
        }
        let mut answered = |element: &mut Value, text: &mut String, u_value: &dyn Fn(&Library) -> Option<f64>| {
            let Some((target, vary)) = &settings.target else { return };
            let answer = answer(path, &settings.sets, library, u_value, (*target, vary));
            all_reached &= answer.is_reached;
            text.push_str(&answer.text);
            element["target"] = answer.json;
        };
        let mut build_ups = Vec::new();
        for build_up in &library.build_ups {
            let pattern = match pattern::solve(build_up) {
                Ok(pattern) => pattern,
                Err(failure) => {
                    complain(&format!("error: the pattern of `{}`: {failure}\n", printable(&build_up.name)));
                    return Outcome::Failed;
                }
            };
            text.push_str(&element_text::build_up(build_up, &pattern));
            let mut element = element_json::build_up(build_up, &pattern);
            answered(&mut element, &mut text, &|library| {
                let build_up = library.build_ups.iter().find(|other| other.name == build_up.name)?;
                Some(correction::corrected(build_up, &resistance::total(build_up)).u_value)
            });
            build_ups.push(element);
            text.push('\n');
        }
        let mut floors = Vec::new();
        for floor in &library.floors {
            text.push_str(&element_text::floor(floor));
            let mut element = element_json::floor(floor);
            answered(&mut element, &mut text, &|library| {
                let floor = library.floors.iter().find(|other| other.name == floor.name)?;
                Some(ground::u_value(&floor.floor).u_value)
            });
            floors.push(element);
            text.push('\n');
        }
        text.push_str(element_text::CAUTION);
        text.push('\n');
        documents.push(json!({ "coldseam": 1, "title": library.title, "build_ups": build_ups, "floors": floors }));
        if settings.format == Format::Text {
            print(&text);
        }
    }
    if settings.format == Format::Json {
        let document = if documents.len() == 1 { documents.remove(0) } else { Value::Array(documents) };
        print(&format!("{document:#}\n"));
    }
    if all_reached { Outcome::Done } else { Outcome::No }
}

fn value_of(library: &Library, parameter: &str) -> Option<f64> {
    library.parameters.iter().find(|(name, _)| name == parameter).map(|(_, value)| *value)
}

struct Answer {
    is_reached: bool,
    text: String,
    json: Value,
}

/// What the parameter must be for one element, whose U-value `u_value` finds in a library, to reach the target.
fn answer(
    path: &Path,
    sets: &[String],
    library: &Library,
    u_value: &dyn Fn(&Library) -> Option<f64>,
    (target, vary): (f64, &str),
) -> Answer {
    let with = |value: f64| -> Option<f64> {
        let sets: Vec<String> = sets.iter().cloned().chain([format!("{vary}={value:e}")]).collect();
        u_value(&case::load_library(path, &sets).ok()?)
    };
    let start = value_of(library, vary).unwrap_or(1.0);
    let found = thickness::search(&with, start, target);
    let mut json = json!({ "u_value": target, "parameter": vary });
    let (is_reached, text) = match found {
        Found::Value { value, more_is_better } => {
            json["value"] = json!(value);
            let bound = if more_is_better { "at least" } else { "at most" };
            let shown = if more_is_better { (value * 10.0 - 1e-6).ceil() } else { (value * 10.0 + 1e-6).floor() } / 10.0;
            let mut text = format!("  U ≤ {target} W/(m²K) needs {vary} {bound} {shown}");
            let sizes = library.sizes.iter().rev().find(|(name, _)| name == vary).map(|(_, sizes)| sizes.as_slice());
            let mut is_reached = true;
            if let Some(sizes) = sizes {
                if let Some(size) = thickness::next_size(sizes, value, more_is_better) {
                    let u = with(size).unwrap_or(f64::NAN);
                    json["size"] = json!(size);
                    json["u_value_of_size"] = json!(u);
                    text.push_str(&format!("; the next size is {}, with U = {u:.4}", four_digits(size)));
                } else {
                    is_reached = false;
                    text.push_str("; no size on the list reaches it");
                }
            }
            (is_reached, text)
        }
        Found::Independent => (true, format!("  U does not depend on {vary}")),
        Found::OutOfReach(best) => (false, format!("  no {vary} reaches U ≤ {target} W/(m²K); the best met was {best:.4}")),
        Found::Always(value) => {
            (true, format!("  U ≤ {target} W/(m²K) whatever {vary} is, at least as far as {}", four_digits(value)))
        }
    };
    json["reached"] = json!(is_reached);
    Answer { is_reached, text: text + "\n", json }
}
