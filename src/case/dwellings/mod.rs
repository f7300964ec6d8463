//! The `dwelling:` block: plane elements with their areas and junctions with their lengths, to be added up.

mod junctions;

use std::collections::HashSet;

use self::junctions::junction;
use crate::case::diagnostic::{Diagnostic, Place};
use crate::case::floors::NamedFloor;
use crate::case::keys;
use crate::case::names::Names;
use crate::case::node::{Node, Value};
use crate::case::reader::Reader;
use crate::case::suggestion::did_you_mean;
use crate::case::table::Table;
use crate::element::ground::FloorKind;
use crate::element::{correction, ground, limits, resistance};
use crate::model::Convention;

/// Areas of one floor, by internal dimensions, agree to this share.
const SAME_AREA: f64 = 0.01;

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
    /// What U comes from.
    pub source: ElementSource,
    /// The same for readers.
    pub origin: String,
    /// Temperature reduction factor b: 1 towards outside, less towards a space that is not heated.
    pub reduction: Reduction,
    /// What a reader should know of the U-value, a sentence each.
    pub notes: Vec<String>,
    /// Where it is written.
    pub place: Place,
}

/// What the U-value of an element of a dwelling comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum ElementSource {
    /// The file states it.
    Stated,
    /// A build-up.
    BuildUp {
        /// Its name.
        name: String,
        /// U before corrections, W/(m²K): fixings and the like are in no drawing.
        uncorrected: f64,
    },
    /// A floor over the ground.
    Floor(Box<NamedFloor>),
    /// The walls of a basement, in a row of their own beside its floor.
    BasementWalls,
    /// A window, by name.
    Window(String),
}

impl ElementSource {
    /// The name of the build-up, floor or window.
    pub fn name(&self) -> Option<&str> {
        match self {
            Self::BuildUp { name, .. } | Self::Window(name) => Some(name),
            Self::Floor(floor) => Some(&floor.name),
            Self::Stated | Self::BasementWalls => None,
        }
    }
}

/// The temperature reduction factor b of ISO 13789.
#[derive(Clone, Debug, PartialEq)]
pub enum Reduction {
    /// Not stated: 1.
    Unstated,
    /// Stated, or computed from temperatures.
    Known(f64),
    /// To be computed from the temperatures of a case: (θi − θu)/(θi − θe).
    Temperatures {
        /// The case's file, from the folder of the dwelling's; `None` for that of the junction itself.
        file: Option<String>,
        /// The environment that is not heated; `None` for the only one.
        space: Option<String>,
        /// Where it is written.
        place: Place,
    },
}

impl Reduction {
    /// b, once it is known.
    pub fn value(&self) -> f64 {
        if let Self::Known(value) = self { *value } else { 1.0 }
    }
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
    /// Which element of the dwelling a flanking element of the case is; `None` for none of them.
    pub matches: Vec<(String, Option<String>)>,
    /// As for elements.
    pub reduction: Reduction,
    /// Where it is written.
    pub place: Place,
}

/// Where the ψ of a junction comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum PsiSource {
    /// Stated, W/(m·K), with where it is from.
    Given(f64, String),
    /// Computed from a case.
    Case(CasePsi),
}

/// ψ computed from a case.
#[derive(Clone, Debug, PartialEq)]
pub struct CasePsi {
    /// The file, from the folder of the dwelling's.
    pub file: String,
    /// What the junction keeps for itself.
    pub exceptions: Vec<Exception>,
    /// The environments on either side, where the junction names them: a case may state ψ for several pairs.
    pub between: Option<Between>,
}

/// A parameter of a junction's case that is not the dwelling's.
#[derive(Clone, Debug, PartialEq)]
pub struct Exception {
    /// `NAME=VALUE`.
    pub set: String,
    /// Where the name is written.
    pub name_place: Place,
    /// Where the value is written.
    pub place: Place,
}

/// The names of the environments on either side of a junction.
#[derive(Clone, Debug, PartialEq)]
pub struct Between {
    /// One or more a side.
    pub sides: [Vec<String>; 2],
    /// Where they are written.
    pub place: Place,
}

/// Reads the block.
pub fn read(reader: &mut Reader, names: &Names, node: &Node) -> Option<Dwelling> {
    let table = reader.table(node, "`dwelling`", &keys::DWELLING)?;
    let convention = table.require(reader, "convention").and_then(|node| self::convention(reader, node));
    let elements = table.get("elements").and_then(|node| reader.list(node, "elements")).unwrap_or_default();
    let junctions =
        table.get("junctions").and_then(|node| reader.list(node, "junctions")).unwrap_or_default();
    if elements.is_empty() && junctions.is_empty() {
        return reader.fault(node.place, "a dwelling needs `elements` or `junctions`", None);
    }
    let elements: Vec<Option<Vec<Element>>> =
        elements.iter().map(|item| element(reader, names, item, convention)).collect();
    let known: Vec<&str> = elements.iter().flatten().flatten().map(|element| element.name.as_str()).collect();
    let junctions: Vec<Option<Junction>> =
        junctions.iter().map(|item| junction(reader, item, &known, convention)).collect();
    let elements: Vec<Element> =
        elements.into_iter().collect::<Option<Vec<_>>>()?.into_iter().flatten().collect();
    let junctions: Vec<Junction> = junctions.into_iter().collect::<Option<_>>()?;
    twice(reader, "element", elements.iter().map(|element| (element.name.as_str(), element.place)));
    twice(reader, "junction", junctions.iter().map(|junction| (junction.name.as_str(), junction.place)));
    Some(Dwelling { convention: convention?, elements, junctions })
}

/// Warns of what stands twice: both are added up, and a copied entry is easily forgotten.
fn twice<'a>(reader: &mut Reader, what: &str, named: impl Iterator<Item = (&'a str, Place)>) {
    let mut known = HashSet::new();
    for (name, place) in named {
        if !known.insert(name) {
            let message = format!("the {what} `{name}` stands twice, and both are added up");
            let hint = "strike one of them, or give them names that tell them apart";
            reader.diagnostics.push(Diagnostic::warning(place, message).hint(hint));
        }
    }
}

fn convention(reader: &mut Reader, node: &Node) -> Option<Convention> {
    let conventions = Convention::ALL.map(|convention| (convention.key(), convention));
    reader.choice(node, "convention", &conventions)
}

/// Areas and ψ that say how they are measured must be measured as the dwelling is. Returns true if this says
/// so at all.
fn measured_alike(reader: &mut Reader, table: &Table<'_>, what: &str, dwelling: Option<Convention>) -> bool {
    let Some(node) = table.get("convention") else { return false };
    if let (Some(own), Some(dwelling)) = (convention(reader, node), dwelling)
        && own != dwelling
    {
        let message = format!(
            "{what} is by {} dimensions and the dwelling adds up by {} ones",
            own.label(),
            dwelling.label()
        );
        let hint = "ψ and areas of different conventions cannot be added: the same heat would count twice or not at all";
        reader.fault::<()>(node.place, message, Some(hint.to_owned()));
    }
    true
}

/// One of several named things, by the name in the node.
fn named<'n, T>(
    reader: &mut Reader,
    node: &Node,
    what: &str,
    all: &'n [T],
    name_of: impl Fn(&T) -> &str,
) -> Option<&'n T> {
    let name = reader.text(node, what)?;
    if let Some(found) = all.iter().find(|one| name_of(one) == name) {
        return Some(found);
    }
    let hint = did_you_mean(name, all.iter().map(&name_of));
    reader.fault(node.place, format!("there is no {what} named `{name}`"), hint)
}

/// An element; the floor of a basement is followed by the basement's walls.
fn element(
    reader: &mut Reader,
    names: &Names,
    node: &Node,
    dwelling: Option<Convention>,
) -> Option<Vec<Element>> {
    let table = reader.table(node, "an element", &keys::ELEMENT)?;
    let name = table.needed_text(reader, "element").map(str::to_owned);
    let area = table.needed_number(reader, "area");
    let reduction = reduction(reader, &table, false);
    measured_alike(reader, &table, "the area of this element", dwelling);
    let kinds: Vec<&str> = ["u_value", "build_up", "floor", "window"]
        .into_iter()
        .filter(|key| table.get(key).is_some())
        .collect();
    let source = match kinds.as_slice() {
        ["u_value"] => table
            .number(reader, "u_value")
            .map(|u_value| (u_value, "stated".to_owned(), ElementSource::Stated)),
        ["build_up"] => table.get("build_up").and_then(|node| names.build_up(reader, node)).map(|build_up| {
            let total = resistance::total(&build_up);
            let u_value = correction::corrected(&build_up, &total).u_value;
            let source = ElementSource::BuildUp { name: build_up.name.clone(), uncorrected: total.u_value() };
            (u_value, format!("build-up {}, ISO 6946", build_up.name), source)
        }),
        ["floor"] => table
            .get("floor")
            .and_then(|node| named(reader, node, "floor", &names.floors, |floor| floor.name.as_str()))
            .map(|floor| {
                let u_value = ground::u_value(&floor.floor).u_value;
                (
                    u_value,
                    format!("floor {}, ISO 13370", floor.name),
                    ElementSource::Floor(Box::new(floor.clone())),
                )
            }),
        ["window"] => table
            .get("window")
            .and_then(|node| named(reader, node, "window", &names.windows, |window| window.name.as_str()))
            .map(|window| {
                let source = ElementSource::Window(window.name.clone());
                (window.window.u_value(), format!("window {}, ISO 10077-1", window.name), source)
            }),
        _ => {
            let hint =
                "`u_value: …`, or the name of a `build_up`, `floor` or `window` of this file or an included one".to_owned();
            reader.fault(node.place, "an element needs one source of its U-value", Some(hint))
        }
    };
    let (u_value, origin, source) = source?;
    let build_up = match &source {
        ElementSource::BuildUp { name, .. } => Some(name),
        ElementSource::Floor(floor) => floor.build_up.as_ref(),
        _ => None,
    };
    let build_up = build_up.and_then(|name| names.build_ups.iter().find(|build_up| build_up.name == *name));
    let notes = build_up.map(limits::notes_with_name).unwrap_or_default();
    let element = Element {
        name: name?.trim().to_owned(),
        area: area?,
        u_value,
        source,
        origin,
        reduction: reduction?,
        notes,
        place: node.place,
    };
    let ElementSource::Floor(floor) = &element.source else { return Some(vec![element]) };
    if dwelling == Some(Convention::Internal) && (element.area / floor.area - 1.0).abs() > SAME_AREA {
        let message = format!(
            "{} has {} m² here, and the floor `{}` {} m²",
            element.name, element.area, floor.name, floor.area
        );
        let hint = "the U-value of a floor on the ground depends on its area: the two should be the same";
        reader.diagnostics.push(Diagnostic::warning(node.place, message).hint(hint));
    }
    // A heated basement loses A·U_bf + z·P·U_bw (ISO 13370:2017).
    let walls = match (&floor.floor.kind, ground::u_value(&floor.floor).wall_u_value) {
        (FloorKind::Basement { depth, .. }, Some(u_value)) => Some(Element {
            name: format!("{}: basement walls", element.name),
            area: depth * floor.perimeter,
            u_value,
            source: ElementSource::BasementWalls,
            origin: format!("walls of floor {}, ISO 13370: depth × perimeter", floor.name),
            reduction: element.reduction.clone(),
            notes: Vec::new(),
            place: node.place,
        }),
        _ => None,
    };
    Some([element].into_iter().chain(walls).collect())
}

/// b: a number, or `{ case: FILE, space: NAME }` for the temperatures of a case. A junction has a case of its
/// own.
fn reduction(reader: &mut Reader, table: &Table<'_>, has_own_case: bool) -> Option<Reduction> {
    let Some(node) = table.get("reduction") else { return Some(Reduction::Unstated) };
    if !matches!(node.value, Value::Table(_)) {
        return table.number(reader, "reduction").map(Reduction::Known);
    }
    let table = reader.table(node, "`reduction`", &keys::REDUCTION)?;
    let file = table.get("case").map(|node| reader.text(node, "case").map(str::to_owned));
    let space = table.get("space").map(|node| reader.text(node, "space").map(str::to_owned));
    if file.is_none() && !has_own_case {
        let hint =
            "`reduction: { case: garage.yaml, space: garage }` takes b from the temperatures of that case"
                .to_owned();
        return reader.fault(node.place, "this `reduction` names no case", Some(hint));
    }
    let file = match file {
        Some(file) => Some(file?),
        None => None,
    };
    let space = match space {
        Some(space) => Some(space?),
        None => None,
    };
    Some(Reduction::Temperatures { file, space, place: node.place })
}
