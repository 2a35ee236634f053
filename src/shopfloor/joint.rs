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
    /// Who pays what, jobs by name, groups in the bill's order.
    pub shares: Vec<Share>,
    /// What the jobs cost one after the other, each from what the ones before left on the rack, in the mean of their
    /// orders.
    pub apart: Cents,
}

/// What one job pays of one group of costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// The job's name.
    pub job: String,
    /// The group of cost lines.
    pub group: String,
    /// What it would pay by itself, one job after the other, in the mean of their orders.
    pub apart: Cents,
    /// What it pays together.
    pub together: Cents,
}

/// Jobs whose orders are all gone through; of more jobs only as many orders as there are jobs.
const ALL_ORDERS: usize = 5;
/// Least work of one plan where many are made to learn who pays what.
const LEAST_NODES: u32 = 20;

/// Plans jobs together. They must share units, shop rules and spares; rows of their boards and cloth
/// files that have one name must be one row. The pooled strips share their spares, and the confidence
/// is that of the whole trip.
///
/// Each group of costs is split in proportion to what the jobs would have paid for it one after the
/// other, each from what those before it left on the rack, in the mean of all orders; to the cent, the largest remainders
/// first. Where a group is cheaper together, it is cheaper for every job. Of more than five jobs the
/// orders are those in which each comes first once and the others follow by name, round and round. The jobs
/// are taken by name: in what order they are given changes nothing.
///
/// # Errors
/// [`FloorError::Mismatch`] for jobs that do not go together, [`FloorError::Cannot`] when one of them or
/// all together cannot be planned.
pub fn plan_together(
    jobs: &[Job],
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Joint, FloorError> {
    let mut by_name = jobs.to_vec();
    by_name.sort_by(|a, b| a.name.cmp(&b.name));
    let jobs = &by_name;
    let job = merged(jobs)?;
    let mut each = Apart::of(jobs);
    let all: Vec<usize> = (0..jobs.len()).collect();
    if jobs.len() <= ALL_ORDERS {
        each.follow(&job, &all, budget, listener)?;
    } else {
        for first in 0..jobs.len() {
            let order: Vec<usize> = (0..jobs.len()).map(|at| (first + at) % jobs.len()).collect();
            each.one_order(&job, &order, budget, listener)?;
        }
    }
    let planned = plan(&job, budget, listener)?;
    let mut shares = Vec::new();
    for group in planned.bill.costs.iter().map(|line| &line.group).unique() {
        let lines = planned.bill.costs.iter().filter(|line| line.group == *group);
        let together: Cents = lines.map(|line| line.cost).sum();
        let weights: Vec<Cents> = all.iter().map(|at| each.sum(*at, group)).collect();
        for ((one, sum), together) in jobs.iter().zip(&weights).zip(split(together, &weights)) {
            let apart = each.mean(*sum);
            shares.push(Share { job: one.name.clone(), group: group.clone(), apart, together });
        }
    }
    let order = |share: &Share| jobs.iter().position(|one| one.name == share.job);
    shares.sort_by_key(order);
    let apart = each.mean(each.totals);
    Ok(Joint { job, plan: planned, shares, apart })
}

/// What jobs pay one after the other, summed over orders.
struct Apart<'a> {
    jobs: &'a [Job],
    /// Orders summed.
    orders: i64,
    /// Of each job, group by group.
    groups: Vec<BTreeMap<String, Cents>>,
    /// Of all jobs, all groups.
    totals: Cents,
}

impl<'a> Apart<'a> {
    fn of(jobs: &'a [Job]) -> Self {
        Self { jobs, orders: 0, groups: vec![BTreeMap::new(); jobs.len()], totals: Cents::ZERO }
    }

    fn sum(&self, job: usize, group: &str) -> Cents {
        self.groups[job].get(group).copied().unwrap_or(Cents::ZERO)
    }

    fn mean(&self, sum: Cents) -> Cents {
        let mean = sum.decimal().checked_div(Decimal::from(self.orders.max(1)));
        mean.and_then(Cents::nearest).unwrap_or(sum)
    }

    /// Less work for each plan where there are many.
    fn budget(&self, plans: u32, budget: &Budget) -> Budget {
        // Two jobs, both orders.
        let nodes = if plans <= 4 { budget.nodes } else { (budget.nodes / plans).max(LEAST_NODES) };
        Budget { nodes, ..*budget }
    }

    /// Plans a job from what is on the rack, notes what it pays in so many orders, and takes off what it uses.
    fn pays(
        &mut self,
        job: usize,
        rack: &mut Job,
        orders: i64,
        budget: &Budget,
        listener: &mut dyn FnMut(Stage, Progress) -> Flow,
    ) -> Result<(), FloorError> {
        let mut one = self.jobs[job].clone();
        (one.boards, one.bolts, one.sheets) = (rack.boards.clone(), rack.bolts.clone(), rack.sheets.clone());
        let planned = plan(&one, budget, listener)?;
        take_off(rack, &planned);
        for line in &planned.bill.costs {
            *self.groups[job].entry(line.group.clone()).or_insert(Cents::ZERO) += line.cost * orders;
        }
        self.totals += planned.bill.total * orders;
        Ok(())
    }

    /// All orders of the jobs in `left`; what two orders have in common at their beginning is planned once.
    fn follow(
        &mut self,
        rack: &Job,
        left: &[usize],
        budget: &Budget,
        listener: &mut dyn FnMut(Stage, Progress) -> Flow,
    ) -> Result<(), FloorError> {
        // 1, 4, 15, 64, 325 plans for 1 to 5 jobs.
        let plans = |jobs: u32| (0..jobs).fold(0, |sum, at| (sum + 1) * (at + 1));
        let budget = self.budget(plans(u32::try_from(self.jobs.len()).unwrap_or(u32::MAX)), budget);
        let orders: i64 = (1..left.len() as i64).product();
        for &job in left {
            let mut rack = rack.clone();
            self.pays(job, &mut rack, orders, &budget, listener)?;
            let rest: Vec<usize> = left.iter().copied().filter(|other| *other != job).collect();
            if rest.is_empty() {
                self.orders += 1;
            } else {
                self.follow(&rack, &rest, &budget, listener)?;
            }
        }
        Ok(())
    }

    /// One order.
    fn one_order(
        &mut self,
        rack: &Job,
        order: &[usize],
        budget: &Budget,
        listener: &mut dyn FnMut(Stage, Progress) -> Flow,
    ) -> Result<(), FloorError> {
        let plans = u32::try_from(order.len() * order.len()).unwrap_or(u32::MAX);
        let budget = self.budget(plans, budget);
        let mut rack = rack.clone();
        order.iter().try_for_each(|&job| self.pays(job, &mut rack, 1, &budget, listener))?;
        self.orders += 1;
        Ok(())
    }
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
    for cut in &plan.cased.sheets.boards {
        if let Some(count) = rack.sheets.get_mut(cut.stock).and_then(|sheet| sheet.on_hand.as_mut()) {
            *count = count.saturating_sub(1);
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
        for sheet in &job.sheets {
            match all.sheets.iter().find(|row| row.sheet == sheet.sheet) {
                None => all.sheets.push(sheet.clone()),
                Some(row) if row == sheet => {}
                Some(_) => return Err(two_rows("sheets", &sheet.sheet)),
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
