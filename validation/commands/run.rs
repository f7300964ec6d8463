//! The executable as a process, in a folder of its own: what it prints, its exit code, what it took and what it
//! left in the folder.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::inputs::{Input, Stock};

/// A process that takes longer is killed, s of processors.
const MOST_SECONDS: f64 = 30.0;
/// And one that waits so long.
const PATIENCE: Duration = Duration::from_mins(5);
/// Clock ticks a second of `/proc` (Linux: `sysconf(_SC_CLK_TCK)` is 100 on every common machine).
const TICKS: f64 = 100.0;

/// How a process ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    Code(i32),
    Signal(i32),
    /// It was killed, since it did not end.
    Endless,
}

/// What a process did.
#[derive(Debug)]
pub struct Run {
    pub end: End,
    pub printed: String,
    pub said: String,
    /// Time of processors, s: other work on the machine does not count.
    pub seconds: f64,
    /// Most memory held at once, bytes: the peak as the system kept it, asked for every few milliseconds.
    pub memory: u64,
    /// Names that are new in the folder.
    pub left: Vec<String>,
}

/// A folder with all shipped files, in which one process after the other runs.
pub struct Workshop<'a> {
    stock: &'a Stock,
    executable: &'a Path,
    folder: PathBuf,
    /// Beside the folder, so that they are none of its files.
    streams: [PathBuf; 2],
}

impl<'a> Workshop<'a> {
    /// A new folder below `top`.
    pub fn new(stock: &'a Stock, executable: &'a Path, top: &Path, name: &str) -> io::Result<Self> {
        let folder = top.join(name);
        fs::create_dir_all(&folder)?;
        for (file, text) in &stock.files {
            fs::write(folder.join(file), text)?;
        }
        let streams = ["out", "err"].map(|ending| top.join(format!("{name}.{ending}")));
        Ok(Self { stock, executable, folder, streams })
    }

    /// Runs an input; afterwards the folder is as it was.
    pub fn run(&self, input: &Input) -> io::Result<Run> {
        for (name, text) in &input.files {
            fs::write(self.folder.join(name), text)?;
        }
        let before = self.names()?;
        let run = self.process(input);
        let left: Vec<String> = self.names()?.difference(&before).cloned().collect();
        for name in &left {
            let path = self.folder.join(name);
            if path.is_dir() {
                fs::remove_dir_all(path)?;
            } else if path.exists() {
                fs::remove_file(path)?;
            }
        }
        for (name, _) in &input.files {
            match self.stock.files.iter().find(|(file, _)| file == name) {
                Some((_, text)) => fs::write(self.folder.join(name), text)?,
                None => fs::remove_file(self.folder.join(name))?,
            }
        }
        Ok(Run { left, ..run? })
    }

    /// All names in the folder and in the folders of results.
    fn names(&self) -> io::Result<BTreeSet<String>> {
        let own = |entry: io::Result<fs::DirEntry>| Ok(entry?.file_name().to_string_lossy().into_owned());
        let mut names: BTreeSet<String> = fs::read_dir(&self.folder)?.map(own).collect::<io::Result<_>>()?;
        if let Ok(entries) = fs::read_dir(self.folder.join("out")) {
            let results: BTreeSet<String> = entries.map(own).collect::<io::Result<_>>()?;
            // A name that begins with a dot is what a run that ended should have cleared away.
            if results.iter().any(|name| name.starts_with('.')) {
                names.insert("out/.unfinished".to_owned());
            }
        }
        Ok(names)
    }

    fn process(&self, input: &Input) -> io::Result<Run> {
        let mut program = Command::new(self.executable);
        program.args(&input.command).current_dir(&self.folder).stdin(Stdio::null());
        // Several processes run at once, and the results do not depend on threads.
        program.env("RAYON_NUM_THREADS", "1").env("NO_COLOR", "1");
        program.stdout(File::create(&self.streams[0])?).stderr(File::create(&self.streams[1])?);
        let start = Instant::now();
        let mut child = program.spawn()?;
        let (mut memory, mut seconds) = (0, 0.0_f64);
        let end = loop {
            if let Some(status) = child.try_wait()? {
                break status.code().map_or_else(|| End::Signal(status.signal().unwrap_or(0)), End::Code);
            }
            if seconds > MOST_SECONDS || start.elapsed() > PATIENCE {
                child.kill()?;
                child.wait()?;
                break End::Endless;
            }
            memory = peak(child.id()).unwrap_or(memory);
            seconds = taken(child.id()).unwrap_or(seconds);
            thread::sleep(Duration::from_millis(if start.elapsed().as_millis() < 20 { 1 } else { 4 }));
        };
        let text = |path: &Path| fs::read(path).map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        Ok(Run {
            end,
            printed: text(&self.streams[0])?,
            said: text(&self.streams[1])?,
            seconds,
            memory,
            left: Vec::new(),
        })
    }
}

/// The most memory that a process held, bytes.
fn peak(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? * 1024)
}

/// What a process took of all processors, s.
fn taken(process: u32) -> Option<f64> {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    // The name, in parentheses, may hold blanks; user and system time are the 12th and 13th after it.
    let fields: Vec<&str> = stat[stat.rfind(')')? + 1..].split_whitespace().collect();
    let ticks = |index: usize| fields.get(index)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / TICKS)
}
