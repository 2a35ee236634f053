//! [`Session`]: the job as its files have it now, what was done to it on the page, and the way back.
//!
//! The files are the truth. A change is written into the job file and read back; a change made elsewhere is noticed and
//! becomes a step of its own, so that nothing typed here or there is lost.

use std::collections::VecDeque;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};

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
/// A file that changed so shortly before it was read may have been half written then: it is read again. Files of which
/// nothing can be made are believed when they have been so for as long.
const YOUNG: Duration = Duration::from_millis(200);
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

/// When a file was changed last, and its length.
type Stamp = Option<(SystemTime, u64)>;

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

    /// Tells the files from all others.
    fn mark(&self) -> String {
        let all: String = self.files.iter().map(|file| digest(&file.bytes())).collect();
        digest(all.as_bytes())[..MARK].to_owned()
    }

    /// By what a change of a file is known: `None` for one that may have changed since the reading began.
    fn stamps(&self, began: SystemTime) -> Vec<(PathBuf, Stamp)> {
        let settled = |(changed, _): &(SystemTime, u64)| *changed + YOUNG < began;
        self.files.iter().map(|file| (file.path().to_owned(), stamp_of(file.path()).filter(settled))).collect()
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
    stamps: Vec<(PathBuf, Stamp)>,
    mark: String,
    /// The mark of files that give no sound job and may be half written, and when they were found so.
    doubted: Option<(String, Instant)>,
    /// No page was told yet of what was read last.
    untold: bool,
    undo: Vec<Done>,
    redo: Vec<Done>,
    /// What there is to say of the last change.
    notice: String,
    drawings: VecDeque<(u64, Arc<Laid>)>,
    drawn: u64,
}

impl Session {
    pub(crate) fn open(path: &Path) -> Self {
        let began = SystemTime::now();
        let mut session = Self {
            path: path.to_owned(),
            bytes: Vec::new(),
            reading: Reading::of(&Sources::on_disk(path)),
            good: None,
            stamps: Vec::new(),
            mark: String::new(),
            doubted: None,
            untold: false,
            undo: Vec::new(),
            redo: Vec::new(),
            notice: String::new(),
            drawings: VecDeque::new(),
            drawn: 0,
        };
        session.settle(began);
        session.untold = false;
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
        std::mem::take(&mut self.untold).then(|| self.mark.clone())
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
        let same = self.stamps.iter().all(|(path, stamp)| stamp.is_some() && stamp_of(path) == *stamp);
        if same {
            return;
        }
        let began = SystemTime::now();
        let reading = Reading::of(&Sources::on_disk(&self.path));
        let mark = reading.mark();
        if mark == self.mark {
            self.stamps = reading.stamps(began);
            return;
        }
        if reading.outcome.is_err() && !self.is_so_for_long(mark) {
            return;
        }
        let before = self.bytes.clone();
        self.reading = reading;
        self.settle(began);
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

    /// Files that give no sound job had this mark at an earlier look too, and had it long enough.
    fn is_so_for_long(&mut self, mark: String) -> bool {
        let now = Instant::now();
        match &self.doubted {
            Some((doubted, since)) if *doubted == mark => now - *since >= YOUNG,
            _ => {
                self.doubted = Some((mark, now));
                false
            }
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
        let began = SystemTime::now();
        self.put(&done.file, &done.before, &done.after)?;
        // What lies on the disk now is what was read before it was put there.
        self.reading = reading;
        self.settle(began);
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
        let began = SystemTime::now();
        self.put(&done.file, from, to)?;
        self.reading = Reading::of(&Sources::on_disk(&self.path));
        self.settle(began);
        let (from, to) = if again { (&mut self.redo, &mut self.undo) } else { (&mut self.undo, &mut self.redo) };
        from.pop();
        self.notice = format!("{}: {}", if again { "Done again" } else { "Taken back" }, done.what);
        to.push(done);
        Ok(())
    }

    /// Takes over what was read, or written, from this moment on.
    fn settle(&mut self, began: SystemTime) {
        self.doubted = None;
        if let Ok(laid) = &self.reading.outcome {
            self.good = Some(Arc::clone(laid));
        }
        self.bytes = self.reading.files.first().map(SourceFile::bytes).unwrap_or_default();
        let mark = self.reading.mark();
        // A file that is changed and changed back between two looks of the watch is news twice.
        self.untold |= mark != self.mark;
        self.mark = mark;
        self.stamps = self.reading.stamps(began);
    }
}

fn stamp_of(path: &Path) -> Stamp {
    let about = fs::metadata(path).ok()?;
    Some((about.modified().ok()?, about.len()))
}

/// The byte order mark before a text, if there is one.
fn marked(bytes: &[u8]) -> &'static [u8] {
    if bytes.starts_with(b"\xef\xbb\xbf") { b"\xef\xbb\xbf" } else { b"" }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sound job of so many strips.
    fn strips(quantity: u32) -> String {
        let strip = "name = 'edging'\nspecies = 'cherry'\nlength = 31\nwidth = 0.75\nthickness = 0.375";
        format!("boards = 'boards.csv'\n[[strip]]\n{strip}\nquantity = {quantity}\n")
    }

    fn folder() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let boards = "stock,species,thickness,width,length,on_hand,price,per\nc6,cherry,4/4 rough,6,96,,9.85,bf\n";
        fs::write(folder.path().join("boards.csv"), boards).unwrap();
        let path = folder.path().join("job.toml");
        fs::write(&path, strips(4)).unwrap();
        (folder, path)
    }

    #[test]
    fn a_file_that_is_still_being_written_is_read_again() {
        let (_folder, path) = folder();
        let soon = SystemTime::now() + Duration::from_secs(3600);
        // The same length and the same moment: the stamps are equal.
        let put = |text: &str| {
            fs::write(&path, text).unwrap();
            fs::File::options().write(true).open(&path).unwrap().set_modified(soon).unwrap();
        };
        put(&strips(5));
        let mut session = Session::open(&path);
        assert!(session.good().is_some());
        put(&strips(6));
        session.look();
        assert_eq!(session.text(), strips(6));
        // What is only read again is no news.
        let mark = session.mark().to_owned();
        session.look();
        assert_eq!((session.mark(), session.ways().0), (&*mark, Some("the change made outside this page")));
    }

    #[test]
    fn what_is_half_written_is_not_believed_at_once() {
        let (_folder, path) = folder();
        let mut session = Session::open(&path);
        fs::write(&path, "").unwrap();
        session.look();
        assert_eq!(session.text(), strips(4));
        // What stays so is what there is.
        std::thread::sleep(YOUNG);
        session.look();
        assert_eq!(session.text(), "");
    }

    #[test]
    fn what_is_changed_and_changed_back_is_news() {
        let (_folder, path) = folder();
        let mut session = Session::open(&path);
        assert_eq!(session.news(), None);
        for quantity in [5, 4] {
            fs::write(&path, strips(quantity)).unwrap();
            // Whoever asks meanwhile is shown it; the page that waits for news is not.
            session.look();
            assert_eq!(session.text(), strips(quantity));
        }
        assert_eq!(session.news().as_deref(), Some(session.mark()));
        assert_eq!(session.news(), None);
    }
}
