//! Tying bundle by bundle, each from the fewest boards that do, wasting the least.

use std::collections::{BTreeMap, BTreeSet};

use itertools::Itertools;

use super::Dice;
use super::flow::Flows;

/// Boards tried in pairs.
const PAIRED: usize = 24;

/// Boards looked at for one part of a bundle, first in the order they are cut.
const LOOKED_AT: usize = 48;

/// Gives every bundle what it takes; those that take most come first.
pub(super) fn give(flows: &mut Flows, bundles: &[usize]) {
    let mut order = bundles.to_vec();
    order.sort_by_cached_key(|&bundle| {
        let strips: u64 = flows.takes(bundle).iter().map(|take| take.1).sum();
        (std::cmp::Reverse(strips), flows.takes(bundle).to_vec(), bundle)
    });
    let mut noise = Noise { dice: Dice(1), most: 0 };
    order.into_iter().for_each(|bundle| give_one(flows, bundle, &mut noise));
    flows.settle();
}

/// Strips added to what a choice of boards wastes, at random, so that another one is made.
pub(super) struct Noise {
    pub(super) dice: Dice,
    pub(super) most: usize,
}

impl Noise {
    fn next(&mut self) -> u64 {
        if self.most == 0 { 0 } else { self.dice.below(self.most + 1) as u64 }
    }
}

/// Gives one bundle what it takes from what is free.
pub(super) fn give_one(flows: &mut Flows, bundle: usize, noise: &mut Noise) {
    let boards = boards_for(flows, bundle, noise);
    let given = flows.give(bundle, &boards);
    assert!(given, "boards were chosen from what is free");
    flows.drop_idle(bundle);
}

/// What is still wanted of each part.
type Wanted = Vec<(usize, u64)>;

fn boards_for(flows: &mut Flows, bundle: usize, noise: &mut Noise) -> Vec<usize> {
    let mut wanted: Wanted = flows.takes(bundle).to_vec();
    let mut boards = Vec::new();
    let mut near = Near::new(&wanted);
    while !wanted.is_empty() {
        near.fill(flows, &wanted);
        let mut covering: Vec<(u64, usize)> =
            near.boards().map(|board| (covered(flows, board, &wanted), board)).collect();
        covering.sort_unstable_by(|a, b| (b.0, a.1).cmp(&(a.0, b.1)));
        flows.work += covering.len() as u64;
        let all: u64 = wanted.iter().map(|want| want.1).sum();
        // Boards that do alone come first in the list.
        let alone = covering.iter().take_while(|near| near.0 == all);
        let last = alone.map(|&(_, board)| (waste(flows, &[board], &wanted) + noise.next(), board)).min();
        if let Some((_, last)) = last {
            boards.push(last);
            break;
        }
        if let Some(two) = best_two(flows, &covering, &wanted, noise) {
            boards.extend(two);
            break;
        }
        let most = covering.iter().map(|&(covered, board)| (covered + noise.next(), std::cmp::Reverse(board))).max();
        let Some((_, std::cmp::Reverse(most))) = most else { break };
        boards.push(most);
        near.chosen.insert(most);
        wanted = less(flows, most, &wanted);
    }
    boards
}

/// Boards among which the next one is chosen: of each part those that come first and are not chosen yet.
struct Near {
    chosen: BTreeSet<usize>,
    /// Per part its boards, ascending, and the last one that was looked at.
    parts: BTreeMap<usize, (Vec<usize>, Option<usize>)>,
}

impl Near {
    fn new(wanted: &Wanted) -> Self {
        let parts = wanted.iter().map(|want| (want.0, (Vec::new(), None))).collect();
        Self { chosen: BTreeSet::new(), parts }
    }

    fn fill(&mut self, flows: &Flows, wanted: &Wanted) {
        self.parts.retain(|part, _| wanted.iter().any(|want| want.0 == *part));
        for (&part, (boards, last)) in &mut self.parts {
            boards.retain(|board| !self.chosen.contains(board));
            let more = flows.open(part, *last).filter(|board| !self.chosen.contains(board));
            boards.extend(more.take(LOOKED_AT - boards.len()));
            *last = boards.last().copied().max(*last);
        }
    }

    fn boards(&self) -> impl Iterator<Item = usize> {
        self.parts.values().flat_map(|(boards, _)| boards.iter().copied()).sorted_unstable().dedup()
    }
}

fn less(flows: &Flows, board: usize, wanted: &Wanted) -> Wanted {
    let left = wanted.iter().map(|&(part, want)| (part, want.saturating_sub(flows.free(board, part))));
    left.filter(|left| left.1 > 0).collect()
}

fn covered(flows: &Flows, board: usize, wanted: &Wanted) -> u64 {
    wanted.iter().map(|&(part, want)| want.min(flows.free(board, part))).sum()
}

fn completes(flows: &Flows, board: usize, wanted: &Wanted) -> bool {
    wanted.iter().all(|&(part, want)| flows.free(board, part) >= want)
}

/// Strips of the parts that would be left on these boards: too few for another door, as a rule.
fn waste(flows: &Flows, boards: &[usize], wanted: &Wanted) -> u64 {
    let there: u64 = boards.iter().flat_map(|&board| wanted.iter().map(move |want| flows.free(board, want.0))).sum();
    there.saturating_sub(wanted.iter().map(|want| want.1).sum())
}

fn best_two(flows: &mut Flows, near: &[(u64, usize)], wanted: &Wanted, noise: &mut Noise) -> Option<[usize; 2]> {
    let all: u64 = wanted.iter().map(|want| want.1).sum();
    let likely = &near[..near.len().min(PAIRED)];
    let mut best: Option<(u64, [usize; 2])> = None;
    for (at, &(covered, first)) in likely.iter().enumerate() {
        // The second covers no more than the first.
        if 2 * covered < all {
            break;
        }
        let rest = less(flows, first, wanted);
        flows.work += (likely.len() - at) as u64 / 4;
        for &(_, second) in likely[at + 1..].iter().take_while(|second| second.0 + covered >= all) {
            if completes(flows, second, &rest) {
                let found = (waste(flows, &[first, second], wanted) + noise.next(), [first, second]);
                if best.is_none_or(|best| found < best) {
                    best = Some(found);
                }
            }
        }
    }
    best.map(|best| best.1)
}
