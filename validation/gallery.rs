//! Draws the small pictures of the README into `out/gallery`: `cargo run --release --example gallery`.

use std::path::Path;

use coldseam::draw::course_picture;
use coldseam::draw::profile_picture;
use coldseam::element::{condensate::Wetting, vapour};
use coldseam::report::files;
use coldseam::result::condensation::assess;
use coldseam::{case, draw, result, shipped};

/// Case, picture, and the width of the full layout it is scaled from.
const PICTURES: &[(&str, &str)] = &[
    ("window-sill", "plan"),
    ("window-sill", "temperature"),
    ("window-sill-metal", "temperature-factor"),
    ("eaves-rafter", "plan"),
    ("eaves-rafter", "temperature"),
    ("balcony-slab", "plan"),
    ("window-sill-metal", "grid"),
    ("plinth", "heat-flow"),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out/gallery");
    for (name, wanted) in PICTURES {
        let shipped = shipped::find(name).ok_or("a shipped case")?;
        let outcome = result::compute(case::from_text(name, shipped.text, &[])?)?;
        for (picture, canvas) in draw::pictures(&outcome, 1000) {
            if picture == *wanted {
                files::write_together(&[(folder.join(format!("{name}-{picture}.png")), canvas.to_png()?)])?;
            }
        }
    }
    let metal = shipped::find("window-sill-metal").ok_or("a shipped case")?;
    let outcome = result::compute(case::from_text("window-sill-metal", metal.text, &[])?)?;
    let profiles = draw::fine_profiles(&outcome, &draw::fine_fields(&outcome));
    let profile = profile_picture::draw(&outcome, &profiles, &assess(&outcome, None))?;
    files::write_together(&[(folder.join("window-sill-metal-profile.png"), profile)])?;
    // A timber wall whose vapour control layer is too open, so that something condenses.
    let text = |name: &str| shipped::find(name).map(|file| file.text).ok_or("a shipped file");
    let library = case::library_from_text("build-ups", text("build-ups")?, &["vapour_control=2".to_owned()])?;
    let climate = case::climate_from_text("climate", text("climate")?)?;
    let wall = library
        .build_ups
        .iter()
        .find(|build_up| build_up.name == "dormer_cheek")
        .ok_or("a shipped build-up")?;
    let course = vapour::course(wall).map_err(|layer| format!("no vapour resistance in layer {layer}"))?;
    let indoor = climate.indoor.ok_or("the air inside")?;
    let wetting = Wetting::of(&course, None, &climate, indoor);
    let drawn = course_picture::draw(wall, Some(&wetting))?;
    files::write_together(&[(folder.join("timber-wall-condensation.png"), drawn)])?;
    Ok(())
}
