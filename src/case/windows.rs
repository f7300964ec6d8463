//! The `windows:` block: U_w from frame, glazing and edge.

use super::node::Node;
use super::plausible;
use super::ranges;
use super::reader::{Allowed, Reader, Table};
use crate::element::window::Window;

pub const WINDOW_KEYS: [&str; 10] =
    ["title", "width", "height", "frame_width", "frame_u_value", "glazing_u_value", "edge_psi", "frame", "glazing", "edges"];

/// W/(m²K): no window lets more pass, were it a hole between two surfaces.
const LARGEST_U: f64 = 20.0;

/// A window with what it was described by.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedWindow {
    /// Its name in the file.
    pub name: String,
    /// One line for headings.
    pub title: String,
    /// Its parts.
    pub window: Window,
}

/// Every window of the block, by the names chosen in the file.
pub fn read(reader: &mut Reader, node: &Node) -> Vec<NamedWindow> {
    let Some(table) = reader.open_table(node, "windows") else { return Vec::new() };
    table.entries().iter().filter_map(|entry| window(reader, &entry.key, &entry.node)).collect()
}

fn window(reader: &mut Reader, name: &str, node: &Node) -> Option<NamedWindow> {
    let what = format!("the window `{name}`");
    let table = reader.table(node, &what, &WINDOW_KEYS)?;
    let title = table.get("title").and_then(|node| reader.text(node, "title"));
    let by_parts = ["frame", "glazing", "edges"].iter().any(|key| table.has(key));
    let by_size = WINDOW_KEYS[1..7].iter().any(|key| table.has(key));
    let window = match (by_parts, by_size) {
        (true, false) => {
            let frame =
                parts(reader, &table, "frame", ["AREA in m²", "U_VALUE in W/(m²K)"], [ranges::AREA, ranges::PART_U_VALUE]);
            let glazing =
                parts(reader, &table, "glazing", ["AREA in m²", "U_VALUE in W/(m²K)"], [ranges::AREA, ranges::PART_U_VALUE]);
            let edges =
                parts(reader, &table, "edges", ["LENGTH in m", "PSI in W/(m·K)"], [ranges::LENGTH_IN_METRES, ranges::EDGE_PSI]);
            Window { glazing: glazing?, frame: frame?, edges: edges? }
        }
        (false, true) => single(reader, &table)?,
        _ => {
            let hint = "`width`, `height`, `frame_width`, `frame_u_value`, `glazing_u_value` and `edge_psi`; or lists: `frame: [[AREA, U]]`, \
                        `glazing: [[AREA, U]]`, `edges: [[LENGTH, PSI]]`";
            return reader.fault(node.place, format!("{what} needs either its size or its parts"), Some(hint.to_owned()));
        }
    };
    if window.area() <= 0.0 {
        let hint = "list its areas with their U-values: `glazing: [[1.2, 0.6]]`, `frame: [[0.4, 1.1]]`".to_owned();
        return reader.fault(node.place, format!("{what} has neither frame nor glazing"), Some(hint));
    }
    let u_value = window.u_value();
    if !(0.0..=LARGEST_U).contains(&u_value) || u_value == 0.0 {
        let message = format!("the U-value of {what} comes to {u_value:.3} W/(m²K), which no window has");
        let hint = "look at the edges: their length in m and ψ in W/(m·K), for this window alone".to_owned();
        return reader.fault(node.place, message, Some(hint));
    }
    reader.diagnostics.extend(plausible::hardly(&what, u_value, node.place));
    let title = title.map_or_else(|| name.replace('_', " "), |title| title.trim().to_owned());
    Some(NamedWindow { name: name.to_owned(), title, window })
}

fn single(reader: &mut Reader, table: &Table<'_>) -> Option<Window> {
    let mut number = |key: &str, unit: &str, allowed: Allowed| {
        table.require(reader, key).and_then(|node| reader.number(node, &format!("{key} in {unit}"), allowed))
    };
    let (width, height, frame) = (
        number("width", "mm", ranges::WINDOW),
        number("height", "mm", ranges::WINDOW),
        number("frame_width", "mm", ranges::FRAME),
    );
    let (u_frame, u_glazing) =
        (number("frame_u_value", "W/(m²K)", ranges::PART_U_VALUE), number("glazing_u_value", "W/(m²K)", ranges::PART_U_VALUE));
    let psi = number("edge_psi", "W/(m·K)", ranges::EDGE_PSI);
    let window = Window::single([width? * 1e-3, height? * 1e-3], frame? * 1e-3, u_glazing?, u_frame?, psi?);
    if window.is_none() {
        return reader.fault(table.place, "the frame of this window leaves no glazing", None);
    }
    window
}

/// A list of pairs: size and value.
fn parts(
    reader: &mut Reader,
    table: &Table<'_>,
    key: &str,
    [size, value]: [&str; 2],
    [sizes, values]: [Allowed; 2],
) -> Option<Vec<(f64, f64)>> {
    let list = table.require(reader, key).and_then(|node| reader.list(node, key))?;
    let read = |item: &Node| {
        let pair = reader.pair(item, &format!("a part of `{key}` ([{size}, {value}])"))?;
        let (size, value) = (reader.number(&pair[0], size, sizes), reader.number(&pair[1], value, values));
        Some((size?, value?))
    };
    let parts: Vec<Option<(f64, f64)>> = list.iter().map(read).collect();
    parts.into_iter().collect()
}
