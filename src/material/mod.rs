//! Materials: a thermal conductivity with its source.

pub mod air;
pub mod cavity;
pub mod conversion;
pub mod generic;
pub mod kind;

/// A homogeneous material as painted in a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// The name used in case files.
    pub name: String,
    /// The name shown to readers.
    pub label: String,
    /// Thermal conductivity along x, W/(m·K).
    pub conductivity_x: f64,
    /// Thermal conductivity along y, W/(m·K); equal to that along x unless the material is orthotropic.
    pub conductivity_y: f64,
    /// Where the material's own x points in the drawing, a unit vector; its y is at right angles to that.
    pub axis: [f64; 2],
    /// kg/m³, where known.
    pub density: Option<f64>,
    /// Specific heat capacity, J/(kg·K), where known.
    pub heat_capacity: Option<f64>,
    /// Water vapour resistance factor μ, dry and wet, where known; infinite for what lets no vapour pass.
    pub vapour_resistance: Option<[f64; 2]>,
    /// Where the conductivity comes from.
    pub source: String,
    /// Who says so.
    pub origin: Origin,
    /// What is uncertain about the conductivity, a sentence.
    pub doubt: Option<String>,
}

/// Where a material comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The case itself.
    Own,
    /// The built-in table.
    Generic,
    /// Made by the program, to stand for a layer of a build-up or an air cavity.
    Equivalent,
}

/// The axis of a material that nobody turned.
pub const ALONG_X: [f64; 2] = [1.0, 0.0];

impl Material {
    /// A material of one conductivity, W/(m·K), about which nothing else is known.
    pub fn homogeneous(name: &str, conductivity: f64) -> Self {
        Self {
            name: name.to_owned(),
            label: name.replace('_', " "),
            conductivity_x: conductivity,
            conductivity_y: conductivity,
            axis: ALONG_X,
            density: None,
            heat_capacity: None,
            vapour_resistance: None,
            source: String::new(),
            origin: Origin::Own,
            doubt: None,
        }
    }

    /// A material that the program made, under a name that is not taken.
    #[must_use]
    pub fn renamed_where(mut self, is_taken: impl Fn(&str) -> bool) -> Self {
        while is_taken(&self.name) {
            self.name.push_str(" (made by coldseam)");
        }
        self
    }

    /// True if the conductivity depends on direction.
    pub fn is_orthotropic(&self) -> bool {
        self.conductivity_x != self.conductivity_y
    }

    /// True if it conducts best in a direction that is neither level nor upright, or worst.
    pub fn is_oblique(&self) -> bool {
        self.is_orthotropic() && self.axis.iter().all(|part| *part != 0.0)
    }

    /// λ for a temperature that changes along a direction (a unit vector) only, W/(m·K).
    pub fn conductivity_along(&self, [x, y]: [f64; 2]) -> f64 {
        let [right, up] = self.axis;
        let (own, across) = (x * right + y * up, y * right - x * up);
        self.conductivity_x * own * own + self.conductivity_y * across * across
    }

    /// The same material with its x in a direction (a unit vector).
    #[must_use]
    pub fn turned_to(&self, direction: [f64; 2]) -> Self {
        // It conducts alike to either side.
        let [x, y] = if direction[1] < 0.0 { direction.map(|part| -part) } else { direction };
        if y == 0.0 {
            return self.clone();
        }
        if x == 0.0 {
            return self.turned();
        }
        let by = four_digits(libm::atan2(y, x).to_degrees());
        Self {
            name: format!("{} (turned {by}°)", self.name),
            label: format!("{} (turned {by}°)", self.label),
            axis: [x, y],
            ..self.clone()
        }
    }

    /// The same material lying the other way: what led along x leads along y.
    #[must_use]
    pub fn turned(&self) -> Self {
        Self {
            name: format!("{} (turned)", self.name),
            label: format!("{} (turned)", self.label),
            conductivity_x: self.conductivity_y,
            conductivity_y: self.conductivity_x,
            ..self.clone()
        }
    }

    /// λ for readers, W/(m·K): one number, or one for each direction.
    pub fn conductivity_text(&self) -> String {
        conductivity_text([self.conductivity_x, self.conductivity_y], self.is_oblique())
    }
}

/// λ by its own x and y for readers, W/(m·K): one number, or one for each direction. What follows the axes of the
/// drawing goes by their names; the x of an oblique one is that of a layer at an angle, and leads through it.
pub fn conductivity_text([x, y]: [f64; 2], is_oblique: bool) -> String {
    let [first, second] = if is_oblique { ["through", "along"] } else { ["x", "y"] };
    if x == y {
        four_digits(x)
    } else {
        format!("{} ({first}), {} ({second})", four_digits(x), four_digits(y))
    }
}

/// A positive value rounded to four significant digits, without trailing zeros.
pub fn four_digits(value: f64) -> String {
    if !(1e-6..1e9).contains(&value) {
        return value.to_string();
    }
    let decimals = (3 - libm::log10(value).floor() as i32).max(0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Λ = λx·aaᵀ + λy·bbᵀ with the axis a and b at right angles to it, by hand for 30°.
    #[test]
    fn a_turned_material_conducts_as_its_tensor_says() {
        let grained = Material { conductivity_y: 1.5, ..Material::homogeneous("grained", 0.2) };
        let [cos, sin] = [0.75_f64.sqrt(), 0.5];
        let turned = grained.turned_to([-cos, -sin]);
        assert_eq!((turned.name.as_str(), turned.is_oblique()), ("grained (turned 30°)", true));
        for (direction, expected) in [
            ([1.0, 0.0], 0.75 * 0.2 + 0.25 * 1.5),
            ([0.0, 1.0], 0.25 * 0.2 + 0.75 * 1.5),
            ([cos, sin], 0.2),
            ([-sin, cos], 1.5),
            ([cos, -sin], 0.25 * 0.2 + 0.75 * 1.5),
        ] {
            assert!((turned.conductivity_along(direction) - expected).abs() < 1e-15, "{direction:?}");
        }
        assert_eq!(grained.turned_to([-1.0, 0.0]), grained);
        assert_eq!(grained.turned_to([0.0, -1.0]), grained.turned());
        assert_eq!(grained.conductivity_along([0.0, 1.0]).to_bits(), 1.5_f64.to_bits());
    }

    /// x and y of the drawing are nobody's in a layer at an angle.
    #[test]
    fn directions_are_told_by_the_layer_where_it_follows_no_axis() {
        let grained = Material { conductivity_y: 1.5, ..Material::homogeneous("grained", 0.2) };
        assert_eq!(grained.conductivity_text(), "0.2 (x), 1.5 (y)");
        assert_eq!(grained.turned_to([0.0, 1.0]).conductivity_text(), "1.5 (x), 0.2 (y)");
        assert_eq!(grained.turned_to([0.6, 0.8]).conductivity_text(), "0.2 (through), 1.5 (along)");
        assert_eq!(Material::homogeneous("even", 0.2).turned_to([0.6, 0.8]).conductivity_text(), "0.2");
    }

    #[test]
    fn conductivities_are_written_as_the_trade_writes_them() {
        for (value, text) in
            [(0.031 + 3e-18, "0.031"), (0.9 / 12.1, "0.07438"), (160.0, "160"), (1.0, "1"), (2.3, "2.3")]
        {
            assert_eq!(four_digits(value), text);
        }
    }
}
