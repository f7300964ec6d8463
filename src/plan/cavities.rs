//! The air of a plan told apart: what is connected, and the parts that this is cut into.
//!
//! What counts is which cells are air of one kind (method, emissivities, slit) and share edges, not by how
//! many strokes they were painted. Each part becomes a cavity with a material of its own, named after the
//! stroke whose air it is (`cavity 2`) or, where a stroke has several parts, after both (`cavity 2.1`),
//! numbered in reading order. Air hidden by later strokes is no part of anything. A slit that a stroke states
//! counts for all of its parts, since nobody says which of them it opens.

use crate::model::{CavityFill, CavityPart, EnvironmentId, MaterialId, Model, PieceKind};
use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::{Edges, Filling, Raster, gaps, openings};
use crate::finding::Diagnostic;
use crate::geometry::Rectangle;
use crate::material::cavity::{self, Cavity};

/// A case whose cavities are the parts of its plan's air, and warnings of what could not be told apart.
/// Nothing is done twice.
pub fn told_apart(mut model: Model, plan: &Raster) -> (Model, Vec<Diagnostic>) {
    let mut warnings = Vec::new();
    if model.cavities.iter().any(|cavity| cavity.part.is_some()) {
        return (model, warnings);
    }
    let strokes = std::mem::take(&mut model.cavities);
    let mut regions = regions(plan, &strokes);
    let highest = |region: &Region| region.cells.iter().map(|cell| cell.1).max();
    let leftmost = |region: &Region| region.cells.iter().map(|cell| cell.0).min();
    regions.sort_by_key(|region| (region.stroke, Reverse(highest(region)), leftmost(region)));
    // The parts of each stroke.
    let mut parts: BTreeMap<usize, Vec<(Cavity, CavityPart)>> = BTreeMap::new();
    for (number, region) in regions.iter().enumerate() {
        let stroke = &strokes[region.stroke];
        let mut cavity = stroke.cavity;
        if let Some(opening) = openings::widest(plan, &region.cells) {
            let warning;
            (cavity, warning) = openings::opened(&model, cavity, stroke.place, opening);
            warnings.extend(warning);
        }
        let pieces =
            gaps::cut(&plan.xs, &plan.ys, &region.cells, stroke.cavity.method).unwrap_or_else(|| {
                let message =
                    "this air cavity has too many corners to be cut at throats and bends: it counts as one";
                let hint = "draw it simpler, or paint it as several cavities with something between them";
                warnings.push(Diagnostic::warning(stroke.place, message).hint(hint));
                let rectangles = gaps::rectangles(&plan.xs, &plan.ys, &region.cells);
                vec![gaps::Piece { kind: PieceKind::Whole, rectangles }]
            });
        let of_stroke = parts.entry(region.stroke).or_default();
        of_stroke.extend(pieces.into_iter().map(|gaps::Piece { kind, rectangles }| {
            (cavity, CavityPart { region: number, kind, rectangles })
        }));
    }
    for (stroke, mut parts) in parts {
        let CavityFill { material: first, place, .. } = strokes[stroke];
        let order = |part: &CavityPart| reading_order(&part.rectangles);
        parts.sort_by(|(_, a), (_, b)| {
            let ((top, left), (other_top, other_left)) = (order(a), order(b));
            a.region.cmp(&b.region).then(top.total_cmp(&other_top)).then(left.total_cmp(&other_left))
        });
        let is_only = parts.len() == 1;
        for (index, (cavity, part)) in parts.into_iter().enumerate() {
            let number =
                if is_only { format!("{}", stroke + 1) } else { format!("{}.{}", stroke + 1, index + 1) };
            // The first part keeps the stroke's material, further ones get their own.
            let slot = if index == 0 { first } else { MaterialId::new(model.materials.len()) };
            let is_taken = |name: &str| {
                model.environments.iter().any(|environment| environment.name == name)
                    || model
                        .materials
                        .iter()
                        .enumerate()
                        .any(|(other, material)| other != slot.index() && material.name == name)
            };
            let material = cavity::material(&number, &cavity).renamed_where(is_taken);
            if index == 0 {
                model.materials[slot] = material;
            } else {
                model.materials.push(material);
            }
            model.cavities.push(CavityFill { material: slot, cavity, place, part: Some(part) });
        }
    }
    (model, warnings)
}

/// The same where edges slope: nothing is cut, each stroke of air is one cavity of its whole area. Where that is
/// not what the drawing shows, a warning says so.
pub fn as_painted(mut model: Model, edges: &Edges) -> (Model, Vec<Diagnostic>) {
    let mut warnings = Vec::new();
    if let Some(first) = model.cavities.first() {
        let message = "in a drawing with slopes the air of a cavity counts as it is painted: it is not cut at throats or bends";
        let hint =
            "paint what a throat of 2 mm or less parts, or an arm of a long gap, as a cavity of its own";
        warnings.push(Diagnostic::warning(first.place, message).hint(hint));
    }
    let faces = &edges.faces;
    let stroke_of = |face: usize| match Filling::from(faces.faces[face].filling) {
        Filling::Solid(material) => model.cavities.iter().position(|stroke| stroke.material == material),
        _ => None,
    };
    let sides = |beside: &[Option<usize>; 2]| Some((beside[0]?, beside[1]?));
    for (number, stroke) in model.cavities.iter().enumerate() {
        let parts = (0..faces.faces.len()).filter(|face| stroke_of(*face) == Some(number)).count();
        let goes_on = faces.beside.iter().filter_map(sides).any(|(one, other)| {
            let both = [stroke_of(one), stroke_of(other)];
            let others = both.into_iter().flatten().find(|other| *other != number);
            both.contains(&Some(number))
                && others.is_some_and(|other| model.cavities[other].cavity == stroke.cavity)
        });
        let (message, hint) = if parts > 1 {
            (
                format!(
                    "this air lies in {parts} places that are not connected, and counts as one cavity of their area"
                ),
                "paint each of them as a cavity of its own",
            )
        } else if goes_on {
            (
                "this air goes on in another cavity, and each counts for itself".to_owned(),
                "paint connected air as one cavity",
            )
        } else {
            continue;
        };
        warnings.push(Diagnostic::warning(stroke.place, message).hint(hint));
    }
    let mut opened = model.cavities.clone();
    for (number, stroke) in opened.iter_mut().enumerate() {
        let mut widths: BTreeMap<EnvironmentId, f64> = BTreeMap::new();
        for (beside, edge) in faces.beside.iter().zip(edges.edges()) {
            let Some((one, other)) = sides(beside) else { continue };
            for (own, before) in [(one, other), (other, one)] {
                if let (Some(_), Filling::Space(environment)) =
                    (stroke_of(own).filter(|own| *own == number), Filling::from(faces.faces[before].filling))
                {
                    *widths.entry(environment).or_default() += edge.length();
                }
            }
        }
        let widest = widths.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((environment, width)) = widest {
            let opening = openings::Opening { environment, width };
            let warning;
            (stroke.cavity, warning) = openings::opened(&model, stroke.cavity, stroke.place, opening);
            warnings.extend(warning);
        }
    }
    model.cavities = opened;
    (model, warnings)
}

/// What was done to each piece of connected air that was cut, for readers.
pub fn cuts(model: &Model) -> Vec<String> {
    let mut regions: BTreeMap<usize, Vec<(&CavityFill, PieceKind)>> = BTreeMap::new();
    for fill in &model.cavities {
        if let Some(part) = &fill.part {
            regions.entry(part.region).or_default().push((fill, part.kind));
        }
    }
    let line = |parts: &Vec<(&CavityFill, PieceKind)>| {
        let first = model.materials[parts.first()?.0.material].name.clone();
        let last = &model.materials[parts.last()?.0.material].name;
        let has = |kinds: &[PieceKind]| parts.iter().any(|(_, kind)| kinds.contains(kind));
        let places = match (has(&[PieceKind::Throat]), has(&[PieceKind::Arm])) {
            (true, true) => "at throats of 2 mm and less and at the ends and bends of long gaps",
            (false, true) => "at the ends and bends of long gaps",
            _ => "at throats of 2 mm and less",
        };
        let several = parts.len();
        (several > 1)
            .then(|| format!("{first} to {last} are connected air, cut into {several} parts {places}"))
    };
    regions.values().filter_map(line).collect()
}

/// True if two materials stand for parts of the same connected air.
pub fn are_of_one_air(model: &Model, first: MaterialId, second: MaterialId) -> bool {
    let region = |material: MaterialId| {
        let fill = model.cavities.iter().find(|fill| fill.material == material)?;
        Some(fill.part.as_ref()?.region)
    };
    region(first).is_some_and(|own| region(second) == Some(own))
}

/// From top to bottom, then from left to right: the part's highest edge and the left end there, m.
fn reading_order(rectangles: &[Rectangle]) -> (f64, f64) {
    let top = rectangles.iter().map(|rectangle| rectangle.y.to).fold(f64::NEG_INFINITY, f64::max);
    let at_top = rectangles.iter().filter(|rectangle| rectangle.y.to == top);
    (-top, at_top.map(|rectangle| rectangle.x.from).fold(f64::INFINITY, f64::min))
}

/// Air of one kind that is connected.
struct Region {
    /// The first stroke that painted some of it, an index into the case's cavities as read.
    stroke: usize,
    cells: Vec<(usize, usize)>,
}

fn regions(plan: &Raster, strokes: &[CavityFill]) -> Vec<Region> {
    let stroke_of_material: BTreeMap<MaterialId, usize> =
        strokes.iter().enumerate().map(|(index, stroke)| (stroke.material, index)).collect();
    let stroke_of = |i: usize, j: usize| match plan.at(i, j) {
        Filling::Solid(material) => stroke_of_material.get(&material).copied(),
        _ => None,
    };
    let columns = plan.columns();
    let mut is_done = vec![false; columns * plan.rows()];
    let mut found = Vec::new();
    for start in 0..is_done.len() {
        let Some(first) = stroke_of(start % columns, start / columns).filter(|_| !is_done[start]) else {
            continue;
        };
        let kind = strokes[first].cavity;
        is_done[start] = true;
        let mut region = Region { stroke: first, cells: Vec::new() };
        let mut open = vec![(start % columns, start / columns)];
        while let Some((i, j)) = open.pop() {
            region.cells.push((i, j));
            let beside = [(i.wrapping_sub(1), j), (i + 1, j), (i, j.wrapping_sub(1)), (i, j + 1)];
            for (i, j) in beside.into_iter().filter(|(i, j)| *i < columns && *j < plan.rows()) {
                let Some(stroke) = stroke_of(i, j).filter(|stroke| strokes[*stroke].cavity == kind) else {
                    continue;
                };
                if !std::mem::replace(&mut is_done[j * columns + i], true) {
                    region.stroke = region.stroke.min(stroke);
                    open.push((i, j));
                }
            }
        }
        found.push(region);
    }
    found
}
