//! Rounding cuts: what every whole solution obeys and the linear program does not.
//!
//! A sum of rows, each times a multiplier of the sign its bound allows, holds for all solutions. Its
//! coefficients may be rounded up, as no column is used less than nought times, and then its right side
//! too, as everything is whole (Gomory 1958, Chvátal 1973). The multipliers are taken from the lines of
//! the basis that belong to fractional columns, and only where they are parts of a small denominator:
//! so a cut is a thing of whole numbers, and holds whatever the accuracy of the program.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Bounds, Column, Count, Master};
use crate::packing::boards::simplex::Simplex;
use crate::packing::boards::model::{Mode, Model};
use crate::packing::boards::pricing::Rips;
use crate::packing::boards::simplex::Rest;

/// Layout, class and span.
type Key = (usize, usize, usize);

/// A sum of rows in parts of `parts`, rounded up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct Rounded {
    /// By part.
    needs: Vec<i64>,
    links: BTreeMap<Key, i64>,
    counts: Vec<(Count, i64)>,
    cuts: Vec<(Rc<Rounded>, i64)>,
    rank: u32,
    parts: i64,
    /// The left side is at least this.
    pub(in super::super) least: i64,
}

/// Largest denominator of multipliers.
const MOST_PARTS: i64 = 5_000;
/// A multiplier this close to a part counts as it.
const NEARLY: f64 = 1e-6;
/// A cut must be missed by this much.
const LEAST_MISS: f64 = 1e-2;

fn ceil_div(a: i64, b: i64) -> i64 {
    -(-a).div_euclid(b)
}

impl Rounded {
    /// Coefficient of a column.
    pub(in super::super) fn of(&self, model: &Model, column: &Column) -> i64 {
        match column {
            Column::Missing => 0,
            Column::Rips(rips) => self.of_rips(model, rips, &rips.units(model)),
            Column::Cut(mode, spans) => self.of_cut(model, *mode, spans),
        }
    }

    /// Coefficient of a filling that yields so many units.
    pub(in super::super) fn of_rips(&self, model: &Model, rips: &Rips, units: &[(usize, u32)]) -> i64 {
        let cuts = self.cuts.iter().map(|(cut, times)| times * cut.of_rips(model, rips, units)).sum();
        self.of_rips_with(model, rips, units, cuts)
    }

    /// Figures looked at for one coefficient.
    pub(in super::super) fn work(&self) -> u64 {
        let own = 8 + 2 * self.counts.len() + self.cuts.len();
        own as u64 + self.cuts.iter().map(|(cut, _)| cut.work()).sum::<u64>()
    }

    /// The cuts within it, each with its multiplier.
    pub(in super::super) fn inner(&self) -> &[(Rc<Rounded>, i64)] {
        &self.cuts
    }

    /// The same where the cuts within it come to `more`.
    pub(in super::super) fn of_rips_with(&self, model: &Model, rips: &Rips, units: &[(usize, u32)], more: i64) -> i64 {
        let needs: i64 = units.iter().map(|&(part, n)| self.needs[part] * i64::from(n)).sum();
        let link = self.links.get(&(rips.layout, rips.class, rips.span)).copied().unwrap_or(0);
        let counted = self.counts.iter().map(|(count, times)| times * i64::from(count.of_rips(model, rips)));
        ceil_div(needs - link + counted.sum::<i64>() + more, self.parts)
    }

    /// Coefficient of a board cut into spans.
    pub(in super::super) fn of_cut(&self, model: &Model, mode: Mode, spans: &[(usize, u32)]) -> i64 {
        let cuts = self.cuts.iter().map(|(cut, times)| times * cut.of_cut(model, mode, spans)).sum();
        self.of_cut_with(mode, spans, cuts)
    }

    /// The same where the cuts within it come to `more`.
    pub(in super::super) fn of_cut_with(&self, mode: Mode, spans: &[(usize, u32)], more: i64) -> i64 {
        let link = |span: usize| self.links.get(&(mode.layout, mode.class, span)).copied().unwrap_or(0);
        let links: i64 = spans.iter().map(|&(span, n)| link(span) * i64::from(n)).sum();
        let counted = self.counts.iter().map(|(count, times)| times * i64::from(count.of_cut(mode, spans)));
        ceil_div(links + counted.sum::<i64>() + more, self.parts)
    }
}

/// Where a row rests, and what it says there.
struct Side {
    row: usize,
    rest: Rest,
    bound: i64,
    name: Name,
}

enum Name {
    Need(usize),
    Link(Key),
    Count(Count),
    Cut(Rc<Rounded>),
}

impl Master<'_, '_, '_> {
    /// Cuts that the present point does not obey, most missed first.
    pub(in super::super) fn missed(&mut self, most: usize) -> Vec<Rounded> {
        let sides = self.sides();
        let mut found: Vec<(f64, Rounded)> = Vec::new();
        let lines = self.simplex.fractional_lines(1e-4);
        let used: Vec<(usize, f64)> =
            (0..self.columns.len()).map(|col| (col, self.simplex.value(col))).filter(|used| used.1 > 1e-9).collect();
        for line in &lines {
            for sign in [1.0, -1.0] {
                let Some(cut) = round(&sides, line, sign, self.parts.len()) else { continue };
                let (mut left, mut norm) = (0.0, 0.0);
                for &(col, value) in &used {
                    let times = cut.of(self.pricer.model, &self.columns[col]) as f64;
                    left += times * value;
                    norm += times * times;
                }
                let miss = cut.least as f64 - left;
                if miss > LEAST_MISS && norm > 0.0 {
                    found.push((miss / norm.sqrt(), cut));
                }
            }
        }
        let all: u64 = found.iter().map(|(_, cut)| cut.work()).sum();
        self.priced += (lines.len() * 10 * sides.len()) as u64 + 4 * all * used.len() as u64;
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        found.dedup_by(|a, b| a.1 == b.1);
        if std::env::var("DBGC").is_ok() { eprintln!("   fractional {} cuts {} best {:?} parts {:?}", lines.len(), found.len(), found.first().map(|f| f.0), found.iter().take(5).map(|f| f.1.parts).collect::<Vec<_>>()); }
        found.into_iter().take(most).map(|(_, cut)| cut).collect()
    }

    fn sides(&self) -> Vec<Side> {
        let needs = self.parts.iter().enumerate().map(|(part, &row)| (row, Name::Need(part)));
        let links = self.links.iter().map(|(&key, &row)| (row, Name::Link(key)));
        let counts = self.counts.iter().map(|(&count, &row)| (row, Name::Count(count)));
        let cuts = self.cuts.iter().filter(|known| known.holds).map(|known| (known.row, Name::Cut(Rc::clone(&known.cut))));
        let side = |(row, name): (usize, Name)| {
            let rest = self.simplex.rest(row)?;
            let bound = match (&name, rest) {
                (Name::Need(part), Rest::Upper) => return None.or(Some(i64::from(self.need[*part])))
                    .map(|bound| Side { row, rest, bound, name: Name::Need(*part) }),
                (Name::Need(part), _) => i64::from(self.need[*part]),
                (Name::Link(_), _) => 0,
                (Name::Cut(cut), _) => cut.least,
                (Name::Count(count), rest) => {
                    let (low, high) = self.bounds_of(*count);
                    i64::from(if rest == Rest::Upper { high } else { low })
                }
            };
            Some(Side { row, rest, bound, name })
        };
        needs.chain(links).chain(counts).chain(cuts).filter_map(side).collect()
    }

    /// Keeps to these cuts alone.
    pub(in super::super) fn obey(&mut self, cuts: &[Rc<Rounded>]) {
        for known in &mut self.cuts {
            known.holds = cuts.iter().any(|cut| Rc::ptr_eq(cut, &known.cut));
        }
        for cut in cuts {
            if !self.cuts.iter().any(|known| Rc::ptr_eq(cut, &known.cut)) {
                self.take_up(cut);
            }
        }
        for known in &self.cuts {
            let least = if known.holds { known.cut.least as f64 } else { IDLE };
            self.simplex.bound_row(known.row, least, f64::INFINITY);
        }
    }

    fn take_up(&mut self, cut: &Rc<Rounded>) {
        let model = self.pricer.model;
        self.priced += self.columns.len() as u64 * cut.work();
        let entries: Vec<(usize, f64)> = (0..self.columns.len())
            .map(|col| (col, cut.of(model, &self.columns[col]) as f64))
            .filter(|(_, times)| times.abs() > 0.0)
            .collect();
        let row = self.simplex.row(IDLE, f64::INFINITY, &entries);
        let lacks = self.lacking(row);
        self.cuts.push(Row { cut: Rc::clone(cut), row, lacks, holds: true });
    }

    /// Drops the rows of cuts that are not in force and of counts without bounds here, once there are many and
    /// as far as they bind nothing.
    pub(in super::super) fn tidy(&mut self, bounds: &Bounds) {
        let free = |row: usize, simplex: &Simplex| simplex.rest(row).is_none();
        let cuts = self.cuts.iter().filter(|known| !known.holds && free(known.row, &self.simplex));
        let mut gone: Vec<(usize, usize)> = cuts.map(|known| (known.row, known.lacks)).collect();
        let counts: Vec<Count> = self
            .counts
            .iter()
            .filter(|&(count, &row)| {
                !matches!(count, Count::Boards | Count::Kind(_))
                    && !bounds.contains_key(count)
                    && free(row, &self.simplex)
            })
            .map(|(&count, _)| count)
            .collect();
        if gone.len() + counts.len() < MOST_IDLE {
            return;
        }
        for count in counts {
            gone.extend(self.counts.remove(&count).zip(self.lacks.remove(&count)));
        }
        let rows: Vec<usize> = gone.iter().map(|&(row, _)| row).collect();
        self.cuts.retain(|known| !rows.contains(&known.row));
        for (_, lacks) in gone {
            self.simplex.bound_col(lacks, 0.0, 0.0);
            self.spare.push(lacks);
        }
        let new = self.simplex.drop_rows(&rows);
        let rows = self.parts.iter_mut().chain(self.links.values_mut()).chain(self.counts.values_mut());
        for row in rows.chain(self.cuts.iter_mut().map(|known| &mut known.row)) {
            *row = new[*row];
        }
    }

    /// Cuts in force that are worth something, in micro-cents.
    pub(in super::super) fn cut_duals(&self) -> Vec<(Rc<Rounded>, i64)> {
        let duals = self.cuts.iter().filter(|known| known.holds).map(|known| (&known.cut, self.micro(known.row)));
        duals.filter(|dual| dual.1 > 0).map(|(cut, dual)| (Rc::clone(cut), dual)).collect()
    }
}

/// A cut with a row of its own.
pub(super) struct Row {
    pub(super) cut: Rc<Rounded>,
    pub(super) row: usize,
    /// The column of what it lacks.
    lacks: usize,
    /// False for one that is not in force here.
    holds: bool,
}

/// Rows that bind nothing and may stay.
const MOST_IDLE: usize = 24;
/// What a cut says that is not in force: nothing.
const IDLE: f64 = -1e4;

/// The sum of rows with the fractional parts of a line as multipliers.
fn round(sides: &[Side], line: &[f64], sign: f64, parts_wanted: usize) -> Option<Rounded> {
    let mut multipliers = Vec::with_capacity(sides.len());
    for side in sides {
        let value = sign * line[side.row];
        let near = value.round();
        let part = if (value - near).abs() < NEARLY { 0.0 } else if side.rest == Rest::Upper { value - value.ceil() } else { value - value.floor() };
        multipliers.push(part);
    }
    // The least common denominator.
    let mut parts = 1i64;
    for &value in &multipliers {
        let scaled = value * parts as f64;
        if (scaled - scaled.round()).abs() > NEARLY * parts as f64 {
            let more = denominator(scaled - scaled.floor())?;
            parts = parts.checked_mul(more)?;
            if parts > MOST_PARTS {
                return None;
            }
        }
    }
    let mut cut = Rounded { needs: vec![0; parts_wanted], links: BTreeMap::new(), counts: Vec::new(), cuts: Vec::new(), rank: 1, parts, least: 0 };
    let mut right = 0i64;
    for (side, value) in sides.iter().zip(&multipliers) {
        let times = (value * parts as f64).round() as i64;
        if times == 0 {
            continue;
        }
        right += times * side.bound;
        match &side.name {
            &Name::Need(part) => cut.needs[part] = times,
            &Name::Link(key) => {
                cut.links.insert(key, times);
            }
            &Name::Count(count) => cut.counts.push((count, times)),
            Name::Cut(known) => {
                cut.rank = cut.rank.max(known.rank + 1);
                if cut.rank > *RANK {
                    return None;
                }
                cut.cuts.push((Rc::clone(known), times));
            }
        }
    }
    if right.rem_euclid(parts) == 0 {
        return None;
    }
    cut.least = ceil_div(right, parts);
    Some(cut)
}

/// Denominator of a figure between 0 and 1 by its continued fraction.
fn denominator(value: f64) -> Option<i64> {
    let (mut x, mut before, mut now) = (value, 0i64, 1i64);
    for _ in 0..12 {
        let rest = x - x.floor();
        if rest < 1e-9 {
            return Some(now);
        }
        x = 1.0 / rest;
        let next = (x.floor() as i64).checked_mul(now)?.checked_add(before)?;
        (before, now) = (now, next);
        if now > MOST_PARTS {
            return None;
        }
        let near = (value * now as f64).round() / now as f64;
        if (near - value).abs() < NEARLY {
            return Some(now);
        }
    }
    None
}

static RANK: std::sync::LazyLock<u32> = std::sync::LazyLock::new(|| crate::packing::boards::listed::knob("RANK", 1) as u32);
