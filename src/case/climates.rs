//! The `climate:` block: monthly means outside, and the air inside.

use super::climate_csv;
use super::keys;
use super::node::{Node, Value};
use super::plausible;
use super::reader::Reader;
use super::table::Table;
use crate::climate::{Climate, Indoor, MONTHS, Moisture, Month};

/// The block's climate.
pub fn read(reader: &mut Reader, node: &Node) -> Option<Climate> {
    if let Value::Text(file) = &node.value {
        let hint = format!(
            "a climate's keys stand here (`coldseam new climate` shows them); a file of its own goes with `coldseam condensation --climate {file}`, and one in YAML may be included"
        );
        return reader.fault(node.place, "`climate` must be a table of keys, found text", Some(hint));
    }
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
        if let Some(fault) = read.and_then(|[temperature, _]| climate_csv::too_hot(temperature)) {
            reader.fault::<()>(row.place, fault.message, fault.hint);
        }
    }
    if let Some(fault) = climate_csv::no_year(&months).filter(|_| is_complete) {
        return reader.fault(node.place, fault.message, fault.hint);
    }
    is_complete.then_some(months)
}

fn indoor(reader: &mut Reader, node: &Node) -> Option<Indoor> {
    let table = reader.table(node, "`indoor`", &keys::INDOOR)?;
    let temperature = table.needed_number(reader, "temperature");
    let kinds: Vec<&str> =
        ["humidity", "class", "production"].into_iter().filter(|key| table.get(key).is_some()).collect();
    let moisture = match kinds.as_slice() {
        ["humidity"] => table.number(reader, "humidity").map(|percent| {
            let place = table.get("humidity").map_or(node.place, |node| node.place);
            reader.diagnostics.extend(plausible::dry_room("the air inside", percent / 100.0, place));
            Moisture::Humidity(percent / 100.0)
        }),
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
