//! All frozen quotes of a folder, how each stands, and the list of them.

use std::fs;
use std::path::Path;

use jiff::civil::Date;

use super::record::{Frozen, Happened};
use super::{OfferError, freeze, quotes_of};
use crate::bill::OfferHead;
use crate::report::{Cell, Sheet};

/// How an offer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Nobody has answered, and it still stands.
    Open,
    /// Nobody has answered, and its time is over.
    Expired,
    /// A later revision has taken its place.
    Replaced,
    /// The client took it.
    Accepted,
    /// It was let go.
    Declined,
}

impl State {
    /// The word in a list.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Expired => "expired",
            Self::Replaced => "replaced",
            Self::Accepted => "accepted",
            Self::Declined => "declined",
        }
    }
}

/// The name of a revision's folder.
pub(super) fn folder_name(head: OfferHead) -> String {
    format!("{}-r{}", head.number, head.revision)
}

/// Number and revision in the name of a folder; `None` for any other name.
fn named(name: &str) -> Option<(u32, u32)> {
    let (number, revision) = name.split_once("-r")?;
    let whole = |text: &str| text.parse::<u32>().ok().filter(|n| n.to_string() == text && *n > 0);
    Some((whole(number)?, whole(revision)?))
}

/// Every frozen revision in a folder of quotes, by number and revision; none when the folder is not there.
///
/// # Errors
/// [`OfferError`] when one of them does not read.
pub fn frozen_quotes(quotes: &Path) -> Result<Vec<Frozen>, OfferError> {
    let Ok(entries) = fs::read_dir(quotes) else { return Ok(Vec::new()) };
    let mut found: Vec<((u32, u32), std::path::PathBuf)> = Vec::new();
    for entry in entries.flatten() {
        if let Some(key) = entry.file_name().to_str().and_then(named)
            && entry.path().join(super::record::RECORD).exists()
        {
            found.push((key, entry.path()));
        }
    }
    found.sort();
    found.iter().map(|(_, folder)| Frozen::open(folder)).collect()
}

/// Those of one job file.
pub(super) fn of_job<'a>(all: &'a [Frozen], path: &Path) -> impl Iterator<Item = &'a Frozen> {
    let file = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    all.iter().filter(move |frozen| frozen.job_file == file)
}

/// One revision of a job: the one asked for, or its latest.
pub(super) fn revision<'a>(all: &'a [Frozen], path: &Path, asked: Option<u32>) -> Result<&'a Frozen, OfferError> {
    let mut ours: Vec<&Frozen> = of_job(all, path).collect();
    ours.sort_by_key(|frozen| frozen.head.revision);
    let there: Vec<u32> = ours.iter().map(|frozen| frozen.head.revision).collect();
    let found = match asked {
        None => ours.last(),
        Some(asked) => ours.iter().find(|frozen| frozen.head.revision == asked),
    };
    match (found, asked) {
        (Some(frozen), _) => Ok(frozen),
        (None, Some(asked)) if !there.is_empty() => Err(OfferError::NoRevision { asked, there }),
        (None, _) => Err(OfferError::NotFrozen),
    }
}

impl Frozen {
    /// A revision of the job's quote, whole: the one asked for, or its latest. What a killed freeze left is finished first.
    ///
    /// # Errors
    /// [`OfferError`] when there is none, or somebody has edited it.
    pub fn of(path: &Path, asked: Option<u32>) -> Result<Self, OfferError> {
        let quotes = quotes_of(path);
        freeze::settled(&quotes)?;
        revision(&frozen_quotes(&quotes)?, path, asked)?.clone().whole()
    }
}

/// How one of them stands on a day.
#[must_use]
pub fn state(frozen: &Frozen, all: &[Frozen], today: Date) -> State {
    let later = |other: &Frozen| other.head.number == frozen.head.number && other.head.revision > frozen.head.revision;
    if frozen.day_of(Happened::Declined).is_some() {
        State::Declined
    } else if frozen.day_of(Happened::Accepted).is_some() {
        State::Accepted
    } else if all.iter().any(later) {
        State::Replaced
    } else if frozen.head.valid_until.is_some_and(|until| until < today) {
        State::Expired
    } else {
        State::Open
    }
}

/// True for an offer that waits for its answer, its time over or not.
#[must_use]
pub const fn is_open(state: State) -> bool {
    matches!(state, State::Open | State::Expired)
}

/// `quotes.csv`: every frozen revision, how it stands, how old it is, what it comes to and what came in.
#[must_use]
pub fn quotes_sheet(all: &[Frozen], today: Date) -> Sheet {
    const COLUMNS: [&str; 13] = [
        "number",
        "revision",
        "job",
        "client",
        "date",
        "valid_until",
        "state",
        "age_days",
        "currency",
        "total",
        "received",
        "hours",
        "folder",
    ];
    let row = |frozen: &Frozen| {
        let day = |date: Date| Cell::text(date.to_string());
        vec![
            Cell::Count(frozen.head.number.into()),
            Cell::Count(frozen.head.revision.into()),
            Cell::text(&frozen.job),
            frozen.client.as_ref().map_or(Cell::Empty, Cell::text),
            day(frozen.head.date),
            frozen.head.valid_until.map_or(Cell::Empty, day),
            Cell::text(state(frozen, all, today).word()),
            Cell::Count(age(frozen, today)),
            Cell::text(&frozen.currency),
            Cell::Money(frozen.total),
            Cell::Money(frozen.received()),
            Cell::Decimal(frozen.hours),
            Cell::text(folder_name(frozen.head)),
        ]
    };
    Sheet::new("quotes", &COLUMNS, all.iter().map(row).collect())
}

/// Days since it was made; none for one that is dated later.
fn age(frozen: &Frozen, today: Date) -> i64 {
    (today - frozen.head.date).get_days().max(0).into()
}

/// Finishes what a killed freeze left beside the job, then reads all quotes there.
///
/// # Errors
/// [`OfferError`] when one of them does not read.
pub fn all_beside(path: &Path) -> Result<Vec<Frozen>, OfferError> {
    let quotes = quotes_of(path);
    freeze::settled(&quotes)?;
    frozen_quotes(&quotes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_number_and_a_revision_name_a_frozen_quote() {
        assert_eq!(named("41-r2"), Some((41, 2)));
        for name in ["41", "41-r", "r2", "041-r2", "41-r02", "41-r0", "41-r2.bak", "-r1", "41-r2-r3"] {
            assert_eq!(named(name), None, "{name}");
        }
    }
}
