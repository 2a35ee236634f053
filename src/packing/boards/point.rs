//! Where the linear program stands, in counts, and which of them to branch on.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::dive::WHOLE;
use super::master::{Column, Count, Master};
use super::model::Mode;

/// Rank of the kinds of boards among the counts to branch on, and how many of them to choose from.
const KINDS: usize = 1;
const SOME_KINDS: usize = 3;
/// Rank of the spans among the counts to branch on: the ranks before it are about boards alone.
const SPANS: usize = 3;
/// Counts of each rank to choose from where the boards are given.
const SOME_COUNTS: usize = 3;

/// Counts at the present point.
pub(super) struct Point {
    boards: f64,
    kinds: Vec<f64>,
    /// Boards per mode.
    pub(super) modes: BTreeMap<Mode, f64>,
    /// `[layout][class][span]`.
    pub(super) spans: Vec<Vec<Vec<f64>>>,
    /// `[layout][group][span]`.
    filled: Vec<Vec<Vec<f64>>>,
    /// `[layout][fill * parts + part][span]`.
    pub(super) rips: Vec<Vec<Vec<f64>>>,
    pub(super) parts: usize,
    /// Rips per variant.
    pub(super) variants: Vec<f64>,
}

impl Point {
    pub(super) fn read(master: &Master<'_, '_, '_>) -> Self {
        let model = master.pricer.model;
        let mut point = Self {
            boards: 0.0,
            kinds: vec![0.0; model.kinds.len()],
            modes: model.modes.iter().map(|&mode| (mode, 0.0)).collect(),
            spans: model.layouts.iter().map(|l| vec![vec![0.0; l.spans.len()]; l.classes.len()]).collect(),
            filled: model.layouts.iter().map(|l| vec![vec![0.0; l.spans.len()]; model.groups.len()]).collect(),
            rips: model
                .layouts
                .iter()
                .map(|l| vec![vec![0.0; l.spans.len()]; l.fills.len() * model.parts.len()])
                .collect(),
            parts: model.parts.len(),
            variants: vec![0.0; model.variants.len()],
        };
        for (col, column) in master.columns.iter().enumerate() {
            let value = master.simplex.value(col);
            if value <= 1e-9 {
                continue;
            }
            match column {
                Column::Missing => {}
                Column::Cut(mode, spans) => {
                    point.boards += value;
                    point.kinds[mode.kind] += value;
                    *point.modes.entry(*mode).or_default() += value;
                    for &(span, count) in spans {
                        point.spans[mode.layout][mode.class][span] += value * f64::from(count);
                    }
                }
                Column::Rips(rips) => {
                    point.filled[rips.layout][rips.group][rips.span] += value;
                    let fill = model.layouts[rips.layout].fill(rips.class, rips.group).unwrap_or(0);
                    for &(hold, count) in &rips.rips {
                        let row = fill * model.parts.len() + model.variants[hold.variant].part;
                        point.rips[rips.layout][row][rips.span] += value * f64::from(count);
                        point.variants[hold.variant] += value * f64::from(count);
                    }
                }
            }
        }
        point
    }

    /// Value of a count.
    pub(super) fn value(&self, count: Count) -> f64 {
        let from_on = |spans: &Vec<f64>, from: usize| spans.iter().skip(from).sum::<f64>();
        match count {
            Count::Boards => self.boards,
            Count::Kind(kind) => self.kinds[kind],
            Count::Mode(mode) => self.modes[&mode],
            Count::Spans { layout, class: Some(class), from } => from_on(&self.spans[layout][class], from),
            Count::Spans { layout, class: None, from } => {
                self.spans[layout].iter().map(|spans| from_on(spans, from)).sum()
            }
            Count::Filled { layout, group, from } => from_on(&self.filled[layout][group], from),
            Count::Rips { layout, fill, part, from } => from_on(&self.rips[layout][fill * self.parts + part], from),
        }
    }

    /// Whether boards of every kind are used a whole number of times.
    pub(super) fn kinds_are_whole(&self) -> bool {
        self.kinds.iter().all(|&n| fraction(n) <= WHOLE)
    }

    /// The same of the kinds that cost something: of the others there is no reason to leave one out.
    pub(super) fn paid_are_whole(&self, master: &Master<'_, '_, '_>) -> bool {
        let kinds = &master.pricer.model.kinds;
        self.kinds.iter().zip(kinds).all(|(&n, kind)| kind.cost == 0 || fraction(n) <= WHOLE)
    }

    /// Parts that are milled two ways, those with most rips of the rarer one first.
    pub(super) fn mixed(&self, master: &Master<'_, '_, '_>) -> Vec<usize> {
        let model = master.pricer.model;
        let rarer = |part: usize| {
            let mut used: Vec<f64> = (0..model.variants.len())
                .filter(|&v| model.variants[v].part == part)
                .map(|v| self.variants[v])
                .collect();
            used.sort_by(|a, b| b.total_cmp(a));
            used.get(1).copied().unwrap_or(0.0)
        };
        let mut mixed: Vec<(usize, f64)> =
            (0..model.parts.len()).map(|part| (part, rarer(part))).filter(|(_, rips)| *rips > 1e-7).collect();
        // Rounded, so that equal ones stay in their order.
        mixed.sort_by_key(|&(_, rips)| Reverse((rips * 1e6).round() as i64));
        mixed.into_iter().map(|(part, _)| part).collect()
    }

    /// Bans all millings but the one that the point uses most, for each part that it uses.
    pub(super) fn most_used(&self, master: &Master<'_, '_, '_>, banned: &[bool]) -> Vec<bool> {
        let variants = &master.pricer.model.variants;
        let beats =
            |a: usize, b: usize| self.variants[a] > self.variants[b] || self.variants[a] >= self.variants[b] && a < b;
        let used = |v: usize| self.variants[v] > 1e-7;
        let other = |v: usize| {
            (0..variants.len()).any(|w| w != v && variants[w].part == variants[v].part && used(w) && beats(w, v))
        };
        (0..variants.len()).map(|v| banned[v] || other(v)).collect()
    }

    /// Counts to branch on with their values, `within` their bounds at the node: the most fractional
    /// of the first rank that has any. Where the boards are given, some of every rank that is not about
    /// boards alone.
    pub(super) fn candidates(&self, within: impl Fn(Count, f64) -> bool, given: bool) -> Vec<(Count, f64)> {
        let layouts = || 0..self.spans.len();
        let boards = vec![(Count::Boards, self.boards)];
        let kinds = self.kinds.iter().enumerate().map(|(kind, &n)| (Count::Kind(kind), n)).collect();
        let modes = self.modes.iter().map(|(&mode, &n)| (Count::Mode(mode), n)).collect();
        let spans = layouts().flat_map(|layout| {
            let classes = &self.spans[layout];
            let spans = classes.first().map_or(0, Vec::len);
            let all = (0..spans).map(|span| classes.iter().map(|class| class[span]).sum()).collect();
            from_each(all, move |from| Count::Spans { layout, class: None, from })
        });
        let by_class = layouts().flat_map(|layout| {
            each(&self.spans[layout], move |class, from| Count::Spans { layout, class: Some(class), from })
        });
        let filled = layouts()
            .flat_map(|layout| each(&self.filled[layout], move |group, from| Count::Filled { layout, group, from }));
        let rips = layouts().flat_map(|layout| {
            each(&self.rips[layout], move |row, from| {
                let (fill, part) = (row / self.parts, row % self.parts);
                Count::Rips { layout, fill, part, from }
            })
        });
        let ranks: [Vec<(Count, f64)>; 7] =
            [boards, kinds, modes, spans.collect(), by_class.collect(), filled.collect(), rips.collect()];
        let mut found = Vec::new();
        for (rank, counts) in ranks.into_iter().enumerate() {
            if given && rank < SPANS {
                continue;
            }
            if !found.is_empty() && !given {
                break;
            }
            let open = |&(count, value): &(Count, f64)| fraction(value) > WHOLE && within(count, value);
            let mut counts: Vec<(Count, f64)> = counts.into_iter().filter(open).collect();
            // Rounded, so that equal fractions stay in their order.
            counts.sort_by_key(|&(_, value)| Reverse((fraction(value) * 1e7).round() as i64));
            let most = match rank {
                KINDS => SOME_KINDS,
                _ if given => SOME_COUNTS,
                _ => 1,
            };
            found.extend(counts.into_iter().take(most));
        }
        found
    }
}

/// Sums from each span to the longest, one row after another.
fn each(rows: &[Vec<f64>], count: impl Fn(usize, usize) -> Count + Copy) -> Vec<(Count, f64)> {
    rows.iter().enumerate().flat_map(|(row, spans)| from_each(spans.clone(), move |from| count(row, from))).collect()
}

/// Bans for each milling that a part has left, all others of that part banned.
pub(super) fn keep_one(master: &Master<'_, '_, '_>, part: usize, banned: &[bool]) -> Vec<Vec<bool>> {
    let variants = &master.pricer.model.variants;
    let of_part = |v: &usize| variants[*v].part == part;
    let keep = |only: usize| {
        let mut bans = banned.to_vec();
        (0..variants.len()).filter(of_part).filter(|&v| v != only).for_each(|v| bans[v] = true);
        bans
    };
    (0..variants.len()).filter(of_part).filter(|&v| !banned[v]).map(keep).collect()
}

/// The same for the first part that has a choice left; nothing when none has.
pub(super) fn open_millings(master: &Master<'_, '_, '_>, banned: &[bool]) -> Vec<Vec<bool>> {
    let parts = 0..master.pricer.model.parts.len();
    parts.map(|part| keep_one(master, part, banned)).find(|bans| bans.len() > 1).unwrap_or_default()
}

/// Sums from each span to the longest.
fn from_each(mut values: Vec<f64>, count: impl Fn(usize) -> Count) -> Vec<(Count, f64)> {
    for at in (1..values.len()).rev() {
        values[at - 1] += values[at];
    }
    values.into_iter().enumerate().map(|(from, value)| (count(from), value)).collect()
}

fn fraction(value: f64) -> f64 {
    (value - value.round()).abs()
}
