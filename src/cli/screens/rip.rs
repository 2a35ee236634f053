//! `rip`: the rip list for a helper, board by board.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::{NOTHING_RIPPED, cases, caution_lines, ease, orders, title, wrapped};
use crate::job::{Job, Milling, Order};
use crate::measure::Length;
use crate::packing::boards::{Blank, CutBoard};
use crate::plan::Plan;

/// Boards with their blanks, fence settings, counts, parts and running totals.
pub(in crate::cli) fn rip(job: &Job, plan: &Plan) -> String {
    let mut out = title(job, &format!("rip list, lengths in {}", job.units.plural()));
    if plan.demand.parts.is_empty() {
        return out + NOTHING_RIPPED + &cases::cuts(job, plan);
    }
    out += &caution_lines();
    out.push('\n');
    let orders = orders(job, plan);
    if !orders.is_empty() {
        out += &orders;
        out.push('\n');
    }
    out += &parts(job, plan);
    out.push('\n');
    out += &ease(job, plan);
    let mut so_far: BTreeMap<usize, u64> = BTreeMap::new();
    let mut number = 1;
    for alike in plan.boards.boards.chunk_by(|a, b| a == b) {
        out += &heading(job, alike, number);
        number += alike.len();
        for (count, blank) in (1..).zip(&alike[0].blanks) {
            out += &blank_line(job, &alike[0], count, blank);
            out += &rip_lines(job, plan, (&alike[0], blank), alike.len() as u64, &mut so_far);
        }
    }
    out + &cases::cuts(job, plan)
}

/// The parts with their sizes and how many are wanted: what the running totals run to.
fn parts(job: &Job, plan: &Plan) -> String {
    crate::cli::width::table(
        &crate::report::slats(plan),
        job,
        &[
            ("part", "part"),
            ("species", "wood"),
            ("length", "length"),
            ("width", "width"),
            ("thickness", "thick"),
            ("total", "strips"),
            ("doors", "for"),
        ],
    )
}

fn heading(job: &Job, alike: &[CutBoard], first: usize) -> String {
    let stock = &job.boards[alike[0].stock];
    let size = format!(
        "{}, {} {}, {} x {}",
        stock.stock,
        stock.thickness.show(job.units),
        stock.species,
        stock.width.show_nearest(job.units),
        stock.length.show_nearest(job.units)
    );
    let trim = job.shop.cutting.end_trim.show_nearest(job.units);
    let which = match alike.len() {
        1 => format!("Board {first}"),
        n => format!("Boards {first} to {} ({n} alike; cuts for each, counts after all {n})", first + n - 1),
    };
    let order = match alike[0].order {
        Order::CrosscutFirst => "crosscut first",
        Order::RipFirst => "rip first",
    };
    let show = |length: Length| length.show_nearest(job.units);
    let spans = stock.defects.iter().map(|defect| format!("{} to {}", show(defect.from), show(defect.to)));
    let spans = spans.collect::<Vec<_>>().join(", ");
    let cut_out = if spans.is_empty() { spans } else { format!("; cut out {spans}, from the end it is measured from") };
    format!("\n{}", wrapped(&format!("{which}: {size}; {order}; {trim} off each end{cut_out}"), 2))
}

/// Where a cut begins, on a board with defects: there it is not simply the next one.
fn begins(job: &Job, board: &CutBoard, from: Length) -> String {
    if job.boards[board.stock].defects.is_empty() {
        return String::new();
    }
    format!(" from {}", from.show_nearest(job.units))
}

fn blank_line(job: &Job, board: &CutBoard, count: usize, blank: &Blank) -> String {
    let length = blank.length.show_nearest(job.units);
    let planed = blank.planed.show_nearest(job.units);
    let plane = match blank.milling {
        Milling::Flat => format!("plane to {planed}"),
        Milling::Edge => format!("plane to {planed}, the strips' width"),
    };
    let leaves = if blank.leaves > 1 { format!(", resaw into {} leaves", blank.leaves) } else { String::new() };
    match board.order {
        Order::CrosscutFirst => {
            format!("  blank {count}: {length} long{}, {plane}{leaves}\n", begins(job, board, blank.from()))
        }
        Order::RipFirst => format!("  rip {count}: the board's length, {plane} after ripping{leaves}\n"),
    }
}

fn rip_lines(
    job: &Job,
    plan: &Plan,
    (board, blank): (&CutBoard, &Blank),
    boards: u64,
    so_far: &mut BTreeMap<usize, u64>,
) -> String {
    let mut out = String::new();
    let rip_first = board.order == Order::RipFirst;
    for (at, group) in blank.rips.iter().enumerate() {
        let part = &plan.demand.parts[group.part];
        let strips = u64::from(group.rips) * u64::from(group.pieces) * u64::from(blank.leaves);
        let cut = so_far.entry(group.part).or_default();
        *cut += strips * boards;
        let pieces = if group.pieces > 1 { format!(", {} lengths in each", group.pieces) } else { String::new() };
        let begins = if rip_first { begins(job, board, group.from) } else { String::new() };
        let fence = group.rip_width.show_nearest(job.units);
        // Rip first, all rows of a blank are lengths of the same rips.
        let sawn =
            if rip_first && at > 0 { "of the same rips".to_owned() } else { format!("{} x {fence}", group.rips) };
        let _ = writeln!(
            out,
            "    {sawn}{pieces}{begins} for {}: {strips} {}, {cut} of {}",
            part.name,
            if strips == 1 { "strip" } else { "strips" },
            part.total()
        );
    }
    out
}
