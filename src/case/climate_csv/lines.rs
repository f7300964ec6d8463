//! A table's lines, parted into fields.

use crate::finding::Diagnostic;
use crate::text::Place;

/// A line with its fields, trimmed.
#[derive(Clone, Debug)]
pub struct Line {
    /// At least one is not empty, and the last is not.
    pub fields: Vec<String>,
    /// How many there are with the empty ones at the end.
    pub width: usize,
    /// All of it.
    pub place: Place,
}

/// What a text consists of.
pub struct Lines {
    /// What parts the fields.
    pub delimiter: u8,
    /// All but remarks and empty ones.
    pub all: Vec<Line>,
    /// Those that begin with `#`.
    pub remarks: Vec<(String, Place)>,
}

impl Line {
    /// The field of a column, if it is there and not empty.
    pub fn field(&self, column: usize) -> Option<&str> {
        self.fields.get(column).map(String::as_str).filter(|field| !field.is_empty())
    }

    /// How many fields are not empty.
    pub fn filled(&self) -> usize {
        self.fields.iter().filter(|field| !field.is_empty()).count()
    }
}

/// Parts a text.
pub fn read(text: &str, file: usize) -> Result<Lines, Diagnostic> {
    let delimiter = delimiter(text);
    let mut reader = csv::ReaderBuilder::new();
    reader.delimiter(delimiter).comment(Some(b'#')).flexible(true).has_headers(false).trim(csv::Trim::All);
    let mut lines = Vec::new();
    for record in reader.from_reader(text.as_bytes()).into_records() {
        let top = Place { file, start: 0, end: 0 };
        let record = record.map_err(|error| Diagnostic::error(top, format!("not a table: {error}")))?;
        let width = record.len();
        let mut fields: Vec<String> = record.iter().map(str::to_owned).collect();
        while fields.last().is_some_and(String::is_empty) {
            fields.pop();
        }
        let is_setting = lines.is_empty() && setting(&fields.join("")).is_some();
        if !fields.is_empty() && !is_setting {
            lines.push(Line { fields, width, place: place_of(&record, file, text) });
        }
    }
    let mut remarks = Vec::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if line.starts_with('#') {
            remarks.push((line.trim().to_owned(), Place { file, start, end: start + line.trim_end().len() }));
        }
        start += line.len();
    }
    Ok(Lines { delimiter, all: lines, remarks })
}

/// The sign that parts the fields: what a first line `sep=;` says, or else what most lines have.
fn delimiter(text: &str) -> u8 {
    let mut lines = text.lines().filter(|line| is_of_table(line)).peekable();
    if let Some(sign) = lines.peek().and_then(|first| setting(first)).filter(|rest| rest.len() == 1) {
        return sign.as_bytes()[0];
    }
    let lines: Vec<&str> = lines.collect();
    let with = |sign: u8| lines.iter().filter(|line| line.as_bytes().contains(&sign)).count();
    let most = [b'|', b'\t', b';'].into_iter().max_by_key(|sign| with(*sign));
    most.filter(|sign| 2 * with(*sign) > lines.len()).unwrap_or(b',')
}

/// What follows `sep=`.
fn setting(line: &str) -> Option<&str> {
    let line = line.trim_matches(['"', '\r', '\n']);
    line.strip_prefix("sep=").or_else(|| line.strip_prefix("SEP="))
}

/// True for a line of the table: neither a remark nor empty.
fn is_of_table(line: &str) -> bool {
    !line.trim().is_empty() && !line.starts_with('#')
}

fn place_of(record: &csv::StringRecord, file: usize, text: &str) -> Place {
    let from = record.position().map_or(0, |position| position.byte() as usize).min(text.len());
    // The reader's position may lie before line ends and remarks that it passes over.
    let mut start = from;
    for line in text[from..].split_inclusive('\n') {
        if is_of_table(line) {
            return Place { file, start, end: start + line.trim_end().len() };
        }
        start += line.len();
    }
    Place { file, start: from, end: from }
}
