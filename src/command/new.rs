//! `coldseam new`: writes a shipped case as a starting file.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::Path;

use super::{Exit, complain, print};
use crate::case::did_you_mean;
use crate::shipped::{ELEMENTS, all, find};

/// Lists the shipped cases, or writes the one named to `NAME.yaml` here; an existing file is left alone.
pub fn run(name: Option<&str>) -> Exit {
    let Some(name) = name else {
        let mut text =
            String::from("Ready-made cases; `coldseam new NAME` writes one here as a starting file:\n\n");
        for case in all() {
            text.push_str(&format!("  {:<28} {}\n", case.name, case.summary()));
        }
        print(&text);
        return Exit::Done;
    };
    let name = name.strip_suffix(".yaml").unwrap_or(name);
    let Some(case) = find(name) else {
        let hint = did_you_mean(name, all().map(|case| case.name)).unwrap_or_default();
        complain(&format!("error: there is no shipped case named `{name}`; {hint}\n"));
        return Exit::WrongInput;
    };
    let file = format!("{name}.yaml");
    let written = OpenOptions::new().write(true).create_new(true).open(Path::new(&file));
    match written.and_then(|mut file| file.write_all(case.text.as_bytes())) {
        Ok(()) => {
            let next = match name {
                "dwelling" => format!("coldseam dwelling {file}"),
                "climate" => format!("coldseam uvalue build-ups.yaml --climate {file}"),
                _ if ELEMENTS.iter().any(|known| known.name == name) => format!("coldseam uvalue {file}"),
                _ => format!("coldseam solve {file}"),
            };
            print(&format!("wrote {file}\nnext: edit it, then run `{next}`\n"));
            Exit::Done
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            complain(&format!(
                "error: {file} exists already and was left as it is; move it away or work in another folder\n"
            ));
            Exit::WrongInput
        }
        Err(error) => {
            complain(&format!("error: cannot write {file}: {error}\n"));
            Exit::Failed
        }
    }
}
