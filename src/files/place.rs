//! Where a word stands: [`Place`], [`At`] a place, and [`Entry`], a key that may be missing or faulty.

use super::Desk;
use super::problem::{Kind, Problem};

/// One of the files read for a job, in the order of reading; 0 is the job file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub(crate) usize);

impl FileId {
    /// The job file itself.
    pub const JOB: Self = Self(0);
}

/// A stretch of a file's text, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// A stretch of a file, or the file as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Which file.
    pub file: FileId,
    /// Which stretch; `None` for the file as a whole.
    pub span: Option<Span>,
}

impl Place {
    pub(crate) const fn new(file: FileId, start: usize, end: usize) -> Self {
        Self { file, span: Some(Span { start, end }) }
    }

    pub(crate) const fn whole(file: FileId) -> Self {
        Self { file, span: None }
    }
}

impl Default for Place {
    fn default() -> Self {
        Self::whole(FileId::JOB)
    }
}

/// A value with the place it was written at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct At<T> {
    pub(crate) value: T,
    pub(crate) place: Place,
}

/// What a key or a cell holds. A faulty one has been noted already: whoever meets it stays silent.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) enum Entry<T> {
    #[default]
    Missing,
    Faulty,
    Given(At<T>),
}

impl<T> Entry<T> {
    pub(crate) const fn is_missing(&self) -> bool {
        matches!(self, Self::Missing)
    }

    pub(crate) const fn given(&self) -> Option<&At<T>> {
        match self {
            Self::Given(at) => Some(at),
            Self::Missing | Self::Faulty => None,
        }
    }

    /// The place, where a value was given.
    pub(crate) fn place(&self) -> Option<Place> {
        self.given().map(|at| at.place)
    }
}

impl<T: Clone> Entry<T> {
    /// The value, or a note that `key` is missing in the table at `head`; `example` shows how to write it.
    pub(crate) fn need(&self, desk: &Desk, head: &Head, key: &str, example: &str) -> Option<At<T>> {
        if self.is_missing() && !desk.was_meant(head.place, key) {
            desk.add(
                Problem::new(Kind::Missing, head.place, format!("`{key}` is missing in {}", head.title))
                    .help(format!("add a line such as `{key} = {example}`")),
            );
        }
        self.given().cloned()
    }

    /// This entry, or `base` where it says nothing.
    pub(crate) fn or(&self, base: &Self) -> Self {
        if self.is_missing() { base.clone() } else { self.clone() }
    }
}

/// The heading of a table: what to call it in a message and where it stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Head {
    pub(crate) title: String,
    pub(crate) place: Place,
}

/// An array of tables, or the rows of a file; `faulty` when one of them could not be read at all (noted already).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tables<T> {
    pub(crate) list: Vec<T>,
    pub(crate) faulty: bool,
    pub(crate) given: bool,
}

impl<T> Default for Tables<T> {
    fn default() -> Self {
        Self { list: Vec::new(), faulty: false, given: false }
    }
}
