//! The master of the search: rip patterns and board cuts as columns of their own.
//!
//! A column `Rips` fills one span of one class with rips, a column `Cut` cuts one board into spans; a
//! link row per class and span says that no more spans are filled than cut. The bound equals that
//! of whole-board columns, with far fewer of them, because fillings and cuts recombine.

mod bounds;
mod count;
mod duals;
mod rounded;
mod rounding;
mod surplus;
#[cfg(all(test, feature = "deep"))]
mod tests;

use std::collections::BTreeMap;
use std::rc::Rc;

pub(super) use count::{Bounds, Branch, Column, Count};
pub(super) use rounded::Rounded;
pub(super) use rounding::Look;
use rounding::Row;

use super::Watcher;
use super::cover::Cover;
use super::listed::{Lists, Offers};
use super::model::Mode;
use super::pricing::{Priced, Pricer, Rips, Values};
use super::search::State;
use crate::packing::simplex::{Basis, Outcome, Simplex};

/// What solving a node gave.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    /// No plan within the node's bounds costs less, in cents.
    pub(super) bound: i64,
    /// What boards within the node's bounds must be worth, at the duals that prove the bound.
    pub(super) cover: Cover,
    /// The values that prove it.
    pub(super) values: Values,
}

/// The linear program with its columns and rows by name.
pub(super) struct Master<'a, 'b, 'c> {
    pub(super) pricer: &'a Pricer<'a>,
    watch: Watcher<'a, 'b, 'c>,
    /// Work done in pricing, in touched cells.
    priced: u64,
    pub(super) simplex: Simplex,
    pub(super) columns: Vec<Column>,
    known: BTreeMap<Column, usize>,
    parts: Vec<usize>,
    links: BTreeMap<Key, usize>,
    counts: BTreeMap<Count, usize>,
    /// The columns of what the counts lack.
    lacks: BTreeMap<Count, usize>,
    /// Rounding cuts with their rows.
    rounded: Vec<Row>,
    /// Columns of what plans cut beyond the needs, by part, and whether that is paid for.
    surplus: Vec<usize>,
    pays: bool,
    /// Columns of what rows lacked that are gone.
    spare: Vec<usize>,
    bounds: Bounds,
    need: Vec<u32>,
    most: Vec<u32>,
    banned: Vec<bool>,
    /// True while spans may hold what shorter ones would hold as well: in dives, where cuts are
    /// fixed before fillings.
    loose: bool,
    penalty: f64,
    dearest: f64,
    /// What duals are multiplied by.
    scale: f64,
    /// The columns that plans can hold, where they are known.
    lists: Option<Rc<Lists>>,
    /// Work after which a program is left as it is, its bound as far as it got.
    most_work: u64,
}

/// Layout, class and span.
pub(super) type Key = (usize, usize, usize);

/// Rounds of column generation at one node.
pub(super) const ROUNDS: usize = 200;
/// A column must gain this share of the dearest board.
const GAIN: f64 = 1e-7;
/// Link rows are degenerate; a little slack of this size each keeps the simplex moving.
const SLACK: f64 = 1e-7;
/// Columns cost more than their board by this share of the dearest one, each a little different.
const TIE: f64 = 2e-8;

/// What columns are worth: of all there are, or of those listed.
enum Prices<'a> {
    Priced(Priced),
    Listed(Offers<'a>),
}

impl Prices<'_> {
    fn board(&self, mode: Mode) -> Option<i64> {
        match self {
            Self::Priced(priced) => Some(priced.board(mode)),
            Self::Listed(offers) => offers.board(mode),
        }
    }
}

impl<'a, 'b, 'c> Master<'a, 'b, 'c> {
    /// A master without columns; `penalty` in cents is the price of a missing unit.
    pub(super) fn new(state: &State<'a, 'b, 'c>, penalty: f64) -> Self {
        let (pricer, watch, need) = (state.pricer, state.watch, &state.wanted.need);
        let model = pricer.model;
        let most = state.most_boards();
        let mut master = Self {
            pricer,
            watch,
            priced: 0,
            simplex: Simplex::default(),
            columns: Vec::new(),
            known: BTreeMap::new(),
            parts: Vec::new(),
            links: BTreeMap::new(),
            counts: BTreeMap::new(),
            lacks: BTreeMap::new(),
            rounded: Vec::new(),
            surplus: Vec::new(),
            pays: false,
            spare: Vec::new(),
            bounds: Bounds::new(),
            need: need.clone(),
            most,
            banned: Vec::new(),
            loose: false,
            penalty,
            scale: 1.0,
            most_work: u64::MAX,
            lists: None,
            dearest: model.kinds.iter().map(|kind| kind.cost).max().unwrap_or(1).max(1) as f64,
        };
        for &units in need {
            let row = master.simplex.row(f64::from(units), f64::INFINITY, &[]);
            master.missing(row);
            master.parts.push(row);
        }
        master.count_row(Count::Boards);
        for kind in 0..model.kinds.len() {
            master.count_row(Count::Kind(kind));
        }
        master
    }

    fn missing(&mut self, row: usize) {
        self.simplex.col(self.penalty, &[(row, 1.0)]);
        self.columns.push(Column::Missing);
    }

    /// A column for what a row lacks, made anew only where none is to spare.
    fn lacking(&mut self, row: usize) -> usize {
        if let Some(col) = self.spare.pop() {
            self.simplex.renew(col, &[(row, 1.0)]);
            return col;
        }
        self.missing(row);
        self.columns.len() - 1
    }

    /// The row of a count, made when it is first asked for.
    fn count_row(&mut self, count: Count) -> usize {
        if let Some(&row) = self.counts.get(&count) {
            return row;
        }
        let model = self.pricer.model;
        let entries: Vec<(usize, f64)> = (0..self.columns.len())
            .map(|col| (col, f64::from(count.of(model, &self.columns[col]))))
            .filter(|(_, times)| *times > 0.0)
            .collect();
        let (lower, upper) = self.natural(count);
        let row = self.simplex.row(f64::from(lower), f64::from(upper), &entries);
        let lacks = self.lacking(row);
        self.lacks.insert(count, lacks);
        self.counts.insert(count, row);
        row
    }

    /// Moves to a node: its bounds and the variants it must not use.
    pub(super) fn enter(&mut self, bounds: &Bounds, banned: &[bool]) {
        for &count in bounds.keys() {
            self.count_row(count);
        }
        self.bounds = bounds.clone();
        let counts: Vec<(Count, usize)> = self.counts.iter().map(|(&count, &row)| (count, row)).collect();
        for (count, row) in counts {
            let natural = self.natural(count);
            let (low, high) = bounds.get(&count).copied().unwrap_or(natural);
            self.simplex.bound_row(row, f64::from(low), f64::from(high.min(natural.1)).max(f64::from(low)));
        }
        if self.banned != banned {
            self.banned = banned.to_vec();
            for col in 0..self.columns.len() {
                self.ban(col);
            }
        }
        self.simplex.doze();
    }

    /// Lets spans hold what shorter ones would hold as well, or not.
    pub(super) fn loosen(&mut self, loose: bool) {
        self.loose = loose;
        (0..self.columns.len()).for_each(|col| self.ban(col));
    }

    fn ban(&mut self, col: usize) {
        let column = &self.columns[col];
        let banned = match column {
            Column::Missing => return,
            Column::Rips(rips) => {
                rips.rips.iter().any(|(hold, _)| self.banned.get(hold.variant).is_some_and(|&b| b))
                    || !self.loose && !self.pricer.model.is_tight(rips)
            }
            Column::Cut(..) => false,
        };
        let banned = banned || self.lists.as_ref().is_some_and(|lists| !lists.holds(column));
        self.simplex.bound_col(col, 0.0, if banned { 0.0 } else { f64::INFINITY });
    }

    /// Keeps to columns that are listed, or to none in particular.
    pub(super) fn keep_to(&mut self, lists: Option<&Rc<Lists>>) {
        self.pay_surplus(lists.is_some());
        let same = match (&self.lists, lists) {
            (None, None) => true,
            (Some(a), Some(b)) => Rc::ptr_eq(a, b),
            _ => false,
        };
        if !same {
            self.lists.iter().for_each(|lists| lists.forget());
            self.lists = lists.cloned();
            (0..self.columns.len()).for_each(|col| self.ban(col));
        }
    }

    /// Adds a column unless it is there; true when it is new.
    pub(super) fn add(&mut self, column: Column) -> bool {
        if self.known.contains_key(&column) {
            return false;
        }
        let model = self.pricer.model;
        let mut entries: Vec<(usize, f64)> = Vec::new();
        let mut cost = 0.0;
        match &column {
            Column::Missing => {}
            Column::Rips(rips) => {
                entries.extend(rips.units(model).into_iter().map(|(part, n)| (self.parts[part], f64::from(n))));
                entries.push((self.link((rips.layout, rips.class, rips.span)), -1.0));
            }
            Column::Cut(mode, spans) => {
                cost = model.kinds[mode.kind].cost as f64;
                for &(span, count) in spans {
                    entries.push((self.link((mode.layout, mode.class, span)), f64::from(count)));
                }
            }
        }
        let counted = self.counts.iter().map(|(count, &row)| (row, f64::from(count.of(model, &column))));
        entries.extend(counted.filter(|(_, times)| *times > 0.0));
        let rounded = self.rounded.iter().map(|known| (known.row, known.sum.scaled(model, &column)));
        entries.extend(rounded.filter(|(_, times)| times.abs() > 0.0));
        // Ties between fillings that cost nothing would stall the dual simplex.
        let tie = 1.0 + (self.columns.len() * 7919 % 1024) as f64 / 1024.0;
        cost += TIE * tie * self.dearest;
        self.known.insert(column.clone(), self.columns.len());
        self.columns.push(column);
        let col = self.simplex.col(cost, &entries);
        self.ban(col);
        true
    }

    fn link(&mut self, key: Key) -> usize {
        let next = self.links.len();
        *self.links.entry(key).or_insert_with(|| {
            // Different for every row, or the rows would stay tied.
            let slack = SLACK * (1.0 + (next % 17) as f64 / 17.0);
            self.simplex.row(-slack, f64::INFINITY, &[])
        })
    }

    /// Adds a pattern's cut and fillings.
    pub(super) fn add_pattern(&mut self, mode: Mode, spans: &[(Rips, u32)]) {
        let mut cut: Vec<(usize, u32)> = Vec::new();
        for (rips, count) in spans {
            self.add(Column::Rips(rips.clone()));
            match cut.iter_mut().find(|(span, _)| *span == rips.span) {
                Some((_, sum)) => *sum += count,
                None => cut.push((rips.span, *count)),
            }
        }
        cut.sort_unstable();
        self.add(Column::Cut(mode, cut));
    }

    /// The listener says stop.
    pub(super) fn is_stopped(&self) -> bool {
        self.watch.borrow_mut().stop()
    }

    /// Work done so far, the same on every machine.
    pub(super) fn work(&self) -> u64 {
        self.simplex.work + self.priced
    }

    /// Leaves programs as they are once so much work is done.
    pub(super) fn stop_at(&mut self, work: u64) {
        self.most_work = work;
    }

    /// Counts work done elsewhere.
    pub(super) fn add_work(&mut self, work: u64) {
        self.priced += work;
    }

    /// Duals of the parts alone, for filling boards.
    pub(super) fn part_values(&self) -> Values {
        let part = self.parts.iter().map(|&row| self.micro(row).max(0)).collect();
        Values { part, banned: self.banned.clone(), ..Values::default() }
    }

    /// Solves the linear program within the node's bounds, pricing columns with rips up to `need`,
    /// until nothing gains or the bound reaches what `enough` accepts. `None` when that fails or the
    /// listener stops it.
    pub(super) fn solve(&mut self, need: &[u32], rounds: usize, enough: impl Fn(i64) -> bool) -> Option<Solved> {
        let mut solved =
            Solved { bound: 0, cover: Cover { needed: 0, worth: vec![0; self.most.len()] }, values: Values::default() };
        for _ in 0..rounds {
            if self.simplex.solve() != Outcome::Optimal || self.watch.borrow_mut().stop() {
                return None;
            }
            self.rescale();
            let values = self.values();
            let lists = self.lists.clone();
            let prices = match &lists {
                Some(lists) => Prices::Listed(lists.price(self.pricer.model, &values)),
                None => Prices::Priced(self.pricer.price(&values, need)),
            };
            self.priced += lists.as_ref().map_or_else(|| self.pricer.work(), |lists| lists.work());
            let cover = self.cover(&values, |mode| prices.board(mode));
            let bound = self.proven(&cover);
            if bound >= solved.bound {
                solved = Solved { bound, cover, values: values.clone() };
            }
            let value = self.simplex.cost();
            let closed = solved.bound as f64 >= value - 1e-6 * value.max(1.0);
            if enough(solved.bound)
                || closed
                || self.work() > self.most_work
                || !match &prices {
                    Prices::Listed(offers) => self.add_listed(offers, &values),
                    Prices::Priced(priced) => self.add_gaining(&values, priced, need),
                }
            {
                break;
            }
        }
        Some(solved)
    }

    /// Estimates what the linear program costs with a count, or the use of a column, within `range`.
    pub(super) fn probe(&mut self, on: Branch, (low, high): (u32, u32), pivots: usize) -> f64 {
        let range = (f64::from(low), f64::from(high));
        match on {
            Branch::Count(count) => {
                let row = self.count_row(count);
                self.simplex.probe_row(row, range, pivots)
            }
            Branch::Column(col) => self.simplex.probe_col(col, range, pivots),
        }
    }

    pub(super) fn snapshot(&self) -> Basis {
        self.simplex.snapshot()
    }

    /// Fixes the number of all boards.
    pub(super) fn fix_boards(&mut self, boards: u32) {
        let row = self.count_row(Count::Boards);
        self.simplex.bound_row(row, f64::from(boards), f64::from(boards));
    }

    /// Frees a column that a dive had fixed.
    pub(super) fn free(&mut self, col: usize) {
        self.simplex.bound_col(col, 0.0, f64::INFINITY);
        self.ban(col);
    }

    pub(super) fn banned(&self) -> &[bool] {
        &self.banned
    }
}
