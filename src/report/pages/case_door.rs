//! A door in the plan of its case: slats closed and open, the entry, and the stops where they sit.

use super::figure::{Figure, Hang, figure};
use crate::doors::chain::{CanvasPath, Point};
use crate::doors::{Door, PlanView};

/// Half a stop's bar, and how far its letter stands inside of it, in pixels.
const BAR: f64 = 6.0;
const LETTER: f64 = 13.0;

/// Draws a door; `place` puts the door's own plan on the sheet.
pub(super) fn door_in_case(sheet: &mut Figure, view: &PlanView, door: &Door, place: &impl Fn(Point) -> (f64, f64)) {
    for (pen, lead_edge) in [("slat", 0.0), ("ghost", view.travel)] {
        let outlines = view.slats(lead_edge).into_iter().map(|slat| {
            let corner = |corner: Point| {
                let (x, y) = place(corner);
                format!("{} {}", figure(x), figure(y))
            };
            format!("M{}Z", slat.body.map(corner).join("L"))
        });
        sheet.path(pen, outlines.collect());
    }
    let track = CanvasPath::new(&view.centreline);
    if view.entry_length > 0.0 {
        let pieces = view.entry_after.map_or(view.centreline.len(), |last| last + 1);
        let (from, heading) = track.at(view.centreline.iter().take(pieces).map(|piece| piece.length()).sum());
        sheet.line("cutline", place(from), place(from.moved(heading, view.entry_length)));
    }
    for stop in &door.stops {
        let (Some(station), Some(letter)) = (stop.station, letter(stop.name)) else { continue };
        let (at, heading) = track.at(station.mm_f64());
        let (middle, inside) = (place(at), place(at.moved(heading + std::f64::consts::FRAC_PI_2, 1.0)));
        let long = (inside.0 - middle.0).hypot(inside.1 - middle.1).max(1e-9);
        let (dx, dy) = ((inside.0 - middle.0) / long, (inside.1 - middle.1) / long);
        let off = |by: f64| (middle.0 + dx * by, middle.1 + dy * by);
        sheet.line("stop", off(-BAR), off(BAR));
        let (x, y) = off(LETTER);
        sheet.text("word", Hang::Middle, (x, y + 4.0), letter);
    }
}

/// What a stop is called in the drawing.
fn letter(name: &str) -> Option<&'static str> {
    match name {
        "closing stop" => Some("C"),
        "opening stop" => Some("P"),
        "tail stop" => Some("T"),
        _ => None,
    }
}
