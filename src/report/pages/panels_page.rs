//! The panel sheet: every panel with its sizes and what is cut into it, measured from its edges; then the sheets they are cut
//! from, drawn.

use itertools::Itertools;
use maud::{Markup, html};

use super::panels_figure::{grooved_panel, sheet_figure, sheet_scale};
use super::shell::{Words, ranges, some_cautions, tick};
use crate::case::{Edged, Panel, SheetPart, SolidWood};
use crate::job::{CaseJoint, CaseSpec, DoorSpec, DoorTrack, Hand, Job, Order};
use crate::measure::Length;
use crate::packing::boards::CutBoard;
use crate::plan::Plan;
use crate::report::printable;
use crate::report::sheets::{routed_by, templates};

/// The whole sheet; `None` for a job without panels.
pub(super) fn panels(words: Words, job: &Job, plan: &Plan) -> Option<Markup> {
    let cased = &plan.cased;
    if cased.case.is_empty() {
        return None;
    }
    let routed = templates(job, &plan.doors);
    let of_cabinets = cased.case.panels.iter().into_group_map_by(|panel| panel.cabinet);
    let of_cabinets = of_cabinets.into_iter().sorted_by_key(|(cabinet, _)| *cabinet);
    Some(html! {
        (some_cautions(&[0, 1, 2, 8]))
        p class="note" {
            "Lengths run along the grain. Finished sizes count the edging; cut sizes are before it. Panels of one cabinet are "
            "marked on the inside face at their front edge before anything is routed."
        }
        @for (cabinet, panels) in of_cabinets {
            (cabinet_panels(words, job, (cabinet, &panels, turns_behind(plan, cabinet)), &routed))
        }
        (solid(words, job, plan))
        (unlisted(words, plan))
        (sheets(words, job, plan))
    })
}

fn cabinet_panels(
    words: Words,
    job: &Job,
    (index, panels, behind): (usize, &[&Panel], bool),
    routed: &[(String, Vec<usize>)],
) -> Markup {
    let cabinet = &job.cabinets[index];
    let spec = cabinet.case.as_ref();
    let grooved = panels.iter().find(|panel| panel.grooved);
    html! {
        h3 { (printable(&cabinet.name)) @if cabinet.count > 1 { ", " (cabinet.count) " built" } }
        @if let Some(spec) = spec { p { (joined(words, spec)) } }
        table class="tight" {
            thead { tr {
                th scope="col" { "panel" } th scope="col" class="n" { "in all" } th scope="col" class="n" { "finished, length x width" }
                th scope="col" class="n" { "cut" } th scope="col" class="n" { "thick" } th scope="col" { "of" } th scope="col" { "edged" }
                th scope="col" { "cut into it, inside" }
            } }
            tbody { @for panel in panels { tr {
                td class="k" { (tick()) (panel.name) } td class="n" { (panel.count) }
                td class="n" { (words.size(panel.length, panel.width)) }
                td class="n" { @if panel.edged == Edged::default() { "as finished" } @else { (words.size(panel.cut_length(), panel.cut_width())) } }
                td class="n" { (words.len(panel.thickness)) }
                td class="t" { (printable(&panel.material.name)) @if panel.material.solid.is_some() { ", glued up" } }
                td { @if panel.edged.words().is_empty() { "-" } @else { (panel.edged.words()) ", " (words.len(panel.edged.thickness)) } }
                td class="t" { (cut_in(words, panel)) }
            } } }
        }
        @if let (Some(panel), Some(door)) = (grooved, cabinet.doors.first()) {
            (grooves(words, (panel, door, behind), spec, &routed_by(routed, panel)))
        }
    }
}

/// True when the groove of the cabinet's doors goes round a back corner.
fn turns_behind(plan: &Plan, cabinet: usize) -> bool {
    plan.doors.iter().any(|door| door.cabinet == cabinet && door.path.len() > 3)
}

fn joined(words: Words, spec: &CaseSpec) -> String {
    let joint = match spec.joint {
        CaseJoint::TopOverSides => "Top and bottom run over the ends of the sides".to_owned(),
        CaseJoint::SidesOverTop => "The sides run full height, top and bottom stand between them".to_owned(),
        CaseJoint::Dado(depth) => {
            format!("Top and bottom are housed {} deep in the sides, flush with their ends", words.len(depth))
        }
    };
    let back = spec.back.as_ref().map_or_else(String::new, |back| match back.rabbet {
        Some(rabbet) => format!("; the back is let into a rabbet {} deep all round", words.len(rabbet)),
        None => "; the back is laid on".to_owned(),
    });
    format!("{joint}{back}.")
}

/// Rabbets and housings.
fn cut_in(words: Words, panel: &Panel) -> String {
    let mut cuts = Vec::new();
    if panel.grooved {
        cuts.push("grooves".to_owned());
    }
    if let Some((wide, deep)) = panel.rabbet {
        cuts.push(format!("rabbet along the back edge, {} wide, {} deep", words.len(wide), words.len(deep)));
    }
    if let Some(deep) = panel.dado {
        cuts.push(format!("housings at both ends, {} wide, {} deep", words.len(panel.thickness), words.len(deep)));
    }
    if cuts.is_empty() { "-".to_owned() } else { cuts.join("; ") }
}

/// Where the grooves lie, from the panel's edges.
fn grooves(
    words: Words,
    (panel, door, turns): (&Panel, &DoorSpec, bool),
    spec: Option<&CaseSpec>,
    routed: &[&str],
) -> Markup {
    let DoorTrack::Case { hand, setback, side_inset, back_inset, corner_radius, .. } = &door.track else {
        return html! {};
    };
    let up = *hand == Hand::Up;
    let over = spec.map_or(Length::ZERO, |spec| beyond_inside(spec, up));
    let behind = panel.rabbet.map_or(Length::ZERO, |rabbet| rabbet.0);
    let (which, end) =
        if up { ("Both sides", "the top end") } else { ("Top and bottom", "either end beside which a door stows") };
    html! {
        div class="cut under" {
            figure { (grooved_panel(words, (panel, door), (over, behind), turns).markup()) }
            table class="tight" {
                caption { (which) ": centrelines of the grooves, from the edges of the finished panel" }
                tbody {
                    tr { td { "front run" } td class="n" { (words.len(*setback)) } td { "from the front edge" } }
                    tr { td { "side run" } td class="n" { (words.len(*side_inset + over)) } td { "from " (end) } }
                    @if turns { tr { td { "back run" } td class="n" { (words.len(*back_inset + behind)) } td { "from the back edge" } } }
                    tr { td { "corner" } td class="n" { (words.len(*corner_radius)) } td { "radius" } }
                    tr { td { "groove" } td class="n" { (words.size(door.groove.width, door.groove.depth)) } td { "wide x deep" } }
                    @if !routed.is_empty() { tr { td { "template" } td class="n" { (routed.join(", ")) } td { "in the folder templates, turned over for the facing panel" } } }
                }
            }
        }
    }
}

/// How far the panel that carries the grooves runs past the inside of the case at each end.
fn beyond_inside(spec: &CaseSpec, up: bool) -> Length {
    match (spec.joint, up) {
        (CaseJoint::TopOverSides, false) | (CaseJoint::SidesOverTop | CaseJoint::Dado(_), true) => spec.thickness,
        (CaseJoint::TopOverSides, true) | (CaseJoint::SidesOverTop, false) => Length::ZERO,
        (CaseJoint::Dado(depth), false) => depth,
    }
}

fn solid(words: Words, job: &Job, plan: &Plan) -> Markup {
    let waste = (job.shop.panels.solid_waste.decimal() * rust_decimal::Decimal::ONE_HUNDRED).normalize();
    let of = |wood: &SolidWood| format!("{} panels of {} {}", wood.count, words.len_unit(wood.thickness), wood.species);
    html! {
        @if !plan.cased.case.solid.is_empty() {
            h3 { "Glued up from boards" }
            ul class="plain" {
                @for lumber in plan.cased.panel_lumber(job) { li {
                    (tick()) (of(lumber.wood)) ": " (lumber.named(words.units())) ", "
                    (lumber.asked()) " with " (waste) " % for waste. Joint, glue edge to edge, plane, then cut to size."
                } }
                @for wood in plan.cased.unpriced(job) { li {
                    (tick()) (of(wood)) ": no board for sale yields them; not priced."
                } }
            }
        }
    }
}

fn unlisted(words: Words, plan: &Plan) -> Markup {
    html! {
        @for (name, thickness) in &plan.cased.case.unlisted {
            p class="note" {
                (printable(name)) " " (words.len_unit(*thickness)) " is in no row of the sheets file: its panels are listed, not packed and not priced."
            }
        }
    }
}

/// Each different sheet drawn, its cuts in order.
fn sheets(words: Words, job: &Job, plan: &Plan) -> Markup {
    let cased = &plan.cased;
    let mut alike: Vec<(&CutBoard, Vec<usize>)> = Vec::new();
    for (index, board) in cased.sheets.boards.iter().enumerate() {
        match alike.iter_mut().find(|(other, _)| *other == board) {
            Some((_, members)) => members.push(index + 1),
            None => alike.push((board, vec![index + 1])),
        }
    }
    let scale = sheet_scale(job, plan);
    html! {
        @if !alike.is_empty() {
            h3 { "Sheets" }
            (part_sizes(words, job, plan))
            p class="note" {
                "Trim " (words.len_unit(job.shop.panels.trim)) " off every edge first. The grain runs from left to right; what has no mark is left over."
            }
            div class="cols" { @for (board, numbers) in alike {
                div class="cut" {
                    h4 {
                        @for _ in &numbers { (tick()) }
                        @if numbers.len() == 1 { "Sheet " (numbers[0]) } @else { "Sheets " (ranges(&numbers)) ", " (numbers.len()) " alike" }
                        ": " (printable(&job.sheets[board.stock].sheet))
                        span class="plain" { ", " (words.size(job.sheets[board.stock].width, job.sheets[board.stock].length)) }
                    }
                    figure { (sheet_figure(job, plan, board, scale).markup()) }
                    (sheet_cuts(words, &cased.case.parts, board))
                }
            } }
        }
    }
}

fn part_sizes(words: Words, job: &Job, plan: &Plan) -> Markup {
    let case = &plan.cased.case;
    let users = |part: &SheetPart| {
        let of = part.panels.iter().map(|at| &case.panels[*at]);
        of.map(|panel| format!("{} of {}", panel.name, printable(&job.cabinets[panel.cabinet].name)))
            .unique()
            .join("; ")
    };
    html! {
        table class="tight" {
            thead { tr { th scope="col" { "size" } th scope="col" class="n" { "length x width" } th scope="col" class="n" { "cut" } th scope="col" { "of" } th scope="col" { "for" } } }
            tbody { @for part in &case.parts { tr {
                td class="k" { b { (part.name) } } td class="n" { (words.size(part.length, part.width)) } td class="n" { (part.count) }
                td class="t" { (printable(&part.material)) " " (words.len(part.thickness)) } td class="t" { (users(part)) }
            } } }
        }
    }
}

fn sheet_cuts(words: Words, parts: &[SheetPart], board: &CutBoard) -> Markup {
    let crosscut = board.order == Order::CrosscutFirst;
    html! {
        ol class="steps" {
            @for blank in &board.blanks { li {
                @if crosscut { "Crosscut " b { (words.len(blank.length)) } " along the grain; rip " }
                @else if let Some(first) = blank.rips.first() {
                    "Rip " b { (first.rips) " x " (words.len(first.rip_width)) } " the sheet's length; out of each "
                }
                @for (at, row) in blank.rips.iter().enumerate() {
                    @if at > 0 { "; " }
                    @let part = &parts[row.part];
                    @if crosscut { (row.rips) " x " (words.len(row.rip_width)) " " (part.name) @if row.pieces > 1 || part.length < blank.length { ", " (row.pieces) " of " (words.len(part.length)) " in each" } }
                    @else { (row.pieces) " " (part.name) " " (words.len(part.length)) " long" @if part.width < row.rip_width { ", trimmed to " (words.len(part.width)) } }
                }
                "."
            } }
        }
    }
}
