//! Slips of the hand that still make a document: another unit, a comma for a point, a word of the trade that is
//! no key here, a value given twice. Each is told for what it is.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case::{self, Diagnostic, Severity};
use coldseam::material::generic;
use coldseam::shipped;

const CORNER: &str = "outer-corner";

/// Everything that is said of a document, errors and warnings.
fn said(text: &str, sets: &[&str]) -> Vec<Diagnostic> {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    match case::from_text("case", text, &sets) {
        Ok(case) => case.warnings,
        Err(rejected) => rejected.diagnostics,
    }
}

fn corner_with(written: &str, instead: &str) -> String {
    let text = shipped::find(CORNER).unwrap().text;
    assert!(text.contains(written), "{written}");
    text.replacen(written, instead, 1)
}

fn is_told(found: &[Diagnostic], severity: Severity, message: &str, hint: &str) -> bool {
    found.iter().any(|finding| {
        finding.severity == severity
            && finding.message.contains(message)
            && finding.hint.as_ref().is_some_and(|own| own.contains(hint))
    })
}

#[test]
fn each_slip_is_told_for_what_it_is() {
    let (error, warning) = (Severity::Error, Severity::Warning);
    for (written, instead, severity, message, hint) in [
        ("conductivity: 0.031", "conductivity: 0,031", error, "`0,031` is written with a comma", "a point"),
        ("conductivity: 0.031", "lambda: 0.031", error, "no key `lambda`", "`conductivity`"),
        ("conductivity: 0.031", "λ: 0.031", error, "no key `λ`", "`conductivity`"),
        ("conductivity: 0.031", "conductivity: 31", warning, "conducts 31 W/(m·K)", "35 mW/(m·K) are 0.035"),
        ("conductivity: 0.031", "conductivity: 0.31", warning, "expanded polystyrene", "W/(m·K)"),
        ("conductivity: 0.031", "conductivity: 0.0031", warning, "expanded polystyrene", "W/(m·K)"),
        (
            "conductivity: 0.031",
            "conductivity: 0.031, vapour_resistance: 60/40",
            error,
            "one number divided",
            "[60, 40]",
        ),
        ("humidity: 50", "humidity: 0.5", error, "between 2 and 100", "50, not 0.5"),
        ("humidity: 50", "rh: 50", error, "no key `rh`", "`humidity`"),
        ("temperature: 20", "temperature: 293", warning, "293 °C", "293 K"),
        ("temperature: 20", "temperature: 68", warning, "68 °C", "°F"),
        ("resistance: 0.25", "resistance: 25", warning, "25 m²K/W", "not a coefficient"),
        ("resistance: 0.25", "rsi: 0.25", error, "no key `rsi`", "`resistance`"),
        ("critical: 0.75", "critical: 75", error, "between 0.1 and 0.99", "75 % are 0.75"),
        ("critical: 0.75", "critical: 0", error, "between 0.1 and 0.99", "share"),
        (
            "points:",
            "claims: { psi: 0.05 }\npoints:",
            error,
            "no key `psi`",
            "`psi_internal`, `psi_external` or",
        ),
        (
            "points:",
            "surfaces: [{ of: room, resistance: 7.7 }]\npoints:",
            warning,
            "7.7 m²K/W",
            "coefficient",
        ),
        ("inner_edge: [0, 0]", "inner_edge: [0, 0,5]", error, "exactly two values, found 3", "with a point"),
        ("coldseam: 1", "coldseam: \"1\"", error, "version", "without quotes"),
        ("  plaster: 13", "\tplaster: 13", error, "indented with a tab", "spaces"),
    ] {
        let found = said(&corner_with(written, instead), &[]);
        assert!(is_told(&found, severity, message, hint), "{instead}: {found:#?}");
    }
    let text = shipped::find(CORNER).unwrap().text;
    for (sets, message, hint) in [
        (&["insulation=insulation + 10"][..], "depends on itself", "write the number itself"),
        (&["block=wall"], "depends on itself", ""),
    ] {
        let found = said(text, sets);
        assert!(is_told(&found, error, message, hint), "{sets:?}: {found:#?}");
        assert!(
            found.iter().filter(|finding| finding.message.contains("depends")).count() <= 2,
            "{found:#?}"
        );
    }
    assert!(said(text, &[]).is_empty(), "the case itself has none");
}

/// Every generic material under its own name: silent as it stands, told where its λ is a thousand times too
/// large.
#[test]
fn another_unit_is_told_for_every_kind_of_material() {
    let mut told = 0;
    for row in generic::table() {
        let with = |value: f64| {
            let own =
                format!("  {}: {{ conductivity: {value}, source: the table }}\nenvironments:", row.name);
            let text = corner_with("environments:", "environments:").replacen(
                "\nenvironments:",
                &format!("\n{own}"),
                1,
            );
            said(&text, &[])
        };
        let of_unit = |found: &[Diagnostic]| found.iter().any(|finding| finding.message.contains("conducts"));
        assert!(!of_unit(&with(row.conductivity)), "{}", row.name);
        let large = row.conductivity * 1e3;
        if large <= 1e3 && coldseam::material::kind::told_by(&row.name).is_some() {
            assert!(of_unit(&with(large)), "{}", row.name);
            told += 1;
        }
    }
    assert!(told > 10, "{told}");
}

/// Materials that are named after a kind and are of none keep their λ without a word.
#[test]
fn honest_materials_are_not_warned_of() {
    for (name, value) in [
        ("foamed_concrete", 0.08),
        ("aerogel_render", 0.028),
        ("polystyrene_concrete", 0.2),
        ("steel_stud_equivalent", 0.5),
        ("aluminium_honeycomb", 1.5),
        ("aluminium_composite_panel", 0.4),
        ("polyurethane_thermal_break", 0.21),
        ("vacuum_insulation", 0.007),
        ("phenolic_board", 0.02),
        ("glass_wool", 0.03),
        ("expanded_polystyrene", 0.035),
    ] {
        let own = format!("\n  {name}: {{ conductivity: {value}, source: the test }}\nenvironments:");
        let text = shipped::find(CORNER).unwrap().text.replacen("\nenvironments:", &own, 1);
        assert!(said(&text, &[]).is_empty(), "{name}: {:?}", said(&text, &[]));
    }
}

/// Rooms in kelvin or Fahrenheit are told, and no room that anybody uses.
#[test]
fn rooms_in_other_units_are_told() {
    for celsius in [10.0, 15.0, 18.0, 20.0, 22.0, 24.0, 34.0] {
        let with = |value: f64| said(&corner_with("temperature: 20", &format!("temperature: {value}")), &[]);
        let is_odd =
            |found: &[Diagnostic]| found.iter().any(|finding| finding.message.contains("(internal) has"));
        assert!(!is_odd(&with(celsius)), "{celsius}");
        assert!(is_odd(&with(celsius + 273.0)), "{celsius}");
        assert!(is_odd(&with(celsius * 1.8 + 32.0)), "{celsius}");
    }
    // An oven whose resistances are stated may be as hot as it likes.
    let oven = corner_with("temperature: 20", "temperature: 300").replacen(
        "points:",
        "surfaces: [{ of: room, resistance: 0.1 }]\npoints:",
        1,
    );
    assert!(said(&oven, &[]).is_empty());
}
