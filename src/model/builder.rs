//! A model from a program, without a file.

use super::environment::tell_apart;
use super::{
    Area, Condensation, Convention, Cut, Environment, EnvironmentId, Flanking, MaterialId, Model, NamedPoint,
    Paint, Psi, Role, Ruled, Shape, SurfaceRule, UValueSource,
};
use crate::finding::{Diagnostic, Unusable};
use crate::geometry::{Axis, Rectangle, SAME_EDGE, Span};
use crate::material::Material;
use crate::ranges::{self, Quantity};

/// A [`Model`] in the making: lengths in m, temperatures in °C, conductivities in W/(m·K).
///
/// What is wrong is told by [`Builder::build`], all of it at once; whether heat can flow through what was
/// drawn is looked at when it is computed, as it is for a file.
#[derive(Clone, Debug)]
pub struct Builder {
    model: Model,
}

impl Builder {
    /// Nothing yet, within `extent` (m), whose edges are the cut-off planes.
    pub fn new(cut: Cut, extent: Rectangle) -> Self {
        let model = Model {
            cut,
            materials: Vec::new(),
            environments: Vec::new(),
            extent,
            border: None,
            extent_place: None,
            plan: Vec::new(),
            build_ups: Vec::new(),
            cavities: Vec::new(),
            painted: Vec::new(),
            has_rows_along_lines: false,
            surfaces: Vec::new(),
            psi: None,
            further_psi: Vec::new(),
            condensation: None,
            points: Vec::new(),
        };
        Self { model }
    }

    /// A material of one conductivity, W/(m·K).
    pub fn material(&mut self, name: &str, conductivity: f64) -> MaterialId {
        self.add_material(Material::homogeneous(name, conductivity))
    }

    /// Any material, such as one of the generic table.
    pub fn add_material(&mut self, material: Material) -> MaterialId {
        self.model.materials.push(material);
        MaterialId::new(self.model.materials.len() - 1)
    }

    /// Air of one temperature, °C.
    pub fn environment(&mut self, name: &str, role: Role, temperature: f64) -> EnvironmentId {
        let name = name.to_owned();
        self.model.environments.push(Environment {
            name,
            role,
            temperature,
            humidity: None,
            is_touched: true,
            place: None,
        });
        EnvironmentId::new(self.model.environments.len() - 1)
    }

    /// Paints a material into an area (m), over what was painted before.
    pub fn fill(&mut self, material: MaterialId, area: Rectangle) -> &mut Self {
        self.paint(Paint::Solid(material), area)
    }

    /// Paints air into an area (m), over what was painted before.
    pub fn space(&mut self, environment: EnvironmentId, area: Rectangle) -> &mut Self {
        self.paint(Paint::Space(environment), area)
    }

    fn paint(&mut self, paint: Paint, area: Rectangle) -> &mut Self {
        self.model.plan.push(Shape { paint, area: area.into(), place: None });
        self
    }

    /// The surface resistance towards an environment, m²K/W, in place of the standard's; 0 fixes the
    /// surface's temperature.
    pub fn surface_resistance(&mut self, environment: EnvironmentId, resistance: f64) -> &mut Self {
        let ruled = Ruled::Resistance(resistance);
        self.model.surfaces.push(SurfaceRule {
            environment: Some(environment),
            materials: None,
            within: Area::everywhere(),
            ruled,
            place: None,
        });
        self
    }

    /// The environments between which ψ is wanted; needed where there are more than two temperatures.
    pub fn between(&mut self, sides: [Vec<EnvironmentId>; 2]) -> &mut Self {
        self.psi().between = Some(sides);
        self
    }

    /// A plane element whose loss is taken off, its U-value read from the model along the plane `axis = at`
    /// (m); `length` is where it runs by a convention. Called again with the same name it takes a length by
    /// another convention.
    pub fn flanking(
        &mut self,
        element: &str,
        (axis, at): (Axis, f64),
        convention: Convention,
        length: Span,
    ) -> &mut Self {
        self.add_flanking(element, UValueSource::Section { axis, at, range: None }, axis, convention, length)
    }

    /// The same with a stated U-value, W/(m²K), for an element that runs along an axis.
    pub fn flanking_of(
        &mut self,
        element: &str,
        u_value: f64,
        along: Axis,
        convention: Convention,
        length: Span,
    ) -> &mut Self {
        self.add_flanking(element, UValueSource::Given(u_value), along, convention, length)
    }

    fn add_flanking(
        &mut self,
        element: &str,
        u_value: UValueSource,
        along: Axis,
        convention: Convention,
        length: Span,
    ) -> &mut Self {
        let flanking = &mut self.psi().flanking;
        let index = flanking.iter().position(|known| known.element == element && known.u_value == u_value);
        let index = index.unwrap_or_else(|| {
            let (element, runs_along) = (element.to_owned(), Some(along));
            flanking.push(Flanking {
                element,
                u_value,
                build_up: None,
                runs_along,
                slope: None,
                spans: [None; 3],
                points: [None; 3],
                place: None,
            });
            flanking.len() - 1
        });
        let slot = Convention::ALL.iter().position(|known| *known == convention).unwrap_or_default();
        flanking[index].spans[slot] = Some(length);
        self
    }

    fn psi(&mut self) -> &mut Psi {
        let none = || Psi {
            between: None,
            flanking: Vec::new(),
            frame: None,
            symmetry: Vec::new(),
            sloped_symmetry: Vec::new(),
            place: None,
        };
        self.model.psi.get_or_insert_with(none)
    }

    /// Asks for the condensation pass (ISO 13788) with this internal surface resistance, m²K/W; `exclude` are
    /// frames and glazing.
    pub fn condensation(&mut self, resistance: f64, exclude: &[MaterialId]) -> &mut Self {
        self.model.condensation =
            Some(Condensation { resistance, exclude: exclude.to_vec(), critical: None });
        self
    }

    /// A place whose temperature is wanted, m.
    pub fn point(&mut self, name: &str, x: f64, y: f64) -> &mut Self {
        self.model.points.push(NamedPoint { name: name.to_owned(), x, y, place: None });
        self
    }

    /// The model.
    ///
    /// # Errors
    /// [`Unusable`] with everything that is wrong: numbers out of range, areas without size, names given
    /// twice, ids of another model.
    pub fn build(mut self) -> Result<Model, Unusable> {
        let mut faults = Faults(Vec::new());
        let model = &self.model;
        faults.rectangle("the extent", model.extent);
        for (index, material) in model.materials.iter().enumerate() {
            let what = format!("the conductivity of {}", material.name);
            faults.number(&what, material.conductivity_x, ranges::CONDUCTIVITY);
            if material.is_orthotropic() {
                faults.number(&what, material.conductivity_y, ranges::CONDUCTIVITY);
            }
            if model.materials[..index].iter().any(|earlier| earlier.name == material.name) {
                faults.tell(format!("two materials are called `{}`", material.name));
            }
        }
        let names = model.materials.iter().map(|material| &material.name);
        if names.chain(model.environments.iter().map(|space| &space.name)).any(|name| name.trim().is_empty())
        {
            faults.tell("a material or environment has no name".to_owned());
        }
        for (index, environment) in model.environments.iter().enumerate() {
            faults.number(
                &format!("the temperature of {}", environment.name),
                environment.temperature,
                ranges::TEMPERATURE,
            );
            let is_taken = model.environments[..index].iter().any(|earlier| earlier.name == environment.name)
                || model.materials.iter().any(|material| material.name == environment.name);
            if is_taken {
                faults.tell(format!("the name `{}` is given twice", environment.name));
            }
        }
        for (index, shape) in model.plan.iter().enumerate() {
            match shape.paint {
                Paint::Solid(material) => faults.material(model, material),
                Paint::Space(environment) => faults.environment(model, environment),
            }
            let what = format!("area {} of the plan", index + 1);
            shape.area.rectangles().iter().for_each(|area| faults.rectangle(&what, *area));
        }
        for rule in &model.surfaces {
            rule.environment.iter().for_each(|environment| faults.environment(model, *environment));
            if let Ruled::Resistance(resistance) = rule.ruled {
                faults.number("a surface resistance", resistance, ranges::SURFACE_RESISTANCE);
            }
        }
        if let Some(psi) = &model.psi {
            psi.between
                .iter()
                .flatten()
                .flatten()
                .for_each(|environment| faults.environment(model, *environment));
            for (index, item) in psi.flanking.iter().enumerate() {
                if psi.flanking[..index].iter().any(|earlier| earlier.element == item.element) {
                    faults.tell(format!(
                        "the flanking element {} stands twice, with planes or U-values that differ",
                        item.element
                    ));
                }
                item.spans
                    .iter()
                    .flatten()
                    .for_each(|span| faults.span(&format!("the length of {}", item.element), *span));
                match item.u_value {
                    UValueSource::Given(u_value) => {
                        faults.number(
                            &format!("the U-value of {}", item.element),
                            u_value,
                            ranges::FLANKING_U_VALUE,
                        );
                    }
                    UValueSource::Section { at, .. } => {
                        faults.coordinate(&format!("the section of {}", item.element), at);
                    }
                    UValueSource::Across(_) | UValueSource::Floor { .. } => {}
                }
            }
        }
        if let Some(condensation) = &model.condensation {
            faults.number(
                "the surface resistance for condensation",
                condensation.resistance,
                ranges::CONDENSATION_RESISTANCE,
            );
            condensation.exclude.iter().for_each(|material| faults.material(model, *material));
        }
        for (index, point) in model.points.iter().enumerate() {
            if model.points[..index].iter().any(|earlier| earlier.name == point.name) {
                faults.tell(format!("two points are called `{}`", point.name));
            }
            faults.coordinate(&point.name, point.x);
            faults.coordinate(&point.name, point.y);
        }
        faults.0.extend(tell_apart(&mut self.model.environments));
        if faults.0.is_empty() { Ok(self.model) } else { Err(Unusable(faults.0)) }
    }
}

/// What was found.
struct Faults(Vec<Diagnostic>);

impl Faults {
    fn tell(&mut self, message: String) {
        self.0.push(Diagnostic::error(None, message));
    }

    fn number(&mut self, what: &str, value: f64, quantity: Quantity) {
        if let Some(problem) = quantity.problem(value) {
            self.tell(format!("{what} {problem}, found {value} {}", quantity.unit));
        }
    }

    fn coordinate(&mut self, what: &str, metres: f64) {
        if !ranges::COORDINATE.contains(metres * 1e3) {
            self.tell(format!("{what} lies at {metres:e} m: no junction is larger than a kilometre"));
        }
    }

    fn span(&mut self, what: &str, span: Span) {
        self.coordinate(what, span.from);
        self.coordinate(what, span.to);
        if span.length() <= SAME_EDGE {
            self.tell(format!("{what} runs from {} to {} m", span.from, span.to));
        }
    }

    fn rectangle(&mut self, what: &str, area: Rectangle) {
        self.span(&format!("{what} in x"), area.x);
        self.span(&format!("{what} in y"), area.y);
    }

    fn material(&mut self, model: &Model, id: MaterialId) {
        if id.index() >= model.materials.len() {
            self.tell(format!("there is no material {}: it is of another model", id.index()));
        }
    }

    fn environment(&mut self, model: &Model, id: EnvironmentId) {
        if id.index() >= model.environments.len() {
            self.tell(format!("there is no environment {}: it is of another model", id.index()));
        }
    }
}
