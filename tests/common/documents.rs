//! Random and mutated documents, taken through all that the program computes: no number in what comes out may
//! be other than finite.
#![allow(dead_code)]

use std::collections::BTreeSet;

use coldseam::bounds::{Bracket, NoBracket};
use coldseam::case::{self, Case, PsiSource};
use coldseam::element::ground;
use coldseam::report::document::build_up::BuildUp;
use coldseam::report::document::condensation::Condensation;
use coldseam::report::document::elements::{FloorOnGround, Window};
use coldseam::report::document::solve::Solve;
use coldseam::report::{condensation_text, element_text, summary};
use coldseam::result::condensation::assess;
use coldseam::result::dwelling::{reduction, sum};
use coldseam::result::{self, Demand, Outcome, comparison, pattern};
use coldseam::review::{self, Seal};
use serde::Serialize;
use serde_json::Value;

/// Numbers at and beyond the ends of the ranges, and spellings.
pub const NUMBERS: [&str; 42] = [
    "0",
    "-0",
    "1",
    "-1",
    "2",
    "0.5",
    "20",
    "100",
    "1000",
    "0.001",
    "0.0009",
    "0.000001",
    "1e-9",
    "1e-10",
    "1e-12",
    "1e-15",
    "1e-300",
    "5e-324",
    "1e5",
    "1e6",
    "1e9",
    "1e12",
    "1e13",
    "1e308",
    "1e999",
    "-1e6",
    "-1e308",
    "0.01",
    "0.00001",
    "1e-7",
    "20.0000001",
    "19.9995",
    "-273.15",
    "1200",
    ".nan",
    ".inf",
    "-.inf",
    "~",
    "0x10",
    "1/0",
    "max(1, 0/0)",
    "1e200*1e200",
];

/// Marsaglia's xorshift.
pub struct Dice(pub u64);

impl Dice {
    /// From 0 to one less than `sides`.
    pub fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % sides.max(1) as u64) as usize
    }

    /// One of them.
    pub fn of<'a>(&mut self, choices: &[&'a str]) -> &'a str {
        choices[self.roll(choices.len())]
    }
}

/// A document with one to three numbers replaced.
pub fn mutated(text: &str, dice: &mut Dice) -> String {
    let mut text = text.to_owned();
    for _ in 0..=dice.roll(3) {
        let bytes = text.as_bytes();
        let is_part = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_');
        let begins = |at: usize| bytes[at].is_ascii_digit() && (at == 0 || !is_part(bytes[at - 1]));
        // Not in titles, which are printed as they stand.
        let is_title = |at: usize| {
            text[text[..at].rfind('\n').map_or(0, |end| end + 1)..].trim_start().starts_with("title")
        };
        let starts: Vec<usize> =
            (text.find('\n').unwrap_or(0)..bytes.len()).filter(|at| begins(*at) && !is_title(*at)).collect();
        if starts.is_empty() {
            break;
        }
        let start = starts[dice.roll(starts.len())];
        let end = (start..bytes.len()).find(|at| !is_part(bytes[*at])).unwrap_or(bytes.len());
        let value: f64 = text[start..end].parse().unwrap_or(1.0);
        let other = match dice.roll(3) {
            0 => format!("{:e}", value * 10_f64.powi(dice.roll(13) as i32 - 6)),
            1 => format!("{}", value * (0.5 + dice.roll(1_000) as f64 * 1e-3)),
            _ => NUMBERS[dice.roll(NUMBERS.len())].to_owned(),
        };
        text.replace_range(start..end, &other);
    }
    text
}

/// A wall, a corner or a room between two others, with numbers from all over their ranges and a little
/// beyond.
pub fn random(dice: &mut Dice) -> String {
    let conductivity = ["1e-5", "0.00001", "0.002", "0.035", "0.2", "1", "50", "400", "1000", "1e-6"];
    let temperature = ["-200", "-10", "0", "0.001", "0.0005", "1e-7", "19.999", "20", "20", "1200", "1e-300"];
    let resistance = ["0", "1e-9", "1e-6", "0.04", "0.13", "0.25", "100", "1e-10"];
    let humidity = ["0", "0.01", "1", "50", "99.99", "100", "0.001"];
    let thickness = ["0.01", "0.1", "1", "13", "100", "300", "10000", "0.005"];
    let [first, second] = [dice.of(&conductivity), dice.of(&conductivity)];
    let [inside, beside, outside] = [dice.of(&temperature), dice.of(&temperature), dice.of(&temperature)];
    let role = dice.of(&["internal", "unheated", "external"]);
    let third = dice.roll(2) == 0;
    let beside =
        if third { format!("\n  beside: {{ role: {role}, temperature: {beside} }}") } else { String::new() };
    let paint = if third { "\n  - { space: beside, x: [-300, 0], y: [0, 200] }" } else { "" };
    let [a, b] = [dice.of(&thickness), dice.of(&thickness)];
    let cavity = if dice.roll(3) == 0 {
        "\n  - { cavity: building, x: [0.25 * a, 0.75 * a], y: [100, 300] }"
    } else {
        ""
    };
    let condensation = if dice.roll(2) == 0 {
        format!("\ncondensation: {{ resistance: {} }}", dice.of(&resistance))
    } else {
        String::new()
    };
    let length = dice.of(&["[0, 500]", "[0, 500 + 1e-5]", "[0, 0.001]", "[-1e6, 1e6]"]);
    format!(
        "coldseam: 1\ntitle: Random\nparameters: {{ a: {a}, b: {b} }}\nmaterials:\n  first: {{ conductivity: {first}, source: \"random\" }}\n  \
         second: {{ conductivity: {second}, source: \"random\" }}\nenvironments:\n  \
         room: {{ role: internal, temperature: {inside}, humidity: {} }}{beside}\n  outside: {{ role: external, temperature: {outside} }}\n\
         extent: {{ x: [-300, a + b + 300], y: [0, 500] }}\nplan:\n  - {{ space: room, x: [-300, 0] }}{paint}\n  \
         - {{ space: outside, x: [a + b, a + b + 300] }}\n  - {{ layers: [[first, a], [second, b]], along: +x, from: 0, y: [0, 500] }}{cavity}\n\
         surfaces:\n  - {{ of: room, resistance: {} }}\n  - {{ of: outside, resistance: {} }}{condensation}\n\
         psi:\n  flanking:\n    - {{ element: wall, section: {{ y: 500 }}, internal: {length} }}\npoints: {{ foot: [0, 250] }}\n",
        dice.of(&humidity),
        dice.of(&resistance),
        dice.of(&resistance),
    )
}

/// Keys that may be null: those that are in the documents of sound cases, where something does not apply.
#[derive(Default)]
pub struct Nulls(BTreeSet<String>);

impl Nulls {
    /// Learns from documents known to be sound.
    pub fn of(texts: &[&str]) -> Self {
        let mut nulls = Self::default();
        for text in texts {
            let mut found = Vec::new();
            elements(text, &mut |document, _| keys_of_nulls(document, "", &mut found));
            // With few unknowns there is no finer grid to compare with.
            for effort in [Effort::Little, Effort::Much] {
                if let Ok(case) = case::from_text("sound", text, &[]) {
                    let _ = computed(case, text, effort, &mut |document, _| {
                        keys_of_nulls(document, "", &mut found);
                    });
                }
            }
            nulls.0.extend(found);
        }
        nulls
    }

    /// Learns from a document known to be sound.
    pub fn learn(&mut self, document: &Value) {
        let mut found = Vec::new();
        keys_of_nulls(document, "", &mut found);
        self.0.extend(found);
    }

    /// The first key that is null and may not be.
    pub fn unexpected(&self, document: &Value) -> Option<String> {
        let mut found = Vec::new();
        keys_of_nulls(document, "", &mut found);
        found.into_iter().find(|key| !self.0.contains(key))
    }
}

fn keys_of_nulls(value: &Value, key: &str, found: &mut Vec<String>) {
    match value {
        Value::Null => found.push(key.to_owned()),
        Value::Array(items) => items.iter().for_each(|item| keys_of_nulls(item, key, found)),
        // Its keys are names of environments; one that is infinite is null.
        Value::Object(entries) if key == "heat_flow" => {
            entries.values().for_each(|value| keys_of_nulls(value, key, found));
        }
        Value::Object(entries) => entries.iter().for_each(|(key, value)| keys_of_nulls(value, key, found)),
        _ => {}
    }
}

/// True if one of the words is what a number that is not finite is printed as.
pub fn says_not_a_number(text: &str) -> bool {
    let is_part = |character: char| character.is_alphanumeric() || character == '_';
    text.split(|character: char| !is_part(character))
        .any(|word| matches!(word, "NaN" | "inf" | "nan" | "infinity"))
}

/// How much is done to a case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effort {
    /// Solving, condensation and comparison, on coarse grids.
    Little,
    /// Also the review, which solves once more.
    Much,
}

/// What became of a document.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Fate {
    /// A case, build-up file or climate was read from it.
    pub accepted: bool,
    /// Its equations were solved.
    pub solved: bool,
}

/// Takes a document through everything; an error says what is no number in what it led to.
///
/// # Errors
/// The first output with a number that is not finite.
pub fn look(text: &str, nulls: &Nulls, effort: Effort) -> Result<Fate, String> {
    let mut fate = Fate::default();
    let mut problem: Option<String> = None;
    let mut check = |document: &Value, text: &str| {
        if let Some(key) = nulls.unexpected(document) {
            problem.get_or_insert(format!("`{key}` is null in {document:#}"));
        }
        if says_not_a_number(text) {
            problem.get_or_insert(format!("not finite: {text}"));
        }
    };
    fate.accepted = elements(text, &mut check);
    if let Ok(case) = case::from_text("random", text, &[]) {
        fate.accepted = true;
        fate.solved = computed(case, text, effort, &mut check).is_some();
    }
    problem.map_or(Ok(fate), Err)
}

/// A document to look into.
fn value(document: &impl Serialize) -> Value {
    serde_json::to_value(document).expect("keys are names")
}

/// The plane elements of a document, as documents and texts; false where it has none that can be read.
fn elements(text: &str, check: &mut dyn FnMut(&Value, &str)) -> bool {
    let Ok(library) = case::library_from_text("random", text, &[]) else { return false };
    for build_up in &library.build_ups {
        if let Ok(pattern) = pattern::solve(build_up) {
            let element = BuildUp::of(build_up, &pattern);
            check(&value(&element), &element_text::build_up(&element));
        }
    }
    for floor in &library.floors {
        let element = FloorOnGround::of(floor);
        check(&value(&element), &element_text::floor(&element));
    }
    for window in &library.windows {
        let element = Window::of(window);
        check(&value(&element), &element_text::window(&element));
    }
    if let Some(dwelling) = &library.dwelling {
        // Cases stand in other files: any ψ in their place.
        let psi = dwelling.junctions.iter().map(|junction| match &junction.psi {
            PsiSource::Given(psi, _) => *psi,
            PsiSource::Case(_) => 0.05,
        });
        if let Ok(psi) =
            psi.map(|psi| Ok((Bracket::around(psi, 1e-3)?, String::new()))).collect::<Result<_, NoBracket>>()
            && let Ok(sum) = sum(dwelling, psi)
        {
            check(&Value::Bool(true), &format!("{sum:?} {:?}", sum.per_area()));
        }
    }
    check(
        &Value::Bool(true),
        &format!(
            "{:?}",
            library.floors.iter().map(|floor| ground::u_value(&floor.floor).u_value).collect::<Vec<_>>()
        ),
    );
    true
}

/// Everything that follows from a case, as documents and texts; none where it is refused.
fn computed(case: Case, text: &str, effort: Effort, check: &mut dyn FnMut(&Value, &str)) -> Option<Outcome> {
    let most_unknowns = if effort == Effort::Much { 5_000 } else { 500 };
    let demand = Demand { half_width: 0.5, factor_error: 0.5, most_unknowns };
    let climate = case.climate.clone();
    let outcome = result::compute_to(case, &demand).ok()?;
    let solve = Solve::of(&outcome);
    check(&value(&solve), &summary::text(&solve));
    check(&Value::Bool(true), &format!("{:?}", reduction(&outcome.case.model, None).ok()));
    let assessments = assess(&outcome, climate.as_ref());
    let condensation = Condensation::of(&outcome, climate.as_ref(), &assessments, &[]);
    check(&value(&condensation), &condensation_text::text(&condensation, false));
    if effort == Effort::Much {
        let findings = review::review(&outcome, &Seal::None);
        let evidence: Vec<&str> = findings.iter().map(|finding| finding.evidence.as_str()).collect();
        check(&Value::Bool(true), &evidence.join("\n"));
    }
    let again = case::from_text("random", text, &[]).ok()?;
    let compared = comparison::results([&outcome, &outcome]);
    check(&Value::Bool(true), &format!("{:?}\n{:?}", compared, comparison::inputs([&outcome.case, &again])));
    Some(outcome)
}
