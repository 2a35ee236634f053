//! All columns found so far; those long unused rest until pricing finds them again.

use std::collections::BTreeMap;

use super::rows::Column;

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

    /// Columns found so far.
    pub(super) fn len(&self) -> usize {
        self.columns.len()
    }

    /// One program more.
    pub(super) fn next(&mut self) {
        self.programs += 1;
    }

    /// A column that was found or used lately.
    pub(super) fn is_lately(&self, number: usize) -> bool {
        self.last[number] + PATIENCE >= self.programs
    }

    /// Columns found or used lately.
    pub(super) fn lately(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.columns.len()).filter(|&number| self.is_lately(number))
    }

    /// Notes that a column was used.
    pub(super) fn used(&mut self, number: usize) {
        self.last[number] = self.programs;
    }
}
