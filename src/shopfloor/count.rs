//! The count: what came off the saw, board by board, read and held against the plan it counts for.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rust_decimal::Decimal;

use super::said::said;
use super::salvage::{pieces, serves};
use super::{CutPlan, FloorError};
use crate::demand::Part;
use crate::files::{
    At, CountFile, Desk, Kind, LARGEST_CSV, Place, Problem, Sources, is_in_lines, nearest, read_count_lines,
    read_count_rows,
};
use crate::job::Job;
use crate::measure::Length;

/// One row of a count: strips of one part that came from one board.
#[derive(Debug, Clone, PartialEq)]
pub struct CountRow {
    /// Index of the board in the plan (its number less 1).
    pub board: usize,
    /// Index into the job's parts.
    pub part: usize,
    /// Straight strips.
    pub straight: u32,
    /// Rejected strips.
    pub rejected: u32,
    /// Each reject of the row is straight over at least this.
    pub straight_length: Option<Length>,
    /// Strips of a shorter part that were crosscut from those of this row: of its rejects where they have a straight
    /// length, else of its straight strips. The part, and how many of it.
    pub crosscut: Option<(usize, u32)>,
    /// Hours it took.
    pub hours: Decimal,
}

/// One cut of a job: its plan and what has come of it so far.
#[derive(Debug, Clone)]
pub struct Round {
    /// What the saw was sent to do.
    pub plan: CutPlan,
    /// What was counted.
    pub rows: Vec<CountRow>,
    /// Boards that a later cut has planned anew, by their places in the plan.
    pub anew: BTreeSet<usize>,
}

impl Round {
    fn counted(&self, board: usize, part: usize) -> bool {
        self.rows.iter().any(|row| row.board == board && row.part == part)
    }

    /// Boards of which every part is counted.
    pub fn done(&self) -> impl Iterator<Item = usize> {
        let whole = |at: &usize| {
            !self.anew.contains(at) && self.plan.boards[*at].rips.iter().all(|row| self.counted(*at, row.part))
        };
        (0..self.plan.boards.len()).filter(whole)
    }

    /// Strips of a part still on boards that are not counted.
    pub(super) fn remaining(&self, part: usize) -> u64 {
        let to_come = |at: usize| !self.anew.contains(&at) && !self.counted(at, part);
        let uncounted = self.plan.boards.iter().enumerate().filter(|(at, _)| to_come(*at));
        uncounted.map(|(_, board)| u64::from(board.yields(part))).sum()
    }
}

/// Reads a count and holds it against the plan it counts for. A row without counts is of a board not cut yet. In place
/// of rows a file may say boards in lines, `board 3: 2 bowed`: the rest of such a board is straight.
///
/// # Errors
/// [`FloorError::Files`] with every row that names no board or part of the plan, counts more strips than
/// the board yields, or is there twice.
pub fn read_count(job: &Job, parts: &[Part], plan: &CutPlan, path: &Path) -> Result<Vec<CountRow>, FloorError> {
    let sources = Sources::on_disk(path);
    let desk = Desk::new(&sources);
    let mut read: Vec<(CountRow, Place)> = Vec::new();
    if let Some((id, text)) = desk.open(path, LARGEST_CSV, None) {
        if is_in_lines(&text) {
            for line in read_count_lines(&desk, (id, &text), job.units) {
                let rows = said(&desk, job, parts, plan, &line);
                read.extend(rows.into_iter().map(|row| (row, line.place)));
            }
        } else {
            let written = read_count_rows(&desk, (id, &text), job.units);
            let filled = |row: &&CountFile| !(row.straight.is_missing() && row.rejected.is_missing());
            for row in written.iter().flat_map(|table| &table.list).filter(filled) {
                read.extend(count_row(&desk, job, parts, plan, row).map(|read| (read, row.place)));
            }
        }
    }
    let mut seen = BTreeSet::new();
    for (row, place) in &read {
        if !seen.insert((row.board, row.part)) {
            let what = format!("board {} is counted twice for {}", row.board + 1, parts[row.part].name);
            desk.add(Problem::new(Kind::Duplicate, *place, what).help("one row a board and part"));
        }
    }
    let rows = read.into_iter().map(|(row, _)| row).collect();
    desk.problems().map_or(Ok(rows), |problems| Err(problems.into()))
}

/// Puts the counts of several days together.
///
/// # Errors
/// [`FloorError::Mismatch`] when two of them count the same board for the same part.
pub fn together(parts: &[Part], days: Vec<(&Path, Vec<CountRow>)>) -> Result<Vec<CountRow>, FloorError> {
    let mut seen: BTreeMap<(usize, usize), &Path> = BTreeMap::new();
    for (path, rows) in &days {
        for row in rows {
            if let Some(before) = seen.insert((row.board, row.part), path).filter(|before| before != path) {
                let (board, part) = (row.board + 1, &parts[row.part].name);
                let (before, now) = (before.display(), path.display());
                let what = format!("board {board} is counted for {part} in `{before}` and again in `{now}`");
                return Err(FloorError::Mismatch { what, help: "leave it in the file of the day it was cut" });
            }
        }
    }
    Ok(days.into_iter().flat_map(|(_, rows)| rows).collect())
}

fn count_row(desk: &Desk, job: &Job, parts: &[Part], plan: &CutPlan, row: &CountFile) -> Option<CountRow> {
    let missing = |column: &str| {
        let problem = Problem::new(Kind::Missing, row.place, format!("`{column}` is empty in this row"));
        desk.add(problem.help("leave both counts empty until the board is cut"));
    };
    for (column, empty) in [
        ("board", row.board.is_missing()),
        ("part", row.part.is_missing()),
        ("straight", row.straight.is_missing()),
        ("rejected", row.rejected.is_missing()),
    ] {
        if empty {
            missing(column);
        }
    }
    let board = known_board(desk, plan, row.board.given()?)?;
    let part = known_part(desk, parts, plan, board, row.part.given()?)?;
    let (straight, rejected) = (row.straight.given()?, row.rejected.given()?);
    let yields = plan.boards[board].yields(part);
    if let Some(said) = row.yields.given().filter(|said| said.value != yields) {
        let what = format!("`yields` is {}, but board {} of the plan yields {yields}", said.value, board + 1);
        let help = "count for the plan that the sheet was printed from, or print it again with `--blank`";
        desk.add(Problem::new(Kind::Conflict, said.place, what).help(help));
    }
    let counted = u64::from(straight.value) + u64::from(rejected.value);
    if counted > u64::from(yields) {
        let what = format!("{counted} strips are counted, but board {} yields {yields}", board + 1);
        let name = &parts[part].name;
        desk.add(
            Problem::new(Kind::Conflict, row.place, what)
                .help(format!("straight and rejected strips of {name} together are at most {yields}")),
        );
    }
    if let Some(at) = row.straight_length.given() {
        no_longer_than_it_is(desk, job, &parts[part], at);
    }
    let mut counted = CountRow {
        board,
        part,
        straight: straight.value,
        rejected: rejected.value,
        straight_length: row.straight_length.given().map(|at| at.value),
        crosscut: None,
        hours: row.hours.given().map_or(Decimal::ZERO, |at| at.value),
    };
    if let Some(at) = row.crosscut_to.given() {
        counted.crosscut = Some(crosscut(desk, job, parts, &counted, at)?);
    }
    Some(counted)
}

/// What is straight of a reject is a part of it.
pub(super) fn no_longer_than_it_is(desk: &Desk, job: &Job, part: &Part, straight: &At<Length>) {
    let longest = part.length + job.shop.cutting.length_trim;
    if straight.value > longest {
        let what = format!("`straight_length` is more than the strip's own {}", longest.show(job.units));
        desk.add(Problem::new(Kind::Conflict, straight.place, what).help("the straight length left in each reject"));
    }
}

/// What was crosscut from the strips of a row: a shorter part of its section, and no more than they give.
pub(super) fn crosscut(
    desk: &Desk,
    job: &Job,
    parts: &[Part],
    row: &CountRow,
    at: &At<(u32, String)>,
) -> Option<(usize, u32)> {
    let (strips, name) = &at.value;
    let from = &parts[row.part];
    let to = (0..parts.len()).find(|to| parts[*to].name == *name && serves(from, &parts[*to]));
    let Some(to) = to else {
        let shorter: Vec<&str> = parts.iter().filter(|to| serves(from, to)).map(|to| to.name.as_str()).collect();
        let what = format!("no strip of {} makes one of `{name}`", from.name);
        let help = match &shorter[..] {
            [] => format!("no part is shorter than {} in its section", from.name),
            names => format!("shorter in its section: {}", names.join(", ")),
        };
        desk.add(Problem::new(Kind::UnknownName, at.place, what).help(help));
        return None;
    };
    let (strip, all) = match row.straight_length {
        Some(length) => (length, row.rejected),
        None => (from.length + job.shop.cutting.length_trim, row.straight),
    };
    let most = pieces(job, &parts[to], strip).saturating_mul(all);
    if *strips > most {
        let whose = if row.straight_length.is_some() { "rejects" } else { "straight strips" };
        let what = format!("{strips} strips of {name} cannot have been crosscut from {all} {whose} of {}", from.name);
        let help = format!("at most {most}; rejects are crosscut where the row gives their `straight_length`");
        desk.add(Problem::new(Kind::Conflict, at.place, what).help(help));
        return None;
    }
    Some((to, *strips))
}

pub(super) fn known_board(desk: &Desk, plan: &CutPlan, at: &At<u32>) -> Option<usize> {
    let boards = plan.boards.len();
    let board = (at.value as usize).checked_sub(1).filter(|board| *board < boards);
    if board.is_none() {
        let problem = Problem::new(Kind::UnknownName, at.place, format!("the plan has no board {}", at.value));
        desk.add(problem.help(format!("its boards are 1 to {boards}; is this count for another plan?")));
    }
    board
}

pub(super) fn known_part(desk: &Desk, parts: &[Part], plan: &CutPlan, board: usize, at: &At<String>) -> Option<usize> {
    let here: BTreeSet<usize> = plan.boards[board].rips.iter().map(|row| row.part).collect();
    let part = here.iter().copied().find(|part| parts[*part].name == at.value);
    if part.is_none() {
        let what = format!("board {} yields no strips of `{}`", board + 1, at.value);
        let names: Vec<&str> = here.iter().map(|part| parts[*part].name.as_str()).collect();
        let help = match nearest(&at.value, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`? It yields {}", names.join(", ")),
            None => format!("it yields {}", names.join(", ")),
        };
        desk.add(Problem::new(Kind::UnknownName, at.place, what).help(help));
    }
    part
}
