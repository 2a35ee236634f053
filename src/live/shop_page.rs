//! The page of the shop: what it charges, how it cuts, what boards and cloth there are.

use maud::{Markup, html};

use super::address::Of;
use super::card::card;
use super::page::{Steps, document, size, steps, turn, woods};
use super::plans::Price;
use super::session::Laid;
use super::shop_fields::{Sheaf, Shelf, Shelves};

/// All that the page shows.
pub(super) struct ShopView<'a> {
    pub(super) head: Steps<'a>,
    pub(super) shelves: &'a Shelves,
    pub(super) laid: Option<&'a Laid>,
    pub(super) price: &'a Price,
    pub(super) frozen: &'a [(String, String)],
    pub(super) unit: &'static str,
}

/// The whole page.
pub(super) fn shop_page(title: &str, parts: &Markup) -> String {
    let body = html! {
        header { h1.hidden { "The shop, for " (title) } (turn("Shop")) }
        main { (parts) }
        noscript { p { "This page needs its script, which comes from slatwright itself." } }
    };
    document(&format!("shop, {title}"), Some("page.js"), "shop", &body)
}

/// Everything on it that may change, each part with the name it is replaced by.
pub(super) fn shop_parts(view: &ShopView<'_>) -> Markup {
    html! {
        (steps(&view.head))
        section.paper.ledger aria-label="the shop" {
            (card(view.price, view.frozen))
            section #said aria-live="polite" aria-label="what is wrong" {
                @for problem in &view.shelves.elsewhere { p.wrong { (problem) } }
            }
            form #sizes autocomplete="off" aria-label="figures of the shop" {
                @for shelf in &view.shelves.shelves { (file(shelf, view.unit)) }
                (woods(view.laid))
            }
        }
    }
}

const fn title(of: Of) -> &'static str {
    match of {
        Of::Shop | Of::Job => "The shop's figures",
        Of::Boards => "Boards",
        Of::Cloth => "Cloth",
    }
}

fn file(shelf: &Shelf, unit: &str) -> Markup {
    let rows = shelf.sheaves.iter().filter(|sheaf| sheaf.row.is_some()).count();
    html! {
        section.shelf aria-label=(title(shelf.of)) {
            h2 { (title(shelf.of)) @if !shelf.name.is_empty() { small { " in " (shelf.name) } } }
            @if shelf.name.is_empty() { p.note { "The job names no such file: the usual figures apply." } }
            div class=(if rows > 0 { "rowed" } else { "columns" }) { @for sheaf in &shelf.sheaves { (sheaf_of(sheaf, unit, rows)) } }
        }
    }
}

fn sheaf_of(sheaf: &Sheaf, unit: &str, rows: usize) -> Markup {
    let wrong = sheaf.fields.iter().any(|field| field.wrong.is_some());
    html! {
        @if sheaf.folded {
            details open[wrong] { summary { (sheaf.title) } @for field in &sheaf.fields { (size(field, unit)) } }
        } @else {
            fieldset {
                legend { (sheaf.title) }
                @for field in &sheaf.fields { (size(field, unit)) }
                @if let Some((of, row)) = sheaf.row {
                    p.rows {
                        (row_key("copy_row", of, row, "One more like this", &sheaf.title))
                        @if rows > 1 { (row_key("remove_row", of, row, "Take it out", &sheaf.title)) }
                    }
                }
            }
        }
    }
}

fn row_key(what: &str, of: Of, row: usize, words: &str, name: &str) -> Markup {
    html! {
        button type="button" data-what=(what) data-of=(of.key()) data-row=(row) aria-label=(format!("{words}: {name}")) { (words) }
    }
}
