//! Bundles: which strips make which door, so that a door's strips come from the fewest boards.
//!
//! Boards differ in colour; strips off one board match. A pair is a board and a door that takes
//! strips from it, and the fewest pairs are wanted. That is a transportation problem with a charge
//! for every route used (Hirsch and Dantzig, "The fixed charge problem", Naval Research Logistics
//! Quarterly 15, 1968). For given pairs the parts do not meet, and whether the strips suffice is a
//! flow for each. A first tying door by door is improved by tying a few doors anew, exactly, while
//! the others keep their boards; small jobs end with a search that proves the number.

mod bound;
mod first;
mod flow;
mod search;

use std::collections::BTreeSet;

use self::flow::Flows;
use self::search::{Outcome, Search};

/// What boards yield and doors want; parts are indices of the caller's.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BundleProblem {
    /// Per board the parts it yields, each once, with how many strips.
    pub boards: Vec<Vec<(usize, u64)>>,
    /// What is tied from them.
    pub wants: Vec<Want>,
}

/// Strips that go together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Want {
    /// Parts, each once, with how many strips.
    pub takes: Vec<(usize, u64)>,
    /// True for a door, whose strips should match; loose strips take what the doors leave.
    pub door: bool,
}

/// Strips of one part off one board for one bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Given {
    /// Index into [`BundleProblem::boards`].
    pub board: usize,
    /// The part.
    pub part: usize,
    /// Index into [`BundleProblem::wants`].
    pub bundle: usize,
    /// How many, at least 1.
    pub strips: u64,
}

/// Who gets what from which board.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tied {
    /// By board, part and bundle; what is not given is spare.
    pub given: Vec<Given>,
    /// Pairs of a door and a board that it takes strips from.
    pub pairs: u64,
    /// No tying of these strips has fewer.
    pub bound: u64,
}

impl Tied {
    /// What goes where of one part off one board.
    #[must_use]
    pub fn off(&self, board: usize, part: usize) -> &[Given] {
        let from = self.given.partition_point(|given| (given.board, given.part) < (board, part));
        let rows = self.given[from..].partition_point(|given| (given.board, given.part) == (board, part));
        &self.given[from..from + rows]
    }
}

/// Steps of tying doors anew at random: so many, and some for every door.
const WORK: u64 = 40_000;
const WORK_PER_DOOR: u64 = 50;
const WORK_AT_MOST: u64 = 100_000;

/// Steps of the search that proves the number.
const PROOF_WORK: u64 = 30_000;

/// Doors beyond which it is not tried.
const PROOF_DOORS: usize = 24;

/// Ties the strips; `None` when the boards do not yield what is wanted.
#[must_use]
pub fn tie(problem: &BundleProblem) -> Option<Tied> {
    let mut flows = Flows::new(problem);
    let doors: Vec<usize> = (0..problem.wants.len()).filter(|&want| problem.wants[want].door).collect();
    if !flows.suffices() {
        return None;
    }
    let fewest = bound::fewest(&mut flows, &doors);
    first::give(&mut flows, &doors);
    let groups = apart(&flows, &doors);
    let mut bound = 0;
    let mut proof_work = PROOF_WORK;
    for group in &groups {
        let members: Vec<usize> = group.iter().map(|&at| doors[at]).collect();
        let fewest: Vec<usize> = group.iter().map(|&at| fewest[at]).collect();
        let least = bound::pairs(&flows, &members, &fewest);
        let work = WORK / groups.len() as u64 + (WORK_PER_DOOR * members.len() as u64).min(WORK_AT_MOST);
        improve(&mut flows, &members, &fewest, (least, work));
        let open = flows.pairs(&members) as u64 > least && members.len() <= PROOF_DOORS;
        bound += if open { least.max(prove(&mut flows, &members, &fewest, &mut proof_work)) } else { least };
    }
    let pairs = flows.pairs(&doors) as u64;
    let loose: Vec<usize> = (0..problem.wants.len()).filter(|&want| !problem.wants[want].door).collect();
    first::give(&mut flows, &loose);
    Some(Tied { given: flows.given(), pairs, bound: bound.min(pairs) })
}

/// Pairs of a first tying alone: a measure by which arrangements of the same strips are compared.
#[must_use]
pub fn quick_pairs(problem: &BundleProblem) -> usize {
    let mut flows = Flows::new(problem);
    let doors: Vec<usize> = (0..problem.wants.len()).filter(|&want| problem.wants[want].door).collect();
    first::give(&mut flows, &doors);
    flows.pairs(&doors)
}

/// Groups of doors (places in the list) between which no part is shared: each is tied by itself.
fn apart(flows: &Flows, doors: &[usize]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(BTreeSet<usize>, Vec<usize>)> = Vec::new();
    for (at, &door) in doors.iter().enumerate() {
        let parts: BTreeSet<usize> = flows.takes(door).iter().map(|take| take.0).collect();
        let (meeting, others): (Vec<_>, Vec<_>) = groups.into_iter().partition(|group| !group.0.is_disjoint(&parts));
        groups = others;
        let mut meeting = meeting.into_iter();
        let mut group = meeting.next().unwrap_or_default();
        group.0.extend(parts);
        group.1.push(at);
        for (parts, members) in meeting {
            group.0.extend(parts);
            group.1.extend(members);
        }
        groups.push(group);
    }
    let mut groups: Vec<Vec<usize>> = groups.into_iter().map(|group| group.1).collect();
    groups.iter_mut().for_each(|group| group.sort_unstable());
    groups.sort();
    groups
}

/// Ties a door that could do with fewer boards anew, together with some that take strips off the same
/// boards, as long as the work lasts; what is no worse is kept.
fn improve(flows: &mut Flows, doors: &[usize], fewest: &[usize], (bound, work): (u64, u64)) {
    let end = flows.work + work;
    let mut pairs = flows.pairs(doors) as u64;
    let mut noise = first::Noise { dice: Dice(0x9E37_79B9_7F4A_7C15), most: 0 };
    while pairs > bound && flows.work < end {
        flows.work += 5;
        let at = noise.dice.below(doors.len());
        if flows.boards_of(doors[at]).len() <= fewest[at] {
            continue;
        }
        let group = around(flows, doors, at, &mut noise.dice);
        let before = flows.pairs(&group);
        let mark = flows.mark();
        group.iter().for_each(|&door| flows.release(door));
        noise.most = noise.dice.below(8);
        group.iter().for_each(|&door| first::give_one(flows, door, &mut noise));
        let after = flows.pairs(&group);
        if after > before {
            flows.undo(mark);
        } else {
            flows.settle();
            pairs -= (before - after) as u64;
        }
    }
}

/// A door and up to four others that take strips off its boards or are met by chance, in any order.
fn around(flows: &Flows, doors: &[usize], at: usize, dice: &mut Dice) -> Vec<usize> {
    let mut group = vec![doors[at]];
    let mut near: Vec<usize> = flows.boards_of(doors[at]).iter().flat_map(|&board| flows.doors_on(board)).collect();
    near.sort_unstable();
    near.dedup();
    let most = 2 + dice.below(4);
    while group.len() < most {
        let other = if near.is_empty() || dice.below(4) == 0 {
            doors[dice.below(doors.len())]
        } else {
            near.swap_remove(dice.below(near.len()))
        };
        if !group.contains(&other) {
            group.push(other);
        } else if near.is_empty() {
            break;
        }
    }
    for at in (1..group.len()).rev() {
        group.swap(at, dice.below(at + 1));
    }
    group
}

/// Cuts the links that bring nothing.
fn tidy(flows: &mut Flows, doors: &[usize]) {
    doors.iter().for_each(|&door| flows.drop_idle(door));
    flows.settle();
}

/// Searches for a tying with fewer pairs than there are until there is none; the bound that
/// is proven, 0 when the work runs out.
fn prove(flows: &mut Flows, doors: &[usize], fewest: &[usize], left: &mut u64) -> u64 {
    loop {
        let aim = flows.pairs(doors) - 1;
        let mut members: Vec<(usize, usize)> = doors.iter().copied().zip(fewest.iter().copied()).collect();
        // Equal doors side by side, so that their order can be fixed; hard ones first.
        members.sort_by_key(|&(door, fewest)| (std::cmp::Reverse(fewest), flows.takes(door).to_vec(), door));
        let mut search = Search::new(flows, members, *left);
        let outcome = search.run(aim);
        *left = left.saturating_sub(search.spent());
        match outcome {
            Outcome::Found => tidy(flows, doors),
            Outcome::None => return aim as u64 + 1,
            Outcome::OutOfWork => return 0,
        }
    }
}

/// Numbers that look random and are the same on every machine (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, limit: usize) -> usize {
        ((self.next() >> 11) % limit.max(1) as u64) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One loose strip cut in great number, off boards that yield a few each, beside doors of every size: looking
    /// through all boards again for each of them took minutes.
    #[test]
    fn what_lies_on_twenty_thousand_boards_is_tied_at_once() {
        let boards = (0..20_000_u64).map(|board| vec![(0, 3 + board % 3), (1, 2), (2 + board as usize % 40, 5)]);
        let loose = Want { takes: vec![(0, 75_000)], door: false };
        let door = |n: usize| Want { takes: vec![(1, 3), (2 + n % 40, 20 + n as u64 / 40)], door: true };
        let wants: Vec<Want> = (0..1_200).map(door).chain([loose]).collect();
        let problem = BundleProblem { boards: boards.collect(), wants };
        let begun = std::time::Instant::now();
        let tied = tie(&problem).unwrap();
        assert!(begun.elapsed().as_secs() < 30, "{:?}", begun.elapsed());
        for (bundle, want) in problem.wants.iter().enumerate() {
            for &(part, strips) in &want.takes {
                let given = tied.given.iter().filter(|given| given.bundle == bundle && given.part == part);
                assert_eq!(given.map(|given| given.strips).sum::<u64>(), strips);
            }
        }
        assert!(tied.bound <= tied.pairs);
    }
}
