//! Writes a [`Drawing`] as SVG in true millimetres: printed at 100 % it measures right.

use std::fmt::Write as _;

use super::drawing::{Anchor, Drawing, Item, Layer, Place};
use crate::files::steers;

/// The whole document.
#[must_use]
pub fn svg_text(drawing: &Drawing) -> String {
    let (width, height) = (figure(drawing.width), figure(drawing.height));
    let mut out = String::new();
    out.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} \
         {height}\">"
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(&drawing.title));
    // A browser that prints a sheet leaves a margin of its own and makes the sheet smaller to suit: not this one.
    let _ = writeln!(out, "<style>@page {{ size: {width}mm {height}mm; margin: 0 }}</style>");
    if let Some((low, high)) = drawing.window {
        // A document within the document cuts off what leaves it, without a name that could clash on a page of many.
        let (x, y) = (figure(low.x), figure(drawing.height - high.y));
        let (w, h) = (figure(high.x - low.x), figure(high.y - low.y));
        let _ = writeln!(out, "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\">");
        layers(&mut out, &drawing.items, drawing.height);
        out.push_str("</svg>\n");
    } else {
        layers(&mut out, &drawing.items, drawing.height);
    }
    layers(&mut out, &drawing.marks, drawing.height);
    out.push_str("</svg>\n");
    out
}

/// Items alone, layer by layer, for a drawing within a page: y, which runs up, becomes less than nothing going up.
#[must_use]
pub fn svg_items(items: &[Item]) -> String {
    let mut out = String::new();
    layers(&mut out, items, 0.0);
    out
}

/// The pen of a layer: thin lines for what is cut along, so that a knife finds the middle.
const fn pen(layer: Layer) -> &'static str {
    match layer {
        Layer::Wall => r##"fill="none" stroke="#222222" stroke-width="0.25""##,
        Layer::Centreline => r##"fill="none" stroke="#222222" stroke-width="0.18" stroke-dasharray="6 1.5 1 1.5""##,
        Layer::Mark => r##"fill="none" stroke="#222222" stroke-width="0.15""##,
        Layer::Case => r##"fill="none" stroke="#222222" stroke-width="0.7""##,
        Layer::Entry => r##"fill="none" stroke="#222222" stroke-width="0.2" stroke-dasharray="3 1.5""##,
        Layer::Stop => r##"fill="none" stroke="#111111" stroke-width="0.5""##,
        Layer::Slat => r##"fill="#f3e3c3" stroke="#222222" stroke-width="0.15" stroke-linejoin="round""##,
        Layer::Lead => r##"fill="#e0bd80" stroke="#222222" stroke-width="0.15" stroke-linejoin="round""##,
        Layer::Tongue => r##"fill="#b98b4e" stroke="#222222" stroke-width="0.1" stroke-linejoin="round""##,
        Layer::Text => r##"fill="#111111" font-family="sans-serif""##,
    }
}

fn layers(out: &mut String, items: &[Item], height: f64) {
    for layer in Layer::ALL {
        let mut here = items.iter().filter(|item| layer_of(item) == layer).peekable();
        if here.peek().is_some() {
            // Writing to a string cannot fail.
            let _ = writeln!(out, "<g class=\"{}\" {}>", layer.name(), pen(layer));
            here.for_each(|item| write_item(out, item, height));
            out.push_str("</g>\n");
        }
    }
}

const fn layer_of(item: &Item) -> Layer {
    match item {
        Item::Line { layer, .. } | Item::Arc { layer, .. } | Item::Outline { layer, .. } => *layer,
        Item::Text { .. } => Layer::Text,
    }
}

fn write_item(out: &mut String, item: &Item, height: f64) {
    // The sheet's y runs up, the screen's down.
    let xy = |place: Place| (figure(place.x), figure(height - place.y));
    // Writing to a string cannot fail.
    let _ = match item {
        Item::Line { from, to, .. } => {
            let ((x1, y1), (x2, y2)) = (xy(*from), xy(*to));
            writeln!(out, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>")
        }
        Item::Arc { centre, radius, start, sweep, .. } => {
            let on = |degrees: f64| {
                let (sine, cosine) = degrees.to_radians().sin_cos();
                xy(centre.moved(radius * cosine, radius * sine))
            };
            let ((x1, y1), (x2, y2), r) = (on(*start), on(start + sweep), figure(*radius));
            let large = u8::from(*sweep > 180.0);
            writeln!(out, "<path d=\"M {x1} {y1} A {r} {r} 0 {large} 0 {x2} {y2}\"/>")
        }
        Item::Outline { corners, .. } => {
            let points: Vec<String> =
                corners.iter().map(|corner| xy(*corner)).map(|(x, y)| format!("{x},{y}")).collect();
            writeln!(out, "<polygon points=\"{}\"/>", points.join(" "))
        }
        Item::Text { at, height: letters, anchor, text } => {
            let (x, y) = xy(*at);
            let hangs = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let (size, text) = (figure(*letters), escaped(text));
            writeln!(out, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{hangs}\">{text}</text>")
        }
    };
}

/// A figure with at most four decimals: a ten-thousandth of a millimetre, far under any pen.
fn figure(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML has no control characters and not these two (Extensible Markup Language 1.0, production 2); what
            // turns text around would do so to the whole label.
            c if steers(c) || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_short_and_names_are_harmless() {
        assert_eq!(figure(25.4), "25.4");
        assert_eq!(figure(-0.000_01), "0");
        assert_eq!(figure(100.0), "100");
        assert_eq!(escaped("<a & \"b\">\n"), "&lt;a &amp; &quot;b&quot;&gt; ");
        assert_eq!(escaped("a\u{ffff}b\u{fffe}"), "a b ");
    }
}
