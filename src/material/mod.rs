//! Materials: a thermal conductivity with its source.

pub mod generic;

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
    /// kg/m³, where known.
    pub density: Option<f64>,
    /// Where the conductivity comes from.
    pub source: String,
    /// True for a row of the built-in table, false for a material of the case's own.
    pub is_generic: bool,
}

impl Material {
    /// True if the conductivity depends on direction.
    pub fn is_orthotropic(&self) -> bool {
        self.conductivity_x != self.conductivity_y
    }

    /// λ for readers, W/(m·K): one number, or one for each axis.
    pub fn conductivity_text(&self) -> String {
        if self.is_orthotropic() {
            format!("{} (x), {} (y)", self.conductivity_x, self.conductivity_y)
        } else {
            format!("{}", self.conductivity_x)
        }
    }
}
