//! A finished plan made easier to cut without costing more, and measured out along its boards.

use std::collections::BTreeMap;

use super::{BoardProblem, CutBoard};
use crate::job::Order;
use crate::measure::Length;

/// Leaves out rips and pieces beyond what is wanted, then blanks and boards that hold nothing: the
/// wood stays whole as an offcut. The last boards give way first. Then says where each blank begins.
pub(super) fn trim(problem: &BoardProblem, boards: &mut Vec<CutBoard>) {
    let mut strips = vec![0u64; problem.parts.len()];
    for (blank, group) in boards.iter().flat_map(|b| &b.blanks).flat_map(|b| b.rips.iter().map(move |g| (b, g))) {
        strips[group.part] += u64::from(group.rips) * u64::from(group.pieces) * u64::from(blank.leaves);
    }
    let mut spare: Vec<u64> =
        strips.iter().zip(&problem.parts).map(|(have, part)| have.saturating_sub(u64::from(part.count))).collect();
    for board in boards.iter_mut().rev() {
        for blank in board.blanks.iter_mut().rev() {
            for group in blank.rips.iter_mut().rev() {
                // Crosscut first a whole rip can go, rip first a piece of each equal rip.
                let (count, each) = match board.order {
                    Order::CrosscutFirst => (&mut group.rips, group.pieces),
                    Order::RipFirst => (&mut group.pieces, group.rips),
                };
                let strips = (u64::from(each) * u64::from(blank.leaves)).max(1);
                let less = (spare[group.part] / strips).min(u64::from(*count));
                spare[group.part] -= less * strips;
                *count -= less as u32;
            }
            blank.rips.retain(|group| group.rips > 0 && group.pieces > 0);
        }
        board.blanks.retain(|blank| !blank.rips.is_empty());
    }
    boards.retain(|board| !board.blanks.is_empty());
    boards.iter_mut().for_each(|board| lay_out(problem, board));
}

/// Says where each blank, or piece of a rip, begins: one after the other, a kerf apart, from the begin
/// of the clear run that its rows name.
fn lay_out(problem: &BoardProblem, board: &mut CutBoard) {
    let kerf = problem.rules.crosscut_kerf;
    let mut along: BTreeMap<Length, Length> = BTreeMap::new();
    for blank in &mut board.blanks {
        match board.order {
            Order::CrosscutFirst => {
                let run = blank.from();
                let next = along.entry(run).or_insert(run);
                blank.rips.iter_mut().for_each(|group| group.from = *next);
                *next += blank.length + kerf;
            }
            Order::RipFirst => {
                along.clear();
                for group in &mut blank.rips {
                    let next = along.entry(group.from).or_insert(group.from);
                    group.from = *next;
                    let piece = problem.parts[group.part].length + problem.rules.length_trim;
                    *next += (piece + kerf) * i64::from(group.pieces);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{bare_rules, board, strip};
    use super::super::{Blank, RipGroup};
    use super::*;
    use crate::job::Milling;

    #[test]
    fn what_nobody_wants_is_not_cut() {
        let problem = BoardProblem { parts: vec![strip(10, 1, 3)], stock: vec![board(6, 40, 1)], rules: bare_rules() };
        let blank = |rips, from| Blank {
            length: Length::from_inches(10),
            milling: Milling::Flat,
            planed: Length::from_inches(1),
            leaves: 1,
            rips: vec![RipGroup {
                part: 0,
                rip_width: Length::from_inches(1),
                rips,
                pieces: 1,
                from: Length::from_inches(from),
            }],
        };
        let cut = |blanks| CutBoard { stock: 0, order: Order::CrosscutFirst, blanks };
        let mut boards = vec![cut(vec![blank(2, 0), blank(2, 0)]), cut(vec![blank(1, 0)])];
        trim(&problem, &mut boards);
        assert_eq!(boards, [cut(vec![blank(2, 0), blank(1, 10)])]);
    }
}
