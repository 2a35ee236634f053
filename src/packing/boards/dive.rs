//! From a fractional point to a plan: boards are fixed first, then what fills them.
//!
//! Fixing strips first leaves blanks that fit no board. So each round fixes the whole parts of all
//! cuts and the most fractional one, and solves again; once the boards stand, the same goes for
//! the fillings, priced never to cut more than is still needed.

use std::collections::BTreeMap;

use super::fill::{self, Boards, Rest};
use super::master::{Bounds, Column, Master};
use super::mend::mend;
use super::pricing::Rips;
use super::root::Pattern;
use crate::packing::noise::Noise;

/// Values nearer than this to a whole number are whole.
pub(super) const WHOLE: f64 = 1e-5;
/// Column generation rounds after each fix.
const ROUNDS: usize = 4;
/// Work of mending what a dive left missing.
const MEND_WORK: u64 = 20_000_000;
/// Share by which the choice of the most fractional column is shaken.
const NOISE: f64 = 0.3;
/// Fixes taken back before a dive is given up.
const REGRETS: u32 = 3;

/// The last fractional fix, to be taken back when it led nowhere.
struct Fix {
    col: usize,
    floor: f64,
}

/// From which node, below which cost and how unlike other dives.
pub(super) struct How<'a> {
    pub(super) bounds: &'a Bounds,
    pub(super) limit: i64,
    pub(super) noise: u64,
    /// True when the node's bounds fix the numbers of all boards.
    pub(super) given: bool,
}

/// Dives from the master's present point; leaves the master as it found it, richer by columns.
pub(super) fn dive(master: &mut Master<'_, '_, '_>, wanted: &Rest, how: &How<'_>) -> Option<Boards> {
    let (bounds, limit) = (how.bounds, how.limit);
    let basis = master.snapshot();
    master.loosen(true);
    let noise = Noise::new(how.noise);
    // With the boards given no cost is too high: what is missing is mended.
    let most = if how.given { f64::INFINITY } else { limit as f64 - 0.5 };
    let mut dive = Dive { master, wanted, most, noise, touched: Vec::new(), last: None, regrets: REGRETS };
    let found = dive.boards().then(|| dive.fillings(limit)).flatten();
    let touched = std::mem::take(&mut dive.touched);
    for col in touched {
        master.free(col);
    }
    master.loosen(false);
    let banned = master.banned().to_vec();
    master.enter(bounds, &banned);
    master.simplex.restore(&basis);
    master.simplex.solve();
    found
}

struct Dive<'a, 'b, 'c, 'd> {
    master: &'a mut Master<'b, 'c, 'd>,
    wanted: &'a Rest,
    /// A dearer point is given up.
    most: f64,
    noise: Noise,
    touched: Vec<usize>,
    last: Option<Fix>,
    regrets: u32,
}

impl Dive<'_, '_, '_, '_> {
    fn is_cut(&self, col: usize) -> bool {
        matches!(self.master.columns[col], Column::Cut(..))
    }

    fn is_rips(&self, col: usize) -> bool {
        matches!(self.master.columns[col], Column::Rips(_))
    }

    /// Fixes boards until all are whole; false when every way costs too much.
    fn boards(&mut self) -> bool {
        loop {
            if !self.fix(Self::is_cut) {
                break;
            }
            if !self.settle() {
                return false;
            }
        }
        let boards: f64 = (0..self.master.columns.len())
            .filter(|&col| self.is_cut(col))
            .map(|col| self.master.simplex.value(col).round())
            .sum();
        self.last = None;
        self.regrets = REGRETS;
        self.master.fix_boards(boards as u32);
        self.settle()
    }

    /// Fixes fillings until all are whole, then mends what is missing.
    fn fillings(&mut self, limit: i64) -> Option<Boards> {
        let values = self.master.part_values();
        self.most = f64::INFINITY;
        while self.fix(Self::is_rips) {
            if !self.settle() {
                return None;
            }
        }
        let boards = gather(self.master)?;
        let pricer = self.master.pricer;
        if fill::cost(pricer.model, &boards) >= limit || boards.is_empty() {
            return None;
        }
        if fill::serves(pricer.model, &boards, self.wanted) {
            return Some(boards);
        }
        let start: Vec<Pattern> =
            boards.iter().flat_map(|(pattern, n)| std::iter::repeat_n(pattern.clone(), *n as usize)).collect();
        let board = start.iter().map(|pattern| pricer.board_work(pattern.mode)).max().unwrap_or(1).max(1);
        let rounds = (MEND_WORK / board).clamp(8, 1_500) as u32;
        self.master.add_work(u64::from(rounds) * board);
        mend(pricer, start, &values, &self.wanted.need, (self.noise.clone(), rounds))
    }

    /// Fixes the whole parts of all columns of a sort and the most fractional one upwards; false
    /// when all are whole.
    fn fix(&mut self, sort: impl Fn(&Self, usize) -> bool) -> bool {
        let mut best: Option<(f64, usize, f64)> = None;
        let mut wholes = Vec::new();
        for col in 0..self.master.columns.len() {
            let value = self.master.simplex.value(col);
            if value <= WHOLE || !sort(self, col) {
                continue;
            }
            let floor = (value + WHOLE).floor();
            let rest = value - floor;
            // Another order of fixing finds another plan.
            let pull = rest * (1.0 - NOISE * self.noise.below(1_000) as f64 / 1_000.0);
            if floor > self.master.simplex.col_bounds(col).0 + 0.5 {
                wholes.push((col, floor));
            }
            if rest > WHOLE && best.is_none_or(|best| pull > best.0 + 1e-9) {
                best = Some((pull, col, floor));
            }
        }
        let Some((_, col, floor)) = best else { return false };
        for (col, floor) in wholes {
            self.bound(col, floor, f64::INFINITY);
        }
        self.bound(col, floor + 1.0, f64::INFINITY);
        self.last = Some(Fix { col, floor });
        true
    }

    fn bound(&mut self, col: usize, lower: f64, upper: f64) {
        self.touched.push(col);
        self.master.simplex.bound_col(col, lower, upper);
    }

    /// Solves; takes the last fractional fix back when it costs too much.
    fn settle(&mut self) -> bool {
        loop {
            let need = self.left();
            let solved = self.master.solve(&need, ROUNDS, |_| false).is_some();
            if solved && self.master.simplex.cost() < self.most {
                return true;
            }
            match self.last.take() {
                Some(fix) if self.regrets > 0 => {
                    self.regrets -= 1;
                    self.bound(fix.col, fix.floor, fix.floor);
                }
                _ => return false,
            }
        }
    }

    /// Needs less what fixed fillings cover.
    fn left(&self) -> Vec<u32> {
        let mut need = self.wanted.need.clone();
        for (col, column) in self.master.columns.iter().enumerate() {
            let fixed = self.master.simplex.col_bounds(col).0 as u32;
            if let (Column::Rips(rips), true) = (column, fixed > 0) {
                for (part, units) in rips.units(self.master.pricer.model) {
                    need[part] = need[part].saturating_sub(units * fixed);
                }
            }
        }
        need
    }
}

/// The plan that a whole point stands for; `None` when something is fractional or missing.
pub(super) fn plan(master: &Master<'_, '_, '_>, wanted: &Rest) -> Option<Boards> {
    let boards = gather(master)?;
    fill::serves(master.pricer.model, &boards, wanted).then_some(boards)
}

/// The boards of a whole point, whatever is missing; `None` when something is fractional.
fn gather(master: &Master<'_, '_, '_>) -> Option<Boards> {
    let model = master.pricer.model;
    let mut fillings: BTreeMap<(usize, usize, usize), Vec<(Rips, u32)>> = BTreeMap::new();
    let mut cuts = Vec::new();
    for (col, column) in master.columns.iter().enumerate() {
        let value = master.simplex.value(col);
        let whole = value.round();
        if (value - whole).abs() > WHOLE && *column != Column::Missing {
            return None;
        }
        let whole = whole as u32;
        match column {
            _ if whole == 0 => {}
            Column::Missing => {}
            Column::Rips(rips) => {
                fillings.entry((rips.layout, rips.class, rips.span)).or_default().push((rips.clone(), whole));
            }
            Column::Cut(mode, spans) => cuts.push((*mode, spans, whole)),
        }
    }
    let mut boards: Boards = Vec::new();
    for (mode, spans, count) in cuts {
        for _ in 0..count {
            let mut filled: Vec<(Rips, u32)> = Vec::new();
            for &(span, times) in spans {
                let known = fillings.entry((mode.layout, mode.class, span)).or_default();
                for _ in 0..times {
                    take_one(known, &mut filled);
                }
            }
            let pattern = Pattern::new(model, mode, filled);
            match boards.iter_mut().find(|(known, _)| *known == pattern) {
                Some((_, times)) => *times += 1,
                None => boards.push((pattern, 1)),
            }
        }
    }
    Some(boards)
}

fn take_one(known: &mut Vec<(Rips, u32)>, filled: &mut Vec<(Rips, u32)>) {
    if let Some((rips, left)) = known.last_mut() {
        match filled.iter_mut().find(|(same, _)| same == rips) {
            Some((_, times)) => *times += 1,
            None => filled.push((rips.clone(), 1)),
        }
        *left -= 1;
        if *left == 0 {
            known.pop();
        }
    }
}
