//! The page at the saw, to be read from two metres: plain forms, no script.

use maud::{Markup, html};

use super::page::{document, table, turn};
use super::saw::{Cutting, Unwritten};
use crate::measure::Length;
use crate::report::pages::{BoardScale, board_figure};
use crate::report::rips;
use crate::shopfloor::Standing;

/// Before a plan is being cut, or when it cannot be gone on with.
pub(super) fn nothing_cut(why: Option<&str>) -> String {
    let body = html! {
        header { (turn("Saw")) }
        main.saw {
            @if let Some(why) = why {
                p.wrong role="alert" { (why) }
            } @else {
                h1 { "At the saw" }
                p { "Nothing is being cut yet. To begin, the plan as it is now is written into the folder " code { "cut/plan" }
                    " beside the job; what you count here goes into " code { "cut/count.csv" } ", which "
                    code { "slatwright count" } " reads." }
                form method="post" action="saw/begin" { button.big type="submit" { "Begin cutting" } }
            }
        }
    };
    document("at the saw", None, "", &body)
}

/// The board in hand.
pub(super) fn at_the_saw(
    cutting: &Cutting,
    unwritten: &Unwritten,
    board: usize,
    standing: Result<Standing, String>,
) -> String {
    let count = cutting.cut.boards.len();
    let done = (0..count).filter(|at| cutting.is_done(*at)).count();
    let body = html! {
        header { (turn("Saw")) }
        main.saw {
            @if let Some(stock) = cutting.cut.boards.get(board) {
                h1 { "Board " (board + 1) " of " (count) ": " (stock.stock.stock) }
                (drawn(cutting, board))
                (setting(cutting, unwritten, board))
                (buttons(cutting, unwritten, board, standing.as_ref().ok()))
            }
            nav.boards aria-label="boards" {
                @for at in 0..count {
                    a href=(format!("saw?board={at}")) aria-current=[(at == board).then_some("true")] {
                        (at + 1) @if cutting.is_done(at) { " done" }
                    }
                    " "
                }
            }
            p { (done) " of " (count) " boards are counted whole." }
            @match standing {
                Ok(standing) => (all_together(cutting, &standing)),
                Err(why) => p.wrong { (why) },
            }
        }
    };
    document("at the saw", None, "", &body)
}

fn drawn(cutting: &Cutting, board: usize) -> Markup {
    let (job, plan) = (&cutting.planned.laid.job, &cutting.planned.plan);
    let board = plan.boards.boards.get(board);
    html! {
        @if let Some(board) = board {
            figure { (board_figure(job, plan, board, BoardScale::of(job, plan)).markup()) }
        }
    }
}

/// The first rip of the board that is not counted yet.
fn setting(cutting: &Cutting, unwritten: &Unwritten, board: usize) -> Markup {
    let units = cutting.planned.laid.job.units;
    let show = |length: Length| length.show_nearest(units);
    let open = |part: usize| {
        let yields = cutting.cut.boards[board].yields(part);
        cutting.tally(unwritten, board, part).sum() < yields
    };
    let next = cutting.cut.boards.get(board).and_then(|here| here.rips.iter().find(|rips| open(rips.part)));
    html! {
        @if let Some(next) = next {
            dl.setting {
                div { dt { "blank " (next.blank) } dd { (show(next.blank_length)) } }
                div { dt { "plane to" } dd { (show(next.planed)) } }
                div { dt { "fence" } dd { (show(next.rip_width)) } }
                div { dt { "rips" } dd { (next.rips) } }
                div { dt { "for" } dd { (cutting.parts[next.part].name) } }
            }
        } @else {
            p.setting { "This board is counted." }
        }
    }
}

fn buttons(cutting: &Cutting, unwritten: &Unwritten, board: usize, standing: Option<&Standing>) -> Markup {
    let units = cutting.planned.laid.job.units;
    html! {
        @for (part, yields) in cutting.yields(board) {
            @let strip = &cutting.parts[part];
            @let tally = cutting.tally(unwritten, board, part);
            section.strips {
                h2 { (strip.name) ": " (strip.width.show_nearest(units)) " x " (strip.length.show_nearest(units)) " " (strip.species) }
                p { (tally.straight) " straight, " (tally.bowed) " bowed, " (yields.saturating_sub(tally.sum())) " to come of this board. "
                    @if let Some(standing) = standing { (enough(standing, part)) } }
                @if tally.sum() < yields {
                    div.pair {
                        (press(board, "straight", Some(part), "Straight", &strip.name))
                        (press(board, "bowed", Some(part), "Bowed", &strip.name))
                    }
                }
            }
        }
        @if !cutting.is_done(board) {
            (press(board, "rest", None, "All the rest of this board is straight", ""))
        }
        @if cutting.is_done(board) && board + 1 < cutting.cut.boards.len() {
            p { a.big href=(format!("saw?board={}", board + 1)) { "Next board" } }
        }
    }
}

fn press(board: usize, what: &str, part: Option<usize>, words: &str, of: &str) -> Markup {
    html! {
        form method="post" action="saw/count" {
            input type="hidden" name="board" value=(board);
            input type="hidden" name="what" value=(what);
            @if let Some(part) = part { input type="hidden" name="part" value=(part); }
            button.big type="submit" aria-label=(format!("{words} {of}")) { (words) }
        }
    }
}

/// Whether a size is enough, in a few words.
fn enough(standing: &Standing, part: usize) -> Markup {
    let (wanted, good) = (standing.wanted[part], standing.straight[part]);
    let extra = standing.extra[part];
    html! {
        b {
            @if good >= wanted { "Enough." }
            @else if extra > 0 { "Not enough: cut " (extra) " more." }
            @else { (wanted - good) " more wanted, " (standing.remaining[part]) " to come." }
        }
    }
}

/// The whole cut: enough, or what to cut next.
fn all_together(cutting: &Cutting, standing: &Standing) -> Markup {
    let units = cutting.planned.laid.job.units;
    html! {
        @if standing.enough() {
            p { "As it stands the boards planned are enough, with a chance of " (format!("{:.0} %", standing.chance * 100.0))
                " (asked for: " (format!("{:.0} %", standing.confidence * 100.0)) ")." }
        } @else {
            h2 { "Not enough: cut next" }
            @if let Some(finish) = &standing.finish {
                (table(&rips(&finish.job, &finish.plan), units, "what to cut next"))
            }
            @for salvage in &standing.salvage {
                p { (salvage.rejects) " rejects of " (cutting.parts[salvage.from].name) " do for " (cutting.parts[salvage.to].name) "." }
            }
        }
    }
}
