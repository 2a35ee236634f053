//! Panels of the cases, the sheets they are cut from, and the room that the doors leave.

use itertools::Itertools;

use super::Sheet;
use crate::case::{Clear, ClearBox, Panel, Smallest, USUAL_LINING, clear_of, yields};
use crate::doors::Door;
use crate::job::{Job, Order};
use crate::measure::Length;
use crate::plan::Plan;
use crate::report::cell::Cell;
use crate::report::template::GrooveTemplate;

/// `case.csv`: one panel a row, as often as it is built; lengths along the grain.
#[must_use]
pub fn case(job: &Job, plan: &Plan) -> Sheet {
    let routed = templates(job, &plan.doors);
    let mut parts = vec![Cell::Empty; plan.cased.case.panels.len()];
    for part in &plan.cased.case.parts {
        part.panels.iter().for_each(|at| parts[*at] = Cell::text(&part.name));
    }
    let rows = plan.cased.case.panels.iter().zip(parts).map(|(panel, part)| {
        vec![
            Cell::text(&job.cabinets[panel.cabinet].name),
            Cell::text(panel.name),
            Cell::Count(panel.count.into()),
            Cell::Length(panel.length),
            Cell::Length(panel.width),
            Cell::Length(panel.thickness),
            Cell::text(&panel.material.name),
            Cell::text(source(job, panel)),
            Cell::text("length"),
            Cell::text(panel.edged.words()),
            Cell::Length(panel.cut_length()),
            Cell::Length(panel.cut_width()),
            Cell::text(if panel.grooved { "inside" } else { "" }),
            Cell::text(routed_by(&routed, panel).join("; ")),
            part,
        ]
    });
    const COLUMNS: [&str; 15] = [
        "cabinet",
        "panel",
        "count",
        "length",
        "width",
        "thickness",
        "material",
        "source",
        "grain",
        "edged",
        "cut_length",
        "cut_width",
        "groove_face",
        "template",
        "part",
    ];
    Sheet::new("case", &COLUMNS, rows.collect())
}

/// `sheet`, `boards` (glued up), or `listed`: in no row of the sheets file.
fn source(job: &Job, panel: &Panel) -> &'static str {
    match &panel.material.solid {
        Some(_) => "boards",
        None if job.sheets.iter().any(|sheet| yields(sheet, &panel.material, panel.thickness)) => "sheet",
        None => "listed",
    }
}

/// The groove templates of a job by their names, each with the cabinets it is for.
pub(in crate::report) fn templates(job: &Job, doors: &[Door]) -> Vec<(String, Vec<usize>)> {
    let cabinet = |name: &String| doors.iter().find(|door| door.name == *name).map(|door| door.cabinet);
    let numbered = (1..).zip(GrooveTemplate::of_job(job, doors));
    numbered
        .map(|(number, template)| (format!("groove-{number}"), template.doors.iter().filter_map(cabinet).collect()))
        .collect()
}

/// Those of them that a panel is routed by.
pub(in crate::report) fn routed_by<'a>(templates: &'a [(String, Vec<usize>)], panel: &Panel) -> Vec<&'a str> {
    let used = templates.iter().filter(|(_, cabinets)| panel.grooved && cabinets.contains(&panel.cabinet));
    used.map(|(name, _)| name.as_str()).collect()
}

/// `sheets.csv`: one kind of sheet used a row, by name.
#[must_use]
pub fn sheets(job: &Job, plan: &Plan) -> Sheet {
    let rows = plan.cased.sheets_used(job).into_iter().map(|(sheet, used)| {
        vec![
            Cell::text(&sheet.sheet),
            Cell::text(&sheet.material),
            Cell::Length(sheet.thickness),
            Cell::Length(sheet.width),
            Cell::Length(sheet.length),
            Cell::text(if sheet.on_hand.is_none() { "buy" } else { "on_hand" }),
            Cell::Count(used.into()),
            Cell::Money(sheet.unit_cost),
            Cell::Money(sheet.unit_cost * i64::from(used)),
        ]
    });
    const COLUMNS: [&str; 9] =
        ["sheet", "material", "thickness", "width", "length", "source", "sheets", "price", "cost"];
    Sheet::new("sheets", &COLUMNS, rows.collect())
}

/// `sheet_cuts.csv`: one group of equal rips in one crosscut length (or full-length rip) a row; sheets numbered from 1.
#[must_use]
pub fn sheet_cuts(job: &Job, plan: &Plan) -> Sheet {
    let mut rows = Vec::new();
    for (number, cut) in (1i64..).zip(&plan.cased.sheets.boards) {
        for (blank_number, blank) in (1i64..).zip(&cut.blanks) {
            for group in blank.rips.iter().sorted_by_key(|group| group.part) {
                let part = &plan.cased.case.parts[group.part];
                rows.push(vec![
                    Cell::Count(number),
                    Cell::text(&job.sheets[cut.stock].sheet),
                    Cell::text(cut.order.word()),
                    Cell::Count(blank_number),
                    Cell::Length(blank.length),
                    Cell::text(&part.name),
                    Cell::Length(group.rip_width),
                    Cell::Count(group.rips.into()),
                    Cell::Count(group.pieces.into()),
                    Cell::Count(i64::from(group.rips) * i64::from(group.pieces)),
                    Cell::Length(part.length),
                    Cell::Length(part.width),
                    Cell::Length(if cut.order == Order::RipFirst { group.from } else { blank.from() }),
                ]);
            }
        }
    }
    const COLUMNS: [&str; 13] = [
        "number",
        "sheet",
        "order",
        "blank",
        "blank_length",
        "part",
        "rip_width",
        "rips",
        "pieces_per_rip",
        "panels",
        "panel_length",
        "panel_width",
        "from",
    ];
    Sheet::new("sheet_cuts", &COLUMNS, rows)
}

/// The lining of a cabinet: the job's, or as is usual.
fn lining(job: &Job, cabinet: usize) -> Length {
    let spec = job.cabinets[cabinet].case.as_ref().and_then(|case| case.lining.as_ref());
    spec.map_or(USUAL_LINING, |lining| lining.thickness)
}

/// The largest room for shelves behind the lining of a cabinet, of the job's thickness or as is usual.
pub(in crate::report) fn lined_room(job: &Job, door: &Door) -> Option<ClearBox> {
    let clear = Clear::of(job.cabinets.get(door.cabinet)?, door, job.units)?;
    Some(clear.largest(Some(lining(job, door.cabinet))))
}

/// What the doors leave of each case: the largest shelf, the widest and the deepest, bare and behind a lining.
#[must_use]
pub fn clear_rooms(job: &Job, doors: &[Door]) -> Sheet {
    let mut rows = Vec::new();
    for cabinet in 0..job.cabinets.len() {
        if let Some(clear) = clear_of(job, doors, cabinet) {
            rows.extend(rooms_of(job, cabinet, &clear));
        }
    }
    const COLUMNS: [&str; 6] = ["cabinet", "shelf", "lining", "width", "depth", "height"];
    Sheet::new("room", &COLUMNS, rows)
}

fn rooms_of(job: &Job, cabinet: usize, clear: &Clear) -> Vec<Vec<Cell>> {
    let spec = &job.cabinets[cabinet];
    let mut rows = Vec::new();
    for lining in [None, Some(lining(job, cabinet))] {
        let kinds = [
            ("largest", clear.largest(lining)),
            ("widest", clear.widest(lining)),
            ("deepest", clear.between_corners(lining)),
        ];
        for (kind, room) in kinds {
            rows.push(vec![
                Cell::text(&spec.name),
                Cell::text(kind),
                lining.map_or_else(|| Cell::text("none"), |thickness| Cell::text(thickness.show_nearest(job.units))),
                Cell::Length(room.width),
                Cell::Length(room.depth),
                Cell::Length(room.height),
            ]);
        }
    }
    rows
}

/// The smallest case of each cabinet's kind in which a room is free, bare and behind a lining.
#[must_use]
pub fn smallest_cases(job: &Job, wanted: ClearBox) -> Sheet {
    let mut rows = Vec::new();
    for cabinet in 0..job.cabinets.len() {
        for lining in [None, Some(lining(job, cabinet))] {
            if let Some(found) = crate::case::smallest(job, cabinet, wanted, lining) {
                rows.push(smallest_row(job, cabinet, lining, &found));
            }
        }
    }
    Sheet::new("smallest", &["cabinet", "lining", "inside", "outside", "doors"], rows)
}

fn smallest_row(job: &Job, cabinet: usize, lining: Option<Length>, found: &Smallest) -> Vec<Cell> {
    let show = |sizes: [Length; 3]| sizes.map(|size| size.show_nearest(job.units)).join(" x ");
    let failing = found.doors.iter().flat_map(|door| &door.checks).find(|check| !check.holds());
    let (inside, outside) = (found.inside, found.outside);
    vec![
        Cell::text(&job.cabinets[cabinet].name),
        lining.map_or_else(|| Cell::text("none"), |thickness| Cell::text(thickness.show_nearest(job.units))),
        Cell::text(show([inside.width, inside.depth, inside.height])),
        Cell::text(show([outside.width, outside.depth, outside.height])),
        failing.map_or_else(
            || Cell::text("fit"),
            |check| Cell::text(format!("{} fails", check.check.word().replace('_', " "))),
        ),
    ]
}
