//! Rows of layers: where each lies, and what it is painted with. A row runs along an axis, or along a line of any
//! direction (`row.rs`).

use super::area::point;
use super::build_ups;
use super::diagnostic::Place;
use super::keys;
use super::names::Names;
use super::node::{Node, Value};
use super::plausible;
use super::reader::Reader;
use super::row::{End, Line, RowFault};
use super::shapes::is_kept_from_nothing;
use super::table::Table;
use crate::geometry::{Axis, Rectangle, Span, millimetres};
use crate::material::Material;
use crate::model::{Area, DrawnLayer, MaterialId, Paint, PaintedBuildUp, Polygon, Shape};
use crate::ranges;

/// Where a row lies.
#[derive(Clone, Copy)]
enum Course {
    /// Along an axis: its sign, where the first layer begins, and where all lie across, m.
    Axis(Axis, f64, f64, Span),
    /// To the left of a line.
    Line(Line, [End; 2]),
}

/// The shapes of a row, one a layer.
pub fn read(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Vec<Shape>> {
    let table = reader.table(node, "`layers`", &keys::LAYERS)?;
    let course = table.require(reader, "along").and_then(|along| course(reader, &table, along));
    let through = course.map_or(Axis::X.direction(), |course| course.through());
    let rows =
        table.require(reader, "layers").and_then(|node| rows(reader, names, node, through, table.place));
    let (course, Rows { rows, build_up }) = (course?, rows?);
    names.has_rows_along_lines |= matches!(course, Course::Line(..));
    let thicknesses: Vec<f64> = rows.iter().map(|row| row.thickness).collect::<Option<_>>()?;
    if let Course::Line(line, ends) = course
        && let Err(fault) = line.check(ends, thicknesses.iter().sum())
    {
        return told(reader, &table, fault);
    }
    let course = course.on_axis();
    let faces = course.faces(&thicknesses);
    let [first, .., last] = faces.as_slice() else { return None };
    let mut shapes = Vec::new();
    let mut layers = Vec::new();
    for (Row { material, air, node: row, .. }, pair) in rows.into_iter().zip(faces.windows(2)) {
        let (material, area) = (material?, course.area([pair[0], pair[1]]));
        layers.push(DrawnLayer { material, air, area: area.clone() });
        shapes.push(Shape { paint: Paint::Solid(material), area, place: Some(row.place) });
    }
    if let Some(name) = build_up {
        let area = course.area([*first, *last]);
        names.painted.push(PaintedBuildUp { name, through, area, layers, place: Some(node.place) });
    }
    Some(shapes)
}

impl Course {
    /// The direction in which layers follow each other, a unit vector.
    fn through(&self) -> [f64; 2] {
        match self {
            Self::Axis(axis, sign, ..) => axis.direction().map(|part| sign * part),
            Self::Line(line, _) => line.through(),
        }
    }

    /// The same, told as along an axis where a line leaves it no other direction.
    fn on_axis(self) -> Self {
        let Self::Line(line, _) = self else { return self };
        let Some((axis, sign)) = line.axis() else { return self };
        let [along, across] = if axis == Axis::X { [0, 1] } else { [1, 0] };
        let [one, other] = [line.from[across], line.to[across]];
        Self::Axis(axis, sign, line.from[along], Span { from: one.min(other), to: one.max(other) })
    }

    /// The faces of layers of these thicknesses, m: where they lie on the axis, or how far from the line. They
    /// accumulate in mm, so that a row meets shapes given by absolute coordinates.
    fn faces(&self, thicknesses: &[f64]) -> Vec<f64> {
        let (sign, mut face) = match self {
            Self::Axis(_, sign, from, _) => (*sign, *from),
            Self::Line(..) => (1.0, 0.0),
        };
        let mut faces = vec![face];
        for thickness in thicknesses {
            face = ((face * 1e3 + sign * thickness * 1e3) * 1e9).round() / 1e12;
            faces.push(face);
        }
        faces
    }

    /// What lies between two faces.
    fn area(&self, [one, other]: [f64; 2]) -> Area {
        match self {
            Self::Axis(axis, _, _, across) => {
                let along = Span { from: one.min(other), to: one.max(other) };
                Rectangle::spanning(*axis, along, *across).into()
            }
            Self::Line(line, ends) => {
                let [[from, to], [above, beyond]] = [one, other].map(|face| line.face(*ends, face));
                Area::Polygon(Polygon::of(vec![from, to, beyond, above]))
            }
        }
    }
}

/// Where a row lies, by what stands at `along`.
fn course(reader: &mut Reader, table: &Table<'_>, along: &Node) -> Option<Course> {
    match &along.value {
        Value::Table(entries) if entries.iter().any(|entry| entry.key == "angle") => {
            at_angle(reader, table, along)
        }
        Value::Table(_) => along_line(reader, table, along),
        Value::Number(angle) => {
            let hint = format!("`along: {{ angle: {angle} }}`, with `from: [x, y]` and `length`");
            reader.fault(along.place, "along must say what the number is", Some(hint))
        }
        _ => along_axis(reader, table, along),
    }
}

fn along_axis(reader: &mut Reader, table: &Table<'_>, along: &Node) -> Option<Course> {
    let directions =
        [("+x", (Axis::X, 1.0)), ("-x", (Axis::X, -1.0)), ("+y", (Axis::Y, 1.0)), ("-y", (Axis::Y, -1.0))];
    let direction = reader.choice(along, "along", &directions);
    let from = table.require(reader, "from").and_then(|from| match &from.value {
        Value::List(_) => {
            let hint =
                "the coordinate at which the first layer begins; a point belongs to `along: { angle: … }`";
            reader.fault(from.place, "along an axis `from` is a number, found a list", Some(hint.to_owned()))
        }
        _ => reader.coordinate(from, "from"),
    });
    let (axis, sign) = direction?;
    let (across, own) = (axis.across().letter(), axis.letter());
    let hint = format!(
        "layers along {own} begin at `from` and end with the last thickness; give their extent as `{across}`"
    );
    refuse(reader, table, &[own, "length", "ends"], &format!("layers along {own} take no"), &hint);
    let hint = format!(
        "give the extent of layers along {own} as `{across}: [from, to]`; only a `space` may leave it out, and then goes from edge to edge of the extent"
    );
    let node = table.require_or(reader, across, Some(hint))?;
    Some(Course::Axis(axis, sign, from?, reader.span(node, across)?))
}

fn at_angle(reader: &mut Reader, table: &Table<'_>, along: &Node) -> Option<Course> {
    let own = reader.table(along, "`along`", &keys::ALONG_ANGLE)?;
    let hint = "layers at an angle begin at the point `from`; their first face runs `length` from there";
    refuse(reader, table, &["x", "y"], "layers at an angle take no", hint);
    let degrees = own.needed_number(reader, "angle");
    let from = table.require(reader, "from").and_then(|from| match &from.value {
        Value::Number(number) => {
            let hint = "`from: [x, y]`, the corner at which the first face begins";
            let message = format!("at an angle `from` is a point, found the number {number}");
            reader.fault(from.place, message, Some(hint.to_owned()))
        }
        _ => point(reader, from, "from"),
    });
    let length = table.needed_number(reader, "length");
    let ends = ends(reader, table);
    Some(Course::Line(Line::at_angle(from?, degrees?, length? * 1e-3), ends?))
}

fn along_line(reader: &mut Reader, table: &Table<'_>, along: &Node) -> Option<Course> {
    let own = reader.table(along, "`along`", &keys::ALONG_LINE)?;
    let hint = "the line goes from one of its points to the other; layers lie to its left";
    refuse(reader, table, &["from", "length", "x", "y"], "layers along a line take no", hint);
    let [from, to] = ["from", "to"].map(|key| own.require(reader, key).and_then(|at| point(reader, at, key)));
    let ends = ends(reader, table);
    let line = Line { from: from?, to: to? };
    if line.length() < ranges::DRAWN_LENGTH.least() * 1e-3 {
        let hint =
            "the points `from` and `to` are its two ends: check them, or the parameters that place them";
        return reader.fault(along.place, "this line has no length", Some(hint.to_owned()));
    }
    Some(Course::Line(line, ends?))
}

/// Tells of keys that have no place beside `along` as it is written.
fn refuse(reader: &mut Reader, table: &Table<'_>, keys: &[&str], why: &str, hint: &str) {
    for key in keys {
        if let Some(extra) = table.get(key) {
            reader.fault::<()>(extra.place, format!("{why} `{key}`"), Some(hint.to_owned()));
        }
    }
}

/// How the row is cut at either end.
fn ends(reader: &mut Reader, table: &Table<'_>) -> Option<[End; 2]> {
    let words = [("square", End::Square), ("plumb", End::Plumb), ("level", End::Level)];
    let Some(node) = table.get("ends") else { return Some([End::Square; 2]) };
    let Value::List(_) = node.value else {
        return reader.choice(node, "ends", &words).map(|end| [end; 2]);
    };
    let items = reader.pair(node, "ends ([FIRST, SECOND])")?;
    let [first, second] = [0, 1].map(|index| reader.choice(&items[index], "an end", &words));
    Some([first?, second?])
}

fn told(reader: &mut Reader, table: &Table<'_>, fault: RowFault) -> Option<Vec<Shape>> {
    let node = table.get("ends");
    let place = node.map_or(table.place, |node| node.place);
    let (message, hint) = match fault {
        RowFault::AlongTheLine(end) => (
            format!("the {} end would run along the line itself", ["first", "second"][end]),
            "cut it `square`: `plumb` is upright, `level` along a horizontal".to_owned(),
        ),
        RowFault::Folds { shortest } => (
            "with these ends the layers fold over themselves before the last face".to_owned(),
            format!("the line must be longer than {} mm, or an end be cut `square`", millimetres(shortest)),
        ),
    };
    reader.fault(place, message, Some(hint))
}

/// One layer of a row.
struct Row<'n> {
    /// Index of the material.
    material: Option<MaterialId>,
    /// m.
    thickness: Option<f64>,
    /// What readers call it, if it is the air layer of a build-up.
    air: Option<String>,
    node: &'n Node,
}

/// A row of layers.
struct Rows<'n> {
    rows: Vec<Row<'n>>,
    /// Name of the build-up that they are.
    build_up: Option<String>,
}

/// A list of layers, or `{ build_up: NAME }`.
fn rows<'n>(
    reader: &mut Reader,
    names: &mut Names,
    node: &'n Node,
    through: [f64; 2],
    place: Place,
) -> Option<Rows<'n>> {
    if let Value::Table(_) = node.value {
        let table = reader.table(node, "`layers`", &keys::LAYERS_OF_BUILD_UP)?;
        let build_up = table.require(reader, "build_up").and_then(|node| names.build_up(reader, node))?;
        let layers = build_ups::painted(reader, &build_up, node)?;
        names.draw(&build_up);
        let mut row = |layer: build_ups::PaintedLayer| Row {
            material: Some(names.layer_material(&build_up.name, layer.material, through)),
            thickness: Some(layer.thickness),
            air: layer.air,
            node,
        };
        let rows = layers.into_iter().map(&mut row).collect();
        return Some(Rows { rows, build_up: Some(build_up.name) });
    }
    let hint = "[[MATERIAL, THICKNESS], …] or { build_up: NAME }";
    if let Value::Text(name) = &node.value
        && names.build_ups.iter().any(|build_up| build_up.name == *name)
    {
        let message = format!(
            "`layers` must be a list of layers, or a table that names a build-up, found the text `{name}`"
        );
        return reader.fault(node.place, message, Some(format!("`layers: {{ build_up: {name} }}`")));
    }
    let list = reader.list(node, "layers")?;
    if list.is_empty() {
        return reader.fault(place, "`layers` needs at least one layer", Some(hint.to_owned()));
    }
    Some(Rows { rows: list.iter().map(|row| layer(reader, names, row, through)).collect(), build_up: None })
}

fn layer<'n>(reader: &mut Reader, names: &mut Names, row: &'n Node, through: [f64; 2]) -> Row<'n> {
    let Some(parts) = reader.pair(row, "a layer ([MATERIAL, THICKNESS])") else {
        return Row { material: None, thickness: None, air: None, node: row };
    };
    let material = names
        .material(reader, &parts[0])
        .filter(|material| follows_axes(reader, &names.materials[*material], through, &parts[0]));
    let thickness = reader
        .number(&parts[1], "a layer's thickness", ranges::PAINTED_THICKNESS)
        .map(|thickness| thickness * 1e-3);
    if let (Some(material), Some(thickness), false) = (material, thickness, is_kept_from_nothing(row)) {
        let asked = plausible::painted(&names.materials[material], thickness, row.place);
        reader.diagnostics.extend(asked);
    }
    Row { material, thickness, air: None, node: row }
}

/// Tells of a material whose x and y are those of the drawing in a layer that follows neither.
fn follows_axes(reader: &mut Reader, material: &Material, through: [f64; 2], node: &Node) -> bool {
    if !material.is_orthotropic() || through.contains(&0.0) {
        return true;
    }
    let message = format!(
        "`{}` conducts by the drawing's x and y, which layers at an angle do not follow",
        material.name
    );
    let hint =
        "paint it by a build-up: `layers: { build_up: NAME }`; there x leads through the layer, y along it";
    reader.fault::<()>(node.place, message, Some(hint.to_owned()));
    false
}
