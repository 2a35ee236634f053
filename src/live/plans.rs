//! Plans made in the background: a quick one first, then the one that `plan` makes, then the job's alternatives. Whatever
//! runs is stopped as soon as the job is another one.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

use rust_decimal::Decimal;

use super::news::News;
use super::session::Laid;
use crate::job::{Job, load_alternative};
use crate::measure::{Cents, Length};
use crate::packing::{Budget, Flow, Progress, Standing};
use crate::plan::{CannotPlan, Plan, Stage, plan, price_orders};

/// Work of the quick plan, which is wanted within a fifth of a second.
const QUICK: Budget = Budget { nodes: 20, tries: 5 };

/// A job that is tried and stays as it is for so long is planned; one that is written needs less.
const SETTLED: Duration = Duration::from_millis(60);
const SETTLED_WRITTEN: Duration = Duration::from_millis(10);

/// The figures on the card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Figures {
    pub(crate) total: Cents,
    pub(crate) hours: Decimal,
    pub(crate) boards: usize,
    pub(crate) lumber: Cents,
    pub(crate) cloth: Length,
}

impl Figures {
    pub(crate) fn of(plan: &Plan) -> Self {
        let labour = plan.bill.costs.iter().filter(|line| line.group == "labour" && line.unit == "hour");
        let hours = labour.map(|line| line.quantity).sum();
        Self {
            total: plan.bill.total,
            hours,
            boards: plan.boards.boards.len(),
            lumber: plan.boards.cost,
            cloth: plan.cloth.bolts.iter().map(|bolt| bolt.bought).sum(),
        }
    }
}

/// A job with its plan.
#[derive(Debug)]
pub(crate) struct Planned {
    pub(crate) laid: Arc<Laid>,
    pub(crate) plan: Plan,
}

/// How far the planning has come.
#[derive(Debug, Clone, Default)]
pub(crate) enum Stand {
    /// Nothing is known yet.
    #[default]
    Begun,
    /// The job cannot be planned: why.
    Cannot(String),
    /// A quick plan; a better one is looked for. What the boards cost at best so far, and what no plan costs less than.
    Quick(Arc<Planned>, Option<(Cents, Cents)>),
    /// The plan that the commands make.
    Whole(Arc<Planned>),
}

impl Stand {
    pub(crate) const fn word(&self) -> &'static str {
        match self {
            Self::Begun => "begun",
            Self::Cannot(_) => "cannot",
            Self::Quick(..) => "quick",
            Self::Whole(_) => "whole",
        }
    }
}

/// What an alternative comes to: its name, and its figures or why there are none.
pub(crate) type Way = (String, Result<Figures, String>);

/// What is known of the price.
#[derive(Debug, Clone, Default)]
pub(crate) struct Price {
    /// Of which job.
    of: Option<Arc<Laid>>,
    /// It is the job of the files.
    written: bool,
    pub(crate) stand: Stand,
    /// What the job of the files came to before.
    pub(crate) before: Option<Figures>,
    pub(crate) ways: Vec<Way>,
}

#[derive(Debug, Default)]
struct Wanted {
    laid: Option<(Arc<Laid>, bool)>,
    end: bool,
}

/// The one that plans.
pub(crate) struct Planner {
    path: PathBuf,
    wanted: Mutex<Wanted>,
    begin: Condvar,
    turn: AtomicU64,
    price: Mutex<Price>,
    news: Arc<News>,
    /// Why a job cannot be planned, in words.
    why: fn(&Job, &CannotPlan) -> String,
}

fn held<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Planner {
    pub(crate) fn new(path: PathBuf, news: Arc<News>, why: fn(&Job, &CannotPlan) -> String) -> Self {
        let (wanted, begin, turn, price) = (Mutex::default(), Condvar::new(), AtomicU64::new(0), Mutex::default());
        Self { path, wanted, begin, turn, price, news, why }
    }

    pub(crate) fn price(&self) -> Price {
        held(&self.price).clone()
    }

    /// The plan of this very job, where it is made.
    pub(crate) fn whole(&self, laid: &Arc<Laid>) -> Option<Arc<Planned>> {
        match &held(&self.price).stand {
            Stand::Whole(planned) if Arc::ptr_eq(&planned.laid, laid) => Some(Arc::clone(planned)),
            _ => None,
        }
    }

    /// Plans this job from now on, and no other; `written` when it is the job of the files, not one that is tried.
    pub(crate) fn want(&self, laid: &Arc<Laid>, written: bool) {
        let mut wanted = held(&self.wanted);
        {
            let mut price = held(&self.price);
            if price.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, laid)) {
                return;
            }
            self.turn.fetch_add(1, Ordering::Relaxed);
            let before = match &price.stand {
                Stand::Whole(planned) if price.written => Some(Figures::of(&planned.plan)),
                _ => price.before.take(),
            };
            *price = Price { of: Some(Arc::clone(laid)), written, before, ..Price::default() };
        }
        wanted.laid = Some((Arc::clone(laid), written));
        drop(wanted);
        self.begin.notify_one();
    }

    pub(crate) fn end(&self) {
        self.turn.fetch_add(1, Ordering::Relaxed);
        held(&self.wanted).end = true;
        self.begin.notify_one();
    }

    /// Plans what is wanted until the end.
    pub(crate) fn work(&self) {
        loop {
            let mut wanted = held(&self.wanted);
            let (mut laid, mut written) = loop {
                if wanted.end {
                    return;
                }
                if let Some(laid) = wanted.laid.take() {
                    break laid;
                }
                wanted = self.begin.wait(wanted).unwrap_or_else(PoisonError::into_inner);
            };
            // Whoever types goes on typing: the drawing of the next key comes before the price of this one.
            loop {
                let settled = if written { SETTLED_WRITTEN } else { SETTLED };
                let waited = self.begin.wait_timeout(wanted, settled).unwrap_or_else(PoisonError::into_inner);
                wanted = waited.0;
                match wanted.laid.take() {
                    Some(newer) => (laid, written) = newer,
                    None if waited.1.timed_out() || wanted.end => break,
                    None => {}
                }
            }
            let turn = self.turn.load(Ordering::Relaxed);
            drop(wanted);
            self.one(&laid, turn);
        }
    }

    fn over(&self, turn: u64) -> bool {
        self.turn.load(Ordering::Relaxed) != turn
    }

    /// Notes where the planning stands, unless the job is another one by now.
    fn note(&self, turn: u64, change: impl FnOnce(&mut Price)) {
        {
            let mut price = held(&self.price);
            if self.over(turn) {
                return;
            }
            change(&mut price);
        }
        self.news.tell("card", ".");
    }

    fn one(&self, laid: &Arc<Laid>, turn: u64) {
        let mut hear = |_, _| if self.over(turn) { Flow::Stop } else { Flow::Continue };
        let quick = match plan(&laid.job, &QUICK, &mut hear) {
            Ok(plan) => Arc::new(Planned { laid: Arc::clone(laid), plan }),
            Err(cannot) => {
                let why = (self.why)(&laid.job, &cannot);
                return self.note(turn, |price| price.stand = Stand::Cannot(why));
            }
        };
        self.note(turn, |price| price.stand = Stand::Quick(Arc::clone(&quick), None));
        let mut last = None;
        let mut hear = |stage, progress: Progress| {
            if self.over(turn) {
                return Flow::Stop;
            }
            if let (Stage::Boards, Standing::Cost { best: Some(best), bound }) = (stage, progress.standing)
                && last != Some((best, bound))
            {
                last = Some((best, bound));
                self.note(turn, |price| price.stand = Stand::Quick(Arc::clone(&quick), last));
            }
            Flow::Continue
        };
        let stand = match whole(&laid.job, &mut hear) {
            Ok(plan) => Stand::Whole(Arc::new(Planned { laid: Arc::clone(laid), plan })),
            Err(cannot) => Stand::Cannot((self.why)(&laid.job, &cannot)),
        };
        self.note(turn, |price| price.stand = stand);
        self.alternatives(laid, turn);
    }

    fn alternatives(&self, laid: &Laid, turn: u64) {
        for (index, way) in laid.job.alternatives.iter().enumerate() {
            let mut hear = |_, _| if self.over(turn) { Flow::Stop } else { Flow::Continue };
            let figures = match load_alternative(&self.path, index) {
                Ok(job) => match whole(&job, &mut hear) {
                    Ok(plan) => Ok(Figures::of(&plan)),
                    Err(cannot) => Err(cannot.to_string()),
                },
                Err(problems) => Err(problems.iter().next().map(|problem| problem.what.clone()).unwrap_or_default()),
            };
            if self.over(turn) {
                return;
            }
            self.note(turn, |price| price.ways.push((way.name.clone(), figures)));
        }
    }
}

/// The plan that the commands make, with the price of each cutting order beside it.
pub(crate) fn whole(job: &Job, hear: &mut dyn FnMut(Stage, Progress) -> Flow) -> Result<Plan, CannotPlan> {
    let budget = Budget::default();
    plan(job, &budget, hear).and_then(|plan| price_orders(job, plan, &budget, hear))
}
