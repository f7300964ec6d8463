//! Shapes whose heat flow is known in closed form.
//!
//! Sources: F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, table of conduction shape factors
//! (cylinders concentric and eccentric, a cylinder below an isothermal plane, in a square); H. S. Carslaw, J. C. Jaeger,
//! Conduction of Heat in Solids, 2nd ed. 1959, chapters I (materials that conduct by direction) and XVI (two-dimensional
//! steady flow). Page numbers are not stated, since the formulas are cited from memory; each is derived or made
//! plausible beside its test.
//!
//! **Circles by polygons.** A polygon is not a circle, but what it gives is on a known side of it. Surfaces are fixed
//! (R = 0) at 1 inside and 0 outside; E is the least ∫λ|∇T|². Fewer conditions or less to integrate over make a
//! minimum smaller:
//!
//! - *Fixed surfaces nearer to each other lose more.* A temperature that is admissible between two surfaces stays so
//!   between surfaces that lie farther apart and enclose these: continued by the constants 1 and 0 it has the same
//!   energy. So a circle's value lies below that of the larger inner or smaller outer polygon, and above that of the
//!   smaller inner or larger outer one.
//! - *More solid between adiabatic edges loses more.* A temperature of the larger solid, cut off at the smaller one,
//!   is admissible there and has less energy.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::f64::consts::{PI, TAU};

use coldseam::triangulation::{Conductivity, Filling};

mod drawings;

use drawings::{Painted, Point, Polygon, rectangle, regular, solve, turned};

/// Γ(1/4).
const GAMMA: f64 = 3.625_609_908_221_908;

/// Half-width asked for where polygons miss circles by more, relatively.
const NARROW: f64 = 3e-5;

/// The bracket of L2D as far as asked, relatively.
fn bracket(painted: &Painted, half_width: f64) -> [f64; 2] {
    let load = [1.0, 0.0];
    let rough = solve(painted, &load, 1.0, 20_000).unwrap().l2d.unwrap();
    let wanted = half_width * rough.middle();
    let refined = solve(painted, &load, wanted, 30_000).unwrap();
    let l2d = refined.l2d.unwrap();
    assert!(l2d.half_width() <= wanted, "{l2d:?} by {} unknowns", refined.system.unknowns());
    [l2d.lower(), l2d.upper()]
}

/// A solid between two surfaces: space 0 within the inner one, space 1 around the outer one.
fn between(conductivity: Conductivity, inner: Polygon, outer: Polygon) -> Painted {
    let mut painted = Painted::new(&[0.0, 0.0]);
    painted.space(1, painted.drawing.extent.clone());
    painted.solid(conductivity, outer);
    painted.space(0, inner);
    painted
}

/// Regular polygons within and around a circle.
fn within_and_around(corners: usize, middle: Point, radius: f64) -> [Polygon; 2] {
    [radius, radius / (PI / corners as f64).cos()].map(|radius| regular(corners, middle, radius))
}

/// Fails unless the value lies between the lower bound of what loses less and the upper bound of what loses more,
/// and these are close. How close, relatively.
fn assert_encloses(less: &Painted, more: &Painted, exact: f64, width: f64, what: &str) -> f64 {
    let ([lower, _], [_, upper]) = (bracket(less, NARROW), bracket(more, NARROW));
    assert!(lower <= exact && exact <= upper, "{what}: {lower} {exact} {upper}");
    assert!(upper - lower <= width * exact, "{what}: {lower} {exact} {upper}");
    (upper - lower) / exact
}

#[test]
fn pipes_in_cylinders() {
    // S = 2π/arcosh((D² + d² − 4z²)/(2·D·d)) with the distance z of both axes; 2π/ln(D/d) for z = 0.
    for (outer, inner, z) in
        [(1.0, 0.3, 0.0), (1.0, 0.9, 0.0), (1.0, 0.3, 0.2), (1.0, 0.5, 0.24), (0.4, 0.02, 0.15)]
    {
        let ratio = (outer * outer + inner * inner - 4.0 * z * z) / (2.0 * outer * inner);
        let exact = 0.04 * TAU / f64::acosh(ratio);
        if z == 0.0 {
            assert!((exact * f64::ln(outer / inner) / (0.04 * TAU) - 1.0).abs() < 1e-12);
        }
        // Corners turned against each other and against the direction of the distance.
        let place = turned([z, 0.0], 33.0);
        let widths = [(48, 0.1), (192, 0.006)].map(|(corners, width)| {
            let [inner_within, inner_around] = within_and_around(corners, place, 0.5 * inner);
            let [outer_within, outer_around] = within_and_around(corners + 7, [0.0, 0.0], 0.5 * outer);
            let lambda = Conductivity::isotropic(0.04);
            let less = between(lambda, inner_within, outer_around);
            let more = between(lambda, inner_around, outer_within);
            assert_encloses(
                &less,
                &more,
                exact,
                width,
                &format!("{inner} in {outer}, {z} beside it, {corners}"),
            )
        });
        // Polygons miss circles by the square of the corners' distance.
        let order = (widths[0] / widths[1]).log(4.0);
        assert!((order - 2.0).abs() < 0.2, "{inner} in {outer}, {z} beside it: {widths:?}");
    }
}

#[test]
fn materials_that_conduct_by_direction() {
    // Coordinates x/√λx, y/√λy make K the identity times √(λx·λy), circles of ellipses whose axes are as √λx, √λy
    // (Carslaw and Jaeger, chapter I), so that those have the circles' S.
    for (along, across) in [(0.13, 0.3), (4.0, 0.04), (0.1, 40.0)] {
        let exact = f64::sqrt(along * across) * TAU / f64::ln(3.0);
        for degrees in [0.0, 27.0, 90.0] {
            let size = f64::sqrt(along.max(across));
            let stretched = |circle: Polygon| {
                let onto =
                    |[x, y]: Point| turned([x * along.sqrt() / size, y * across.sqrt() / size], degrees);
                circle.into_iter().map(onto).collect::<Polygon>()
            };
            let [inner, outer] =
                [0.2, 0.6].map(|radius| within_and_around(96, [0.0; 2], radius).map(stretched));
            let conductivity = Conductivity::along(turned([1.0, 0.0], degrees), along, across);
            let ([inner_within, inner_around], [outer_within, outer_around]) = (inner, outer);
            let less = between(conductivity, inner_within, outer_around);
            let more = between(conductivity, inner_around, outer_within);
            assert_encloses(&less, &more, exact, 0.005, &format!("{along} {across} {degrees}°"));
        }
    }
}

#[test]
fn a_pipe_below_a_plane() {
    // S = 2π/arcosh(2z/D). Soil that ends adiabatic loses less, soil that is as cold as the surface there loses more.
    for (depth, diameter) in [(0.3, 0.1), (0.3, 0.5), (0.1, 0.02)] {
        let exact = 1.5 * TAU / f64::acosh(2.0 * depth / diameter);
        let far = 60.0 * depth;
        let painted = |ends: Filling, pipe: Polygon| {
            let mut painted = Painted::new(&[0.0, 0.0]);
            painted.paint(ends, painted.drawing.extent.clone(), Vec::new());
            painted.space(1, rectangle([-far, far], [0.0, 1.0]));
            painted.plain(1.5, rectangle([-far, far], [-far, 0.0]));
            painted.space(0, pipe);
            painted.turned(10.0)
        };
        let [within, around] = within_and_around(128, [0.0, -depth], 0.5 * diameter);
        let (less, more) = (painted(Filling::Nothing, within), painted(Filling::Space(1), around));
        assert_encloses(&less, &more, exact, 0.01, &format!("{diameter} at {depth}"));
    }
}

/// An arc about the origin from 0° to `degrees` by chords; the corners at this radius.
fn arc(radius: f64, degrees: f64, chords: usize) -> Polygon {
    (0..=chords).map(|corner| turned([radius, 0.0], degrees * corner as f64 / chords as f64)).collect()
}

#[test]
fn sectors_of_rings() {
    let (inner, outer) = (0.4, 1.0);
    for degrees in [40.0, 90.0, 170.0] {
        let angle = f64::to_radians(degrees);
        let chords = 64;
        // Chords that lie beyond the arc and touch it.
        let beyond = 1.0 / (0.5 * angle / chords as f64).cos();
        let sector = |radius: f64| {
            let mut sector = arc(radius, degrees, chords);
            sector.push([0.0, 0.0]);
            sector
        };
        // Heat flows outwards: S = φ/ln(r₂/r₁).
        let outwards = |inner: f64, outer: f64| {
            let mut painted = Painted::new(&[0.0, 0.0]);
            painted.space(1, sector(2.0 * outer));
            painted.plain(0.8, sector(outer));
            painted.space(0, sector(inner));
            painted
        };
        let exact = 0.8 * angle / f64::ln(outer / inner);
        let (less, more) = (outwards(inner, beyond * outer), outwards(beyond * inner, outer));
        assert_encloses(&less, &more, exact, 1.5e-3, &format!("outwards, {degrees}°"));
        // Heat flows around: S = ln(r₂/r₁)/φ. Arcs are adiabatic: the larger sector loses more.
        let around = |inner: f64, outer: f64| {
            let mut painted = Painted::new(&[0.0, 0.0]);
            painted.space(0, rectangle([0.0, 2.0], [-0.1, 0.0]));
            painted.space(
                1,
                rectangle([0.0, 2.0], [0.0, 0.1]).into_iter().map(|p| turned(p, degrees)).collect(),
            );
            painted.plain(0.8, sector(outer));
            painted.paint(Filling::Nothing, sector(inner), Vec::new());
            painted
        };
        let exact = 0.8 * f64::ln(outer / inner) / angle;
        let (less, more) = (around(beyond * inner, outer), around(inner, beyond * outer));
        assert_encloses(&less, &more, exact, 1.5e-3, &format!("around, {degrees}°"));
    }
}

/// The arithmetic-geometric mean.
fn agm(mut a: f64, mut b: f64) -> f64 {
    while (a - b).abs() > 1e-15 * a {
        (a, b) = (f64::midpoint(a, b), (a * b).sqrt());
    }
    a
}

/// μ(r) = (π/2)·K(√(1−r²))/K(r) with the complete elliptic integrals K(r) = π/(2·agm(1, √(1−r²))); it falls.
fn mu(r: f64) -> f64 {
    0.5 * PI * agm(1.0, (1.0 - r * r).sqrt()) / agm(1.0, r)
}

fn inverse_mu(value: f64) -> f64 {
    // By halving the logarithm: r may be very small.
    let (mut low, mut high) = (-200.0, 0.0);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if mu(f64::exp(middle)) > value {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::exp(low)
}

#[test]
fn squares_in_squares() {
    // Concentric squares with sides a and 1 (F. Bowman, Proc. London Math. Soc. 39 (1935) 205–215, in the form of
    // D. Betsakos, K. Samuelsson, M. Vuorinen, Publ. Inst. Math. 75 (2004) 233–252; from memory): with
    // c = (1 − a)/(1 + a), u = μ⁻¹(πc/2), v = μ⁻¹(π/(2c)): S = 4π/μ(((u − v)/(u + v))²). Polygons, so nothing to enclose.
    for (a, published) in [(0.2, None), (0.5, Some(10.234_092_57)), (0.8, None)] {
        let c = (1.0 - a) / (1.0 + a);
        let (u, v) = (inverse_mu(0.5 * PI * c), inverse_mu(0.5 * PI / c));
        let exact = 4.0 * PI / mu(((u - v) / (u + v)).powi(2));
        if let Some(published) = published {
            assert!((exact - published).abs() < 1e-7, "{exact}");
        }
        // As the handbooks have it, which is an approximation: 8 half sides of (1 + a)/(1 − a) and corners of 0.54.
        let handbook = 4.0 * (2.0 * a / (1.0 - a) + 0.54);
        assert!((exact / handbook - 1.0).abs() < 0.02 || a < 0.4, "{exact} {handbook}");
        for degrees in [0.0, 20.0] {
            let square = |side: f64| rectangle([-0.5 * side, 0.5 * side], [-0.5 * side, 0.5 * side]);
            let painted = between(Conductivity::isotropic(1.0), square(a), square(1.0)).turned(degrees);
            let [lower, upper] = bracket(&painted, 2e-6);
            assert!(lower <= exact && exact <= upper, "{a}, {degrees}°: {lower} {exact} {upper}");
        }
    }
}

#[test]
fn circles_and_squares() {
    // A thin pipe in a square of side w: 2π/ln(1.0787·w/D). The factor (1.08 in the handbooks) is twice the radius of
    // the circle that maps onto the unit square conformally with derivative 1 in the middle, 4√π/Γ(1/4)². What is
    // left out is of the order (D/w)⁸.
    let factor = 8.0 * PI.sqrt() / GAMMA.powi(2);
    assert!((factor - 1.078_705).abs() < 1e-6);
    let square = |side: f64| rectangle([-0.5 * side, 0.5 * side], [-0.5 * side, 0.5 * side]);
    let exact = TAU / f64::ln(factor / 0.1);
    assert!((exact / (TAU / f64::ln(1.08 / 0.1)) - 1.0).abs() < 1e-3);
    let [within, around] = within_and_around(128, [0.0; 2], 0.05);
    let pipe = |pipe: Polygon| between(Conductivity::isotropic(1.0), pipe, square(1.0)).turned(15.0);
    assert_encloses(&pipe(within), &pipe(around), exact, 5e-4, "pipe in a square");
    // A thin square rod of side a in a circle: 2π/ln(D/(2·0.59017·a)), with the square's transfinite diameter
    // Γ(1/4)²/(4π^{3/2})·a (G. Pólya, G. Szegő, Isoperimetric Inequalities in Mathematical Physics, 1951).
    let diameter = GAMMA.powi(2) / (4.0 * PI.powf(1.5));
    assert!((diameter - 0.590_17).abs() < 1e-5);
    let exact = TAU / f64::ln(0.5 / (diameter * 0.05));
    let [within, around] = within_and_around(96, [0.0; 2], 0.5);
    let rod = |circle: Polygon| between(Conductivity::isotropic(1.0), square(0.05), circle).turned(15.0);
    assert_encloses(&rod(around), &rod(within), exact, 1e-3, "rod in a circle");
}

#[test]
fn kites_lose_as_much_as_they_conduct() {
    // Let AB and CD of a kite, which is its own mirror image in AC, be fixed, BC and DA adiabatic, and S its shape
    // factor. The stream function solves the problem with BC and DA fixed, whose shape factor is 1/S; that is the
    // kite's mirror image. So S = 1, whatever the kite's angles. Stretched as the material conducts: √(λx·λy).
    let lambda = [(1.0, 1.0), (0.04, 0.04), (0.5, 0.02_f64)];
    for (number, (half_angles, (along, across))) in [(45.0, 45.0), (60.0, 20.0), (80.0, 30.0), (5.0, 3.0)]
        .into_iter()
        .zip(lambda.into_iter().cycle())
        .enumerate()
    {
        // A at the left, C at the right; half of the angles there.
        let (at_a, at_c) =
            (f64::tan(f64::to_radians(half_angles.0)), f64::tan(f64::to_radians(half_angles.1)));
        let x = at_c / (at_a + at_c);
        let stretch = (across / along).sqrt();
        let [a, b, c, d] =
            [[0.0, 0.0], [x, -x * at_a], [1.0, 0.0], [x, x * at_a]].map(|[x, y]| [x, y * stretch]);
        // A strip of air before an edge from p to q, the solid on its left.
        let air = |p: Point, q: Point| {
            let [x, y] = [0.3 * (q[1] - p[1]), -0.3 * (q[0] - p[0])];
            vec![p, [p[0] + x, p[1] + y], [q[0] + x, q[1] + y], q]
        };
        let mut painted = Painted::new(&[0.0, 0.0]);
        painted.space(0, air(a, b));
        painted.space(1, air(c, d));
        painted.solid(Conductivity::along([1.0, 0.0], along, across), vec![a, b, c, d]);
        let exact = f64::sqrt(along * across);
        let [lower, upper] = bracket(&painted.turned(17.0 * number as f64), 1e-5);
        assert!(lower <= exact && exact <= upper, "{half_angles:?}: {lower} {exact} {upper}");
    }
}

#[test]
fn walls_with_metal_sheets_are_exact_at_once() {
    // Resistances in series, whatever the slope, on the first mesh: both fields are linear in each layer.
    let sheets = [
        (0.2, 0.5, 0.5),
        (0.08, 0.035, 0.035),
        (0.001, 50.0, 50.0),
        (0.07, 0.035, 0.035),
        (5e-5, 160.0, 160.0),
    ];
    let timber = [(0.013, 0.25, 0.25), (0.0002, 160.0, 160.0), (0.12, 0.29, 0.12), (0.24, 0.055, 0.04)];
    for layers in [&sheets[..], &timber[..]] {
        for resistances in [[0.13, 0.04], [0.0, 0.04], [0.0, 0.0], [1.0, 1e-4]] {
            for degrees in [0.0, 1.0, 35.0, 45.0, 90.0, 163.0] {
                let mut painted = Painted::new(&resistances);
                painted.space(0, rectangle([0.0, 2.0], [-0.3, 0.0]));
                let (mut height, mut resistance) = (0.0, resistances[0] + resistances[1]);
                for &(thickness, along, across) in layers {
                    let layer = rectangle([0.0, 2.0], [height, height + thickness]);
                    painted.solid(Conductivity { xx: along, xy: 0.0, yy: across }, layer);
                    height += thickness;
                    resistance += thickness / across;
                }
                painted.space(1, rectangle([0.0, 2.0], [height, height + 0.3]));
                let exact = 2.0 / resistance;
                let refined = solve(&painted.turned(degrees), &[20.0, 0.0], 1e-9 * exact, 1_000).unwrap();
                let l2d = refined.l2d.unwrap();
                assert_eq!(refined.passes.len(), 1, "{degrees}°: {:?}", refined.passes);
                for bound in [l2d.lower(), l2d.upper()] {
                    assert!(
                        (bound / exact - 1.0).abs() < 1e-9,
                        "{degrees}° {resistances:?}: {l2d:?} {exact}"
                    );
                }
            }
        }
    }
}
