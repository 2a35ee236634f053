//! The shop's history: reject rates and hours per species and section, job by job.

use std::collections::BTreeSet;
use std::path::Path;

use itertools::Itertools;
use rust_decimal::Decimal;

use super::standing::section;
use super::{FloorError, Round};
use crate::demand::Part;
use crate::files::{Desk, Entry, Kind, LARGEST_CSV, Problem, Sources, read_history_rows};
use crate::job::{Job, Species};
use crate::measure::Length;

/// One section of one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionHistory {
    /// The job's name.
    pub job: String,
    /// The mark of its first plan, cut short; empty in a row of somebody's own.
    pub plan: String,
    /// Its wood.
    pub species: Species,
    /// Width of the strips.
    pub width: Length,
    /// Thickness of the strips.
    pub thickness: Length,
    /// Boards they came from.
    pub boards: u64,
    /// Strips cut.
    pub cut: u64,
    /// Strips rejected.
    pub rejected: u64,
    /// Hours at the saw.
    pub hours: Decimal,
}

/// Reads a history from its text.
///
/// # Errors
/// [`FloorError::Files`] with everything wrong with it.
pub fn read_history(job: &Job, path: &Path, text: &str) -> Result<Vec<SectionHistory>, FloorError> {
    let sources = Sources::in_memory(path, text);
    let desk = Desk::new(&sources);
    let file = desk.open(path, LARGEST_CSV, None);
    let written = file.and_then(|(id, text)| read_history_rows(&desk, (id, &text), job.units));
    let mut rows = Vec::new();
    for row in written.iter().flat_map(|table| &table.list) {
        let (cut, rejected) = (count(&row.cut), count(&row.rejected));
        if rejected > cut {
            let what = format!("{rejected} of {cut} strips cannot have been rejected");
            desk.add(Problem::new(Kind::Conflict, row.place, what).help("`cut` counts straight and rejected strips"));
        }
        let empty = row.job.is_missing() || row.species.is_missing() || row.width.is_missing();
        if empty || row.thickness.is_missing() || row.cut.is_missing() || row.rejected.is_missing() {
            let problem = Problem::new(Kind::Missing, row.place, "job, species, sizes and counts have to be filled");
            desk.add(problem.help("only `boards` and `hours` may be empty"));
        }
        let (Some(name), Some(species)) = (row.job.given(), row.species.given()) else { continue };
        let (Some(width), Some(thickness)) = (row.width.given(), row.thickness.given()) else { continue };
        match Species::named(&species.value) {
            Ok(species) => rows.push(SectionHistory {
                job: name.value.clone(),
                plan: row.plan.given().map_or(String::new(), |at| at.value.clone()),
                species,
                width: width.value,
                thickness: thickness.value,
                boards: count(&row.boards),
                cut,
                rejected,
                hours: row.hours.given().map_or(Decimal::ZERO, |at| at.value),
            }),
            Err(error) => {
                let help = format!("write one of: {}", error.choices.join(", "));
                desk.add(Problem::new(Kind::BadValue, species.place, error.to_string()).help(help));
            }
        }
    }
    desk.problems().map_or(Ok(rows), |problems| Err(problems.into()))
}

fn count(entry: &Entry<u32>) -> u64 {
    entry.given().map_or(0, |at| u64::from(at.value))
}

/// The mark by which the history knows a build of a job: that of its first plan, cut short.
#[must_use]
pub fn build_mark(rounds: &[Round]) -> String {
    rounds.first().map_or(String::new(), |round| round.plan.mark.chars().take(8).collect())
}

/// Gathers a build's counts into the history: its own rows are replaced, those of other jobs and of
/// other builds of this one are kept. Sections in the order of the job's parts.
#[must_use]
pub fn gather(job: &Job, parts: &[Part], rounds: &[Round], past: &[SectionHistory]) -> Vec<SectionHistory> {
    let plan = build_mark(rounds);
    let mut all: Vec<SectionHistory> =
        past.iter().filter(|row| !(row.job == job.name && row.plan == plan)).cloned().collect();
    for (species, width, thickness) in parts.iter().map(section).unique() {
        let mut boards = BTreeSet::new();
        let mut row = SectionHistory {
            job: job.name.clone(),
            plan: plan.clone(),
            species: species.clone(),
            width,
            thickness,
            boards: 0,
            cut: 0,
            rejected: 0,
            hours: Decimal::ZERO,
        };
        for (number, round) in rounds.iter().enumerate() {
            let here = |part: usize| section(&parts[part]) == (species, width, thickness);
            for counted in round.rows.iter().filter(|counted| here(counted.part)) {
                boards.insert((number, counted.board));
                row.cut += u64::from(counted.straight) + u64::from(counted.rejected);
                row.rejected += u64::from(counted.rejected);
                row.hours += counted.hours;
            }
        }
        row.boards = boards.len() as u64;
        if row.cut > 0 {
            all.push(row);
        }
    }
    all
}
