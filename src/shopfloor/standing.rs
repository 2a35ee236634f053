//! Where a job stands at the saw: what is counted, whether it is enough, and the least extra cutting if not.

use std::collections::BTreeMap;

use super::anew::{self, Planned};
use super::extra::{chance, extra, set_ups};
use super::salvage::{Salvage, salvage};
use super::stock_left::stock_left;
use super::{
    ASSUMED_WEIGHT, CountRow, Finish, FloorError, HISTORY_WEIGHT, NONE_WEIGHT, PERCENT_WEIGHT, Rate, Round, clustering,
    finish,
};
use crate::demand::Part;
use crate::doors::Door;
use crate::job::{Job, SectionHistory, SpareRate, Species};
use crate::measure::Length;
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{CannotPlan, Stage};

/// A job at the saw.
#[derive(Debug, Clone, Copy)]
pub struct Saw<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its doors.
    pub doors: &'a [Door],
    /// Its pooled strips.
    pub parts: &'a [Part],
    /// Every cut so far, the first one first.
    pub rounds: &'a [Round],
    /// What the shop saw in other jobs.
    pub history: &'a [SectionHistory],
}

/// Where a job stands at the saw.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Good strips wanted of each part, those left with the client included.
    pub wanted: Vec<u64>,
    /// Straight strips counted.
    pub straight: Vec<u64>,
    /// Rejects counted.
    pub rejected: Vec<u64>,
    /// Strips still to come from boards that are not counted.
    pub remaining: Vec<u64>,
    /// What is believed of the reject rate.
    pub rates: Vec<Rate>,
    /// Boards counted whole, and boards planned, over all cuts.
    pub boards: (usize, usize),
    /// The chance that nothing more needs cutting: the product over all parts. Parts of a section share
    /// one rate, so the true chance is no lower.
    pub chance: f64,
    /// The chance asked for.
    pub confidence: f64,
    /// Extra strips to cut of each part, set-up strips included; all zero when it is enough.
    pub extra: Vec<u32>,
    /// How to cut them, when there are any.
    pub finish: Option<Finish>,
    /// Boards not yet cut that this plan takes over: each a cut and its board, both from 0.
    pub anew: Vec<Planned>,
    /// Rejects to be used first: only where that saves cutting.
    pub salvage: Vec<Salvage>,
    /// Extra strips without them.
    pub extra_without: u64,
}

impl Standing {
    /// True when no extra cutting is called for: every part reaches the confidence together.
    #[must_use]
    pub fn enough(&self) -> bool {
        self.extra.iter().all(|strips| *strips == 0) && self.salvage.is_empty()
    }
}

/// Takes stock of a job at the saw. Strips that are to come count with the chance of coming out
/// straight under the rate updated by what was seen; if the chance that all parts have enough is under
/// the confidence asked for, the extra strips of least wood that reach it are planned: from boards
/// planned and not yet cut where these hold them when they are planned anew, then from kept
/// offcuts (a cent a board foot), then from boards left (two cents, or their price), then from
/// what is for sale. Where rejects that are straight over a shorter length save cutting, they are used.
///
/// # Errors
/// [`FloorError`] when the extra strips cannot be had, or so much was rejected that no number would do.
pub fn take_stock(
    saw: &Saw<'_>,
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Standing, FloorError> {
    let Saw { job, parts, rounds, .. } = *saw;
    let mut standing = counted(saw);
    let none = vec![0; parts.len()];
    let plain = extra(job, parts, &standing, &none)?;
    standing.extra_without = plain.iter().map(|strips| u64::from(*strips)).sum();
    if standing.extra_without == 0 {
        return Ok(standing);
    }
    let (salvage, saved) = salvage(job, parts, rounds, &standing)?;
    let mut plan = |extra: &[u32]| least_cutting(saw, extra, budget, listener);
    let without = plan(&plain);
    let (finish, anew) = if salvage.is_empty() {
        let (finish, anew) = without?;
        standing.extra = plain;
        (Some(finish), anew)
    } else {
        let with = plan(&saved)?;
        let strips: u64 = saved.iter().map(|strips| u64::from(*strips)).sum();
        let cost = |of: &(Finish, Vec<Planned>)| of.0.plan.boards.cost;
        match without {
            Ok(plain_one) if cost(&with) > cost(&plain_one) || strips >= standing.extra_without => {
                standing.extra = plain;
                (Some(plain_one.0), plain_one.1)
            }
            _ => {
                (standing.extra, standing.salvage) = (saved, salvage);
                if strips > 0 { (Some(with.0), with.1) } else { (None, Vec::new()) }
            }
        }
    };
    (standing.finish, standing.anew) = (finish, anew);
    Ok(standing)
}

/// How to cut extra strips, and the boards that are planned anew for them: where that costs less, all boards that are
/// not yet cut give their strips and the extra ones by a new plan.
fn least_cutting(
    saw: &Saw<'_>,
    extra: &[u32],
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<(Finish, Vec<Planned>), CannotPlan> {
    let Saw { job, parts, rounds, .. } = *saw;
    let stock = stock_left(job, parts, rounds);
    let mut solve = |wants: &[u32], boards| {
        let mut rest = finish(job, parts, wants, boards, budget, listener)?;
        rest.job.name = cut_name(job, rounds);
        Ok::<Finish, CannotPlan>(rest)
    };
    let beside = solve(extra, stock.clone());
    let boards = anew::uncut(rounds);
    if boards.is_empty() || extra.iter().all(|strips| *strips == 0) {
        return beside.map(|finish| (finish, Vec::new()));
    }
    let wants = anew::wants(job, parts, rounds, &boards, extra);
    let all = solve(&wants, anew::as_stock(rounds, &boards).into_iter().chain(stock).collect());
    match (beside, all) {
        (Ok(beside), Ok(all)) if all.plan.boards.cost < beside.plan.boards.cost => Ok((all, boards)),
        (Err(_), Ok(all)) => Ok((all, boards)),
        (beside, _) => beside.map(|finish| (finish, Vec::new())),
    }
}

/// The next cut of a job by name.
fn cut_name(job: &Job, rounds: &[Round]) -> String {
    format!("{}, cut {}", job.name, rounds.len() + 1)
}

/// The next cut of a job of which enough is there: a plan of nothing.
///
/// # Errors
/// [`FloorError::Cannot`], should the plan of nothing not pass.
pub fn nothing_more(job: &Job, parts: &[Part], rounds: &[Round]) -> Result<Finish, FloorError> {
    let wants = vec![0; parts.len()];
    let mut rest = finish(job, parts, &wants, Vec::new(), &Budget::default(), &mut |_, _| Flow::Continue)?;
    rest.job.name = cut_name(job, rounds);
    Ok(rest)
}

/// What is counted and what it makes of the rates; no extra cutting yet.
fn counted(saw: &Saw<'_>) -> Standing {
    let Saw { job, doors, parts, rounds, history } = *saw;
    let sum = |of: &dyn Fn(&CountRow) -> u32, at: usize| -> u64 {
        let rows = rounds.iter().flat_map(|round| &round.rows).filter(|row| row.part == at);
        rows.map(|row| u64::from(of(row))).sum()
    };
    let each = |of: &dyn Fn(&CountRow) -> u32| -> Vec<u64> { (0..parts.len()).map(|at| sum(of, at)).collect() };
    let none = vec![0; parts.len()];
    let mut standing = Standing {
        wanted: good_wanted(job, doors, parts),
        straight: each(&|row| row.straight),
        rejected: each(&|row| row.rejected),
        remaining: remaining(job, parts, rounds),
        boards: (
            rounds.iter().map(|round| round.done().count()).sum(),
            rounds.iter().map(|round| round.plan.boards.len()).sum(),
        ),
        rates: rates(job, parts, rounds, history),
        chance: 1.0,
        confidence: job.spares.confidence.f64(),
        extra: vec![0; parts.len()],
        finish: None,
        anew: Vec::new(),
        salvage: Vec::new(),
        extra_without: 0,
    };
    standing.chance = chance(&standing, &none, &none);
    standing
}

/// Good strips wanted of each part: what doors and loose strips need and the strips left with the
/// client; neither reject nor set-up spares.
#[must_use]
pub fn good_wanted(job: &Job, doors: &[Door], parts: &[Part]) -> Vec<u64> {
    let repair = |part: &Part| {
        let slats = part.uses.iter().filter(|user| user.role == "slat");
        let copies = slats.filter_map(|user| doors.iter().find(|door| door.name == user.name)).map(|door| door.count);
        copies.map(|count| u64::from(count) * u64::from(job.spares.repair_strips)).sum::<u64>()
    };
    parts.iter().map(|part| u64::from(part.needed) + repair(part)).collect()
}

/// What strips share that are cut with one setting of fence and cutter.
pub(super) fn section(part: &Part) -> (&Species, Length, Length) {
    (&part.species, part.width, part.thickness)
}

/// The reject rate that the job assumes for a part, and for how many strips that counts.
///
/// A rate is experience. A percentage of spares is a rule of thumb that has room for a job that goes badly: half of it
/// is taken for what is usual, and it counts for less. No spares at all say that no reject is looked for, until the
/// first one comes. Common practice, no source.
fn assumed(job: &Job, part: &Part) -> (f64, f64) {
    let own = part.uses.iter().find_map(|user| job.strips.iter().find(|strip| strip.name == user.name));
    match own.and_then(|strip| strip.spares).unwrap_or(job.spares.rate) {
        SpareRate::RejectRate(rate) => (rate.f64(), ASSUMED_WEIGHT),
        SpareRate::Percent(percent) => {
            let usual = percent.f64() / 2.0;
            (usual / (1.0 + usual), PERCENT_WEIGHT)
        }
        SpareRate::None => (0.0, NONE_WEIGHT),
    }
}

/// A part that only loose strips without any spares ask for: it comes out exactly, set-up strips included.
pub(super) fn exact(job: &Job, part: &Part) -> bool {
    part.uses.iter().all(|user| {
        let strip = job.strips.iter().find(|strip| strip.name == user.name);
        strip.is_some_and(|strip| strip.spares == Some(SpareRate::None))
    })
}

/// Prior plus seen, section by section: strips of one section share their luck.
fn rates(job: &Job, parts: &[Part], rounds: &[Round], history: &[SectionHistory]) -> Vec<Rate> {
    let rate = |part: &Part| {
        let mut lots: BTreeMap<(usize, usize), (u64, u64)> = BTreeMap::new();
        for (number, round) in rounds.iter().enumerate() {
            for row in round.rows.iter().filter(|row| section(&parts[row.part]) == section(part)) {
                let lot = lots.entry((number, row.board)).or_default();
                lot.0 += u64::from(row.straight) + u64::from(row.rejected);
                lot.1 += u64::from(row.rejected);
            }
        }
        let lots: Vec<(u64, u64)> = lots.into_values().collect();
        let cut: u64 = lots.iter().map(|lot| lot.0).sum();
        let rejected: u64 = lots.iter().map(|lot| lot.1).sum();
        let past = history.iter().filter(|past| (&past.species, past.width, past.thickness) == section(part));
        let past = past.fold((0u64, 0u64), |sum, past| (sum.0 + past.cut, sum.1 + past.rejected));
        let (prior, weight) = match past {
            (0, _) => assumed(job, part),
            (cut, rejected) => (rejected as f64 / cut as f64, (cut as f64).min(HISTORY_WEIGHT)),
        };
        Rate::updated(prior, weight, cut - rejected, rejected, clustering(&lots))
    };
    parts.iter().map(rate).collect()
}

/// Strips to come of each part. The first setting of fence and cutter spoils the set-up strips of its
/// section; once anything of it is counted they are behind.
fn remaining(job: &Job, parts: &[Part], rounds: &[Round]) -> Vec<u64> {
    let mut left = vec![0; parts.len()];
    for round in rounds {
        let mut here: Vec<u64> = (0..parts.len()).map(|at| round.remaining(at)).collect();
        for set_up in set_ups(parts, |at| round.plan.planned[at] > 0 && !exact(job, &parts[at])) {
            let begun = round.rows.iter().any(|row| section(&parts[row.part]) == section(&parts[set_up]));
            if !begun {
                here[set_up] = here[set_up].saturating_sub(u64::from(job.spares.setup_strips));
            }
        }
        left.iter_mut().zip(here).for_each(|(left, here)| *left += here);
    }
    left
}
