//! Rounding cuts: what every whole solution obeys and the linear program does not.
//!
//! A sum of rows, each times a multiplier of the sign its bound allows, holds for all solutions. Its
//! coefficients may be rounded up, as no column is used less than nought times, and then its right side
//! too, as everything is whole (Gomory 1958, Chvátal 1973). The multipliers are taken from the lines of
//! the basis that belong to fractional columns, and only where they are parts of a small denominator:
//! so a cut is a thing of whole numbers, and holds whatever the accuracy of the program.

use std::collections::BTreeMap;

use super::{Column, Count, Master};
use crate::packing::boards::model::Model;
use crate::packing::boards::simplex::Rest;

/// Layout, class and span.
type Key = (usize, usize, usize);

/// A sum of rows in parts of `parts`, rounded up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct Rounded {
    needs: Vec<(usize, i64)>,
    links: BTreeMap<Key, i64>,
    counts: Vec<(Count, i64)>,
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
        let counted = self.counts.iter().map(|(count, times)| times * i64::from(count.of(model, column))).sum::<i64>();
        let sum = match column {
            Column::Missing => return 0,
            Column::Rips(rips) => {
                let units = rips.units(model);
                let needs = units.iter().map(|&(part, n)| {
                    let times = self.needs.iter().find(|need| need.0 == part).map_or(0, |need| need.1);
                    times * i64::from(n)
                });
                let link = self.links.get(&(rips.layout, rips.class, rips.span)).copied().unwrap_or(0);
                needs.sum::<i64>() - link
            }
            Column::Cut(mode, spans) => spans
                .iter()
                .map(|&(span, n)| {
                    self.links.get(&(mode.layout, mode.class, span)).copied().unwrap_or(0) * i64::from(n)
                })
                .sum(),
        };
        ceil_div(sum + counted, self.parts)
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
}

impl Master<'_, '_, '_> {
    /// Cuts that the present point does not obey, most missed first.
    pub(in super::super) fn missed(&mut self, most: usize) -> Vec<Rounded> {
        let sides = self.sides();
        let mut found: Vec<(f64, Rounded)> = Vec::new();
        let lines = self.simplex.fractional_lines(1e-4);
        for line in &lines {
            for sign in [1.0, -1.0] {
                let Some(cut) = round(&sides, line, sign) else { continue };
                let (mut left, mut norm) = (0.0, 0.0);
                for (col, column) in self.columns.iter().enumerate() {
                    let value = self.simplex.value(col);
                    if value > 1e-9 {
                        let times = cut.of(self.pricer.model, column) as f64;
                        left += times * value;
                        norm += times * times;
                    }
                }
                let miss = cut.least as f64 - left;
                if miss > LEAST_MISS && norm > 0.0 {
                    found.push((miss / norm.sqrt(), cut));
                }
            }
        }
        self.priced += (lines.len() * self.columns.len()) as u64;
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        found.dedup_by(|a, b| a.1 == b.1);
        if std::env::var("DBGC").is_ok() { eprintln!("   fractional {} cuts {} best {:?} parts {:?}", lines.len(), found.len(), found.first().map(|f| f.0), found.iter().take(5).map(|f| f.1.parts).collect::<Vec<_>>()); }
        found.into_iter().take(most).map(|(_, cut)| cut).collect()
    }

    fn sides(&self) -> Vec<Side> {
        let needs = self.parts.iter().enumerate().map(|(part, &row)| (row, Name::Need(part)));
        let links = self.links.iter().map(|(&key, &row)| (row, Name::Link(key)));
        let counts = self.counts.iter().map(|(&count, &row)| (row, Name::Count(count)));
        let side = |(row, name): (usize, Name)| {
            let rest = self.simplex.rest(row)?;
            let bound = match (&name, rest) {
                (Name::Need(part), Rest::Upper) => return None.or(Some(i64::from(self.need[*part])))
                    .map(|bound| Side { row, rest, bound, name: Name::Need(*part) }),
                (Name::Need(part), _) => i64::from(self.need[*part]),
                (Name::Link(_), _) => 0,
                (Name::Count(count), rest) => {
                    let (low, high) = self.bounds_of(*count);
                    i64::from(if rest == Rest::Upper { high } else { low })
                }
            };
            Some(Side { row, rest, bound, name })
        };
        needs.chain(links).chain(counts).filter_map(side).collect()
    }

    /// Takes up a cut; its number.
    pub(in super::super) fn add_cut(&mut self, cut: Rounded) -> usize {
        if let Some(at) = self.cuts.iter().position(|(known, _)| *known == cut) {
            return at;
        }
        let model = self.pricer.model;
        let entries: Vec<(usize, f64)> = (0..self.columns.len())
            .map(|col| (col, cut.of(model, &self.columns[col]) as f64))
            .filter(|(_, times)| times.abs() > 0.0)
            .collect();
        let row = self.simplex.row(IDLE, f64::INFINITY, &entries);
        self.missing(row);
        self.cuts.push((cut, row));
        self.active.push(false);
        self.cuts.len() - 1
    }

    /// Keeps to these cuts alone.
    pub(in super::super) fn obey(&mut self, cuts: &[usize]) {
        self.active = vec![false; self.cuts.len()];
        for &at in cuts {
            self.active[at] = true;
        }
        for at in 0..self.cuts.len() {
            let least = if self.active[at] { self.cuts[at].0.least as f64 } else { IDLE };
            let row = self.cuts[at].1;
            self.simplex.bound_row(row, least, f64::INFINITY);
        }
    }

    /// Dual of a cut in micro-cents.
    pub(in super::super) fn cut_dual(&self, at: usize) -> i64 {
        if self.active[at] { self.micro(self.cuts[at].1).max(0) } else { 0 }
    }
}

/// What a cut says that is not in force: nothing.
const IDLE: f64 = -1e4;

/// The sum of rows with the fractional parts of a line as multipliers.
fn round(sides: &[Side], line: &[f64], sign: f64) -> Option<Rounded> {
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
    let mut cut = Rounded { needs: Vec::new(), links: BTreeMap::new(), counts: Vec::new(), parts, least: 0 };
    let mut right = 0i64;
    for (side, value) in sides.iter().zip(&multipliers) {
        let times = (value * parts as f64).round() as i64;
        if times == 0 {
            continue;
        }
        right += times * side.bound;
        match side.name {
            Name::Need(part) => cut.needs.push((part, times)),
            Name::Link(key) => {
                cut.links.insert(key, times);
            }
            Name::Count(count) => cut.counts.push((count, times)),
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
