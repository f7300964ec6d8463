//! What is written is whole: the results of one run or of the other, and nothing of the user's is touched.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::process::{Command as Program, Stdio};
use std::time::Duration;

use assert_cmd::Command;

mod common;

use common::contents;

fn coldseam() -> Command {
    Command::cargo_bin("coldseam").unwrap()
}

fn corner() -> String {
    common::root("cases/outer-corner.yaml").display().to_string()
}

#[test]
fn commands_that_write_at_once_do_not_lose_each_others_files() {
    let out = tempfile::tempdir().unwrap();
    for _ in 0..3 {
        let commands = ["solve", "condensation", "report"];
        let runs: Vec<_> = commands
            .iter()
            .map(|command| {
                let mut program = Program::new(assert_cmd::cargo::cargo_bin("coldseam"));
                program.arg(command).arg(corner()).arg("--out").arg(out.path()).stdout(Stdio::null());
                program.spawn().unwrap()
            })
            .collect();
        for mut run in runs {
            assert!(run.wait().unwrap().success());
        }
        let found = contents(&out.path().join("outer-corner"));
        for name in ["results.json", "summary.txt", "plan.png", "condensation.json", "report.html"] {
            assert!(found.contains_key(name), "{name} in {:?}", found.keys());
        }
        fs::remove_dir_all(out.path().join("outer-corner")).unwrap();
    }
}

#[test]
fn what_is_the_users_stays_and_pictures_of_an_earlier_run_go() {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("outer-corner");
    let run = |more: &[&str]| {
        coldseam().arg("solve").arg(corner()).args(more).arg("--out").arg(out.path()).assert().success();
    };
    run(&[]);
    fs::create_dir(folder.join("letters")).unwrap();
    fs::write(folder.join("letters/to-the-council.txt"), "mine").unwrap();
    fs::write(folder.join("notes.txt"), "mine").unwrap();
    run(&["--set", "insulation=150", "--no-pictures"]);
    let found = contents(&folder);
    let names: Vec<&str> = found.keys().map(String::as_str).collect();
    assert_eq!(names, ["notes.txt", "profile.csv", "results.json", "summary.txt"]);
    assert_eq!(fs::read_to_string(folder.join("letters/to-the-council.txt")).unwrap(), "mine");
}

#[test]
fn what_only_looks_like_a_result_stays() {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("outer-corner");
    let run = || {
        let mut program = coldseam();
        program.arg("solve").arg(corner()).args(["--no-pictures", "--out"]).arg(out.path()).output().unwrap()
    };
    // A picture where no run has written, and a folder under each name that a run writes.
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("plan.png"), "mine").unwrap();
    assert_eq!(run().status.code(), Some(0));
    assert_eq!(fs::read_to_string(folder.join("plan.png")).unwrap(), "mine");
    for name in ["results.json", "summary.txt", "profile.csv"] {
        fs::remove_dir_all(&folder).unwrap();
        fs::create_dir_all(folder.join(name)).unwrap();
        fs::write(folder.join(name).join("mine.txt"), "mine").unwrap();
        let output = run();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(&format!("{name} is a folder where a result")), "{said}");
        assert_eq!(fs::read_to_string(folder.join(name).join("mine.txt")).unwrap(), "mine");
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1, "nothing is left of the run");
    }
}

/// Whatever a command reads stays, under every name that it writes: the case itself, what it includes, the
/// climate, and the case of another folder of the same run.
#[test]
fn nothing_that_is_read_is_written_over() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    let corner_text = fs::read_to_string(corner()).unwrap();
    let climate_text = fs::read_to_string(common::root("cases/climate.yaml")).unwrap();
    let elements_text = fs::read_to_string(common::root("cases/build-ups.yaml")).unwrap();
    const OWN: &str = "coldseam: 1\nmaterials: { grey: { conductivity: 0.5, source: test } }\n";
    // What each command writes for a file `all`, found by running it.
    for command in ["solve", "condensation", "report", "uvalue"] {
        let text = if command == "uvalue" { &elements_text } else { &corner_text };
        let first = place.path().join("all.yaml");
        fs::write(&first, text).unwrap();
        let climate = place.path().join("year.yaml");
        fs::write(&climate, &climate_text).unwrap();
        let takes_climate = matches!(command, "condensation" | "uvalue");
        let run = |files: &[&std::path::Path], climate: Option<&std::path::Path>, out: &std::path::Path| {
            let mut program = coldseam();
            program.arg(command).args(files).arg("--out").arg(out);
            if let Some(climate) = climate {
                program.arg("--climate").arg(climate);
            }
            program.output().unwrap()
        };
        let _ = fs::remove_dir_all(&out);
        run(&[&first], Some(climate.as_path()).filter(|_| takes_climate), &out);
        let names: Vec<String> = contents(&out.join("all")).into_keys().collect();
        assert!(!names.is_empty(), "{command}");
        let stays = |lying: &std::path::Path, output: &std::process::Output, text: &str| {
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(2), "{command} {}: {said}", lying.display());
            assert!(said.contains("was read, and a result of this name would replace it"), "{said}");
            assert!(said.contains("nothing was written"), "{said}");
            assert_eq!(fs::read_to_string(lying).unwrap(), text);
        };
        for name in &names {
            fs::remove_dir_all(&out).unwrap();
            // The case in its own folder: `summary.txt` goes to `summary/`.
            let stem = std::path::Path::new(name).file_stem().unwrap();
            let own = out.join(stem).join(name);
            fs::create_dir_all(own.parent().unwrap()).unwrap();
            fs::write(&own, text).unwrap();
            stays(&own, &run(&[&own], None, &out), text);
            // Where results are made on their way.
            let passing = out.join(".all.coldseam/new/all.yaml");
            fs::create_dir_all(passing.parent().unwrap()).unwrap();
            fs::write(&passing, text).unwrap();
            let output = run(&[&passing], None, &out);
            assert_eq!(output.status.code(), Some(2), "{command}");
            assert_eq!(&fs::read_to_string(&passing).unwrap(), text);
            fs::remove_dir_all(passing.parent().unwrap()).unwrap();
            // In the folder of another case, which a link leads to.
            let lying = out.join("all").join(name);
            fs::create_dir_all(lying.parent().unwrap()).unwrap();
            fs::write(&lying, text).unwrap();
            let link = place.path().join("link");
            let _ = fs::remove_file(&link);
            std::os::unix::fs::symlink(&out, &link).unwrap();
            stays(&lying, &run(&[&first, &lying], None, &link), text);
            // What the case includes.
            fs::write(&lying, OWN).unwrap();
            let including = place.path().join("deep").join("all.yaml");
            fs::create_dir_all(including.parent().unwrap()).unwrap();
            fs::write(&including, format!("include: ../out/all/{name}\n{text}")).unwrap();
            let output = run(&[&including], None, &out);
            stays(&lying, &output, OWN);
            if takes_climate {
                fs::write(&lying, &climate_text).unwrap();
                stays(&lying, &run(&[&first], Some(&lying), &out), &climate_text);
            }
        }
    }
}

#[test]
fn what_cannot_be_written_is_told_and_nothing_is_left_of_it() {
    let out = tempfile::tempdir().unwrap();
    fs::write(out.path().join("outer-corner"), "a file of the user's").unwrap();
    let output = coldseam().arg("solve").arg(corner()).arg("--out").arg(out.path()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("outer-corner, which is no folder"));
    assert_eq!(fs::read_to_string(out.path().join("outer-corner")).unwrap(), "a file of the user's");
    assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1);
}

#[test]
fn one_wrong_case_leaves_all_unwritten() {
    for command in ["solve", "condensation", "report"] {
        let out = tempfile::tempdir().unwrap();
        let wrong = out.path().join("wrong.yaml");
        // Read without fault, and refused when it is painted: nothing leads from one side to the other.
        let text = "coldseam: 1\ntitle: two leaves\nenvironments:\n  room: { role: internal, temperature: 20, humidity: 50 }\n  outside: { role: external, temperature: 0 }\nextent: { x: [0, 900], y: [0, 500] }\nplan:\n  - { space: room, x: [0, 300] }\n  - { space: outside, x: [600, 900] }\n  - { fill: softwood, x: [300, 400], y: [0, 500] }\n  - { fill: softwood, x: [500, 600], y: [0, 500] }\n";
        fs::write(&wrong, text).unwrap();
        let results = out.path().join("out");
        let output =
            coldseam().arg(command).arg(corner()).arg(&wrong).arg("--out").arg(&results).output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{command}: {said}");
        assert!(said.contains("no solid leads from one temperature to another"), "{said}");
        assert!(!results.exists(), "{command}: {said}");
    }
}

#[test]
fn names_that_are_no_folders_write_nowhere() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("deep/out");
    for name in ["...yaml", "..yaml", ".yaml", ".hidden.yaml", "a\u{1b}[31m.yaml", "two\nlines.yaml"] {
        let file = place.path().join(name);
        fs::copy(corner(), &file).unwrap();
        for command in ["solve", "condensation", "report", "uvalue"] {
            let output = coldseam().arg(command).arg(&file).arg("--out").arg(&out).output().unwrap();
            assert_eq!(output.status.code(), Some(2), "{command} {name}");
            let said = String::from_utf8(output.stderr).unwrap();
            assert!(said.contains("no folder for results can be named after"), "{said}");
            assert!(!place.path().join("deep").exists());
        }
        fs::remove_file(file).unwrap();
    }
}

/// One file under several spellings of its name, alone and among others of that name.
#[test]
fn a_file_that_is_named_twice_is_told_as_one() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir(place.path().join("other")).unwrap();
    for to in ["case.yaml", "other/case.yaml"] {
        fs::copy(corner(), place.path().join(to)).unwrap();
    }
    for (files, expected) in [
        (&["case.yaml", "case.yaml"][..], "case.yaml is named 2 times; name it once"),
        (&["case.yaml", "./case.yaml", "other/../case.yaml"], "case.yaml is named 3 times; name it once"),
        (&["case.yaml", "./case.yaml", "other/case.yaml"], "case.yaml and other/case.yaml would write to"),
    ] {
        for command in ["solve", "condensation", "report"] {
            let output = coldseam().current_dir(place.path()).arg(command).args(files).output().unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{command}: {said}");
            assert!(said.contains(expected) && said.ends_with("nothing was written\n"), "{command}: {said}");
            assert!(!place.path().join("out").exists());
        }
    }
}

/// The shell's own folder is one that results replace: the run goes on, and says how to get into the new one.
#[test]
fn results_may_go_to_the_working_directory() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("outer-corner");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("notes.txt"), "mine").unwrap();
    let inner = common::root("cases/inner-corner.yaml");
    for (command, result) in
        [("solve", "results.json"), ("condensation", "condensation.json"), ("report", "report.html")]
    {
        let mut program = coldseam();
        program.current_dir(&folder).arg(command).arg(corner()).arg(&inner).args(["--out", ".."]);
        let output = program.output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        // What follows finds its way although the folder that the run began in is gone.
        assert_eq!(output.status.code(), Some(0), "{command}: {said}");
        assert!(said.contains("`cd .` leads your shell into it"), "{command}: {said}");
        for name in ["outer-corner", "inner-corner"] {
            assert!(place.path().join(name).join(result).is_file(), "{command} {name}");
        }
        assert_eq!(fs::read_to_string(folder.join("notes.txt")).unwrap(), "mine");
    }
    // The advice holds.
    let executable = assert_cmd::cargo::cargo_bin("coldseam");
    let script = format!(
        "'{}' solve '{}' --no-pictures --out .. 2>/dev/null >/dev/null && cd . && cat results.json",
        executable.display(),
        corner()
    );
    let shell = Program::new("sh").args(["-c", &script]).current_dir(&folder).output().unwrap();
    assert!(shell.stdout.starts_with(b"{"), "{}", String::from_utf8_lossy(&shell.stderr));
    // Elsewhere nothing is said.
    let output = coldseam()
        .current_dir(place.path())
        .args(["solve", "--no-pictures", "--out", "."])
        .arg(corner())
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}

/// Folders of the user's beside the results, under whatever name, are neither emptied nor taken for results.
#[test]
fn folders_beside_the_results_stay() {
    let out = tempfile::tempdir().unwrap();
    let names = [".outer-corner.new", ".outer-corner.old", ".outer-corner.coldseam", "outer-corner.new"];
    for name in names {
        fs::create_dir_all(out.path().join(name).join("letters")).unwrap();
        fs::write(out.path().join(name).join("letter.txt"), "mine").unwrap();
        fs::write(out.path().join(name).join("letters/letter.txt"), "mine").unwrap();
    }
    for command in ["solve", "condensation", "report"] {
        coldseam().arg(command).arg(corner()).arg("--out").arg(out.path()).assert().success();
        for name in names {
            let folder = out.path().join(name);
            assert_eq!(fs::read_to_string(folder.join("letter.txt")).unwrap(), "mine", "{command} {name}");
            assert_eq!(fs::read_to_string(folder.join("letters/letter.txt")).unwrap(), "mine");
            assert_eq!(fs::read_dir(folder).unwrap().count(), 2, "{command} {name}");
        }
        assert!(!out.path().join("outer-corner/letters").exists());
    }
}

#[test]
fn many_files_of_one_name_are_told_once() {
    let place = tempfile::tempdir().unwrap();
    let corners = (0..1_000).map(|number| {
        let folder = place.path().join(number.to_string());
        fs::create_dir(&folder).unwrap();
        fs::copy(corner(), folder.join("case.yaml")).unwrap();
        folder.join("case.yaml")
    });
    let output = coldseam().arg("solve").args(corners).arg("--out").arg(place.path()).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("(998 more too) would write to the same folder"), "{said}");
    assert_eq!(said.lines().count(), 2, "{said}");
}

#[test]
fn control_characters_of_names_do_not_reach_the_terminal() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("red\u{1b}[31m\u{7}.yaml");
    fs::copy(corner(), &file).unwrap();
    let missing = place.path().join("no\u{1b}[31m.yaml");
    let solved = coldseam()
        .args(["solve", "--no-pictures"])
        .arg(&file)
        .arg("--out")
        .arg(place.path().join("out"))
        .output();
    let refused = coldseam().arg("solve").arg(&missing).output();
    let reviewed = coldseam().arg("review").arg(&file).output();
    for output in [solved, refused, reviewed] {
        let output = output.unwrap();
        for text in [output.stdout, output.stderr] {
            let text = String::from_utf8(text).unwrap();
            assert!(!text.contains(['\u{1b}', '\u{7}']), "{text:?}");
        }
    }
}

#[cfg(target_os = "linux")]
mod linux {
    use super::*;
    use std::os::unix::fs::symlink;

    /// A device that is always full.
    fn full() -> Stdio {
        Stdio::from(fs::OpenOptions::new().write(true).open("/dev/full").unwrap())
    }

    #[test]
    fn results_that_nobody_could_take_are_a_failure() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path().display().to_string();
        let corner = corner();
        let commands: [&[&str]; 9] = [
            &["solve", &corner, "--no-pictures", "--out", &out],
            &["condensation", &corner, "--no-pictures", "--out", &out],
            &["report", &corner, "--out", &out],
            &["review", &corner],
            &["materials"],
            &["keys"],
            &["schema"],
            &["--help"],
            &[],
        ];
        for command in commands {
            let mut program = Program::new(assert_cmd::cargo::cargo_bin("coldseam"));
            let output = program.args(command).stdout(full()).stderr(Stdio::piped()).output().unwrap();
            assert_eq!(output.status.code(), Some(3), "{command:?}");
            let said = String::from_utf8(output.stderr).unwrap();
            assert!(said.contains("cannot write to standard output"), "{command:?}: {said}");
        }
    }

    #[test]
    fn a_reader_that_went_away_changes_neither_files_nor_the_exit_code() {
        let out = tempfile::tempdir().unwrap();
        let run = |command: &str, cases: &[&str]| {
            let mut program = Program::new(assert_cmd::cargo::cargo_bin("coldseam"));
            let cases = cases.iter().map(|name| common::root(&format!("cases/{name}.yaml")));
            program.arg(command).args(cases).arg("--out").arg(out.path());
            let mut child = program.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
            drop(child.stdout.take());
            let output = child.wait_with_output().unwrap();
            (output.status.code(), String::from_utf8(output.stderr).unwrap())
        };
        let (code, said) = run("solve", &["outer-corner", "inner-corner"]);
        assert_eq!((code, said.as_str()), (Some(0), ""));
        for name in ["outer-corner", "inner-corner"] {
            assert!(out.path().join(name).join("results.json").exists());
        }
        // A "no" stays one.
        let whole = |name: &str| {
            let case = common::root(&format!("cases/{name}.yaml"));
            coldseam()
                .arg("condensation")
                .arg(case)
                .arg("--out")
                .arg(out.path())
                .output()
                .unwrap()
                .status
                .code()
        };
        assert_eq!(run("condensation", &["balcony-slab"]).0, whole("balcony-slab"));
    }

    #[test]
    fn only_ordinary_files_of_the_folder_are_reviewed() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("submissions");
        fs::create_dir(&folder).unwrap();
        fs::copy(corner(), folder.join("corner.yaml")).unwrap();
        fs::write(place.path().join("secret.yaml"), "secret: do not print this\n").unwrap();
        symlink(place.path().join("secret.yaml"), folder.join("link.yaml")).unwrap();
        symlink("corner.yaml", folder.join("own.yaml")).unwrap();
        symlink("/dev/zero", folder.join("endless.html")).unwrap();
        let fifo = folder.join("pipe.yaml");
        assert!(Program::new("mkfifo").arg(&fifo).status().unwrap().success());
        let output = coldseam().arg("review").arg(&folder).timeout(Duration::from_mins(1)).output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(!said.contains("secret: do"), "{said}");
        for name in ["link.yaml", "endless.html", "pipe.yaml"] {
            assert!(
                said.contains(&format!("{name} is not an ordinary file of its folder")),
                "{name}: {said}"
            );
        }
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(text.contains("corner.yaml: ") && text.contains("own.yaml: "), "{text}");
        // Named by itself it is refused as well.
        for command in ["review", "solve", "uvalue", "dwelling"] {
            let output = coldseam().arg(command).arg(&fifo).timeout(Duration::from_mins(1)).output().unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(
                (output.status.code(), said.contains("not an ordinary file")),
                (Some(2), true),
                "{said}"
            );
        }
    }
}
