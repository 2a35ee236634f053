//! The slats of a door: defaults of the job, the cabinet's and the door's own keys over them.

use super::Check;
use super::defaults::{EDGE_CHAMFER, or};
use super::woods::species;
use crate::files::{At, Entry, Head, Kind, Place, Problem, SlatsFile};
use crate::job::{LeadFitted, Millings, RabbetFace, SlatSpec};
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
        lead_fitted: choices.lead_fitted,
        rabbet_depth: rabbet_depth?,
        rabbet_length: rabbet_length?,
        rabbet_face: choices.rabbet_face,
        milling: choices.milling,
        edge_bevel: choices.edge_bevel,
        edge_chamfer: choices.edge_chamfer,
    };
    refuse_thin(check, file);
    refuse_tongue(check, file, &spec);
    refuse_edges(check, file, &spec);
    Some(spec)
}

/// The keys that have defaults.
struct Choices {
    lead_tongue: Option<Length>,
    lead_fitted: LeadFitted,
    rabbet_face: RabbetFace,
    milling: Millings,
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
    Some(Choices {
        lead_tongue,
        lead_fitted: if lead_fitted == "after" { LeadFitted::After } else { LeadFitted::Before },
        rabbet_face: if rabbet_face == "back" { RabbetFace::Back } else { RabbetFace::Show },
        milling: milling(check, &file.milling, "[slats] milling")?,
        edge_bevel: defaults.other(&file.edge_bevel, "[slats] edge_bevel", 0.0, "0")?,
        edge_chamfer: defaults.length(true, &file.edge_chamfer, &EDGE_CHAMFER)?,
    })
}

/// The millings allowed; flat by default.
pub(super) fn milling(check: &Check, entry: &Entry<&'static str>, key: &str) -> Option<Millings> {
    Some(match check.defaults.other(entry, key, "flat", "flat")? {
        "edge" => Millings::Edge,
        "any" => Millings::Any,
        _ => Millings::Flat,
    })
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
    if spec.rabbet_depth >= spec.thickness {
        let what = format!(
            "the rabbet is {} deep and the slat {} thick: no tongue is left",
            check.said(spec.rabbet_depth, at(&file.rabbet_depth)),
            check.said(spec.thickness, at(&file.thickness))
        );
        let problem = Problem::new(Kind::Conflict, at(&file.rabbet_depth), what)
            .also(at(&file.thickness), "the slat's thickness")
            .help("tongue thickness = thickness - rabbet_depth");
        check.note(problem);
        return;
    }
    let least = match spec.rabbet_face {
        RabbetFace::Show => spec.thickness - spec.rabbet_depth,
        RabbetFace::Back => spec.thickness,
    };
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
    let chamfer = 2.0 * spec.edge_chamfer.mm_f64();
    if spec.edge_chamfer >= spec.thickness || chamfer >= narrow {
        let what = "the chamfers leave nothing of the slat's edge or face";
        let problem = Problem::new(Kind::Conflict, whole(file.edge_chamfer.place()), what);
        check.note(problem.help("less than the thickness, and less than half the width"));
    }
}
