//! Texts from files, or why there are none.

use std::fs::File;
use std::io::Read;
use std::path::Path;

/// A case is a page of text; a file beyond this size is something else.
pub const LARGEST_FILE: u64 = 1 << 20;

/// The text of a case file, without a byte order mark.
///
/// # Errors
/// As [`read_text`].
pub fn read_file(path: &Path) -> Result<String, String> {
    let text = read_text(path, LARGEST_FILE)?;
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// The text of an ordinary file.
///
/// # Errors
/// What keeps it from being read, in words that continue "cannot read NAME: ".
pub fn read_text(path: &Path, largest: u64) -> Result<String, String> {
    let metadata = std::fs::metadata(path).map_err(|error| plain(&error))?;
    if metadata.is_dir() {
        return Err("it is a folder; name a file in it".to_owned());
    }
    // A pipe or a device may never end.
    if !metadata.is_file() {
        return Err("it is not an ordinary file".to_owned());
    }
    let mut bytes = Vec::new();
    let mut file = File::open(path).map_err(|error| plain(&error))?.take(largest + 1);
    file.read_to_end(&mut bytes).map_err(|error| plain(&error))?;
    if bytes.len() as u64 > largest {
        return Err(format!("it is larger than {} kB, which no such file is", largest / 1024));
    }
    String::from_utf8(bytes).map_err(|error| {
        let line = error.as_bytes()[..error.utf8_error().valid_up_to()].split(|byte| *byte == b'\n').count();
        format!("line {line} is not text in UTF-8; have the editor save the file in that encoding")
    })
}

fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => error.to_string(),
    }
}
