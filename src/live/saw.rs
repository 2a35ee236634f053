//! At the saw: the board in hand drawn large, the next setting, two buttons a strip size, and what is still to be cut.
//!
//! The plan that is cut lies in `cut/plan` beside the job, written once; what comes off the saw in `cut/count.csv`, in the
//! form that `count` reads. A row is written when all strips of a size of a board are counted: until then they are kept
//! here, since a row that is there means that no more of its strips are to come.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rust_decimal::Decimal;

use super::plans::Planned;
use crate::demand::{Part, pool};
use crate::packing::{Budget, Flow};
use crate::report::{Cell, Sheet, csv_text, folder, rips};
use crate::shopfloor::{CountRow, CutPlan, Round, Saw, Standing, read_count, read_plan, replace, take_stock};

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

/// What is counted and not yet written, by board and part.
pub(super) type Unwritten = BTreeMap<(usize, usize), Tally>;

/// A job that is being cut.
pub(super) struct Cutting {
    pub(super) planned: Arc<Planned>,
    pub(super) parts: Vec<Part>,
    pub(super) cut: CutPlan,
    pub(super) rows: Vec<CountRow>,
    count: PathBuf,
}

/// Where the plan that is cut lies, and its count.
pub(super) fn places(job: &Path) -> (PathBuf, PathBuf) {
    let folder = job.parent().map_or_else(|| PathBuf::from("cut"), |folder| folder.join("cut"));
    (folder.join("plan"), folder.join("count.csv"))
}

/// Writes the plan into its folder: from now on it is the one that is cut.
pub(super) fn begin(job: &Path, planned: &Planned) -> Result<(), String> {
    let (plan, count) = places(job);
    if count.exists() {
        return Err(format!("`{}` counts a cut that was begun: move it first", count.display()));
    }
    let files = crate::report::plan_files(&planned.laid.job, &planned.plan);
    folder::write(&plan, &files).map(|_| ()).map_err(|error| error.to_string())
}

impl Cutting {
    /// The cut that was begun, with its count; `None` where none was.
    pub(super) fn open(job: &Path, planned: Arc<Planned>) -> Option<Result<Self, String>> {
        let (plan, count) = places(job);
        plan.join("rips.csv").is_file().then(|| Self::read(planned, &plan, count))
    }

    fn read(planned: Arc<Planned>, plan: &Path, count: PathBuf) -> Result<Self, String> {
        let _quiet = folder::read(plan).map_err(|error| error.to_string())?;
        let job = &planned.laid.job;
        let text = std::fs::read_to_string(plan.join("rips.csv")).map_err(|error| error.to_string())?;
        if text != csv_text(&rips(job, &planned.plan), job.units) {
            return Err(
                "The job changed since its cutting began: `cut/plan` holds the plan of what it was. Take the change \
                        back, or move the folder `cut` and begin anew."
                    .to_owned(),
            );
        }
        let parts = pool(job, &planned.laid.doors).map_err(|error| error.to_string())?.parts;
        let cut = read_plan(job, &parts, plan, true).map_err(|error| error.to_string())?;
        let there = count.exists().then(|| read_count(job, &parts, &cut, &count)).transpose();
        let rows = there.map_err(|error| error.to_string())?.unwrap_or_default();
        Ok(Self { planned, parts, cut, rows, count })
    }

    /// What came of a size of a board so far, with what is not written yet.
    pub(super) fn tally(&self, unwritten: &Unwritten, board: usize, part: usize) -> Tally {
        let row = self.rows.iter().find(|row| (row.board, row.part) == (board, part));
        let written = row.map(|row| Tally { straight: row.straight, bowed: row.rejected });
        written.or_else(|| unwritten.get(&(board, part)).copied()).unwrap_or_default()
    }

    /// Parts that a board yields, in the order of its rips.
    pub(super) fn yields(&self, board: usize) -> Vec<(usize, u32)> {
        let Some(board) = self.cut.boards.get(board) else { return Vec::new() };
        let mut parts: Vec<usize> = Vec::new();
        for row in &board.rips {
            if !parts.contains(&row.part) {
                parts.push(row.part);
            }
        }
        parts.into_iter().map(|part| (part, board.yields(part))).collect()
    }

    /// True when every strip of a board is counted.
    pub(super) fn is_done(&self, board: usize) -> bool {
        self.yields(board).iter().all(|(part, _)| self.rows.iter().any(|row| (row.board, row.part) == (board, *part)))
    }

    /// One strip more, or the rest of the board straight; writes the rows that are whole with it.
    pub(super) fn count(&mut self, unwritten: &mut Unwritten, board: usize, what: What) -> Result<(), String> {
        let mut whole = Vec::new();
        for (part, yields) in self.yields(board) {
            let mut tally = self.tally(unwritten, board, part);
            let left = yields.saturating_sub(tally.sum());
            match what {
                What::Straight(of) if of == part && left > 0 => tally.straight += 1,
                What::Bowed(of) if of == part && left > 0 => tally.bowed += 1,
                What::RestStraight => tally.straight += left,
                What::Straight(_) | What::Bowed(_) => continue,
            }
            unwritten.insert((board, part), tally);
            if tally.sum() >= yields {
                whole.push((part, tally));
            }
        }
        if whole.is_empty() {
            return Ok(());
        }
        let seen = std::fs::read(&self.count).ok();
        for (part, tally) in whole {
            unwritten.remove(&(board, part));
            self.rows.retain(|row| (row.board, row.part) != (board, part));
            let Tally { straight, bowed: rejected } = tally;
            self.rows.push(CountRow { board, part, straight, rejected, straight_length: None, hours: Decimal::ZERO });
        }
        self.rows.sort_by_key(|row| (row.board, row.part));
        let text = csv_text(&self.sheet(), self.planned.laid.job.units);
        replace(&self.count, seen.as_deref(), text.as_bytes()).map_err(|error| error.to_string())
    }

    /// The count as `count` reads it.
    fn sheet(&self) -> Sheet {
        let mut sheet = crate::report::blank_count(&self.parts, &self.cut);
        let mut at = sheet.rows.iter_mut();
        for (number, board) in self.cut.boards.iter().enumerate() {
            for part in (0..self.parts.len()).filter(|part| board.yields(*part) > 0) {
                let Some(line) = at.next() else { return sheet };
                if let Some(row) = self.rows.iter().find(|row| (row.board, row.part) == (number, part)) {
                    line[3] = Cell::Count(row.straight.into());
                    line[4] = Cell::Count(row.rejected.into());
                    line[5] = row.straight_length.map_or(Cell::Empty, Cell::Length);
                    line[6] = if row.hours.is_zero() { Cell::Empty } else { Cell::Decimal(row.hours) };
                }
            }
        }
        sheet
    }

    /// Where the job stands: what is enough, and what to cut where it is not.
    pub(super) fn standing(&self) -> Result<Standing, String> {
        let round = Round { plan: self.cut.clone(), rows: self.rows.clone(), anew: std::collections::BTreeSet::new() };
        let laid = &self.planned.laid;
        let saw = Saw {
            job: &laid.job,
            doors: &laid.doors,
            parts: &self.parts,
            rounds: std::slice::from_ref(&round),
            history: &[],
        };
        take_stock(&saw, &Budget::default(), &mut |_, _| Flow::Continue).map_err(|error| error.to_string())
    }
}

/// What was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    Straight(usize),
    Bowed(usize),
    RestStraight,
}
