//! One pivot after another: the dual simplex for changed bounds, the primal one for new columns.

use super::{CHECK_EVERY, FEASIBLE, Line, Outcome, PIVOT, Place, Simplex, Var};

/// Room for the candidates of most pivots.
const MANY: usize = 64;

impl Simplex {
    /// Brings `entering` into the basis at `position`, whose line must have been priced; the leaving
    /// variable rests at `rest`.
    fn pivot(&mut self, position: usize, entering: Var, column: &[f64], (rest, step): (Place, f64)) {
        let reduced = self.reduced_cost(entering);
        let value = self.line(entering).value() + step;
        let ratio = reduced / column[position];
        for (y, value) in self.y.iter_mut().zip(self.inverse.line(position)) {
            *y += ratio * value;
        }
        for (&col, alpha) in self.awake.iter().zip(&self.alpha) {
            self.d[col] -= ratio * alpha;
        }
        for (x, a) in self.x.iter_mut().zip(column) {
            *x -= step * a;
        }
        self.work += self.inverse.replace(position, column);
        let leaving = self.basis[position];
        self.line_mut(leaving).place = rest;
        if let Var::Col(col) = leaving {
            self.d[col] = -ratio;
        }
        if let Var::Col(col) = entering {
            self.d[col] = 0.0;
        }
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
    pub(in super::super) fn solve(&mut self) -> Outcome {
        for attempt in 0..2 {
            if attempt > 0 || self.worst_bound().is_some() {
                if attempt > 0 || !self.is_dual_feasible() {
                    self.restart();
                }
                match self.repair(self.iteration_limit()) {
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
        for at in 0..self.vars() {
            let var = self.var(at);
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
    pub(super) fn repair(&mut self, limit: usize) -> Outcome {
        for _ in 0..limit {
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
            let weight = found.2 * found.2 / self.inverse.norm(position).max(1e-12);
            if weight > most {
                (worst, most) = (Some(found), weight);
            }
        }
        worst
    }

    /// The variable whose reduced cost is used up first when the basic one at `position` moves.
    fn dual_ratio(&mut self, position: usize, gap: f64) -> Option<Var> {
        self.price_line(position);
        self.work += self.vars() as u64;
        let line = self.inverse.line(position);
        let mut candidates: Vec<(f64, f64, Var)> = Vec::with_capacity(MANY);
        let mut look = |var: Var, known: &Line, alpha: f64, reduced: f64| {
            if alpha.abs() <= 1e-9 || known.is_basic() || known.upper - known.lower <= 0.0 {
                return;
            }
            // A step of gap / alpha must lead away from the bound where it rests.
            let step_up = (gap > 0.0) == (alpha > 0.0);
            if step_up == (known.place == Place::Lower) {
                candidates.push((reduced.abs() / alpha.abs(), alpha.abs(), var));
            }
        };
        for (row, known) in self.rows.iter().enumerate() {
            look(Var::Row(row), known, -line[row], self.y[row]);
        }
        for (&col, &alpha) in self.awake.iter().zip(&self.alpha) {
            if alpha.abs() > 1e-9 {
                look(Var::Col(col), &self.cols[col], alpha, self.d[col]);
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
        for at in 0..self.vars() {
            let var = self.var(at);
            let line = self.line(var);
            if line.is_basic() || line.upper - line.lower <= 0.0 {
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
        let mut hits: Vec<(f64, f64, usize, Place)> = Vec::with_capacity(MANY);
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
