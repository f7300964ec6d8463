//! What practitioners know to be so (common practice, no source): orderings rather than values.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

mod common;

use common::{psi, solve_shipped, solve_text};

/// 215 mm of block with λ 0.18, 140 mm of graphite EPS with λ 0.031 and render give about 0.18 W/(m²K),
/// fixings included.
#[test]
fn the_usual_wall_has_the_usual_u_value() {
    let outcome = solve_text(
        "coldseam: 1\ntitle: wall\nmaterials:\n  block: { conductivity: 0.18, source: common practice }\n\
         \x20 eps_031: { conductivity: 0.031, source: common practice }\n\
         environments:\n  room: { role: internal, temperature: 20 }\n  outside: { role: external, temperature: 0 }\n\
         extent: { x: [-100, 500], y: [0, 500] }\nplan:\n  - { space: room, x: [-100, 0] }\n  - { space: outside, x: [0, 500] }\n\
         \x20 - { layers: [[plaster_gypsum, 13], [block, 215], [eps_031, 140], [render, 8]], along: +x, from: 0, y: [0, 500] }\n\
         psi:\n  flanking: [{ element: wall, section: { y: 0 }, internal: [0, 500] }]\n",
    );
    let undisturbed = outcome.elements[0].u_value;
    // Six anchors a m² with a point thermal transmittance of 0.002 W/K (covered stainless head, EOTA TR 025,
    // from memory).
    let with_anchors = undisturbed + 6.0 * 0.002;
    assert!((undisturbed - 0.169).abs() < 0.0005, "{undisturbed}");
    assert!((with_anchors - 0.18).abs() < 0.005, "{with_anchors}");
}

/// ψ for frames from flush with the block's outer face to the outer edge of the insulation, every 10 mm of
/// the parameter's range.
fn by_set_out(case: &str) -> Vec<(f64, f64)> {
    (0..=14)
        .map(|step| f64::from(step) * 10.0)
        .map(|set_out| (set_out, psi(case, &[&format!("set_out={set_out}")])))
        .collect()
}

#[test]
fn a_frame_set_out_into_the_insulation_loses_less_with_its_best_place_near_the_middle() {
    for case in ["window-sill", "window-jamb", "window-head"] {
        let values = by_set_out(case);
        let best = values.iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        // The frame is 70 mm deep and the insulation 150 mm thick: centred at set_out = 75 + 35 = 110 mm.
        assert!((70.0..=130.0).contains(&best.0), "{case}: best at {} mm: {values:?}", best.0);
        let until_best: Vec<f64> =
            values.iter().take_while(|value| value.0 <= best.0).map(|value| value.1).collect();
        assert!(
            until_best.windows(2).all(|pair| pair[1] < pair[0]),
            "{case}: ψ must fall on the way out: {values:?}"
        );
        assert!(values[0].1 > best.1 + 0.005, "{case}: setting out must be worth it: {values:?}");
    }
}

#[test]
fn an_insulated_sub_sill_beats_a_folded_metal_sill() {
    for set_out in ["set_out=40", "set_out=70", "set_out=100"] {
        let (insulated, metal) =
            (solve_shipped("window-sill", &[set_out]), solve_shipped("window-sill-metal", &[set_out]));
        assert!(insulated.psi[0].value + 0.05 < metal.psi[0].value, "{set_out}");
        let factor =
            |outcome: &coldseam::result::Outcome| outcome.factors[0].coldest.as_ref().unwrap().factor;
        assert!(factor(&insulated) > factor(&metal) + 0.1, "{set_out}");
    }
}

#[test]
fn corners_measure_as_they_should() {
    let outer = solve_shipped("outer-corner", &[]);
    assert!(outer.psi[0].value > 0.0 && outer.psi[1].value < 0.0, "internal above 0, external below 0");
    let inner = solve_shipped("inner-corner", &[]);
    assert!(inner.psi[0].value < 0.0 && inner.psi[1].value > 0.0);
    let edge = |outcome: &coldseam::result::Outcome| outcome.points[0].1;
    assert!(edge(&outer) < edge(&inner), "an outer corner is colder inside than an inner one");
}

/// A corner of any angle lies between the square one and a plane wall, and goes on to the inner corner.
#[test]
fn the_blunter_a_corner_the_less_it_loses() {
    let corner = |angle: f64| solve_shipped("corner-135", &[&format!("angle={angle}")]).psi.remove(0).bracket;
    assert!(corner(90.0).overlaps(solve_shipped("outer-corner", &[]).psi[0].bracket));
    let plane = corner(180.0);
    assert!(plane.lower() <= 1e-12 && plane.upper() >= -1e-12, "{plane}");
    let falling: Vec<_> = [90.0, 105.0, 120.0, 135.0, 150.0, 165.0, 200.0, 225.0].map(corner).to_vec();
    assert!(falling.windows(2).all(|pair| pair[1].upper() < pair[0].lower()), "{falling:?}");
    let inner = solve_shipped("inner-corner", &[]).psi[0].value;
    assert!(falling.last().unwrap().lower() > inner);
}

#[test]
fn what_the_trade_warns_of_costs_heat_and_warmth() {
    for (case, sets, least) in [
        ("parapet", &["upstand_conductivity=2.3", "lining=1", "coping=1"][..], 0.3),
        ("door-threshold", &["threshold_conductivity=160"], 0.3),
        ("door-threshold", &["support_conductivity=2"], 0.05),
        ("timber-floor", &["skirt=20"], 0.01),
        ("party-wall-ground", &["first_course=1.13"], 0.1),
        ("party-wall-roof", &["course=1.13"], 0.1),
        ("party-wall-roof", &["upstand=1"], 0.005),
        ("verge", &["strip=1"], 0.02),
        ("window-splay", &["lining=1"], 0.005),
    ] {
        let [good, bad] = [&[][..], sets].map(|sets| solve_shipped(case, sets));
        assert!(good.psi[0].value + least < bad.psi[0].value, "{case} {sets:?}");
        let factor =
            |outcome: &coldseam::result::Outcome| outcome.factors[0].coldest.as_ref().unwrap().factor;
        // Without its lining the splay's edge is as warm as before: the brick behind feeds it.
        assert!(case == "window-splay" || factor(&good) > factor(&bad), "{case} {sets:?}");
    }
    let ridge = |board: &str| psi("ridge", &[board]);
    assert!(ridge("ridge_board=1") + 0.003 < ridge("ridge_board=40"));
}

/// A metal sill that slopes on its sub-sill hardly differs from one that is drawn level.
#[test]
fn the_slope_of_a_sill_hardly_matters() {
    let [level, sloped] = [("window-sill", &[][..]), ("window-sill-sloped", &["sub_sill=50"])]
        .map(|(case, sets)| psi(case, sets));
    assert!((level - sloped).abs() < 0.002, "{level} {sloped}");
}

/// ψ is a property of the drawing, not of the temperatures beside it.
#[test]
fn a_party_wall_has_its_psi_whatever_the_neighbours_temperature() {
    let psi = |sets: &[&str]| solve_shipped("party-wall-floor", sets).psi[0].bracket;
    assert!(psi(&[]).overlaps(psi(&["neighbour=2"])));
}

#[test]
fn more_insulation_and_a_thermal_break_help() {
    assert!(psi("balcony-slab", &[]) + 0.3 < psi("balcony-slab", &["element_conductivity=2.3"]));
    let factor = |sets: &[&str]| solve_shipped("plinth", sets).factors[0].coldest.as_ref().unwrap().factor;
    assert!(factor(&[]) > factor(&["perimeter=20"]));
    let l2d = |insulation: &str| solve_shipped("intermediate-floor", &[insulation]).l2d.unwrap().middle();
    assert!(l2d("insulation=200") < l2d("insulation=150") && l2d("insulation=150") < l2d("insulation=60"));
}

/// The formula of ISO 13370 and a model of floor and ground alone tell the same loss to some 10 % (common
/// practice, no source), so that ψ of the plinth differs by a tenth of the floor's loss at most; the result
/// gives both.
#[test]
fn the_plinth_tells_its_floor_by_formula_and_by_model() {
    let outcome = solve_shipped("plinth", &[]);
    let floor = outcome.elements[1].floor.as_ref().unwrap();
    let formula = floor.formula.u_value * floor.length();
    assert!((floor.model.unwrap().middle() / formula - 1.0).abs() < 0.1, "{:?} for {formula}", floor.model);
    let psi = &outcome.psi[0];
    let (_, by_model) = psi.other_floor.unwrap();
    assert!((psi.value - by_model.middle()).abs() < 0.1 * formula && by_model.middle() > 0.0);
    let text = coldseam::shipped::find("plinth").unwrap().text.replace("method: iso13370", "method: model");
    let other = common::solve_text(&text);
    let bracket = other.psi[0].bracket;
    assert!(
        bracket.half_width() <= 5e-4
            && bracket.lower() < by_model.upper()
            && by_model.lower() < bracket.upper()
    );
}

/// Where the ground of the plinth is cut off too near, or a wall, the result says so (rule of ISO 10211:2017,
/// from memory).
#[test]
fn short_cut_off_planes_are_remarked() {
    let notes = solve_shipped("plinth", &[]).notes;
    assert!(notes.is_empty(), "{notes:?}");
    let text = coldseam::shipped::find("plinth").unwrap().text.replace("20000", "5000");
    assert_ne!(text, coldseam::shipped::find("plinth").unwrap().text);
    let notes = common::solve_text(&text).notes;
    assert_eq!(notes.iter().filter(|note| note.contains("the ground reaches")).count(), 2, "{notes:?}");
    let notes = solve_shipped("window-sill", &["insulation=300"]).notes;
    assert!(
        notes.iter().any(|note| note.contains("the cut-off plane of wall lies 1200 mm from the junction")),
        "{notes:?}"
    );
}
