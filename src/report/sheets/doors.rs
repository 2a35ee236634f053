//! Doors: sizes, what their geometry comes to, fit checks and stops.

use super::Sheet;
use super::case::lined_room;
use crate::case::ClearBox;
use crate::doors::{Details, Door, Figure};
use crate::job::Job;
use crate::measure::{Length, force, force_unit};
use crate::report::cell::Cell;

/// `doors.csv`: one door a row, with what its geometry comes to beside its sizes.
#[must_use]
pub fn doors(job: &Job, doors: &[Door]) -> Sheet {
    const SIZES: [&str; 13] = [
        "door",
        "cabinet",
        "count",
        "slats",
        "slat_width",
        "lead_width",
        "slat_length",
        "tongue",
        "door_length",
        "cloth_along_slat",
        "cloth_along_travel",
        "cover",
        "travel",
    ];
    let rows = doors.iter().map(|door| {
        let mut row = vec![
            Cell::text(&door.name),
            Cell::text(&job.cabinets[door.cabinet].name),
            Cell::Count(door.count.into()),
            Cell::Count(door.slats.into()),
        ];
        let sizes = [
            door.slat_width,
            door.lead_width,
            door.slat_length,
            door.tongue,
            door.door_length,
            door.cloth_along_slat,
            door.cloth_along_travel,
            door.cover,
            door.travel,
        ];
        row.extend(sizes.map(Cell::Length));
        row.extend(door_details(&door.details, lined_room(job, door)));
        row
    });
    let columns: Vec<&str> = SIZES.into_iter().chain(DETAILS).collect();
    Sheet::new("doors", &columns, rows.collect())
}

/// Room, movement, swing of the lead slat and feel; empty where a figure does not apply.
const DETAILS: [&str; 20] = [
    "clear_opening",
    "stow_left",
    "between_tails",
    "clear_inside_width",
    "clear_inside_depth",
    "clear_inside_height",
    "swells",
    "shrinks",
    "tongue_swells",
    "lead_yaw_in_deg",
    "lead_yaw_out_deg",
    "meeting_step",
    "face_corner_forward",
    "face_corner_reach",
    "weight_kg",
    "sag",
    "pull_least_n",
    "pull_most_n",
    "lead_rabbet",
    "v_groove",
];

fn door_details(details: &Details, inside: Option<ClearBox>) -> [Cell; 20] {
    let length = |length: Option<Length>| length.map_or(Cell::Empty, Cell::Length);
    let figure = |amount: Option<f64>| amount.map_or(Cell::Empty, Cell::figure);
    let room = details.room.as_ref();
    let movement = details.movement.as_ref();
    let swing = details.lead_swing.as_ref();
    let feel = details.feel.as_ref();
    [
        length(room.map(|room| room.clear_opening)),
        length(room.map(|room| room.stow_left)),
        length(room.and_then(|room| room.between_tails)),
        length(inside.map(|inside| inside.width)),
        length(inside.map(|inside| inside.depth)),
        length(inside.map(|inside| inside.height)),
        length(movement.map(|movement| movement.swells)),
        length(movement.map(|movement| movement.shrinks)),
        length(movement.map(|movement| movement.tongue_swells)),
        figure(swing.map(|swing| swing.yaw_in)),
        figure(swing.map(|swing| swing.yaw_out)),
        length(swing.map(|swing| swing.meeting_step)),
        length(swing.map(|swing| swing.corner_forward)),
        length(swing.map(|swing| swing.face_corner_reach)),
        figure(feel.map(|feel| feel.weight_kg)),
        length(feel.and_then(|feel| feel.sag)),
        figure(feel.map(|feel| feel.pull_newtons.0)),
        figure(feel.map(|feel| feel.pull_newtons.1)),
        length(details.lead_rabbet),
        length(details.v_groove),
    ]
}

/// `fit.csv`: one check of one door a row.
#[must_use]
pub fn fit(job: &Job, doors: &[Door]) -> Sheet {
    let rows = doors.iter().flat_map(|door| {
        door.checks.iter().map(|check| {
            vec![
                Cell::text(&door.name),
                Cell::text(check.check.word()),
                Cell::text(check.item.word()),
                figure(job, check.needed),
                figure(job, check.available),
                figure(job, check.margin),
                Cell::text(unit(job, check.needed)),
                Cell::text(check.verdict.word()),
                Cell::text(check.advice.as_deref().unwrap_or_default()),
            ]
        })
    });
    const COLUMNS: [&str; 9] = ["door", "check", "item", "needed", "available", "margin", "unit", "ok", "advice"];
    Sheet::new("fit", &COLUMNS, rows.collect())
}

fn figure(job: &Job, value: Figure) -> Cell {
    match value {
        Figure::Length(length) => Cell::Length(length),
        Figure::Degrees(amount) => Cell::figure(amount),
        Figure::Force(newtons) => Cell::figure((force(newtons, job.units) * 10.0).round() / 10.0),
    }
}

const fn unit(job: &Job, value: Figure) -> &'static str {
    match value {
        Figure::Length(_) => job.units.word(),
        Figure::Degrees(_) => "deg",
        Figure::Force(_) => force_unit(job.units),
    }
}

/// `stops.csv`: one stop block or filler of one door a row.
#[must_use]
pub fn stops(doors: &[Door]) -> Sheet {
    let rows = doors.iter().flat_map(|door| {
        door.stops.iter().map(|stop| {
            vec![
                Cell::text(&door.name),
                Cell::text(stop.name),
                Cell::text(&stop.from),
                Cell::Length(stop.distance),
                stop.length.map_or(Cell::Empty, Cell::Length),
                Cell::text(&stop.note),
                stop.station.map_or(Cell::Empty, Cell::Length),
            ]
        })
    });
    Sheet::new("stops", &["door", "stop", "from", "distance", "length", "note", "along_groove"], rows.collect())
}
