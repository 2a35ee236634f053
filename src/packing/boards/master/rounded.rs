//! Rounding cuts: sums of rows that whole solutions obey beyond what the linear program does.
//!
//! A sum of rows, each times a multiplier of the sign that its bound allows, holds for all solutions, and as
//! everything is whole its right side may be rounded up. A coefficient is rounded down then, with what that leaves
//! counted as a part of what the right side left, all of it at most (Gomory, "An algorithm for the mixed integer
//! problem", 1960; Nemhauser and Wolsey, "A recursive procedure to generate all cuts for 0-1 mixed integer
//! programs", 1990, from memory): no coefficient is larger than it would be rounded up. The multipliers come from
//! lines of the inverse, and only such are taken as are parts of a small denominator: the sum is then one of whole
//! numbers, and holds whatever the program's accuracy.
//!
//! A branch on a single column is a row of the same kind: no knapsack knows what it is worth, the lists do.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Column, Count, Key};
use crate::packing::boards::model::{Hold, Mode, Model};
use crate::packing::boards::pricing::Rips;
use crate::packing::simplex::Rest;

/// A sum of rows in whole parts, divided and rounded.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct Rounded {
    /// Multipliers of the needs by part, of the links, of the counts and of other such sums.
    needs: Vec<i64>,
    links: BTreeMap<Key, i64>,
    counts: Vec<(Count, i64)>,
    inner: Vec<(Rc<Rounded>, i64)>,
    /// For a branch: the column, used so often at least (1) or at most (-1).
    only: Option<(Column, i64)>,
    /// What all of it is divided by: the denominator of the multipliers.
    divisor: i64,
    /// What the right side left when it was divided. All coefficients are so many times as large, to be whole.
    left: i64,
    /// 0 for a branch, 1 for a sum of rows and branches, else one more than the highest within it.
    rank: u32,
    /// The left side is at least this.
    least: i64,
}

/// Largest denominator of multipliers: sums of finer parts cut off little.
const MOST_PARTS: i64 = 300;
/// A multiplier this close to a part counts as it.
const NEARLY: f64 = 1e-6;
/// Sums of rows are rank 1, sums with those among them rank 2. Higher ranks cut off more and take longer
/// to work out than that saves.
const MOST_RANK: u32 = 2;

/// A row that rests on one of its bounds.
pub(super) struct Side {
    pub(super) row: usize,
    pub(super) rest: Rest,
    pub(super) bound: i64,
    pub(super) name: Name,
}

impl Side {
    /// True for a row that holds in this branch only: of a count that is narrowed, or of a sum that rests on one.
    pub(super) fn rests_on_branch(&self, narrowed: &dyn Fn(Count) -> bool) -> bool {
        match &self.name {
            Name::Need(_) | Name::Link(_) => false,
            Name::Count(count) => narrowed(*count),
            Name::Rounded(sum) => sum.rests_on_branch(narrowed),
        }
    }
}

/// Which row it is.
pub(super) enum Name {
    Need(usize),
    Link(Key),
    Count(Count),
    Rounded(Rc<Rounded>),
}

impl Rounded {
    /// The branch to plans that use a column at least so often, of a job of so many parts.
    pub(in super::super) fn at_least(column: Column, times: i64, parts: usize) -> Self {
        Self::only((column, 1), times, parts)
    }

    /// The branch to plans that use it at most so often.
    pub(in super::super) fn at_most(column: Column, times: i64, parts: usize) -> Self {
        Self::only((column, -1), -times, parts)
    }

    fn only(only: (Column, i64), least: i64, parts: usize) -> Self {
        let only = Some(only);
        let (links, counts, inner) = (BTreeMap::new(), Vec::new(), Vec::new());
        Self { needs: vec![0; parts], links, counts, inner, only, divisor: 1, left: 1, rank: 0, least }
    }

    /// The column it is a branch on, and how often that may be used.
    pub(in super::super) fn branch(&self) -> Option<(&Column, (i64, i64))> {
        let (column, sign) = self.only.as_ref()?;
        Some((column, if *sign > 0 { (self.least, i64::MAX) } else { (0, -self.least) }))
    }

    /// True for branches to the same side of the same column: the later one holds.
    pub(in super::super) fn is_followed_by(&self, later: &Self) -> bool {
        self.only.is_some() && self.only == later.only
    }

    /// The rounded sum of the rows at the fractional parts of a line of the inverse, or of the same line
    /// upside down; `None` where that says nothing new.
    pub(super) fn new(sides: &[&Side], line: &[f64], (turned, parts): (bool, usize)) -> Option<Self> {
        let multipliers: Vec<f64> = sides
            .iter()
            .map(|side| {
                let value = if turned { -line[side.row] } else { line[side.row] };
                match side.rest {
                    // Most are nought, which is soon seen.
                    _ if value.abs() < NEARLY || (value - value.round()).abs() < NEARLY => 0.0,
                    // Not more than the row's activity: the multiplier must not be above nought.
                    Rest::Upper => value - value.ceil(),
                    Rest::Lower | Rest::Fixed => value - value.floor(),
                }
            })
            .collect();
        let divisor = denominator(&multipliers)?;
        let mut sum = Self {
            needs: vec![0; parts],
            links: BTreeMap::new(),
            counts: Vec::new(),
            inner: Vec::new(),
            only: None,
            divisor,
            left: 1,
            rank: 1,
            least: 0,
        };
        let mut right = 0;
        for (side, value) in sides.iter().zip(&multipliers) {
            let times = (value * divisor as f64).round() as i64;
            if times == 0 {
                continue;
            }
            right += times * side.bound;
            match &side.name {
                &Name::Need(part) => sum.needs[part] = times,
                &Name::Link(key) => {
                    sum.links.insert(key, times);
                }
                &Name::Count(count) => sum.counts.push((count, times)),
                // Its row is scaled in the program, and so is what stands for it in the line; any multiplier does.
                Name::Rounded(inner) => {
                    sum.rank = sum.rank.max(inner.rank + 1);
                    sum.inner.push((Rc::clone(inner), times));
                }
            }
        }
        sum.left = right.rem_euclid(divisor);
        sum.least = sum.left * ceil_div(right, divisor);
        (sum.left > 0 && sum.rank <= MOST_RANK).then_some(sum)
    }

    /// True when it, or a sum within it, rests on a branch: on a single column, or on bounds of one of these counts.
    pub(in super::super) fn rests_on_branch(&self, narrowed: &dyn Fn(Count) -> bool) -> bool {
        self.only.is_some()
            || self.counts.iter().any(|&(count, _)| narrowed(count))
            || self.inner.iter().any(|(inner, _)| inner.rests_on_branch(narrowed))
    }

    /// The left side is at least this.
    pub(in super::super) fn least(&self) -> i64 {
        self.least
    }

    /// What it is divided by in the linear program, for coefficients about as large as those of other rows.
    pub(super) fn scale(&self) -> f64 {
        self.left as f64
    }

    /// The left side in the linear program is at least this.
    pub(super) fn scaled_least(&self) -> f64 {
        self.least as f64 / self.scale()
    }

    /// Coefficient of a column in the linear program.
    pub(super) fn scaled(&self, model: &Model, column: &Column) -> f64 {
        self.of(model, column) as f64 / self.scale()
    }

    /// The sums within it, each with its multiplier.
    pub(in super::super) fn inner(&self) -> &[(Rc<Rounded>, i64)] {
        &self.inner
    }

    /// Figures looked at for one coefficient, about.
    pub(in super::super) fn work(&self) -> u64 {
        self.own_work() + self.inner.iter().map(|(inner, _)| inner.work()).sum::<u64>()
    }

    /// The same where the coefficients of the sums within it are known.
    pub(in super::super) fn own_work(&self) -> u64 {
        (6 + 2 * self.counts.len() + self.inner.len()) as u64
    }

    /// Coefficient of a column.
    pub(super) fn of(&self, model: &Model, column: &Column) -> i64 {
        let inner = self.inner.iter().map(|(inner, times)| times * inner.of(model, column)).sum();
        match column {
            Column::Missing => 0,
            Column::Rips(rips) => self.of_rips(model, rips, inner),
            Column::Cut(mode, spans) => self.of_cut(*mode, spans, inner),
        }
    }

    /// Coefficient of a filling in which the sums within this one come to `inner`.
    pub(in super::super) fn of_rips(&self, model: &Model, rips: &Rips, inner: i64) -> i64 {
        if let Some((column, sign)) = &self.only {
            return if matches!(column, Column::Rips(only) if only == rips) { *sign } else { 0 };
        }
        let leaves = model.leaves(rips.layout, rips.class, rips.group);
        let need = |&(hold, count): &(Hold, u32)| {
            let (part, units) = model.units(hold, leaves);
            self.needs[part] * i64::from(units * count)
        };
        let needs: i64 = rips.rips.iter().map(need).sum();
        let link = self.links.get(&(rips.layout, rips.class, rips.span)).copied().unwrap_or(0);
        let counts = self.counts.iter().map(|(count, times)| times * i64::from(count.of_rips(model, rips)));
        self.round(needs - link + counts.sum::<i64>() + inner)
    }

    /// The same of a board cut into spans.
    pub(in super::super) fn of_cut(&self, mode: Mode, spans: &[(usize, u32)], inner: i64) -> i64 {
        if let Some((column, sign)) = &self.only {
            return if matches!(column, Column::Cut(at, only) if *at == mode && only == spans) { *sign } else { 0 };
        }
        let link = |span: usize| self.links.get(&(mode.layout, mode.class, span)).copied().unwrap_or(0);
        let links: i64 = spans.iter().map(|&(span, n)| link(span) * i64::from(n)).sum();
        let counts = self.counts.iter().map(|(count, times)| times * i64::from(count.of_cut(mode, spans)));
        self.round(links + counts.sum::<i64>() + inner)
    }

    fn round(&self, sum: i64) -> i64 {
        round(sum, self.divisor, self.left)
    }
}

/// A coefficient of so many parts, rounded where the right side left so many.
fn round(sum: i64, divisor: i64, left: i64) -> i64 {
    left * sum.div_euclid(divisor) + sum.rem_euclid(divisor).min(left)
}

/// `a / b` rounded up, for `b > 0`.
fn ceil_div(a: i64, b: i64) -> i64 {
    -(-a).div_euclid(b)
}

/// The least number that makes all figures whole; `None` where it is large.
fn denominator(figures: &[f64]) -> Option<i64> {
    let mut parts = 1;
    for &value in figures {
        let scaled = value * parts as f64;
        if (scaled - scaled.round()).abs() > NEARLY * parts as f64 {
            parts *= of_one(scaled - scaled.floor())?;
            if parts > MOST_PARTS {
                return None;
            }
        }
    }
    Some(parts)
}

/// The same of one figure between 0 and 1, by its continued fraction.
fn of_one(value: f64) -> Option<i64> {
    let (mut rest, mut before, mut now) = (value, 0, 1);
    while (value * now as f64 - (value * now as f64).round()).abs() > NEARLY * now as f64 {
        rest = 1.0 / (rest - rest.floor());
        if rest > MOST_PARTS as f64 {
            return None;
        }
        (before, now) = (now, rest.floor() as i64 * now + before);
        if now > MOST_PARTS {
            return None;
        }
    }
    Some(now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn denominators_of_parts() {
        assert_eq!(denominator(&[0.0, 0.5, 2.0 / 3.0, -0.25]), Some(12));
        assert_eq!(denominator(&[0.0, 1.0 / 7.0]), Some(7));
        assert_eq!(denominator(&[]), Some(1));
        assert_eq!(denominator(&[1.0 / 89.0, 1.0 / 97.0]), None);
    }

    /// 7/3 a + 4/3 b - 2/3 c >= 8/3 leaves 2/3: 2 + 1/3 is 2-1/2 then, 1 + 1/3 is 1-1/2, -1 + 1/3 is -1/2.
    #[test]
    fn what_is_left_counts_against_what_the_right_side_left() {
        assert_eq!([7, 4, -2, 6, 5].map(|sum| round(sum, 3, 2)), [5, 3, -1, 4, 4]);
        assert_eq!([7, 4, -2, 6, 5].map(|sum| round(sum, 3, 1)), [3, 2, 0, 2, 2]);
    }

    proptest! {
        #[test]
        fn a_part_is_told_from_its_figure(below in 1..=MOST_PARTS, above in 0..MOST_PARTS) {
            let value = above.min(below - 1) as f64 / below as f64;
            let found = denominator(&[value]).unwrap();
            prop_assert_eq!(below % found, 0);
            prop_assert!((value * found as f64 - (value * found as f64).round()).abs() < 1e-3);
        }

        #[test]
        fn whole_figures_obey_the_rounded_sum(
            terms in prop::collection::vec((-40i64..40, 0i64..6), 1..6),
            divisor in 2i64..20,
            over in 0i64..5,
        ) {
            let right = terms.iter().map(|(sum, times)| sum * times).sum::<i64>() - over;
            let left = right.rem_euclid(divisor);
            let rounded: i64 = terms.iter().map(|(sum, times)| round(*sum, divisor, left) * times).sum();
            prop_assert!(rounded >= left * ceil_div(right, divisor));
        }
    }
}
