//! Whether a run was as it should be: an answer in numbers, or a refusal that says what is wrong and what to do.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::documents::{Nulls, says_not_a_number};
use crate::inputs::Input;
use crate::run::{End, Run};

/// No command may take longer on a mutated document, s of processors, unless sound files take half as long.
const MOST_SECONDS: f64 = 2.0;
/// No command may hold more, bytes.
const MOST_MEMORY: u64 = 300 << 20;
/// No junction loses so much, W/(m·K).
const MOST_PSI: f64 = 1e4;
/// Keys that are null where there is nothing to name, though no sound file shows it: the element of a junction,
/// the month of a year that asks for no factor, the part of a cavity that is not cut in parts, the finer
/// subdivision where that would be too large.
const NAMES: [&str; 4] = ["element", "critical_month", "part", "subdivision"];
/// f_Rsi with its estimated error.
const FACTORS: std::ops::RangeInclusive<f64> = -0.01..=1.01;

/// What sound files come to.
#[derive(Default)]
pub struct Sound {
    /// Keys of their results that are null.
    pub nulls: Nulls,
    /// The longest that each command took, s of processors.
    pub seconds: BTreeMap<String, f64>,
}

/// What is wrong with a run.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Whether it is only to be looked at: the computation failed and says so, or a refusal has no hint.
    pub is_doubtful: bool,
    /// Runs that have this in common have the same fault.
    pub class: String,
}

/// Everything that is wrong with a run.
pub fn faults(input: &Input, run: &Run, sound: &Sound) -> Vec<Fault> {
    let command = &input.command[0];
    let mut found = Vec::new();
    let mut fault = |is_doubtful: bool, what: &str| {
        found.push(Fault { is_doubtful, class: format!("{command}: {what}") });
    };
    let message = first_error(&run.said);
    match run.end {
        End::Signal(signal) => fault(false, &format!("signal {signal}, {message}")),
        End::Endless => fault(false, "without end"),
        End::Code(code) if !(0..=3).contains(&code) => fault(false, &format!("exit code {code}, {message}")),
        End::Code(3) => fault(true, &format!("exit code 3, {message}")),
        End::Code(2) => {
            if !run.said.lines().any(|line| line.starts_with("error:")) {
                fault(false, "refused without an error");
            } else if !has_hint(&run.said) {
                fault(true, &format!("refused without a hint, {message}"));
            }
            if !run.left.is_empty() {
                fault(false, &format!("refused, and files are written, {message}"));
            }
        }
        End::Code(_) => {
            if let Some(what) = wrong(input, &run.printed, &sound.nulls) {
                fault(false, &what);
            }
            if run.left.iter().any(|name| name != "out") {
                fault(false, &format!("files are left: {:?}", run.left));
            }
        }
    }
    if run.said.contains("panicked") {
        fault(false, &format!("panicked, {}", run.said.lines().next().map(common).unwrap_or_default()));
    }
    if run.said.chars().chain(run.printed.chars()).any(|one| one.is_control() && !matches!(one, '\n' | '\t'))
    {
        fault(false, "control characters are printed");
    }
    if run.seconds > MOST_SECONDS.max(2.0 * sound.seconds.get(command).copied().unwrap_or_default()) {
        fault(false, "takes too long");
    }
    if run.memory > MOST_MEMORY {
        fault(false, "takes too much memory");
    }
    found
}

/// True if an error says what to do: in a line of its own, or after what is wrong.
fn has_hint(said: &str) -> bool {
    said.lines().any(|line| {
        line.contains("= help:")
            || line.starts_with("For more information")
            || (line.starts_with("error:") && line.contains(';'))
    })
}

/// What the first error says, without what differs from file to file.
fn first_error(said: &str) -> String {
    said.lines().find(|line| line.starts_with("error")).map(common).unwrap_or_default()
}

/// A line without numbers and names.
fn common(line: &str) -> String {
    let mut text = String::new();
    for (index, part) in line.split('`').enumerate() {
        if index % 2 == 1 {
            text.push_str("`…`");
            continue;
        }
        let mut in_number = false;
        for character in part.chars() {
            let is_number = character.is_ascii_digit() || (in_number && ".e-".contains(character));
            if is_number && !in_number {
                text.push('#');
            } else if !is_number {
                text.push(character);
            }
            in_number = is_number;
        }
    }
    text.chars().take(160).collect()
}

/// What is wrong with a document of results.
fn wrong(input: &Input, printed: &str, nulls: &Nulls) -> Option<String> {
    // Texts of the file are shown as they stand.
    let is_of_the_file = input.files.iter().any(|(_, text)| says_not_a_number(text));
    if says_not_a_number(printed) && !is_of_the_file {
        return Some("a number that is not finite is printed".to_owned());
    }
    let Ok(document) = serde_json::from_str::<Value>(printed) else {
        return Some("what is printed is no JSON".to_owned());
    };
    if let Some(key) = nulls.unexpected(&document).filter(|key| !NAMES.contains(&key.as_str())) {
        return Some(format!("`{key}` is null"));
    }
    // With a third temperature a surface may be colder than outside or warmer than the room.
    let are_two = input.files.iter().map(|(_, text)| text.matches("role").count()).sum::<usize>() <= 2;
    absurd(&document, &mut Vec::new(), are_two)
}

/// The first number that cannot be, in the order of the document; `are_two` where it has two temperatures.
fn absurd<'a>(value: &'a Value, way: &mut Vec<&'a str>, are_two: bool) -> Option<String> {
    match value {
        Value::Number(number) => {
            let (number, key) = (number.as_f64()?, way.last().copied().unwrap_or_default());
            let is_result = |of: &str| {
                key == of
                    || (way.iter().rev().take(3).any(|part| *part == of)
                        && matches!(key, "value" | "lower" | "upper"))
            };
            if is_result("psi") && number.abs() > MOST_PSI {
                return Some(format!("ψ beyond {MOST_PSI}"));
            }
            (are_two && is_result("f_rsi") && !FACTORS.contains(&number))
                .then(|| "f_Rsi below 0 or above 1".to_owned())
        }
        Value::Array(items) => items.iter().find_map(|item| absurd(item, way, are_two)),
        Value::Object(entries) => {
            let end = |key: &str| entries.get(key).and_then(Value::as_f64);
            if let (Some(lower), Some(upper)) = (end("lower"), end("upper")) {
                if lower > upper {
                    return Some(format!("lower above upper in `{}`", way.join(".")));
                }
                if end("value").is_some_and(|value| value < lower || value > upper) {
                    return Some(format!("value outside its bracket in `{}`", way.join(".")));
                }
            }
            entries.iter().find_map(|(key, value)| {
                way.push(key);
                let found = absurd(value, way, are_two);
                way.pop();
                found
            })
        }
        _ => None,
    }
}
