//! Two cases side by side, for the terminal.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::Bracketed;
use super::document::compare::{Compare, InputDifference, Relation, ResultDifference};
use super::number_text::{shows_zero, temperature_text};

/// The whole text.
pub fn text(compare: &Compare) -> String {
    let mut text = String::new();
    let [first, second] = compare.cases.each_ref().map(|case| printable(case));
    let sets = if compare.sets.is_empty() {
        String::new()
    } else {
        format!(" with {}", printable(&compare.sets.join(", ")))
    };
    let _ = writeln!(text, "first:  {first}\nsecond: {second}{sets}\n\nPut in");
    if compare.inputs.is_empty() {
        let _ = writeln!(text, "  no difference");
    }
    compare.inputs.iter().for_each(|line| input(&mut text, line));
    let _ = writeln!(text, "\nCame out (the second less the first)");
    let width = compare.results.iter().map(|line| line.what.chars().count()).max().unwrap_or_default();
    for line in &compare.results {
        let shown =
            |value: Option<Bracketed>| value.map_or_else(|| "–".to_owned(), |value| number(value, line.unit));
        let (what, change) = (printable(&line.what), said(line));
        let _ =
            writeln!(text, "  {what:<width$} {:>20} {:>20}  {change}", shown(line.first), shown(line.second));
    }
    text
}

fn input(text: &mut String, line: &InputDifference) {
    let shown = |value: &str| if value.is_empty() { "–".to_owned() } else { printable(value) };
    let lines = match &line.lines {
        [Some(first), Some(second)] if first == second => format!("  ({first})"),
        [Some(first), Some(second)] => format!("  ({first}  →  {second})"),
        [Some(only), None] | [None, Some(only)] => format!("  ({only})"),
        [None, None] => String::new(),
    };
    let _ = writeln!(
        text,
        "  {:<40} {}  →  {}{}",
        printable(&line.what),
        shown(&line.first),
        shown(&line.second),
        printable(&lines)
    );
}

/// A value with what is known of its error. What is exact needs no ±; errors of temperatures are rounded up.
fn number(value: Bracketed, unit: &str) -> String {
    if unit == "°C" {
        temperature_text(value.value, value.half_width())
    } else if value.half_width() < 1e-12 {
        format!("{:.4}", value.lower)
    } else {
        value.to_string()
    }
}

/// The verdict in words.
fn said(line: &ResultDifference) -> String {
    let by = || {
        let difference = line.difference.unwrap_or_default();
        let decimals = if line.unit == "°C" { 2 } else { 4 };
        let rounded = format!("{difference:+.decimals$}");
        let text = if shows_zero(&rounded) { format!("{difference:+.1e}") } else { rounded };
        // A difference of temperatures is in kelvin.
        let unit = if line.unit == "°C" { "K" } else { line.unit };
        format!("{} {unit}", text.replace('-', "−")).trim_end().to_owned()
    };
    match line.verdict {
        Relation::Same => "the same".to_owned(),
        Relation::CannotBeToldApart => format!("cannot be told apart ({})", by()),
        Relation::Different => by(),
        Relation::OnlyInFirst => "only in the first".to_owned(),
        Relation::OnlyInSecond => "only in the second".to_owned(),
    }
}
