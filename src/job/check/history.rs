//! The history of the shop: past jobs, a section a row.

use crate::files::{Desk, Entry, FileId, HistoryFile, Kind, Problem, nearest, read_history_rows};
use crate::job::{History, Operation, OperationHistory, SectionHistory, Species};
use crate::measure::Units;

/// The rows of a history; what is wrong with one is noted, and the others are read all the same.
pub(super) fn history(desk: &Desk, file: (FileId, &str), units: Units) -> History {
    let written = read_history_rows(desk, file, units);
    let rows = || written.iter().flat_map(|table| &table.list);
    let of_strips = rows().filter(|row| !row.of_an_operation());
    let of_work = rows().filter(|row| row.of_an_operation());
    History {
        sections: of_strips.filter_map(|row| section(desk, row)).collect(),
        operations: of_work.filter_map(|row| worked(desk, row)).collect(),
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
