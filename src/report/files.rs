//! Writing results so that nothing is ever left half-written.

use std::fs;
use std::io;
use std::path::Path;

/// Writes a file under a temporary name beside its place, then renames it.
///
/// # Errors
/// Those of the file system; the old file, if there was one, is then still there.
pub fn write(path: &Path, content: &[u8]) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let temporary = path.with_file_name(format!(".{name}.{}", std::process::id()));
    fs::write(&temporary, content).and_then(|()| fs::rename(&temporary, path)).inspect_err(|_| {
        // The error that counts is the first one.
        let _ = fs::remove_file(&temporary);
    })
}
