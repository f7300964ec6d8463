//! Heat flows are printed with the digits that are known of them, and their errors hold.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::report::document::solve::Solve;
use coldseam::report::summary;
use coldseam::result::{self, Demand};
use coldseam::shipped;

/// A wall on a slab between two rooms, of which the lower one has that temperature, and a cellar of another.
fn three(lower: &str, cellar: &str, resistance: &str) -> String {
    format!(
        "coldseam: 1
title: rooms over each other and a cellar
environments:
  upper: {{ role: internal, temperature: 20 }}
  lower: {{ role: internal, temperature: {lower} }}
  cellar: {{ role: unheated, temperature: {cellar} }}
  outside: {{ role: external, temperature: -5 }}
extent: {{ x: [-1200, 700], y: [-1500, 1500] }}
plan:
  - {{ space: upper, x: [-1200, 0], y: [0, 1500] }}
  - {{ space: lower, x: [-1200, -600], y: [-1500, 0] }}
  - {{ space: cellar, x: [-480, 0], y: [-1500, 0] }}
  - {{ space: outside, x: [400, 700] }}
  - {{ fill: aircrete_600, x: [0, 400], y: [-1500, 1500] }}
  - {{ fill: concrete_2200, x: [-1200, 250], y: [-200, 0] }}
  - {{ fill: block_heavy, x: [-600, -480], y: [-1500, -200] }}
surfaces:
  - {{ of: outside, resistance: {resistance} }}
"
    )
}

/// What is printed of each flow: its value, its error where one is, and how many decimals it has.
fn printed(document: &Solve) -> Vec<(f64, Option<f64>, i32)> {
    let text = summary::text(document);
    let lines = text.lines().filter(|line| line.ends_with("W/m into the construction"));
    let read = |line: &str| {
        let flow = line.split("°C").nth(1).unwrap().split("W/m").next().unwrap().trim();
        let (value, error) =
            flow.split_once(" ± ").map_or((flow, None), |(value, error)| (value, Some(error)));
        let decimals = value.split_once('.').map_or(0, |(_, decimals)| decimals.len() as i32);
        (value.parse().unwrap(), error.map(|error| error.parse().unwrap()), decimals)
    };
    lines.map(read).collect()
}

fn solved(text: &str, demand: &Demand) -> Solve {
    let case = case::from_text("flows", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    Solve::of(&result::compute_to(case, demand).unwrap())
}

/// Solved roughly and finely, the flows agree within both errors; what is printed holds the fine value and has no
/// digit below its error.
#[test]
fn heat_flows_show_the_digits_that_are_known() {
    let mut texts: Vec<String> = ["outer-corner", "window-sill", "balcony-slab", "roof-eaves"]
        .iter()
        .filter_map(|name| shipped::find(name))
        .map(|case| case.text.to_owned())
        .collect();
    for (lower, cellar) in [("20", "8"), ("18", "8"), ("20", "-5"), ("20", "20"), ("19.9", "12")] {
        texts.push(three(lower, cellar, "0.04"));
    }
    let (mut with_error, mut roughest, mut without) = (0, 0.0_f64, 0);
    for text in &texts {
        let rough =
            solved(text, &Demand { half_width: 0.05, factor_error: f64::INFINITY, ..Demand::default() });
        let fine = solved(text, &Demand { half_width: 1e-4, ..Demand::default() });
        for document in [&rough, &fine] {
            for ((name, flow), (value, error, decimals)) in document.heat_flow.iter().zip(printed(document)) {
                let own = fine.heat_flow[name].unwrap();
                let Some(error) = error else {
                    assert!(!document.heat_flow_errors.contains_key(name), "{name}");
                    assert!(
                        (value - flow.unwrap()).abs() <= flow.unwrap().abs() / 20.0 + 0.5,
                        "{name} {value}"
                    );
                    without += 1;
                    continue;
                };
                let known = document.heat_flow_errors[name];
                let both = known + fine.heat_flow_errors[name];
                assert!((flow.unwrap() - own).abs() <= both + 1e-9, "{name}: {flow:?} and {own} ± {both}");
                assert!((value - own).abs() <= error + fine.heat_flow_errors[name] + 1e-9, "{name} {value}");
                // The last digit is worth the error: of none to three decimals.
                let unit = 10_f64.powi(-decimals);
                assert!(decimals == 0 || decimals == 3 || unit >= known, "{name}: {value} ± {error}");
                roughest = roughest.max(known);
                with_error += 1;
            }
        }
    }
    assert!(with_error >= 30 && roughest > 1.0 && without >= 10, "{with_error} {roughest} {without}");
}

/// Where fixed temperatures touch, flows are infinite or of unknown error, and neither is given one.
#[test]
fn flows_of_touching_fixed_temperatures_have_no_error() {
    let text = "coldseam: 1
title: a plate whose left edge is warm and whose upper edge is cold, beside one that is neither
environments:
  warm: { role: internal, temperature: 20 }
  cold: { role: external, temperature: 0 }
  mild: { role: unheated, temperature: 10 }
extent: { x: [-100, 500], y: [0, 500] }
plan:
  - { space: warm, x: [-100, 0] }
  - { space: cold, x: [0, 400], y: [400, 500] }
  - { space: mild, x: [400, 500] }
  - { fill: aircrete_600, x: [0, 400], y: [0, 400] }
surfaces:
  - { of: warm, resistance: 0 }
  - { of: cold, resistance: 0 }
";
    let document = solved(text, &Demand { half_width: 0.05, ..Demand::default() });
    assert!(document.heat_flow.values().any(Option::is_none), "{:?}", document.heat_flow);
    assert!(document.heat_flow_errors.is_empty(), "{:?}", document.heat_flow_errors);
    assert!(summary::text(&document).contains("infinite W/m"));
}
