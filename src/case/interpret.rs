//! From the gathered trees to a [`Case`]: each block of the document in its own function.

use std::collections::BTreeMap;

use super::area;
use super::build_ups;
use super::diagnostic::{Place, Rejected, Sources, has_errors};
use super::document::{Case, Claim};
use super::extent;
use super::gather::Gathered;
use super::keys::{self, MOST_SHAPES};
use super::library;
use super::names::{Names, block};
use super::node::{Node, Value};
use super::plausible;
use super::psi::psi_blocks;
use super::reader::Reader;
use super::shapes;
use super::table::Table;
use super::thousands;
use crate::geometry::{Rectangle, Span};
use crate::model::{
    Condensation, Cut, Environment, Model, NamedPoint, Role, Ruled, Shape, SurfaceRule, tell_apart,
};
use crate::ranges;
use crate::standard::{CONDENSATION_ON_OPAQUE, HeatFlow};

pub fn case(name: String, gathered: Gathered) -> Result<Case, Rejected> {
    let Gathered { sources, main, included, parameters, free_parameters, diagnostics, inherited } = gathered;
    let mut reader = Reader::new(parameters.iter().cloned().collect::<BTreeMap<_, _>>());
    reader.diagnostics = diagnostics;
    let names = Names::inheriting(inherited);
    let case = interpret(&mut reader, names, &sources, &main, &included);
    let mut diagnostics = std::mem::take(&mut reader.diagnostics);
    let trees: Vec<&Node> = included.iter().chain([&main]).collect();
    diagnostics.extend(thousands::warnings(&sources, &reader.lengths, &trees));
    keys::advise(&mut diagnostics, &main, &included);
    match case {
        Some(case) if !has_errors(&diagnostics) => {
            Ok(Case { name, parameters, free_parameters, sources, warnings: diagnostics, ..case })
        }
        _ => Err(Rejected { diagnostics, sources }),
    }
}

fn interpret(
    reader: &mut Reader,
    mut names: Names,
    sources: &Sources,
    main: &Node,
    included: &[Node],
) -> Option<Case> {
    let table = reader.table(main, "a case", &keys::CASE)?;
    let title = table.needed_text(reader, "title").map(|title| title.trim().to_owned());
    let description = table.text(reader, "description");
    let description = description.unwrap_or_default().trim().to_owned();
    let cuts = [("vertical", Cut::Vertical), ("horizontal", Cut::Horizontal)];
    let cut = table.get("cut").map_or(Some(Cut::Vertical), |node| reader.choice(node, "cut", &cuts));
    names.define(reader, main, included);
    library::sizes(reader, main, included);
    let climate = library::climate(reader, main, included);
    let environments = environments(reader, &table, &mut names);
    let extent_node = table.require(reader, "extent");
    let drawn = extent_node.and_then(|node| extent::extent(reader, node));
    let extent = drawn.as_ref().map(|drawn| drawn.bounds);
    let plan = table.require(reader, "plan").and_then(|node| reader.list(node, "plan"));
    let plan = plan.map(|strokes| plan_shapes(reader, &mut names, strokes, extent));
    let surfaces =
        table.get("surfaces").map(|node| surface_rules(reader, &mut names, node, cut)).unwrap_or_default();
    let named = environments.as_deref().unwrap_or_default();
    reader.diagnostics.extend(plausible::temperatures(named, &surfaces));
    reader.diagnostics.extend(named.iter().filter_map(plausible::humidity));
    let (psi, further_psi, psi_is_list) =
        table.get("psi").map(|node| psi_blocks(reader, &mut names, node, extent)).unwrap_or_default();
    let condensation = table.get("condensation").and_then(|node| condensation(reader, &mut names, node));
    let points = table.get("points").map(|node| points(reader, node)).unwrap_or_default();
    let claims = table.get("claims").map(|node| claims(reader, sources, node)).unwrap_or_default();
    let model = Model {
        cut: cut?,
        materials: names.materials,
        cavities: names.cavities,
        build_ups: names.drawn,
        painted: names.painted,
        has_rows_along_lines: names.has_rows_along_lines,
        environments: environments?,
        extent: extent?,
        border: drawn.and_then(|drawn| drawn.border),
        extent_place: Some(extent_node?.place),
        plan: plan?,
        surfaces,
        psi,
        further_psi,
        condensation,
        points,
    };
    let shared_materials = shared_materials(included);
    Some(Case {
        title: title?,
        description,
        shared_materials,
        psi_is_list,
        climate,
        claims,
        ..Case::from(model)
    })
}

/// Names of the materials that included files define.
fn shared_materials(included: &[Node]) -> Vec<String> {
    let defined = |tree: &Node| match block(tree, "materials").map(|node| &node.value) {
        Some(Value::Table(entries)) => entries.iter().map(|entry| entry.key.clone()).collect(),
        _ => Vec::new(),
    };
    included.iter().flat_map(defined).collect()
}

fn environments(reader: &mut Reader, case: &Table<'_>, names: &mut Names) -> Option<Vec<Environment>> {
    let node = case.require(reader, "environments")?;
    let table = reader.open_table(node, "environments")?;
    let roles = [("internal", Role::Internal), ("external", Role::External), ("unheated", Role::Unheated)];
    let mut environments = Vec::new();
    for entry in table.entries() {
        if names.is_material(&entry.key) {
            let hint = "give one of the two another name".to_owned();
            reader.fault::<()>(
                entry.key_place,
                format!("`{}` names both a material and an environment", entry.key),
                Some(hint),
            );
        }
        let what = format!("the environment `{}`", entry.key);
        let read = reader.table(&entry.node, &what, &keys::ENVIRONMENT).map(|table| {
            let role = table.require(reader, "role").and_then(|node| reader.choice(node, "role", &roles));
            let temperature = table.needed_number(reader, "temperature").map(without_noise);
            let humidity = table.number(reader, "humidity");
            (
                role.unwrap_or(Role::Internal),
                temperature.unwrap_or_default(),
                humidity.map(|percent| percent / 100.0),
            )
        });
        let (role, temperature, humidity) = read.unwrap_or((Role::Internal, 0.0, None));
        names.add_environment(&entry.key, environments.len());
        environments.push(Environment {
            name: entry.key.clone(),
            role,
            temperature,
            humidity,
            is_touched: true,
            place: Some(entry.key_place),
        });
    }
    if environments.is_empty() {
        return reader.fault(
            node.place,
            "there is no environment",
            Some("a junction needs an internal and an external one".into()),
        );
    }
    reader.diagnostics.extend(tell_apart(&mut environments));
    Some(environments)
}

/// A temperature without the last digits that expressions leave: 20.000000000000004 °C are 20 °C.
fn without_noise(temperature: f64) -> f64 {
    const DIGITS: f64 = 1e9;
    (temperature * DIGITS).round() / DIGITS + 0.0
}

fn plan_shapes(
    reader: &mut Reader,
    names: &mut Names,
    strokes: &[Node],
    extent: Option<Rectangle>,
) -> Vec<Shape> {
    let everywhere = Rectangle { x: Span { from: 0.0, to: 1.0 }, y: Span { from: 0.0, to: 1.0 } };
    let mut painted = Vec::new();
    for stroke in strokes {
        painted.extend(shapes::read(reader, names, stroke, extent.unwrap_or(everywhere)));
        if painted.len() > MOST_SHAPES {
            reader.fault::<()>(stroke.place, format!("the plan has more than {MOST_SHAPES} shapes"), None);
            break;
        }
    }
    names.set_painted(&painted);
    painted
}

fn surface_rules(reader: &mut Reader, names: &mut Names, node: &Node, cut: Option<Cut>) -> Vec<SurfaceRule> {
    let infinite = Span { from: f64::NEG_INFINITY, to: f64::INFINITY };
    let everywhere = Rectangle { x: infinite, y: infinite };
    let mut rules = Vec::new();
    for item in reader.list(node, "surfaces").unwrap_or_default() {
        let Some(table) = reader.table(item, "a surface rule", &keys::SURFACE) else { continue };
        let environment = table.get("of").map(|node| names.environment(reader, node));
        let materials = table.get("on").map(|node| names.materials_called(reader, node));
        let within = area::read(reader, &table, "surfaces", Some(everywhere));
        let ruled = ruled(reader, &table, item.place, cut);
        if let (Some(within), Some(ruled), false, false) =
            (within, ruled, environment == Some(None), materials == Some(None))
        {
            let (environment, materials) = (environment.flatten(), materials.flatten());
            rules.push(SurfaceRule { environment, materials, within, ruled, place: Some(item.place) });
        }
    }
    rules
}

fn ruled(reader: &mut Reader, table: &Table<'_>, place: Place, cut: Option<Cut>) -> Option<Ruled> {
    match (table.get("resistance"), table.get("heat_flow")) {
        (Some(node), None) => {
            let resistance = table.number(reader, "resistance")?;
            reader.diagnostics.extend(plausible::surface("this surface resistance", resistance, node.place));
            Some(Ruled::Resistance(resistance))
        }
        (None, Some(node)) => {
            let heat_flow = build_ups::heat_flow(reader, table)?;
            if cut == Some(Cut::Horizontal) && heat_flow != HeatFlow::Horizontal {
                let hint =
                    "a horizontal section has no level surfaces: leave the rule out, or say `cut: vertical`";
                return reader.fault(
                    node.place,
                    "in a horizontal section all heat flows horizontally",
                    Some(hint.to_owned()),
                );
            }
            Some(Ruled::HeatFlow(heat_flow))
        }
        (None, None) => {
            let hint = "`resistance` in m²K/W, or `heat_flow: up`, `down` or `horizontal` for level surfaces";
            reader.fault(
                place,
                "a surface rule needs the key `resistance` or `heat_flow`",
                Some(hint.to_owned()),
            )
        }
        (Some(_), Some(node)) => {
            let hint = "the direction only decides which of the standard's resistances is taken";
            reader.fault(
                node.place,
                "give either `resistance` or `heat_flow`, not both",
                Some(hint.to_owned()),
            )
        }
    }
}

fn condensation(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Condensation> {
    let table = reader.table(node, "`condensation`", &keys::CONDENSATION)?;
    let resistance = table.number_or(reader, "resistance", CONDENSATION_ON_OPAQUE);
    if let Some((node, resistance)) = table.get("resistance").zip(resistance) {
        reader.diagnostics.extend(plausible::surface("this surface resistance", resistance, node.place));
    }
    let list = table.get("exclude").and_then(|node| reader.list(node, "exclude")).unwrap_or_default();
    let exclude = list.iter().filter_map(|item| names.materials_called(reader, item)).flatten().collect();
    let critical = table.number(reader, "critical");
    Some(Condensation { resistance: resistance?, exclude, critical })
}

fn points(reader: &mut Reader, node: &Node) -> Vec<NamedPoint> {
    let Some(table) = reader.open_table(node, "points") else { return Vec::new() };
    let mut points = Vec::new();
    for entry in table.entries() {
        if let Some([x, y]) = area::point(reader, &entry.node, "a point") {
            points.push(NamedPoint { name: entry.key.clone(), x, y, place: Some(entry.node.place) });
        }
    }
    points
}

fn claims(reader: &mut Reader, sources: &Sources, node: &Node) -> Vec<Claim> {
    let Some(table) = reader.table(node, "`claims`", &keys::CLAIMS) else { return Vec::new() };
    let mut claims = Vec::new();
    let mut add = |key: &str, element: Option<&str>, node: &Node, value: Option<f64>| {
        if let Some(value) = value {
            let rounding = rounding(sources, node, value);
            claims.push(Claim { key: key.to_owned(), element: element.map(str::to_owned), value, rounding });
        }
    };
    for entry in table.entries() {
        if entry.key == "u_values" {
            let Some(elements) = reader.open_table(&entry.node, "`u_values`") else { continue };
            for element in elements.entries() {
                let value = reader.number(&element.node, &element.key, ranges::CLAIMED_U_VALUE);
                add("u_values", Some(&element.key), &element.node, value);
            }
        } else if keys::CLAIMS.key(&entry.key).is_some() {
            let value = table.number(reader, &entry.key);
            add(&entry.key, None, &entry.node, value);
        }
    }
    claims
}

/// Half a unit of the last digit of a number as it is written; of an expression, of its value as one would
/// write it.
fn rounding(sources: &Sources, node: &Node, value: f64) -> f64 {
    let text = sources.get(node.place.file).text.get(node.place.start..node.place.end).unwrap_or_default();
    let text =
        text.trim_matches(|character: char| character.is_whitespace() || matches!(character, '"' | '\''));
    let written = if text.parse::<f64>().is_ok() {
        text.to_owned()
    } else {
        format!("{value:.12}").trim_end_matches('0').to_owned()
    };
    let (digits, exponent) = written.split_once(['e', 'E']).unwrap_or((&written, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len().min(12)) as i32;
    0.5 * 10_f64.powi((exponent.parse::<i32>().unwrap_or(0).clamp(-12, 12) - decimals).max(-12))
}
