//! The `dwelling:` block: plane elements with their areas and junctions with their lengths, to be added up.

use super::diagnostic::Place;
use super::document::Convention;
use super::interpret::Names;
use super::node::{Node, Value};
use super::reader::{Allowed, Reader};
use super::suggestion::did_you_mean;
use crate::element::{correction, ground, resistance};

pub const DWELLING_KEYS: [&str; 3] = ["convention", "elements", "junctions"];
pub const ELEMENT_KEYS: [&str; 7] = ["element", "area", "u_value", "build_up", "floor", "window", "reduction"];
pub const JUNCTION_KEYS: [&str; 7] = ["junction", "length", "psi", "source", "case", "set", "reduction"];

/// A dwelling as far as heat passes through its envelope.
#[derive(Clone, Debug, PartialEq)]
pub struct Dwelling {
    /// How all lengths and areas are measured.
    pub convention: Convention,
    /// Plane elements.
    pub elements: Vec<Element>,
    /// Junctions.
    pub junctions: Vec<Junction>,
}

/// A plane element.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Its name.
    pub name: String,
    /// m².
    pub area: f64,
    /// W/(m²K).
    pub u_value: f64,
    /// Where U comes from.
    pub origin: String,
    /// Temperature reduction factor b: 1 towards outside, less towards a space that is not heated.
    pub reduction: f64,
}

/// A junction.
#[derive(Clone, Debug, PartialEq)]
pub struct Junction {
    /// Its name.
    pub name: String,
    /// m.
    pub length: f64,
    /// Where ψ comes from.
    pub psi: PsiSource,
    /// As for elements.
    pub reduction: f64,
    /// Where it is written.
    pub place: Place,
}

/// Where the ψ of a junction comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum PsiSource {
    /// Stated, W/(m·K), with where it is from.
    Given(f64, String),
    /// Computed from a case: its file, from the folder of the dwelling's, and `NAME=VALUE` for parameters.
    Case(String, Vec<String>),
}

/// Reads the block.
pub fn read(reader: &mut Reader, names: &Names, node: &Node) -> Option<Dwelling> {
    let table = reader.table(node, "`dwelling`", &DWELLING_KEYS)?;
    let conventions = Convention::ALL.map(|convention| (convention.key(), convention));
    let convention = table.require(reader, "convention").and_then(|node| reader.choice(node, "convention", &conventions));
    let elements = table.get("elements").and_then(|node| reader.list(node, "elements")).unwrap_or_default();
    let junctions = table.get("junctions").and_then(|node| reader.list(node, "junctions")).unwrap_or_default();
    if elements.is_empty() && junctions.is_empty() {
        return reader.fault(node.place, "a dwelling needs `elements` or `junctions`", None);
    }
    let elements: Vec<Option<Element>> = elements.iter().map(|item| element(reader, names, item)).collect();
    let junctions: Vec<Option<Junction>> = junctions.iter().map(|item| junction(reader, item)).collect();
    Some(Dwelling {
        convention: convention?,
        elements: elements.into_iter().collect::<Option<_>>()?,
        junctions: junctions.into_iter().collect::<Option<_>>()?,
    })
}

/// One of several named things, by the name in the node.
fn named<'n, T>(reader: &mut Reader, node: &Node, what: &str, all: &'n [T], name_of: impl Fn(&T) -> &str) -> Option<&'n T> {
    let name = reader.text(node, what)?;
    if let Some(found) = all.iter().find(|one| name_of(one) == name) {
        return Some(found);
    }
    let hint = did_you_mean(name, all.iter().map(&name_of));
    reader.fault(node.place, format!("there is no {what} named `{name}`"), hint)
}

fn element(reader: &mut Reader, names: &Names, node: &Node) -> Option<Element> {
    let table = reader.table(node, "an element", &ELEMENT_KEYS)?;
    let name = table.require(reader, "element").and_then(|node| reader.text(node, "element").map(str::to_owned));
    let area = table.require(reader, "area").and_then(|node| reader.number(node, "area in m²", Allowed::Positive(1e6)));
    let reduction =
        table.get("reduction").map_or(Some(1.0), |node| reader.number(node, "reduction (0 to 1)", Allowed::Between(0.0, 1.0)));
    let kinds: Vec<&str> =
        ["u_value", "build_up", "floor", "window"].into_iter().filter(|key| table.get(key).is_some()).collect();
    let source = match kinds.as_slice() {
        ["u_value"] => table
            .get("u_value")
            .and_then(|node| reader.number(node, "u_value in W/(m²K)", Allowed::Between(0.0, 100.0)))
            .map(|u_value| (u_value, "stated".to_owned())),
        ["build_up"] => table.get("build_up").and_then(|node| names.build_up(reader, node)).map(|build_up| {
            let u_value = correction::corrected(&build_up, &resistance::total(&build_up)).u_value;
            (u_value, format!("build-up {}, ISO 6946", build_up.name))
        }),
        ["floor"] => table
            .get("floor")
            .and_then(|node| named(reader, node, "floor", &names.floors, |floor| floor.name.as_str()))
            .map(|floor| (ground::u_value(&floor.floor).u_value, format!("floor {}, ISO 13370", floor.name))),
        ["window"] => table
            .get("window")
            .and_then(|node| named(reader, node, "window", &names.windows, |window| window.name.as_str()))
            .map(|window| (window.window.u_value(), format!("window {}, ISO 10077-1", window.name))),
        _ => {
            let hint =
                "`u_value: …`, or the name of a `build_up`, `floor` or `window` of this file or an included one".to_owned();
            reader.fault(node.place, "an element needs one source of its U-value", Some(hint))
        }
    };
    let (u_value, origin) = source?;
    Some(Element { name: name?.trim().to_owned(), area: area?, u_value, origin, reduction: reduction? })
}

fn junction(reader: &mut Reader, node: &Node) -> Option<Junction> {
    let table = reader.table(node, "a junction", &JUNCTION_KEYS)?;
    let name = table.require(reader, "junction").and_then(|node| reader.text(node, "junction").map(str::to_owned));
    let length = table.require(reader, "length").and_then(|node| reader.number(node, "length in m", Allowed::Positive(1e5)));
    let reduction =
        table.get("reduction").map_or(Some(1.0), |node| reader.number(node, "reduction (0 to 1)", Allowed::Between(0.0, 1.0)));
    let psi = match (table.get("psi"), table.get("case")) {
        (Some(psi), None) => {
            let psi = reader.number(psi, "psi in W/(m·K)", Allowed::Between(-100.0, 100.0));
            let source = if let Some(source) = table.get("source") {
                reader.text(source, "source").map(str::to_owned)
            } else {
                let hint = "`source: \"default value of the code, table …\"`, or `case: FILE` to compute it".to_owned();
                reader.fault(node.place, "a stated ψ needs a `source`", Some(hint))
            };
            psi.zip(source).map(|(psi, source)| PsiSource::Given(psi, source))
        }
        (None, Some(case)) => {
            let file = reader.text(case, "case").map(str::to_owned);
            let mut sets = Vec::new();
            if let Some(table) = table.get("set").and_then(|node| reader.open_table(node, "set")) {
                for entry in table.entries() {
                    let value = match &entry.node.value {
                        Value::Number(value) => Some(format!("{value}")),
                        Value::Text(text) => Some(text.clone()),
                        _ => reader.fault(entry.node.place, format!("{} must be a number or an expression", entry.key), None),
                    };
                    sets.extend(value.map(|value| format!("{}={value}", entry.key)));
                }
            }
            file.map(|file| PsiSource::Case(file, sets))
        }
        _ => {
            let hint = "`case: plinth.yaml` computes it, `psi: 0.05` with a `source` states it".to_owned();
            reader.fault(node.place, "a junction needs one source of its ψ", Some(hint))
        }
    };
    for (key, goes_with) in [("source", "psi"), ("set", "case")] {
        if let Some(extra) = table.get(key).filter(|_| table.get(goes_with).is_none()) {
            reader.fault::<()>(extra.place, format!("`{key}` goes with `{goes_with}`"), None);
        }
    }
    Some(Junction { name: name?.trim().to_owned(), length: length?, psi: psi?, reduction: reduction?, place: node.place })
}
