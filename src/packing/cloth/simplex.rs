//! A small dense revised simplex, started warm: the linear programs inside the search.
//!
//! Thousands of them with a few dozen rows are solved; an interior point solver starts cold each
//! time and gives no basis. Nothing is proven by its floats: bounds are recomputed in integers
//! from rounded duals, so an inaccurate answer can only make a bound weaker.

use super::effort::Effort;

/// A variable of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Var {
    /// A column by its index.
    Column(usize),
    /// Slack or surplus of a row.
    Slack(usize),
    /// What a row may lack, at a forbidding cost.
    Lack(usize),
}

/// A row: at least (or at most) so much.
#[derive(Debug, Clone, Copy)]
pub(super) struct Side {
    /// Right-hand side.
    pub rhs: f64,
    /// True for at least.
    pub at_least: bool,
}

/// A column: its cost and its entries by row.
#[derive(Debug, Clone)]
pub(super) struct Sparse {
    /// Cost of one.
    pub cost: f64,
    /// (row, figure), figures not zero.
    pub entries: Vec<(usize, f64)>,
}

/// Cost of a lacking unit, where the dearest single level costs 1.
const LACK: f64 = 1e4;
/// Below this a reduced cost is noise.
const COST_NOISE: f64 = 1e-11;
/// Below this a pivot or a value is noise.
const PIVOT_NOISE: f64 = 1e-9;
/// Pivots between two fresh inversions.
const REFRESH: u32 = 64;

/// A linear program, minimising, all variables at least zero.
#[derive(Debug, Clone)]
pub(super) struct Simplex {
    sides: Vec<Side>,
    columns: Vec<Sparse>,
    basis: Vec<Var>,
    inverse: Vec<f64>,
    values: Vec<f64>,
    since_refresh: u32,
    /// Work done and not told yet, in steps of about a nanosecond.
    work: u64,
}

impl Simplex {
    /// A program that starts from `basis`, or from slacks and lacks alone.
    pub(super) fn new(sides: Vec<Side>, columns: Vec<Sparse>, basis: Option<&[Var]>) -> Self {
        let n = sides.len();
        // A tiny rise of every right-hand side, different for each row, keeps degenerate vertices apart.
        let sides: Vec<Side> = sides
            .into_iter()
            .enumerate()
            .map(|(row, side)| Side { rhs: side.rhs + 1e-7 * (1.0 + ((row * 37) % 101) as f64 / 101.0), ..side })
            .collect();
        let mut program = Self {
            sides,
            columns,
            basis: Vec::new(),
            inverse: vec![0.0; n * n],
            values: vec![0.0; n],
            since_refresh: 0,
            work: 0,
        };
        program.basis = match basis {
            Some(basis) if basis.len() == n => basis.to_vec(),
            _ => program.plain_basis(),
        };
        if !program.refresh() {
            program.basis = program.plain_basis();
            program.refresh();
        }
        program
    }

    fn plain_basis(&self) -> Vec<Var> {
        let start = |(row, side): (usize, &Side)| if side.at_least { Var::Lack(row) } else { Var::Slack(row) };
        self.sides.iter().enumerate().map(start).collect()
    }

    /// Adds a column; the basis stays.
    pub(super) fn add(&mut self, column: Sparse) {
        self.columns.push(column);
    }

    /// Optimises, as far as the effort allows: restores what a new row broke, then improves.
    pub(super) fn solve(&mut self, effort: &Effort<'_>) {
        self.repair(effort, usize::MAX);
        self.improve(effort);
        effort.spend(std::mem::take(&mut self.work));
    }

    /// What it costs now.
    pub(super) fn value(&self) -> f64 {
        self.basis.iter().zip(&self.values).map(|(&var, value)| self.cost(var) * value).sum()
    }

    /// What it would cost with one more row, of which `figures` are the columns' figures, after at most so many pivots
    /// that restore what the row breaks: a lower estimate over the columns there are.
    pub(super) fn probe(&self, side: Side, figures: &[f64], (pivots, effort): (usize, &Effort<'_>)) -> f64 {
        let n = self.sides.len();
        let mut program = self.clone();
        program.sides.push(side);
        for (column, &figure) in program.columns.iter_mut().zip(figures) {
            if figure != 0.0 {
                column.entries.push((n, figure));
            }
        }
        // The row's own slack is basic; the inverse grows by a line and a column.
        let slack = Var::Slack(n);
        let sign = program.unit(slack).map_or(1.0, |(_, figure)| figure);
        let mut last = vec![0.0; n + 1];
        let mut value = side.rhs;
        for (place, &var) in self.basis.iter().enumerate() {
            let Var::Column(column) = var else { continue };
            if figures[column] != 0.0 {
                value -= figures[column] * self.values[place];
                for (sum, &figure) in last.iter_mut().zip(&self.inverse[place * n..(place + 1) * n]) {
                    *sum -= figures[column] * figure;
                }
            }
        }
        last[n] = 1.0;
        last.iter_mut().for_each(|figure| *figure *= sign);
        program.inverse = Vec::with_capacity((n + 1) * (n + 1));
        for place in 0..n {
            program.inverse.extend_from_slice(&self.inverse[place * n..(place + 1) * n]);
            program.inverse.push(0.0);
        }
        program.inverse.extend(last);
        program.values.push(value * sign);
        program.basis.push(slack);
        program.work = (2 * n * n + 60 * self.columns.len()) as u64;
        program.repair(effort, pivots);
        effort.spend(program.work);
        program.value()
    }

    /// True when the program is to be left as it is.
    fn is_over(&mut self, effort: &Effort<'_>) -> bool {
        effort.spend(std::mem::take(&mut self.work));
        effort.is_over()
    }

    /// Duals of the rows.
    pub(super) fn duals(&self) -> Vec<f64> {
        self.weighted(|var| self.cost(var))
    }

    /// Duals when only lacks cost anything: they prove that a row cannot be met.
    pub(super) fn ray(&self) -> Vec<f64> {
        self.weighted(|var| if matches!(var, Var::Lack(_)) { 1.0 } else { 0.0 })
    }

    fn weighted(&self, cost: impl Fn(Var) -> f64) -> Vec<f64> {
        let n = self.sides.len();
        let mut duals = vec![0.0; n];
        for (row, &var) in self.basis.iter().enumerate() {
            let cost = cost(var);
            if cost != 0.0 {
                for (dual, &figure) in duals.iter_mut().zip(&self.inverse[row * n..(row + 1) * n]) {
                    *dual += cost * figure;
                }
            }
        }
        duals
    }

    /// Columns in use with their values.
    pub(super) fn used(&self) -> Vec<(usize, f64)> {
        let mut used: Vec<(usize, f64)> = Vec::new();
        for (&var, &value) in self.basis.iter().zip(&self.values) {
            if let Var::Column(column) = var
                && value > 1e-6
            {
                used.push((column, value));
            }
        }
        used.sort_unstable_by_key(|&(column, _)| column);
        used
    }

    /// True when some row is still not met.
    pub(super) fn lacks(&self) -> bool {
        self.basis.iter().zip(&self.values).any(|(var, &value)| matches!(var, Var::Lack(_)) && value > 1e-6)
    }

    /// The basis, to start a similar program from.
    pub(super) fn basis(&self) -> &[Var] {
        &self.basis
    }

    fn cost(&self, var: Var) -> f64 {
        match var {
            Var::Column(column) => self.columns[column].cost,
            Var::Slack(_) => 0.0,
            Var::Lack(_) => LACK,
        }
    }

    /// The single figure of a slack or a lack in its row.
    fn unit(&self, var: Var) -> Option<(usize, f64)> {
        match var {
            Var::Column(_) => None,
            Var::Slack(row) => Some((row, if self.sides[row].at_least { -1.0 } else { 1.0 })),
            Var::Lack(row) => Some((row, if self.sides[row].at_least { 1.0 } else { -1.0 })),
        }
    }

    /// `weights` times the column of `var`.
    fn product(&self, weights: &[f64], var: Var) -> f64 {
        match self.unit(var) {
            Some((row, figure)) => weights[row] * figure,
            None => match var {
                Var::Column(column) => self.columns[column].entries.iter().map(|&(row, a)| weights[row] * a).sum(),
                _ => 0.0,
            },
        }
    }

    /// The inverse times the column of `var`.
    fn direction(&self, var: Var) -> Vec<f64> {
        let n = self.sides.len();
        match (self.unit(var), var) {
            (Some((row, figure)), _) => (0..n).map(|i| self.inverse[i * n + row] * figure).collect(),
            (None, Var::Column(column)) => {
                let entries = &self.columns[column].entries;
                (0..n).map(|i| entries.iter().map(|&(row, a)| self.inverse[i * n + row] * a).sum()).collect()
            }
            _ => vec![0.0; n],
        }
    }

    /// All variables that may enter, lacks only when `lacks`.
    fn candidates(&self, lacks: bool) -> impl Iterator<Item = Var> + use<> {
        let (columns, rows) = (self.columns.len(), self.sides.len());
        let lacking = if lacks { rows } else { 0 };
        (0..columns).map(Var::Column).chain((0..rows).map(Var::Slack)).chain((0..lacking).map(Var::Lack))
    }

    /// Primal simplex from a feasible basis.
    fn improve(&mut self, effort: &Effort<'_>) {
        let most = 100 + 20 * self.sides.len();
        for _ in 0..most {
            if self.is_over(effort) {
                return;
            }
            let duals = self.duals();
            let mut best = (-COST_NOISE, None);
            for var in self.candidates(false) {
                let reduced = self.cost(var) - self.product(&duals, var);
                if reduced < best.0 {
                    best = (reduced, Some(var));
                }
            }
            let Some(enters) = best.1 else { return };
            let direction = self.direction(enters);
            let mut leaves: Option<(usize, f64)> = None;
            for (row, &figure) in direction.iter().enumerate() {
                if figure > PIVOT_NOISE {
                    let ratio = self.values[row].max(0.0) / figure;
                    let better = leaves.is_none_or(|(held, least)| {
                        ratio < least - 1e-13 || ratio <= least + 1e-13 && figure > direction[held]
                    });
                    if better {
                        leaves = Some((row, ratio));
                    }
                }
            }
            let Some((row, _)) = leaves else { return };
            self.pivot(row, enters, &direction);
        }
    }

    /// Dual simplex: makes every value at least zero again. Lacks may enter, so it always can.
    fn repair(&mut self, effort: &Effort<'_>, most: usize) {
        let n = self.sides.len();
        for _ in 0..most.min(100 + 10 * n) {
            if self.is_over(effort) {
                return;
            }
            let Some((row, least)) = self.values.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1)) else {
                return;
            };
            if least > -PIVOT_NOISE {
                return;
            }
            let duals = self.duals();
            let weights = self.inverse[row * n..(row + 1) * n].to_vec();
            let mut best: Option<(f64, f64, Var)> = None;
            for var in self.candidates(true) {
                let figure = self.product(&weights, var);
                if figure < -PIVOT_NOISE {
                    let ratio = (self.cost(var) - self.product(&duals, var)).max(0.0) / -figure;
                    if best.is_none_or(|(held, size, _)| ratio < held - 1e-13 || ratio <= held && -figure > size) {
                        best = Some((ratio, -figure, var));
                    }
                }
            }
            let Some((_, _, enters)) = best else { return };
            let direction = self.direction(enters);
            self.pivot(row, enters, &direction);
        }
    }

    fn pivot(&mut self, row: usize, enters: Var, direction: &[f64]) {
        let n = self.sides.len();
        self.work += (2 * n * n + 10 * (self.columns.len() + n)) as u64;
        self.basis[row] = enters;
        let scale = 1.0 / direction[row];
        for figure in &mut self.inverse[row * n..(row + 1) * n] {
            *figure *= scale;
        }
        self.values[row] *= scale;
        let (pivot_row, pivot_value) = (self.inverse[row * n..(row + 1) * n].to_vec(), self.values[row]);
        for (other, &figure) in direction.iter().enumerate() {
            if other != row && figure != 0.0 {
                for (entry, &pivot) in self.inverse[other * n..(other + 1) * n].iter_mut().zip(&pivot_row) {
                    *entry -= figure * pivot;
                }
                self.values[other] -= figure * pivot_value;
            }
        }
        self.since_refresh += 1;
        if self.since_refresh >= REFRESH {
            self.refresh();
        }
    }

    /// Inverts the basis afresh; false (and nothing changed) when it is singular.
    fn refresh(&mut self) -> bool {
        let n = self.sides.len();
        self.since_refresh = 0;
        self.work += (n * n * n) as u64 / 2;
        let mut matrix = vec![0.0; n * n];
        for (place, &var) in self.basis.iter().enumerate() {
            match (self.unit(var), var) {
                (Some((row, figure)), _) => matrix[row * n + place] = figure,
                (None, Var::Column(column)) => {
                    for &(row, a) in &self.columns[column].entries {
                        matrix[row * n + place] = a;
                    }
                }
                _ => {}
            }
        }
        let Some(inverse) = invert(matrix, n) else { return false };
        self.inverse = inverse;
        for row in 0..n {
            let figures = &self.inverse[row * n..(row + 1) * n];
            self.values[row] = figures.iter().zip(&self.sides).map(|(a, side)| a * side.rhs).sum();
        }
        true
    }
}

/// Inverse of a square matrix by Gauss and Jordan with row exchange; `None` when singular.
fn invert(mut matrix: Vec<f64>, n: usize) -> Option<Vec<f64>> {
    let mut inverse = vec![0.0; n * n];
    for i in 0..n {
        inverse[i * n + i] = 1.0;
    }
    for column in 0..n {
        let size = |row: &usize| matrix[row * n + column].abs();
        let pivot = (column..n).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        if size(&pivot) < 1e-10 {
            return None;
        }
        for i in 0..n {
            matrix.swap(column * n + i, pivot * n + i);
            inverse.swap(column * n + i, pivot * n + i);
        }
        let scale = 1.0 / matrix[column * n + column];
        for i in 0..n {
            matrix[column * n + i] *= scale;
            inverse[column * n + i] *= scale;
        }
        for row in 0..n {
            let figure = matrix[row * n + column];
            if row != column && figure != 0.0 {
                for i in 0..n {
                    matrix[row * n + i] -= figure * matrix[column * n + i];
                    inverse[row * n + i] -= figure * inverse[column * n + i];
                }
            }
        }
    }
    Some(inverse)
}
