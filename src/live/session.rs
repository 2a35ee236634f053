//! [`Session`]: the job as its files have it now, what was done to it on the page, and the way back.
//!
//! The files are the truth. A change is written into the job file and read back; a change made elsewhere is noticed and
//! becomes a step of its own, so that nothing typed here or there is lost.

use std::collections::VecDeque;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use super::address::Of;
use super::edit::{Change, NotChanged, changed, open};
use crate::doors::{self, Door};
use crate::files::{Problems, SourceFile, Sources, digest};
use crate::job::{self, Job};
use crate::measure::Units;
use crate::shopfloor::{ReplaceError, replace};

/// Steps that can be taken back.
const MOST_STEPS: usize = 200;
/// Drawings whose positions may still be asked for.
const KEPT_DRAWINGS: usize = 6;
/// Signs of a mark that are shown and compared.
const MARK: usize = 16;

/// A sound job with its doors.
#[derive(Debug)]
pub(crate) struct Laid {
    pub(crate) job: Job,
    pub(crate) doors: Vec<Door>,
    /// The files it was read from, the job file first.
    pub(crate) files: Vec<SourceFile>,
}

/// What the files of a job give.
#[derive(Debug)]
pub(crate) struct Reading {
    pub(crate) outcome: Result<Arc<Laid>, Problems>,
    files: Vec<SourceFile>,
}

impl Reading {
    fn of(sources: &Sources) -> Self {
        let (job, files) = job::parse_with_files(sources);
        let outcome = job.map(|job| {
            let doors = doors::lay_out(&job);
            Arc::new(Laid { job, doors, files: files.clone() })
        });
        Self { outcome, files }
    }

    fn problems(&self) -> usize {
        self.outcome.as_ref().err().map_or(0, Problems::count)
    }
}

/// A change that was made, with what the file held before and after.
#[derive(Debug, Clone)]
struct Done {
    what: String,
    file: PathBuf,
    before: Vec<u8>,
    after: Vec<u8>,
}

/// Why nothing was written.
#[derive(Debug)]
pub(crate) enum NotWritten {
    /// The files changed since the page was drawn.
    Stale,
    /// The job would have more wrong with it than now.
    Worse(Problems, String),
    /// The change makes no sense in this text.
    Change(NotChanged),
    /// The file was not put in place.
    Replace(ReplaceError),
    /// There is nothing to take back, or to do again.
    Nothing,
}

impl From<NotChanged> for NotWritten {
    fn from(error: NotChanged) -> Self {
        Self::Change(error)
    }
}

/// A job lying open.
#[derive(Debug)]
pub(crate) struct Session {
    path: PathBuf,
    /// The job file as it was read last.
    bytes: Vec<u8>,
    reading: Reading,
    /// The last sound job: what is drawn while the files are not.
    good: Option<Arc<Laid>>,
    stamps: Vec<(PathBuf, Option<(SystemTime, u64)>)>,
    mark: String,
    /// The mark that every page was told of.
    told: String,
    undo: Vec<Done>,
    redo: Vec<Done>,
    /// What there is to say of the last change.
    notice: String,
    drawings: VecDeque<(u64, Arc<Laid>)>,
    drawn: u64,
}

impl Session {
    pub(crate) fn open(path: &Path) -> Self {
        let mut session = Self {
            path: path.to_owned(),
            bytes: Vec::new(),
            reading: Reading::of(&Sources::on_disk(path)),
            good: None,
            stamps: Vec::new(),
            mark: String::new(),
            told: String::new(),
            undo: Vec::new(),
            redo: Vec::new(),
            notice: String::new(),
            drawings: VecDeque::new(),
            drawn: 0,
        };
        session.settle();
        session.told.clone_from(&session.mark);
        session
    }

    /// The sound job to draw, if there ever was one.
    pub(crate) fn good(&self) -> Option<&Arc<Laid>> {
        self.good.as_ref()
    }

    /// What is wrong with the files as they are.
    pub(crate) fn problems(&self) -> Option<&Problems> {
        self.reading.outcome.as_ref().err()
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// The text of the job file.
    pub(crate) fn text(&self) -> &str {
        self.reading.files.first().map_or("", SourceFile::text)
    }

    /// One of the job's files as it was read last; `None` where the job names none.
    pub(crate) fn file(&self, of: Of) -> Option<&SourceFile> {
        if of == Of::Job {
            return self.reading.files.first();
        }
        let document = open(self.text()).ok()?;
        let path = self.path.with_file_name(document.get(of.key())?.as_str()?);
        self.reading.files.iter().skip(1).find(|file| file.path() == path)
    }

    /// Tells whether the files are still those that a page was drawn from.
    pub(crate) fn mark(&self) -> &str {
        &self.mark
    }

    /// The mark, where no page was told of it yet; whoever asks tells them.
    pub(crate) fn news(&mut self) -> Option<String> {
        (self.told != self.mark).then(|| {
            self.told.clone_from(&self.mark);
            self.mark.clone()
        })
    }

    pub(crate) fn notice(&self) -> &str {
        &self.notice
    }

    pub(crate) fn say(&mut self, notice: impl Into<String>) {
        self.notice = notice.into();
    }

    pub(crate) fn units(&self) -> Units {
        self.good.as_ref().map_or(Units::Inch, |good| good.job.units)
    }

    /// What would be taken back, and what would be done again.
    pub(crate) fn ways(&self) -> (Option<&str>, Option<&str>) {
        (self.undo.last().map(|done| done.what.as_str()), self.redo.last().map(|done| done.what.as_str()))
    }

    /// A number by which the positions of a drawing are asked for.
    pub(crate) fn draw(&mut self, laid: &Arc<Laid>) -> u64 {
        if let Some((number, _)) = self.drawings.iter().find(|(_, there)| Arc::ptr_eq(there, laid)) {
            return *number;
        }
        self.drawn += 1;
        self.drawings.push_back((self.drawn, Arc::clone(laid)));
        if self.drawings.len() > KEPT_DRAWINGS {
            self.drawings.pop_front();
        }
        self.drawn
    }

    pub(crate) fn drawing(&self, number: u64) -> Option<Arc<Laid>> {
        self.drawings.iter().find(|(there, _)| *there == number).map(|(_, laid)| Arc::clone(laid))
    }

    /// Looks whether a file changed elsewhere, and takes over what it holds now.
    pub(crate) fn look(&mut self) {
        let same = self.stamps.iter().all(|(path, stamp)| stamp_of(path) == *stamp);
        if same {
            return;
        }
        let (before, old) = (self.bytes.clone(), self.mark.clone());
        self.reading = Reading::of(&Sources::on_disk(&self.path));
        self.settle();
        if self.mark == old {
            return;
        }
        if self.bytes == before {
            self.notice = "A file that belongs to the job was changed outside this page; it is read again.".to_owned();
        } else {
            self.notice =
                "The job file was changed outside this page; what it holds now is shown, and Undo brings back \
                           what it held before."
                    .to_owned();
            let (file, after) = (self.path.clone(), self.bytes.clone());
            self.done(Done { what: "the change made outside this page".to_owned(), file, before, after });
        }
    }

    /// The job as it would be with a change; nothing is written.
    ///
    /// The text comes with it, in which its problems have their places.
    pub(crate) fn attempt(&self, change: &Change) -> Result<(Reading, String), NotChanged> {
        let file = self.file(change.of()).ok_or(NotChanged::NotThere)?;
        let new = changed(file.text(), self.units(), change)?;
        Ok((Reading::of(&Sources::on_disk(&self.path).instead(file.path(), new.clone())), new))
    }

    /// Writes a change into the file that it is of. `seen` is the mark of the page that asks for it.
    pub(crate) fn write(&mut self, seen: &str, what: &str, change: &Change) -> Result<(), NotWritten> {
        self.look();
        if seen != self.mark {
            return Err(NotWritten::Stale);
        }
        let file = self.file(change.of()).ok_or(NotChanged::NotThere)?;
        let new = changed(file.text(), self.units(), change)?;
        if new == file.text() {
            self.notice.clear();
            return Ok(());
        }
        let before = file.bytes();
        let after = [marked(&before), new.as_bytes()].concat();
        let done = Done { what: what.to_owned(), file: file.path().to_owned(), before, after };
        let reading = Reading::of(&Sources::on_disk(&self.path).instead(&done.file, done.after.clone()));
        let more = reading.problems() > self.reading.problems();
        if let (Err(problems), true) = (&reading.outcome, more) {
            return Err(NotWritten::Worse(problems.clone(), new));
        }
        self.put(&done.file, &done.before, &done.after)?;
        // What lies on the disk now is what was read before it was put there.
        self.reading = reading;
        self.settle();
        self.done(done);
        self.notice.clear();
        Ok(())
    }

    fn put(&mut self, file: &Path, before: &[u8], after: &[u8]) -> Result<(), NotWritten> {
        if let Err(error) = replace(file, Some(before), after) {
            // It is not what it was taken for: it is read again at the next look, whatever its stamp.
            self.stamps = vec![(file.to_owned(), None)];
            return Err(NotWritten::Replace(error));
        }
        Ok(())
    }

    fn done(&mut self, done: Done) {
        self.redo.clear();
        self.undo.push(done);
        if self.undo.len() > MOST_STEPS {
            self.undo.remove(0);
        }
    }

    /// Takes the last change back, or does it again.
    pub(crate) fn back(&mut self, again: bool) -> Result<(), NotWritten> {
        self.look();
        let list = if again { &mut self.redo } else { &mut self.undo };
        let Some(done) = list.last().cloned() else { return Err(NotWritten::Nothing) };
        let (from, to) = if again { (&done.before, &done.after) } else { (&done.after, &done.before) };
        self.put(&done.file, from, to)?;
        self.reading = Reading::of(&Sources::on_disk(&self.path));
        self.settle();
        let (from, to) = if again { (&mut self.redo, &mut self.undo) } else { (&mut self.undo, &mut self.redo) };
        from.pop();
        self.notice = format!("{}: {}", if again { "Done again" } else { "Taken back" }, done.what);
        to.push(done);
        Ok(())
    }

    /// Takes over what was read.
    fn settle(&mut self) {
        if let Ok(laid) = &self.reading.outcome {
            self.good = Some(Arc::clone(laid));
        }
        self.bytes = self.reading.files.first().map(SourceFile::bytes).unwrap_or_default();
        let all: String = self.reading.files.iter().map(|file| digest(&file.bytes())).collect();
        self.mark = digest(all.as_bytes())[..MARK].to_owned();
        self.stamps = self.reading.files.iter().map(|file| (file.path().to_owned(), stamp_of(file.path()))).collect();
    }
}

fn stamp_of(path: &Path) -> Option<(SystemTime, u64)> {
    let about = fs::metadata(path).ok()?;
    Some((about.modified().ok()?, about.len()))
}

/// The byte order mark before a text, if there is one.
fn marked(bytes: &[u8]) -> &'static [u8] {
    if bytes.starts_with(b"\xef\xbb\xbf") { b"\xef\xbb\xbf" } else { b"" }
}
