//! Every setting of planer, stops and saw, each named once: a stop that is made once cannot differ from itself.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};

use super::shell::{Words, count};
use crate::bill::WorkLine;
use crate::job::{Flow, Job, Milling, Operation, Order};
use crate::measure::Length;
use crate::plan::Plan;
use crate::report::strips::yielded;

/// What one setting is for: how many cuts, and which parts.
#[derive(Default)]
pub(super) struct Use {
    cuts: u64,
    pub(super) parts: BTreeSet<usize>,
}

impl Use {
    fn add(&mut self, cuts: u64, part: usize) {
        self.cuts += cuts;
        self.parts.insert(part);
    }
}

/// Settings by size, the largest first.
pub(super) type Settings<K> = BTreeMap<Reverse<K>, Use>;

pub(super) struct AllSettings {
    /// Blank lengths: crosscut stop for rough blanks.
    pub(super) blanks: Settings<Length>,
    /// Planed thickness, and whether it is the strips' thickness or their width.
    pub(super) planer: Settings<(Length, bool)>,
    /// Rip widths.
    pub(super) fence: Settings<Length>,
    /// Finished lengths: stop for the strips.
    pub(super) lengths: Settings<Length>,
}

/// Every setting that the plan asks for.
pub(super) fn collect(plan: &Plan) -> AllSettings {
    let mut all = AllSettings {
        blanks: BTreeMap::new(),
        planer: BTreeMap::new(),
        fence: BTreeMap::new(),
        lengths: BTreeMap::new(),
    };
    for board in &plan.boards.boards {
        for blank in &board.blanks {
            let crosscut = board.order == Order::CrosscutFirst;
            for (at, rips) in blank.rips.iter().enumerate() {
                let (first, part) = (u64::from(at == 0), rips.part);
                if crosscut {
                    all.blanks.entry(Reverse(blank.length)).or_default().add(first, part);
                }
                let planed = all.planer.entry(Reverse((blank.planed, blank.milling == Milling::Edge))).or_default();
                planed.add(if crosscut { first } else { first * u64::from(rips.rips) }, part);
                // Rip first, one full-length rip may yield several parts: it is sawn once.
                let sawn = if crosscut { u64::from(rips.rips) } else { first * u64::from(rips.rips) };
                all.fence.entry(Reverse(rips.rip_width)).or_default().add(sawn, part);
                let length = plan.demand.parts[part].length;
                all.lengths.entry(Reverse(length)).or_default().add(yielded(blank, rips), part);
            }
        }
    }
    all
}

fn parts(plan: &Plan, used: &Use) -> String {
    let names: Vec<&str> = used.parts.iter().map(|part| plan.demand.parts[*part].name.as_str()).collect();
    names.join(", ")
}

/// How the work goes through the shop, and how often the fence is then set.
fn flow(job: &Job, plan: &Plan) -> String {
    let ripping = plan.bill.work.iter().find(|line| line.rule.operation == Operation::Rip);
    let set = |line: &WorkLine| format!(" The fence is set {} in all.", count(line.settings, "time"));
    let set = ripping.map_or_else(String::new, set);
    match job.shop.pricing.flow {
        Flow::Settings => {
            format!("Largest first, each set once: run everything that needs a setting before it is moved.{set}")
        }
        Flow::Boards => {
            format!("Largest first. Board after board each is set again whenever the next cut asks for another.{set}")
        }
    }
}

/// The settings as cards, the largest figure of each first.
pub(super) fn settings(words: Words, job: &Job, plan: &Plan) -> Markup {
    let all = collect(plan);
    let line = |figure: String, used: &Use, what: &str| {
        html! { li { b { (figure) } ": " (count(used.cuts, what)) ", " (parts(plan, used)) } }
    };
    html! {
        h3 { "Settings" }
        p class="note" {
            (flow(job, plan))
        }
        div class="cards" {
            @if !all.blanks.is_empty() { div class="card" {
                h4 { "Crosscut stop, blanks" }
                ul class="plain" { @for (Reverse(length), used) in &all.blanks { (line(words.len(*length), used, "blank")) } }
            } }
            div class="card" {
                h4 { "Planer" }
                ul class="plain" { @for (Reverse((planed, edge)), used) in &all.planer {
                    (line(format!("{}{}", words.len(*planed), if *edge { ", the strips' width" } else { "" }), used, "piece"))
                } }
            }
            div class="card" {
                h4 { "Rip width" }
                ul class="plain" { @for (Reverse(width), used) in &all.fence { (line(words.len(*width), used, "rip")) } }
            }
            div class="card" {
                h4 { "Stop for strips, to length" }
                ul class="plain" { @for (Reverse(length), used) in &all.lengths { (line(words.len(*length), used, "strip")) } }
            }
        }
        p class="note" {
            "At every rip width: cut two, try them in the test block, then cut the rest. The two count among "
            "the spares; for a size without spares use scrap. Blanks go through the planer nose to tail, short ones between long ones"
            @if let Some((Reverse(shortest), _)) = all.blanks.last_key_value() {
                "; the shortest is " (words.len_unit(*shortest))
            }
            "."
        }
    }
}
