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
    let mut problems = without_names(paths);
    let mut of_name: IndexMap<&OsStr, Vec<&Path>> = IndexMap::new();
    for path in paths.iter().map(AsRef::as_ref) {
        of_name.entry(path.file_stem().unwrap_or_default()).or_default().push(path);
    }
    for paths in of_name.values().filter(|paths| paths.len() > 1) {
        problems.push(same_folder(paths));
    }
    complain_of(&problems);
    problems.is_empty()
}

/// What is wrong with files of one name: they are several, or one that is named several times.
fn same_folder(paths: &[&Path]) -> String {
    let mut known: Vec<Option<PathBuf>> = Vec::new();
    let mut is_new = |path: &&&Path| {
        let place = entry(path);
        let is_new = place.is_none() || !known.contains(&place);
        known.push(place);
        is_new
    };
    let different: Vec<&&Path> = paths.iter().filter(|path| is_new(path)).collect();
    let [first, second, others @ ..] = different.as_slice() else {
        return format!("{} is named {} times; name it once", paths[0].display(), paths.len());
    };
    let (first, second) = (first.display(), second.display());
    let others = if others.is_empty() { String::new() } else { format!(" ({} more too)", others.len()) };
    format!("{first} and {second}{others} would write to the same folder; rename one of them")
}

/// True if a folder can be named after each file; false after saying after which none can.
pub(super) fn can_name_folders<P: AsRef<Path>>(paths: &[P]) -> bool {
    let problems = without_names(paths);
    complain_of(&problems);
    problems.is_empty()
}

/// What is wrong with files whose names are no folder's: what a shell hides, a terminal obeys or a report cannot
/// spell.
fn without_names<P: AsRef<Path>>(paths: &[P]) -> Vec<String> {
    let is_plain = |name: &str| !name.starts_with('.') && !name.contains(char::is_control);
    let is_odd = |path: &&Path| path.file_stem().and_then(OsStr::to_str).is_none_or(|name| !is_plain(name));
    let problem =
        |path: &Path| format!("no folder for results can be named after {}; rename the file", path.display());
    paths.iter().map(AsRef::as_ref).filter(is_odd).map(problem).collect()
}

/// True if folders can be made there: what is on the way is a folder. False after saying what is none.
pub(super) fn is_place_for_results(out: &Path) -> bool {
    let on_the_way = out.ancestors().find(|path| path.symlink_metadata().is_ok());
    let file = on_the_way.filter(|path| !path.is_dir());
    if let Some(file) = file {
        let (out, why) = (out.display(), no_folder(file));
        complain_of(&[format!(
            "no results can go to {out}: {} {why}; name another with --out",
            file.display()
        )]);
    }
    file.is_none()
}

/// What is there instead of a folder.
fn no_folder(path: &Path) -> &'static str {
    let leads_nowhere = path.is_symlink() && !path.exists();
    if leads_nowhere { "is a link that leads nowhere" } else { "is no folder" }
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
        if folder.symlink_metadata().is_ok() && !folder.is_dir() {
            let (folder, why) = (folder.display(), no_folder(folder));
            problems.push(format!("no results can go to {folder}, which {why}; name another with --out"));
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
