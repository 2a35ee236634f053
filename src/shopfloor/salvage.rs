//! Rejects that still serve: straight over a shorter length, they are crosscut for a shorter part.

use std::collections::BTreeMap;

use super::extra::extra;
use super::standing::section;
use super::{FloorError, Round, Standing};
use crate::demand::Part;
use crate::job::Job;
use crate::measure::Length;

/// Rejects crosscut into strips of a shorter part of the same section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvage {
    /// Part the rejects were cut for.
    pub from: usize,
    /// Part they now serve.
    pub to: usize,
    /// Rejects used.
    pub rejects: u32,
    /// Straight strips they yield.
    pub strips: u32,
}

/// Rejects that can serve a shorter part of their section that is short, and the extra strips that are
/// then still wanted. A checked length is straight: it counts as good.
pub(super) fn salvage(
    job: &Job,
    parts: &[Part],
    rounds: &[Round],
    standing: &Standing,
) -> Result<(Vec<Salvage>, Vec<u32>), FloorError> {
    let rules = &job.shop.cutting;
    let rough = |at: usize| parts[at].length + rules.length_trim;
    let rows = rounds.iter().flat_map(|round| &round.rows);
    let mut pool: Vec<(usize, Length, u32)> =
        rows.filter_map(|row| Some((row.part, row.straight_length?, row.rejected))).collect();
    pool.sort_by_key(|(part, length, _)| (*length, *part));
    let mut salvaged = vec![0u64; parts.len()];
    let mut used: BTreeMap<(usize, usize), (u32, u32)> = BTreeMap::new();
    loop {
        let wanted = extra(job, parts, standing, &salvaged)?;
        let fits = |from: usize, length: Length, to: usize| {
            section(&parts[from]) == section(&parts[to]) && parts[to].length < parts[from].length && rough(to) <= length
        };
        let found = (0..parts.len()).filter(|at| wanted[*at] > 0).filter_map(|to| {
            let reject = pool.iter().position(|(from, length, left)| *left > 0 && fits(*from, *length, to));
            reject.map(|reject| (parts[to].length, to, reject))
        });
        let Some((_, to, reject)) = found.max() else {
            let list = used.into_iter().map(|((from, to), (rejects, strips))| Salvage { from, to, rejects, strips });
            return Ok((list.collect(), wanted));
        };
        let (from, length, left) = &mut pool[reject];
        *left -= 1;
        let pieces = (*length + rules.crosscut_kerf).nm() / (rough(to) + rules.crosscut_kerf).nm();
        let pieces = u32::try_from(pieces.max(1)).unwrap_or(1);
        salvaged[to] += u64::from(pieces);
        let entry = used.entry((*from, to)).or_default();
        *entry = (entry.0 + 1, entry.1 + pieces);
    }
}
