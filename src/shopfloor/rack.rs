//! The rack file after a cut: boards used are taken off, offcuts put on, every other byte kept.

use std::collections::BTreeMap;
use std::path::Path;

use super::anew::name_of;
use super::{CutPlan, FloorError, Offcut, Round, offcuts};
use crate::demand::Part;
use crate::files::{Sources, guarded, parted_by, unguarded};
use crate::job::{BoardPlace, BoardStock, Defect, Hold, Job, parse_boards};
use crate::measure::{Length, Units};

/// What a cut does to the rack.
#[derive(Debug, Clone)]
pub struct RackChange {
    /// Boards taken off: name and how many.
    pub used: Vec<(String, u32)>,
    /// Offcuts put on.
    pub kept: Vec<Offcut>,
    /// Boards of the cut that change nothing, each with the reason.
    pub passed: Vec<(usize, Passed)>,
    /// The new text of the rack file; as it was when there is nothing to change.
    pub text: String,
}

/// Why a board of a cut changes nothing on the rack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passed {
    /// The rack's file says already what became of it.
    OnRecord,
    /// Not all of its strips are counted.
    NotCounted,
    /// It was bought, and nothing of it is worth keeping.
    NothingLeft,
}

impl Passed {
    /// The reason in words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::OnRecord => "on the rack's record already",
            Self::NotCounted => "not counted whole yet",
            Self::NothingLeft => "bought; no offcut worth keeping",
        }
    }
}

/// What the boards of a cut that are done do to the rack. Boards that are on the rack's record already
/// (`from` names the plan's mark and their number) are passed over, so that a rack can be brought up to
/// date after every board and never counts one twice.
///
/// # Errors
/// [`FloorError`] when the rack does not read, or does not hold what the plan took from it.
pub fn rack_change(
    job: &Job,
    parts: &[Part],
    round: &Round,
    done: &[usize],
    (path, text): (&Path, &str),
) -> Result<RackChange, FloorError> {
    let rack = parse_boards(&Sources::in_memory(path, text), job.units)?;
    let mut lines = Lines::read(text, "from");
    let fresh: Vec<usize> = done.iter().copied().filter(|at| !lines.records(&record(&round.plan, *at))).collect();
    let mut used: BTreeMap<String, (u32, Vec<usize>)> = BTreeMap::new();
    for &at in &fresh {
        let stock = &round.plan.boards[at].stock;
        if stock.place == BoardPlace::Rack {
            let row = rack.iter().find(|row| row.stock == name_of(stock));
            let held = row.filter(|row| alike(row, stock) && row.on_hand.is_some_and(|count| count > 0));
            held.ok_or_else(|| gone(path, stock, at))?;
            let entry = used.entry(name_of(stock).to_owned()).or_default();
            entry.0 += 1;
            entry.1.push(at);
        }
    }
    for (name, (count, boards)) in &used {
        let row = rack.iter().find(|row| row.stock == *name).and_then(|row| row.on_hand).unwrap_or(0);
        let left = row.checked_sub(*count).ok_or_else(|| gone(path, &round.plan.boards[boards[0]].stock, boards[0]))?;
        let records: Vec<String> = boards.iter().map(|at| record(&round.plan, *at)).collect();
        lines.take_off(name, left, &records.join(" "));
        let held = rack.iter().find(|row| row.stock == *name).map_or(&[][..], |row| &row.held);
        if held.iter().any(|hold| hold.by == job.name) {
            lines.hold(name, &still_held(held, &job.name, *count));
        }
    }
    let mut kept: Vec<Offcut> = fresh.iter().flat_map(|at| offcuts(job, parts, &round.plan, *at)).collect();
    for offcut in &mut kept {
        offcut.from = format!("{} {}", offcut.from, record(&round.plan, offcut.board - 1));
        if rack.iter().any(|row| row.stock == offcut.stock.stock) {
            let what = format!("`{}` is on the rack already under another record", offcut.stock.stock);
            let help = "give that row of the boards file another name, or take it out";
            return Err(FloorError::Folder { file: path.to_owned(), what, help });
        }
        lines.put_on(job, offcut);
    }
    let text = if used.is_empty() && kept.is_empty() { text.to_owned() } else { lines.text() };
    let after = parse_boards(&Sources::in_memory(path, text.as_str()), job.units)?;
    if !as_meant(&job.name, &rack, &used, &kept, &after) {
        let what = "its rows cannot be told apart as they are written; nothing was written".to_owned();
        let help = "save it as plain CSV, one row a line, and ask again";
        return Err(FloorError::Folder { file: path.to_owned(), what, help });
    }
    let passed = passed(round, done, &fresh, &kept);
    let used = used.into_iter().map(|(name, (count, _))| (name, count)).collect();
    Ok(RackChange { used, kept, passed, text })
}

/// Boards that change nothing, by number, with the reason.
fn passed(round: &Round, done: &[usize], fresh: &[usize], kept: &[Offcut]) -> Vec<(usize, Passed)> {
    let why = |at: usize| {
        if !done.contains(&at) {
            return Some(Passed::NotCounted);
        }
        if !fresh.contains(&at) {
            return Some(Passed::OnRecord);
        }
        let bought = round.plan.boards[at].stock.place != BoardPlace::Rack;
        (bought && kept.iter().all(|offcut| offcut.board != at + 1)).then_some(Passed::NothingLeft)
    };
    (0..round.plan.boards.len()).filter_map(|at| Some((at + 1, why(at)?))).collect()
}

/// What was written reads back as the rack less the boards used, with the offcuts behind.
fn as_meant(
    job: &str,
    before: &[BoardStock],
    used: &BTreeMap<String, (u32, Vec<usize>)>,
    kept: &[Offcut],
    after: &[BoardStock],
) -> bool {
    let left = |row: &BoardStock| {
        let taken = used.get(&row.stock).map_or(0, |(count, _)| *count);
        let held = still_held(&row.held, job, taken);
        BoardStock { on_hand: row.on_hand.map(|count| count.saturating_sub(taken)), held, ..row.clone() }
    };
    let (old, new) = after.split_at(before.len().min(after.len()));
    before.iter().map(left).eq(old.iter().cloned())
        && kept.iter().map(|offcut| &offcut.stock.stock).eq(new.iter().map(|row| &row.stock))
}

/// What stays held when a job has taken so many boards: its own hold is used up by them.
fn still_held(held: &[Hold], job: &str, taken: u32) -> Vec<Hold> {
    let left = |hold: &Hold| match hold.by == job {
        true => Hold { boards: hold.boards.saturating_sub(taken), ..hold.clone() },
        false => hold.clone(),
    };
    held.iter().map(left).filter(|hold| hold.boards > 0).collect()
}

/// The boards file `path` with these boards held for `job` (stock and how many), and none beside them. `text` itself
/// when that changes nothing; a board that is not in the file is passed over.
///
/// # Errors
/// [`FloorError`] when the file does not read, or would not read back as meant.
pub fn hold_for(
    job: &str,
    boards: &[(String, u32)],
    units: Units,
    (path, text): (&Path, &str),
) -> Result<String, FloorError> {
    let rack = parse_boards(&Sources::in_memory(path, text), units)?;
    let mut meant = rack.clone();
    for row in meant.iter_mut().filter(|row| row.on_hand.is_some()) {
        row.held.retain(|hold| hold.by != job);
        let wanted = boards.iter().filter(|(stock, _)| *stock == row.stock);
        row.held.extend(wanted.map(|(_, boards)| Hold { boards: *boards, by: job.to_owned() }));
    }
    let changed = meant.iter().zip(&rack).filter(|(after, before)| after.held != before.held);
    let mut lines = Lines::read(text, "held_for");
    let mut any = false;
    for (row, _) in changed {
        lines.hold(&row.stock, &row.held);
        any = true;
    }
    if !any {
        return Ok(text.to_owned());
    }
    let new = lines.text();
    if parse_boards(&Sources::in_memory(path, new.as_str()), units).is_ok_and(|after| after == meant) {
        return Ok(new);
    }
    let what = format!("the boards held for `{job}` cannot be written into it as it stands; nothing was written");
    let help = "save it as plain CSV, one row a line, and ask again";
    Err(FloorError::Folder { file: path.to_owned(), what, help })
}

/// The word in `from` by which a board of a cut is known to be on record.
fn record(plan: &CutPlan, at: usize) -> String {
    let mark: String = plan.mark.chars().take(8).collect();
    format!("[{mark}/{}]", at + 1)
}

/// Sizes equal to the places that a CSV file carries.
fn alike(a: &BoardStock, b: &BoardStock) -> bool {
    let near = |a: Length, b: Length| (a - b).abs() <= Length::from_nm(1_000);
    let same = |(a, b): (&Defect, &Defect)| near(a.from, b.from) && near(a.to, b.to);
    a.species == b.species
        && a.thickness == b.thickness
        && near(a.width, b.width)
        && near(a.length, b.length)
        && a.defects.len() == b.defects.len()
        && a.defects.iter().zip(&b.defects).all(same)
}

fn gone(path: &Path, stock: &BoardStock, at: usize) -> FloorError {
    FloorError::Folder {
        file: path.to_owned(),
        what: format!(
            "board {} of the plan is `{}` from the rack, which no longer holds it in that size and with those defects: the rack changed \
             since the plan was made; nothing was written",
            at + 1,
            stock.stock
        ),
        help: "name the boards file that the job was planned with, or bring its row up to date by hand",
    }
}

/// The file as raw cells, so that what is not touched stays as it was written.
struct Lines {
    header: Vec<String>,
    /// Lines in order; blank ones have no cells.
    rows: Vec<Vec<String>>,
    end: &'static str,
    /// What parts the cells; with semicolons figures have decimal commas.
    mark: char,
}

impl Lines {
    /// The lines of a file, with the column `added` behind the others where the file has none of that name.
    fn read(text: &str, added: &str) -> Self {
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let mark = char::from(parted_by(text));
        let mut rows = text.lines().map(|line| raw_cells(line, mark));
        let mut header = Vec::new();
        let mut before = Vec::new();
        for row in rows.by_ref() {
            if row.iter().any(|cell| !cell.trim().is_empty()) {
                header = row;
                break;
            }
            before.push(row);
        }
        let mut lines = Self { header, rows: rows.collect(), end, mark };
        if lines.column(added).is_none() {
            lines.header.push(added.to_owned());
            for row in lines.rows.iter_mut().filter(|row| row.iter().any(|cell| !cell.trim().is_empty())) {
                row.push(String::new());
            }
        }
        lines
    }

    fn column(&self, name: &str) -> Option<usize> {
        self.header.iter().position(|cell| plain(cell).to_lowercase() == name)
    }

    fn cell(&self, row: &[String], column: &str) -> String {
        self.column(column).and_then(|at| row.get(at)).map(|cell| plain(cell)).unwrap_or_default()
    }

    /// True when some row carries the record.
    fn records(&self, record: &str) -> bool {
        self.rows.iter().any(|row| self.cell(row, "from").contains(record))
    }

    fn take_off(&mut self, stock: &str, left: u32, record: &str) {
        let Some(at) = self.rows.iter().position(|row| self.cell(row, "stock") == stock) else { return };
        let from = format!("{} {record}", self.cell(&self.rows[at], "from")).trim().to_owned();
        for (column, cell) in [("on_hand", left.to_string()), ("from", quoted(&from))] {
            if let Some(place) = self.column(column).and_then(|column| self.rows[at].get_mut(column)) {
                *place = cell;
            }
        }
    }

    fn hold(&mut self, stock: &str, held: &[Hold]) {
        let Some(at) = self.rows.iter().position(|row| self.cell(row, "stock") == stock) else { return };
        if let Some(place) = self.column("held_for").and_then(|column| self.rows[at].get_mut(column)) {
            *place = quoted(&Hold::text(held));
        }
    }

    fn put_on(&mut self, job: &Job, offcut: &Offcut) {
        let stock = rounded(&offcut.stock);
        let cell = |name: &String| match plain(name).to_lowercase().as_str() {
            "stock" => quoted(&stock.stock),
            "species" => quoted(stock.species.name()),
            "thickness" => self.figure(stock.thickness.csv(job.units)),
            "width" => self.figure(stock.width.decimal(job.units)),
            "length" => self.figure(stock.length.decimal(job.units)),
            "defects" if self.mark == ';' => quoted(&self.figure(stock.defects_text(job.units))),
            "defects" => stock.defects_text(job.units),
            "on_hand" => stock.on_hand.unwrap_or(1).to_string(),
            "from" => quoted(&offcut.from),
            _ => String::new(),
        };
        let row = self.header.iter().map(cell).collect();
        self.rows.push(row);
    }

    /// A figure as the file has them.
    fn figure(&self, text: String) -> String {
        if self.mark == ';' { text.replace('.', ",").replace(",,", "..") } else { text }
    }

    fn text(&self) -> String {
        let lines = std::iter::once(&self.header).chain(&self.rows);
        let mark = self.mark.to_string();
        lines.map(|cells| cells.join(&mark) + self.end).collect()
    }
}

/// A board as it is written: it must not grow by that, nor a defect shrink.
fn rounded(stock: &BoardStock) -> BoardStock {
    let length = down(stock.length);
    let mut defects: Vec<Defect> = Vec::new();
    for defect in &stock.defects {
        let (from, to) = (down(defect.from), up(defect.to).min(length));
        match defects.last_mut() {
            Some(last) if last.to >= from => last.to = last.to.max(to),
            _ => defects.push(Defect { from, to }),
        }
    }
    defects.retain(|defect| defect.to > defect.from);
    BoardStock { width: down(stock.width), length, defects, ..stock.clone() }
}

/// Up to a 64th of an inch.
fn up(length: Length) -> Length {
    Length::ZERO - down(Length::ZERO - length)
}

/// Down to a 64th of an inch: exact in six places of either unit.
fn down(length: Length) -> Length {
    Length::from_nm(length.nm() - length.nm().rem_euclid(Length::from_64ths(1).nm()))
}

/// Cells of a line as written, quotes kept. A quote opens only where a cell begins: `oak 5" wide` has none.
fn raw_cells(line: &str, mark: char) -> Vec<String> {
    let mut cells = Vec::new();
    let mut cell = String::new();
    let (mut inside, mut closed) = (false, false);
    for c in line.chars() {
        if c == mark && !inside {
            cells.push(std::mem::take(&mut cell));
            closed = false;
            continue;
        }
        let quote = c == '"';
        // A quote right behind a closing one is a quote within.
        (inside, closed) = if inside { (!quote, quote) } else { (quote && (cell.is_empty() || closed), false) };
        cell.push(c);
    }
    cells.push(cell);
    cells
}

/// The value of a raw cell.
fn plain(cell: &str) -> String {
    let cell = cell.trim().trim_start_matches('\u{feff}');
    match cell.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
        Some(inner) => unguarded(inner.replace("\"\"", "\"").trim()).to_owned(),
        None => unguarded(cell).to_owned(),
    }
}

/// A cell that survives commas, quotes and spreadsheets.
fn quoted(text: &str) -> String {
    let text = guarded(text);
    if text.contains([',', ';', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}
