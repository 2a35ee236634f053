//! Cases: the room that doors leave, panels, sheets, and what is said of them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod bad_input;
mod clear_room;
mod judged;
mod panels;
mod sheets;

use slatwright::case::{Casework, make};
use slatwright::doors::{Door, lay_out};
use slatwright::files::{Problems, Sources};
use slatwright::job::{self, Job};
use slatwright::measure::{Length, Units, parse_length};

/// Slats, spares and files of a job in inches; cabinets follow.
pub(crate) const HEAD: &str = r#"
name = "cases"
units = "in"
boards = "boards.csv"
cloth = "cloth.csv"
sheets = "sheets.csv"
spares = { none = true }
[slats]
species = "cherry"
width = "5/8"
thickness = "3/8"
lead_width = "1-1/8"
rabbet_depth = "7/32"
rabbet_length = "3/8"
"#;

/// The same in millimetres.
pub(crate) const METRIC: &str = r#"
name = "cases"
units = "mm"
boards = "boards.csv"
cloth = "cloth.csv"
sheets = "sheets.csv"
spares = { none = true }
[slats]
species = "cherry"
width = 16
thickness = 10
lead_width = 28
rabbet_depth = 6
rabbet_length = 10
"#;

pub(crate) const BOARDS: &str = "stock,species,thickness,width,length,on_hand,price,per\nc8,cherry,4/4,8,120,,9.00,bf\nc10,cherry,5/4,8,120,,7.00,bf\n";
pub(crate) const METRIC_BOARDS: &str =
    "stock,species,thickness,width,length,on_hand,price,per\nc8,cherry,4/4,200,3000,,9.00,bf\n";
pub(crate) const CLOTH: &str = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,60,0.5,,11.50,yard,4.5\n";
pub(crate) const METRIC_CLOTH: &str =
    "bolt,width,selvage,on_hand_length,price,per,increment\nduck,1500,12,,11.50,metre,100\n";
pub(crate) const SHEETS: &str = "sheet,material,thickness,width,length,on_hand,price\n\
    ply 3/4,birch plywood,0.75,48,96,,84.00\nply 1/4,birch plywood,0.25,48,96,,38.00\n";
pub(crate) const METRIC_SHEETS: &str = "sheet,material,thickness,width,length,on_hand,price\n\
    ply 18,birch plywood,18,1250,2500,,70.00\nply 6,birch plywood,6,1250,2500,,30.00\n";

/// A cabinet 36 x 15-1/2 x 28 inside, grooves 3/4 in from its faces, corners of 3 in.
pub(crate) fn cabinet(doors: &str) -> String {
    format!(
        "[[cabinet]]\nname = \"press\"\ncount = 2\ninside_width = \"36\"\ninside_depth = \"15-1/2\"\n\
         inside_height = \"28\"\ndoors = \"{doors}\"\nsetback = \"3/4\"\ncorner_radius = \"3\"\n\
         groove_width = \"1/4\"\ngroove_depth = \"5/16\"\n"
    )
}

/// 900 x 400 x 700 mm inside, grooves 20 mm from its faces, corners of 75 mm.
pub(crate) fn metric_cabinet(doors: &str) -> String {
    format!(
        "[[cabinet]]\nname = \"press\"\ncount = 1\ninside_width = 900\ninside_depth = 400\ninside_height = 700\n\
         doors = \"{doors}\"\nsetback = 20\ncorner_radius = 75\ngroove_width = 6.5\ngroove_depth = 8\n"
    )
}

pub(crate) fn sources(text: &str) -> Sources {
    Sources::in_memory("job.toml", text).with("boards.csv", BOARDS).with("cloth.csv", CLOTH).with("sheets.csv", SHEETS)
}

pub(crate) fn metric_sources(text: &str) -> Sources {
    let sources = Sources::in_memory("job.toml", text).with("boards.csv", METRIC_BOARDS);
    sources.with("cloth.csv", METRIC_CLOTH).with("sheets.csv", METRIC_SHEETS)
}

pub(crate) fn job_of(text: &str) -> Job {
    let metric = text.contains("units = \"mm\"");
    let parsed = job::parse(&if metric { metric_sources(text) } else { sources(text) });
    parsed.unwrap_or_else(|problems| panic!("{problems}"))
}

pub(crate) fn problems_of(text: &str) -> Problems {
    job::parse(&sources(text)).expect_err("a broken file was taken")
}

pub(crate) fn made(job: &Job) -> (Vec<Door>, Casework) {
    let doors = lay_out(job);
    for door in &doors {
        let failing: Vec<_> = door.checks.iter().filter(|check| !check.holds()).collect();
        assert!(failing.is_empty(), "{}: {failing:?}", door.name);
    }
    let case = make(job, &doors).unwrap_or_else(|problems| panic!("{problems:?}"));
    (doors, case)
}

pub(crate) fn inch(text: &str) -> Length {
    parse_length(text, Units::Inch).unwrap()
}
