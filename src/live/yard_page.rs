//! The page at the yard, for a phone: plain forms, no script.

use maud::{Markup, html};

use super::page::{document, spoken, turn};
use super::yard::{Measured, Trip, Wrong};
use crate::job::{BoardStock, BoardUnit};
use crate::measure::{Cents, Units};
use crate::shopfloor::{Offer, Verdict, Yard};

/// Where there is nothing to pick for.
pub(super) fn no_trip(why: &str) -> String {
    let body = html! {
        header { (turn("Yard")) }
        main.saw { h1 { "At the yard" } p.wrong.lines role="alert" { (why) } p { a href="yard" { "Back to the yard" } } }
    };
    document("at the yard", None, "", &body)
}

/// The board in hand, or the fields for the next one; what is picked, covered and short.
pub(super) fn at_the_yard(trip: &Trip, yard: Result<&Yard, String>, asked: Option<(&Measured, &Wrong)>) -> String {
    let in_hand = trip.in_hand().count();
    let standing = yard.as_ref().ok().copied();
    let body = html! {
        header { (turn("Yard")) }
        main.saw {
            h1 { "At the yard" }
            @if let Err(why) = &yard { p.wrong.lines role="alert" { (why) } }
            @for row in trip.in_hand() {
                (hand(trip, row, standing.and_then(|yard| yard.offers.iter().find(|offer| offer.stock == row.stock))))
            }
            @if in_hand > 0 && asked.is_none() {
                details { summary { "Another board beside it" } (fields(trip, asked)) }
            } @else {
                (fields(trip, asked))
            }
            @if let Some(yard) = standing { (covered(trip, yard)) }
            (list(trip))
            (cut(trip, standing))
        }
    };
    document("at the yard", None, "", &body)
}

fn money(trip: &Trip, cents: Cents) -> String {
    let currency = &trip.job().shop.currency;
    format!("{currency} {}", cents.marked(currency))
}

/// A board in words: `yard 7: 4/4 cherry, 6-1/4 x 98`.
fn board(trip: &Trip, row: &BoardStock) -> String {
    let units = trip.job().units;
    let (thickness, wood) = (row.thickness.show(units), row.species.word());
    let (width, length) = (row.width.show_nearest(units), row.length.show_nearest(units));
    let cut = if row.defects.is_empty() { String::new() } else { format!(", without {}", row.defects_text(units)) };
    format!("{}: {thickness} {wood}, {width} x {length} {}{cut}", row.stock, units.word())
}

/// The board in hand: the word, the figures, two keys.
fn hand(trip: &Trip, row: &BoardStock, offer: Option<&Offer>) -> Markup {
    let verdict = offer.map(Offer::verdict);
    html! {
        section.hand aria-label="the board in hand" {
            p.word role="status" { (verdict.map_or("No word yet", capital)) }
            p { (board(trip, row)) }
            @if let Some(offer) = offer {
                p { "price " b { (money(trip, offer.price)) } ", worth " b { (money(trip, offer.worth)) } " for what is missing" }
                @if offer.at_least != offer.at_most {
                    p.note { "proven: from " (money(trip, offer.at_least)) " to " (money(trip, offer.at_most)) }
                }
            }
            div.pair {
                (decide(row, 1, "I take it", verdict == Some(Verdict::Take)))
                (decide(row, 0, "I leave it", verdict == Some(Verdict::Leave)))
            }
        }
    }
}

fn capital(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Take => "Take it",
        Verdict::Leave => "Leave it",
        Verdict::TossUp => "Toss-up",
    }
}

fn decide(row: &BoardStock, count: u32, words: &str, advised: bool) -> Markup {
    html! {
        form method="post" action="yard-decide" {
            input type="hidden" name="board" value=(row.stock);
            input type="hidden" name="count" value=(count);
            button.big.advised[advised] type="submit" aria-label=(format!("{words}: {}", row.stock)) { (words) }
        }
    }
}

/// Three fields, and what is seldom needed.
fn fields(trip: &Trip, asked: Option<(&Measured, &Wrong)>) -> Markup {
    let usual = trip.usual();
    let (typed, wrong) = asked.map_or((&usual, &[][..]), |(typed, wrong)| (typed, &wrong[..]));
    let at = |column: &str| -> Vec<&str> {
        wrong.iter().filter(|(at, _)| at == column).map(|(_, words)| words.as_str()).collect()
    };
    let units = trip.job().units;
    let woods = trip.woods();
    let known = ["width", "length", "thickness", "species", "defects", "price", "per"];
    let seldom = ["species", "price", "per"].iter().any(|column| !at(column).is_empty());
    html! {
        form.measure method="post" action="yard-measure" autocomplete="off" {
            input type="hidden" name="seen" value=(trip.rows.len());
            @for (_, words) in wrong.iter().filter(|(column, _)| !known.contains(&column.as_str())) { p.wrong role="alert" { (words) } }
            (size("width", "Width", &typed.width, units, &at("width")))
            (size("length", "Length", &typed.length, units, &at("length")))
            (field("thickness", "Thickness", &typed.thickness, Some("thicknesses"), &at("thickness")))
            (field("defects", "To be cut out (12..15: from, to)", &typed.defects, None, &at("defects")))
            @if woods.len() > 1 { (wood(&woods, &typed.species)) }
            details open[seldom] {
                summary { "Another " @if woods.len() < 2 { "wood or " } "price" }
                @if woods.len() < 2 { (field("species", "Wood", &typed.species, None, &at("species"))) }
                (field("price", "Price, where the list has another", &typed.price, None, &at("price")))
                (per(trip, &typed.per, &at("per")))
            }
            button.big type="submit" { "Take it or leave it?" }
            datalist #thicknesses { @for thickness in trip.thicknesses() { option value=(thickness.show(units)) {} } }
        }
    }
}

/// A size in the job's unit, with a key for eighths where a tape has them.
fn size(name: &str, label: &str, value: &str, units: Units, wrong: &[&str]) -> Markup {
    html! {
        div.field .wrong[!wrong.is_empty()] {
            label for=(name) { (label) }
            span.line {
                input #(name) name=(name) value=(value) inputmode="decimal" required aria-describedby=(format!("says-{name}"));
                @if units == Units::Inch {
                    select name=(format!("{name}_eighths")) aria-label=(format!("{label}, eighths beside it")) {
                        @for (n, word) in (0..).zip(["0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"]) {
                            option value=(n) { (word) }
                        }
                    }
                }
                span.unit { (units.word()) }
            }
            p.says #(format!("says-{name}")) { (wrong.join("; ")) }
        }
    }
}

fn field(name: &str, label: &str, value: &str, list: Option<&str>, wrong: &[&str]) -> Markup {
    html! {
        div.field .wrong[!wrong.is_empty()] {
            label for=(name) { (label) }
            span.line { input #(name) name=(name) value=(value) list=[list] aria-describedby=(format!("says-{name}")); }
            p.says #(format!("says-{name}")) { (wrong.join("; ")) }
        }
    }
}

fn wood(woods: &[String], chosen: &str) -> Markup {
    html! {
        div.field {
            label for="species" { "Wood" }
            select #species name="species" { @for wood in woods { option value=(wood) selected[wood == chosen] { (wood) } } }
        }
    }
}

fn per(trip: &Trip, chosen: &str, wrong: &[&str]) -> Markup {
    let usual = if trip.job().units == Units::Inch { BoardUnit::BoardFoot } else { BoardUnit::CubicMetre };
    let chosen = if chosen.is_empty() { usual.word() } else { chosen };
    let words = [
        (BoardUnit::BoardFoot, "a board foot"),
        (BoardUnit::CubicMetre, "a cubic metre"),
        (BoardUnit::LinealFoot, "a foot of length"),
        (BoardUnit::Each, "the whole board"),
    ];
    html! {
        div.field .wrong[!wrong.is_empty()] {
            label for="per" { "It is the price of" }
            select #per name="per" { @for (unit, words) in words { option value=(unit.word()) selected[unit.word() == chosen] { (words) } } }
            p.says { (wrong.join("; ")) }
        }
    }
}

/// Strip by strip: wanted, out of what is picked and out of the rack, short.
fn covered(trip: &Trip, yard: &Yard) -> Markup {
    let units = trip.job().units;
    let short: u32 = yard.short.iter().sum();
    html! {
        section aria-label="what is covered and what is short" {
            h2 { @if short == 0 { "All strips are covered" } @else { (short) " strips are short" } }
            table {
                caption.hidden { "strips covered and short" }
                thead { tr { th scope="col" { "strip" } th scope="col" { "wanted" } th scope="col" { "picked" } th scope="col" { "rack" } th scope="col" { "short" } } }
                tbody {
                    @for (at, part) in trip.parts.iter().enumerate() {
                        tr {
                            th scope="row" { (part.width.show_nearest(units)) " x " (part.length.show_nearest(units)) " " (part.species.word()) }
                            td { (part.total()) } td { (yard.from_picked[at]) } td { (yard.from_rack[at]) }
                            td { @if yard.short[at] > 0 { b { (yard.short[at]) } } @else { "0" } }
                        }
                    }
                }
            }
            @if short > 0 {
                @let boards = &yard.finish.plan.boards;
                p { "The cheapest way to the rest: " (money(trip, boards.cost))
                    @if boards.optimal { ", proven." } @else { "; none costs less than " (money(trip, boards.bound)) "." } }
                details { summary { "What to buy for it" } (spoken(&yard.finish.plan, units)) }
            }
        }
    }
}

/// Boards of the trip, each with the way back.
fn list(trip: &Trip) -> Markup {
    let spent: Cents = trip.taken().map(|row| row.unit_cost * i64::from(row.on_hand.unwrap_or(0))).sum();
    let boards: u32 = trip.taken().filter_map(|row| row.on_hand).sum();
    html! {
        @if boards > 0 {
            h2 { (boards) @if boards == 1 { " board" } @else { " boards" } " picked, " (money(trip, spent)) }
            ul.picked { @for row in trip.taken() { (listed(trip, row, 0, "Put it back")) } }
        }
        @if trip.left().next().is_some() {
            details { summary { "Left there" } ul.picked { @for row in trip.left() { (listed(trip, row, 1, "Take it after all")) } } }
        }
    }
}

fn listed(trip: &Trip, row: &BoardStock, count: u32, words: &str) -> Markup {
    let many = row.on_hand.filter(|count| *count > 1).map(|count| format!("{count} x ")).unwrap_or_default();
    html! {
        li {
            span { (many) (board(trip, row)) }
            form method="post" action="yard-decide" {
                input type="hidden" name="board" value=(row.stock);
                input type="hidden" name="count" value=(count);
                button type="submit" aria-label=(format!("{words}: {}", row.stock)) { (words) }
            }
        }
    }
}

/// The plan from what was picked.
fn cut(trip: &Trip, yard: Option<&Yard>) -> Markup {
    let uncut: &[String] = yard.map_or(&[], |yard| &yard.to_go_back);
    html! {
        @if trip.taken().next().is_some() && trip.in_hand().next().is_none() {
            @if !uncut.is_empty() { p { "Cheaper without these, they can go back: " (uncut.join(", ")) "." } }
            form method="post" action="yard-cut" { button.big type="submit" { "Cut from these" } }
            p.note {
                "Plans the job from these boards, then the rack, then what the list sells, into " code { "cut/plan" }
                ", and goes to the saw. The boards are in " code { "picked.csv" } ", for " code { "slatwright plan --picked" } " too."
            }
        }
    }
}
