//! What is said beside a U-value where a build-up leaves the limits of the methods, and the readings of
//! doubtful rules.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::case;
use coldseam::element::build_up::BuildUp;
use coldseam::element::correction::corrected;
use coldseam::element::limits::notes;
use coldseam::element::resistance::total;
use coldseam::report::document::build_up::BuildUp as Document;
use coldseam::result::pattern::NoPattern;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// An element of these layers, in a file that knows `wool` of λ 0.04.
fn element(layers: &str) -> BuildUp {
    let text = format!(
        "coldseam: 1\nmaterials: {{ wool: {{ conductivity: 0.04, source: the test }} }}\nbuild_ups: {{ wall: {{ layers: [{layers}] }} }}\n"
    );
    case::library_from_text("element", &text, &[])
        .unwrap_or_else(|rejected| panic!("{rejected}\n{text}"))
        .build_ups
        .remove(0)
}

fn notes_of(layers: &str) -> Vec<String> {
    let element = element(layers);
    let total = total(&element);
    notes(&element, &total, &corrected(&element, &total))
}

/// By hand: R1 2.5, R 0.17 + 0.5 + 2.5 = 3.17; 0.8·50·20e-6·5/0.1·(2.5/3.17)² = 0.024878, and 0.6³ of it
/// 0.005374.
#[test]
fn recessed_fixings_take_the_careful_reading_and_name_the_least() {
    let layers = "{ resistance: 0.5 }, { material: wool, thickness: 100, fixings: { number: 5, conductivity: 50, cross_section: 20, length: 60 } }";
    let element = element(layers);
    let corrected = corrected(&element, &total(&element));
    let [correction] = corrected.corrections.as_slice() else { panic!("{corrected:?}") };
    assert!(
        (correction.value - 0.024_878).abs() < 1e-6 && (correction.least.unwrap() - 0.005_374).abs() < 1e-6,
        "{correction:?}"
    );
    let notes = notes_of(layers);
    assert!(
        notes.iter().any(|note| note.contains("recessed fixings")
            && note.contains("0.0249")
            && note.contains("0.0054")),
        "{notes:?}"
    );
    let document = Document::of(&element, &Err(NoPattern::Plain));
    assert_eq!(document.notes.len(), 1, "{document:?}");
    assert!(
        notes_of(&layers.replace(", length: 60", "")).is_empty(),
        "right through the layer there is one reading"
    );
}

#[test]
fn metal_that_bridges_insulation_is_told() {
    let bridged = |by: &str| {
        notes_of(&format!(
            "{{ material: wool, thickness: 100, bridged_by: {{ material: {by}, fraction: 0.003 }} }}"
        ))
    };
    for metal in ["steel", "stainless_steel", "aluminium", "lead"] {
        assert!(
            bridged(metal).iter().any(|note| note.starts_with("metal (")),
            "{metal}: {:?}",
            bridged(metal)
        );
    }
    assert!(bridged("softwood").is_empty() && bridged("concrete_reinforced_2").is_empty());
}

/// 50 mm of air between two resistances of 0.1: R 0.1847 of 0.5547 m²K/W, a third of 20 K. Beside insulation
/// of 3 m²K/W it is 1 K.
#[test]
fn air_layers_beyond_five_kelvin_are_told() {
    let notes = notes_of("{ resistance: 0.1 }, { air: 50 }, { resistance: 0.1 }");
    assert!(notes.iter().any(|note| note.contains("has 6.7 K across it")), "{notes:?}");
    assert!(notes_of("{ resistance: 3 }, { air: 50 }, { resistance: 0.1 }").is_empty());
}

/// A millimetre of air with nothing outside of it resists 0.0338 + 0.04 m²K/W closed, still air alone 0.13:
/// opening it cannot insulate.
#[test]
fn a_ventilated_layer_that_would_insulate_counts_as_closed() {
    for openings in [1000, 5000] {
        let layers = format!("{{ resistance: 2 }}, {{ air: 1, openings: {openings} }}");
        let resistance = total(&element(&layers)).resistance;
        assert!(
            (resistance - (0.17 + 2.0 + 1.0 / (25.0 + 5.1 / (2.0 / 0.9 - 1.0)))).abs() < 1e-12,
            "{resistance}"
        );
        assert!(notes_of(&layers).iter().any(|note| note.contains("counts as unventilated")), "{openings}");
    }
}

/// 1 % of steel: 0.8·50·0.01/0.1·(2.5/3.17)² = 2.49 W/(m²K) beside a U of 0.315.
#[test]
fn corrections_that_outweigh_u_are_told() {
    let with = |section: f64| {
        notes_of(&format!(
            "{{ resistance: 0.5 }}, {{ material: wool, thickness: 100, fixings: {{ number: 100, conductivity: 50, cross_section: {section} }} }}"
        ))
    };
    assert!(
        with(100.0).iter().any(|note| note.contains("the corrections are 789 % of U")),
        "{:?}",
        with(100.0)
    );
    assert!(with(1.0).is_empty());
}

/// Between its surfaces a floor has no negative resistance, whatever is stated outside of it and however its
/// air is ventilated.
#[test]
fn floors_of_ventilated_build_ups_stay_above_zero() {
    for openings in [0, 600, 1400, 2000] {
        let text = format!(
            "coldseam: 1\nbuild_ups: {{ deck: {{ outside: 50, layers: [{{ resistance: 0.5 }}, {{ air: 20, openings: {openings} }}] }} }}\n\
             floors: {{ floor: {{ area: 50, perimeter: 30, wall_thickness: 300, ground: soil_clay, build_up: deck }} }}\n"
        );
        let library =
            case::library_from_text("floor", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
        let resistance = library.floors[0].floor.floor_resistance;
        assert!((0.5..0.75).contains(&resistance), "{openings}: {resistance}");
    }
}

/// Heat flows down through a floor on the ground, and its air layer resists as Table 8 of ISO 6946:2017 has
/// it downwards, whatever its build-up states.
#[test]
fn floors_on_the_ground_have_heat_flow_downwards() {
    for (thickness, printed) in [(15, 0.17), (25, 0.19), (50, 0.21), (100, 0.22), (300, 0.23)] {
        for stated in ["", "heat_flow: horizontal,", "heat_flow: up,", "heat_flow: down,"] {
            let text = format!(
                "coldseam: 1\nbuild_ups: {{ deck: {{ {stated} layers: [{{ resistance: 0.5 }}, {{ air: {thickness} }}] }} }}\n\
                 floors: {{ floor: {{ area: 50, perimeter: 30, wall_thickness: 300, ground: soil_clay, build_up: deck }} }}\n"
            );
            let library =
                case::library_from_text("floor", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
            let resistance = library.floors[0].floor.floor_resistance - 0.5;
            assert!((resistance - printed).abs() < 0.0056, "{thickness} mm, {stated}: {resistance}");
        }
    }
}

#[test]
fn a_roof_without_a_direction_is_told() {
    let warnings = |head: &str| {
        let text = format!("coldseam: 1\nbuild_ups: {{ {head} layers: [{{ resistance: 3 }}] }} }}\n");
        case::library_from_text("roof", &text, &[])
            .unwrap_or_else(|rejected| panic!("{rejected}"))
            .warnings
            .len()
    };
    assert_eq!([warnings("roof: {"), warnings("flat_roofs: {"), warnings("Ceiling-2: {")], [1; 3]);
    assert_eq!(
        [
            warnings("roof: { heat_flow: up,"),
            warnings("roof: { heat_flow: horizontal,"),
            warnings("proof: {")
        ],
        [0; 3]
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, rng_seed: RngSeed::Fixed(1996), ..ProptestConfig::default() })]

    /// None of the four readings of the rule for recessed fixings gives more than the value used, none less
    /// than the one named.
    #[test]
    fn no_reading_of_recessed_fixings_lies_outside_of_what_is_said(
        thickness in 20.0..300.0_f64,
        recess in 0.05..0.99_f64,
        beside in 0.1..3.0_f64,
        section in 5.0..80.0_f64,
    ) {
        let length = thickness * recess;
        let element = element(&format!(
            "{{ resistance: {beside} }}, {{ material: wool, thickness: {thickness}, fixings: {{ number: 6, conductivity: 50, cross_section: {section}, length: {length} }} }}"
        ));
        let corrected = corrected(&element, &total(&element));
        let (used, least) = (corrected.corrections[0].value, corrected.corrections[0].least.unwrap());
        let (d0, d1) = (thickness * 1e-3, length * 1e-3);
        let whole = 0.17 + beside + d0 / 0.04;
        let readings = [d0, d1].into_iter().flat_map(|below| [d0, d1].map(|part| {
            0.8 * d1 / d0 * 50.0 * section * 1e-6 * 6.0 / below * (part / 0.04 / whole).powi(2)
        }));
        for reading in readings {
            prop_assert!(reading <= used * (1.0 + 1e-9) && reading >= least * (1.0 - 1e-9), "{reading} outside of {least} to {used}");
        }
    }
}

/// ISO 6946:2017, 6.7.2.1: not where the limits are more than 1.5 apart. 100 mm of λ 0.04 with steel (50):
/// 0.03 % of it 1.337, 0.06 % 1.655, by hand.
#[test]
fn limits_far_apart_are_told() {
    for (fraction, expected) in [(0.0003, 1.337), (0.0006, 1.655)] {
        let layers = format!(
            "{{ material: wool, thickness: 100, bridged_by: {{ material: steel, fraction: {fraction} }} }}"
        );
        let element = element(&layers);
        let total = total(&element);
        assert!((total.upper / total.lower - expected).abs() < 1e-3, "{}", total.upper / total.lower);
        let is_told = notes_of(&layers).iter().any(|note| note.contains("more than a factor of 1.5"));
        assert_eq!(is_told, expected > 1.5, "{:?}", notes_of(&layers));
    }
}
