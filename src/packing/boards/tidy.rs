//! A finished plan made easier to cut without costing more.

use super::{BoardProblem, CutBoard};
use crate::job::Order;

/// Leaves out rips and pieces beyond what is wanted, then blanks and boards that hold nothing: the
/// wood stays whole as an offcut. The last boards give way first.
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
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bare_rules, board, strip};
    use super::super::{Blank, RipGroup};
    use super::*;
    use crate::job::Milling;
    use crate::measure::Length;

    #[test]
    fn what_nobody_wants_is_not_cut() {
        let problem = BoardProblem { parts: vec![strip(10, 1, 3)], stock: vec![board(6, 40, 1)], rules: bare_rules() };
        let blank = |rips| Blank {
            length: Length::from_inches(10),
            milling: Milling::Flat,
            planed: Length::from_inches(1),
            leaves: 1,
            rips: vec![RipGroup { part: 0, rip_width: Length::from_inches(1), rips, pieces: 1 }],
        };
        let cut = |blanks| CutBoard { stock: 0, order: Order::CrosscutFirst, blanks };
        let mut boards = vec![cut(vec![blank(2), blank(2)]), cut(vec![blank(1)])];
        trim(&problem, &mut boards);
        assert_eq!(boards, [cut(vec![blank(2), blank(1)])]);
    }
}
