//! Drives a report in a real browser: `cargo run --release --example browser [CHROMIUM]`.
//!
//! The page is opened headless with a script of ours added, which moves the probe, switches the pictures and
//! pulls the slider, and leaves what it saw in the page. The expected temperature comes from the solution
//! itself.

use std::error::Error;
use std::fs;
use std::process::Command;

use coldseam::report::html;
use coldseam::review::{self, Seal};
use coldseam::{case, command, draw, result, shipped};
use serde_json::Value;

/// Place looked at, mm: on the cold window board.
const PLACE: (f64, f64) = (150.0, -8.0);
/// Width that the report draws its pictures for.
const WIDTH: u32 = 1100;

const DRIVER: &str = r#"<script>
const seen = { errors: window.seenErrors };
const stages = () => [...document.querySelectorAll("figure.stage")].filter((stage) => !stage.hidden).map((stage) => stage.id);
const probe = () => document.getElementById("probe").textContent;
seen.first = stages();
document.querySelector("input[value=temperature]").click();
seen.switched = stages();
const stage = document.getElementById("temperature"), box = stage.querySelector("img").getBoundingClientRect();
stage.dispatchEvent(new PointerEvent("pointermove", { clientX: box.left + PX * box.width / PICTURE_WIDTH, clientY: box.top + PY * box.height / PICTURE_HEIGHT }));
seen.probe = probe();
stage.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowDown", cancelable: true }));
seen.moved = probe();
const limit = document.getElementById("limit");
limit.value = "12.6"; limit.dispatchEvent(new Event("input"));
seen.limit = document.getElementById("limit-text").textContent;
seen.marks = stage.querySelectorAll("svg polyline").length;
seen.focusable = stage.tabIndex;
seen.unlabelled = [...document.querySelectorAll("input")].filter((input) => input.labels.length === 0).length;
seen.withoutText = [...document.querySelectorAll("img")].filter((image) => !image.alt).length;
seen.outOfReach = [...document.querySelectorAll("pre.source")].filter((text) => text.tabIndex < 0).length;
seen.broken = [...document.querySelectorAll("img")].filter((image) => image.naturalWidth === 0).length;
seen.requests = performance.getEntriesByType("resource").filter((entry) => !entry.name.startsWith("data:")).map((entry) => entry.name);
seen.headings = [...document.querySelectorAll("h1, h2, h3")].map((heading) => Number(heading.tagName[1])).every((level, index, all) => index === 0 ? level === 1 : level <= all[index - 1] + 1);
const result = document.createElement("pre"); result.id = "seen"; result.textContent = JSON.stringify(seen); document.body.append(result);
</script></body>"#;

fn expect(what: &str, is_right: bool, seen: &Value) -> Result<(), Box<dyn Error>> {
    if is_right { Ok(()) } else { Err(format!("{what}: {seen:#}").into()) }
}

/// The temperature at a place (m) by the solution that pictures are drawn from, °C.
fn temperature(outcome: &result::Outcome, x: f64, y: f64) -> Option<f64> {
    if let Some(on) = outcome.on_triangles() {
        let (triangle, at) = on.mesh.find([x, y])?;
        return on.heat_loss.system.solids.temperature(&on.heat_loss.pair.temperature, triangle, at);
    }
    let fields = draw::fine_fields(outcome);
    let result::Ground::Grid { raster, grid } = &fields.ground else { return None };
    let weights = result::point::weights(grid, raster, (x, y))?;
    Some(weights.iter().map(|(vertex, weight)| weight * fields.heat_loss[*vertex]).sum())
}

fn main() -> Result<(), Box<dyn Error>> {
    let browser = std::env::args().nth(1).unwrap_or_else(|| "chromium".to_owned());
    let shipped = shipped::find("window-sill-metal").ok_or("a shipped case")?;
    let outcome = result::compute(case::from_text("window-sill-metal", shipped.text, &[])?)?;
    let page = html::page(&outcome, &review::review(&outcome, &Seal::None))?;
    let placement = draw::placement(&outcome, WIDTH);
    let (x, y) = placement.view.point((PLACE.0 * 1e-3, PLACE.1 * 1e-3));
    let driver = DRIVER
        .replace("PICTURE_WIDTH", &placement.picture.0.to_string())
        .replace("PICTURE_HEIGHT", &placement.picture.1.to_string())
        .replace("PX", &x.to_string())
        .replace("PY", &y.to_string());
    let watched = "<head><script>window.seenErrors = []; addEventListener('error', (event) => window.seenErrors.push(event.message)); \
                   addEventListener('securitypolicyviolation', (event) => window.seenErrors.push(event.violatedDirective));</script>";
    let page = page.replacen("<head>", watched, 1).replacen("</body>", &driver, 1);
    let folder = std::env::temp_dir().join(format!("coldseam-browser-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    let file = folder.join("report.html");
    fs::write(&file, page)?;
    let output = Command::new(&browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--virtual-time-budget=4000",
            "--window-size=1200,3000",
            "--dump-dom",
        ])
        .arg(format!("file://{}", file.display()))
        .output()
        .map_err(|error| format!("{browser} cannot be started: {error}"))?;
    fs::remove_dir_all(&folder)?;
    let dom = String::from_utf8_lossy(&output.stdout);
    let start = dom.find("<pre id=\"seen\">").ok_or("the script left nothing in the page")?
        + "<pre id=\"seen\">".len();
    let end = start + dom[start..].find("</pre>").ok_or("the page is cut off")?;
    let seen: Value = serde_json::from_str(
        &dom[start..end].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"),
    )?;

    expect("errors in the page", seen["errors"].as_array().is_some_and(Vec::is_empty), &seen)?;
    expect("requests that leave the file", seen["requests"].as_array().is_some_and(Vec::is_empty), &seen)?;
    expect("one picture at first", seen["first"] == serde_json::json!(["plan"]), &seen)?;
    expect("the other after switching", seen["switched"] == serde_json::json!(["temperature"]), &seen)?;
    let expected =
        temperature(&outcome, PLACE.0 * 1e-3, PLACE.1 * 1e-3).ok_or("the place lies in no solid")?;
    let probe = seen["probe"].as_str().unwrap_or_default();
    let shown: f64 =
        probe.split(": ").nth(1).and_then(|text| text.split(" °C").next()).unwrap_or_default().parse()?;
    expect(
        &format!("the probe reads {expected:.2} °C"),
        (shown - expected).abs() < 0.15 && probe.contains("softwood"),
        &seen,
    )?;
    expect("the arrow keys move the probe", seen["moved"] != seen["probe"], &seen)?;
    let length = result::condensation::assess(&outcome, None)[0].limits[0].length_below;
    let told: f64 = seen["limit"]
        .as_str()
        .unwrap_or_default()
        .split(": ")
        .nth(1)
        .unwrap_or_default()
        .trim_end_matches(" m")
        .parse()?;
    // The slider marks frames and glazing too, so that it finds at least what the verdict counts.
    expect(
        &format!("the slider finds at least {length:.3} m"),
        told >= length - 0.003 && told < length + 0.05,
        &seen,
    )?;
    expect("the slider marks surfaces", seen["marks"].as_u64().is_some_and(|marks| marks > 4), &seen)?;
    for key in ["unlabelled", "withoutText", "outOfReach", "broken"] {
        expect(key, seen[key] == 0, &seen)?;
    }
    expect("pictures can be focused", seen["focusable"] == 0, &seen)?;
    expect("headings go down one level at a time", seen["headings"] == true, &seen)?;
    command::print(&format!("the report works in {browser}: {probe}; {}\n", seen["limit"]));
    Ok(())
}
