//! The linear program over levels: column generation, and a bound that is proven in integers.
//!
//! One program serves a whole search: a node is entered by changing the bounds of its rows, and the simplex goes on from
//! the basis that it has.

use std::collections::BTreeMap;

use super::effort::Effort;
use super::model::Model;
use super::pool::Pool;
use super::pricing::{Costs, Duals, LENGTH_SHIFT, price};
use super::rows::{Bounds, Column, Count, Row, UNBOUNDED, bounds, rows};
use crate::packing::lp::{Program, Sense};
use crate::packing::simplex::{Outcome, Simplex};

/// Remnants that hold at most so many of their lowest levels are filled as a whole, which bounds
/// better; longer ones get a row for their length.
const WHOLE_LEVELS: i64 = 16;
/// Nanoseconds, about, for a state of a knapsack.
pub(super) const STATE_WORK: u64 = 8;
/// The same for a coefficient that the simplex touches.
const TOUCHED: u64 = 2;
/// Rounds of column generation in one program, far above what is ever needed.
const MOST_ROUNDS: usize = 400;
/// Pivots of a probe.
const PROBED: usize = 30;
/// Kinds of pieces beyond which the outside solver is not asked: it hears no stop.
const MOST_OUTSIDE: usize = 150;
/// Cost of a lacking unit, where the dearest single level costs 1.
const LACK: f64 = 1e4;
/// The same where that does not yet prove that something must be lacking.
const DEAR_LACK: f64 = 1e7;
/// Every right-hand side is a little more, different for each row: that keeps degenerate vertices apart.
const APART: f64 = 1e-7;
/// A value above this is one.
const SOME: f64 = 1e-6;
/// What the row of a count says that has no least: nothing, so that it never has a dual that pricing does not hear of.
const NO_LEAST: f64 = -1.0;
/// Rows of counts that bind nothing and may stay.
const MOST_IDLE: usize = 24;

/// Columns found so far and the costs they have.
#[derive(Debug)]
pub(super) struct Master<'a, 'e> {
    /// Sizes, needs and bolts.
    pub model: &'a Model,
    /// Costs and what is filled as a whole.
    pub costs: Costs,
    /// Rows that hold everywhere.
    fixed: Vec<Row>,
    /// All columns found.
    pub pool: Pool,
    /// The program: a row for the need of each kind, then those of the counts.
    simplex: Simplex,
    /// Its columns, by their numbers in the pool.
    columns: Vec<usize>,
    /// Its columns of what rows lack.
    lacks: Vec<usize>,
    /// Those of rows that are gone.
    spare: Vec<usize>,
    counts: BTreeMap<Count, Counted>,
    /// Bounds of counts at the node.
    bounds: Bounds,
    /// Cost of the dearest level, in the parts of the duals.
    top: i128,
    effort: &'a Effort<'e>,
}

/// The row of a count, and its column of what that lacks.
#[derive(Debug, Clone, Copy)]
struct Counted {
    row: usize,
    lacks: usize,
}

/// The answer of one linear program.
#[derive(Debug, Default)]
pub(super) struct Relaxed {
    /// Proven lower bound on the weighted length.
    pub bound: i128,
    /// Columns in use with their values.
    pub used: Vec<(usize, f64)>,
    /// Some need is not met: no plan, or none found yet.
    pub lacks: bool,
    /// Proven: no plan obeys the rows.
    pub impossible: bool,
    /// The effort did not last: more columns may pay.
    pub unfinished: bool,
    /// Duals of the needs: what a piece of each kind is worth.
    pub worth: Vec<i128>,
}

impl<'a, 'e> Master<'a, 'e> {
    /// A program without columns. `weights` are the objective: weight times length, for each bolt.
    pub(super) fn new(model: &'a Model, weights: Vec<i64>, effort: &'a Effort<'e>) -> Self {
        let (mut whole, mut fixed) = (Vec::new(), Vec::new());
        for (bolt, reach) in model.bolts.iter().enumerate() {
            let lowest = reach.fits.first().map_or(i64::MAX, |&p| model.placements[p].along);
            let short = reach.cap.is_some_and(|cap| cap / lowest <= WHOLE_LEVELS);
            whole.push(short);
            if short {
                fixed.push(Row { count: Count::Whole { bolt }, at_least: false, rhs: 1 });
            } else if let Some(cap) = reach.cap {
                fixed.push(Row { count: Count::Length { bolt }, at_least: false, rhs: cap });
            }
        }
        let heaviest = weights.iter().copied().max().unwrap_or(1).max(1);
        let tallest = model.heights.last().copied().unwrap_or(1);
        let dearest = i128::from(heaviest) * i128::from(tallest);
        let scale = ((1_i128 << 46) / dearest).max(1);
        let mut master = Self {
            model,
            costs: Costs { weights, scale, whole },
            fixed,
            pool: Pool::default(),
            simplex: Simplex::default(),
            columns: Vec::new(),
            lacks: Vec::new(),
            spare: Vec::new(),
            counts: BTreeMap::new(),
            bounds: Bounds::new(),
            top: dearest * scale,
            effort,
        };
        for kind in &model.kinds {
            let row = master.simplex.row(kind.need as f64 + apart(master.lacks.len()), f64::INFINITY, &[]);
            master.lacking(row);
        }
        master
    }

    /// A column for what a row lacks, made anew only where none is to spare.
    fn lacking(&mut self, row: usize) -> usize {
        if let Some(col) = self.spare.pop() {
            self.simplex.renew(col, &[(row, 1.0)]);
            return col;
        }
        let col = self.simplex.col(LACK, &[(row, 1.0)]);
        self.lacks.push(col);
        col
    }

    /// Lengths enter the program as parts of the tallest level, so that figures are near one.
    fn figure(&self, figure: i64, count: Count) -> f64 {
        match count {
            Count::Length { .. } => figure as f64 / self.model.heights.last().copied().unwrap_or(1) as f64,
            _ => figure as f64,
        }
    }

    fn figure_of(&self, column: &Column, count: Count) -> f64 {
        self.figure(column.figure(self.model, count), count)
    }

    fn cost_of(&self, column: &Column) -> f64 {
        let weight = i128::from(self.costs.weights[column.bolt]) * self.costs.scale;
        (weight * i128::from(column.length(self.model))) as f64 / self.top as f64
    }

    /// Pieces that a column makes, by the row of their need.
    fn needs_of(&self, column: &Column) -> Vec<(usize, f64)> {
        column.covers(self.model).into_iter().map(|(kind, count)| (kind, count as f64)).collect()
    }

    /// Adds a column of the pool to the program, or takes it into play again.
    fn play(&mut self, number: usize) {
        if let Some(&col) = self.columns.get(number) {
            self.simplex.bound_col(col, 0.0, f64::INFINITY);
            return;
        }
        assert_eq!(number, self.columns.len(), "columns enter the program in the order of the pool");
        let column = self.pool.get(number);
        let mut entries = self.needs_of(column);
        for (&count, counted) in &self.counts {
            let figure = self.figure_of(column, count);
            if figure != 0.0 {
                entries.push((counted.row, figure));
            }
        }
        let cost = self.cost_of(column);
        self.columns.push(self.simplex.col(cost, &entries));
    }

    /// The row of a count, made when it is first asked for.
    fn count_row(&mut self, count: Count) -> usize {
        if let Some(counted) = self.counts.get(&count) {
            return counted.row;
        }
        let figures = self.columns.iter().enumerate();
        let figures = figures.map(|(number, &col)| (col, self.figure_of(self.pool.get(number), count)));
        let entries: Vec<(usize, f64)> = figures.filter(|(_, figure)| *figure != 0.0).collect();
        let row = self.simplex.row(NO_LEAST, f64::INFINITY, &entries);
        let lacks = self.lacking(row);
        self.counts.insert(count, Counted { row, lacks });
        row
    }

    /// Drops rows of counts that are not bounded here, as far as they bind nothing and once there are many: every row
    /// makes all pivots slower.
    fn tidy(&mut self) {
        let idle = |(count, counted): &(&Count, &Counted)| {
            !self.bounds.contains_key(count) && self.simplex.rest(counted.row).is_none()
        };
        let gone: Vec<Count> = self.counts.iter().filter(idle).map(|(&count, _)| count).collect();
        if gone.len() < MOST_IDLE {
            return;
        }
        let mut rows = Vec::new();
        for counted in gone.iter().filter_map(|count| self.counts.remove(count)) {
            self.simplex.bound_col(counted.lacks, 0.0, 0.0);
            self.spare.push(counted.lacks);
            rows.push(counted.row);
        }
        let moved = self.simplex.drop_rows(&rows);
        self.counts.values_mut().for_each(|counted| counted.row = moved[counted.row]);
    }

    /// Moves to a node, whose bounds are known.
    fn enter(&mut self) {
        self.tidy();
        for count in self.bounds.keys().copied().collect::<Vec<_>>() {
            self.count_row(count);
        }
        let counts: Vec<(Count, usize)> = self.counts.iter().map(|(&count, counted)| (count, counted.row)).collect();
        for (count, row) in counts {
            let (low, high) = self.range(count, self.bounds.get(&count).copied().unwrap_or(UNBOUNDED));
            self.simplex.bound_row(row, low, high);
        }
        self.pool.next();
        for number in self.columns.len()..self.pool.len() {
            self.play(number);
        }
        for number in 0..self.columns.len() {
            let upper = if self.pool.is_lately(number) { f64::INFINITY } else { 0.0 };
            self.simplex.bound_col(self.columns[number], 0.0, upper);
        }
        self.simplex.doze();
    }

    /// Bounds of a count in the program.
    fn range(&self, count: Count, (low, high): (i64, i64)) -> (f64, f64) {
        let apart = apart(self.counts.get(&count).map_or(0, |counted| counted.row));
        let lower = if low > 0 { self.figure(low, count) + apart } else { NO_LEAST };
        (lower, if high == i64::MAX { f64::INFINITY } else { self.figure(high, count) + apart })
    }

    /// Duals as integers with the signs that prove a bound.
    fn duals(&self, floats: &[f64], rows: &[Row]) -> Duals {
        let top = self.top as f64;
        let tallest = self.model.heights.last().copied().unwrap_or(1) as f64;
        let of_row = |row: &Row| {
            let scale = match row.count {
                Count::Length { .. } => f64::from(1_u32 << LENGTH_SHIFT) / tallest,
                _ => 1.0,
            };
            let dual = self.counts.get(&row.count).map_or(0.0, |counted| floats[counted.row]);
            let whole = (dual * top * scale).floor() as i128;
            if row.at_least { whole.max(0) } else { whole.min(0) }
        };
        let needs = &floats[..self.model.kinds.len()];
        Duals {
            kinds: needs.iter().map(|&dual| ((dual * top).floor() as i128).max(0)).collect(),
            rows: rows.iter().map(of_row).collect(),
        }
    }

    /// Solves the program with the extra rows. Stops early once `enough` says that the bound is high
    /// enough or the work too much.
    pub(super) fn relax(&mut self, extra: &[Row], enough: &mut dyn FnMut(i128) -> bool) -> Relaxed {
        self.bounds = bounds(self.fixed.iter().chain(extra));
        if self.bounds.values().any(|(low, high)| low > high) {
            return Relaxed { impossible: true, ..Relaxed::default() };
        }
        self.enter();
        let rows = rows(&self.bounds);
        let mut relaxed = Relaxed::default();
        let closed = self.generate(&rows, &mut relaxed, enough);
        relaxed.lacks = self.lacks();
        // Where the bound is enough nobody asks whether there is a plan at all.
        let open = relaxed.lacks && !closed;
        relaxed.impossible = open && (self.impossible(&rows) || self.impossible_at_last(&rows, &mut relaxed));
        relaxed.unfinished = self.effort.is_over();
        relaxed.used = self.used();
        relaxed.used.iter().for_each(|&(number, _)| self.pool.used(number));
        relaxed
    }

    /// Column generation from the columns in play; true when the bound became enough.
    fn generate(&mut self, rows: &[Row], relaxed: &mut Relaxed, enough: &mut dyn FnMut(i128) -> bool) -> bool {
        let least = self.top >> 36;
        for _ in 0..MOST_ROUNDS {
            let solved = self.solve();
            let duals = self.duals(self.simplex.duals(), rows);
            let priced = price(self.model, &self.costs, rows, &duals, least, self.effort);
            relaxed.worth = duals.kinds;
            let Some(priced) = priced else { return false };
            relaxed.bound = relaxed.bound.max(priced.bound);
            if !solved || self.effort.is_over() {
                return false;
            }
            if enough(relaxed.bound) {
                return true;
            }
            let mut more = false;
            for column in priced.columns {
                let number = self.pool.add(column);
                more |= self.columns.get(number).is_none_or(|&col| self.simplex.col_bounds(col).1 <= 0.0);
                self.play(number);
            }
            if !more {
                return false;
            }
        }
        false
    }

    /// Something is lacking in the program as it stands.
    fn lacks(&self) -> bool {
        self.lacks.iter().any(|&col| self.simplex.value(col) > SOME)
    }

    /// Solves the program over the columns in play; false when that fails.
    fn solve(&mut self) -> bool {
        let before = self.simplex.work;
        let outcome = self.simplex.solve();
        self.effort.spend(TOUCHED * (self.simplex.work - before));
        outcome == Outcome::Optimal
    }

    /// Columns in use with their values.
    fn used(&self) -> Vec<(usize, f64)> {
        let values = self.columns.iter().enumerate().map(|(number, &col)| (number, self.simplex.value(col)));
        values.filter(|(_, value)| *value > SOME).collect()
    }

    /// How much dearer the program gets with one more row, over the columns it has and after a few pivots: an estimate,
    /// in parts of the dearest level.
    pub(super) fn probe(&mut self, row: Row) -> f64 {
        let at = self.count_row(row.count);
        let (low, high) = self.bounds.get(&row.count).copied().unwrap_or(UNBOUNDED);
        let narrowed = if row.at_least { (low.max(row.rhs), high) } else { (low, high.min(row.rhs)) };
        let (range, before) = (self.range(row.count, narrowed), self.simplex.work);
        let dearer = self.simplex.probe_row(at, range, PROBED) - self.simplex.cost();
        self.effort.spend(TOUCHED * (self.simplex.work - before));
        dearer
    }

    /// The bound that the duals of an outside solver prove for the program over the columns in play.
    /// It holds whatever they are; with good ones it is a second opinion on the bound at the root.
    pub(super) fn outside_bound(&mut self) -> i128 {
        if self.model.kinds.len() > MOST_OUTSIDE {
            return 0;
        }
        let mut program = Program::default();
        for kind in &self.model.kinds {
            program.row(Sense::AtLeast, kind.need as f64);
        }
        for row in &self.fixed {
            program.row(Sense::AtMost, self.figure(row.rhs, row.count));
        }
        for column in self.pool.lately().map(|number| self.pool.get(number)) {
            let mut entries = self.needs_of(column);
            let kinds = self.model.kinds.len();
            entries.extend(self.fixed.iter().zip(kinds..).map(|(row, at)| (at, self.figure_of(column, row.count))));
            program.column(self.cost_of(column), entries);
        }
        let Ok(optimum) = program.solve() else { return 0 };
        // Here the rows that hold everywhere come first after the needs, each for its own count.
        let mut floats = optimum.duals;
        let rows = self.fixed.clone();
        let fixed = floats.split_off(self.model.kinds.len());
        floats.resize(floats.len() + self.counts.len(), 0.0);
        for (row, dual) in rows.iter().zip(fixed) {
            if let Some(counted) = self.counts.get(&row.count) {
                floats[counted.row] = dual;
            }
        }
        let duals = self.duals(&floats, &rows);
        price(self.model, &self.costs, &rows, &duals, self.top, self.effort).map_or(0, |priced| priced.bound)
    }

    /// Proves that no plan obeys the rows: were cloth free, the duals of the lacks would still say
    /// that a plan must cost something (Farkas).
    fn impossible(&self, rows: &[Row]) -> bool {
        let duals = self.duals(&self.simplex.duals_of(|col| self.lacks.binary_search(&col).is_ok()), rows);
        let free = Costs { weights: vec![0; self.model.bolts.len()], ..self.costs.clone() };
        let priced = price(self.model, &free, rows, &duals, i128::MAX >> 1, self.effort);
        priced.is_some_and(|priced| priced.bound > 0)
    }

    /// The same once more where what is lacking weighs so much that nothing else does; or it is lacking no longer.
    fn impossible_at_last(&mut self, rows: &[Row], relaxed: &mut Relaxed) -> bool {
        self.simplex.charge(&self.lacks, DEAR_LACK);
        self.generate(rows, relaxed, &mut |_| false);
        relaxed.lacks = self.lacks();
        let impossible = relaxed.lacks && self.impossible(rows);
        self.simplex.charge(&self.lacks, LACK);
        impossible
    }
}

/// What is added to the right-hand side of a row.
fn apart(row: usize) -> f64 {
    APART * (1.0 + ((row * 37) % 101) as f64 / 101.0)
}

#[cfg(test)]
mod tests {
    use super::super::fit::tests::problem;
    use super::super::{ClothProblem, PieceDemand};
    use super::*;
    use crate::measure::Length;

    #[test]
    fn an_outside_solver_proves_the_same_bound() {
        let piece = |along, across, count| PieceDemand {
            along: Length::from_64ths(along),
            across: Length::from_64ths(across),
            turn: false,
            count,
        };
        let pieces = vec![piece(1152, 1040, 3), piece(2912, 1008, 4), piece(2448, 1728, 2), piece(2656, 1552, 5)];
        let problem = ClothProblem { pieces, ..problem(&[], 58) };
        let model = Model::new(&problem).unwrap();
        let effort = Effort::endless();
        let mut master = Master::new(&model, vec![1], &effort);
        let relaxed = master.relax(&[], &mut |_| false);
        assert!(!relaxed.lacks && relaxed.bound > 0);
        let outside = master.outside_bound();
        assert!((outside - relaxed.bound).abs() <= 1, "{outside} {}", relaxed.bound);
        // A demand that no program row can meet is proven so.
        let rows = [Row { count: Count::Length { bolt: 0 }, at_least: false, rhs: 1 }];
        assert!(master.relax(&rows, &mut |_| false).impossible);
    }
}
