//! The whole run in order: doors, demand, packing, bill, and the second opinion on all of it.

use itertools::Itertools;
use thiserror::Error;

use crate::bill::{self, Bill, BillError};
use crate::demand::{self, Demand, DemandError};
use crate::doors::{self, Door};
use crate::job::{Bolt, Job, Species};
use crate::measure::{Length, Price};
use crate::packing::boards::{self, BoardKind, BoardPlan, BoardProblem, BoardShortage, StripDemand};
use crate::packing::cloth::{self, BoltKind, ClothPlan, ClothProblem, ClothShortage, PieceDemand};
use crate::packing::{Budget, Flow, Progress};
use crate::verify::{self, Claim, Violation};

/// A finished, verified plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The doors as laid out.
    pub doors: Vec<Door>,
    /// Pooled strips and cloth pieces.
    pub demand: Demand,
    /// Boards and how they are cut; stock indices are the job's, part indices the demand's.
    pub boards: BoardPlan,
    /// Cloth and how it is cut; bolt indices are the job's, piece indices the demand's.
    pub cloth: ClothPlan,
    /// What it costs.
    pub bill: Bill,
}

/// Which packing is running.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Rips into boards: progress in cents.
    Boards,
    /// Cloth onto bolts: progress in cents.
    Cloth,
}

/// Why a job cannot be done as asked.
#[derive(Debug, Error)]
pub enum CannotPlan {
    /// Doors that fail a check; all doors of the job are given.
    #[error("{} cannot be built as asked", failing(.0))]
    Doors(Vec<Door>),
    /// Boards that cannot be packed.
    #[error("the boards do not do: {0:?}")]
    Boards(BoardShortage, Box<Demand>),
    /// Cloth that cannot be packed.
    #[error("the cloth does not do: {0:?}")]
    Cloth(ClothShortage, Box<Demand>),
    /// More strips or cloth than are ever counted.
    #[error(transparent)]
    Demand(#[from] DemandError),
    /// Amounts that run out of range.
    #[error(transparent)]
    Bill(#[from] BillError),
    /// The second opinion refused the plan: a fault of this program, never of the job.
    #[error("the plan failed its own check and was not used: {}", .0.iter().join("; "))]
    Rejected(Vec<Violation>),
}

fn failing(doors: &[Door]) -> String {
    doors.iter().filter(|door| !door.fits()).map(|door| format!("door `{}`", door.name)).join(", ")
}

/// Plans a job. The listener hears each packing's progress and may stop it.
///
/// # Errors
/// [`CannotPlan`] when a door does not fit, stock runs short, or the plan fails its own check.
pub fn plan(job: &Job, budget: &Budget, listener: &mut dyn FnMut(Stage, Progress) -> Flow) -> Result<Plan, CannotPlan> {
    let doors = doors::lay_out(job);
    if doors.iter().any(|door| !door.fits()) {
        return Err(CannotPlan::Doors(doors));
    }
    let demand = demand::pool(job, &doors)?;
    let boards = boards::pack(&board_problem(job, &demand), budget, &mut |p| listener(Stage::Boards, p));
    let boards = boards.map_err(|short| CannotPlan::Boards(short, Box::new(demand.clone())))?;
    let cloth = cloth::pack(&cloth_problem(job, &demand), budget, &mut |p| listener(Stage::Cloth, p));
    let cloth = cloth.map_err(|short| CannotPlan::Cloth(short, Box::new(demand.clone())))?;
    let bill = bill::draw_up(job, &doors, &demand, &boards, &cloth)?;
    let claim = Claim {
        job,
        doors: &doors,
        parts: &demand.parts,
        cloth_needs: &demand.cloth,
        boards: &boards,
        cloth: &cloth,
        bill: &bill,
    };
    let violations = verify::verify(&claim);
    if violations.is_empty() {
        Ok(Plan { doors, demand, boards, cloth, bill })
    } else {
        Err(CannotPlan::Rejected(violations))
    }
}

/// The board packing's view of a job: every stock row, in file order, so that indices agree.
#[must_use]
pub fn board_problem(job: &Job, demand: &Demand) -> BoardProblem {
    let species: Vec<&Species> =
        demand.parts.iter().map(|p| &p.species).chain(job.boards.iter().map(|b| &b.species)).sorted().dedup().collect();
    let label = |wood: &Species| species.binary_search(&wood).expect("every species was collected above");
    let parts = demand.parts.iter().map(|part| StripDemand {
        label: label(&part.species),
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        millings: part.millings,
        count: part.total(),
    });
    let stock = job.boards.iter().map(|board| BoardKind {
        label: label(&board.species),
        thickness: board.thickness,
        width: board.width,
        length: board.length,
        defects: board.defects.clone(),
        available: board.on_hand,
        cost: board.unit_cost,
    });
    BoardProblem { parts: parts.collect(), stock: stock.collect(), rules: job.shop.cutting }
}

/// The cloth packing's view of a job: every bolt, in file order, washed.
#[must_use]
pub fn cloth_problem(job: &Job, demand: &Demand) -> ClothProblem {
    let pieces = demand.cloth.iter().map(|need| PieceDemand {
        along: need.along,
        across: need.across,
        turn: need.turn,
        count: u32::try_from(need.owners.len()).expect("the file limits keep piece counts far below u32"),
    });
    ClothProblem { pieces: pieces.collect(), bolts: job.bolts.iter().map(bolt_kind).collect() }
}

fn bolt_kind(bolt: &Bolt) -> BoltKind {
    let (price, unit) = bolt.price.map_or((Price::ZERO, Length::from_inches(36)), |(price, per)| (price, per.length()));
    BoltKind {
        usable_width: bolt.usable_width(),
        usable_length: bolt.on_hand.map(|length| length.shrunk_by(bolt.shrink_along)),
        price,
        unit,
        increment: bolt.increment,
        shrink_along: bolt.shrink_along,
        on_hand: bolt.on_hand,
    }
}
