//! What a material's name says it is, and the conductivities that such materials have.
//!
//! The ranges are those of the generic table's rows, and for insulants, which have no generic value, what is
//! usually declared (common practice, no source).

use super::Material;

/// A kind of material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kind {
    /// For readers.
    pub name: &'static str,
    /// Words by which it is known; any of them, in name or label.
    words: &'static [&'static str],
    /// Usual conductivities, W/(m·K).
    pub range: (f64, f64),
    /// Whether it may be a frame or glazing.
    pub as_window: AsWindow,
}

/// Whether a material may be part of a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AsWindow {
    /// It is of windows alone.
    Is,
    /// Frames are made of it, and other things too.
    MayBe,
    /// It is not.
    IsNot,
}

const fn kind(name: &'static str, words: &'static [&'static str], low: f64, high: f64) -> Kind {
    Kind { name, words, range: (low, high), as_window: AsWindow::IsNot }
}

const fn of_frames_too(name: &'static str, words: &'static [&'static str], low: f64, high: f64) -> Kind {
    Kind { name, words, range: (low, high), as_window: AsWindow::MayBe }
}

const fn of_windows(name: &'static str, words: &'static [&'static str], low: f64, high: f64) -> Kind {
    Kind { name, words, range: (low, high), as_window: AsWindow::Is }
}

/// In the order of asking: what is said more closely comes first.
const KINDS: &[Kind] = &[
    of_windows("window or glazing as a panel", &["window", "glazing", "frame", "pane", "sash"], 0.02, 2.0),
    kind("vacuum insulation", &["vacuum", "vip"], 0.004, 0.012),
    kind("extruded polystyrene", &["xps", "extruded"], 0.029, 0.036),
    kind("expanded polystyrene", &["eps", "polystyrene"], 0.030, 0.040),
    of_frames_too("polyurethane foam", &["pir", "pur", "polyurethane"], 0.021, 0.030),
    kind("phenolic foam", &["phenolic"], 0.018, 0.025),
    kind("wood fibre insulation", &["woodfibre"], 0.036, 0.055),
    kind("mineral wool", &["wool", "batt"], 0.031, 0.045),
    kind("cork", &["cork"], 0.037, 0.065),
    kind("cellular glass", &["cellular"], 0.036, 0.055),
    kind("aerated concrete", &["aircrete", "aerated"], 0.07, 0.24),
    kind("brick", &["brick", "bricks", "masonry"], 0.30, 1.30),
    kind("concrete", &["concrete"], 0.90, 2.60),
    kind(
        "plywood or board of wood",
        &["plywood", "osb", "particleboard", "fibreboard", "chipboard"],
        0.07,
        0.24,
    ),
    kind("plasterboard", &["plasterboard"], 0.18, 0.26),
    kind("plaster", &["plaster", "gypsum"], 0.18, 0.90),
    kind("render or mortar", &["render", "mortar", "screed"], 0.40, 2.0),
    of_frames_too("timber", &["timber", "wood", "softwood", "hardwood", "oak", "pine", "spruce"], 0.10, 0.22),
    of_frames_too("stainless steel", &["stainless"], 14.0, 32.0),
    of_frames_too("steel", &["steel"], 45.0, 62.0),
    of_frames_too("aluminium", &["aluminium", "aluminum"], 120.0, 240.0),
    kind("copper", &["copper"], 340.0, 400.0),
    of_windows("glass", &["glass"], 0.75, 1.40),
    of_windows("rigid PVC", &["pvc"], 0.16, 0.20),
    of_windows("solid plastic", &["plastic", "polyamide", "polycarbonate", "acrylic"], 0.16, 0.35),
    kind("insulation", &["insulation", "insulant"], 0.018, 0.065),
    kind("ground", &["soil", "ground", "clay", "sand", "gravel"], 1.0, 3.5),
];

/// What is called by the words of a foam and is none.
const SOLID: [&str; 4] = ["polystyrene solid", "polyurethane solid", "polyurethane break", "phenolic resin"];

/// The kind that a material's name tells, or else its label.
pub fn of(material: &Material) -> Option<&'static Kind> {
    told_by(&material.name).or_else(|| told_by(&material.label))
}

/// The kind that a name or label tells, if it is one of the known.
pub fn told_by(text: &str) -> Option<&'static Kind> {
    let text = text.to_lowercase().replace('_', " ");
    let text = text.replace("wood fibre", "woodfibre");
    // Named like foams of the same plastic.
    let text = SOLID.iter().fold(text, |text, solid| text.replace(solid, "plastic"));
    let words: Vec<&str> = text.split(|character: char| !character.is_alphabetic()).collect();
    KINDS.iter().find(|kind| kind.words.iter().any(|word| words.contains(word)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::generic;

    #[test]
    fn names_tell_the_kind_and_generic_rows_lie_in_its_range() {
        assert_eq!(told_by("graphite_eps").map(|kind| kind.name), Some("expanded polystyrene"));
        assert_eq!(told_by("Stone wool 035").map(|kind| kind.name), Some("mineral wool"));
        assert_eq!(told_by("wood fibre board").map(|kind| kind.name), Some("wood fibre insulation"));
        assert_eq!(told_by("mystery"), None);
        for row in generic::table() {
            // Rows whose names are only part of a kind's word are judged by their own group.
            let Some(kind) = told_by(&row.name).filter(|_| {
                !matches!(row.group.as_str(), "plastic" | "seal" | "floor covering" | "stone" | "tile")
            }) else {
                continue;
            };
            let (low, high) = kind.range;
            assert!(
                (low..=high).contains(&row.conductivity),
                "{} {} is no {}",
                row.name,
                row.conductivity,
                kind.name
            );
        }
    }
}
