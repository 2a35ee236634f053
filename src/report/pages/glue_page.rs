//! The glue-up sheet of each different panel: form, tape, glue, and what follows.

use maud::{Markup, html};

use super::Page;
use super::panel_figure::panel_figure;
use super::shell::{Words, blank_line, some_cautions, tick};
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

/// A sheet for every different panel, in job order.
pub(super) fn panels<'a>(words: Words, job: &'a Job, plan: &'a Plan) -> impl Iterator<Item = Page> + use<'a> {
    let panels = different(job, plan);
    let single = panels.len() == 1;
    panels.into_iter().enumerate().map(move |(at, panel)| {
        let names: Vec<String> = panel.doors.iter().map(|door| printable(&door.name)).collect();
        let title = format!("Glue-up sheet: {}", names.join(", "));
        let file = if single { "glue-up".to_owned() } else { format!("glue-up-{}", at + 1) };
        Page::new(file, title, sheet(words, job, &panel))
    })
}

fn sheet(words: Words, job: &Job, panel: &Panel<'_>) -> Markup {
    html! {
        p class="ticks" {
            "Panels: "
            @for door in &panel.doors { @for copy in 1..=door.count {
                span { (tick()) (printable(&door.name)) @if door.count > 1 { ", " (copy) " of " (door.count) } }
            } }
        }
        figure { (panel_figure(words, panel).markup()) }
        (form(words, panel))
        (tape(words, job, panel))
        (glue(words, panel))
        (after(words, job, panel))
        (rabbet(words, panel))
    }
}

fn form(words: Words, panel: &Panel<'_>) -> Markup {
    let door = panel.door;
    html! {
        h3 { "The form" }
        table { tbody {
            tr { td { "inside, along the slats" } td class="n" { (words.len(door.slat_length)) } }
            tr { td { "inside, along the travel" } td class="n" { (words.len(panel.form_depth)) } }
            tr { td { "lead slat, as ripped" } td class="n" { (words.len(panel.lead_rough)) } }
            tr {
                td { "slats" }
                td class="n" {
                    (door.slats) " at " (words.len(door.slat_width))
                    @if panel.slats.canvas_gap.is_positive() { ", spaced " (words.len(panel.slats.canvas_gap)) }
                }
            }
        } }
        ol {
            li { (tick()) "Two fences are fixed to a flat base, square to each other; the closing bar is loose. Wax base, fences and bar." }
            li {
                (tick()) "Slats go in show face down, lead slat first against the fixed fence, then the slats 1 to " (door.slats)
                " of the bundle in saw order, ends against the side fence."
            }
            li { (tick()) "Push the closing bar up until no light shows between slats, then screw or wedge it. It presses; it does not bow the panel." }
            li { (tick()) "Strike a pencil line across all slats before glue is opened: it shows their order for good." }
        }
    }
}

fn tape(words: Words, job: &Job, panel: &Panel<'_>) -> Markup {
    let door = panel.door;
    let trim = job.shop.canvas.trim * 2;
    html! {
        h3 { "Where glue must stay off" }
        p { "Tape covers, before any glue is spread:" }
        table { tbody {
            tr { td { (tick()) "each slat end" } td class="n" { (words.len(panel.end_bare)) } td { "from the slat end" } }
            tr { td { (tick()) "last slat" } td class="n" { (words.len(panel.tail_bare)) } td { "from its outer edge" } }
            tr {
                td { (tick()) "lead slat" } td class="n" { (words.len(panel.lead_rough - panel.lead_lap)) }
                td { "from its outer edge; the cloth laps " (words.len(panel.lead_lap)) " onto it" }
            }
        } }
        p {
            "Cloth: " (words.size(door.cloth_along_travel, door.cloth_along_slat)) " (along the travel x along the slats), "
            (words.size(door.cloth_along_travel - trim, door.cloth_along_slat - trim)) " once "
            (words.len(job.shop.canvas.trim)) " is trimmed off each edge."
        }
        @if let Some(seam) = seam(job, door) { (two_bands(words, job, door, seam)) }
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

fn glue(words: Words, panel: &Panel<'_>) -> Markup {
    let millilitres = panel.area.square_metres() * FILM_MM * 1000.0;
    let feet = panel.area.square_metres() / 0.092_903_04;
    let minutes = (feet / FEET_A_MINUTE + LAYING).ceil();
    let metres = panel.area.square_metres();
    let (area, volume, pace) = match words.units() {
        Units::Inch => (
            format!("{feet:.1} square feet, {metres:.2} square metres"),
            format!("{millilitres:.0} ml ({:.1} fl oz)", millilitres / 29.5735),
            "One square foot a minute",
        ),
        Units::Millimetre => {
            (format!("{metres:.2} square metres"), format!("{millilitres:.0} ml"), "Ten minutes for a square metre")
        }
    };
    let verdict =
        |least: f64| if minutes <= least { "enough" } else { "too short: two people, or half the panel at a time" };
    html! {
        h3 { "Glue" }
        p {
            "Glued area " (area) ". A thin coat (0.15 mm wet, common "
            "practice, no source) takes about " b { (volume) }
            ": measure it out, and if it is gone before the panel is covered the coat is too thick."
        }
        table {
            thead { tr { th { "glue" } th { "open time" } th { "to spread and lay" } th { "here" } } }
            tbody {
                tr { td { "ordinary yellow" } td { "5 to 10 min" } td { (format!("about {minutes:.0} min")) } td { (verdict(5.0)) } }
                tr { td { "slow yellow" } td { "10 to 20 min" } td { (format!("about {minutes:.0} min")) } td { (verdict(10.0)) } }
            }
        }
        p class="note" {
            "Open times are as published for glues of these kinds, judged by the shorter figure; the label comes first. "
            (pace) " and two minutes for laying the cloth are common practice, no source. Warm or dry air "
            "shortens both."
        }
        p { (tick()) "Spread on the slats, not on the cloth. Lay the cloth from the lead slat, rub it out towards the tail, pull the tape." }
    }
}

fn after(words: Words, job: &Job, panel: &Panel<'_>) -> Markup {
    let trim = job.shop.canvas.trim;
    html! {
        h3 { "After" }
        ol {
            li {
                (tick()) "Out of the form after about an hour (common practice, no source), while squeeze-out is still soft. In at "
                (blank_line("time"))
            }
            li { (tick()) "Flex each joint open over an edge, one after the other, so that none is glued shut; pick out what was squeezed in." }
            li { (tick()) "Leave it flat under weight until the next day." }
            li { (tick()) "Trim the cloth: " (words.len(trim)) " off each edge, back to the tape lines." }
            li { (tick()) "No finish on the back: it stiffens the cloth and glues the joints." }
            li {
                (tick()) "The lead slat stays " (words.len(job.shop.clearance.lead_trim)) " too wide until the door is hung: "
                (words.len(panel.lead_rough)) " now, " (words.len(panel.door.lead_width)) " then."
            }
        }
    }
}

fn rabbet(words: Words, panel: &Panel<'_>) -> Markup {
    let (door, slats) = (panel.door, panel.slats);
    let face = match slats.rabbet_face {
        RabbetFace::Show => "show face: the tongue lies at the cloth",
        RabbetFace::Back => "back: the tongue lies at the show face",
        RabbetFace::Both => "show face and back: the tongue lies between",
    };
    let fitting: Vec<_> = door.details.setups.iter().filter(|setup| setup.fits).collect();
    html! {
        h3 { "Rabbets" }
        (some_cautions(&[0, 5]))
        table { tbody {
            tr { td { "cut from the" } td { (face) } }
            tr { td { "along the slat" } td { (words.len(slats.rabbet_length)) " at each end" } }
            tr {
                td { "deep" }
                td {
                    (words.len(slats.rabbet_depth))
                    @if slats.back_rabbet_depth.is_positive() {
                        " in the show face, " (words.len(slats.back_rabbet_depth)) " in the back"
                    }
                }
            }
            @if let Some(depth) = door.details.lead_rabbet {
                tr { td { "deep, lead slat" } td { (words.len(depth)) " in the show face: a set-up of its own" } }
            }
            tr { td { "tongue left" } td { (words.len(door.tongue)) } }
        } }
        p {
            (tick()) "Set up on a test piece of the same slats, hold the panel flat, sacrificial fence; try the tongue in the "
            "routed test corner before the panel is cut."
        }
        @for setup in fitting {
            p {
                "Cutter on the shelf: " (printable(&setup.cutter)) " leaves a tongue " (words.len(setup.tongue)) " thick and "
                (words.len(setup.tongue_length)) " long."
            }
        }
        @if door.details.rabbet_steps.len() > 1 {
            p { "If the running test binds, deepen the rabbet one step at a time:" }
            table class="whole" {
                thead { tr { th { "deep" } th { "tongue" } th { "play, slats" } th { "play, lead slat" } } }
                tbody { @for step in &door.details.rabbet_steps { tr {
                    td { (words.len(step.rabbet_depth)) } td { (words.len(step.tongue)) }
                    td { (words.len(step.slat_margin)) } td { (words.len(step.lead_margin)) }
                } } }
            }
        }
    }
}
