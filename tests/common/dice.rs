//! Random numbers for tests that want neither a strategy nor another value on another run.

/// Numbers that look random and are the same on every run: a linear congruential generator (D. E. Knuth,
/// MMIX; its upper half).
pub struct Dice(pub u64);

impl Dice {
    /// The next value between two ends, in whole steps.
    pub fn between(&mut self, least: i64, most: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        least + ((self.0 >> 33) % (most - least + 1) as u64) as i64
    }
}
