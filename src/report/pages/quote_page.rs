//! The quote: what the client reads, and the maker's copy with every cost line.

use itertools::Itertools;
use maud::{Markup, html};

use super::shell::{Words, blank_line, count};
use crate::job::{Cabinet, DoorTrack, Hand, Job};
use crate::plan::Plan;
use crate::report::printable;

/// Scope, doors and materials in words, and the price: no cost line is on it.
pub(super) fn client(words: Words, job: &Job, plan: &Plan) -> Markup {
    let currency = printable(&job.shop.currency);
    html! {
        h3 { "What is made" }
        @if !job.cabinets.is_empty() {
            ul { @for (index, cabinet) in job.cabinets.iter().enumerate() { li { (scope(words, plan, index, cabinet)) } } }
        }
        @if !job.strips.is_empty() {
            p { "Also, in strips: "
                (job.strips.iter().map(|strip| format!("{} {}", strip.quantity, printable(&strip.name))).join(", ")) "." }
        }
        @if !job.cloth_pieces.is_empty() {
            p { "In cloth: "
                (job.cloth_pieces.iter().map(|piece| format!("{} {}", piece.quantity, printable(&piece.name))).join(", ")) "." }
        }
        h3 { "Materials" }
        p { (materials(job, plan)) }
        @if !job.lines.is_empty() {
            p { "Included: " (job.lines.iter().map(|line| printable(&line.name)).join("; ")) "." }
        }
        @if job.spares.repair_strips > 0 && !job.cabinets.is_empty() {
            p { (count(job.spares.repair_strips.into(), "matching slat")) " for every door is left with you for repairs." }
        }
        h3 { "Price" }
        table { tbody { tr class="total" {
            td { "All of the above" @if !job.shop.tax.decimal().is_zero() { ", tax included" } }
            td class="n" { (currency) " " (plan.bill.total) }
        } } }
        p { (blank_line("date")) " " (blank_line("maker")) " " (blank_line("client")) }
    }
}

fn scope(words: Words, plan: &Plan, index: usize, cabinet: &Cabinet) -> Markup {
    let doors: Vec<_> = plan.doors.iter().filter(|door| door.cabinet == index).collect();
    html! {
        b { (cabinet.count) " " (printable(&cabinet.name)) }
        @if let Some(inside) = cabinet.inside {
            ", " (words.len(inside.width)) " wide, " (words.len(inside.depth)) " deep and " (words.len(inside.height)) " high inside"
        }
        ", with " (doors_in_words(cabinet)) ". "
        @for door in doors {
            (printable(&door.name)) ": slats " (words.len(door.slat_length)) " long and " (words.len(door.slat_width))
            " wide, opening " (words.len(door.travel)) ". "
        }
    }
}

fn doors_in_words(cabinet: &Cabinet) -> String {
    let hand = |hand: Hand| {
        let of_hand = |spec: &&crate::job::DoorSpec| matches!(spec.track, DoorTrack::Case { hand: h, .. } if h == hand);
        cabinet.doors.iter().filter(of_hand).count()
    };
    if hand(Hand::PairLeft) == 1 && hand(Hand::PairRight) == 1 {
        "a pair of tambour doors that meet in the middle".to_owned()
    } else if hand(Hand::Up) == 1 {
        "a tambour door that rolls up".to_owned()
    } else if cabinet.doors.len() == 1 {
        "a tambour door that slides to the side".to_owned()
    } else {
        count(cabinet.doors.len() as u64, "tambour door")
    }
}

fn materials(job: &Job, plan: &Plan) -> String {
    let woods = plan.demand.parts.iter().map(|part| printable(part.species.word())).unique().join(" and ");
    let bolts = job.bolts.iter().zip(&plan.cloth.bolts).filter(|(_, used)| !used.laid.is_empty());
    let cloth = bolts.map(|(bolt, _)| printable(&bolt.bolt)).join(" and ");
    let mut said = Vec::new();
    if !woods.is_empty() {
        said.push(format!("Solid {woods}, selected for straight grain"));
    }
    if !cloth.is_empty() {
        said.push(format!("slats glued to cotton cloth ({cloth}), running in waxed grooves"));
    }
    if said.is_empty() { "As listed.".to_owned() } else { said.join("; ") + "." }
}

/// Every cost line and the total.
pub(super) fn maker(words: Words, job: &Job, plan: &Plan) -> Markup {
    let currency = printable(&job.shop.currency);
    html! {
        p { b { "Not for the client." } }
        h3 { "Costs" }
        table {
            thead { tr {
                th { "line" } th class="n" { "quantity" } th class="n" { "each" } th class="n" { "cost" }
            } }
            tbody {
                @for (group, lines) in &plan.bill.costs.iter().chunk_by(|line| &line.group) {
                    tr { th colspan="4" scope="rowgroup" { (printable(group)) } }
                    @for line in lines { tr {
                        td class="t" { (printable(&line.item)) }
                        td class="n" { (line.quantity.normalize()) " " (printable(&line.unit)) }
                        td class="n" { (line.unit_price) } td class="n" { (line.cost) }
                    } }
                }
                tr class="total" { td colspan="3" { "Total, " (currency) } td class="n" { (plan.bill.total) } }
            }
        }
        (proof(&currency, plan))
        @if !job.defaults.is_empty() {
            h3 { "Defaults that entered" }
            table {
                thead { tr { th { "key" } th { "value" } th { "why" } } }
                tbody { @for used in &job.defaults { tr {
                    td class="t" { (printable(&used.key)) } td class="t" { (printable(&used.value)) } td class="t" { (printable(&used.reason)) }
                } } }
            }
        }
        p class="note" { "Lengths in " (words.units().plural()) "." }
    }
}

fn proof(currency: &str, plan: &Plan) -> Markup {
    let (boards, cloth) = (&plan.boards, &plan.cloth);
    let said = |what: &str, cost: crate::measure::Cents, bound: crate::measure::Cents, optimal: bool| {
        if optimal {
            format!("{what}: {currency} {cost}, proven least under the cutting rules.")
        } else {
            format!("{what}: {currency} {cost}; no plan can cost less than {bound}.")
        }
    };
    html! {
        h3 { "What is proven" }
        p { (said("Boards", boards.cost, boards.bound, boards.optimal)) }
        p { (said("Cloth", cloth.cost, cloth.cost_bound, cloth.optimal)) }
        @if boards.cut_short || cloth.cut_short { p { "The packing was stopped before its budget of work was used up." } }
    }
}
