//! Throws mutated files at the executable, as a process: `cargo build --release && cargo run --release
//! --example fuzz_commands [INPUTS] [SEED] [SECONDS] [FOLDER]`.
//!
//! Junctions, build-ups, dwellings with the cases they name and climates are mutated as trees and as text, and
//! given to the commands in turn. A run must end with an exit code of the four that there are, print finite
//! numbers that can be, or say what is wrong and what to do; within 2 s of one processor (or twice what the
//! command takes for any shipped file) and 300 MB, and without a file written for what it refuses. Each fault is
//! told with the smallest input that shows it, which FOLDER keeps with what was said. The same seed gives the
//! same inputs. `COLDSEAM` names another executable than the one beside the example.

use std::collections::BTreeMap;
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use coldseam::command;

#[path = "../tests/common/documents.rs"]
mod documents;
#[path = "commands/inputs.rs"]
mod inputs;
#[path = "commands/judge.rs"]
mod judge;
mod lines;
#[path = "commands/mutations.rs"]
mod mutations;
#[path = "commands/run.rs"]
mod run;
#[path = "commands/smaller.rs"]
mod smaller;
#[path = "commands/tree.rs"]
mod tree;

use documents::Dice;
use inputs::{Input, Stock, with_options};
use judge::{Fault, Sound};
use run::{End, Workshop};

/// Classes of faults that are made smaller and shown.
const MOST_SHOWN: usize = 60;

/// What all workers found.
#[derive(Default)]
struct Found {
    /// Runs by command and end.
    ends: BTreeMap<(String, String), usize>,
    /// Number of runs and smallest input of each class.
    faults: BTreeMap<Fault, (usize, Input)>,
    /// Longest, s, and largest, bytes.
    seconds: f64,
    memory: u64,
}

/// The executable that was built beside this example.
fn executable() -> Result<PathBuf, Box<dyn Error>> {
    let beside = || Some(std::env::current_exe().ok()?.parent()?.parent()?.join("coldseam"));
    let path = std::env::var_os("COLDSEAM").map(PathBuf::from).or_else(beside).ok_or("no place")?;
    path.canonicalize()
        .map_err(|error| format!("{}: {error}; build it first: cargo build --release", path.display()).into())
}

/// What sound files come to.
fn sound(stock: &Stock, workshop: &Workshop) -> Result<Sound, Box<dyn Error>> {
    let mut sound = Sound::default();
    for (name, text) in &stock.files {
        let mut commands: Vec<&[&str]> = Vec::new();
        if text.contains("\nplan:") {
            commands.extend([&["solve"] as &[&str], &["condensation"], &["review"]]);
        }
        if text.contains("\nbuild_ups:") {
            commands.push(&["uvalue"]);
        }
        if text.contains("\ndwelling:") {
            commands.push(&["dwelling"]);
        }
        for command in commands {
            let climates: [&[&str]; 2] = [&[], &["--climate", "climate.yaml"]];
            let takes_climate = matches!(command[0], "condensation" | "uvalue");
            for more in &climates[..if takes_climate { 2 } else { 1 }] {
                let input = Input { files: Vec::new(), command: with_options(&[command[0], name], more) };
                let run = workshop.run(&input)?;
                if let Ok(document) = serde_json::from_str(&run.printed) {
                    sound.nulls.learn(&document);
                }
                let longest = sound.seconds.entry(command[0].to_owned()).or_default();
                *longest = longest.max(run.seconds);
            }
        }
    }
    Ok(sound)
}

/// One worker: takes number after number.
fn work(
    workshop: &Workshop,
    stock: &Stock,
    sound: &Sound,
    next: &dyn Fn() -> Option<(usize, Dice)>,
    found: &Mutex<Found>,
) -> std::io::Result<()> {
    while let Some((number, mut dice)) = next() {
        let input = stock.input(number, &mut dice);
        let run = workshop.run(&input)?;
        let faults = judge::faults(&input, &run, sound);
        let end = match run.end {
            End::Code(code) => format!("exit code {code}"),
            End::Signal(signal) => format!("signal {signal}"),
            End::Endless => "killed".to_owned(),
        };
        let Ok(mut found) = found.lock() else { return Ok(()) };
        *found.ends.entry((input.command[0].clone(), end)).or_default() += 1;
        found.seconds = found.seconds.max(run.seconds);
        found.memory = found.memory.max(run.memory);
        for fault in faults {
            let (count, smallest) = found.faults.entry(fault).or_insert_with(|| (0, input.clone()));
            *count += 1;
            if input.size() < smallest.size() {
                *smallest = input.clone();
            }
        }
    }
    Ok(())
}

/// Shows a fault with its smallest input, and keeps it.
fn show(
    number: usize,
    (fault, count, input): (&Fault, usize, &Input),
    workshop: &Workshop,
    sound: &Sound,
    folder: Option<&Path>,
) -> Result<(), Box<dyn Error>> {
    // What is slow or large comes and goes while an input shrinks, and takes too long to repeat.
    let input = if ["takes too", "without end"].iter().any(|slow| fault.class.contains(slow)) {
        input.clone()
    } else {
        smaller::smaller(input, &mut |other| {
            Ok(judge::faults(other, &workshop.run(other)?, sound).contains(fault))
        })?
    };
    let run = workshop.run(&input)?;
    let what = if fault.is_doubtful { "to be looked at" } else { "FAULT" };
    let mut text =
        format!("{what} {number}, {count} times: {}\n  coldseam {}\n", fault.class, input.command.join(" "));
    text.push_str(&format!("  {:?}, {:.2} s, {} kB\n", run.end, run.seconds, run.memory / 1024));
    if let Some(folder) = folder {
        let folder = folder.join(format!("{number:02}"));
        fs::create_dir_all(&folder)?;
        for (name, content) in &input.files {
            fs::write(folder.join(name), content)?;
        }
        fs::write(folder.join("fault.txt"), format!("{text}\n{}\n{}", run.said, run.printed))?;
    }
    let mut shown = |head: &str, content: &str| {
        text.push_str(&format!("  {head}:\n"));
        for line in content.lines().take(25) {
            text.push_str(&format!("    {}\n", line.chars().take(200).collect::<String>()));
        }
    };
    input.files.iter().for_each(|(name, content)| shown(name, content));
    shown("said", &run.said.lines().take(8).collect::<Vec<_>>().join("\n"));
    command::print(&text);
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let argument = |index: usize, otherwise: u64| {
        arguments
            .get(index)
            .map_or(Ok(otherwise), |text| text.parse::<u64>().map_err(|error| format!("{text}: {error}")))
    };
    let (count, seed) = (argument(0, 1_000)? as usize, argument(1, 1)?);
    let patience = Duration::from_secs(argument(2, u64::from(u32::MAX))?);
    let folder = arguments.get(3).map(PathBuf::from);
    let (executable, top, stock) = (executable()?, tempfile::tempdir()?, Stock::new());
    let workers = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let workshops: Vec<Workshop> = (0..workers)
        .map(|worker| Workshop::new(&stock, &executable, top.path(), &format!("worker-{worker}")))
        .collect::<Result<_, _>>()?;
    let sound = sound(&stock, &workshops[0])?;
    let (found, taken, start) = (Mutex::new(Found::default()), AtomicUsize::new(0), Instant::now());
    let next = || {
        let number = taken.fetch_add(1, Ordering::Relaxed);
        let is_open = number < count && start.elapsed() < patience;
        is_open
            .then(|| (number, Dice((seed << 40) ^ (number as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15))))
    };
    thread::scope(|scope| {
        let workers: Vec<_> = workshops
            .iter()
            .map(|workshop| scope.spawn(|| work(workshop, &stock, &sound, &next, &found)))
            .collect();
        workers.into_iter().try_for_each(|worker| worker.join().expect("no worker panics"))
    })?;
    let found = found.into_inner()?;
    let runs: usize = found.ends.values().sum();
    let is_clear = |fault: &&Fault| !fault.is_doubtful;
    command::print(&format!(
        "{runs} inputs (seed {seed}) in {:.0} s; longest {:.2} s, largest {} MB; {} kinds of faults, {} to be looked at\n",
        start.elapsed().as_secs_f64(),
        found.seconds,
        found.memory >> 20,
        found.faults.keys().filter(is_clear).count(),
        found.faults.keys().filter(|fault| fault.is_doubtful).count()
    ));
    for ((command, end), count) in &found.ends {
        command::print(&format!("  {command:14}{end:14}{count:7}\n"));
    }
    for (number, (fault, (count, input))) in found.faults.iter().enumerate().take(MOST_SHOWN) {
        show(number + 1, (fault, *count, input), &workshops[0], &sound, folder.as_deref())?;
    }
    std::process::exit(i32::from(found.faults.keys().any(|fault| !fault.is_doubtful)));
}
