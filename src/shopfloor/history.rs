//! The shop's history: reject rates and hours per species and section, job by job.

use std::collections::BTreeMap;
use std::path::Path;

use itertools::Itertools;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

use super::{FloorError, Round};
use crate::demand::{Demand, DemandError, Part, Section, pool, spread};
use crate::doors::Door;
use crate::job::{History, Job, LengthHistory, Operation, OperationHistory, SectionHistory, parse_history};
use crate::measure::Length;
use crate::plan::Plan;

/// Reads a history from its text.
///
/// # Errors
/// [`FloorError::Files`] with everything wrong with it.
pub fn read_history(job: &Job, path: &Path, text: &str) -> Result<History, FloorError> {
    Ok(parse_history(job.units, path, text)?)
}

/// The mark by which the history knows a build of a job: that of its first plan, cut short.
#[must_use]
pub fn build_mark(rounds: &[Round]) -> String {
    rounds.first().map_or(String::new(), |round| round.plan.mark.chars().take(8).collect())
}

/// The demand of a job as its build began: what the build counted is no experience to begin it with, where the history
/// has it already.
///
/// # Errors
/// [`DemandError`], as for [`pool`].
pub fn begun_with(job: &Job, doors: &[Door], rounds: &[Round]) -> Result<Demand, DemandError> {
    let build = build_mark(rounds);
    let mut job = job.clone();
    job.history.sections.retain(|row| !(row.job == job.name && row.plan == build));
    pool(&job, doors)
}

/// Gathers a build's counts into the history: its own rows are replaced, those of other jobs and of
/// other builds of this one are kept. Sections in the order of the job's parts.
#[must_use]
pub fn gather(job: &Job, parts: &[Part], rounds: &[Round], past: &History) -> History {
    let plan = build_mark(rounds);
    let others = past.sections.iter().filter(|row| !(row.job == job.name && row.plan == plan)).cloned();
    let here = parts.iter().map(Part::section).unique().filter_map(|of| gathered((job, &plan), parts, rounds, of));
    History { sections: others.chain(here).collect(), operations: past.operations.clone() }
}

/// Puts the hours that a job's operations took into the history, in the place of what it says of that plan already.
/// `took` has an operation's hours as they happened; those that the plan did not quote are not learned from.
#[must_use]
pub fn gather_hours(
    job: &Job,
    plan: &Plan,
    mark: &str,
    took: &BTreeMap<Operation, Decimal>,
    past: &History,
) -> History {
    let here = plan.bill.work.iter().filter_map(|line| {
        let hours = *took.get(&line.rule.operation)?;
        let quoted = line.hours.checked_div(line.rule.learned.factor)?.round_dp(4).normalize();
        let minutes = line.rule.own_minutes();
        let (job, plan) = (job.name.clone(), mark.to_owned());
        Some(OperationHistory { job, plan, operation: line.rule.operation, minutes, quoted, hours })
    });
    let here: Vec<OperationHistory> = here.collect();
    let again = |row: &OperationHistory| {
        row.job == job.name && row.plan == mark && here.iter().any(|new| new.operation == row.operation)
    };
    let others = past.operations.iter().filter(|row| !again(row)).cloned();
    History { sections: past.sections.clone(), operations: others.chain(here.iter().cloned()).collect() }
}

/// What a build counted of one section; `None` where nothing was cut of it yet.
fn gathered(
    (job, plan): (&Job, &str),
    parts: &[Part],
    rounds: &[Round],
    (species, width, thickness): Section<'_>,
) -> Option<SectionHistory> {
    let mut boards: BTreeMap<(usize, usize), (u64, u64)> = BTreeMap::new();
    let mut lengths: BTreeMap<Length, (u64, u64)> = BTreeMap::new();
    let mut hours = Decimal::ZERO;
    for (number, round) in rounds.iter().enumerate() {
        let here = |part: usize| parts[part].section() == (species, width, thickness);
        for counted in round.rows.iter().filter(|counted| here(counted.part)) {
            let lots = [
                boards.entry((number, counted.board)).or_default(),
                lengths.entry(parts[counted.part].length).or_default(),
            ];
            for lot in lots {
                lot.0 += u64::from(counted.straight) + u64::from(counted.rejected);
                lot.1 += u64::from(counted.rejected);
            }
            hours += counted.hours;
        }
    }
    let lots: Vec<(u64, u64)> = boards.into_values().collect();
    let (cut, rejected) = lots.iter().fold((0, 0), |sum, lot| (sum.0 + lot.0, sum.1 + lot.1));
    let by_board = spread(&lots).and_then(Decimal::from_f64).map(|spread| spread.round_dp(3).normalize());
    (cut > 0).then(|| SectionHistory {
        job: job.name.clone(),
        plan: plan.to_owned(),
        species: species.clone(),
        width,
        thickness,
        boards: lots.len() as u64,
        cut,
        rejected,
        by_board,
        hours,
        lengths: lengths
            .into_iter()
            .filter(|(_, (cut, _))| *cut > 0)
            .map(|(length, (cut, rejected))| LengthHistory { length, cut, rejected })
            .collect(),
    })
}
