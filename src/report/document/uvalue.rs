//! The plane elements of a file: `u-values.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::VERSION;
use super::build_up::BuildUp;
use super::elements::{FloorOnGround, Window};

/// The plane elements of a file.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct UValues {
    /// Version of this document.
    pub coldseam: u32,
    /// The title of the file.
    pub title: String,
    /// Its build-ups.
    pub build_ups: Vec<BuildUp>,
    /// Its floors on the ground.
    pub floors: Vec<FloorOnGround>,
    /// Its windows.
    pub windows: Vec<Window>,
}

impl UValues {
    /// A file of which nothing is computed yet.
    pub fn new(title: &str) -> Self {
        Self {
            coldseam: VERSION,
            title: title.to_owned(),
            build_ups: Vec::new(),
            floors: Vec::new(),
            windows: Vec::new(),
        }
    }
}
