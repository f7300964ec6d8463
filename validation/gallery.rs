//! Draws the small pictures of the README into `out/gallery`: `cargo run --release --example gallery`.

use std::path::Path;

use coldseam::report::files;
use coldseam::{case, draw, result, shipped};

/// Case, picture, and the width of the full layout it is scaled from.
const PICTURES: &[(&str, &str)] = &[
    ("window-sill", "plan"),
    ("window-sill", "temperature"),
    ("window-sill-metal", "temperature-factor"),
    ("plinth", "temperature"),
    ("balcony-slab", "plan"),
    ("window-sill-metal", "grid"),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out/gallery");
    for (name, wanted) in PICTURES {
        let shipped = shipped::find(name).ok_or("a shipped case")?;
        let outcome = result::compute(case::from_text(name, shipped.text, &[])?)?;
        for (picture, canvas) in draw::pictures(&outcome, 1000) {
            if picture == *wanted {
                files::write(&folder.join(format!("{name}-{picture}.png")), &canvas.to_png()?)?;
            }
        }
    }
    Ok(())
}
