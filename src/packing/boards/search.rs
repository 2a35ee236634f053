//! One species from model to plan: bound, first plans, then the search.

use super::alone;
use super::assemble;
use super::fill::{self, Boards, Rest};
use super::lattice::Lattice;
use super::model::{Kind, Model, Rounding, TooFine, Variant};
use super::pricing::Pricer;
use super::root::{self, Columns, Root};
use super::tidy;
use super::{BoardProblem, CutBoard, Watcher};
use crate::packing::noise::Noise;

/// One species in whole numbers.
pub(super) struct Sized {
    pub(super) model: Model,
    /// Where sizes are too fine the model has them rounded so that its plans can be cut; this one so that its
    /// bounds hold.
    loose: Option<Model>,
}

impl Sized {
    pub(super) fn new(problem: &BoardProblem, label: usize) -> Self {
        let wanted = |&i: &usize| problem.parts[i].label == label && problem.parts[i].count > 0;
        let parts: Vec<usize> = (0..problem.parts.len()).filter(wanted).collect();
        let at_hand = |&i: &usize| problem.stock[i].label == label && problem.stock[i].available != Some(0);
        let stock: Vec<usize> = (0..problem.stock.len()).filter(at_hand).collect();
        match Model::build(problem, &parts, &stock, Rounding::Exact) {
            Ok(model) => Self { model, loose: None },
            Err(TooFine) => {
                let coarse = |rounding| Model::build(problem, &parts, &stock, rounding);
                let coarse = |rounding| coarse(rounding).expect("a coarse grid has few cells");
                Self { model: coarse(Rounding::Tight), loose: Some(coarse(Rounding::Loose)) }
            }
        }
    }
}

/// One species while it is packed.
pub(super) struct Wood<'a, 'b, 'c> {
    /// Its place among the species.
    pub(super) at: usize,
    pub(super) state: State<'a, 'b, 'c>,
    /// What the linear program was solved for, each part kept to one milling.
    pub(super) rest: Rest,
    pub(super) root: Root,
    pub(super) columns: Columns<'a, 'b, 'c>,
    /// Work that its first steps took.
    pub(super) spent: u64,
}

/// Parts and strips that are missing when boards run out.
pub(super) type Missing = Vec<(usize, u32)>;

impl<'a, 'b, 'c> Wood<'a, 'b, 'c> {
    /// A plan and a bound before anything is solved, every part worth its size.
    pub(super) fn by_size(pricer: &'a Pricer<'a>, at: usize, watch: Watcher<'a, 'b, 'c>) -> State<'a, 'b, 'c> {
        watch.borrow_mut().at = at;
        let whole = Rest::whole(pricer.model);
        let ceiling = ceiling(pricer.model, &whole);
        let mut state = State::new(pricer, whole, ceiling, watch);
        state.plan_by_size();
        state
    }

    /// Solves the linear program, with at most so much work.
    ///
    /// # Errors
    /// What is missing when boards run out.
    pub(super) fn new(
        sized: &Sized,
        (at, mut state): (usize, State<'a, 'b, 'c>),
        most_work: u64,
    ) -> Result<Self, Missing> {
        let (pricer, watch) = (state.pricer, state.watch);
        watch.borrow_mut().at = at;
        let whole = state.wanted.clone();
        let (mut root, mut columns) = root::solve(pricer, watch, &whole, most_work);
        let mut spent = columns.work();
        let bound = match root.bound {
            Some(bound) => bound,
            // Stopped before the program was solved.
            None if state.best.is_some() => 0,
            None => return Err(missing(pricer, &whole, &root)),
        };
        match &sized.loose {
            Some(loose) => state.bound = loose_bound(loose, watch, most_work).min(state.limit()),
            None => {
                state.bound_by_size();
                state.raise(bound);
            }
        }
        state.exact = sized.loose.is_none();
        let is_free = bound == 0;
        let rest = one_milling(pricer.model, whole, &root);
        if rest.banned.contains(&true) && !columns.is_spent() && !state.stop() {
            (root, columns) = root::solve(pricer, watch, &rest, most_work);
            spent += columns.work();
        }
        if is_free {
            root.duals = state.worth_by_size();
        }
        // Not only the program's own plan is told.
        state.stop();
        Ok(Self { at, state, rest, root, columns, spent })
    }

    /// Plans from the linear program.
    pub(super) fn first_plans(&mut self, tries: u32, most_work: u64) {
        self.turn_to();
        let before = self.columns.work();
        self.spent += self.state.first_plans((&self.rest, &self.root), &mut self.columns, (tries, most_work));
        self.spent += self.columns.work() - before;
    }

    /// From here on what is heard is about this species.
    pub(super) fn turn_to(&self) {
        self.state.watch.borrow_mut().at = self.at;
    }

    /// True where no more work is worth while: proven, or more than the linear program could take in.
    pub(super) fn is_done(&self) -> bool {
        self.state.is_proven() || self.columns.is_spent()
    }

    /// The boards as they are cut, what they cost and what no plan costs less than.
    ///
    /// # Errors
    /// What is missing when boards run out.
    pub(super) fn packed(self, problem: &BoardProblem) -> Result<(Vec<CutBoard>, i64, i64), Missing> {
        let model = self.state.pricer.model;
        let Some((_, boards)) = self.state.best else {
            return Err(missing(self.state.pricer, &self.rest, &self.root));
        };
        let mut boards = assemble::boards(problem, model, &boards);
        tidy::trim(problem, &mut boards);
        let cost = boards.iter().map(|board| problem.stock[board.stock].cost.get()).sum();
        Ok((boards, cost, self.state.bound.min(cost)))
    }
}

/// What no plan costs less than, where sizes are rounded down and rooms up; lifted by the boards of use there,
/// some of which may be too small for sizes that are rounded up.
fn loose_bound(model: &Model, watch: Watcher<'_, '_, '_>, most_work: u64) -> i64 {
    let (pricer, whole) = (Pricer::new(model), Rest::whole(model));
    let bound = root::solve(&pricer, watch, &whole, most_work).0.bound.unwrap_or(0);
    let mut state = State::new(&pricer, whole.clone(), ceiling(model, &whole), watch);
    state.bound_by_size();
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

/// Share of the best plan's cost that the needs are worth where boards cost nothing.
const FREE_SHARE: f64 = 0.25;
/// Sizes that the first plan packs together: with more it would take long to come.
const AT_ONCE: usize = 12;
/// With more sizes than this packing some of them after others takes long too.
const MANY: usize = 40;

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
            watch.tell((self.best.as_ref().map(|best| best.0), self.bound));
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

    /// A first plan before anything is solved: soon there, so that a stop is heard from then on. Where there are
    /// many sizes some are packed after others.
    fn plan_by_size(&mut self) {
        let model = self.pricer.model;
        if model.parts.len() > MANY && self.offer_alone(Boards::new(), &self.wanted.clone()) {
            self.stop();
            return;
        }
        let (values, banned) = self.sizes();
        let mut left = Rest { banned, ..self.wanted.clone() };
        let mut plan = Boards::new();
        for parts in (0..model.parts.len()).collect::<Vec<_>>().chunks(AT_ONCE) {
            let need = (0..left.need.len()).map(|part| if parts.contains(&part) { left.need[part] } else { 0 });
            let some = Rest { need: need.collect(), ..left.clone() };
            let values = some.values(values.clone());
            let Some(boards) = fill::greedy(self.pricer, &some, &values, (self.limit(), &mut |_| true)) else { return };
            boards.iter().for_each(|(pattern, count)| left.cut(pattern, *count));
            plan.extend(boards);
        }
        self.offer(plan);
        self.stop();
    }

    /// Offers boards with what they leave to be cut size by size; false where boards run out.
    fn offer_alone(&mut self, boards: Boards, tail: &Rest) -> bool {
        let Some(alone) = alone::size_by_size(self.pricer.model, tail) else { return false };
        self.offer(boards.into_iter().chain(alone).collect());
        true
    }

    /// What one unit of each part takes up of a board's face by the milling that takes least, in square
    /// millimetres: the largest piece there can be stays far below any overflow. The other millings of each part.
    fn sizes(&self) -> (Vec<i64>, Vec<bool>) {
        let model = self.pricer.model;
        let of = |v: &Variant| (v.length.nm() / 1_000_000).max(1) * (v.rip.nm() / 1_000_000).max(1);
        let size =
            |v: usize| of(&model.variants[v]).saturating_mul(i64::from(model.parts[model.variants[v].part].unit));
        let best = |part: usize| {
            let variants = (0..model.variants.len()).filter(|&v| model.variants[v].part == part);
            variants.min_by_key(|&v| (!model.is_yielded(v), size(v))).unwrap_or(0)
        };
        let best: Vec<usize> = (0..model.parts.len()).map(best).collect();
        let banned = (0..model.variants.len()).map(|v| !best.contains(&v)).collect();
        (best.into_iter().map(size).collect(), banned)
    }

    /// What units are worth where boards that cost nothing would do for all: the linear program says nothing then. Every
    /// part by its size, all needs together a share of the best plan.
    fn worth_by_size(&self) -> Vec<f64> {
        let sizes = self.sizes().0;
        let all: f64 = sizes.iter().zip(&self.wanted.need).map(|(&size, &units)| size as f64 * f64::from(units)).sum();
        sizes.iter().map(|&size| FREE_SHARE * self.limit() as f64 * size as f64 / all.max(1.0)).collect()
    }

    /// A bound before anything is solved: what all needs are worth, every part by its size, when the most that a
    /// board holds is worth its price.
    fn bound_by_size(&mut self) {
        let most = root::DUAL_LIMIT as i64;
        // Dearer than any board, to be scaled down.
        let dear = |size: &i64| size.saturating_mul(root::MICRO).min(most);
        let values = self.wanted.values(self.sizes().0.iter().map(dear).collect());
        let priced = self.pricer.price(&values, &self.wanted.need);
        let board = |mode| priced.board(mode);
        let bound = root::lagrangian(self.pricer.model, &self.wanted.need, &self.wanted.stock, &values.part, board);
        self.raise(bound);
    }

    /// Plans from the linear program: its whole part, then the rest board by board with shaken prices, until so
    /// much work is done. Returns the work, less that of the linear program.
    pub(super) fn first_plans(
        &mut self,
        (rest, root): (&Rest, &Root),
        columns: &mut Columns<'_, '_, '_>,
        (tries, most_work): (u32, u64),
    ) -> u64 {
        let values = rest.values(root::need_values(&root.duals));
        let (fixed, tail) = self.whole_part(rest, root, columns);
        if self.stop() {
            self.offer_alone(fixed, &tail);
            return 0;
        }
        let spent = fill::cost(self.pricer.model, &fixed);
        let mut work = 0;
        for attempt in 0..tries {
            if self.is_proven() || self.stop() {
                break;
            }
            let mut noise = Noise::new(u64::from(attempt) + 1);
            let share = u64::from(attempt % 8) * 60;
            let part = values.part.iter().map(|&value| noise.shake(value.max(1), share)).collect();
            let shaken = rest.values(part);
            let limit = self.limit().saturating_sub(spent);
            let mut goes_on = |more: u64| {
                work += more;
                work < most_work && !self.stop()
            };
            if let Some(mut boards) = fill::greedy(self.pricer, &tail, &shaken, (limit, &mut goes_on)) {
                boards.extend(fixed.iter().cloned());
                self.offer(boards);
            }
            if work >= most_work {
                break;
            }
        }
        work
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
