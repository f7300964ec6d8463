//! Condensation inside a plane element for the terminal: what was taken, month by month, and what the years
//! come to.

use std::fmt::Write;

use super::diagnostics::printable;
use crate::climate::MONTHS;
use crate::element::build_up::BuildUp;
use crate::element::condensate::{Ending, Wetting, Year};
use crate::element::vapour::{Course, Interface};
use crate::material::four_digits;

/// Why condensation inside was not checked.
pub fn vapour_unknown(layer: &str) -> String {
    format!(
        "  condensation inside: not checked, the vapour resistance of {} is not known (`vapour_resistance` of its material, or \
         `vapour_thickness` of the layer)\n",
        printable(layer)
    )
}

/// The place of an interface in words.
pub fn interface(build_up: &BuildUp, interface: &Interface) -> String {
    let label = |index: usize| printable(&build_up.layers[index].label);
    if interface.is_boundary() {
        format!("between {} and {}", label(interface.layer), label(interface.layer + 1))
    } else {
        format!("within {}", label(interface.layer))
    }
}

/// Condensation inside, month by month.
pub fn text(build_up: &BuildUp, wetting: &Wetting<'_>) -> String {
    let mut text = String::new();
    let Wetting { climate, indoor, course, year, slight } = wetting;
    let (name, source) = (printable(&climate.name), printable(&climate.source));
    let _ = writeln!(
        text,
        "  condensation inside (ISO 13788), climate of {name} ({source}), inside {}:",
        indoor.description()
    );
    vapour_resistances(&mut text, build_up, course);
    if build_up.layers.iter().any(|layer| layer.bridge.is_some()) {
        let _ = writeln!(text, "    checked where the layers are not bridged");
    }
    if let Some(slight) = slight {
        let (shown, other) =
            if slight.is_open { ("outside air", "unventilated") } else { ("unventilated", "outside air") };
        let _ = writeln!(
            text,
            "    slightly ventilated air layer: the standard has no rule for it; taken as {shown}, the worse reading (as {other}: {})",
            in_short(&slight.other)
        );
    }
    for (month, wet) in &year.months {
        for wet in wet {
            let place = interface(build_up, &course.interfaces[wet.interface]);
            let _ = writeln!(
                text,
                "    {:<10} {:>+8.4} kg/m², held {:>7.4} kg/m² {place}",
                MONTHS[*month], wet.change, wet.held
            );
        }
    }
    if year.peaks.len() > 1 && year.ending == Ending::Repeats {
        for peak in &year.peaks {
            let place = interface(build_up, &course.interfaces[peak.interface]);
            let _ = writeln!(text, "    at most {:.3} kg/m² {place}, in {}", peak.amount, MONTHS[peak.month]);
        }
    }
    let gains = |text: &mut String| {
        for (interface, gain) in &year.gains {
            let place = self::interface(build_up, &course.interfaces[*interface]);
            let _ = writeln!(text, "      {gain:.3} kg/m² of it {place}");
        }
    };
    match year.ending {
        Ending::Dry => {
            let _ = writeln!(text, "    none in any month");
        }
        Ending::Repeats => {
            let _ = writeln!(
                text,
                "    at most {:.3} kg/m² are held, and dry within the year, every year the same; whether the layers stand that is to be checked",
                year.peak
            );
        }
        Ending::Grows => {
            let _ = writeln!(
                text,
                "    does not dry: {:.3} kg/m² are added every year without end (shown: one of those years, its start counted as nothing held)",
                year.left
            );
            gains(&mut text);
        }
        Ending::Open => {
            let _ = writeln!(
                text,
                "    after {} years still {:.6} kg/m² more in a year; whether it ever repeats itself could not be shown: take it as not drying",
                year.years, year.left
            );
            gains(&mut text);
        }
    }
    text
}

/// What the years come to, in a few words.
pub fn in_short(year: &Year) -> String {
    match year.ending {
        Ending::Dry => "none in any month".to_owned(),
        Ending::Repeats => format!("at most {:.3} kg/m², dries within the year", year.peak),
        Ending::Grows => format!("{:.3} kg/m² more every year", year.left),
        Ending::Open => format!("still {:.6} kg/m² more after {} years", year.left, year.years),
    }
}

/// μ and s_d of each layer that counts.
fn vapour_resistances(text: &mut String, build_up: &BuildUp, course: &Course) {
    let _ = writeln!(text, "    {:<50} {:>10} {:>12}", "vapour resistance, from inside", "μ", "s_d in m");
    for ((layer, of_layer), origin) in build_up.layers.iter().zip(&course.of_layers).zip(&course.origins) {
        let factor = origin.factor().map_or_else(|| "–".to_owned(), four_digits);
        let label: String = printable(&layer.label).chars().take(50).collect();
        let line = format!("    {label:<50} {factor:>10} {:>12}  {}", four_digits(*of_layer), origin.label());
        let _ = writeln!(text, "{}", line.trim_end());
    }
    let counted = course.of_layers.len();
    if counted < build_up.layers.len() {
        let _ = writeln!(text, "    outside air from {}", printable(&build_up.layers[counted].label));
    }
}
