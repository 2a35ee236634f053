//! Why a part cannot be cut from any board, in words.

use super::{BoardKind, BoardProblem, StripDemand};
use crate::cutting::{clear_runs, leaves, orders, planed_to, rip_dimension, usable_width};
use crate::job::{Milling, Order};
use crate::measure::{Length, Units};

/// How near a board comes to yielding a strip: the later the test it fails, the nearer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Miss {
    Thickness { needs: Length, short: Length, board: Length },
    Limit { needs: Length, short: Length, most: Length },
    Length { needs: Length, short: Length, usable: Length, whole: bool },
    Width { needs: Length, short: Length, usable: Length },
}

/// The nearest miss of a part, `None` when some board yields it.
pub(super) fn nearest_miss(problem: &BoardProblem, strip: &StripDemand) -> Option<String> {
    let mut nearest: Option<Miss> = None;
    let mut any = false;
    for board in problem.stock.iter().filter(|board| board.label == strip.label && board.available != Some(0)) {
        any = true;
        for &order in orders(problem.rules.order) {
            for &milling in strip.millings.list() {
                let miss = miss(problem, strip, board, (order, milling))?;
                nearest = Some(nearest.map_or(miss, |best| nearer(best, miss)));
            }
        }
    }
    match nearest {
        _ if !any => Some("there is no board of its species".to_owned()),
        miss => miss.map(|miss| words(strip, miss)),
    }
}

fn nearer(a: Miss, b: Miss) -> Miss {
    let rank = |miss: &Miss| match *miss {
        Miss::Thickness { short, .. } => (3, short),
        Miss::Limit { short, .. } => (2, short),
        Miss::Length { short, .. } => (1, short),
        Miss::Width { short, .. } => (0, short),
    };
    if rank(&b) < rank(&a) { b } else { a }
}

fn miss(
    problem: &BoardProblem,
    strip: &StripDemand,
    board: &BoardKind,
    (order, milling): (Order, Milling),
) -> Option<Miss> {
    let rules = &problem.rules;
    let planed = planed_to(milling, strip.width, strip.thickness);
    if leaves(rules, board.thickness, planed) == 0 {
        let rough = board.thickness.actual();
        let faces = rules.face_trim(rough) * 2;
        let faces = if board.thickness.is_surfaced() && planed <= rough { faces.min(rough - planed) } else { faces };
        let needs = planed + faces;
        return Some(Miss::Thickness { needs, short: needs - rough, board: rough });
    }
    let rough = strip.length + rules.length_trim;
    let runs = clear_runs(rules, board.length, &board.defects).into_iter().map(|(from, to)| to - from);
    let along = runs.max().unwrap_or(Length::ZERO);
    let across = usable_width(rules, order, board.width);
    let blank = if order == Order::CrosscutFirst { rough.max(rules.min_blank) } else { rough };
    if let Some(most) = rules.max_blank.filter(|&most| order == Order::CrosscutFirst && blank > most) {
        return Some(Miss::Limit { needs: blank, short: blank - most, most });
    }
    if blank > along {
        let whole = board.defects.is_empty();
        return Some(Miss::Length { needs: blank, short: blank - along, usable: along, whole });
    }
    let rip = rip_dimension(rules, milling, strip.width, strip.thickness);
    (rip > across).then(|| Miss::Width { needs: rip, short: rip - across, usable: across })
}

fn words(strip: &StripDemand, miss: Miss) -> String {
    let show = |length: Length| {
        if length.exact().ends_with(" in") { length.show(Units::Inch) + " in" } else { length.exact() }
    };
    let usable_words =
        |usable: Length| if usable.is_positive() { format!("only {}", show(usable)) } else { "nothing".to_owned() };
    match miss {
        Miss::Thickness { needs, board, .. } => {
            let thick = show(board);
            format!("it needs a board {} thick before planing; the nearest one measures {thick}", show(needs))
        }
        Miss::Limit { needs, most, .. } => {
            format!("{} needs a blank of {}; max_blank is {}", show(strip.length), show(needs), show(most))
        }
        Miss::Length { needs, usable, whole, .. } => format!(
            "{} needs a blank of {}; the longest {} gives {}",
            show(strip.length),
            show(needs),
            if whole { "usable board" } else { "clear run of a board with defects" },
            usable_words(usable)
        ),
        Miss::Width { needs, usable, .. } => format!(
            "a rip of {} is wider than the widest board that is long enough, which has {} to rip",
            show(needs),
            usable_words(usable)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{bare_rules, board, strip};
    use super::*;

    fn why(strip: StripDemand, board: BoardKind) -> Option<String> {
        let rules = crate::job::CuttingRules {
            length_trim: Length::from_64ths(32),
            end_trim: Length::from_inches(1),
            ..bare_rules()
        };
        nearest_miss(&BoardProblem { parts: vec![strip], stock: vec![board], rules }, &strip)
    }

    #[test]
    fn a_board_too_short_says_by_what() {
        let long = StripDemand { length: Length::from_64ths(64 * 28 + 32), ..strip(28, 1, 1) };
        let text = why(long, board(6, 23, 100)).unwrap();
        assert_eq!(text, "28-1/2 in needs a blank of 29 in; the longest usable board gives only 21 in");
    }

    #[test]
    fn a_board_with_a_defect_says_what_its_longest_clear_run_gives() {
        let at = Length::from_inches;
        let knotty = BoardKind { defects: vec![crate::job::Defect { from: at(12), to: at(15) }], ..board(6, 40, 100) };
        let text = why(strip(28, 1, 1), knotty).unwrap();
        let expected =
            "28 in needs a blank of 28-1/2 in; the longest clear run of a board with defects gives only 24 in";
        assert_eq!(text, expected);
        assert_eq!(why(strip(23, 1, 1), BoardKind { defects: Vec::new(), ..board(6, 40, 100) }), None);
    }

    #[test]
    fn thickness_and_width_are_named_too() {
        let thick = StripDemand { thickness: Length::from_inches(2), ..strip(10, 1, 1) };
        assert!(why(thick, board(6, 40, 100)).unwrap().contains("measures 1 in"));
        let wide = StripDemand { width: Length::from_inches(7), ..strip(10, 1, 1) };
        assert!(why(wide, board(6, 40, 100)).unwrap().contains("which has only 6 in to rip"));
        assert_eq!(why(strip(10, 1, 1), board(6, 40, 100)), None);
    }

    #[test]
    fn another_species_is_no_board_at_all() {
        let other = BoardKind { label: 9, ..board(6, 40, 100) };
        assert_eq!(why(strip(10, 1, 1), other).unwrap(), "there is no board of its species");
    }
}
