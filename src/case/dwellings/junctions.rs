//! A junction of the dwelling: its length, and where its ψ comes from.

use super::{Between, CasePsi, Exception, Junction, PsiSource, measured_alike, reduction};
use crate::case::diagnostic::Diagnostic;
use crate::case::keys;
use crate::case::node::{Node, Value};
use crate::case::reader::Reader;
use crate::case::suggestion::did_you_mean;
use crate::model::Convention;

/// Reads one entry of `junctions`.
pub(super) fn junction(
    reader: &mut Reader,
    node: &Node,
    elements: &[&str],
    dwelling: Option<Convention>,
) -> Option<Junction> {
    let table = reader.table(node, "a junction", &keys::JUNCTION)?;
    let name = table.needed_text(reader, "junction").map(str::to_owned);
    let length = table.needed_number(reader, "length");
    let reduction = reduction(reader, &table, table.get("case").is_some());
    let says_convention = measured_alike(reader, &table, "the ψ of this junction", dwelling);
    let psi = match (table.get("psi"), table.get("case")) {
        (Some(psi), None) => {
            let place = psi.place;
            let psi = table.number(reader, "psi");
            let source = if let Some(source) = table.get("source") {
                reader.text(source, "source").map(str::to_owned)
            } else {
                let hint = "`source: \"default value of the code, table …\"`, or `case: FILE` to compute it"
                    .to_owned();
                reader.fault(node.place, "a stated ψ needs a `source`", Some(hint))
            };
            if let (false, Some(dwelling)) = (says_convention, dwelling) {
                let message = format!(
                    "this ψ does not say by which dimensions it is; it is added as one by {} dimensions",
                    dwelling.label()
                );
                let hint = format!(
                    "look it up in its source, and write `convention: {}` if it is so",
                    dwelling.key()
                );
                reader.diagnostics.push(Diagnostic::warning(place, message).hint(hint));
            }
            psi.zip(source).map(|(psi, source)| PsiSource::Given(psi, source))
        }
        (None, Some(case)) => {
            let file = reader.text(case, "case").map(str::to_owned);
            let mut exceptions = Vec::new();
            if let Some(table) = table.get("set").and_then(|node| reader.open_table(node, "set")) {
                for entry in table.entries() {
                    let value = match &entry.node.value {
                        Value::Number(value) => Some(format!("{value}")),
                        Value::Text(text) => Some(text.clone()),
                        _ => reader.fault(
                            entry.node.place,
                            format!("{} must be a number or an expression", entry.key),
                            None,
                        ),
                    };
                    let (name_place, place) = (entry.key_place, entry.node.place);
                    let exception =
                        |value| Exception { set: format!("{}={value}", entry.key), name_place, place };
                    exceptions.extend(value.map(exception));
                }
            }
            let between = table.get("between").and_then(|node| between(reader, node));
            file.map(|file| PsiSource::Case(CasePsi { file, exceptions, between }))
        }
        _ => {
            let hint = "`case: plinth.yaml` computes it, `psi: 0.05` with a `source` states it".to_owned();
            reader.fault(node.place, "a junction needs one source of its ψ", Some(hint))
        }
    };
    for (key, goes_with) in [("source", "psi"), ("set", "case"), ("match", "case"), ("between", "case")] {
        if let Some(extra) = table.get(key).filter(|_| table.get(goes_with).is_none()) {
            reader.fault::<()>(extra.place, format!("`{key}` goes with `{goes_with}`"), None);
        }
    }
    let matches = table.get("match").map(|node| matches(reader, node, elements)).unwrap_or_default();
    let name = name?.trim().to_owned();
    Some(Junction { name, length: length?, psi: psi?, matches, reduction: reduction?, place: node.place })
}

/// `[room, outside]`; each side may be a list.
fn between(reader: &mut Reader, node: &Node) -> Option<Between> {
    let mut side = |node: &Node| -> Option<Vec<String>> {
        let one = |reader: &mut Reader, node: &Node| {
            reader.text(node, "an environment").map(|name| name.trim().to_owned())
        };
        match &node.value {
            Value::List(items) => items.iter().map(|item| one(reader, item)).collect(),
            _ => Some(vec![one(reader, node)?]),
        }
    };
    let Value::List(items) = &node.value else {
        let hint = "the environments on either side: `between: [room, outside]`".to_owned();
        return reader.fault(node.place, "`between` must be a list of two", Some(hint));
    };
    let [first, second] = items.as_slice() else {
        let hint =
            "the environments on either side: `between: [room, outside]`; a side may be a list".to_owned();
        return reader.fault(node.place, format!("`between` has {} sides", items.len()), Some(hint));
    };
    Some(Between { sides: [side(first)?, side(second)?], place: node.place })
}

/// Flanking elements of the case, and the element of the dwelling that each is, or `none`.
fn matches(reader: &mut Reader, node: &Node, elements: &[&str]) -> Vec<(String, Option<String>)> {
    let Some(table) = reader.open_table(node, "match") else { return Vec::new() };
    let mut matches = Vec::new();
    for entry in table.entries() {
        let Some(name) = reader.text(&entry.node, "the element of the dwelling").map(str::trim) else {
            continue;
        };
        if name == "none" || elements.contains(&name) {
            matches.push((entry.key.clone(), (name != "none").then(|| name.to_owned())));
        } else {
            let hint = did_you_mean(name, elements.iter().copied());
            reader.fault::<()>(entry.node.place, format!("the dwelling has no element named `{name}`"), hint);
        }
    }
    matches
}
