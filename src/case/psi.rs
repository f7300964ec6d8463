//! The `psi:` block: between which environments, and how flanking elements are subtracted.

use super::keys;
use super::names::Names;
use super::node::{Node, Value};
use super::reader::Reader;
use crate::element::resistance;
use crate::geometry::{Axis, Rectangle, Span, millimetres};
use crate::model::{Convention, EnvironmentId, Flanking, FloorMethod, Plane, Psi, UValueSource};

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
    let symmetry = symmetry.iter().filter_map(|item| plane(reader, item, "symmetry")).collect();
    Some(Psi { between, flanking, frame, symmetry, place: Some(node.place) })
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
    let spans = Convention::ALL.map(|convention| {
        let key = convention.key();
        table.get(key).and_then(|node| length(reader, node, key, extent))
    });
    if spans.iter().all(Option::is_none)
        && Convention::ALL.iter().all(|convention| table.get(convention.key()).is_none())
    {
        let hint = "state at least one of `internal`, `external`, `overall_internal` as [from, to] in mm";
        return reader.fault(node.place, "a flanking element needs its length", Some(hint.to_owned()));
    }
    let u_value = u_value?;
    let runs_along = match u_value {
        UValueSource::Section { axis, .. } => Some(along.unwrap_or(axis)),
        UValueSource::Given(_) => along,
        UValueSource::Floor { .. } => Some(Axis::X),
    };
    Some(Flanking {
        element: element?.trim().to_owned(),
        u_value,
        build_up,
        runs_along,
        spans,
        place: Some(node.place),
    })
}

/// An element's length, which the drawing shows most of: one of several times the drawing's size takes off what
/// the model does not lose.
fn length(reader: &mut Reader, node: &Node, key: &str, extent: Option<Rectangle>) -> Option<Span> {
    const MOST_OF_EXTENT: f64 = 3.0;
    let span = reader.span(node, key)?;
    let longest = extent.map_or(f64::INFINITY, |extent| extent.x.length().max(extent.y.length()));
    if span.length() <= MOST_OF_EXTENT * longest {
        return Some(span);
    }
    let message = format!(
        "`{key}` is {} mm long, and the longer side of `extent` {} mm",
        millimetres(span.length()),
        millimetres(longest)
    );
    let hint = "lengths are in mm, [from, to] in the coordinates of the plan, and an element is drawn over its length";
    reader.fault(node.place, message, Some(hint.to_owned()))
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

/// `{ y: at }` with an optional `x: [from, to]`, or the same with the axes exchanged.
fn plane(reader: &mut Reader, node: &Node, key: &str) -> Option<Plane> {
    let table = reader.table(node, &format!("`{key}`"), &keys::PLANE)?;
    let is_list = |key: &str| table.get(key).map(|node| matches!(node.value, Value::List(_)));
    let (axis, at, range) = match (is_list("x"), is_list("y")) {
        (Some(false), None | Some(true)) => (Axis::X, table.get("x")?, table.get("y")),
        (None | Some(true), Some(false)) => (Axis::Y, table.get("y")?, table.get("x")),
        _ => {
            let hint = format!(
                "for example `{key}: {{ y: -1200 }}`, or with limits `{key}: {{ y: -1200, x: [0, 400] }}`"
            );
            return reader.fault(node.place, format!("`{key}` needs the position of one plane"), Some(hint));
        }
    };
    let at = reader.coordinate(at, axis.letter())?;
    let range = match range {
        Some(node) => Some(reader.span(node, axis.across().letter())?),
        None => None,
    };
    Some(Plane { axis, at, range, place: Some(node.place) })
}

fn section(reader: &mut Reader, node: &Node) -> Option<UValueSource> {
    let Plane { axis, at, range, .. } = plane(reader, node, "section")?;
    Some(UValueSource::Section { axis, at, range })
}
