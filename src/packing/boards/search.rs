//! One species from model to plan: bound, first plans, then the search.

use super::assemble;
use super::fill::{self, Boards, Noise, Rest};
use super::improve::improve;
use super::lattice::Lattice;
use super::model::{Kind, Model, Rounding, TooFine};
use super::pricing::Pricer;
use super::root::{self, Columns, Root};
use super::tidy;
use super::tree;
use super::{BoardProblem, CutBoard, Watcher};
use crate::packing::{Budget, Threads};

/// One species packed.
pub(super) struct Packed {
    pub(super) boards: Vec<CutBoard>,
    pub(super) cost: i64,
    pub(super) bound: i64,
}

/// Packs one species; parts and strips that are missing when boards run out.
pub(super) fn species(
    problem: &BoardProblem,
    label: usize,
    (budget, threads): (&Budget, Threads),
    watch: Watcher<'_, '_, '_>,
) -> Result<Packed, Vec<(usize, u32)>> {
    let wanted = |&i: &usize| problem.parts[i].label == label && problem.parts[i].count > 0;
    let parts: Vec<usize> = (0..problem.parts.len()).filter(wanted).collect();
    let at_hand = |&i: &usize| problem.stock[i].label == label && problem.stock[i].available != Some(0);
    let stock: Vec<usize> = (0..problem.stock.len()).filter(at_hand).collect();
    let (model, loose) = match Model::build(problem, &parts, &stock, Rounding::Exact) {
        Ok(model) => (model, None),
        Err(TooFine) => {
            let coarse = |rounding| Model::build(problem, &parts, &stock, rounding);
            let coarse = |rounding| coarse(rounding).expect("a coarse grid has few cells");
            (coarse(Rounding::Tight), Some(coarse(Rounding::Loose)))
        }
    };
    let pricer = Pricer::new(&model);
    let whole = Rest::whole(&model);
    let mut state = State::new(&pricer, whole.clone(), ceiling(&model, &whole), watch);
    state.plan_by_size();
    let (mut root, mut columns) = root::solve(&pricer, watch, &whole);
    let bound = match root.bound {
        Some(bound) => bound,
        // Stopped before the program was solved.
        None if state.best.is_some() => 0,
        None => return Err(missing(&pricer, &whole, &root)),
    };
    match &loose {
        Some(loose) => state.bound = loose_bound(loose, watch).min(state.limit()),
        None => state.raise(bound),
    }
    state.exact = loose.is_none();
    let rest = one_milling(&model, whole, &root);
    if rest.banned.contains(&true) {
        (root, columns) = root::solve(&pricer, watch, &rest);
    }
    state.first_plans(&rest, &root, &mut columns, budget.tries.min(16));
    if !state.is_proven() && !columns.is_spent() {
        let work = u64::from(budget.nodes) * tree::WORK_PER_NODE;
        improve(&mut state, (&rest, &root), &mut columns, (work, threads));
    }
    match state.best {
        Some((_, boards)) => {
            let mut boards = assemble::boards(problem, &model, &boards);
            tidy::trim(problem, &mut boards);
            let cost = boards.iter().map(|board| problem.stock[board.stock].cost.get()).sum();
            Ok(Packed { boards, cost, bound: state.bound.min(cost) })
        }
        None => Err(missing(&pricer, &rest, &root)),
    }
}

/// What no plan costs less than, where sizes are rounded down and rooms up; lifted by the boards of use there,
/// some of which may be too small for sizes that are rounded up.
fn loose_bound(model: &Model, watch: Watcher<'_, '_, '_>) -> i64 {
    let (pricer, whole) = (Pricer::new(model), Rest::whole(model));
    let bound = root::solve(&pricer, watch, &whole).0.bound.unwrap_or(0);
    let mut state = State::new(&pricer, whole.clone(), ceiling(model, &whole), watch);
    state.raise(bound);
    state.bound
}

/// Bans all millings but the one that the linear program uses most, for each part with a choice.
fn one_milling(model: &Model, mut rest: Rest, root: &Root) -> Rest {
    let mut used = vec![0.0; model.variants.len()];
    for (pattern, value) in &root.patterns {
        for (rips, count) in &pattern.spans {
            for &(hold, n) in &rips.rips {
                used[hold.variant] += value * f64::from(*count) * f64::from(n * hold.pieces);
            }
        }
    }
    let beats = |a: usize, b: usize| used[a] > used[b] || (used[a] >= used[b] && a < b);
    let variants = &model.variants;
    let beaten = |v: usize| (0..variants.len()).any(|w| w != v && variants[w].part == variants[v].part && beats(w, v));
    rest.banned = (0..variants.len()).map(beaten).collect();
    rest
}

/// More than all boards cost that could be of use.
fn ceiling(model: &Model, rest: &Rest) -> i64 {
    let of_kind = |(at, kind): (usize, &Kind)| kind.cost.saturating_mul(i64::from(model.most_boards(at, &rest.need)));
    model.kinds.iter().enumerate().map(of_kind).fold(1, i64::saturating_add).min(i64::MAX / 1_000)
}

/// What one search tells another.
#[derive(Debug, Clone)]
pub(super) struct News {
    best: Option<(i64, Boards)>,
    bound: i64,
    ceiling: i64,
    exact: bool,
    /// Nodes done since the last time.
    pub(super) nodes: u32,
}

/// Best plan and bound so far.
pub(super) struct State<'a, 'b, 'c> {
    pub(super) pricer: &'a Pricer<'a>,
    /// What is wanted, from what is there.
    pub(super) wanted: Rest,
    pub(super) best: Option<(i64, Boards)>,
    pub(super) bound: i64,
    /// All boards that could be of use cost less than this.
    ceiling: i64,
    /// False when sizes are rounded, so that the model's bounds do not hold for the job.
    exact: bool,
    /// False while a part of a plan is packed, which is no news.
    told: bool,
    pub(super) watch: Watcher<'a, 'b, 'c>,
}

impl<'a, 'b, 'c> State<'a, 'b, 'c> {
    pub(super) fn new(pricer: &'a Pricer<'a>, wanted: Rest, ceiling: i64, watch: Watcher<'a, 'b, 'c>) -> Self {
        Self { pricer, wanted, best: None, bound: 0, ceiling, exact: true, told: true, watch }
    }

    /// The same for a part of the needs, of interest below `ceiling`.
    pub(super) fn part(&self, wanted: Rest, ceiling: i64) -> Self {
        Self { told: false, ..Self::new(self.pricer, wanted, ceiling, self.watch) }
    }

    /// The same as that of another search.
    pub(super) fn second(pricer: &'a Pricer<'a>, wanted: Rest, news: &News, watch: Watcher<'a, 'b, 'c>) -> Self {
        let News { best, bound, ceiling, exact, .. } = news.clone();
        Self { best, bound, exact, ..Self::new(pricer, wanted, ceiling, watch) }
    }
}

impl State<'_, '_, '_> {
    /// A plan must cost less than this to be of interest: the best one's cost, or what no plan
    /// without superfluous boards reaches.
    pub(super) fn limit(&self) -> i64 {
        self.best.as_ref().map_or(self.ceiling, |best| best.0)
    }

    pub(super) fn is_proven(&self) -> bool {
        self.limit() <= self.bound
    }

    pub(super) fn news(&self) -> News {
        News { best: self.best.clone(), bound: self.bound, ceiling: self.ceiling, exact: self.exact, nodes: 0 }
    }

    /// Takes over what another search has found.
    pub(super) fn hear(&mut self, news: News) {
        self.watch.borrow_mut().nodes += news.nodes;
        if news.best.as_ref().is_some_and(|best| best.0 < self.limit()) {
            self.best = news.best;
        }
        self.prove(news.bound);
    }

    pub(super) fn stop(&self) -> bool {
        let mut watch = self.watch.borrow_mut();
        if self.told {
            watch.here = (self.best.as_ref().map(|best| best.0), self.bound);
        }
        watch.stop()
    }

    /// Raises the bound to the next cost that boards can add up to.
    pub(super) fn raise(&mut self, bound: i64) {
        let model = self.pricer.model;
        let boards: Vec<(i64, u32, u32)> =
            model.kinds.iter().zip(self.most_boards()).map(|(kind, most)| (kind.cost, 0, most)).collect();
        let limit = bound.saturating_mul(2).saturating_add(100_000);
        self.bound = self.bound.max(Lattice::new(&boards, limit).at_least(bound)).min(self.limit());
    }

    /// More boards than this of each kind are never of use.
    pub(super) fn most_boards(&self) -> Vec<u32> {
        let model = self.pricer.model;
        let there = |kind: usize| self.wanted.stock[kind].unwrap_or(u32::MAX);
        (0..model.kinds.len()).map(|kind| model.most_boards(kind, &self.wanted.need).min(there(kind))).collect()
    }

    /// Raises the bound to one that the search has proven, never above the best plan.
    pub(super) fn prove(&mut self, bound: i64) {
        if self.exact {
            self.bound = self.bound.max(bound.min(self.limit()));
        }
    }

    /// Takes a plan that is better and that covers every need from the stock there is.
    pub(super) fn offer(&mut self, boards: Boards) {
        let model = self.pricer.model;
        let cost = fill::cost(model, &boards);
        if cost < self.limit() && fill::serves(model, &boards, &self.wanted) {
            self.best = Some((cost, boards));
        }
    }

    /// A first plan before anything is solved, every part worth its size: soon there, so that a stop is
    /// heard from then on.
    fn plan_by_size(&mut self) {
        let model = self.pricer.model;
        let size = |part: usize| {
            let variant = model.variants.iter().find(|variant| variant.part == part);
            // In square millimetres; the largest piece there can be stays far below any overflow.
            variant.map_or(1, |v| (v.length.nm() / 1_000_000).max(1) * (v.rip.nm() / 1_000_000).max(1))
        };
        let mut rest = self.wanted.clone();
        // The first milling of each part, whichever suits better.
        let first = |v: usize| model.variants[..v].iter().all(|known| known.part != model.variants[v].part);
        rest.banned = (0..model.variants.len()).map(|v| !first(v)).collect();
        let values = rest.values((0..model.parts.len()).map(size).collect());
        if let Some(boards) = fill::greedy(self.pricer, &rest, &values, self.limit()) {
            self.offer(boards);
        }
        self.stop();
    }

    /// Plans from the linear program: its whole part, then the rest board by board with shaken
    /// prices.
    pub(super) fn first_plans(&mut self, rest: &Rest, root: &Root, columns: &mut Columns<'_, '_, '_>, tries: u32) {
        let values = rest.values(root::need_values(&root.duals));
        let (fixed, tail) = self.whole_part(rest, root, columns);
        let spent = fill::cost(self.pricer.model, &fixed);
        for attempt in 0..tries {
            if self.is_proven() || self.stop() {
                return;
            }
            let mut noise = Noise::new(u64::from(attempt) + 1);
            let share = u64::from(attempt % 8) * 60;
            let part = values.part.iter().map(|&value| noise.shake(value.max(1), share)).collect();
            let shaken = rest.values(part);
            let limit = self.limit().saturating_sub(spent);
            if let Some(mut boards) = fill::greedy(self.pricer, &tail, &shaken, limit) {
                boards.extend(fixed.iter().cloned());
                self.offer(boards);
            }
        }
    }

    /// Cuts the whole part of the linear program again and again, as long as there is one.
    fn whole_part(&mut self, rest: &Rest, root: &Root, columns: &mut Columns<'_, '_, '_>) -> (Boards, Rest) {
        let mut rest = rest.clone();
        let mut fixed: Boards = Vec::new();
        let mut root = root.clone();
        loop {
            let mut some = false;
            for (pattern, value) in &root.patterns {
                let times = rest.times(pattern).min((value + 1e-6).floor() as u32);
                if times > 0 {
                    rest.cut(pattern, times);
                    fixed.push((pattern.clone(), times));
                    some = true;
                }
            }
            if !some || rest.is_covered() || self.stop() {
                return (fixed, rest);
            }
            root = columns.solve(&rest).0;
        }
    }
}

/// What is missing when all boards are cut: the fullest cutting that was found.
pub(super) fn missing(pricer: &Pricer<'_>, rest: &Rest, root: &Root) -> Vec<(usize, u32)> {
    let model = pricer.model;
    let mut rest = rest.clone();
    let part = root.duals.iter().map(|&dual| (dual.min(1e6) * 1e6) as i64 + 1).collect();
    let values = rest.values(part);
    loop {
        let filled = model
            .modes
            .iter()
            .filter(|mode| rest.stock[mode.kind] != Some(0))
            .map(|&mode| fill::board(pricer, mode, &values, &rest.need))
            .max_by_key(|pattern| pattern.units.iter().map(|&(p, n)| i64::from(n.min(rest.need[p]))).sum::<i64>());
        match filled {
            Some(pattern) if !pattern.units.is_empty() && !rest.is_covered() => {
                let times = rest.times(&pattern).max(1);
                rest.cut(&pattern, times);
            }
            _ => break,
        }
    }
    let parts = model.parts.iter().zip(rest.need);
    parts.filter(|(_, units)| *units > 0).map(|(part, units)| (part.index, units.saturating_mul(part.unit))).collect()
}
