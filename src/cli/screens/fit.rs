//! `check`: what fits and by how much, door by door, doors alike together.

use std::fmt::Write;

use itertools::Itertools;

use super::wrapped;
use crate::cli::width::table;
use crate::doors::{Balance, Check, Details, Door, FitCheck, Fix, Verdict};
use crate::job::Job;
use crate::measure::{Length, force_unit, show_force, show_weight};
use crate::report::{self, Cell};

/// The fit table of every different door with what follows from it.
pub(super) fn fit(job: &Job, doors: &[Door]) -> String {
    let mut out = String::new();
    for alike in alike(doors) {
        let names = alike.iter().map(|door| door.name.as_str()).join(", ");
        out += "\n";
        out += &wrapped(&format!("Fit of {names}"), 2);
        out += &door_fit(job, alike[0]);
    }
    out
}

/// One line a door, those alike together: whether it fits, and where there is least to spare or what fails.
pub(super) fn verdicts(job: &Job, doors: &[Door]) -> String {
    let failing = doors.iter().filter(|door| !door.fits()).count();
    let mut out = match (doors.len(), failing) {
        (0, _) => return String::new(),
        (1, 0) => String::from("The door fits.\n"),
        (2, 0) => String::from("Both doors fit.\n"),
        (all, 0) => format!("All {all} doors fit.\n"),
        (1, _) => String::from("The door does not fit.\n"),
        (2, 2) => String::from("Neither door fits.\n"),
        (all, 1) => format!("1 of {all} doors does not fit.\n"),
        (all, failing) if failing == all => format!("None of the {all} doors fits.\n"),
        (all, failing) => format!("{failing} of {all} doors do not fit.\n"),
    };
    for alike in alike(doors) {
        let door = alike[0];
        let names = alike.iter().map(|door| door.name.as_str()).join(", ");
        let said = match (door.fits(), tightest(door)) {
            (false, _) => "does not fit".to_owned(),
            (true, Some((check, margin))) => {
                format!("fits; tightest: {}, {} {} to spare", place(check), margin.show_nearest(job.units), job.units)
            }
            (true, None) => "fits".to_owned(),
        };
        out += &wrapped(&format!("{names}: {said}"), 2);
        let advised = door.checks.iter().filter_map(|check| Some((check, check.said(&door.fixes)?)));
        for (check, said) in advised {
            out += &wrapped(&format!("- {}: {said}", place(check)), 2);
        }
        out += &cures("it", &door.fixes);
    }
    out
}

/// Checks whose margin is room to run in, in the words of a maker; `None` for the others.
const fn room_to_run(check: Check) -> Option<&'static str> {
    match check {
        Check::GrooveWidth => Some("groove at the"),
        Check::Stow => Some("room past the tail of the"),
        Check::Cover => Some("cover by the"),
        Check::CaseRoom => Some("case beside the"),
        Check::ShowGap => Some("joints at the show face of the"),
        _ => None,
    }
}

/// The check with least to spare among those of room to run in.
fn tightest(door: &Door) -> Option<(&FitCheck, Length)> {
    // What is only noted has its line below.
    let judged = door.checks.iter().filter(|check| check.verdict != Verdict::Note);
    let room = judged.filter(|check| room_to_run(check.check).is_some());
    room.filter_map(|check| Some((check, check.length_margin()?))).min_by_key(|(_, margin)| *margin)
}

/// `groove at the lead slat`.
pub(super) fn place(check: &FitCheck) -> String {
    let item = check.item;
    if let Some(words) = room_to_run(check.check) {
        return format!("{words} {item}");
    }
    match check.check {
        Check::TongueFit => format!("tongue of the {item} in its groove"),
        Check::ArcRadius => format!("bend radius for the {item}"),
        Check::Engagement => format!("hold of the {item} in its groove"),
        Check::FrontEdge => "wall to the front edge".to_owned(),
        Check::ShowFace => "room for the show face".to_owned(),
        Check::LeadTravel => "travel on the front run".to_owned(),
        Check::LeadLock => "lead slat under a pull at its face".to_owned(),
        Check::LeadLap => "cloth on the lead slat".to_owned(),
        Check::LeadEntry => "way in for the lead slat".to_owned(),
        Check::Racking => "door under a pull at half its height".to_owned(),
        Check::EndClear => "bare slat ends".to_owned(),
        Check::TrackClear => "room between passes of the track".to_owned(),
        Check::SeasonalStow => "room past the tail, humid season".to_owned(),
        Check::SeasonalCover => "cover, dry season".to_owned(),
        Check::SeasonalGroove => "groove, humid season".to_owned(),
        other => format!("{} of the {item}", in_words(other.word())),
    }
}

/// A word of the tables without its underscores.
fn in_words(word: &str) -> String {
    word.replace('_', " ")
}

/// Doors in job order, those that check alike together.
fn alike(doors: &[Door]) -> Vec<Vec<&Door>> {
    let mut groups: Vec<Vec<&Door>> = Vec::new();
    for door in doors {
        let same = |group: &&mut Vec<&Door>| {
            let first = group[0];
            first.checks == door.checks && first.notes == door.notes
        };
        // Those of one cabinet follow each other.
        match groups.iter_mut().rev().take_while(|group| group[0].cabinet == door.cabinet).find(same) {
            Some(group) => group.push(door),
            None => groups.push(vec![door]),
        }
    }
    groups
}

fn door_fit(job: &Job, door: &Door) -> String {
    let mut fit = report::fit(job, std::slice::from_ref(door));
    for (row, check) in fit.rows.iter_mut().zip(&door.checks) {
        row[1] = Cell::text(in_words(check.check.word()));
    }
    let mut out = table(
        &fit,
        job,
        &[
            ("check", "check"),
            ("item", "item"),
            ("needed", "needed"),
            ("available", "there"),
            ("margin", "margin"),
            ("unit", "unit"),
            ("ok", "ok"),
        ],
    );
    for check in &door.checks {
        if let Some(said) = check.said(&door.fixes) {
            let word = if check.holds() { "note" } else { "does not fit" };
            out += &wrapped(&format!("{word}: {}: {said}", place(check)), 2);
        }
    }
    out += &cures("it", &door.fixes);
    for note in &door.notes {
        out += &wrapped(&format!("note: {note}"), 2);
    }
    out + &stops(job, door) + &details(job, &door.details)
}

/// The one list of what would fix a door.
pub(super) fn cures(whom: &str, fixes: &[Fix]) -> String {
    let figures = match fixes {
        [] => return String::new(),
        [_] => "this figure",
        _ => "one of these figures",
    };
    let mut out = wrapped(&format!("To fix {whom}, change {figures}:"), 2);
    for fix in fixes {
        out += &wrapped(&format!("- {}", fix.text), 2);
    }
    out
}

fn stops(job: &Job, door: &Door) -> String {
    let mut out = String::new();
    for stop in &door.stops {
        let at = stop.distance.show_nearest(job.units);
        out += &wrapped(&format!("{}: {at} from the {}; {}", stop.name, stop.from, stop.note), 2);
    }
    out
}

fn details(job: &Job, details: &Details) -> String {
    let show = |length: Length| length.show_nearest(job.units);
    let mut out = String::new();
    if let Some(room) = &details.room {
        let tails = room.between_tails.map_or_else(String::new, |tails| format!(", between the tails {}", show(tails)));
        let line = format!(
            "room: clear opening {}, spare groove past the tail {}{tails}",
            show(room.clear_opening),
            show(room.stow_left)
        );
        out += &wrapped(&line, 2);
        out += &wrapped(&format!("closed: {}", room.meets), 2);
    }
    if let Some(movement) = &details.movement {
        let (plus, minus, tongue) = (show(movement.swells), show(movement.shrinks), show(movement.tongue_swells));
        let line = format!("seasons: door +{plus} -{minus}, tongue +{tongue}; {}", movement.source);
        out += &wrapped(&line, 2);
    }
    if let Some(swing) = &details.lead_swing {
        let line = format!(
            "lead slat: turns {:.2} deg in, {:.2} deg out; step where two doors meet at most {}; face corner reaches {}",
            swing.yaw_in,
            swing.yaw_out,
            show(swing.meeting_step),
            show(swing.face_corner_reach)
        );
        out += &wrapped(&line, 2);
    }
    if let Some(width) = details.v_groove {
        out += &wrapped(&format!("flat, the bevels leave grooves {} wide between the slats", show(width)), 2);
    }
    if let Some(feel) = &details.feel {
        let sag = feel.sag.map_or(String::new(), |sag| format!(", sag {}", show(sag)));
        let (light, heavy) = feel.pull_newtons;
        let force = |newtons| show_force(newtons, job.units);
        let line = format!(
            "feel: {}{sag}, pull {} to {} {} (estimate; {})",
            show_weight(feel.weight_kg, job.units),
            force(light),
            force(heavy),
            force_unit(job.units),
            feel.assumptions
        );
        out += &wrapped(&line, 2);
        out += &feel.balance.as_ref().map_or(String::new(), |balance| wrapped(&hangs(job, balance), 2));
    }
    for (number, step) in (1..).zip(&details.loading) {
        out += &wrapped(&format!("loading {number}: {step}"), 2);
    }
    out + &settings(job, details)
}

/// A roll-up in one sentence: closed, half open and open, waxed to bare.
fn hangs(job: &Job, balance: &Balance) -> String {
    let points = &balance.points;
    let (force, unit) = (|newtons| show_force(newtons, job.units), force_unit(job.units));
    let at = |index: usize| {
        let point = points[index];
        let (lift, lower) = (point.lift, point.lower);
        let place = point.lead_edge.show_nearest(job.units);
        let both = |(waxed, bare): (f64, f64)| format!("{} to {} {unit}", force(waxed), force(bare));
        format!("{place} open: lift {}, lower {}", both(lift), both(lower))
    };
    let told = match points.len() {
        0 => return String::new(),
        count => [0, count / 2, count - 1].map(at).join("; "),
    };
    let stays = balance.falls_shut.is_none() && balance.runs_open.is_none();
    let stays = if stays { "it stays where it is let go" } else { "it does not stay put everywhere: see the notes" };
    let hang = force(balance.front_weight_open);
    format!(
        "roll-up, force upwards at the lead edge: {told}; {stays}; {hang} {unit} of its weight hangs on the front run when open"
    )
}

/// Cutters on the shelf, and what a deeper rabbet gives when the running test binds.
fn settings(job: &Job, details: &Details) -> String {
    let show = |length: Length| length.show_nearest(job.units);
    let mut out = String::new();
    for setup in &details.setups {
        let fits = if setup.fits { "fits" } else { "does not fit" };
        let line = format!(
            "cutter `{}`: tongue {} thick, {} long; groove margin {}; {fits}",
            setup.cutter,
            show(setup.tongue),
            show(setup.tongue_length),
            show(setup.margin)
        );
        out += &wrapped(&line, 2);
    }
    if !details.rabbet_steps.is_empty() {
        out += "if the running test binds, deepen the rabbet:\n";
    }
    for step in &details.rabbet_steps {
        let _ = writeln!(
            out,
            "  {} deep: tongue {}, groove margin {} (slats), {} (lead slat)",
            show(step.rabbet_depth),
            show(step.tongue),
            show(step.slat_margin),
            show(step.lead_margin)
        );
    }
    out
}
