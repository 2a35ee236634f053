//! How wide what is printed may be: as wide as the terminal, or 80 columns where it goes into a file or a pipe, so that
//! the same input gives the same bytes there.

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::report::table::{COLUMNS_OF_A_TERMINAL, table_within};
use crate::report::{Sheet, Show};

static COLUMNS: AtomicUsize = AtomicUsize::new(COLUMNS_OF_A_TERMINAL);

/// A table gains nothing by being wider, and cannot be read at less.
const WIDEST: usize = 160;
const NARROWEST: usize = 40;

/// Takes the width of the terminal that standard output is, where it is one.
pub(super) fn take_the_terminals() {
    if let Some((_, columns)) = console::Term::stdout().size_checked() {
        COLUMNS.store(usize::from(columns).clamp(NARROWEST, WIDEST), Ordering::Relaxed);
    }
}

/// Columns of running text, which is read no easier beyond 80.
pub(super) fn of_text() -> usize {
    COLUMNS.load(Ordering::Relaxed).min(COLUMNS_OF_A_TERMINAL)
}

/// What is made for a file, at 80 columns whatever the terminal.
pub(super) fn for_a_file<T>(make: impl FnOnce() -> T) -> T {
    let terminal = COLUMNS.swap(COLUMNS_OF_A_TERMINAL, Ordering::Relaxed);
    let made = make();
    COLUMNS.store(terminal, Ordering::Relaxed);
    made
}

/// A table as wide as there is room for.
pub(super) fn table<'a>(sheet: &Sheet, show: impl Into<Show<'a>>, columns: &[(&str, &str)]) -> String {
    table_within(COLUMNS.load(Ordering::Relaxed), sheet, show, columns)
}
