//! The coupling of two environments, or groups of them, from energies of two fields.
//!
//! E is a quadratic form of θₑ. With gᵢ the data "1 at i, 0 elsewhere", L2Dᵢⱼ = −½·∂²E/∂gᵢ∂gⱼ, hence
//!
//! ```text
//! L2Dᵢⱼ = ¼·[E(t·gᵢ − gⱼ/t) − E(t·gᵢ + gⱼ/t)]    for every t > 0
//! ```
//!
//! and brackets of the two energies give one of L2Dᵢⱼ. With w the widths of the brackets for gᵢ and gⱼ, t⁴ =
//! wⱼ/wᵢ makes it narrowest: its width is √(wᵢ·wⱼ), the inequality of Cauchy and Schwarz.

use super::bracket::{Bracket, NoBracket};

/// The bracket of L2D between two groups, W/(m·K), from the whole mismatches of the two unit fields and the
/// bracket of the energy of (a, b): a times the first field plus b times the second.
///
/// # Errors
/// [`NoBracket`] if the energies are not finite or contradict each other.
pub fn polarised(
    mismatches: [f64; 2],
    energy: impl Fn(f64, f64) -> Result<Bracket, NoBracket>,
) -> Result<Bracket, NoBracket> {
    let [first, second] = mismatches;
    let ratio = (second / first).sqrt().sqrt();
    let t = if ratio.is_finite() && ratio > 0.0 { ratio.clamp(1e-3, 1e3) } else { 1.0 };
    let (sum, difference) = (energy(t, 1.0 / t)?, energy(t, -1.0 / t)?);
    let size = 0.25 * (sum.upper() + difference.upper());
    Bracket::of(0.25 * (difference.lower() - sum.upper()), 0.25 * (difference.upper() - sum.lower()), size)
}
