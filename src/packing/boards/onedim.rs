//! Do these lengths fit those rooms? Exact, for the last step of the search.
//!
//! Rooms are filled one by one. The next room can always be one that takes the largest length left,
//! filled so that nothing more goes in; what is left over all rooms bounds the waste, and states
//! that failed are remembered.

use std::collections::BTreeSet;

/// Steps between two questions whether to stop: some hundredths of a second.
const ASK_EVERY: u64 = 200_000;
/// More fillings of one room than this are not listed.
const MOST: usize = 5_000;

/// Rooms of one sort: for each group the lengths of the runs they consist of (none where a group does
/// not go), and how many.
#[derive(Debug, Clone)]
pub(super) struct Rooms {
    pub(super) sizes: Vec<Vec<i64>>,
    pub(super) count: u32,
}

impl Rooms {
    /// The most that such a room holds in all its runs.
    fn size(&self) -> i64 {
        self.sizes.iter().map(|runs| runs.iter().sum()).max().unwrap_or(0)
    }
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

/// Fits all `lengths` into `rooms` or proves it impossible, in at most `steps` looks at a length:
/// small rooms first, then, if that stays open, large ones first. Takes the steps done from `left`; asks from time to
/// time whether to stop.
pub(super) fn fit(
    rooms: &[Rooms],
    lengths: &[Lengths],
    (steps, left): (u64, &mut u64),
    stop: &dyn Fn() -> bool,
) -> Fit {
    let mut small: Vec<usize> = (0..rooms.len()).collect();
    small.sort_by_key(|&at| (rooms[at].size(), at));
    let large: Vec<usize> = small.iter().rev().copied().collect();
    for order in [small, large] {
        let sorted: Vec<Rooms> = order.iter().map(|&at| rooms[at].clone()).collect();
        let (answer, done) = fit_in_order(&sorted, lengths, (steps / 2).min(*left), stop);
        *left -= done;
        match answer {
            Fit::Open => {}
            Fit::No => return Fit::No,
            Fit::Yes(filled) => {
                return Fit::Yes(filled.into_iter().map(|(room, taken)| (order[room], taken)).collect());
            }
        }
    }
    Fit::Open
}

/// The answer and the steps done.
fn fit_in_order(rooms: &[Rooms], lengths: &[Lengths], steps: u64, stop: &dyn Fn() -> bool) -> (Fit, u64) {
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
        listed: true,
        stop,
        asked: steps,
    };
    let fits = search.run();
    let done = steps - search.steps;
    match fits {
        true => (Fit::Yes(search.filled), done),
        false if search.steps > 0 && search.listed => (Fit::No, done),
        false => (Fit::Open, done),
    }
}

/// Fillings of one room as they are listed.
#[derive(Default)]
struct Listing {
    found: Vec<Vec<(usize, u32)>>,
    /// Looks at a length so far.
    looks: u64,
}

/// A run that is being filled.
#[derive(Clone, Copy)]
struct Run<'a> {
    /// What is left of it.
    room: i64,
    /// The runs of the room that come after it.
    others: &'a [i64],
    /// The smallest length that was left out although some of it remains.
    smallest: i64,
    /// What may be left over in this run and those.
    spare: i64,
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
    steps: u64,
    /// False once some fillings were left out.
    listed: bool,
    stop: &'a dyn Fn() -> bool,
    /// Steps that were left when it was asked last.
    asked: u64,
}

impl Search<'_> {
    fn run(&mut self) -> bool {
        let Some(&largest) = self.order.iter().find(|&&at| self.left[at] > 0) else { return true };
        if self.asked - self.steps > ASK_EVERY {
            self.asked = self.steps;
            if (self.stop)() {
                self.steps = 0;
            }
        }
        let spare = self.spare();
        if self.steps == 0 || spare < 0 {
            return false;
        }
        let state = (self.left.clone(), self.free.clone());
        if self.failed.contains(&state) {
            return false;
        }
        let group = self.lengths[largest].group;
        for room in 0..self.rooms.len() {
            let runs = &self.rooms[room].sizes[group];
            if self.free[room] == 0 || runs.iter().all(|&run| run < self.lengths[largest].size) {
                continue;
            }
            self.free[room] -= 1;
            let unused = self.rooms[room].size() - runs.iter().sum::<i64>();
            for filling in self.fillings(largest, runs, spare - unused) {
                if self.steps == 0 {
                    break;
                }
                self.steps = self.steps.saturating_sub(1);
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

    /// What may be left over in all rooms together; below nought where they are too small.
    fn spare(&self) -> i64 {
        let size: i64 = self.lengths.iter().zip(&self.left).map(|(l, &n)| l.size * i64::from(n)).sum();
        let room = |(rooms, &free): (&Rooms, &u32)| rooms.size() * i64::from(free);
        self.rooms.iter().zip(&self.free).map(room).sum::<i64>() - size
    }

    /// Maximal fillings of a room that hold the largest length and leave no more than `spare`, fullest with large ones
    /// first.
    ///
    /// The run that takes the largest length is filled first, so that nothing else that is left goes in,
    /// then the others likewise: what fits an earlier run may as well lie there.
    fn fillings(&mut self, largest: usize, runs: &[i64], spare: i64) -> Vec<Vec<(usize, u32)>> {
        let group = self.lengths[largest].group;
        let sorts: Vec<usize> =
            self.order.iter().copied().filter(|&at| self.left[at] > 0 && self.lengths[at].group == group).collect();
        let mut list = Listing::default();
        for first in 0..runs.len() {
            if runs[first] >= self.lengths[largest].size && !runs[..first].contains(&runs[first]) {
                let others: Vec<i64> = [&runs[..first], &runs[first + 1..]].concat();
                let run = Run { room: runs[first], others: &others, smallest: i64::MAX, spare };
                self.extend(&sorts, run, &mut Vec::new(), &mut list);
            }
        }
        self.steps = self.steps.saturating_sub(list.looks);
        let mut found = list.found;
        if found.len() >= MOST {
            // Not all ways were listed, so nothing is proven from here on.
            self.listed = false;
        }
        if runs.len() > 1 {
            let mut seen = BTreeSet::new();
            found.retain(|filling| seen.insert(filling.clone()));
        }
        found
    }

    /// Adds to `taken` what goes into the rest of a run, sort by sort, then turns to the others.
    fn extend(&self, sorts: &[usize], run: Run<'_>, taken: &mut Vec<(usize, u32)>, list: &mut Listing) {
        list.looks += 1;
        if list.found.len() >= MOST {
            return;
        }
        let Run { room, smallest, .. } = run;
        // The largest of all is always taken; of the others those that no longer go in are passed over.
        let too_large = if taken.is_empty() { 0 } else { sorts.partition_point(|&at| self.lengths[at].size > room) };
        let Some((&at, rest)) = sorts[too_large..].split_first() else {
            if room < smallest && room <= run.spare {
                self.next_run(run.others, taken, list, run.spare - room);
            }
            return;
        };
        let size = self.lengths[at].size;
        // So many as the smallest goes in, each no larger than this one, would leave too much.
        let smallest_left = sorts.last().map_or(size, |&at| self.lengths[at].size);
        if size.saturating_mul(room / smallest_left) < room - run.spare {
            return;
        }
        // Earlier runs may have taken some of it.
        let left = self.left[at] - taken.iter().filter(|(sort, _)| *sort == at).map(|(_, n)| n).sum::<u32>();
        let most = i64::from(left).min(room / size) as u32;
        let least = u32::from(taken.is_empty());
        for n in (least..=most).rev() {
            let smallest = if n < left { smallest.min(size) } else { smallest };
            if n > 0 {
                taken.push((at, n));
            }
            self.extend(rest, Run { room: room - size * i64::from(n), smallest, ..run }, taken, list);
            if n > 0 {
                taken.pop();
            }
        }
    }

    fn next_run(&self, runs: &[i64], taken: &mut Vec<(usize, u32)>, list: &mut Listing, spare: i64) {
        let Some((&run, others)) = runs.split_first() else {
            let mut filling: Vec<(usize, u32)> = Vec::new();
            for &(at, n) in taken.iter() {
                match filling.iter_mut().find(|(known, _)| *known == at) {
                    Some((_, sum)) => *sum += n,
                    None => filling.push((at, n)),
                }
            }
            list.found.push(filling);
            return;
        };
        let group = self.lengths[taken[0].0].group;
        let in_group = |at: &usize| self.left[*at] > 0 && self.lengths[*at].group == group;
        let sorts: Vec<usize> = self.order.iter().copied().filter(in_group).collect();
        self.extend(&sorts, Run { room: run, others, smallest: i64::MAX, spare }, taken, list);
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
            rooms in prop::collection::vec((prop::collection::vec(3i64..15, 1..4), 1u32..3), 1..3),
            lengths in prop::collection::vec((1i64..8, 1u32..3), 1..4),
        ) {
            let sorts: Vec<Rooms> = rooms.iter().map(|(runs, count)| Rooms { sizes: vec![runs.clone()], count: *count }).collect();
            let wanted: Vec<Lengths> =
                lengths.iter().map(|&(size, count)| Lengths { group: 0, size, count }).collect();
            let mut plain = rooms.iter().flat_map(|(runs, n)| runs.repeat(*n as usize)).collect();
            let single: Vec<i64> = lengths.iter().flat_map(|&(size, n)| vec![size; n as usize]).collect();
            let known = brute(&mut plain, &single);
            match fit(&sorts, &wanted, (1_000_000, &mut 1_000_000), &|| false) {
                Fit::Yes(filled) => {
                    prop_assert!(known);
                    for (room, taken) in &filled {
                        let held: Vec<i64> =
                            taken.iter().flat_map(|&(at, n)| vec![wanted[at].size; n as usize]).collect();
                        prop_assert!(brute(&mut sorts[*room].sizes[0].clone(), &held));
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
        let rooms = [Rooms { sizes: vec![vec![10], vec![10]], count: 1 }];
        let lengths = [Lengths { group: 0, size: 4, count: 1 }, Lengths { group: 1, size: 4, count: 1 }];
        assert_eq!(fit(&rooms, &lengths, (1_000, &mut 1_000), &|| false), Fit::No);
        // Not in two runs of one room either: a full-length rip is planed as a whole.
        let parted = [Rooms { sizes: vec![vec![5, 5], vec![5, 5]], count: 1 }];
        assert_eq!(fit(&parted, &lengths, (1_000, &mut 1_000), &|| false), Fit::No);
    }
}
