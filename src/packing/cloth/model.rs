//! The problem as the search sees it: sizes pooled, turned both ways, sorted, in whole units.

use std::collections::BTreeMap;

use super::{ClothProblem, ClothShortage, PieceDemand};
use crate::measure::Length;

/// All pieces of one size, whatever rows of the problem asked for them.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// Pieces wanted.
    pub need: i64,
    /// Rows of the problem, in order.
    pub members: Vec<usize>,
}

/// One way to lay a kind.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placement {
    /// Which kind.
    pub kind: usize,
    /// Along the bolt, in units.
    pub along: i64,
    /// Across the bolt, nm.
    pub across: i64,
    /// Index of `along` among the heights.
    pub height: usize,
}

/// What one bolt can take.
#[derive(Debug, Clone)]
pub(super) struct Reach {
    /// Usable width, nm.
    pub width: i64,
    /// Usable length in units; `None` without limit.
    pub cap: Option<i64>,
    /// Placements that fit it, lowest first.
    pub fits: Vec<usize>,
}

/// A problem in units: a unit is the greatest common divisor of all sizes that can lie along.
#[derive(Debug, Clone)]
pub(super) struct Model {
    /// Nanometres of a unit.
    pub unit: i64,
    /// Pooled sizes, in an order that does not depend on the order of the rows.
    pub kinds: Vec<Kind>,
    /// Ways to lay them, lowest first.
    pub placements: Vec<Placement>,
    /// The heights that a level may have, rising, in units.
    pub heights: Vec<i64>,
    /// One for each bolt of the problem.
    pub bolts: Vec<Reach>,
    /// Shorter pieces may stand on one another beside the tallest of a level.
    pub stacked: bool,
}

/// Sizes of a kind: (along, across, may be turned), the longer side along when it may.
type Sizes = (i64, i64, bool);

fn sizes(piece: &PieceDemand) -> Sizes {
    let (along, across) = (piece.along.nm(), piece.across.nm());
    let turn = piece.turn && along != across;
    if turn { (along.max(across), along.min(across), true) } else { (along, across, false) }
}

/// A row that asks for something: counts of nothing and sizes of nothing need no cloth.
fn asks(piece: &PieceDemand) -> bool {
    piece.count > 0 && piece.along.is_positive() && piece.across.is_positive()
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Model {
    /// Pools and sorts the pieces and works out what fits where.
    ///
    /// # Errors
    /// [`ClothShortage::TooWide`] when a piece fits across no bolt, [`ClothShortage::TooLong`] when it does so only
    /// where too little is left.
    pub(super) fn new(problem: &ClothProblem) -> Result<Self, ClothShortage> {
        too_wide(problem)?;
        too_long(problem)?;
        let mut pooled: BTreeMap<Sizes, Vec<usize>> = BTreeMap::new();
        for (row, piece) in problem.pieces.iter().enumerate().filter(|(_, piece)| asks(piece)) {
            pooled.entry(sizes(piece)).or_default().push(row);
        }
        let (mut kinds, mut laid) = (Vec::new(), Vec::new());
        for ((along, across, turn), members) in pooled.into_iter().rev() {
            laid.push((along, across, kinds.len()));
            if turn {
                laid.push((across, along, kinds.len()));
            }
            let need = members.iter().map(|&row| i64::from(problem.pieces[row].count)).sum();
            kinds.push(Kind { need, members });
        }
        laid.sort_unstable();
        let unit = laid.iter().fold(0, |unit, &(along, ..)| gcd(unit, along)).max(1);
        let mut heights: Vec<i64> = laid.iter().map(|&(along, ..)| along / unit).collect();
        heights.dedup();
        let placements = laid
            .iter()
            .map(|&(along, across, kind)| {
                let along = along / unit;
                let height = heights.partition_point(|&h| h < along);
                Placement { kind, along, across, height }
            })
            .collect();
        let bolts = problem
            .bolts
            .iter()
            .map(|bolt| Reach {
                width: bolt.usable_width.nm(),
                cap: bolt.usable_length.map(|length| length.nm().max(0) / unit),
                fits: Vec::new(),
            })
            .collect();
        let mut model = Self { unit, kinds, placements, heights, bolts, stacked: false };
        model.refit();
        Ok(model)
    }

    /// Works out anew what fits where, after needs or caps have changed.
    pub(super) fn refit(&mut self) {
        for bolt in &mut self.bolts {
            let cap = bolt.cap.unwrap_or(i64::MAX);
            let fits = |p: &&usize| {
                let placement = &self.placements[**p];
                placement.across <= bolt.width && placement.along <= cap && self.kinds[placement.kind].need > 0
            };
            bolt.fits = (0..self.placements.len()).collect::<Vec<_>>().iter().filter(fits).copied().collect();
        }
    }

    /// The same for other needs and caps, without the kinds that are not needed; and the numbers
    /// that its placements have here.
    pub(super) fn part(&self, needs: &[i64], caps: Vec<Option<i64>>) -> (Self, Vec<usize>) {
        let mut renamed = vec![None; self.kinds.len()];
        let mut kinds = Vec::new();
        for (kind, &need) in needs.iter().enumerate().filter(|(_, need)| **need > 0) {
            renamed[kind] = Some(kinds.len());
            kinds.push(Kind { need, members: Vec::new() });
        }
        let (mut placements, mut numbers) = (Vec::new(), Vec::new());
        for (number, placement) in self.placements.iter().enumerate() {
            if let Some(kind) = renamed[placement.kind] {
                placements.push(Placement { kind, ..*placement });
                numbers.push(number);
            }
        }
        let bolts = self.bolts.iter().zip(caps).map(|(bolt, cap)| Reach { width: bolt.width, cap, fits: Vec::new() });
        let bolts = bolts.collect();
        let (heights, stacked) = (self.heights.clone(), self.stacked);
        let mut part = Self { unit: self.unit, kinds, placements, heights, bolts, stacked };
        part.refit();
        (part, numbers)
    }

    /// The same with stacks, or `None` when no two pieces can ever stand on one another in a level.
    pub(super) fn with_stacks(&self) -> Option<Self> {
        let (lowest, tallest) = (self.placements.first()?.along, *self.heights.last()?);
        (2 * lowest <= tallest).then(|| Self { stacked: true, ..self.clone() })
    }

    /// Pieces wanted in all.
    pub(super) fn pieces(&self) -> i64 {
        self.kinds.iter().map(|kind| kind.need).sum()
    }

    /// Copies of a placement that can lie side by side on a bolt.
    pub(super) fn side_by_side(&self, bolt: usize, placement: usize) -> i64 {
        let p = &self.placements[placement];
        (self.bolts[bolt].width / p.across).min(self.kinds[p.kind].need)
    }

    /// Units to a length.
    pub(super) fn length(&self, units: i64) -> Length {
        Length::from_nm(units.saturating_mul(self.unit))
    }
}

fn too_wide(problem: &ClothProblem) -> Result<(), ClothShortage> {
    let Some(widest) = problem.bolts.iter().map(|bolt| bolt.usable_width).max() else { return Ok(()) };
    let widest = widest.max(Length::ZERO);
    let wide = |piece: &PieceDemand| asks(piece) && piece.across > widest && !(piece.turn && piece.along <= widest);
    let rows: Vec<_> =
        (0..problem.pieces.len()).filter(|&row| wide(&problem.pieces[row])).map(|row| (row, widest)).collect();
    if rows.is_empty() { Ok(()) } else { Err(ClothShortage::TooWide(rows)) }
}

fn too_long(problem: &ClothProblem) -> Result<(), ClothShortage> {
    // The most length of a bolt that a piece fits across, laid so; endless off the roll.
    let most = |across: Length| {
        let wide = problem.bolts.iter().filter(|bolt| bolt.usable_width >= across);
        wide.map(|bolt| bolt.usable_length.unwrap_or(Length::from_nm(i64::MAX))).max().unwrap_or(Length::ZERO)
    };
    let short = |piece: &PieceDemand| {
        let lies = |along: Length, across: Length| along <= most(across);
        let fits = lies(piece.along, piece.across) || piece.turn && lies(piece.across, piece.along);
        (!fits).then(|| if piece.turn { most(piece.across).max(most(piece.along)) } else { most(piece.across) })
    };
    let asking = problem.pieces.iter().enumerate().filter(|(_, piece)| asks(piece) && !problem.bolts.is_empty());
    let rows: Vec<_> = asking.filter_map(|(row, piece)| Some((row, short(piece)?))).collect();
    if rows.is_empty() { Ok(()) } else { Err(ClothShortage::TooLong(rows)) }
}
