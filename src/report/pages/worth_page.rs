//! The worth card: what one more board of each width and length saves a job, for the phone and the pocket.

use std::collections::BTreeSet;

use itertools::Itertools;
use maud::{Markup, html};

use super::Page;
use super::shell::{self, Words};
use crate::job::Job;
use crate::measure::Length;
use crate::report::printable;
use crate::shopfloor::{BoardWorth, WorthTable};

/// The whole page.
#[must_use]
pub fn worth_card(job: &Job, found: &WorthTable) -> String {
    let words = Words::new(job);
    let body = html! { (said(job, found)) (woods(words, job, found)) };
    shell::single(words, job, &Page::new("worth", "What a board is worth", body), None).into_string()
}

fn said(job: &Job, found: &WorthTable) -> Markup {
    html! {
        p {
            "A figure is what " b { "one more" } " board of this width and length saves the job, in " (printable(&job.shop.currency))
            ": a board that costs less is worth taking, one that costs more is not. A board between two sizes is worth at least what "
            "the smaller one is. Beside a figure, in brackets, is the list's price where it has that size."
        }
        p class="note" {
            "Each board taken makes the next one worth less: before the second, ask again. By the linear relaxation; boards come whole, so "
            "that a single one may save more or less"
            @if found.cut_short { "; stopped early, figures with ~ are at most so much" }
            "."
        }
    }
}

fn woods(words: Words, job: &Job, found: &WorthTable) -> Markup {
    let on_hand = |board: &&BoardWorth| board.stock.is_some_and(|at| job.boards[at].on_hand.is_some());
    let for_sale: Vec<&BoardWorth> = found.boards.iter().filter(|board| !on_hand(board)).collect();
    html! {
        @if for_sale.is_empty() { p { "No board is for sale that the job could use." } }
        @for (wood, boards) in &for_sale.into_iter().chunk_by(|board| (&board.species, board.thickness)) {
            h3 { (wood.1.show(words.units())) " " (printable(wood.0.word())) }
            (grid(words, job, &boards.collect::<Vec<_>>()))
        }
    }
}

/// Widths down, lengths across.
fn grid(words: Words, job: &Job, boards: &[&BoardWorth]) -> Markup {
    let lengths: BTreeSet<Length> = boards.iter().map(|board| board.length).collect();
    let widths: BTreeSet<Length> = boards.iter().map(|board| board.width).collect();
    html! {
        table class="worth" {
            thead { tr {
                th scope="col" { "wide" }
                @for length in &lengths { th scope="col" class="n" { (words.len(*length)) " long" } }
            } }
            tbody { @for width in &widths { tr {
                th scope="row" { (words.len(*width)) }
                @for length in &lengths { td class="n" {
                    @if let Some(board) = boards.iter().find(|board| (board.width, board.length) == (*width, *length)) {
                        (figure(job, board))
                    }
                } }
            } } }
        }
    }
}

fn figure(job: &Job, board: &BoardWorth) -> Markup {
    let currency = &job.shop.currency;
    html! {
        b { @match board.worth.exact {
            Some(worth) => { (worth.marked(currency)) }
            None => { "~" (board.worth.estimate.marked(currency)) }
        } }
        @if let Some(stock) = board.stock { " (" (job.boards[stock].unit_cost.marked(currency)) ")" }
    }
}
