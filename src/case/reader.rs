//! From nodes to numbers, names and tables, collecting every fault on the way.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::diagnostic::{Diagnostic, Place};
use super::expression::{self, FaultKind};
use super::keys::Block;
use super::node::{Entry, Node, Value};
use super::suggestion::did_you_mean;
use super::table::Table;
use super::thousands;
use crate::geometry::{Rectangle, SAME_EDGE, Span};
use crate::ranges::{self, Quantity, plain};

/// Reads nodes with the parameters in force.
pub struct Reader {
    /// What was found so far.
    pub diagnostics: Vec<Diagnostic>,
    parameters: BTreeMap<String, f64>,
    /// Errors told by [`fault`](Self::fault).
    faults: usize,
    /// What was read as a length in mm.
    pub lengths: Lengths,
}

/// Where lengths in mm are written, and by which parameters.
#[derive(Debug, Default)]
pub struct Lengths {
    /// Of their numbers and expressions.
    pub places: Vec<Place>,
    /// Parameters that are lengths, or parts of sums that are.
    pub names: BTreeSet<String>,
}

impl Lengths {
    fn add(&mut self, node: &Node) {
        self.places.push(node.place);
        self.names.extend(thousands::terms(node));
    }
}

/// Errors after which nothing more is read: nobody mends more of them in one go.
const MOST_FAULTS: usize = 1_000;

impl Reader {
    /// A reader for expressions over `parameters`.
    pub fn new(parameters: BTreeMap<String, f64>) -> Self {
        Self { diagnostics: Vec::new(), parameters, faults: 0, lengths: Lengths::default() }
    }

    /// Gives a parameter its value.
    pub fn define(&mut self, name: &str, value: f64) {
        self.parameters.insert(name.to_owned(), value);
    }

    /// That of a parameter, if it has one.
    pub fn value_of(&self, name: &str) -> Option<f64> {
        self.parameters.get(name).copied()
    }

    /// Notes an error and returns nothing, so that `return reader.fault(…)` reads well.
    pub fn fault<T>(&mut self, place: Place, message: impl Into<String>, hint: Option<String>) -> Option<T> {
        self.diagnostics.push(Diagnostic::error(place, message).maybe_hint(hint));
        self.faults += 1;
        None
    }

    /// True where so many errors were told that the rest is not read.
    fn has_enough(&self) -> bool {
        self.faults >= MOST_FAULTS
    }

    /// A finite number, written as such or as an expression. Messages call it `what` and add the unit.
    pub fn number(&mut self, node: &Node, what: &str, quantity: Quantity) -> Option<f64> {
        let what =
            &if quantity.unit.is_empty() { what.to_owned() } else { format!("{what} in {}", quantity.unit) };
        let value = match &node.value {
            _ if self.has_enough() => return None,
            Value::Number(value) => *value,
            Value::Text(text) => self.expression(text, node.place)?,
            other => {
                let message = format!("{what} must be a number or an expression, found {}", other.kind());
                return self.fault(node.place, message, None);
            }
        };
        if quantity.unit == "mm" {
            self.lengths.add(node);
        }
        match quantity.problem(value) {
            Some(problem) => {
                let with = self.names_in(node);
                let hint = format!(
                    "{}{}",
                    quantity.usual,
                    if with.is_empty() { "" } else { "; check the parameters" }
                );
                self.fault(node.place, format!("{what} {problem}, found {}{with}", plain(value)), Some(hint))
            }
            None => Some(value),
        }
    }

    /// The parameters that an expression names, with their values: what has to be changed may stand in
    /// another line, file or `--set`.
    fn names_in(&self, node: &Node) -> String {
        let Value::Text(text) = &node.value else { return String::new() };
        if expression::is_name(text.trim()) {
            return String::new(); // the place shows all there is
        }
        let mut found: Vec<String> = Vec::new();
        for name in expression::names(text) {
            if let Some(value) = self.parameters.get(name) {
                let one = format!("{name} {}", plain(*value));
                if !found.contains(&one) {
                    found.push(one);
                }
            }
        }
        if found.is_empty() { String::new() } else { format!(" with {}", found.join(", ")) }
    }

    /// A length or coordinate in mm, returned in m.
    pub fn coordinate(&mut self, node: &Node, what: &str) -> Option<f64> {
        let value = self.number(node, what, ranges::PARAMETER)?;
        self.lengths.add(node);
        if !ranges::COORDINATE.contains(value) {
            let hint = Some(ranges::COORDINATE.usual.to_owned());
            return self.fault(node.place, format!("{what} is absurdly large: {value} mm"), hint);
        }
        Some(value * 1e-3)
    }

    /// `[from, to]` in mm with from < to, returned in m.
    pub fn span(&mut self, node: &Node, what: &str) -> Option<Span> {
        let ends = self.pair(node, what)?;
        let from = self.coordinate(&ends[0], what);
        let to = self.coordinate(&ends[1], what);
        let (from, to) = (from?, to?);
        let is_empty = (to - from).abs() < SAME_EDGE;
        if from < to && !is_empty {
            return Some(Span { from, to });
        }
        // Metres back to millimetres, without what the conversion left in the last digits.
        let millimetres = |metres: f64| (metres * 1e9).round() / 1e6;
        let (from, to) = (millimetres(from), millimetres(to));
        if is_empty {
            let hint = Some("a stretch needs a length above 0".to_owned());
            return self.fault(
                node.place,
                format!("{what} has zero thickness: both ends are {from} mm"),
                hint,
            );
        }
        let hint = Some(format!("write the smaller value first: [{to}, {from}], or check the parameters"));
        self.fault(node.place, format!("{what} is inverted: it runs from {from} mm to {to} mm"), hint)
    }

    /// `x: [from, to]` and `y: [from, to]`, each falling back on `otherwise` if absent.
    pub fn rectangle(&mut self, table: &Table<'_>, otherwise: Option<Rectangle>) -> Option<Rectangle> {
        let mut side = |key: &str, fallback: Option<Span>| match (table.get(key), fallback) {
            (None, Some(span)) => Some(span),
            (None, None) => table.require(self, key).and(None),
            (Some(node), _) => self.span(node, key),
        };
        let x = side("x", otherwise.map(|rectangle| rectangle.x));
        let y = side("y", otherwise.map(|rectangle| rectangle.y));
        Some(Rectangle { x: x?, y: y? })
    }

    /// The two items of a list of two.
    pub fn pair<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n [Node]> {
        let items = self.list(node, what)?;
        if items.len() == 2 {
            return Some(items);
        }
        let has_parenthesis = items
            .iter()
            .any(|item| matches!(&item.value, Value::Text(text) if text.matches('(').count() != text.matches(')').count()));
        let hint = if has_parenthesis {
            Some("put quotes round an expression that contains a comma: \"min(a, b)\"".to_owned())
        } else if items.len() > 2 && items.iter().all(|item| matches!(item.value, Value::Number(_))) {
            Some("a comma parts two values; decimals are written with a point, as 12.5".to_owned())
        } else {
            None
        };
        self.fault(node.place, format!("{what} needs exactly two values, found {}", items.len()), hint)
    }

    /// The items of a list.
    pub fn list<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n [Node]> {
        match &node.value {
            _ if self.has_enough() => None,
            Value::List(items) => Some(items),
            other => self.fault(node.place, format!("{what} must be a list, found {}", other.kind()), None),
        }
    }

    /// Text that is not empty.
    pub fn text<'n>(&mut self, node: &'n Node, what: &str) -> Option<&'n str> {
        match &node.value {
            _ if self.has_enough() => None,
            Value::Text(text) if !text.trim().is_empty() => Some(text),
            Value::Text(_) => self.fault(node.place, format!("{what} must not be empty"), None),
            other => self.fault(node.place, format!("{what} must be text, found {}", other.kind()), None),
        }
    }

    /// One word out of a fixed choice.
    pub fn choice<T: Copy>(&mut self, node: &Node, what: &str, choices: &[(&str, T)]) -> Option<T> {
        let word = self.text(node, what)?;
        if let Some((_, value)) = choices.iter().find(|(name, _)| *name == word) {
            return Some(*value);
        }
        let names = || choices.iter().map(|(name, _)| *name);
        let hint = Some(format!("one of: {}", names().collect::<Vec<_>>().join(", ")));
        self.fault(node.place, format!("{what} cannot be `{word}`"), hint)
    }

    /// The index of a named thing.
    pub fn lookup<I: Copy>(&mut self, node: &Node, what: &str, names: &HashMap<String, I>) -> Option<I> {
        let name = self.text(node, what)?;
        if let Some(index) = names.get(name) {
            return Some(*index);
        }
        let mut known: Vec<&str> = names.keys().map(String::as_str).collect();
        known.sort_unstable();
        self.fault(node.place, format!("there is no {what} named `{name}`"), did_you_mean(name, known))
    }

    /// A table with none but the keys of `block`, each at most once.
    pub fn table<'n>(&mut self, node: &'n Node, what: &str, block: &'static Block) -> Option<Table<'n>> {
        let table = Table { block: Some(block), ..self.open_table(node, what)? };
        for (number, entry) in table.entries.iter().enumerate() {
            if self.has_enough() {
                return None;
            }
            let before = number.checked_sub(1).map(|before| &table.entries[before]);
            if let Some(decimals) = before.and_then(|before| decimal_comma(before, entry)) {
                let message = format!("`{decimals}` is written with a comma, which ends the entry here");
                let hint = "decimals are written with a point, as 0.031".to_owned();
                self.fault::<()>(entry.key_place, message, Some(hint));
            } else if block.key(&entry.key).is_none() {
                let hint = did_you_mean(&entry.key, block.names())
                    .or_else(|| Some("`coldseam keys` tells every key, and what may stand there".to_owned()));
                self.fault::<()>(entry.key_place, format!("{what} has no key `{}`", entry.key), hint);
            } else if matches!(entry.node.value, Value::Null) {
                let message = format!("`{}` has no value and counts as left out", entry.key);
                self.diagnostics.push(
                    Diagnostic::warning(entry.key_place, message).hint("write its value, or delete the key"),
                );
            }
        }
        Some(table)
    }

    /// A table whose keys are names chosen by the user, each at most once.
    pub fn open_table<'n>(&mut self, node: &'n Node, what: &str) -> Option<Table<'n>> {
        let Value::Table(entries) = &node.value else {
            return self.fault(
                node.place,
                format!("{what} must be a table of keys, found {}", node.value.kind()),
                None,
            );
        };
        let mut known = HashSet::new();
        for entry in entries {
            if self.has_enough() {
                return None;
            }
            if !known.insert(entry.key.as_str()) {
                let message = format!("`{}` is given twice in {what}", entry.key);
                let hint = "delete one of the two or rename it".to_owned();
                self.fault::<()>(entry.key_place, message, Some(hint));
            }
        }
        Some(Table { what: what.to_owned(), entries, place: node.place, block: None })
    }

    /// True for the name of a parameter.
    pub fn knows(&self, parameter: &str) -> bool {
        self.parameters.contains_key(parameter)
    }

    /// Notes that no parameter has this name.
    pub fn unknown_parameter(&mut self, name: &str, place: Place) {
        let hint = did_you_mean(name, self.parameters.keys().map(String::as_str));
        self.fault::<()>(place, format!("there is no parameter named `{name}`"), hint);
    }

    fn expression(&mut self, text: &str, place: Place) -> Option<f64> {
        let parameters = &self.parameters;
        match expression::evaluate(text, &|name| parameters.get(name).copied()) {
            Ok(value) => Some(value),
            Err(fault) => {
                let diagnostic = expression_fault(&fault, text, place, parameters.keys().map(String::as_str));
                self.diagnostics.push(diagnostic);
                self.faults += 1;
                None
            }
        }
    }
}

/// A number with a decimal comma, `0,031`, of which YAML makes two entries: `…: 0` and the key `031`.
fn decimal_comma(before: &Entry, entry: &Entry) -> Option<String> {
    let is_digits = !entry.key.is_empty() && entry.key.bytes().all(|byte| byte.is_ascii_digit());
    match (&before.node.value, &entry.node.value) {
        (Value::Number(whole), Value::Null)
            if is_digits && entry.key_place.start == before.node.place.end + 1 =>
        {
            Some(format!("{},{}", plain(*whole), entry.key))
        }
        _ => None,
    }
}

/// The finding for a fault in the expression `text` that stands at `place`.
pub fn expression_fault<'a>(
    fault: &expression::Fault,
    text: &str,
    place: Place,
    known: impl IntoIterator<Item = &'a str>,
) -> Diagnostic {
    // Inside quotes or folded text the offsets do not match the file; then the whole value is marked.
    let exact = place.end.saturating_sub(place.start) == text.len();
    let within = if exact {
        Place { start: place.start + fault.start, end: place.start + fault.end, ..place }
    } else {
        place
    };
    match &fault.kind {
        FaultKind::UnknownName(name) => {
            Diagnostic::error(within, format!("there is no parameter named `{name}`"))
                .maybe_hint(did_you_mean(name, known))
                .maybe_hint_if_missing("a number may be an expression of the names under `parameters:`")
        }
        FaultKind::Expected(what) => {
            let balanced = text.matches('(').count() == text.matches(')').count();
            let after_number =
                text[..fault.start].trim_end().ends_with(|last: char| last.is_ascii_digit() || last == '.');
            let hint = if let Some(hint) = typographic(text) {
                hint
            } else if balanced && after_number && *what == "an operator or the end" {
                "a number is written in decimals with a point, without separators or a unit: 1000, 0.5, 1e-3"
            } else if balanced {
                "expressions know + - * / ( ) min(…) max(…) sqrt(…) sin(…) cos(…) tan(…) of degrees, numbers and parameters"
            } else {
                "the parentheses do not match; put quotes round an expression that contains a comma: \"min(a, b)\""
            };
            Diagnostic::error(within, format!("cannot understand the expression `{text}`: expected {what}"))
                .hint(hint)
        }
        FaultKind::NotFinite => {
            let part = &text[fault.start..fault.end];
            let message = if part == text.trim() {
                format!("the expression `{text}` has no finite value")
            } else {
                format!("`{part}` in the expression `{text}` has no finite value")
            };
            Diagnostic::error(within, message).hint("it divides by zero or overflows with these parameters")
        }
        FaultKind::TooLong => Diagnostic::error(within, "this expression is too long or too deeply nested")
            .hint("give its parts names under `parameters:`"),
    }
}

/// What to write instead of the signs that word processors put for those of the keyboard.
fn typographic(text: &str) -> Option<&'static str> {
    const DASHES: [char; 7] =
        ['\u{2212}', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{fe63}'];
    const QUOTES: [char; 10] = ['“', '”', '„', '‟', '‘', '’', '‚', '«', '»', '`'];
    if text.contains(DASHES) {
        Some("a minus is the plain `-` of the keyboard; this is a typographic dash")
    } else if text.contains(QUOTES) {
        Some("a number needs no quotes; those round an expression are the straight ones of the keyboard")
    } else if text.contains(['×', '·', '÷', '∙', '⋅']) {
        Some("times is written *, and divided by /")
    } else {
        None
    }
}

impl Diagnostic {
    fn maybe_hint_if_missing(self, hint: &str) -> Self {
        if self.hint.is_none() { self.hint(hint) } else { self }
    }
}
