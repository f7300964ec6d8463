//! The temperature factor that each month asks for, beside the one that the detail has.

use std::error::Error;

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::chart::{self, color, lettering};
use super::palette::{GREY, INK, PALE};
use crate::climate::{Climate, MONTHS};
use crate::result::Outcome;
use crate::result::condensation::{Assessment, MonthlyCheck, Verdict};

const PANEL: u32 = 620;

/// The picture as a PNG file.
///
/// # Errors
/// Those of drawing and encoding.
pub fn draw(
    outcome: &Outcome,
    climate: &Climate,
    assessment: &Assessment,
    year: &MonthlyCheck,
) -> Result<Vec<u8>, Box<dyn Error>> {
    let room = &outcome.case.model.environments[assessment.environment].name;
    let subtitle =
        format!("Mould month by month: {room}, {}; climate of {}", year.indoor.description(), climate.name);
    let own = assessment.coldest.factor;
    let needed: Vec<f64> = year.months.iter().filter_map(|month| month.needed).collect();
    let (low, high) = (0.0, needed.iter().copied().fold(1.0, f64::max) + 0.05);
    // The label of the detail's line stands over the month that asks for least.
    let free = |month: usize| year.months[month].needed.unwrap_or(f64::NEG_INFINITY);
    let quietest = (1..11).min_by(|a, b| free(*a).total_cmp(&free(*b))).unwrap_or(6);
    chart::picture(&outcome.case.title, &subtitle, PANEL, |sheet| {
        let mut chart = ChartBuilder::on(sheet)
            .margin_left(34)
            .margin_right(36)
            .margin_top(10)
            .x_label_area_size(64)
            .y_label_area_size(100)
            .build_cartesian_2d(0.0..12.0, low..high)?;
        chart
            .configure_mesh()
            .disable_x_mesh()
            .x_labels(0)
            .y_desc("Temperature factor")
            .y_label_formatter(&|value| format!("{value:.2}"))
            .label_style(lettering(18, INK))
            .axis_desc_style(lettering(20, INK))
            .light_line_style(TRANSPARENT)
            .bold_line_style(color(PALE).mix(0.6))
            .draw()?;
        for (index, month) in year.months.iter().enumerate() {
            let left = index as f64;
            let middle = Pos::new(HPos::Center, VPos::Bottom);
            if let Some(needed) = month.needed {
                let top = needed.max(low);
                let bar = [(left + 0.2, low), (left + 0.8, top)];
                let fails = month.verdict == Verdict::Fails;
                // Months that fail are black, the others grey.
                let fill = if fails { color(INK) } else { color(PALE) };
                chart.draw_series([
                    Rectangle::new(bar, fill.filled()),
                    Rectangle::new(bar, color(INK).stroke_width(1)),
                ])?;
                let label = match (fails, needed > low) {
                    (true, _) => format!("{needed:.2} fails"),
                    (false, true) => format!("{needed:.2}"),
                    (false, false) => "any".to_owned(),
                };
                // Just under the detail's line the label moves into the bar.
                let is_crossed = top < own && top + 0.06 > own;
                let at = if is_crossed { top - 0.05 } else { top + 0.01 };
                chart.draw_series([Text::new(label, (left + 0.5, at), lettering(17, INK).pos(middle))])?;
            }
            let (x, y) = chart.backend_coord(&(left + 0.5, low));
            let (left_edge, top_edge) = sheet.get_base_pixel();
            sheet.draw(&Text::new(
                &MONTHS[index][..3],
                (x - left_edge, y - top_edge + 34),
                lettering(18, INK).pos(middle),
            ))?;
        }
        chart.draw_series(LineSeries::new([(0.0, own), (12.0, own)], color(INK).stroke_width(4)))?;
        let label = format!("the detail: f_Rsi = {own:.3}");
        let style = lettering(20, INK).pos(Pos::new(HPos::Center, VPos::Bottom));
        chart.draw_series([Text::new(label, (quietest as f64 + 0.5, own + 0.012), style)])?;
        let critical = year.critical.map(|month| {
            format!("Bars: the f_Rsi that each month needs against mould, most in {}", MONTHS[month])
        });
        let (width, height) = sheet.dim_in_pixel();
        let note = lettering(18, GREY).pos(Pos::new(HPos::Center, VPos::Bottom));
        sheet.draw(&Text::new(critical.unwrap_or_default(), (width as i32 / 2, height as i32 - 6), note))?;
        Ok(())
    })
}
