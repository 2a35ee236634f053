//! Boards picked at the yard: the plan is made for them, and what the yard has left is said.

use std::collections::BTreeSet;

use super::FloorError;
use crate::files::nearest;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::Cents;

/// No picked board may be named like a row of the boards file.
pub(super) fn own_names(job: &Job, rows: &[BoardStock]) -> Result<(), FloorError> {
    let taken: BTreeSet<&str> = job.boards.iter().map(|board| board.stock.as_str()).collect();
    match rows.iter().find(|row| taken.contains(row.stock.as_str())) {
        Some(row) => Err(FloorError::NameTaken(row.stock.clone())),
        None => Ok(()),
    }
}

/// So many boards of a row as picked ones: paid for, so that the rest is planned as if they were free.
pub(super) fn owned(row: &BoardStock, count: u32) -> BoardStock {
    BoardStock { on_hand: Some(count), place: BoardPlace::Picked, price: None, unit_cost: Cents::ZERO, ..fixed(row) }
}

/// So many boards of a row as they lie at the yard, each at its price.
pub(super) fn offered(row: &BoardStock, count: u32) -> BoardStock {
    BoardStock { on_hand: Some(count), place: BoardPlace::Yard, ..fixed(row) }
}

/// A board that can be measured is no board of random widths.
fn fixed(row: &BoardStock) -> BoardStock {
    BoardStock { random: false, widths: None, held: Vec::new(), ..row.clone() }
}

/// The job with the boards that were bought: they come first, for they are paid for, then the rack, and what the yard
/// sells only where these two are not enough.
///
/// # Errors
/// [`FloorError`] for a name that the boards file has already, a board that was neither bought nor left, or one
/// without its price.
pub fn with_picked(job: &Job, rows: &[BoardStock]) -> Result<Job, FloorError> {
    own_names(job, rows)?;
    let mismatch = |what: String, help: &'static str| Err(FloorError::Mismatch { what, help });
    if let Some(row) = rows.iter().find(|row| row.on_hand.is_none()) {
        let what = format!("the picked file does not say whether `{}` was bought", row.stock);
        return mismatch(what, "write in `on_hand` how many of it were bought, or 0");
    }
    if let Some(row) = bought(rows).find(|row| row.price.is_none()) {
        let what = format!("the picked file does not say what was paid for `{}`", row.stock);
        return mismatch(what, "fill in its `price` and `per`");
    }
    let picked = bought(rows).map(|row| owned(row, row.on_hand.unwrap_or(0)));
    Ok(Job { boards: picked.chain(job.boards.iter().cloned()).collect(), ..job.clone() })
}

fn bought(rows: &[BoardStock]) -> impl Iterator<Item = &BoardStock> {
    rows.iter().filter(|row| row.on_hand.is_some_and(|count| count > 0))
}

/// How many boards were bought, and what they cost by their own prices.
#[must_use]
pub fn paid(rows: &[BoardStock]) -> (u64, Cents) {
    let count = |row: &BoardStock| row.on_hand.unwrap_or(0);
    (
        bought(rows).map(|row| u64::from(count(row))).sum(),
        bought(rows).map(|row| row.unit_cost * i64::from(count(row))).sum(),
    )
}

/// Says that the yard has no more than so many left of a board that it lists: `5 of cherry 4/4 7in 8ft`, `none of ...`.
///
/// # Errors
/// [`FloorError::Mismatch`] for a text of another form, or a board that the boards file does not sell.
pub fn only_left(job: &mut Job, text: &str) -> Result<(), FloorError> {
    let wrong = |what: String, help: &'static str| FloorError::Mismatch { what, help };
    let form = "say it as `--left \"5 of NAME\"`, with a name of the boards file, or `none of NAME`";
    let (count, name) = text
        .split_once(" of ")
        .ok_or_else(|| wrong(format!("`{text}` does not say how many of what are left"), form))?;
    let left = match count.trim() {
        "none" | "no" => Some(0),
        count => count.parse::<u32>().ok().filter(|count| *count <= 100_000),
    };
    let left = left.ok_or_else(|| wrong(format!("`{count}` is not a count of boards"), form))?;
    let name = name.trim();
    let sold = |board: &&mut BoardStock| board.place == BoardPlace::Yard && board.stock == name;
    if let Some(board) = job.boards.iter_mut().find(sold) {
        board.on_hand = Some(left);
        return Ok(());
    }
    let names = job.boards.iter().filter(|board| board.place == BoardPlace::Yard).map(|board| board.stock.as_str());
    let near = nearest(name, names).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
    Err(wrong(format!("the boards file sells no `{name}`{near}"), form))
}
