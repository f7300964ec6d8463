//! `coldseam new`: writes shipped cases as starting files.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Write};

use super::{Exit, complain, print, unwritten};
use crate::case::did_you_mean;
use crate::shipped::{ELEMENTS, ShippedCase, all, find};

/// Lists the shipped cases, or writes those named to `NAME.yaml` here, with the files that they take from; an
/// existing file is left alone. Where a file of a name given exists, or there is none of that name, nothing is
/// written.
pub fn run(names: &[String]) -> Exit {
    if names.is_empty() {
        let mut text =
            String::from("Ready-made cases; `coldseam new NAME` writes one here as a starting file:\n\n");
        for case in all() {
            text.push_str(&format!("  {:<28} {}\n", case.name, case.summary()));
        }
        print(&text);
        return Exit::Done;
    }
    let mut wanted: Vec<&ShippedCase> = Vec::new();
    let mut is_complete = true;
    for name in names {
        let name = name.strip_suffix(".yaml").unwrap_or(name);
        if let Some(case) = find(name) {
            wanted.push(case);
            if fs::symlink_metadata(file_of(case)).is_ok() {
                complain(&format!(
                    "error: {} exists already and was left as it is; move it away or work in another folder\n",
                    file_of(case)
                ));
                is_complete = false;
            }
        } else {
            let hint = did_you_mean(name, all().map(|case| case.name)).unwrap_or_default();
            complain(&format!("error: there is no shipped case named `{name}`; {hint}\n"));
            is_complete = false;
        }
    }
    if !is_complete {
        return unwritten(Exit::WrongInput);
    }
    // What they need may lie here already, as changed by its owner.
    let mut all: Vec<&ShippedCase> = Vec::new();
    for case in wanted.iter().copied().chain(wanted.iter().flat_map(|case| case.needs())) {
        if !all.iter().any(|known| known.name == case.name) {
            all.push(case);
        }
    }
    for case in all {
        let file = file_of(case);
        let written = OpenOptions::new().write(true).create_new(true).open(&file);
        // Half a file would be left as it is by the next run.
        let fill = |mut open: File| {
            open.write_all(case.text.as_bytes()).inspect_err(|_| {
                // The error that counts is the first one.
                let _ = fs::remove_file(&file);
            })
        };
        match written.and_then(fill) {
            Ok(()) => print(&format!("wrote {file}\n")),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                print(&format!("{file} exists already and was left as it is\n"));
            }
            Err(error) => {
                complain(&format!("error: cannot write {file}: {error}\n"));
                return Exit::Failed;
            }
        }
    }
    if let Some(first) = wanted.first() {
        print(&format!("next: edit it, then run `{}`\n", next(first)));
    }
    Exit::Done
}

fn file_of(case: &ShippedCase) -> String {
    format!("{}.yaml", case.name)
}

/// What is done with it.
fn next(case: &ShippedCase) -> String {
    let file = file_of(case);
    match case.name {
        "dwelling" => format!("coldseam dwelling {file}"),
        "climate" => format!("coldseam uvalue build-ups.yaml --climate {file}"),
        name if ELEMENTS.iter().any(|known| known.name == name) => format!("coldseam uvalue {file}"),
        _ => format!("coldseam solve {file}"),
    }
}
