//! Boards that were planned and are not yet cut, planned anew together with the extra strips.

use std::collections::BTreeSet;

use super::extra::set_ups;
use super::standing::exact;
use super::{CutPlan, FloorError, PlannedBoard, Round};
use crate::demand::Part;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::Cents;

/// A board of a cut of the job: which cut, which of its boards.
pub type Planned = (usize, usize);

/// The boards of all cuts of which nothing is counted yet.
pub(super) fn uncut(rounds: &[Round]) -> Vec<Planned> {
    let of_round = |(number, round): (usize, &Round)| {
        let none = |at: &usize| !round.anew.contains(at) && round.rows.iter().all(|row| row.board != *at);
        (0..round.plan.boards.len()).filter(none).map(|at| (number, at)).collect::<Vec<_>>()
    };
    rounds.iter().enumerate().flat_map(of_round).collect()
}

/// What the boards are as stock for the plan that takes their place: they are there and cost nothing more.
pub(super) fn as_stock(rounds: &[Round], boards: &[Planned]) -> Vec<BoardStock> {
    let stock = |&(round, at): &Planned| {
        let plan = &rounds[round].plan;
        let board = &plan.boards[at].stock;
        BoardStock {
            stock: format!("{} {}", name_of(board), tag(plan, at)),
            place: if board.place == BoardPlace::Rack { BoardPlace::Rack } else { BoardPlace::Picked },
            on_hand: Some(1),
            price: None,
            unit_cost: Cents::ZERO,
            random: false,
            widths: None,
            held: Vec::new(),
            ..board.clone()
        }
    };
    boards.iter().map(stock).collect()
}

/// The strips that the boards were to give, and the extra ones beside them. Where fence and cutter were set for a
/// section already, the new plan sets them again.
pub(super) fn wants(job: &Job, parts: &[Part], rounds: &[Round], boards: &[Planned], extra: &[u32]) -> Vec<u32> {
    let planned = |part: usize| -> u32 {
        boards.iter().map(|&(round, at)| rounds[round].plan.boards[at].yields(part)).fold(0, u32::saturating_add)
    };
    let mut wants: Vec<u32> = extra.iter().enumerate().map(|(at, extra)| extra.saturating_add(planned(at))).collect();
    for at in set_ups(parts, |at| planned(at) > 0 && !exact(job, &parts[at])) {
        let here = |part: usize| parts[part].section() == parts[at].section();
        if rounds.iter().flat_map(|round| &round.rows).any(|row| here(row.part)) {
            wants[at] = wants[at].saturating_add(job.spares.setup_strips);
        }
    }
    wants
}

/// The name of a board without the tag of a plan that it was taken over from.
pub(super) fn name_of(board: &BoardStock) -> &str {
    match parted(&board.stock) {
        Some((name, ..)) => name,
        None => &board.stock,
    }
}

/// The tag by which a board is known to come from an earlier plan: the plan's mark cut short, and its number there.
fn tag(plan: &CutPlan, at: usize) -> String {
    let mark: String = plan.mark.chars().take(8).collect();
    format!("({mark}/{})", at + 1)
}

/// Name, mark and number of a board with a tag.
fn parted(stock: &str) -> Option<(&str, &str, usize)> {
    let (name, tag) = stock.strip_suffix(')')?.rsplit_once(" (")?;
    let (mark, number) = tag.split_once('/')?;
    let number: usize = number.parse().ok()?;
    (mark.len() == 8 && mark.chars().all(|c| c.is_ascii_hexdigit())).then_some((name, mark, number.checked_sub(1)?))
}

/// Notes in each cut which of its boards a later cut has planned anew: nothing of them is to come by the old plan.
///
/// # Errors
/// [`FloorError::Mismatch`] where such a board is counted by the old plan.
pub fn link(rounds: &mut [Round]) -> Result<(), FloorError> {
    for later in 1..rounds.len() {
        let boards: BTreeSet<(String, usize)> = rounds[later]
            .plan
            .boards
            .iter()
            .filter_map(|board: &PlannedBoard| parted(&board.stock.stock))
            .map(|(_, mark, at)| (mark.to_owned(), at))
            .collect();
        for (mark, at) in boards {
            let (before, after) = rounds.split_at_mut(later);
            let Some(old) = before.iter_mut().find(|old| old.plan.mark.starts_with(&mark)) else { continue };
            if old.rows.iter().any(|row| row.board == at) {
                let (old, new) = (old.plan.folder.display(), after[0].plan.folder.display());
                let what = format!("board {} of `{old}` is counted, and `{new}` plans it anew", at + 1);
                let help = "a board planned anew is counted by the new plan alone; take its rows out of the old count";
                return Err(FloorError::Mismatch { what, help });
            }
            old.anew.insert(at);
        }
    }
    Ok(())
}
