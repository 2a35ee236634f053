//! A bounded simplex that keeps its basis, for the thousands of small linear programs of a search.
//!
//! Nodes differ by a few bounds and columns only: the dual simplex repairs the basis after a change
//! of bounds, the primal simplex takes in new columns. The inverse is held in full, which is
//! fastest at the few hundred rows there are. Bounds proven from its duals are recomputed in whole
//! numbers by the caller, so its tolerances never reach a result.

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

#[derive(Debug, Clone)]
struct Line {
    cost: f64,
    lower: f64,
    upper: f64,
    place: Place,
    /// Rows and coefficients of a column; empty for a row's activity.
    entries: Vec<(usize, f64)>,
}

impl Line {
    fn value(&self) -> f64 {
        if self.place == Place::Upper { self.upper } else { self.lower }
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
    basis: Vec<Var>,
    inverse: Vec<Vec<f64>>,
    /// Squared length of each line of the inverse: the steepest edge weights of the dual simplex
    /// (Forrest and Goldfarb 1992), exact because the lines are at hand.
    norms: Vec<f64>,
    /// Values of basic variables.
    x: Vec<f64>,
    /// Duals of the rows.
    y: Vec<f64>,
    /// Reduced costs of the columns.
    d: Vec<f64>,
    /// Columns and coefficients by row.
    by_row: Vec<Vec<(usize, f64)>>,
    /// Columns' coefficients in the line of the inverse looked at last.
    alpha: Vec<f64>,
    pivots: usize,
    /// Work done, in touched coefficients.
    pub(super) work: u64,
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
        self.by_row.push(entries.to_vec());
        for &(col, coefficient) in entries {
            self.cols[col].entries.push((at, coefficient));
        }
        let mut line = vec![0.0; at + 1];
        let mut activity = 0.0;
        for &(col, coefficient) in entries {
            match self.cols[col].place {
                Place::Basic(position) => {
                    for (sum, value) in line.iter_mut().zip(&self.inverse[position]) {
                        *sum += coefficient * value;
                    }
                    activity += coefficient * self.x[position];
                }
                _ => activity += coefficient * self.cols[col].value(),
            }
        }
        line[at] = -1.0;
        for row in &mut self.inverse {
            row.push(0.0);
        }
        self.norms.push(norm(&line));
        self.inverse.push(line);
        self.rows.push(Line { cost: 0.0, lower, upper, place: Place::Basic(at), entries: Vec::new() });
        self.basis.push(Var::Row(at));
        self.x.push(activity);
        self.y.push(0.0);
        at
    }

    /// Adds a column at its lower bound 0, without upper bound.
    pub(super) fn col(&mut self, cost: f64, entries: Vec<(usize, f64)>) -> usize {
        let at = self.cols.len();
        let mut reduced = cost;
        for &(row, coefficient) in &entries {
            self.by_row[row].push((at, coefficient));
            reduced -= self.y[row] * coefficient;
        }
        self.d.push(reduced);
        self.cols.push(Line { cost, lower: 0.0, upper: f64::INFINITY, place: Place::Lower, entries });
        at
    }

    /// Sets bounds of a row's activity.
    pub(super) fn bound_row(&mut self, row: usize, lower: f64, upper: f64) {
        self.set_bounds(Var::Row(row), lower, upper);
    }

    /// Sets bounds of a column.
    pub(super) fn bound_col(&mut self, col: usize, lower: f64, upper: f64) {
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

    /// Cost of the present point.
    pub(super) fn cost(&self) -> f64 {
        (0..self.cols.len()).map(|col| self.cols[col].cost * self.value(col)).sum()
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
        if matches!(line.place, Place::Basic(_)) {
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
        let m = self.rows.len();
        let mut column = vec![0.0; m];
        match var {
            Var::Row(row) => {
                for (sum, line) in column.iter_mut().zip(&self.inverse) {
                    *sum = -line[row];
                }
            }
            Var::Col(col) => {
                let entries = &self.cols[col].entries;
                for (sum, line) in column.iter_mut().zip(&self.inverse) {
                    *sum = entries.iter().map(|&(row, coefficient)| line[row] * coefficient).sum();
                }
                self.work += (m * entries.len()) as u64;
            }
        }
        column
    }

    fn reduced_cost(&self, var: Var) -> f64 {
        match var {
            Var::Row(row) => self.y[row],
            Var::Col(col) => self.d[col],
        }
    }

    /// Coefficients of all columns in a line of the inverse.
    fn price_line(&mut self, position: usize) {
        self.alpha.clear();
        self.alpha.resize(self.cols.len(), 0.0);
        for (&factor, entries) in self.inverse[position].iter().zip(&self.by_row) {
            if factor.abs() > 1e-14 {
                for &(col, coefficient) in entries {
                    self.alpha[col] += factor * coefficient;
                }
                self.work += entries.len() as u64;
            }
        }
    }

    fn cost_tolerance(&self) -> f64 {
        OPTIMAL * self.y.iter().fold(1.0f64, |most, y| most.max(y.abs()))
    }

    fn all(&self) -> impl Iterator<Item = Var> + use<> {
        let (rows, cols) = (self.rows.len(), self.cols.len());
        (0..rows).map(Var::Row).chain((0..cols).map(Var::Col))
    }

    /// Back to the basis of all row activities, from where every program with costs at or above 0
    /// can be solved.
    pub(super) fn restart(&mut self) {
        for col in &mut self.cols {
            if col.place != Place::Upper || col.upper.is_infinite() {
                col.place = Place::Lower;
            }
            if col.place == Place::Upper && col.cost >= 0.0 {
                col.place = Place::Lower;
            }
        }
        for (at, row) in self.rows.iter_mut().enumerate() {
            row.place = Place::Basic(at);
        }
        self.basis = (0..self.rows.len()).map(Var::Row).collect();
        self.refactor();
    }

    /// The basis, to come back to.
    pub(super) fn snapshot(&self) -> Basis {
        let upper = |lines: &[Line]| lines.iter().map(|line| line.place == Place::Upper).collect();
        Basis { basis: self.basis.clone(), rows_up: upper(&self.rows), cols_up: upper(&self.cols) }
    }

    /// Back to a basis saved before; rows added since rest on their own activity.
    pub(super) fn restore(&mut self, saved: &Basis) {
        let lines = [(&mut self.rows, &saved.rows_up), (&mut self.cols, &saved.cols_up)];
        for (lines, up) in lines {
            for (at, line) in lines.iter_mut().enumerate() {
                let up = up.get(at).is_some_and(|&up| up) && line.upper.is_finite();
                line.place = if up { Place::Upper } else { Place::Lower };
            }
        }
        self.basis.clone_from(&saved.basis);
        self.basis.extend((saved.basis.len()..self.rows.len()).map(Var::Row));
        for (position, var) in self.basis.clone().into_iter().enumerate() {
            self.line_mut(var).place = Place::Basic(position);
        }
        self.refactor();
    }

    /// Makes the inverse, the values and the duals anew from the basis.
    fn refactor(&mut self) {
        let m = self.rows.len();
        let wanted = std::mem::take(&mut self.basis);
        self.inverse = (0..m)
            .map(|at| {
                let mut line = vec![0.0; m];
                line[at] = -1.0;
                line
            })
            .collect();
        self.norms = vec![1.0; m];
        // Start from all row activities and bring in the wanted columns one by one.
        self.basis = (0..m).map(Var::Row).collect();
        let mut free: Vec<bool> = vec![true; m];
        for &var in &wanted {
            if let Var::Row(row) = var {
                free[row] = false;
            }
        }
        let mut columns: Vec<Var> = wanted.into_iter().filter(|var| matches!(var, Var::Col(_))).collect();
        columns.sort_by_key(|&var| self.line(var).entries.len());
        for var in columns {
            let column = self.solved_column(var);
            let best = (0..m).filter(|&at| free[at]).max_by(|&a, &b| column[a].abs().total_cmp(&column[b].abs()));
            match best {
                Some(at) if column[at].abs() > PIVOT => {
                    free[at] = false;
                    self.replace(at, &column);
                    self.basis[at] = var;
                }
                _ => self.line_mut(var).place = Place::Lower,
            }
        }
        for at in 0..m {
            let var = self.basis[at];
            self.line_mut(var).place = Place::Basic(at);
        }
        self.pivots = 0;
        self.compute_values();
        self.compute_duals();
    }

    fn compute_values(&mut self) {
        let m = self.rows.len();
        let mut right = vec![0.0; m];
        for (at, row) in self.rows.iter().enumerate() {
            if !matches!(row.place, Place::Basic(_)) {
                right[at] += row.value();
            }
        }
        for col in &self.cols {
            let value = col.value();
            if !matches!(col.place, Place::Basic(_)) && value.abs() > 0.0 {
                for &(row, coefficient) in &col.entries {
                    right[row] -= coefficient * value;
                }
            }
        }
        for (x, line) in self.x.iter_mut().zip(&self.inverse) {
            *x = line.iter().zip(&right).map(|(a, b)| a * b).sum();
        }
        self.work += (m * m) as u64;
    }

    fn compute_duals(&mut self) {
        let m = self.rows.len();
        let mut y = vec![0.0; m];
        for (position, &var) in self.basis.iter().enumerate() {
            let cost = self.line(var).cost;
            if cost.abs() > 0.0 {
                for (sum, value) in y.iter_mut().zip(&self.inverse[position]) {
                    *sum += cost * value;
                }
            }
        }
        self.y = y;
        self.d = self.cols.iter().map(|col| col.cost).collect();
        for (&dual, entries) in self.y.iter().zip(&self.by_row) {
            if dual.abs() > 0.0 {
                for &(col, coefficient) in entries {
                    self.d[col] -= dual * coefficient;
                }
            }
        }
        self.work += (m * m) as u64;
    }

    /// Updates the inverse: the variable with this solved column takes `position`.
    fn replace(&mut self, position: usize, column: &[f64]) {
        let mut line = std::mem::take(&mut self.inverse[position]);
        let pivot = column[position];
        let mut filled = Vec::new();
        for (at, value) in line.iter_mut().enumerate() {
            if value.abs() > 0.0 {
                *value /= pivot;
                filled.push(at);
            }
        }
        for ((other, norm_of), &factor) in self.inverse.iter_mut().zip(&mut self.norms).zip(column) {
            if factor.abs() > 1e-13 && !other.is_empty() {
                for &at in &filled {
                    other[at] -= factor * line[at];
                }
                *norm_of = norm(other);
                self.work += filled.len() as u64;
            }
        }
        self.norms[position] = norm(&line);
        self.inverse[position] = line;
    }

    /// Brings `entering` into the basis at `position`, whose line must have been priced; the leaving
    /// variable rests at `rest`.
    fn pivot(&mut self, position: usize, entering: Var, column: &[f64], (rest, step): (Place, f64)) {
        let reduced = self.reduced_cost(entering);
        let value = self.line(entering).value() + step;
        let ratio = reduced / column[position];
        for (y, value) in self.y.iter_mut().zip(&self.inverse[position]) {
            *y += ratio * value;
        }
        for (d, alpha) in self.d.iter_mut().zip(&self.alpha) {
            *d -= ratio * alpha;
        }
        for (x, a) in self.x.iter_mut().zip(column) {
            *x -= step * a;
        }
        self.replace(position, column);
        let leaving = self.basis[position];
        self.line_mut(leaving).place = rest;
        self.basis[position] = entering;
        self.line_mut(entering).place = Place::Basic(position);
        self.x[position] = value;
        self.pivots += 1;
        if self.pivots >= CHECK_EVERY {
            self.check();
        }
    }

    /// Renews values and duals, and the inverse when they had drifted.
    fn check(&mut self) {
        let (x, y) = (self.x.clone(), self.y.clone());
        self.compute_values();
        self.compute_duals();
        let drift = |old: &[f64], new: &[f64]| {
            old.iter().zip(new).any(|(a, b)| (a - b).abs() > 1e-7 * (1.0 + b.abs()) || !b.is_finite())
        };
        if drift(&x, &self.x) || drift(&y, &self.y) {
            self.refactor();
        }
        self.pivots = 0;
    }

    fn iteration_limit(&self) -> usize {
        1_000 + 10 * self.rows.len()
    }

    /// Solves after any change: bounds first, then columns.
    pub(super) fn solve(&mut self) -> Outcome {
        for attempt in 0..2 {
            if attempt > 0 || self.worst_bound().is_some() {
                if attempt > 0 || !self.is_dual_feasible() {
                    self.restart();
                }
                match self.repair() {
                    Outcome::Failed => continue,
                    Outcome::Infeasible => return Outcome::Infeasible,
                    Outcome::Optimal => {}
                }
            }
            if self.improve() == Outcome::Optimal {
                return Outcome::Optimal;
            }
        }
        Outcome::Failed
    }

    /// Moves resting variables to the bound that their reduced cost asks for; false when that bound
    /// is infinite.
    fn is_dual_feasible(&mut self) -> bool {
        let tolerance = 1e3 * self.cost_tolerance();
        for var in self.all() {
            let line = self.line(var);
            let reduced = match line.place {
                Place::Basic(_) => continue,
                _ => self.reduced_cost(var),
            };
            let place = match line.place {
                Place::Lower if reduced < -tolerance => Place::Upper,
                Place::Upper if reduced > tolerance => Place::Lower,
                _ => continue,
            };
            let (before, fixed) = (line.value(), line.upper - line.lower);
            if fixed.is_infinite() {
                return false;
            }
            self.line_mut(var).place = place;
            let change = self.line(var).value() - before;
            self.move_nonbasic(var, change);
        }
        true
    }

    /// Dual simplex: restores the bounds while reduced costs stay right.
    fn repair(&mut self) -> Outcome {
        for _ in 0..self.iteration_limit() {
            let Some((position, rest, gap)) = self.worst_bound() else { return Outcome::Optimal };
            let Some(entering) = self.dual_ratio(position, gap) else { return Outcome::Infeasible };
            let column = self.solved_column(entering);
            if column[position].abs() < PIVOT {
                self.refactor();
                return Outcome::Failed;
            }
            let step = gap / column[position];
            self.pivot(position, entering, &column, (rest, step));
        }
        Outcome::Failed
    }

    /// The basic variable farthest outside its bounds, the bound it goes to and by how much it is
    /// beyond (positive above, negative below).
    fn worst_bound(&self) -> Option<(usize, Place, f64)> {
        let mut worst: Option<(usize, Place, f64)> = None;
        let mut most = 0.0;
        for (position, (&var, &x)) in self.basis.iter().zip(&self.x).enumerate() {
            let line = self.line(var);
            let tolerance = FEASIBLE * (1.0 + x.abs());
            let found = if x < line.lower - tolerance {
                (position, Place::Lower, x - line.lower)
            } else if x > line.upper + tolerance {
                (position, Place::Upper, x - line.upper)
            } else {
                continue;
            };
            let weight = found.2 * found.2 / self.norms[position].max(1e-12);
            if weight > most {
                (worst, most) = (Some(found), weight);
            }
        }
        worst
    }

    /// The variable whose reduced cost is used up first when the basic one at `position` moves.
    fn dual_ratio(&mut self, position: usize, gap: f64) -> Option<Var> {
        self.price_line(position);
        self.work += (self.cols.len() + 8 * self.rows.len()) as u64;
        let line = &self.inverse[position];
        let mut candidates: Vec<(f64, f64, Var)> = Vec::new();
        for var in self.all() {
            let alpha = match var {
                Var::Row(row) => -line[row],
                Var::Col(col) => self.alpha[col],
            };
            if alpha.abs() <= 1e-9 {
                continue;
            }
            let known = self.line(var);
            if matches!(known.place, Place::Basic(_)) || known.upper - known.lower <= 0.0 {
                continue;
            }
            // A step of gap / alpha must lead away from the bound where it rests.
            let step_up = (gap > 0.0) == (alpha > 0.0);
            if step_up == (known.place == Place::Lower) {
                candidates.push((self.reduced_cost(var).abs() / alpha.abs(), alpha.abs(), var));
            }
        }
        let tolerance = self.cost_tolerance();
        let least = candidates.iter().map(|c| c.0 + tolerance / c.1).fold(f64::INFINITY, f64::min);
        let near = candidates.into_iter().filter(|c| c.0 <= least);
        near.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(_, _, var)| var)
    }

    /// Primal simplex: takes in columns that gain while the bounds stay met.
    fn improve(&mut self) -> Outcome {
        for _ in 0..self.iteration_limit() {
            let Some((entering, up)) = self.best_gain() else { return Outcome::Optimal };
            let column = self.solved_column(entering);
            let line = self.line(entering);
            let span = line.upper - line.lower;
            let (step, leaving) = self.primal_ratio(&column, up);
            if step >= span {
                let place = if up { Place::Upper } else { Place::Lower };
                self.line_mut(entering).place = place;
                let change = if up { span } else { -span };
                for (x, a) in self.x.iter_mut().zip(&column) {
                    *x -= change * a;
                }
                continue;
            }
            let Some((position, rest)) = leaving else { return Outcome::Failed };
            self.price_line(position);
            self.pivot(position, entering, &column, (rest, if up { step } else { -step }));
        }
        Outcome::Failed
    }

    /// The resting variable with the best reduced cost, true when it rises.
    fn best_gain(&mut self) -> Option<(Var, bool)> {
        let mut best: Option<(Var, bool, f64)> = None;
        let tolerance = self.cost_tolerance();
        for var in self.all() {
            let line = self.line(var);
            if matches!(line.place, Place::Basic(_)) || line.upper - line.lower <= 0.0 {
                continue;
            }
            let reduced = self.reduced_cost(var);
            let gain = if line.place == Place::Lower { -reduced } else { reduced };
            if gain > best.map_or(tolerance, |best| best.2) {
                best = Some((var, line.place == Place::Lower, gain));
            }
        }
        best.map(|(var, up, _)| (var, up))
    }

    /// The longest step before a basic variable meets a bound, and which does (Harris: among those
    /// that meet it nearly together the largest pivot).
    fn primal_ratio(&self, column: &[f64], up: bool) -> (f64, Option<(usize, Place)>) {
        let mut hits: Vec<(f64, f64, usize, Place)> = Vec::new();
        let mut least = f64::INFINITY;
        for (position, (&var, &a)) in self.basis.iter().zip(column).enumerate() {
            let fall = if up { a } else { -a };
            if fall.abs() <= 1e-9 {
                continue;
            }
            let (line, x) = (self.line(var), self.x[position]);
            let (room, place) =
                if fall > 0.0 { (x - line.lower, Place::Lower) } else { (line.upper - x, Place::Upper) };
            if room.is_finite() {
                let room = room.max(0.0);
                least = least.min((room + 1e-9) / fall.abs());
                hits.push((room / fall.abs(), fall.abs(), position, place));
            }
        }
        let near = hits.into_iter().filter(|hit| hit.0 <= least);
        match near.max_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((step, _, position, place)) => (step, Some((position, place))),
            None => (f64::INFINITY, None),
        }
    }
}

fn norm(line: &[f64]) -> f64 {
    line.iter().map(|value| value * value).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packing::boards::fill::Noise;
    use crate::packing::lp::{Program, Sense};

    /// A random covering program with boxed counts, in both solvers.
    fn random(noise: &mut Noise) -> (Simplex, Program, usize, usize) {
        let (m, n) = (2 + noise.below(8) as usize, 3 + noise.below(20) as usize);
        let (mut own, mut other) = (Simplex::default(), Program::default());
        for _ in 0..m {
            let need = noise.below(40) as f64;
            own.row(need, f64::INFINITY, &[]);
            other.row(Sense::AtLeast, need);
        }
        for row in 0..m {
            own.col(5_000.0, vec![(row, 1.0)]);
            other.column(5_000.0, vec![(row, 1.0)]);
        }
        for _ in 0..n {
            let cost = 1.0 + noise.below(100) as f64;
            let entries: Vec<(usize, f64)> =
                (0..m).map(|row| (row, (noise.below(3) / 2 * (1 + noise.below(5))) as f64)).collect();
            own.col(cost, entries.clone());
            other.column(cost, entries);
        }
        (own, other, m, n)
    }

    #[test]
    fn optima_and_duals_agree_with_the_library() {
        let mut noise = Noise::new(7);
        for _ in 0..200 {
            let (mut own, other, m, _) = random(&mut noise);
            assert_eq!(own.solve(), Outcome::Optimal);
            let best = other.solve().unwrap();
            assert!((own.cost() - best.value).abs() < 1e-4 * (1.0 + best.value), "{} {}", own.cost(), best.value);
            let worth: f64 = (0..m).map(|row| own.dual(row) * own.rows[row].lower).sum();
            assert!((worth - best.value).abs() < 1e-4 * (1.0 + best.value), "{worth} {}", best.value);
        }
    }

    #[test]
    fn a_warm_start_after_changes_equals_a_cold_one() {
        let mut noise = Noise::new(11);
        for _ in 0..200 {
            let (mut own, _, m, n) = random(&mut noise);
            assert_eq!(own.solve(), Outcome::Optimal);
            for _ in 0..12 {
                match noise.below(4) {
                    0 => {
                        let entries = (0..m).map(|row| (row, noise.below(4) as f64)).collect();
                        own.col(1.0 + noise.below(60) as f64, entries);
                    }
                    1 => {
                        let entries: Vec<(usize, f64)> = (m..m + n).map(|col| (col, noise.below(2) as f64)).collect();
                        let row = own.row(0.0, 1e4, &entries);
                        own.col(9_000.0, vec![(row, 1.0)]);
                        own.col(9_000.0, vec![(row, -1.0)]);
                        own.bound_row(row, noise.below(9) as f64, 9.0 + noise.below(9) as f64);
                    }
                    _ => {
                        let low = noise.below(6) as f64;
                        own.bound_col(m + noise.below(n as u64) as usize, low, f64::INFINITY);
                    }
                }
                assert_eq!(own.solve(), Outcome::Optimal);
                let mut cold = own.clone();
                cold.restart();
                assert_eq!(cold.solve(), Outcome::Optimal);
                assert!(
                    (own.cost() - cold.cost()).abs() < 1e-5 * (1.0 + cold.cost()),
                    "{} {}",
                    own.cost(),
                    cold.cost()
                );
            }
        }
    }
}
