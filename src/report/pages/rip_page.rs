//! The rip sheet: all that a helper alone at the saw needs, from the yard's board to tied bundles.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::board_figure::{BoardScale, board_figure, saw_order};
use super::rip_settings::settings;
use super::shell::{Words, count, ranges, some_cautions, tick};
use crate::cutting::{StripSize, rip_dimension, worth_keeping};
use crate::demand::Part;
use crate::job::{BoardStock, Flow, Job, LabourBasis, Milling, Order, WorkStage};
use crate::measure::{Length, Units};
use crate::packing::boards::{Blank, CutBoard, RipGroup};
use crate::plan::Plan;
use crate::report::printable;
use crate::shopfloor::offcut_mark;

/// Boards that are cut alike: their indices in the plan.
struct Alike<'a> {
    board: &'a CutBoard,
    members: Vec<usize>,
}

/// Boards in the order they are cut, equal ones together.
fn alike(plan: &Plan) -> Vec<Alike<'_>> {
    let mut groups: Vec<Alike<'_>> = Vec::new();
    for (index, board) in plan.boards.boards.iter().enumerate() {
        match groups.iter_mut().find(|group| group.board == board) {
            Some(group) => group.members.push(index),
            None => groups.push(Alike { board, members: vec![index] }),
        }
    }
    groups
}

/// The whole sheet; `mark` is the plan's.
pub(super) fn rip(words: Words, job: &Job, plan: &Plan, mark: &str) -> Markup {
    if plan.boards.boards.is_empty() {
        return html! { p { "Nothing is ripped for this job." } };
    }
    let groups = alike(plan);
    html! {
        (some_cautions(&[1, 2, 3, 4]))
        (settings(words, job, plan))
        (order_of_work(job, plan))
        (strip_sizes(words, plan))
        (bundle_list(plan))
        (boards(words, job, plan, &groups))
        (offcuts(words, job, plan, &groups, mark))
    }
}

/// Work that comes before the saw and after it, in two orders: what is crosscut first, and what is ripped first.
const CROSSCUT_FIRST: [(&str, &str); 3] = [
    ("Crosscut", "both ends trimmed, blanks to rough length; the board's number on each."),
    ("Joint", "one face, then one edge square to it; that edge meets the stop when ripping."),
    (
        "Plane",
        "half of what comes off, evenly from both faces; rest on stickers overnight (common practice, no source); then to thickness.",
    ),
];
const RIP_FIRST: [(&str, &str); 3] = [
    ("Joint", "one face, then one edge square to it, the whole board; that edge meets the stop when ripping."),
    ("Rip", "full length, widest first, away from the fence; joint again whenever the sawn edge is not straight."),
    (
        "Plane",
        "the rips: half of what comes off; rest on stickers overnight (common practice, no source); then to thickness; then crosscut.",
    ),
];
const THEN: [(&str, &str); 3] = [
    ("Chamfer", "where the door has one, before strips are sorted."),
    ("Sort and tie", "by the reject test and the bundles: saw order kept, ends flush, sapwood to the back."),
    (
        "To length",
        "rips that hold several lengths are cut apart first; then tied bundles against a stop, one end squared first.",
    ),
];

/// One flow: from board to board, as the sheet lists them, stage after stage.
fn order_of_work(job: &Job, plan: &Plan) -> Markup {
    let has = |order: Order| plan.boards.boards.iter().any(|board| board.order == order);
    let (crosscut, rip) = (has(Order::CrosscutFirst), has(Order::RipFirst));
    let sawn = (
        "Rip",
        "widest first, jointed edge against the stop, away from the fence; joint again whenever the sawn edge is not straight.",
    );
    let list = |steps: &[(&'static str, &'static str)]| {
        let said = steps.to_vec();
        html! { ol class="steps" { @for (name, how) in said { li { (tick()) b { (name) } ": " (how) } } } }
    };
    html! {
        h3 { "Order of work" }
        p {
            @match job.shop.pricing.flow {
                Flow::Boards => { "From board to board as they are listed, one stage after the other." }
                Flow::Settings => { "From setting to setting, the largest first, whichever board it is for; the boards below say which." }
            }
        }
        div class="cols" {
            @if crosscut {
                @if rip { h4 { "Boards crosscut first" } }
                (list(&[&CROSSCUT_FIRST[..], &[sawn], &THEN].concat()))
            }
            @if rip {
                @if crosscut { h4 { "Boards ripped first" } }
                (list(&[&RIP_FIRST[..], &THEN].concat()))
            }
        }
        p class="note" { (hours(job, plan)) }
        (reject_test(job))
    }
}

/// Hours at the machines that the price allows.
fn hours(job: &Job, plan: &Plan) -> String {
    let milling = job.shop.labour.iter().filter(|l| matches!(l.per, LabourBasis::Board | LabourBasis::Strip));
    let plain = milling.filter_map(|labour| {
        let line = plan.bill.costs.iter().find(|line| line.group == "labour" && line.item == labour.name)?;
        Some(format!("{} {} h", printable(&labour.name), line.quantity.normalize()))
    });
    let at_the_machines = |line: &&crate::bill::WorkLine| line.rule.operation.stage() == WorkStage::Milling;
    let operations = plan.bill.work.iter().filter(at_the_machines);
    let operations =
        operations.map(|line| format!("{} {} h", line.rule.operation.word(), line.hours.round_dp(1).normalize()));
    let hours: Vec<String> = operations.chain(plain).collect();
    if hours.is_empty() { String::new() } else { format!("Hours allowed in the price: {}.", hours.join("; ")) }
}

fn strip_sizes(words: Words, plan: &Plan) -> Markup {
    html! {
        h3 { "Strip sizes" }
        table class="tight" {
            thead { tr {
                th scope="col" { "strip" } th scope="col" { "finished length x width x thickness" } th scope="col" class="n" { "cut" }
                th scope="col" class="n" { "spares in it" } th scope="col" { "for" }
            } }
            tbody { @for part in &plan.demand.parts { tr {
                td class="t" { b { (part.name) } " " (printable(part.species.word())) }
                td { (words.len(part.length)) " x " (words.size(part.width, part.thickness)) }
                td class="n" { (part.total()) } td class="n" { (part.spares) }
                td class="t" { (users(part)) }
            } } }
        }
        p class="note" { "Cut: all strips, spares among them. Widths are as ripped; the trim of the length is in the blanks." }
    }
}

fn users(part: &Part) -> String {
    let names: Vec<String> =
        part.uses.iter().map(|user| format!("{} ({})", printable(&user.name), user.role)).collect();
    names.join("; ")
}

fn reject_test(job: &Job) -> Markup {
    let words = Words::new(job);
    let crook = match job.units {
        Units::Inch => Length::from_64ths(2),
        Units::Millimetre => Length::from_mm(1),
    };
    html! {
        p {
            b { "Reject test" } " (common practice, no source): against the fence, crook over " (words.len_unit(crook))
            ", or a twist that one finger cannot hold flat: reject. Bow that presses flat: keep. Rejects are made up from the "
            "spares of their size; when those are used up, say so before the boards are put away."
        }
    }
}

fn bundle_list(plan: &Plan) -> Markup {
    html! {
        h3 { "Bundles" }
        p { "Tie each as it fills, keep saw order, sapwood to the back. Whatever is left of a size is its spares. " (matched(plan))  }
        table class="tight" {
            thead { tr { th scope="col" { "tie" } th scope="col" { "for" } th scope="col" { "strips" } } }
            tbody { @for bundle in &plan.demand.bundles { tr {
                td class="k" { (tick()) b { (bundle.mark) } }
                td class="t" {
                    (printable(&bundle.name))
                    @if let Some((copy, of)) = bundle.copy { ", " (copy) " of " (of) }
                }
                td {
                    @for (at, takes) in bundle.takes.iter().enumerate() {
                        @if at > 0 { ", " }
                        (takes.strips) " of " (plan.demand.parts[takes.part].name) " (" (takes.role) ")"
                    }
                }
            } } }
        }
    }
}

/// How well the colours match: off how many boards the doors come.
fn matched(plan: &Plan) -> String {
    let (doors, pairs, bound) =
        (plan.demand.bundles.iter().filter(|b| b.door).count(), plan.tied.pairs, plan.tied.bound);
    match doors {
        0 => String::new(),
        _ if pairs == bound => format!(
            "Each door comes off as few boards as possible ({pairs} in all for {}), so that its colour matches.",
            count(doors as u64, "door")
        ),
        _ => format!(
            "Each door comes off few boards ({pairs} in all for {}, {bound} at best), so that its colour matches.",
            count(doors as u64, "door")
        ),
    }
}

/// Boards alike of which more are tied than stand beside their cuts: they stand in columns below.
const MOST_TIES_BESIDE: usize = 8;

fn boards(words: Words, job: &Job, plan: &Plan, groups: &[Alike<'_>]) -> Markup {
    let scale = BoardScale::of(job, plan);
    let mut so_far: BTreeMap<usize, u64> = BTreeMap::new();
    let example = match job.units {
        Units::Inch => Length::from_64ths(80),
        Units::Millimetre => Length::from_mm(32),
    };
    html! {
        h3 { "Board by board" }
        p class="note" {
            "Trim " (words.len_unit(job.shop.cutting.end_trim)) " off each end of every board. All are drawn to one scale, half as "
            "large again across as along; crossed fields are waste. The number of a blank stands "
            "over it and in front of its line: how long, what it is planed to, then its rips in the order they are sawn. "
            i { "3 x " (words.len(example)) " S05" } " is three strips of size S05, ripped " (words.len(example)) " wide."
        }
        @for group in groups {
            @let many = group.members.len() > MOST_TIES_BESIDE;
            div class={ "cut" @if many { " tall" } } {
                (board_heading(words, job, group))
                figure { (board_figure(job, plan, group.board, scale).markup()) }
                div class="under" {
                    (cuts(words, job, plan, group))
                    div { (counted(plan, group, &mut so_far)) @if !many { (ties(plan, group)) } }
                }
                @if many { div class="ties" { (ties(plan, group)) } }
            }
        }
    }
}

fn board_heading(words: Words, job: &Job, group: &Alike<'_>) -> Markup {
    let stock = &job.boards[group.board.stock];
    let numbers: Vec<usize> = group.members.iter().map(|member| member + 1).collect();
    html! {
        h4 {
            @for _ in &numbers { (tick()) }
            @if numbers.len() == 1 { "Board " (numbers[0]) } @else { "Boards " (ranges(&numbers)) ", " (numbers.len()) " alike" }
            ": " (printable(&stock.stock))
            span class="plain" { ", " (stock.thickness.show(words.units())) " " (printable(stock.species.word())) ", " (words.size(stock.width, stock.length)) }
        }
        @if group.board.order == Order::RipFirst { p { b { "Rip first." } } }
        @if !stock.defects.is_empty() { p {
            "Cut out " b { (defects(words, stock)) } ": these figures, and where each cut begins below, are from the "
            "end that the defects were measured from, at the left."
        } }
        @if numbers.len() > 1 { p { b { "The cuts below are for each of the " (numbers.len()) " boards." } } }
    }
}

/// `12 to 15, 60 to 64`.
fn defects(words: Words, stock: &BoardStock) -> String {
    let spans = stock.defects.iter().map(|defect| format!("{} to {}", words.len(defect.from), words.len(defect.to)));
    spans.collect::<Vec<_>>().join(", ")
}

/// A line for every blank, or for every full-length rip of a board that is ripped first.
fn cuts(words: Words, job: &Job, plan: &Plan, group: &Alike<'_>) -> Markup {
    let crosscut = group.board.order == Order::CrosscutFirst;
    // Where a cut begins is said where it is not simply the next one.
    let begins = |from: Length| match job.boards[group.board.stock].defects.is_empty() {
        true => String::new(),
        false => format!(", from {}", words.len(from)),
    };
    html! {
        table class="tight cuts" {
            tbody { @for (number, blank) in (1u32..).zip(&group.board.blanks) { tr {
                th class="k" scope="row" {
                    b { (number) } ": "
                    @if crosscut { (words.len(blank.length)) " long" (begins(blank.from())) } @else { "full length" }
                }
                td class="k" { (planing(words, blank)) }
                td {
                    @for (at, rips) in saw_order(blank).into_iter().enumerate() {
                        @if at > 0 { "; " }
                        span class="saw" {
                            (rip_words(words, crosscut, at, own_width(job, &plan.demand.parts[rips.part], blank), rips, &plan.demand.parts[rips.part].name))
                            @if !crosscut { (begins(rips.from)) }
                        }
                    }
                }
            } } }
        }
    }
}

fn planing(words: Words, blank: &Blank) -> String {
    let to = words.len(blank.planed);
    let edge = if blank.milling == Milling::Edge { ", the strips' width" } else { "" };
    let leaves = if blank.leaves > 1 { format!(", resaw into {} leaves", blank.leaves) } else { String::new() };
    format!("plane to {to}{edge}{leaves}")
}

/// What a part is ripped to; a full-length rip may be wider.
fn own_width(job: &Job, part: &Part, blank: &Blank) -> Length {
    rip_dimension(&job.shop.cutting, blank.milling, part.width, part.thickness)
}

/// `3 x 1-1/4 S05`. Rip first, all strips of a line are lengths of the same rips, trimmed where they are too wide.
fn rip_words(words: Words, crosscut: bool, row: usize, own: Length, rips: &RipGroup, name: &str) -> String {
    let sawn = if crosscut || row == 0 {
        format!("{} x {} {name}", rips.rips, words.len(rips.rip_width))
    } else {
        format!("of the same {name}")
    };
    let pieces = if rips.pieces > 1 || !crosscut {
        format!(", {} in each", count(rips.pieces.into(), "length"))
    } else {
        String::new()
    };
    let trimmed = if own < rips.rip_width { format!(", trimmed to {}", words.len(own)) } else { String::new() };
    format!("{sawn}{pieces}{trimmed}")
}

/// Running counts: what must lie on the pile when these boards are done.
fn counted(plan: &Plan, group: &Alike<'_>, so_far: &mut BTreeMap<usize, u64>) -> Markup {
    let mut said = Vec::new();
    for (part, strips) in group.board.strips() {
        let cut = so_far.entry(part).or_default();
        *cut += strips * group.members.len() as u64;
        said.push(format!("{} {cut} of {}", plan.demand.parts[part].name, plan.demand.parts[part].total()));
    }
    html! { p class="tie" { (tick()) "On the pile now: " (said.join("; ")) "." } }
}

fn ties(plan: &Plan, group: &Alike<'_>) -> Markup {
    html! {
        @for member in &group.members {
            p class="tie" {
                "Tie"
                @if group.members.len() > 1 { ", board " (member + 1) }
                ": " (tied_off(plan, *member)) "."
            }
        }
    }
}

/// Which strips of a board go into which bundle; what is left are spares.
fn tied_off(plan: &Plan, board: usize) -> String {
    let part = |(part, cut): (usize, u64)| {
        let mut left = cut;
        let mut said: Vec<String> = Vec::new();
        for given in plan.tied.off(board, part) {
            left -= given.strips;
            said.push(format!("{} to {}", given.strips, plan.demand.bundles[given.bundle].mark));
        }
        if left > 0 {
            said.push(format!("{left} to the spares"));
        }
        format!("{} {}", plan.demand.parts[part].name, said.join(", then "))
    };
    plan.boards.boards[board].strips().into_iter().map(part).collect::<Vec<_>>().join("; ")
}

/// What is worth putting back on the rack.
fn offcuts(words: Words, job: &Job, plan: &Plan, groups: &[Alike<'_>], mark: &str) -> Markup {
    let rules = &job.shop.cutting;
    let mut keep: Vec<[String; 5]> = Vec::new();
    for group in groups {
        let stock = &job.boards[group.board.stock];
        let parts = plan.demand.parts.iter().filter(|part| part.species == stock.species);
        let strips: Vec<StripSize> = parts.map(Part::size).collect();
        let numbers: Vec<usize> = group.members.iter().map(|member| member + 1).collect();
        let left = group.board.left(rules, &stock.into());
        let kept = left.iter().filter(|piece| worth_keeping(rules, &strips, &piece.board()));
        for (which, piece) in kept.enumerate() {
            let beside = piece.blank.map_or(String::new(), |blank| format!(", beside blank {blank}"));
            let thick = piece.thickness.show(words.units());
            let state = if piece.blank.is_some() { format!("{thick}, planed") } else { thick };
            let size = words.size(piece.width, piece.length);
            let number = numbers.len() * piece.pieces as usize;
            let from = format!("board {}{beside}", ranges(&numbers));
            let marks: Vec<String> = numbers.iter().map(|number| offcut_mark(mark, *number, which)).collect();
            keep.push([from, number.to_string(), state, size, marks.join(", ")]);
        }
    }
    html! {
        h3 { "Offcuts to keep" }
        @if keep.is_empty() {
            p { "None: no strip of this job comes out of what is left." }
        } @else {
            table {
                thead { tr {
                    th { "from" } th class="n" { "number" } th { "thick" } th class="n" { "width x length" }
                    th { "pencil on it" }
                } }
                tbody { @for [from, number, thick, size, mark] in &keep { tr {
                    td { (tick()) (from) } td class="n" { (number) } td { (thick) } td class="n" { (size) } td { (mark) }
                } } }
            }
        }
    }
}
