//! [`Problem`]: one thing wrong with a file, and [`Problems`], all of them together with the texts.

use std::fmt;

use super::shown::calmed;
use super::sources::SourceFile;
use super::{Place, Span};

/// The kinds of fault a file can have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The file cannot be read at all: absent, a folder, too large, not UTF-8.
    Unreadable,
    /// The text is no TOML, or the CSV file has no regular rows.
    Syntax,
    /// A key or a column that is not a choice here.
    UnknownKey,
    /// A key, a column or a cell that has to be there.
    Missing,
    /// A value of the wrong form or out of range.
    BadValue,
    /// The same name twice.
    Duplicate,
    /// Values that are right alone and wrong together.
    Conflict,
    /// A name that stands for nothing else in the files.
    UnknownName,
}

/// One thing wrong: where, what, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Which kind of fault.
    pub kind: Kind,
    /// The text at fault.
    pub place: Place,
    /// What is wrong, one sentence without a full stop.
    pub what: String,
    /// What would be right.
    pub help: String,
    /// Other places that matter, each with a remark.
    pub also: Vec<(Place, String)>,
}

// A file's words end up in messages: every text of a problem goes through `calmed`.
impl Problem {
    #[allow(clippy::new_ret_no_self, reason = "nothing is a problem before it says what would be right")]
    pub(crate) fn new(kind: Kind, place: Place, what: impl Into<String>) -> Wrong {
        Wrong { kind, place, what: calmed(&what.into()), also: Vec::new() }
    }
}

/// What is wrong, and not yet what would be right.
#[must_use]
pub(crate) struct Wrong {
    kind: Kind,
    place: Place,
    what: String,
    also: Vec<(Place, String)>,
}

impl Wrong {
    /// Another place that matters.
    pub(crate) fn also(mut self, place: Place, remark: impl Into<String>) -> Self {
        self.also.push((place, calmed(&remark.into())));
        self
    }

    /// What would be right.
    #[must_use]
    pub(crate) fn help(self, help: impl Into<String>) -> Problem {
        let Self { kind, place, what, also } = self;
        Problem { kind, place, what, help: calmed(&help.into()), also }
    }
}

/// Problems that are printed; the rest are counted: nobody mends more at one go.
const PRINTED: usize = 20;

/// Everything wrong with the files of one job: never empty, in order of file and place.
#[derive(Clone)]
pub struct Problems {
    files: Vec<SourceFile>,
    list: Vec<Problem>,
    more: usize,
}

impl Problems {
    pub(crate) fn new(files: Vec<SourceFile>, mut list: Vec<Problem>, more: usize) -> Self {
        list.sort_by_key(|problem| problem.place);
        Self { files, list, more }
    }

    /// The problems, by file and place.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.list.iter()
    }

    /// How many there are, those left out of the list included; at least one.
    #[must_use]
    pub fn count(&self) -> usize {
        self.list.len() + self.more
    }

    /// Those that are printed: the first twenty.
    pub fn printed(&self) -> impl Iterator<Item = &Problem> {
        self.list.iter().take(PRINTED)
    }

    /// How many are not printed.
    #[must_use]
    pub fn unprinted(&self) -> usize {
        self.count().saturating_sub(PRINTED)
    }

    /// How many were counted only: past the first few hundred, more would help nobody.
    #[must_use]
    pub const fn left_out(&self) -> usize {
        self.more
    }

    /// Every file that was read, the job file first.
    #[must_use]
    pub fn files(&self) -> &[SourceFile] {
        &self.files
    }

    /// The file a place lies in.
    #[must_use]
    pub fn file(&self, place: Place) -> &SourceFile {
        &self.files[place.file.0]
    }

    /// The text at a place; empty for a file as a whole.
    #[must_use]
    pub fn text(&self, place: Place) -> &str {
        let Some(Span { start, end }) = place.span else { return "" };
        self.file(place).text().get(start..end).unwrap_or_default()
    }
}

impl fmt::Display for Problems {
    /// One line a problem: `path:line:column: what; help`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in self.printed() {
            let file = self.file(problem.place);
            write!(f, "{}", file.shown_path())?;
            if let Some(span) = problem.place.span {
                let (line, column) = file.line_column(span.start);
                write!(f, ":{line}:{column}")?;
            }
            writeln!(f, ": {}; {}", problem.what, problem.help)?;
        }
        match self.unprinted() {
            0 => Ok(()),
            more => writeln!(f, "and {more} more"),
        }
    }
}

impl fmt::Debug for Problems {
    /// As a list of lines: the texts of the files would bury them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.to_string().lines()).finish()
    }
}

impl std::error::Error for Problems {}
