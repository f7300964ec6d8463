//! Transmission of a dwelling: H = Σ b·A·U + Σ b·l·ψ (ISO 13789:2017), and what its junctions add.

use crate::bounds::{Bracket, NoBracket};
use crate::case::Dwelling;

/// A junction with its ψ.
#[derive(Clone, Debug, PartialEq)]
pub struct JunctionLoss {
    /// Its name.
    pub name: String,
    /// m.
    pub length: f64,
    /// W/(m·K).
    pub psi: Bracket,
    /// b·l·ψ, W/K.
    pub loss: Bracket,
    /// Where ψ comes from.
    pub origin: String,
}

/// The sums.
#[derive(Clone, Debug, PartialEq)]
pub struct Sum {
    /// Every junction.
    pub junctions: Vec<JunctionLoss>,
    /// Σ b·A·U, W/K.
    pub elements: f64,
    /// Σ b·l·ψ, W/K.
    pub bridges: Bracket,
    /// Everything, W/K.
    transmission: Bracket,
    /// Σ A, m².
    pub area: f64,
}

impl Sum {
    /// What the junctions add per area of envelope, W/(m²K).
    pub fn per_area(&self) -> Option<Bracket> {
        (self.area > 0.0).then(|| self.bridges.over(self.area).ok()).flatten()
    }

    /// Everything, W/K.
    pub fn total(&self) -> Bracket {
        self.transmission
    }
}

/// Adds up a dwelling whose junctions have these ψ, in their order, with where each comes from.
///
/// # Errors
/// [`NoBracket`] if a sum is too large to be a number.
pub fn sum(dwelling: &Dwelling, psi: Vec<(Bracket, String)>) -> Result<Sum, NoBracket> {
    let junctions = dwelling
        .junctions
        .iter()
        .zip(psi)
        .map(|(junction, (psi, origin))| {
            let loss = psi.times(junction.length * junction.reduction)?;
            Ok(JunctionLoss { name: junction.name.clone(), length: junction.length, psi, loss, origin })
        })
        .collect::<Result<Vec<JunctionLoss>, NoBracket>>()?;
    let bridges = junctions.iter().try_fold(Bracket::exact(0.0)?, |sum, junction| sum.plus(junction.loss))?;
    let elements = dwelling.elements.iter().map(|element| element.reduction * element.area * element.u_value).sum::<f64>() + 0.0;
    let transmission = bridges.plus(Bracket::exact(elements)?)?;
    Ok(Sum { junctions, elements, bridges, transmission, area: dwelling.elements.iter().map(|element| element.area).sum() })
}
