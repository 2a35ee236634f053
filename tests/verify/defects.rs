//! Defects, trimmed ends and kerfs along a board.

use slatwright::job::{BoardStock, Defect, Order};
use slatwright::measure::Length;
use slatwright::packing::boards::RipGroup;

use crate::common::plans::{Planned, blank, board_plan, cut, no_cloth, rips, strips_job};
use crate::common::{board, inch, strip};
use crate::verify::hand_made::{first_blank, rip_first};
use crate::verify::judged::{right, said, with, wrong};

/// A board of 60 in, ends trimmed by 1-1/2, with a knot from 20 to 23: 18-1/2 in clear before it and 35-1/2
/// behind it. One blank of 18-1/2 before (one 12 in a rip) and two of 12-1/2 behind.
fn knotty() -> Planned {
    let mut job = strips_job(vec![strip("slip", "12", "1", "3/8", 9)]);
    job.boards = vec![BoardStock {
        defects: vec![Defect { from: inch("20"), to: inch("23") }],
        on_hand: Some(1),
        price: None,
        ..board("cherry 5", "4/4", "5", "60", "6", 0)
    }];
    let cut_blank = |length| blank(length, "3/8", vec![rips(0, "1", 3, 1)]);
    let blanks = vec![cut_blank("18-1/2"), cut_blank("12-1/2"), cut_blank("12-1/2")];
    let mut plan = Planned::new(job, board_plan(vec![cut(0, Order::CrosscutFirst, blanks)], 0), no_cloth(0));
    for (blank, from) in plan.boards.boards[0].blanks.iter_mut().zip(["1-1/2", "23", "35-5/8"]) {
        blank.rips[0].from = inch(from);
    }
    plan
}

fn begins(plan: &mut Planned, blank: usize, from: &str) {
    plan.boards.boards[0].blanks[blank].rips[0].from = inch(from);
}

#[test]
fn a_blank_over_a_defect_or_an_end_is_named() {
    right(&knotty());
    wrong(
        knotty(),
        |p| begins(p, 0, "1-33/64"),
        &[
            "board 1, blank 1 lies from 1-33/64 in to 20-1/64 in along the board, over the defect that is cut out from 20 in to 23 in",
        ],
    );
    wrong(
        knotty(),
        |p| begins(p, 1, "22-63/64"),
        &[
            "board 1, blank 2 lies from 22-63/64 in to 35-31/64 in along the board, over the defect that is cut out from 20 in to 23 in",
        ],
    );
    wrong(
        knotty(),
        |p| begins(p, 0, "1-31/64"),
        &[
            "board 1, blank 1 lies from 1-31/64 in to 19-63/64 in along the board, which is trimmed from 1-1/2 in to 58-1/2 in",
        ],
    );
    wrong(
        knotty(),
        |p| begins(p, 2, "46-1/64"),
        &[
            "board 1, blank 3 lies from 46-1/64 in to 58-33/64 in along the board, which is trimmed from 1-1/2 in to 58-1/2 in",
        ],
    );
    wrong(
        knotty(),
        |p| begins(p, 2, "35-39/64"),
        &["board 1, blank 3 begins at 35-39/64 in along the board, before 35-5/8 in where the cut before it is done"],
    );
    right(&with(knotty(), |p| begins(p, 2, "46")));
}

#[test]
fn a_crack_counts_as_a_kerf_and_a_worse_board_is_seen() {
    // The defect counts as one kerf where it is shorter: 20 to 20-1/8.
    let crack = |from: &str| {
        let mut plan = with(knotty(), |p| p.job.boards[0].defects[0].to = inch("20-1/64"));
        begins(&mut plan, 1, from);
        said(&plan)
    };
    assert_eq!(crack("20-1/8"), Vec::<String>::new());
    assert_eq!(
        crack("20-7/64"),
        [
            "board 1, blank 2 lies from 20-7/64 in to 32-39/64 in along the board, over the defect that is cut out from 20 in to 20-1/8 in",
            "board 1, blank 2 begins at 20-7/64 in along the board, before 20-1/8 in where the cut before it is done",
        ]
    );
    // A board row may turn out to be worse than the plan knows.
    let worse = |p: &mut Planned| p.job.boards[0].defects.push(Defect { from: inch("40"), to: inch("41") });
    wrong(
        knotty(),
        worse,
        &[
            "board 1, blank 3 lies from 35-5/8 in to 48-1/8 in along the board, over the defect that is cut out from 40 in to 41 in",
        ],
    );
    let apart = |p: &mut Planned| {
        let other = RipGroup { rips: 1, from: inch("2"), ..first_blank(p).rips[0] };
        first_blank(p).rips[0].rips = 2;
        first_blank(p).rips.push(other);
    };
    wrong(knotty(), apart, &["the rows of board 1, blank 1 begin at different places along the board"]);
}

/// Wherever a defect lies, it is named exactly for the blanks it touches: those are the 64ths that both take.
#[test]
fn a_defect_anywhere_is_named_for_the_blanks_it_touches() {
    let sixty_fourths = Length::from_64ths;
    // The blanks of `knotty` in 64ths of an inch.
    let blanks = [(96, 1280), (1472, 2272), (2280, 3080)];
    let mut touched = [0; 4];
    for from in (0..60 * 64).step_by(7) {
        for long in [1, 3, 8, 9, 64, 700] {
            let to = (from + long).min(60 * 64);
            let defect = Defect { from: sixty_fourths(from), to: sixty_fourths(to) };
            let said = said(&with(knotty(), |p| p.job.boards[0].defects.push(defect)));
            // The kerf is 8/64 in.
            let bad: Vec<i64> = (from..to.max(from + 8)).collect();
            let over = |blank: &(i64, i64)| bad.iter().any(|at| (blank.0..blank.1).contains(at));
            let expected: Vec<usize> = (1..).zip(&blanks).filter(|(_, blank)| over(blank)).map(|(n, _)| n).collect();
            let named: Vec<usize> = (1..=3)
                .filter(|n| {
                    said.iter()
                        .any(|s| s.starts_with(&format!("board 1, blank {n} lies")) && s.contains("over the defect"))
                })
                .collect();
            assert_eq!((&named, said.len()), (&expected, expected.len()), "{from} {to}: {said:?}");
            touched[named.len()] += 1;
        }
    }
    assert!(touched[0] > 50 && touched[1] > 1_000 && touched[2] > 20, "{touched:?}");
}

#[test]
fn pieces_of_a_full_length_rip_keep_off_defects_too() {
    let knot = |from: &str, to: &str| {
        let mut plan = rip_first();
        plan.job.boards[0].defects = vec![Defect { from: inch(from), to: inch(to) }];
        said(&plan)
    };
    // Three pieces of 12-1/2 end at 39-1/4; the wide rip's 15 in piece at 17 and its three at 54-7/8.
    assert_eq!(knot("54-7/8", "60"), Vec::<String>::new());
    let said = knot("39-1/4", "41");
    assert_eq!(said.len(), 1, "{said:?}");
    let over = "along the board, over the defect that is cut out from 39-1/4 in to 41 in";
    assert!(said[0].starts_with("board 1, blank 2 lies from") && said[0].ends_with(over), "{said:?}");
}
