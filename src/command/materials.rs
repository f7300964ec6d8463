//! `coldseam materials`: lists and searches the generic table.

use super::{Exit, complain, print};
use crate::material::generic;

/// Lists the rows that contain all of `words`; all rows without words.
pub fn run(words: &[String]) -> Exit {
    let search = words.join(" ");
    let rows = generic::search(&search);
    if rows.is_empty() {
        let names = generic::table().iter().map(|row| row.name.as_str());
        let hint = crate::case::did_you_mean(&search, names).unwrap_or_default();
        complain(&format!("no generic material matches \"{search}\". {hint}\n"));
        return Exit::No;
    }
    let mut text = format!(
        "{:<24} {:>9} {:>7} {:>10} {:>12}  {:<18} {}\n",
        "name", "λ W/(m·K)", "ρ kg/m³", "c J/(kg·K)", "μ dry/wet", "group", "description; sources"
    );
    for row in &rows {
        let or_dash = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |value| format!("{value}"));
        let factor = |value: f64| if value.is_finite() { format!("{value}") } else { "∞".to_owned() };
        let vapour = match row.vapour_dry.zip(row.vapour_wet) {
            None => "–".to_owned(),
            Some((dry, wet)) if dry == wet => factor(dry),
            Some((dry, wet)) => format!("{}/{}", factor(dry), factor(wet)),
        };
        text.push_str(&format!(
            "{:<24} {:>9} {:>7} {:>10} {vapour:>12}  {:<18} {}; {}\n",
            row.name,
            row.conductivity,
            or_dash(row.density),
            or_dash(row.heat_capacity),
            row.group,
            row.label,
            row.source
        ));
    }
    text.push_str("From memory means: of the table named, or of ISO 10456:2007. Values declared for the product come first.\n");
    print(&text);
    Exit::Done
}
