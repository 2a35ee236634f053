//! Strips that serve for a shorter part of their section: straight ones that are not wanted, and rejects that are
//! straight over enough of their length.

use std::collections::BTreeMap;

use super::extra::extra;
use super::{CountRow, FloorError, Round, Standing};
use crate::demand::Part;
use crate::job::{Job, Millings};
use crate::measure::Length;

/// What is crosscut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crosscut {
    /// Straight strips beyond those wanted.
    Straight,
    /// Rejects that are straight over a shorter length.
    Rejects,
}

impl Crosscut {
    /// In words, behind their count.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Straight => " straight strips",
            Self::Rejects => " rejects",
        }
    }
}

/// Strips crosscut into those of a shorter part of the same section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvage {
    /// What they are.
    pub what: Crosscut,
    /// Part they were cut for.
    pub from: usize,
    /// Part they now serve.
    pub to: usize,
    /// Strips used.
    pub used: u32,
    /// Straight strips they yield.
    pub strips: u32,
}

/// True where a straight strip of one part makes one of the other.
pub(super) fn serves(from: &Part, to: &Part) -> bool {
    let milled = to.millings == from.millings || to.millings == Millings::Any;
    from.section() == to.section() && milled && to.length < from.length
}

/// Strips of a part that a straight length gives, rough.
pub(super) fn pieces(job: &Job, part: &Part, length: Length) -> u32 {
    let rules = &job.shop.cutting;
    let each = part.length + rules.length_trim + rules.crosscut_kerf;
    u32::try_from((length + rules.crosscut_kerf).nm() / each.nm().max(1)).unwrap_or(0)
}

/// Strips of a part that were used up for what a row says was crosscut of them.
pub(super) fn used_up(job: &Job, parts: &[Part], row: &CountRow) -> u32 {
    let Some((to, strips)) = row.crosscut else { return 0 };
    let own = parts[row.part].length + job.shop.cutting.length_trim;
    strips.div_ceil(pieces(job, &parts[to], row.straight_length.unwrap_or(own)).max(1))
}

/// Straight strips beyond those wanted that make up what a shorter part lacks for certain, the shortest that do first.
pub(super) fn surplus(job: &Job, parts: &[Part], standing: &Standing) -> Vec<Salvage> {
    let mut spare: Vec<u64> =
        (0..parts.len()).map(|at| standing.straight[at].saturating_sub(standing.wanted[at])).collect();
    let mut short: Vec<usize> = (0..parts.len()).collect();
    short.sort_by_key(|at| std::cmp::Reverse(parts[*at].length));
    let mut list = Vec::new();
    for to in short {
        let mut lacking = standing.wanted[to].saturating_sub(standing.straight[to] + standing.remaining[to]);
        let mut longer: Vec<usize> = (0..parts.len()).filter(|from| serves(&parts[*from], &parts[to])).collect();
        longer.sort_by_key(|from| parts[*from].length);
        for from in longer {
            let each = u64::from(pieces(job, &parts[to], parts[from].length + job.shop.cutting.length_trim)).max(1);
            let used = lacking.div_ceil(each).min(spare[from]);
            let strips = lacking.min(used * each);
            if strips > 0 {
                (spare[from], lacking) = (spare[from] - used, lacking - strips);
                let count = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
                let (used, strips) = (count(used), count(strips));
                list.push(Salvage { what: Crosscut::Straight, from, to, used, strips });
            }
        }
    }
    list
}

/// Rejects that can serve a shorter part of their section that is short, and the extra strips that are
/// then still wanted. A checked length is straight: it counts as good.
pub(super) fn salvage(
    job: &Job,
    parts: &[Part],
    rounds: &[Round],
    standing: &Standing,
) -> Result<(Vec<Salvage>, Vec<u32>), FloorError> {
    let rows = rounds.iter().flat_map(|round| &round.rows);
    let mut pool: Vec<(usize, Length, u32)> = rows
        .filter_map(|row| Some((row.part, row.straight_length?, row.rejected.saturating_sub(used_up(job, parts, row)))))
        .collect();
    pool.sort_by_key(|(part, length, _)| (*length, *part));
    let mut salvaged = vec![0u64; parts.len()];
    let mut used: BTreeMap<(usize, usize), (u32, u32)> = BTreeMap::new();
    loop {
        let wanted = extra(job, parts, standing, &salvaged)?;
        let fits = |from: usize, length: Length, to: usize| {
            serves(&parts[from], &parts[to]) && pieces(job, &parts[to], length) > 0
        };
        let found = (0..parts.len()).filter(|at| wanted[*at] > 0).filter_map(|to| {
            let reject = pool.iter().position(|(from, length, left)| *left > 0 && fits(*from, *length, to));
            reject.map(|reject| (parts[to].length, to, reject))
        });
        let Some((_, to, reject)) = found.max() else {
            let list = used.into_iter().map(|((from, to), (used, strips))| {
                let what = Crosscut::Rejects;
                Salvage { what, from, to, used, strips }
            });
            return Ok((list.collect(), wanted));
        };
        let (from, length, left) = &mut pool[reject];
        *left -= 1;
        let pieces = pieces(job, &parts[to], *length);
        salvaged[to] += u64::from(pieces);
        let entry = used.entry((*from, to)).or_default();
        *entry = (entry.0 + 1, entry.1 + pieces);
    }
}
