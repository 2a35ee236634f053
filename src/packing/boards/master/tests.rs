//! No rounding cut cuts off a plan, and no bound proven with such cuts and with branches on columns lies above one.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Bounds, Column, Count, Lists, Look, Master, ROUNDS, Rounded};
use crate::packing::Flow;
use crate::packing::boards::fill::{Boards, Rest};
use crate::packing::boards::model::{Model, Rounding};
use crate::packing::boards::pricing::Pricer;
use crate::packing::boards::root;
use crate::packing::boards::samples::{bare_rules, board, strip};
use crate::packing::boards::search::State;
use crate::packing::boards::tree::{Manner, Tree};
use crate::packing::boards::{BoardProblem, Watch};
use crate::packing::noise::Noise;

/// So many cuts, whatever they are like.
fn look(most: usize) -> Look<'static> {
    Look { most, alike: f64::INFINITY, pool: &[], narrowed: None }
}

/// How often a plan holds each column.
fn columns(boards: &Boards) -> BTreeMap<Column, u32> {
    let mut held: BTreeMap<Column, u32> = BTreeMap::new();
    for (pattern, times) in boards {
        let mut spans: BTreeMap<usize, u32> = BTreeMap::new();
        for (rips, count) in &pattern.spans {
            *held.entry(Column::Rips(rips.clone())).or_default() += count * times;
            *spans.entry(rips.span).or_default() += count;
        }
        *held.entry(Column::Cut(pattern.mode, spans.into_iter().collect())).or_default() += times;
    }
    held
}

/// What became of the cuts of one job.
#[derive(Debug, Default)]
struct Seen {
    /// Cuts checked, and of those the ones that hold cuts themselves.
    cuts: usize,
    nested: usize,
    /// Rounds with all columns listed, and those that raised the bound.
    listed: usize,
    raised: usize,
    /// Jobs with branches on columns.
    branched: usize,
    /// Cuts found in branches that the plan is not in: those that hold for it, and those that need not.
    general: usize,
    bound: usize,
}

/// A job with a good plan.
struct Case<'a> {
    model: &'a Model,
    pricer: &'a Pricer<'a>,
    need: Vec<u32>,
    banned: Vec<bool>,
    cost: i64,
    held: BTreeMap<Column, u32>,
}

impl Case<'_> {
    fn value(&self, count: Count) -> u32 {
        self.held.iter().map(|(column, times)| count.of(self.model, column) * times).sum()
    }

    /// Just the boards of the plan.
    fn boards(&self) -> Bounds {
        (0..self.model.kinds.len()).map(Count::Kind).map(|count| (count, (0, self.value(count)))).collect()
    }

    fn check(&self, cuts: &[Rc<Rounded>], seen: &mut Seen) {
        for cut in cuts {
            let left: i64 = self.held.iter().map(|(column, &n)| cut.of(self.model, column) * i64::from(n)).sum();
            assert!(left >= cut.least(), "{left} {cut:?}");
            seen.cuts += 1;
            seen.nested += usize::from(!cut.inner().is_empty());
        }
    }

    /// Solves for some rounds with these cuts within these bounds; false when that fails.
    fn solve(&self, master: &mut Master<'_, '_, '_>, cuts: &[Rc<Rounded>], bounds: &Bounds) -> bool {
        master.obey(cuts);
        master.tidy(bounds);
        master.enter(bounds, &self.banned);
        master.solve(&self.need, 4, |_| false).is_some()
    }

    /// Cuts within the plan's boards and some of its counts as they come out of some rounds.
    fn branched(&self, master: &mut Master<'_, '_, '_>, noise: &mut Noise, seen: &mut Seen) {
        let mut bounds = self.boards();
        let layout = &self.model.layouts[0];
        for from in 0..layout.spans.len() {
            let rips = (0..self.need.len()).map(|part| Count::Rips { layout: 0, fill: 0, part, from });
            for count in rips.chain([Count::Spans { layout: 0, class: None, from }]) {
                let (value, most) = (self.value(count), master.natural(count).1);
                // More than is wanted a plan may hold, but need not.
                match noise.below(6) {
                    0 if value <= most => bounds.insert(count, (0, value)),
                    1 if value <= most => bounds.insert(count, (value, most)),
                    _ => None,
                };
            }
        }
        let mut all: Vec<Rc<Rounded>> = Vec::new();
        for _ in 0..6 {
            if !self.solve(master, &all, &bounds) {
                break;
            }
            all.extend(master.missed(&look(8)));
        }
        self.check(&all, seen);
        master.obey(&[]);
    }

    /// Cuts found where the plan is not, in branches to other counts: those that rest on no branch hold for it.
    fn elsewhere(&self, master: &mut Master<'_, '_, '_>, noise: &mut Noise, seen: &mut Seen) {
        let set = self.boards();
        let mut bounds = set.clone();
        for from in 0..self.model.layouts[0].spans.len() {
            let count = Count::Spans { layout: 0, class: None, from };
            let (value, most) = (self.value(count), master.natural(count).1);
            match noise.below(3) {
                0 if value > 0 => bounds.insert(count, (0, value - 1)),
                1 if value < most => bounds.insert(count, (value + 1, most)),
                _ => None,
            };
        }
        let narrowed = |count: Count| bounds.get(&count) != set.get(&count);
        let (mut all, mut pool): (Vec<Rc<Rounded>>, Vec<Rc<Rounded>>) = (Vec::new(), Vec::new());
        for _ in 0..6 {
            if !self.solve(master, &all, &bounds) {
                break;
            }
            let found = master.missed(&Look { alike: 0.5, pool: &pool, narrowed: Some(&narrowed), ..look(8) });
            let general = found.iter().filter(|cut| !cut.rests_on_branch(&narrowed));
            pool.extend(general.cloned());
            // Every other round starts from the cuts that are pooled.
            all = if noise.below(2) == 0 { Vec::new() } else { all.into_iter().chain(found).collect() };
        }
        self.check(&pool, seen);
        seen.general += pool.len();
        seen.bound += all.iter().filter(|cut| cut.rests_on_branch(&narrowed)).count();
        master.obey(&[]);
    }

    /// Branches that the plan obeys: on some of its columns, and on some that it does not hold.
    fn sides(&self, master: &Master<'_, '_, '_>, noise: &mut Noise) -> Vec<Rc<Rounded>> {
        let mut sides = Vec::new();
        for column in master.columns.iter().filter(|&column| *column != Column::Missing) {
            let held = i64::from(self.held.get(column).copied().unwrap_or(0));
            let parts = self.need.len();
            match noise.below(4) {
                0 if held > 0 => sides.push(Rounded::at_least(column.clone(), held, parts)),
                1 => sides.push(Rounded::at_most(column.clone(), held, parts)),
                _ => {}
            }
        }
        sides.into_iter().map(Rc::new).collect()
    }

    /// The bound within the plan's boards and branches, round after round, where all that they can hold is listed.
    fn listed(&self, master: &mut Master<'_, '_, '_>, noise: &mut Noise, seen: &mut Seen) {
        let bounds = self.boards();
        master.enter(&bounds, &self.banned);
        let Some(solved) = master.solve(&self.need, ROUNDS, |_| false) else { return };
        assert!(solved.bound <= self.cost);
        let most: Vec<u32> = bounds.values().map(|range| range.1).collect();
        let worth = solved.cover.worth.iter().zip(&most).map(|(&worth, &n)| worth.max(0) * i128::from(n));
        let loss = worth.sum::<i128>() - solved.cover.needed;
        let priced = self.pricer.price(&solved.values, &self.need);
        let (lists, _) = Lists::new(self.pricer, (&solved.values, &priced, &self.need), &most, loss);
        let Some(lists) = lists.map(Rc::new) else { return };
        master.keep_to(Some(&lists));
        let (mut all, mut before): (Vec<Rc<Rounded>>, i64) = (Vec::new(), solved.bound);
        for round in 0..8 {
            // A plan with more rips than are wanted is as good as one that is listed, but is not listed itself.
            if round == 4 && self.held.keys().all(|column| lists.holds(column)) {
                all.extend(self.sides(master, noise));
                seen.branched += 1;
            }
            master.obey(&all);
            master.tidy(&bounds);
            master.enter(&bounds, &self.banned);
            let Some(solved) = master.solve(&self.need, ROUNDS, |_| false) else { break };
            assert!(solved.bound <= self.cost, "{} above the plan of {}", solved.bound, self.cost);
            seen.listed += 1;
            seen.raised += usize::from(solved.bound > before);
            before = before.max(solved.bound);
            all.extend(master.missed(&look(6)));
        }
        self.check(&all, seen);
        master.obey(&[]);
        master.keep_to(None);
    }
}

fn look_at(problem: &BoardProblem, noise: &mut Noise, seen: &mut Seen) {
    let parts: Vec<usize> = (0..problem.parts.len()).collect();
    let stock: Vec<usize> = (0..problem.stock.len()).collect();
    let model = Model::build(problem, &parts, &stock, Rounding::Exact).unwrap();
    let pricer = Pricer::new(&model);
    let mut listener = |_| Flow::Continue;
    let watch = RefCell::new(Watch::new(&mut listener, 1));
    let whole = Rest::whole(&model);
    let (root, mut columns_of_root) = root::solve(&pricer, &watch, &whole, u64::MAX);
    let mut state = State::new(&pricer, whole.clone(), i64::MAX / 1_000, &watch);
    state.first_plans((&whole, &root), &mut columns_of_root, (8, u64::MAX));
    let values = whole.values(root::need_values(&root.duals));
    Tree::new(&state, (&root, &values), Manner::FIRST).search(&mut state, 20_000_000);
    let (cost, plan) = state.best.clone().unwrap();
    let banned = vec![false; model.variants.len()];
    let held = columns(&plan);
    let case = Case { model: &model, pricer: &pricer, need: whole.need.clone(), banned, cost, held };
    let mut master = Master::new(&state, cost as f64 * 20.0);
    root.patterns.iter().for_each(|(pattern, _)| {
        master.add_pattern(pattern.mode, &pattern.spans);
    });
    case.branched(&mut master, noise, seen);
    case.elsewhere(&mut master, noise, seen);
    master.reward(&values.part);
    case.listed(&mut master, noise, seen);
}

#[test]
fn no_cut_and_no_bound_goes_beyond_a_plan() {
    let (mut noise, mut seen) = (Noise::new(23), Seen::default());
    for _ in 0..120 {
        let mut between = |low: i64, high: i64| low + noise.below((high - low + 1) as u64) as i64;
        let mut part = || strip(between(7, 31), between(1, 4), between(3, 40) as u32);
        let parts = vec![part(), part(), part()];
        let mut kind = |width: (i64, i64), length: i64| {
            let (width, length) = (between(width.0, width.1), length + between(0, 20));
            board(width, length, width * length / 4 + between(0, 30))
        };
        let stock = vec![kind((5, 7), 40), kind((6, 9), 50), kind((7, 11), 70)];
        look_at(&BoardProblem { parts, stock, rules: bare_rules() }, &mut noise, &mut seen);
    }
    assert!(seen.general > 300 && seen.bound > 50, "{seen:?}");
    assert!(
        seen.cuts > 1_000 && seen.nested > 100 && seen.listed > 200 && seen.raised > 50 && seen.branched > 10,
        "{seen:?}"
    );
}
