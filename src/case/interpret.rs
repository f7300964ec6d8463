//! From the gathered trees to a [`Case`]: each block of the document in its own function.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::build_ups;
use super::diagnostic::{Diagnostic, Place, Rejected, Sources, has_errors};
use super::document::{
    Case, CavityFill, Claim, Condensation, Convention, Cut, Environment, Flanking, FloorMethod, NamedPoint, Paint,
    PaintedBuildUp, Plane, Psi, Role, Ruled, SurfaceRule, UValueSource,
};
use super::floors::{self, NamedFloor};
use super::gather::Gathered;
use super::inheritance::Inheritance;
use super::library;
use super::node::{Node, Value};
use super::plausible;
use super::ranges;
use super::reader::{Allowed, Reader, Table};
use super::shapes;
use super::suggestion::did_you_mean;
use super::windows::{self, NamedWindow};
use crate::element::build_up::BuildUp;
use crate::element::resistance;
use crate::geometry::{Axis, Rectangle, Span};
use crate::material::cavity::{self, Cavity};
use crate::material::conversion::{self, CLASSES, Class};
use crate::material::{Material, four_digits, generic};
use crate::standard::{CONDENSATION_ON_OPAQUE, HeatFlow};

pub const CASE_KEYS: [&str; 21] = [
    "coldseam",
    "title",
    "description",
    "cut",
    "include",
    "parameters",
    "materials",
    "build_ups",
    "floors",
    "windows",
    "climate",
    "dwelling",
    "sizes",
    "environments",
    "extent",
    "plan",
    "surfaces",
    "psi",
    "condensation",
    "points",
    "claims",
];
pub const MATERIAL_KEYS: [&str; 7] =
    ["conductivity", "density", "heat_capacity", "vapour_resistance", "source", "label", "convert"];
pub const CONVERT_KEYS: [&str; 3] = ["class", "temperature", "moisture"];
pub const PSI_KEYS: [&str; 4] = ["between", "flanking", "frame", "symmetry"];
pub const CONDENSATION_KEYS: [&str; 3] = ["resistance", "exclude", "critical"];
pub const ENVIRONMENT_KEYS: [&str; 3] = ["role", "temperature", "humidity"];
pub const SURFACE_KEYS: [&str; 6] = ["of", "on", "x", "y", "resistance", "heat_flow"];
pub const FLANKING_KEYS: [&str; 9] =
    ["element", "section", "build_up", "u_value", "floor", "along", "internal", "external", "overall_internal"];
pub const CLAIM_KEYS: [&str; 6] = ["psi_internal", "psi_external", "psi_overall_internal", "f_rsi", "l2d", "u_values"];
/// Conversions by more than this factor are slips (common practice, no source).
const LARGEST_CONVERSION: f64 = 2.0;
/// More strokes than any plan has.
const MOST_SHAPES: usize = 5_000;

pub fn case(name: String, gathered: Gathered) -> Result<Case, Rejected> {
    let Gathered { sources, main, included, parameters, free_parameters, diagnostics, inherited } = gathered;
    let mut reader = Reader::new(parameters.iter().cloned().collect::<BTreeMap<_, _>>());
    reader.diagnostics = diagnostics;
    let names = Names { inherited, ..Names::default() };
    let case = interpret(&mut reader, names, &sources, &main, &included);
    let diagnostics = std::mem::take(&mut reader.diagnostics);
    match case {
        Some(case) if !has_errors(&diagnostics) => {
            Ok(Case { name, parameters, free_parameters, sources, warnings: diagnostics, ..case })
        }
        _ => Err(Rejected { diagnostics, sources }),
    }
}

fn interpret(reader: &mut Reader, mut names: Names, sources: &Sources, main: &Node, included: &[Node]) -> Option<Case> {
    let table = reader.table(main, "a case", &CASE_KEYS)?;
    let title = table.require(reader, "title").and_then(|node| reader.text(node, "title")).map(|title| title.trim().to_owned());
    let description = table.get("description").and_then(|node| reader.text(node, "description"));
    let description = description.unwrap_or_default().trim().to_owned();
    let cuts = [("vertical", Cut::Vertical), ("horizontal", Cut::Horizontal)];
    let cut = table.get("cut").map_or(Some(Cut::Vertical), |node| reader.choice(node, "cut", &cuts));
    names.define(reader, main, included);
    library::sizes(reader, main, included);
    let climate = library::climate(reader, main, included);
    let environments = environments(reader, &table, &mut names);
    let extent_node = table.require(reader, "extent");
    let extent =
        extent_node.and_then(|node| reader.table(node, "`extent`", &["x", "y"])).and_then(|table| reader.rectangle(&table, None));
    let plan = table.require(reader, "plan").and_then(|node| reader.list(node, "plan"));
    let plan = plan.map(|strokes| plan_shapes(reader, &mut names, strokes, extent));
    let surfaces = table.get("surfaces").map(|node| surface_rules(reader, &mut names, node, cut)).unwrap_or_default();
    let (psi, further_psi, psi_is_list) = table.get("psi").map(|node| psi_blocks(reader, &mut names, node)).unwrap_or_default();
    let condensation = table.get("condensation").and_then(|node| condensation(reader, &mut names, node));
    let points = table.get("points").map(|node| points(reader, node)).unwrap_or_default();
    let claims = table.get("claims").map(|node| claims(reader, sources, node)).unwrap_or_default();
    Some(Case {
        name: String::new(),
        title: title?,
        description,
        cut: cut?,
        parameters: Vec::new(),
        free_parameters: Vec::new(),
        materials: names.materials,
        cavities: names.cavities,
        build_ups: names.drawn,
        painted: names.painted,
        environments: environments?,
        extent: extent?,
        extent_place: extent_node?.place,
        plan: plan?,
        surfaces,
        psi,
        further_psi,
        psi_is_list,
        condensation,
        climate,
        points,
        claims,
        sources: Sources::default(),
        warnings: Vec::new(),
    })
}

/// The named things of a case and their indices. What the program makes itself (cavities, layers of build-ups) is found by what it stands
/// for, never by a name, which the case may have given to a material of its own.
#[derive(Default)]
pub struct Names {
    pub materials: Vec<Material>,
    /// Of the case's own materials, and of generic ones in use.
    material_index: HashMap<String, usize>,
    /// Of the materials that stand for a layer of a build-up: its name and the layer's number.
    layer_index: HashMap<(String, usize), usize>,
    /// Orthotropic materials of build-ups painted along y, by their name.
    turned_index: HashMap<String, usize>,
    /// Materials made to stand for one that has a name: turned, or with what bridges it.
    variants: HashMap<String, Vec<usize>>,
    /// Materials that some stroke of the plan paints.
    materials_painted: HashSet<usize>,
    /// Build-ups painted or named by a flanking element, each once.
    pub drawn: Vec<BuildUp>,
    /// What takes the place of definitions of the same name.
    pub inherited: Inheritance,
    environment_index: HashMap<String, usize>,
    /// Air cavities painted so far.
    pub cavities: Vec<CavityFill>,
    /// Build-ups painted so far.
    pub painted: Vec<PaintedBuildUp>,
    /// Plane elements, those of included files first.
    pub build_ups: Vec<BuildUp>,
    /// Names of those with a fault, which would otherwise make each use of them a fault too.
    faulty_build_ups: Vec<String>,
    /// Floors over the ground, those of included files first.
    pub floors: Vec<NamedFloor>,
    /// Windows, those of included files first.
    pub windows: Vec<NamedWindow>,
}

impl Names {
    /// Takes over the materials and elements of the case and the files it includes.
    pub fn define(&mut self, reader: &mut Reader, main: &Node, included: &[Node]) {
        for tree in included.iter().chain([main]) {
            self.define_materials(reader, tree);
        }
        let inherited = std::mem::take(&mut self.inherited);
        self.inherit_materials(&inherited.materials);
        for tree in included.iter().chain([main]) {
            let Some(node) = block(tree, "build_ups") else { continue };
            for build_up in build_ups::read(reader, self, node) {
                // Twice in one file is a key given twice, which the table has told already.
                if self.build_ups.iter().any(|known| known.name == build_up.name && known.place.file != build_up.place.file) {
                    let message = format!("the build-up `{}` is defined twice", build_up.name);
                    reader.fault::<()>(build_up.place, message, Some("an included file may already define it".to_owned()));
                }
                self.build_ups.push(build_up);
            }
            if let Value::Table(entries) = &node.value {
                let is_read = |name: &str| self.build_ups.iter().any(|known| known.name == name);
                let faulty = entries.iter().map(|entry| &entry.key).filter(|name| !is_read(name)).cloned();
                self.faulty_build_ups.extend(faulty.collect::<Vec<_>>());
            }
        }
        self.inherit_build_ups(&inherited.build_ups);
        // Only now, so that a build-up's own bridges do not count twice.
        self.inherit_materials(&inherited.laid);
        for node in included.iter().chain([main]).filter_map(|tree| block(tree, "floors")) {
            let floors = floors::read(reader, self, node);
            self.floors.extend(floors);
        }
        for node in included.iter().chain([main]).filter_map(|tree| block(tree, "windows")) {
            self.windows.extend(windows::read(reader, node));
        }
    }

    /// The index of a material: the case's own, or one of the generic table, taken over at its first use.
    pub fn material(&mut self, reader: &mut Reader, node: &Node) -> Option<usize> {
        let material = self.definition(reader, node)?;
        Some(self.index_of(material))
    }

    /// All materials that a name stands for in the plan: the one of that name, and those that build-ups paint in its place, turned or bridged.
    fn materials_called(&mut self, reader: &mut Reader, node: &Node) -> Option<Vec<usize>> {
        let own = self.material(reader, node)?;
        let variants = self.variants.get(&self.materials[own].name);
        let all: Vec<usize> = std::iter::once(own).chain(variants.into_iter().flatten().copied()).collect();
        if !all.iter().any(|index| self.materials_painted.contains(index)) {
            let message = format!("the plan paints no `{}`: naming it here does nothing", self.materials[own].name);
            let hint = "strike it, or name the material that is meant";
            reader.diagnostics.push(Diagnostic::warning(node.place, message).hint(hint));
        }
        Some(all)
    }

    /// Notes that a build-up is painted or subtracted.
    pub fn draw(&mut self, build_up: &BuildUp) {
        if !self.drawn.iter().any(|known| known.name == build_up.name) {
            self.drawn.push(build_up.clone());
        }
    }

    /// The index of the material of a build-up's layer: one with a name, or one made for that layer.
    /// A build-up's own x leads through its layers, so that layers painted one above the other take an orthotropic material turned.
    pub fn layer_material(&mut self, build_up: &str, layer: build_ups::PaintedMaterial, through: Axis) -> usize {
        match layer {
            build_ups::PaintedMaterial::Named(material) if through == Axis::Y && material.is_orthotropic() => {
                if let Some(index) = self.turned_index.get(&material.name) {
                    return *index;
                }
                let name = material.name.clone();
                let index = self.add_made(material.turned());
                self.variants.entry(name.clone()).or_default().push(index);
                self.turned_index.insert(name, index);
                index
            }
            build_ups::PaintedMaterial::Named(material) => self.index_of(material),
            build_ups::PaintedMaterial::Equivalent { number, material, stands_for } => {
                if let Some(index) = self.layer_index.get(&(build_up.to_owned(), number)) {
                    return *index;
                }
                let index = self.add_made(material);
                if let Some(name) = stands_for {
                    self.variants.entry(name).or_default().push(index);
                }
                self.layer_index.insert((build_up.to_owned(), number), index);
                index
            }
        }
    }

    /// A material by name: the case's own, or one of the generic table.
    pub fn definition(&self, reader: &mut Reader, node: &Node) -> Option<Material> {
        let name = reader.text(node, "a material's name")?;
        if let Some(index) = self.material_index.get(name) {
            return Some(self.materials[*index].clone());
        }
        if let Some(row) = generic::find(name) {
            return Some(row.into());
        }
        if self.environment_index.contains_key(name) {
            let hint = format!("`{name}` is an environment; paint it with `space: {name}`");
            return reader.fault(node.place, format!("there is no material named `{name}`"), Some(hint));
        }
        let own = self.materials.iter().map(|material| material.name.as_str());
        let known = own.chain(generic::table().iter().map(|row| row.name.as_str()));
        let hint = did_you_mean(name, known).unwrap_or_else(|| {
            "`coldseam materials` lists the generic ones; define the case's own under `materials:`".to_owned()
        });
        reader.fault(node.place, format!("there is no material named `{name}`"), Some(hint))
    }

    /// The index of a material of this name, taken over if it is new.
    fn index_of(&mut self, material: Material) -> usize {
        match self.material_index.get(&material.name) {
            Some(index) => *index,
            None => self.add_material(material),
        }
    }

    /// A new air cavity and the index of its material.
    pub fn add_cavity(&mut self, cavity: Cavity, place: Place) -> usize {
        let number = (self.cavities.len() + 1).to_string();
        let material = self.add_made(cavity::material(&number, &cavity));
        self.cavities.push(CavityFill { material, cavity, place, part: None });
        material
    }

    /// A plane element by name.
    pub fn build_up(&self, reader: &mut Reader, node: &Node) -> Option<BuildUp> {
        let name = reader.text(node, "a build-up's name")?;
        if let Some(build_up) = self.build_ups.iter().find(|build_up| build_up.name == name) {
            return Some(build_up.clone());
        }
        if self.faulty_build_ups.iter().any(|known| known == name) {
            return None; // what is wrong with it has been told
        }
        let hint = did_you_mean(name, self.build_ups.iter().map(|build_up| build_up.name.as_str()))
            .unwrap_or_else(|| "define it under `build_ups:`, here or in an included file".to_owned());
        reader.fault(node.place, format!("there is no build-up named `{name}`"), Some(hint))
    }

    /// The index of an environment.
    pub fn environment(&self, reader: &mut Reader, node: &Node) -> Option<usize> {
        reader.lookup(node, "environment", &self.environment_index)
    }

    fn add_material(&mut self, material: Material) -> usize {
        self.material_index.insert(material.name.clone(), self.materials.len());
        self.materials.push(material);
        self.materials.len() - 1
    }

    /// Adds a material that the program made. Nothing finds it by its name, which readers of the results must be able to tell from the
    /// case's own nonetheless.
    fn add_made(&mut self, material: Material) -> usize {
        let is_taken =
            |name: &str| self.environment_index.contains_key(name) || self.materials.iter().any(|material| material.name == name);
        self.materials.push(material.renamed_where(is_taken));
        self.materials.len() - 1
    }

    /// Replaces the materials of these names, generic ones too.
    fn inherit_materials(&mut self, materials: &[Material]) {
        for material in materials {
            match self.material_index.get(&material.name) {
                Some(index) => self.materials[*index] = material.clone(),
                None if generic::find(&material.name).is_some() => {
                    self.add_material(material.clone());
                }
                None => {}
            }
        }
    }

    /// Replaces the build-ups of these names; findings go on pointing into the case's own files.
    fn inherit_build_ups(&mut self, build_ups: &[BuildUp]) {
        for own in &mut self.build_ups {
            let Some(inherited) = build_ups.iter().find(|inherited| inherited.name == own.name) else { continue };
            let place = own.place;
            *own = BuildUp { place, ..inherited.clone() };
            for layer in &mut own.layers {
                layer.place = place;
            }
        }
    }

    fn define_materials(&mut self, reader: &mut Reader, tree: &Node) {
        let Some(table) = block(tree, "materials").and_then(|node| reader.open_table(node, "materials")) else { return };
        for (index, entry) in table.entries().iter().enumerate() {
            // Twice in one file is a key given twice, which the table has told already.
            if table.entries()[..index].iter().any(|earlier| earlier.key == entry.key) {
                continue;
            }
            if self.material_index.contains_key(&entry.key) {
                let hint = "an included file may already define it".to_owned();
                reader.fault::<()>(entry.key_place, format!("the material `{}` is defined twice", entry.key), Some(hint));
            }
            // A faulty definition still makes its name known, so that each use of it is not a fault too.
            let material = own_material(reader, &entry.key, &entry.node);
            if let (Some(own), Some(row)) = (&material, generic::find(&entry.key)) {
                // No error: a row added to the table must not break the files that had the name before.
                let message = format!(
                    "`{}` is the case's own material (λ {} W/(m·K)) and the name of a generic one too (λ {}); the case's own is used",
                    entry.key,
                    own.conductivity_text(),
                    four_digits(row.conductivity)
                );
                let hint = "another name would let a reviewer tell the two apart";
                reader.diagnostics.push(Diagnostic::warning(entry.key_place, message).hint(hint));
            }
            self.add_material(material.unwrap_or_else(|| Material::homogeneous(&entry.key, 1.0)));
        }
    }
}

/// What stands under a key of a tree, if anything.
pub fn block<'n>(tree: &'n Node, key: &str) -> Option<&'n Node> {
    let Value::Table(entries) = &tree.value else { return None };
    let entry = entries.iter().find(|entry| entry.key == key)?;
    (!matches!(entry.node.value, Value::Null)).then_some(&entry.node)
}

fn own_material(reader: &mut Reader, name: &str, node: &Node) -> Option<Material> {
    let what = format!("the material `{name}`");
    let table = reader.table(node, &what, &MATERIAL_KEYS)?;
    let conductivity = table.require(reader, "conductivity").and_then(|node| conductivity(reader, node));
    let source = if let Some(node) = table.get("source") {
        reader.text(node, "source")
    } else {
        let hint = "a reviewer must be able to check λ: `source: \"declared by the supplier, document …\"`";
        reader.fault(node.place, format!("{what} has no `source`"), Some(hint.to_owned()))
    };
    let density = table.get("density").and_then(|node| reader.number(node, "density", ranges::DENSITY));
    let allowed = ranges::HEAT_CAPACITY;
    let heat_capacity = table.get("heat_capacity").and_then(|node| reader.number(node, "heat_capacity in J/(kg·K)", allowed));
    let vapour_resistance = table.get("vapour_resistance").and_then(|node| vapour_resistance(reader, node));
    let label = table.get("label").and_then(|node| reader.text(node, "label"));
    let converted = table.get("convert").map(|node| converted(reader, node));
    let (conductivity_x, conductivity_y) = conductivity?;
    let Converted { factor, remark, other } = converted.unwrap_or_else(|| Some(Converted::default()))?;
    if let Some(node) = table.get("convert")
        && ![conductivity_x, conductivity_y].iter().all(|value| ranges::CONDUCTIVITY.contains(value * factor))
    {
        let message = format!("converted, {what} would conduct {:e} W/(m·K), as nothing does", conductivity_x * factor);
        return reader.fault(node.place, message, Some("`moisture` is a share by volume or mass: 0.02 is 2 %".to_owned()));
    }
    let material = Material {
        label: label.map_or_else(|| name.replace('_', " "), str::to_owned),
        conductivity_x: conductivity_x * factor,
        conductivity_y: conductivity_y * factor,
        density,
        heat_capacity,
        vapour_resistance,
        source: source?.trim().to_owned() + &remark,
        doubt: other.map(|other| {
            let [used, by_other] = [factor, other].map(|factor| four_digits(conductivity_x * factor));
            format!("λ {used} is converted with the careful one of two remembered f_T; the other gives {by_other} W/(m·K)")
        }),
        ..Material::homogeneous(name, 1.0)
    };
    reader.diagnostics.extend(plausible::material(&material, node.place));
    Some(material)
}

fn conductivity(reader: &mut Reader, node: &Node) -> Option<(f64, f64)> {
    let allowed = ranges::CONDUCTIVITY;
    if !matches!(node.value, Value::Table(_)) {
        return reader.number(node, "conductivity in W/(m·K)", allowed).map(|value| (value, value));
    }
    let table = reader.table(node, "`conductivity`", &["x", "y"])?;
    let x = table.require(reader, "x").and_then(|node| reader.number(node, "conductivity along x", allowed));
    let y = table.require(reader, "y").and_then(|node| reader.number(node, "conductivity along y", allowed));
    Some((x?, y?))
}

/// μ, or [dry, wet].
fn vapour_resistance(reader: &mut Reader, node: &Node) -> Option<[f64; 2]> {
    let allowed = ranges::VAPOUR_FACTOR;
    let what = "vapour_resistance (the factor μ)";
    if !matches!(node.value, Value::List(_)) {
        return reader.number(node, what, allowed).map(|value| [value, value]);
    }
    let pair = reader.pair(node, "vapour_resistance ([DRY, WET])")?;
    let (dry, wet) = (reader.number(&pair[0], what, allowed), reader.number(&pair[1], what, allowed));
    let (dry, wet) = (dry?, wet?);
    if dry < wet {
        let hint = "dry materials let less vapour pass: [DRY, WET]".to_owned();
        return reader.fault(node.place, format!("the dry factor {dry} is smaller than the wet one {wet}"), Some(hint));
    }
    Some([dry, wet])
}

/// From the declared to the design conductivity.
struct Converted {
    factor: f64,
    /// What to say of it beside the source.
    remark: String,
    /// The factor by the other value of a coefficient that is remembered in two.
    other: Option<f64>,
}

impl Default for Converted {
    fn default() -> Self {
        Self { factor: 1.0, remark: String::new(), other: None }
    }
}

fn converted(reader: &mut Reader, node: &Node) -> Option<Converted> {
    let table = reader.table(node, "`convert`", &CONVERT_KEYS)?;
    let classes: Vec<(&str, Class)> = CLASSES.iter().map(|class| (class.name, *class)).collect();
    let class = table.require(reader, "class").and_then(|node| reader.choice(node, "class", &classes));
    let mut change = |key: &str, allowed: Allowed| match table.get(key) {
        None => Some([0.0, 0.0]),
        Some(node) => {
            let pair = reader.pair(node, &format!("{key} ([DECLARED, DESIGN])"))?;
            Some([reader.number(&pair[0], key, allowed)?, reader.number(&pair[1], key, allowed)?])
        }
    };
    let temperature = change("temperature", ranges::CONVERSION_TEMPERATURE);
    let moisture = change("moisture", ranges::SHARE);
    let (class, temperature, moisture) = (class?, temperature?, moisture?);
    let [by_temperature, by_moisture] = conversion::factors(class, temperature, moisture);
    let unit = class.moisture.unit();
    let remark = format!(
        "; converted by ISO 10456 as {}: F_T {by_temperature:.4} ({} to {} °C), F_m {by_moisture:.4} ({} to {} {unit})",
        class.name, temperature[0], temperature[1], moisture[0], moisture[1]
    );
    let other = conversion::other_temperature_factor(class, temperature);
    let doubt = other.map_or_else(String::new, |other| {
        format!("; f_T is uncertain, the careful one of two remembered values is used, the other gives F_T {other:.4}")
    });
    let factor = by_temperature * by_moisture;
    if !(1.0 / LARGEST_CONVERSION..=LARGEST_CONVERSION).contains(&factor) {
        let message = format!("converted, λ is {} times the declared one", four_digits(factor));
        let hint = "`temperature` is in °C, `moisture` a share: 0.02 is 2 %";
        reader.diagnostics.push(Diagnostic::warning(node.place, message).hint(hint));
    }
    Some(Converted { factor, remark: remark + &doubt, other: other.map(|other| other * by_moisture) })
}

fn environments(reader: &mut Reader, case: &Table<'_>, names: &mut Names) -> Option<Vec<Environment>> {
    let node = case.require(reader, "environments")?;
    let table = reader.open_table(node, "environments")?;
    let roles = [("internal", Role::Internal), ("external", Role::External), ("unheated", Role::Unheated)];
    let mut environments = Vec::new();
    for entry in table.entries() {
        if names.material_index.contains_key(&entry.key) {
            let hint = "give one of the two another name".to_owned();
            reader.fault::<()>(entry.key_place, format!("`{}` names both a material and an environment", entry.key), Some(hint));
        }
        let what = format!("the environment `{}`", entry.key);
        let read = reader.table(&entry.node, &what, &ENVIRONMENT_KEYS).map(|table| {
            let role = table.require(reader, "role").and_then(|node| reader.choice(node, "role", &roles));
            let temperature = table.require(reader, "temperature");
            let temperature = temperature.and_then(|node| reader.number(node, "temperature in °C", ranges::TEMPERATURE));
            let humidity = table.get("humidity").and_then(|node| reader.number(node, "humidity in %", ranges::HUMIDITY));
            (role.unwrap_or(Role::Internal), temperature.unwrap_or_default(), humidity.map(|percent| percent / 100.0))
        });
        let (role, temperature, humidity) = read.unwrap_or((Role::Internal, 0.0, None));
        names.environment_index.insert(entry.key.clone(), environments.len());
        environments.push(Environment {
            name: entry.key.clone(),
            role,
            temperature,
            humidity,
            is_touched: true,
            place: entry.key_place,
        });
    }
    if environments.is_empty() {
        return reader.fault(
            node.place,
            "there is no environment",
            Some("a junction needs an internal and an external one".into()),
        );
    }
    tell_temperatures_apart(reader, &mut environments);
    Some(environments)
}

/// Temperatures that differ by rounding alone become one, as edges do. Others must differ by so much that what they drive is no rounding.
fn tell_temperatures_apart(reader: &mut Reader, environments: &mut [Environment]) {
    for index in 1..environments.len() {
        let (earlier, rest) = environments.split_at_mut(index);
        let own = &mut rest[0];
        let difference = |other: &Environment| (other.temperature - own.temperature).abs();
        if let Some(same) = earlier.iter().find(|other| difference(other) < ranges::SAME_TEMPERATURE) {
            own.temperature = same.temperature;
        } else if let Some(near) = earlier.iter().find(|other| difference(other) < ranges::LEAST_DIFFERENCE) {
            let message =
                format!("the temperatures of `{}` and `{}` differ by only {:.1e} K", near.name, own.name, difference(near));
            let hint = "make them equal, or give them a difference that matters (0.001 K at least)".to_owned();
            reader.fault::<()>(own.place, message, Some(hint));
        }
    }
}

fn plan_shapes(reader: &mut Reader, names: &mut Names, strokes: &[Node], extent: Option<Rectangle>) -> Vec<super::Shape> {
    let everywhere = Rectangle { x: Span { from: 0.0, to: 1.0 }, y: Span { from: 0.0, to: 1.0 } };
    let mut painted = Vec::new();
    for stroke in strokes {
        painted.extend(shapes::read(reader, names, stroke, extent.unwrap_or(everywhere)));
        if painted.len() > MOST_SHAPES {
            reader.fault::<()>(stroke.place, format!("the plan has more than {MOST_SHAPES} shapes"), None);
            break;
        }
    }
    names.materials_painted =
        painted.iter().filter_map(|shape| if let Paint::Solid(index) = shape.paint { Some(index) } else { None }).collect();
    painted
}

fn surface_rules(reader: &mut Reader, names: &mut Names, node: &Node, cut: Option<Cut>) -> Vec<SurfaceRule> {
    let infinite = Span { from: f64::NEG_INFINITY, to: f64::INFINITY };
    let everywhere = Rectangle { x: infinite, y: infinite };
    let mut rules = Vec::new();
    for item in reader.list(node, "surfaces").unwrap_or_default() {
        let Some(table) = reader.table(item, "a surface rule", &SURFACE_KEYS) else { continue };
        let environment = table.get("of").map(|node| names.environment(reader, node));
        let materials = table.get("on").map(|node| names.materials_called(reader, node));
        let within = reader.rectangle(&table, Some(everywhere));
        let ruled = ruled(reader, &table, item.place, cut);
        if let (Some(within), Some(ruled), false, false) = (within, ruled, environment == Some(None), materials == Some(None)) {
            let (environment, materials) = (environment.flatten(), materials.flatten());
            rules.push(SurfaceRule { environment, materials, within, ruled, place: item.place });
        }
    }
    rules
}

fn ruled(reader: &mut Reader, table: &Table<'_>, place: Place, cut: Option<Cut>) -> Option<Ruled> {
    match (table.get("resistance"), table.get("heat_flow")) {
        (Some(node), None) => reader.number(node, "resistance in m²K/W", ranges::SURFACE_RESISTANCE).map(Ruled::Resistance),
        (None, Some(node)) => {
            let heat_flow = build_ups::heat_flow(reader, table)?;
            if cut == Some(Cut::Horizontal) && heat_flow != HeatFlow::Horizontal {
                let hint = "a horizontal section has no level surfaces: leave the rule out, or say `cut: vertical`";
                return reader.fault(node.place, "in a horizontal section all heat flows horizontally", Some(hint.to_owned()));
            }
            Some(Ruled::HeatFlow(heat_flow))
        }
        (None, None) => {
            let hint = "`resistance` in m²K/W, or `heat_flow: up`, `down` or `horizontal` for level surfaces";
            reader.fault(place, "a surface rule needs the key `resistance` or `heat_flow`", Some(hint.to_owned()))
        }
        (Some(_), Some(node)) => {
            let hint = "the direction only decides which of the standard's resistances is taken";
            reader.fault(node.place, "give either `resistance` or `heat_flow`, not both", Some(hint.to_owned()))
        }
    }
}

/// One block, or a list with one for each pair of environments: the first, the others, and whether it is a list.
fn psi_blocks(reader: &mut Reader, names: &mut Names, node: &Node) -> (Option<Psi>, Vec<Psi>, bool) {
    let Value::List(items) = &node.value else { return (psi(reader, names, node), Vec::new(), false) };
    if items.is_empty() {
        let hint = "`psi: [{ between: [room, outside], flanking: […] }, …]`".to_owned();
        reader.fault::<()>(node.place, "`psi` needs at least one block", Some(hint));
    }
    let mut blocks: Vec<Psi> = Vec::new();
    for item in items {
        let Some(block) = psi(reader, names, item) else { continue };
        let hint = || Some("each block of a list says which pair it is for: `between: [room, outside]`".to_owned());
        let same = |known: &Psi| {
            let sorted = |sides: &Option<[Vec<usize>; 2]>| {
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

fn psi(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Psi> {
    let table = reader.table(node, "`psi`", &PSI_KEYS)?;
    let between = match table.get("between") {
        None => None,
        Some(node) => {
            let sides = reader.pair(node, "between")?;
            Some([environment_list(reader, names, &sides[0])?, environment_list(reader, names, &sides[1])?])
        }
    };
    let list = table.require(reader, "flanking").and_then(|node| reader.list(node, "flanking"))?;
    let flanking = list.iter().filter_map(|item| flanking(reader, names, item)).collect();
    let frame = table.get("frame").map(|node| reader.span(node, "frame"));
    let frame = match frame {
        Some(frame) => Some(frame?),
        None => None,
    };
    let symmetry = table.get("symmetry").and_then(|node| reader.list(node, "symmetry")).unwrap_or_default();
    let symmetry = symmetry.iter().filter_map(|item| plane(reader, item, "symmetry")).collect();
    Some(Psi { between, flanking, frame, symmetry, place: node.place })
}

fn environment_list(reader: &mut Reader, names: &Names, node: &Node) -> Option<Vec<usize>> {
    match &node.value {
        Value::List(items) => items.iter().map(|item| names.environment(reader, item)).collect(),
        _ => Some(vec![names.environment(reader, node)?]),
    }
}

fn flanking(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Flanking> {
    let table = reader.table(node, "a flanking element", &FLANKING_KEYS)?;
    let element = table.require(reader, "element").and_then(|node| reader.text(node, "element"));
    let axes = [("x", Axis::X), ("y", Axis::Y)];
    let along = table.get("along").and_then(|node| reader.choice(node, "along", &axes));
    let mut build_up = None;
    let kinds: Vec<&str> =
        ["section", "build_up", "u_value", "floor"].into_iter().filter(|kind| table.get(kind).is_some()).collect();
    let u_value = match kinds.as_slice() {
        ["section"] => table.get("section").and_then(|node| section(reader, node)),
        ["u_value"] => {
            let value = table.get("u_value").and_then(|node| reader.number(node, "u_value in W/(m²K)", ranges::FLANKING_U_VALUE));
            value.map(UValueSource::Given)
        }
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
        table.get(key).and_then(|node| reader.span(node, key))
    });
    if spans.iter().all(Option::is_none) && Convention::ALL.iter().all(|convention| table.get(convention.key()).is_none()) {
        let hint = "state at least one of `internal`, `external`, `overall_internal` as [from, to] in mm";
        return reader.fault(node.place, "a flanking element needs its length", Some(hint.to_owned()));
    }
    let u_value = u_value?;
    let runs_along = match u_value {
        UValueSource::Section { axis, .. } => Some(along.unwrap_or(axis)),
        UValueSource::Given(_) => along,
        UValueSource::Floor { .. } => Some(Axis::X),
    };
    Some(Flanking { element: element?.trim().to_owned(), u_value, build_up, runs_along, spans, place: node.place })
}

/// `{ method: iso13370 }` or `{ method: model }`.
fn floor(reader: &mut Reader, node: &Node) -> Option<UValueSource> {
    let table = reader.table(node, "`floor`", &["method", "wall_thickness"])?;
    let methods = [FloorMethod::Formula, FloorMethod::Model].map(|method| (method.word(), method));
    let method = table.require(reader, "method").and_then(|node| reader.choice(node, "method", &methods));
    let thickness = table.get("wall_thickness").map(|node| reader.number(node, "wall_thickness in mm", ranges::WALL_THICKNESS));
    let wall_thickness = match thickness {
        Some(thickness) => Some(thickness? * 1e-3),
        None => None,
    };
    Some(UValueSource::Floor { method: method?, wall_thickness })
}

/// `{ y: at }` with an optional `x: [from, to]`, or the same with the axes exchanged.
fn plane(reader: &mut Reader, node: &Node, key: &str) -> Option<Plane> {
    let table = reader.table(node, &format!("`{key}`"), &["x", "y"])?;
    let is_list = |key: &str| table.get(key).map(|node| matches!(node.value, Value::List(_)));
    let (axis, at, range) = match (is_list("x"), is_list("y")) {
        (Some(false), None | Some(true)) => (Axis::X, table.get("x")?, table.get("y")),
        (None | Some(true), Some(false)) => (Axis::Y, table.get("y")?, table.get("x")),
        _ => {
            let hint = format!("for example `{key}: {{ y: -1200 }}`, or with limits `{key}: {{ y: -1200, x: [0, 400] }}`");
            return reader.fault(node.place, format!("`{key}` needs the position of one plane"), Some(hint));
        }
    };
    let at = reader.coordinate(at, axis.letter())?;
    let range = match range {
        Some(node) => Some(reader.span(node, axis.across().letter())?),
        None => None,
    };
    Some(Plane { axis, at, range, place: node.place })
}

fn section(reader: &mut Reader, node: &Node) -> Option<UValueSource> {
    let Plane { axis, at, range, .. } = plane(reader, node, "section")?;
    Some(UValueSource::Section { axis, at, range })
}

fn condensation(reader: &mut Reader, names: &mut Names, node: &Node) -> Option<Condensation> {
    let table = reader.table(node, "`condensation`", &CONDENSATION_KEYS)?;
    let allowed = ranges::CONDENSATION_RESISTANCE;
    let resistance = table.get("resistance").map(|node| reader.number(node, "resistance in m²K/W", allowed));
    let list = table.get("exclude").and_then(|node| reader.list(node, "exclude")).unwrap_or_default();
    let exclude = list.iter().filter_map(|item| names.materials_called(reader, item)).flatten().collect();
    let critical = table.get("critical").and_then(|node| reader.number(node, "critical", ranges::SHARE));
    Some(Condensation { resistance: resistance.unwrap_or(Some(CONDENSATION_ON_OPAQUE))?, exclude, critical })
}

fn points(reader: &mut Reader, node: &Node) -> Vec<NamedPoint> {
    let Some(table) = reader.open_table(node, "points") else { return Vec::new() };
    let mut points = Vec::new();
    for entry in table.entries() {
        if let Some((x, y)) = shapes::point(reader, &entry.node) {
            points.push(NamedPoint { name: entry.key.clone(), x, y, place: entry.node.place });
        }
    }
    points
}

fn claims(reader: &mut Reader, sources: &Sources, node: &Node) -> Vec<Claim> {
    let Some(table) = reader.table(node, "`claims`", &CLAIM_KEYS) else { return Vec::new() };
    let mut claims = Vec::new();
    let mut add = |reader: &mut Reader, key: &str, element: Option<&str>, node: &Node| {
        if let Some(value) = reader.number(node, element.unwrap_or(key), ranges::CLAIM) {
            let rounding = rounding(sources, node, value);
            claims.push(Claim { key: key.to_owned(), element: element.map(str::to_owned), value, rounding });
        }
    };
    for entry in table.entries() {
        if entry.key == "u_values" {
            let Some(elements) = reader.open_table(&entry.node, "`u_values`") else { continue };
            for element in elements.entries() {
                add(reader, "u_values", Some(&element.key), &element.node);
            }
        } else {
            add(reader, &entry.key, None, &entry.node);
        }
    }
    claims
}

/// Half a unit of the last digit of a number as it is written; of an expression, of its value as one would write it.
fn rounding(sources: &Sources, node: &Node, value: f64) -> f64 {
    let text = sources.get(node.place.file).text.get(node.place.start..node.place.end).unwrap_or_default();
    let text = text.trim_matches(|character: char| character.is_whitespace() || matches!(character, '"' | '\''));
    let written =
        if text.parse::<f64>().is_ok() { text.to_owned() } else { format!("{value:.12}").trim_end_matches('0').to_owned() };
    let (digits, exponent) = written.split_once(['e', 'E']).unwrap_or((&written, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len().min(12)) as i32;
    0.5 * 10_f64.powi((exponent.parse::<i32>().unwrap_or(0).clamp(-12, 12) - decimals).max(-12))
}
