//! `coldseam materials`: lists and searches the generic table.

use super::{Outcome, complain, print};
use crate::material::generic;

/// Lists the rows that contain all of `words`; all rows without words.
pub fn run(words: &[String]) -> Outcome {
    let search = words.join(" ");
    let rows = generic::search(&search);
    if rows.is_empty() {
        let names = generic::table().iter().map(|row| row.name.as_str());
        let hint = crate::case::did_you_mean(&search, names).unwrap_or_default();
        complain(&format!("no generic material matches \"{search}\". {hint}\n"));
        return Outcome::No;
    }
    let mut text = format!("{:<24} {:>9}  {:>7}  {:<18} {}\n", "name", "λ W/(m·K)", "ρ kg/m³", "group", "description; source");
    for row in &rows {
        let density = row.density.map_or_else(|| "–".to_owned(), |density| format!("{density}"));
        text.push_str(&format!(
            "{:<24} {:>9}  {density:>7}  {:<18} {}; {}\n",
            row.name, row.conductivity, row.group, row.label, row.source
        ));
    }
    print(&text);
    Outcome::Done
}
