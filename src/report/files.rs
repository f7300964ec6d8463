//! Writing results so that nothing is ever left half-written: a folder holds the old results or the new ones.
//!
//! New files are made in a folder beside their place, which then takes it in one step; whatever else lay there
//! goes along. A run that is killed, or finds the disk full, leaves the old folder as it was. What lies under a
//! name of ours for a moment (`.NAME.coldseam`) is ours; all else beside the results is the user's.

use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Writes files of one folder that belong together, each whole or not at all. Those after the first go before
/// anything takes its place, so that a run that is killed just then leaves one too few rather than one of
/// another run. What a killed run left under a temporary name, the next one takes.
///
/// # Errors
/// Those of the file system, and where a folder has the name of a file; old files are then still there.
pub fn write_together(contents: &[(PathBuf, Vec<u8>)]) -> io::Result<()> {
    let Some((first, _)) = contents.first() else { return Ok(()) };
    let parent = first.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(parent)?;
    let _lock = locked(parent);
    let temporary = |path: &Path| path.with_file_name(passing(path.file_name().unwrap_or_default()));
    let made = contents.iter().try_for_each(|(path, content)| {
        if path.is_dir() {
            return Err(io::Error::other(format!("{} is a folder, not a file", path.display())));
        }
        // Not through a link that lies there.
        absent(fs::remove_file(temporary(path)))?;
        File::create_new(temporary(path)).and_then(|mut file| file.write_all(content))
    });
    let placed = made.and_then(|()| {
        contents[1..].iter().try_for_each(|(path, _)| absent(fs::remove_file(path)))?;
        contents.iter().try_for_each(|(path, _)| fs::rename(temporary(path), path))
    });
    placed.inspect_err(|_| {
        for (path, _) in contents {
            // The error that counts is the first one.
            let _ = fs::remove_file(temporary(path));
        }
    })
}

/// Holds a folder for one run: another that wants to write into it waits. Where the system cannot lock a
/// folder, they take their chance.
fn locked(folder: &Path) -> Option<File> {
    File::open(folder).and_then(|folder| folder.lock().map(|()| folder)).ok()
}

/// Writes files into a folder, all of them or none. Where the first of them is there from an earlier run, files
/// of the names in `outdated` that are not written anew go, so that no picture of that run stands beside the
/// numbers of this one; all else stays.
///
/// # Errors
/// Those of the file system, where the folder's files may not be changed, and where a folder has the name of a
/// file to be written; all is then as it was.
pub fn replace<N: AsRef<Path>>(
    folder: &Path,
    contents: &[(N, Vec<u8>)],
    outdated: &[String],
) -> io::Result<()> {
    let folder = &followed(folder);
    let (Some(parent), Some(name)) = (folder.parent(), folder.file_name()) else {
        return Err(io::Error::other("it has no name"));
    };
    let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
    fs::create_dir_all(parent)?;
    let _lock = locked(parent);
    if folder.is_dir() && !may_be_changed(folder) {
        // Neither could what is replaced be removed then.
        return Err(io::Error::new(io::ErrorKind::PermissionDenied, "its files may not be changed"));
    }
    let holder = parent.join(passing(name));
    let [new, old] = temporaries(&holder);
    // What a killed run left.
    if old.exists() && !folder.exists() {
        fs::rename(&old, folder)?;
    }
    settle(&new, folder)?;
    settle(&old, folder)?;
    fs::create_dir_all(&holder)?;
    let made = fill(&new, folder, contents, outdated).and_then(|()| take_place(&new, folder, &old));
    if made.is_err() {
        // The error that counts is the first one.
        let _ = settle(&new, folder);
    }
    // Where something else lies in it, it stays.
    let _ = fs::remove_dir(&holder);
    made
}

/// The name beside a file or folder under which a run makes it.
fn passing(name: &OsStr) -> String {
    format!(".{}.coldseam", name.to_string_lossy())
}

/// The whole way to a folder, if it is the one that the program was started in.
pub fn working_directory(folder: &Path) -> Option<PathBuf> {
    let folder = folder.canonicalize().ok()?;
    (std::env::current_dir().ok()?.canonicalize().ok()? == folder).then_some(folder)
}

/// Removes a result of an earlier run, if it is there, and the folder that held nothing else.
///
/// # Errors
/// Those of the file system.
pub fn remove_result(file: &Path) -> io::Result<()> {
    let Some(folder) = file.parent() else { return Ok(()) };
    let folder = &followed(folder);
    let _lock = folder.parent().and_then(locked);
    absent(fs::remove_file(file))?;
    // Where more lies in it, it stays.
    let _ = fs::remove_dir(folder);
    Ok(())
}

/// The folders that a run makes for a moment: the new results, and the old ones that they replaced.
fn temporaries(holder: &Path) -> [PathBuf; 2] {
    ["new", "old"].map(|name| holder.join(name))
}

/// True if a file lies where writing results into `folder` would remove it.
pub fn is_in_the_way(folder: &Path, file: &Path) -> bool {
    let (Some(parent), Some(name)) = (folder.parent(), folder.file_name()) else { return false };
    let real = |path: &Path| path.canonicalize().ok();
    let Some(holder) = file.parent().and_then(real) else { return false };
    let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
    let passing = temporaries(&parent.join(passing(name)));
    passing.iter().filter_map(|folder| real(folder)).any(|passing| holder.starts_with(passing))
}

/// Where a link leads.
fn followed(folder: &Path) -> PathBuf {
    if folder.is_symlink() {
        folder.canonicalize().unwrap_or_else(|_| folder.to_owned())
    } else {
        folder.to_owned()
    }
}

fn remove(folder: &Path) -> io::Result<()> {
    absent(fs::remove_dir_all(folder))
}

/// What is removed may be gone already.
fn absent(removed: io::Result<()>) -> io::Result<()> {
    match removed {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// Makes the new folder: the contents, and what else the old one holds.
fn fill<N: AsRef<Path>>(
    new: &Path,
    folder: &Path,
    contents: &[(N, Vec<u8>)],
    outdated: &[String],
) -> io::Result<()> {
    fs::create_dir(new)?;
    for (name, content) in contents {
        fs::write(new.join(name), content)?;
    }
    if !folder.exists() {
        return Ok(());
    }
    fs::set_permissions(new, fs::metadata(folder)?.permissions())?;
    let is_of_a_run = contents.first().is_some_and(|(first, _)| folder.join(first).is_file());
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        let is_written = contents.iter().any(|(written, _)| written.as_ref() == Path::new(&name));
        let is_outdated = is_of_a_run && outdated.iter().any(|outdated| **outdated == *name);
        let is_folder = entry.file_type()?.is_dir();
        if is_written && is_folder {
            return Err(io::Error::other(format!("{} is a folder, not a file", entry.path().display())));
        }
        // Folders follow when the new one is in place: they cannot be in two.
        if !is_written && !is_outdated && !is_folder {
            let (from, to) = (entry.path(), new.join(&name));
            fs::hard_link(&from, &to).or_else(|_| fs::copy(&from, &to).map(|_| ()))?;
        }
    }
    Ok(())
}

/// Puts the new folder in the place of the old one.
fn take_place(new: &Path, folder: &Path, old: &Path) -> io::Result<()> {
    if !folder.exists() {
        return fs::rename(new, folder);
    }
    if exchange(new, folder).is_ok() {
        return settle(new, folder);
    }
    fs::rename(folder, old)?;
    fs::rename(new, folder)?;
    settle(old, folder)
}

/// Gives the folders in what was replaced to what replaced it, and removes the rest.
fn settle(replaced: &Path, folder: &Path) -> io::Result<()> {
    if !replaced.exists() {
        return Ok(());
    }
    for entry in fs::read_dir(replaced)? {
        let entry = entry?;
        let place = folder.join(entry.file_name());
        if !entry.file_type()?.is_dir() {
            continue;
        }
        if place.exists() {
            let [lost, place] = [entry.path(), place].map(|path| path.display().to_string());
            return Err(io::Error::other(format!(
                "{lost} comes from a run that was killed, and {place} is there as well; move one of them"
            )));
        }
        fs::create_dir_all(folder)?;
        fs::rename(entry.path(), place)?;
    }
    remove(replaced)
}

/// Two names change places in one step, where the system can do that.
#[cfg(target_os = "linux")]
fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

/// True if whoever runs the program may change what lies in a folder.
#[cfg(target_os = "linux")]
fn may_be_changed(folder: &Path) -> bool {
    use rustix::fs::{Access, access};
    access(folder, Access::WRITE_OK | Access::EXEC_OK).is_ok()
}

#[cfg(not(target_os = "linux"))]
fn may_be_changed(folder: &Path) -> bool {
    fs::metadata(folder).is_ok_and(|folder| !folder.permissions().readonly())
}

#[cfg(not(target_os = "linux"))]
fn exchange(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_replaced_and_keeps_what_is_not_ours() {
        let top = std::env::temp_dir().join(format!("coldseam-files-{}", std::process::id()));
        let folder = top.join("case");
        fs::create_dir_all(folder.join("notes")).unwrap();
        fs::write(folder.join("notes/mine.txt"), "mine").unwrap();
        fs::write(folder.join("plan.png"), "old").unwrap();
        fs::write(folder.join("letter.txt"), "mine").unwrap();
        fs::write(folder.join("a.txt"), "old").unwrap();
        let outdated = ["plan.png".to_owned()];
        replace(&folder, &[("notes", b"new".to_vec())], &outdated).unwrap_err();
        replace(&folder, &[("b.txt", b"new".to_vec())], &outdated).unwrap();
        assert_eq!(fs::read_to_string(folder.join("plan.png")).unwrap(), "old", "no run had written it");
        fs::remove_file(folder.join("b.txt")).unwrap();
        replace(&folder, &[("a.txt", b"new".to_vec())], &outdated).unwrap();
        let names = |folder: &Path| {
            let mut names: Vec<String> = fs::read_dir(folder)
                .unwrap()
                .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
                .collect();
            names.sort();
            names
        };
        assert_eq!(names(&folder), ["a.txt", "letter.txt", "notes"]);
        assert_eq!(fs::read_to_string(folder.join("a.txt")).unwrap(), "new");
        assert_eq!(names(&folder.join("notes")), ["mine.txt"]);
        assert_eq!(names(&top), ["case"]);
        // A killed run left its folders.
        fs::create_dir_all(top.join(".case.coldseam/new/more")).unwrap();
        fs::rename(&folder, top.join(".case.coldseam/old")).unwrap();
        replace(&folder, &[("b.txt", b"b".to_vec())], &[]).unwrap();
        assert_eq!(names(&folder), ["a.txt", "b.txt", "letter.txt", "more", "notes"]);
        assert_eq!(names(&top), ["case"]);
        // A folder of the user's is in both: neither is lost.
        fs::create_dir_all(top.join(".case.coldseam/old/notes")).unwrap();
        fs::write(top.join(".case.coldseam/old/notes/other.txt"), "mine").unwrap();
        let error = replace(&folder, &[("b.txt", b"new".to_vec())], &[]).unwrap_err();
        assert!(error.to_string().contains("move one of them"), "{error}");
        assert_eq!(names(&top.join(".case.coldseam/old/notes")), ["other.txt"]);
        assert_eq!(names(&folder.join("notes")), ["mine.txt"]);
        fs::remove_dir_all(top.join(".case.coldseam")).unwrap();
        // Files of the user's under the names that hold such folders stay, and are not taken for results.
        for name in [".case.new", ".case.old", ".case.coldseam"] {
            fs::create_dir(top.join(name)).unwrap();
            fs::write(top.join(name).join("letter.txt"), "mine").unwrap();
        }
        replace(&folder, &[("b.txt", b"b".to_vec())], &[]).unwrap();
        for name in [".case.new", ".case.old", ".case.coldseam"] {
            assert_eq!(names(&top.join(name)), ["letter.txt"], "{name}");
            fs::remove_dir_all(top.join(name)).unwrap();
        }
        // A name that is a file stays.
        fs::write(top.join("file"), "mine").unwrap();
        replace(&top.join("file"), &[("b.txt", b"b".to_vec())], &[]).unwrap_err();
        assert_eq!(names(&top), ["case", "file"]);
        fs::remove_dir_all(&top).unwrap();
    }
}
