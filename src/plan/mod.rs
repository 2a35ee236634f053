//! The whole run in order: doors, demand, packing, bill, and the second opinion on all of it.

mod problems;

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc;

use itertools::Itertools;
use thiserror::Error;

use crate::job::{Job, JobOption, Order, OrderRule, OtherWay};
use crate::measure::{Cents, Length, Units};
use crate::packing::boards::{self, BoardPlan, BoardProblem, BoardShortage};
use crate::packing::bundles::Tied;
use crate::packing::cloth::{self, ClothPlan, ClothProblem, ClothShortage};
use crate::packing::ease::{self, Ease, Eased};
use crate::packing::{Budget, Flow, Listener, Progress, Threads};
use crate::verify::Claim;
use crate::{bill, case, demand, doors, verify};

pub use crate::bill::{Bill, BillError, Cased};
pub use crate::case::{CaseProblem, Casework};
pub use crate::demand::{Bundle, Demand, DemandError};
pub use crate::doors::Door;
pub use crate::verify::Violation;
pub use problems::{board_problem, bundle_wants, cloth_problem, sheet_problem};

/// A finished, verified plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The doors as laid out.
    pub doors: Vec<Door>,
    /// Pooled strips and cloth pieces.
    pub demand: Demand,
    /// Boards and how they are cut; stock indices are the job's, part indices the demand's.
    pub boards: BoardPlan,
    /// Which strips go into which of the demand's bundles.
    pub tied: Tied,
    /// How easy the boards are to cut: as packed, and as they are now at the same cost.
    pub ease: (Ease, Ease),
    /// Cloth and how it is cut; bolt indices are the job's, piece indices the demand's.
    pub cloth: ClothPlan,
    /// The panels of the cases, and how their sheets are cut.
    pub cased: Cased,
    /// What it costs.
    pub bill: Bill,
    /// What the boards would cost if all were cut in one order: see [`price_orders`]; empty until asked for.
    pub one_order: Vec<OneOrder>,
    /// What the job's options make of the price, in the order of the file.
    pub options: Vec<PlannedOption>,
}

impl Plan {
    /// True when a packing was stopped before its budget of work was used up.
    #[must_use]
    pub fn is_cut_short(&self) -> bool {
        self.boards.cut_short || self.cloth.cut_short || self.cased.sheets.cut_short
    }
}

/// One thing that the client may have otherwise.
#[derive(Debug, Clone)]
pub struct PlannedOption {
    /// Name and changes.
    pub way: OtherWay,
    /// What it adds to all that the client pays, below zero where it saves; or why it cannot be built.
    pub difference: Result<Cents, String>,
    /// Its packing was stopped early, so that it may come out cheaper.
    pub cut_short: bool,
}

/// The boards of a job cut in one order throughout.
#[derive(Debug, Clone)]
pub struct OneOrder {
    /// That order.
    pub order: Order,
    /// Its plan, verified like any other; `None` when the boards do not do in this order.
    pub boards: Option<BoardPlan>,
}

/// Which packing is running.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Rips into boards.
    Boards,
    /// Cloth onto bolts.
    Cloth,
    /// Panels into sheets.
    Sheets,
}

/// Why a job cannot be done as asked.
#[derive(Debug, Error)]
pub enum CannotPlan {
    /// Doors that fail a check; all doors of the job are given.
    #[error("{} cannot be built as asked", failing(.0))]
    Doors(Vec<Door>),
    /// Boards that cannot be packed.
    #[error("the boards are not enough: {0}")]
    Boards(BoardShortage, Box<Demand>),
    /// Linings and shelves that the doors leave no room for.
    #[error("{}", case_problems(.0))]
    Case(Vec<CaseProblem>),
    /// Panels that no sheet yields, or more than there are sheets for.
    #[error("the sheets are not enough: {0}")]
    Sheets(BoardShortage, Box<Casework>),
    /// Cloth that cannot be packed.
    #[error("the cloth is not enough: {0}")]
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

fn case_problems(problems: &[CaseProblem]) -> String {
    problems.iter().map(|problem| problem.said(Units::Inch)).join("; ")
}

/// Plans a job with the usual budget of work, unheard and to its end: [`plan`] is the one that can be watched and
/// stopped.
///
/// # Errors
/// [`CannotPlan`], as for [`plan`].
///
/// ```
/// use slatwright::{files::Sources, job, plan::plan_job};
/// # let text = "boards = 'b'\n[[strip]]\nname = 'edging'\nspecies = 'cherry'\nlength = 31\nwidth = 0.75\nthickness = 0.375\nquantity = 4\n";
/// # let boards = "stock,species,thickness,width,length,on_hand,price,per\nc6,cherry,4/4,6,96,,9.85,bf\n";
/// let job = job::parse(&Sources::in_memory("job.toml", text).with("b", boards)).expect("the job is sound");
/// let plan = plan_job(&job).expect("one board is enough");
/// assert_eq!(plan.boards.boards.len(), 1);
/// ```
pub fn plan_job(job: &Job) -> Result<Plan, CannotPlan> {
    plan(job, &Budget::default(), &mut |_, _| Flow::Continue)
}

/// Plans a job. The listener hears each packing's progress and may stop it. Boards and cloth are packed at the same
/// time, and boards that take long by two searches; the plan is the same on one thread.
///
/// # Errors
/// [`CannotPlan`] when a door does not fit, stock runs short, or the plan fails its own check.
pub fn plan(job: &Job, budget: &Budget, listener: &mut dyn FnMut(Stage, Progress) -> Flow) -> Result<Plan, CannotPlan> {
    plan_on(job, budget, Threads::Several, listener)
}

/// The same on as many threads as asked.
///
/// # Errors
/// As [`plan`].
pub fn plan_on(
    job: &Job,
    budget: &Budget,
    threads: Threads,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Plan, CannotPlan> {
    let doors = doors::lay_out(job);
    if doors.iter().any(|door| !door.fits()) {
        return Err(CannotPlan::Doors(doors));
    }
    let demand = demand::pool(job, &doors)?;
    let cased = cased(job, &doors, budget, threads, listener)?;
    let problems = (board_problem(job, &demand), cloth_problem(job, &demand));
    let (boards, cloth) = match threads {
        Threads::One => {
            let boards = boards::pack_on(&problems.0, budget, threads, &mut |p| listener(Stage::Boards, p));
            let boards = boards.map_err(|short| CannotPlan::Boards(short, Box::new(demand.clone())))?;
            (boards, cloth::pack(&problems.1, budget, &mut |p| listener(Stage::Cloth, p)))
        }
        Threads::Several => {
            let (boards, cloth) = pack_both(&problems.0, &problems.1, budget, listener);
            (boards.map_err(|short| CannotPlan::Boards(short, Box::new(demand.clone())))?, cloth)
        }
    };
    let boards = settled(job, &problems.0, &demand, boards, &mut |p| listener(Stage::Boards, p));
    let cloth = cloth.map_err(|short| CannotPlan::Cloth(short, Box::new(demand.clone())))?;
    let mut plan = billed(job, doors, demand, boards, (cloth, cased))?;
    plan.options = optional(job, &plan, (budget, threads), listener);
    Ok(plan)
}

/// What each option makes of the price: the job planned anew with it, by the same budget, and priced.
fn optional(
    job: &Job,
    plan: &Plan,
    (budget, threads): (&Budget, Threads),
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Vec<PlannedOption> {
    let total = |job: &Job, plan: &Plan| bill::quote(job, &plan.doors, &plan.bill).total;
    let without = total(job, plan);
    let mut planned = |option: &JobOption| {
        let with = plan_on(&option.job, budget, threads, listener);
        let cut_short = with.as_ref().is_ok_and(Plan::is_cut_short);
        let difference = with.map(|with| total(&option.job, &with) - without).map_err(|cannot| cannot.to_string());
        PlannedOption { way: option.way.clone(), difference, cut_short }
    };
    job.options.iter().map(&mut planned).collect()
}

/// Part of the budget that sheets have: they come beside boards and cloth, and are fewer.
const SHARE_OF_SHEETS: u32 = 8;

/// The cases of a job, made and their sheets cut.
fn cased(
    job: &Job,
    doors: &[Door],
    budget: &Budget,
    threads: Threads,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Cased, CannotPlan> {
    let case = case::make(job, doors).map_err(CannotPlan::Case)?;
    if case.parts.is_empty() {
        return Ok(Cased { case, ..Cased::default() });
    }
    refuse_many_sizes(job, &case)?;
    let problem = sheet_problem(job, &case);
    let budget = Budget { nodes: (budget.nodes / SHARE_OF_SHEETS).max(1), ..*budget };
    match boards::pack_on(&problem, &budget, threads, &mut |progress| listener(Stage::Sheets, progress)) {
        Ok(sheets) => Ok(Cased { case, sheets }),
        Err(short) => Err(CannotPlan::Sheets(short, Box::new(case))),
    }
}

/// As many sizes of panels go into one packing as sizes of strips do.
fn refuse_many_sizes(job: &Job, case: &Casework) -> Result<(), CannotPlan> {
    let goods = case.parts.iter().into_group_map_by(|part| (part.material.to_lowercase(), part.thickness));
    let most = goods.into_values().max_by_key(Vec::len).filter(|parts| parts.len() > demand::MOST_SIZES);
    match most {
        Some(parts) => {
            let cabinet = parts[0].panels.first().and_then(|&panel| job.cabinets.get(case.panels.get(panel)?.cabinet));
            let name =
                cabinet.and_then(|cabinet| cabinet.doors.first()).map_or_else(String::new, |door| door.name.clone());
            Err(DemandError::TooManySizes { species: parts[0].material.clone(), sizes: parts.len(), name }.into())
        }
        None => Ok(()),
    }
}

/// What no board and no bolt yields, whatever is packed: every shortage that can be told beforehand.
#[must_use]
pub fn stock_shortages(job: &Job, demand: &Demand, case: &Casework) -> Vec<CannotPlan> {
    let boards = boards::nothing_missing(&board_problem(job, demand));
    let cloth = cloth::check_sizes(&cloth_problem(job, demand));
    let boards = boards.err().map(|short| CannotPlan::Boards(short, Box::new(demand.clone())));
    let cloth = cloth.err().map(|short| CannotPlan::Cloth(short, Box::new(demand.clone())));
    let sheets = boards::nothing_missing(&sheet_problem(job, case));
    let sheets = sheets.err().map(|short| CannotPlan::Sheets(short, Box::new(case.clone())));
    boards.into_iter().chain(sheets).chain(cloth).collect()
}

/// The plan with its bill, once the second opinion has passed both.
fn billed(
    job: &Job,
    doors: Vec<Door>,
    demand: Demand,
    boards: Eased,
    (cloth, cased): (ClothPlan, Cased),
) -> Result<Plan, CannotPlan> {
    let Eased { plan: boards, tied, before, after } = boards;
    let bill = bill::draw_up(job, &doors, &demand, &boards, &cloth, &cased)?;
    let claim = Claim {
        job,
        doors: &doors,
        parts: &demand.parts,
        confidence: demand.confidence,
        cloth_needs: &demand.cloth,
        boards: &boards,
        bundles: &demand.bundles,
        tied: &tied,
        ease: &after,
        cloth: &cloth,
        case: &cased.case,
        sheets: &cased.sheets,
        bill: &bill,
    };
    accepted(verify::verify(&claim))?;
    Ok(Plan {
        doors,
        demand,
        boards,
        tied,
        ease: (before, after),
        cloth,
        cased,
        bill,
        one_order: Vec::new(),
        options: Vec::new(),
    })
}

fn accepted(violations: Vec<Violation>) -> Result<(), CannotPlan> {
    if violations.is_empty() { Ok(()) } else { Err(CannotPlan::Rejected(violations)) }
}

/// The plan made easier to cut, with what to ask for where widths are random.
fn settled(
    job: &Job,
    problem: &BoardProblem,
    demand: &Demand,
    boards: BoardPlan,
    listener: &mut Listener<'_>,
) -> Eased {
    let eased = eased(problem, boards, demand);
    Eased { plan: ranged(job, demand, eased.plan, listener), ..eased }
}

/// Widths of a range that are tried at the most.
const MOST_WIDTHS: i64 = 40;

/// The plan with what boards of random widths must come to, whatever width of their range they have.
fn ranged(job: &Job, demand: &Demand, mut plan: BoardPlan, listener: &mut Listener<'_>) -> BoardPlan {
    let problem = board_problem(job, demand);
    plan.ranges.clear();
    let step = match job.units {
        Units::Inch => Length::from_64ths(16),
        Units::Millimetre => Length::from_mm(5),
    };
    for (stock, row) in job.boards.iter().enumerate() {
        let Some((narrowest, widest)) = row.widths else { continue };
        if plan.boards.iter().any(|board| board.stock == stock) {
            let mut step = step;
            while (widest - narrowest) > step * MOST_WIDTHS {
                step = step * 2;
            }
            let range = boards::at_widths(&problem, &plan, stock, (narrowest, widest, step), listener);
            plan.ranges.push(range);
        }
    }
    plan
}

/// Part of the budget that pricing one order has: two orders cost half as much again as the plan.
const SHARE_OF_AN_ORDER: u32 = 4;

/// Where each board may be cut in an order of its own, prices both orders alone, so that the freedom can
/// be seen for what it saves. Any other plan, and one that was cut short, stays as it is.
///
/// Each order has a quarter of `budget`, and the listener may stop it. Should an order come out cheaper
/// than the plan (whose search has more to look through), its boards become the plan's: they obey the
/// same rules, and the plan's bound holds for them.
///
/// # Errors
/// [`CannotPlan`] when the second opinion rejects a plan of one order or finds it under the bound of all.
pub fn price_orders(
    job: &Job,
    mut plan: Plan,
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Plan, CannotPlan> {
    if job.shop.cutting.order != OrderRule::Any || plan.boards.boards.is_empty() || plan.boards.cut_short {
        return Ok(plan);
    }
    let budget = Budget { nodes: budget.nodes / SHARE_OF_AN_ORDER, ..*budget };
    let mut one_order = Vec::new();
    for order in [Order::CrosscutFirst, Order::RipFirst] {
        let mut only = job.clone();
        only.shop.cutting.order = OrderRule::Only(order);
        // What to ask for is sized for the plan alone.
        only.boards.iter_mut().for_each(|board| board.widths = None);
        let boards =
            boards::pack(&board_problem(&only, &plan.demand), &budget, &mut |p| listener(Stage::Boards, p)).ok();
        if let Some(boards) = &boards {
            accepted(verify::boards_alone(&only, &plan.demand.parts, boards))?;
            accepted(verify::no_cheaper(&plan.boards, order, boards))?;
        }
        one_order.push(OneOrder { order, boards });
    }
    let cheapest = one_order.iter().filter_map(|one| one.boards.as_ref()).min_by_key(|boards| boards.cost);
    if let Some(cheapest) = cheapest.filter(|cheapest| cheapest.cost < plan.boards.cost) {
        let bound = plan.boards.bound;
        let boards = BoardPlan { bound, optimal: cheapest.cost == bound, ..cheapest.clone() };
        let problem = board_problem(job, &plan.demand);
        let boards = settled(job, &problem, &plan.demand, boards, &mut |p| listener(Stage::Boards, p));
        plan = billed(job, plan.doors, plan.demand, boards, (plan.cloth, plan.cased))?;
    }
    Ok(Plan { one_order, ..plan })
}

/// Packs the cloth on a thread of its own while the boards are packed on this one. What the cloth has
/// to say is passed on between the steps of the boards, and what the listener answers goes back.
fn pack_both(
    boards: &BoardProblem,
    cloth: &ClothProblem,
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> (Result<BoardPlan, BoardShortage>, Result<ClothPlan, ClothShortage>) {
    let stopped = AtomicBool::new(false);
    let (tell, told) = mpsc::channel();
    std::thread::scope(|scope| {
        let stopped = &stopped;
        let worker = scope.spawn(move || {
            cloth::pack(cloth, budget, &mut |progress| {
                // Nobody listens any more only when the other thread has panicked.
                let heard = tell.send(progress).is_ok();
                if heard && !stopped.load(Ordering::Relaxed) { Flow::Continue } else { Flow::Stop }
            })
        });
        let pass_on = |progress, listener: &mut dyn FnMut(Stage, Progress) -> Flow| {
            if listener(Stage::Cloth, progress) == Flow::Stop {
                stopped.store(true, Ordering::Relaxed);
            }
        };
        let packed = boards::pack(boards, budget, &mut |progress| {
            told.try_iter().for_each(|cloth| pass_on(cloth, listener));
            listener(Stage::Boards, progress)
        });
        // Without boards there is no plan, however well the cloth lies.
        stopped.fetch_or(packed.is_err(), Ordering::Relaxed);
        told.iter().for_each(|cloth| pass_on(cloth, listener));
        (packed, worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    })
}

fn eased(problem: &BoardProblem, boards: BoardPlan, demand: &Demand) -> Eased {
    ease::ease(problem, boards.clone(), &bundle_wants(demand)).unwrap_or_else(|| {
        // A board plan covers every part, so the strips suffice; were it otherwise, the check below says so.
        Eased { plan: boards, tied: Tied::default(), before: Ease::default(), after: Ease::default() }
    })
}
