//! Woods: the names of the files settled, and every wood asked for found among the boards.

use std::collections::BTreeSet;

use super::Check;
use crate::files::{At, JobFile, Kind, Problem, nearest, same_name};
use crate::job::{BoardStock, Species};

/// The species a file names, or a note that the word is shared by several.
pub(super) fn species(check: &Check, at: &At<String>) -> Option<Species> {
    match Species::named(&same_name(&at.value)) {
        Ok(species) => Some(species),
        Err(error) => {
            let help = format!("write one of: {}", error.choices.join(", "));
            check.note(Problem::new(Kind::BadValue, at.place, error.to_string()).help(help));
            None
        }
    }
}

/// Every wood the job asks for is one the boards file has: a strip comes only from its species.
pub(super) fn refuse_unknown(check: &Check, written: &JobFile, boards: &[BoardStock]) {
    let stocked: BTreeSet<&Species> = boards.iter().map(|board| &board.species).collect();
    if stocked.is_empty() {
        return;
    }
    let doors = written.cabinets.list.iter().flat_map(|cabinet| {
        let base = cabinet.slats.over(&written.slats).species;
        let own = cabinet.door.list.iter().map(|door| door.slats.species.or(&base)).collect::<Vec<_>>();
        if own.is_empty() { vec![base] } else { own }
    });
    let strips = written.strips.list.iter().map(|strip| strip.species.clone());
    // One slip of the pen stands in one place, however many doors take their wood from it.
    for entry in doors.chain(strips) {
        let Some(At { value, place }) = entry.given() else { continue };
        let Ok(species) = Species::named(&same_name(value)) else { continue };
        if stocked.contains(&species) {
            continue;
        }
        let what = format!("the boards file has no {species}");
        let problem = Problem::new(Kind::UnknownName, *place, what);
        let names = stocked.iter().flat_map(|species| species.words());
        check.note(match nearest(species.name(), names) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => {
                let names: Vec<&str> = stocked.iter().map(|species| species.name()).collect();
                problem.help(format!("it has {}", names.join(", ")))
            }
        });
    }
}
