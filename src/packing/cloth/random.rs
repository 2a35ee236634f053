//! Numbers that look random and are the same on every machine.

/// A generator seeded with a fixed number (SplitMix64; Steele, Lea and Flood 2014).
#[derive(Debug, Clone)]
pub(super) struct Random(u64);

impl Random {
    /// Starts at `seed`.
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `n`, which must be positive.
    pub(super) fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }
}
