//! The rest of a job as a job of its own.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread::available_parallelism;

use itertools::Itertools;

use crate::demand::Part;
use crate::job::{BoardStock, Job, LooseStrip, Pricing, SpareRate, Written};
use crate::measure::Ratio;
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{CannotPlan, Plan, Stage, plan};

/// A job that holds only the strips still wanted, with its verified plan.
#[derive(Debug, Clone)]
pub struct Finish {
    /// Loose strips only, without spares, cloth, labour, overhead or tax.
    pub job: Job,
    /// Its plan; parts keep the names they have in the whole job.
    pub plan: Plan,
}

/// Plans `wants[i]` strips of `parts[i]` from `boards` under the rules of `job`. Part indices of the
/// plan are its own; its part names are those of `parts`.
///
/// # Errors
/// [`CannotPlan`] when the boards do not do.
pub fn finish(
    job: &Job,
    parts: &[Part],
    wants: &[u32],
    boards: Vec<BoardStock>,
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Finish, CannotPlan> {
    let wanted = parts.iter().zip(wants).filter(|(_, want)| **want > 0);
    let strips = wanted.map(|(part, want)| LooseStrip {
        name: part.uses.iter().map(|user| user.name.as_str()).unique().join(", "),
        species: part.species.clone(),
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        quantity: *want,
        spares: Some(SpareRate::None),
        milling: part.millings,
        in_the_price: false,
    });
    let mut rest = Job {
        alternatives: Vec::new(),
        options: Vec::new(),
        name: job.name.clone(),
        client: job.client.clone(),
        units: job.units,
        cabinets: Vec::new(),
        strips: strips.collect(),
        cloth_pieces: Vec::new(),
        lines: Vec::new(),
        spares: job.spares.clone(),
        boards,
        bolts: Vec::new(),
        sheets: Vec::new(),
        shop: job.shop.clone(),
        history: job.history.clone(),
        defaults: Vec::new(),
        written: Written::default(),
    };
    rest.shop.labour.clear();
    rest.shop.consumables.clear();
    rest.shop.pricing = Pricing::default();
    rest.shop.overhead = Ratio::ZERO;
    rest.shop.tax = Ratio::ZERO;
    let mut planned = plan(&rest, budget, listener)?;
    for part in &mut planned.demand.parts {
        let of_the_whole = parts.iter().find(|whole| same_size(whole, part));
        part.name.clone_from(&of_the_whole.expect("every strip of the rest is a part of the whole").name);
    }
    Ok(Finish { job: rest, plan: planned })
}

/// What is asked of [`finish`].
#[derive(Debug)]
pub(super) struct Ask {
    /// Strips of each part.
    pub(super) wants: Vec<u32>,
    /// What they are cut from.
    pub(super) boards: Vec<BoardStock>,
}

/// Several of them, as many at a time as there are processors; the answers are in the order of the questions.
pub(super) fn finish_each(
    job: &Job,
    parts: &[Part],
    asked: &[Ask],
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Vec<Result<Finish, CannotPlan>> {
    let processors = available_parallelism().map_or(1, NonZero::get);
    let workers = processors.min(asked.len());
    let (next, stopped) = (AtomicUsize::new(0), AtomicBool::new(false));
    let (tell, told) = mpsc::channel();
    let work = |tell: mpsc::Sender<(Stage, Progress)>| {
        let mut hear = |stage, progress| {
            // Nobody listens any more only when the listener has panicked.
            let heard = tell.send((stage, progress)).is_ok();
            if heard && !stopped.load(Ordering::Relaxed) { Flow::Continue } else { Flow::Stop }
        };
        let mut done = Vec::new();
        while let Some((at, ask)) = asked.iter().enumerate().nth(next.fetch_add(1, Ordering::Relaxed)) {
            done.push((at, finish(job, parts, &ask.wants, ask.boards.clone(), budget, &mut hear)));
        }
        done
    };
    let work = &work;
    std::thread::scope(|scope| {
        let start = |tell: mpsc::Sender<_>| scope.spawn(move || work(tell));
        let workers: Vec<_> = (0..workers).map(|_| start(tell.clone())).collect();
        drop(tell);
        for (stage, progress) in told {
            if listener(stage, progress) == Flow::Stop {
                stopped.store(true, Ordering::Relaxed);
            }
        }
        let done = workers.into_iter().flat_map(|worker| worker.join().unwrap_or_else(|panic| resume_unwind(panic)));
        done.sorted_by_key(|(at, _)| *at).map(|(_, solved)| solved).collect()
    })
}

fn same_size(a: &Part, b: &Part) -> bool {
    (&a.species, a.length, a.width, a.thickness, a.millings) == (&b.species, b.length, b.width, b.thickness, b.millings)
}

impl Finish {
    /// Boards of a name that are cut.
    #[must_use]
    pub fn uses(&self, name: &str) -> u32 {
        let cut = self.plan.boards.boards.iter().filter(|board| self.job.boards[board.stock].stock == name);
        u32::try_from(cut.count()).unwrap_or(u32::MAX)
    }

    /// Strips of each of `parts` that come from the boards for which `of` holds.
    #[must_use]
    pub fn strips_from(&self, parts: &[Part], of: impl Fn(&BoardStock) -> bool) -> Vec<u64> {
        let mut strips = vec![0; parts.len()];
        for board in self.plan.boards.boards.iter().filter(|board| of(&self.job.boards[board.stock])) {
            for blank in &board.blanks {
                for row in &blank.rips {
                    let name = &self.plan.demand.parts[row.part].name;
                    if let Some(at) = parts.iter().position(|part| part.name == *name) {
                        strips[at] += u64::from(row.rips) * u64::from(row.pieces) * u64::from(blank.leaves);
                    }
                }
            }
        }
        strips
    }
}
