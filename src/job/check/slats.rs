//! The slats of a door: defaults of the job, the cabinet's and the door's own keys over them.

use super::Check;
use super::defaults::{EDGE_CHAMFER, or};
use super::woods::species;
use crate::files::{At, Entry, Head, Kind, Place, Problem, SlatsFile};
use crate::job::{LeadEntry, LeadFitted, LeadTongueAt, Millings, RabbetFace, SlatSpec};
use crate::measure::Length;

/// No saw rips a thinner strip, and thousands of slats in a door are a slip of the unit.
pub(super) const THINNEST: Length = Length::from_nm(500_000);

/// The slats of one door; `None` when a value is missing or faulty (noted).
pub(super) fn settle(check: &Check, file: &SlatsFile) -> Option<SlatSpec> {
    // A `[slat]` table is one slip, not six missing keys.
    let misspelt = file.head.title.is_empty() && check.desk.was_meant(file.head.place, "slats");
    if file.faulty || misspelt {
        return None;
    }
    let title = if file.head.title.is_empty() { "[slats]".to_owned() } else { file.head.title.clone() };
    let head = Head { title, place: file.head.place };
    let need = |entry: &Entry<Length>, key, example| entry.need(check.desk, &head, key, example).map(|at| at.value);
    let wood = file.species.need(check.desk, &head, "species", "\"cherry\"").and_then(|at| species(check, &at));
    let width = need(&file.width, "width", "\"5/8\"");
    let thickness = need(&file.thickness, "thickness", "\"3/8\"");
    let lead_width = need(&file.lead_width, "lead_width", "\"1-1/8\"");
    let rabbet_depth = need(&file.rabbet_depth, "rabbet_depth", "\"7/32\"");
    let rabbet_length = need(&file.rabbet_length, "rabbet_length", "\"3/8\"");
    let choices = choices(check, file)?;
    let spec = SlatSpec {
        species: wood?,
        width: width?,
        thickness: thickness?,
        lead_width: lead_width?,
        lead_thickness: or(&file.lead_thickness, thickness?)?,
        lead_tongue: choices.lead_tongue,
        lead_tongue_at: choices.lead_tongue_at,
        lead_fitted: choices.lead_fitted,
        lead_entry: choices.lead_entry,
        rabbet_depth: rabbet_depth?,
        back_rabbet_depth: back_rabbet(check, file, &head, choices.rabbet_face)?,
        rabbet_length: rabbet_length?,
        rabbet_face: choices.rabbet_face,
        milling: choices.milling,
        lead_milling: choices.lead_milling,
        edge_bevel: choices.edge_bevel,
        edge_chamfer: choices.edge_chamfer,
        // Slats that butt are the absence of a gap, not a value taken.
        canvas_gap: or(&file.canvas_gap, Length::ZERO)?,
    };
    refuse_thin(check, file);
    refuse_tongue(check, file, &spec);
    refuse_lead(check, file, &spec);
    refuse_edges(check, file, &spec);
    Some(spec)
}

/// The keys that have defaults.
struct Choices {
    lead_tongue: Option<Length>,
    lead_tongue_at: LeadTongueAt,
    lead_fitted: LeadFitted,
    lead_entry: Option<LeadEntry>,
    rabbet_face: RabbetFace,
    milling: Millings,
    lead_milling: Millings,
    edge_bevel: f64,
    edge_chamfer: Length,
}

fn choices(check: &Check, file: &SlatsFile) -> Option<Choices> {
    let defaults = &check.defaults;
    if file.lead_thickness.is_missing() {
        defaults.note("[slats] lead_thickness", "as `thickness`".to_owned(), super::COMMON_PRACTICE);
    }
    let lead_tongue = match &file.lead_tongue {
        Entry::Missing => {
            defaults.note("[slats] lead_tongue", "as `lead_width`".to_owned(), super::COMMON_PRACTICE);
            None
        }
        Entry::Faulty => return None,
        Entry::Given(at) => Some(at.value),
    };
    let lead_fitted = defaults.other(&file.lead_fitted, "[slats] lead_fitted", "before", "before")?;
    let rabbet_face = defaults.other(&file.rabbet_face, "[slats] rabbet_face", "show", "show")?;
    let all = milling(check, &file.milling, "[slats] milling")?;
    let lead_entry = match &file.lead_entry {
        Entry::Missing => None,
        Entry::Faulty => return None,
        Entry::Given(at) => Some(match at.value {
            "notch" => LeadEntry::Notch,
            "screwed" => LeadEntry::Screwed,
            _ => LeadEntry::Ends,
        }),
    };
    Some(Choices {
        lead_tongue,
        lead_tongue_at: if or(&file.lead_tongue_at, "hinge")? == "middle" {
            LeadTongueAt::Middle
        } else {
            LeadTongueAt::Hinge
        },
        lead_fitted: if lead_fitted == "after" { LeadFitted::After } else { LeadFitted::Before },
        lead_entry,
        rabbet_face: match rabbet_face {
            "back" => RabbetFace::Back,
            "both" => RabbetFace::Both,
            _ => RabbetFace::Show,
        },
        milling: all,
        lead_milling: lead_milling(check, &file.lead_milling, all)?,
        edge_bevel: defaults.other(&file.edge_bevel, "[slats] edge_bevel", 0.0, "0")?,
        edge_chamfer: defaults.length(true, &file.edge_chamfer, &EDGE_CHAMFER)?,
    })
}

/// The millings allowed; any by default, as whichever takes less wood is what a shop does.
pub(super) fn milling(check: &Check, entry: &Entry<&'static str>, key: &str) -> Option<Millings> {
    check.defaults.other(entry, key, "any", "any").map(millings)
}

/// Those of the lead slat: by default as all slats.
fn lead_milling(check: &Check, entry: &Entry<&'static str>, all: Millings) -> Option<Millings> {
    match entry {
        Entry::Missing => {
            check.defaults.note("[slats] lead_milling", "as `milling`".to_owned(), super::COMMON_PRACTICE);
            Some(all)
        }
        Entry::Faulty => None,
        Entry::Given(at) => Some(millings(at.value)),
    }
}

fn millings(word: &str) -> Millings {
    match word {
        "edge" => Millings::Edge,
        "flat" => Millings::Flat,
        _ => Millings::Any,
    }
}

fn refuse_thin(check: &Check, file: &SlatsFile) {
    for (key, entry) in [("width", &file.width), ("thickness", &file.thickness), ("lead_width", &file.lead_width)] {
        refuse_thinner(check, key, entry);
    }
}

/// Notes a size that no saw can rip.
pub(super) fn refuse_thinner(check: &Check, key: &str, entry: &Entry<Length>) {
    if let Some(At { value, place }) = entry.given()
        && *value < THINNEST
    {
        let what = format!("`{key}`: {} is thinner than any saw can rip", check.said(*value, *place));
        check.note(Problem::new(Kind::BadValue, *place, what).help("at least 0.5 mm; check the unit"));
    }
}

/// What the rabbets leave has to be there, on the slats and on the lead slat.
fn refuse_tongue(check: &Check, file: &SlatsFile, spec: &SlatSpec) {
    let show = |length: Length| format!("{} {}", length.show(check.units), check.units);
    let at = |entry: &Entry<Length>| entry.place().unwrap_or(file.head.place);
    if !spec.tongue().is_positive() {
        let what = format!(
            "the rabbet is {} deep and the slat {} thick: no tongue is left",
            check.said(spec.rabbet_depth + spec.back_rabbet_depth, at(&file.rabbet_depth)),
            check.said(spec.thickness, at(&file.thickness))
        );
        let problem = Problem::new(Kind::Conflict, at(&file.rabbet_depth), what)
            .also(at(&file.thickness), "the slat's thickness")
            .help("tongue thickness = thickness - rabbet_depth (and less back_rabbet_depth, where there is one)");
        check.note(problem);
        return;
    }
    let least = spec.tongue() + spec.back_rabbet();
    if spec.lead_thickness < least {
        let what = format!("the lead slat is {} thick, thinner than the tongue needs", show(spec.lead_thickness));
        let problem = Problem::new(Kind::Conflict, at(&file.lead_thickness), what);
        check.note(problem.help(format!("at least {}", show(least))));
    }
    if let Some(tongue) = spec.lead_tongue
        && tongue > spec.lead_width
    {
        let what =
            format!("the lead slat's tongue is {} long and the slat {} wide", show(tongue), show(spec.lead_width));
        let problem = Problem::new(Kind::Conflict, at(&file.lead_tongue), what)
            .also(at(&file.lead_width), "the lead slat's width")
            .help("lead_tongue is at most lead_width");
        check.note(problem);
    }
}

/// The rabbet in the back where both faces have one; no other slat has the key.
fn back_rabbet(check: &Check, file: &SlatsFile, head: &Head, face: RabbetFace) -> Option<Length> {
    if face == RabbetFace::Both {
        return file.back_rabbet_depth.need(check.desk, head, "back_rabbet_depth", "\"1/16\"").map(|at| at.value);
    }
    if let Some(At { place, .. }) = file.back_rabbet_depth.given() {
        let problem =
            Problem::new(Kind::Conflict, *place, "`back_rabbet_depth` is only used with rabbets in both faces");
        check.note(problem.help("write `rabbet_face = \"both\"`, or give the one rabbet as `rabbet_depth`"));
    }
    or(&file.back_rabbet_depth, Length::ZERO).map(|_| Length::ZERO)
}

/// Keys of the lead slat that contradict one another.
fn refuse_lead(check: &Check, file: &SlatsFile, spec: &SlatSpec) {
    let at = |entry: Option<Place>| entry.unwrap_or(file.head.place);
    let bare = spec.lead_tongue == Some(Length::ZERO);
    let late = spec.lead_fitted == LeadFitted::After;
    if bare && !late {
        let what = "a lead slat without a tongue cannot be loaded with the door";
        let problem = Problem::new(Kind::Conflict, at(file.lead_tongue.place()), what);
        check.note(
            problem.help("write `lead_fitted = \"after\"`: it is screwed to the first slat, or leave it a tongue"),
        );
    }
    let Some(entry) = spec.lead_entry else { return };
    let place = at(file.lead_entry.place());
    if !late {
        let problem =
            Problem::new(Kind::Conflict, place, "`lead_entry` is only used with a lead slat fitted after loading");
        check.note(problem.help("take it out, or write `lead_fitted = \"after\"`"));
    } else if bare != (entry == LeadEntry::Screwed) {
        let what = if bare {
            "a lead slat without a tongue is screwed on"
        } else {
            "a lead slat with a tongue is not screwed on"
        };
        let problem = Problem::new(Kind::Conflict, place, what).also(at(file.lead_tongue.place()), "its tongue");
        check.note(problem.help("`lead_tongue = 0` goes with `lead_entry = \"screwed\"`"));
    }
}

/// Bevels and chamfers take from both edges: something has to stay of the show face.
fn refuse_edges(check: &Check, file: &SlatsFile, spec: &SlatSpec) {
    let narrow = spec.width.mm_f64().min(spec.lead_width.mm_f64());
    let bevel = 2.0 * spec.thickness.mm_f64() * spec.edge_bevel.to_radians().tan();
    let whole = |place: Option<Place>| place.unwrap_or(file.head.place);
    if bevel >= narrow {
        let what = format!("edges bevelled by {} degrees leave nothing of the show face", spec.edge_bevel);
        let problem = Problem::new(Kind::Conflict, whole(file.edge_bevel.place()), what);
        check.note(problem.help("the bevel is measured from the square edge, each side"));
    }
    if spec.canvas_gap * 2 > spec.width {
        let what = "the gap between slats is more than half a slat";
        let problem = Problem::new(Kind::Conflict, whole(file.canvas_gap.place()), what);
        check.note(problem.help("a gap at the canvas is a sixteenth of an inch or so; most doors have none"));
    }
    let chamfer = 2.0 * spec.edge_chamfer.mm_f64();
    if spec.edge_chamfer >= spec.thickness || chamfer >= narrow {
        let what = "the chamfers leave nothing of the slat's edge or face";
        let problem = Problem::new(Kind::Conflict, whole(file.edge_chamfer.place()), what);
        check.note(problem.help("less than the thickness, and less than half the width"));
    }
}
