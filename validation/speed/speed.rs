//! Builds the matrices of the speed comparison and measures coldseam on them.
//!
//! ```text
//! cargo run --release --example speed -- run FAMILY UNKNOWNS [THREADS]      one line of JSON: times, iterations, memory
//! cargo run --release --example speed -- faer FAMILY UNKNOWNS RUNS          the same by faer's sparse Cholesky factorisation
//! cargo run --release --example speed -- export FAMILY UNKNOWNS DIR         the matrix and right-hand side as raw arrays
//! ```
#![allow(clippy::print_stdout)] // a measuring tool, not the program

use std::error::Error;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::time::Instant;

use coldseam::case::{self, Case};
use coldseam::conduction::system::System;
use coldseam::conduction::{Conduction, Network};
use coldseam::grid::Grid;
use coldseam::grid::lines::Fineness;
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::{shipped, validation};
use serde_json::json;

/// The three families: a sill with a metal sheet, a plinth with ground, and ISO 10211 case 2 (metal 230,
/// insulation 0.029).
fn family(name: &str) -> Result<Case, Box<dyn Error>> {
    let text = match name {
        "sill" => shipped::find("window-sill-metal").ok_or("shipped")?.text,
        "plinth" => shipped::find("plinth").ok_or("shipped")?.text,
        "metal" => validation::CASES.iter().find(|case| case.0 == "iso-10211-case-2").ok_or("embedded")?.1,
        other => return Err(format!("there is no family {other}; known: sill, plinth, metal").into()),
    };
    Ok(case::from_text(name, text, &[])?)
}

/// The network of a family on the default grading scaled so that it has about the wanted number of unknowns.
fn network(case: &Case, unknowns: usize) -> Result<(Network, Grid), Box<dyn Error>> {
    let (plan, _) = Plan::of(&case.model)?;
    let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
    let raster = plan.raster().ok_or("raster")?;
    let free = |part: f64| -> Result<(usize, Grid), Box<dyn Error>> {
        let grid = Grid::graded(&case.model, raster, Fineness::default().scaled(part))?;
        // Solid vertices, counted from the cells, without building the network.
        let columns = grid.vertex_columns();
        let mut solid = vec![false; grid.vertices()];
        for j in 0..grid.vertex_rows() - 1 {
            for i in (0..columns - 1).filter(|i| grid.filling(raster, *i, j).is_solid()) {
                let vertex = j * columns + i;
                for corner in [vertex, vertex + 1, vertex + columns, vertex + columns + 1] {
                    solid[corner] = true;
                }
            }
        }
        Ok((solid.iter().filter(|solid| **solid).count(), grid))
    };
    let (mut coarse, mut fine) = (20.0_f64, 1e-3_f64);
    for _ in 0..40 {
        let middle = (coarse * fine).sqrt();
        // Too many vertices to try at all counts as too fine.
        if free(middle).map_or(usize::MAX, |(count, _)| count) > unknowns {
            fine = middle;
        } else {
            coarse = middle;
        }
    }
    let (_, grid) = free(coarse)?;
    Ok((Network::of(&case.model, raster, &surfaces, &grid), grid))
}

/// Largest resident memory of this process so far, bytes.
fn peak_memory() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? * 1024)
}

fn run(name: &str, unknowns: usize) -> Result<(), Box<dyn Error>> {
    let case = family(name)?;
    let (network, grid) = network(&case, unknowns)?;
    let temperatures: Vec<f64> =
        case.model.environments.iter().map(|environment| environment.temperature).collect();
    let before = peak_memory().unwrap_or_default();
    let mut set_ups = Vec::new();
    let mut solves = Vec::new();
    let mut last = None;
    for _ in 0..3 {
        let copy = network.clone();
        let start = Instant::now();
        let conduction = Conduction::of(copy)?;
        set_ups.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        let field = conduction.solve(&temperatures, None)?;
        solves.push(start.elapsed().as_secs_f64());
        last = Some((field.info, conduction.unknowns));
    }
    let (info, count) = last.ok_or("three runs")?;
    let totals: Vec<f64> = set_ups.iter().zip(&solves).map(|(a, b)| a + b).collect();
    let median = |values: &[f64]| {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        sorted[sorted.len() / 2]
    };
    let line = json!({
        "family": name, "unknowns": count, "vertices": grid.vertices(), "threads": rayon::current_num_threads(),
        "set_up": median(&set_ups), "solve": median(&solves), "total": median(&totals),
        "iterations": info.iterations, "residual": info.residual,
        "memory": peak_memory().unwrap_or_default().saturating_sub(before), "nanoseconds_per_unknown": median(&totals) * 1e9 / count as f64,
    });
    println!("{line}");
    Ok(())
}

fn export(name: &str, unknowns: usize, folder: &Path) -> Result<(), Box<dyn Error>> {
    let case = family(name)?;
    let (network, _) = network(&case, unknowns)?;
    let temperatures: Vec<f64> =
        case.model.environments.iter().map(|environment| environment.temperature).collect();
    let mean = temperatures.iter().sum::<f64>() / temperatures.len() as f64;
    let shifted: Vec<f64> = temperatures.iter().map(|temperature| temperature - mean).collect();
    let system = System::of(&network);
    let right = system.right_hand_side(&network, &shifted, &network.fixed_temperatures(&shifted));
    fs::create_dir_all(folder)?;
    let save = |file: &str, bytes: Vec<u8>| -> Result<(), Box<dyn Error>> {
        Ok(fs::File::create(folder.join(file))?.write_all(&bytes)?)
    };
    let integers =
        |values: &[usize]| values.iter().flat_map(|value| (*value as i32).to_le_bytes()).collect::<Vec<u8>>();
    let doubles = |values: &[f64]| values.iter().flat_map(|value| value.to_le_bytes()).collect::<Vec<u8>>();
    save("indptr.i32", integers(system.matrix.indptr().raw_storage()))?;
    save("indices.i32", integers(system.matrix.indices()))?;
    save("data.f64", doubles(system.matrix.data()))?;
    save("right.f64", doubles(&right))?;
    println!("{}", json!({ "family": name, "unknowns": system.unknowns(), "entries": system.matrix.nnz() }));
    Ok(())
}

/// faer's sparse Cholesky factorisation on the same system.
fn run_faer(name: &str, unknowns: usize, runs: usize) -> Result<(), Box<dyn Error>> {
    use faer::linalg::solvers::Solve;
    use faer::sparse::{SparseColMat, Triplet};
    let case = family(name)?;
    let (network, _) = network(&case, unknowns)?;
    let temperatures: Vec<f64> =
        case.model.environments.iter().map(|environment| environment.temperature).collect();
    let system = System::of(&network);
    let right = system.right_hand_side(&network, &temperatures, &network.fixed_temperatures(&temperatures));
    let size = system.unknowns();
    let triplets: Vec<_> =
        system.matrix.iter().map(|(value, (row, column))| Triplet::new(row, column, *value)).collect();
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &triplets)
        .map_err(|error| format!("{error:?}"))?;
    drop(triplets);
    let right = faer::Mat::from_fn(size, 1, |row, _| right[row]);
    let before = peak_memory().unwrap_or_default();
    let mut times = Vec::new();
    let mut residual = 0.0;
    for _ in 0..runs {
        let start = Instant::now();
        let solution =
            matrix.sp_cholesky(faer::Side::Lower).map_err(|error| format!("{error:?}"))?.solve(&right);
        times.push(start.elapsed().as_secs_f64());
        residual = (&right - &matrix * &solution).norm_l2() / right.norm_l2();
    }
    times.sort_by(f64::total_cmp);
    let memory = peak_memory().unwrap_or_default().saturating_sub(before);
    let total = times[times.len() / 2];
    println!(
        "{}",
        json!({ "library": "faer 0.24", "threads": 1, "total": total, "residual": residual, "memory": memory })
    );
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match arguments.as_slice() {
        ["run", name, unknowns, threads @ ..] => {
            if let [threads] = threads {
                rayon::ThreadPoolBuilder::new().num_threads(threads.parse()?).build_global()?;
            }
            run(name, unknowns.parse()?)
        }
        ["faer", name, unknowns, runs] => run_faer(name, unknowns.parse()?, runs.parse()?),
        ["export", name, unknowns, folder] => export(name, unknowns.parse()?, Path::new(folder)),
        _ => {
            Err("usage: speed run FAMILY UNKNOWNS [THREADS] | speed faer FAMILY UNKNOWNS RUNS | speed export FAMILY UNKNOWNS DIR"
                .into())
        }
    }
}
