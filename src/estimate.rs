//! A quick estimate: what a job comes to before anyone has thought it through, as low, expected and high.
//!
//! Three plans are packed with little work. Low: no strip fails, and the packing reaches its bound. Expected:
//! the job's own spares, packed fast, less a third of what it leaves unproven. High: twice the rejects, and the yard allowance paid for in full.

use rust_decimal::Decimal;

use crate::job::{Job, SpareRate, WORST_REJECT_RATE};
use crate::measure::{Cents, Ratio};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{CannotPlan, Plan, Stage, plan};

/// Work for one of the three plans: about a fifth of a second.
const QUICK: Budget = Budget { nodes: 40, tries: 5 };

/// One part in so many of what a quick plan leaves unproven is found by a whole one, in the mean over made-up jobs.
const FOUND_LATER: i64 = 3;

/// What a job comes to.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// Nothing goes wrong.
    pub low: Cents,
    /// As the job says.
    pub expected: Cents,
    /// Twice the rejects, boards wider and longer than the planning size.
    pub high: Cents,
    /// The quick plan behind `expected`.
    pub plan: Plan,
}

/// Estimates a job. The listener hears each packing's progress and may stop it.
///
/// # Errors
/// [`CannotPlan`], as for a plan.
pub fn estimate(job: &Job, listener: &mut dyn FnMut(Stage, Progress) -> Flow) -> Result<Estimate, CannotPlan> {
    // What the client may have otherwise has no part in it.
    let job = &Job { options: Vec::new(), ..job.clone() };
    let careless = plan(&with_rate(job, SpareRate::None), &QUICK, listener)?;
    let expected = plan(job, &QUICK, listener)?;
    let unlucky = plan(&with_rate(job, doubled(job.spares.rate)), &QUICK, listener)?;
    // Less or more spent on boards changes the price in proportion to everything on top of it.
    let low = careless.bill.total - priced_in(&careless, gap(&careless));
    let high = unlucky.bill.total + priced_in(&unlucky, beyond_expected(job, &unlucky));
    // More work finds a plan somewhere between what was found and what is proven.
    let total = expected.bill.total - priced_in(&expected, Cents::new(gap(&expected).get() / FOUND_LATER));
    Ok(Estimate { low: low.min(total), expected: total, high: high.max(total), plan: expected })
}

/// What boards, sheets and cloth cost beyond what is proven about them.
fn gap(plan: &Plan) -> Cents {
    let sheets = &plan.cased.sheets;
    (plan.boards.cost - plan.boards.bound) + (plan.cloth.cost - plan.cloth.cost_bound) + (sheets.cost - sheets.bound)
}

/// The job with another rate; what a loose strip has of its own is left out, or doubled, like the job's.
fn with_rate(job: &Job, rate: SpareRate) -> Job {
    let mut job = job.clone();
    job.spares.rate = rate;
    if rate == SpareRate::None {
        job.spares.rates.clear();
    }
    for of in &mut job.spares.rates {
        if let SpareRate::RejectRate(twice) = doubled(SpareRate::RejectRate(of.rate)) {
            of.rate = twice;
        }
    }
    for strip in &mut job.strips {
        if strip.spares.is_some_and(|own| own != SpareRate::None) {
            strip.spares = Some(if rate == SpareRate::None { rate } else { strip.spares.map_or(rate, doubled) });
        }
    }
    job
}

fn doubled(rate: SpareRate) -> SpareRate {
    let twice = |share: Ratio, most: Decimal| (share.decimal() * Decimal::TWO).min(most);
    match rate {
        SpareRate::None => SpareRate::None,
        SpareRate::Percent(share) => {
            let share = Ratio::percent(twice(share, Decimal::ONE) * Decimal::ONE_HUNDRED);
            share.map_or(rate, SpareRate::Percent)
        }
        SpareRate::RejectRate(share) => {
            Ratio::below_one(twice(share, WORST_REJECT_RATE)).map_or(rate, SpareRate::RejectRate)
        }
    }
}

/// What the boards may cost beyond what the bill expects of random widths, should the worst of them come.
fn beyond_expected(job: &Job, plan: &Plan) -> Cents {
    let lumber = plan.bill.buy.iter().filter(|line| line.what == "lumber");
    let bought = plan.bill.boards.iter().filter(|line| job.boards[line.stock].on_hand.is_none());
    let most = lumber.zip(bought).filter_map(|(line, boards)| {
        let price = line.cost.decimal().checked_div(boards.volume.board_feet(6))?;
        Cents::nearest(price.checked_mul(line.allowance)?)
    });
    let expected = plan.bill.costs.iter().filter(|line| line.group == "boards" && line.unit != "board");
    (most.sum::<Cents>() - expected.map(|line| line.cost).sum()).max(Cents::ZERO)
}

/// What an amount of materials comes to in the price: with everything that is a share of it.
fn priced_in(plan: &Plan, amount: Cents) -> Cents {
    let shares =
        ["burden", "overhead", "contingency", "markup", "margin", "discount", "least charge", "rounding", "tax"];
    let direct: Cents =
        plan.bill.costs.iter().filter(|line| !shares.contains(&line.group.as_str())).map(|line| line.cost).sum();
    let scaled = plan.bill.total.decimal().checked_mul(amount.decimal());
    let scaled = scaled.and_then(|scaled| scaled.checked_div(direct.decimal())).and_then(Cents::nearest);
    scaled.unwrap_or(amount)
}
