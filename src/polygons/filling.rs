//! What a place of the drawing is filled with.

/// The filling of a face of the drawing. The numbers are the caller's: nothing here knows what they stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Filling {
    /// Nothing was drawn: heat neither enters nor passes.
    Nothing,
    /// A material.
    Solid(u32),
    /// Air of an environment.
    Space(u32),
}

impl Filling {
    /// True for a material.
    pub fn is_solid(self) -> bool {
        matches!(self, Self::Solid(_))
    }
}
