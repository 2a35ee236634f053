//! Reachable sums: the only room sizes that matter to a knapsack.

/// Sums of given sizes that fit a largest room, ascending from 0. Knapsacks run over their indices,
/// so that mixed inches and millimetres (which share only 3 125 nm) cost no more than plain inches.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    sums: Vec<i64>,
}

/// Above this many cells the sums are collected one by one instead of marked in a table.
const TABLE_LIMIT: i64 = 1 << 22;

/// The most sums a grid may hold; beyond it the caller must coarsen the sizes.
const SUM_LIMIT: usize = 400_000;

impl Grid {
    /// All sums of `sizes` (each used any number of times) up to `room`; `None` when there are more
    /// than a knapsack can handle.
    pub(super) fn new(sizes: &[i64], room: i64) -> Option<Self> {
        let mut sizes: Vec<i64> = sizes.iter().copied().filter(|&s| s > 0 && s <= room).collect();
        sizes.sort_unstable();
        sizes.dedup();
        let sums = if room < TABLE_LIMIT { marked(&sizes, room.max(0)) } else { collected(&sizes, room)? };
        (sums.len() <= SUM_LIMIT).then_some(Self { sums })
    }

    /// Number of sums.
    pub(super) fn len(&self) -> usize {
        self.sums.len()
    }

    /// The sum at an index.
    pub(super) fn sum(&self, at: usize) -> i64 {
        self.sums[at]
    }

    /// Index of the largest sum that fits `room` (0 for none).
    pub(super) fn floor(&self, room: i64) -> usize {
        self.sums.partition_point(|&sum| sum <= room).saturating_sub(1)
    }

    /// For each index up to `last`, the index that is left when `size` is taken out of that room;
    /// the first entry belongs to the first index that holds `size`, which is returned beside it.
    pub(super) fn steps(&self, size: i64, last: usize) -> (usize, Vec<u32>) {
        let first = self.sums[..=last].partition_point(|&sum| sum < size);
        let mut below = 0;
        let steps = self.sums[first..=last]
            .iter()
            .map(|&sum| {
                while below + 1 < self.sums.len() && self.sums[below + 1] <= sum - size {
                    below += 1;
                }
                below as u32
            })
            .collect();
        (first, steps)
    }
}

fn marked(sizes: &[i64], room: i64) -> Vec<i64> {
    let mut reachable = vec![false; room as usize + 1];
    reachable[0] = true;
    for sum in 0..reachable.len() {
        if reachable[sum] {
            for &size in sizes {
                match reachable.get_mut(sum + size as usize) {
                    Some(cell) => *cell = true,
                    None => break,
                }
            }
        }
    }
    (0..=room).filter(|&sum| reachable[sum as usize]).collect()
}

fn collected(sizes: &[i64], room: i64) -> Option<Vec<i64>> {
    let mut sums = vec![0];
    for &size in sizes {
        let mut layer = sums.clone();
        loop {
            layer.retain_mut(|sum| {
                *sum += size;
                *sum <= room
            });
            if layer.is_empty() {
                break;
            }
            sums.extend_from_slice(&layer);
            if sums.len() > 4 * SUM_LIMIT {
                sums.sort_unstable();
                sums.dedup();
                if sums.len() > SUM_LIMIT {
                    return None;
                }
            }
        }
        sums.sort_unstable();
        sums.dedup();
    }
    Some(sums)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_of_collecting_sums_agree() {
        for (sizes, room) in [(vec![3, 5, 7], 40), (vec![6, 10], 6), (vec![9], 8), (vec![1], 5)] {
            assert_eq!(marked(&sizes, room), collected(&sizes, room).unwrap(), "{sizes:?} {room}");
        }
        assert_eq!(marked(&[3, 5], 11), [0, 3, 5, 6, 8, 9, 10, 11]);
    }

    #[test]
    fn a_step_leads_to_the_largest_sum_left() {
        let grid = Grid::new(&[3, 5], 11).unwrap();
        let (first, steps) = grid.steps(5, grid.len() - 1);
        assert_eq!((first, steps), (2, vec![0, 0, 1, 1, 2, 3]));
        assert_eq!(grid.floor(7), 3);
        assert_eq!(grid.floor(-1), 0);
    }

    #[test]
    fn too_many_sums_are_refused() {
        let sizes: Vec<i64> = (0..40).map(|i| 1_000_003 + 7919 * i * i).collect();
        assert!(Grid::new(&sizes, 200_000_000).is_none());
    }
}
