//! Where a job stands at the saw: what is counted, whether it is enough, and the least extra cutting if not.

use std::collections::BTreeMap;

use super::anew::{self, Planned};
use super::extra::{chance, chance_of, extra, set_ups};
use super::salvage::{Salvage, salvage, surplus, used_up};
use super::stock_left::stock_left;
use super::{CountRow, Finish, FloorError, Round, finish};
use crate::demand::{Belief, Part};
use crate::doors::Door;
use crate::job::{Job, SpareRate};
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
    /// The chance that its strips are to be enough ([`crate::demand::Demand::confidence`]).
    pub confidence: f64,
    /// Every cut so far, the first one first.
    pub rounds: &'a [Round],
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
    /// Straight strips that each part gains by the crosscutting that is advised, less those it gives.
    pub by_crosscut: Vec<i64>,
    /// Strips still to come from boards that are not counted.
    pub remaining: Vec<u64>,
    /// What is believed of the rejects of strips to come.
    pub rates: Vec<Belief>,
    /// The chance that the spares of each part were enough when it was planned, where they were not counted by the
    /// confidence: what was accepted then is not held against the job now.
    pub granted: Vec<f64>,
    /// Boards counted whole, and boards planned, over all cuts.
    pub boards: (usize, usize),
    /// The chance that nothing more needs cutting, as the plan speaks of it: longer strips serve for shorter ones.
    pub chance: f64,
    /// The chance asked for.
    pub confidence: f64,
    /// Extra strips to cut of each part, set-up strips included; all zero when it is enough.
    pub extra: Vec<u32>,
    /// How to cut them, when there are any.
    pub finish: Option<Finish>,
    /// Boards not yet cut that this plan takes over: each a cut and its board, both from 0.
    pub anew: Vec<Planned>,
    /// Straight strips that nobody wants, to be crosscut for shorter parts that are short.
    pub surplus: Vec<Salvage>,
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
/// what is for sale. Straight strips that nobody wants make up for shorter ones first, and where rejects that are
/// straight over a shorter length save cutting, they are used.
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
    crosscut_surplus(job, parts, &mut standing);
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

/// Takes the advice to crosscut straight strips that nobody wants, unless the job is likelier to have enough without.
fn crosscut_surplus(job: &Job, parts: &[Part], standing: &mut Standing) {
    let none = vec![0; parts.len()];
    let mut with = standing.clone();
    with.surplus = surplus(job, parts, standing);
    for crosscut in &with.surplus {
        with.by_crosscut[crosscut.to] += i64::from(crosscut.strips);
        with.by_crosscut[crosscut.from] -= i64::from(crosscut.used);
    }
    with.chance = chance(parts, &with, &none);
    if with.chance >= standing.chance - 1e-9 {
        *standing = with;
    }
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
    let Saw { job, doors, parts, confidence, rounds } = *saw;
    let rows = || rounds.iter().flat_map(|round| &round.rows);
    let sum = |of: &dyn Fn(usize, &CountRow) -> i64| -> Vec<u64> {
        let each = |at| rows().map(|row| of(at, row)).sum::<i64>();
        (0..parts.len()).map(|at| u64::try_from(each(at)).unwrap_or(0)).collect()
    };
    // Straight strips that were crosscut are now those of the part that they serve.
    let straight = |at: usize, row: &CountRow| {
        let gained = row.crosscut.filter(|(to, _)| *to == at).map_or(0, |(_, strips)| i64::from(strips));
        let own = if row.part == at { i64::from(row.straight) } else { 0 };
        let given = if row.part == at && row.straight_length.is_none() { used_up(job, parts, row) } else { 0 };
        own + gained - i64::from(given)
    };
    let rejected = |at: usize, row: &CountRow| if row.part == at { i64::from(row.rejected) } else { 0 };
    let none = vec![0; parts.len()];
    let mut standing = Standing {
        wanted: good_wanted(job, doors, parts),
        straight: sum(&straight),
        rejected: sum(&rejected),
        by_crosscut: vec![0; parts.len()],
        remaining: remaining(job, parts, rounds),
        boards: (
            rounds.iter().map(|round| round.done().count()).sum(),
            rounds.iter().map(|round| round.plan.boards.len()).sum(),
        ),
        rates: parts.iter().map(|part| seen(part, parts, rounds)).collect(),
        granted: (0..parts.len()).map(|at| granted(job, doors, parts, rounds, at)).collect(),
        chance: 1.0,
        confidence,
        extra: vec![0; parts.len()],
        finish: None,
        anew: Vec::new(),
        surplus: Vec::new(),
        salvage: Vec::new(),
        extra_without: 0,
    };
    standing.chance = chance(parts, &standing, &none);
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

/// A part that only loose strips without any spares ask for: it comes out exactly, set-up strips included.
pub(super) fn exact(job: &Job, part: &Part) -> bool {
    part.uses.iter().all(|user| {
        let strip = job.strips.iter().find(|strip| strip.name == user.name);
        strip.is_some_and(|strip| strip.spares == Some(SpareRate::None))
    })
}

/// What is believed of a part once boards of its section are counted: strips of one section share their luck.
fn seen(part: &Part, parts: &[Part], rounds: &[Round]) -> Belief {
    let mut lots: BTreeMap<(usize, usize), (u64, u64)> = BTreeMap::new();
    let mut looked_for = 0.0;
    for (number, round) in rounds.iter().enumerate() {
        for row in round.rows.iter().filter(|row| parts[row.part].section() == part.section()) {
            let lot = lots.entry((number, row.board)).or_default();
            let cut = u64::from(row.straight) + u64::from(row.rejected);
            lot.0 += cut;
            lot.1 += u64::from(row.rejected);
            looked_for += cut as f64 * parts[row.part].belief.mean;
        }
    }
    let lots: Vec<(u64, u64)> = lots.into_values().collect();
    let cut: u64 = lots.iter().map(|lot| lot.0).sum();
    part.belief.updated(looked_for / cut.max(1) as f64, &lots)
}

/// The chance with which a part was planned whose spares do not answer the confidence; 1 for the others.
fn granted(job: &Job, doors: &[Door], parts: &[Part], rounds: &[Round], at: usize) -> f64 {
    let part = &parts[at];
    if part.at_risk {
        return 1.0;
    }
    let planned = rounds.first().map_or_else(|| part.total(), |round| round.plan.planned[at]);
    let set_up = set_ups(parts, |other| parts[other].section() == part.section() && !exact(job, &parts[other]));
    let spoilt = if set_up.contains(&at) { u64::from(job.spares.setup_strips) } else { 0 };
    let wanted = good_wanted(job, doors, std::slice::from_ref(part))[0];
    // Never nothing: a part of which too few were planned is short, whatever was granted.
    chance_of(part, wanted, u64::from(planned).saturating_sub(spoilt)).max(1e-3)
}

/// Strips to come of each part. The first setting of fence and cutter spoils the set-up strips of its
/// section; once anything of it is counted they are behind.
fn remaining(job: &Job, parts: &[Part], rounds: &[Round]) -> Vec<u64> {
    let mut left = vec![0; parts.len()];
    for round in rounds {
        let mut here: Vec<u64> = (0..parts.len()).map(|at| round.remaining(at)).collect();
        for set_up in set_ups(parts, |at| round.plan.planned[at] > 0 && !exact(job, &parts[at])) {
            let begun = round.rows.iter().any(|row| parts[row.part].section() == parts[set_up].section());
            if !begun {
                here[set_up] = here[set_up].saturating_sub(u64::from(job.spares.setup_strips));
            }
        }
        left.iter_mut().zip(here).for_each(|(left, here)| *left += here);
    }
    left
}
