//! Costs that whole boards can add up to.

/// Which costs from 0 up to a limit some choice of boards costs: a bound between two of them may
/// be raised to the next.
#[derive(Debug, Clone)]
pub(super) struct Lattice {
    unit: i64,
    /// One bit per multiple of `unit`; empty when the table would be too large.
    bits: Vec<u64>,
    /// Work of making it, in touched cells.
    pub(super) work: u64,
}

/// Largest table in bits: beyond it prices are so fine or plans so dear that the next cost lies
/// within a few cents anyway.
const TABLE_LIMIT: i64 = 1 << 22;

impl Lattice {
    /// Reachable costs below `limit` with between `low` and `high` boards at each `cost`.
    pub(super) fn new(boards: &[(i64, u32, u32)], limit: i64) -> Self {
        let unit = boards.iter().fold(0, |unit, board| super::model::gcd(unit, board.0)).max(1);
        let cells = (limit.max(0) / unit).saturating_add(1);
        if cells > TABLE_LIMIT {
            return Self { unit, bits: Vec::new(), work: 1 };
        }
        let mut bits = vec![0u64; (cells as usize).div_ceil(64)];
        let base: i128 = boards.iter().map(|&(cost, low, _)| i128::from(cost) * i128::from(low)).sum();
        let base = (base / i128::from(unit)).min(i128::from(cells)) as usize;
        if base / 64 < bits.len() {
            bits[base / 64] |= 1 << (base % 64);
        }
        let mut work = bits.len() as u64;
        for &(cost, low, high) in boards.iter().filter(|board| board.0 > 0) {
            let cost = (cost / unit) as usize;
            let mut left = (high - low.min(high)) as usize;
            left = left.min(cells as usize / cost);
            let mut times = 1;
            while left > 0 {
                let now = times.min(left);
                shift_or(&mut bits, cost * now);
                work += bits.len() as u64;
                left -= now;
                times *= 2;
            }
        }
        Self { unit, bits, work }
    }

    /// The least reachable cost at or above `cost`; `cost` itself where the table does not reach.
    pub(super) fn at_least(&self, cost: i64) -> i64 {
        let cost = cost.max(0);
        if self.bits.is_empty() {
            return cost;
        }
        let start = ((cost + self.unit - 1) / self.unit) as usize;
        let cells = self.bits.len() * 64;
        let mut at = start;
        while at < cells {
            let word = self.bits[at / 64] >> (at % 64);
            if word != 0 {
                return (at + word.trailing_zeros() as usize) as i64 * self.unit;
            }
            at = (at / 64 + 1) * 64;
        }
        start.max(cells) as i64 * self.unit
    }
}

/// `bits |= bits << by`.
fn shift_or(bits: &mut [u64], by: usize) {
    let (words, rest) = (by / 64, by % 64);
    for at in (words..bits.len()).rev() {
        let mut word = bits[at - words] << rest;
        if rest > 0 && at > words {
            word |= bits[at - words - 1] >> (64 - rest);
        }
        bits[at] |= word;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_bound_rises_to_the_next_sum_of_prices() {
        // The prices of a small job: one board at 45.78 is the only sum between 25.02 and 48.36.
        let lattice = Lattice::new(&[(2502, 0, 9), (2418, 0, 9), (4578, 0, 9)], 10_000);
        assert_eq!(lattice.at_least(1), 2418);
        assert_eq!(lattice.at_least(2503), 4578);
        assert_eq!(lattice.at_least(4579), 4836);
        assert_eq!(lattice.at_least(4837), 4920);
    }

    #[test]
    fn the_work_grows_with_the_prices() {
        let work = |times: i64| Lattice::new(&[(2_501 * times, 0, 99), (4_577 * times, 0, 99)], 50_000 * times).work;
        let odd = |times: i64| Lattice::new(&[(2_501, 0, 99), (4_577, 0, 99)], 50_000 * times).work;
        // Twenty times the price of everything is the same table; so many more boards are not.
        assert_eq!(work(1), work(20));
        assert!(odd(20) > 15 * odd(1), "{} {}", odd(20), odd(1));
    }

    proptest! {
        #[test]
        fn the_table_equals_plain_enumeration(
            boards in prop::collection::vec((1i64..40, 0u32..3, 0u32..4), 1..4), cost in 0i64..300,
        ) {
            let boards: Vec<_> = boards.into_iter().map(|(c, low, more)| (c, low, low + more)).collect();
            let mut sums = vec![0];
            for &(c, low, high) in &boards {
                sums = sums.iter().flat_map(|s| (low..=high).map(move |n| s + c * i64::from(n))).collect();
            }
            let known = sums.into_iter().filter(|&s| s >= cost).min();
            let found = Lattice::new(&boards, 400).at_least(cost);
            match known {
                Some(known) if known < 400 => prop_assert_eq!(found, known),
                _ => prop_assert!(found >= 400),
            }
        }
    }
}
