//! Which count to branch on, and whether a solution with whole counts is a plan.

use std::collections::BTreeMap;

use super::fit::{Room, fit};
use super::layout::{Layout, Level};
use super::master::{Master, Relaxed};
use super::rows::{Count, Row};
use super::stacks::{Content, pieces};

/// A count this far from a whole number is fractional.
const FRACTIONAL: f64 = 1e-4;

/// Counts of a fractional solution by bolt, height and placement.
#[derive(Debug, Default)]
pub(super) struct Counts {
    /// Levels by (bolt, height).
    levels: BTreeMap<(usize, usize), f64>,
    /// Pieces by (bolt, height, placement).
    pieces: BTreeMap<(usize, usize, usize), f64>,
    /// Contents in use by (bolt, height) with how often.
    contents: BTreeMap<(usize, usize), Vec<(Content, f64)>>,
}

/// The best candidate so far: how far from a whole number, the count and its value.
type Best = Option<(f64, Count, f64)>;

impl Counts {
    /// Counts what the columns in use make.
    pub(super) fn of(master: &Master<'_, '_>, relaxed: &Relaxed) -> Self {
        let mut counts = Self::default();
        for &(column, value) in &relaxed.used {
            let column = master.pool.get(column);
            for (height, content, times) in &column.levels {
                let value = value * *times as f64;
                *counts.levels.entry((column.bolt, *height)).or_default() += value;
                counts.contents.entry((column.bolt, *height)).or_default().push((content.clone(), value));
                for (p, copies) in pieces(content) {
                    *counts.pieces.entry((column.bolt, *height, p)).or_default() += value * copies as f64;
                }
            }
        }
        counts
    }

    /// Length used of a bolt, in units; counts that are nearly whole are taken as whole.
    pub(super) fn length(&self, master: &Master<'_, '_>, bolt: usize) -> f64 {
        let on = self.levels.iter().filter(|((b, _), _)| *b == bolt);
        on.map(|(&(_, height), &value)| {
            let near = value.round();
            let value = if (value - near).abs() < FRACTIONAL { near } else { value };
            master.model.heights[height] as f64 * value
        })
        .sum()
    }

    /// The count to branch on with its value, or `None` when all are whole. Broad counts first:
    /// levels at least so high, then the same on one bolt, then pieces in such levels.
    pub(super) fn fractional(&self, master: &Master<'_, '_>) -> Option<(Count, f64)> {
        let kind = |p: usize| master.model.placements[p].kind;
        let levels = || self.levels.iter().map(|(&(bolt, height), &value)| (bolt, height, value));
        let pieces = || self.pieces.iter().map(|(&(bolt, height, p), &value)| (bolt, height, p, value));
        let all = || levels().map(|(_, h, v)| ((), h, v));
        let best = most_fractional(all(), |(), from| Count::Levels { bolt: None, from })
            .or_else(|| most_fractional(levels(), |bolt, from| Count::Levels { bolt: Some(bolt), from }))
            .or_else(|| {
                let keyed = pieces().map(|(_, h, p, v)| (kind(p), h, v));
                most_fractional(keyed, |kind, from| Count::Kind { kind, bolt: None, from })
            })
            .or_else(|| {
                let keyed = pieces().map(|(bolt, h, p, v)| ((bolt, kind(p)), h, v));
                most_fractional(keyed, |(bolt, kind), from| Count::Kind { kind, bolt: Some(bolt), from })
            })
            .or_else(|| {
                let keyed = pieces().map(|(bolt, h, p, v)| ((bolt, p), h, v));
                most_fractional(keyed, |(bolt, placement), from| Count::Laid { placement, bolt: Some(bolt), from })
            });
        best.map(|(_, count, value)| (count, value))
    }

    /// The plan that these whole counts make, if the pieces of every height fit into its levels.
    pub(super) fn plan(&self, master: &Master<'_, '_>) -> Option<Layout> {
        let mut layout = Layout::default();
        for (&(bolt, height), &levels) in &self.levels {
            let at = (bolt, height, 0)..(bolt, height + 1, 0);
            let pieces = self.pieces.range(at).map(|(&(.., p), &copies)| (p, (copies + 0.5) as i64)).collect();
            let sure: Vec<_> = self.contents[&(bolt, height)]
                .iter()
                .map(|(content, times)| (content.clone(), (times + FRACTIONAL) as i64))
                .filter(|(_, times)| *times > 0)
                .collect();
            let room = Room { width: master.model.bolts[bolt].width, height: master.model.heights[height] };
            let contents = fit(master.model, room, (levels + 0.5) as i64, &pieces, &sure)?;
            layout.levels.extend(contents.into_iter().map(|(content, times)| (Level { bolt, content }, times)));
        }
        Some(layout)
    }
}

/// Sums from the highest level down, by key, and picks the sum farthest from a whole number.
fn most_fractional<K: Ord + Copy>(
    entries: impl Iterator<Item = (K, usize, f64)>,
    count: impl Fn(K, usize) -> Count,
) -> Best {
    let mut by_key: BTreeMap<K, BTreeMap<usize, f64>> = BTreeMap::new();
    for (key, height, value) in entries {
        *by_key.entry(key).or_default().entry(height).or_default() += value;
    }
    let mut best: Best = None;
    for (key, by_height) in by_key {
        let mut sum = 0.0;
        for (height, value) in by_height.into_iter().rev() {
            sum += value;
            let far = (sum - f64::round(sum)).abs();
            if far > FRACTIONAL && best.is_none_or(|(held, ..)| far > held + 1e-9) {
                best = Some((far, count(key, height), sum));
            }
        }
    }
    best
}

/// Rows with one more; a row on the same count in the same direction is replaced.
pub(super) fn with(rows: &[Row], row: Row) -> Vec<Row> {
    let mut rows = rows.to_vec();
    match rows.iter_mut().find(|held| held.count == row.count && held.at_least == row.at_least) {
        Some(held) => *held = row,
        None => rows.push(row),
    }
    rows
}
