//! Texts from files, or why there are none.

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::string::FromUtf8Error;

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

    fn not_utf_8(error: &FromUtf8Error) -> Self {
        let line = error.as_bytes()[..error.utf8_error().valid_up_to()].split(|byte| *byte == b'\n').count();
        let why = "it is not text in UTF-8; have the editor save the file in that encoding".to_owned();
        Self { line: Some(line), why }
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

/// The text of a table, which programs for tables still write in Windows-1252 here and there. All digits and signs
/// of numbers are the same in every such encoding; letters of another one make words that nobody knows.
///
/// # Errors
/// As [`read_text`].
pub fn read_table(path: &Path) -> Result<String, Unreadable> {
    let bytes = read_bytes(path, LARGEST_FILE)?;
    let text = String::from_utf8(bytes)
        .or_else(|error| windows_1252(error.as_bytes()).ok_or_else(|| Unreadable::not_utf_8(&error)))?;
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// Text of one byte a sign; none where a byte stands for nothing that is written.
fn windows_1252(bytes: &[u8]) -> Option<String> {
    /// From 0x80 to 0x9f; a blank where there is none.
    const SIGNS: [char; 32] = [
        '€', ' ', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', ' ', 'Ž', ' ', ' ', '‘', '’', '“',
        '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', ' ', 'ž', 'Ÿ',
    ];
    let sign = |byte: &u8| match byte {
        b'\t' | b'\n' | b'\r' | 0x20..=0x7e | 0xa0.. => Some(char::from(*byte)),
        0x80..=0x9f => Some(SIGNS[usize::from(*byte) - 0x80]).filter(|sign| *sign != ' '),
        _ => None,
    };
    bytes.iter().map(sign).collect()
}

/// The text of an ordinary file.
///
/// # Errors
/// What keeps it from being read.
pub fn read_text(path: &Path, largest: u64) -> Result<String, Unreadable> {
    String::from_utf8(read_bytes(path, largest)?).map_err(|error| Unreadable::not_utf_8(&error))
}

fn read_bytes(path: &Path, largest: u64) -> Result<Vec<u8>, Unreadable> {
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
        let why = format!("it is larger than {largest} kB, which no such file is; is it the right one?");
        return Err(Unreadable::because(why));
    }
    Ok(bytes)
}

fn plain(error: &std::io::Error) -> Unreadable {
    Unreadable::because(match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check its name and folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => error.to_string(),
    })
}
