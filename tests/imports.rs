//! Imports run one way: each module of the list in DEVELOPERS.md takes from those above it only.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

mod common;

/// The modules in the order of the list, with those of one line after each other.
fn order() -> Vec<String> {
    let text = fs::read_to_string(common::root("DEVELOPERS.md")).unwrap();
    let list = text.split("```text\n").nth(1).unwrap().split("```").next().unwrap();
    let lines = list.lines().filter(|line| !line.starts_with(' '));
    let names = lines.flat_map(|line| line.split("  ").next().unwrap().split(','));
    names
        .map(|name| {
            name.trim()
                .trim_end_matches('/')
                .split_whitespace()
                .next()
                .unwrap()
                .trim_end_matches('/')
                .to_owned()
        })
        .collect()
}

/// What the code of a folder or file takes from which module of the crate.
fn imports(path: &Path, found: &mut BTreeSet<(String, String)>) {
    if path.is_dir() {
        for entry in fs::read_dir(path).unwrap() {
            imports(&entry.unwrap().path(), found);
        }
        return;
    }
    let text = fs::read_to_string(path).unwrap();
    for line in text.lines().filter(|line| !line.trim_start().starts_with("//")) {
        for (at, _) in line.match_indices("crate::") {
            let rest = &line[at + "crate::".len()..];
            // A list of modules in braces would hide what it takes.
            assert!(!rest.starts_with('{'), "{}: {line}", path.display());
            let name: String =
                rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
            found.insert((name, path.display().to_string()));
        }
    }
}

#[test]
fn modules_import_from_those_above_them_only() {
    let order = order();
    let src = common::root("src");
    let modules: BTreeSet<String> = fs::read_dir(&src)
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
        .filter(|name| name != "main" && name != "lib")
        .collect();
    assert_eq!(order.iter().cloned().collect::<BTreeSet<_>>(), modules, "the list and src differ");
    let mut arrows = 0;
    for (place, module) in order.iter().enumerate() {
        let path = [src.join(module), src.join(format!("{module}.rs"))]
            .into_iter()
            .find(|path| path.exists())
            .unwrap();
        let mut taken = BTreeSet::new();
        imports(&path, &mut taken);
        for (other, file) in taken.iter().filter(|(other, _)| other != module) {
            let above = order.iter().position(|known| known == other);
            assert!(
                above.is_some_and(|above| above < place),
                "{file} takes from {other}, which is not above {module} in DEVELOPERS.md"
            );
            arrows += 1;
        }
    }
    assert!(arrows > 100, "{arrows} imports seen");
}
