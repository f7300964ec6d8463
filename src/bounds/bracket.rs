//! A value between two ends that hold for certain. Nothing else can be made: the ends are finite and in
//! order.

use std::fmt;

/// A value that lies between two others for certain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bracket {
    lower: f64,
    upper: f64,
}

/// Why two ends are no bracket. Whoever computed them must state no value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoBracket {
    /// The lower bound lies above the upper one by more than rounding explains.
    Contradiction {
        /// What should not be above the exact value.
        lower: f64,
        /// What should not be below it.
        upper: f64,
    },
    /// An end is infinite or not a number.
    NotFinite,
}

impl fmt::Display for NoBracket {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Contradiction { lower, upper } => {
                write!(
                    f,
                    "the bounds contradict each other (lower {lower}, upper {upper}), so no value is stated"
                )
            }
            Self::NotFinite => f.write_str("the bounds are not finite, so no value is stated"),
        }
    }
}

impl std::error::Error for NoBracket {}

/// Part of the size of what two ends were computed from that rounding may move them by: sums over some 10⁶
/// quarter cells.
const ROUNDING: f64 = 1e-9;

impl Bracket {
    /// From two ends. `size` is the largest magnitude of what they were computed from: ends that cross by
    /// rounding of that are put in order.
    ///
    /// # Errors
    /// [`NoBracket`] if an end is not finite, or the ends cross by more.
    pub fn of(lower: f64, upper: f64, size: f64) -> Result<Self, NoBracket> {
        if !lower.is_finite() || !upper.is_finite() || !size.is_finite() {
            return Err(NoBracket::NotFinite);
        }
        if lower > upper + ROUNDING * size.abs() {
            return Err(NoBracket::Contradiction { lower, upper });
        }
        Ok(Self { lower: lower.min(upper), upper: lower.max(upper) })
    }

    /// A value known exactly.
    ///
    /// # Errors
    /// [`NoBracket::NotFinite`].
    pub fn exact(value: f64) -> Result<Self, NoBracket> {
        Self::of(value, value, 0.0)
    }

    /// A value with an error that may be on either side.
    ///
    /// # Errors
    /// [`NoBracket`] if one is not finite, or the error negative.
    pub fn around(value: f64, error: f64) -> Result<Self, NoBracket> {
        Self::of(value - error, value + error, 0.0)
    }

    /// Not above the exact value.
    pub const fn lower(self) -> f64 {
        self.lower
    }

    /// Not below it.
    pub const fn upper(self) -> f64 {
        self.upper
    }

    /// The best single value.
    pub fn middle(self) -> f64 {
        f64::midpoint(self.lower, self.upper)
    }

    /// The largest error of the middle.
    pub fn half_width(self) -> f64 {
        0.5 * self.upper - 0.5 * self.lower
    }

    /// True if both may hold the same value. Where the solution is linear from film to film both are exact, and
    /// apart by what rounding left.
    pub fn overlaps(self, other: Self) -> bool {
        let rounding = ROUNDING * self.upper.abs().max(other.upper.abs());
        self.lower <= other.upper + rounding && other.lower <= self.upper + rounding
    }

    /// Both ends divided by a positive number.
    ///
    /// # Errors
    /// [`NoBracket`] if the divisor is not positive, or an end is too large to be a number.
    pub fn over(self, divisor: f64) -> Result<Self, NoBracket> {
        Self::of(self.lower / divisor, self.upper / divisor, 0.0)
    }

    /// Both ends times a number that is not negative.
    ///
    /// # Errors
    /// As [`Self::over`].
    pub fn times(self, factor: f64) -> Result<Self, NoBracket> {
        Self::of(self.lower * factor, self.upper * factor, 0.0)
    }

    /// The bracket of the difference from another value.
    ///
    /// # Errors
    /// [`NoBracket::NotFinite`] if an end is too large to be a number.
    pub fn minus(self, other: Self) -> Result<Self, NoBracket> {
        Self::of(self.lower - other.upper, self.upper - other.lower, 0.0)
    }

    /// The bracket of the sum with another value.
    ///
    /// # Errors
    /// As [`Self::minus`].
    pub fn plus(self, other: Self) -> Result<Self, NoBracket> {
        Self::of(self.lower + other.lower, self.upper + other.upper, 0.0)
    }

    /// What is left of it where the value cannot be negative.
    #[must_use]
    pub fn not_negative(self) -> Self {
        Self { lower: self.lower.max(0.0), upper: self.upper.max(0.0) }
    }
}

/// The middle and the half-width, both rounded so that the statement stays true: "0.0312 ± 0.0002". At least
/// four decimals, more for narrower brackets.
impl fmt::Display for Bracket {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = (-libm::log10(self.half_width().max(1e-6))).ceil().clamp(4.0, 6.0) as usize;
        let unit = 10_f64.powi(decimals as i32);
        let middle = (self.middle() * unit).round() / unit;
        let error = (self.upper - middle).max(middle - self.lower);
        // Rounding of the computation itself must not count as one more unit.
        let error = (error * unit - 1e-6).ceil().max(0.0) / unit;
        write!(f, "{:.decimals$} ± {error:.decimals$}", middle + 0.0)
    }
}

/// A solution on the way to a finer one: unknowns of one field, and the bracket of L2D.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Unknowns of one field.
    pub unknowns: usize,
    /// W/(m·K).
    pub l2d: Bracket,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holds_only_finite_ends_in_order() {
        assert!(matches!(Bracket::of(0.197, 0.173, 1.0), Err(NoBracket::Contradiction { .. })));
        let values = [
            0.0,
            -0.0,
            1.0,
            -1.0,
            1e308,
            -1e308,
            5e-324,
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            1.0 + 1e-12,
        ];
        for a in values {
            for b in values {
                let made = [Bracket::of(a, b, 1.0), Bracket::around(a, b), Bracket::exact(a)];
                for first in made.into_iter().flatten() {
                    for second in made.into_iter().flatten() {
                        let derived = [
                            first.over(b),
                            first.times(b),
                            first.minus(second),
                            first.plus(second),
                            Ok(first.not_negative()),
                        ];
                        for bracket in derived.into_iter().flatten().chain([first, second]) {
                            assert!(
                                bracket.lower.is_finite()
                                    && bracket.upper.is_finite()
                                    && bracket.lower <= bracket.upper
                            );
                            assert!(bracket.half_width() >= 0.0);
                        }
                    }
                }
            }
        }
        let of = |lower: f64, upper: f64| Bracket::of(lower, upper, 0.0);
        let one = of(1.0, 2.0).unwrap_or(Bracket { lower: 0.0, upper: 0.0 });
        let other = of(10.0, 10.5).unwrap_or(one);
        assert_eq!(one.minus(other), of(-9.5, -8.0));
        assert_eq!(one.plus(other), of(11.0, 12.5));
        assert_eq!((one.times(3.0), one.over(2.0)), (of(3.0, 6.0), of(0.5, 1.0)));
        let united = Bracket::of(1.0 + 1e-12, 1.0, 1.0).map(|bracket| (bracket.lower(), bracket.upper()));
        assert_eq!(united, Ok((1.0, 1.0 + 1e-12)));
    }
}
