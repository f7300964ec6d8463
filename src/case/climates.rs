//! The `climate:` block: monthly means outside, and the air inside.

use super::diagnostic::{Diagnostic, Place};
use super::node::Node;
use super::ranges;
use super::reader::{Allowed, Reader};
use crate::climate::{Climate, Indoor, MONTHS, Moisture, Month};

pub const CLIMATE_KEYS: [&str; 4] = ["name", "source", "months", "indoor"];
pub const INDOOR_KEYS: [&str; 5] = ["temperature", "humidity", "class", "production", "ventilation"];

/// The block's climate.
pub fn read(reader: &mut Reader, node: &Node) -> Option<Climate> {
    let table = reader.table(node, "`climate`", &CLIMATE_KEYS)?;
    let name = table.require(reader, "name").and_then(|node| reader.text(node, "name"));
    let source = table.require(reader, "source").and_then(|node| reader.text(node, "source"));
    let rows = table.require(reader, "months").and_then(|node| months(reader, node));
    let indoor = match table.get("indoor") {
        Some(node) => Some(indoor(reader, node)?),
        None => None,
    };
    Some(Climate { name: name?.trim().to_owned(), source: source?.trim().to_owned(), months: rows?, indoor })
}

/// Twelve lines of temperature in °C and relative humidity in %, after a heading; the air inside is not told.
pub fn from_csv(name: &str, file: usize, text: &str) -> Result<Climate, Vec<Diagnostic>> {
    let hint = "a heading, then January to December: temperature in °C, relative humidity in %, as `-0.4,88`";
    let mut diagnostics = Vec::new();
    let mut months = Vec::new();
    let mut start = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let place = Place { file, start, end: start + line.trim_end().len() };
        start += line.len();
        if number == 0 || line.trim().is_empty() {
            continue;
        }
        let fields: Vec<Option<f64>> = line.trim().split([',', ';', '\t']).map(|field| field.trim().parse().ok()).collect();
        match fields.as_slice() {
            [Some(temperature), Some(humidity)]
                if ranges::CLIMATE_TEMPERATURE.contains(*temperature) && ranges::HUMIDITY.contains(*humidity) =>
            {
                months.push(Month { temperature: *temperature, humidity: humidity / 100.0 });
            }
            [Some(temperature), Some(humidity)] => {
                let message = format!("{temperature} °C and {humidity} % cannot be the means of a month");
                diagnostics.push(Diagnostic::error(place, message).hint(hint));
            }
            _ => diagnostics.push(Diagnostic::error(place, "a month needs two numbers").hint(hint)),
        }
    }
    let found = months.len();
    match <[Month; 12]>::try_from(months) {
        Ok(months) if diagnostics.is_empty() => {
            Ok(Climate { name: name.to_owned(), source: format!("{name}, as supplied"), months, indoor: None })
        }
        _ => {
            if diagnostics.is_empty() {
                let place = Place { file, start: 0, end: 0 };
                diagnostics.push(Diagnostic::error(place, format!("a year has 12 months, found {found}")).hint(hint));
            }
            Err(diagnostics)
        }
    }
}

fn months(reader: &mut Reader, node: &Node) -> Option<[Month; 12]> {
    let rows = reader.list(node, "months")?;
    if rows.len() != 12 {
        let hint = "January to December, each [TEMPERATURE in °C, RELATIVE HUMIDITY in %]".to_owned();
        return reader.fault(node.place, format!("a year has 12 months, found {}", rows.len()), Some(hint));
    }
    let mut months = [Month::default(); 12];
    let mut is_complete = true;
    for ((row, month), name) in rows.iter().zip(&mut months).zip(MONTHS) {
        let read = reader.pair(row, &format!("{name} ([TEMPERATURE, HUMIDITY])")).and_then(|pair| {
            let temperature = reader.number(&pair[0], &format!("the temperature of {name} in °C"), ranges::CLIMATE_TEMPERATURE);
            let humidity = reader.number(&pair[1], &format!("the humidity of {name} in %"), ranges::HUMIDITY);
            Some(Month { temperature: temperature?, humidity: humidity? / 100.0 })
        });
        match read {
            Some(read) => *month = read,
            None => is_complete = false,
        }
    }
    is_complete.then_some(months)
}

fn indoor(reader: &mut Reader, node: &Node) -> Option<Indoor> {
    let table = reader.table(node, "`indoor`", &INDOOR_KEYS)?;
    let temperature = table
        .require(reader, "temperature")
        .and_then(|node| reader.number(node, "temperature in °C", ranges::CLIMATE_TEMPERATURE));
    let kinds: Vec<&str> = ["humidity", "class", "production"].into_iter().filter(|key| table.get(key).is_some()).collect();
    let mut number =
        |key: &str, what: &str, allowed: Allowed| table.require(reader, key).and_then(|node| reader.number(node, what, allowed));
    let moisture = match kinds.as_slice() {
        ["humidity"] => number("humidity", "humidity in %", ranges::HUMIDITY).map(|percent| Moisture::Humidity(percent / 100.0)),
        ["class"] => {
            let class = number("class", "class (1 to 4)", ranges::HUMIDITY_CLASS)?;
            if class.fract() != 0.0 {
                return reader.fault(node.place, format!("the humidity class must be 1, 2, 3 or 4, found {class}"), None);
            }
            Some(Moisture::Class(class as u8))
        }
        ["production"] => {
            let rate = number("production", "production in kg/h", ranges::PRODUCTION);
            let ventilation = number("ventilation", "ventilation in m³/h", ranges::VENTILATION);
            Some(Moisture::Production { rate: rate?, ventilation: ventilation? })
        }
        _ => {
            let hint = "`humidity: 50` in %, `class: 3`, or `production: 0.4` in kg/h with `ventilation: 120` in m³/h".to_owned();
            return reader.fault(node.place, "`indoor` needs one description of its moisture", Some(hint));
        }
    };
    if let (Some(extra), false) = (table.get("ventilation"), kinds == ["production"]) {
        reader.fault::<()>(extra.place, "`ventilation` goes with `production`", None);
    }
    Some(Indoor { temperature: temperature?, moisture: moisture? })
}
