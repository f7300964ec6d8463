//! The cases that come with the program.

/// A ready-made junction.
#[derive(Clone, Copy, Debug)]
pub struct ShippedCase {
    /// Name, also of its file without ending.
    pub name: &'static str,
    /// The file.
    pub text: &'static str,
}

macro_rules! shipped {
    ($($name:literal),+ $(,)?) => {
        &[$(ShippedCase { name: $name, text: include_str!(concat!("../cases/", $name, ".yaml")) }),+]
    };
}

/// All of them, in the order in which a house is drawn.
pub const CASES: &[ShippedCase] = shipped![
    "outer-corner",
    "inner-corner",
    "plinth",
    "window-sill",
    "window-sill-metal",
    "window-jamb",
    "window-head",
    "window-in-insulation-zone",
    "intermediate-floor",
    "balcony-slab",
];

impl ShippedCase {
    /// The first line of the file's opening comment.
    pub fn summary(&self) -> &'static str {
        self.text.lines().next().unwrap_or_default().trim_start_matches(['#', ' '])
    }
}

/// The case of that name.
pub fn find(name: &str) -> Option<&'static ShippedCase> {
    CASES.iter().find(|case| case.name == name)
}
