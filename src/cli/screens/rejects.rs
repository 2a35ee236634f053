//! What a job looks for in rejects, and where that comes from.

use itertools::Itertools;

use super::wrapped;
use crate::demand::{Belief, Demand, Part, SecondTrip};
use crate::job::Job;
use crate::report::printable;

/// Rates of the strips whose spares answer the confidence, those of one belief together; with the woods and sections
/// where there are several.
pub(super) fn looked_for(job: &Job, demand: &Demand) -> String {
    let said = |part: &Part| said(&part.belief);
    let at_risk: Vec<&Part> = demand.parts.iter().filter(|part| part.at_risk).collect();
    let groups: Vec<String> = at_risk.iter().map(|part| said(part)).unique().collect();
    let mut out = trip(job, demand);
    for group in &groups {
        let sections = at_risk.iter().filter(|part| said(part) == *group).map(|part| part.section()).unique();
        let named = sections.map(|(wood, width, thickness)| {
            format!("{} {} x {}", wood.word(), width.show(job.units), thickness.show(job.units))
        });
        let whose = if groups.len() > 1 { format!(" of {}", named.unique().join(", ")) } else { String::new() };
        out += &wrapped(&format!("Rejects{whose}: {group}."), 2);
    }
    out
}

/// How the confidence was chosen, where a second trip has its price.
fn trip(job: &Job, demand: &Demand) -> String {
    let Some(SecondTrip { cost, spares, risk }) = demand.trip else { return String::new() };
    let percent = (demand.confidence * 1_000.0).round() / 10.0;
    let money = printable(&job.shop.currency);
    let said = format!(
        "A second trip at {money} {cost}: spares for {percent} % cost least, {spares} of wood and {risk} for the \
         trips that are made all the same."
    );
    wrapped(&said, 2)
}

fn said(belief: &Belief) -> String {
    let percent = belief.mean * 100.0;
    let by = belief.by_board();
    let boards = if by < 1.005 { String::new() } else { format!("; they come by the board, {by:.2}") };
    let strips = |count: u64| if count == 1 { "1 strip".to_owned() } else { format!("{count} strips") };
    let from = match belief.jobs {
        0 if belief.weight.is_finite() => {
            format!("as the job says, known from {}", strips(belief.weight.round() as u64))
        }
        0 => "as the job says".to_owned(),
        1 => format!("from 1 job ({}) and what the job says", strips(belief.strips)),
        jobs => format!("from {jobs} jobs ({}) and what the job says", strips(belief.strips)),
    };
    format!("{percent:.1} % looked for, {from}{boards}")
}
