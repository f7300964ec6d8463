//! Colours. All scales are perceptually uniform ones of a general-purpose colour library, with lightness
//! rising or falling throughout, so that they read the same in greyscale and for colour-blind people.

/// An opaque colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

/// Text and main lines.
pub const INK: Rgb = Rgb(25, 25, 30);
/// Secondary lines and text.
pub const GREY: Rgb = Rgb(105, 105, 112);
/// Hair lines.
pub const PALE: Rgb = Rgb(200, 200, 205);
/// Paper.
pub const PAPER: Rgb = Rgb(255, 255, 255);
/// Ground of internal environments.
pub const INTERNAL: Rgb = Rgb(253, 246, 238);
/// Ground of external environments.
pub const EXTERNAL: Rgb = Rgb(232, 240, 248);
/// Ground of unheated spaces.
pub const UNHEATED: Rgb = Rgb(240, 240, 235);

/// Conductivities at the light and the dark end of the material scale, W/(m·K).
const MATERIAL_RANGE: (f64, f64) = (0.02, 200.0);

fn pick(gradient: colorous::Gradient, part: f64) -> Rgb {
    let color = gradient.eval_continuous(part.clamp(0.0, 1.0));
    Rgb(color.r, color.g, color.b)
}

/// Temperatures: dark is cold, light is warm.
pub fn temperature(part: f64) -> Rgb {
    pick(colorous::CIVIDIS, part)
}

/// Temperature factors: dark is near the outside temperature, light near the inside's.
pub fn factor(part: f64) -> Rgb {
    pick(colorous::VIRIDIS, part)
}

/// Materials: the better it conducts, the darker.
pub fn material(conductivity: f64) -> Rgb {
    let (low, high) = MATERIAL_RANGE;
    let part = libm::log(conductivity / low) / libm::log(high / low);
    pick(colorous::MAGMA, 0.97 - 0.77 * part.clamp(0.0, 1.0))
}

/// Parts of the uncertainty: the larger, the darker.
pub fn uncertainty(part: f64) -> Rgb {
    pick(colorous::MAGMA, 1.0 - 0.85 * part.clamp(0.0, 1.0))
}

/// Black or white, whichever stands out from the ground.
pub fn contrast(Rgb(red, green, blue): Rgb) -> Rgb {
    let luminance = 0.299 * f32::from(red) + 0.587 * f32::from(green) + 0.114 * f32::from(blue);
    if luminance > 140.0 { INK } else { PAPER }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_monotonic_in_greyscale() {
        let luminance =
            |Rgb(r, g, b): Rgb| 0.299 * f64::from(r) + 0.587 * f64::from(g) + 0.114 * f64::from(b);
        for step in 0..20 {
            let (low, high) = (f64::from(step) / 20.0, f64::from(step + 1) / 20.0);
            assert!(luminance(temperature(low)) < luminance(temperature(high)));
            assert!(luminance(factor(low)) < luminance(factor(high)));
            assert!(luminance(uncertainty(low)) > luminance(uncertainty(high)));
            let conductivity = |part: f64| 0.02 * libm::pow(10_000.0, part);
            assert!(luminance(material(conductivity(low))) > luminance(material(conductivity(high))));
        }
    }
}
