//! The `psi:` block: between which environments, and how flanking elements are subtracted.

use super::keys;
use super::lengths::{Lengths, lengths};
use super::names::Names;
use super::node::{Node, Value};
use super::planes::{Found, plane, section};
use super::reader::Reader;
use crate::element::resistance;
use crate::geometry::{Axis, Rectangle};
use crate::model::{Convention, EnvironmentId, Flanking, FloorMethod, Psi, UValueSource};

/// One block, or a list with one for each pair of environments: the first, the others, and whether it is a
/// list.
pub(super) fn psi_blocks(
    reader: &mut Reader,
    names: &mut Names,
    node: &Node,
    extent: Option<Rectangle>,
) -> (Option<Psi>, Vec<Psi>, bool) {
    let Value::List(items) = &node.value else {
        return (psi(reader, names, node, extent), Vec::new(), false);
    };
    if items.is_empty() {
        let hint = "`psi: [{ between: [room, outside], flanking: […] }, …]`".to_owned();
        reader.fault::<()>(node.place, "`psi` needs at least one block", Some(hint));
    }
    let mut blocks: Vec<Psi> = Vec::new();
    for item in items {
        let Some(block) = psi(reader, names, item, extent) else { continue };
        let hint =
            || Some("each block of a list says which pair it is for: `between: [room, outside]`".to_owned());
        let same = |known: &Psi| {
            let sorted = |sides: &Option<[Vec<EnvironmentId>; 2]>| {
                let mut sides = sides.clone().unwrap_or_default();
                for side in &mut sides {
                    side.sort_unstable();
                }
                sides.sort();
                sides
            };
            sorted(&known.between) == sorted(&block.between)
        };
        if block.between.is_none() {
            reader.fault::<()>(item.place, "this block of `psi` has no `between`", hint());
        } else if blocks.iter().any(same) {
            reader.fault::<()>(item.place, "two blocks of `psi` are for the same pair", hint());
        }
        blocks.push(block);
    }
    let mut blocks = blocks.into_iter();
    (blocks.next(), blocks.collect(), true)
}

fn psi(reader: &mut Reader, names: &mut Names, node: &Node, extent: Option<Rectangle>) -> Option<Psi> {
    let table = reader.table(node, "`psi`", &keys::PSI)?;
    let between = match table.get("between") {
        None => None,
        Some(node) => {
            let sides = reader.pair(node, "between")?;
            Some([environment_list(reader, names, &sides[0])?, environment_list(reader, names, &sides[1])?])
        }
    };
    let list = table.require(reader, "flanking").and_then(|node| reader.list(node, "flanking"))?;
    let flanking = list.iter().filter_map(|item| flanking(reader, names, item, extent)).collect();
    let frame = table.get("frame").map(|node| reader.span(node, "frame"));
    let frame = match frame {
        Some(frame) => Some(frame?),
        None => None,
    };
    let symmetry = table.get("symmetry").and_then(|node| reader.list(node, "symmetry")).unwrap_or_default();
    let (mut level, mut sloped_symmetry) = (Vec::new(), Vec::new());
    for plane in symmetry.iter().filter_map(|item| plane(reader, item, "symmetry")) {
        match plane {
            Found::Level(plane) => level.push(plane),
            Found::Sloped(plane) => sloped_symmetry.push(plane),
        }
    }
    Some(Psi { between, flanking, frame, symmetry: level, sloped_symmetry, place: Some(node.place) })
}

fn environment_list(reader: &mut Reader, names: &Names, node: &Node) -> Option<Vec<EnvironmentId>> {
    match &node.value {
        Value::List(items) => items.iter().map(|item| names.environment(reader, item)).collect(),
        _ => Some(vec![names.environment(reader, node)?]),
    }
}

fn flanking(
    reader: &mut Reader,
    names: &mut Names,
    node: &Node,
    extent: Option<Rectangle>,
) -> Option<Flanking> {
    let table = reader.table(node, "a flanking element", &keys::FLANKING)?;
    let element = table.needed_text(reader, "element");
    let axes = [("x", Axis::X), ("y", Axis::Y)];
    let along = table.get("along").and_then(|node| reader.choice(node, "along", &axes));
    let mut build_up = None;
    let kinds: Vec<&str> = ["section", "build_up", "u_value", "floor"]
        .into_iter()
        .filter(|kind| table.get(kind).is_some())
        .collect();
    let u_value = match kinds.as_slice() {
        ["section"] => table.get("section").and_then(|node| section(reader, node)),
        ["u_value"] => table.number(reader, "u_value").map(UValueSource::Given),
        ["build_up"] => table.get("build_up").and_then(|node| names.build_up(reader, node)).map(|found| {
            let u_value = 1.0 / resistance::total(&found).resistance;
            names.draw(&found);
            build_up = Some(found.name);
            UValueSource::Given(u_value)
        }),
        ["floor"] => table.get("floor").and_then(|node| floor(reader, node)),
        [] => {
            let hint = "`section: { y: … }` computes it through the model along that cut-off plane; `build_up: NAME` takes that of a build-up with its \
                        studs and joints; `u_value: …` states it; \
                        `floor: { method: iso13370 }` is for a floor on the ground";
            reader.fault(
                node.place,
                "a flanking element needs `section`, `build_up`, `u_value` or `floor`",
                Some(hint.to_owned()),
            )
        }
        several => {
            let place = several.last().and_then(|key| table.get(key)).map_or(node.place, |node| node.place);
            let named: Vec<String> = several.iter().map(|key| format!("`{key}`")).collect();
            reader.fault(place, format!("give either {}, not both", named.join(" or ")), None)
        }
    };
    if Convention::ALL.iter().all(|convention| table.get(convention.key()).is_none()) {
        let hint = "state at least one of `internal`, `external`, `overall_internal` as [from, to] in mm, along a slope as { from: [x, y], to: [x, y] }";
        return reader.fault(node.place, "a flanking element needs its length", Some(hint.to_owned()));
    }
    let lengths = lengths(reader, &table, u_value.as_ref(), extent);
    let u_value = u_value?;
    let Lengths { spans, points, way } = lengths?;
    let (told, slope) = way.map_or((None, None), |way| (way.axis, way.slope));
    if let Some(along) = along.filter(|along| way.is_some() && told != Some(*along)) {
        let message = format!("`along: {}` says another way than the points of this element", along.letter());
        let place = table.get("along").map_or(node.place, |node| node.place);
        return reader.fault(place, message, Some("strike `along`: the points tell it".to_owned()));
    }
    let runs_along = match u_value {
        UValueSource::Section { axis, .. } => Some(along.unwrap_or(axis)),
        UValueSource::Given(_) | UValueSource::Across(_) => along.or(told),
        UValueSource::Floor { .. } => Some(Axis::X),
    };
    Some(Flanking {
        element: element?.trim().to_owned(),
        u_value,
        build_up,
        runs_along,
        slope,
        spans,
        points,
        place: Some(node.place),
    })
}

/// `{ method: iso13370 }` or `{ method: model }`.
fn floor(reader: &mut Reader, node: &Node) -> Option<UValueSource> {
    let table = reader.table(node, "`floor`", &keys::FLOOR_ON_GROUND)?;
    let methods = [FloorMethod::Formula, FloorMethod::Model].map(|method| (method.word(), method));
    let method = table.require(reader, "method").and_then(|node| reader.choice(node, "method", &methods));
    let wall_thickness: Option<f64> = table.number_or(reader, "wall_thickness", None)?;
    Some(UValueSource::Floor {
        method: method?,
        wall_thickness: wall_thickness.map(|thickness| thickness * 1e-3),
    })
}
