//! A document as it is meant: included files merged, parameters put in, so that two can be compared whatever
//! their spelling.

use super::document::Case;
use super::expression;
use super::gather::{self, Gathered};
use super::node::{Node, Value};
use super::{Place, Rejected, Sources};

/// Keys whose values are text, even where they look like a sum of parameters.
const TEXTS: [&str; 6] = ["title", "description", "source", "label", "name", "element"];
/// Blocks that every file adds to; of other blocks the last one counts.
const SHARED: [&str; 6] = ["parameters", "materials", "build_ups", "floors", "windows", "sizes"];
/// Significant digits that are compared: what an expression leaves behind them is rounding.
const DIGITS: usize = 12;

/// A part of a document, with where it stands.
#[derive(Clone, Debug)]
pub struct Written {
    /// What it says.
    pub meaning: Meaning,
    /// Where.
    pub place: Place,
}

/// What a part of a document says.
#[derive(Clone, Debug)]
pub enum Meaning {
    /// A number, a name, a text; what is equal reads the same.
    Word(String),
    /// Items in their order.
    List(Vec<Written>),
    /// Values by keys, in any order.
    Table(Vec<(String, Written)>),
}

impl Written {
    /// The same on one line.
    pub fn line(&self) -> String {
        match &self.meaning {
            Meaning::Word(word) => word.clone(),
            Meaning::List(items) => {
                let items: Vec<String> = items.iter().map(Self::line).collect();
                format!("[{}]", items.join(", "))
            }
            Meaning::Table(entries) => {
                let entries: Vec<String> =
                    entries.iter().map(|(key, value)| format!("{key}: {}", value.line())).collect();
                format!("{{ {} }}", entries.join(", "))
            }
        }
    }

    /// What reads the same exactly for equal meanings.
    pub fn canonical(&self) -> String {
        match &self.meaning {
            Meaning::Word(word) => format!("{word:?}"),
            Meaning::List(items) => {
                let items: Vec<String> = items.iter().map(Self::canonical).collect();
                format!("[{}]", items.join(","))
            }
            Meaning::Table(entries) => {
                let mut entries: Vec<String> =
                    entries.iter().map(|(key, value)| format!("{key:?}:{}", value.canonical())).collect();
                entries.sort_unstable();
                format!("{{{}}}", entries.join(","))
            }
        }
    }
}

/// The document that a case was read from, with the texts that its places point into.
///
/// # Errors
/// [`Rejected`] if the texts cannot be read again.
pub fn of(case: &Case) -> Result<(Written, Sources), Rejected> {
    let Gathered { sources, main, included, parameters, .. } = gather::from_sources(case.sources.all())?;
    let value_of = |name: &str| parameters.iter().find(|(known, _)| known == name).map(|(_, value)| *value);
    let meant = Meant { sources: &sources, value_of: &value_of };
    let mut blocks: Vec<(String, Written)> = Vec::new();
    let trees = included.iter().map(|tree| (tree, false)).chain([(&main, true)]);
    for (tree, is_main) in trees {
        let Meaning::Table(entries) = meant.part(tree, "").meaning else { continue };
        for (key, block) in entries {
            if matches!(key.as_str(), "coldseam" | "include")
                || !is_main && matches!(key.as_str(), "title" | "description")
            {
                continue;
            }
            match blocks.iter_mut().find(|(known, _)| *known == key) {
                Some((_, earlier)) if SHARED.contains(&key.as_str()) => add(earlier, block),
                Some((_, earlier)) => *earlier = block,
                None => blocks.push((key, block)),
            }
        }
    }
    // `--set` replaces what is written.
    if let Some((_, Written { meaning: Meaning::Table(entries), .. })) =
        blocks.iter_mut().find(|(key, _)| key == "parameters")
    {
        for (name, written) in entries {
            written.meaning = Meaning::Word(value_of(name).map_or_else(|| "?".to_owned(), number));
        }
    }
    Ok((Written { meaning: Meaning::Table(blocks), place: main.place }, sources))
}

/// Adds the entries of a block to those of an earlier file, which they replace.
fn add(earlier: &mut Written, block: Written) {
    match (&mut earlier.meaning, block.meaning) {
        (Meaning::Table(known), Meaning::Table(entries)) => {
            for (name, value) in entries {
                match known.iter_mut().find(|(other, _)| *other == name) {
                    Some((_, known)) => *known = value,
                    None => known.push((name, value)),
                }
            }
        }
        (meaning, later) => *meaning = later,
    }
}

/// What parts of a document mean with the parameters in force.
struct Meant<'a> {
    sources: &'a Sources,
    value_of: &'a dyn Fn(&str) -> Option<f64>,
}

impl Meant<'_> {
    fn part(&self, node: &Node, key: &str) -> Written {
        let meaning = match &node.value {
            // In tables, what is absent leaves no entry behind; this is an item of a list.
            Value::Null => Meaning::Word(String::new()),
            Value::Bool => Meaning::Word(self.as_it_stands(node.place)),
            Value::Number(value) => Meaning::Word(number(*value)),
            Value::Text(text) => Meaning::Word(self.word(text, key)),
            Value::List(items) => Meaning::List(items.iter().map(|item| self.part(item, "")).collect()),
            Value::Table(entries) => {
                let mut table: Vec<(String, Written)> = Vec::new();
                for entry in entries.iter().filter(|entry| !matches!(entry.node.value, Value::Null)) {
                    table.push((entry.key.clone(), self.part(&entry.node, &entry.key)));
                }
                Meaning::Table(table)
            }
        };
        Written { meaning, place: node.place }
    }

    fn as_it_stands(&self, place: Place) -> String {
        self.sources.get(place.file).text.get(place.start..place.end).unwrap_or_default().to_owned()
    }

    /// Text as it is meant: an expression is its value; a name that a parameter bears may be that of
    /// something else and is shown with both.
    fn word(&self, text: &str, key: &str) -> String {
        let text = text.trim();
        if TEXTS.contains(&key) {
            return text.to_owned();
        }
        match expression::evaluate(text, self.value_of) {
            Ok(value) if expression::is_name(text) => format!("{text} ({})", number(value)),
            Ok(value) => number(value),
            Err(_) => text.to_owned(),
        }
    }
}

/// A number without the rounding of the expression it came from.
fn number(value: f64) -> String {
    let rounded: f64 = format!("{value:.*e}", DIGITS - 1).parse().unwrap_or(value);
    if rounded != 0.0 && !(1e-6..1e15).contains(&rounded.abs()) {
        format!("{rounded:e}")
    } else {
        format!("{}", rounded + 0.0)
    }
}
