//! The story stick: every length of the job that is set more than once, at full size.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, PreEscaped, html};

use super::bends_page::inline;
use super::rip_settings::collect;
use super::shell::{Words, some_cautions};
use crate::job::{DoorTrack, Job};
use crate::measure::Length;
use crate::plan::Plan;
use crate::report::{Notch, story_stick};

/// Words of a case's lengths, in the order in which the sheet explains them.
const OF_A_CASE: [(&str, &str); 7] = [
    ("front", "setback, case front edge to the groove's centreline"),
    ("side", "inside face of the side (of the top for a roll-up) to the groove's centreline"),
    ("back", "inside face of the back to the groove's centreline"),
    ("close", "closing stop"),
    ("open", "opening stop"),
    ("tail", "tail stop"),
    ("entry", "entry filler"),
];

/// The whole sheet; `None` for a job of which nothing is cut.
pub(super) fn stick(words: Words, job: &Job, plan: &Plan) -> Option<Markup> {
    let mut notches = of_the_saw(plan);
    notches.extend(of_the_cases(job, plan));
    let sheets = story_stick("story stick", &notches, job.units);
    if sheets.is_empty() {
        return None;
    }
    Some(html! {
        (some_cautions(&[0]))
        p {
            b { "Print at 100 %, never fitted to the page" } ": a column is " (words.len_unit(column_of(words)))
            " from cut to cut; where a rule says otherwise, do not use the print. Cut the columns out and join them end to end, or lay a "
            "straight stick along one after the other and mark it off with a knife. All lengths are from the lower end of the first column."
        }
        p {
            b { "At the saw: " } "blank, crosscut stop; rip, rip width; plane, planer; a strip size alone, its stop to length. "
            @if !plan.doors.is_empty() {
                b { "At the case: " }
                @for (at, (word, meaning)) in OF_A_CASE.iter().enumerate() { @if at > 0 { "; " } (word) ", " (meaning) }
                ". A stop is measured from the edge that its case sheet names; the mark of a cabinet says whose the length is, where not all have it."
            }
        }
        @for sheet in &sheets { figure class="full" { (PreEscaped(inline(sheet))) } }
    })
}

fn column_of(words: Words) -> Length {
    crate::report::column_of_a_stick(words.units())
}

fn of_the_saw(plan: &Plan) -> Vec<Notch> {
    let all = collect(plan);
    let names = |parts: &BTreeSet<usize>| -> String {
        let names: Vec<&str> = parts.iter().map(|part| plan.demand.parts[*part].name.as_str()).collect();
        names.join(" ")
    };
    let notch = |at: Length, words: String| Notch { at, words };
    let blanks = all.blanks.keys().map(|at| notch(at.0, "blank".to_owned()));
    let planer = all.planer.iter().map(|(at, used)| notch(at.0.0, format!("plane {}", names(&used.parts))));
    let rips = all.fence.iter().map(|(at, used)| notch(at.0, format!("rip {}", names(&used.parts))));
    let lengths = all.lengths.iter().map(|(at, used)| notch(at.0, names(&used.parts)));
    blanks.chain(planer).chain(rips).chain(lengths).collect()
}

/// Where grooves and stops lie, once for all cabinets that have the same.
fn of_the_cases(job: &Job, plan: &Plan) -> Vec<Notch> {
    let mut found: BTreeMap<(&str, Length), BTreeSet<usize>> = BTreeMap::new();
    for door in &plan.doors {
        let Some(spec) = job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.doors.get(door.index)) else {
            continue;
        };
        let mut add = |what, at: Length| {
            if at.is_positive() {
                found.entry((what, at)).or_default().insert(door.cabinet);
            }
        };
        if let DoorTrack::Case { setback, side_inset, back_inset, .. } = &spec.track {
            add("front", *setback);
            add("side", *side_inset);
            add("back", *back_inset);
        }
        for stop in &door.stops {
            let what = match stop.name {
                "closing stop" => "close",
                "opening stop" => "open",
                "tail stop" => "tail",
                _ => "entry",
            };
            add(what, stop.distance);
        }
    }
    let all: BTreeSet<usize> = plan.doors.iter().map(|door| door.cabinet).collect();
    let whose = |cabinets: &BTreeSet<usize>| match cabinets.first() {
        Some(first) if *cabinets != all => {
            let more = if cabinets.len() > 1 { format!("+{}", cabinets.len() - 1) } else { String::new() };
            format!(" {}{more}", mark_of(plan, *first))
        }
        _ => String::new(),
    };
    found.iter().map(|((what, at), cabinets)| Notch { at: *at, words: format!("{what}{}", whose(cabinets)) }).collect()
}

/// What is pencilled on the bundles of a cabinet, without the side.
fn mark_of(plan: &Plan, cabinet: usize) -> &str {
    let of_it = plan.doors.iter().find(|door| door.cabinet == cabinet);
    let bundle =
        of_it.and_then(|door| plan.demand.bundles.iter().find(|bundle| bundle.door && bundle.name == door.name));
    bundle.map_or("", |bundle| bundle.mark.split('-').next().unwrap_or_default())
}
