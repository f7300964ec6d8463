//! The `windows:` block: U_w from frame, glazing and edge.

use super::keys;
use super::node::Node;
use super::plausible;
use super::reader::Reader;
use super::table::Table;
use crate::element::window::Window;

/// The keys of a window by its size.
const BY_SIZE: [&str; 6] = ["width", "height", "frame_width", "frame_u_value", "glazing_u_value", "edge_psi"];

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
    let table = reader.table(node, &what, &keys::WINDOW)?;
    let title = table.text(reader, "title");
    let by_parts = ["frame", "glazing", "edges"].iter().any(|key| table.has(key));
    let by_size = BY_SIZE.iter().any(|key| table.has(key));
    let window = match (by_parts, by_size) {
        (true, false) => {
            let [frame, glazing, edges] = ["frame", "glazing", "edges"].map(|key| parts(reader, &table, key));
            Window { glazing: glazing?, frame: frame?, edges: edges? }
        }
        (false, true) => single(reader, &table)?,
        _ => {
            let hint = "`width`, `height`, `frame_width`, `frame_u_value`, `glazing_u_value` and `edge_psi`; or lists: `frame: [[AREA, U]]`, \
                        `glazing: [[AREA, U]]`, `edges: [[LENGTH, PSI]]`";
            return reader.fault(
                node.place,
                format!("{what} needs either its size or its parts"),
                Some(hint.to_owned()),
            );
        }
    };
    if window.area() <= 0.0 {
        let hint =
            "list its areas with their U-values: `glazing: [[1.2, 0.6]]`, `frame: [[0.4, 1.1]]`".to_owned();
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
    let [width, height, frame, u_frame, u_glazing, psi] = BY_SIZE.map(|key| table.needed_number(reader, key));
    let window = Window::single([width? * 1e-3, height? * 1e-3], frame? * 1e-3, u_glazing?, u_frame?, psi?);
    if window.is_none() {
        return reader.fault(table.place, "the frame of this window leaves no glazing", None);
    }
    window
}

/// A list of pairs: size and value.
fn parts(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<Vec<(f64, f64)>> {
    let list = table.require(reader, key).and_then(|node| reader.list(node, key))?;
    let parts: Vec<Option<[f64; 2]>> =
        list.iter().map(|item| table.item(reader, key, item, &format!("a part of `{key}`"))).collect();
    parts.into_iter().map(|part| part.map(|[size, value]| (size, value))).collect()
}
