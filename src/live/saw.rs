//! At the saw: the board in hand drawn large, the next setting, two buttons a strip size, and what is still to be cut.
//!
//! The plan that is cut lies in `cut/plan` beside the job, written once; what comes off the saw in `cut/count.csv`, in the
//! form that `count` reads. Where that is not enough, a second cut has its plan in `cut/plan-2` and its count in
//! `cut/count-2.csv`, and so on. A row is written when all strips of a size of a board are counted: until then they are
//! kept here, since a row that is there means that no more of its strips are to come.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rust_decimal::Decimal;

use super::session::Laid;
use crate::demand::{Part, pool};
use crate::doors::Door;
use crate::job::{Job, Milling};
use crate::packing::boards::{Blank, CutBoard, RipGroup};
use crate::packing::{Budget, Flow};
use crate::plan::Plan;
use crate::report::{Cell, Sheet, csv_text, each_file, folder};
use crate::shopfloor::{
    CountRow, FloorError, PlannedBoard, Round, Saw, Standing, begun_with, link, read_count, read_plan, replace,
    take_stock,
};

/// Cuts of one job: nobody goes back to the saw more often.
const MOST_CUTS: usize = 20;

/// Strips of one size of one board, as they come off the saw.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Tally {
    pub(super) straight: u32,
    pub(super) bowed: u32,
}

impl Tally {
    pub(super) const fn sum(self) -> u32 {
        self.straight.saturating_add(self.bowed)
    }
}

/// A board of a cut, both from 0.
pub(super) type OfCut = (usize, usize);

/// What is counted and not yet written, by board and part.
pub(super) type Unwritten = BTreeMap<(OfCut, usize), Tally>;

/// A job that is being cut.
pub(super) struct Cutting {
    pub(super) laid: Arc<Laid>,
    pub(super) parts: Vec<Part>,
    /// The cuts so far, the first one first.
    pub(super) rounds: Vec<Round>,
    /// What the shop saw in other jobs.
    confidence: f64,
    job: PathBuf,
}

/// Where the plan of a cut lies, and its count.
fn places(job: &Path, cut: usize) -> (PathBuf, PathBuf) {
    let folder = job.with_file_name("cut");
    match cut {
        0 => (folder.join("plan"), folder.join("count.csv")),
        cut => (folder.join(format!("plan-{}", cut + 1)), folder.join(format!("count-{}.csv", cut + 1))),
    }
}

fn is_begun(job: &Path, cut: usize) -> bool {
    places(job, cut).0.join("rips.csv").is_file()
}

/// Writes the plan into its folder: from now on it is the one that is cut.
pub(super) fn begin(path: &Path, job: &Job, plan: &Plan) -> Result<(), String> {
    let (folder, count) = places(path, 0);
    let counted = count.exists().then_some(count);
    if let Some(there) = counted.or_else(|| is_begun(path, 1).then(|| places(path, 1).0)) {
        return Err(format!("`{}` belongs to a cut that was begun: move the folder `cut` first", there.display()));
    }
    write_plan(&folder, job, plan)
}

fn write_plan(folder: &Path, job: &Job, plan: &Plan) -> Result<(), String> {
    let written = folder::claim(folder).and_then(|claim| claim.write(each_file(job, plan, None)));
    written.map(|_| ()).map_err(|error| error.to_string())
}

impl Cutting {
    /// The cuts that were begun, with their counts; `None` where none was.
    pub(super) fn open(job: &Path, laid: Arc<Laid>) -> Option<Result<Self, String>> {
        is_begun(job, 0).then(|| Self::read(job, laid))
    }

    fn read(path: &Path, laid: Arc<Laid>) -> Result<Self, String> {
        if laid.doors.iter().any(|door| !door.fits()) {
            return Err("A door of the job does not fit as it is now: nothing is cut by it.".to_owned());
        }
        let parts = pool(&laid.job, &laid.doors).map_err(|error| error.to_string())?.parts;
        let mut rounds = Vec::new();
        for cut in (0..MOST_CUTS).take_while(|cut| is_begun(path, *cut)) {
            rounds.push(round(path, &laid.job, &parts, cut)?);
        }
        link(&mut rounds).map_err(|error| error.to_string())?;
        let begun = begun_with(&laid.job, &laid.doors, &rounds).map_err(|error| error.to_string())?;
        Ok(Self { parts: begun.parts, confidence: begun.confidence, laid, rounds, job: path.to_owned() })
    }

    /// The board, where there is one to be cut: not one that a later cut has planned anew.
    pub(super) fn board(&self, (cut, board): OfCut) -> Option<&PlannedBoard> {
        let round = self.rounds.get(cut)?;
        round.plan.boards.get(board).filter(|_| !round.anew.contains(&board))
    }

    /// All boards that are cut, or were.
    pub(super) fn boards(&self) -> Vec<OfCut> {
        let all = self.rounds.iter().enumerate();
        let of = all.flat_map(|(cut, round)| (0..round.plan.boards.len()).map(move |board| (cut, board)));
        of.filter(|at| self.board(*at).is_some()).collect()
    }

    /// What came of a size of a board so far, with what is not written yet.
    pub(super) fn tally(&self, unwritten: &Unwritten, at: OfCut, part: usize) -> Tally {
        let row = self.rounds[at.0].rows.iter().find(|row| (row.board, row.part) == (at.1, part));
        let written = row.map(|row| Tally { straight: row.straight, bowed: row.rejected });
        written.or_else(|| unwritten.get(&(at, part)).copied()).unwrap_or_default()
    }

    /// Parts that a board yields, in the order of its rips.
    pub(super) fn yields(&self, at: OfCut) -> Vec<(usize, u32)> {
        let Some(board) = self.board(at) else { return Vec::new() };
        let mut parts: Vec<usize> = Vec::new();
        for row in &board.rips {
            if !parts.contains(&row.part) {
                parts.push(row.part);
            }
        }
        parts.into_iter().map(|part| (part, board.yields(part))).collect()
    }

    /// True when every strip of a board is counted.
    pub(super) fn is_done(&self, at: OfCut) -> bool {
        let rows = self.rounds.get(at.0).map_or(&[][..], |round| &round.rows);
        self.yields(at).iter().all(|(part, _)| rows.iter().any(|row| (row.board, row.part) == (at.1, *part)))
    }

    /// One strip more, or the rest of the board straight; writes the rows that are whole with it.
    pub(super) fn count(&mut self, unwritten: &mut Unwritten, at: OfCut, what: What) -> Result<(), String> {
        let mut whole = Vec::new();
        for (part, yields) in self.yields(at) {
            let mut tally = self.tally(unwritten, at, part);
            let left = yields.saturating_sub(tally.sum());
            match what {
                What::Straight(of) if of == part && left > 0 => tally.straight += 1,
                What::Bowed(of) if of == part && left > 0 => tally.bowed += 1,
                What::RestStraight => tally.straight += left,
                What::Straight(_) | What::Bowed(_) => continue,
            }
            unwritten.insert((at, part), tally);
            if tally.sum() >= yields {
                whole.push((part, tally));
            }
        }
        if whole.is_empty() {
            return Ok(());
        }
        let (_, path) = places(&self.job, at.0);
        let seen = std::fs::read(&path).ok();
        let rows = &mut self.rounds[at.0].rows;
        for (part, tally) in whole {
            unwritten.remove(&(at, part));
            rows.retain(|row| (row.board, row.part) != (at.1, part));
            let Tally { straight, bowed: rejected } = tally;
            rows.push(CountRow {
                board: at.1,
                part,
                straight,
                rejected,
                straight_length: None,
                crosscut: None,
                hours: Decimal::ZERO,
            });
        }
        rows.sort_by_key(|row| (row.board, row.part));
        let text = csv_text(&self.sheet(at.0), self.laid.job.units);
        replace(&path, seen.as_deref(), text.as_bytes()).map_err(|error| error.to_string())
    }

    /// The count of a cut as `count` reads it.
    fn sheet(&self, cut: usize) -> Sheet {
        let round = &self.rounds[cut];
        let mut sheet = crate::report::blank_count(&self.parts, &round.plan);
        let mut at = sheet.rows.iter_mut();
        for (number, board) in round.plan.boards.iter().enumerate() {
            for part in (0..self.parts.len()).filter(|part| board.yields(*part) > 0) {
                let Some(line) = at.next() else { return sheet };
                if let Some(row) = round.rows.iter().find(|row| (row.board, row.part) == (number, part)) {
                    line[3] = Cell::Count(row.straight.into());
                    line[4] = Cell::Count(row.rejected.into());
                    line[5] = row.straight_length.map_or(Cell::Empty, Cell::Length);
                    line[6] = if row.hours.is_zero() { Cell::Empty } else { Cell::Decimal(row.hours) };
                    let named = |(to, strips): (usize, u32)| Cell::text(format!("{strips} {}", self.parts[to].name));
                    line[8] = row.crosscut.map_or(Cell::Empty, named);
                }
            }
        }
        sheet
    }

    /// Where the job stands: what is enough, and what to cut where it is not.
    pub(super) fn standing(&self) -> Result<Standing, FloorError> {
        let (job, doors): (&Job, &[Door]) = (&self.laid.job, &self.laid.doors);
        let saw = Saw { job, doors, parts: &self.parts, confidence: self.confidence, rounds: &self.rounds };
        take_stock(&saw, &Budget::default(), &mut |_, _| Flow::Continue)
    }

    /// Writes the plan of what is still to be cut: from now on it is cut too. True when there was something to cut.
    pub(super) fn next_cut(&self, unwritten: &Unwritten, standing: &Standing) -> Result<bool, String> {
        // A board that lies half cut is not planned anew.
        if let Some(((cut, board), _)) = unwritten.keys().next() {
            let of = if *cut == 0 { String::new() } else { format!(" of cut {}", cut + 1) };
            return Err(format!("Count board {}{of} to its end first: it is cut in part.", board + 1));
        }
        let Some(finish) = &standing.finish else { return Ok(false) };
        let cut = self.rounds.len();
        if cut >= MOST_CUTS {
            return Err(format!("There are {cut} cuts already."));
        }
        let (folder, count) = places(&self.job, cut);
        if count.exists() {
            return Err(format!("`{}` is there already: move it first", count.display()));
        }
        write_plan(&folder, &finish.job, &finish.plan).map(|()| true)
    }
}

/// A cut with its count, as they lie on the disk.
fn round(path: &Path, job: &Job, parts: &[Part], cut: usize) -> Result<Round, String> {
    let (folder, count) = places(path, cut);
    let _quiet = folder::read(&folder).map_err(|error| error.to_string())?;
    let plan = read_plan(job, parts, &folder, cut == 0).map_err(|error| match error {
        FloorError::Folder { what, .. } => format!(
            "The job changed since its cutting began, and `{}` holds the plan of what it was ({what}). Take the change \
             back, or move the folder `cut` and begin anew.",
            folder.display()
        ),
        other => other.to_string(),
    })?;
    let rows = count.exists().then(|| read_count(job, parts, &plan, &count)).transpose();
    let rows = rows.map_err(|error| error.to_string())?.unwrap_or_default();
    Ok(Round { plan, rows, anew: BTreeSet::new() })
}

/// A board as it is drawn; `parts` are those that its rips are of.
pub(super) fn as_cut(board: &PlannedBoard, parts: &[Part]) -> CutBoard {
    let mut blanks: BTreeMap<u32, Blank> = BTreeMap::new();
    for row in &board.rips {
        let flat = parts.get(row.part).is_some_and(|part| part.thickness == row.planed);
        let blank = blanks.entry(row.blank).or_insert_with(|| Blank {
            length: row.blank_length,
            milling: if flat { Milling::Flat } else { Milling::Edge },
            planed: row.planed,
            leaves: row.leaves,
            rips: Vec::new(),
        });
        let pieces = row.strips / (row.rips * row.leaves).max(1);
        let (part, rip_width, rips, from) = (row.part, row.rip_width, row.rips, row.from);
        blank.rips.push(RipGroup { part, rip_width, rips, pieces, from });
    }
    CutBoard { stock: 0, order: board.order, blanks: blanks.into_values().collect() }
}

/// What was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    Straight(usize),
    Bowed(usize),
    RestStraight,
}
