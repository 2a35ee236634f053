//! The door of the network as it is shown: the code to be scanned, who asks, and the page of a device that waits.

use std::fmt::Write as _;

use maud::{Markup, PreEscaped, html};
use qrcode::{Color, EcLevel, QrCode};

use super::devices::{Device, Lan, Right};
use super::page::document;

/// White round a code, in modules (ISO/IEC 18004 asks for four).
const QUIET: usize = 4;

/// A code as rows of modules, true where they are dark, with its white round it.
fn modules(text: &str) -> Vec<Vec<bool>> {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::M) else { return Vec::new() };
    let (width, colours) = (code.width(), code.to_colors());
    let all = width + 2 * QUIET;
    let dark = |x: usize, y: usize| {
        let inside = (QUIET..QUIET + width).contains(&x) && (QUIET..QUIET + width).contains(&y);
        inside && colours[(y - QUIET) * width + x - QUIET] == Color::Dark
    };
    (0..all).map(|y| (0..all).map(|x| dark(x, y)).collect()).collect()
}

/// The code for a terminal, two modules a letter, light on dark as most terminals are.
pub(crate) fn in_letters(text: &str) -> String {
    let rows = modules(text);
    let mut out = String::new();
    for pair in rows.chunks(2) {
        for x in 0..pair[0].len() {
            let below = pair.get(1).is_none_or(|row| row[x]);
            out.push(match (pair[0][x], below) {
                (false, false) => '\u{2588}',
                (false, true) => '\u{2580}',
                (true, false) => '\u{2584}',
                (true, true) => ' ',
            });
        }
        out.push('\n');
    }
    out
}

/// The code as a drawing, dark on white whatever surrounds it.
fn drawn(text: &str) -> Markup {
    let rows = modules(text);
    let mut path = String::new();
    for (y, row) in rows.iter().enumerate() {
        for x in (0..row.len()).filter(|x| row[*x]) {
            // Writing to a string cannot fail.
            let _ = write!(path, "M{x} {y}h1v1h-1z");
        }
    }
    let view = format!("0 0 {0} {0}", rows.len());
    html! {
        svg.code viewBox=(view) role="img" aria-label="the address as a code to be scanned" shape-rendering="crispEdges" {
            rect width="100%" height="100%" fill="#fff" {}
            (PreEscaped(format!("<path d=\"{path}\" fill=\"#000\"/>")))
        }
    }
}

/// Who asks and who is in, for the maker alone.
pub(super) fn devices(lan: &Lan) -> Markup {
    let all = lan.all();
    let address = lan.address();
    html! {
        section #devices aria-label="phones and tablets" {
            @for device in all.iter().filter(|device| device.right.is_none()) {
                p.asks role="alert" {
                    b { "A device asks to be let in: it shows " (device.number) "." } " It is at " (device.peer) ". "
                    (decide(device, "write", "Let it in")) " "
                    (decide(device, "look", "To look only")) " "
                    (decide(device, "out", "Turn it away"))
                }
            }
            details {
                summary { "A phone or tablet in this network" }
                p { "Scan this with it, or open " code { (address) } ". It is let in here. What goes to it is not encrypted: "
                    "do it in a network of your own." }
                (drawn(&address))
                @for device in all.iter().filter(|device| device.right.is_some()) {
                    p {
                        "Device " (device.number) ", at " (device.peer) ", may "
                        @if device.right == Some(Right::Write) { "write. " } @else { "look. " }
                        (decide(device, "out", "Out with it"))
                    }
                }
            }
        }
    }
}

fn decide(device: &Device, right: &str, words: &str) -> Markup {
    html! {
        button type="button" data-what="device" data-number=(device.number) data-right=(right)
            aria-label=(format!("{words}: device {}", device.number)) { (words) }
    }
}

/// What a device sees that waits: it asks again by itself.
pub(super) fn waiting(number: u32) -> String {
    let body = html! {
        main.saw #waiting {
            h1 { "Waiting to be let in" }
            section.hand { p { "This device is number" } p.word { (number) } }
            p { "Whoever has the job open lets it in on the first page; this page goes on by itself then." }
        }
    };
    document("waiting", Some("wait.js"), "", &body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_as_large_as_its_text_asks_and_white_round_it() {
        let rows = modules("http://192.168.1.5:40123/0123456789abcdef0123456789abcdef/");
        assert!(rows.len() > 21 + 2 * QUIET && rows.iter().all(|row| row.len() == rows.len()));
        assert!(rows.iter().take(QUIET).flatten().all(|dark| !dark));
        // The corner square of ISO/IEC 18004: seven dark, then one light.
        let edge: Vec<bool> = rows[QUIET][QUIET..QUIET + 8].to_vec();
        assert_eq!(edge, [true, true, true, true, true, true, true, false]);
        assert_eq!(in_letters("a").lines().count(), (21 + 2 * QUIET).div_ceil(2));
    }
}
