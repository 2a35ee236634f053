//! What the shop has learned from its jobs: the history file that the shop file points to.

use rust_decimal::Decimal;

use super::Species;
use crate::measure::Length;

/// The rows of a history by their kind. Each kind of row has its list; a row says its kind in the column `kind`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct History {
    /// Strips that came off the saw, a section of a job a row (`kind` empty or `strips`).
    pub sections: Vec<SectionHistory>,
}

/// One section of one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionHistory {
    /// The job's name.
    pub job: String,
    /// The mark of its first plan, cut short; empty in a row of somebody's own.
    pub plan: String,
    /// Its wood.
    pub species: Species,
    /// Width of the strips.
    pub width: Length,
    /// Thickness of the strips.
    pub thickness: Length,
    /// Boards they came from.
    pub boards: u64,
    /// Strips cut.
    pub cut: u64,
    /// Strips rejected.
    pub rejected: u64,
    /// How far they came by the board: the variance of the rejects of its boards over that of strips that fail each by
    /// itself. `None` where it is not known.
    pub by_board: Option<Decimal>,
    /// Hours at the saw.
    pub hours: Decimal,
}
