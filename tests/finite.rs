//! No success with a number that is not finite: random and mutated documents with fixed seeds. `cargo run --release --example finite` does many more.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use coldseam::{shipped, validation};
use rayon::prelude::*;

#[path = "common/documents.rs"]
mod documents;

use documents::{Dice, Effort, Fate, Nulls, look, mutated, random, says_not_a_number};

#[test]
fn no_number_is_anything_but_finite() {
    let texts: Vec<&str> = shipped::all().map(|file| file.text).chain(validation::CASES.iter().map(|(_, text)| *text)).collect();
    let nulls = Nulls::of(&texts);
    let fates: Vec<Fate> = (0..100_u64)
        .into_par_iter()
        .map(|number| {
            let mut dice = Dice((number + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
            let text = if number % 2 == 0 { random(&mut dice) } else { mutated(texts[dice.roll(texts.len())], &mut dice) };
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
