//! What differs between two documents, part by part: tables by their keys, lists by what they have in common.

use std::collections::HashMap;

use super::Difference;
use crate::case::Sources;
use crate::case::written::{Meaning, Written};
use crate::text::Place;

/// Lists longer than this product of lengths, beyond what they share at both ends, are compared item by item.
const LARGEST_TABLE: usize = 4_000_000;
/// Keys that say what an item of a list is.
const KINDS: [&str; 10] =
    ["space", "fill", "cavity", "layers", "element", "junction", "material", "air", "resistance", "of"];

/// Notes every difference between two documents.
pub fn documents(documents: &[(Written, Sources); 2], differences: &mut Vec<Difference>) {
    let [(first, first_sources), (second, second_sources)] = documents;
    let mut walk = Walk { sources: [first_sources, second_sources], differences };
    walk.both(&mut Vec::new(), first, second);
}

struct Walk<'a> {
    sources: [&'a Sources; 2],
    differences: &'a mut Vec<Difference>,
}

impl Walk<'_> {
    fn both(&mut self, path: &mut Vec<String>, first: &Written, second: &Written) {
        match (&first.meaning, &second.meaning) {
            (Meaning::Table(one), Meaning::Table(other)) => self.tables(path, one, other),
            (Meaning::List(one), Meaning::List(other)) if !is_short(one) || !is_short(other) => {
                self.lists(path, one, other);
            }
            _ if first.canonical() == second.canonical() => {}
            _ => self.note(path, Some(first), Some(second)),
        }
    }

    fn tables(&mut self, path: &mut Vec<String>, one: &[(String, Written)], other: &[(String, Written)]) {
        let mut keys: Vec<&String> = one.iter().map(|(key, _)| key).collect();
        keys.extend(
            other.iter().map(|(key, _)| key).filter(|key| !one.iter().any(|(known, _)| known == *key)),
        );
        for key in keys {
            let find = |table: &'_ [(String, Written)]| table.iter().position(|(known, _)| known == key);
            path.push(key.clone());
            match (find(one).map(|index| &one[index].1), find(other).map(|index| &other[index].1)) {
                (Some(first), Some(second)) => self.both(path, first, second),
                (first, second) => self.single(path, first, second),
            }
            path.pop();
        }
    }

    /// A part that only one document has: a block entry by entry, so that each is named, anything else as a
    /// whole.
    fn single(&mut self, path: &mut Vec<String>, first: Option<&Written>, second: Option<&Written>) {
        let Some(part) = first.or(second) else { return };
        match &part.meaning {
            Meaning::Table(entries) if path.len() < 3 && !entries.is_empty() => {
                for (key, value) in entries {
                    path.push(key.clone());
                    self.single(path, first.map(|_| value), second.map(|_| value));
                    path.pop();
                }
            }
            _ => self.note(path, first, second),
        }
    }

    fn lists(&mut self, path: &mut Vec<String>, one: &[Written], other: &[Written]) {
        for (first, second) in aligned(one, other) {
            let item = |list: &[Written], index: Option<usize>| index.map(|index| list[index].clone());
            let (before, after) = (item(one, first), item(other, second));
            // Counted from 1, as readers count; by the first document where it has the item.
            let number = first.or(second).map_or(0, |index| index + 1);
            let kind = before.as_ref().or(after.as_ref()).and_then(kind);
            path.push(kind.map_or_else(|| format!("{number}"), |kind| format!("{number} ({kind})")));
            match (&before, &after) {
                (Some(before), Some(after)) => self.both(path, before, after),
                _ => self.note(path, before.as_ref(), after.as_ref()),
            }
            path.pop();
        }
    }

    fn note(&mut self, path: &[String], first: Option<&Written>, second: Option<&Written>) {
        let text = |part: Option<&Written>| part.map(Written::line).unwrap_or_default();
        let line = |part: Option<&Written>, sources: &Sources| part.map(|part| line(part.place, sources));
        let lines = [line(first, self.sources[0]), line(second, self.sources[1])];
        self.differences.push(Difference { what: named(path), values: [text(first), text(second)], lines });
    }
}

/// Lists of a few words, such as `[from, to]`, are shown whole.
fn is_short(items: &[Written]) -> bool {
    items.len() <= 2 && items.iter().all(|item| matches!(item.meaning, Meaning::Word(_)))
}

/// `fill softwood`: what an item is.
fn kind(item: &Written) -> Option<String> {
    let Meaning::Table(entries) = &item.meaning else { return None };
    let (key, value) = entries.iter().find(|(key, _)| KINDS.contains(&key.as_str()))?;
    Some(match &value.meaning {
        Meaning::Word(word) => format!("{key} {word}"),
        _ => key.clone(),
    })
}

fn line(place: Place, sources: &Sources) -> String {
    let (line, _) = sources.line_column(place);
    if place.file == 0 {
        format!("line {line}")
    } else {
        format!("line {line} of {}", sources.get(place.file).name)
    }
}

/// What a path is for readers.
fn named(path: &[String]) -> String {
    let words: Vec<&str> = path.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["parameters", name] => format!("parameter {name}"),
        ["materials", name, "conductivity"] => format!("λ of {name}, W/(m·K)"),
        ["materials", name, key] => format!("{key} of {name}"),
        ["environments", name, "role"] => format!("kind of {name}"),
        ["environments", name, "temperature"] => format!("temperature of {name}, °C"),
        ["environments", name, "humidity"] => format!("humidity of {name}, %"),
        _ => words.join(" "),
    }
}

/// Pairs of items: what the lists have in common (a longest common subsequence) beside itself, what stands
/// between in pairs as long as both have some. Without those that are equal.
fn aligned(one: &[Written], other: &[Written]) -> Vec<(Option<usize>, Option<usize>)> {
    let mut numbers: HashMap<String, usize> = HashMap::new();
    let mut numbered = |items: &[Written]| -> Vec<usize> {
        let mut number = |item: &Written| {
            let next = numbers.len();
            *numbers.entry(item.canonical()).or_insert(next)
        };
        items.iter().map(&mut number).collect()
    };
    let (first, second) = (numbered(one), numbered(other));
    let start = first.iter().zip(&second).take_while(|(one, other)| one == other).count();
    let most = first.len().min(second.len()) - start;
    let end = first
        .iter()
        .rev()
        .zip(second.iter().rev())
        .take(most)
        .take_while(|(one, other)| one == other)
        .count();
    let (first, second) = (&first[start..first.len() - end], &second[start..second.len() - end]);
    let mut pairs = Vec::new();
    let mut between = |from: [usize; 2], to: [usize; 2]| {
        let count = (to[0] - from[0]).max(to[1] - from[1]);
        let item =
            |side: usize, index: usize| (from[side] + index < to[side]).then_some(start + from[side] + index);
        pairs.extend((0..count).map(|index| (item(0, index), item(1, index))));
    };
    if first.len().saturating_mul(second.len()) > LARGEST_TABLE {
        between([0, 0], [first.len(), second.len()]);
        return pairs
            .into_iter()
            .filter(|pair| !matches!(pair, (Some(a), Some(b)) if first[a - start] == second[b - start]))
            .collect();
    }
    // common[i][j]: length of the longest common subsequence of what begins at i and j.
    let width = second.len() + 1;
    let mut common = vec![0_u32; (first.len() + 1) * width];
    for i in (0..first.len()).rev() {
        for j in (0..second.len()).rev() {
            common[i * width + j] = if first[i] == second[j] {
                common[(i + 1) * width + j + 1] + 1
            } else {
                common[(i + 1) * width + j].max(common[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j, mut from) = (0, 0, [0, 0]);
    while i < first.len() && j < second.len() {
        if first[i] == second[j] {
            between(from, [i, j]);
            (i, j) = (i + 1, j + 1);
            from = [i, j];
        } else if common[(i + 1) * width + j] >= common[i * width + j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    between(from, [first.len(), second.len()]);
    pairs
}
