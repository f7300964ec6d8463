//! Frames and glazing judged by condensation, and the surface resistances that f_Rsi is computed with, on
//! plane elements with exact factors.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use assert_cmd::Command;
use coldseam::case;
use coldseam::climate::{Climate, Indoor, Moisture, Month};
use coldseam::result::condensation::{Assessment, LimitKind, Verdict, assess};

mod common;

/// Saturation pressure by the standard's formulas.
fn saturation(celsius: f64) -> f64 {
    let (a, b) = if celsius >= 0.0 { (17.269, 237.3) } else { (21.875, 265.5) };
    610.5 * f64::exp(a * celsius / (b + celsius))
}

/// A pane and a wall of these resistances, m²K/W, apart from each other with nothing between; air of 20 °C
/// and `humidity` %.
fn two_elements(pane: f64, wall: f64, humidity: f64, outside: f64, rest: &str) -> String {
    format!(
        "coldseam: 1
title: pane and wall
cut: horizontal
materials:
  pane: {{ conductivity: {:e}, source: test }}
  wall: {{ conductivity: {:e}, source: test }}
environments:
  room: {{ role: internal, temperature: 20, humidity: {humidity} }}
  outside: {{ role: external, temperature: {outside} }}
extent: {{ x: [-100, 400], y: [0, 1200] }}
plan:
  - {{ space: room, x: [-100, 0] }}
  - {{ space: outside, x: [300, 400] }}
  - {{ fill: wall, x: [0, 300], y: [700, 1200] }}
  - {{ space: outside, x: [30, 300], y: [0, 500] }}
  - {{ fill: pane, x: [0, 30], y: [0, 500] }}
{rest}",
        0.03 / pane,
        0.3 / wall
    )
}

/// f of a plane element: what is left of the resistances beyond the inner surface.
fn factor(inside: f64, element: f64) -> f64 {
    (element + 0.04) / (inside + element + 0.04)
}

fn assessed(text: &str, climate: Option<&Climate>) -> Assessment {
    assess(&common::solve_text(text), climate).remove(0)
}

/// A stated resistance counts for condensation where it is higher than that of the condensation pass, and 0
/// keeps a temperature fixed; on what is judged apart the same against 0.13 (ISO 13788:2012, from memory).
#[test]
fn the_higher_of_stated_and_condensation_resistance_counts() {
    let (pane, wall) = (0.4, 1.2);
    for own in [0.2, 0.25, 0.35] {
        for stated in [None, Some(0.0), Some(0.05), Some(0.13), Some(0.18), Some(0.25), Some(0.3), Some(0.5)]
        {
            for on in ["", ", on: pane", ", on: wall"] {
                let rule = stated.map_or_else(String::new, |r| {
                    format!("surfaces: [{{ of: room, resistance: {r}{on} }}]\n")
                });
                let rest = format!("{rule}condensation: {{ resistance: {own}, exclude: [pane] }}\n");
                let assessment = assessed(&two_elements(pane, wall, 50.0, -5.0, &rest), None);
                let expected = |standard: f64, other: &str| match stated.filter(|_| on != other) {
                    Some(0.0) => 0.0,
                    Some(stated) if stated > standard => stated,
                    _ => standard,
                };
                let (of_wall, of_pane) = (expected(own, ", on: pane"), expected(0.13, ", on: wall"));
                let told = format!("own {own}, stated {stated:?}{on}");
                assert!(
                    (assessment.coldest.factor - factor(of_wall, wall)).abs() < 1e-9,
                    "{told}: {:?}",
                    assessment.coldest
                );
                let apart = assessment.excluded.unwrap().coldest;
                assert!((apart.factor - factor(of_pane, pane)).abs() < 1e-9, "{told}: {apart:?}");
            }
        }
    }
    // Furniture before the whole wall: 0.5 instead of 0.25, with the criterion of 0.70.
    let rest = "surfaces: [{ of: room, on: wall, resistance: 0.5 }]\ncondensation: { exclude: [pane], critical: 0.70 }\n";
    let outcome = common::solve_text(&two_elements(pane, 1.0, 50.0, -5.0, rest));
    let criterion = assess(&outcome, None)[0].limits[2].clone();
    assert_eq!((criterion.kind, criterion.verdict), (LimitKind::Criterion, Some(Verdict::Fails)));
    assert!(factor(0.25, 1.0) > 0.70 && factor(0.5, 1.0) < 0.70);
    let text = common::summary(&outcome);
    assert!(text.contains("0.25 m²K/W or the higher one stated"), "{text}");
}

/// Random panes and walls: on the pane condensation decides and nothing else, at the design conditions and in
/// each month; what the pane comes to counts for the whole.
#[test]
fn panes_are_judged_by_condensation() {
    let mut state = 5_u64;
    let mut random = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((state >> 11) as f64 / (1_u64 << 53) as f64)
    };
    let mut seen = [[0; 2]; 2];
    for number in 0..60 {
        let (pane, wall, humidity) = (random(0.02, 0.6), random(0.15, 2.0), random(25.0, 60.0).round());
        let outside = random(-15.0, 8.0).round();
        let months =
            std::array::from_fn(|_| Month { temperature: random(-8.0, 24.0), humidity: random(0.5, 0.95) });
        let indoor = Indoor { temperature: 20.0, moisture: Moisture::Humidity(random(0.3, 0.6)) };
        let climate = Climate { name: "t".to_owned(), source: "t".to_owned(), months, indoor: Some(indoor) };
        let only_pane = number % 5 == 0;
        let exclude = if only_pane {
            "condensation: { exclude: [pane, wall] }\n"
        } else {
            "condensation: { exclude: [pane] }\n"
        };
        let wall = if only_pane { 2.0 * pane } else { wall };
        let assessment = assessed(&two_elements(pane, wall, humidity, outside, exclude), Some(&climate));
        let pressure = humidity / 100.0 * saturation(20.0);
        let surface = outside + factor(0.13, pane) * (20.0 - outside);
        let condenses = pressure > saturation(surface);
        let (limit, year) = match &assessment.excluded {
            Some(apart) => (&apart.limit, apart.year.as_ref().unwrap()),
            None => (&assessment.limits[0], assessment.year.as_ref().unwrap()),
        };
        assert_eq!(assessment.only_apart, only_pane);
        assert_eq!((limit.kind, year.kind), (LimitKind::Condensation, LimitKind::Condensation));
        let verdict = |fails: bool| if fails { Verdict::Fails } else { Verdict::Safe };
        assert_eq!(limit.verdict, Some(verdict(condenses)), "{number}");
        assert!((limit.onset.unwrap() - saturation(surface) / saturation(20.0)).abs() < 1e-9, "{number}");
        // Half of the surface is the pane, the other the wall: where the wall is judged apart too, it counts
        // as well.
        let wall_condenses =
            only_pane && pressure > saturation(outside + factor(0.13, wall) * (20.0 - outside));
        let below = [condenses, wall_condenses].iter().filter(|is_below| **is_below).count() as f64 * 0.5;
        assert!((limit.length_below - below).abs() < 1e-9, "{number}: {} for {below}", limit.length_below);
        let fixed = match indoor.moisture {
            Moisture::Humidity(humidity) => (humidity + 0.05) * saturation(20.0),
            _ => unreachable!(),
        };
        let mut any_month = false;
        for (row, month) in year.months.iter().zip(&months) {
            let surface = month.temperature + factor(0.13, pane) * (20.0 - month.temperature);
            let fails = fixed > saturation(surface);
            any_month |= fails;
            assert_eq!(row.verdict, verdict(fails), "{number}: {month:?}");
        }
        let wall_is_safe = only_pane || {
            let design = outside + factor(0.25, wall) * (20.0 - outside);
            let monthly = months.iter().all(|month| {
                let surface = month.temperature + factor(0.25, wall) * (20.0 - month.temperature);
                fixed / saturation(surface) <= 0.8
            });
            pressure / saturation(design) <= 0.8 && monthly
        };
        let pane_is_safe = !(condenses || any_month);
        assert_eq!(assessment.is_safe(), wall_is_safe && pane_is_safe, "{number}");
        seen[usize::from(wall_is_safe)][usize::from(pane_is_safe)] += 1;
    }
    assert!(seen.iter().flatten().all(|count| *count > 0), "{seen:?}");
}

/// A wall that is safe does not hide a pane that is not: the exit code, the text and the JSON say so, and
/// what the conditions mean.
#[test]
fn the_exit_code_follows_the_pane() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("pane.yaml");
    let run = |pane: f64, arguments: &[&str]| {
        std::fs::write(
            &file,
            two_elements(pane, 6.0, 50.0, -10.0, "condensation: { exclude: [pane], critical: 0.75 }\n"),
        )
        .unwrap();
        let mut command = Command::cargo_bin("coldseam").unwrap();
        let output = command
            .arg("condensation")
            .arg(&file)
            .args(arguments)
            .arg("--out")
            .arg(folder.path())
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap())
    };
    // f 0.599 where the dew point of 9.27 °C (20 °C, 50 %; psychrometric tables) needs 0.642.
    let pane = 0.599 * 0.13 / (1.0 - 0.599) - 0.04;
    let (code, text) = run(pane, &[]);
    assert_eq!(code, Some(1), "{text}");
    for part in ["f = 0.599", "0.642", "FAILS", "46 %", "coldest", "no margin is added", "-10 °C"] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    let (code, text) = run(pane, &["--no-pictures", "--format", "json"]);
    assert_eq!(code, Some(1));
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["is_safe"], false);
    let room = &document["environments"][0];
    assert!(room["limits"].as_array().unwrap().iter().all(|limit| limit["verdict"] == "safe"));
    assert_eq!(room["excluded"]["limits"][0]["verdict"], "fails");
    assert_eq!(run(0.6, &["--no-pictures"]).0, Some(0));
    // Nothing but panes is judged too.
    std::fs::write(&file, two_elements(pane, pane, 50.0, -10.0, "condensation: { exclude: [pane, wall] }\n"))
        .unwrap();
    assert!(case::load(&file, &[]).is_ok());
    let mut command = Command::cargo_bin("coldseam").unwrap();
    let output = command.arg("condensation").arg(&file).arg("--out").arg(folder.path()).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains("all surfaces are judged apart") && !text.contains("mould growth"), "{text}");
}
