//! A plan read back from its folder: what the saw was sent to do.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::{ReplaceError, plan_mark};
use crate::cutting::{CutBlank, Cuts};
use crate::demand::Part;
use crate::files::{LARGEST_CSV, Problems, Sources, parse_defects, unguarded};
use crate::job::{BoardPlace, BoardStock, Defect, Job, Order, Species};
use crate::measure::{Cents, Length, parse_length, parse_thickness};
use crate::plan::CannotPlan;

/// Why a question from the shop floor has no answer.
#[derive(Debug, Error)]
pub enum FloorError {
    /// A file that does not read.
    #[error("{0}")]
    Files(Box<Problems>),
    /// A picked board named like a row of the boards file.
    #[error("the picked board `{0}` has the name of a row of the boards file")]
    NameTaken(String),
    /// Files of a plan folder that are damaged, edited or of another job.
    #[error("`{}`: {what}", file.display())]
    Folder {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        what: String,
        /// What would be right.
        help: &'static str,
    },
    /// Jobs, files or counts that do not go together.
    #[error("{what}")]
    Mismatch {
        /// What is wrong.
        what: String,
        /// What would be right.
        help: &'static str,
    },
    /// The rest cannot be had.
    #[error(transparent)]
    Cannot(Box<CannotPlan>),
    /// A file that could not be replaced; it is as it was.
    #[error(transparent)]
    Replace(#[from] ReplaceError),
}

impl From<CannotPlan> for FloorError {
    fn from(cannot: CannotPlan) -> Self {
        Self::Cannot(Box::new(cannot))
    }
}

impl From<Problems> for FloorError {
    fn from(problems: Problems) -> Self {
        Self::Files(Box::new(problems))
    }
}

/// For a folder that holds no plan.
const PLAN_FOLDER: &str = "name the folder that `slatwright plan` wrote for this job";
/// For a plan that is not this job's, or not as it was written.
const PLAN_AGAIN: &str =
    "name the plan of this very job, as `slatwright plan` wrote it; a job changed since is planned again";

/// A plan as it lies in its folder.
#[derive(Debug, Clone)]
pub struct CutPlan {
    /// The folder.
    pub folder: PathBuf,
    /// Boards in the order they are cut; board `i` has the number `i + 1`.
    pub boards: Vec<PlannedBoard>,
    /// Strips planned of each part of the job, needed and spare.
    pub planned: Vec<u32>,
    /// What it is known by: no other plan has the same ([`super::plan_mark`]).
    pub mark: String,
}

/// One board of it.
#[derive(Debug, Clone)]
pub struct PlannedBoard {
    /// What it is; `on_hand` says whether it was owned.
    pub stock: BoardStock,
    /// Which cut comes first.
    pub order: Order,
    /// Rows of `rips.csv`.
    pub rips: Vec<PlannedRips>,
}

/// Equal rips of one blank.
#[derive(Debug, Clone, Copy)]
pub struct PlannedRips {
    /// Blank number on the board.
    pub blank: u32,
    /// Rough length of the blank.
    pub blank_length: Length,
    /// What the blank is planed to.
    pub planed: Length,
    /// Leaves it is resawn into.
    pub leaves: u32,
    /// Index into the job's parts.
    pub part: usize,
    /// Ripped dimension.
    pub rip_width: Length,
    /// How many.
    pub rips: u32,
    /// Strips they yield.
    pub strips: u32,
    /// Where the blank, or the first piece of the rip, begins, from the end the board is measured from.
    pub from: Length,
}

impl PlannedBoard {
    /// Strips of a part that the board yields.
    #[must_use]
    pub fn yields(&self, part: usize) -> u32 {
        self.rips.iter().filter(|row| row.part == part).map(|row| row.strips).fold(0, u32::saturating_add)
    }

    /// How it is cut, as far as it matters for what is left.
    pub(super) fn cuts(&self) -> Cuts {
        let mut blanks: BTreeMap<u32, CutBlank> = BTreeMap::new();
        for row in &self.rips {
            let blank = blanks.entry(row.blank).or_insert_with(|| CutBlank {
                number: row.blank,
                from: row.from,
                length: row.blank_length,
                planed: row.planed,
                leaves: row.leaves,
                rips: Vec::new(),
            });
            blank.rips.push((row.rip_width, row.rips));
        }
        match self.order {
            Order::CrosscutFirst => Cuts::Crosscut(blanks.into_values().collect()),
            // The rows of a full-length rip share its width and its number.
            Order::RipFirst => {
                Cuts::Rip(blanks.into_values().filter_map(|blank| blank.rips.first().copied()).collect())
            }
        }
    }
}

/// One CSV file of a plan folder, row by row.
struct Rows {
    file: PathBuf,
    text: String,
    rows: Vec<BTreeMap<String, String>>,
}

impl Rows {
    fn read(folder: &Path, name: &str) -> Result<Self, FloorError> {
        let file = folder.join(name);
        let (source, fault) = Sources::on_disk(&file).read(&file, LARGEST_CSV);
        if let Some(fault) = fault {
            // It names the file itself.
            return Err(FloorError::Mismatch { what: fault.what, help: PLAN_FOLDER });
        }
        let text = source.text().to_owned();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let rows: Result<Vec<_>, _> = reader.deserialize().collect();
        match rows {
            Ok(rows) => Ok(Self { file, text, rows }),
            Err(error) => {
                let what = format!("not as slatwright wrote it: {error}");
                Err(FloorError::Folder { file, what, help: PLAN_AGAIN })
            }
        }
    }

    fn wrong(&self, what: impl Into<String>) -> FloorError {
        FloorError::Folder { file: self.file.clone(), what: what.into(), help: PLAN_AGAIN }
    }

    fn text<'a>(&self, row: &'a BTreeMap<String, String>, column: &str) -> Result<&'a str, FloorError> {
        let cell = row.get(column).ok_or_else(|| self.wrong(format!("the column `{column}` is missing")))?;
        Ok(unguarded(cell))
    }

    fn count(&self, row: &BTreeMap<String, String>, column: &str) -> Result<u32, FloorError> {
        let text = self.text(row, column)?;
        text.parse().map_err(|_| self.wrong(format!("`{column}` is `{text}`, not a count")))
    }

    fn length(&self, row: &BTreeMap<String, String>, column: &str, job: &Job) -> Result<Length, FloorError> {
        let text = self.text(row, column)?;
        let length = parse_length(text, job.units).ok();
        length.ok_or_else(|| self.wrong(format!("`{column}` is `{text}`, not a length")))
    }
}

/// Reads the plan that lies in `folder` and checks that it is one for this job: its parts are the
/// job's. `first` asks for all of them with the counts the job has; a later cut holds some of them.
///
/// # Errors
/// [`FloorError`] when a file is missing, damaged, or of another job.
pub fn read_plan(job: &Job, parts: &[Part], folder: &Path, first: bool) -> Result<CutPlan, FloorError> {
    let slats = Rows::read(folder, "slats.csv")?;
    let mut planned = vec![0; parts.len()];
    for row in &slats.rows {
        let name = slats.text(row, "part")?;
        let at = parts.iter().position(|part| part.name == name && same(job, part, row));
        let at = at.ok_or_else(|| slats.wrong(format!("`{name}` is no part of this job")))?;
        planned[at] = slats.count(row, "total")?;
        if first && slats.count(row, "needed")? != parts[at].needed {
            let what = format!("`{name}` is needed {} times by this job", parts[at].needed);
            return Err(slats.wrong(what));
        }
    }
    if let Some(at) = planned.iter().position(|planned| first && *planned == 0) {
        return Err(slats.wrong(format!("the part `{}` of this job is missing", parts[at].name)));
    }
    let rips = Rows::read(folder, "rips.csv")?;
    let boards = read_boards(job, parts, folder, &rips)?;
    let summary = Rows::read(folder, "summary.csv")?;
    let figure = |row: &&BTreeMap<String, String>| row.get("figure").is_some_and(|figure| figure == "stock_mark");
    let stock = summary.rows.iter().find(figure);
    let stock = stock.ok_or_else(|| summary.wrong("the figure `stock_mark` is missing"))?;
    let mark = plan_mark(&rips.text, summary.text(stock, "value")?);
    Ok(CutPlan { folder: folder.to_owned(), boards, planned, mark })
}

/// The row gives the part's sizes to the places that a CSV file carries.
fn same(job: &Job, part: &Part, row: &BTreeMap<String, String>) -> bool {
    let is = |column: &str, length: Length| row.get(column).is_some_and(|cell| *cell == length.decimal(job.units));
    let wood = row.get("species").and_then(|cell| Species::named(unguarded(cell)).ok());
    is("length", part.length)
        && is("width", part.width)
        && is("thickness", part.thickness)
        && wood.is_some_and(|wood| wood.name() == part.species.name())
}

fn read_boards(job: &Job, parts: &[Part], folder: &Path, rips: &Rows) -> Result<Vec<PlannedBoard>, FloorError> {
    let kinds = Rows::read(folder, "boards.csv")?;
    let mut stocks = BTreeMap::new();
    for row in &kinds.rows {
        let stock = stock(job, &kinds, row)?;
        stocks.insert(stock.stock.clone(), stock);
    }
    let mut boards: Vec<PlannedBoard> = Vec::new();
    for row in &rips.rows {
        let number = rips.count(row, "board")? as usize;
        if number == boards.len() + 1 {
            let name = rips.text(row, "stock")?;
            let stock = stocks.get(name).cloned();
            let stock = stock.ok_or_else(|| rips.wrong(format!("`{name}` is not in boards.csv")))?;
            let order = match rips.text(row, "order")? {
                "rip-first" => Order::RipFirst,
                _ => Order::CrosscutFirst,
            };
            boards.push(PlannedBoard { stock, order, rips: Vec::new() });
        }
        let read = planned_rips(job, parts, rips, row)?;
        let board = number.checked_sub(1).filter(|at| *at + 1 == boards.len()).and_then(|at| boards.get_mut(at));
        board.ok_or_else(|| rips.wrong(format!("board {number} is out of order")))?.rips.push(read);
    }
    Ok(boards)
}

fn stock(job: &Job, kinds: &Rows, row: &BTreeMap<String, String>) -> Result<BoardStock, FloorError> {
    let place = match (kinds.text(row, "source")?, kinds.text(row, "picked")?) {
        ("on_hand", "yes") => BoardPlace::Picked,
        ("on_hand", _) => BoardPlace::Rack,
        _ => BoardPlace::Yard,
    };
    let thickness = kinds.text(row, "thickness")?;
    let wood = kinds.text(row, "species")?;
    let defects = kinds.text(row, "defects")?;
    let spans = parse_defects(defects, job.units);
    let spans = spans.ok_or_else(|| kinds.wrong(format!("`{defects}` are no defects: plan again")))?;
    Ok(BoardStock {
        stock: kinds.text(row, "stock")?.to_owned(),
        species: Species::named(wood).map_err(|error| kinds.wrong(error.to_string()))?,
        thickness: parse_thickness(thickness, job.units)
            .map_err(|_| kinds.wrong(format!("`{thickness}` is no thickness")))?,
        width: kinds.length(row, "width", job)?,
        length: kinds.length(row, "length", job)?,
        defects: spans.into_iter().map(|(from, to)| Defect { from, to }).collect(),
        on_hand: if place == BoardPlace::Yard { None } else { Some(kinds.count(row, "boards")?) },
        place,
        price: None,
        unit_cost: Cents::ZERO,
        random: false,
        widths: None,
        held: Vec::new(),
    })
}

fn planned_rips(
    job: &Job,
    parts: &[Part],
    rips: &Rows,
    row: &BTreeMap<String, String>,
) -> Result<PlannedRips, FloorError> {
    let name = rips.text(row, "part")?;
    let part = parts.iter().position(|part| part.name == name);
    Ok(PlannedRips {
        blank: rips.count(row, "blank")?,
        blank_length: rips.length(row, "blank_length", job)?,
        planed: rips.length(row, "planed_thickness", job)?,
        leaves: rips.count(row, "leaves")?,
        part: part.ok_or_else(|| rips.wrong(format!("`{name}` is no part of this job")))?,
        rip_width: rips.length(row, "rip_width", job)?,
        rips: rips.count(row, "rips")?,
        strips: rips.count(row, "strips")?,
        from: rips.length(row, "from", job)?,
    })
}
