//! Freezing: a revision's folder written whole or not at all, and the boards it takes held for it.
//!
//! Everything is staged in a hidden folder inside `quotes/`, synced, then a journal names what will be put in place.
//! From that moment on the next run finishes the work if this one is killed: boards held, folder renamed. Before it,
//! the next run throws the stage away.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::ToSpan;
use jiff::civil::Date;
use rust_decimal::Decimal;

use super::list::{folder_name, frozen_quotes, of_job};
use super::record::{Event, Frozen, Happened, RECORD, event_text, read, sha256};
use super::shop_number::take_number;
use super::{OfferError, quotes_of};
use crate::bill::OfferHead;
use crate::files::{Lock, NoLock, Refused, SourceFile, sync_folder, told, write_new};
use crate::job::Job;
use crate::measure::Units;
use crate::plan::Plan;
use crate::shopfloor::{ReplaceError, hold_for, replace};

const LOCK: &str = ".slatwright-lock";
const STAGE: &str = ".slatwright-stage";
const JOURNAL: &str = "journal";
/// The revision within the stage.
const WHOLE: &str = "revision";
/// How often a lock is asked for while other runs freeze, and how long each wait is.
const TRIES: u32 = 4_000;
const WAIT: Duration = Duration::from_millis(5);

/// What is frozen.
#[derive(Debug)]
pub struct Freezing<'a> {
    /// The job file.
    pub path: &'a Path,
    /// The job that was read from it.
    pub job: &'a Job,
    /// Every file that was read for it, the job file first.
    pub files: &'a [SourceFile],
    /// Its plan.
    pub plan: &'a Plan,
    /// The date of the offer.
    pub date: Date,
}

/// Files one after the other, as name and content.
pub type Files<'a> = Box<dyn Iterator<Item = (String, Vec<u8>)> + 'a>;

/// Freezes the next revision of the job's quote. `files` gives, for its number and dates, all that it holds beside the
/// job's own files and the record; one file is held at a time.
///
/// # Errors
/// [`OfferError`]; nothing is then changed, but for the shop's next number, which may have been used up.
pub fn freeze<'a>(asked: &Freezing<'_>, files: &dyn Fn(OfferHead) -> Files<'a>) -> Result<Frozen, OfferError> {
    let quotes = quotes_of(asked.path);
    let there = quotes.exists();
    told(fs::create_dir_all(&quotes), "make the folder", &quotes)?;
    let lock = lock(&quotes)?;
    let frozen = freeze_locked(asked, files, &quotes);
    if frozen.is_err() && !there {
        lock.remove();
        let _ = fs::remove_dir(&quotes);
    }
    frozen
}

fn freeze_locked<'a>(
    asked: &Freezing<'_>,
    files: &dyn Fn(OfferHead) -> Files<'a>,
    quotes: &Path,
) -> Result<Frozen, OfferError> {
    recover(quotes)?;
    let all = frozen_quotes(quotes)?;
    let ours: Vec<Frozen> = of_job(&all, asked.path).cloned().map(Frozen::whole).collect::<Result<_, _>>()?;
    if let Some(last) = ours.iter().max_by_key(|frozen| frozen.head.revision).filter(|l| asked.date < l.head.date) {
        let what = format!("revision {}", last.head.revision);
        return Err(OfferError::TooEarly { date: asked.date, last: last.head.date, what });
    }
    let held = held(asked);
    let rack = rack(asked, &held)?;
    let number = match ours.first() {
        Some(frozen) => frozen.head.number,
        None => {
            let shop = asked.job.shop.about.next_quote.and(asked.files.get(1)).map(SourceFile::path);
            take_number(shop, all.iter().map(|frozen| frozen.head.number).max().unwrap_or(0) + 1)?
        }
    };
    let valid =
        asked.job.shop.pricing.terms.valid_days.and_then(|days| asked.date.checked_add(i64::from(days).days()).ok());
    let revision = ours.iter().map(|frozen| frozen.head.revision).max().unwrap_or(0) + 1;
    let head = OfferHead { number, revision, date: asked.date, valid_until: valid };
    let folder = quotes.join(folder_name(head));
    if fs::symlink_metadata(&folder).is_ok() {
        return Err(OfferError::Foreign(folder));
    }
    let journal = Journal {
        folder: folder_name(head),
        job: asked.job.name.clone(),
        units: asked.job.units,
        boards: rack.as_ref().map(|rack| rack.path.clone()),
        held: held.clone(),
    };
    let of = |files| record(asked, folder, head, held, files);
    let content = files(head).chain(own_files(asked));
    let staged = stage(quotes, content, of, &journal);
    let frozen = staged.inspect_err(|_| drop(fs::remove_dir_all(quotes.join(STAGE))))?;
    if let Some(rack) = rack
        && let Err(error) = replace(&rack.path, Some(&rack.seen), rack.text.as_bytes())
    {
        let _ = fs::remove_dir_all(quotes.join(STAGE));
        return Err(match error {
            ReplaceError::Changed(path) | ReplaceError::Busy(path) => OfferError::Changed(path),
            error => error.into(),
        });
    }
    put_in_place(quotes, &journal)?;
    Ok(frozen)
}

/// Boards of the rack that the plan takes, by stock.
fn held(asked: &Freezing<'_>) -> Vec<(String, u32)> {
    let lines = asked.plan.bill.boards.iter().map(|line| (&asked.job.boards[line.stock], line.boards));
    lines.filter(|(stock, _)| stock.on_hand.is_some()).map(|(stock, boards)| (stock.stock.clone(), boards)).collect()
}

/// The boards file as it will be.
struct Rack {
    path: PathBuf,
    seen: Vec<u8>,
    text: String,
}

/// The boards file with what the plan takes held; `None` where nothing changes in it. It must still be what the plan
/// was made from.
fn rack(asked: &Freezing<'_>, held: &[(String, u32)]) -> Result<Option<Rack>, OfferError> {
    let Some(file) = asked.files.iter().skip(1).find(|file| is_boards(file)) else { return Ok(None) };
    let seen = file.bytes();
    if read(file.path())? != seen {
        return Err(OfferError::Changed(file.path().to_owned()));
    }
    let text = String::from_utf8_lossy(&seen).into_owned();
    let new = hold_for(&asked.job.name, held, asked.job.units, (file.path(), &text))?;
    Ok((new != text).then(|| Rack { path: file.path().to_owned(), seen, text: new }))
}

/// A boards file begins with its header, in which no other file has a stock.
fn is_boards(file: &SourceFile) -> bool {
    let header = file.text().lines().find(|line| !line.trim().is_empty()).unwrap_or_default().to_lowercase();
    header.split(',').any(|cell| cell.trim().trim_matches('"') == "stock")
}

/// The files that were read, under `files/`: beside one another as they lay, or by their bare names where they lay
/// elsewhere.
fn own_files(asked: &Freezing<'_>) -> Vec<(String, Vec<u8>)> {
    let home = asked.path.parent().unwrap_or(Path::new(""));
    let mut named: Vec<(String, Vec<u8>)> = Vec::new();
    for file in asked.files {
        let within = file.path().strip_prefix(home).ok();
        let plain = |path: &&Path| path.components().all(|part| matches!(part, std::path::Component::Normal(_)));
        let name = within.filter(plain).and_then(Path::to_str).map(str::to_owned).unwrap_or_else(|| {
            file.path().file_name().map_or_else(|| "file".to_owned(), |name| name.to_string_lossy().into_owned())
        });
        let mut name = format!("files/{}", name.replace(std::path::MAIN_SEPARATOR, "/"));
        while named.iter().any(|(taken, _)| *taken == name) {
            name.push('_');
        }
        named.push((name, file.bytes()));
    }
    named
}

fn record(
    asked: &Freezing<'_>,
    folder: PathBuf,
    head: OfferHead,
    held: Vec<(String, u32)>,
    mut files: Vec<(String, String)>,
) -> Frozen {
    let labour = asked.plan.bill.costs.iter().filter(|line| line.group == "labour" && line.unit == "hour");
    let hours: Decimal = labour.map(|line| line.quantity).sum();
    files.sort();
    Frozen {
        folder,
        head,
        job: asked.job.name.clone(),
        job_file: asked.path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
        client: asked.job.client.clone(),
        currency: asked.job.shop.currency.clone(),
        total: asked.plan.bill.total,
        hours: hours.round_dp(4).normalize(),
        held,
        files,
        events: Vec::new(),
    }
}

/// Takes the lock of the quotes folder, waiting for other runs.
fn lock(quotes: &Path) -> Result<Lock, OfferError> {
    let path = quotes.join(LOCK);
    for _ in 0..TRIES {
        match Lock::to_write(&path) {
            Ok(lock) => return Ok(lock),
            Err(NoLock::Busy) => std::thread::sleep(WAIT),
            // Another run gave up and took the folder away that it had made.
            Err(NoLock::System(error)) if error.kind() == io::ErrorKind::NotFound => {
                told(fs::create_dir_all(quotes), "make the folder", quotes)?;
            }
            Err(NoLock::System(source)) => {
                return Err(Refused { doing: "write to", path: quotes.to_owned(), source }.into());
            }
        }
    }
    Err(OfferError::Busy(quotes.to_owned()))
}

/// What is about to be put in place.
struct Journal {
    /// The revision's folder.
    folder: String,
    job: String,
    /// The unit of bare figures in the boards file.
    units: Units,
    /// The boards file, where something is held in it.
    boards: Option<PathBuf>,
    held: Vec<(String, u32)>,
}

impl Journal {
    /// One thing a line: a name holds no line end.
    fn text(&self) -> String {
        let boards = self.boards.as_ref().map_or_else(String::new, |path| path.to_string_lossy().into_owned());
        let held: String = self.held.iter().map(|(stock, boards)| format!("{boards}\t{stock}\n")).collect();
        format!("{}\n{}\n{}\n{boards}\n{held}", self.folder, self.job, self.units.word())
    }

    fn read(text: &str) -> Option<Self> {
        let mut lines = text.lines();
        let (folder, job) = (lines.next()?.to_owned(), lines.next()?.to_owned());
        let (unit, boards) = (lines.next()?, lines.next()?);
        let units = [Units::Inch, Units::Millimetre].into_iter().find(|units| units.word() == unit)?;
        let held = lines.map(|line| {
            let (boards, stock) = line.split_once('\t')?;
            Some((stock.to_owned(), boards.parse().ok()?))
        });
        let boards = if boards.is_empty() { None } else { Some(boards.into()) };
        Some(Self { folder, job, units, boards, held: held.collect::<Option<_>>()? })
    }
}

/// Writes every file, the record of them and, last, the journal.
fn stage(
    quotes: &Path,
    content: impl Iterator<Item = (String, Vec<u8>)>,
    record: impl FnOnce(Vec<(String, String)>) -> Frozen,
    journal: &Journal,
) -> Result<Frozen, OfferError> {
    let stage = quotes.join(STAGE);
    let whole = stage.join(WHOLE);
    told(fs::create_dir_all(&whole), "make", &whole)?;
    let mut folders = std::collections::BTreeSet::from([whole.clone()]);
    let mut write = |name: &str, bytes: &[u8]| -> Result<(), OfferError> {
        let path = whole.join(name);
        if let Some(parent) = path.parent() {
            told(fs::create_dir_all(parent), "make", parent)?;
            folders.extend(parent.ancestors().take_while(|path| path.starts_with(&whole)).map(Path::to_owned));
        }
        Ok(told(write_new(&path, bytes, None), "write", &path)?)
    };
    let mut written = Vec::new();
    for (name, bytes) in content {
        write(&name, &bytes)?;
        written.push((name, sha256(&bytes)));
    }
    let frozen = record(written);
    write(RECORD, frozen.text().as_bytes())?;
    folders.iter().try_for_each(|folder| sync_folder(folder))?;
    let part = stage.join("journal.part");
    told(write_new(&part, journal.text().as_bytes(), None), "write", &part)?;
    sync_folder(&stage)?;
    let path = stage.join(JOURNAL);
    told(fs::rename(&part, &path), "write", &path)?;
    sync_folder(&stage)?;
    Ok(frozen)
}

/// Renames the staged revision to its place; may be run again after a kill at any point.
fn put_in_place(quotes: &Path, journal: &Journal) -> Result<(), OfferError> {
    let stage = quotes.join(STAGE);
    let (from, to) = (stage.join(WHOLE), quotes.join(&journal.folder));
    if from.exists() {
        if fs::symlink_metadata(&to).is_ok() {
            return Err(OfferError::Foreign(to));
        }
        told(fs::rename(&from, &to), "write", &to)?;
        sync_folder(quotes)?;
    }
    Ok(told(fs::remove_dir_all(&stage), "clear", &stage)?)
}

/// Finishes or forgets what a killed run left. A stage of somebody else's is not there: the lock is ours.
pub(super) fn recover(quotes: &Path) -> Result<(), OfferError> {
    let stage = quotes.join(STAGE);
    if fs::symlink_metadata(&stage).is_err() {
        return Ok(());
    }
    let journal = match fs::read_to_string(stage.join(JOURNAL)) {
        Ok(text) => Journal::read(&text),
        Err(_) => None,
    };
    let Some(journal) = journal else { return Ok(told(fs::remove_dir_all(&stage), "clear", &stage)?) };
    if let Some(path) = &journal.boards {
        hold(&journal.job, &journal.held, journal.units, path)?;
    }
    put_in_place(quotes, &journal)
}

/// Holds exactly these boards for the job, in the boards file as it is now.
fn hold(job: &str, held: &[(String, u32)], units: Units, path: &Path) -> Result<(), OfferError> {
    let seen = read(path)?;
    let text = String::from_utf8_lossy(&seen).into_owned();
    let new = hold_for(job, held, units, (path, &text))?;
    if new != text {
        replace(path, Some(&seen), new.as_bytes())?;
    }
    Ok(())
}

/// Finishes what a killed freeze left, so that all there is can be read. Without a quotes folder there is nothing.
///
/// # Errors
/// [`OfferError`] when it cannot be finished.
pub(super) fn settled(quotes: &Path) -> Result<(), OfferError> {
    if !quotes.join(STAGE).exists() {
        return Ok(());
    }
    let _lock = lock(quotes)?;
    recover(quotes)
}

/// Records that something happened to a revision (the latest, unless `revision` says which). An offer that is declined
/// gives the boards free that were held for it.
///
/// # Errors
/// [`OfferError`]; nothing is then changed.
pub fn add_event(path: &Path, job: &Job, revision: Option<u32>, event: &Event) -> Result<Frozen, OfferError> {
    let quotes = quotes_of(path);
    if !quotes.is_dir() {
        return Err(OfferError::NotFrozen);
    }
    let _lock = lock(&quotes)?;
    recover(&quotes)?;
    let all = frozen_quotes(&quotes)?;
    let latest = of_job(&all, path).map(|frozen| frozen.head.revision).max();
    let frozen = super::list::revision(&all, path, revision)?.clone().whole()?;
    refuse(&frozen, event)?;
    if event.what == Happened::Declined && latest == Some(frozen.head.revision) && !frozen.held.is_empty() {
        // The boards file is the one that the job names today.
        let (_, files) = crate::job::load_with_files(path).map_err(OfferError::Files)?;
        if let Some(file) = files.iter().skip(1).find(|file| is_boards(file)) {
            hold(&job.name, &[], job.units, file.path())?;
        }
    }
    let record = frozen.folder.join(RECORD);
    let mut text = read(&record)?;
    text.extend(event_text(event).bytes());
    let part = frozen.folder.join(".quote.toml.part");
    let _ = fs::remove_file(&part);
    told(write_new(&part, &text, None), "write", &part).inspect_err(|_| drop(fs::remove_file(&part)))?;
    told(fs::rename(&part, &record), "write", &record)?;
    sync_folder(&frozen.folder)?;
    Frozen::open(&frozen.folder)
}

/// What cannot happen to an offer any more, or not on that day, or not for that money.
fn refuse(frozen: &Frozen, event: &Event) -> Result<(), OfferError> {
    let name = format!("revision {} of quote {}", frozen.head.revision, frozen.head.number);
    if event.date < frozen.head.date {
        return Err(OfferError::TooEarly { date: event.date, last: frozen.head.date, what: name });
    }
    if let Some(day) = frozen.day_of(Happened::Declined) {
        return Err(OfferError::Decided(format!("{name} was declined on {day}")));
    }
    if let (Happened::Accepted, Some(day)) = (event.what, frozen.day_of(Happened::Accepted)) {
        return Err(OfferError::Decided(format!("{name} was accepted on {day} already")));
    }
    if let Some(amount) = event.what.amount() {
        let received = frozen.received();
        if received + amount > frozen.total {
            return Err(OfferError::TooMuch { received, total: frozen.total });
        }
    }
    Ok(())
}
