//! Texts from files, or why there are none.

use std::fs::File;
use std::io::Read;
use std::path::Path;

/// A case is a page of text; a file beyond this size is something else.
pub const LARGEST_FILE: u64 = 1 << 20;

/// Why there is no text.
#[derive(Debug)]
pub struct Unreadable {
    line: Option<usize>,
    why: String,
}

impl Unreadable {
    /// The same about a file: `cannot read a.yaml:7: …`.
    pub fn of(&self, path: &Path) -> String {
        let line = self.line.map(|line| format!(":{line}")).unwrap_or_default();
        format!("cannot read {}{line}: {}", path.display(), self.why)
    }

    fn because(why: impl Into<String>) -> Self {
        Self { line: None, why: why.into() }
    }
}

/// The text of a case file, without a byte order mark.
///
/// # Errors
/// As [`read_text`].
pub fn read_file(path: &Path) -> Result<String, Unreadable> {
    let text = read_text(path, LARGEST_FILE)?;
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// The text of an ordinary file.
///
/// # Errors
/// What keeps it from being read.
pub fn read_text(path: &Path, largest: u64) -> Result<String, Unreadable> {
    let metadata = std::fs::metadata(path).map_err(|error| plain(&error))?;
    if metadata.is_dir() {
        return Err(Unreadable::because("it is a folder; name a file in it"));
    }
    // A pipe or a device may never end.
    if !metadata.is_file() {
        return Err(Unreadable::because("it is not an ordinary file"));
    }
    let mut bytes = Vec::new();
    let mut file = File::open(path).map_err(|error| plain(&error))?.take(largest + 1);
    file.read_to_end(&mut bytes).map_err(|error| plain(&error))?;
    if bytes.len() as u64 > largest {
        let largest = largest / 1024;
        return Err(Unreadable::because(format!(
            "it is larger than {largest} kB, which no such file is; is it the right one?"
        )));
    }
    String::from_utf8(bytes).map_err(|error| {
        let line = error.as_bytes()[..error.utf8_error().valid_up_to()].split(|byte| *byte == b'\n').count();
        let why = "it is not text in UTF-8; have the editor save the file in that encoding".to_owned();
        Unreadable { line: Some(line), why }
    })
}

fn plain(error: &std::io::Error) -> Unreadable {
    Unreadable::because(match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check its name and folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => error.to_string(),
    })
}
