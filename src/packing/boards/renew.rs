//! Parts of a plan packed anew: a few boards are taken out of the best plan and what they held is
//! packed again, cheaper if it can be, by the same search at a small budget.
//!
//! A plan of many boards that no dive betters can often be bettered a few boards at a time
//! (Taillard and Voss, "POPMUSIC", 2002, do so for other problems).

use super::fill::{Boards, Rest};
use super::root::{self, Columns, Pattern};
use super::search::State;
use super::tree::{Manner, Tree};
use crate::packing::noise::Noise;

/// Boards taken out at once: at least two and up to so many more.
const TAKEN: u64 = 4;
/// Work for packing one part.
const WORK: u64 = 12_000_000;
/// Fills tried for a part before its search.
const TRIES: u32 = 4;
/// One in so many parts is twice as large, for three times the work.
const LARGE_EVERY: u64 = 4;
/// Parts tried without gain before it is given up.
const PATIENCE: u32 = 150;

/// The renewal of parts, which may be broken off and gone on with.
#[derive(Debug)]
pub(super) struct Renewal {
    noise: Noise,
    /// Parts tried since the last gain.
    idle: u32,
}

impl Default for Renewal {
    fn default() -> Self {
        Self { noise: Noise::new(1), idle: 0 }
    }
}

impl Renewal {
    /// Renews parts of the best plan until nothing is gained for long, or `work` is used up; returns the
    /// work done.
    pub(super) fn run(&mut self, state: &mut State<'_, '_, '_>, columns: &mut Columns<'_, '_, '_>, work: u64) -> u64 {
        let mut spent = 0;
        while spent < work && self.idle < PATIENCE && !state.is_proven() && !state.stop() {
            let Some((cost, boards)) = state.best.clone() else { break };
            let boards: Vec<Pattern> =
                boards.into_iter().flat_map(|(pattern, n)| std::iter::repeat_n(pattern, n as usize)).collect();
            if boards.len() < 4 {
                break;
            }
            let large = u64::from(self.noise.below(LARGE_EVERY) == 0);
            let (kept, wanted, ceiling) = part(state, boards, TAKEN * (1 + large), &mut self.noise);
            let (found, done) = pack(state, columns, (wanted, ceiling), WORK * (1 + 2 * large));
            spent += done;
            self.idle += 1;
            if let Some(found) = found {
                state.offer(plan(kept, found));
                if state.limit() < cost {
                    self.idle = 0;
                }
            }
        }
        spent
    }
}

/// Takes a few boards out: those kept, what is then wanted, and what the boards taken out cost.
fn part(state: &State<'_, '_, '_>, mut kept: Vec<Pattern>, most: u64, noise: &mut Noise) -> (Vec<Pattern>, Rest, i64) {
    let model = state.pricer.model;
    let count = (2 + noise.below(most + 1)).min(kept.len() as u64 - 1);
    let mut ceiling = 0;
    for _ in 0..count {
        let taken = kept.swap_remove(noise.below(kept.len() as u64) as usize);
        ceiling += model.kinds[taken.mode.kind].cost;
    }
    let mut wanted = state.wanted.clone();
    kept.iter().for_each(|pattern| wanted.cut(pattern, 1));
    // What is kept settles the milling of every part it holds.
    let mut milled = vec![None; model.parts.len()];
    for (hold, _) in kept.iter().flat_map(|pattern| &pattern.spans).flat_map(|(rips, _)| &rips.rips) {
        milled[model.variants[hold.variant].part] = Some(hold.variant);
    }
    let bans = |(v, variant): (usize, &super::model::Variant)| milled[variant.part].is_some_and(|kept| kept != v);
    wanted.banned = model.variants.iter().enumerate().map(bans).collect();
    (kept, wanted, ceiling)
}

/// Packs what is wanted for less than `ceiling`; the work done as well.
fn pack(
    state: &State<'_, '_, '_>,
    columns: &mut Columns<'_, '_, '_>,
    (wanted, ceiling): (Rest, i64),
    work: u64,
) -> (Option<Boards>, u64) {
    let before = columns.work();
    let mut part = state.part(wanted, ceiling);
    let rest = part.wanted.clone();
    let (root, missing) = columns.solve(&rest);
    if missing {
        return (None, columns.work() - before);
    }
    part.raise(root.bound.unwrap_or(0));
    let mut work_of_plans = 0;
    if !part.is_proven() {
        work_of_plans = part.first_plans((&rest, &root), columns, (TRIES, work));
    }
    let mut done = columns.work() - before + work_of_plans;
    if !part.is_proven() {
        let values = rest.values(root::need_values(&root.duals));
        done += Tree::new(&part, (&root, &values), Manner::FIRST).search(&mut part, work);
    }
    (part.best.map(|best| best.1), done)
}

fn plan(kept: Vec<Pattern>, found: Boards) -> Boards {
    let mut boards = found;
    for pattern in kept {
        match boards.iter_mut().find(|(known, _)| *known == pattern) {
            Some((_, count)) => *count += 1,
            None => boards.push((pattern, 1)),
        }
    }
    boards
}

#[cfg(all(test, feature = "deep"))]
mod tests {
    use std::cell::RefCell;

    use super::super::fill;
    use super::super::model::{Model, Rounding};
    use super::super::pricing::Pricer;
    use super::super::samples::{bare_rules, board, strip};
    use super::super::{BoardProblem, Watch};
    use super::*;
    use crate::packing::Flow;

    #[test]
    fn a_plan_of_boards_half_empty_is_packed_closer() {
        let parts = vec![strip(12, 2, 40), strip(17, 3, 20), strip(23, 1, 30)];
        let stock = vec![board(6, 40, 100), board(7, 60, 170), board(9, 72, 260)];
        let problem = BoardProblem { parts, stock, rules: bare_rules() };
        let model = Model::build(&problem, &[0, 1, 2], &[0, 1, 2], Rounding::Exact).unwrap();
        let pricer = Pricer::new(&model);
        let mut listener = |_| Flow::Continue;
        let watch = RefCell::new(Watch::new(&mut listener, 1));
        let whole = Rest::whole(&model);
        let (root, mut columns) = root::solve(&pricer, &watch, &whole, u64::MAX);
        let mut state = State::new(&pricer, whole.clone(), i64::MAX / 1_000, &watch);
        // One kind of strip to a board, whatever that wastes.
        let mut boards = Boards::new();
        for (part, &need) in whole.need.iter().enumerate() {
            let values = whole.values((0..3).map(|p| i64::from(p == part)).collect());
            let filled = fill::board(&pricer, model.modes[0], &values, &whole.need);
            boards.push((filled.clone(), need.div_ceil(filled.units[0].1)));
        }
        state.offer(boards);
        let before = state.limit();
        let spent = Renewal::default().run(&mut state, &mut columns, 200_000_000);
        let (cost, best) = state.best.clone().unwrap();
        assert!(spent > 0 && fill::serves(&model, &best, &whole));
        assert!(cost < before && cost >= root.bound.unwrap(), "{before} {cost} {:?}", root.bound);
        assert!(cost * 100 < before * 95, "{before} {cost}");
    }
}
