//! What a dwelling gives to the cases of its junctions, so that ψ belongs to the elements that it is added
//! to.
//!
//! By name: a parameter of the dwelling's file and the files it includes replaces the case's of that name, a
//! material and a build-up likewise. Only what a junction states under `set` stays. A material that the
//! dwelling's own elements bridge comes with the conductivity that stands for the layer and its bridges, as a
//! painted build-up has it: the case draws the wall without joints, and its U must be that of the wall with
//! joints.

use std::path::Path;

use super::dwellings::ElementSource;
use super::gather;
use super::interpret;
use super::library::{self, Library};
use super::{Case, Rejected};
use crate::element::build_up::{Body, BuildUp};
use crate::element::resistance;
use crate::material::{Material, Origin};

/// What flows into a case.
#[derive(Clone, Debug, Default)]
pub struct Inheritance {
    /// As the dwelling's file defines them.
    pub materials: Vec<Material>,
    /// Those that stand for a layer with its bridges.
    pub laid: Vec<Material>,
    /// In place of the case's of the same name.
    pub build_ups: Vec<BuildUp>,
}

impl Inheritance {
    /// What the elements of a file give.
    fn of(library: &Library) -> Self {
        Self {
            materials: library.materials.clone(),
            laid: laid(library),
            build_ups: library.build_ups.clone(),
        }
    }
}

/// A value of the dwelling that took the place of the case's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The parameter, material or build-up.
    pub name: String,
    /// From what to what.
    pub change: String,
}

/// Reads the case of a junction as part of the dwelling in `library`; `exceptions` (`NAME=VALUE`) stay the
/// junction's own, and hold for what the dwelling's file derives from them too.
///
/// # Errors
/// [`Rejected`] with every fault of the case, or of the dwelling's file with these exceptions.
pub fn load(path: &Path, exceptions: &[String], library: &Library) -> Result<(Case, Vec<Taken>), Rejected> {
    let alone = super::load(path, exceptions)?;
    let named = |set: &String| set.split('=').next().unwrap_or_default().trim().to_owned();
    let is_exception = |name: &str| exceptions.iter().any(|set| named(set) == name);
    let own = |name: &str| alone.parameters.iter().find(|(known, _)| known == name).map(|(_, value)| *value);
    let mut parameters = alone.parameters.clone();
    let mut flowing = library.parameters.clone();
    let mut changed = None;
    // An exception may be an expression of what flows, and what flows may follow from an exception: once more
    // settles both.
    for _ in 0..2 {
        let known: Vec<String> = parameters
            .iter()
            .filter(|(name, _)| {
                is_exception(name) && library.parameters.iter().any(|(known, _)| known == name)
            })
            .map(|(name, value)| format!("{name}={value}"))
            .collect();
        if !known.is_empty() {
            let with = library::library(gather::from_sources_with(library.sources.all(), &known)?)?;
            flowing.clone_from(&with.parameters);
            changed = Some(with);
        }
        flowing.retain(|(name, value)| !is_exception(name) && own(name).is_some_and(|own| own != *value));
        parameters = gather::from_file(path, &sets(&flowing, exceptions))?.parameters;
    }
    let inherited = Inheritance::of(changed.as_ref().unwrap_or(library));
    let mut gathered = gather::from_file(path, &sets(&flowing, exceptions))?;
    gathered.inherited = inherited.clone();
    let case = interpret::case(super::name_of(path), gathered)?;
    let change = |name: &str, value: f64| own(name).map(|own| format!("{own} → {value}"));
    let mut taken: Vec<Taken> = flowing
        .iter()
        .filter_map(|(name, value)| Some(Taken { name: name.clone(), change: change(name, *value)? }))
        .collect();
    for material in inherited.laid.iter().chain(&inherited.materials) {
        let of = |case: &Case| {
            case.model.materials.iter().find(|own| own.name == material.name).map(|own| own.conductivity_x)
        };
        if let (Some(before), Some(after)) = (of(&alone), of(&case))
            && (before / after - 1.0).abs() > 1e-9
            && !taken.iter().any(|known| known.name == material.name)
        {
            let change = format!("λ {} → {}", four(before), four(after));
            taken.push(Taken { name: material.name.clone(), change });
        }
    }
    Ok((case, taken))
}

/// Parameters that flow, then exceptions.
fn sets(flowing: &[(String, f64)], exceptions: &[String]) -> Vec<String> {
    let flowing = flowing.iter().map(|(name, value)| format!("{name}={value}"));
    flowing.chain(exceptions.iter().cloned()).collect()
}

fn four(value: f64) -> String {
    crate::material::four_digits(value)
}

/// Materials of the dwelling's elements that stand for a layer and its bridges; none where two elements
/// disagree about one.
fn laid(library: &Library) -> Vec<Material> {
    let Some(dwelling) = &library.dwelling else { return Vec::new() };
    let used = dwelling.elements.iter().filter_map(|element| match &element.source {
        ElementSource::BuildUp { name, .. } => {
            library.build_ups.iter().find(|build_up| build_up.name == *name)
        }
        ElementSource::Floor(floor) => {
            library.build_ups.iter().find(|build_up| Some(&build_up.name) == floor.build_up.as_ref())
        }
        _ => None,
    });
    let mut laid: Vec<Option<Material>> = Vec::new();
    for build_up in used {
        for (layer, resistance) in build_up.layers.iter().zip(resistance::layers(build_up)) {
            let Body::Solid(material) = &layer.body else { continue };
            let conductivity =
                if layer.bridge.is_some() { layer.thickness / resistance } else { material.conductivity_x };
            let known =
                laid.iter_mut().find(|known| known.as_ref().is_some_and(|known| known.name == material.name));
            match known {
                Some(known) => {
                    let is_other = |own: &Material| (own.conductivity_x / conductivity - 1.0).abs() > 1e-9;
                    if known.as_ref().is_some_and(is_other) {
                        // Which of the two a case draws cannot be told: its material stays without bridges.
                        *known = Some(material.clone());
                    }
                }
                None if layer.bridge.is_some() => laid.push(Some(Material {
                    conductivity_x: conductivity,
                    conductivity_y: conductivity,
                    origin: Origin::Equivalent,
                    source: format!(
                        "with its joints or bars, equivalent by ISO 6946 in the build-up {}",
                        build_up.name
                    ),
                    ..material.clone()
                })),
                None => laid.push(Some(material.clone())),
            }
        }
    }
    laid.into_iter().flatten().collect()
}
