//! The files that come with the program: junctions, and the build-ups of the house they belong to.

/// A ready-made file.
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

/// The junctions, in the order in which a house is drawn.
pub const CASES: &[ShippedCase] = shipped![
    "outer-corner",
    "inner-corner",
    "corner-135",
    "plinth",
    "door-threshold",
    "timber-floor",
    "pipe-in-wall",
    "window-sill",
    "window-sill-sloped",
    "window-sill-metal",
    "window-jamb",
    "window-head",
    "window-in-insulation-zone",
    "window-reveal",
    "window-splay",
    "window-frame",
    "intermediate-floor",
    "balcony-slab",
    "party-wall-ground",
    "party-wall-floor",
    "party-wall-roof",
    "parapet",
    "eaves-ceiling",
    "eaves-rafter",
    "ridge",
    "verge",
];

/// Build-ups and a climate for `coldseam uvalue`.
pub const ELEMENTS: &[ShippedCase] = shipped!["build-ups", "climate", "dwelling"];

impl ShippedCase {
    /// The shipped files that it names: those it includes and the cases of its junctions, and what these name
    /// in turn.
    pub fn needs(&self) -> Vec<&'static Self> {
        let mut found: Vec<&'static Self> = Vec::new();
        let mut open = vec![self.text];
        while let Some(text) = open.pop() {
            for case in all() {
                let is_named = text.lines().filter(|line| !line.trim_start().starts_with('#')).any(|line| {
                    line.split(|sign: char| !is_of_name(sign)).any(|word| is_file(word, case.name))
                });
                if is_named && case.name != self.name && !found.iter().any(|known| known.name == case.name) {
                    found.push(case);
                    open.push(case.text);
                }
            }
        }
        found
    }

    /// The first line of the file's opening comment.
    pub fn summary(&self) -> &'static str {
        self.text.lines().next().unwrap_or_default().trim_start_matches(['#', ' '])
    }
}

fn is_of_name(sign: char) -> bool {
    sign.is_alphanumeric() || matches!(sign, '-' | '.')
}

fn is_file(word: &str, name: &str) -> bool {
    word.strip_suffix(".yaml") == Some(name)
}

/// Everything that `coldseam new` can write.
pub fn all() -> impl Iterator<Item = &'static ShippedCase> {
    CASES.iter().chain(ELEMENTS)
}

/// The file of that name.
pub fn find(name: &str) -> Option<&'static ShippedCase> {
    all().find(|case| case.name == name)
}
