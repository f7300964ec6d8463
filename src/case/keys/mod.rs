//! Every key of a file once: what it is called, what may stand there, whether it must, what it means, and how
//! it is written.
//!
//! The reader checks keys and ranges against these tables (`case/reader.rs`), the schema is made from them
//! ([`super::schema`]), and so is the reference that `coldseam keys` prints ([`walk`]).

mod advice;
mod elements;
mod house;
mod junction;
mod shapes;
mod sizes;
mod words;

use crate::ranges::Quantity;

pub use advice::advise;
pub use elements::{
    BASEMENT, BRIDGE, BUILD_UP, BUILD_UP_LAYER, CONDUCTIVITY_BY_AXIS, CONVERT, EDGE, FIXINGS, FLOOR,
    MATERIAL, RAIN, SUSPENDED, WINDOW,
};
pub use house::{CLIMATE, DWELLING, ELEMENT, INDOOR, JUNCTION, REDUCTION};
pub use junction::{
    CASE, CLAIMS, CONDENSATION, ENVIRONMENT, EXTENT, FLANKING, FLOOR_ON_GROUND, INCLUDED, PLANE, PSI,
    STRETCH, SURFACE,
};
pub use shapes::{ALONG_ANGLE, ALONG_LINE, CAVITY, FILL, LAYERS, LAYERS_OF_BUILD_UP, ROUND, SPACE};
pub use sizes::oversized;

/// Lists of things that someone names or draws have at most so many entries, where nothing else is said:
/// some ten times what a house needs.
const MANY: usize = 1_000;
/// Files that a file includes, and all that these include in turn.
pub const MOST_INCLUDES: usize = 64;
/// Strokes of a plan, and the shapes that they paint.
pub const MOST_SHAPES: usize = 5_000;
/// Corners of a polygon.
pub const MOST_CORNERS: usize = 1_000;
/// Holes of a polygon.
const MOST_HOLES: usize = 100;
/// Layers of an element; bounds the number of paths through it too.
const MOST_LAYERS: usize = 40;
/// Named points: each costs a solution of its own for its error. ISO 10211 case 1 has 28.
const MOST_POINTS: usize = 50;
/// Lists of which a handful is usual.
const SOME: usize = 100;

/// A table with none but these keys.
#[derive(Debug)]
pub struct Block {
    /// What it describes, for readers.
    pub meaning: &'static str,
    /// In the order in which they are usually written.
    pub keys: &'static [Key],
    /// Of each of these groups of keys just one is written.
    pub one_of: &'static [&'static [&'static str]],
}

/// A key of a table.
#[derive(Debug)]
pub struct Key {
    /// As it is written.
    pub name: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// Whether it must be there.
    pub need: Need,
    /// What it means, for readers.
    pub meaning: &'static str,
    /// A value as it is written.
    pub example: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It must.
    Needed,
    /// It may be left out; nothing takes its place.
    Optional,
    /// It may be left out; then this holds.
    Unless(&'static str),
}

/// What may stand behind a key or in a list.
#[derive(Debug)]
pub enum Kind {
    /// The number of the format's version.
    Version(u32),
    /// Text for readers, a file or a name of the user's choice.
    Text,
    /// The name of something that is defined elsewhere.
    Name(&'static str),
    /// One of these words.
    Word(&'static [&'static str]),
    /// A number, or an expression of the parameters.
    Number(Quantity),
    /// A list of two, each with what it stands for.
    Pair([(&'static str, &'static Kind); 2]),
    /// A list, of at most so many.
    List(usize, &'static Kind),
    /// A list of just so many.
    Lists(usize, &'static Kind),
    /// A table of keys.
    Table(&'static Block),
    /// A table whose keys are names of the user's choice, at most so many, with what these name.
    Named(&'static str, usize, &'static Kind),
    /// Any of these.
    Either(&'static [Kind]),
}

impl Kind {
    /// The numbers that it consists of, in their order; those in tables of their own do not count.
    pub fn quantities(&self) -> Vec<Quantity> {
        match self {
            Self::Number(quantity) => vec![*quantity],
            Self::Pair(items) => items.iter().flat_map(|(_, kind)| kind.quantities()).collect(),
            Self::List(_, kind) | Self::Lists(_, kind) => kind.quantities(),
            Self::Either(kinds) => kinds.iter().flat_map(Self::quantities).collect(),
            Self::Version(_)
            | Self::Text
            | Self::Name(_)
            | Self::Word(_)
            | Self::Table(_)
            | Self::Named(..) => Vec::new(),
        }
    }

    /// What the two items of a pair stand for, where it may be one.
    pub fn pair_names(&self) -> Option<[&'static str; 2]> {
        match self {
            Self::Pair([(one, _), (other, _)]) => Some([one, other]),
            Self::List(_, kind) | Self::Lists(_, kind) => kind.pair_names(),
            Self::Either(kinds) => kinds.iter().find_map(Self::pair_names),
            _ => None,
        }
    }

    /// Its tables, with how one gets there from the key.
    fn tables(&self) -> Vec<(String, &'static Block)> {
        match self {
            Self::Table(block) => vec![(String::new(), *block)],
            Self::List(_, kind) | Self::Lists(_, kind) => kind.tables(),
            Self::Named(name, _, kind) => {
                kind.tables().into_iter().map(|(path, block)| (format!(".{name}{path}"), block)).collect()
            }
            Self::Either(kinds) => kinds.iter().flat_map(Self::tables).collect(),
            _ => Vec::new(),
        }
    }
}

impl Block {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// Names of all keys.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + Clone + use<> {
        self.keys.iter().map(|key| key.name)
    }
}

/// All tables that a file may have, each with the way there: `psi.flanking.section`. A table that is reached
/// in several ways stands there once for each.
pub fn walk() -> Vec<(String, &'static Block)> {
    let mut found: Vec<(String, &'static Block)> = Vec::new();
    let mut open: Vec<(String, &'static Block)> = vec![(String::new(), &CASE)];
    while let Some((path, block)) = open.pop() {
        let below = block.keys.iter().flat_map(|key| {
            let start = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
            key.kind.tables().into_iter().map(move |(way, block)| (format!("{start}{way}"), block))
        });
        let mut below: Vec<(String, &'static Block)> = below.collect();
        below.reverse();
        open.append(&mut below);
        if !found.iter().any(|(known, other)| *known == path && std::ptr::eq(*other, block)) {
            found.push((path, block));
        }
    }
    found
}

const fn block(meaning: &'static str, keys: &'static [Key]) -> Block {
    Block { meaning, keys, one_of: &[] }
}

impl Block {
    const fn one_of(self, groups: &'static [&'static [&'static str]]) -> Self {
        Self { one_of: groups, ..self }
    }
}

const fn key(name: &'static str, kind: Kind, meaning: &'static str, example: &'static str) -> Key {
    Key { name, kind, need: Need::Optional, meaning, example }
}

impl Key {
    const fn needed(self) -> Self {
        let Self { name, kind, need: _, meaning, example } = self;
        Self { name, kind, need: Need::Needed, meaning, example }
    }

    const fn unless(self, default: &'static str) -> Self {
        let Self { name, kind, need: _, meaning, example } = self;
        Self { name, kind, need: Need::Unless(default), meaning, example }
    }
}

/// A stretch along an axis.
const SPAN: Kind = Kind::Pair([
    ("from", &Kind::Number(crate::ranges::COORDINATE)),
    ("to", &Kind::Number(crate::ranges::COORDINATE)),
]);
/// A point.
const POINT: Kind = Kind::Pair([
    ("x", &Kind::Number(crate::ranges::COORDINATE)),
    ("y", &Kind::Number(crate::ranges::COORDINATE)),
]);
/// Directions of heat flow.
const HEAT_FLOWS: Kind = Kind::Word(&["horizontal", "up", "down"]);
/// Conventions of measurement.
const CONVENTIONS: Kind = Kind::Word(&["internal", "external", "overall_internal"]);
