//! Throws mutated documents at the reader: `cargo run --release --example fuzz [DOCUMENTS] [SEED]`.
//!
//! Shipped files are mutated: bytes and lines changed, removed, repeated and exchanged, numbers made absurd,
//! lines of one file put into another. Whatever comes out must be read or refused within five seconds and
//! without a panic; what is accepted is painted, and one in a hundred solved.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use coldseam::plan::Plan;
use coldseam::result::{self, Demand};
use coldseam::{case, command, shipped};
use rayon::prelude::*;

mod lines;

/// No document may take longer.
const PATIENCE: Duration = Duration::from_secs(5);
/// One accepted document in this many is solved.
const SOLVED: usize = 100;

/// Marsaglia's xorshift: reproducible, and good enough to break things with.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }
}

#[derive(Default)]
struct Count {
    accepted: AtomicUsize,
    painted: AtomicUsize,
    solved: AtomicUsize,
    faults: Mutex<Vec<String>>,
}

fn look(number: usize, text: &str, count: &Count) {
    let demand = Demand { half_width: 0.05, factor_error: 0.1, most_unknowns: 20_000 };
    let read = || {
        // Every reader sees every document.
        let _ = case::library_from_text("fuzz", text, &[]);
        let _ = case::climate_from_text("fuzz", text);
        let Ok(case) = case::from_text("fuzz", text, &[]) else { return };
        let accepted = count.accepted.fetch_add(1, Ordering::Relaxed);
        if Plan::of(&case.model).is_err() {
            return;
        }
        count.painted.fetch_add(1, Ordering::Relaxed);
        if accepted.is_multiple_of(SOLVED) && result::compute_to(case, &demand).is_ok() {
            count.solved.fetch_add(1, Ordering::Relaxed);
        }
    };
    let start = Instant::now();
    let fault = match catch_unwind(AssertUnwindSafe(read)) {
        Err(_) => Some("panicked"),
        Ok(()) if start.elapsed() > PATIENCE => Some("took too long"),
        Ok(()) => None,
    };
    if let (Some(fault), Ok(mut faults)) = (fault, count.faults.lock()) {
        faults.push(format!("document {number} {fault} ({:.1} s):\n{text}\n", start.elapsed().as_secs_f64()));
    }
}

fn main() {
    let arguments: Vec<u64> = std::env::args().skip(1).filter_map(|argument| argument.parse().ok()).collect();
    let documents = arguments.first().copied().unwrap_or(100_000) as usize;
    let seed = arguments.get(1).copied().unwrap_or(1);
    let sloped = [include_str!("../tests/results/sloped.yaml"), include_str!("../tests/keys/slopes.yaml")];
    let texts: Vec<&str> = shipped::all().map(|file| file.text).chain(sloped).collect();
    let (count, start) = (Count::default(), Instant::now());
    (0..documents).into_par_iter().for_each(|number| {
        let mut dice = Dice((seed << 40) ^ (number as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        look(number, &lines::mutated(&texts, &mut |sides| dice.roll(sides)), &count);
    });
    let memory = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let memory = memory.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("VmHWM unknown");
    let read = |number: &AtomicUsize| number.load(Ordering::Relaxed);
    let faults = count.faults.into_inner().unwrap_or_default();
    command::print(&format!(
        "{documents} documents (seed {seed}) in {:.0} s: {} accepted, {} painted, {} solved, {} faults; {memory}\n",
        start.elapsed().as_secs_f64(),
        read(&count.accepted),
        read(&count.painted),
        read(&count.solved),
        faults.len()
    ));
    for fault in faults.iter().take(3) {
        command::print(&format!("{fault}\n"));
    }
    std::process::exit(i32::from(!faults.is_empty()));
}
