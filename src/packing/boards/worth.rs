//! What one more board would save, and one more strip would cost: linear programs solved again.
//!
//! Duals of a degenerate program are not unique and hold for small changes only, so each answer is the
//! difference of two optima. The columns stay from one program to the next. What the duals alone say
//! stands beside it as an estimate: for a board it is never too low, since the optimum is convex in the
//! boards there are.

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::fill::Rest;
use super::model::{Model, Rounding, TooFine};
use super::pricing::Pricer;
use super::root::{self, Columns, MICRO, Root};
use super::{BoardKind, BoardProblem, BoardShortage, Watch, Watcher};
use crate::measure::Cents;
use crate::packing::Listener;

/// A board that is asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// One more board of this size beside those there are, for nothing.
    More(BoardKind),
    /// One of the boards of this stock: the job without it against the job with it for nothing.
    Held(usize),
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Worth {
    /// The difference of two optima; `None` for a board without which the strips cannot be had, or where the
    /// listener stopped before.
    pub exact: Option<Cents>,
    /// Read off the duals.
    pub estimate: Cents,
}

/// What boards are worth to a job, and what its strips cost at the margin, all by the linear relaxation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worths {
    /// The optimum of the job as it stands.
    pub cost: Cents,
    /// One for each board asked about.
    pub boards: Vec<Worth>,
    /// One for each part: what one more strip adds to the cost.
    pub strips: Vec<Worth>,
    /// False when sizes had to be rounded or a program did not end.
    pub settled: bool,
    /// True when the listener stopped it: what it did not come to has no exact figure.
    pub cut_short: bool,
}

/// Answers for every board asked about and one more strip of every part.
///
/// # Errors
/// [`BoardShortage`] as for packing: the job as it stands must be possible.
pub fn worths(problem: &BoardProblem, asked: &[Asked], listener: &mut Listener<'_>) -> Result<Worths, BoardShortage> {
    super::nothing_missing(problem)?;
    let nothing = Worth { exact: Some(Cents::ZERO), estimate: Cents::ZERO };
    let mut all = Worths {
        cost: Cents::ZERO,
        boards: vec![nothing; asked.len()],
        strips: vec![nothing; problem.parts.len()],
        settled: true,
        cut_short: false,
    };
    let watch = RefCell::new(Watch::without_plans(listener));
    let labels: BTreeSet<usize> = problem.parts.iter().filter(|part| part.count > 0).map(|part| part.label).collect();
    let mut cost = 0.0;
    for label in labels {
        cost += of_species(problem, asked, label, &watch, &mut all)?;
    }
    all.cost = cents(cost);
    all.cut_short = watch.borrow().stopped;
    Ok(all)
}

/// The boards of a problem with one row more for each that is asked about, none of which is there yet.
struct Extended {
    problem: BoardProblem,
    /// Per board asked about its own row.
    rows: Vec<usize>,
}

impl Extended {
    fn new(problem: &BoardProblem, asked: &[Asked]) -> Self {
        let mut problem = problem.clone();
        let mut rows = Vec::new();
        for one in asked {
            let kind = match one {
                Asked::More(kind) => kind.clone(),
                Asked::Held(stock) => problem.stock[*stock].clone(),
            };
            rows.push(problem.stock.len());
            problem.stock.push(BoardKind { available: Some(0), cost: Cents::ZERO, ..kind });
        }
        Self { problem, rows }
    }

    fn model(&self, label: usize) -> (Model, bool) {
        let problem = &self.problem;
        let parts: Vec<usize> = (0..problem.parts.len())
            .filter(|&i| problem.parts[i].label == label && problem.parts[i].count > 0)
            .collect();
        let there = |&i: &usize| problem.stock[i].available != Some(0) || self.rows.contains(&i);
        let of_label = |&i: &usize| problem.stock[i].label == label;
        let stock: Vec<usize> = (0..problem.stock.len()).filter(of_label).filter(there).collect();
        match Model::build(problem, &parts, &stock, Rounding::Exact) {
            Ok(model) => (model, true),
            Err(TooFine) => {
                let coarse = Model::build(problem, &parts, &stock, Rounding::Tight);
                (coarse.expect("a coarse grid has few cells"), false)
            }
        }
    }
}

/// The linear programs of one species.
struct Species<'a, 'b, 'c> {
    pricer: &'a Pricer<'a>,
    watch: Watcher<'a, 'b, 'c>,
    columns: Columns<'a, 'b, 'c>,
    whole: Rest,
    base: Root,
    settled: bool,
}

fn of_species(
    problem: &BoardProblem,
    asked: &[Asked],
    label: usize,
    watch: Watcher<'_, '_, '_>,
    all: &mut Worths,
) -> Result<f64, BoardShortage> {
    let extended = Extended::new(problem, asked);
    let (model, exact) = extended.model(label);
    let pricer = Pricer::new(&model);
    let whole = Rest::whole(&model);
    let (base, columns) = root::solve(&pricer, watch, &whole, u64::MAX);
    if base.bound.is_none() {
        let missing = super::search::missing(&pricer, &whole, &base);
        return Err(BoardShortage::RunsShort(missing));
    }
    let mut species = Species { pricer: &pricer, watch, columns, whole, settled: exact, base };
    let cost = species.optimum(&model, &species.base.clone());
    let estimates = species.board_estimates();
    for (at, one) in asked.iter().enumerate() {
        let kind_of = |row: usize| model.kinds.iter().position(|kind| kind.members.contains(&row));
        let Some(own) = kind_of(extended.rows[at]) else { continue };
        let held = match one {
            Asked::More(_) => None,
            Asked::Held(stock) => kind_of(*stock),
        };
        all.boards[at] = Worth {
            exact: species.board(cost, held, own),
            estimate: cents(estimates[own].max(0) as f64 / MICRO as f64),
        };
    }
    for at in 0..model.parts.len() {
        let index = model.parts[at].index;
        let estimate = cents(species.base.duals[at] / f64::from(model.parts[at].unit));
        let more = species.strip(&extended, label, at);
        all.strips[index] = Worth { exact: more.map(|more| cents((more - cost).max(0.0))), estimate };
    }
    all.settled &= species.settled;
    Ok(cost)
}

impl Species<'_, '_, '_> {
    /// The optimum that a solved program found; whether it is one is seen by the bound it proves.
    fn optimum(&mut self, model: &Model, root: &Root) -> f64 {
        let kinds = &model.kinds;
        let value: f64 = root.patterns.iter().map(|(pattern, x)| kinds[pattern.mode.kind].cost as f64 * x).sum();
        self.settled &= root.bound.is_some_and(|bound| bound as f64 > value - 0.5);
        value
    }

    /// Solves for other needs or stock; `None` when the strips cannot be had or the listener stops it.
    fn solve(&mut self, rest: &Rest) -> Option<f64> {
        if self.watch.borrow_mut().stop() {
            return None;
        }
        let (root, missing) = self.columns.solve(rest);
        if !missing {
            return Some(self.optimum(self.pricer.model, &root));
        }
        // What is missing may only be cheaper than what it takes: the penalties are tried in turn.
        let (root, _) = root::solve(self.pricer, self.watch, rest, u64::MAX);
        root.bound?;
        Some(self.optimum(self.pricer.model, &root))
    }

    /// What a free board of kind `own` saves, after one of kind `held` was taken away.
    fn board(&mut self, cost: f64, held: Option<usize>, own: usize) -> Option<Cents> {
        let mut rest = self.whole.clone();
        let mut without = cost;
        if let Some(left) = held.and_then(|kind| rest.stock[kind].as_mut()) {
            *left = left.saturating_sub(1);
            without = self.solve(&rest)?;
        }
        if let Some(left) = &mut rest.stock[own] {
            *left += 1;
        }
        let with = self.solve(&rest)?;
        Some(cents((without - with).max(0.0)))
    }

    /// The optimum with one more strip of a part.
    fn strip(&mut self, extended: &Extended, label: usize, part: usize) -> Option<f64> {
        if self.watch.borrow_mut().stop() {
            return None;
        }
        let index = self.pricer.model.parts[part].index;
        let mut problem = extended.problem.clone();
        problem.parts[index].count += 1;
        let (model, _) = Extended { problem, rows: extended.rows.clone() }.model(label);
        let mut rest = self.whole.clone();
        rest.need[part] = model.parts[part].need;
        if same_spans(&model, self.pricer.model) {
            return self.solve(&rest);
        }
        // One more strip makes other blanks or rips of use: a program of its own.
        let pricer = Pricer::new(&model);
        let (root, _) = root::solve(&pricer, self.watch, &Rest::whole(&model), u64::MAX);
        root.bound?;
        Some(self.optimum(&model, &root))
    }

    /// The best board of each kind at the duals, in micro-cents.
    fn board_estimates(&self) -> Vec<i64> {
        let model = self.pricer.model;
        let values = self.whole.values(root::need_values(&self.base.duals));
        let priced = self.pricer.price(&values, &self.whole.need);
        let mut estimates = vec![0; model.kinds.len()];
        for &mode in &model.modes {
            estimates[mode.kind] = priced.board(mode).max(estimates[mode.kind]);
        }
        estimates
    }
}

/// True when blanks and rips are the same in two models, and so are their columns.
fn same_spans(a: &Model, b: &Model) -> bool {
    let spans = |model: &Model| -> Vec<_> {
        model
            .layouts
            .iter()
            .flat_map(|l| l.spans.iter().map(|span| (span.length, span.size, span.holds.clone())))
            .collect()
    };
    a.parts.iter().map(|part| part.unit).eq(b.parts.iter().map(|part| part.unit)) && spans(a) == spans(b)
}

fn cents(value: f64) -> Cents {
    Cents::new(value.round() as i64)
}
