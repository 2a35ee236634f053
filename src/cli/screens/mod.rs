//! What each command prints for a person, at most 80 columns wide.

mod cannot;
mod cases;
mod fit;
mod floor;
mod quote;
mod rejects;
mod rip;
mod worth;

use std::fmt::Write;
use std::path::Path;

use itertools::Itertools;

pub(super) use self::cannot::{cannot, errors, reasons};
pub(super) use self::cases::smallest;
use self::fit::{fit, verdicts};
pub(super) use self::floor::{count, paid_for, pile, rack, together, yard};
pub(super) use self::quote::{
    actuals, change_order, client, compare, earned, estimate, frozen, held_elsewhere, quote_screen as quote, quotes,
};
pub(super) use self::rip::rip;
pub(super) use self::worth::worth;
use crate::cli::width::{self, table};
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{BoardPlace, Job};
use crate::measure::Units;
use crate::plan::Plan;
use crate::report::{self, cautions, printable};

/// Files of a plan folder that were edited since they were written.
pub(in crate::cli) fn kept(names: &[String]) -> String {
    if names.is_empty() {
        return String::new();
    }
    let (these, wrote, are) =
        if names.len() == 1 { ("This file was", "it", "is") } else { ("These files were", "them", "are") };
    let names = names.join(", ");
    String::from("\n")
        + &wrapped(&format!("{these} edited since slatwright wrote {wrote}, and {are} kept as {names}."), 2)
}

/// Values of the files that are allowed and hardly ever meant, one note each.
pub(in crate::cli) fn questions(job: &Job) -> String {
    const MOST: usize = 20;
    let asked = &job.written.questions;
    let mut out: String = asked.iter().take(MOST).map(|asked| wrapped(&format!("note: {asked}"), 2)).collect();
    if let Some(more) = asked.len().checked_sub(MOST).filter(|more| *more > 0) {
        let _ = writeln!(out, "note: {more} more values like these");
    }
    out
}

/// Instead of a table of strips, where there are none.
const NOTHING_RIPPED: &str = "Nothing is ripped for this job.\n";

/// What to do next, after an error.
pub(in crate::cli) fn help(next: &str) -> String {
    wrapped(&format!("help: {next}"), 6)
}

/// Breaks running text at blanks so that it fits; following lines are indented by `indent`.
fn wrapped(text: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut column = 0;
    for word in printable(text).split_whitespace() {
        let width = word.chars().count();
        if column > 0 && column + 1 + width > width::of_text() {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += width;
    }
    out.push('\n');
    out
}

fn title(job: &Job, what: &str) -> String {
    wrapped(&format!("{}: {what}", job.name), 2) + "\n"
}

fn caution_lines() -> String {
    let mut out = String::from("Cautions\n");
    for caution in cautions::CAUTIONS {
        out += &wrapped(&format!("- {caution}"), 2);
    }
    out + &wrapped(cautions::DEFERENCE, 0)
}

/// `check`: how the doors fit, their sizes, and what is to be cut; with `all` every check and every default too.
pub(in crate::cli) fn check(job: &Job, doors: &[Door], demand: Option<&Demand>, all: bool) -> String {
    let mut out = title(job, &format!("doors, lengths in {}", job.units.plural()));
    out += &verdicts(job, doors);
    out.push('\n');
    out += &doors_table(job, doors);
    if all {
        out += &fit(job, doors);
        out += &cases::rooms(job, doors);
    }
    if let Some(demand) = demand {
        let parts: u32 = demand.parts.iter().map(|part| part.total()).sum();
        let spares: u32 = demand.parts.iter().map(|part| part.spares).sum();
        let _ = writeln!(out, "\nStrips to cut: {parts} of {} sizes, {spares} of them spares.", demand.parts.len());
        out += &rejects::looked_for(job, demand);
        out += &pooling(job, demand);
        for note in &demand.notes {
            out += &wrapped(note, 2);
        }
    }
    if all {
        return out + &defaults(job);
    }
    let used = job.defaults.len();
    let defaults = if used == 1 { "1 default".to_owned() } else { format!("{used} defaults") };
    out + "\n" + &wrapped(&format!("`check --all` shows every check, stops, room, seasons and the {defaults} used."), 2)
}

/// The unit of wood at the head of a column.
const fn wood_unit(units: Units) -> &'static str {
    match units {
        Units::Inch => "bf",
        Units::Millimetre => "m3",
    }
}

/// What pooling the strips of all doors saved.
fn pooling(job: &Job, demand: &Demand) -> String {
    let saved = &demand.pooling;
    wrapped(
        &format!(
            "Spares pooled over all doors: {} strips, {} of wood; figured door by door: {}, {}.",
            saved.pooled,
            saved.pooled_wood.show(job.units, 1),
            saved.separate,
            saved.separate_wood.show(job.units, 1)
        ),
        2,
    )
}

fn doors_table(job: &Job, doors: &[Door]) -> String {
    table(
        &report::doors(job, doors),
        job,
        &[
            ("door", "door"),
            ("count", "count"),
            ("slats", "slats"),
            ("slat_width", "slat"),
            ("lead_width", "lead"),
            ("slat_length", "length"),
            ("tongue", "tongue"),
            ("door_length", "overall"),
            ("travel", "travel"),
        ],
    )
}

fn defaults(job: &Job) -> String {
    if job.defaults.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nDefaults used (set the key to change one)\n");
    for used in &job.defaults {
        out += &wrapped(&format!("- {} = {}: {}", used.key, used.value, used.reason), 4);
    }
    out
}

/// `USD 1,234.50`.
fn money(job: &Job, amount: crate::measure::Cents) -> String {
    format!("{} {}", printable(&job.shop.currency), marked(job, amount))
}

/// `1,234.50`.
fn marked(job: &Job, amount: crate::measure::Cents) -> String {
    amount.marked(&job.shop.currency)
}

/// What is proven about the packing, in words.
fn proof(job: &Job, plan: &Plan) -> String {
    let (boards, cloth) = (&plan.boards, &plan.cloth);
    let gap = |cost: i64, bound: i64| if cost == 0 { 0.0 } else { (cost - bound) as f64 / cost as f64 * 100.0 };
    let mut out = String::new();
    out += &if boards.optimal {
        wrapped(&format!("Boards {}: proven lowest under the cutting rules.", money(job, boards.cost)), 2)
    } else {
        let gap = gap(boards.cost.get(), boards.bound.get());
        let (cost, bound) = (money(job, boards.cost), marked(job, boards.bound));
        wrapped(&format!("Boards {cost}: no plan can cost less than {bound} (gap {gap:.2} %)."), 2)
    };
    out += &orders(job, plan);
    out += &if cloth.optimal {
        wrapped(&format!("Cloth {}: proven lowest for cutting in {}.", money(job, cloth.cost), report::CLOTH_CUTS), 2)
    } else {
        let gap = gap(cloth.cost.get(), cloth.cost_bound.get());
        let (cost, bound) = (money(job, cloth.cost), marked(job, cloth.cost_bound));
        wrapped(&format!("Cloth {cost}: no plan can cost less than {bound} (gap {gap:.2} %)."), 2)
    };
    out + &cases::in_words(job, plan)
}

/// What the boards would cost in one order throughout, where each board may have its own.
fn orders(job: &Job, plan: &Plan) -> String {
    let said = plan.one_order.iter().map(|one| {
        let order = one.order.word().replace('-', " ");
        match &one.boards {
            None => format!("{order} alone: not enough boards"),
            Some(boards) if boards.optimal => format!("{order} alone: {}, proven lowest", money(job, boards.cost)),
            Some(boards) => {
                format!("{order} alone: {}, no plan under {}", money(job, boards.cost), marked(job, boards.bound))
            }
        }
    });
    let said = said.collect_vec().join("; ");
    if said.is_empty() { said } else { wrapped(&format!("Each board in its own order; {said}."), 2) }
}

/// What was made easier at the same cost; figures as packed stand in brackets where they differ.
fn ease(job: &Job, plan: &Plan) -> String {
    let (before, after) = plan.ease;
    if plan.boards.boards.is_empty() {
        return String::new();
    }
    let was =
        |before: String, after: &str| if before == after { String::new() } else { format!(" ({before} as packed)") };
    let figure = |before: usize, after: usize, what: &str| {
        format!("{after} {what}{}{}", if after == 1 { "" } else { "s" }, was(before.to_string(), &after.to_string()))
    };
    let offcut = |ease: crate::packing::ease::Ease| {
        let size = |o: crate::packing::ease::Offcut| {
            format!("{} x {}", o.width.show_nearest(job.units), o.length.show_nearest(job.units))
        };
        ease.offcut.map_or_else(|| "none worth keeping".to_owned(), size)
    };
    let doors = plan.demand.bundles.iter().filter(|bundle| bundle.door).count();
    let pairs = format!(
        "Doors: {} boards over {doors} doors{}, at least {}; ",
        after.door_boards,
        was(before.door_boards.to_string(), &after.door_boards.to_string()),
        after.door_boards_bound
    );
    let largest = offcut(after);
    wrapped(
        &format!(
            "At the same cost. {}{}, {}; largest offcut {largest}{}.",
            if doors == 0 { String::new() } else { pairs },
            figure(before.blank_lengths, after.blank_lengths, "blank length"),
            figure(before.fence_settings, after.fence_settings, "fence setting"),
            was(offcut(before), &largest)
        ),
        2,
    )
}

/// `buy`: the shopping list as it is said at the counter.
pub(in crate::cli) fn buy(job: &Job, plan: &Plan) -> String {
    let mut out = title(job, "to buy");
    if plan.bill.buy.is_empty() {
        out += "Nothing: all of it is on hand.\n";
    }
    for line in &plan.bill.buy {
        out += &wrapped(&format!("[ ] {}", line.say), 4);
    }
    let cost: crate::measure::Cents = plan.bill.buy.iter().map(|line| line.cost).sum();
    let _ = writeln!(out, "\nTotal to buy: {}", money(job, cost));
    out += &from_the_rack(job, plan);
    out += &cases::not_priced(job, plan);
    out += &held_elsewhere(job);
    out
}

/// Boards the plan uses that are not to be bought.
fn from_the_rack(job: &Job, plan: &Plan) -> String {
    let line = |place: BoardPlace, what: &str| {
        let used = plan.bill.boards.iter().filter(|line| job.boards[line.stock].place == place);
        let names = used.map(|line| format!("{} x {}", line.boards, job.boards[line.stock].stock)).join(", ");
        if names.is_empty() { String::new() } else { wrapped(&format!("{what}: {names}."), 2) }
    };
    line(BoardPlace::Picked, "Picked already") + &line(BoardPlace::Rack, "From the rack")
}

/// `cloth`: the cloth, bolt by bolt.
pub(in crate::cli) fn cloth(job: &Job, plan: &Plan) -> String {
    let mut out = title(
        job,
        &format!(
            "cloth, lengths in {}; x along the bolt, y across it, from the corner inside the selvage",
            job.units.plural()
        ),
    );
    if plan.demand.cloth.is_empty() {
        return out + "Nothing is cut from cloth for this job.\n";
    }
    out += &table(
        &report::cloth_bolts(job, plan),
        job,
        &[
            ("bolt", "bolt"),
            ("width", "width"),
            ("used_length", "used, washed"),
            ("bought_length", "bought"),
            ("unit", "unit"),
            ("price", "price"),
            ("cost", "cost"),
        ],
    );
    out.push('\n');
    out += &table(
        &report::cloth_pieces(job, plan),
        job,
        &[
            ("bolt", "bolt"),
            ("piece", "piece"),
            ("door", "for"),
            ("x", "x"),
            ("y", "y"),
            ("along", "along"),
            ("across", "across"),
            ("turned", "turned"),
        ],
    );
    for bolt in
        job.bolts.iter().zip(&plan.cloth.bolts).filter(|(bolt, used)| bolt.taken_as_washed && !used.laid.is_empty())
    {
        out += &wrapped(&format!("{}: no shrinkage given, so taken as washed already.", bolt.0.bolt), 2);
    }
    out
}

/// `plan`: the job in one screen, and where its files lie.
pub(in crate::cli) fn plan(job: &Job, plan: &Plan, out_folder: &Path, files: usize) -> String {
    let mut out = title(job, &format!("planned, lengths in {}", job.units.plural()));
    out += &doors_table(job, &plan.doors);
    out.push('\n');
    out += &table(
        &report::boards(job, plan),
        job,
        &[
            ("stock", "boards"),
            ("thickness", "thick"),
            ("width", "width"),
            ("length", "length"),
            ("source", "source"),
            ("boards", "count"),
            ("board_feet", wood_unit(job.units)),
            ("cost", "cost"),
        ],
    );
    out.push('\n');
    out += &in_words(job, plan);
    out += &proof(job, plan);
    out += &ease(job, plan);
    out += &rejects::looked_for(job, &plan.demand);
    out += &pooling(job, &plan.demand);
    for note in &plan.demand.notes {
        out += &wrapped(note, 2);
    }
    out += &held_elsewhere(job);
    out.push('\n');
    out += &caution_lines();
    let folder = printable(&out_folder.display().to_string());
    let _ = writeln!(out, "\nWritten to {folder}: {files} files. To print the sheets, open {folder}/job.html");
    out
}

/// The figures of a plan as they are said.
fn in_words(job: &Job, plan: &Plan) -> String {
    let mut out = String::new();
    let needed: u32 = plan.demand.parts.iter().map(|part| part.needed).sum();
    let spares: u32 = plan.demand.parts.iter().map(|part| part.spares).sum();
    let (boards, sizes) = (plan.boards.boards.len(), plan.demand.parts.len());
    if boards > 0 {
        let text = format!(
            "Strips: {needed} needed and {spares} spare, of {sizes} size{}, from {boards} board{}.",
            if sizes == 1 { "" } else { "s" },
            if boards == 1 { "" } else { "s" }
        );
        out += &wrapped(&text, 2);
    }
    let bolts = job.bolts.iter().zip(&plan.cloth.bolts).filter(|(_, used)| !used.laid.is_empty());
    for (bolt, used) in bolts {
        let show = |length: crate::measure::Length| length.show_nearest(job.units);
        let text = format!(
            "Cloth: {} {} of `{}` used (washed length), {} bought or taken.",
            show(used.used),
            job.units,
            bolt.bolt,
            show(used.bought)
        );
        out += &wrapped(&text, 2);
    }
    let _ = writeln!(out, "Total {}.", money(job, plan.bill.total));
    out
}

/// `new`: what lies where and what to do next.
pub(in crate::cli) fn started(folder: &Path) -> String {
    // `.` needs no saying in a path.
    let inside = |name: &str| in_a_shell(&if folder == Path::new(".") { name.into() } else { folder.join(name) });
    let (job, out) = (inside("job.toml"), inside("out"));
    format!(
        "Wrote a starter job to {}. Change its figures as you like. Next:\n  \
         slatwright check {job}\n  slatwright plan {job} --out {out}\n",
        in_a_shell(folder)
    )
}

/// A path as it is typed: in single quotes where a shell would take it apart.
fn in_a_shell(path: &Path) -> String {
    let text = printable(&path.display().to_string());
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '.' | '_' | '-' | '+' | ',' | ':' | '=' | '@' | '%');
    if text.chars().all(plain) { text } else { format!("'{}'", text.replace('\'', "'\\''")) }
}
