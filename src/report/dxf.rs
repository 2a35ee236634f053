//! Writes a [`Drawing`] as DXF, release 12, in millimetres or inches: what every router and drawing program reads.
//!
//! The general crate for this format stamps each file with the clock and random handles, and brings some forty crates;
//! these drawings need lines, arcs and text only, the same bytes every time. The tests read the files back with that
//! crate.

use std::fmt::Write as _;

use super::drawing::{Anchor, Drawing, Item, Layer, Place};
use crate::measure::Units;

/// The whole file, one unit of it a millimetre or an inch: the drawing says which in a text of its own, as release 12
/// has no place for it. Windows and page marks are for printers: the items are written whole.
#[must_use]
pub fn dxf_text(drawing: &Drawing, units: Units) -> String {
    let scale = match units {
        Units::Inch => 1.0 / 25.4,
        Units::Millimetre => 1.0,
    };
    let mut out = String::new();
    header(&mut out, drawing, units, scale);
    layer_table(&mut out);
    pair(&mut out, 0, "SECTION");
    pair(&mut out, 2, "ENTITIES");
    for item in &drawing.items {
        entity(&mut out, &item.scaled(scale));
    }
    let says = Item::Text {
        at: Place::new(3.0, 3.0),
        height: 4.0,
        anchor: Anchor::Start,
        text: format!("drawn in {0}: 1 unit is 1 {units}", units.plural()),
    };
    entity(&mut out, &says.scaled(scale));
    pair(&mut out, 0, "ENDSEC");
    pair(&mut out, 0, "EOF");
    out
}

fn pair(out: &mut String, code: u16, value: &str) {
    // Writing to a string cannot fail.
    let _ = write!(out, "{code:>3}\r\n{value}\r\n");
}

fn number(out: &mut String, code: u16, value: f64) {
    pair(out, code, &format!("{value:.6}"));
}

/// A point: its codes are `first`, `first + 10` and, for the height, `first + 20`.
fn point(out: &mut String, first: u16, place: Place) {
    number(out, first, place.x);
    number(out, first + 10, place.y);
    number(out, first + 20, 0.0);
}

fn header(out: &mut String, drawing: &Drawing, units: Units, scale: f64) {
    pair(out, 0, "SECTION");
    pair(out, 2, "HEADER");
    pair(out, 9, "$ACADVER");
    pair(out, 1, "AC1009");
    // For readers of later releases; release 12 itself has no unit.
    pair(out, 9, "$INSUNITS");
    pair(out, 70, if units == Units::Inch { "1" } else { "4" });
    pair(out, 9, "$EXTMIN");
    point(out, 10, Place::new(0.0, 0.0));
    pair(out, 9, "$EXTMAX");
    point(out, 10, Place::new(drawing.width * scale, drawing.height * scale));
    pair(out, 0, "ENDSEC");
}

fn layer_table(out: &mut String) {
    pair(out, 0, "SECTION");
    pair(out, 2, "TABLES");
    pair(out, 0, "TABLE");
    pair(out, 2, "LAYER");
    pair(out, 70, &Layer::ALL.len().to_string());
    for (i, layer) in Layer::ALL.into_iter().enumerate() {
        pair(out, 0, "LAYER");
        pair(out, 2, layer.name());
        pair(out, 70, "0");
        pair(out, 62, &(i % 7 + 1).to_string());
        pair(out, 6, "CONTINUOUS");
    }
    pair(out, 0, "ENDTAB");
    pair(out, 0, "ENDSEC");
}

fn entity(out: &mut String, item: &Item) {
    match item {
        Item::Line { from, to, layer } => line(out, *from, *to, *layer),
        Item::Arc { centre, radius, start, sweep, layer } => {
            pair(out, 0, "ARC");
            pair(out, 8, layer.name());
            point(out, 10, *centre);
            number(out, 40, *radius);
            number(out, 50, start.rem_euclid(360.0));
            number(out, 51, (start + sweep).rem_euclid(360.0));
        }
        Item::Outline { corners, layer } => {
            for (i, from) in corners.iter().enumerate() {
                line(out, *from, corners[(i + 1) % corners.len()], *layer);
            }
        }
        Item::Text { at, height, anchor, text } => words(out, *at, *height, *anchor, text),
    }
}

fn line(out: &mut String, from: Place, to: Place, layer: Layer) {
    pair(out, 0, "LINE");
    pair(out, 8, layer.name());
    point(out, 10, from);
    point(out, 11, to);
}

fn words(out: &mut String, at: Place, height: f64, anchor: Anchor, text: &str) {
    pair(out, 0, "TEXT");
    pair(out, 8, Layer::Text.name());
    point(out, 10, at);
    number(out, 40, height);
    // Release 12 knows no other alphabet; a line break would end the value.
    let plain: String = text.chars().map(|c| if c.is_ascii() && !c.is_ascii_control() { c } else { '?' }).collect();
    pair(out, 1, &plain);
    let hangs = match anchor {
        Anchor::Start => return,
        Anchor::Middle => "1",
        Anchor::End => "2",
    };
    pair(out, 72, hangs);
    point(out, 11, at);
}
