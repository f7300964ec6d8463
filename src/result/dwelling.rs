//! Transmission of a dwelling: H = Σ b·A·U + Σ b·l·ψ (ISO 13789:2017), and what its junctions add.

use crate::bounds::{Bracket, NoBracket};
use crate::case::{Dwelling, Element};
use crate::model::{Model, Role};

/// A junction with its ψ.
#[derive(Clone, Debug, PartialEq)]
pub struct JunctionLoss {
    /// Its name.
    pub name: String,
    /// m.
    pub length: f64,
    /// W/(m·K).
    pub psi: Bracket,
    /// b.
    pub reduction: f64,
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
            let reduction = junction.reduction.value();
            let loss = psi.times(junction.length * reduction)?;
            Ok(JunctionLoss {
                name: junction.name.clone(),
                length: junction.length,
                psi,
                reduction,
                loss,
                origin,
            })
        })
        .collect::<Result<Vec<JunctionLoss>, NoBracket>>()?;
    let bridges = junctions.iter().try_fold(Bracket::exact(0.0)?, |sum, junction| sum.plus(junction.loss))?;
    let loss = |element: &Element| element.reduction.value() * element.area * element.u_value;
    let elements = dwelling.elements.iter().map(loss).sum::<f64>() + 0.0;
    let transmission = bridges.plus(Bracket::exact(elements)?)?;
    Ok(Sum {
        junctions,
        elements,
        bridges,
        transmission,
        area: dwelling.elements.iter().map(|element| element.area).sum(),
    })
}

/// b = (θi − θu)/(θi − θe) of a space that is not heated, from the temperatures of a case; `space` may be
/// left out where there is one.
///
/// # Errors
/// Why it cannot be told, in words.
pub fn reduction(model: &Model, space: Option<&str>) -> Result<f64, String> {
    let of_role = |role: Role| model.environments.iter().filter(move |environment| environment.role == role);
    let one = |role: Role| {
        let mut temperatures: Vec<f64> = of_role(role).map(|environment| environment.temperature).collect();
        temperatures.sort_by(f64::total_cmp);
        temperatures.dedup();
        match temperatures.as_slice() {
            [temperature] => Ok(*temperature),
            [] => Err(format!("the case has no {} environment", role.word())),
            several => {
                Err(format!("the case has {} temperatures of {} environments", several.len(), role.word()))
            }
        }
    };
    let unheated = match space {
        Some(name) => of_role(Role::Unheated)
            .find(|environment| environment.name == name)
            .map(|environment| environment.temperature)
            .ok_or_else(|| format!("the case has no unheated environment named `{name}`"))?,
        None => one(Role::Unheated)?,
    };
    let (inside, outside) = (one(Role::Internal)?, one(Role::External)?);
    let b = (inside - unheated) / (inside - outside);
    if (0.0..=1.0).contains(&b) {
        Ok(b)
    } else {
        Err(format!("{unheated} °C do not lie between {inside} °C inside and {outside} °C outside"))
    }
}
