//! The named things of a case: materials, environments and elements, and what stands for them in the plan.

use crate::model::{CavityFill, EnvironmentId, MaterialId, Paint, PaintedBuildUp, Shape};
use std::collections::{HashMap, HashSet};

use super::build_ups;
use super::diagnostic::{Diagnostic, Place};
use super::floors::{self, NamedFloor};
use super::inheritance::Inheritance;
use super::materials::own_material;
use super::node::{Node, Value};
use super::reader::Reader;
use super::suggestion::did_you_mean;
use super::windows::{self, NamedWindow};
use crate::element::build_up::BuildUp;
use crate::material::cavity::{self, Cavity};
use crate::material::{Material, four_digits, generic};

/// The named things of a case and their indices. What the program makes itself (cavities, layers of
/// build-ups) is found by what it stands for, never by a name, which the case may have given to a material of
/// its own.
#[derive(Default)]
pub struct Names {
    pub materials: Vec<Material>,
    /// Of the case's own materials, and of generic ones in use.
    material_index: HashMap<String, MaterialId>,
    /// Of the materials that stand for a layer of a build-up: its name and the layer's number.
    layer_index: HashMap<(String, usize), MaterialId>,
    /// Orthotropic materials of build-ups that are painted along another direction than x, by their name and the
    /// direction, bit for bit.
    turned_index: HashMap<(String, [u64; 2]), MaterialId>,
    /// Materials made to stand for one that has a name: turned, or with what bridges it.
    variants: HashMap<String, Vec<MaterialId>>,
    /// Materials that some stroke of the plan paints.
    materials_painted: HashSet<MaterialId>,
    /// Build-ups painted or named by a flanking element, each once.
    pub drawn: Vec<BuildUp>,
    /// What takes the place of definitions of the same name.
    inherited: Inheritance,
    environment_index: HashMap<String, EnvironmentId>,
    /// Air cavities painted so far.
    pub cavities: Vec<CavityFill>,
    /// Build-ups painted so far.
    pub painted: Vec<PaintedBuildUp>,
    /// True if layers are painted beside lines.
    pub has_rows_along_lines: bool,
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
    /// No names yet, but what will take the place of definitions of the same name.
    pub fn inheriting(inherited: Inheritance) -> Self {
        Self { inherited, ..Self::default() }
    }

    /// True for the name of a material that is defined or in use.
    pub fn is_material(&self, name: &str) -> bool {
        self.material_index.contains_key(name)
    }

    /// Takes over the name of the environment of this index.
    pub fn add_environment(&mut self, name: &str, index: usize) {
        self.environment_index.insert(name.to_owned(), EnvironmentId::new(index));
    }

    /// Notes what the plan paints.
    pub fn set_painted(&mut self, plan: &[Shape]) {
        let solid = |shape: &Shape| if let Paint::Solid(index) = shape.paint { Some(index) } else { None };
        self.materials_painted = plan.iter().filter_map(solid).collect();
    }

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
                if self
                    .build_ups
                    .iter()
                    .any(|known| known.name == build_up.name && known.place.file != build_up.place.file)
                {
                    let message = format!("the build-up `{}` is defined twice", build_up.name);
                    reader.fault::<()>(
                        build_up.place,
                        message,
                        Some("an included file may already define it".to_owned()),
                    );
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
    pub fn material(&mut self, reader: &mut Reader, node: &Node) -> Option<MaterialId> {
        let material = self.definition(reader, node)?;
        Some(self.index_of(material))
    }

    /// All materials that a name stands for in the plan: the one of that name, and those that build-ups paint
    /// in its place, turned or bridged.
    pub fn materials_called(&mut self, reader: &mut Reader, node: &Node) -> Option<Vec<MaterialId>> {
        let own = self.material(reader, node)?;
        let variants = self.variants.get(&self.materials[own].name);
        let all: Vec<MaterialId> =
            std::iter::once(own).chain(variants.into_iter().flatten().copied()).collect();
        if !all.iter().any(|index| self.materials_painted.contains(index)) {
            let message =
                format!("the plan paints no `{}`: naming it here does nothing", self.materials[own].name);
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

    /// The index of the material of a build-up's layer: one with a name, or one made for that layer. A
    /// build-up's own x leads through its layers, so that layers painted in another direction (a unit vector) take
    /// an orthotropic material turned.
    pub fn layer_material(
        &mut self,
        build_up: &str,
        layer: build_ups::PaintedMaterial,
        through: [f64; 2],
    ) -> MaterialId {
        match layer {
            build_ups::PaintedMaterial::Named(material) if through[1] != 0.0 && material.is_orthotropic() => {
                // Either way through it is the same.
                let way = if through[1] < 0.0 { through.map(|part| 0.0 - part) } else { through };
                let key = (material.name.clone(), way.map(f64::to_bits));
                if let Some(index) = self.turned_index.get(&key) {
                    return *index;
                }
                let index = self.add_made(material.turned_to(way));
                self.variants.entry(material.name).or_default().push(index);
                self.turned_index.insert(key, index);
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
        let described = generic::described_by(name);
        if !described.is_empty() {
            let rows: Vec<String> =
                described.iter().map(|row| format!("`{}` ({})", row.name, row.label)).collect();
            let hint = format!("the generic materials have {}", rows.join(", "));
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
    fn index_of(&mut self, material: Material) -> MaterialId {
        match self.material_index.get(&material.name) {
            Some(index) => *index,
            None => self.add_material(material),
        }
    }

    /// A new air cavity and the index of its material.
    pub fn add_cavity(&mut self, cavity: Cavity, place: Place) -> MaterialId {
        let number = (self.cavities.len() + 1).to_string();
        let material = self.add_made(cavity::material(&number, &cavity));
        self.cavities.push(CavityFill { material, cavity, place: Some(place), part: None });
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
    pub fn environment(&self, reader: &mut Reader, node: &Node) -> Option<EnvironmentId> {
        reader.lookup(node, "environment", &self.environment_index)
    }

    fn add_material(&mut self, material: Material) -> MaterialId {
        self.material_index.insert(material.name.clone(), MaterialId::new(self.materials.len()));
        self.materials.push(material);
        MaterialId::new(self.materials.len() - 1)
    }

    /// Adds a material that the program made. Nothing finds it by its name, which readers of the results must
    /// be able to tell from the case's own nonetheless.
    fn add_made(&mut self, material: Material) -> MaterialId {
        let is_taken = |name: &str| {
            self.environment_index.contains_key(name)
                || self.materials.iter().any(|material| material.name == name)
        };
        self.materials.push(material.renamed_where(is_taken));
        MaterialId::new(self.materials.len() - 1)
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
            let Some(inherited) = build_ups.iter().find(|inherited| inherited.name == own.name) else {
                continue;
            };
            let place = own.place;
            *own = BuildUp { place, ..inherited.clone() };
            for layer in &mut own.layers {
                layer.place = place;
            }
        }
    }

    fn define_materials(&mut self, reader: &mut Reader, tree: &Node) {
        let Some(table) = block(tree, "materials").and_then(|node| reader.open_table(node, "materials"))
        else {
            return;
        };
        for (index, entry) in table.entries().iter().enumerate() {
            // Twice in one file is a key given twice, which the table has told already.
            if table.entries()[..index].iter().any(|earlier| earlier.key == entry.key) {
                continue;
            }
            if self.material_index.contains_key(&entry.key) {
                let hint = "an included file may already define it".to_owned();
                reader.fault::<()>(
                    entry.key_place,
                    format!("the material `{}` is defined twice", entry.key),
                    Some(hint),
                );
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
