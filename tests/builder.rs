//! A model from a program is that of a file which says the same, and what is wrong with one is told.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::geometry::{Axis, Rectangle, Span};
use coldseam::material::{Material, generic};
use coldseam::model::{Builder, Convention, Cut, EnvironmentId, MaterialId, Role};
use coldseam::result;

use common::dice::Dice;

mod common;

/// The shipped corner, drawn again: every number of the result has the same bits.
#[test]
fn the_shipped_corner_from_a_program() {
    // The coordinates in mm, as the file's expressions give them.
    let mm = |value: f64| value * 1e-3;
    let square = |to: f64| Rectangle::new([mm(-1200.0), mm(to)], [mm(-1200.0), mm(to)]);
    let mut corner = Builder::new(Cut::Horizontal, square(586.0));
    let generic =
        |corner: &mut Builder, name: &str| corner.add_material(Material::from(generic::find(name).unwrap()));
    let (block, board) = (corner.material("aircrete_block", 0.18), corner.material("graphite_eps", 0.031));
    let (render, plaster) = (generic(&mut corner, "render"), generic(&mut corner, "plaster_gypsum"));
    let room = corner.environment("room", Role::Internal, 20.0);
    let outside = corner.environment("outside", Role::External, 0.0);
    corner.space(outside, square(586.0)).fill(render, square(386.0)).fill(board, square(378.0));
    corner.fill(block, square(228.0)).fill(plaster, square(13.0)).space(room, square(0.0));
    for (name, axis) in [("side wall", Axis::X), ("front wall", Axis::Y)] {
        corner.flanking(name, (axis, mm(-1200.0)), Convention::Internal, Span { from: mm(-1200.0), to: 0.0 });
        corner.flanking(
            name,
            (axis, mm(-1200.0)),
            Convention::External,
            Span { from: mm(-1200.0), to: mm(386.0) },
        );
    }
    corner.condensation(0.25, &[]).point("inner_edge", 0.0, 0.0);
    let own = result::compute(corner.build().unwrap()).unwrap();
    let of_file = common::solve_shipped("outer-corner", &[]);
    assert_eq!(own.l2d, of_file.l2d);
    assert_eq!(own.psi.len(), 2);
    for (own, of_file) in own.psi.iter().zip(&of_file.psi) {
        assert_eq!((own.convention, own.bracket), (of_file.convention, of_file.bracket));
    }
    let factors = |outcome: &result::Outcome| -> Vec<f64> {
        outcome.factors.iter().map(|factor| factor.coldest.as_ref().unwrap().factor).collect()
    };
    assert_eq!(factors(&own), factors(&of_file));
    assert_eq!(own.points, of_file.points);
    assert!(own.all_warnings().next().is_none() && of_file.all_warnings().next().is_none());
}

/// A wall, with one thing wrong.
fn wrong(number: usize) -> Builder {
    let size = |number_of: usize, right: f64, wrong: f64| if number == number_of { wrong } else { right };
    let extent = Rectangle::new([-0.5, size(0, 0.8, f64::NAN)], [0.0, size(1, 1.0, -1.0)]);
    let mut wall = Builder::new(Cut::Vertical, extent);
    let block = wall.material("block", size(2, 0.5, -1.0));
    let room = wall.environment("room", Role::Internal, size(3, 20.0, f64::INFINITY));
    let outside = wall.environment(
        if number == 4 { "room" } else { "outside" },
        Role::External,
        size(5, 0.0, 19.999_99),
    );
    wall.space(room, Rectangle::new([-0.5, 0.0], [0.0, 1.0]));
    wall.space(outside, Rectangle::new([0.3, size(6, 0.8, 2e6)], [0.0, 1.0]));
    wall.fill(block, Rectangle::new([0.0, size(7, 0.3, 0.0)], [0.0, 1.0]));
    wall.flanking_of("wall", size(8, 1.3, -2.0), Axis::Y, Convention::Internal, Span { from: 0.0, to: 1.0 });
    wall.surface_resistance(room, size(9, 0.13, f64::NAN)).point("middle", 0.15, size(10, 0.5, f64::NAN));
    wall.condensation(size(11, 0.25, 0.0), &[if number == 12 { MaterialId::new(7) } else { block }]);
    match number {
        13 => wall.space(EnvironmentId::new(9), extent),
        14 => wall.fill(MaterialId::new(9), extent),
        15 => wall.between([vec![room], vec![EnvironmentId::new(2)]]),
        16 => wall.flanking("other", (Axis::Y, f64::NAN), Convention::Internal, Span { from: 0.0, to: 1.0 }),
        17 => wall.flanking_of("other", 1.0, Axis::Y, Convention::Internal, Span { from: 1.0, to: 0.0 }),
        _ => &mut wall,
    };
    if number == 18 {
        wall.material("block", 0.5);
    }
    wall
}

#[test]
fn each_fault_is_told() {
    const FAULTS: usize = 19;
    assert!(wrong(FAULTS).build().is_ok());
    assert!(result::compute(wrong(FAULTS).build().unwrap()).is_ok());
    let mut messages = Vec::new();
    for number in 0..FAULTS {
        let Err(unusable) = wrong(number).build() else { panic!("fault {number} passes") };
        messages.push(unusable.to_string());
    }
    messages.sort();
    messages.dedup();
    assert!(messages.len() > 15, "{messages:#?}");
}

/// Whatever is painted where: an outcome with a bracket, or a reason; never a panic.
#[test]
fn random_models_are_computed_or_refused() {
    let mut dice = Dice(5);
    let mut computed = 0;
    for _ in 0..300 {
        let extent = Rectangle::new([0.0, 1.0], [0.0, 1.0]);
        let mut model =
            Builder::new(if dice.between(0, 1) == 0 { Cut::Vertical } else { Cut::Horizontal }, extent);
        let materials: Vec<MaterialId> = (0..3)
            .map(|index| model.material(&format!("m{index}"), dice.between(1, 300) as f64 / 100.0))
            .collect();
        let room = model.environment("room", Role::Internal, 20.0);
        let outside = model.environment("outside", Role::External, dice.between(-10, 10) as f64);
        model
            .space(room, Rectangle::new([0.0, 0.4], [0.0, 1.0]))
            .space(outside, Rectangle::new([0.4, 1.0], [0.0, 1.0]));
        model.fill(materials[0], Rectangle::new([0.3, 0.6], [0.0, 1.0]));
        for _ in 0..dice.between(0, 4) {
            let mut side = || {
                let ends = [dice.between(-2, 10), dice.between(1, 6)].map(|value| value as f64 / 10.0);
                [ends[0], ends[0] + ends[1]]
            };
            let area = Rectangle::new(side(), side());
            match dice.between(0, 4) {
                0 => model.space(room, area),
                1 => model.space(outside, area),
                index => model.fill(materials[index as usize - 2], area),
            };
        }
        match result::compute(model.build().unwrap()) {
            Ok(outcome) => {
                let l2d = outcome.l2d.unwrap();
                assert!(l2d.lower() <= l2d.upper() && l2d.upper().is_finite());
                computed += 1;
            }
            Err(failure) => assert!(!failure.to_string().is_empty()),
        }
    }
    assert!(computed > 50, "{computed}");
}
