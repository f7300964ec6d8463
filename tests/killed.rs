//! A run that is killed, finds the disk full or may not write leaves the results of one run, whole: the old ones
//! or the new ones, never some of each, and the next run clears away what is left.
//!
//! Half of the kills come at moments spread over the time that a run takes, half while it writes, told by the
//! folder that it makes beside the place of the results. `KILLS=300 cargo test --release --test killed` does
//! many more than the ordinary test.

#![cfg(unix)]
#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

mod common;

use common::contents;

/// Two runs whose results differ.
const VALUES: [&str; 2] = ["insulation=140", "insulation=150"];
/// Files that belong together: contents by name, for each folder of results.
type Results = BTreeMap<String, BTreeMap<String, Vec<u8>>>;

/// A command that writes, and the folders that it writes to.
struct Job {
    arguments: &'static [&'static str],
    folders: &'static [&'static str],
    /// Files beside the folders, which are written one after the other.
    matrix: bool,
}

const fn job(arguments: &'static [&'static str], folders: &'static [&'static str]) -> Job {
    Job { arguments, folders, matrix: false }
}

const JOBS: [Job; 6] = [
    job(&["solve", "cases/outer-corner.yaml"], &["outer-corner"]),
    job(&["condensation", "cases/outer-corner.yaml", "--climate", "cases/climate.yaml"], &["outer-corner"]),
    job(&["report", "cases/outer-corner.yaml"], &["outer-corner"]),
    job(&["uvalue", "cases/build-ups.yaml", "--climate", "cases/climate.yaml"], &["build-ups"]),
    job(
        &["solve", "cases/outer-corner.yaml", "cases/inner-corner.yaml", "--no-pictures"],
        &["outer-corner", "inner-corner"],
    ),
    Job {
        arguments: &["solve", "cases/outer-corner.yaml", "--no-pictures", "--matrix", "equations.mtx"],
        folders: &["outer-corner"],
        matrix: true,
    },
];

impl Job {
    /// Starts it, with results in `place/out`.
    fn start(&self, value: &str, place: &Path) -> Child {
        let mut program = Command::new(assert_cmd::cargo::cargo_bin("coldseam"));
        program.current_dir(place).arg(self.arguments[0]);
        for argument in &self.arguments[1..] {
            // Cases stand in the project, results in the place.
            let is_ours = argument.starts_with("cases/");
            program.arg(if is_ours { common::root(argument) } else { PathBuf::from(argument) });
        }
        program.args(["--set", value, "--out", "out"]).stdout(Stdio::null()).stderr(Stdio::null());
        program.spawn().unwrap()
    }

    fn finish(&self, value: &str, place: &Path) {
        // A verdict of "not safe" is exit code 1.
        let code = self.start(value, place).wait().unwrap().code();
        assert!(matches!(code, Some(0 | 1)), "{:?}: {code:?}", self.arguments);
    }

    /// What lies in each folder of results.
    fn results(&self, place: &Path) -> Results {
        let folder = |name: &&str| ((*name).to_owned(), contents(&place.join("out").join(name)));
        self.folders.iter().map(folder).collect()
    }

    /// True as soon as a run has begun to write.
    fn writes(&self, place: &Path) -> bool {
        self.folders.iter().any(|name| place.join(format!("out/.{name}.coldseam")).exists())
    }

    /// Waits until a run has begun to write, or has ended.
    fn wait_for_writing(&self, place: &Path, run: &mut Child) {
        while !self.writes(place) && run.try_wait().unwrap().is_none() {
            thread::yield_now();
        }
    }
}

/// Names in a folder, in their order.
fn names(folder: &Path) -> Vec<String> {
    let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    let mut names: Vec<String> = fs::read_dir(folder).unwrap().map(|entry| name(entry.unwrap())).collect();
    names.sort();
    names
}

/// What a killed run may have left of the equations: the matrix of either run, with the right-hand side of the
/// same run or none.
fn check_equations(place: &Path, whole: &[BTreeMap<String, Vec<u8>>], message: &str) {
    let mut found = contents(place);
    found.retain(|name, _| !name.starts_with('.'));
    // Both runs may have the same right-hand side.
    let is_of = |whole: &BTreeMap<String, Vec<u8>>| {
        let is_same = |name: &str| found.get(name).is_none_or(|file| whole[name] == *file);
        is_same("equations.mtx") && is_same("equations.rhs.mtx")
    };
    assert!(found.contains_key("equations.mtx") && whole.iter().any(is_of), "{message}: {:?}", found.keys());
}

fn killed(job: &Job, kills: u32) {
    let place = tempfile::tempdir().unwrap();
    let place = place.path();
    // Both sets of results, and how long it takes: up to where it writes, and from there.
    let (mut whole, mut equations) = (Vec::new(), Vec::new());
    let [mut longest, mut writing] = [Duration::ZERO; 2];
    for value in VALUES {
        let start = Instant::now();
        let mut run = job.start(value, place);
        job.wait_for_writing(place, &mut run);
        let begun = Instant::now();
        assert!(matches!(run.wait().unwrap().code(), Some(0 | 1)), "{:?}", job.arguments);
        longest = longest.max(start.elapsed());
        writing = writing.max(begun.elapsed());
        let results = job.results(place);
        assert!(results.values().all(|files| !files.is_empty()), "{:?}: {:?}", job.arguments, results.keys());
        whole.push(results);
        equations.push(contents(place));
    }
    assert_ne!(whole[0], whole[1], "{:?}", job.arguments);
    for name in job.folders {
        fs::create_dir(place.join("out").join(name).join("letters")).unwrap();
        fs::write(place.join("out").join(name).join("letters/mine.txt"), "mine").unwrap();
    }
    for number in 0..kills {
        let message = format!("{:?}, kill {number} of {kills}", job.arguments);
        let mut run = job.start(VALUES[number as usize % 2], place);
        let part = (f64::from(number) + 0.5) / f64::from(kills);
        if number / 2 % 2 == 0 {
            thread::sleep(longest.mul_f64(part));
        } else {
            job.wait_for_writing(place, &mut run);
            // Twice as long as it takes, since a loaded machine takes longer.
            thread::sleep(writing.mul_f64(2.0 * part));
        }
        run.kill().unwrap();
        run.wait().unwrap();
        for (name, found) in job.results(place) {
            let is_whole = whole.iter().any(|whole| whole[&name] == found);
            assert!(is_whole, "{message}: {name} holds {:?}", found.keys());
        }
        if job.matrix {
            check_equations(place, &equations, &message);
        }
    }
    // What killed runs left is cleared away by the next, and what is the user's is in its place.
    job.finish(VALUES[0], place);
    assert_eq!(job.results(place), whole[0], "{:?}", job.arguments);
    let mut folders: Vec<&str> = job.folders.to_vec();
    folders.sort_unstable();
    assert_eq!(names(&place.join("out")), folders, "{:?}", job.arguments);
    for name in folders {
        let letter = place.join("out").join(name).join("letters/mine.txt");
        assert_eq!(fs::read_to_string(letter).unwrap(), "mine", "{:?}", job.arguments);
    }
    let files: &[&str] = if job.matrix { &["equations.mtx", "equations.rhs.mtx", "out"] } else { &["out"] };
    assert_eq!(names(place), files, "{:?}", job.arguments);
    if job.matrix {
        assert_eq!(contents(place), equations[0]);
    }
}

#[test]
fn a_run_that_is_killed_leaves_old_results_or_new_ones() {
    let kills = std::env::var("KILLS").map_or(24, |kills| kills.parse().expect("a number of kills"));
    for job in &JOBS {
        killed(job, (kills / JOBS.len() as u32).max(1));
    }
}

/// Folders that a killed run left just before and just after its results took their place.
#[test]
fn what_a_killed_run_left_is_taken_up_by_any_command() {
    for left in ["new", "old"] {
        for job in &JOBS {
            let place = tempfile::tempdir().unwrap();
            let out = place.path().join("out");
            job.finish(VALUES[1], place.path());
            for name in job.folders {
                let folder = out.join(format!(".{name}.coldseam/{left}"));
                fs::create_dir_all(folder.join("letters")).unwrap();
                fs::write(folder.join("letters/mine.txt"), "mine").unwrap();
                fs::write(folder.join("results.json"), "half").unwrap();
            }
            fs::write(place.path().join(".equations.mtx.coldseam"), "half").unwrap();
            job.finish(VALUES[0], place.path());
            for name in job.folders {
                let letter = out.join(name).join("letters/mine.txt");
                assert_eq!(fs::read_to_string(letter).unwrap(), "mine", "{:?}", job.arguments);
            }
            assert_eq!(names(&out).len(), job.folders.len(), "{:?}: {:?}", job.arguments, names(&out));
            assert!(!job.matrix || !place.path().join(".equations.mtx.coldseam").exists());
        }
    }
}

/// Runs a command of a shell in a folder, with the executable as `$0`.
fn shell(script: &str, executable: &Path, folder: &Path) -> Output {
    Command::new("sh").args(["-c", script]).arg(executable).current_dir(folder).output().unwrap()
}

/// A limit on the size of files stands for a full disk: what is written beyond it fails.
#[test]
fn a_full_disk_leaves_the_old_results() {
    let place = tempfile::tempdir().unwrap();
    let executable = assert_cmd::cargo::cargo_bin("coldseam");
    fs::copy(common::root("cases/outer-corner.yaml"), place.path().join("outer-corner.yaml")).unwrap();
    let old = &JOBS[0];
    old.finish(VALUES[0], place.path());
    let (before, listed) = (contents(&place.path().join("out/outer-corner")), names(place.path()));
    let fails = |command: &str, blocks: u32| {
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; \"$0\" {command}");
        let output = shell(&script, &executable, place.path());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{command}, {blocks} blocks: {said}");
        assert!(said.contains("error: cannot write"), "{command}, {blocks} blocks: {said}");
        assert_eq!(contents(&place.path().join("out/outer-corner")), before, "{command}, {blocks} blocks");
        assert_eq!(names(place.path()), listed, "{command}, {blocks} blocks");
        assert_eq!(names(&place.path().join("out")), ["outer-corner"], "{command}, {blocks} blocks");
    };
    // Blocks of 512 or 1024 bytes: nothing, the first file at most, and some of them.
    for blocks in [0, 4, 16] {
        for command in ["solve", "condensation", "report"] {
            fails(&format!("{command} outer-corner.yaml"), blocks);
        }
    }
    fails("new plinth", 0);
}

/// Whoever may write everywhere takes another user's rights for the run; none where that cannot be done.
fn without_rights(place: &Path) -> Option<String> {
    if fs::metadata(place).unwrap().uid() != 0 {
        return Some(String::new());
    }
    let prefix = "setpriv --reuid 65534 --regid 65534 --clear-groups ";
    let works = shell(&format!("{prefix} true"), Path::new("sh"), place).status.success();
    works.then(|| prefix.to_owned())
}

#[test]
fn a_folder_that_may_not_be_written_stays_as_it_is() {
    let place = tempfile::tempdir().unwrap();
    let place = place.path();
    let Some(prefix) = without_rights(place) else {
        println!("passed over: all may be written here, and there is no setpriv to give that up");
        return;
    };
    // Where another user can reach them.
    let executable = place.join("coldseam");
    fs::copy(assert_cmd::cargo::cargo_bin("coldseam"), &executable).unwrap();
    fs::copy(common::root("cases/outer-corner.yaml"), place.join("outer-corner.yaml")).unwrap();
    let allow = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    allow(place, 0o755);
    JOBS[0].finish(VALUES[0], place);
    let out = place.join("out");
    let before = contents(&out.join("outer-corner"));
    // The folder of all results, with results and without; and the place of the matrix.
    allow(&out, 0o555);
    let run = |command: &str| {
        let output = shell(&format!("{prefix}\"$0\" {command}"), &executable, place);
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for command in ["solve", "condensation", "report"] {
        let (code, said) = run(&format!("{command} outer-corner.yaml --set insulation=150"));
        assert_eq!(code, Some(3), "{command}: {said}");
        assert!(said.contains("error: cannot write results to out/outer-corner"), "{command}: {said}");
        assert_eq!(contents(&out.join("outer-corner")), before, "{command}");
        assert_eq!(names(&out), ["outer-corner"], "{command}");
    }
    let (code, said) = run("solve outer-corner.yaml --out out/new");
    assert_eq!((code, said.contains("error: cannot write results to")), (Some(3), true), "{said}");
    assert_eq!(names(&out), ["outer-corner"]);
    allow(&out, 0o755);
    // A folder of results that its owner has locked: nothing is written into it, and nothing is left beside it.
    fs::write(out.join("outer-corner/notes.txt"), "mine").unwrap();
    let before = contents(&out.join("outer-corner"));
    if !prefix.is_empty() {
        for path in [out.clone(), out.join("outer-corner")] {
            std::os::unix::fs::chown(path, Some(65534), Some(65534)).unwrap();
        }
    }
    allow(&out.join("outer-corner"), 0o555);
    let (code, said) = run("solve outer-corner.yaml --set insulation=150");
    assert_eq!((code, said.contains("error: cannot write results to")), (Some(3), true), "{said}");
    assert_eq!(contents(&out.join("outer-corner")), before);
    assert_eq!(names(&out), ["outer-corner"]);
    // Unlocked again, it takes new results.
    allow(&out.join("outer-corner"), 0o755);
    let (code, said) = run("solve outer-corner.yaml --set insulation=150");
    assert_eq!(code, Some(0), "{said}");
    assert_eq!(fs::read_to_string(out.join("outer-corner/notes.txt")).unwrap(), "mine");
    assert_ne!(contents(&out.join("outer-corner")), before);
    assert_eq!(names(&out), ["outer-corner"]);
}
