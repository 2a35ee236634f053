//! What a cure writes: the figure that makes a door right, at the place in the file where the door has it from.

use toml_edit::{DocumentMut, Item, TableLike};

use super::address::Address;
use super::edit::written;
use crate::doors::{Door, Figure, Fix};
use crate::job::{Job, Segment};
use crate::measure::{Length, Units};

/// The values to be written for a cure of a door; none where the file does not say the figure in a way that is known.
pub(crate) fn cure(document: &DocumentMut, job: &Job, door: &Door, fix: &Fix) -> Vec<(Address, String)> {
    let to = match fix.to {
        Figure::Length(length) => as_written(length, job.units),
        Figure::Degrees(degrees) => degrees.to_string(),
        Figure::Force(_) => return Vec::new(),
    };
    let places = match fix.key {
        "side_inset, back_inset" => vec!["side_inset", "back_inset"],
        key => vec![key],
    };
    let mut values = Vec::new();
    for key in places {
        values.extend(addresses(document, job, door, key, fix).into_iter().map(|at| (at, to.clone())));
    }
    values
}

/// As a maker would type it.
fn as_written(length: Length, units: Units) -> String {
    let shown = length.show(units);
    if shown.starts_with('~') { length.exact() } else { shown }
}

fn addresses(document: &DocumentMut, job: &Job, door: &Door, key: &str, fix: &Fix) -> Vec<Address> {
    let cabinet = format!("cabinet.{}", door.cabinet);
    let by_case = job.cabinets.get(door.cabinet).is_some_and(|cabinet| cabinet.inside.is_some());
    let own = format!("{cabinet}.door.{}", door.index);
    let slats = ["lead_width", "lead_tongue", "width", "rabbet_depth", "rabbet_length", "lead_thickness", "edge_bevel"];
    let one = |at: String| Address::read(&at).into_iter().collect();
    if slats.contains(&key) {
        let places = [format!("{own}.slats.{key}"), format!("{cabinet}.slats.{key}"), format!("slats.{key}")];
        let given = places.iter().filter_map(|at| Address::read(at)).find(|at| written(document, at).is_some());
        // What nobody says is said for this cabinet alone.
        return given.map_or_else(|| one(format!("{cabinet}.slats.{key}")), |at| vec![at]);
    }
    if by_case {
        return one(format!("{cabinet}.{key}"));
    }
    let Some(track) = track_of(document, door) else { return Vec::new() };
    match key {
        "travel" => one(format!("{own}.travel")),
        "path" => match door.path.len() {
            0 => Vec::new(),
            pieces => one(format!("track.{track}.path.{}.straight", pieces - 1)),
        },
        "corner_radius" => {
            let (Figure::Length(to), Figure::Length(from)) = (fix.to, fix.from) else { return Vec::new() };
            let tight = |segment: &Segment| match segment {
                Segment::Arc { radius, .. } => *radius < to || *radius == from,
                Segment::Straight(_) => false,
            };
            let arcs = door.path.iter().enumerate().filter(|(_, segment)| tight(segment));
            arcs.filter_map(|(n, _)| Address::read(&format!("track.{track}.path.{n}.arc"))).collect()
        }
        key => one(format!("track.{track}.{key}")),
    }
}

/// Which of the file's tracks a door given one by one runs in.
fn track_of(document: &DocumentMut, door: &Door) -> Option<usize> {
    let Item::ArrayOfTables(cabinets) = document.get("cabinet")? else { return None };
    let Item::ArrayOfTables(doors) = cabinets.get(door.cabinet)?.get("door")? else { return None };
    let name = doors.get(door.index)?.get("track")?.as_str()?;
    let Item::ArrayOfTables(tracks) = document.get("track")? else { return None };
    tracks.iter().position(|track| TableLike::get(track, "name").and_then(Item::as_str) == Some(name))
}
