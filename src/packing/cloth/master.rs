//! The linear program over levels: column generation, and a bound that is proven in integers.

use super::effort::Effort;
use super::lp;
use super::model::Model;
use super::pool::Pool;
use super::pricing::{Costs, Duals, LENGTH_SHIFT, price};
use super::rows::{Column, Count, Row};
use super::simplex::{Side, Simplex, Sparse, Var};

/// Remnants that hold at most so many of their lowest levels are filled as a whole, which bounds
/// better; longer ones get a row for their length.
const WHOLE_LEVELS: i64 = 16;
/// Nanoseconds, about, for a state of a knapsack.
pub(super) const STATE_WORK: u64 = 8;
/// Rounds of column generation in one program, far above what is ever needed.
const MOST_ROUNDS: usize = 400;
/// Pivots of a probe.
const PROBED: usize = 30;
/// Kinds of pieces beyond which the outside solver is not asked: it hears no stop.
const MOST_OUTSIDE: usize = 150;

/// Columns found so far and the costs they have.
#[derive(Debug)]
pub(super) struct Master<'a, 'e> {
    /// Sizes, needs and bolts.
    pub model: &'a Model,
    /// Costs and what is filled as a whole.
    pub costs: Costs,
    /// Rows that hold everywhere.
    pub fixed: Vec<Row>,
    /// All columns found.
    pub pool: Pool,
    /// Cost of the dearest level, in the parts of the duals.
    top: i128,
    effort: &'a Effort<'e>,
}

/// The answer of one linear program.
#[derive(Debug)]
pub(super) struct Relaxed {
    /// Proven lower bound on the weighted length.
    pub bound: i128,
    /// Columns in use with their values.
    pub used: Vec<(usize, f64)>,
    /// Basis, to start the next from.
    pub basis: Vec<Var>,
    /// Some need is not met: no plan, or none found yet.
    pub lacks: bool,
    /// Proven: no plan obeys the rows.
    pub impossible: bool,
    /// The effort did not last: more columns may pay.
    pub unfinished: bool,
    /// Duals of the needs: what a piece of each kind is worth.
    pub worth: Vec<i128>,
    /// The program as it was solved, and the numbers of its columns.
    program: Simplex,
    play: Vec<usize>,
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
        Self {
            model,
            costs: Costs { weights, scale, whole },
            fixed,
            pool: Pool::default(),
            top: dearest * scale,
            effort,
        }
    }

    /// All rows: those that hold everywhere, then `extra`.
    fn rows(&self, extra: &[Row]) -> Vec<Row> {
        self.fixed.iter().chain(extra).copied().collect()
    }

    /// Lengths enter the program as parts of the tallest level, so that figures are near one.
    fn figure(&self, figure: i64, count: Count) -> f64 {
        match count {
            Count::Length { .. } => figure as f64 / self.model.heights.last().copied().unwrap_or(1) as f64,
            _ => figure as f64,
        }
    }

    fn sparse(&self, column: &Column, rows: &[Row]) -> Sparse {
        let kinds = self.model.kinds.len();
        let weight = i128::from(self.costs.weights[column.bolt]) * self.costs.scale;
        let cost = (weight * i128::from(column.length(self.model))) as f64 / self.top as f64;
        let mut entries: Vec<(usize, f64)> =
            column.covers(self.model).into_iter().map(|(kind, count)| (kind, count as f64)).collect();
        for (at, row) in rows.iter().enumerate() {
            let figure = column.figure(self.model, row.count);
            if figure != 0 {
                entries.push((kinds + at, self.figure(figure, row.count)));
            }
        }
        Sparse { cost, entries }
    }

    fn sides(&self, rows: &[Row]) -> Vec<Side> {
        let needs = self.model.kinds.iter().map(|kind| Side { rhs: kind.need as f64, at_least: true });
        let more = rows.iter().map(|row| Side { rhs: self.figure(row.rhs, row.count), at_least: row.at_least });
        needs.chain(more).collect()
    }

    /// Duals as integers with the signs that prove a bound.
    fn duals(&self, floats: &[f64], rows: &[Row]) -> Duals {
        let top = self.top as f64;
        let (needs, others) = floats.split_at(self.model.kinds.len());
        let tallest = self.model.heights.last().copied().unwrap_or(1) as f64;
        let of_row = |(row, &dual): (&Row, &f64)| {
            let scale = match row.count {
                Count::Length { .. } => f64::from(1_u32 << LENGTH_SHIFT) / tallest,
                _ => 1.0,
            };
            let whole = (dual * top * scale).floor() as i128;
            if row.at_least { whole.max(0) } else { whole.min(0) }
        };
        Duals {
            kinds: needs.iter().map(|&dual| ((dual * top).floor() as i128).max(0)).collect(),
            rows: rows.iter().zip(others).map(of_row).collect(),
        }
    }

    /// Solves the program with the extra rows. Stops early once `enough` says that the bound is high
    /// enough or the work too much.
    pub(super) fn relax(
        &mut self,
        extra: &[Row],
        basis: Option<&[Var]>,
        enough: &mut dyn FnMut(i128) -> bool,
    ) -> Relaxed {
        let rows = self.rows(extra);
        let mut play = self.pool.in_play(basis);
        let columns = play.iter().map(|&number| self.sparse(self.pool.get(number), &rows)).collect();
        let inner = basis.and_then(|basis| renumber(basis, |number| play.binary_search(&number).ok()));
        let mut program = Simplex::new(self.sides(&rows), columns, inner.as_deref());
        let least = self.top >> 36;
        let (mut bound, mut worth) = (0, Vec::new());
        for _ in 0..MOST_ROUNDS {
            program.solve(self.effort);
            let duals = self.duals(&program.duals(), &rows);
            let priced = price(self.model, &self.costs, &rows, &duals, least, self.effort);
            worth = duals.kinds;
            let Some(priced) = priced else { break };
            bound = bound.max(priced.bound);
            if self.effort.is_over() || enough(bound) {
                break;
            }
            let before = play.len();
            for column in priced.columns {
                let number = self.pool.add(column);
                if !play.contains(&number) {
                    play.push(number);
                    program.add(self.sparse(self.pool.get(number), &rows));
                }
            }
            if play.len() == before {
                break;
            }
        }
        let unfinished = self.effort.is_over();
        let used: Vec<(usize, f64)> = program.used().into_iter().map(|(inner, value)| (play[inner], value)).collect();
        used.iter().for_each(|&(number, _)| self.pool.used(number));
        let lacks = program.lacks();
        let impossible = lacks && self.impossible(&program, &rows);
        let basis = renumber(program.basis(), |inner| play.get(inner).copied()).unwrap_or_default();
        Relaxed { impossible, unfinished, bound, used, basis, lacks, worth, program, play }
    }

    /// How much dearer the program gets with one more row, over the columns it has and after a few pivots: an estimate,
    /// in parts of the dearest level.
    pub(super) fn probe(&self, relaxed: &Relaxed, row: Row) -> f64 {
        let figure = |&number: &usize| self.figure(self.pool.get(number).figure(self.model, row.count), row.count);
        let figures: Vec<f64> = relaxed.play.iter().map(figure).collect();
        let side = Side { rhs: self.figure(row.rhs, row.count), at_least: row.at_least };
        relaxed.program.probe(side, &figures, (PROBED, self.effort)) - relaxed.program.value()
    }

    /// The bound that the duals of an outside solver prove for the program over the columns in play.
    /// It holds whatever they are; with good ones it is a second opinion on the bound at the root.
    pub(super) fn outside_bound(&mut self) -> i128 {
        if self.model.kinds.len() > MOST_OUTSIDE {
            return 0;
        }
        let rows = self.fixed.clone();
        let columns: Vec<Sparse> = self.pool.lately().map(|at| self.sparse(self.pool.get(at), &rows)).collect();
        let Some(duals) = lp::duals(&self.sides(&rows), &columns) else { return 0 };
        let duals = self.duals(&duals, &rows);
        price(self.model, &self.costs, &rows, &duals, self.top, self.effort).map_or(0, |priced| priced.bound)
    }

    /// Proves that no plan obeys the rows: were cloth free, the duals of the lacks would still say
    /// that a plan must cost something (Farkas).
    fn impossible(&mut self, program: &Simplex, rows: &[Row]) -> bool {
        let duals = self.duals(&program.ray(), rows);
        let free = Costs { weights: vec![0; self.model.bolts.len()], ..self.costs.clone() };
        let priced = price(self.model, &free, rows, &duals, i128::MAX >> 1, self.effort);
        priced.is_some_and(|priced| priced.bound > 0)
    }
}

/// A basis with its columns numbered anew; `None` when one has no new number.
fn renumber(basis: &[Var], number: impl Fn(usize) -> Option<usize>) -> Option<Vec<Var>> {
    let renumbered = |&var: &Var| match var {
        Var::Column(column) => number(column).map(Var::Column),
        other => Some(other),
    };
    basis.iter().map(renumbered).collect()
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
        let relaxed = master.relax(&[], None, &mut |_| false);
        assert!(!relaxed.lacks && relaxed.bound > 0);
        let outside = master.outside_bound();
        assert!((outside - relaxed.bound).abs() <= 1, "{outside} {}", relaxed.bound);
        // A demand that no program row can meet is proven so.
        let rows = [Row { count: Count::Length { bolt: 0 }, at_least: false, rhs: 1 }];
        assert!(master.relax(&rows, None, &mut |_| false).impossible);
    }
}
