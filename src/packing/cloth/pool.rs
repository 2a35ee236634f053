//! All columns found so far; those long unused rest until pricing finds them again.

use std::collections::BTreeMap;

use super::rows::Column;
use super::simplex::Var;

/// Programs for which an unused column stays in play.
const PATIENCE: u32 = 24;

/// The columns.
#[derive(Debug, Default)]
pub(super) struct Pool {
    columns: Vec<Column>,
    known: BTreeMap<Column, usize>,
    /// The last program in which each was found or used.
    last: Vec<u32>,
    programs: u32,
}

impl Pool {
    /// Adds a column, or wakes the same column; its number.
    pub(super) fn add(&mut self, column: Column) -> usize {
        if let Some(&number) = self.known.get(&column) {
            self.last[number] = self.programs;
            return number;
        }
        let number = self.columns.len();
        self.known.insert(column.clone(), number);
        self.columns.push(column);
        self.last.push(self.programs);
        number
    }

    /// The column of a number.
    pub(super) fn get(&self, number: usize) -> &Column {
        &self.columns[number]
    }

    /// Columns in play for the next program: those found or used lately and those of its basis.
    pub(super) fn in_play(&mut self, basis: Option<&[Var]>) -> Vec<usize> {
        self.programs += 1;
        for var in basis.unwrap_or_default() {
            if let Var::Column(number) = var {
                self.used(*number);
            }
        }
        self.lately().collect()
    }

    /// Columns found or used lately.
    pub(super) fn lately(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.columns.len()).filter(|&number| self.last[number] + PATIENCE >= self.programs)
    }

    /// Notes that a column was used.
    pub(super) fn used(&mut self, number: usize) {
        self.last[number] = self.programs;
    }
}
