//! Tags to cut apart: one for each bundle and one for each board.

use maud::{Markup, html};

use super::shell::Words;
use crate::demand::Bundle;
use crate::job::Job;
use crate::plan::Plan;
use crate::report::printable;

/// The whole sheet.
pub(super) fn tags(words: Words, job: &Job, plan: &Plan) -> Markup {
    html! {
        p class="note" { "Cut apart; tie one to each bundle as it fills, pin one to each board as it comes off the rack." }
        div class="labels" {
            @for bundle in &plan.demand.bundles { (bundle_tag(words, job, plan, bundle)) }
            @for (at, board) in plan.boards.boards.iter().enumerate() {
                @if let Some(stock) = job.boards.get(board.stock) { div class="tag" {
                    b { "Board " (at + 1) }
                    p { (printable(&stock.stock)) }
                    p { (stock.thickness.show(words.units())) " " (printable(stock.species.word())) ", " (words.size(stock.width, stock.length)) }
                    p class="note" { (printable(&job.name)) }
                } }
            }
        }
    }
}

fn bundle_tag(words: Words, job: &Job, plan: &Plan, bundle: &Bundle) -> Markup {
    html! {
        div class="tag" {
            b { (bundle.mark) }
            p {
                (printable(&bundle.name))
                @if let Some((copy, of)) = bundle.copy { ", " (copy) " of " (of) }
            }
            @for takes in &bundle.takes {
                @let part = &plan.demand.parts[takes.part];
                p { (takes.strips) " of " (part.name) ", " (words.size(part.length, part.width)) " " (printable(part.species.word())) }
            }
            p class="note" { (printable(&job.name)) }
        }
    }
}
