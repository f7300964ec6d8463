//! Random drawings through the whole chain, against bounds that are found in another way (`drawings/plain.rs`).
//!
//! `DRAWINGS=2000 SEED=1 cargo test --release --test triangulation_random -- --nocapture` tries more and tells the rates.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test
#![allow(clippy::print_stderr)] // the rates

use std::time::{Duration, Instant};

use coldseam::bounds::range;
use coldseam::triangulation::Conductivity;

mod drawings;

use drawings::plain::Plain;
use drawings::random::Random;
use drawings::{Painted, rectangle, solve};

/// Half-width asked for, W/(m·K).
const WANTED: f64 = 5e-4;
/// Unknowns of one field that no mesh may exceed.
const MOST_UNKNOWNS: usize = 30_000;
/// Triangles of the independent mesh.
const ENOUGH_TRIANGLES: usize = 2_500;
/// Rounding of sums over some thousand triangles with λ/R from 0.01 to 4·10⁶, relatively.
const ROUNDING: f64 = 1e-9;

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|value| value.parse().ok()).unwrap_or(usual)
}

/// How many drawings …
#[derive(Debug, Default)]
struct Rates {
    /// … were tried,
    drawings: usize,
    /// … got no answer,
    refused: Vec<String>,
    /// … have fixed surfaces at different temperatures that meet, so that the heat flow is infinite,
    infinite: usize,
    /// … pass no heat,
    without_heat: usize,
    /// … have a bracket wider than asked, which is said,
    wide: Vec<String>,
    /// … have an independent bracket narrower than a twentieth of the value.
    telling: usize,
}

#[test]
fn the_other_way_encloses_what_is_known() {
    // A square in one of twice the size: 10.23409257 (see `triangulation_closed_forms.rs`); 0.04 from a material that
    // conducts the same after its drawing was stretched.
    let square = |side: f64| rectangle([-side, side], [-0.5 * side, 0.5 * side]);
    let mut painted = Painted::new(&[0.0, 0.0]);
    painted.space(1, painted.drawing.extent.clone());
    painted.solid(Conductivity { xx: 0.08, xy: 0.0, yy: 0.02 }, square(2.0));
    painted.space(0, square(1.0));
    let (mesh, physics) = painted.turned(25.0).mesh().unwrap();
    let mut plain = Plain::of(&mesh, &physics);
    let exact = 0.04 * 10.234_092_57;
    let mut widths = Vec::new();
    for _ in 0..5 {
        let [lower, upper] = [plain.lower(&[3.0, 1.0]), plain.upper(&[3.0, 1.0])].map(|energy| energy / 4.0);
        assert!(lower <= exact && exact <= upper, "{lower} {exact} {upper}");
        widths.push(upper - lower);
        plain = plain.quartered();
    }
    // At corners of 270° the error of energies falls by 2^(4/3) with half the size.
    let order = (widths[3] / widths[4]).log2();
    assert!((order - 4.0 / 3.0).abs() < 0.15 && widths[4] < 0.03 * exact, "{order} {widths:?}");
}

#[test]
fn random_drawings_are_enclosed_by_both_methods() {
    let (count, seed) = (number("DRAWINGS", 60), number("SEED", 0));
    let mut rates = Rates::default();
    let (mut unknowns, mut longest, mut whole) = (Vec::new(), (Duration::ZERO, 0), Duration::ZERO);
    // How far off the independent bounds are, relatively.
    let mut off = [Vec::new(), Vec::new()];
    for seed in (0..count).map(|drawing| 1_000_000 * seed + drawing) {
        let Random { painted, load } = Random::of(seed);
        rates.drawings += 1;
        let start = Instant::now();
        let refined = solve(&painted, &load, WANTED, MOST_UNKNOWNS);
        let time = start.elapsed();
        longest = longest.max((time, seed));
        whole += time;
        let refined = match refined {
            Ok(refined) => refined,
            Err(refused) => {
                rates.refused.push(format!("{seed}: {refused:?}"));
                continue;
            }
        };
        let Some(l2d) = refined.l2d else {
            rates.infinite += 1;
            continue;
        };
        unknowns.push(refined.system.unknowns());
        assert!(refined.system.unknowns() <= MOST_UNKNOWNS);
        if l2d.half_width() > WANTED {
            let (many, passes) = (refined.system.unknowns(), refined.passes.len());
            rates.wide.push(format!("{seed}: {l2d}, {many} unknowns, {passes} passes, {time:.1?}"));
        }
        let rounding = ROUNDING * l2d.upper() + 1e-12;
        for pass in &refined.passes {
            assert!(
                pass.l2d.lower() <= l2d.upper() + rounding && l2d.lower() <= pass.l2d.upper() + rounding,
                "{seed}"
            );
        }
        rates.without_heat += usize::from(l2d.upper() < 1e-9);

        let (mesh, physics) = painted.mesh().unwrap();
        let mut plain = Plain::of(&mesh, &physics);
        let (highest, lowest) = range(&load);
        let squared = (highest - lowest).powi(2);
        let mut last = [0.0, f64::INFINITY];
        loop {
            let [lower, upper] = [plain.lower(&load), plain.upper(&load)].map(|energy| energy / squared);
            assert!(lower <= upper + rounding, "seed {seed}: {lower} {upper}");
            assert!(l2d.lower() <= upper + rounding, "seed {seed}: {l2d:?}, independent {lower} {upper}");
            assert!(lower <= l2d.upper() + rounding, "seed {seed}: {l2d:?}, independent {lower} {upper}");
            // Quadratics on the coarser mesh are quadratics on the finer one.
            assert!(upper <= last[1] + rounding, "seed {seed}: {last:?}, then {upper}");
            last = [lower, upper];
            if plain.triangles() >= ENOUGH_TRIANGLES {
                break;
            }
            plain = plain.quartered();
        }
        rates.telling += usize::from(last[1] - last[0] <= 0.05 * last[1]);
        off[0].push(1.0 - last[0] / l2d.middle());
        off[1].push(last[1] / l2d.middle() - 1.0);
    }
    unknowns.sort_unstable();
    let [below, above] = off.map(|mut off| {
        off.sort_unstable_by(f64::total_cmp);
        off[off.len() / 2]
    });
    eprintln!(
        "{rates:#?}\nindependent bounds: median {below:.1e} below, {above:.1e} above\n\
         unknowns: median {}, nine in ten below {}; {:.2?} a drawing, longest {:.1?} (seed {})",
        unknowns[unknowns.len() / 2],
        unknowns[unknowns.len() * 9 / 10],
        whole / rates.drawings as u32,
        longest.0,
        longest.1
    );
    assert!(rates.refused.len() * 100 <= rates.drawings, "{rates:#?}");
    assert!(rates.wide.len() * 100 <= 4 * rates.drawings, "{rates:#?}");
    assert!(rates.telling * 2 > rates.drawings && rates.infinite * 5 < rates.drawings, "{rates:#?}");
}

#[test]
fn slopes_change_no_bracket() {
    for seed in (0..number("DRAWINGS", 60)).map(|drawing| 1_000_000 * number("SEED", 0) + drawing) {
        let Random { painted, load } = Random::of(seed);
        let run = |degrees: f64| solve(&painted.turned(degrees), &load, 5e-3, 3_000);
        let degrees = 1.0 + (seed % 89) as f64;
        match (run(0.0), run(degrees)) {
            (Ok(one), Ok(other)) => match (one.l2d, other.l2d) {
                (Some(one), Some(other)) => {
                    assert!(one.overlaps(other), "seed {seed}, {degrees}°: {one:?} {other:?}");
                }
                (one, other) => assert_eq!(one, other, "seed {seed}, {degrees}°"),
            },
            (Err(_), Err(_)) => {}
            (one, other) => panic!("seed {seed}, {degrees}°: {:?} {:?}", one.err(), other.err()),
        }
    }
}
