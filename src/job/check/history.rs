//! The history of the shop: past jobs, a section a row.

use std::collections::BTreeMap;

use crate::files::{Desk, Entry, FileId, HistoryFile, Kind, Problem, nearest, read_history_rows};
use crate::job::{History, LengthHistory, Operation, OperationHistory, SectionHistory, Species};
use crate::measure::{Length, Units};

/// The rows of a history; what is wrong with one is noted, and the others are read all the same.
pub(super) fn history(desk: &Desk, file: (FileId, &str), units: Units) -> History {
    let written = read_history_rows(desk, file, units);
    let rows = || written.iter().flat_map(|table| &table.list);
    let of_strips = rows().filter(|row| !row.of_an_operation() && !row.of_a_length());
    let of_work = rows().filter(|row| row.of_an_operation());
    let mut sections: Vec<SectionHistory> = of_strips.filter_map(|row| section(desk, row)).collect();
    let mut places: BTreeMap<Key, usize> = BTreeMap::new();
    for (at, strips) in sections.iter().enumerate() {
        places.entry(key(strips)).or_insert(at);
    }
    for row in rows().filter(|row| row.of_a_length()) {
        of_a_length(desk, row, &mut sections, &places);
    }
    History { sections, operations: of_work.filter_map(|row| worked(desk, row)).collect() }
}

/// What strips a row tells of: job, plan, wood, width and thickness.
type Key = (String, String, Species, Length, Length);

fn key(row: &SectionHistory) -> Key {
    (row.job.clone(), row.plan.clone(), row.species.clone(), row.width, row.thickness)
}

/// Puts a row of one length to the strips that it is of.
fn of_a_length(desk: &Desk, row: &HistoryFile, sections: &mut [SectionHistory], places: &BTreeMap<Key, usize>) {
    if row.length.is_missing() {
        let what = "a row of one length does not say which";
        desk.add(Problem::new(Kind::Missing, row.place, what).help("fill in `length`"));
    }
    let (Some(of), Some(length)) = (section(desk, row), row.length.given()) else { return };
    let Some(strips) = places.get(&key(&of)).map(|at| &mut sections[*at]) else {
        let what = "this row of one length belongs to no row of strips";
        let help = "there has to be a row of kind `strips` of the same job, plan, species, width and thickness";
        desk.add(Problem::new(Kind::Conflict, row.place, what).help(help));
        return;
    };
    strips.lengths.push(LengthHistory { length: length.value, cut: of.cut, rejected: of.rejected });
    let sum = |of: fn(&LengthHistory) -> u64| strips.lengths.iter().map(of).sum::<u64>();
    if sum(|length| length.cut) > strips.cut || sum(|length| length.rejected) > strips.rejected {
        let what = "the lengths of these strips come to more than the row of strips says";
        desk.add(Problem::new(Kind::Conflict, row.place, what).help("they are parts of it: correct the counts"));
    }
}

fn section(desk: &Desk, row: &HistoryFile) -> Option<SectionHistory> {
    let (cut, rejected) = (count(&row.cut), count(&row.rejected));
    if rejected > cut {
        let what = format!("{rejected} of {cut} strips cannot have been rejected");
        desk.add(Problem::new(Kind::Conflict, row.place, what).help("`cut` counts straight and rejected strips"));
    }
    let empty = row.job.is_missing() || row.species.is_missing() || row.width.is_missing();
    if empty || row.thickness.is_missing() || row.cut.is_missing() || row.rejected.is_missing() {
        let problem = Problem::new(Kind::Missing, row.place, "job, species, sizes and counts have to be filled");
        desk.add(problem.help("only `boards`, `by_board` and `hours` may be empty"));
    }
    let (name, species) = (row.job.given()?, row.species.given()?);
    let wood = Species::named(&species.value).map_err(|error| {
        let help = format!("write one of: {}", error.choices.join(", "));
        desk.add(Problem::new(Kind::BadValue, species.place, error.to_string()).help(help));
    });
    Some(SectionHistory {
        job: name.value.clone(),
        plan: row.plan.given().map_or(String::new(), |at| at.value.clone()),
        species: wood.ok()?,
        width: row.width.given()?.value,
        thickness: row.thickness.given()?.value,
        boards: count(&row.boards),
        cut,
        rejected,
        by_board: row.by_board.given().map(|at| at.value),
        hours: row.hours.given().map_or_else(Default::default, |at| at.value),
        lengths: Vec::new(),
    })
}

fn worked(desk: &Desk, row: &HistoryFile) -> Option<OperationHistory> {
    if row.job.is_missing() || row.operation.is_missing() || row.quoted.is_missing() || row.hours.is_missing() {
        let problem = Problem::new(Kind::Missing, row.place, "job, operation, quoted and hours have to be filled");
        desk.add(problem.help("only `plan` and `minutes` may be empty in a row of an operation"));
    }
    let (name, word) = (row.job.given()?, row.operation.given()?);
    let Some(operation) = Operation::all().find(|operation| operation.word() == word.value) else {
        let what = format!("unknown operation `{}`", word.value);
        let words: Vec<_> = Operation::all().map(Operation::word).collect();
        let help = nearest(&word.value, Operation::all().map(Operation::word)).map_or_else(
            || format!("known operations: {}", words.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        desk.add(Problem::new(Kind::UnknownName, word.place, what).help(help));
        return None;
    };
    Some(OperationHistory {
        job: name.value.clone(),
        plan: row.plan.given().map_or(String::new(), |at| at.value.clone()),
        operation,
        minutes: row.minutes.given().map_or_else(Default::default, |at| at.value),
        quoted: row.quoted.given()?.value,
        hours: row.hours.given()?.value,
    })
}

fn count(entry: &Entry<u32>) -> u64 {
    entry.given().map_or(0, |at| u64::from(at.value))
}
