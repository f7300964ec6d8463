//! A YAML document as a tree in which every node knows its place in the text.
//!
//! The tree is untyped on purpose: reading it field by field lets the reader report every fault of a file,
//! where a typed deserialisation would stop at the first.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;

use super::diagnostic::{Diagnostic, Place, Sources};

/// A value with its place.
#[derive(Clone, Debug)]
pub struct Node {
    /// The value.
    pub value: Value,
    /// Where it stands; for lists and tables, where they begin.
    pub place: Place,
}

/// What YAML knows.
#[derive(Clone, Debug)]
pub enum Value {
    /// Nothing, or `~`.
    Null,
    /// `true` or `false`.
    Bool,
    /// A number, possibly not finite.
    Number(f64),
    /// Text.
    Text(String),
    /// A sequence.
    List(Vec<Node>),
    /// A mapping, in the order written, duplicates kept.
    Table(Vec<Entry>),
}

/// A key of a mapping and what stands behind it.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_place: Place,
    /// The value.
    pub node: Node,
}

impl Value {
    /// "a number", "a list": for messages.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Null => "nothing",
            Self::Bool => "true or false",
            Self::Number(_) => "a number",
            Self::Text(_) => "text",
            Self::List(_) => "a list",
            Self::Table(_) => "a table of keys",
        }
    }
}

/// Parses text number `file` of `sources`. Limits on depth, nodes and aliases are the reader's own.
pub fn parse(sources: &Sources, file: usize) -> Result<Node, Diagnostic> {
    let text = &sources.get(file).text;
    let options = serde_yaml::options! {
        duplicate_keys: serde_yaml::DuplicateKeyPolicy::PassThrough,
        non_finite_float_policy: serde_yaml::NonFiniteFloatPolicy::PassThrough,
        strict_booleans: true,
        with_snippet: false,
    };
    match serde_yaml::from_str_with_options::<Spanned<Raw>>(text, options) {
        Ok(raw) => Ok(place_node(raw, file, text)),
        Err(error) => {
            let place = error.location().map(|location| place_of(&location, file, text));
            let (message, hint) = describe(&error);
            Err(Diagnostic::error(place, message).hint(hint))
        }
    }
}

/// The parser's message without its position, which the diagnostic carries itself, and what to do.
fn describe(error: &serde_yaml::Error) -> (String, &'static str) {
    let text = error.to_string();
    let first = text.lines().next().unwrap_or_default();
    let message = match first.find(" at line ") {
        Some(end) => &first[..end],
        None => first,
    };
    let message = match (message.strip_prefix("error: "), message.split_once(": ")) {
        (Some(rest), _) => rest,
        (None, Some((head, rest))) if head.starts_with("line ") => rest,
        _ => message,
    };
    if message.contains("budget breached")
        || message.contains("recursion limit")
        || message.contains("alias") && message.contains("limit")
    {
        let hint = "no such file nests more than some ten deep; what an alias stands for counts each time it is used";
        ("the document is too large or too deeply nested to be such a file".to_owned(), hint)
    } else if message.contains("multiple YAML documents") {
        let hint = "a file is one document: delete the line `---` and what does not belong to it";
        ("a second YAML document begins in this file".to_owned(), hint)
    } else if message.contains("tabs") {
        ("this line is indented with a tab".to_owned(), "YAML is indented with spaces alone")
    } else {
        let hint =
            "the text must be one YAML document; check indentation, brackets and quotes near this place";
        (format!("this is not valid YAML: {message}"), hint)
    }
}

fn place_of(location: &serde_yaml::Location, file: usize, text: &str) -> Place {
    let span = location.span();
    // Nodes carry byte positions; only errors of the scanner may come with characters alone.
    if let (Some(start), Some(length)) = (span.byte_offset(), span.byte_len()) {
        let start = floor_to_character(text, start);
        Place { file, start, end: floor_to_character(text, start as u64 + length).max(start) }
    } else {
        let byte = |characters: u64| {
            let nth = usize::try_from(characters).unwrap_or(usize::MAX);
            text.char_indices().nth(nth).map_or(text.len(), |(byte, _)| byte)
        };
        let start = span.offset();
        Place { file, start: byte(start), end: byte(start.saturating_add(span.len())) }
    }
}

fn floor_to_character(text: &str, byte: u64) -> usize {
    text.floor_char_boundary(usize::try_from(byte).unwrap_or(usize::MAX).min(text.len()))
}

fn place_node(raw: Spanned<Raw>, file: usize, text: &str) -> Node {
    let place = place_of(&raw.referenced, file, text);
    let value = match raw.value {
        Raw::Null => Value::Null,
        Raw::Bool => Value::Bool,
        Raw::Number(value) => {
            let defined = place_of(&raw.defined, file, text);
            match not_decimal(value, &text[defined.start..defined.end]) {
                Some(written) => Value::Text(written.to_owned()),
                None => Value::Number(value),
            }
        }
        Raw::Text(value) => Value::Text(value),
        Raw::List(items) => Value::List(items.into_iter().map(|item| place_node(item, file, text)).collect()),
        Raw::Table(entries) => Value::Table(
            entries
                .into_iter()
                .map(|(key, value)| Entry {
                    key_place: place_of(&key.referenced, file, text),
                    key: key.value,
                    node: place_node(value, file, text),
                })
                .collect(),
        ),
    };
    Node { value, place }
}

/// What is written, where that is a number for YAML alone: `1_000`, `0x10`, `0o17`, `0b11`. Expressions,
/// `--set` and quoted numbers know decimals only, and YAML's readers disagree about these (`0_5.5` is text,
/// `010` was 8 once). So none of them is a number anywhere: as text it is refused by whoever wants a number,
/// with the same words in every place.
fn not_decimal(value: f64, written: &str) -> Option<&str> {
    // Without a tag before it and quotes round it.
    let written = written.split_whitespace().next_back()?.trim_matches(['"', '\'']);
    let is_decimal =
        |character: char| character.is_ascii_digit() || matches!(character, '.' | 'e' | 'E' | '+' | '-');
    let begins = written
        .trim_start_matches(['+', '-'])
        .starts_with(|first: char| first.is_ascii_digit() || first == '.');
    (value.is_finite() && begins && !written.chars().all(is_decimal)).then_some(written)
}

enum Raw {
    Null,
    Bool,
    Number(f64),
    Text(String),
    List(Vec<Spanned<Raw>>),
    Table(Vec<(Spanned<String>, Spanned<Raw>)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a YAML value")
    }

    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Raw, E> {
        Ok(Raw::Bool)
    }

    fn visit_i64<E>(self, value: i64) -> Result<Raw, E> {
        Ok(Raw::Number(value as f64))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Raw, E> {
        Ok(Raw::Number(value as f64))
    }

    fn visit_i128<E>(self, value: i128) -> Result<Raw, E> {
        Ok(Raw::Number(value as f64))
    }

    fn visit_u128<E>(self, value: u128) -> Result<Raw, E> {
        Ok(Raw::Number(value as f64))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Raw, E> {
        Ok(Raw::Number(value))
    }

    fn visit_str<E>(self, value: &str) -> Result<Raw, E> {
        Ok(Raw::Text(value.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = access.next_element()? {
            items.push(item);
        }
        Ok(Raw::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut entries = Vec::new();
        while let Some(key) = access.next_key()? {
            entries.push((key, access.next_value()?));
        }
        Ok(Raw::Table(entries))
    }
}
