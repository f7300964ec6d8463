//! Unknowns against the width of the bracket: refined where the mismatch is, and everywhere alike.
//!
//! ```text
//! cargo run --release --example effort      writes validation/effort.csv and validation/effort.png
//! ```

use std::error::Error;
use std::fmt::Write;
use std::path::Path;

use coldseam::bounds::{Bracket, Evaluation};
use coldseam::case;
use coldseam::conduction::{Conduction, Network};
use coldseam::draw::{Canvas, Paper};
use coldseam::grid::Grid;
use coldseam::plan::Plan;
use coldseam::plan::surface::{Purpose, Surfaces};
use coldseam::result::{Demand, compute_to};
use coldseam::shipped;
use plotters::prelude::*;

const CASE: &str = "window-sill-metal";

/// Unknowns and bracket of L2D, W/(m·K).
type Point = (usize, Bracket);

/// Half-widths asked for, from 0.01 to 0.00001 W/(m·K); neither f_Rsi nor points drive the refinement here.
fn refined() -> Result<Vec<Point>, Box<dyn Error>> {
    let mut points = Vec::new();
    for half_width in [1e-2, 5e-3, 2e-3, 1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5, 1e-5] {
        let text = shipped::find(CASE).ok_or("shipped")?.text;
        let demand = Demand { half_width, factor_error: f64::INFINITY, ..Demand::default() };
        let mut case = case::from_text(CASE, text, &[])?;
        case.model.points.clear();
        let outcome = compute_to(case, &demand)?;
        points.push((outcome.heat_loss.conduction.unknowns, outcome.l2d.ok_or("bracket")?));
    }
    Ok(points)
}

/// The coarsest grid, halved again and again.
fn uniform() -> Result<Vec<Point>, Box<dyn Error>> {
    let text = shipped::find(CASE).ok_or("shipped")?.text;
    let case = case::from_text(CASE, text, &[])?;
    let (plan, _) = Plan::of(&case.model)?;
    let surfaces = Surfaces::of(&case.model, &plan, Purpose::HeatLoss);
    let temperatures = [20.0, 0.0];
    let mut grid = Grid::coarsest(&case.model, &plan)?;
    let mut points = Vec::new();
    for _ in 0..8 {
        let conduction = Conduction::of(Network::of(&case.model, &plan, &surfaces, &grid))?;
        let field = conduction.solve(&temperatures, None)?;
        let evaluation = Evaluation::of(&case.model, &plan, &grid, &conduction.network);
        points.push((
            conduction.unknowns,
            evaluation.energies(&field.temperature, &temperatures).bracket()?.over(400.0)?,
        ));
        grid = grid.doubled(&plan);
    }
    Ok(points)
}

/// Exponent s of unknowns ~ width⁻ˢ by least squares.
fn slope(points: &[Point]) -> f64 {
    let logs: Vec<(f64, f64)> =
        points.iter().map(|(n, bracket)| (bracket.half_width().ln(), (*n as f64).ln())).collect();
    let count = logs.len() as f64;
    let (x, y) =
        (logs.iter().map(|p| p.0).sum::<f64>() / count, logs.iter().map(|p| p.1).sum::<f64>() / count);
    -logs.iter().map(|p| (p.0 - x) * (p.1 - y)).sum::<f64>()
        / logs.iter().map(|p| (p.0 - x).powi(2)).sum::<f64>()
}

fn chart(path: &Path, series: &[(&str, &[Point])]) -> Result<(), Box<dyn Error>> {
    let mut canvas = Canvas::new(1400, 900);
    draw(&mut canvas, series)?;
    Ok(std::fs::write(path, canvas.to_png()?)?)
}

fn draw(canvas: &mut Canvas, series: &[(&str, &[Point])]) -> Result<(), Box<dyn Error>> {
    let root = Paper(canvas).into_drawing_area();
    let mut chart = ChartBuilder::on(&root)
        .caption("Effort against accuracy: folded metal sill", ("sans-serif", 34))
        .margin(30)
        .x_label_area_size(80)
        .y_label_area_size(110)
        .build_cartesian_2d((5e-6..0.3).log_scale(), (50.0..5e6).log_scale())?;
    chart
        .configure_mesh()
        .x_desc("Half-width of the bracket of ψ in W/(m·K)")
        .y_desc("Unknowns")
        .x_label_formatter(&|value| format!("{value:.0e}"))
        .y_label_formatter(&|value| format!("{value:.0e}"))
        .label_style(("sans-serif", 22))
        .axis_desc_style(("sans-serif", 26))
        .light_line_style(RGBColor(238, 238, 238))
        .bold_line_style(RGBColor(205, 205, 205))
        .draw()?;
    for (number, (name, points)) in series.iter().enumerate() {
        // Black and grey, discs and rings: told apart without colour.
        let style = if number == 0 { BLACK.stroke_width(3) } else { RGBColor(120, 120, 120).stroke_width(3) };
        let places: Vec<(f64, f64)> =
            points.iter().map(|(n, bracket)| (bracket.half_width(), *n as f64)).collect();
        chart
            .draw_series(LineSeries::new(places.clone(), style))?
            .label(format!("{name}: unknowns grow as the width to the power of −{:.2}", slope(points)))
            .legend(move |(x, y)| PathElement::new([(x, y), (x + 50, y)], style));
        let disc = if number == 0 { style.filled() } else { style };
        chart.draw_series(places.into_iter().map(|place| Circle::new(place, 7, disc)))?;
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::LowerLeft)
        .legend_area_size(60)
        .label_font(("sans-serif", 22))
        .background_style(WHITE)
        .border_style(BLACK)
        .draw()?;
    root.present()?;
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let (refined, uniform) = (refined()?, uniform()?);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("validation");
    let mut table = "refinement,unknowns,lower,upper,half_width\n".to_owned();
    for (name, points) in [("where the mismatch is", &refined), ("everywhere alike", &uniform)] {
        for (unknowns, bracket) in points {
            writeln!(
                table,
                "{name},{unknowns},{:.8},{:.8},{:.3e}",
                bracket.lower(),
                bracket.upper(),
                bracket.half_width()
            )?;
        }
    }
    std::fs::write(folder.join("effort.csv"), table)?;
    chart(
        &folder.join("effort.png"),
        &[("refined where the mismatch is", &refined), ("everywhere alike", &uniform)],
    )
}
