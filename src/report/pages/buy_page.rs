//! The buy sheet: lines as a yard and a cloth counter speak, with room to tally what was really found.

use maud::{Markup, html};

use super::shell::{Words, blank_line, tick};
use crate::bill::BuyLine;
use crate::job::{BoardPlace, Job};
use crate::measure::Units;
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
            @for line in lines { (lumber_line(words, line)) }
            h4 { "Substitutes" }
            ul {
                li { "A wider or longer board may stand for a listed one, never a narrower or shorter one, nor a thinner one." }
                li { "Rough stock may stand for surfaced stock of the same or a greater quarter size." }
                li { "Two boards may stand for one only if each is at least as wide and the blanks of that board fit them: take the rip sheet along." }
                li { "Look for straight grain, no end checks past the trim, and no twist; sight along both edges." }
            }
        }
    }
}

fn lumber_line(words: Words, line: &BuyLine) -> Markup {
    let boards = usize::try_from(line.quantity).unwrap_or(usize::MAX);
    html! {
        div class="cut" {
            p { b { (printable(&line.say)) } }
            p {
                "At least "
                @if let Some(width) = line.at_least_width { (words.len_unit(width)) " wide" }
                @if let Some(length) = line.at_least_length { ", " (words.len_unit(length)) " long" }
                ". Found:"
            }
            @if boards <= MOST_BOXES { p class="ticks" { @for number in 1..=boards { span { (tick()) (number) } } } }
            @else { p { (boards) " boards, tally: " (blank_line("")) } }
            p { (blank_line("widths")) " " (blank_line("lengths")) " " (blank_line(if words.units() == Units::Inch { "board feet" } else { "cubic metres" })) }
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
                "A wider bolt of the same cloth does; a narrower one needs another layout. The weave must be tight and the "
                "cloth free of size once washed."
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
