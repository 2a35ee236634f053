//! Quotes that stand: a quote frozen as a folder that never changes again, and what happens to it.
//!
//! Beside the job lies the folder `quotes/`; in it `41-r1`, revision 1 of quote 41, holds the job's files as they were
//! read, the whole plan, the quote as both its readers see it, and `quote.toml` with number, dates, total and a digest of
//! every file. Such a folder is written whole or not at all. What happens to an offer later (accepted, declined,
//! money received) is added at the foot of its `quote.toml`, behind the line that its seal ends at.
//!
//! Boards of the rack that a frozen quote takes are held for its job in the boards file, column `held_for`: no other
//! job plans them.

mod change_order;
mod freeze;
mod list;
mod record;
mod shop_number;

use std::path::{Path, PathBuf};

use thiserror::Error;

pub use change_order::{ChangeOrder, Changed, change_order};
pub use freeze::{Files, Freezing, add_event, freeze};
pub use list::{State, all_beside, frozen_quotes, is_open, quotes_sheet, state};
pub use record::{Event, Frozen, Happened};

use crate::files::{Problems, Refused};
use crate::shopfloor::{FloorError, ReplaceError};

/// The folder beside the job that holds its frozen quotes.
pub const QUOTES: &str = "quotes";

/// Where the quotes of a job lie.
#[must_use]
pub fn quotes_of(job_path: &Path) -> PathBuf {
    job_path.parent().map_or_else(|| PathBuf::from(QUOTES), |folder| folder.join(QUOTES))
}

/// Why an offer was not made, found or changed. Nothing was written.
#[derive(Debug, Error)]
pub enum OfferError {
    /// No such revision.
    #[error("there is no revision {asked} of this job's quote")]
    NoRevision {
        /// What was asked for.
        asked: u32,
        /// Which ones there are.
        there: Vec<u32>,
    },
    /// The job has no frozen quote at all.
    #[error("this job has no frozen quote")]
    NotFrozen,
    /// A day before the one it has to follow.
    #[error("{date} is before {last}, the date of {what}")]
    TooEarly {
        /// The day given.
        date: jiff::civil::Date,
        /// The day it must not precede.
        last: jiff::civil::Date,
        /// What that day is the date of.
        what: String,
    },
    /// Files of a frozen quote are not what was frozen.
    #[error("`{}` was changed since it was frozen: {}", folder.display(), names.join(", "))]
    Edited {
        /// The folder of the revision.
        folder: PathBuf,
        /// Files that differ or are gone.
        names: Vec<String>,
    },
    /// What may happen to an offer only once, or no more.
    #[error("{0}")]
    Decided(String),
    /// More money than the offer comes to.
    #[error("with {received} received this would be more than the total of {total}")]
    TooMuch {
        /// What came in before.
        received: crate::measure::Cents,
        /// What the offer comes to.
        total: crate::measure::Cents,
    },
    /// Something else lies where the quote would go.
    #[error("`{}` is there already and is no frozen quote", .0.display())]
    Foreign(PathBuf),
    /// Another run has been at work there for long.
    #[error("another run is using `{}`", .0.display())]
    Busy(PathBuf),
    /// A file that was read for the quote changed before it was frozen.
    #[error("`{}` changed while the quote was made", .0.display())]
    Changed(PathBuf),
    /// A `quote.toml` that does not read.
    #[error("{0}")]
    Files(Problems),
    /// The boards file cannot take the hold.
    #[error(transparent)]
    Rack(#[from] FloorError),
    /// A file beside the quotes was not replaced.
    #[error(transparent)]
    Replace(#[from] ReplaceError),
    /// The system refused.
    #[error(transparent)]
    System(#[from] Refused),
}
