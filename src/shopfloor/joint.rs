//! Several jobs, one trip: planned together against one rack and one shopping list.

use std::collections::BTreeMap;

use itertools::Itertools;
use rust_decimal::Decimal;

use super::FloorError;
use crate::job::{HoursThereAre, Job, LabourBasis};
use crate::measure::{Cents, apportion};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{Plan, Stage, plan};

/// Jobs planned together.
#[derive(Debug, Clone)]
pub struct Joint {
    /// All of them as one job; names of doors and pieces carry their job's.
    pub job: Job,
    /// Its verified plan.
    pub plan: Plan,
    /// Who pays what, jobs in the order given, groups in the bill's.
    pub shares: Vec<Share>,
    /// What the jobs cost one after the other, each from what the ones before left on the rack.
    pub apart: Cents,
}

/// What one job pays of one group of costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// The job's name.
    pub job: String,
    /// The group of cost lines.
    pub group: String,
    /// What it would pay by itself.
    pub apart: Cents,
    /// What it pays together.
    pub together: Cents,
}

/// Plans jobs together. They must share units, shop rules and spares; rows of their boards and cloth
/// files that have one name must be one row. The pooled strips share their spares, and the confidence
/// is that of the whole trip.
///
/// Each group of costs is split in proportion to what the jobs would have paid for it one after the
/// other, to the cent, the largest remainders first: where a group is cheaper together, it is
/// cheaper for every job.
///
/// # Errors
/// [`FloorError::Mismatch`] for jobs that do not go together, [`FloorError::Cannot`] when one of them or
/// all together cannot be planned.
pub fn plan_together(
    jobs: &[Job],
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Joint, FloorError> {
    let job = merged(jobs)?;
    let mut rack = job.clone();
    let mut alone: Vec<BTreeMap<String, Cents>> = Vec::new();
    let mut apart = Cents::ZERO;
    for one in jobs {
        let mut one = one.clone();
        (one.boards, one.bolts) = (rack.boards.clone(), rack.bolts.clone());
        let planned = plan(&one, budget, listener)?;
        take_off(&mut rack, &planned);
        let mut groups = BTreeMap::new();
        for line in &planned.bill.costs {
            *groups.entry(line.group.clone()).or_insert(Cents::ZERO) += line.cost;
        }
        apart += planned.bill.total;
        alone.push(groups);
    }
    let planned = plan(&job, budget, listener)?;
    let mut shares = Vec::new();
    for group in planned.bill.costs.iter().map(|line| &line.group).unique() {
        let lines = planned.bill.costs.iter().filter(|line| line.group == *group);
        let together: Cents = lines.map(|line| line.cost).sum();
        let weights: Vec<Cents> =
            alone.iter().map(|groups| groups.get(group).copied().unwrap_or(Cents::ZERO)).collect();
        for ((one, apart), together) in jobs.iter().zip(&weights).zip(split(together, &weights)) {
            shares.push(Share { job: one.name.clone(), group: group.clone(), apart: *apart, together });
        }
    }
    let order = |share: &Share| jobs.iter().position(|one| one.name == share.job);
    shares.sort_by_key(order);
    Ok(Joint { job, plan: planned, shares, apart })
}

/// An amount shared out in proportion to `weights`, evenly when all are zero; the first of equals takes the cent
/// left over.
fn split(amount: Cents, weights: &[Cents]) -> Vec<Cents> {
    let mut shares: Vec<i128> = weights.iter().map(|cents| cents.get().max(0).into()).collect();
    if shares.iter().all(|share| *share == 0) {
        shares.fill(1);
    }
    let order: Vec<usize> = (0..shares.len()).collect();
    apportion(amount, &shares, &order)
}

/// Takes what a plan uses off the rack and the cloth shelf.
fn take_off(rack: &mut Job, plan: &Plan) {
    for line in &plan.bill.boards {
        if let Some(count) = &mut rack.boards[line.stock].on_hand {
            *count = count.saturating_sub(line.boards);
        }
    }
    let used = plan.cloth.bolts.iter().map(|bolt| bolt.bought).collect_vec();
    for (bolt, used) in rack.bolts.iter_mut().zip(used) {
        if let Some(length) = &mut bolt.on_hand {
            *length = *length - used.min(*length);
        }
    }
    rack.bolts.retain(|bolt| bolt.on_hand.is_none_or(|length| length.is_positive()));
}

fn merged(jobs: &[Job]) -> Result<Job, FloorError> {
    let Some(first) = jobs.first() else { return Err(mismatch("no job is given", "name at least one job file")) };
    refuse_strangers(first, jobs)?;
    let mut all = first.clone();
    all.name = jobs.iter().map(|job| job.name.as_str()).join(" + ");
    all.client = None;
    (all.cabinets, all.strips, all.cloth_pieces, all.lines) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for job in jobs {
        let named = |name: &str| format!("{}: {name}", job.name);
        for cabinet in &job.cabinets {
            let mut cabinet = cabinet.clone();
            cabinet.name = named(&cabinet.name);
            cabinet.doors.iter_mut().for_each(|door| door.name = named(&door.name));
            all.cabinets.push(cabinet);
        }
        all.strips.extend(job.strips.iter().cloned().map(|mut strip| {
            strip.name = named(&strip.name);
            strip
        }));
        all.cloth_pieces.extend(job.cloth_pieces.iter().cloned().map(|mut piece| {
            piece.name = named(&piece.name);
            piece
        }));
        all.lines.extend(job.lines.iter().cloned().map(|mut line| {
            line.name = named(&line.name);
            line
        }));
        for board in &job.boards {
            match all.boards.iter().find(|row| row.stock == board.stock) {
                None => all.boards.push(board.clone()),
                Some(row) if row == board => {}
                Some(_) => return Err(two_rows("boards", &board.stock)),
            }
        }
        for bolt in &job.bolts {
            match all.bolts.iter().find(|row| row.bolt == bolt.bolt) {
                None => all.bolts.push(bolt.clone()),
                Some(row) if row == bolt => {}
                Some(_) => return Err(two_rows("cloth", &bolt.bolt)),
            }
        }
    }
    all.shop.pricing.hours = HoursThereAre::default();
    // What is done once a job is done once for each of them.
    for line in all.shop.labour.iter_mut().filter(|line| line.per == LabourBasis::Job) {
        line.hours *= Decimal::from(jobs.len());
    }
    Ok(all)
}

/// A shop's rules as text, which names every figure: they hold no other equality. The hours there are for
/// one job alone are none of them.
fn shop_rules(job: &Job) -> String {
    let mut shop = job.shop.clone();
    shop.pricing.hours = HoursThereAre::default();
    format!("{shop:?}")
}

fn two_rows(file: &str, name: &str) -> FloorError {
    mismatch(
        format!("the {file} files of the jobs have two different rows named `{name}`"),
        "make the two rows alike, or give one of them another name",
    )
}

fn mismatch(what: impl Into<String>, help: &'static str) -> FloorError {
    FloorError::Mismatch { what: what.into(), help }
}

fn refuse_strangers(first: &Job, jobs: &[Job]) -> Result<(), FloorError> {
    for (at, job) in jobs.iter().enumerate() {
        let apart = |what: &str| {
            let names = (&first.name, &job.name);
            let what = format!("`{}` and `{}` have different {what}", names.0, names.1);
            Err(mismatch(what, "make them alike, or plan the jobs apart"))
        };
        if jobs[..at].iter().any(|other| other.name == job.name) {
            return Err(mismatch(format!("two jobs are named `{}`", job.name), "give each its own `name`"));
        }
        if job.units != first.units {
            return apart("units");
        }
        if job.spares != first.spares {
            return apart("spares");
        }
        if shop_rules(job) != shop_rules(first) {
            return apart("shop rules");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_split_adds_up_to_the_cent_and_follows_the_weights() {
        let cents = |list: &[i64]| list.iter().map(|n| Cents::new(*n)).collect::<Vec<_>>();
        assert_eq!(split(Cents::new(100), &cents(&[1, 1, 1])), cents(&[34, 33, 33]));
        assert_eq!(split(Cents::new(10), &cents(&[0, 0])), cents(&[5, 5]));
        assert_eq!(split(Cents::new(1001), &cents(&[3, 7])), cents(&[300, 701]));
        for (amount, weights) in [(99_999, vec![17, 2, 0, 331]), (1, vec![5, 5, 5]), (0, vec![1, 2])] {
            let shares = split(Cents::new(amount), &cents(&weights));
            assert_eq!(shares.into_iter().sum::<Cents>(), Cents::new(amount));
        }
    }
}
