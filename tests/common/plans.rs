//! Plans made by hand, with the sums beside them.

use slatwright::bill::{Bill, Cased, draw_up};
use slatwright::demand::{Demand, pool};
use slatwright::doors::Door;
use slatwright::job::{Job, LooseStrip, Milling, Order};
use slatwright::measure::{Cents, Length};
use slatwright::packing::boards::{Blank, BoardPlan, CutBoard, RipGroup};
use slatwright::packing::bundles::{BundleProblem, Tied, tie};
use slatwright::packing::cloth::{BoltUse, ClothPlan, LaidPiece};
use slatwright::packing::ease::Ease;
use slatwright::plan::{board_problem, bundle_wants};
use slatwright::verify::Claim;

use super::{board, bolt, cabinet, door_spec, doors, empty_job, inch};

/// A whole claim, open to damage.
#[derive(Debug, Clone)]
pub(crate) struct Planned {
    pub(crate) job: Job,
    pub(crate) doors: Vec<Door>,
    pub(crate) demand: Demand,
    pub(crate) boards: BoardPlan,
    pub(crate) cloth: ClothPlan,
    pub(crate) cased: Cased,
    pub(crate) bill: Bill,
    pub(crate) tied: Tied,
    pub(crate) ease: Ease,
}

impl Planned {
    /// Pools and bills a job around a board plan and a cloth plan.
    pub(crate) fn new(job: Job, boards: BoardPlan, cloth: ClothPlan) -> Self {
        let doors = doors(&job);
        let demand = pool(&job, &doors).expect("a small demand");
        let mut boards = boards;
        boards.boards.iter_mut().for_each(|board| lay(&job, &demand, board));
        let bill = draw_up(&job, &doors, &demand, &boards, &cloth, &Cased::default()).expect("a small bill");
        Self {
            job,
            doors,
            demand,
            boards,
            cloth,
            cased: Cased::default(),
            bill,
            tied: Tied::default(),
            ease: Ease::default(),
        }
        .bundled()
    }

    pub(crate) fn claim(&self) -> Claim<'_> {
        Claim {
            job: &self.job,
            doors: &self.doors,
            parts: &self.demand.parts,
            confidence: self.demand.confidence,
            cloth_needs: &self.demand.cloth,
            boards: &self.boards,
            bundles: &self.demand.bundles,
            tied: &self.tied,
            ease: &self.ease,
            cloth: &self.cloth,
            case: &self.cased.case,
            sheets: &self.cased.sheets,
            bill: &self.bill,
        }
    }

    /// Ties the bundles anew, and counts how easy the boards are to cut, after the boards were changed.
    pub(crate) fn bundled(mut self) -> Self {
        let boards = self.boards.boards.iter().map(CutBoard::strips).collect();
        self.tied = tie(&BundleProblem { boards, wants: bundle_wants(&self.demand) }).unwrap_or_default();
        let known = self.boards.boards.iter().all(|board| board.stock < self.job.boards.len());
        if known {
            self.ease = Ease::of(&board_problem(&self.job, &self.demand), &self.boards.boards, &self.tied);
        }
        self
    }

    /// Draws the bill up anew after the job or a plan was changed.
    pub(crate) fn billed(mut self) -> Self {
        self.bill = draw_up(&self.job, &self.doors, &self.demand, &self.boards, &self.cloth, &self.cased)
            .expect("a small bill");
        self
    }
}

pub(crate) fn rips(part: usize, rip_width: &str, rips: u32, pieces: u32) -> RipGroup {
    RipGroup { part, rip_width: inch(rip_width), rips, pieces, from: Length::ZERO }
}

pub(crate) fn blank(length: &str, planed: &str, rips: Vec<RipGroup>) -> Blank {
    Blank { length: inch(length), milling: Milling::Flat, planed: inch(planed), leaves: 1, rips }
}

pub(crate) fn cut(stock: usize, order: Order, blanks: Vec<Blank>) -> CutBoard {
    CutBoard { stock, order, blanks }
}

/// Lays what is cut from a clear board one after the other from its trimmed end, a kerf apart.
pub(crate) fn lay(job: &Job, demand: &Demand, board: &mut CutBoard) {
    let rules = &job.shop.cutting;
    let mut at = rules.end_trim;
    for blank in &mut board.blanks {
        if board.order == Order::RipFirst {
            at = rules.end_trim;
        }
        for row in &mut blank.rips {
            row.from = at;
            if board.order == Order::RipFirst {
                let piece = demand.parts[row.part].length + rules.length_trim;
                at += (piece + rules.crosscut_kerf) * i64::from(row.pieces);
            }
        }
        if board.order == Order::CrosscutFirst {
            at += blank.length + rules.crosscut_kerf;
        }
    }
}

/// A plan that claims to be the cheapest.
pub(crate) fn board_plan(boards: Vec<CutBoard>, cents: i64) -> BoardPlan {
    BoardPlan {
        boards,
        cost: Cents::new(cents),
        bound: Cents::new(cents),
        optimal: true,
        cut_short: false,
        ranges: Vec::new(),
    }
}

pub(crate) fn no_cloth(bolts: usize) -> ClothPlan {
    let unused = BoltUse { laid: Vec::new(), used: Length::ZERO, bought: Length::ZERO, cost: Cents::ZERO };
    ClothPlan {
        bolts: vec![unused; bolts],
        cost: Cents::ZERO,
        cost_bound: Cents::ZERO,
        length: Length::ZERO,
        length_bound: Length::ZERO,
        optimal: true,
        cut_short: false,
    }
}

pub(crate) fn laid(piece: usize, x: &str, y: &str, along: &str, across: &str) -> LaidPiece {
    LaidPiece { piece, x: inch(x), y: inch(y), along: inch(along), across: inch(across), turned: false }
}

/// One bolt cut, no better plan known.
pub(crate) fn one_bolt(laid: Vec<LaidPiece>, used: &str, bought: &str, cents: i64) -> ClothPlan {
    let cost = Cents::new(cents);
    let length = inch(used);
    let bolts = vec![BoltUse { laid, used: length, bought: inch(bought), cost }];
    let (cost_bound, length_bound) = (cost, length);
    ClothPlan { bolts, cost, cost_bound, length, length_bound, optimal: true, cut_short: false }
}

/// Two presses with one door each: 20 slats of 5/8 and a lead slat of 1-1/4 a door, 28-9/16 long.
///
/// A 4/4 board 6 in by 8 ft has 93 in of usable length and 5 in of usable width: three blanks of
/// 29-1/16 (87-3/16 and two kerfs), each for six slats (4-3/8) or five and a lead slat (5). Forty
/// slats and two leads take two blanks of the second kind and five of the first: three boards. One is
/// 4 bf at 9.85, 39.40. Both cloth pieces, 13-1/2 by 28-9/16, lie side by side on 59 usable inches;
/// 13-1/2 in is 3/8 yard, at 14.50 that is 5.4375.
pub(crate) fn press() -> Planned {
    let mut job = empty_job();
    job.cabinets = vec![cabinet("press", 2, vec![door_spec("press", "28", "12-1/4")])];
    job.boards = vec![board("cherry 6", "4/4", "6", "96", "9.85", 3940)];
    job.bolts = vec![bolt("no. 10 duck", "60", "14.50")];
    let six = || blank("29-1/16", "3/8", vec![rips(0, "5/8", 6, 1)]);
    let five = || blank("29-1/16", "3/8", vec![rips(0, "5/8", 5, 1), rips(1, "1-1/4", 1, 1)]);
    let boards = vec![
        cut(0, Order::CrosscutFirst, vec![five(), five(), six()]),
        cut(0, Order::CrosscutFirst, vec![six(), six(), six()]),
        cut(0, Order::CrosscutFirst, vec![six()]),
    ];
    let laid = vec![laid(0, "0", "0", "13-1/2", "28-9/16"), laid(0, "0", "28-9/16", "13-1/2", "28-9/16")];
    Planned::new(job, board_plan(boards, 11820), one_bolt(laid, "13-1/2", "13-1/2", 544))
}

/// A job of loose strips alone.
pub(crate) fn strips_job(strips: Vec<LooseStrip>) -> Job {
    let mut job = empty_job();
    job.strips = strips;
    job
}
