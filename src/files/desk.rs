//! [`Desk`]: where the files of one job lie open and where problems are noted.

use std::cell::{Cell, RefCell};
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
    more: Cell<usize>,
}

impl<'s> Desk<'s> {
    pub(crate) fn new(sources: &'s Sources) -> Self {
        Self { sources, files: RefCell::default(), notes: RefCell::default(), more: Cell::new(0) }
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
