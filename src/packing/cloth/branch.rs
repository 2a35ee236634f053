//! Which count to branch on, and whether a solution with whole counts is a plan.

use std::collections::BTreeMap;

use super::fit::{Room, fit, never_fit};
use super::layout::{Layout, Level};
use super::master::{Master, Relaxed};
use super::model::Model;
use super::rows::{Count, Row};
use super::stacks::{Content, Stack, pieces};

/// A count this far from a whole number is fractional.
const FRACTIONAL: f64 = 1e-4;
/// Counts of one kind that may be tried before one is branched on.
const MOST_OF_A_KIND: usize = 4;

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

    /// Counts that are not whole, with their values: of each kind those farthest from it, broad kinds first: levels at
    /// least so high, the same on one bolt, pieces in such levels, the same on one bolt, pieces laid one way.
    pub(super) fn fractional(&self, master: &Master<'_, '_>) -> Vec<(Count, f64)> {
        let kind = |p: usize| master.model.placements[p].kind;
        let levels = || self.levels.iter().map(|(&(bolt, height), &value)| (bolt, height, value));
        let pieces = || self.pieces.iter().map(|(&(bolt, height, p), &value)| (bolt, height, p, value));
        let of_kinds = pieces().map(|(_, h, p, v)| (kind(p), h, v));
        let of_kinds_on_bolts = pieces().map(|(bolt, h, p, v)| ((bolt, kind(p)), h, v));
        let of_placements = pieces().map(|(bolt, h, p, v)| ((bolt, p), h, v));
        let mut most = Vec::new();
        let all = levels().map(|(_, h, v)| ((), h, v));
        most.extend(most_fractional(all, |(), from| Count::Levels { bolt: None, from }));
        most.extend(most_fractional(levels(), |bolt, from| Count::Levels { bolt: Some(bolt), from }));
        most.extend(most_fractional(of_kinds, |kind, from| Count::Kind { kind, bolt: None, from }));
        most.extend(most_fractional(of_kinds_on_bolts, |(bolt, kind), from| Count::Kind {
            kind,
            bolt: Some(bolt),
            from,
        }));
        most.extend(most_fractional(of_placements, |(bolt, placement), from| Count::Laid {
            placement,
            bolt: Some(bolt),
            from,
        }));
        most
    }

    /// The plan that these whole counts make, if the pieces of every height fit into its levels; else where they are
    /// not known to: the bolt and the height.
    pub(super) fn plan(&self, master: &Master<'_, '_>) -> Result<Layout, (usize, usize)> {
        let mut layout = Layout::default();
        for (&(bolt, height), &levels) in &self.levels {
            let pieces = self.laid(bolt, height);
            let sure: Vec<_> = self.contents[&(bolt, height)]
                .iter()
                .map(|(content, times)| (content.clone(), (times + FRACTIONAL) as i64))
                .filter(|(_, times)| *times > 0)
                .collect();
            let room = room(master.model, bolt, height);
            let contents = fit(master.model, room, (levels + 0.5) as i64, &pieces, &sure).ok_or((bolt, height))?;
            layout.levels.extend(contents.into_iter().map(|(content, times)| (Level { bolt, content }, times)));
        }
        Ok(layout)
    }

    /// Whole counts of the pieces laid in levels of a height, by placement.
    fn laid(&self, bolt: usize, height: usize) -> Stack {
        let at = (bolt, height, 0)..(bolt, height + 1, 0);
        self.pieces.range(at).map(|(&(.., p), &copies)| (p, (copies + 0.5) as i64)).filter(|laid| laid.1 > 0).collect()
    }

    /// Where the pieces of a height are proven not to fit into its levels, what every plan has of it: more levels, or
    /// fewer of some piece. Each is a set of rows, and no plan obeys two of them.
    pub(super) fn ways_out(&self, model: &Model, (bolt, height): (usize, usize)) -> Option<Vec<Vec<Row>>> {
        let levels = (self.levels.get(&(bolt, height))? + 0.5) as i64;
        let laid = self.laid(bolt, height);
        if !never_fit(model, room(model, bolt, height), levels, &laid) {
            return None;
        }
        let count = Count::LevelsAt { bolt, height };
        let mut ways = vec![vec![Row { count, at_least: true, rhs: levels + 1 }]];
        let mut held = vec![Row { count, at_least: false, rhs: levels }];
        for (placement, copies) in laid {
            let count = Count::LaidAt { placement, bolt, height };
            let mut way = held.clone();
            way.push(Row { count, at_least: false, rhs: copies - 1 });
            ways.push(way);
            held.push(Row { count, at_least: true, rhs: copies });
        }
        Some(ways)
    }
}

fn room(model: &Model, bolt: usize, height: usize) -> Room {
    Room { width: model.bolts[bolt].width, height: model.heights[height] }
}

/// Sums from the highest level down, by key, and picks the sums farthest from a whole number.
fn most_fractional<K: Ord + Copy>(
    entries: impl Iterator<Item = (K, usize, f64)>,
    count: impl Fn(K, usize) -> Count,
) -> Vec<(Count, f64)> {
    let mut by_key: BTreeMap<K, BTreeMap<usize, f64>> = BTreeMap::new();
    for (key, height, value) in entries {
        *by_key.entry(key).or_default().entry(height).or_default() += value;
    }
    let mut found: Vec<(f64, Count, f64)> = Vec::new();
    for (key, by_height) in by_key {
        let mut sum = 0.0;
        for (height, value) in by_height.into_iter().rev() {
            sum += value;
            let far = (sum - f64::round(sum)).abs();
            if far > FRACTIONAL {
                found.push((far, count(key, height), sum));
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().take(MOST_OF_A_KIND).map(|(_, count, sum)| (count, sum)).collect()
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

#[cfg(test)]
mod tests {
    use super::super::fit::tests::problem;
    use super::*;

    /// Two of 25 across and one of 31 in one level of 60: every other plan has more levels, or fewer of one of them.
    #[test]
    fn the_ways_out_are_all_plans_but_those_that_cannot_be_each_once() {
        let model = Model::new(&problem(&[(20, 25, 2), (20, 31, 1)], 60)).unwrap();
        let [narrow, wide] = [25, 31].map(|across| {
            let wanted = crate::measure::Length::from_inches(across).nm();
            model.placements.iter().position(|placement| placement.across == wanted).unwrap()
        });
        let counts = Counts {
            levels: BTreeMap::from([((0, 0), 1.0)]),
            pieces: BTreeMap::from([((0, 0, narrow), 2.0), ((0, 0, wide), 1.0)]),
            contents: BTreeMap::new(),
        };
        let ways = counts.ways_out(&model, (0, 0)).unwrap();
        for (levels, narrows, wides) in itertools::iproduct!(0..4, 0..5, 0..4) {
            let count = |count: Count| match count {
                Count::LevelsAt { bolt: 0, height: 0 } => levels,
                Count::LaidAt { placement, bolt: 0, height: 0 } if placement == narrow => narrows,
                Count::LaidAt { placement, bolt: 0, height: 0 } if placement == wide => wides,
                other => panic!("{other:?}"),
            };
            let holds =
                |row: &Row| if row.at_least { count(row.count) >= row.rhs } else { count(row.count) <= row.rhs };
            let obeyed = ways.iter().filter(|way| way.iter().all(holds)).count();
            let never = levels <= 1 && narrows >= 2 && wides >= 1;
            assert_eq!(obeyed, usize::from(!never), "{levels} {narrows} {wides}");
        }
        let fits = Counts { levels: BTreeMap::from([((0, 0), 2.0)]), ..counts };
        assert_eq!(fits.ways_out(&model, (0, 0)), None);
    }
}
