//! No success with a number that is not finite: random and mutated documents with fixed seeds. `cargo run
//! --release --example finite` does many more.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::{shipped, validation};
use rayon::prelude::*;

#[path = "common/documents.rs"]
mod documents;

use documents::{Dice, Effort, Fate, Nulls, look, mutated, random, says_not_a_number};

#[test]
fn no_number_is_anything_but_finite() {
    let texts: Vec<&str> =
        shipped::all().map(|file| file.text).chain(validation::CASES.iter().map(|(_, text)| *text)).collect();
    let nulls = Nulls::of(&texts);
    let fates: Vec<Fate> = (0..100_u64)
        .into_par_iter()
        .map(|number| {
            let mut dice = Dice((number + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
            let text = if number % 2 == 0 {
                random(&mut dice)
            } else {
                mutated(texts[dice.roll(texts.len())], &mut dice)
            };
            look(&text, &nulls, if number % 8 < 2 { Effort::Much } else { Effort::Little })
                .unwrap_or_else(|problem| panic!("{problem}\n{text}"))
        })
        .collect();
    let solved = fates.iter().filter(|fate| fate.solved).count();
    assert!(solved > 10, "only {solved} were solved");
}

/// What looks for them finds them.
#[test]
fn what_is_not_finite_is_seen() {
    for text in ["± NaN", "{\"value\": inf}", "Bracket { lower: -inf, upper: 1.0 }", "λ = NaN"] {
        assert!(says_not_a_number(text), "{text}");
    }
    for text in ["information", "Nancy", "inf_", "reinforced concrete", "1e300"] {
        assert!(!says_not_a_number(text), "{text}");
    }
}

/// The executable on mutated files: it says what is wrong or prints numbers; it never breaks off, and writes
/// nothing for what it refuses.
#[test]
fn the_executable_refuses_or_computes() {
    let folder = tempfile::tempdir().unwrap();
    for file in shipped::all() {
        std::fs::write(folder.path().join(format!("{}.yaml", file.name)), file.text).unwrap();
    }
    let texts: Vec<&str> = shipped::all().map(|file| file.text).collect();
    let codes: Vec<i32> = (0..60_u64)
        .into_par_iter()
        .map(|number| {
            let mut dice = Dice((number + 1).wrapping_mul(0xD1B5_4A32_D192_ED03));
            let text = if number % 3 == 0 {
                random(&mut dice)
            } else {
                mutated(texts[dice.roll(texts.len())], &mut dice)
            };
            let (file, out) = (
                folder.path().join(format!("mutated-{number}.yaml")),
                folder.path().join(format!("out-{number}")),
            );
            std::fs::write(&file, &text).unwrap();
            let command = ["solve", "condensation", "uvalue", "dwelling"][number as usize % 4];
            let mut run = assert_cmd::Command::cargo_bin("coldseam").unwrap();
            // Results go below the working directory unless said otherwise.
            run.current_dir(folder.path()).arg(command).arg(&file).args(["--format", "json"]);
            match command {
                "solve" => run.args(["--no-pictures", "--out"]).arg(&out),
                "condensation" => run.arg("--out").arg(&out),
                _ => &mut run,
            };
            let output = run.output().unwrap();
            let [printed, errors] =
                [&output.stdout, &output.stderr].map(|bytes| String::from_utf8_lossy(bytes));
            let code = output.status.code().unwrap_or(-1);
            assert!(
                (0..=3).contains(&code) && !errors.contains("panicked"),
                "{command}: {code}\n{errors}\n{text}"
            );
            assert!(!says_not_a_number(&printed), "{command}:\n{printed}\n{text}");
            if code == 2 {
                assert!(
                    !errors.is_empty() && printed.is_empty() && !out.exists(),
                    "{command}: {errors}\n{text}"
                );
            } else if code < 2 {
                assert!(
                    serde_json::from_str::<serde_json::Value>(&printed).is_ok(),
                    "{command}: {printed}\n{text}"
                );
            }
            code
        })
        .collect();
    let count = |code: i32| codes.iter().filter(|found| **found == code).count();
    assert!(count(0) >= 8 && count(2) >= 8, "{codes:?}");
}
