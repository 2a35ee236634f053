//! The rows of rounding cuts: found, put to use, set aside; dropped with those of counts no longer branched on.

use std::rc::Rc;

use super::rounded::{Name, Rounded, Side};
use super::{Bounds, Count, Lists, Master};
use crate::packing::simplex::Rest;

/// A rounding cut with a row of its own.
pub(super) struct Row {
    pub(super) sum: Rc<Rounded>,
    pub(super) row: usize,
    /// The column of what it lacks.
    lacks: usize,
    /// False for one that does not hold here.
    holds: bool,
}

/// Which cuts to look for.
pub(in super::super) struct Look<'a> {
    /// So many at most.
    pub(in super::super) most: usize,
    /// The cosine between any two is below this: cuts that say nearly the same are one row too many.
    pub(in super::super) alike: f64,
    /// Cuts made before that hold here.
    pub(in super::super) pool: &'a [Rc<Rounded>],
    /// Says which counts branches have narrowed. With it every line also gives a cut that rests on no branch, and
    /// so holds beyond this node.
    pub(in super::super) narrowed: Option<&'a dyn Fn(Count) -> bool>,
}

/// A cut that a point is beyond.
struct Missed {
    distance: f64,
    /// Its coefficients of the columns that the point uses, of length 1.
    direction: Vec<f64>,
    cut: Rc<Rounded>,
}

impl Missed {
    fn cosine(&self, other: &Self) -> f64 {
        self.direction.iter().zip(&other.direction).map(|(a, b)| a * b).sum()
    }
}

/// A cut must be missed by so much.
const LEAST_MISS: f64 = 1e-2;
/// Figures this close to whole numbers are not worth a cut.
const LEAST_PART: f64 = 1e-4;
/// What the row of a cut says that does not hold: nothing.
const IDLE: f64 = -1e4;
/// A row counts for a line from this multiplier on.
const LEAST_MULTIPLIER: f64 = 1e-6;
/// Rows that bind nothing and may stay.
const MOST_IDLE: usize = 24;

/// Work of one multiplier and of one coefficient's figure.
const MULTIPLIER_WORK: u64 = 10;
const FIGURE_WORK: u64 = 3;

impl Master<'_, '_, '_> {
    /// Cuts that the present point misses, the farthest from it first.
    pub(in super::super) fn missed(&mut self, look: &Look<'_>) -> Vec<Rc<Rounded>> {
        let used: Vec<(usize, f64)> =
            (0..self.columns.len()).map(|col| (col, self.simplex.value(col))).filter(|used| used.1 > 1e-9).collect();
        let holds = |cut: &Rc<Rounded>| self.rounded.iter().any(|known| known.holds && Rc::ptr_eq(&known.sum, cut));
        let known = look.pool.iter().filter(|cut| !holds(cut)).cloned();
        let (derived, mut work) = self.derived(look);
        let mut missed: Vec<Missed> = Vec::new();
        for cut in known.chain(derived) {
            work += FIGURE_WORK * cut.work() * used.len() as u64;
            missed.extend(self.miss(cut, &used));
        }
        self.priced += work;
        missed.sort_by(|a, b| b.distance.total_cmp(&a.distance).then_with(|| a.cut.cmp(&b.cut)));
        missed.dedup_by(|a, b| a.cut == b.cut);
        let mut chosen: Vec<Missed> = Vec::new();
        for next in missed {
            if chosen.len() < look.most && chosen.iter().all(|one| one.cosine(&next) < look.alike) {
                chosen.push(next);
            }
        }
        chosen.into_iter().map(|missed| missed.cut).collect()
    }

    /// The cuts of the lines whose variables are fractional, and the work of making them.
    fn derived(&self, look: &Look<'_>) -> (Vec<Rc<Rounded>>, u64) {
        let all = self.sides();
        let all: Vec<&Side> = all.iter().collect();
        let (branched, general): (Vec<&Side>, Vec<&Side>) =
            all.iter().partition(|side| look.narrowed.is_some_and(|narrowed| side.rests_on_branch(narrowed)));
        let lines = self.simplex.fractional_lines(LEAST_PART);
        let mut cuts = Vec::new();
        for (line, turned) in lines.iter().flat_map(|line| [(line, false), (line, true)]) {
            let how = (turned, self.parts.len());
            if branched.iter().any(|side| line[side.row].abs() > LEAST_MULTIPLIER) {
                cuts.extend(Rounded::new(&general, line, how));
            }
            cuts.extend(Rounded::new(&all, line, how));
        }
        (cuts.into_iter().map(Rc::new).collect(), MULTIPLIER_WORK * (2 * lines.len() * all.len()) as u64)
    }

    /// How far the present point, given by the columns it uses, is beyond a cut; `None` where it is not.
    fn miss(&self, cut: Rc<Rounded>, used: &[(usize, f64)]) -> Option<Missed> {
        let mut direction: Vec<f64> =
            used.iter().map(|&(col, _)| cut.scaled(self.pricer.model, &self.columns[col])).collect();
        let left: f64 = direction.iter().zip(used).map(|(times, &(_, value))| times * value).sum();
        let length = direction.iter().map(|times| times * times).sum::<f64>().sqrt();
        let miss = cut.scaled_least() - left;
        (miss > LEAST_MISS && length > 0.0).then(|| {
            direction.iter_mut().for_each(|times| *times /= length);
            Missed { distance: miss / length, direction, cut }
        })
    }

    /// The rows that rest on a bound.
    fn sides(&self) -> Vec<Side> {
        let needs = self.parts.iter().enumerate().map(|(part, &row)| (row, Name::Need(part)));
        let links = self.links.iter().map(|(&key, &row)| (row, Name::Link(key)));
        let counts = self.counts.iter().map(|(&count, &row)| (row, Name::Count(count)));
        let cuts = self.rounded.iter().filter(|known| known.holds);
        let cuts = cuts.map(|known| (known.row, Name::Rounded(Rc::clone(&known.sum))));
        let side = |(row, name): (usize, Name)| {
            let rest = self.simplex.rest(row)?;
            let bound = match &name {
                Name::Need(part) => i64::from(self.need[*part]),
                Name::Link(_) => 0,
                Name::Rounded(cut) => cut.least(),
                Name::Count(count) => {
                    let (low, high) = self.bounds_of(*count);
                    i64::from(if rest == Rest::Upper { high } else { low })
                }
            };
            Some(Side { row, rest, bound, name })
        };
        needs.chain(links).chain(counts).chain(cuts).filter_map(side).collect()
    }

    /// Keeps to these cuts and no others. They must hold within the bounds to come, and a bound is proven with
    /// them only where columns are listed (`keep_to`): no knapsack knows what they are worth.
    pub(in super::super) fn obey(&mut self, cuts: &[Rc<Rounded>]) {
        for known in &mut self.rounded {
            known.holds = cuts.iter().any(|cut| Rc::ptr_eq(cut, &known.sum));
        }
        for cut in cuts {
            if !self.rounded.iter().any(|known| Rc::ptr_eq(cut, &known.sum)) {
                self.take_up(cut);
            }
        }
        for known in &self.rounded {
            let least = if known.holds { known.sum.scaled_least() } else { IDLE };
            self.simplex.bound_row(known.row, least, f64::INFINITY);
        }
    }

    fn take_up(&mut self, cut: &Rc<Rounded>) {
        let model = self.pricer.model;
        self.priced += FIGURE_WORK * self.columns.len() as u64 * cut.work();
        let entries: Vec<(usize, f64)> = (0..self.columns.len())
            .map(|col| (col, cut.scaled(model, &self.columns[col])))
            .filter(|(_, times)| times.abs() > 0.0)
            .collect();
        let row = self.simplex.row(IDLE, f64::INFINITY, &entries);
        let lacks = self.lacking(row);
        self.rounded.push(Row { sum: Rc::clone(cut), row, lacks, holds: true });
    }

    /// What the cuts that hold may add to the worth of a listed column, at most.
    pub(super) fn heaviest(&self, lists: &Lists) -> f64 {
        let holding = self.rounded.iter().filter(|known| known.holds);
        holding.map(|known| self.dual_of(known).abs() * lists.largest(self.pricer.model, &known.sum) as f64).sum()
    }

    /// Dual of a cut, its coefficients whole.
    fn dual_of(&self, known: &Row) -> f64 {
        self.simplex.dual(known.row) / known.sum.scale()
    }

    /// Cuts that hold and are worth something, in micro-cents.
    pub(in super::super) fn rounded_duals(&self) -> Vec<(Rc<Rounded>, i64)> {
        let duals = self
            .rounded
            .iter()
            .filter(|known| known.holds)
            .map(|known| (&known.sum, self.in_micro(self.dual_of(known))));
        duals.filter(|dual| dual.1 > 0).map(|(cut, dual)| (Rc::clone(cut), dual)).collect()
    }

    /// Drops the rows of cuts that do not hold and of counts without bounds here, as far as they bind nothing
    /// and once there are many: every row makes all pivots slower.
    pub(in super::super) fn tidy(&mut self, bounds: &Bounds) {
        let idle = |row: usize| self.simplex.rest(row).is_none();
        let cuts = self.rounded.iter().filter(|known| !known.holds && idle(known.row));
        let mut gone: Vec<(usize, usize)> = cuts.map(|known| (known.row, known.lacks)).collect();
        let branched = |count: &Count| !matches!(count, Count::Boards | Count::Kind(_)) && !bounds.contains_key(count);
        let counts: Vec<Count> =
            self.counts.iter().filter(|&(count, &row)| branched(count) && idle(row)).map(|(&count, _)| count).collect();
        if gone.len() + counts.len() < MOST_IDLE {
            return;
        }
        for count in counts {
            gone.extend(self.counts.remove(&count).zip(self.lacks.remove(&count)));
        }
        for &(_, lacks) in &gone {
            self.simplex.bound_col(lacks, 0.0, 0.0);
            self.spare.push(lacks);
        }
        let rows: Vec<usize> = gone.into_iter().map(|(row, _)| row).collect();
        self.rounded.retain(|known| !rows.contains(&known.row));
        let moved = self.simplex.drop_rows(&rows);
        let rows = self.parts.iter_mut().chain(self.links.values_mut()).chain(self.counts.values_mut());
        for row in rows.chain(self.rounded.iter_mut().map(|known| &mut known.row)) {
            *row = moved[*row];
        }
    }
}
