//! Boards cut rip first.

use slatwright::job::{Order, OrderRule};

use crate::common::inch;
use crate::common::plans::Planned;
use crate::verify::hand_made::{first_blank, rip_first};
use crate::verify::judged::{right, with, wrong};

#[test]
fn full_length_rips_are_checked() {
    wrong(
        rip_first(),
        |p| first_blank(p).rips[0].rips = 4,
        &["the rips of board 1 take 4-1/8 in with their kerfs, 3-3/4 in can be used"],
    );
    wrong(
        rip_first(),
        |p| p.boards.boards[0].blanks[1].rips[0].rip_width = inch("1-1/4"),
        &["the rows of board 1, blank 2 are one group of equal rips, but differ in width or number"],
    );
    wrong(
        rip_first(),
        |p| p.boards.boards[0].blanks[1].rips[0].pieces = 2,
        &["the pieces of one rip of board 1, blank 2 take 69 in with their kerfs, 57 in is there"],
    );
    let narrow = |p: &mut Planned| {
        for row in &mut p.boards.boards[0].blanks[1].rips {
            row.rip_width = inch("1");
        }
    };
    wrong(
        rip_first(),
        narrow,
        &["board 1, blank 2 rips to 1 in and would cut part S03 from that, which takes 1-1/8 in"],
    );
    wrong(
        rip_first(),
        |p| first_blank(p).length = inch("50"),
        &["board 1, blank 1 is a full-length rip of 50 in, the board gives 57 in"],
    );
    // Blanks have a least length, full-length rips have none.
    right(&with(rip_first(), |p| p.job.shop.cutting.min_blank = inch("90")));
    let only = |p: &mut Planned| p.job.shop.cutting.order = OrderRule::Only(Order::CrosscutFirst);
    wrong(rip_first(), only, &["board 1 is cut rip-first, which the shop rules out"]);
    let wide = |p: &mut Planned| p.job.shop.cutting.edge_trim_rip = inch("15/16");
    wrong(rip_first(), wide, &["the rips of board 1 take 3-3/8 in with their kerfs, 3-5/16 in can be used"]);
    // A sixteenth more is filled to the hair.
    right(&with(rip_first(), |p| p.job.shop.cutting.edge_trim_rip = inch("7/8")));
}
