//! The page at the saw, to be read from two metres: plain forms, no script.

use maud::{Markup, html};

use super::page::{document, spoken, table, turn};
use super::saw::{Cutting, OfCut, Unwritten, as_cut};
use crate::measure::Length;
use crate::report::pages::{BoardScale, figure_of};
use crate::report::rips;
use crate::shopfloor::{Finish, Standing};

/// Before a plan is being cut, or when it cannot be gone on with. `picked` is how many boards were picked at the yard.
pub(super) fn nothing_cut(why: Option<&str>, picked: u64) -> String {
    let body = html! {
        header { (turn("Saw")) }
        main.saw {
            @if let Some(why) = why {
                p.wrong role="alert" { (why) }
                p { a href="saw" { "Back to the saw" } }
            } @else {
                h1 { "At the saw" }
                p { "Nothing is being cut yet. To begin, the plan as it is now is written into the folder " code { "cut/plan" }
                    " beside the job; what you count here goes into " code { "cut/count.csv" } ", which "
                    code { "slatwright count" } " reads." }
                @if picked > 0 {
                    p { (picked) @if picked == 1 { " board was" } @else { " boards were" } " picked at the yard." }
                    form method="post" action="yard-cut" { button.big type="submit" { "Cut from the boards picked" } }
                    p { "Or as if none had been picked:" }
                }
                form method="post" action="saw-begin" { button.big type="submit" { "Begin cutting" } }
            }
        }
    };
    document("at the saw", None, "", &body)
}

/// The board in hand.
pub(super) fn at_the_saw(
    cutting: &Cutting,
    unwritten: &Unwritten,
    at: OfCut,
    standing: Result<&Standing, String>,
) -> String {
    let boards = cutting.boards();
    let counted = cutting.rounds.iter().any(|round| !round.rows.is_empty());
    let done = boards.iter().filter(|at| cutting.is_done(**at)).count();
    let body = html! {
        header { (turn("Saw")) }
        main.saw {
            @if let Some(board) = cutting.board(at) {
                h1 { (called(cutting, at)) " of " (cutting.rounds[at.0].plan.boards.len()) ": " (board.stock.stock) }
                (drawn(cutting, at))
                (setting(cutting, unwritten, at))
                (buttons(cutting, unwritten, at, standing.as_ref().ok().copied().filter(|_| counted)))
            }
            @for cut in 0..cutting.rounds.len() {
                nav.boards aria-label=(if cut == 0 { "boards".to_owned() } else { format!("boards of cut {}", cut + 1) }) {
                    @if cutting.rounds.len() > 1 { span { "Cut " (cut + 1) ":" } " " }
                    @for other in boards.iter().filter(|other| other.0 == cut) {
                        a href=(place(*other)) aria-current=[(*other == at).then_some("true")] {
                            (other.1 + 1) @if cutting.is_done(*other) { " done" }
                        }
                        " "
                    }
                }
                @let anew = cutting.rounds[cut].anew.len();
                @if anew > 0 { p { (anew) @if anew == 1 { " more board" } @else { " more boards" } " of this cut: planned anew in a later one." } }
            }
            p { (done) " of " (boards.len()) @if boards.len() == 1 { " board is" } @else { " boards are" } " counted whole." }
            @if !counted {
                p { "What is enough and what is not is said here once strips are counted." }
            } @else {
                @match standing {
                    Ok(standing) => (all_together(cutting, standing)),
                    Err(why) => p.wrong { (why) },
                }
            }
        }
    };
    document("at the saw", None, "", &body)
}

/// `Board 3`, or `Cut 2, board 3`.
fn called(cutting: &Cutting, (cut, board): OfCut) -> String {
    if cutting.rounds.len() > 1 {
        format!("Cut {}, board {}", cut + 1, board + 1)
    } else {
        format!("Board {}", board + 1)
    }
}

fn place((cut, board): OfCut) -> String {
    format!("saw?cut={cut}&board={board}")
}

fn drawn(cutting: &Cutting, at: OfCut) -> Markup {
    let lengths = cutting.rounds[at.0].plan.boards.iter().map(|board| board.stock.length);
    html! {
        @if let Some(board) = cutting.board(at) {
            @let cut = as_cut(board, &cutting.parts);
            figure tabindex="0" aria-label="the board, drawn" {
                (figure_of(&cutting.laid.job, &cutting.parts, (&board.stock, &cut), BoardScale::holding(lengths)).markup())
            }
        }
    }
}

/// The first rip of the board that is not counted yet.
fn setting(cutting: &Cutting, unwritten: &Unwritten, at: OfCut) -> Markup {
    let units = cutting.laid.job.units;
    let show = |length: Length| length.show_nearest(units);
    let board = cutting.board(at);
    let open = |part: usize| {
        let yields = board.map_or(0, |board| board.yields(part));
        cutting.tally(unwritten, at, part).sum() < yields
    };
    let next = board.and_then(|here| here.rips.iter().find(|rips| open(rips.part)));
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

fn buttons(cutting: &Cutting, unwritten: &Unwritten, at: OfCut, standing: Option<&Standing>) -> Markup {
    let units = cutting.laid.job.units;
    let boards = cutting.boards();
    let next = boards.iter().position(|other| *other == at).and_then(|here| boards.get(here + 1));
    html! {
        @for (part, yields) in cutting.yields(at) {
            @let strip = &cutting.parts[part];
            @let tally = cutting.tally(unwritten, at, part);
            section.strips {
                h2 { (strip.name) ": " (strip.width.show_nearest(units)) " x " (strip.length.show_nearest(units)) " " (strip.species) }
                p { (tally.straight) " straight, " (tally.bowed) " bowed, " (yields.saturating_sub(tally.sum())) " to come of this board. "
                    @if let Some(standing) = standing { (enough(standing, part)) } }
                @if tally.sum() < yields {
                    div.pair {
                        (press(at, "straight", Some(part), "Straight", &strip.name))
                        (press(at, "bowed", Some(part), "Bowed", &strip.name))
                    }
                }
            }
        }
        @if !cutting.is_done(at) {
            (press(at, "rest", None, "All the rest of this board is straight", ""))
        }
        @if let (true, Some(next)) = (cutting.is_done(at), next) {
            p { a.big href=(place(*next)) { "Next board" } }
        }
    }
}

fn press((cut, board): OfCut, what: &str, part: Option<usize>, words: &str, of: &str) -> Markup {
    html! {
        form method="post" action="saw-count" {
            input type="hidden" name="cut" value=(cut);
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
    html! {
        @if standing.enough() {
            p { "As it stands the boards planned are enough, with a chance of " (format!("{:.0} %", standing.chance * 100.0))
                " (asked for: " (format!("{:.0} %", standing.confidence * 100.0)) ")." }
        } @else {
            h2 { "Not enough: cut next" }
            @for salvage in standing.surplus.iter().chain(&standing.salvage) {
                p { "First crosscut " (salvage.used) (salvage.what.words()) " of " (cutting.parts[salvage.from].name) " into "
                    (salvage.strips) " straight strips for " (cutting.parts[salvage.to].name) "." }
            }
            @if let Some(finish) = &standing.finish { (cut_next(cutting, standing, finish)) }
        }
    }
}

/// The extra cutting: from what, and the button that puts it in hand.
fn cut_next(cutting: &Cutting, standing: &Standing, finish: &Finish) -> Markup {
    let units = cutting.laid.job.units;
    let boards = finish.plan.boards.boards.len();
    html! {
        @if !standing.anew.is_empty() {
            @let names: Vec<String> = standing.anew.iter().map(|at| called(cutting, *at)).collect();
            p { "Planned anew with it, and not to be cut by the old plan: " (names.join("; ")) "." }
        }
        p { (boards) @if boards == 1 { " board" } @else { " boards" } " to cut." }
        form method="post" action="saw-next" { button.big type="submit" { "Cut these next" } }
        @if !finish.plan.bill.buy.is_empty() { p { "To buy for it:" } (spoken(&finish.plan, units)) }
        details { summary { "The rips" } (table(&rips(&finish.job, &finish.plan), units, "what to cut next")) }
    }
}
