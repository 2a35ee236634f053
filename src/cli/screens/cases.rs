//! The room in the cases, their panels and the sheets they are cut from.

use std::collections::BTreeMap;
use std::fmt::Write;

use itertools::Itertools;

use super::{marked, money, title, wrapped};
use crate::case::{ClearBox, outside};
use crate::cli::width::table;
use crate::doors::Door;
use crate::job::{Job, Order};
use crate::measure::Length;
use crate::packing::boards::CutBoard;
use crate::plan::Plan;
use crate::report::{self, Sheet};

/// What the doors leave of each case for shelves.
pub(super) fn rooms(job: &Job, doors: &[Door]) -> String {
    let rooms = report::clear_rooms(job, doors);
    if rooms.rows.is_empty() {
        return String::new();
    }
    let columns = [
        ("cabinet", "cabinet"),
        ("shelf", "shelf"),
        ("lining", "lining"),
        ("width", "width"),
        ("depth", "depth"),
        ("height", "height"),
    ];
    let outsides = job.cabinets.iter().filter_map(|cabinet| Some((cabinet, outside(cabinet, cabinet.inside?))));
    let outsides: String = outsides
        .map(|(cabinet, size)| {
            let size = [size.width, size.depth, size.height].map(|length| length.show_nearest(job.units)).join(" x ");
            wrapped(&format!("{}: {size} {} outside, width x depth x height.", cabinet.name, job.units), 2)
        })
        .collect();
    String::from("\nRoom for shelves that no slat reaches\n")
        + &table(&rooms, job, &columns)
        + &wrapped(
            "Largest by its area; widest behind the front corners; deepest between the corners. Beside a lining the door has \
             its room to run; without one nothing is taken off.",
            2,
        )
        + &outsides
}

/// `check --room`: how small a case may be for a wanted room.
pub(in crate::cli) fn smallest(job: &Job, wanted: ClearBox, found: &Sheet) -> String {
    let show = |length: Length| length.show_nearest(job.units);
    let room = format!("{} x {} x {}", show(wanted.width), show(wanted.depth), show(wanted.height));
    let columns =
        [("cabinet", "as"), ("lining", "lining"), ("inside", "inside"), ("outside", "outside"), ("doors", "doors")];
    title(job, &format!("smallest cases with {room} {} free, width x depth x height", job.units))
        + &table(found, job, &columns)
        + &wrapped("With the slats, grooves, corners and panels of each cabinet; of the least floor.", 2)
}

/// Panels and sheets in a few words, and what of them is not priced.
pub(super) fn in_words(job: &Job, plan: &Plan) -> String {
    let cased = &plan.cased;
    if cased.case.is_empty() {
        return String::new();
    }
    let panels: u64 = cased.case.panels.iter().map(|panel| u64::from(panel.count)).sum();
    let mut out = String::new();
    let (sheets, used) = (&cased.sheets, cased.sheets.boards.len());
    let from =
        if used == 0 { String::new() } else { format!(" from {used} sheet{}", if used == 1 { "" } else { "s" }) };
    out += &wrapped(&format!("Cases: {panels} panels{from}."), 2);
    if used > 0 && sheets.optimal {
        out += &wrapped(&format!("Sheets {}: proven lowest under the cutting rules.", money(job, sheets.cost)), 2);
    } else if used > 0 {
        let (cost, bound) = (money(job, sheets.cost), marked(job, sheets.bound));
        out += &wrapped(&format!("Sheets {cost}: no plan can cost less than {bound}."), 2);
    }
    out + &not_priced(job, plan)
}

/// Materials that nothing is bought for.
pub(super) fn not_priced(job: &Job, plan: &Plan) -> String {
    let show = |length: &Length| format!("{} {}", length.show_nearest(job.units), job.units);
    let unlisted = plan.cased.case.unlisted.iter().map(|(name, thickness)| {
        format!(
            "{name} {} is in no row of the sheets file: its panels are listed, not packed and not priced.",
            show(thickness)
        )
    });
    let unpriced = plan.cased.unpriced(job).into_iter().map(|wood| {
        format!(
            "No board for sale yields panels of {} {}: they are listed and not priced.",
            wood.species,
            show(&wood.thickness)
        )
    });
    unlisted.chain(unpriced).map(|said| wrapped(&said, 2)).collect()
}

/// How the sheets are cut, one after the other.
pub(super) fn cuts(job: &Job, plan: &Plan) -> String {
    let cased = &plan.cased;
    if cased.sheets.boards.is_empty() {
        return String::new();
    }
    let show = |length: Length| length.show_nearest(job.units);
    let mut out = String::from("\nPanels out of sheets\n");
    for part in &cased.case.parts {
        let of = part.panels.iter().map(|at| &cased.case.panels[*at]);
        let users =
            of.map(|panel| format!("{} of {}", panel.name, job.cabinets[panel.cabinet].name)).unique().join(", ");
        let size = format!("{} x {}", show(part.length), show(part.width));
        out += &wrapped(&format!("{}: {} of {size}, {}", part.name, part.count, users), 4);
    }
    let mut so_far: BTreeMap<usize, u64> = BTreeMap::new();
    let mut number = 1;
    for alike in cased.sheets.boards.chunk_by(|a, b| a == b) {
        out += &heading(job, alike, number);
        number += alike.len();
        out += &sheet_lines(job, plan, alike, &mut so_far);
    }
    out
}

fn heading(job: &Job, alike: &[CutBoard], first: usize) -> String {
    let sheet = &job.sheets[alike[0].stock];
    let which = match alike.len() {
        1 => format!("Sheet {first}"),
        many => {
            format!("Sheets {first} to {} ({many} alike; cuts for each, counts after all {many})", first + many - 1)
        }
    };
    let order = match alike[0].order {
        Order::CrosscutFirst => "crosscut first",
        Order::RipFirst => "rip first",
    };
    let show = |length: Length| length.show_nearest(job.units);
    let trim = show(job.shop.panels.trim);
    let size = format!("{} x {}", show(sheet.width), show(sheet.length));
    format!("\n{}", wrapped(&format!("{which}: {}, {size}; {order}; {trim} off each edge", sheet.sheet), 2))
}

fn sheet_lines(job: &Job, plan: &Plan, alike: &[CutBoard], so_far: &mut BTreeMap<usize, u64>) -> String {
    let show = |length: Length| length.show_nearest(job.units);
    let board = &alike[0];
    let mut out = String::new();
    for (count, blank) in (1..).zip(&board.blanks) {
        let crosscut = board.order == Order::CrosscutFirst;
        let _ = match crosscut {
            true => writeln!(out, "  crosscut {count}: {} along the grain", show(blank.length)),
            false => writeln!(out, "  rip {count}: the sheet's length"),
        };
        for (at, group) in blank.rips.iter().enumerate() {
            let part = &plan.cased.case.parts[group.part];
            let panels = u64::from(group.rips) * u64::from(group.pieces);
            let cut = so_far.entry(group.part).or_default();
            *cut += panels * alike.len() as u64;
            let sawn = if crosscut || at == 0 {
                format!("{} x {}", group.rips, show(group.rip_width))
            } else {
                "of the same rips".to_owned()
            };
            let pieces = if group.pieces > 1 || !crosscut || part.length < blank.length {
                format!(", {} of {} in each", group.pieces, show(part.length))
            } else {
                String::new()
            };
            let trimmed =
                if part.width < group.rip_width { format!(", trimmed to {}", show(part.width)) } else { String::new() };
            let _ = writeln!(out, "    {sawn}{pieces}{trimmed} for {}: {cut} of {}", part.name, part.count);
        }
    }
    out
}
