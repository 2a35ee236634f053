//! Why a job cannot be done as asked, and what would help.

use itertools::Itertools;

use super::fit::{cures, place};
use super::wrapped;
use crate::bill::BillError;
use crate::case::{CaseProblem, Casework, SheetPart};
use crate::demand::Demand;
use crate::doors::{Door, cloth_cure, lay_out};
use crate::job::{Job, Thing};
use crate::measure::Length;
use crate::packing::boards::BoardShortage;
use crate::packing::cloth::ClothShortage;
use crate::plan::CannotPlan;

/// One message a reason.
pub(in crate::cli) fn cannot(job: &Job, cannot: &CannotPlan) -> String {
    let cures = if let CannotPlan::Doors(doors) = cannot { cures_of(doors) } else { String::new() };
    errors(job, cannot) + &cures
}

/// The reasons alone: for where the cures are shown already.
pub(in crate::cli) fn errors(job: &Job, cannot: &CannotPlan) -> String {
    reasons(job, cannot).iter().map(|reason| wrapped(&format!("error: {reason}"), 2)).collect()
}

/// What would mend the doors that fail, once for all that are mended alike.
fn cures_of(doors: &[Door]) -> String {
    let failing = doors.iter().filter(|door| !door.fits());
    let alike = failing.into_group_map_by(|door| door.fixes.iter().map(|fix| fix.text.as_str()).collect_vec());
    let alike = alike.into_values().sorted_by_key(|group| doors.iter().position(|door| door.name == group[0].name));
    alike
        .map(|group| cures(&named_doors(&group.iter().map(|door| door.name.as_str()).collect_vec()), &group[0].fixes))
        .collect()
}

/// `door `a``, `doors `a`, `b``.
fn named_doors(names: &[&str]) -> String {
    format!("door{} {}", if names.len() == 1 { "" } else { "s" }, named(names.iter().copied()))
}

/// Every reason, each with what is missing; never none.
pub(in crate::cli) fn reasons(job: &Job, cannot: &CannotPlan) -> Vec<String> {
    match cannot {
        CannotPlan::Doors(doors) => failed_checks(job, doors),
        CannotPlan::Boards(short, demand) => boards(job, demand, short),
        CannotPlan::Cloth(short, demand) => cloth(job, demand, short),
        CannotPlan::Case(problems) => problems.iter().map(|problem| case_problem(job, problem)).collect(),
        CannotPlan::Sheets(short, case) => sheets(job, case, short),
        CannotPlan::Demand(error) => {
            let user = Some(error.user());
            let at = placed(job, Thing::User, user);
            let at = if at.is_empty() { placed(job, Thing::ClothPiece, user) } else { at };
            vec![format!("{at}{error}")]
        }
        CannotPlan::Bill(error) => vec![format!("{}{error}", line_placed(job, error))],
        CannotPlan::Rejected(violations) => violations
            .iter()
            .map(|violation| format!("the plan failed its own check, a fault of slatwright: {violation}"))
            .collect(),
    }
}

/// Every check that fails, once for all the doors where it fails alike.
fn failed_checks(job: &Job, doors: &[Door]) -> Vec<String> {
    let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
    for door in doors {
        for check in door.checks.iter().filter(|check| !check.holds()) {
            let advice = check.said(&door.fixes).unwrap_or("see `slatwright check`");
            let said = format!("{}: {advice}", place(check));
            match alike.iter_mut().find(|(other, _)| *other == said) {
                Some((_, names)) => names.push(&door.name),
                None => alike.push((said, vec![&door.name])),
            }
        }
    }
    let line = |(said, names): (String, Vec<&str>)| {
        let at = placed(job, Thing::User, names.first().copied());
        format!("{at}{}, {said}", named_doors(&names))
    };
    alike.into_iter().map(line).collect()
}

/// `job.toml:12: `, where the job was read from a file: the first place to look at.
fn placed(job: &Job, thing: Thing, name: Option<&str>) -> String {
    name.and_then(|name| job.written.place(thing, name)).map_or_else(String::new, |place| format!("{place}: "))
}

/// Where a line of the bill comes from. Its name may say more than the file does: of which boards random widths are
/// allowed for, who does the work.
fn line_placed(job: &Job, error: &BillError) -> String {
    let name = match error {
        BillError::TooLarge { line } => line.as_str(),
        BillError::Coverage { name } => name,
        BillError::UnknownStock { .. } => return String::new(),
    };
    let within = name.split_once(", ");
    let names = [Some(name), within.map(|(_, after)| after), within.map(|(before, _)| before)];
    names.into_iter().map(|name| placed(job, Thing::Priced, name)).find(|at| !at.is_empty()).unwrap_or_default()
}

/// Names in a row, those beyond the twentieth counted.
fn named<'a>(names: impl Iterator<Item = &'a str>) -> String {
    const MOST: usize = 20;
    let names: Vec<&str> = names.unique().collect();
    let shown = names.iter().take(MOST).map(|name| format!("`{name}`")).join(", ");
    match names.len().saturating_sub(MOST) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// Where the first user of a part stands.
fn part_placed(job: &Job, demand: &Demand, part: usize) -> String {
    placed(job, Thing::User, demand.parts[part].uses.first().map(|user| user.name.as_str()))
}

fn part_in_words(job: &Job, demand: &Demand, part: usize) -> String {
    let part = &demand.parts[part];
    let show = |length: Length| length.show_nearest(job.units);
    let users = named(part.uses.iter().map(|user| user.name.as_str()));
    let users = if users.is_empty() { users } else { format!(", for {users}") };
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
            .map(|(part, why)| {
                let at = part_placed(job, demand, *part);
                format!("{at}no board yields a strip of {}: {why}", part_in_words(job, demand, *part))
            })
            .collect(),
        BoardShortage::RunsShort(parts) => parts
            .iter()
            .map(|(part, missing)| {
                let at = part_placed(job, demand, *part);
                let strips = if *missing == 1 { "strip" } else { "strips" };
                format!(
                    "{at}the boards on hand run short by {missing} {strips} of {}",
                    part_in_words(job, demand, *part)
                )
            })
            .collect(),
    }
}

/// A problem of a case at the line of its cabinet.
fn case_problem(job: &Job, problem: &CaseProblem) -> String {
    let cabinet = job.cabinets.iter().find(|cabinet| cabinet.name == problem.cabinet());
    let door = cabinet.and_then(|cabinet| cabinet.doors.first()).map(|door| door.name.as_str());
    format!("{}{}", placed(job, Thing::User, door), problem.said(job.units))
}

fn sheets(job: &Job, case: &Casework, short: &BoardShortage) -> Vec<String> {
    let show = |length: Length| format!("{} {}", length.show_nearest(job.units), job.units);
    let words = |part: &SheetPart| {
        let of = part.panels.iter().map(|at| &case.panels[*at]);
        let users =
            of.map(|panel| format!("{} of `{}`", panel.name, job.cabinets[panel.cabinet].name)).unique().join(", ");
        format!(
            "{} {} x {} in {} {} ({users})",
            part.name,
            show(part.length),
            show(part.width),
            show(part.thickness),
            part.material
        )
    };
    let first_door = |part: &SheetPart| {
        let panel = part.panels.first().map(|at| &case.panels[*at])?;
        job.cabinets[panel.cabinet].doors.first().map(|door| door.name.as_str())
    };
    match short {
        BoardShortage::NoBoard(parts) => parts
            .iter()
            .map(|(at, _)| {
                let part = &case.parts[*at];
                format!(
                    "{}no sheet yields {}: {}",
                    placed(job, Thing::User, first_door(part)),
                    words(part),
                    nearest_sheet(job, part)
                )
            })
            .collect(),
        BoardShortage::RunsShort(parts) => parts
            .iter()
            .map(|(at, missing)| {
                let part = &case.parts[*at];
                format!(
                    "{}the sheets on hand run short by {missing} of {}",
                    placed(job, Thing::User, first_door(part)),
                    words(part)
                )
            })
            .collect(),
    }
}

/// By how much the panel is too large for the sheet that comes nearest.
fn nearest_sheet(job: &Job, part: &SheetPart) -> String {
    let show = |length: Length| format!("{} {}", length.show_nearest(job.units), job.units);
    let trims = job.shop.panels.trim * 2;
    let goods = job.sheets.iter().filter(|sheet| {
        sheet.material.to_lowercase() == part.material.to_lowercase() && sheet.thickness == part.thickness
    });
    let over = goods.map(|sheet| {
        let long = (part.length - (sheet.length - trims)).max(Length::ZERO);
        let wide = (part.width - (sheet.width - trims)).max(Length::ZERO);
        (long + wide, long, wide, sheet)
    });
    let Some((_, long, wide, sheet)) = over.min_by_key(|(over, ..)| *over) else { return "there is none".to_owned() };
    let over = match (long.is_positive(), wide.is_positive()) {
        (true, true) => format!("{} too long and {} too wide", show(long), show(wide)),
        (true, false) => format!("{} too long", show(long)),
        (false, true) => format!("{} too wide", show(wide)),
        (false, false) => "there is none left".to_owned(),
    };
    let (length, width) = (show(sheet.length - trims), show(sheet.width - trims));
    format!("{over}; `{}` gives {length} x {width} within its trims, the grain along its length", sheet.sheet)
}

fn cloth(job: &Job, demand: &Demand, short: &ClothShortage) -> Vec<String> {
    let name = |piece: usize| {
        let need = &demand.cloth[piece];
        let size = (need.along.show_nearest(job.units), need.across.show_nearest(job.units));
        let whom = named(need.doors.iter().map(String::as_str));
        let whom = if whom.is_empty() { whom } else { format!(" for {whom}") };
        format!("cloth piece {}, {} along x {} across,{whom}", need.name, size.0, size.1)
    };
    let at = |piece: usize| {
        let user = demand.cloth[piece].doors.first().map(String::as_str);
        let door = placed(job, Thing::User, user);
        if door.is_empty() { placed(job, Thing::ClothPiece, user) } else { door }
    };
    match short {
        ClothShortage::TooWide(pieces) => pieces
            .iter()
            .map(|(piece, widest)| {
                let (most, widest) = (*widest, widest.show_nearest(job.units));
                let (at, name) = (at(*piece), name(*piece));
                let cure = cure(job, demand, *piece, most);
                format!("{at}{name} is wider than every bolt: the widest is {widest} between selvages, washed{cure}")
            })
            .collect(),
        ClothShortage::TooLong(pieces) => pieces
            .iter()
            .map(|(piece, longest)| {
                let longest = longest.show_nearest(job.units);
                let (at, name) = (at(*piece), name(*piece));
                format!(
                    "{at}{name} is longer than what is on hand of any bolt so wide: the longest is {longest}, washed"
                )
            })
            .collect(),
        ClothShortage::RunsShort(pieces) => pieces
            .iter()
            .map(|(piece, missing)| format!("{}the remnants run short by {missing} of {}", at(*piece), name(*piece)))
            .collect(),
    }
}

/// What a cabinet or a loose piece would have to say for a piece to come out of the widest bolt.
fn cure(job: &Job, demand: &Demand, piece: usize, widest: Length) -> String {
    let need = &demand.cloth[piece];
    let doors = lay_out(job);
    let mut owners = need.owners.iter();
    let first = owners.find_map(|owner| doors.iter().find(|door| door.name == owner.name));
    let cure = match first {
        Some(door) => cloth_cure(job, door, widest).map(|cure| format!("{cure} in its `[[cabinet]]`")),
        None => (need.along <= widest).then(|| "`turn = true` in its `[[cloth_piece]]`".to_owned()),
    };
    cure.map_or_else(String::new, |cure| format!("; with {cure} it comes out of that one"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Sources;
    use crate::job;

    /// A line of the bill that runs too high is named with the place that asks for it, in whichever file that is.
    #[test]
    fn a_line_that_cannot_be_added_up_is_named_with_its_place() {
        let job = "shop = 's'\nboards = 'b'\n[[line]]\nname = 'gold leaf'\nquantity = 1\nprice = 1\n[[strip]]\n\
                   name = 'edging'\nspecies = 'cherry'\nlength = 20\nwidth = 1\nthickness = 0.5\nquantity = 2\n";
        let shop = "overhead = 0.1\noperation = [\n{ name = 'ripping', minutes = 1 },\n]\n[rates]\nhelper = 30\nmaker = 50\n\
                    [[labour]]\nname = 'cases'\nhours = 1\nrate = 1\nper = 'job'\n";
        let boards = "stock,species,thickness,width,length,on_hand,price,per\n\nsix,cherry,4/4,6,96,,9,bf\n";
        let sources = Sources::in_memory("job.toml", job).with("s", shop).with("b", boards);
        let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
        let said = |line: &str| {
            let error = BillError::TooLarge { line: line.to_owned() };
            reasons(&job, &CannotPlan::Bill(error)).remove(0)
        };
        assert_eq!(said("gold leaf"), "job.toml:4: `gold leaf` costs more than can be added up");
        assert!(said("ripping, helper").starts_with("s:3: `ripping, helper`"), "{}", said("ripping, helper"));
        assert!(said("random widths, six").starts_with("b:3: "), "{}", said("random widths, six"));
        assert!(said("cases").starts_with("s:9: "), "{}", said("cases"));
        assert!(said("overhead").starts_with("s:1: "), "{}", said("overhead"));
        assert!(said("never heard of").starts_with('`'));
    }
}
