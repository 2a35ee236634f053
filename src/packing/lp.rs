//! Linear and integer programs, the one place that speaks to the solver library.
//!
//! Programs are built by columns, as column generation grows them: first the rows, then columns
//! with their cost and their entries. Linear programs go to an interior point solver that also
//! returns duals (good to about 1e-9, so exact bounds recompute from rounded duals); integer
//! programs go to branch and bound.
#![cfg_attr(not(test), allow(dead_code, reason = "whole programs and equalities serve the tests"))]

use good_lp::{
    Constraint, Expression, ProblemVariables, ResolutionError, Solution, SolutionWithDual, SolverModel, Variable,
    clarabel, constraint, solvers::DualValues, variable,
};
#[cfg(feature = "highs")]
use good_lp::{highs, solvers::SolutionStatus};

/// How a row compares to its right-hand side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sense {
    /// At least.
    AtLeast,
    /// At most.
    AtMost,
    /// Equal.
    Equal,
}

/// A program to minimise: sparse columns over rows, every variable at least 0.
#[derive(Debug, Clone, Default)]
pub(crate) struct Program {
    rows: Vec<(Sense, f64)>,
    columns: Vec<Column>,
}

#[derive(Debug, Clone)]
struct Column {
    cost: f64,
    upper: f64,
    entries: Vec<(usize, f64)>,
}

/// An optimum of a linear program.
#[derive(Debug, Clone)]
pub(crate) struct LpOptimum {
    /// Objective.
    pub(crate) value: f64,
    /// One value per column.
    pub(crate) primal: Vec<f64>,
    /// One dual per row: the change of the objective per unit of right-hand side.
    pub(crate) duals: Vec<f64>,
}

/// Why a program has no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LpFailure {
    /// No point meets all rows.
    Infeasible,
    /// The solver gave up: numerical trouble or an unbounded program.
    Failed,
}

/// Integer variables go to the solver as `i32`: a column without an upper bound gets this one.
const INTEGER_LIMIT: f64 = 1e9;

/// A row counts as met within this, relative to its size: the solvers stop at about 1e-9.
const ROW_TOLERANCE: f64 = 1e-5;

impl Program {
    /// Adds a row and gives its index.
    pub(crate) fn row(&mut self, sense: Sense, right: f64) -> usize {
        self.rows.push((sense, right));
        self.rows.len() - 1
    }

    /// Adds a column at or above 0 and gives its index.
    pub(crate) fn column(&mut self, cost: f64, entries: Vec<(usize, f64)>) -> usize {
        self.bounded_column(cost, f64::INFINITY, entries)
    }

    /// Adds a column between 0 and `upper` and gives its index.
    pub(crate) fn bounded_column(&mut self, cost: f64, upper: f64, entries: Vec<(usize, f64)>) -> usize {
        self.columns.push(Column { cost, upper, entries });
        self.columns.len() - 1
    }

    /// Solves it with fractional values.
    ///
    /// # Errors
    /// [`LpFailure`] when there is no optimum or the solver's answer does not meet the rows.
    pub(crate) fn solve(&self) -> Result<LpOptimum, LpFailure> {
        let (variables, x) = self.fractional();
        self.optimum(variables.minimise(self.objective(&x)).using(clarabel), &x)
    }

    /// The same by HiGHS.
    ///
    /// # Errors
    /// As [`Program::solve`].
    #[cfg(feature = "highs")]
    pub(crate) fn solve_by_highs(&self) -> Result<LpOptimum, LpFailure> {
        let (variables, x) = self.fractional();
        self.optimum(variables.minimise(self.objective(&x)).using(highs), &x)
    }

    /// Solves it with whole values, to proven optimality: a second opinion in tests.
    ///
    /// # Errors
    /// [`LpFailure`] when there is no optimum or the solver's answer does not meet the rows.
    #[cfg(test)]
    pub(crate) fn solve_whole(&self) -> Result<Vec<u32>, LpFailure> {
        let (variables, x) = self.whole();
        let mut model = variables.minimise(self.objective(&x)).using(good_lp::microlp);
        for row in self.constraints(&x) {
            model.add_constraint(row);
        }
        let answer = model.solve().map_err(|e| failure(&e))?;
        self.rounded(&answer, &x)
    }

    /// The same by HiGHS on one thread, within about so many seconds (it may take three times as
    /// long). The second value says whether it is proven lowest. HiGHS is never given a start: with one
    /// it has called wrong answers optimal.
    ///
    /// # Errors
    /// As [`Program::solve_whole`]; also when no answer was found in time.
    #[cfg(feature = "highs")]
    pub(crate) fn solve_whole_by_highs(&self, seconds: f64) -> Result<(Vec<u32>, bool), LpFailure> {
        let (variables, x) = self.whole();
        let model = variables.minimise(self.objective(&x)).using(highs).set_threads(1).set_time_limit(seconds);
        let mut model = model.set_mip_rel_gap(0.0).map_err(|_| LpFailure::Failed)?;
        for row in self.constraints(&x) {
            model.add_constraint(row);
        }
        let answer = model.solve().map_err(|e| failure(&e))?;
        let proven = matches!(answer.status(), SolutionStatus::Optimal);
        Ok((self.rounded(&answer, &x)?, proven))
    }

    fn fractional(&self) -> (ProblemVariables, Vec<Variable>) {
        let mut variables = ProblemVariables::new();
        let add = |c: &Column| {
            variables.add(if c.upper.is_finite() { variable().clamp(0, c.upper) } else { variable().min(0) })
        };
        let x = self.columns.iter().map(add).collect();
        (variables, x)
    }

    fn whole(&self) -> (ProblemVariables, Vec<Variable>) {
        let mut variables = ProblemVariables::new();
        let add = |c: &Column| variables.add(variable().integer().clamp(0, c.upper.min(INTEGER_LIMIT)));
        let x = self.columns.iter().map(add).collect();
        (variables, x)
    }

    /// Solves a fractional program that a back end has made ready, and checks its answer.
    fn optimum<M>(&self, mut model: M, x: &[Variable]) -> Result<LpOptimum, LpFailure>
    where
        M: SolverModel<Error = ResolutionError>,
        for<'a> M::Solution: SolutionWithDual<'a>,
    {
        let rows: Vec<_> = self.constraints(x).into_iter().map(|row| model.add_constraint(row)).collect();
        let mut answer = model.solve().map_err(|e| failure(&e))?;
        let primal: Vec<f64> = x.iter().map(|&v| answer.value(v).max(0.0)).collect();
        let dual = answer.compute_dual();
        let duals: Vec<f64> = rows.into_iter().map(|row| dual.dual(row)).collect();
        if !self.meets_rows(&primal) || duals.iter().any(|d| !d.is_finite()) {
            return Err(LpFailure::Failed);
        }
        Ok(LpOptimum { value: self.value(&primal), primal, duals })
    }

    /// The whole values of an answer, checked.
    fn rounded(&self, answer: &impl Solution, x: &[Variable]) -> Result<Vec<u32>, LpFailure> {
        let primal: Vec<f64> = x.iter().map(|&v| answer.value(v).round().max(0.0)).collect();
        if !self.meets_rows(&primal) {
            return Err(LpFailure::Failed);
        }
        Ok(primal.into_iter().map(|v| v as u32).collect())
    }

    fn objective(&self, x: &[Variable]) -> Expression {
        let mut sum = Expression::with_capacity(x.len());
        for (column, &v) in self.columns.iter().zip(x) {
            sum.add_mul(column.cost, v);
        }
        sum
    }

    fn constraints(&self, x: &[Variable]) -> Vec<Constraint> {
        let mut left = vec![Expression::default(); self.rows.len()];
        for (column, &v) in self.columns.iter().zip(x) {
            for &(row, entry) in &column.entries {
                left[row].add_mul(entry, v);
            }
        }
        left.into_iter()
            .zip(&self.rows)
            .map(|(left, &(sense, right))| match sense {
                Sense::AtLeast => constraint!(left >= right),
                Sense::AtMost => constraint!(left <= right),
                Sense::Equal => constraint!(left == right),
            })
            .collect()
    }

    /// The library calls some failed runs optimal, so every answer is checked.
    fn meets_rows(&self, primal: &[f64]) -> bool {
        let mut left = vec![0.0; self.rows.len()];
        let mut size = vec![1.0f64; self.rows.len()];
        for (column, &v) in self.columns.iter().zip(primal) {
            for &(row, entry) in &column.entries {
                left[row] += entry * v;
                size[row] = size[row].max((entry * v).abs());
            }
        }
        primal.iter().all(|v| v.is_finite())
            && self.rows.iter().zip(left.iter().zip(size)).all(|(&(sense, right), (&left, size))| {
                let slack = ROW_TOLERANCE * size.max(right.abs());
                match sense {
                    Sense::AtLeast => left >= right - slack,
                    Sense::AtMost => left <= right + slack,
                    Sense::Equal => (left - right).abs() <= slack,
                }
            })
    }

    fn value(&self, primal: &[f64]) -> f64 {
        self.columns.iter().zip(primal).map(|(column, v)| column.cost * v).sum()
    }
}

fn failure(error: &ResolutionError) -> LpFailure {
    if matches!(error, ResolutionError::Infeasible) { LpFailure::Infeasible } else { LpFailure::Failed }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two products, two machines: the textbook case with optimum 36 at (2, 6) and machine duals
    /// 0, 3/2, 1 (Hillier and Lieberman, Introduction to Operations Research, "Wyndor"; from memory).
    fn wyndor() -> Program {
        let mut p = Program::default();
        let rows = [4.0, 12.0, 18.0].map(|right| p.row(Sense::AtMost, right));
        p.column(-3.0, vec![(rows[0], 1.0), (rows[2], 3.0)]);
        p.column(-5.0, vec![(rows[1], 2.0), (rows[2], 2.0)]);
        p
    }

    #[test]
    fn a_textbook_program_gives_its_optimum_and_duals() {
        let best = wyndor().solve().unwrap();
        assert!((best.value + 36.0).abs() < 1e-6, "{best:?}");
        for (found, known) in best.primal.iter().zip([2.0, 6.0]) {
            assert!((found - known).abs() < 1e-6, "{best:?}");
        }
        for (found, known) in best.duals.iter().zip([0.0, -1.5, -1.0]) {
            assert!((found - known).abs() < 1e-6, "{best:?}");
        }
    }

    #[test]
    fn whole_values_cost_more_than_fractional_ones() {
        let mut p = Program::default();
        let row = p.row(Sense::AtLeast, 50.0);
        p.bounded_column(23.0, 2.0, vec![(row, 36.0)]);
        p.bounded_column(38.0, 3.0, vec![(row, 24.0)]);
        p.bounded_column(38.0, 12.0, vec![(row, 48.0)]);
        assert_eq!(p.solve_whole().unwrap(), [2, 0, 0]);
        assert!(p.solve().unwrap().value < 46.0);
    }

    #[test]
    fn rows_that_contradict_each_other_are_infeasible() {
        let mut p = Program::default();
        let low = p.row(Sense::AtLeast, 5.0);
        let high = p.row(Sense::AtMost, 4.0);
        p.column(1.0, vec![(low, 1.0), (high, 1.0)]);
        assert!(p.solve().is_err());
        assert_eq!(p.solve_whole(), Err(LpFailure::Infeasible));
    }

    #[test]
    fn an_equality_has_a_dual_of_either_sign() {
        let mut p = Program::default();
        let row = p.row(Sense::Equal, 3.0);
        p.column(-2.0, vec![(row, 1.0)]);
        let best = p.solve().unwrap();
        assert!((best.duals[0] + 2.0).abs() < 1e-6, "{best:?}");
    }

    /// The same programs by HiGHS: fractional and whole values, duals, and what cannot be met.
    #[cfg(feature = "highs")]
    mod by_highs {
        use super::*;
        use proptest::prelude::*;

        #[test]
        fn the_textbook_program_has_the_same_optimum_and_duals() {
            let (a, b) = (wyndor().solve().unwrap(), wyndor().solve_by_highs().unwrap());
            assert!((a.value - b.value).abs() < 1e-6, "{a:?} {b:?}");
            for (a, b) in a.primal.iter().chain(&a.duals).zip(b.primal.iter().chain(&b.duals)) {
                assert!((a - b).abs() < 1e-5, "{a} {b}");
            }
        }

        /// With a start of (0, 1, 1) HiGHS 1.16 has answered 76; without one it finds 46.
        #[test]
        fn the_program_that_a_start_spoils_is_right_without_one() {
            let mut p = Program::default();
            let row = p.row(Sense::AtLeast, 50.0);
            p.bounded_column(23.0, 2.0, vec![(row, 36.0)]);
            p.bounded_column(38.0, 3.0, vec![(row, 24.0)]);
            p.bounded_column(38.0, 12.0, vec![(row, 48.0)]);
            assert_eq!(p.solve_whole_by_highs(60.0).unwrap(), (vec![2, 0, 0], true));
        }

        fn cost(p: &Program, values: &[u32]) -> f64 {
            p.columns.iter().zip(values).map(|(column, &v)| column.cost * f64::from(v)).sum()
        }

        proptest! {
            #[test]
            fn random_programs_have_the_same_optima(
                needs in prop::collection::vec(0_u8..12, 1..5),
                columns in prop::collection::vec((1_u8..30, 0_u8..6, prop::collection::vec(0_u8..4, 4)), 1..9),
            ) {
                let mut p = Program::default();
                let rows: Vec<usize> = needs.iter().map(|&need| p.row(Sense::AtLeast, need.into())).collect();
                for (cost, upper, figures) in &columns {
                    let entries = rows.iter().zip(figures).filter(|(_, a)| **a > 0).map(|(&r, &a)| (r, a.into()));
                    p.bounded_column((*cost).into(), (*upper).into(), entries.collect());
                }
                match (p.solve_whole(), p.solve_whole_by_highs(60.0)) {
                    (Ok(ours), Ok((theirs, proven))) => {
                        prop_assert!(proven);
                        prop_assert!((cost(&p, &ours) - cost(&p, &theirs)).abs() < 1e-6);
                    }
                    (ours, theirs) => prop_assert!(ours.is_err() && theirs.is_err(), "{ours:?} {theirs:?}"),
                }
                match (p.solve(), p.solve_by_highs()) {
                    (Ok(ours), Ok(theirs)) => {
                        prop_assert!((ours.value - theirs.value).abs() < 1e-5 * ours.value.abs().max(1.0));
                    }
                    (ours, theirs) => prop_assert!(ours.is_err() && theirs.is_err(), "{ours:?} {theirs:?}"),
                }
            }
        }
    }
}
