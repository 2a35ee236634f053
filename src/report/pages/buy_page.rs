//! The buy sheet: lines as a yard and a cloth counter speak, with room to tally what was really found.

use maud::{Markup, html};

use super::shell::{Words, blank_line, tick};
use crate::bill::BuyLine;
use crate::job::{BoardPlace, Job};
use crate::plan::Plan;
use crate::report::printable;

/// More boxes than this are a tally on a line.
const MOST_BOXES: usize = 60;

/// The whole sheet.
pub(super) fn buy(words: Words, job: &Job, plan: &Plan) -> Markup {
    let of = |what: &'static str| plan.bill.buy.iter().filter(move |line| line.what == what).collect::<Vec<_>>();
    let sundries: Vec<_> = plan.bill.buy.iter().filter(|line| !matches!(line.what, "lumber" | "cloth")).collect();
    html! {
        @if plan.bill.buy.is_empty() { p { "Nothing to buy: all of it is on hand." } }
        (lumber(words, &of("lumber")))
        (cloth(words, &of("cloth")))
        @if !sundries.is_empty() {
            h3 { "Everything else" }
            ul class="plain" { @for line in &sundries { li { (tick()) (printable(&line.say)) } } }
        }
        (rack(words, job, plan))
    }
}

fn lumber(words: Words, lines: &[&BuyLine]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h3 { "At the lumber yard" }
            table class="tight" {
                thead { tr {
                    th scope="col" class="n" { "boards" } th scope="col" { "at least" } th scope="col" { "of" }
                    th scope="col" { "found: tick, or write width x length" }
                } }
                tbody { @for line in lines { (lumber_line(words, line)) } }
            }
            p class="note" {
                "A wider or longer board may replace a listed one, never a narrower, shorter or thinner one; rough stock may stand for "
                "surfaced stock of the same or a greater quarter size. Two boards stand for one only if each is at least as wide and the "
                "blanks of that board fit them: bring the rip sheet. Straight grain, no end checks past the trim, no twist; sight "
                "along both edges."
            }
        }
    }
}

/// One size a row, with its own words below it where they say more than the row.
fn lumber_line(words: Words, line: &BuyLine) -> Markup {
    let boards = usize::try_from(line.quantity).unwrap_or(usize::MAX);
    html! {
        tr {
            td class="n" { b { (line.quantity.normalize()) } }
            td class="k" {
                @if let (Some(width), Some(length)) = (line.at_least_width, line.at_least_length) { (words.size(width, length)) }
            }
            td class="t" {
                (printable(&line.item))
                @if !line.allowance.is_zero() { p class="note" { (printable(&line.say)) } }
            }
            td class="ticks" {
                @if boards <= MOST_BOXES { @for number in 1..=boards { span { (tick()) (number) } } }
                @else { (blank_line("")) }
            }
        }
    }
}

fn cloth(words: Words, lines: &[&BuyLine]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h3 { "At the cloth counter" }
            @for line in lines { div class="cut" {
                p { (tick()) b { (printable(&line.say)) } }
                p {
                    "In one piece"
                    @if let Some(length) = line.at_least_length { ", " (words.len_unit(length)) " or more" }
                    @if let Some(width) = line.at_least_width { ", off a bolt at least " (words.len_unit(width)) " wide" }
                    "."
                }
                p { (blank_line("bought")) " " (blank_line("width of the bolt")) }
            } }
            p class="note" {
                "A wider bolt of the same cloth is fine; a narrower one needs a new layout. The weave must be tight and the "
                "cloth free of sizing once washed."
            }
        }
    }
}

fn rack(words: Words, job: &Job, plan: &Plan) -> Markup {
    let boards = plan.bill.boards.iter().filter(|line| job.boards[line.stock].place != BoardPlace::Yard);
    let boards: Vec<_> = boards.map(|line| (line.boards, &job.boards[line.stock])).collect();
    let remnants =
        job.bolts.iter().zip(&plan.cloth.bolts).filter(|(bolt, used)| bolt.on_hand.is_some() && !used.laid.is_empty());
    let remnants: Vec<_> = remnants.collect();
    html! {
        @if !boards.is_empty() || !remnants.is_empty() {
            h3 { "Not to buy: on hand" }
            ul class="plain" {
                @for (number, stock) in &boards { li {
                    (tick()) (number) " of " (printable(&stock.stock)) ", " (stock.thickness.show(words.units())) " "
                    (printable(stock.species.word())) ", " (words.size(stock.width, stock.length))
                } }
                @for (bolt, used) in &remnants { li {
                    (tick()) (printable(&bolt.bolt)) ", " (words.len(used.bought)) " of it"
                } }
            }
        }
    }
}
