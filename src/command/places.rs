//! Where results may go: a folder of its own for each file, and nothing that was read is written over.

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

use indexmap::IndexMap;

use super::complain_of;
use crate::case::Sources;
use crate::report::files;

/// True if each file has a folder of its own for its results; false after saying which has not.
pub(super) fn have_folders<P: AsRef<Path>>(paths: &[P]) -> bool {
    let mut problems = Vec::new();
    let mut of_name: IndexMap<&OsStr, Vec<&Path>> = IndexMap::new();
    for path in paths.iter().map(AsRef::as_ref) {
        let name = path.file_stem().unwrap_or_default();
        // What a shell hides, a terminal obeys or a report cannot spell names no folder.
        let is_plain = |name: &str| !name.starts_with('.') && !name.contains(char::is_control);
        if name.to_str().is_none_or(|name| !is_plain(name)) {
            let path = path.display();
            problems.push(format!("no folder for results can be named after {path}; rename the file"));
        }
        of_name.entry(name).or_default().push(path);
    }
    for paths in of_name.values() {
        let [first, second, others @ ..] = paths.as_slice() else { continue };
        let (first, second) = (first.display(), second.display());
        let others = if others.is_empty() { String::new() } else { format!(" ({} more too)", others.len()) };
        problems
            .push(format!("{first} and {second}{others} would write to the same folder; rename one of them"));
    }
    complain_of(&problems);
    problems.is_empty()
}

/// True if folders can be made there: what is on the way is a folder. False after saying what is none.
pub(super) fn is_place_for_results(out: &Path) -> bool {
    let on_the_way = out.ancestors().find(|path| path.symlink_metadata().is_ok());
    let file = on_the_way.filter(|path| !path.is_dir());
    if let Some(file) = file {
        let (out, file) = (out.display(), file.display());
        complain_of(&[format!("no results can go to {out}: {file} is no folder; name another with --out")]);
    }
    file.is_none()
}

/// The files that were read for these texts.
pub(super) fn files_of(sources: &Sources) -> impl Iterator<Item = PathBuf> {
    sources.all().iter().filter(|source| source.name != "--set").map(|source| PathBuf::from(&source.name))
}

/// True if results can go to each of the folders without harm: it is a folder or not there yet, no folder lies
/// in it under the name of a result, and none of the files that were `read` would be written over. False after
/// saying which is not so.
///
/// `is_result` tells the names that this command writes.
pub(super) fn are_free(folders: &[PathBuf], is_result: impl Fn(&str) -> bool, read: &[PathBuf]) -> bool {
    let mut problems = Vec::new();
    for (folder, file) in folders.iter().flat_map(|folder| read.iter().map(move |file| (folder, file))) {
        if files::is_in_the_way(folder, file) {
            let (folder, file) = (folder.display(), file.display());
            problems.push(format!(
                "{file} was read, and lies where results on their way to {folder} are made; move it"
            ));
        }
    }
    let read: Vec<PathBuf> = read.iter().filter_map(|file| entry(file)).collect();
    for folder in folders {
        if folder.exists() && !folder.is_dir() {
            let folder = folder.display();
            problems
                .push(format!("no results can go to {folder}, which is no folder; name another with --out"));
        }
        // What cannot be listed cannot be written either, and is told then.
        for found in fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = found.path();
            if !found.file_name().to_str().is_some_and(&is_result) {
                continue;
            }
            let shown = path.display();
            if path.is_dir() {
                problems.push(format!(
                    "{shown} is a folder where a result of this name would go; move it or name another place with --out"
                ));
            } else if entry(&path).is_some_and(|path| read.contains(&path)) {
                problems.push(format!(
                    "{shown} was read, and a result of this name would replace it; rename it or name another place with --out"
                ));
            }
        }
    }
    complain_of(&problems);
    problems.is_empty()
}

/// The one way to write where a file lies: links on the way are followed, the file itself may be one.
fn entry(file: &Path) -> Option<PathBuf> {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Some(folder.canonicalize().ok()?.join(file.file_name()?))
}
