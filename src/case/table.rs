//! A mapping whose keys have been checked against the table of keys.

use super::diagnostic::Place;
use super::keys::{Block, Key, Kind};
use super::node::{Entry, Node, Value};
use super::reader::Reader;

/// A mapping whose keys have been checked.
pub struct Table<'n> {
    pub(super) what: String,
    pub(super) entries: &'n [Entry],
    /// Where it begins.
    pub place: Place,
    /// What its keys may hold; none where they are the user's names.
    pub(super) block: Option<&'static Block>,
}

impl<'n> Table<'n> {
    /// What may stand behind a key.
    fn kind(&self, key: &str) -> Option<&'static Kind> {
        Some(&self.block?.key(key)?.kind)
    }

    /// The numbers behind a key: one, or a list of two.
    fn numbers(&self, reader: &mut Reader, key: &str, node: &Node) -> Option<Vec<f64>> {
        let kind = self.kind(key);
        let quantities = kind.map(Kind::quantities).unwrap_or_default();
        let Some(first) = quantities.first() else {
            return reader.fault(node.place, format!("no number can stand at the key `{key}`"), None);
        };
        let (Some([one, other]), Value::List(_)) = (kind.and_then(Kind::pair_names), &node.value) else {
            return Some(vec![reader.number(node, key, *first)?]);
        };
        let items = reader.pair(node, &format!("{key} ([{one}, {other}])"))?;
        let own = &quantities[quantities.len() - 2..];
        let numbers: Vec<Option<f64>> =
            items.iter().zip(own).map(|(item, quantity)| reader.number(item, key, *quantity)).collect();
        numbers.into_iter().collect()
    }

    /// The number behind a key; nothing where it is absent or faulty.
    pub fn number(&self, reader: &mut Reader, key: &str) -> Option<f64> {
        self.number_or(reader, key, None).flatten()
    }

    /// The number behind a key that must be there.
    pub fn needed_number(&self, reader: &mut Reader, key: &str) -> Option<f64> {
        self.require(reader, key)?;
        self.number(reader, key)
    }

    /// The number behind a key, or `otherwise` where it is absent; nothing where it is faulty.
    pub fn number_or<T: From<f64>>(&self, reader: &mut Reader, key: &str, otherwise: T) -> Option<T> {
        let Some(node) = self.get(key) else { return Some(otherwise) };
        match self.numbers(reader, key, node)?.as_slice() {
            [number] => Some(T::from(*number)),
            _ => reader.fault(
                node.place,
                format!("{key} must be a number or an expression, found a list"),
                None,
            ),
        }
    }

    /// The two numbers behind a key, of which a single one stands for both by `both`; nothing where it is
    /// absent or faulty.
    pub fn pair_of_numbers(
        &self,
        reader: &mut Reader,
        key: &str,
        both: fn(f64) -> [f64; 2],
    ) -> Option<[f64; 2]> {
        let node = self.get(key)?;
        match self.numbers(reader, key, node)?.as_slice() {
            [one, other] => Some([*one, *other]),
            [number] => Some(both(*number)),
            _ => None,
        }
    }

    /// The two numbers of an item of the list behind a key; `what` is the item for readers.
    pub fn item(&self, reader: &mut Reader, key: &str, item: &Node, what: &str) -> Option<[f64; 2]> {
        let kind = self.kind(key);
        let names = kind.and_then(Kind::pair_names).unwrap_or_default();
        let [one, other] = names;
        let items = reader.pair(item, &format!("{what} ([{one}, {other}])"))?;
        let quantities = kind.map(Kind::quantities).unwrap_or_default();
        let numbers: Vec<Option<f64>> = items
            .iter()
            .zip(quantities.iter().zip(names))
            .map(|(item, (quantity, name))| {
                reader.number(item, &format!("the {} of {what}", name.to_lowercase()), *quantity)
            })
            .collect();
        numbers.into_iter().collect::<Option<Vec<f64>>>()?.try_into().ok()
    }

    /// The text behind a key; nothing where it is absent or faulty.
    pub fn text(&self, reader: &mut Reader, key: &str) -> Option<&'n str> {
        self.get(key).and_then(|node| reader.text(node, key))
    }

    /// The text behind a key that must be there.
    pub fn needed_text(&self, reader: &mut Reader, key: &str) -> Option<&'n str> {
        self.require(reader, key).and_then(|node| reader.text(node, key))
    }

    /// The value of a key; the last one where it is given twice.
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        let mut matching = self.entries.iter().filter(|entry| entry.key == key);
        matching.next_back().map(|entry| &entry.node).filter(|node| !matches!(node.value, Value::Null))
    }

    /// The value of a key that must be there.
    pub fn require(&self, reader: &mut Reader, key: &str) -> Option<&'n Node> {
        let known = self.block.and_then(|block| block.key(key));
        self.require_or(reader, key, known.map(Key::advice))
    }

    /// The same with a hint of its own where it is missing.
    pub fn require_or(&self, reader: &mut Reader, key: &str, hint: Option<String>) -> Option<&'n Node> {
        let node = self.get(key);
        if node.is_none() {
            let place = self
                .entries
                .iter()
                .find(|entry| entry.key == key)
                .map_or(self.place, |entry| entry.key_place);
            let message = format!("{} needs the key `{key}`", self.what);
            return reader.fault(place, message, hint);
        }
        node
    }

    /// All keys and values.
    pub fn entries(&self) -> &'n [Entry] {
        self.entries
    }

    /// True if the key is written, even without a value.
    pub fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|entry| entry.key == key)
    }
}
