//! Parts that job files of these tests are put together from.

use slatwright::files::Sources;
use slatwright::job::{self, Job};
use slatwright::measure::Length;

pub(crate) const BOARDS: &str = "stock,species,thickness,width,length,on_hand,price,per\n\
    a,cherry,4/4,6,96,,9.85,bf\nb,walnut,4/4,6,96,2,,\n";
pub(crate) const CLOTH: &str = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,60,0.5,,11.90,yard,9\n";
pub(crate) const SLATS: &str = "[slats]\nspecies = \"cherry\"\nwidth = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\n\
    rabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n";
pub(crate) const CASE: &str = "[[cabinet]]\nname = \"press\"\ninside_width = 36\ninside_depth = 15.5\ninside_height = 28\n\
    setback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
pub(crate) const STRIP: &str =
    "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = 0.75\nthickness = 0.375\nquantity = 14\n";

pub(crate) fn sources(job: &str) -> Sources {
    Sources::in_memory("jobs/hall.toml", job).with("jobs/boards.csv", BOARDS).with("jobs/cloth.csv", CLOTH)
}

/// A job of these parts, in inches, with boards and cloth.
pub(crate) fn read(parts: &[&str]) -> Job {
    let head = "name = \"hall\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n";
    let text = format!("{head}{}", parts.join(""));
    job::parse(&sources(&text)).unwrap_or_else(|problems| panic!("{problems}"))
}

pub(crate) fn default_of<'a>(job: &'a Job, key: &str) -> Option<(&'a str, &'a str)> {
    job.defaults.iter().find(|used| used.key == key).map(|used| (used.value.as_str(), used.reason.as_str()))
}

pub(crate) fn sixty_fourths(n: i64) -> Length {
    Length::from_64ths(n)
}
