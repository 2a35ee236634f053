//! Cheaper sets of boards near the best plan's: one or two boards exchanged for others.
//!
//! The tree visits sets of boards in order of cost, so it may stay long with sets that are almost
//! enough. A set with room to spare is the easier one to cut: of all sets that cost less than the
//! best plan and whose worth (at the duals of the linear program) covers what is needed, those with
//! most to spare are tried first.

use std::collections::BTreeSet;

use super::model::Model;
use super::pricing::{Pricer, Values};
use super::search::State;

/// Plans of more boards than this are left to the linear program.
const MOST_BOARDS: u32 = 60;

/// Sets to try, one after another.
pub(super) struct Sets {
    /// Worth of each kind's best board; 0 for kinds of no use.
    worth: Vec<i64>,
    needed: i128,
    /// The plan's cost that the waiting sets undercut.
    below: i64,
    waiting: Vec<Vec<u32>>,
    tried: BTreeSet<Vec<u32>>,
}

impl Sets {
    /// Worth at the duals of the linear program of the whole job.
    pub(super) fn new(pricer: &Pricer<'_>, values: &Values, need: &[u32]) -> Self {
        let needed = need.iter().zip(&values.part).map(|(&n, &v)| i128::from(n) * i128::from(v)).sum();
        let worth = worths(pricer, values, need);
        Self { worth, needed, below: i64::MAX, waiting: Vec::new(), tried: BTreeSet::new() }
    }

    /// The next set to try, as numbers of boards per kind; `None` when none is left.
    pub(super) fn next(&mut self, state: &State<'_, '_, '_>) -> Option<Vec<u32>> {
        if state.limit() != self.below {
            self.below = state.limit();
            self.waiting.clear();
            self.wait(state)?;
        }
        if let Some(set) = self.untried() {
            return Some(set);
        }
        // Another dive may find what the first one missed.
        self.tried.clear();
        self.wait(state)?;
        self.untried()
    }

    /// Puts the sets near the best plan's in line.
    fn wait(&mut self, state: &State<'_, '_, '_>) -> Option<()> {
        let counts = counts(state, state.pricer.model)?;
        self.waiting = cheaper_sets(state, &self.worth, self.needed, &counts);
        self.waiting.reverse();
        Some(())
    }

    fn untried(&mut self) -> Option<Vec<u32>> {
        loop {
            let set = self.waiting.pop()?;
            if self.tried.insert(set.clone()) {
                return Some(set);
            }
        }
    }
}

fn worths(pricer: &Pricer<'_>, values: &Values, need: &[u32]) -> Vec<i64> {
    let priced = pricer.price(values, need);
    let mut worth = vec![0; pricer.model.kinds.len()];
    for &mode in &pricer.model.modes {
        worth[mode.kind] = priced.board(mode).max(worth[mode.kind]);
    }
    worth
}

/// Boards of each kind in the best plan; `None` without a plan or with too many boards.
fn counts(state: &State<'_, '_, '_>, model: &Model) -> Option<Vec<u32>> {
    let mut counts = vec![0; model.kinds.len()];
    for (pattern, count) in &state.best.as_ref()?.1 {
        counts[pattern.mode.kind] += count;
    }
    (counts.iter().sum::<u32>() <= MOST_BOARDS).then_some(counts)
}

/// Sets one or two boards away that cost less than the best plan, at least the bound, and are worth
/// what is needed; most to spare first.
fn cheaper_sets(state: &State<'_, '_, '_>, worth: &[i64], needed: i128, counts: &[u32]) -> Vec<Vec<u32>> {
    let kinds = &state.pricer.model.kinds;
    let value = |kind: usize| i128::from(worth[kind]);
    let used: Vec<usize> = (0..kinds.len()).filter(|&kind| counts[kind] > 0).collect();
    let useful: Vec<usize> = (0..kinds.len()).filter(|&kind| worth[kind] > 0).collect();
    let (out, into) = (up_to_two(&used), up_to_two(&useful));
    let cost = state.limit();
    let total: i128 = counts.iter().enumerate().map(|(kind, &n)| i128::from(n) * value(kind)).sum();
    let sum = |set: &[usize]| set.iter().map(|&kind| kinds[kind].cost).sum::<i64>();
    let worth_of = |set: &[usize]| set.iter().map(|&kind| value(kind)).sum::<i128>();
    let mut found: Vec<(i128, Vec<u32>)> = Vec::new();
    for less in &out {
        for more in &into {
            let cost = cost - sum(less) + sum(more);
            let spare = total - worth_of(less) + worth_of(more) - needed;
            if cost >= state.limit() || cost < state.bound || spare < 0 {
                continue;
            }
            let mut set = counts.to_vec();
            more.iter().for_each(|&kind| set[kind] += 1);
            let enough = less.iter().all(|&kind| {
                let there = set[kind] > 0;
                set[kind] = set[kind].saturating_sub(1);
                there
            });
            let there = |(n, stock): (&u32, &Option<u32>)| stock.is_none_or(|most| *n <= most);
            if enough && set.iter().zip(&state.wanted.stock).all(there) {
                found.push((-spare, set));
            }
        }
    }
    found.sort();
    found.dedup();
    found.into_iter().map(|(_, set)| set).collect()
}

/// All choices of none, one or two, with repetition.
fn up_to_two(kinds: &[usize]) -> Vec<Vec<usize>> {
    let mut sets = vec![Vec::new()];
    for (at, &first) in kinds.iter().enumerate() {
        sets.push(vec![first]);
        sets.extend(kinds[at..].iter().map(|&second| vec![first, second]));
    }
    sets
}
