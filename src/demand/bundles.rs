//! Who gets a bundle of strips: every door built, and every kind of loose strip.

use std::collections::BTreeMap;

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

/// What every door and every loose strip takes, by role and name, in the order of parts.
type Uses<'a> = BTreeMap<(&'static str, &'a str), Vec<(usize, u32)>>;

/// The bundles of a job in its order: doors with their copies, then loose strips.
pub(super) fn bundles(job: &Job, doors: &[Door], parts: &[Part]) -> Vec<Bundle> {
    let mut uses = Uses::new();
    for (part, user) in parts.iter().enumerate().flat_map(|(at, part)| part.uses.iter().map(move |user| (at, user))) {
        uses.entry((user.role, &user.name)).or_default().push((part, user.strips));
    }
    let mut marks = Marks::new(job);
    let mut bundles = Vec::new();
    for door in doors {
        let takes = takes(&uses, &door.name, &["slat", "lead slat"], door.count);
        for number in 1..=door.count {
            let copy = (door.count > 1).then_some((number, door.count));
            let (mark, name) = (marks.door(door, number), door.name.clone());
            bundles.push(Bundle { mark, name, copy, door: true, takes: takes.clone() });
        }
    }
    // What is left of a job may hold loose strips of several sizes under one name: they are one bundle.
    for strip in job.strips.iter().unique_by(|strip| &strip.name) {
        let takes = takes(&uses, &strip.name, &["strip"], 1);
        let (mark, name) = (marks.strip(&strip.name), strip.name.clone());
        bundles.push(Bundle { mark, name, copy: None, door: false, takes });
    }
    bundles
}

fn takes(uses: &Uses<'_>, name: &str, roles: &[&'static str], copies: u32) -> Vec<Takes> {
    let ours = roles.iter().flat_map(|&role| uses.get(&(role, name)).into_iter().flatten().map(move |of| (role, of)));
    let takes = ours.map(|(role, &(part, strips))| Takes { part, role, strips: u64::from(strips / copies.max(1)) });
    // By part; where slats and lead slat are one size, as they stand in the part.
    takes.sorted_by_key(|takes| takes.part).collect()
}
