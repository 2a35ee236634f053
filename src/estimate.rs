//! A quick estimate: what a job comes to before anyone has thought it through, as low, expected and high.
//!
//! One plan is packed with little work: the job's own spares and hours, less a third of what is left unproven, is what is
//! expected. Low and high are the points under which one job in ten and nine jobs in ten end. What moves a job between them:
//!
//! - hours: an operation takes its hours times a factor of its own, with the standard deviation that the shop gives it, or
//!   has learned. Labour lines of the shop's own vary as an operation does of which nothing is said. Factors are
//!   independent, and a sum of many is taken for normal (the central limit theorem), so deviations of cost add in squares;
//! - packing: the plan lies somewhere between what was found and what is proven;
//! - boards of random widths: the most that may come out is taken for the point that nine deliveries in ten keep under.
//!
//! Rejects move it hardly at all: spares are bought before the first strip bows, and a second trip is as rare as the
//! confidence says. The parts are independent, so their distances from what is expected add in squares too.

use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

use crate::job::Job;
use crate::measure::Cents;
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{CannotPlan, Plan, Stage, plan};

/// Work for the plan: about a fifth of a second.
const QUICK: Budget = Budget { nodes: 40, tries: 5 };

/// One part in so many of what a quick plan leaves unproven is found by a whole one, in the mean over made-up jobs.
const FOUND_LATER: i64 = 3;

/// One value in ten of a normal distribution lies more than so many standard deviations above its mean (tables of the
/// normal distribution: z of 0.90 is 1.2816).
const NINE_IN_TEN: f64 = 1.281_551_6;

/// What a job comes to.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// One job in ten comes to less.
    pub low: Cents,
    /// As the job says.
    pub expected: Cents,
    /// One job in ten comes to more.
    pub high: Cents,
    /// The quick plan behind `expected`.
    pub plan: Plan,
}

/// Estimates a job. The listener hears the packing's progress and may stop it.
///
/// # Errors
/// [`CannotPlan`], as for a plan.
pub fn estimate(job: &Job, listener: &mut dyn FnMut(Stage, Progress) -> Flow) -> Result<Estimate, CannotPlan> {
    // What the client may have otherwise has no part in it.
    let job = &Job { options: Vec::new(), ..job.clone() };
    let plan = plan(job, &QUICK, listener)?;
    // More work finds a plan somewhere between what was found and what is proven.
    let gap = gap(&plan);
    let found_later = Cents::new(gap.get() / FOUND_LATER);
    let hours = NINE_IN_TEN * deviation_of_labour(job, &plan);
    let allowance = money(beyond_expected(job, &plan));
    let below = hours.hypot(money(gap - found_later));
    let above = hours.hypot(money(found_later)).hypot(allowance);
    let expected = plan.bill.total - priced_in(&plan, found_later);
    let distance = |amount: f64| {
        let cents = Decimal::from_f64(amount).and_then(Cents::nearest);
        priced_in(&plan, cents.unwrap_or(Cents::ZERO))
    };
    Ok(Estimate { low: expected - distance(below), expected, high: expected + distance(above), plan })
}

fn money(amount: Cents) -> f64 {
    amount.get() as f64 / 100.0
}

/// The standard deviation of what the work costs, in money.
fn deviation_of_labour(job: &Job, plan: &Plan) -> f64 {
    let figure = |figure: Decimal| figure.to_f64().unwrap_or_default();
    let work = plan.bill.work.iter().map(|line| {
        let rule = &line.rule;
        figure(line.hours) * figure(rule.rate.decimal()) * figure(rule.learned.spread)
    });
    let own = plan.bill.costs.iter().filter(|line| line.group == "labour");
    let own = own.filter(|line| job.shop.labour.iter().any(|labour| labour.name == line.item));
    let own = own.map(|line| money(line.cost) * figure(job.shop.pricing.spread));
    work.chain(own).map(|deviation| deviation.powi(2)).sum::<f64>().sqrt()
}

/// What boards, sheets and cloth cost beyond what is proven about them.
fn gap(plan: &Plan) -> Cents {
    let sheets = &plan.cased.sheets;
    (plan.boards.cost - plan.boards.bound) + (plan.cloth.cost - plan.cloth.cost_bound) + (sheets.cost - sheets.bound)
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
