//! Do these lengths fit those rooms? Exact, for the last step of the search.
//!
//! Rooms are filled one by one. The next room can always be one that takes the largest length left,
//! filled so that nothing more goes in; what is left over all rooms bounds the waste, and states
//! that failed are remembered.

use std::collections::BTreeSet;

/// Rooms of one sort: their size for each group (0 where a group does not go) and how many.
#[derive(Debug, Clone)]
pub(super) struct Rooms {
    pub(super) sizes: Vec<i64>,
    pub(super) count: u32,
}

/// Lengths of one sort; a room holds one group only.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lengths {
    pub(super) group: usize,
    pub(super) size: i64,
    pub(super) count: u32,
}

/// One filled room: its sort and how many of each sort of lengths it holds.
pub(super) type Filled = (usize, Vec<(usize, u32)>);

/// The answer of [`fit`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fit {
    /// They fit, thus.
    Yes(Vec<Filled>),
    /// Proven impossible.
    No,
    /// Not settled within the steps allowed.
    Open,
}

/// Fits all `lengths` into `rooms` or proves it impossible, in at most `steps` fillings: small rooms
/// first, then, if that stays open, large ones first.
pub(super) fn fit(rooms: &[Rooms], lengths: &[Lengths], steps: u32) -> Fit {
    let size = |rooms: &Rooms| rooms.sizes.iter().copied().max().unwrap_or(0);
    let mut small: Vec<usize> = (0..rooms.len()).collect();
    small.sort_by_key(|&at| (size(&rooms[at]), at));
    let large: Vec<usize> = small.iter().rev().copied().collect();
    for order in [small, large] {
        let sorted: Vec<Rooms> = order.iter().map(|&at| rooms[at].clone()).collect();
        match fit_in_order(&sorted, lengths, steps / 2) {
            Fit::Open => {}
            Fit::No => return Fit::No,
            Fit::Yes(filled) => {
                return Fit::Yes(filled.into_iter().map(|(room, taken)| (order[room], taken)).collect());
            }
        }
    }
    Fit::Open
}

fn fit_in_order(rooms: &[Rooms], lengths: &[Lengths], steps: u32) -> Fit {
    let mut order: Vec<usize> = (0..lengths.len()).collect();
    order.sort_by_key(|&at| (std::cmp::Reverse(lengths[at].size), at));
    let mut search = Search {
        rooms,
        lengths,
        order,
        left: lengths.iter().map(|l| l.count).collect(),
        free: rooms.iter().map(|r| r.count).collect(),
        filled: Vec::new(),
        failed: BTreeSet::new(),
        steps,
    };
    match search.run() {
        true => Fit::Yes(search.filled),
        false if search.steps > 0 => Fit::No,
        false => Fit::Open,
    }
}

struct Search<'a> {
    rooms: &'a [Rooms],
    lengths: &'a [Lengths],
    /// Lengths, largest first.
    order: Vec<usize>,
    left: Vec<u32>,
    free: Vec<u32>,
    filled: Vec<Filled>,
    failed: BTreeSet<(Vec<u32>, Vec<u32>)>,
    steps: u32,
}

impl Search<'_> {
    fn run(&mut self) -> bool {
        let Some(&largest) = self.order.iter().find(|&&at| self.left[at] > 0) else { return true };
        if self.steps == 0 || !self.may_fit() {
            return false;
        }
        let state = (self.left.clone(), self.free.clone());
        if self.failed.contains(&state) {
            return false;
        }
        let group = self.lengths[largest].group;
        for room in 0..self.rooms.len() {
            if self.free[room] == 0 || self.rooms[room].sizes[group] < self.lengths[largest].size {
                continue;
            }
            self.free[room] -= 1;
            for filling in self.fillings(largest, self.rooms[room].sizes[group]) {
                if self.steps == 0 {
                    break;
                }
                self.steps -= 1;
                filling.iter().for_each(|&(at, n)| self.left[at] -= n);
                self.filled.push((room, filling.clone()));
                if self.run() {
                    return true;
                }
                self.filled.pop();
                filling.iter().for_each(|&(at, n)| self.left[at] += n);
            }
            self.free[room] += 1;
        }
        if self.steps > 0 {
            self.failed.insert(state);
        }
        false
    }

    fn may_fit(&self) -> bool {
        let size: i64 = self.lengths.iter().zip(&self.left).map(|(l, &n)| l.size * i64::from(n)).sum();
        let room = |(rooms, &free): (&Rooms, &u32)| rooms.sizes.iter().max().unwrap_or(&0) * i64::from(free);
        size <= self.rooms.iter().zip(&self.free).map(room).sum()
    }

    /// Maximal fillings of a room that hold the largest length, fullest with large ones first.
    fn fillings(&self, largest: usize, room: i64) -> Vec<Vec<(usize, u32)>> {
        let group = self.lengths[largest].group;
        let sorts: Vec<usize> =
            self.order.iter().copied().filter(|&at| self.left[at] > 0 && self.lengths[at].group == group).collect();
        let mut found = Vec::new();
        self.extend(&sorts, (room, i64::MAX), &mut Vec::new(), &mut found);
        found
    }

    /// `smallest` is the smallest length that was left out although some of it remains.
    fn extend(
        &self,
        sorts: &[usize],
        (room, smallest): (i64, i64),
        taken: &mut Vec<(usize, u32)>,
        found: &mut Vec<Vec<(usize, u32)>>,
    ) {
        /// More fillings of one room than this are never looked at within the steps allowed.
        const MOST: usize = 5_000;
        let Some((&at, rest)) = sorts.split_first() else {
            if room < smallest && found.len() < MOST {
                found.push(taken.clone());
            }
            return;
        };
        let size = self.lengths[at].size;
        let most = i64::from(self.left[at]).min(room / size) as u32;
        let least = u32::from(taken.is_empty());
        for n in (least..=most).rev() {
            let smallest = if n < self.left[at] { smallest.min(size) } else { smallest };
            if n > 0 {
                taken.push((at, n));
            }
            self.extend(rest, (room - size * i64::from(n), smallest), taken, found);
            if n > 0 {
                taken.pop();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Length by length into any room with space, all ways.
    fn brute(rooms: &mut Vec<i64>, lengths: &[i64]) -> bool {
        let Some((&first, rest)) = lengths.split_first() else { return true };
        (0..rooms.len()).any(|at| {
            rooms[at] >= first && {
                rooms[at] -= first;
                let fits = brute(rooms, rest);
                rooms[at] += first;
                fits
            }
        })
    }

    proptest! {
        #[test]
        fn it_fits_exactly_when_brute_force_fits(
            rooms in prop::collection::vec((4i64..15, 1u32..3), 1..3),
            lengths in prop::collection::vec((1i64..8, 1u32..3), 1..4),
        ) {
            let sorts: Vec<Rooms> = rooms.iter().map(|&(size, count)| Rooms { sizes: vec![size], count }).collect();
            let wanted: Vec<Lengths> =
                lengths.iter().map(|&(size, count)| Lengths { group: 0, size, count }).collect();
            let mut plain = rooms.iter().flat_map(|&(size, n)| vec![size; n as usize]).collect();
            let single: Vec<i64> = lengths.iter().flat_map(|&(size, n)| vec![size; n as usize]).collect();
            let known = brute(&mut plain, &single);
            match fit(&sorts, &wanted, 100_000) {
                Fit::Yes(filled) => {
                    prop_assert!(known);
                    for (room, taken) in &filled {
                        let size: i64 = taken.iter().map(|&(at, n)| wanted[at].size * i64::from(n)).sum();
                        prop_assert!(size <= sorts[*room].sizes[0]);
                    }
                    for (at, length) in wanted.iter().enumerate() {
                        let n: u32 = filled.iter().flat_map(|f| &f.1).filter(|t| t.0 == at).map(|t| t.1).sum();
                        prop_assert_eq!(n, length.count);
                    }
                }
                other => prop_assert_eq!((other, known), (Fit::No, false)),
            }
        }
    }

    #[test]
    fn groups_never_share_a_room() {
        let rooms = [Rooms { sizes: vec![10, 10], count: 1 }];
        let lengths = [Lengths { group: 0, size: 4, count: 1 }, Lengths { group: 1, size: 4, count: 1 }];
        assert_eq!(fit(&rooms, &lengths, 1_000), Fit::No);
    }
}
