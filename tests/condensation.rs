//! Mould and surface condensation: ISO 13788 month by month, limits, lengths, what helps.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use assert_cmd::Command;
use coldseam::case::{self, Case};
use coldseam::climate::{Climate, Indoor, Moisture};
use coldseam::model::EnvironmentId;
use coldseam::report;
use coldseam::report::document::condensation::Condensation;
use coldseam::result::condensation::{LimitKind, Verdict, assess};
use coldseam::result::what_helps::{self, Change};
use coldseam::result::{self, Outcome};

mod common;

fn climate(months: &[(f64, f64)], indoor: &str) -> Climate {
    let rows: Vec<String> =
        months.iter().map(|(temperature, humidity)| format!("[{temperature}, {humidity}]")).collect();
    let text = format!(
        "coldseam: 1\nclimate:\n  name: example\n  source: the example\n  months: [{}]\n  indoor: {indoor}\n",
        rows.join(", ")
    );
    case::climate_from_text("climate", &text).unwrap_or_else(|rejected| panic!("{rejected}"))
}

/// The example of ISO 13788:2001, annex: outdoor means and class 3 with the factor 1.10; climate from memory
/// of the annex, the results by an independent calculation. January in full, f_min of all months.
const EXAMPLE: [(f64, f64); 12] = [
    (2.8, 92.0),
    (2.8, 88.0),
    (4.5, 85.0),
    (6.7, 80.0),
    (9.8, 78.0),
    (12.6, 80.0),
    (14.0, 82.0),
    (13.7, 84.0),
    (11.5, 87.0),
    (9.0, 89.0),
    (5.0, 91.0),
    (3.5, 92.0),
];

#[test]
fn months_match_the_example_of_the_standard() {
    let climate = climate(&EXAMPLE, "{ temperature: 20, class: 3 }");
    let outcome = common::solve_shipped("window-sill", &[]);
    let assessment = assess(&outcome, Some(&climate)).remove(0);
    let year = assessment.year.unwrap();
    let needed = [0.767, 0.748, 0.708, 0.636, 0.549, 0.520, 0.547, 0.600, 0.658, 0.692, 0.739, 0.760];
    for (month, (row, needed)) in year.months.iter().zip(needed).enumerate() {
        assert!(
            (row.needed.unwrap() - needed).abs() < 6e-4,
            "month {}: {:?} for {needed}",
            month + 1,
            row.needed
        );
    }
    assert_eq!(year.critical, Some(0));
    let january = &year.months[0];
    for (computed, printed, digit) in [
        (january.outdoor_pressure, 687.0, 0.6),
        (january.indoor_pressure, 1453.0, 0.6),
        (january.needed_pressure, 1817.0, 0.9),
        (january.needed_temperature, 15.99, 0.006),
    ] {
        assert!((computed - printed).abs() <= digit, "{computed} for {printed}");
    }
    // The surface follows from f_Rsi by its definition.
    assert!((january.surface - (2.8 + assessment.coldest.factor * 17.2)).abs() < 1e-12);
}

/// A plane wall: f_Rsi = 1 − U·Rsi exactly, and with it every limit.
#[test]
fn a_plane_wall_has_its_exact_factor_and_onset() {
    let outcome = common::solve_text(
        "coldseam: 1
title: plane wall
environments: { room: { role: internal, temperature: 20, humidity: 50 }, outside: { role: external, temperature: -5 } }
extent: { x: [-100, 300], y: [0, 1000] }
plan: [{ space: room, x: [-100, 0] }, { space: outside, x: [200, 300] }, { fill: brick_outer, x: [0, 200] , y: [0, 1000] }]
condensation: { resistance: 0.25, critical: 0.6 }
",
    );
    let u = 1.0 / (0.25 + 0.2 / 0.77 + 0.04);
    let factor = 1.0 - u * 0.25;
    let assessment = assess(&outcome, None).remove(0);
    assert!((assessment.coldest.factor - factor).abs() < 1e-9);
    let limit = |kind: LimitKind| assessment.limits.iter().find(|limit| limit.kind == kind).unwrap();
    // 80 % surface humidity at 12.62 °C and the dew point of 9.27 °C for air of 20 °C and 50 % (psychrometric
    // tables).
    assert!((limit(LimitKind::Mould).needed.unwrap() - (12.62 + 5.0) / 25.0).abs() < 3e-4);
    assert!((limit(LimitKind::Condensation).needed.unwrap() - (9.27 + 5.0) / 25.0).abs() < 3e-4);
    assert_eq!(limit(LimitKind::Mould).verdict, Some(Verdict::Fails));
    assert_eq!(limit(LimitKind::Condensation).verdict, Some(Verdict::Fails));
    assert_eq!(limit(LimitKind::Criterion).verdict, Some(Verdict::Fails));
    assert!((limit(LimitKind::Mould).length_below - 1.0).abs() < 1e-12, "all of it is below");
    // At the onset the surface has 80 % and 100 %.
    let surface = 20.0 - 25.0 * u * 0.25;
    let share = |kind: LimitKind| {
        limit(kind).onset.unwrap() * coldseam::climate::humid_air::saturation_pressure(20.0)
            / coldseam::climate::humid_air::saturation_pressure(surface)
    };
    assert!(
        (share(LimitKind::Mould) - 0.8).abs() < 1e-9 && (share(LimitKind::Condensation) - 1.0).abs() < 1e-9
    );
}

/// With an unheated space the months combine the unit fields; solving a month anew must give the same coldest
/// surface.
#[test]
fn months_of_three_temperatures_match_solving_them_anew() {
    let text = |inside: f64, cellar: f64, outside: f64| {
        format!(
            "coldseam: 1
title: wall over a cellar
environments:
  room: {{ role: internal, temperature: {inside}, humidity: 50 }}
  cellar: {{ role: unheated, temperature: {cellar} }}
  outside: {{ role: external, temperature: {outside} }}
extent: {{ x: [-1500, 500], y: [-1500, 1500] }}
plan:
  - {{ space: room, x: [-1500, 0], y: [0, 1500] }}
  - {{ space: cellar, x: [-1500, 0], y: [-1500, -200] }}
  - {{ space: outside, x: [300, 500] }}
  - {{ fill: aircrete_500, x: [0, 300], y: [-1500, 1500] }}
  - {{ fill: concrete_2400, x: [-1500, 150], y: [-200, 0] }}
condensation: {{ resistance: 0.25 }}
"
        )
    };
    let design = common::solve_text(&text(20.0, 8.0, 0.0));
    let mut months = [(5.0, 80.0); 12];
    months[3] = (-7.0, 80.0);
    let climate = climate(&months, "{ temperature: 22, humidity: 45 }");
    let year = assess(&design, Some(&climate)).remove(0).year.unwrap();
    // The cellar stays at 8/20 of the way from outside to inside.
    let cellar = -7.0 + 0.4 * 29.0;
    let anew = common::solve_text(&text(22.0, cellar, -7.0));
    let coldest = anew.factors[0].coldest.as_ref().unwrap();
    assert!(
        (year.months[3].surface - coldest.temperature).abs() < 0.02,
        "{} and {}",
        year.months[3].surface,
        coldest.temperature
    );
    assert_eq!(year.critical, Some(3));
}

/// Walls of one dimension in a row, room – outside – store – cellar, so that every surface has its value by
/// hand. Rooms of different temperature and humidity keep their own, whatever the climate's indoor air; the
/// cellar follows the outside as far as the room that leaves it coldest has it.
#[test]
fn rooms_keep_their_own_air_month_by_month() {
    let mut state = 7_u64;
    let mut random = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((state >> 11) as f64 / (1_u64 << 53) as f64)
    };
    for case in 0..40 {
        let (room, store) = (random(18.0, 24.0), random(8.0, 17.0));
        let (outside, cellar) = (random(-12.0, 0.0), random(1.0, 19.0));
        let humidities = [random(30.0, 60.0), random(40.0, 75.0)];
        let resistances = [0.0; 3].map(|_| random(0.3, 4.0));
        let own = [true, case % 3 != 0];
        let humidity = |index: usize| {
            if own[index] { format!(", humidity: {}", humidities[index]) } else { String::new() }
        };
        let outcome = common::solve_text(&format!(
            "coldseam: 1
title: a row of walls
cut: horizontal
materials:
  a: {{ conductivity: {}, source: made up }}
  b: {{ conductivity: {}, source: made up }}
  c: {{ conductivity: {}, source: made up }}
environments:
  room: {{ role: internal, temperature: {room}{} }}
  store: {{ role: internal, temperature: {store}{} }}
  outside: {{ role: external, temperature: {outside} }}
  cellar: {{ role: unheated, temperature: {cellar} }}
extent: {{ x: [0, 700], y: [0, 500] }}
plan:
  - {{ space: room, x: [0, 100] }}
  - {{ fill: a, x: [100, 200], y: [0, 500] }}
  - {{ space: outside, x: [200, 300] }}
  - {{ fill: b, x: [300, 400], y: [0, 500] }}
  - {{ space: store, x: [400, 500] }}
  - {{ fill: c, x: [500, 600], y: [0, 500] }}
  - {{ space: cellar, x: [600, 700] }}
condensation: {{ resistance: 0.25 }}
",
            0.1 / resistances[0],
            0.1 / resistances[1],
            0.1 / resistances[2],
            humidity(0),
            humidity(1)
        ));
        let months: Vec<(f64, f64)> = (0..12).map(|_| (random(-15.0, 7.0), 80.0)).collect();
        let climate = climate(&months, "{ temperature: 20, class: 3 }");
        let assessments = assess(&outcome, Some(&climate));
        let saturated = |temperature: f64| 610.5 * (17.269 * temperature / (237.3 + temperature)).exp();
        for (index, temperature) in [room, store].into_iter().enumerate() {
            let year = assessments
                .iter()
                .find(|one| one.environment == EnvironmentId::new(index))
                .unwrap()
                .year
                .as_ref()
                .unwrap();
            for (row, (outdoor, _)) in year.months.iter().zip(&months) {
                let unheated = [room, store].map(|heated| {
                    let share = ((cellar - outside) / (heated - outside)).min(1.0);
                    cellar + (1.0 - share) * (outdoor - outside)
                });
                let cellar = unheated[0].min(unheated[1]);
                let cooled =
                    |beyond: f64, resistance: f64| temperature - 0.25 * (temperature - beyond) / resistance;
                let surface = match index {
                    0 => cooled(*outdoor, 0.25 + resistances[0] + 0.04),
                    _ => cooled(*outdoor, 0.25 + resistances[1] + 0.04)
                        .min(cooled(cellar, 0.25 + resistances[2] + 0.13)),
                };
                assert!(
                    (row.surface - surface).abs() < 1e-6,
                    "case {case}, room {index}: {} for {surface}",
                    row.surface
                );
                let pressure = if own[index] {
                    (humidities[index] / 100.0 + 0.05) * saturated(temperature)
                } else {
                    // Class 3: 810 Pa up to 0 °C, nothing from 20 °C on.
                    let excess = 1.1 * 810.0 * (1.0 - outdoor / 20.0).min(1.0);
                    (row.outdoor_pressure + excess).min(saturated(temperature))
                };
                assert!(
                    (row.indoor_pressure / pressure - 1.0).abs() < 1e-3,
                    "case {case}, room {index}: {}",
                    row.indoor_pressure
                );
            }
        }
    }
}

/// A room whose humidity nobody states has no months, and the text says so instead of leaving it out.
#[test]
fn a_room_of_unknown_humidity_is_named() {
    let mut climate = climate(&EXAMPLE, "{ temperature: 20, class: 3 }");
    climate.indoor = None;
    for (humidity, expected) in [("", true), (", humidity: 50", false)] {
        let outcome = common::solve_text(&format!(
            "coldseam: 1
title: two rooms
environments:
  room: {{ role: internal, temperature: 20, humidity: 40 }}
  store: {{ role: internal, temperature: 16{humidity} }}
  outside: {{ role: external, temperature: -5 }}
extent: {{ x: [-100, 300], y: [0, 1000] }}
plan:
  - {{ space: room, x: [-100, 0], y: [0, 500] }}
  - {{ space: store, x: [-100, 0], y: [500, 1000] }}
  - {{ space: outside, x: [200, 300] }}
  - {{ fill: aircrete_600, x: [0, 200], y: [0, 1000] }}
condensation: {{ resistance: 0.25 }}
"
        ));
        let assessments = assess(&outcome, Some(&climate));
        let document = Condensation::of(&outcome, Some(&climate), &assessments, &[]);
        let text = report::condensation_text::text(&document, false);
        assert_eq!(text.contains("neither store nor the climate states the humidity"), expected, "{text}");
        assert!(!text.contains("neither room nor"), "{text}");
    }
}

/// Where it is warmer outside, nothing condenses because of the construction: the surface is at least as warm
/// as the room.
#[test]
fn a_month_warmer_than_the_room_asks_for_no_factor() {
    let mut months = [(5.0, 80.0); 12];
    months[6] = (26.0, 50.0);
    months[7] = (26.0, 95.0);
    let climate = climate(&months, "{ temperature: 20, class: 2 }");
    let outcome = common::solve_shipped("window-sill", &[]);
    let year = assess(&outcome, Some(&climate)).remove(0).year.unwrap();
    let (dry, damp) = (&year.months[6], &year.months[7]);
    assert!(dry.needed.is_none() && dry.surface > 20.0);
    // Air of 26 °C and 50 % holds 72 % at 20 °C: safe. At 95 % the room itself is saturated.
    assert_eq!((dry.verdict, damp.verdict), (Verdict::Safe, Verdict::Fails));
}

fn reveal(board: f64) -> Outcome {
    let mut case = common::shipped("window-reveal", &[&format!("reveal={board}")]);
    case.climate = None;
    result::compute(case).unwrap()
}

/// The scenario's reveal: bare it fails the criterion and the winter months, insulated it passes both.
#[test]
fn the_bare_reveal_fails_and_the_insulated_one_passes() {
    let climate =
        case::climate_from_text("climate", coldseam::shipped::find("climate").unwrap().text).unwrap();
    let (bare, insulated) = (reveal(0.0), reveal(30.0));
    let [bare_standing, insulated_standing] =
        [&bare, &insulated].map(|outcome| what_helps::standing(outcome, Some(&climate)).unwrap());
    assert!(!bare_standing.is_safe && insulated_standing.is_safe);
    let year = assess(&bare, Some(&climate)).remove(0).year.unwrap();
    assert_eq!(year.months[0].verdict, Verdict::Fails);
    assert_eq!(year.months[6].verdict, Verdict::Safe);
    let limits = &assess(&bare, None)[0].limits;
    let below = limits.iter().find(|limit| limit.kind == LimitKind::Criterion).unwrap().length_below;
    assert!(0.005 < below && below < 0.05, "{below} m of surface below the criterion");
}

/// What is told to help is what solving that variant gives; the board in the reveal helps most, and mends it.
#[test]
fn what_helps_is_what_the_variant_gives() {
    let bare = reveal(0.0);
    let load = |set: &str| -> Option<Case> {
        case::from_text(
            "window-reveal",
            coldseam::shipped::find("window-reveal").unwrap().text,
            &["reveal=0".to_owned(), set.to_owned()],
        )
        .ok()
    };
    let effects = what_helps::effects(&bare, None, &load, &|| {});
    let first = &effects[0];
    assert_eq!(first.change, Change::Parameter { name: "reveal".to_owned(), from: 0.0, to: 20.0 });
    assert!(first.standing.is_safe);
    let variant = reveal(20.0);
    let factor = |outcome: &Outcome| outcome.factors[0].coldest.as_ref().unwrap().factor;
    assert!((first.factor - (factor(&variant) - factor(&bare))).abs() < 1e-9);
    assert!((first.psi.unwrap() - (variant.psi[0].value - bare.psi[0].value)).abs() < 1e-9);
    assert!(effects.windows(2).all(|pair| pair[0].factor >= pair[1].factor));
    // Parameters that follow from others are not moved.
    assert!(
        effects
            .iter()
            .all(|effect| !matches!(&effect.change, Change::Parameter { name, .. } if name == "face" || name == "frame_outer"))
    );
    let names = effects.iter().filter(|effect| matches!(&effect.change, Change::Conductivity { .. })).count();
    assert_eq!(names, 5, "one for each painted material");
}

#[test]
fn the_command_answers_and_says_what_changed() {
    let folder = tempfile::tempdir().unwrap();
    let [case, climate] = ["window-reveal", "climate"]
        .map(|name| common::root(&format!("cases/{name}.yaml")).display().to_string());
    let run = |arguments: &[&str]| {
        let mut command = Command::cargo_bin("coldseam").unwrap();
        let output = command
            .args(["condensation", &case, "--out"])
            .arg(folder.path())
            .args(arguments)
            .output()
            .unwrap();
        (
            output.status.code(),
            String::from_utf8(output.stdout).unwrap(),
            String::from_utf8(output.stderr).unwrap(),
        )
    };
    let (code, text, errors) = run(&["--climate", &climate, "--set", "reveal=0"]);
    assert_eq!(code, Some(1), "{errors}");
    for part in [
        "criterion of the case",
        "FAILS in January, February, December",
        "Against the file as it stands (reveal 30 → 0)",
        "safe → NOT safe",
        "furniture",
        "licensed practice decide",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    for name in [
        "condensation.json",
        "condensation.txt",
        "condensation-factor.png",
        "surface-profile.png",
        "months.png",
    ] {
        assert!(folder.path().join("window-reveal").join(name).is_file(), "{name}");
    }
    let (code, text, _) = run(&["--no-pictures", "--format", "json"]);
    assert_eq!(code, Some(0));
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["is_safe"], true);
    assert_eq!(document["environments"][0]["limits"].as_array().unwrap().len(), 3);
}

/// A table of months takes the air inside from the case.
#[test]
fn a_climate_can_be_a_table() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("station.csv");
    let rows =
        |month: &str| format!("temperature,humidity\n{}{}", month.to_owned() + "\n", "5.0,80\n".repeat(11));
    std::fs::write(&file, rows("-3.5,85")).unwrap();
    let climate = case::load_climate(&file).unwrap();
    assert_eq!(
        (climate.name.as_str(), climate.months[0].temperature, climate.indoor),
        ("station", -3.5, None)
    );
    let outcome = common::solve_shipped("window-sill", &[]);
    let year = assess(&outcome, Some(&climate)).remove(0).year.unwrap();
    assert_eq!(year.indoor, Indoor { temperature: 20.0, moisture: Moisture::Humidity(0.5) });
    for (month, expected) in
        [("-3.5,180", "cannot be the mean of a month"), ("-3.5", "the humidity is missing"), ("", "found 11")]
    {
        std::fs::write(&file, rows(month)).unwrap();
        let rejected = case::load_climate(&file).unwrap_err().to_string();
        assert!(rejected.contains(expected), "{rejected}");
    }
}

/// ψ of a plain wall is 0 whatever its materials conduct, also where U is that of its build-up: no change of
/// λ moves it.
#[test]
fn a_lower_conductivity_is_lower_in_what_is_taken_off_too() {
    let text = "coldseam: 1
title: plain
materials:
  board: { conductivity: 0.04, source: the test }
  block: { conductivity: 0.5, source: the test }
build_ups:
  wall: { heat_flow: horizontal, layers: [[block, 200], { material: board, thickness: 100, bridged_by: { material: softwood, fraction: 0.1 } }, [board, 20]] }
environments: { room: { role: internal, temperature: 20, humidity: 50 }, outside: { role: external, temperature: 0 } }
extent: { x: [-100, 500], y: [0, 1000] }
plan:
  - { space: room, x: [-100, 0] }
  - { space: outside, x: [320, 500] }
  - { layers: { build_up: wall }, along: +x, from: 0, y: [0, 1000] }
psi: { flanking: [{ element: wall, build_up: wall, along: y, internal: [0, 1000] }] }
condensation: {}
";
    let base = common::solve_text(text);
    let effects = what_helps::effects(&base, None, &|_| None, &|| {});
    assert_eq!(effects.len(), 3, "{effects:?}");
    for effect in effects {
        assert!(effect.psi.unwrap().abs() < 1e-6 && effect.factor > 1e-4, "{effect:?}");
    }
}

/// A criterion within the error of f_Rsi is neither kept nor missed for certain.
#[test]
fn a_limit_within_the_error_is_too_close_to_tell() {
    let mut outcome = common::solve_shipped("outer-corner", &[]);
    let factor = &outcome.factors[0];
    let (value, error) =
        (factor.coldest.as_ref().unwrap().factor, outcome.factor_error(factor.environment).unwrap());
    assert!(error > 0.0);
    for (steps, expected) in [
        (0.0, Verdict::TooClose),
        (0.9, Verdict::TooClose),
        (-0.9, Verdict::TooClose),
        (-1.1, Verdict::Safe),
        (1.1, Verdict::Fails),
    ] {
        outcome.case.model.condensation.as_mut().unwrap().critical = Some(value + steps * error);
        let assessment = assess(&outcome, None).remove(0);
        let limit = assessment.limits.iter().find(|limit| limit.kind == LimitKind::Criterion).unwrap();
        assert_eq!(limit.verdict, Some(expected), "{steps} errors from {value}");
        if expected != Verdict::Safe {
            assert!(!assessment.is_safe());
        }
    }
}

/// Two outsides: f_Rsi refers to the colder one. A wall of R 1 to 0 °C and one to −10 °C, R_si 0.13: 16.667
/// °C on the colder, f = 1.04/1.17.
#[test]
fn f_refers_to_the_coldest_outside() {
    let outcome = common::solve_text(
        "coldseam: 1
title: two outsides
cut: horizontal
materials: { m: { conductivity: 0.1, source: the test } }
environments:
  room: { role: internal, temperature: 20 }
  yard: { role: external, temperature: 0 }
  street: { role: external, temperature: -10 }
extent: { x: [-200, 300], y: [0, 1000] }
plan:
  - { space: room, x: [-200, 0] }
  - { fill: m, x: [0, 100], y: [0, 400] }
  - { fill: m, x: [0, 100], y: [600, 1000] }
  - { space: yard, x: [100, 300], y: [0, 500] }
  - { space: street, x: [100, 300], y: [500, 1000] }
",
    );
    let factor = &outcome.factors[0];
    assert!((factor.external_temperature + 10.0).abs() < 1e-12);
    let expected = (20.0 - 30.0 * 0.13 / 1.17 + 10.0) / 30.0;
    assert!((factor.coldest.as_ref().unwrap().factor - expected).abs() < 1e-9, "{factor:?}");
}
