//! Which strips make which door: strips are tied in the order in which they leave the saw, so that slats sawn side by
//! side hang side by side.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::plan::Plan;
use crate::report::strips::yielded;

/// One bundle: the strips of one door built, or of one kind of loose strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bundle {
    /// What is written on it: `A`, `B` ... `Z`, `AA` ...
    pub mark: String,
    /// The door or the loose strip.
    pub name: String,
    /// Which copy of how many, where there are several.
    pub copy: Option<(u32, u32)>,
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

/// A run of strips of one part off one board, in saw order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tie {
    /// Index into [`Tied::bundles`]; `None` for the spares of the part.
    pub bundle: Option<usize>,
    /// How many.
    pub strips: u64,
}

/// The bundles of a job and what goes into them from each board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tied {
    /// In job order: doors with their copies, then loose strips.
    pub bundles: Vec<Bundle>,
    /// Per board of the plan: per part cut from it, runs in saw order.
    pub boards: Vec<BTreeMap<usize, Vec<Tie>>>,
}

/// Ties the strips of a plan whose boards are cut in the order `order` (indices into the plan's boards). Each part
/// fills the bundles that want it one after the other; what is left is its spares.
#[must_use]
pub fn tie(job: &Job, plan: &Plan, order: &[usize]) -> Tied {
    let bundles = bundles(job, plan);
    let mut queues: Vec<Vec<Tie>> = vec![Vec::new(); plan.demand.parts.len()];
    for (index, bundle) in bundles.iter().enumerate() {
        for takes in &bundle.takes {
            queues[takes.part].push(Tie { bundle: Some(index), strips: takes.strips });
        }
    }
    queues.iter_mut().for_each(|queue| queue.reverse());
    let mut boards = vec![BTreeMap::new(); plan.boards.boards.len()];
    for &board in order {
        for (part, strips) in cut_from(plan, board) {
            boards[board].insert(part, drawn(&mut queues[part], strips));
        }
    }
    Tied { bundles, boards }
}

/// Strips of each part off one board.
pub(super) fn cut_from(plan: &Plan, board: usize) -> BTreeMap<usize, u64> {
    let mut cut = BTreeMap::new();
    for blank in &plan.boards.boards[board].blanks {
        for rips in &blank.rips {
            *cut.entry(rips.part).or_insert(0) += yielded(blank, rips);
        }
    }
    cut
}

/// The next `strips` of a part's queue (its end is its head); past it they are spares.
fn drawn(queue: &mut Vec<Tie>, mut strips: u64) -> Vec<Tie> {
    let mut runs = Vec::new();
    while strips > 0 {
        let Some(head) = queue.last_mut() else {
            runs.push(Tie { bundle: None, strips });
            break;
        };
        let taken = strips.min(head.strips);
        if taken > 0 {
            runs.push(Tie { bundle: head.bundle, strips: taken });
        }
        head.strips -= taken;
        strips -= taken;
        if head.strips == 0 {
            queue.pop();
        }
    }
    runs
}

fn bundles(job: &Job, plan: &Plan) -> Vec<Bundle> {
    let mut bundles = Vec::new();
    for door in &plan.doors {
        for copy in 1..=door.count {
            let takes = takes(plan, &door.name, &["lead slat", "slat"], door.count);
            let copy = (door.count > 1).then_some((copy, door.count));
            bundles.push(Bundle { mark: mark(bundles.len()), name: door.name.clone(), copy, takes });
        }
    }
    for strip in &job.strips {
        let takes = takes(plan, &strip.name, &["strip"], 1);
        bundles.push(Bundle { mark: mark(bundles.len()), name: strip.name.clone(), copy: None, takes });
    }
    bundles
}

fn takes(plan: &Plan, name: &str, roles: &[&str], copies: u32) -> Vec<Takes> {
    let parts = plan.demand.parts.iter().enumerate();
    let uses = parts.flat_map(|(part, pooled)| pooled.uses.iter().map(move |user| (part, user)));
    let ours = uses.filter(|(_, user)| user.name == name && roles.contains(&user.role));
    ours.map(|(part, user)| Takes { part, role: user.role, strips: u64::from(user.strips / copies.max(1)) }).collect()
}

/// `A` to `Z`, then `AA` and on.
fn mark(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).expect("below 26"));
    if index < 26 { letter.to_string() } else { mark(index / 26 - 1) + &letter.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_go_on_after_z() {
        assert_eq!([0, 25, 26, 51, 52, 702].map(mark), ["A", "Z", "AA", "AZ", "BA", "AAA"]);
    }

    #[test]
    fn strips_fill_one_bundle_after_the_other_and_the_rest_are_spares() {
        let mut queue = vec![Tie { bundle: Some(1), strips: 4 }, Tie { bundle: Some(0), strips: 3 }];
        let first = drawn(&mut queue, 5);
        assert_eq!(first, [Tie { bundle: Some(0), strips: 3 }, Tie { bundle: Some(1), strips: 2 }]);
        assert_eq!(drawn(&mut queue, 5), [Tie { bundle: Some(1), strips: 2 }, Tie { bundle: None, strips: 3 }]);
    }
}
