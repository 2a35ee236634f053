//! Test corners at full size: each different bend once, to be glued on scrap and routed.

use maud::{Markup, PreEscaped, html};

use super::shell::some_cautions;
use crate::job::Job;
use crate::plan::Plan;
use crate::report::{CornerTemplate, Drawing, printable, svg_text};

/// The sheet; `None` for a job without a bend.
pub(super) fn bends(job: &Job, plan: &Plan) -> Option<Markup> {
    let corners = CornerTemplate::of_job(job, &plan.doors);
    if corners.is_empty() {
        return None;
    }
    Some(html! {
        (some_cautions(&[0]))
        p {
            b { "Print at 100 %, never fitted to the page" } ", and lay a rule on the scales: where they are not true, do not use the print. "
            "Glue the print on scrap, rout the corner, and run five slats on a strip of cloth and the lead slat through it by hand "
            "before any case is routed. Turned over, the print is the corner of the other side."
        }
        @for (number, corner) in (1..).zip(&corners) { (full_size(number, corner)) }
    })
}

/// Width and height, in millimetres, that letter and A4 paper both have between the margins of this sheet.
const ROOM: (f64, f64) = (195.9, 238.0);

/// A bend as it is where a page has room for it; over pages it lies among the templates.
fn full_size(number: u32, corner: &CornerTemplate) -> Markup {
    let whole = corner.drawing.width <= ROOM.0 && corner.drawing.height <= ROOM.1;
    let names: Vec<String> = corner.doors.iter().map(|name| printable(name)).collect();
    html! {
        figure class="full" {
            figcaption {
                "Test corner for " (names.join(", "))
                @if !whole {
                    ": too large for this sheet. Print " code { "templates/test-corner-" (number) ".svg" }
                    ", or the pages beside it and line up the crosses."
                }
            }
            @if whole { (PreEscaped(inline(&corner.drawing))) }
        }
    }
}

/// The drawing as it stands within a page: without the head of a file of its own, and without that file's sheet size,
/// which would be that of the whole page.
pub(super) fn inline(sheet: &Drawing) -> String {
    let text = svg_text(sheet);
    let svg = text.split_once("?>\n").map_or(text.as_str(), |(_, svg)| svg);
    let svg: String =
        svg.lines().filter(|line| !line.starts_with("<style>@page")).map(|line| format!("{line}\n")).collect();
    svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1)
}
