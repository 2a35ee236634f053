//! Numbers that look random and are the same on every machine.

/// A generator seeded with a fixed number (xorshift; Marsaglia 2003).
#[derive(Debug, Clone)]
pub(super) struct Noise(u64);

impl Noise {
    /// Starts at `seed`.
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// A number below `limit`; 0 for 0.
    pub(super) fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % limit.max(1)
    }

    /// A value changed by up to `share` per mille either way.
    pub(super) fn shake(&mut self, value: i64, share: u64) -> i64 {
        let factor = 1000 - share as i64 + self.below(2 * share + 1) as i64;
        (i128::from(value) * i128::from(factor) / 1000) as i64
    }
}
