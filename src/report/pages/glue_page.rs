//! The glue-up sheet: what is done alike for every panel once, and a table of what differs.

use maud::{Markup, html};

use super::panel_figure::panel_figure;
use super::shell::{Words, some_cautions, tick};
use crate::doors::{Door, Seam, may_turn, seam};
use crate::job::{Job, RabbetFace, SlatSpec};
use crate::measure::{Area, Length, Units};
use crate::plan::Plan;
use crate::report::printable;

/// A panel with what its sheet needs, for all doors that have the same one.
pub(super) struct Panel<'a> {
    pub(super) door: &'a Door,
    slats: &'a SlatSpec,
    doors: Vec<&'a Door>,
    /// Lead slat as ripped, trimmed when the door is hung.
    pub(super) lead_rough: Length,
    /// Inside of the form along the travel.
    pub(super) form_depth: Length,
    /// Bare of glue and cloth at each slat end.
    pub(super) end_bare: Length,
    /// Cloth on the lead slat.
    pub(super) lead_lap: Length,
    /// Bare at the outer edge of the last slat.
    pub(super) tail_bare: Length,
    area: Area,
}

fn slats<'a>(job: &'a Job, door: &Door) -> Option<&'a SlatSpec> {
    Some(&job.cabinets.get(door.cabinet)?.doors.get(door.index)?.slats)
}

fn different<'a>(job: &'a Job, plan: &'a Plan) -> Vec<Panel<'a>> {
    let mut panels: Vec<Panel<'a>> = Vec::new();
    for door in &plan.doors {
        let Some(spec) = slats(job, door) else { continue };
        let size = |door: &Door| {
            (
                door.slats,
                door.slat_width,
                door.lead_width,
                door.slat_length,
                door.cloth_along_slat,
                door.cloth_along_travel,
                seam(job, door),
            )
        };
        match panels.iter_mut().find(|panel| size(panel.door) == size(door) && panel.slats == spec) {
            Some(panel) => panel.doors.push(door),
            None => panels.push(panel(job, door, spec)),
        }
    }
    panels
}

fn panel<'a>(job: &'a Job, door: &'a Door, slats: &'a SlatSpec) -> Panel<'a> {
    let canvas = &job.shop.canvas;
    let glued = (door.cloth_along_slat - canvas.trim * 2, door.cloth_along_travel - canvas.trim * 2);
    Panel {
        door,
        slats,
        doors: vec![door],
        lead_rough: door.lead_width + job.shop.clearance.lead_trim,
        form_depth: door.door_length + job.shop.clearance.lead_trim,
        // Half of an odd nanometre is no loss.
        end_bare: Length::from_nm((door.slat_length - glued.0).nm() / 2),
        lead_lap: canvas.lead_lap,
        tail_bare: canvas.tail_clear,
        area: glued.0 * glued.1,
    }
}

/// The whole sheet; `None` for a job without doors.
pub(super) fn glue_up(words: Words, job: &Job, plan: &Plan) -> Option<Markup> {
    let panels = different(job, plan);
    let first = panels.first()?;
    Some(html! {
        (some_cautions(&[5, 7]))
        (table_of_panels(words, plan, &panels))
        div class="cols" {
            figure { (panel_figure(words, first).markup()) }
            (form()) (tape(words, job))
            @for panel in &panels { @if let Some(seam) = seam(job, panel.door) {
                h4 { "Cloth of " (marks(plan, panel).join(", ")) } (two_bands(words, job, panel.door, seam))
            } }
            (glue(words)) (after(words, job)) (rabbets(words, &panels))
        }
    })
}

/// The marks of the bundles that make a panel, to be ticked.
fn marks<'a>(plan: &'a Plan, panel: &Panel<'_>) -> Vec<&'a str> {
    let ours = |name: &str| panel.doors.iter().any(|door| door.name == name);
    plan.demand.bundles.iter().filter(|bundle| bundle.door && ours(&bundle.name)).map(|b| b.mark.as_str()).collect()
}

fn table_of_panels(words: Words, plan: &Plan, panels: &[Panel<'_>]) -> Markup {
    html! {
        table class="glued" {
            thead { tr {
                th scope="col" { "panels" } th scope="col" class="n" { "slats" }
                th scope="col" class="n" { "inside of the form: along the slats x along the travel" }
                th scope="col" class="n" { "lead slat now, when hung" }
                th scope="col" class="n" { "cloth: along the slats x along the travel" }
                th scope="col" class="n" { "bare ends" } th scope="col" class="n" { "glue" }
                th scope="col" class="n" { "to spread and lay" }
            } }
            tbody { @for panel in panels { tr {
                td { @for mark in marks(plan, panel) { span class="held" { (tick()) b { (mark) } } " " } }
                td class="n" { span class="held" { (panel.door.slats) " at " (words.len(panel.door.slat_width)) }
                    @if panel.slats.canvas_gap.is_positive() { ", spaced " (words.len(panel.slats.canvas_gap)) } }
                td class="n" { span class="held" { (words.size(panel.door.slat_length, panel.form_depth)) } }
                td class="n" { (words.len(panel.lead_rough)) ", " (words.len(panel.door.lead_width)) }
                td class="n" { span class="held" { (words.size(panel.door.cloth_along_slat, panel.door.cloth_along_travel)) } }
                td class="n" { (words.len(panel.end_bare)) }
                td class="n" { span class="held" { (volume(words, panel)) } }
                td class="n" { (format!("{:.0} min", minutes(panel))) }
            } } }
        }
        p class="note" { "The lead slat is ripped oversize and trimmed once the door hangs true." }
    }
}

/// How cloth in two bands is laid. That the seam keeps off the joints and off the glue's edge: common practice, no source.
fn two_bands(words: Words, job: &Job, door: &Door, seam: Seam) -> Markup {
    let trim = job.shop.canvas.trim;
    html! {
        p {
            "The cloth is in two bands: the lead band is " (words.len(seam.lead)) " along the travel, the tail band "
            (words.len(seam.tail)) ". They meet edge to edge under the middle of slat " (seam.slat)
            ", counted from the lead slat: " (words.len(seam.lead - trim - job.shop.canvas.lead_lap))
            " from the joint between the lead slat and slat 1."
        }
        ol {
            li { (tick()) "Cut the two edges that meet straight along a thread, before any glue is spread; the trim is on the other edges only." }
            li { (tick()) "Strike a line along the middle of slat " (seam.slat) " and lay the lead band to it, then the tail band against its edge: no overlap, no gap." }
            li { (tick()) "Roll both edges down on the slat; neither reaches a joint, so that no joint bends on a seam." }
        }
        @if door.slats > 0 && may_turn(job, door) {
            p { "A piece marked turned on the cloth sheet has its warp along the slats." }
        }
    }
}

/// A wet film of 0.15 mm, 6 thousandths of an inch: a thin coat (common practice, no source).
const FILM_MM: f64 = 0.15;
/// A person with a roller or a spreader covers about this many square feet a minute (common practice, no source).
const FEET_A_MINUTE: f64 = 1.0;
/// Laying and rubbing down the cloth, minutes (common practice, no source).
const LAYING: f64 = 2.0;
/// Millilitres of a US fluid ounce.
const OUNCE: f64 = 29.5735;

fn volume(words: Words, panel: &Panel<'_>) -> String {
    let millilitres = panel.area.square_metres() * FILM_MM * 1000.0;
    match words.units() {
        Units::Inch => format!("{:.1} fl oz", millilitres / OUNCE),
        Units::Millimetre => format!("{millilitres:.0} ml"),
    }
}

fn minutes(panel: &Panel<'_>) -> f64 {
    (panel.area.square_metres() / 0.092_903_04 / FEET_A_MINUTE + LAYING).ceil()
}

fn form() -> Markup {
    html! {
        h3 { "The form" }
        ol {
            li { "Two fences are fixed to a flat base, square to each other; the closing bar is loose. Wax base, fences and bar." }
            li { "Slats go in show face down, lead slat first against the fixed fence, then the slats of the bundle in saw order, ends against the side fence." }
            li { "Push the closing bar up until no light shows between slats, then screw or wedge it. It presses; it does not bow the panel." }
            li { "Strike a pencil line across all slats before glue is opened: it shows their order for good." }
        }
    }
}

fn tape(words: Words, job: &Job) -> Markup {
    let canvas = &job.shop.canvas;
    html! {
        h3 { "Where glue must stay off" }
        p {
            "Tape covers, before any glue is spread: each slat end, as wide as the table says; " (words.len(canvas.tail_clear))
            " at the outer edge of the last slat; the lead slat but for " (words.len(canvas.lead_lap)) ", which the cloth laps onto it."
        }
    }
}

fn glue(words: Words) -> Markup {
    let (coat, pace) = match words.units() {
        Units::Inch => ("0.15 mm or 6 thousandths of an inch", "A square foot a minute"),
        Units::Millimetre => ("0.15 mm", "Ten minutes for a square metre"),
    };
    html! {
        h3 { "Glue" }
        p {
            "A thin coat, " (coat) " wet (common practice, no source): measure out what the table "
            "says; if it is gone before the panel is covered, the coat is too thick. Spread on the slats, not on the cloth. "
            "Lay the cloth from the lead slat, rub it out towards the tail, pull the tape."
        }
        p {
            "Ordinary yellow glue stays open 5 to 10 minutes, slow yellow glue 10 to 20: take one whose shorter figure "
            "is at least the minutes of the table, or work with two people, or glue half the panel at a time. The label comes first; warm or "
            "dry air shortens both. " (pace) " and two minutes for laying the cloth are common practice, no source."
        }
    }
}

fn after(words: Words, job: &Job) -> Markup {
    let trim = job.shop.canvas.trim;
    html! {
        h3 { "After" }
        ol {
            li { "Out of the form after about an hour (common practice, no source), while squeeze-out is still soft." }
            li { "Flex each joint open over an edge, one after the other, so that none is glued shut; pick out what was squeezed in." }
            li { "Leave it flat under weight until the next day." }
            li { "Trim the cloth: " (words.len(trim)) " off each edge, back to the tape lines." }
            li { "No finish on the back: it stiffens the cloth and glues the joints." }
        }
    }
}

/// The rabbets of all panels, once for those that have the same.
fn rabbets(words: Words, panels: &[Panel<'_>]) -> Markup {
    let mut said: Vec<(Vec<String>, Markup)> = Vec::new();
    for panel in panels {
        let (names, body) = (panel.doors.iter().map(|door| printable(&door.name)), rabbet(words, panel));
        match said.iter_mut().find(|(_, other)| other.0 == body.0) {
            Some((known, _)) => known.extend(names),
            None => said.push((names.collect(), body)),
        }
    }
    let alike = said.len() == 1;
    html! {
        h3 { "Rabbets" }
        p {
            (tick()) "Set up on a test piece of the same slats, hold the panel flat, sacrificial fence; try the tongue in the "
            "routed test corner before the panel is cut."
        }
        @for (names, body) in said { div class="whole" {
            @if !alike { h4 { (names.join(", ")) } }
            (body)
        } }
    }
}

fn rabbet(words: Words, panel: &Panel<'_>) -> Markup {
    let (door, slats) = (panel.door, panel.slats);
    let face = match slats.rabbet_face {
        RabbetFace::Show => "from the show face: the tongue lies at the cloth",
        RabbetFace::Back => "from the back: the tongue lies at the show face",
        RabbetFace::Both => "from the show face and the back: the tongue lies between",
    };
    let fitting: Vec<_> = door.details.setups.iter().filter(|setup| setup.fits).collect();
    html! {
        p {
            "Cut " (face) "; " (words.len(slats.rabbet_length)) " along the slat at each end, " (words.len(slats.rabbet_depth))
            " deep"
            @if slats.back_rabbet_depth.is_positive() { " in the show face, " (words.len(slats.back_rabbet_depth)) " in the back" }
            @if let Some(depth) = door.details.lead_rabbet {
                "; the lead slat " (words.len(depth)) " in the show face, a set-up of its own"
            }
            "; tongue left " (words.len(door.tongue)) "."
            @for setup in fitting {
                " Cutter on the shelf: " (printable(&setup.cutter)) " leaves a tongue " (words.len(setup.tongue)) " thick and "
                (words.len(setup.tongue_length)) " long."
            }
        }
        @if door.details.rabbet_steps.len() > 1 {
            p { "If the running test binds, deepen the rabbet one step at a time:" }
            table class="ladder" {
                thead { tr {
                    th scope="col" class="n" { "deep" } th scope="col" class="n" { "tongue" }
                    th scope="col" class="n" { "play, slats" } th scope="col" class="n" { "play, lead slat" }
                } }
                tbody { @for step in &door.details.rabbet_steps { tr {
                    td class="n" { (words.len(step.rabbet_depth)) } td class="n" { (words.len(step.tongue)) }
                    td class="n" { (words.len(step.slat_margin)) } td class="n" { (words.len(step.lead_margin)) }
                } } }
            }
        }
    }
}
