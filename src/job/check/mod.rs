//! From files to a [`Job`]: fills in defaults, checks what the files cannot check alone, and refuses with
//! every problem at once.

mod cabinets;
mod casework;
mod changes;
mod defaults;
mod fit;
mod history;
mod names;
mod pieces;
mod places;
mod pricing;
mod questions;
mod shop;
mod slats;
mod stock;
mod tracks;
mod woods;

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use changes::{Change, change};
use defaults::{COMMON_PRACTICE, Defaults};
use stock::Uncounted;

use super::{BoardStock, Bolt, History, Job, JobOption, OtherWay, Rough, SheetStock, Shop, Written};
use crate::files::{
    At, BoardRow, Desk, Entry, FileId, JobFile, Kind, LARGEST_CSV, LARGEST_TOML, Place, Problem, Problems, ShopFile,
    SlatsFile, SourceFile, Sources, SparesFile, open_table, read_boards, read_cloth, read_sheets, steers,
};
use crate::measure::{Length, Units, parse_length};

/// Reads and checks the job at `job_path` with the shop, boards and cloth files it names.
///
/// # Errors
/// [`Problems`]: everything wrong with any of the files, each with its place.
pub fn load(job_path: &Path) -> Result<Job, Problems> {
    parse(&Sources::on_disk(job_path))
}

/// The same, with every file that was read for it: what a quote is frozen from.
///
/// # Errors
/// [`Problems`], as for [`load`].
pub fn load_with_files(job_path: &Path) -> Result<(Job, Vec<SourceFile>), Problems> {
    parse_with(&Sources::on_disk(job_path), Change::None)
}

/// Reads and checks a job from wherever its files come, and gives every file that was read for it, whether the job is
/// sound or not.
pub fn parse_with_files(sources: &Sources) -> (Result<Job, Problems>, Vec<SourceFile>) {
    match parse_with(sources, Change::None) {
        Ok((job, files)) => (Ok(job), files),
        Err(problems) => {
            let files = problems.files().to_vec();
            (Err(problems), files)
        }
    }
}

/// The same with the alternative at place `index` of the job's `alternatives`.
///
/// # Errors
/// [`Problems`], as for [`load`].
pub fn load_alternative(job_path: &Path, index: usize) -> Result<Job, Problems> {
    parse_with(&Sources::on_disk(job_path), Change::Alternative(index)).map(|(job, _)| job)
}

/// The same with a rough cabinet in place of everything the job asks for; slats, grooves and corners are
/// those of its first case given by inside sizes. A job without such a case stays as it is.
///
/// # Errors
/// [`Problems`], as for [`load`].
pub fn load_rough(job_path: &Path, rough: &Rough) -> Result<Job, Problems> {
    parse_with(&Sources::on_disk(job_path), Change::Rough(rough)).map(|(job, _)| job)
}

/// Reads and checks a job from wherever its files come.
///
/// # Errors
/// [`Problems`]: everything wrong with any of the files, each with its place.
///
/// ```
/// use slatwright::files::Sources;
/// let problems = slatwright::job::parse(&Sources::in_memory("job.toml", "nmae = 'hall'")).unwrap_err();
/// assert!(problems.to_string().contains("did you mean `name`?"));
/// ```
pub fn parse(sources: &Sources) -> Result<Job, Problems> {
    parse_with(sources, Change::None).map(|(job, _)| job)
}

/// The job as changed, with every file that was read for it and, where nothing is changed, for its options.
fn parse_with(sources: &Sources, change: Change) -> Result<(Job, Vec<SourceFile>), Problems> {
    let desk = Desk::new(sources);
    let (job, mut files) = (check(&desk, change), desk.files());
    if let Some(problems) = desk.problems() {
        return Err(problems);
    }
    let (mut job, options) = job.expect("a value is left out of a job only together with a note on why");
    if matches!(change, Change::None) {
        for (at, way) in options.into_iter().enumerate() {
            let (changed, read) = parse_with(sources, Change::Option(at))?;
            let news = read.into_iter().filter(|file| files.iter().all(|known| known.path() != file.path()));
            files.extend(news.collect::<Vec<_>>());
            job.options.push(JobOption { way, job: Box::new(changed) });
        }
    }
    Ok((job, files))
}

/// Reads and checks the boards picked at the yard: a boards file by itself, in which a row without a
/// count is the board in hand, so that its defects are known.
///
/// # Errors
/// [`Problems`]: everything wrong with it, each with its place.
pub fn load_boards(path: &Path, units: Units) -> Result<Vec<BoardStock>, Problems> {
    parse_picked(&Sources::on_disk(path), units)
}

/// The same from wherever the file comes, the first of `sources`.
///
/// # Errors
/// [`Problems`], as for [`load_boards`].
pub fn parse_picked(sources: &Sources, units: Units) -> Result<Vec<BoardStock>, Problems> {
    boards_alone(sources, units, Uncounted::InHand)
}

/// Reads and checks a boards file by itself, the first of `sources`: a rack.
///
/// # Errors
/// [`Problems`]: everything wrong with it, each with its place.
pub fn parse_boards(sources: &Sources, units: Units) -> Result<Vec<BoardStock>, Problems> {
    boards_alone(sources, units, Uncounted::ForSale)
}

fn boards_alone(sources: &Sources, units: Units, uncounted: Uncounted) -> Result<Vec<BoardStock>, Problems> {
    let desk = Desk::new(sources);
    let check = Check { desk: &desk, defaults: Defaults::new(units), units };
    let file = desk.open(desk.job_path(), LARGEST_CSV, None);
    let rows = file.and_then(|(id, text)| read_boards(&desk, (id, &text), units));
    let boards = rows.and_then(|rows| stock::boards(&check, &rows, uncounted));
    match desk.problems() {
        Some(problems) => Err(problems),
        None => Ok(boards.expect("a row is left out only together with a note on why")),
    }
}

/// What every room of the check needs at hand.
struct Check<'a> {
    desk: &'a Desk<'a>,
    defaults: Defaults,
    units: Units,
}

impl Check<'_> {
    fn note(&self, problem: Problem) {
        self.desk.add(problem);
    }

    /// A length as the file says it: its own unit where it has one, the job's where it is a bare figure.
    fn said(&self, length: Length, place: Place) -> String {
        let text = self.desk.text(place);
        match parse_length(&text, self.units) {
            Ok(read) if read == length && text.ends_with(|c: char| c.is_ascii_digit()) => {
                format!("{text} {}", self.units)
            }
            Ok(read) if read == length => text,
            // Worked out from several values, or from a file that a spreadsheet wrote.
            _ => format!("{} {}", length.show(self.units), self.units),
        }
    }
}

/// What the job makes use of; defaults that nothing uses are not listed.
#[derive(Debug, Clone, Copy)]
struct Uses {
    doors: bool,
    rips: bool,
    edge_milling: bool,
    /// Some cabinet may have a case.
    cases: bool,
    spares: SparesUsed,
}

/// Which of the job's spares figures some strip takes.
#[derive(Debug, Clone, Copy)]
struct SparesUsed {
    /// Some strip has no rate of its own.
    rate: bool,
    /// Some strip has spares at all.
    any: bool,
    /// Some loose strip has a reject rate of its own.
    own_reject_rate: bool,
}

/// The job, and its options by name.
fn check(desk: &Desk, asked: Change) -> Option<(Job, Vec<OtherWay>)> {
    let (id, text) = desk.open(desk.job_path(), LARGEST_TOML, None)?;
    let mut written = open_table(desk, (id, &text), Units::Inch, "the job file", JobFile::read)?;
    let units = written.units.given().map_or(Units::Inch, |at| at.value);
    let check = Check { desk, defaults: Defaults::new(units), units };
    let alternatives = changes::ways(&check, &written, ("alternative", &written.alternatives.list));
    let options = changes::ways(&check, &written, ("option", &written.options.list));
    changes::refuse_dropping_nothing(&check, &written);
    change(&mut written, asked);
    let mut job = settled(check, &written)?;
    job.alternatives = alternatives?;
    Some((job, options?))
}

/// The job as written, with every default; its alternatives and options are not looked at.
fn settled(check: Check, written: &JobFile) -> Option<Job> {
    let (desk, units) = (check.desk, check.units);
    if written.units.is_missing() {
        check.defaults.note("units", "in".to_owned(), COMMON_PRACTICE);
    }
    let name = job_name(&check, written);
    let shop_file = open_shop(&check, &written.shop);
    let found = RefCell::new(found_in(&check, written, &shop_file));
    let uses = uses(written);
    let mut shop = shop::settle(&check, &shop_file, written, uses);
    if let Some(history) = shop.as_mut().and_then(|shop| shop.history.as_mut()) {
        let folder = written.shop.given().map(|at| beside(desk, &at.value)).unwrap_or_default();
        *history = folder.parent().map_or_else(|| history.clone(), |folder| folder.join(&*history));
    }
    let history = learned(&check, shop.as_mut(), name.as_deref());
    let cabinets = cabinets::settle(&check, written, shop.as_ref(), &shop_file.canvas);
    let strips = pieces::strips(&check, &written.strips.list);
    let cloth_pieces = pieces::cloth_pieces(&check, &written.cloth_pieces.list);
    let lines = pieces::lines(&check, &written.lines.list);
    let spares = pieces::spares(&check, &written.spares, &shop_file.second_trip, uses);
    let mut boards = open_stock(&check, &written.boards, |file| {
        let rows = read_boards(desk, file, units)?;
        found_in_boards(&check, &mut found.borrow_mut(), &rows.list);
        Some(stock::boards(&check, &rows, Uncounted::ForSale))
    });
    if let (Some(boards), Some(name)) = (&mut boards, &name) {
        boards.iter_mut().for_each(|board| leave_held(board, name));
    }
    let bolts = open_stock(&check, &written.cloth, |file| {
        let rows = read_cloth(desk, file, units)?;
        places::of_cloth(desk, &mut found.borrow_mut(), &rows.list);
        Some(stock::bolts(&check, &rows))
    });
    let sheets = open_sheets(&check, &written.sheets);
    refuse_nothing(&check, written);
    if let Some(boards) = &boards {
        woods::refuse_unknown(&check, written, boards);
    }
    refuse_bare_stock(&check, written, uses, boards.as_deref(), bolts.as_deref());
    let needed = !written.boards.is_missing() || uses.rips;
    Some(Job {
        name: name?,
        client: optional(&written.client)?,
        units,
        cabinets: cabinets?,
        strips: strips?,
        cloth_pieces: cloth_pieces?,
        lines: lines?,
        spares: spares?,
        boards: if needed { boards? } else { Vec::new() },
        bolts: if written.cloth.is_missing() { Vec::new() } else { bolts? },
        sheets: sheets?,
        shop: shop?,
        history,
        alternatives: Vec::new(),
        options: Vec::new(),
        defaults: check.defaults.into_list(),
        written: found.into_inner(),
    })
}

/// The history that the shop points to, of which its operations learn; there is none yet before the first job is recorded.
fn learned(check: &Check, shop: Option<&mut Shop>, job: Option<&str>) -> History {
    let Some(shop) = shop else { return History::default() };
    let path = shop.history.as_deref().filter(|path| check.desk.holds(path));
    let file = path.and_then(|path| check.desk.open(path, LARGEST_CSV, None));
    let read = |(id, text): (_, std::sync::Arc<str>)| history::history(check.desk, (id, &text), check.units);
    let history = file.map_or_else(History::default, read);
    if let Some(job) = job {
        shop.pricing.operations.iter_mut().for_each(|rule| rule.learn(&history, job));
    }
    history
}

/// Reads a history from its text.
///
/// # Errors
/// [`Problems`]: everything wrong with it.
pub fn parse_history(units: Units, path: &Path, text: &str) -> Result<History, Problems> {
    let sources = Sources::in_memory(path, text);
    let desk = Desk::new(&sources);
    let file = desk.open(path, LARGEST_CSV, None);
    let read = file.map_or_else(History::default, |(id, text)| history::history(&desk, (id, &text), units));
    desk.problems().map_or(Ok(read), Err)
}

/// What stays of the job file and the shop file: places, and questions about odd values.
fn found_in(check: &Check, written: &JobFile, shop: &ShopFile) -> Written {
    let mut found = places::of(check.desk, written);
    places::of_priced(check.desk, &mut found, written, shop);
    found.questions = questions::of_shop_and_job(check, shop, written);
    found
}

/// The same of the boards file.
fn found_in_boards(check: &Check, found: &mut Written, rows: &[BoardRow]) {
    questions::of_boards(check, &mut found.questions, rows);
    places::of_boards(check.desk, found, rows);
}

/// What is held for another job is not this one's to cut.
fn leave_held(board: &mut BoardStock, job: &str) {
    let held: u32 = board.held_from(job).fold(0, |sum, hold| sum.saturating_add(hold.boards));
    board.on_hand = board.on_hand.map(|count| count.saturating_sub(held));
}

/// A text that may be left out: `Some(None)` when it is, `None` when it is faulty.
fn optional<T: Clone>(entry: &Entry<T>) -> Option<Option<T>> {
    match entry {
        Entry::Missing => Some(None),
        Entry::Faulty => None,
        Entry::Given(at) => Some(Some(at.value.clone())),
    }
}

/// The job's name; its file's name where it has none.
fn job_name(check: &Check, written: &JobFile) -> Option<String> {
    if !written.name.is_missing() {
        return written.name.given().map(|at| at.value.clone());
    }
    let stem = check.desk.job_path().file_stem().map_or_else(|| "job".into(), |stem| stem.to_string_lossy());
    let name: String = stem.chars().filter(|c| !steers(*c)).take(100).collect();
    let name = if name.trim().is_empty() { "job".to_owned() } else { name.trim().to_owned() };
    check.defaults.note("name", name.clone(), "the job file's own name");
    Some(name)
}

fn uses(written: &JobFile) -> Uses {
    let doors = !written.cabinets.list.is_empty();
    let edge = |entry: &Entry<&'static str>| entry.given().is_none_or(|at| at.value != "flat");
    let on_edge = |slats: &SlatsFile| {
        let slats = slats.over(&written.slats);
        edge(&slats.milling) || slats.lead_milling.given().is_some_and(|at| at.value != "flat")
    };
    let edge_milling = written.strips.list.iter().any(|strip| edge(&strip.milling))
        || written.cabinets.list.iter().any(|cabinet| {
            on_edge(&cabinet.slats) || cabinet.door.list.iter().any(|door| on_edge(&door.slats.over(&cabinet.slats)))
        });
    let strips = &written.strips.list;
    let own_rate = |spares: &SparesFile| !spares.reject_rate.is_missing();
    let spares = SparesUsed {
        rate: doors,
        any: doors || strips.iter().any(|strip| !strip.spares.is_missing()),
        own_reject_rate: strips.iter().any(|strip| strip.spares.given().is_some_and(|at| own_rate(&at.value))),
    };
    let cases = casework::asked(written);
    Uses { doors, rips: doors || !strips.is_empty(), edge_milling, cases, spares }
}

/// A path of the job file, relative to the job file.
fn beside(desk: &Desk, path: &str) -> PathBuf {
    desk.job_path().parent().map_or_else(|| PathBuf::from(path), |folder| folder.join(path))
}

fn open_shop(check: &Check, path: &Entry<String>) -> ShopFile {
    let Some(At { value, place }) = path.given() else { return ShopFile::default() };
    let Some((id, text)) = check.desk.open(&beside(check.desk, value), LARGEST_TOML, Some(*place)) else {
        return ShopFile::default();
    };
    open_table(check.desk, (id, &text), check.units, "the shop file", ShopFile::read).unwrap_or_default()
}

/// The sheets of the file that the job names; none where it names none.
fn open_sheets(check: &Check, path: &Entry<String>) -> Option<Vec<SheetStock>> {
    if path.is_missing() {
        return Some(Vec::new());
    }
    open_stock(check, path, |file| {
        read_sheets(check.desk, file, check.units).map(|rows| casework::sheets(check, &rows))
    })
}

/// Opens a CSV file that the job names and reads it.
fn open_stock<T>(
    check: &Check,
    path: &Entry<String>,
    read: impl FnOnce((FileId, &str)) -> Option<Option<T>>,
) -> Option<T> {
    let At { value, place } = path.given()?;
    let (id, text): (FileId, Arc<str>) = check.desk.open(&beside(check.desk, value), LARGEST_CSV, Some(*place))?;
    read((id, &text))?
}

/// Nothing to make, or nothing to make it from.
fn refuse_nothing(check: &Check, written: &JobFile) {
    refuse_empty(check, written);
    refuse_no_stock(check, written);
}

/// A job is something to make; extra lines alone are a price without work.
fn refuse_empty(check: &Check, written: &JobFile) {
    let empty =
        written.cabinets.list.is_empty() && written.strips.list.is_empty() && written.cloth_pieces.list.is_empty();
    let meant = ["cabinet", "strip", "cloth_piece"].iter().any(|key| check.desk.was_meant(written.head.place, key));
    let faulty = written.cabinets.faulty || written.strips.faulty || written.cloth_pieces.faulty || meant;
    if empty && !faulty {
        check.note(
            Problem::new(Kind::Missing, Place::whole(FileId::JOB), "the job is empty: there is nothing to make")
                .help("add a `[[cabinet]]`, a `[[strip]]` or a `[[cloth_piece]]`"),
        );
    }
}

/// What is ripped needs boards, what is cut from cloth needs bolts.
fn refuse_no_stock(check: &Check, written: &JobFile) {
    let doors = !written.cabinets.list.is_empty();
    let whole = Place::whole(FileId::JOB);
    let meant = |key| check.desk.was_meant(written.head.place, key);
    if written.boards.is_missing() && !meant("boards") && (doors || !written.strips.list.is_empty()) {
        let what = "no boards file is named, but there are strips to rip";
        check.note(Problem::new(Kind::Missing, whole, what).help("add a line such as `boards = \"boards.csv\"`"));
    }
    if written.cloth.is_missing() && !meant("cloth") && (doors || !written.cloth_pieces.list.is_empty()) {
        let what = "no cloth file is named, but there is cloth to cut";
        check.note(Problem::new(Kind::Missing, whole, what).help("add a line such as `cloth = \"cloth.csv\"`"));
    }
}

/// A stock file that is needed and has no rows; everything else about it would follow from that.
fn refuse_bare_stock(
    check: &Check,
    written: &JobFile,
    uses: Uses,
    boards: Option<&[BoardStock]>,
    bolts: Option<&[Bolt]>,
) {
    let cloth = uses.doors || !written.cloth_pieces.list.is_empty();
    let bare = |needed: bool, rows: Option<usize>, path: &Entry<String>, what: &str| {
        if let (true, Some(0), Some(at)) = (needed, rows, path.given()) {
            let problem = Problem::new(Kind::Missing, at.place, format!("the {what} file has no rows"));
            check.note(problem.help("write at least one row under its header"));
        }
    };
    bare(uses.rips, boards.map(<[_]>::len), &written.boards, "boards");
    bare(cloth, bolts.map(<[_]>::len), &written.cloth, "cloth");
}

/// All of them, or `None` when one is missing (its fault is noted).
fn all<T>(list: Vec<Option<T>>) -> Option<Vec<T>> {
    list.into_iter().collect()
}
