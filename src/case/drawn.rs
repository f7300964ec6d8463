//! Which parameters a drawing is made of: those that its lengths are written with, by way of others perhaps.

use std::collections::HashSet;

use super::expression;
use super::node::{Node, Value};

/// The keys of a case that say where something is.
const DRAWN: [&str; 5] = ["extent", "plan", "surfaces", "psi", "points"];
/// What stands under these and is no length.
const NO_LENGTH: [&str; 4] = ["resistance", "u_value", "element", "heat_flow"];

/// The parameters, of some definitions, that the drawing of a case uses.
pub(super) fn parameters(main: &Node, definitions: &[(String, Node)]) -> HashSet<String> {
    let mut used = HashSet::new();
    if let Value::Table(entries) = &main.value {
        let drawn = entries.iter().filter(|entry| DRAWN.contains(&entry.key.as_str()));
        drawn.for_each(|entry| add_names(&entry.node, &mut used));
    }
    let mut open: Vec<String> = used.iter().cloned().collect();
    while let Some(name) = open.pop() {
        let Some((_, definition)) = definitions.iter().find(|(known, _)| *known == name) else { continue };
        let mut needed = HashSet::new();
        add_names(definition, &mut needed);
        open.extend(needed.into_iter().filter(|name| used.insert(name.clone())));
    }
    used
}

/// Adds the names that expressions of a node hold.
fn add_names(node: &Node, names: &mut HashSet<String>) {
    match &node.value {
        Value::Text(text) => names.extend(expression::names(text).into_iter().map(str::to_owned)),
        Value::List(items) => items.iter().for_each(|item| add_names(item, names)),
        Value::Table(entries) => {
            let lengths = entries.iter().filter(|entry| !NO_LENGTH.contains(&entry.key.as_str()));
            lengths.for_each(|entry| add_names(&entry.node, names));
        }
        Value::Null | Value::Bool | Value::Number(_) => {}
    }
}
