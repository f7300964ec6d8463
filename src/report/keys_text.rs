//! The keys of a file for the terminal: an overview, and every key with unit, range, default and an example.

use std::fmt::Write;

use comfy_table::{Cell, ContentArrangement, Table, presets};

use crate::case::did_you_mean;
use crate::case::keys::{Block, CASE, Key, Need, walk};

/// Columns of the terminal; wider lines are hard to read.
const WIDTH: u16 = 110;

/// The keys of a file, and what can be asked for.
pub fn overview() -> String {
    let mut text = paragraph(&format!("{}.", CASE.meaning)) + "\n";
    let mut table = table();
    for key in CASE.keys {
        table.add_row([Cell::new(key.name), Cell::new(key.kind.words()), Cell::new(meaning(key))]);
    }
    let _ = writeln!(text, "{}\n", trimmed(&table));
    text += &paragraph(
        "`coldseam keys WHERE` tells every key with unit, range and example: WHERE is a block (psi), a way (psi.flanking) or a key (section).",
    );
    text += "All lengths of a drawing are in mm; any number may be an expression of the parameters.\n";
    text
}

/// What is known of a block, of a way or of a key, wherever it stands.
///
/// # Errors
/// What to say where there is none.
pub fn about(wanted: &str) -> Result<String, String> {
    let wanted = wanted.trim_matches('.').to_lowercase();
    let all = walk();
    let below =
        |way: &str| way.to_lowercase() == wanted || way.to_lowercase().starts_with(&format!("{wanted}."));
    let blocks: Vec<&(String, &Block)> = all.iter().filter(|(way, _)| below(way)).collect();
    if !blocks.is_empty() {
        return Ok(blocks
            .iter()
            .map(|(way, block)| described(way, block, block.keys.iter()))
            .collect::<Vec<_>>()
            .join("\n"));
    }
    // A key by itself, or with the end of the way to it.
    let is_it = |way: &str, key: &Key| {
        let full = format!(".{way}.{}", key.name).to_lowercase();
        full.ends_with(&format!(".{wanted}"))
    };
    let mut parts = Vec::new();
    for (way, block) in &all {
        let keys: Vec<&Key> = block.keys.iter().filter(|key| is_it(way, key)).collect();
        if !keys.is_empty() {
            parts.push(described(way, block, keys.iter().copied()));
        }
        let tables = all.iter().filter(|(other, _)| keys.iter().any(|key| is_below(other, way, key.name)));
        parts.extend(tables.map(|(way, block)| described(way, block, block.keys.iter())));
    }
    if parts.is_empty() {
        let keys = all.iter().flat_map(|(_, block)| block.names().map(str::to_owned));
        let names: Vec<String> = all.iter().map(|(way, _)| way.clone()).chain(keys).collect();
        let names = names.iter().map(String::as_str);
        return Err(did_you_mean(&wanted, names)
            .unwrap_or_else(|| "`coldseam keys` lists those of a file".to_owned()));
    }
    Ok(parts.join("\n"))
}

/// True for the ways to the tables behind a key.
fn is_below(other: &str, way: &str, key: &str) -> bool {
    let start = if way.is_empty() { key.to_owned() } else { format!("{way}.{key}") };
    other == start || other.starts_with(&format!("{start}."))
}

fn described<'k>(way: &str, block: &Block, keys: impl Iterator<Item = &'k Key>) -> String {
    let heading = if way.is_empty() { block.meaning.to_owned() } else { format!("{way}: {}", block.meaning) };
    let mut text = paragraph(&heading);
    for group in block.one_of {
        let _ = writeln!(text, "  just one of {}", group.join(", "));
    }
    let mut table = table();
    for key in keys {
        let example =
            if key.example.is_empty() { String::new() } else { format!("\n{}: {}", key.name, key.example) };
        table.add_row([Cell::new(key.name), Cell::new(key.kind.words()), Cell::new(meaning(key) + &example)]);
    }
    let _ = writeln!(text, "{}", trimmed(&table));
    text
}

fn table() -> Table {
    let mut table = Table::new();
    table.load_preset(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    table
}

/// Text in lines that are not too wide.
fn paragraph(text: &str) -> String {
    let mut table = table();
    table.add_row([text]);
    table.lines().map(|line| line.trim().to_owned() + "\n").collect()
}

/// Without blanks at the ends of lines.
fn trimmed(table: &Table) -> String {
    table.lines().map(|line| format!(" {}", line.trim_end())).collect::<Vec<_>>().join("\n")
}

fn meaning(key: &Key) -> String {
    match key.need {
        Need::Needed => format!("{} (needed)", key.meaning),
        Need::Optional => key.meaning.to_owned(),
        Need::Unless(default) => format!("{} (unless stated: {default})", key.meaning),
    }
}
