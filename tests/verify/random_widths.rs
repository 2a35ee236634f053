//! What is asked for of boards that come in any width.

use slatwright::job::Order;
use slatwright::packing::boards::{CutBoard, WidthLevel, WidthRange};

use crate::common::plans::{Planned, blank, board_plan, cut, lay, no_cloth, press, rips, strips_job};
use crate::common::{board, decimal, inch, strip};
use crate::verify::judged::{named, right, wrong};

/// The press from boards that come 5 to 7 in wide. At 5 in a blank has 4 in to rip: five slats (3-5/8) or three
/// and a lead slat (3-1/2). Two blanks of the second kind and seven of the first are three boards too.
fn any_width() -> Planned {
    let mut plan = press();
    (plan.job.boards[0].random, plan.job.boards[0].widths) = (true, Some((inch("5"), inch("7"))));
    let five = || blank("29-1/16", "3/8", vec![rips(0, "5/8", 5, 1)]);
    let three = || blank("29-1/16", "3/8", vec![rips(0, "5/8", 3, 1), rips(1, "1-1/4", 1, 1)]);
    let blanks = [vec![three(), three(), five()], vec![five(), five(), five()], vec![five(), five(), five()]];
    let mut boards: Vec<CutBoard> = blanks.map(|blanks| cut(0, Order::CrosscutFirst, blanks)).to_vec();
    boards.iter_mut().for_each(|board| lay(&plan.job, &plan.demand, board));
    let levels = vec![WidthLevel { from: inch("5"), to: inch("7"), boards }];
    plan.boards.ranges = vec![WidthRange { stock: 0, strips: vec![(0, 40), (1, 2)], levels }];
    plan.billed()
}

/// Two set-up strips are spares of the sizes, to be cut from a board of any width like the four that are wanted.
#[test]
fn spares_count_for_the_range() {
    let mut job = strips_job(vec![strip("slip", "12", "1", "3/8", 4)]);
    job.spares.setup_strips = 2;
    job.boards = vec![board("cherry 5", "4/4", "5", "30", "6", 625)];
    (job.boards[0].random, job.boards[0].widths) = (true, Some((inch("5"), inch("7"))));
    let pairs = || cut(0, Order::CrosscutFirst, vec![blank("25-1/8", "3/8", vec![rips(0, "1", 3, 2)])]);
    let mut plan = Planned::new(job, board_plan(vec![pairs()], 625), no_cloth(0));
    assert_eq!((plan.demand.parts[0].needed, plan.demand.parts[0].spares), (4, 2));
    let levels = vec![WidthLevel { from: inch("5"), to: inch("7"), boards: plan.boards.boards.clone() }];
    plan.boards.ranges = vec![WidthRange { stock: 0, strips: vec![(0, 6)], levels }];
    right(&plan.billed());
}

/// Two strips from each rip: of 5 in a blank has 4 in to rip, three rips of 1 in with their kerfs are 3-3/8. Two pieces
/// of 12-1/2 and a kerf are 25-1/8.
#[test]
fn every_piece_of_a_rip_counts_for_the_range() {
    let mut job = strips_job(vec![strip("slip", "12", "1", "3/8", 6)]);
    job.boards = vec![board("cherry 5", "4/4", "5", "30", "6", 625)];
    (job.boards[0].random, job.boards[0].widths) = (true, Some((inch("5"), inch("7"))));
    let pairs = || cut(0, Order::CrosscutFirst, vec![blank("25-1/8", "3/8", vec![rips(0, "1", 3, 2)])]);
    let mut plan = Planned::new(job, board_plan(vec![pairs()], 625), no_cloth(0));
    let levels = vec![WidthLevel { from: inch("5"), to: inch("7"), boards: plan.boards.boards.clone() }];
    plan.boards.ranges = vec![WidthRange { stock: 0, strips: vec![(0, 6)], levels }];
    right(&plan.billed());
}

#[test]
fn what_to_ask_for_of_random_widths_is_checked() {
    right(&any_width());
    // Three boards just under 7 in wide and 8 ft long are 14 bf, the plan's are 12.
    let line = |plan: &Planned| plan.bill.buy.iter().find(|line| line.what == "lumber").unwrap().clone();
    assert_eq!(line(&any_width()).allowance, decimal("2"));
    assert_eq!(line(&any_width()).at_least_width, Some(inch("5")));
    assert!(line(&any_width()).say.contains("ask for 14 bf in boards 5 to 7 in wide"), "{}", line(&any_width()).say);

    named(any_width(), |p| p.boards.ranges.clear(), "boards of `cherry 6` are sized for 0 ranges of widths");
    let strange = |p: &mut Planned| p.boards.ranges[0].stock = 4;
    named(any_width(), strange, "a range of widths is sized for row 4 of the boards, which is not there");
    let fewer = |p: &mut Planned| p.boards.ranges[0].strips[0].1 = 39;
    wrong(
        any_width(),
        fewer,
        &["boards of `cherry 6` are sized for 39 strips of part S01, the plan takes 40 from them"],
    );
    let gaps = "the levels of the range of widths of `cherry 6` leave gaps";
    named(any_width(), |p| p.boards.ranges[0].levels[0].from = inch("6-1/2"), gaps);
    wrong(any_width(), |p| p.job.boards[0].widths = Some((inch("5-1/2"), inch("7"))), &[gaps]);
    named(any_width(), |p| p.boards.ranges[0].levels[0].to = inch("6-1/2"), gaps);
    let crowded = |p: &mut Planned| p.boards.ranges[0].levels[0].boards[1].blanks[0].rips[0].rips = 6;
    wrong(
        any_width(),
        crowded,
        &[
            "boards of `cherry 6` 5 in wide: the rips of board 2, blank 1 take 4-3/8 in with their kerfs, 4 in can be used",
        ],
    );
    let short = |p: &mut Planned| drop(p.boards.ranges[0].levels[0].boards.pop());
    named(any_width(), short, "boards of `cherry 6` 5 in wide: part S01 asks for 40 strips, 26 are cut");
    let mean = |p: &mut Planned| {
        p.bill.buy.iter_mut().filter(|line| line.what == "lumber").for_each(|line| line.allowance = decimal("1.99"));
    };
    let text = "`4/4 black cherry`: 1.99 bf beyond the plan are too few at one width of the range, which takes 2.00 bf";
    wrong(any_width(), mean, &[text]);
}
