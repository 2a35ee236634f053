//! Why a job cannot be done as asked, and what would help.

use itertools::Itertools;

use super::wrapped;
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::Job;
use crate::packing::boards::BoardShortage;
use crate::packing::cloth::ClothShortage;
use crate::plan::CannotPlan;

/// One message a reason.
pub(in crate::cli) fn cannot(job: &Job, cannot: &CannotPlan) -> String {
    reasons(job, cannot).iter().map(|reason| wrapped(&format!("error: {reason}"), 2)).collect()
}

/// Every reason, each with what is missing; never none.
pub(in crate::cli) fn reasons(job: &Job, cannot: &CannotPlan) -> Vec<String> {
    match cannot {
        CannotPlan::Doors(doors) => failed_checks(doors),
        CannotPlan::Boards(short, demand) => boards(job, demand, short),
        CannotPlan::Cloth(short, demand) => cloth(job, demand, short),
        CannotPlan::Demand(error) => vec![error.to_string()],
        CannotPlan::Bill(error) => vec![error.to_string()],
        CannotPlan::Rejected(violations) => violations
            .iter()
            .map(|violation| format!("the plan failed its own check, a fault of slatwright: {violation}"))
            .collect(),
    }
}

/// Every check that fails, once for all the doors where it fails alike.
fn failed_checks(doors: &[Door]) -> Vec<String> {
    let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
    for door in doors {
        for check in door.checks.iter().filter(|check| !check.holds()) {
            let advice = check.advice.as_deref().unwrap_or("see `slatwright check`");
            let said = format!("{} of the {}: {advice}", check.check, check.item);
            match alike.iter_mut().find(|(other, _)| *other == said) {
                Some((_, names)) => names.push(&door.name),
                None => alike.push((said, vec![&door.name])),
            }
        }
    }
    let line = |(said, names): (String, Vec<&str>)| match names[..] {
        [one] => format!("door `{one}`, {said}"),
        _ => format!("doors {}, {said}", names.iter().map(|name| format!("`{name}`")).join(", ")),
    };
    alike.into_iter().map(line).collect()
}

fn part_in_words(job: &Job, demand: &Demand, part: usize) -> String {
    let part = &demand.parts[part];
    let show = |length: crate::measure::Length| length.show_nearest(job.units);
    let users = part.uses.first().map_or(String::new(), |user| format!(", for {}", user.name));
    format!(
        "{} {} x {} x {} in {}{users}",
        part.name,
        show(part.width),
        show(part.thickness),
        show(part.length),
        part.species
    )
}

fn boards(job: &Job, demand: &Demand, short: &BoardShortage) -> Vec<String> {
    match short {
        BoardShortage::NoBoard(parts) => parts
            .iter()
            .map(|(part, why)| format!("no board yields a strip of {}: {why}", part_in_words(job, demand, *part)))
            .collect(),
        BoardShortage::RunsShort(parts) => parts
            .iter()
            .map(|(part, missing)| {
                format!("the boards on hand run short by {missing} strips of {}", part_in_words(job, demand, *part))
            })
            .collect(),
    }
}

fn cloth(job: &Job, demand: &Demand, short: &ClothShortage) -> Vec<String> {
    let name = |piece: usize| {
        let need = &demand.cloth[piece];
        let size = (need.along.show_nearest(job.units), need.across.show_nearest(job.units));
        let whom = need.doors.first().map_or(String::new(), |door| format!(" for {door}"));
        format!("cloth piece {}, {} along x {} across,{whom}", need.name, size.0, size.1)
    };
    match short {
        ClothShortage::TooWide(pieces) => pieces
            .iter()
            .map(|(piece, widest)| {
                let widest = widest.show_nearest(job.units);
                format!("{} is wider than every bolt: the widest is {widest} between selvages, washed", name(*piece))
            })
            .collect(),
        ClothShortage::RunsShort(pieces) => pieces
            .iter()
            .map(|(piece, missing)| format!("the remnants run short by {missing} of {}", name(*piece)))
            .collect(),
    }
}
