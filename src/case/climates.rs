//! The `climate:` block: monthly means outside, and the air inside.

use super::diagnostic::{Diagnostic, Place};
use super::keys;
use super::node::Node;
use super::reader::Reader;
use super::table::Table;
use crate::climate::{Climate, Indoor, MONTHS, Moisture, Month};
use crate::ranges;

/// The block's climate.
pub fn read(reader: &mut Reader, node: &Node) -> Option<Climate> {
    let table = reader.table(node, "`climate`", &keys::CLIMATE)?;
    let name = table.needed_text(reader, "name");
    let source = table.needed_text(reader, "source");
    let rows = months(reader, &table);
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
    let heading = text.lines().next().unwrap_or_default();
    let delimiter = [b';', b'\t'].into_iter().find(|sign| heading.as_bytes().contains(sign)).unwrap_or(b',');
    let mut rows = csv::ReaderBuilder::new();
    let rows = rows.delimiter(delimiter).flexible(true).trim(csv::Trim::All);
    for record in rows.from_reader(text.as_bytes()).into_records() {
        let record = record.map_err(|error| {
            let whole = Place { file, start: 0, end: 0 };
            vec![Diagnostic::error(whole, format!("not a table: {error}")).hint(hint)]
        })?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let from = record.position().map_or(0, |position| position.byte() as usize);
        let start = from + text[from..].find(|letter: char| !letter.is_whitespace()).unwrap_or(0);
        let place = Place { file, start, end: start + text[start..].lines().next().map_or(0, str::len) };
        let fields: Vec<Option<f64>> = record.iter().map(|field| field.parse().ok()).collect();
        match fields.as_slice() {
            [Some(temperature), Some(humidity)]
                if ranges::CLIMATE_TEMPERATURE.contains(*temperature)
                    && ranges::HUMIDITY.contains(*humidity) =>
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
        Ok(months) if diagnostics.is_empty() => Ok(Climate {
            name: name.to_owned(),
            source: format!("{name}, as supplied"),
            months,
            indoor: None,
        }),
        _ => {
            if diagnostics.is_empty() {
                let place = Place { file, start: 0, end: 0 };
                diagnostics.push(
                    Diagnostic::error(place, format!("a year has 12 months, found {found}")).hint(hint),
                );
            }
            Err(diagnostics)
        }
    }
}

fn months(reader: &mut Reader, climate: &Table<'_>) -> Option<[Month; 12]> {
    let node = climate.require(reader, "months")?;
    let rows = reader.list(node, "months")?;
    if rows.len() != 12 {
        let hint = "January to December, each [TEMPERATURE in °C, RELATIVE HUMIDITY in %]".to_owned();
        return reader.fault(node.place, format!("a year has 12 months, found {}", rows.len()), Some(hint));
    }
    let mut months = [Month::default(); 12];
    let mut is_complete = true;
    for ((row, month), name) in rows.iter().zip(&mut months).zip(MONTHS) {
        let read = climate.item(reader, "months", row, name);
        match read {
            Some([temperature, humidity]) => *month = Month { temperature, humidity: humidity / 100.0 },
            None => is_complete = false,
        }
    }
    is_complete.then_some(months)
}

fn indoor(reader: &mut Reader, node: &Node) -> Option<Indoor> {
    let table = reader.table(node, "`indoor`", &keys::INDOOR)?;
    let temperature = table.needed_number(reader, "temperature");
    let kinds: Vec<&str> =
        ["humidity", "class", "production"].into_iter().filter(|key| table.get(key).is_some()).collect();
    let moisture = match kinds.as_slice() {
        ["humidity"] => table.number(reader, "humidity").map(|percent| Moisture::Humidity(percent / 100.0)),
        ["class"] => {
            let class = table.number(reader, "class")?;
            if class.fract() != 0.0 {
                return reader.fault(
                    node.place,
                    format!("the humidity class must be 1, 2, 3 or 4, found {class}"),
                    None,
                );
            }
            Some(Moisture::Class(class as u8))
        }
        ["production"] => {
            let rate = table.needed_number(reader, "production");
            let ventilation = table.needed_number(reader, "ventilation");
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
