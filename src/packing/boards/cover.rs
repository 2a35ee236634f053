//! What whole boards must be worth, and the least they cost then.
//!
//! The duals of a node say what each kind of board is worth at most, and what all boards must be worth
//! together. The linear bound buys the missing part of a board by the inch; whole boards that are
//! worth enough cost more. The least such cost is a knapsack over cents, and no plan below the node
//! costs less.

/// Boards within a node's bounds must together be worth `needed`, both in micro-cents.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cover {
    pub(super) needed: i128,
    /// Most that one board of each kind can be worth.
    pub(super) worth: Vec<i128>,
}

/// Largest table of costs times kinds; beyond it the search is better off without.
const CELLS: i64 = 1_500_000;
/// So many choices are tried one by one.
const CHOICES: u64 = 2_000;
/// Figures up to this size add up inside an `i64`.
const LARGEST: i128 = 1 << 60;
/// What no boards come to, far below any worth even after all of it is added.
const NONE: i64 = -(1 << 62);

impl Cover {
    /// The least cost from `from` on and below `limit` at which boards (`cost, low, high` per kind) can
    /// be worth enough; `limit` when there is none, `from` where that takes too long to work out. The work
    /// done as well.
    pub(super) fn least(&self, kinds: &[(i64, u32, u32)], from: i64, limit: i64) -> (i64, u64) {
        let forced: i64 =
            kinds.iter().map(|&(cost, low, _)| cost.saturating_mul(i64::from(low))).fold(0, i64::saturating_add);
        let room = limit.saturating_sub(1).saturating_sub(forced);
        if room < 0 {
            return (limit, 1);
        }
        let choices = |&(_, low, high): &(i64, u32, u32)| u64::from(high.saturating_sub(low)) + 1;
        let all = kinds.iter().map(choices).fold(1, u64::saturating_mul);
        if all <= CHOICES {
            return (self.one_by_one(kinds, (0, 0), from, limit), all * 4);
        }
        if room.saturating_mul(kinds.len() as i64) > CELLS || !self.is_small(kinds) {
            return (from, 1);
        }
        self.by_table(kinds, (forced, room), from, limit)
    }

    /// The same by the most that boards of every cost are worth.
    fn by_table(&self, kinds: &[(i64, u32, u32)], (forced, room): (i64, i64), from: i64, limit: i64) -> (i64, u64) {
        let mut table = vec![NONE; room as usize + 1];
        table[0] = self.worth.iter().zip(kinds).map(|(&worth, &(_, low, _))| worth as i64 * i64::from(low)).sum();
        let mut work = table.len() as u64;
        for (&worth, &(cost, low, high)) in self.worth.iter().zip(kinds) {
            work += add(&mut table, (cost, worth as i64), high.saturating_sub(low));
        }
        let first = usize::try_from(from - forced).unwrap_or(0);
        let needed = (self.needed as i64).max(NONE / 2);
        let found = table.iter().skip(first).position(|&worth| worth >= needed);
        (found.map_or(limit, |at| forced + (first + at) as i64), work / 2)
    }

    /// The same by one choice after another, beside boards of such a cost and worth.
    fn one_by_one(&self, kinds: &[(i64, u32, u32)], (cost, worth): (i64, i128), from: i64, limit: i64) -> i64 {
        let Some((&(price, low, high), rest)) = kinds.split_last() else {
            return if worth >= self.needed && cost >= from { cost.min(limit) } else { limit };
        };
        let mut least = limit;
        for n in low..=high {
            let more = cost.saturating_add(price.saturating_mul(i64::from(n)));
            if more >= least {
                break;
            }
            least = self.one_by_one(rest, (more, worth + self.worth[rest.len()] * i128::from(n)), from, least);
        }
        least
    }

    /// True when no sum overflows.
    fn is_small(&self, kinds: &[(i64, u32, u32)]) -> bool {
        let most =
            |(worth, &(_, _, high)): (&i128, &(i64, u32, u32))| worth.abs().saturating_mul(i128::from(high.max(1)));
        self.worth.iter().zip(kinds).map(most).fold(self.needed.abs(), i128::saturating_add) < LARGEST
    }
}

/// Lets up to `times` boards of one kind into the table of the most that boards of each cost are worth.
fn add(table: &mut [i64], (cost, worth): (i64, i64), times: u32) -> u64 {
    if times == 0 || cost == 0 && worth <= 0 {
        return 0;
    }
    let cost = cost as usize;
    if cost == 0 {
        table.iter_mut().for_each(|sum| *sum += worth * i64::from(times));
        return table.len() as u64;
    }
    if times as usize >= (table.len() - 1) / cost {
        for at in cost..table.len() {
            table[at] = table[at].max(table[at - cost] + worth);
        }
        return table.len() as u64;
    }
    // Parts of 1, 2, 4 and so on make every number up to `times`.
    let (mut left, mut part, mut work) = (times, 1, 0);
    while left > 0 {
        let now = part.min(left);
        let step = cost * now as usize;
        for at in (step..table.len()).rev() {
            table[at] = table[at].max(table[at - step] + worth * i64::from(now));
        }
        work += table.len() as u64;
        left -= now;
        part *= 2;
    }
    work
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// All numbers of boards, one kind after another.
    fn brute(
        kinds: &[(i64, u32, u32)],
        worth: &[i128],
        (cost, value): (i64, i128),
        wanted: (i128, i64),
    ) -> Option<i64> {
        let Some((&(price, low, high), rest)) = kinds.split_first() else {
            return (value >= wanted.0 && cost >= wanted.1).then_some(cost);
        };
        (low..=high)
            .filter_map(|n| {
                let more = (cost + price * i64::from(n), value + worth[0] * i128::from(n));
                brute(rest, &worth[1..], more, wanted)
            })
            .min()
    }

    proptest! {
        #[test]
        fn it_is_the_least_of_all_whole_numbers_of_boards(
            boards in prop::collection::vec((0i64..9, 0u32..3, 0u32..4, -3i128..12), 1..5),
            needed in 0i128..60,
            from in 0i64..40,
            limit in 1i64..60,
        ) {
            let kinds: Vec<(i64, u32, u32)> = boards.iter().map(|&(cost, low, more, _)| (cost, low, low + more)).collect();
            let worth: Vec<i128> = boards.iter().map(|board| board.3).collect();
            let known = brute(&kinds, &worth, (0, 0), (needed, from)).filter(|&cost| cost < limit).unwrap_or(limit);
            let cover = Cover { needed, worth };
            prop_assert_eq!(cover.least(&kinds, from, limit).0, known);
            let forced: i64 = kinds.iter().map(|&(cost, low, _)| cost * i64::from(low)).sum();
            if forced < limit {
                prop_assert_eq!(cover.by_table(&kinds, (forced, limit - 1 - forced), from, limit).0, known);
            }
        }
    }
}
