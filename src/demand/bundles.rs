//! Who gets a bundle of strips: every door built, and every kind of loose strip.

use itertools::Itertools;

use super::Part;
use super::marks::Marks;
use crate::doors::Door;
use crate::job::Job;

/// One bundle: the strips of one door built, or of the loose strips of one name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bundle {
    /// What is written on it: `CP1-L`, the left door of the first chart press; unique in the job.
    pub mark: String,
    /// The door or the loose strip.
    pub name: String,
    /// Which copy of how many, where there are several.
    pub copy: Option<(u32, u32)>,
    /// True for a door.
    pub door: bool,
    /// What it takes.
    pub takes: Vec<Takes>,
}

/// Strips of one part in one bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Takes {
    /// Index into the demand's parts.
    pub part: usize,
    /// `slat`, `lead slat` or `strip`.
    pub role: &'static str,
    /// How many.
    pub strips: u64,
}

/// The bundles of a job in its order: doors with their copies, then loose strips.
pub(super) fn bundles(job: &Job, doors: &[Door], parts: &[Part]) -> Vec<Bundle> {
    let mut marks = Marks::new(job);
    let mut bundles = Vec::new();
    for door in doors {
        let takes = takes(parts, &door.name, &["lead slat", "slat"], door.count);
        for number in 1..=door.count {
            let copy = (door.count > 1).then_some((number, door.count));
            let (mark, name) = (marks.door(door, number), door.name.clone());
            bundles.push(Bundle { mark, name, copy, door: true, takes: takes.clone() });
        }
    }
    // What is left of a job may hold loose strips of several sizes under one name: they are one bundle.
    for strip in job.strips.iter().unique_by(|strip| &strip.name) {
        let takes = takes(parts, &strip.name, &["strip"], 1);
        let (mark, name) = (marks.strip(&strip.name), strip.name.clone());
        bundles.push(Bundle { mark, name, copy: None, door: false, takes });
    }
    bundles
}

fn takes(parts: &[Part], name: &str, roles: &[&str], copies: u32) -> Vec<Takes> {
    let uses = parts.iter().enumerate().flat_map(|(part, pooled)| pooled.uses.iter().map(move |user| (part, user)));
    let ours = uses.filter(|(_, user)| user.name == name && roles.contains(&user.role));
    ours.map(|(part, user)| Takes { part, role: user.role, strips: u64::from(user.strips / copies.max(1)) }).collect()
}
