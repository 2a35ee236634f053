//! The rows of the plan's CSV files, in the order a person reads them; those of the quote and of the shop floor are in
//! `quote` and `floor`.

mod case;
mod cloth;
mod doors;
mod money;
mod summary;
mod wood;

pub use case::{case, clear_rooms, sheet_cuts, sheets, smallest_cases};
pub(super) use case::{routed_by, templates};
pub use cloth::{cloth_bolts, cloth_pieces};
pub use doors::{doors, fit, stops};
pub use money::{buy, costs};
pub use summary::{CLOTH_CUTS, summary};
pub(super) use wood::board_price;
pub use wood::{boards, bundles, rips, slats};

use super::cell::Cell;

/// A named table: columns and rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// File name without its ending.
    pub name: &'static str,
    /// Column names.
    pub columns: Vec<&'static str>,
    /// Rows, each as long as `columns`.
    pub rows: Vec<Vec<Cell>>,
}

impl Sheet {
    /// A sheet of these rows, each as long as `columns`.
    #[must_use]
    pub fn new(name: &'static str, columns: &[&'static str], rows: Vec<Vec<Cell>>) -> Self {
        assert!(rows.iter().all(|row| row.len() == columns.len()), "{name}: a row is as long as its header");
        Self { name, columns: columns.to_vec(), rows }
    }
}
