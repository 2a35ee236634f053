//! Who gets which strips, and how easy the boards are to cut.

use slatwright::job::Order;

use crate::common::plans::{Planned, blank, board_plan, cut, no_cloth, press, rips, strips_job};
use crate::common::{board, inch, strip};
use crate::verify::hand_made::rip_first;
use crate::verify::judged::{named, right, wrong};

#[test]
fn strips_that_are_tied_wrong_are_named() {
    wrong(
        press(),
        |p| p.tied.given.retain(|given| given.bundle != 1),
        &[
            "bundle PR2-A for `press` has 0 strips of part S01, it needs 20",
            "bundle PR2-A for `press` has 0 strips of part S02, it needs 1",
            "the doors take strips off 2 boards, summed over the doors, not 4 (bound 4)",
        ],
    );
    named(
        press(),
        |p| p.tied.given[0].board = 9,
        "bundle number 0 takes part number 0 off board 10, one of which is not there",
    );
    named(press(), |p| p.tied.given[0].strips = 90, "92 strips of part S01 off board 1 are in bundles, 16 are cut");
    named(
        press(),
        |p| p.tied.given.reverse(),
        "the strips in the bundles are not listed once each by board, part and bundle",
    );
    named(press(), |p| p.demand.bundles.truncate(1), "`press` has 1 bundles, it is built 2 times");
    wrong(
        press(),
        |p| p.tied.pairs = 2,
        &[
            "the doors take strips off 4 boards, summed over the doors, not 2 (bound 4)",
            "the plan has 2 pairs of doors and boards, not 4",
        ],
    );
}

/// What is left of a job may hold strips of two sizes under the names of the doors they are for.
#[test]
fn loose_strips_of_one_name_are_one_bundle() {
    let mut job =
        strips_job(vec![strip("left, right", "12", "5/8", "3/8", 2), strip("left, right", "12", "1", "3/8", 1)]);
    // 30 in x 5 in x 1 in is 1.0417 bf; at 6.00 that is 6.25.
    job.boards = vec![board("cherry 5", "4/4", "5", "30", "6", 625)];
    let blanks = vec![blank("12-1/2", "3/8", vec![rips(0, "5/8", 2, 1), rips(1, "1", 1, 1)])];
    let plan = Planned::new(job, board_plan(vec![cut(0, Order::CrosscutFirst, blanks)], 625), no_cloth(0));
    assert_eq!(plan.demand.bundles.len(), 1);
    right(&plan);
}

#[test]
fn figures_of_how_easy_a_plan_is_to_cut_are_counted_again() {
    assert_eq!((press().ease.blank_lengths, press().ease.rip_widths), (1, 2));
    wrong(press(), |p| p.ease.blank_lengths = 2, &["the plan has 1 blank lengths, not 2"]);
    wrong(press(), |p| p.ease.rip_widths = 1, &["the plan has 2 rip widths, not 1"]);
    wrong(press(), |p| p.ease.fence_settings = 9, &["the plan has 4 fence settings, not 9"]);
    // The third board gives one blank: 96 less an end of 1-1/2, 29-1/16 and a kerf leave 65-5/16.
    let left = press().ease.offcut.expect("the third board leaves a piece");
    assert_eq!((left.board, left.width, left.length), (2, inch("6"), inch("65-5/16")));
    wrong(press(), |p| p.ease.offcut = None, &["the largest offcut of use is 6 in by 65-5/16 in, not 0 in by 0 in"]);
}

/// Rip first the offcut lies beside the last rip, as long as the board was bought: of 8 in by 60 the edge takes 1/2,
/// three rips of 5/8 and one of 1-1/8 with their kerfs 3-1/2.
#[test]
fn what_is_left_beside_the_rips_is_an_offcut() {
    let mut job = rip_first().job;
    // 60 in x 8 in x 1 in is 3-1/3 bf; at 6.00 that is 20.00.
    job.boards = vec![board("cherry 8", "4/4", "8", "60", "6", 2000)];
    let plan = Planned::new(job, board_plan(rip_first().boards.boards, 2000), no_cloth(0));
    let left = plan.ease.offcut.expect("half the board is left");
    assert_eq!((left.width, left.length), (inch("4"), inch("60")));
    right(&plan);
    wrong(plan, |p| p.ease.offcut = None, &["the largest offcut of use is 4 in by 60 in, not 0 in by 0 in"]);
}

/// What is left of a board is of use only to a part that can be planed from it: 17-7/8 in of a 4/4 board are too short
/// for the slip of 40, and too thin, with both faces planed, for the block of 15/16.
#[test]
fn an_offcut_too_thin_for_what_is_short_enough_is_of_no_use() {
    let offcut = |thick: &str| {
        let mut job = strips_job(vec![strip("slip", "40", "1", "3/8", 3), strip("block", "12", "1", thick, 3)]);
        job.boards =
            vec![board("cherry 5", "4/4", "5", "60", "6", 1250), board("cherry 8/4", "8/4", "5", "16", "8", 889)];
        let (slip, block) = if thick == "3/8" { (1, 0) } else { (0, 1) };
        let slips = cut(0, Order::CrosscutFirst, vec![blank("40-1/2", "3/8", vec![rips(slip, "1", 3, 1)])]);
        let blocks = cut(1, Order::CrosscutFirst, vec![blank("12-1/2", thick, vec![rips(block, "1", 3, 1)])]);
        let plan = Planned::new(job, board_plan(vec![slips, blocks], 2139), no_cloth(0));
        right(&plan);
        plan.ease.offcut.is_some()
    };
    assert!(offcut("3/8") && !offcut("15/16"));
}
