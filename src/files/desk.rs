//! [`Desk`]: where the files of one job lie open and where problems are noted.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use super::problem::{Kind, Problem, Problems};
use super::sources::{SourceFile, Sources};
use super::{FileId, Place};

/// Problems kept in full; the rest are counted. Nobody reads more, and a broken export has one a row.
const KEPT: usize = 200;

/// The open files and the notes on them. Shared by reference: readers note and go on.
#[derive(Debug)]
pub(crate) struct Desk<'s> {
    sources: &'s Sources,
    files: RefCell<Vec<SourceFile>>,
    notes: RefCell<Vec<Problem>>,
    /// Keys that a mistyped one was taken for, by the place of its table.
    meant: RefCell<BTreeSet<(Place, &'static str)>>,
    more: Cell<usize>,
}

impl<'s> Desk<'s> {
    pub(crate) fn new(sources: &'s Sources) -> Self {
        Self {
            sources,
            files: RefCell::default(),
            notes: RefCell::default(),
            meant: RefCell::default(),
            more: Cell::new(0),
        }
    }

    /// Notes a problem once, however often it is met.
    pub(crate) fn add(&self, problem: Problem) {
        let mut notes = self.notes.borrow_mut();
        if notes.contains(&problem) {
            return;
        }
        if notes.len() < KEPT {
            notes.push(problem);
        } else {
            self.more.set(self.more.get() + 1);
        }
    }

    /// Keeps in mind that a mistyped key of the table at `table` was meant for `key`: that it is missing too would be
    /// the same slip said twice.
    pub(crate) fn mean(&self, table: Place, key: &'static str) {
        self.meant.borrow_mut().insert((table, key));
    }

    /// True when a mistyped key of that table was meant for `key`.
    pub(crate) fn was_meant(&self, table: Place, key: &str) -> bool {
        self.meant.borrow().iter().any(|(place, meant)| *place == table && *meant == key)
    }

    /// Opens a file of at most `limit` bytes. `asked` is where the job names it: a file that is not
    /// there is a fault of that line; without it, of the file itself.
    pub(crate) fn open(&self, path: &Path, limit: u64, asked: Option<Place>) -> Option<(FileId, Arc<str>)> {
        let id = FileId(self.files.borrow().len());
        let (file, fault) = self.sources.read(path, limit);
        let text = file.shared_text();
        self.files.borrow_mut().push(file);
        let Some(fault) = fault else { return Some((id, text)) };
        let place = match (fault.at, asked) {
            (Some((start, end)), _) => Place::new(id, start, end),
            (None, Some(asked)) => asked,
            (None, None) => Place::whole(id),
        };
        self.add(Problem::new(Kind::Unreadable, place, fault.what).help(fault.help));
        None
    }

    /// True where there is something at a path.
    pub(crate) fn holds(&self, path: &Path) -> bool {
        self.sources.holds(path)
    }

    /// The file and line of a place, as `job.toml:12`.
    pub(crate) fn line(&self, place: Place) -> String {
        let files = self.files.borrow();
        let Some(file) = files.get(place.file.0) else { return String::new() };
        match place.span {
            Some(span) => format!("{}:{}", file.shown_path(), file.line_column(span.start).0),
            None => file.shown_path(),
        }
    }

    /// The text at a place, without the quotes around it.
    pub(crate) fn text(&self, place: Place) -> String {
        let files = self.files.borrow();
        let text = place.span.and_then(|span| files.get(place.file.0)?.text().get(span.start..span.end));
        text.unwrap_or_default().trim().trim_matches(['"', '\'']).trim().to_owned()
    }

    /// The path of the job file.
    pub(crate) fn job_path(&self) -> &Path {
        self.sources.job()
    }

    /// The files opened so far, in the order of reading.
    pub(crate) fn files(&self) -> Vec<SourceFile> {
        self.files.borrow().clone()
    }

    /// All problems, if there are any.
    pub(crate) fn problems(self) -> Option<Problems> {
        let notes = self.notes.into_inner();
        if notes.is_empty() { None } else { Some(Problems::new(self.files.into_inner(), notes, self.more.get())) }
    }
}
