//! Every package that the program is built from carries a permissive licence.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::process::Command;

use serde_json::Value;

const PERMISSIVE: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unlicense",
    "CC0-1.0",
    "0BSD",
    "Unicode-3.0",
    "BSL-1.0",
    "MIT-0",
];

/// True if the expression can be satisfied by permissive licences alone. `A/B` is the old way of writing `A
/// OR B`.
fn is_permissive(expression: &str) -> bool {
    let flat = expression.replace(['(', ')'], " ").replace('/', " OR ");
    // Without precedence: every AND part needs one permissive alternative among its ORs.
    flat.split(" AND ").all(|part| part.split(" OR ").any(|licence| PERMISSIVE.contains(&licence.trim())))
}

#[test]
fn all_dependencies_are_permissively_licensed() {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--manifest-path"])
        .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    assert!(packages.len() > 30);
    for package in packages {
        let licence = package["license"].as_str().unwrap_or("none stated");
        assert!(is_permissive(licence), "{} is under {licence}", package["name"]);
    }
}

#[test]
fn copyleft_is_recognised() {
    assert!(
        is_permissive("MIT OR GPL-3.0")
            && is_permissive("(MIT OR Apache-2.0) AND Unicode-3.0")
            && is_permissive("Unlicense/MIT")
    );
    assert!(
        !is_permissive("GPL-3.0-only")
            && !is_permissive("MIT AND LGPL-2.1-only")
            && !is_permissive("MPL-2.0")
    );
}
