//! Transmission of a dwelling: H = Σ b·A·U + Σ b·l·ψ (ISO 13789:2017), and what its junctions add.

use crate::bounds::Bracket;
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
    /// Σ A, m².
    pub area: f64,
}

impl Sum {
    /// What the junctions add per area of envelope, W/(m²K).
    pub fn per_area(&self) -> Option<Bracket> {
        (self.area > 0.0).then(|| self.bridges.over(self.area))
    }

    /// Everything, W/K.
    pub fn total(&self) -> Bracket {
        self.bridges.minus((-self.elements).into())
    }
}

/// Adds up a dwelling whose junctions have these ψ, in their order, with where each comes from.
pub fn sum(dwelling: &Dwelling, psi: Vec<(Bracket, String)>) -> Sum {
    let scaled = |bracket: Bracket, factor: f64| Bracket { lower: bracket.lower * factor, upper: bracket.upper * factor };
    let junctions: Vec<JunctionLoss> = dwelling
        .junctions
        .iter()
        .zip(psi)
        .map(|(junction, (psi, origin))| JunctionLoss {
            name: junction.name.clone(),
            length: junction.length,
            psi,
            loss: scaled(psi, junction.length * junction.reduction),
            origin,
        })
        .collect();
    let bridges = Bracket {
        lower: junctions.iter().map(|junction| junction.loss.lower).sum::<f64>() + 0.0,
        upper: junctions.iter().map(|junction| junction.loss.upper).sum::<f64>() + 0.0,
    };
    let elements = dwelling.elements.iter().map(|element| element.reduction * element.area * element.u_value).sum::<f64>() + 0.0;
    Sum { junctions, elements, bridges, area: dwelling.elements.iter().map(|element| element.area).sum() }
}
