//! `cargo bench`: set-up, one cycle and a whole solve of the shipped sill with a metal sheet, on three grids.
#![allow(clippy::unwrap_used)] // a benchmark that cannot be set up should stop

use coldseam::conduction::{Conduction, Network};
use coldseam::grid::Grid;
use coldseam::grid::lines::Fineness;
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::{case, shipped};

fn main() {
    divan::main();
}

/// Parts of the default cell size: about 10⁴, 10⁵ and 10⁶ unknowns.
const PARTS: [f64; 3] = [1.4, 0.38, 0.115];
const TEMPERATURES: [f64; 2] = [20.0, 0.0];

fn network(part: f64) -> Network {
    let case = case::from_text("sill", shipped::find("window-sill-metal").unwrap().text, &[]).unwrap();
    let (plan, _) = Plan::of(&case.model).unwrap();
    let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
    let grid = Grid::graded(&case.model, plan.raster().unwrap(), Fineness::default().scaled(part)).unwrap();
    Network::of(&case.model, plan.raster().unwrap(), &surfaces, &grid)
}

#[divan::bench(args = PARTS, sample_count = 5)]
fn set_up(bencher: divan::Bencher<'_, '_>, part: f64) {
    let network = network(part);
    bencher.with_inputs(|| network.clone()).bench_values(|network| Conduction::of(network).unwrap());
}

#[divan::bench(args = PARTS, sample_count = 5)]
fn cycle(bencher: divan::Bencher<'_, '_>, part: f64) {
    let conduction = Conduction::of(network(part)).unwrap();
    let hierarchy = conduction.hierarchy();
    let mut workspace = hierarchy.workspace();
    workspace.finest()[1].fill(1.0);
    bencher.bench_local(|| hierarchy.cycle(&mut workspace));
}

#[divan::bench(args = PARTS, sample_count = 5)]
fn whole_solve(bencher: divan::Bencher<'_, '_>, part: f64) {
    let conduction = Conduction::of(network(part)).unwrap();
    bencher.bench(|| conduction.solve(&TEMPERATURES, None).unwrap());
}
