//! Condensation inside a plane element for the terminal: what was taken, month by month, and what the years
//! come to.

use std::fmt::Write;

use super::diagnostics::printable;
use super::document::build_up::BuildUp;
use super::document::condensate::{Condensate, CondensateYear, Ending, TakenAs};
use crate::material::four_digits;

/// Condensation inside, or why it was not checked.
pub fn text(build_up: &BuildUp, condensate: &Condensate) -> String {
    match condensate {
        Condensate::Unknown { vapour_resistance_unknown: layer } => format!(
            "  condensation inside: not checked, the vapour resistance of {} is not known (`vapour_resistance` of its material, or \
             `vapour_thickness` of the layer)\n",
            printable(layer)
        ),
        Condensate::Known(year) => month_by_month(build_up, year),
    }
}

fn month_by_month(build_up: &BuildUp, year: &CondensateYear) -> String {
    let mut text = String::new();
    let (name, source) = (printable(&year.climate), printable(&year.source));
    let _ = writeln!(
        text,
        "  condensation inside (ISO 13788), climate of {name} ({source}), inside {}:",
        year.indoor
    );
    vapour_resistances(&mut text, build_up, year);
    if build_up.layers.iter().any(|layer| layer.bridged_by.is_some()) {
        let _ = writeln!(text, "    checked where the layers are not bridged");
    }
    if let Some(slight) = &year.slightly_ventilated {
        let (shown, other) = match slight.taken_as {
            TakenAs::OutsideAir => ("outside air", "unventilated"),
            TakenAs::Unventilated => ("unventilated", "outside air"),
        };
        let reading = &slight.other_reading;
        let comes_to = in_short(reading.ending, reading.largest, reading.left_after_a_year, reading.years);
        let _ = writeln!(
            text,
            "    slightly ventilated air layer: the standard has no rule for it; taken as {shown}, the worse reading (as {other}: {comes_to})"
        );
    }
    for month in &year.months {
        for wet in &month.condensate {
            let _ = writeln!(
                text,
                "    {:<10} {:>+8.4} kg/m², held {:>7.4} kg/m² {}",
                month.month, wet.change, wet.held, wet.place
            );
        }
    }
    if year.largest_by_place.len() > 1 && year.ending == Ending::Repeats {
        for peak in &year.largest_by_place {
            let _ = writeln!(text, "    at most {:.3} kg/m² {}, in {}", peak.amount, peak.place, peak.month);
        }
    }
    ending(&mut text, year);
    text
}

/// What the years come to.
fn ending(text: &mut String, year: &CondensateYear) {
    let left = year.left_after_a_year;
    let _ = match year.ending {
        Ending::Dry => writeln!(text, "    none in any month"),
        Ending::Repeats => writeln!(
            text,
            "    at most {:.3} kg/m² are held, and dry within the year, every year the same; whether the layers stand that is to be checked",
            year.largest.unwrap_or_default()
        ),
        Ending::Grows => writeln!(
            text,
            "    does not dry: {left:.3} kg/m² are added every year without end (shown: one of those years, its start counted as nothing held)"
        ),
        Ending::Open => writeln!(
            text,
            "    after {} years still {left:.6} kg/m² more in a year; whether it ever repeats itself could not be shown: take it as not drying",
            year.years
        ),
    };
    if matches!(year.ending, Ending::Grows | Ending::Open) {
        for gain in &year.left_by_place {
            let _ = writeln!(text, "      {:.3} kg/m² of it {}", gain.amount, gain.place);
        }
    }
}

/// What the years come to, in a few words.
fn in_short(ending: Ending, largest: Option<f64>, left: f64, years: usize) -> String {
    match ending {
        Ending::Dry => "none in any month".to_owned(),
        Ending::Repeats => {
            format!("at most {:.3} kg/m², dries within the year", largest.unwrap_or_default())
        }
        Ending::Grows => format!("{left:.3} kg/m² more every year"),
        Ending::Open => format!("still {left:.6} kg/m² more after {years} years"),
    }
}

/// μ and s_d of each layer that counts.
fn vapour_resistances(text: &mut String, build_up: &BuildUp, year: &CondensateYear) {
    let _ = writeln!(text, "    {:<50} {:>10} {:>12}", "vapour resistance, from inside", "μ", "s_d in m");
    let values = year.vapour_resistance.iter().zip(&year.vapour_thickness).zip(&year.vapour_thickness_from);
    for (layer, ((factor, thickness), from)) in build_up.layers.iter().zip(values) {
        let factor = factor.map_or_else(|| "–".to_owned(), four_digits);
        let label: String = printable(&layer.label).chars().take(50).collect();
        let line = format!("    {label:<50} {factor:>10} {:>12}  {}", four_digits(*thickness), from.label());
        let _ = writeln!(text, "{}", line.trim_end());
    }
    if let Some(first) = build_up.layers.get(year.vapour_thickness.len()) {
        let _ = writeln!(text, "    outside air from {}", printable(&first.label));
    }
}
