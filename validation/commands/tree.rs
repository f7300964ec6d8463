//! A document as a tree that can be changed, and as text again. Unlike a parsed document it may hold a key
//! twice and scalars that are no YAML.

use serde_json::Value;

/// A scalar that begins with this is written as it stands, without the quotes that would make it sound.
pub const AS_IT_STANDS: char = '\u{1}';
/// Tables and lists this deep have a line for each entry; what is deeper stands in one line.
const LINES: usize = 2;

/// A node of a document.
#[derive(Clone, Debug)]
pub enum Tree {
    Scalar(String),
    List(Vec<Tree>),
    Table(Vec<(String, Tree)>),
}

impl Tree {
    /// The tree of a text; none where it is no YAML.
    pub fn of(text: &str) -> Option<Self> {
        Some(Self::from(serde_yaml::from_str::<Value>(text).ok()?))
    }

    /// The document as text.
    pub fn text(&self) -> String {
        let mut text = String::new();
        self.write(0, &mut text);
        text
    }

    /// How many entries it has itself.
    pub fn len(&self) -> usize {
        match self {
            Self::Scalar(_) => 0,
            Self::List(items) => items.len(),
            Self::Table(entries) => entries.len(),
        }
    }

    /// The value of an entry.
    fn entry(&mut self, index: usize) -> &mut Tree {
        match self {
            Self::List(items) => &mut items[index],
            Self::Table(entries) => &mut entries[index].1,
            Self::Scalar(_) => unreachable!("scalars have no entries"),
        }
    }

    /// The ways to all nodes for which `wanted` holds, the node itself first.
    pub fn ways(&mut self, wanted: &dyn Fn(&Tree) -> bool) -> Vec<Vec<usize>> {
        let mut found = Vec::new();
        if wanted(self) {
            found.push(Vec::new());
        }
        for index in 0..self.len() {
            for mut way in self.entry(index).ways(wanted) {
                way.insert(0, index);
                found.push(way);
            }
        }
        found
    }

    /// The node at the end of a way that [`Tree::ways`] found.
    pub fn at(&mut self, way: &[usize]) -> &mut Tree {
        way.iter().fold(self, |node, index| node.entry(*index))
    }

    /// The value under a key.
    pub fn get(&mut self, key: &str) -> Option<&mut Tree> {
        let Self::Table(entries) = self else { return None };
        entries.iter_mut().find(|(name, _)| name == key).map(|(_, value)| value)
    }

    fn write(&self, depth: usize, text: &mut String) {
        let indent = "  ".repeat(depth);
        let mut entry = |head: String, value: &Self| {
            text.push_str(&indent);
            text.push_str(&head);
            if depth + 1 < LINES && value.len() > 0 {
                text.push('\n');
                value.write(depth + 1, text);
            } else {
                text.push(' ');
                value.flow(text);
                text.push('\n');
            }
        };
        match self {
            Self::Table(entries) if !entries.is_empty() => {
                for (key, value) in entries {
                    entry(scalar(key) + ":", value);
                }
            }
            Self::List(items) if !items.is_empty() => {
                for item in items {
                    entry("-".to_owned(), item);
                }
            }
            _ => {
                self.flow(text);
                text.push('\n');
            }
        }
    }

    fn flow(&self, text: &mut String) {
        match self {
            Self::Scalar(value) => text.push_str(&scalar(value)),
            Self::List(items) => {
                text.push('[');
                for (index, item) in items.iter().enumerate() {
                    text.push_str(if index == 0 { "" } else { ", " });
                    item.flow(text);
                }
                text.push(']');
            }
            Self::Table(entries) => {
                text.push('{');
                for (index, (key, value)) in entries.iter().enumerate() {
                    text.push_str(if index == 0 { " " } else { ", " });
                    text.push_str(&scalar(key));
                    text.push_str(": ");
                    value.flow(text);
                }
                text.push_str(" }");
            }
        }
    }
}

impl From<Value> for Tree {
    fn from(value: Value) -> Self {
        match value {
            Value::Null => Self::Scalar(format!("{AS_IT_STANDS}~")),
            Value::Bool(value) => Self::Scalar(value.to_string()),
            Value::Number(value) => Self::Scalar(value.to_string()),
            Value::String(value) => Self::Scalar(value),
            Value::Array(items) => Self::List(items.into_iter().map(Self::from).collect()),
            Value::Object(entries) => {
                Self::Table(entries.into_iter().map(|(key, value)| (key, Self::from(value))).collect())
            }
        }
    }
}

/// A scalar as it is written: in quotes where it would be something else without.
fn scalar(value: &str) -> String {
    if let Some(rest) = value.strip_prefix(AS_IT_STANDS) {
        return rest.to_owned();
    }
    let is_plain = value
        .starts_with(|first: char| first.is_ascii_alphanumeric() || matches!(first, '-' | '.' | '('))
        && value.chars().all(|other| other.is_ascii_alphanumeric() || " _.+-*/()".contains(other))
        && !value.starts_with("- ")
        && !value.starts_with("--")
        && !value.ends_with(' ')
        && value != "-";
    if is_plain { value.to_owned() } else { serde_json::to_string(value).unwrap_or_default() }
}
