//! Parameters and the `--set` values that replace them, evaluated in the order in which they need each other.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::diagnostic::{Diagnostic, Place};
use super::drawn;
use super::expression;
use super::gather::Gatherer;
use super::node::{Node, Value};
use super::reader::{Reader, expression_fault};
use super::suggestion::did_you_mean;
use crate::ranges::{self, plain};

/// The parameters whose expressions need, by way of others perhaps, their own value.
fn going_round<'a>(waiting: &[&'a (String, Node)]) -> HashSet<&'a str> {
    let named = |node: &'a Node| match &node.value {
        Value::Text(text) => expression::names(text),
        _ => Vec::new(),
    };
    let needs: HashMap<&str, Vec<&str>> =
        waiting.iter().map(|(name, node)| (name.as_str(), named(node))).collect();
    needs.keys().copied().filter(|name| leads_back(name, &needs)).collect()
}

fn leads_back(name: &str, needs: &HashMap<&str, Vec<&str>>) -> bool {
    let mut seen: HashSet<&str> = HashSet::new();
    let mut open: Vec<&str> = vec![name];
    while let Some(one) = open.pop() {
        for needed in needs.get(one).into_iter().flatten() {
            if *needed == name {
                return true;
            }
            if seen.insert(needed) {
                open.push(needed);
            }
        }
    }
    false
}

impl Gatherer {
    /// Evaluates all parameters: those of the includes, replaced by the case's, replaced by `--set`.
    /// The second list names those that are numbers.
    pub(super) fn parameters(&mut self, main: &Node, sets: &[String]) -> (Vec<(String, f64)>, Vec<String>) {
        let mut definitions: Vec<(String, Node)> = Vec::new();
        let mut define =
            |name: &str, node: Node| match definitions.iter_mut().find(|(known, _)| known == name) {
                Some((_, definition)) => *definition = node,
                None => definitions.push((name.to_owned(), node)),
            };
        let mut reader = Reader::new(BTreeMap::new());
        for tree in self.included.iter().chain([main]) {
            let Value::Table(entries) = &tree.value else { continue };
            let Some(entry) = entries.iter().find(|entry| entry.key == "parameters") else { continue };
            if matches!(entry.node.value, Value::Null) {
                continue;
            }
            let Some(table) = reader.open_table(&entry.node, "parameters") else { continue };
            for entry in table.entries() {
                if expression::is_name(&entry.key) {
                    define(&entry.key, entry.node.clone());
                } else {
                    let message = format!("`{}` cannot name a parameter", entry.key);
                    let hint = "names are made of letters, digits and _, begin with a letter, and are not `min` or `max`";
                    reader.diagnostics.push(Diagnostic::error(entry.key_place, message).hint(hint));
                }
            }
        }
        self.diagnostics.append(&mut reader.diagnostics);
        let mut replaced: Vec<(String, f64, Place)> = Vec::new();
        for set in sets {
            let file = self.sources.add("--set", set);
            let place = Place { file, start: 0, end: set.len() };
            let Some((name, value)) = set.split_once('=') else {
                self.diagnostics.push(
                    Diagnostic::error(place, "--set needs NAME=VALUE")
                        .hint("for example: --set insulation=160"),
                );
                continue;
            };
            let name = name.trim();
            if let Some((_, definition)) = definitions.iter_mut().find(|(known, _)| known == name) {
                let place = Place { start: set.len() - value.len(), ..place };
                if let Value::Number(written) = definition.value {
                    replaced.push((name.to_owned(), written, place));
                }
                *definition = Node { value: Value::Text(value.to_owned()), place };
            } else {
                let hint = if definitions.is_empty() {
                    Some("the file has no `parameters:`".to_owned())
                } else {
                    did_you_mean(name, definitions.iter().map(|(name, _)| name.as_str()))
                };
                let place = Place { end: name.len(), ..place };
                self.diagnostics.push(
                    Diagnostic::error(
                        place,
                        format!("{} has no parameter named `{name}`", self.sources.get(0).name),
                    )
                    .maybe_hint(hint),
                );
            }
        }
        let is_number = |node: &Node| match &node.value {
            Value::Text(text) => expression::names(text).into_iter().next().is_none(),
            _ => true,
        };
        let free =
            definitions.iter().filter(|(_, node)| is_number(node)).map(|(name, _)| name.clone()).collect();
        let values = self.evaluate(&definitions);
        let drawn = drawn::parameters(main, &definitions);
        for (name, written, place) in replaced {
            let set = values.iter().find(|(known, _)| *known == name).map_or(written, |(_, value)| *value);
            // Thicknesses and distances keep their sign in every variant; where shapes are drawn over one
            // another, a negative one draws something else that looks whole. Temperatures may have any sign.
            if set * written < 0.0 && drawn.contains(&name) {
                let message = format!("`{name}` is {}, where the file has {}", plain(set), plain(written));
                let hint = "with the other sign the drawing is another: look at the picture of the plan";
                self.diagnostics.push(Diagnostic::warning(place, message).hint(hint));
            }
        }
        (values, free)
    }

    /// Parameters may be expressions of other parameters, in any order.
    fn evaluate(&mut self, definitions: &[(String, Node)]) -> Vec<(String, f64)> {
        let mut reader = Reader::new(BTreeMap::new());
        let mut pending: Vec<&(String, Node)> = definitions.iter().collect();
        loop {
            let names: HashSet<&str> = pending.iter().map(|(name, _)| name.as_str()).collect();
            let is_pending = |word: &str| names.contains(word);
            let waits = |node: &Node| matches!(&node.value, Value::Text(text) if expression::names(text).into_iter().any(is_pending));
            let (waiting, ready): (Vec<_>, Vec<_>) =
                pending.iter().copied().partition(|(_, node)| waits(node));
            if ready.is_empty() {
                let round = going_round(&waiting);
                for (name, node) in waiting {
                    // Those that only need a faulty one have no fault of their own.
                    if !round.contains(name.as_str()) {
                        reader.define(name, 1.0);
                        continue;
                    }
                    let hint = if self.sources.get(node.place.file).name == "--set" {
                        "what is set takes the place of the file's value: write the number itself"
                    } else {
                        "its expression leads back to itself"
                    };
                    self.diagnostics.push(
                        Diagnostic::error(node.place, format!("the parameter `{name}` depends on itself"))
                            .hint(hint),
                    );
                    reader.define(name, 1.0);
                }
                break;
            }
            for (name, node) in ready {
                let value = self.parameter(&mut reader, name, node, definitions);
                // A placeholder keeps one faulty parameter from faulting every expression that uses it.
                reader.define(name, value.unwrap_or(1.0));
            }
            pending = waiting;
        }
        self.diagnostics.append(&mut reader.diagnostics);
        definitions.iter().map(|(name, _)| (name.clone(), reader.value_of(name).unwrap_or(1.0))).collect()
    }

    fn parameter(
        &mut self,
        reader: &mut Reader,
        name: &str,
        node: &Node,
        definitions: &[(String, Node)],
    ) -> Option<f64> {
        if let Value::Text(text) = &node.value
            && let Err(fault) = expression::evaluate(text, &|word| reader.value_of(word))
        {
            let names = definitions.iter().map(|(name, _)| name.as_str());
            self.diagnostics.push(expression_fault(&fault, text, node.place, names));
            return None;
        }
        reader.number(node, &format!("the parameter `{name}`"), ranges::PARAMETER)
    }
}
