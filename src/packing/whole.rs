//! Whole programs solved by HiGHS: a second opinion for those who model a packing in another way.
//!
//! Only with the feature `highs`, which needs cmake, a C++ compiler and libclang. No plan rests on it.

use super::lp::{Program, Sense};

/// A program in whole values to minimise, built row by row and column by column.
///
/// ```
/// use slatwright::packing::whole::WholeProgram;
/// let mut program = WholeProgram::default();
/// let need = program.at_least(50);
/// for (cost, most, entry) in [(23, 2, 36), (38, 3, 24), (38, 12, 48)] {
///     program.column(cost, most, &[(need, entry)]);
/// }
/// let answer = program.least(60.0).unwrap();
/// assert_eq!((answer.cost, answer.proven, answer.values), (46, true, vec![2, 0, 0]));
/// ```
#[derive(Debug, Clone, Default)]
pub struct WholeProgram {
    program: Program,
    costs: Vec<i64>,
}

/// The best values found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WholeAnswer {
    /// Recomputed from the values.
    pub cost: i64,
    /// The solver says that no values cost less.
    pub proven: bool,
    /// One for each column.
    pub values: Vec<u32>,
}

impl WholeProgram {
    /// A row that must come to at least so much; its number.
    pub fn at_least(&mut self, right: i64) -> usize {
        self.program.row(Sense::AtLeast, right as f64)
    }

    /// A row that may come to at most so much; its number.
    pub fn at_most(&mut self, right: i64) -> usize {
        self.program.row(Sense::AtMost, right as f64)
    }

    /// A row that must come to just so much; its number.
    pub fn equal(&mut self, right: i64) -> usize {
        self.program.row(Sense::Equal, right as f64)
    }

    /// A column from 0 to `most` with its entries (row, figure); its number.
    pub fn column(&mut self, cost: i64, most: u32, entries: &[(usize, i64)]) -> usize {
        self.costs.push(cost);
        let entries = entries.iter().map(|&(row, figure)| (row, figure as f64)).collect();
        self.program.bounded_column(cost as f64, f64::from(most), entries)
    }

    /// Columns so far.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.costs.len()
    }

    /// The least cost that HiGHS finds on one thread in about so many seconds; `None` when it finds no
    /// values.
    #[must_use]
    pub fn least(&self, seconds: f64) -> Option<WholeAnswer> {
        let (values, proven) = self.program.solve_whole_by_highs(seconds).ok()?;
        let cost = self.costs.iter().zip(&values).map(|(cost, &value)| cost * i64::from(value)).sum();
        Some(WholeAnswer { cost, proven, values })
    }
}
