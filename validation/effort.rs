//! Unknowns against the width of the bracket, by both methods: finite volumes on a grid, quadratic fields on triangles.
//!
//! ```text
//! cargo run --release --example effort      writes validation/effort.csv and validation/effort.png,
//!                                           and tells how long each took on this machine
//! ```

use std::error::Error;
use std::fmt::Write;
use std::path::Path;
use std::time::{Duration, Instant};

use coldseam::bounds::Bracket;
use coldseam::case;
use coldseam::conduction::{Conduction, Network};
use coldseam::draw::{Canvas, Paper};
use coldseam::grid::Grid;
use coldseam::result::coupling::Temperatures;
use coldseam::result::refinement::{self, Target};
use coldseam::result::{Demand, Outcome, compute, independent, psi};
use coldseam::shipped;
use coldseam::triangulation::Wanted;
use plotters::coord::Shift;
use plotters::prelude::*;

const CASES: [(&str, &str); 6] = [
    ("outer-corner", "Outer corner"),
    ("window-sill", "Sill"),
    ("balcony-slab", "Balcony slab"),
    ("window-reveal", "Reveal"),
    ("window-sill-metal", "Folded metal sill"),
    ("plinth", "Plinth"),
];

/// Half-widths asked for, W/(m·K).
const ASKED: [f64; 8] = [5e-3, 2e-3, 1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5];

/// Runs of which the shortest counts.
const RUNS: usize = 7;

/// One method's answer.
#[derive(Clone, Copy)]
struct Answer {
    /// Of one field.
    unknowns: usize,
    /// L2D, W/(m·K).
    l2d: Bracket,
    /// From the plan to the bracket, meshing included.
    time: Duration,
}

/// Answers of both methods, in the order of `ASKED`.
struct Curves {
    title: &'static str,
    case: &'static str,
    grid: Vec<Answer>,
    triangles: Vec<Answer>,
}

/// The shortest of some runs.
fn timed<T>(run: impl Fn() -> Result<T, Box<dyn Error>>) -> Result<(T, Duration), Box<dyn Error>> {
    let mut shortest = Duration::MAX;
    for number in 1.. {
        let start = Instant::now();
        let found = run()?;
        shortest = shortest.min(start.elapsed());
        if number >= RUNS {
            return Ok((found, shortest));
        }
    }
    unreachable!("runs are counted")
}

/// Neither f_Rsi nor points drive the refinement here.
fn by_grid(outcome: &Outcome, half_width: f64) -> Result<Answer, Box<dyn Error>> {
    let raster = outcome.plan.raster().ok_or("raster")?;
    let on = (&outcome.case.model, raster, &outcome.surfaces);
    let temperatures = Temperatures::of(on.0);
    let target = Target::of(&temperatures, &psi::sides(on.0, &temperatures, &mut Vec::new()));
    let demand = Demand { half_width, ..Demand::default() }.without_factors();
    let (refined, time) =
        timed(|| Ok(refinement::refine(on, &target, &demand, Grid::coarsest(on.0, on.1)?, None)?))?;
    let unknowns = Conduction::of(Network::of(on.0, on.1, on.2, &refined.grid))?.unknowns;
    Ok(Answer { unknowns, l2d: refined.bracket, time })
}

fn by_triangles(outcome: &Outcome, half_width: f64) -> Result<Answer, Box<dyn Error>> {
    let wanted = Wanted { half_width, most_unknowns: 200_000 };
    let (refined, time) = timed(|| Ok(independent::refined(outcome, wanted)?))?;
    Ok(Answer { unknowns: refined.system.unknowns(), l2d: refined.l2d.ok_or("bracket")?, time })
}

fn curves((case, title): (&'static str, &'static str)) -> Result<Curves, Box<dyn Error>> {
    let outcome = compute(case::from_text(case, shipped::find(case).ok_or("shipped")?.text, &[])?)?;
    let all = |answer: fn(&Outcome, f64) -> Result<Answer, Box<dyn Error>>| {
        ASKED.iter().map(|half_width| answer(&outcome, *half_width)).collect::<Result<Vec<Answer>, _>>()
    };
    Ok(Curves { title, case, grid: all(by_grid)?, triangles: all(by_triangles)? })
}

fn table(all: &[Curves]) -> Result<String, Box<dyn Error>> {
    let mut table = "case,method,asked,unknowns,lower,upper,half_width\n".to_owned();
    for curves in all {
        for (method, answers) in [("grid", &curves.grid), ("triangles", &curves.triangles)] {
            for (asked, Answer { unknowns, l2d, .. }) in ASKED.iter().zip(answers) {
                let (lower, upper, half_width) = (l2d.lower(), l2d.upper(), l2d.half_width());
                let case = curves.case;
                writeln!(
                    table,
                    "{case},{method},{asked:.0e},{unknowns},{lower:.8},{upper:.8},{half_width:.3e}"
                )?;
            }
        }
    }
    Ok(table)
}

/// Milliseconds by half-width asked for, grid and triangles.
fn times(all: &[Curves]) -> Result<String, Box<dyn Error>> {
    let mut text = format!("{:<20}", "grid / triangles, ms");
    for asked in ASKED {
        write!(text, "{asked:>16}")?;
    }
    for curves in all {
        write!(text, "\n{:<20}", curves.case)?;
        for (grid, triangles) in curves.grid.iter().zip(&curves.triangles) {
            let [grid, triangles] = [grid, triangles].map(|answer| answer.time.as_secs_f64() * 1e3);
            write!(text, "{:>16}", format!("{grid:.1} / {triangles:.1}"))?;
        }
    }
    text.push('\n');
    Ok(text)
}

/// One case: triangles drawn through, grid broken, told apart without colour and named beside the lines.
fn panel<'a>(
    area: &DrawingArea<Paper<'a>, Shift>,
    curves: &Curves,
) -> Result<(), DrawingAreaErrorKind<<Paper<'a> as DrawingBackend>::ErrorType>> {
    let mut chart = ChartBuilder::on(area)
        .caption(curves.title, ("sans-serif", 28))
        .margin(14)
        .margin_right(30)
        .x_label_area_size(62)
        .y_label_area_size(100)
        .build_cartesian_2d((1e-5..1e-2).log_scale(), (50.0..1e6).log_scale())?;
    chart
        .configure_mesh()
        .x_desc("Half-width of the bracket of ψ in W/(m·K)")
        .y_desc("Unknowns of one field")
        .x_labels(4)
        .y_labels(5)
        .x_label_formatter(&|value| format!("{value}"))
        .y_label_formatter(&|value| format!("{value}"))
        .label_style(("sans-serif", 19))
        .axis_desc_style(("sans-serif", 21))
        .light_line_style(RGBColor(238, 238, 238))
        .bold_line_style(RGBColor(205, 205, 205))
        .draw()?;
    for (name, answers, is_broken) in [("grid", &curves.grid, true), ("triangles", &curves.triangles, false)]
    {
        let places: Vec<(f64, f64)> =
            answers.iter().map(|answer| (answer.l2d.half_width(), answer.unknowns as f64)).collect();
        let style = BLACK.stroke_width(3);
        if is_broken {
            chart.draw_series(DashedLineSeries::new(places.clone(), 12, 7, style))?;
        } else {
            chart.draw_series(LineSeries::new(places.clone(), style))?;
        }
        let disc = if is_broken { BLACK.stroke_width(2) } else { style.filled() };
        chart.draw_series(places.iter().map(|place| Circle::new(*place, 5, disc)))?;
        // Above the upper line and below the lower one, clear of the axis.
        let (back, from_point) = if is_broken { (1, (8, -34)) } else { (3, (-84, 14)) };
        if let Some(place) = places.iter().rev().nth(back) {
            let label = Text::new(name, from_point, ("sans-serif", 24));
            chart.draw_series(std::iter::once(EmptyElement::at(*place) + label))?;
        }
    }
    Ok(())
}

fn chart(path: &Path, all: &[Curves]) -> Result<(), Box<dyn Error>> {
    let mut canvas = Canvas::new(1650, 1100);
    let root = Paper(&mut canvas).into_drawing_area();
    for (area, curves) in root.split_evenly((2, 3)).iter().zip(all) {
        panel(area, curves)?;
    }
    root.present()?;
    drop(root);
    Ok(std::fs::write(path, canvas.to_png()?)?)
}

fn main() -> Result<(), Box<dyn Error>> {
    let all = CASES.into_iter().map(curves).collect::<Result<Vec<Curves>, _>>()?;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("validation");
    std::fs::write(folder.join("effort.csv"), table(&all)?)?;
    chart(&folder.join("effort.png"), &all)?;
    coldseam::command::print(&times(&all)?);
    Ok(())
}
