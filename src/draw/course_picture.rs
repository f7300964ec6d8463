//! What happens inside a plane element: temperature through its layers and, with a climate, vapour pressure
//! and condensate.

use std::error::Error;

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::chart::{self, Sheet, color, lettering};
use super::palette::{self, EXTERNAL, GREY, INK, INTERNAL, Rgb};
use super::paper::Paper;
use crate::climate::{MONTHS, Month};
use crate::element::build_up::{Body, BuildUp};
use crate::element::condensate::{Ending, Wet, Wetting};
use crate::element::resistance;
use crate::element::vapour::Interface;

const PANEL: u32 = 470;
/// Width of air drawn on either side, as a part of the element's thickness.
const AIR: f64 = 0.08;
/// Without a climate: °C inside and outside.
const PLAIN: [f64; 2] = [20.0, 0.0];

/// The picture as a PNG file.
///
/// # Errors
/// Those of drawing and encoding.
pub fn draw(build_up: &BuildUp, wetting: Option<&Wetting<'_>>) -> Result<Vec<u8>, Box<dyn Error>> {
    let is_wet = wetting.is_some_and(|wetting| wetting.year.first.is_some());
    let whole = build_up;
    let counted =
        wetting.map_or_else(|| resistance::total(whole).layers, |wetting| wetting.course.of_layers.len());
    // A slightly ventilated air layer that is taken as outside air ends the element there.
    let up_to_open_layer = || {
        let [inside, _] = whole.surfaces;
        BuildUp { layers: whole.layers[..counted].to_vec(), surfaces: [inside, inside], ..whole.clone() }
    };
    let is_open = wetting.is_some_and(|wetting| wetting.slight.as_ref().is_some_and(|slight| slight.is_open));
    let truncated = is_open.then(up_to_open_layer);
    let build_up = truncated.as_ref().unwrap_or(whole);
    let panels = 1 + u32::from(wetting.is_some()) + u32::from(is_wet);
    let legend = 34 * build_up.layers.len() as u32 + 30;
    chart::picture(&build_up.title, &subtitle(wetting), PANEL * panels + legend, |sheet| {
        let (charts, list) = sheet.split_vertically(PANEL * panels);
        let charts = charts.split_evenly((panels as usize, 1));
        let month = wetting.map(|wetting| (shown_month(wetting), wetting));
        temperature(&charts[0], build_up, month)?;
        if let Some((month, wetting)) = month {
            pressure(&charts[1], build_up, month, wetting)?;
        }
        if let Some(wetting) = wetting.filter(|_| is_wet) {
            condensate(&charts[2], wetting)?;
        }
        layers(&list, whole, counted)
    })
}

fn subtitle(wetting: Option<&Wetting<'_>>) -> String {
    match wetting {
        None => format!("Temperatures between air of {} °C inside and {} °C outside", PLAIN[0], PLAIN[1]),
        Some(wetting) => {
            let year = &wetting.year;
            let verdict = match year.ending {
                Ending::Dry => "no condensation inside in any month".to_owned(),
                Ending::Repeats => format!("condensate up to {:.3} kg/m², dries within the year", year.peak),
                Ending::Grows | Ending::Open => {
                    format!("condensate that does not dry: {:.3} kg/m² more every year", year.left)
                }
            };
            format!("{}; inside {}: {verdict}", wetting.climate.name, wetting.indoor.description())
        }
    }
}

/// The month in which most condenses, or else the coldest.
fn shown_month(wetting: &Wetting<'_>) -> usize {
    let sum = |wet: &[Wet]| wet.iter().map(|wet| wet.change).sum::<f64>();
    let wettest =
        wetting.year.months.iter().max_by(|a, b| sum(&a.1).total_cmp(&sum(&b.1))).map(|(month, _)| *month);
    let months = &wetting.climate.months;
    let coldest =
        || (0..12).min_by(|a, b| months[*a].temperature.total_cmp(&months[*b].temperature)).unwrap_or(0);
    wettest.unwrap_or_else(coldest)
}

/// Position of every layer's outer face from the inside, mm, for the layers that count.
fn faces(build_up: &BuildUp) -> Vec<f64> {
    let count = resistance::total(build_up).layers;
    let mut at = 0.0;
    build_up.layers[..count]
        .iter()
        .map(|layer| {
            at += layer.thickness * 1e3;
            at
        })
        .collect()
}

/// An empty chart over the thickness with the layers as bands.
fn through<'a, 'b>(
    area: &'a Sheet<'b>,
    build_up: &BuildUp,
    (low, high): (f64, f64),
    label: &str,
) -> Result<
    ChartContext<
        'a,
        Paper<'b>,
        Cartesian2d<plotters::coord::types::RangedCoordf64, plotters::coord::types::RangedCoordf64>,
    >,
    Box<dyn Error>,
> {
    let faces = faces(build_up);
    let end = faces.last().copied().unwrap_or(0.0).max(1.0);
    let air = AIR * end;
    let mut chart = ChartBuilder::on(area)
        .margin_left(34)
        .margin_right(36)
        .margin_bottom(12)
        .x_label_area_size(64)
        .y_label_area_size(110)
        .build_cartesian_2d(-air..end + air, low..high)?;
    let band =
        |from: f64, to: f64, fill: Rgb| Rectangle::new([(from, low), (to, high)], color(fill).filled());
    chart.draw_series([band(-air, 0.0, INTERNAL), band(end, end + air, EXTERNAL)])?;
    let (mut from, mut stacked) = (0.0, 0);
    for (index, (to, layer)) in faces.iter().zip(&build_up.layers).enumerate() {
        let fill = match &layer.body {
            Body::Solid(material) => palette::material(material.conductivity_x),
            _ => palette::PAPER,
        };
        chart.draw_series([Rectangle::new([(from, low), (*to, high)], color(fill).mix(0.35).filled())])?;
        chart.draw_series([PathElement::new(vec![(*to, low), (*to, high)], color(GREY).stroke_width(1))])?;
        let number = lettering(18, INK).pos(Pos::new(HPos::Center, VPos::Top));
        // Numbers of thin neighbours stand one above the other.
        let is_thin = to - from < 0.03 * end;
        stacked = if is_thin { (stacked + 1) % 4 } else { 0 };
        let drop = 0.06 * (high - low) * f64::from(stacked);
        chart.draw_series([Text::new(
            (index + 1).to_string(),
            (f64::midpoint(from, *to), high - 0.02 * (high - low) - drop),
            number,
        )])?;
        from = *to;
    }
    chart
        .configure_mesh()
        .disable_x_mesh()
        .x_desc("mm from the inner surface")
        .y_desc(label)
        .x_label_formatter(&|value| format!("{value:.0}"))
        .y_label_formatter(&|value| format!("{value:.0}"))
        .label_style(lettering(18, INK))
        .axis_desc_style(lettering(20, INK))
        .light_line_style(TRANSPARENT)
        .bold_line_style(color(palette::PALE).mix(0.6))
        .draw()?;
    Ok(chart)
}

fn temperature(
    area: &Sheet<'_>,
    build_up: &BuildUp,
    month: Option<(usize, &Wetting<'_>)>,
) -> Result<(), Box<dyn Error>> {
    let [inside, outside] = month.map_or(PLAIN, |(month, wetting)| {
        [wetting.indoor.temperature, wetting.climate.months[month].temperature]
    });
    let total = resistance::total(build_up);
    let mut resistance = total.surfaces[0];
    let whole: f64 = total.surfaces.iter().sum::<f64>()
        + build_up.layers[..total.layers]
            .iter()
            .map(|layer| layer.body_resistance(build_up.heat_flow))
            .sum::<f64>();
    let at = |resistance: f64| inside - (inside - outside) * resistance / whole;
    let faces = faces(build_up);
    let end = faces.last().copied().unwrap_or(0.0).max(1.0);
    let mut line = vec![(-AIR * end, inside), (-0.35 * AIR * end, inside), (0.0, at(resistance))];
    for (face, layer) in faces.iter().zip(&build_up.layers) {
        resistance += layer.body_resistance(build_up.heat_flow);
        line.push((*face, at(resistance)));
    }
    line.extend([(end * (1.0 + 0.35 * AIR), outside), (end * (1.0 + AIR), outside)]);
    let (low, high) = (inside.min(outside), inside.max(outside));
    let label = match month {
        Some((month, _)) => format!("Temperature in {} in °C", MONTHS[month]),
        None => "Temperature in °C".to_owned(),
    };
    let mut chart = through(area, build_up, (low - 2.0, high + 4.0), &label)?;
    chart.draw_series(LineSeries::new(line, color(INK).stroke_width(4)))?;
    Ok(())
}

fn pressure(
    area: &Sheet<'_>,
    build_up: &BuildUp,
    month: usize,
    wetting: &Wetting<'_>,
) -> Result<(), Box<dyn Error>> {
    let Wetting { climate, indoor, course, year, .. } = wetting;
    let outdoor: Month = climate.months[month];
    let temperatures = [indoor.temperature, outdoor.temperature];
    let ends = [indoor.pressure(&outdoor), outdoor.pressure()];
    let mut wet = vec![false; course.interfaces.len()];
    for item in year.months.iter().filter(|(number, _)| *number == month).flat_map(|(_, wet)| wet) {
        wet[item.interface] = item.held > 0.0;
    }
    let faces = faces(build_up);
    let end = faces.last().copied().unwrap_or(0.0).max(1.0);
    let place = |interface: &Interface| {
        let from = if interface.layer == 0 { 0.0 } else { faces[interface.layer - 1] };
        from + (faces[interface.layer] - from) * interface.part
    };
    let places: Vec<f64> = course.interfaces.iter().map(place).collect();
    let surfaces = course.temperatures(temperatures);
    let saturated_at = |temperature: Option<&f64>| {
        crate::climate::humid_air::saturation_pressure(temperature.copied().unwrap_or_default())
    };
    let line = |inner: f64, between: Vec<f64>, outer: f64| -> Vec<(f64, f64)> {
        [(0.0, inner)].into_iter().chain(places.iter().copied().zip(between)).chain([(end, outer)]).collect()
    };
    let saturation =
        line(saturated_at(surfaces.first()), course.saturation(temperatures), saturated_at(surfaces.last()));
    let actual = line(ends[0], course.pressures(temperatures, ends, &wet), ends[1]);
    let highest = saturation.iter().chain(&actual).map(|(_, value)| *value).fold(0.0, f64::max);
    let mut chart = through(
        area,
        build_up,
        (0.0, highest * 1.25),
        &format!("Vapour pressure in {} in Pa", MONTHS[month]),
    )?;
    chart
        .draw_series(LineSeries::new(saturation, color(INK).stroke_width(2)))?
        .label("saturation")
        .legend(|(x, y)| PathElement::new([(x, y), (x + 44, y)], color(INK).stroke_width(2)));
    chart
        .draw_series(DashedLineSeries::new(actual.clone(), 12, 7, color(INK).stroke_width(4)))?
        .label("vapour pressure")
        .legend(|(x, y)| {
            let dash =
                |from: i32| PathElement::new([(x + from, y), (x + from + 12, y)], color(INK).stroke_width(4));
            EmptyElement::at((0, 0)) + dash(0) + dash(19) + dash(38)
        });
    let drops: Vec<(f64, f64)> = places
        .iter()
        .zip(&actual[1..])
        .zip(&wet)
        .filter(|(_, wet)| **wet)
        .map(|((place, (_, value)), _)| (*place, *value))
        .collect();
    if !drops.is_empty() {
        chart
            .draw_series(drops.into_iter().map(|place| Circle::new(place, 9, color(INK).filled())))?
            .label("condensate")
            .legend(|(x, y)| Circle::new((x + 22, y), 9, color(INK).filled()));
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::MiddleRight)
        .margin(18)
        .legend_area_size(60)
        .label_font(lettering(18, INK))
        .background_style(WHITE)
        .border_style(color(GREY))
        .draw()?;
    Ok(())
}

fn condensate(area: &Sheet<'_>, wetting: &Wetting<'_>) -> Result<(), Box<dyn Error>> {
    let held: Vec<(usize, f64)> = wetting
        .year
        .months
        .iter()
        .map(|(month, wet)| (*month, wet.iter().map(|wet| wet.held).sum::<f64>()))
        .collect();
    let highest = held.iter().map(|(_, held)| *held).fold(1e-6, f64::max) * 1.15;
    let mut chart = ChartBuilder::on(area)
        .margin_left(34)
        .margin_right(36)
        .margin_bottom(12)
        .x_label_area_size(64)
        .y_label_area_size(110)
        .build_cartesian_2d(0.0..12.0, 0.0..highest)?;
    let name = |value: &f64| {
        held.get(*value as usize).map(|(month, _)| MONTHS[*month][..3].to_owned()).unwrap_or_default()
    };
    chart
        .configure_mesh()
        .disable_x_mesh()
        .x_labels(0)
        .y_desc("Condensate at the month's end in kg/m²")
        .y_label_formatter(&|value| format!("{value:.*}", if highest < 0.2 { 3 } else { 2 }))
        .label_style(lettering(18, INK))
        .axis_desc_style(lettering(20, INK))
        .light_line_style(TRANSPARENT)
        .bold_line_style(color(palette::PALE).mix(0.6))
        .draw()?;
    for (index, (_, held)) in held.iter().enumerate() {
        let left = index as f64;
        chart
            .draw_series([Rectangle::new([(left + 0.2, 0.0), (left + 0.8, *held)], color(GREY).filled())])?;
        let below = lettering(18, INK).pos(Pos::new(HPos::Center, VPos::Bottom));
        let (x, y) = chart.backend_coord(&(left + 0.5, 0.0));
        let (left_edge, top_edge) = area.get_base_pixel();
        area.draw(&Text::new(name(&left), (x - left_edge, y - top_edge + 34), below))?;
        let above = lettering(16, INK).pos(Pos::new(HPos::Center, VPos::Bottom));
        if *held > 0.0 {
            chart.draw_series([Text::new(
                format!("{held:.3}"),
                (left + 0.5, *held + highest * 0.01),
                above,
            )])?;
        }
    }
    Ok(())
}

fn layers(area: &Sheet<'_>, build_up: &BuildUp, counted: usize) -> Result<(), Box<dyn Error>> {
    for (index, layer) in build_up.layers.iter().enumerate() {
        let thickness = if layer.thickness > 0.0 {
            format!(", {} mm", crate::material::four_digits(layer.thickness * 1e3))
        } else {
            String::new()
        };
        let bridged = layer.bridge.as_ref().map_or_else(String::new, |bridge| {
            format!(
                "; where not bridged by {} ({:.1} %)",
                bridge.material.label,
                bridge.pattern.fraction() * 100.0
            )
        });
        let outside = if index >= counted { "; beyond the ventilated layer, not drawn" } else { "" };
        let line = format!("{}  {}{thickness}{bridged}{outside}", index + 1, layer.label);
        area.draw(&Text::new(line, (110, 4 + 34 * index as i32), lettering(20, INK)))?;
    }
    Ok(())
}
