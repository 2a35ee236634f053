//! A bounded simplex that keeps its basis, for the thousands of small linear programs of a search.
//!
//! Nodes differ by a few bounds and columns only: the dual simplex repairs the basis after a change
//! of bounds, the primal simplex takes in new columns. The inverse is held in full, which is
//! fastest at the few hundred rows there are. Columns that are fixed at nought are put to sleep: they
//! are not looked at until they may be more again. Bounds proven from its
//! duals are recomputed in whole numbers by the caller, so its tolerances never reach a result.

mod basis;
mod inverse;
mod pivots;
#[cfg(test)]
mod tests;

use inverse::Inverse;

/// A variable: the activity of a row, or a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Var {
    Row(usize),
    Col(usize),
}

/// Where a variable rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Lower,
    Upper,
    Basic(usize),
}

#[derive(Debug, Clone, Copy)]
struct Line {
    cost: f64,
    lower: f64,
    upper: f64,
    place: Place,
}

impl Line {
    fn value(&self) -> f64 {
        if self.place == Place::Upper { self.upper } else { self.lower }
    }

    fn is_basic(&self) -> bool {
        matches!(self.place, Place::Basic(_))
    }
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// Optimal over the columns there are.
    Optimal,
    /// No point meets all bounds.
    Infeasible,
    /// Iterations ran out or the figures went bad; a fresh start may help.
    Failed,
}

/// Where a row rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rest {
    Lower,
    Upper,
    Fixed,
}

/// A basis, saved to come back to.
#[derive(Debug, Clone)]
pub(super) struct Basis {
    basis: Vec<Var>,
    rows_up: Vec<bool>,
    cols_up: Vec<bool>,
}

/// A program `min c x, lower <= A x <= upper, l <= x <= u` with its basis.
#[derive(Debug, Clone, Default)]
pub(super) struct Simplex {
    rows: Vec<Line>,
    cols: Vec<Line>,
    /// Rows and coefficients of each column.
    entries: Vec<Vec<(u32, f64)>>,
    /// Columns that are looked at, and for each column whether it is one of them.
    awake: Vec<usize>,
    is_awake: Vec<bool>,
    packed: Packed,
    basis: Vec<Var>,
    inverse: Inverse,
    /// Values of basic variables.
    x: Vec<f64>,
    /// Duals of the rows.
    y: Vec<f64>,
    /// Reduced costs of the columns awake.
    d: Vec<f64>,
    /// Coefficients of the columns awake in the line of the inverse looked at last, in their order;
    /// nought for basic ones.
    alpha: Vec<f64>,
    pivots: usize,
    /// Work done, in touched coefficients.
    pub(super) work: u64,
}

/// The entries of the columns awake once more, one column after another: most of the time goes into
/// running through them.
#[derive(Debug, Clone, Default)]
struct Packed {
    entries: Vec<(u32, f64)>,
    ends: Vec<usize>,
    /// True when they no longer are those of the columns awake.
    stale: bool,
}

impl Packed {
    fn push(&mut self, entries: &[(u32, f64)]) {
        self.entries.extend_from_slice(entries);
        self.ends.push(self.entries.len());
    }
}

/// A bound counts as met within this.
const FEASIBLE: f64 = 1e-9;
/// A reduced cost counts as nought within this share of the largest cost.
const OPTIMAL: f64 = 1e-9;
/// Pivots smaller than this are not trusted.
const PIVOT: f64 = 1e-8;
/// The inverse is checked, and made anew if bad, after so many pivots.
const CHECK_EVERY: usize = 50;

impl Simplex {
    /// Adds a row with bounds on its activity; columns added later may use it.
    pub(super) fn row(&mut self, lower: f64, upper: f64, entries: &[(usize, f64)]) -> usize {
        let at = self.rows.len();
        let mut line = vec![0.0; at + 1];
        let mut activity = 0.0;
        for &(col, coefficient) in entries {
            self.entries[col].push((at as u32, coefficient));
            self.packed.stale = true;
            match self.cols[col].place {
                Place::Basic(position) => {
                    for (sum, value) in line.iter_mut().zip(self.inverse.line(position)) {
                        *sum += coefficient * value;
                    }
                    activity += coefficient * self.x[position];
                }
                _ => activity += coefficient * self.cols[col].value(),
            }
        }
        line[at] = -1.0;
        self.inverse.push(line);
        self.rows.push(Line { cost: 0.0, lower, upper, place: Place::Basic(at) });
        self.basis.push(Var::Row(at));
        self.x.push(activity);
        self.y.push(0.0);
        at
    }

    /// Adds a column at its lower bound 0, without upper bound.
    pub(super) fn col(&mut self, cost: f64, entries: &[(usize, f64)]) -> usize {
        let at = self.cols.len();
        self.entries.push(entries.iter().map(|&(row, coefficient)| (row as u32, coefficient)).collect());
        self.cols.push(Line { cost, lower: 0.0, upper: f64::INFINITY, place: Place::Lower });
        self.d.push(self.reduced(at));
        self.awake.push(at);
        self.is_awake.push(true);
        self.packed.push(&self.entries[at]);
        at
    }

    /// Sets bounds of a row's activity.
    pub(super) fn bound_row(&mut self, row: usize, lower: f64, upper: f64) {
        self.set_bounds(Var::Row(row), lower, upper);
    }

    /// Sets bounds of a column, and wakes it when it may now be more.
    pub(super) fn bound_col(&mut self, col: usize, lower: f64, upper: f64) {
        if upper > self.cols[col].upper {
            self.wake(col);
        }
        self.set_bounds(Var::Col(col), lower, upper);
    }

    pub(super) fn col_bounds(&self, col: usize) -> (f64, f64) {
        (self.cols[col].lower, self.cols[col].upper)
    }

    /// Value of a column.
    pub(super) fn value(&self, col: usize) -> f64 {
        match self.cols[col].place {
            Place::Basic(position) => self.x[position],
            _ => self.cols[col].value(),
        }
    }

    /// Dual of a row.
    pub(super) fn dual(&self, row: usize) -> f64 {
        self.y[row]
    }

    /// Duals of all rows.
    pub(super) fn duals(&self) -> &[f64] {
        &self.y
    }

    /// Duals of all rows as they were if only these columns cost anything, each one.
    pub(super) fn duals_of(&self, costs: impl Fn(usize) -> bool) -> Vec<f64> {
        let mut duals = vec![0.0; self.rows.len()];
        for (position, &var) in self.basis.iter().enumerate() {
            if matches!(var, Var::Col(col) if costs(col)) {
                for (dual, value) in duals.iter_mut().zip(self.inverse.line(position)) {
                    *dual += value;
                }
            }
        }
        duals
    }

    /// Where a row rests; `None` for one that moves.
    pub(super) fn rest(&self, row: usize) -> Option<Rest> {
        let line = &self.rows[row];
        match line.place {
            Place::Basic(_) => None,
            _ if line.upper - line.lower <= 0.0 => Some(Rest::Fixed),
            Place::Lower => Some(Rest::Lower),
            Place::Upper => Some(Rest::Upper),
        }
    }

    /// Lines of the inverse that belong to variables farther than this from whole numbers.
    pub(super) fn fractional_lines(&self, least: f64) -> Vec<Vec<f64>> {
        let fractional = self.x.iter().enumerate().filter(|(_, x)| (*x - x.round()).abs() > least);
        fractional.map(|(position, _)| self.inverse.line(position).to_vec()).collect()
    }

    /// Cost of the present point.
    pub(super) fn cost(&self) -> f64 {
        self.awake.iter().map(|&col| self.cols[col].cost * self.value(col)).sum()
    }

    /// Looks at a column again.
    fn wake(&mut self, col: usize) {
        if std::mem::replace(&mut self.is_awake[col], true) {
            return;
        }
        self.d[col] = self.reduced(col);
        self.awake.push(col);
        self.packed.push(&self.entries[col]);
    }

    /// Puts columns to sleep that are fixed at nought.
    pub(super) fn doze(&mut self) {
        let Self { awake, is_awake, cols, packed, .. } = self;
        let before = awake.len();
        awake.retain(|&col| {
            let line = &mut cols[col];
            let sleeps = line.upper <= 0.0 && !line.is_basic();
            if sleeps {
                line.place = Place::Lower;
                is_awake[col] = false;
            }
            !sleeps
        });
        packed.stale |= awake.len() < before;
    }

    /// Packs the entries again after columns went to sleep or rows were added.
    fn repack(&mut self) {
        if !self.packed.stale {
            return;
        }
        self.packed = Packed::default();
        for &col in &self.awake {
            self.packed.push(&self.entries[col]);
        }
    }

    /// Reduced cost of a column, afresh.
    fn reduced(&self, col: usize) -> f64 {
        let worth: f64 = self.entries[col].iter().map(|&(row, factor)| self.y[row as usize] * factor).sum();
        self.cols[col].cost - worth
    }

    fn line(&self, var: Var) -> &Line {
        match var {
            Var::Row(row) => &self.rows[row],
            Var::Col(col) => &self.cols[col],
        }
    }

    fn line_mut(&mut self, var: Var) -> &mut Line {
        match var {
            Var::Row(row) => &mut self.rows[row],
            Var::Col(col) => &mut self.cols[col],
        }
    }

    fn set_bounds(&mut self, var: Var, lower: f64, upper: f64) {
        let line = self.line_mut(var);
        if line.lower.to_bits() == lower.to_bits() && line.upper.to_bits() == upper.to_bits() {
            return;
        }
        let before = line.value();
        (line.lower, line.upper) = (lower, upper);
        if line.is_basic() {
            return;
        }
        if line.place == Place::Upper && upper.is_infinite() {
            line.place = Place::Lower;
        }
        let change = line.value() - before;
        self.move_nonbasic(var, change);
    }

    /// Basic values after a resting variable moved by `change`.
    fn move_nonbasic(&mut self, var: Var, change: f64) {
        if change.abs() > 0.0 {
            let column = self.solved_column(var);
            for (x, a) in self.x.iter_mut().zip(column) {
                *x -= change * a;
            }
        }
    }

    /// The inverse times a variable's column.
    fn solved_column(&mut self, var: Var) -> Vec<f64> {
        match var {
            Var::Row(row) => self.inverse.of_row(row),
            Var::Col(col) => {
                self.work += (self.rows.len() * self.entries[col].len()) as u64;
                self.inverse.of_column(&self.entries[col])
            }
        }
    }

    fn reduced_cost(&self, var: Var) -> f64 {
        match var {
            Var::Row(row) => self.y[row],
            Var::Col(col) => self.d[col],
        }
    }

    /// Looks at a line of the inverse: the coefficients of all resting columns in it.
    fn price_line(&mut self, position: usize) {
        self.repack();
        let line = self.inverse.line(position);
        let Self { alpha, awake, cols, packed, .. } = self;
        alpha.clear();
        let mut start = 0;
        for (&col, &end) in awake.iter().zip(&packed.ends) {
            let entries = &packed.entries[start..end];
            start = end;
            alpha.push(if cols[col].is_basic() {
                0.0
            } else {
                entries.iter().map(|&(row, factor)| line[row as usize] * factor).sum()
            });
        }
        self.work += self.packed.entries.len() as u64;
    }

    /// What the cost comes to when a row's activity is kept within a range, after at most `pivots` steps of the dual
    /// simplex: a lower estimate, infinite when that cannot be. Everything is left as it was.
    pub(super) fn probe_row(&mut self, row: usize, range: (f64, f64), pivots: usize) -> f64 {
        self.probe(Var::Row(row), range, pivots)
    }

    /// The same with the value of a column kept within a range.
    pub(super) fn probe_col(&mut self, col: usize, range: (f64, f64), pivots: usize) -> f64 {
        self.probe(Var::Col(col), range, pivots)
    }

    fn probe(&mut self, var: Var, (lower, upper): (f64, f64), pivots: usize) -> f64 {
        // The copy is what changes: the lines of the inverse keep the room they have to grow.
        let inverse = self.inverse.clone();
        let inverse = std::mem::replace(&mut self.inverse, inverse);
        let saved = (self.rows.clone(), self.cols.clone(), self.basis.clone(), inverse);
        let values = (self.x.clone(), self.y.clone(), self.d.clone(), self.pivots);
        self.set_bounds(var, lower, upper);
        let cost = match self.repair(pivots) {
            Outcome::Infeasible => f64::INFINITY,
            _ => self.cost(),
        };
        (self.rows, self.cols, self.basis, self.inverse) = saved;
        (self.x, self.y, self.d, self.pivots) = values;
        self.work += (self.rows.len() * self.rows.len() + 2 * self.cols.len()) as u64;
        cost
    }

    fn cost_tolerance(&self) -> f64 {
        OPTIMAL * self.y.iter().fold(1.0f64, |most, y| most.max(y.abs()))
    }

    /// Every variable that is looked at, by its place in a list.
    fn var(&self, at: usize) -> Var {
        let rows = self.rows.len();
        if at < rows { Var::Row(at) } else { Var::Col(self.awake[at - rows]) }
    }

    fn vars(&self) -> usize {
        self.rows.len() + self.awake.len()
    }
}
