//! What a board of each size is worth to a job, and what one more strip of each part costs.

use std::collections::{BTreeMap, BTreeSet};

use crate::demand::Demand;
use crate::job::{BoardStock, Job, Species};
use crate::measure::{Cents, Length, StockThickness};
use crate::packing::boards::{Asked, BoardKind, BoardProblem, BoardShortage, Worth, pack, worths};
use crate::packing::{Budget, Listener};
use crate::plan::board_problem;

/// A table over the sizes of boards, and one over the parts.
#[derive(Debug, Clone)]
pub struct WorthTable {
    /// What the boards of the job cost by the linear relaxation: no plan costs less.
    pub cost: Cents,
    /// Boards by wood, thickness, width and length: every width for sale by every length, then the rack.
    pub boards: Vec<BoardWorth>,
    /// What one more strip of each part costs, parts in the demand's order.
    pub strips: Vec<Worth>,
    /// The same by a quick new plan of its wood; `None` where there was no time for one, or no wood for it.
    pub replanned: Vec<Option<Cents>>,
    /// False when the figures are not quite those of the linear relaxation.
    pub settled: bool,
    /// True when the listener stopped it: what it did not come to has no exact figure.
    pub cut_short: bool,
}

/// What one board of a size is worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardWorth {
    /// Its wood.
    pub species: Species,
    /// Its thickness.
    pub thickness: StockThickness,
    /// Its width.
    pub width: Length,
    /// Its length.
    pub length: Length,
    /// Row of the boards file with this size; `None` for a size that no row has.
    pub stock: Option<usize>,
    /// Cost without it less cost with it.
    pub worth: Worth,
    /// The same by a quick new plan of its wood, in which boards come whole; `None` where there was no time for one, or
    /// the job needs the board.
    pub replanned: Option<Cents>,
}

/// Sizes for sale of one wood and thickness beyond which only the listed ones are asked about.
const MOST_SIZES: usize = 100;

/// New plans that are made at the most, and the work of all of them, shared out.
const MOST_PLANS: usize = 80;
const PLANNING: u32 = 1_200;
/// Strips of a job that is not planned anew for each of them: one more or less is nothing among so many.
const MOST_STRIPS: u64 = 5_000;

/// Answers for every size of the woods that the job uses.
///
/// # Errors
/// [`BoardShortage`] when the boards do not do for the job.
pub fn worth_table(job: &Job, demand: &Demand, listener: &mut Listener<'_>) -> Result<WorthTable, BoardShortage> {
    let problem = board_problem(job, demand);
    let used = |board: &BoardStock| demand.parts.iter().any(|part| part.species == board.species);
    let mut woods: Vec<(&Species, StockThickness)> = Vec::new();
    for board in job.boards.iter().filter(|board| used(board)) {
        if !woods.contains(&(&board.species, board.thickness)) {
            woods.push((&board.species, board.thickness));
        }
    }
    let mut boards: Vec<BoardWorth> = Vec::new();
    let mut asked: Vec<Asked> = Vec::new();
    for (species, thickness) in woods {
        let of_wood = |at: &usize| (&job.boards[*at].species, job.boards[*at].thickness) == (species, thickness);
        let rows: Vec<usize> = (0..job.boards.len()).filter(of_wood).collect();
        let label = problem.stock[rows[0]].label;
        let nothing = Worth { exact: Some(Cents::ZERO), estimate: Cents::ZERO };
        let mut add = |(width, length), stock, ask| {
            let species = species.clone();
            boards.push(BoardWorth { species, thickness, width, length, stock, worth: nothing, replanned: None });
            asked.push(ask);
        };
        for (size, stock) in sizes_for_sale(job, &rows) {
            let (width, length) = size;
            let (available, cost) = (Some(1), Cents::ZERO);
            let kind = BoardKind { label, thickness, width, length, defects: Vec::new(), available, cost };
            add(size, stock, Asked::More(kind));
        }
        let on_the_rack = |at: &&usize| job.boards[**at].on_hand.is_some_and(|count| count > 0);
        for &at in rows.iter().filter(on_the_rack) {
            add((job.boards[at].width, job.boards[at].length), Some(at), Asked::Held(at));
        }
    }
    let found = worths(&problem, &asked, listener)?;
    boards.iter_mut().zip(&found.boards).for_each(|(board, worth)| board.worth = *worth);
    let (replanned, stopped) = replan(&problem, &asked, &mut boards, listener);
    Ok(WorthTable {
        cost: found.cost,
        boards,
        strips: found.strips,
        replanned,
        settled: found.settled,
        cut_short: found.cut_short || stopped,
    })
}

/// One thing more or less in a job.
#[derive(Debug, Clone, Copy)]
enum Change {
    /// The board of this row of the table.
    Board(usize),
    /// One strip more of this part.
    Strip(usize),
}

impl Change {
    /// A board more; the others cost something.
    fn saves(self, asked: &[Asked]) -> bool {
        matches!(self, Self::Board(at) if matches!(asked[at], Asked::More(_)))
    }

    /// The wood that it changes.
    fn label(self, problem: &BoardProblem, asked: &[Asked]) -> usize {
        match self {
            Self::Strip(part) => problem.parts[part].label,
            Self::Board(at) => match &asked[at] {
                Asked::More(kind) => kind.label,
                Asked::Held(row) => problem.stock[*row].label,
            },
        }
    }
}

/// What is planned anew: the boards on hand first, then strips, then sizes for sale.
fn changes(problem: &BoardProblem, asked: &[Asked]) -> Vec<Change> {
    if problem.parts.iter().map(|part| u64::from(part.count)).sum::<u64>() > MOST_STRIPS {
        return Vec::new();
    }
    let (for_sale, on_hand): (Vec<Change>, Vec<Change>) =
        (0..asked.len()).map(Change::Board).partition(|change| change.saves(asked));
    let wanted = (0..problem.parts.len()).filter(|part| problem.parts[*part].count > 0).map(Change::Strip);
    on_hand.into_iter().chain(wanted).chain(for_sale).take(MOST_PLANS).collect()
}

/// Plans the wood of each change anew. Gives the strips' answers, and whether the listener stopped it.
///
/// A plan with a strip more or a board less is a plan of the job as it is too, and one of the job as it is does with a
/// board more: so no figure is below zero, however short the search.
fn replan(
    problem: &BoardProblem,
    asked: &[Asked],
    boards: &mut [BoardWorth],
    listener: &mut Listener<'_>,
) -> (Vec<Option<Cents>>, bool) {
    let changes = changes(problem, asked);
    let nodes = PLANNING / u32::try_from(changes.len().max(1)).unwrap_or(u32::MAX);
    let budget = Budget { nodes: nodes.clamp(10, 100), tries: 10 };
    let mut stopped = false;
    let mut cost = |problem: &BoardProblem| {
        let plan = (!stopped).then(|| pack(problem, &budget, listener).ok()).flatten()?;
        stopped |= plan.cut_short;
        Some(plan.cost).filter(|_| !stopped)
    };
    let mut found: Vec<(Change, Cents)> = Vec::new();
    let mut as_it_is: BTreeMap<usize, Option<Cents>> = BTreeMap::new();
    for change in changes {
        let label = change.label(problem, asked);
        let wood = of_wood(problem, label);
        let Some(base) = as_it_is.entry(label).or_insert_with(|| cost(&wood)) else { continue };
        let Some(with) = cost(&changed(wood, asked, change)) else { continue };
        if !change.saves(asked) {
            *base = with.min(*base);
        }
        found.push((change, with));
    }
    let mut strips = vec![None; problem.parts.len()];
    for (change, with) in found {
        let Some(base) = as_it_is[&change.label(problem, asked)] else { continue };
        let figure = if change.saves(asked) { (base - with).max(Cents::ZERO) } else { with - base };
        match change {
            Change::Strip(part) => strips[part] = Some(figure),
            Change::Board(at) => boards[at].replanned = Some(figure),
        }
    }
    (strips, stopped)
}

/// The strips of one wood alone: the others' boards cost what they cost.
fn of_wood(problem: &BoardProblem, label: usize) -> BoardProblem {
    let mut wood = problem.clone();
    wood.parts.iter_mut().filter(|part| part.label != label).for_each(|part| part.count = 0);
    wood
}

fn changed(mut problem: BoardProblem, asked: &[Asked], change: Change) -> BoardProblem {
    match change {
        Change::Strip(part) => problem.parts[part].count += 1,
        Change::Board(at) => match &asked[at] {
            Asked::More(kind) => problem.stock.push(kind.clone()),
            Asked::Held(row) => {
                let left = &mut problem.stock[*row].available;
                *left = left.map(|boards| boards.saturating_sub(1));
            }
        },
    }
    problem
}

/// Every width by every length that is for sale (only the listed pairs when those are too many), each
/// with the first row of that size.
fn sizes_for_sale(job: &Job, rows: &[usize]) -> Vec<((Length, Length), Option<usize>)> {
    let sold: Vec<usize> = rows.iter().copied().filter(|at| job.boards[*at].on_hand.is_none()).collect();
    let size = |at: &usize| (job.boards[*at].width, job.boards[*at].length);
    let widths: BTreeSet<Length> = sold.iter().map(|at| size(at).0).collect();
    let lengths: BTreeSet<Length> = sold.iter().map(|at| size(at).1).collect();
    let sizes: BTreeSet<(Length, Length)> = if widths.len() * lengths.len() <= MOST_SIZES {
        widths.iter().flat_map(|&width| lengths.iter().map(move |&length| (width, length))).collect()
    } else {
        sold.iter().map(size).collect()
    };
    sizes.into_iter().map(|known| (known, sold.iter().copied().find(|at| size(at) == known))).collect()
}
