//! Cheaper sets of boards near the best plan's: one or two boards exchanged for others.
//!
//! The tree visits sets of boards in order of cost, so it may stay long with sets that are almost
//! enough. A set with room to spare is the easier one to cut: of all sets that cost less than the
//! best plan and whose worth (at the duals of the linear program) covers what is needed, those with
//! most to spare are tried first.

use std::collections::BTreeSet;

use super::fill::Noise;
use super::mend::mend;
use super::model::{Mode, Model};
use super::pricing::{Pricer, Values};
use super::search::State;

/// Sets tried before the search gives up on this best plan.
const SETS: usize = 40;
/// Plans of more boards than this are left to the linear program.
const MOST_BOARDS: usize = 60;
/// Work of one try to cut a set.
const TRY_WORK: u64 = 2_000_000;

/// What a kind of board is worth at given values and how it is best cut.
#[derive(Debug, Clone, Copy)]
struct Worth {
    value: i64,
    mode: Mode,
}

/// Improves the best plan as long as a cheaper set can be cut, within `work`; the work done.
pub(super) fn exchange(state: &mut State<'_, '_, '_>, values: &Values, need: &[u32], work: u64) -> u64 {
    let pricer = state.pricer;
    let worth = worths(pricer, values, need);
    let needed: i128 = need.iter().zip(&values.part).map(|(&n, &v)| i128::from(n) * i128::from(v)).sum();
    let mut done = 0;
    let mut tried: BTreeSet<Vec<u32>> = BTreeSet::new();
    while let Some(counts) = counts(state, pricer.model).filter(|_| done < work && !state.is_proven()) {
        let sets = cheaper_sets(state, &worth, needed, &counts);
        let before = state.limit();
        for set in sets.into_iter().filter(|set| tried.insert(set.clone())).take(SETS).collect::<Vec<_>>() {
            if done >= work || state.stop() {
                break;
            }
            let modes: Vec<Mode> = set
                .iter()
                .zip(&worth)
                .flat_map(|(&n, w)| w.map(|w| std::iter::repeat_n(w.mode, n as usize)))
                .flatten()
                .collect();
            let board = modes.iter().map(|&mode| pricer.board_work(mode)).max().unwrap_or(1);
            let rounds = (TRY_WORK / board.max(1)).clamp(8, 400) as u32;
            done += u64::from(rounds) * board;
            if let Some(boards) = mend(pricer, &modes, values, need, (Noise::new(tried.len() as u64), rounds)) {
                state.offer(boards);
                break;
            }
        }
        if state.limit() >= before {
            break;
        }
    }
    done
}

/// Worth of each kind's best board; `None` for kinds that are of no use.
fn worths(pricer: &Pricer<'_>, values: &Values, need: &[u32]) -> Vec<Option<Worth>> {
    let priced = pricer.price(values, need);
    let mut worth: Vec<Option<Worth>> = vec![None; pricer.model.kinds.len()];
    for &mode in &pricer.model.modes {
        let value = priced.board(mode);
        if value > 0 && worth[mode.kind].is_none_or(|known| known.value < value) {
            worth[mode.kind] = Some(Worth { value, mode });
        }
    }
    worth
}

/// Boards of each kind in the best plan; `None` without a plan or with too many boards.
fn counts(state: &State<'_, '_, '_>, model: &Model) -> Option<Vec<u32>> {
    let mut counts = vec![0; model.kinds.len()];
    for (pattern, count) in &state.best.as_ref()?.1 {
        counts[pattern.mode.kind] += count;
    }
    (counts.iter().sum::<u32>() as usize <= MOST_BOARDS).then_some(counts)
}

/// Sets one or two boards away that cost less than the best plan, at least the bound, and are worth
/// what is needed; most to spare first.
fn cheaper_sets(state: &State<'_, '_, '_>, worth: &[Option<Worth>], needed: i128, counts: &[u32]) -> Vec<Vec<u32>> {
    let kinds = &state.pricer.model.kinds;
    let value = |kind: usize| i128::from(worth[kind].map_or(0, |w| w.value));
    let used: Vec<usize> = (0..kinds.len()).filter(|&kind| counts[kind] > 0).collect();
    let useful: Vec<usize> = (0..kinds.len()).filter(|&kind| worth[kind].is_some()).collect();
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
            let there = |(n, kind): (&u32, &super::model::Kind)| kind.available.is_none_or(|most| *n <= most);
            if enough && set.iter().zip(kinds).all(there) {
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
