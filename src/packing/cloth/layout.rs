//! Levels, whole layouts of them, and the pieces they put on the cloth.

use super::model::Model;
use super::{BoltKind, BoltUse, ClothProblem, LaidPiece, charge};
use crate::measure::Length;

/// Pieces side by side across a bolt: (placement, copies), by placement.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Level {
    /// Which bolt.
    pub bolt: usize,
    /// What lies in it.
    pub set: Vec<(usize, i64)>,
}

impl Level {
    /// Along the bolt, in units: the tallest piece.
    pub(super) fn height(&self, model: &Model) -> i64 {
        self.set.iter().map(|&(p, _)| model.placements[p].along).max().unwrap_or(0)
    }

    /// Copies of a kind, laid either way.
    fn copies(&self, model: &Model, kind: usize) -> i64 {
        self.set.iter().filter(|&&(p, _)| model.placements[p].kind == kind).map(|&(_, n)| n).sum()
    }

    /// The same without `count` copies of a kind, the tallest ones first.
    fn without(&self, model: &Model, kind: usize, mut count: i64) -> Self {
        let mut set = self.set.clone();
        for (p, copies) in set.iter_mut().rev() {
            if model.placements[*p].kind == kind {
                let taken = count.min(*copies);
                *copies -= taken;
                count -= taken;
            }
        }
        set.retain(|&(_, copies)| copies > 0);
        Self { bolt: self.bolt, set }
    }
}

/// Levels, each with how many times it is cut.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// (level, times).
    pub levels: Vec<(Level, i64)>,
}

impl Layout {
    /// Length used of each bolt, in units.
    pub(super) fn lengths(&self, model: &Model) -> Vec<i64> {
        let mut lengths = vec![0; model.bolts.len()];
        for (level, times) in &self.levels {
            lengths[level.bolt] += level.height(model) * times;
        }
        lengths
    }

    /// Pieces of each kind laid.
    pub(super) fn laid(&self, model: &Model) -> Vec<i64> {
        let mut laid = vec![0; model.kinds.len()];
        for (level, times) in &self.levels {
            for &(p, copies) in &level.set {
                laid[model.placements[p].kind] += copies * times;
            }
        }
        laid
    }

    /// Takes out pieces beyond the need, where that lowers a level first.
    pub(super) fn trim(&mut self, model: &Model) {
        for kind in 0..model.kinds.len() {
            let mut surplus = self.laid(model)[kind] - model.kinds[kind].need;
            if surplus <= 0 {
                continue;
            }
            let mut order: Vec<usize> = (0..self.levels.len()).collect();
            order.sort_by_key(|&at| {
                let level = &self.levels[at].0;
                let all = level.copies(model, kind);
                level.without(model, kind, all).height(model) - level.height(model)
            });
            for at in order {
                let (level, times) = self.levels[at].clone();
                let copies = level.copies(model, kind);
                if copies == 0 || surplus == 0 {
                    continue;
                }
                let whole = times.min(surplus / copies);
                let rest = if whole < times { surplus - whole * copies } else { 0 };
                self.levels[at].1 -= whole + i64::from(rest > 0);
                self.levels.push((level.without(model, kind, copies), whole));
                if rest > 0 {
                    self.levels.push((level.without(model, kind, rest), 1));
                }
                surplus -= whole * copies + rest;
            }
            self.levels.retain(|(level, times)| *times > 0 && !level.set.is_empty());
        }
    }

    /// What is cut from each bolt: levels by falling height, pieces from one edge to the other.
    pub(super) fn bolt_uses(&self, model: &Model, problem: &ClothProblem) -> Vec<BoltUse> {
        let mut levels = self.levels.clone();
        levels.sort_by_key(|(level, _)| (level.bolt, std::cmp::Reverse(level.height(model)), level.set.clone()));
        let mut rows = Rows::new(model, problem);
        let mut uses = Vec::new();
        for (index, bolt) in problem.bolts.iter().enumerate() {
            let (mut x, mut laid) = (Length::ZERO, Vec::new());
            for (level, times) in levels.iter().filter(|(level, _)| level.bolt == index) {
                for _ in 0..*times {
                    lay_level(level, model, problem, &mut rows, x, &mut laid);
                    x += model.length(level.height(model));
                }
            }
            uses.push(bolt_use(bolt, laid, x));
        }
        uses
    }
}

fn bolt_use(bolt: &BoltKind, laid: Vec<LaidPiece>, used: Length) -> BoltUse {
    let bought = charge::bought(bolt, used);
    BoltUse { laid, used, bought, cost: charge::price(bolt, bought) }
}

/// Hands out rows of the problem to the pieces of a kind, first rows first.
struct Rows {
    left: Vec<Vec<(usize, u32)>>,
}

impl Rows {
    fn new(model: &Model, problem: &ClothProblem) -> Self {
        let wanted = |row: &usize| (*row, problem.pieces[*row].count);
        Self { left: model.kinds.iter().map(|kind| kind.members.iter().rev().map(wanted).collect()).collect() }
    }

    fn next(&mut self, kind: usize) -> Option<usize> {
        let left = &mut self.left[kind];
        while left.last().is_some_and(|&(_, count)| count == 0) {
            left.pop();
        }
        let (row, count) = left.last_mut()?;
        *count -= 1;
        Some(*row)
    }
}

fn lay_level(
    level: &Level,
    model: &Model,
    problem: &ClothProblem,
    rows: &mut Rows,
    x: Length,
    laid: &mut Vec<LaidPiece>,
) {
    let mut y = Length::ZERO;
    // Tallest first, so that the trimmings lie together.
    for &(p, copies) in level.set.iter().rev() {
        let placement = &model.placements[p];
        let (along, across) = (model.length(placement.along), Length::from_nm(placement.across));
        for _ in 0..copies {
            let Some(row) = rows.next(placement.kind) else { continue };
            let turned = problem.pieces[row].along != along;
            laid.push(LaidPiece { piece: row, x, y, along, across, turned });
            y += across;
        }
    }
}
