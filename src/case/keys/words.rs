//! What may stand behind a key, in words.

use super::Kind;

impl Kind {
    /// What may stand there, for readers: `list of [x, y] in mm`.
    pub fn words(&self) -> String {
        match self {
            Self::Version(version) => version.to_string(),
            Self::Text => "text".to_owned(),
            Self::Name(what) => {
                format!("{} {what}'s name", if what.starts_with(['e', 'a']) { "an" } else { "a" })
            }
            Self::Word(words) => words.join(" | "),
            Self::Number(quantity) => match (quantity.is_wide(), quantity.unit) {
                (true, "") => "number".to_owned(),
                (true, unit) => unit.to_owned(),
                (false, "") => quantity.range(),
                (false, unit) => format!("{} {unit}", quantity.range()),
            },
            Self::Pair(items) => {
                let names = items.map(|(name, _)| name).join(", ");
                let [one, other] = items.map(|(_, kind)| kind.words());
                match self.quantities().as_slice() {
                    [quantity, _] if one == other && quantity.is_wide() => {
                        format!("[{names}] in {}", quantity.unit)
                    }
                    _ if one == other => format!("[{names}], each {one}"),
                    _ => format!(
                        "[{}]",
                        items.map(|(name, kind)| format!("{name}: {}", kind.words())).join(", ")
                    ),
                }
            }
            Self::List(_, Self::Name(what)) => format!("list of names of {what}s"),
            Self::List(_, kind) => match kind.words().as_str() {
                one @ ("table" | "number") => format!("list of {one}s"),
                lists if lists.starts_with("list of ") => {
                    format!("list of {}", lists.replacen("list", "lists", 1))
                }
                other => format!("list of {other}"),
            },
            Self::Lists(count, kind) => format!("list of {count}: {}", kind.words()),
            Self::Table(_) => "table".to_owned(),
            Self::Named(name, _, kind) => format!("{{ {name}: {} }}", kind.words()),
            Self::Either(kinds) => {
                let mut words: Vec<String> = kinds.iter().map(Self::words).collect();
                words.dedup();
                if let [one, Self::List(_, inner)] = kinds
                    && one.words() == inner.words()
                    && !matches!(one, Self::Table(_))
                {
                    return format!("{}, or a list of them", one.words());
                }
                if words.iter().all(|word| word == "table") {
                    return "table".to_owned();
                }
                words.join(", or ")
            }
        }
    }
}
