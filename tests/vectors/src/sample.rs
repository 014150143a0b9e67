//! Pseudo-random inputs, the same on every machine.

use orangeloom_core::bounds::Bounded;

/// A sequence of inputs (xorshift with 32 bits of state).
pub(crate) struct Sample(u32);

impl Sample {
    pub(crate) fn new() -> Self {
        Self(0x2545_f491)
    }

    /// The next 32 bits; never zero.
    pub(crate) fn word(&mut self) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0
    }

    /// Any `f32` at all: subnormal, infinite and NaN included.
    pub(crate) fn any(&mut self) -> f32 {
        f32::from_bits(self.word())
    }

    /// A number between two others.
    pub(crate) fn between(&mut self, low: f32, high: f32) -> f32 {
        // The upper 24 bits are exact as f32, and so is their product with 2^-24.
        #[allow(clippy::cast_precision_loss)]
        let share = (self.word() >> 8) as f32 * (1.0 / 16_777_216.0);
        low + (high - low) * share
    }

    /// A whole number from zero to `last`.
    pub(crate) fn up_to(&mut self, last: u8) -> u8 {
        // 24 bits scaled down to the range; at most `last`, so nothing is cut off.
        let scaled = (u64::from(self.word() >> 8) * (u64::from(last) + 1)) >> 24;
        u8::try_from(scaled).unwrap_or(last)
    }

    /// One of the choices.
    pub(crate) fn one_of<T: Copy, const N: usize>(&mut self, choices: [T; N]) -> T {
        const { assert!(N > 0 && N < 256) };
        #[allow(clippy::cast_possible_truncation)]
        let chosen = self.up_to((N - 1) as u8);
        choices[usize::from(chosen)]
    }

    /// A value that the row accepts, small ones as likely as large ones.
    pub(crate) fn within(&mut self, row: Bounded) -> f32 {
        let value = self.between(row.min(), row.max());
        // 2^-0 to 2^-31 by the bits of the exponent.
        let smaller = f32::from_bits((127 - (self.word() >> 27)) << 23);
        (value * smaller).max(row.min()).min(row.max())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drawn_within_a_row_is_accepted_by_it() {
        let mut sample = Sample::new();
        for &row in Bounded::ALL {
            for _ in 0..1000 {
                let value = sample.within(row);
                assert!(row.check(value).is_ok(), "{row:?} {value}");
            }
        }
    }

    #[test]
    fn any_draws_numbers_that_are_none() {
        let mut sample = Sample::new();
        assert!((0..10_000).any(|_| sample.any().is_nan()));
        assert!((0..10_000).any(|_| sample.any().is_subnormal()));
    }
}
