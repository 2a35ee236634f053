//! The linear bound of the whole job: whole-board columns, priced exactly, until none is missing.
//!
//! Gilmore and Gomory, "A linear programming approach to the cutting-stock problem", Operations
//! Research 9 (1961). The bound is recomputed in whole numbers from rounded duals, so it holds
//! whatever the solver's tolerance.

use std::collections::BTreeSet;

use super::Watcher;
use super::fill::Rest;
use super::model::{Mode, Model};
use super::pricing::{Pricer, Rips, Values};
use crate::packing::lp::{Program, Sense};
use crate::packing::simplex::{Outcome, Simplex};

/// One way to cut one board.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern {
    pub(super) mode: Mode,
    /// Filled spans, each with how many are equal.
    pub(super) spans: Vec<(Rips, u32)>,
    /// Units of each part.
    pub(super) units: Vec<(usize, u32)>,
}

/// What the linear program knows.
#[derive(Debug, Clone)]
pub(super) struct Root {
    /// Columns with their values, those above 0 only.
    pub(super) patterns: Vec<(Pattern, f64)>,
    /// Duals of the parts in cents per unit.
    pub(super) duals: Vec<f64>,
    /// No plan costs less, in cents; `None` when the boards cannot cover the needs.
    pub(super) bound: Option<i64>,
}

/// Duals are rounded to this share of a cent.
pub(super) const MICRO: i64 = 1_000_000;

/// Largest dual in micro-cents: keeps every knapsack sum inside an `i64`.
pub(super) const DUAL_LIMIT: f64 = 1e14;

/// Rounds of column generation after which the bound so far is taken.
const ROUNDS: usize = 400;

/// Work that a program is given although nobody waits for it any more: without it its species would have no
/// bound worth the name. About a tenth of a second.
const GRACE: u64 = 100_000_000;

/// A column must gain this share of its board's price.
const GAIN: f64 = 1e-7;

/// Added to a column's price in cents, times up to a thousand, to break ties.
const TIE: f64 = 1e-8;

/// How many times dearer than any board a missing unit is, tried in turn.
const PENALTIES: [f64; 3] = [4.0, 200.0, 20_000.0];

impl Pattern {
    pub(super) fn new(model: &Model, mode: Mode, spans: Vec<(Rips, u32)>) -> Self {
        let mut units: Vec<(usize, u32)> = Vec::new();
        for (rips, count) in &spans {
            for (part, more) in rips.units(model) {
                match units.iter_mut().find(|(p, _)| *p == part) {
                    Some((_, sum)) => *sum += more * count,
                    None => units.push((part, more * count)),
                }
            }
        }
        units.sort_unstable();
        Self { mode, spans, units }
    }
}

/// The linear program over whole-board columns, kept warm while needs shrink.
pub(super) struct Columns<'a, 'b, 'c> {
    pricer: &'a Pricer<'a>,
    watch: Watcher<'a, 'b, 'c>,
    simplex: Simplex,
    patterns: Vec<Pattern>,
    known: BTreeSet<Pattern>,
    penalty: f64,
    /// Work done in pricing, in touched cells.
    priced: u64,
    /// Work after which the columns so far must do: jobs of hundreds of sizes would go on for minutes.
    most_work: u64,
}

impl<'a, 'b, 'c> Columns<'a, 'b, 'c> {
    /// Rows for the parts, then for the kinds; a column for each missing unit.
    fn new(pricer: &'a Pricer<'a>, watch: Watcher<'a, 'b, 'c>, (penalty, most_work): (f64, u64)) -> Self {
        let model = pricer.model;
        let mut simplex = Simplex::default();
        let parts: Vec<usize> = model.parts.iter().map(|_| simplex.row(0.0, f64::INFINITY, &[])).collect();
        model.kinds.iter().for_each(|_| {
            simplex.row(0.0, f64::INFINITY, &[]);
        });
        parts.into_iter().for_each(|row| {
            simplex.col(penalty, &[(row, 1.0)]);
        });
        Self { pricer, watch, simplex, patterns: Vec::new(), known: BTreeSet::new(), penalty, priced: 0, most_work }
    }

    fn add(&mut self, pattern: Pattern) -> bool {
        if !self.known.insert(pattern.clone()) {
            return false;
        }
        let model = self.pricer.model;
        let mut entries: Vec<(usize, f64)> = pattern.units.iter().map(|&(part, n)| (part, f64::from(n))).collect();
        entries.push((model.parts.len() + pattern.mode.kind, 1.0));
        // Ties between columns would stall the simplex.
        let tie = TIE * (self.patterns.len() * 7919 % 1024) as f64;
        self.simplex.col(model.kinds[pattern.mode.kind].cost as f64 + tie, &entries);
        self.patterns.push(pattern);
        true
    }

    /// Solves for what is needed from what is there; true when units are missing at the end.
    pub(super) fn solve(&mut self, rest: &Rest) -> (Root, bool) {
        let parts = rest.need.len();
        for (row, &units) in rest.need.iter().enumerate() {
            self.simplex.bound_row(row, f64::from(units), f64::INFINITY);
        }
        for (kind, available) in rest.stock.iter().enumerate() {
            self.simplex.bound_row(parts + kind, 0.0, available.map_or(f64::INFINITY, f64::from));
        }
        let mut root = Root { patterns: Vec::new(), duals: vec![0.0; parts], bound: Some(0) };
        for _ in 0..ROUNDS {
            if self.simplex.solve() != Outcome::Optimal || self.is_stopped() {
                break;
            }
            root.duals = (0..parts).map(|row| self.simplex.dual(row).max(0.0)).collect();
            let stock: Vec<f64> = (0..rest.stock.len()).map(|kind| self.simplex.dual(parts + kind)).collect();
            let (bound, gained) = self.price(rest, &root.duals, &stock);
            root.bound = root.bound.max(Some(bound));
            if !gained || bound as f64 >= self.simplex.cost() - 1e-6 || self.is_spent() {
                break;
            }
        }
        let value = |at: usize| self.simplex.value(parts + at);
        root.patterns = (0..self.patterns.len())
            .filter(|&at| value(at) > 1e-9)
            .map(|at| (self.patterns[at].clone(), value(at)))
            .collect();
        let missing = (0..parts).any(|col| self.simplex.value(col) > 1e-6);
        (root, missing)
    }

    /// The bound that duals prove, and the columns that gain at them; true when there were any.
    fn price(&mut self, rest: &Rest, duals: &[f64], stock: &[f64]) -> (i64, bool) {
        let model = self.pricer.model;
        let dearest = model.kinds.iter().map(|kind| kind.cost).max().unwrap_or(0).max(1) as f64;
        let values = rest.values(need_values(duals));
        self.priced += self.pricer.work();
        let priced = self.pricer.price(&values, &rest.need);
        let bound = lagrangian(model, &rest.need, &rest.stock, &values.part, |mode| priced.board(mode));
        let mut gained = false;
        for &mode in &model.modes {
            let price = model.kinds[mode.kind].cost as f64 - stock[mode.kind];
            if priced.board(mode) as f64 / MICRO as f64 > price + GAIN * dearest && rest.stock[mode.kind] != Some(0) {
                gained |= self.add(best_pattern(self.pricer, &priced, mode, (&values, &rest.need)));
            }
        }
        (bound, gained)
    }

    /// Work done so far, the same on every machine.
    pub(super) fn work(&self) -> u64 {
        self.simplex.work + self.priced
    }

    /// True when so much work is done that the program is left as it is: its bounds hold all the same.
    pub(super) fn is_spent(&self) -> bool {
        self.work() >= self.most_work
    }

    /// From here on others count the work.
    pub(super) fn work_on(&mut self) {
        self.most_work = u64::MAX;
    }

    fn is_stopped(&self) -> bool {
        self.watch.borrow_mut().stop() && self.work() >= GRACE
    }

    /// The same columns once more in the solver library, and the bound that its duals prove.
    fn second_bound(&mut self, rest: &Rest) -> i64 {
        let parts = rest.need.len();
        let master = Master::new(self.pricer.model, &rest.need, &rest.stock, (&self.patterns, self.penalty));
        let Ok(best) = master.program.solve() else { return 0 };
        let stock: Vec<f64> = master.stock_rows.iter().map(|row| row.map_or(0.0, |row| best.duals[row])).collect();
        self.price(rest, &best.duals[..parts], &stock).0
    }
}

/// Solves the linear program of what is needed from what is there with at most so much work; the columns stay for
/// later.
pub(super) fn solve<'a, 'b, 'c>(
    pricer: &'a Pricer<'a>,
    watch: Watcher<'a, 'b, 'c>,
    rest: &Rest,
    most_work: u64,
) -> (Root, Columns<'a, 'b, 'c>) {
    let dearest = pricer.model.kinds.iter().map(|kind| kind.cost).max().unwrap_or(0).max(1) as f64;
    let mut columns = Columns::new(pricer, watch, (dearest * PENALTIES[0], most_work));
    for penalty in PENALTIES {
        if penalty > PENALTIES[0] {
            columns = Columns::new(pricer, watch, (dearest * penalty, most_work));
        }
        let (mut root, missing) = columns.solve(rest);
        if missing && (columns.is_spent() || columns.is_stopped()) {
            return (root, columns);
        }
        if !missing {
            if !columns.is_stopped() {
                root.bound = root.bound.max(Some(columns.second_bound(rest)));
            }
            return (root, columns);
        }
    }
    let (mut root, _) = columns.solve(rest);
    root.bound = None;
    (root, columns)
}

/// The board that a mode is best cut into at these prices.
pub(super) fn best_pattern(
    pricer: &Pricer<'_>,
    priced: &super::pricing::Priced,
    mode: Mode,
    (values, need): (&Values, &[u32]),
) -> Pattern {
    let mut spans: Vec<(Rips, u32)> = Vec::new();
    let mut last = usize::MAX;
    for span in pricer.cut(priced, mode) {
        if span == last {
            if let Some(equal) = spans.last_mut() {
                equal.1 += 1;
            }
        } else if let Some(rips) = pricer.rips(priced, (mode.layout, mode.class, span), values, need) {
            spans.push((rips, 1));
            last = span;
        }
    }
    Pattern::new(pricer.model, mode, spans)
}

/// Duals in whole micro-cents, never rounded up.
pub(super) fn need_values(duals: &[f64]) -> Vec<i64> {
    duals.iter().map(|&dual| (dual * MICRO as f64).floor().clamp(0.0, DUAL_LIMIT) as i64).collect()
}

/// The bound that part values prove: what the needs are worth, less what each board's best pattern
/// is worth over its price, for every board there can be. Whole numbers throughout.
///
/// With unlimited boards worth more than their price the values are scaled down until none is.
pub(super) fn lagrangian(
    model: &Model,
    need: &[u32],
    stock: &[Option<u32>],
    part: &[i64],
    board: impl Fn(Mode) -> i64,
) -> i64 {
    let micro = i128::from(MICRO);
    let mut worth = vec![0i128; model.kinds.len()];
    for &mode in &model.modes {
        worth[mode.kind] = worth[mode.kind].max(i128::from(board(mode)));
    }
    // theta = numerator / denominator, the least ratio of price to worth.
    let (mut up, mut down) = (1i128, 1i128);
    for ((kind, &worth), available) in model.kinds.iter().zip(&worth).zip(stock) {
        let price = i128::from(kind.cost) * micro;
        if available.is_none() && worth > 0 && price * down < up * worth {
            (up, down) = (price, worth);
        }
    }
    let needed: i128 = need.iter().zip(part).map(|(&n, &value)| i128::from(n) * i128::from(value)).sum();
    let mut excess = 0;
    for (at, kind) in model.kinds.iter().enumerate() {
        if let Some(available) = stock[at] {
            let over = scaled_up(worth[at], up, down) - i128::from(kind.cost) * micro;
            excess += i128::from(available) * over.max(0);
        }
    }
    let total = scaled_down(needed, up, down) - excess;
    i64::try_from((total + micro - 1).div_euclid(micro)).unwrap_or(i64::MAX).max(0)
}

/// `value * up / down`, rounded down; split so that the product stays inside an `i128`.
fn scaled_down(value: i128, up: i128, down: i128) -> i128 {
    let (whole, rest) = (value.div_euclid(down), value.rem_euclid(down));
    whole * up + rest * up / down
}

fn scaled_up(value: i128, up: i128, down: i128) -> i128 {
    -scaled_down(-value, up, down)
}

/// The restricted master: missing units first, then the columns.
struct Master {
    program: Program,
    stock_rows: Vec<Option<usize>>,
}

impl Master {
    fn new(model: &Model, need: &[u32], stock: &[Option<u32>], (columns, penalty): (&[Pattern], f64)) -> Self {
        let mut program = Program::default();
        let parts: Vec<usize> = need.iter().map(|&units| program.row(Sense::AtLeast, f64::from(units))).collect();
        let stock_rows: Vec<Option<usize>> = stock
            .iter()
            .map(|available| available.filter(|&n| n > 0).map(|n| program.row(Sense::AtMost, f64::from(n))))
            .collect();
        for &row in &parts {
            program.column(penalty, vec![(row, 1.0)]);
        }
        for pattern in columns {
            let mut entries: Vec<(usize, f64)> =
                pattern.units.iter().map(|&(part, units)| (parts[part], f64::from(units))).collect();
            entries.extend(stock_rows[pattern.mode.kind].map(|row| (row, 1.0)));
            let column = (model.kinds[pattern.mode.kind].cost as f64, entries);
            if stock[pattern.mode.kind] == Some(0) {
                program.bounded_column(column.0, 0.0, column.1);
            } else {
                program.column(column.0, column.1);
            }
        }
        Self { program, stock_rows }
    }
}
