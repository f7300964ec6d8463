//! Takes random and mutated documents through everything: `cargo run --release --example finite [DOCUMENTS]
//! [SEED] [SECONDS]`.
//!
//! Whatever is printed with success must hold finite numbers alone.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use coldseam::{command, shipped, validation};
use rayon::prelude::*;

#[path = "../tests/common/documents.rs"]
mod documents;

use documents::{Dice, Effort, Nulls, look, mutated, random};

fn main() {
    let arguments: Vec<u64> = std::env::args().skip(1).filter_map(|argument| argument.parse().ok()).collect();
    let argument = |index: usize, otherwise: u64| arguments.get(index).copied().unwrap_or(otherwise);
    let (documents, seed, patience) =
        (argument(0, 100_000), argument(1, 1), Duration::from_secs(argument(2, u64::MAX)));
    let texts: Vec<&str> = shipped::all()
        .map(|file| file.text)
        .chain(validation::CASES.iter().map(|(_, text)| *text))
        .chain([include_str!("../tests/keys/slopes.yaml")])
        .collect();
    let (nulls, start) = (Nulls::of(&texts), Instant::now());
    let [seen, accepted, solved] = [const { AtomicUsize::new(0) }; 3];
    let faults = Mutex::new(Vec::new());
    (0..documents).into_par_iter().for_each(|number| {
        if start.elapsed() > patience {
            return;
        }
        let mut dice = Dice((seed << 40) ^ (number + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let text = if number % 2 == 0 {
            random(&mut dice)
        } else {
            mutated(texts[dice.roll(texts.len())], &mut dice)
        };
        seen.fetch_add(1, Ordering::Relaxed);
        match look(&text, &nulls, if number % 50 < 2 { Effort::Much } else { Effort::Little }) {
            Ok(fate) => {
                accepted.fetch_add(usize::from(fate.accepted), Ordering::Relaxed);
                solved.fetch_add(usize::from(fate.solved), Ordering::Relaxed);
            }
            Err(problem) => {
                if let Ok(mut faults) = faults.lock() {
                    faults.push(format!("document {number}: {problem}\n{text}"));
                }
            }
        }
    });
    let faults = faults.into_inner().unwrap_or_default();
    let [seen, accepted, solved] = [seen, accepted, solved].map(AtomicUsize::into_inner);
    let seconds = start.elapsed().as_secs_f64();
    command::print(&format!(
        "{seen} documents (seed {seed}) in {seconds:.0} s: {accepted} accepted, {solved} solved, {} with a number that is none\n",
        faults.len()
    ));
    for fault in faults.iter().take(3) {
        command::print(&format!("{fault}\n"));
    }
    std::process::exit(i32::from(!faults.is_empty()));
}
