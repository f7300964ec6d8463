//! Mutations of a document as a tree: entries removed, repeated, exchanged and grafted, keys renamed, numbers
//! and names made absurd, lists made long and nesting deep, and blocks of the format added where they may
//! stand.

use coldseam::case::keys::walk;

use crate::documents::{Dice, NUMBERS};
use crate::lines::VALUES;
use crate::tree::{AS_IT_STANDS, Tree};

/// Names that readers, file systems and terminals have stumbled over.
const NAMES: [&str; 18] = [
    "",
    " ",
    "room",
    "outside",
    "é\u{301}ß",
    "壁",
    "\u{202e}llaw",
    "a\u{0}b",
    "red\u{1b}[31m",
    "two\nlines",
    "../../etc",
    "x: y",
    "true",
    "~",
    "max",
    "\u{feff}wall",
    "-1",
    "nan",
];
/// Blocks to be added, with the key that they stand under; `#` is a number, `@` a name that the document knows.
const BLOCKS: [(&str, &str); 44] = [
    ("plan", "{ fill: @, points: [[#, #], [#, #], [#, #], [#, #]] }"),
    ("plan", "{ fill: softwood, points: [[-100, -100], [#, -100], [#, 50], [10, 50], [10, 0], [-100, 0]] }"),
    ("plan", "{ space: @, points: [[-50, -50], [50, -50], [50, 50], [-50, 50]] }"),
    ("plan", "{ fill: aluminium, x: [#, #], y: [#, #] }"),
    ("plan", "{ space: @, x: [#, #], y: [#, #] }"),
    ("plan", "{ cavity: building, x: [#, #], y: [#, #] }"),
    ("plan", "{ cavity: frame, x: [-20, 30], y: [-20, 20], emissivity: # }"),
    ("plan", "{ layers: [[softwood, #], [render, #]], along: +x, from: #, y: [#, #] }"),
    ("plan", "{ layers: { build_up: @ }, along: -y, from: #, x: [#, #] }"),
    (
        "plan",
        "{ layers: [[softwood, #], [render, #]], along: { angle: # }, from: [#, #], length: #, ends: [plumb, level] }",
    ),
    ("plan", "{ layers: { build_up: @ }, along: { angle: # }, from: [0, 0], length: 300, ends: plumb }"),
    ("plan", "{ layers: { build_up: @ }, along: { from: [#, #], to: [#, #] }, ends: [square, #] }"),
    ("plan", "{ layers: [[aluminium, #]], along: { from: [-100, -100], to: [#, #] } }"),
    ("plan", "{ fill: @, round: { at: [#, #], diameter: # } }"),
    ("plan", "{ space: @, round: { at: [0, 0], diameter: # } }"),
    ("plan", "{ cavity: frame, round: { at: [#, #], diameter: # } }"),
    (
        "plan",
        "{ fill: softwood, points: [[-100, -100], [#, -100], [#, 50], [-100, 50]], holes: [[[#, #], [#, #], [#, #]], [[0, 0], [9, 0], [9, 9]]] }",
    ),
    ("surfaces", "{ of: @, resistance: 0.2, points: [[#, #], [#, #], [#, #]] }"),
    ("surfaces", "{ on: @, heat_flow: down, points: [[-50, -50], [#, -50], [50, #], [-50, 50]] }"),
    ("surfaces", "{ of: @, resistance: 0 }"),
    ("surfaces", "{ of: @, resistance: 0, x: [#, #] }"),
    ("surfaces", "{ of: @, resistance: #, y: [#, #] }"),
    ("surfaces", "{ of: @, on: @, heat_flow: up }"),
    ("psi", "{ between: [@, @], flanking: [{ element: one, section: { x: # }, internal: [#, #] }] }"),
    ("psi", "{ between: [[@, @], @], flanking: [{ element: one, u_value: #, along: x, internal: [#, #] }] }"),
    ("psi", "{ between: [@, @], frame: [#, #], symmetry: [{ x: # }] }"),
    ("flanking", "{ element: @, section: { y: # }, internal: [#, #], external: [#, #] }"),
    ("flanking", "{ element: slab, floor: { method: model }, internal: [#, #] }"),
    ("symmetry", "{ y: # }"),
    ("condensation", "{ resistance: #, exclude: [@], critical: # }"),
    ("condensation", "{ resistance: 0 }"),
    ("humidity", "#"),
    ("temperature", "#"),
    ("points", "{ here: [#, #], there: [0, 0] }"),
    ("claims", "{ psi_internal: #, l2d: #, u_values: { wall: # } }"),
    ("extent", "{ x: [#, #], y: [#, #] }"),
    ("include", "[build-ups.yaml, mutated.yaml, missing.yaml]"),
    ("include", "build-ups.yaml"),
    ("include", "[build-ups.yaml, build-ups.yaml, climate.yaml]"),
    ("include", "[\"..\", \"/dev/zero\", \"\", \"\\0\"]"),
    ("parameters", "{ block: #, insulation: block / #, a: b, b: a }"),
    ("bridged_by", "{ material: softwood, width: #, spacing: # }"),
    ("set", "{ insulation: #, block: # }"),
    ("climate", "{ name: n, source: s, months: [[#, #]], indoor: { temperature: #, humidity: # } }"),
];

/// Changes a document once, or now and then up to three times, since most changes are refused and hide the
/// others; `other` is one that parts are grafted from.
pub fn mutate(tree: &mut Tree, other: &mut Tree, dice: &mut Dice) {
    for _ in 0..=dice.roll(5).saturating_sub(2) {
        one(tree, other, dice);
    }
}

/// One of the ways, if there is any.
fn any(ways: &[Vec<usize>], dice: &mut Dice) -> Option<Vec<usize>> {
    if ways.is_empty() { None } else { Some(ways[dice.roll(ways.len())].clone()) }
}

fn one(tree: &mut Tree, other: &mut Tree, dice: &mut Dice) {
    let holders = tree.ways(&|node| node.len() > 0);
    let scalars = tree.ways(&|node| matches!(node, Tree::Scalar(_)));
    let (Some(holder), Some(scalar)) = (any(&holders, dice), any(&scalars, dice)) else { return };
    let count = tree.at(&holder).len();
    let (first, second) = (dice.roll(count), dice.roll(count));
    match dice.roll(24) {
        0..2 => match tree.at(&holder) {
            Tree::List(items) => drop(items.remove(first)),
            Tree::Table(entries) => drop(entries.remove(first)),
            Tree::Scalar(_) => {}
        },
        2 => repeat(tree.at(&holder), first, 1),
        3 => {
            let copies = [50, 300, 1_500, 6_000][dice.roll(4)];
            // Of tables with entries of their own thousands are beyond the size of any file.
            repeat(tree.at(&holder), first, copies);
        }
        4..6 => match tree.at(&holder) {
            Tree::List(items) => items.swap(first, second),
            Tree::Table(entries) => entries.swap(first, second),
            Tree::Scalar(_) => {}
        },
        6 => {
            // The values of two entries, whose keys stay.
            if let Tree::Table(entries) = tree.at(&holder) {
                let value = entries[first].1.clone();
                entries[first].1 = std::mem::replace(&mut entries[second].1, value);
            }
        }
        7 => rename(tree.at(&holder), first, dice),
        8..13 => number(tree, dice),
        18 => {
            for _ in 0..=dice.roll(6) {
                number(tree, dice);
            }
        }
        13 => *tree.at(&scalar) = Tree::Scalar(format!("{AS_IT_STANDS}{}", dice.of(VALUES))),
        14 => *tree.at(&scalar) = Tree::Scalar(dice.of(&NAMES).to_owned()),
        15 => {
            let levels = [1, 2, 30, 200, 5_000][dice.roll(5)];
            let name = if dice.roll(2) == 0 { "[" } else { "{a: " };
            let close = if name == "[" { "]" } else { "}" };
            *tree.at(&scalar) =
                Tree::Scalar(format!("{AS_IT_STANDS}{}1{}", name.repeat(levels), close.repeat(levels)));
        }
        16 => graft(tree, other, dice),
        17 => as_polygon(tree, dice),
        _ => block(tree, dice),
    }
}

/// An entry so many times more.
fn repeat(holder: &mut Tree, index: usize, copies: usize) {
    match holder {
        Tree::List(items) => {
            let copy = items[index].clone();
            items.splice(index..index, std::iter::repeat_n(copy, copies));
        }
        Tree::Table(entries) => {
            let (key, value) = entries[index].clone();
            // One copy has the same key; of many each has a name of its own.
            let name = |number| if copies == 1 { key.clone() } else { format!("{key}{number}") };
            let copies: Vec<_> = (0..copies).map(|number| (name(number), value.clone())).collect();
            entries.splice(index..index, copies);
        }
        Tree::Scalar(_) => {}
    }
}

/// A key becomes another one of the format, a misspelt one, or an odd name.
fn rename(holder: &mut Tree, index: usize, dice: &mut Dice) {
    let Tree::Table(entries) = holder else { return };
    entries[index].0 = match dice.roll(3) {
        0 => {
            let blocks = walk();
            let keys = blocks[dice.roll(blocks.len())].1.keys;
            keys[dice.roll(keys.len())].name.to_owned()
        }
        1 => entries[index].0.chars().rev().collect(),
        _ => dice.of(&NAMES).to_owned(),
    };
}

/// A number: an extreme one, or near to what it was.
fn number(tree: &mut Tree, dice: &mut Dice) {
    let is_number = |node: &Tree| matches!(node, Tree::Scalar(text) if text.parse::<f64>().is_ok());
    let ways = tree.ways(&is_number);
    let Some(way) = any(&ways, dice) else { return };
    let Tree::Scalar(text) = tree.at(&way) else { return };
    let value: f64 = text.parse().unwrap_or(1.0);
    *text = match dice.roll(4) {
        0 => format!("{:e}", value * 10_f64.powi(dice.roll(13) as i32 - 6)),
        1 => format!("{}", value * (0.5 + dice.roll(1_000) as f64 * 1e-3)),
        2 => format!("{}", -value),
        _ => format!("{AS_IT_STANDS}{}", dice.of(&NUMBERS)),
    };
}

/// A part of another document comes into a table or list of this one.
fn graft(tree: &mut Tree, other: &mut Tree, dice: &mut Dice) {
    let ways = other.ways(&|node| node.len() > 0);
    let Some(way) = any(&ways, dice) else { return };
    let place = dice.roll(other.at(&way).len());
    let (key, value) = match other.at(&way) {
        Tree::List(items) => (None, items[place].clone()),
        Tree::Table(entries) => (Some(entries[place].0.clone()), entries[place].1.clone()),
        Tree::Scalar(_) => return,
    };
    let ways = tree.ways(&|node| match node {
        Tree::List(_) => key.is_none(),
        Tree::Table(_) => key.is_some(),
        Tree::Scalar(_) => false,
    });
    let Some(way) = any(&ways, dice) else { return };
    match (tree.at(&way), key) {
        (Tree::List(items), None) => items.push(value),
        (Tree::Table(entries), Some(key)) => entries.push((key, value)),
        _ => {}
    }
}

/// A rectangle becomes a polygon of the same corners, some of them twice or between others.
fn as_polygon(tree: &mut Tree, dice: &mut Dice) {
    let ways = tree.ways(&|node| {
        matches!(node, Tree::Table(entries) if ["x", "y"].iter().all(|key| {
            entries.iter().any(|(name, value)| name == key && value.len() == 2)
        }))
    });
    let Some(way) = any(&ways, dice) else { return };
    let node = tree.at(&way);
    let mut ends = |key: &str| match node.get(key) {
        Some(Tree::List(items)) => items.clone(),
        _ => Vec::new(),
    };
    let (x, y) = (ends("x"), ends("y"));
    let mut corners: Vec<Tree> = [(0, 0), (1, 0), (1, 1), (0, 1)]
        .iter()
        .map(|(across, up)| Tree::List(vec![x[*across].clone(), y[*up].clone()]))
        .collect();
    for _ in 0..dice.roll(3) {
        let (from, to) = (dice.roll(corners.len()), dice.roll(corners.len()));
        corners.insert(to, corners[from].clone());
    }
    if let Tree::Table(entries) = node {
        entries.retain(|(key, _)| key != "x" && key != "y");
        entries.push(("points".to_owned(), Tree::List(corners)));
    }
}

/// A block of the format is added to a list of its key, or takes the place of what stands under it.
fn block(tree: &mut Tree, dice: &mut Dice) {
    let (key, pattern) = BLOCKS[dice.roll(BLOCKS.len())];
    let mut names: Vec<String> = Vec::new();
    for group in ["environments", "materials", "build_ups"] {
        if let Some(Tree::Table(entries)) = tree.get(group) {
            names.extend(entries.iter().map(|(name, _)| name.clone()));
        }
    }
    names.push("aircrete_600".to_owned());
    let mut text = String::new();
    for character in pattern.chars() {
        match character {
            '#' => text.push_str(&match dice.roll(8) {
                0 => dice.of(&NUMBERS).to_owned(),
                1 => format!("{}", dice.roll(2_000) as f64 * 1e-3 - 1.0),
                2 => "0".to_owned(),
                _ => format!("{}", 5 * (dice.roll(400) as i64 - 200)),
            }),
            '@' => text.push_str(&serde_json::to_string(&names[dice.roll(names.len())]).unwrap_or_default()),
            other => text.push(other),
        }
    }
    // Numbers that are no YAML numbers stand as they are: the whole block is text.
    let value = Tree::Scalar(format!("{AS_IT_STANDS}{text}"));
    let holds =
        |node: &Tree| matches!(node, Tree::Table(entries) if entries.iter().any(|(name, _)| name == key));
    let ways = tree.ways(&holds);
    let way = any(&ways, dice).unwrap_or_default();
    let add_to_list = dice.roll(4) > 0;
    match tree.at(&way).get(key) {
        Some(Tree::List(items)) if add_to_list => items.push(value),
        Some(old) => *old = value,
        None => {
            if let Tree::Table(entries) = tree {
                let is_list = matches!(key, "plan" | "surfaces" | "psi" | "symmetry");
                entries.push((key.to_owned(), if is_list { Tree::List(vec![value]) } else { value }));
            }
        }
    }
}
