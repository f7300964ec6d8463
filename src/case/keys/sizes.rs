//! Lists that are longer than any real file's, found before time is spent on them.

use super::{Block, Kind};
use crate::case::diagnostic::Diagnostic;
use crate::case::node::{Node, Value};

/// An error at the first entry too many of each list and each table of names.
pub fn oversized(node: &Node, block: &Block) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    in_table(node, block, &mut found);
    // A list that may hold several kinds of tables has been looked through once for each.
    found.dedup();
    found
}

fn in_table(node: &Node, block: &Block, found: &mut Vec<Diagnostic>) {
    let Value::Table(entries) = &node.value else { return };
    for entry in entries {
        if let Some(key) = block.key(&entry.key) {
            in_value(&entry.node, &key.kind, &entry.key, found);
        }
    }
}

fn in_value(node: &Node, kind: &Kind, key: &str, found: &mut Vec<Diagnostic>) {
    let mut too_many = |count: usize, most: usize, first: &Node| {
        let message = format!("`{key}` has {count} entries; at most {most} are handled");
        found.push(Diagnostic::error(first.place, message).hint("the first one too many is here"));
    };
    match (kind, &node.value) {
        (Kind::List(most, kind), Value::List(items)) => match items.get(*most) {
            Some(first) => too_many(items.len(), *most, first),
            None => items.iter().for_each(|item| in_value(item, kind, key, found)),
        },
        (Kind::Named(_, most, kind), Value::Table(entries)) => match entries.get(*most) {
            Some(first) => too_many(entries.len(), *most, &first.node),
            None => entries.iter().for_each(|entry| in_value(&entry.node, kind, &entry.key, found)),
        },
        (Kind::Pair(kinds), Value::List(items)) => {
            items.iter().zip(kinds).for_each(|(item, (_, kind))| in_value(item, kind, key, found));
        }
        (Kind::Table(block), Value::Table(_)) => in_table(node, block, found),
        (Kind::Either(kinds), _) => kinds.iter().for_each(|kind| in_value(node, kind, key, found)),
        _ => {}
    }
}
