//! Levels, whole layouts of them, and the pieces they put on the cloth.

use super::model::Model;
use super::stacks::{self, Content, Stack};
use super::{BoltKind, BoltUse, ClothProblem, LaidPiece, charge};
use crate::measure::Length;

/// What lies side by side across a bolt.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Level {
    /// Which bolt.
    pub bolt: usize,
    /// What lies in it.
    pub content: Content,
}

impl Level {
    /// Along the bolt, in units: the tallest piece.
    pub(super) fn height(&self, model: &Model) -> i64 {
        stacks::tallest(model, &self.content)
    }

    /// Copies of a kind, laid either way.
    fn copies(&self, model: &Model, kind: usize) -> i64 {
        stacks::pieces(&self.content).filter(|&(p, _)| model.placements[p].kind == kind).map(|(_, n)| n).sum()
    }

    /// The same without `count` copies of a kind, the tallest ones first. Stacks that are then
    /// taller than the tallest piece lose pieces of other kinds too.
    fn without(&self, model: &Model, kind: usize, count: i64) -> Self {
        let mut free = vec![i64::MAX; model.kinds.len()];
        free[kind] = self.copies(model, kind) - count;
        if count == 0 {
            return self.clone();
        }
        let mut content = self.content.clone();
        // What is kept is counted from the front: the lowest pieces.
        content.sort_by_key(|(stack, _)| stack.iter().map(|&(p, _)| p).max());
        let mut kept = Vec::new();
        for mut stack in stacks::apart(&content) {
            for (p, copies) in &mut stack {
                let free = &mut free[model.placements[*p].kind];
                *copies = (*copies).min(*free);
                *free -= *copies;
            }
            kept.push(stack);
        }
        let content = stacks::settled(model, &stacks::together(kept), &mut vec![i64::MAX; model.kinds.len()]);
        Self { bolt: self.bolt, content }
    }

    /// The same with other numbers for its placements.
    pub(super) fn renumbered(&self, numbers: &[usize]) -> Self {
        let stack = |stack: &Stack| stack.iter().map(|&(p, copies)| (numbers[p], copies)).collect();
        let content = self.content.iter().map(|(held, times)| (stack(held), *times)).collect();
        Self { bolt: self.bolt, content }
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
            for (p, copies) in stacks::pieces(&level.content) {
                laid[model.placements[p].kind] += copies * times;
            }
        }
        laid
    }

    /// Takes out pieces beyond the need, where that lowers a level first. False when pieces are
    /// missing, also those that stood on one another in a level that is lower now.
    pub(super) fn trim(&mut self, model: &Model) -> bool {
        let mut laid = self.laid(model);
        for kind in 0..model.kinds.len() {
            let mut surplus = laid[kind] - model.kinds[kind].need;
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
            self.levels.retain(|(level, times)| *times > 0 && !level.content.is_empty());
            // Pieces of other kinds may have gone with their stacks.
            laid = self.laid(model);
        }
        laid.iter().zip(&model.kinds).all(|(&laid, kind)| laid == kind.need)
    }

    /// What is cut from each bolt: levels by falling height, pieces from one edge to the other.
    pub(super) fn bolt_uses(&self, model: &Model, problem: &ClothProblem) -> Vec<BoltUse> {
        let mut levels = self.levels.clone();
        levels.sort_by_key(|(level, _)| (level.bolt, std::cmp::Reverse(level.height(model)), level.content.clone()));
        let mut rows = Rows::new(model, problem);
        let mut uses = Vec::new();
        for (index, bolt) in problem.bolts.iter().enumerate() {
            let (mut x, mut laid) = (Length::ZERO, Vec::new());
            for (level, times) in levels.iter().filter(|(level, _)| level.bolt == index) {
                for _ in 0..*times {
                    let from = laid.len();
                    lay_level(level, model, problem, &mut rows, x, &mut laid);
                    laid[from..].sort_by_key(|piece: &LaidPiece| (piece.x, piece.y));
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
    let mut order = stacks::apart(&level.content);
    let key = |stack: &Stack| (stack.iter().map(|&(p, _)| p).max(), stacks::height(model, stack));
    // Tallest first, so that the trimmings lie together.
    order.sort_by_key(|stack| std::cmp::Reverse(key(stack)));
    for stack in order {
        let mut on_top = x;
        // The widest at the bottom, for the same reason.
        let mut pieces = stack.clone();
        pieces.sort_by_key(|&(p, _)| std::cmp::Reverse((model.placements[p].across, p)));
        for (p, copies) in pieces {
            let placement = &model.placements[p];
            let (along, across) = (model.length(placement.along), Length::from_nm(placement.across));
            for _ in 0..copies {
                let Some(row) = rows.next(placement.kind) else { continue };
                let turned = problem.pieces[row].along != along;
                laid.push(LaidPiece { piece: row, x: on_top, y, along, across, turned });
                on_top += along;
            }
        }
        y += Length::from_nm(stacks::width(model, &stack));
    }
}
