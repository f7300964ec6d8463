//! Advice for errors that have none of their own: what may stand at the key where they were found.

use std::collections::HashMap;

use super::{Block, CASE, Key, Kind};
use crate::case::diagnostic::{Diagnostic, Place, Severity};
use crate::case::node::{Node, Value};

impl Key {
    /// What stands there and how it is written, for whoever wrote something else.
    pub fn advice(&self) -> String {
        let example = if self.example.is_empty() {
            String::new()
        } else {
            format!(", as `{}: {}`", self.name, self.example)
        };
        let words = self.kind.words();
        let words = if words == "table" { "a table of keys" } else { words.as_str() };
        format!("`{}` takes {words}{example}", self.name)
    }
}

type Places = HashMap<Place, &'static Key>;

/// Gives advice to the errors in a file, or in those that it includes, that have none.
pub fn advise(diagnostics: &mut [Diagnostic], main: &Node, included: &[Node]) {
    let needs_advice = |finding: &Diagnostic| finding.severity == Severity::Error && finding.hint.is_none();
    if !diagnostics.iter().any(needs_advice) {
        return;
    }
    let mut places = Places::new();
    for tree in included.iter().chain([main]) {
        in_table(tree, &CASE, &mut places);
    }
    for finding in diagnostics.iter_mut().filter(|finding| needs_advice(finding)) {
        if let Some(key) = finding.place.and_then(|place| places.get(&place)) {
            finding.hint = Some(key.advice());
        }
    }
}

fn in_table(node: &Node, block: &'static Block, places: &mut Places) {
    let Value::Table(entries) = &node.value else { return };
    for entry in entries {
        if let Some(key) = block.key(&entry.key) {
            places.insert(entry.key_place, key);
            in_value(&entry.node, &key.kind, key, places);
        }
    }
}

fn in_value(node: &Node, kind: &'static Kind, key: &'static Key, places: &mut Places) {
    // Of several kinds that may stand here the first that fits a place gives the advice.
    places.entry(node.place).or_insert(key);
    match (kind, &node.value) {
        (Kind::Table(block), Value::Table(_)) => in_table(node, block, places),
        (Kind::Named(_, _, kind), Value::Table(entries)) => {
            for entry in entries {
                places.entry(entry.key_place).or_insert(key);
                in_value(&entry.node, kind, key, places);
            }
        }
        (Kind::List(_, kind) | Kind::Lists(_, kind), Value::List(items)) => {
            for item in items {
                in_value(item, kind, key, places);
            }
        }
        (Kind::Either(kinds), _) => kinds.iter().for_each(|kind| in_value(node, kind, key, places)),
        // A list where none belongs, or one too deep.
        (_, Value::List(items)) => {
            for item in items {
                in_value(item, &Kind::Text, key, places);
            }
        }
        _ => {}
    }
}
