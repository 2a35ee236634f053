//! A panel in the glue-up form: fences, slats, cloth and tape.

use super::figure::{Figure, Hang};
use super::glue_page::Panel;
use super::shell::Words;
use crate::measure::Length;

const LEFT: f64 = 24.0;
const TOP: f64 = 26.0;

/// The panel seen from the back, as it lies in the form: lead slat at the fixed fence, the closing bar at the last slat.
pub(super) fn panel_figure(words: Words, panel: &Panel<'_>) -> Figure {
    let door = panel.door;
    let (long, deep) = (door.slat_length.mm_f64().max(1.0), panel.form_depth.mm_f64().max(1.0));
    let scale = (240.0 / long).min(120.0 / deep);
    let px = |length: Length| length.mm_f64() * scale;
    let (w, h) = (long * scale, deep * scale);
    let mut figure = Figure::new(
        format!(
            "A panel in its form, seen from the back: {} slats under the lead slat, cloth inside the tape",
            door.slats
        ),
        350.0,
        TOP + h + 46.0,
    );

    figure.rect("board", (LEFT - 9.0, TOP - 9.0), (w + 18.0, 9.0));
    figure.rect("board", (LEFT - 9.0, TOP), (9.0, h));
    figure.rect("blank", (LEFT, TOP + h), (w, 9.0));
    figure.text("word", Hang::Start, (LEFT, TOP - 13.0), "fixed fence, lead slat against it");
    figure.text("word", Hang::Start, (LEFT, TOP + h + 21.0), "closing bar, last slat against it");

    let lead = px(panel.lead_rough);
    figure.rect("slat", (LEFT, TOP), (w, lead));
    let slat = px(door.slat_width);
    for number in 0..door.slats {
        figure.rect("slat", (LEFT, TOP + lead + slat * f64::from(number)), (w, slat));
    }
    let (bare, lap, tail) = (px(panel.end_bare), px(panel.lead_lap), px(panel.tail_bare));
    let (top, bottom) = (TOP + lead - lap, TOP + h - tail);
    figure.rect("cutline", (LEFT + bare, top), (w - 2.0 * bare, bottom - top));
    figure.text("word", Hang::Start, (LEFT + w + 14.0, top + 4.0), "tape line");
    figure.line("dim", (LEFT + w - bare, top), (LEFT + w + 12.0, top));
    figure.dimension(
        (LEFT, LEFT + w),
        TOP + h + 30.0,
        &format!("along the slats, here {}", words.len(door.slat_length)),
    );
    figure
}
