//! What the duals say: the bound they prove and the columns that gain at them.

use std::rc::Rc;

use super::{Column, Count, GAIN, Lists, Master};
use crate::packing::boards::cover::Cover;
use crate::packing::boards::listed::Offers;
use crate::packing::boards::model::{Layout, Mode};
use crate::packing::boards::pricing::{Priced, Values};
use crate::packing::boards::root::{DUAL_LIMIT, MICRO};

/// What rounding cuts may add to the worth of a board, in micro-cents: the rest of an `i64` is for the parts.
const MOST_ROUNDED: f64 = 4e18;
/// What a board is worth that no plan can hold, in micro-cents.
const NO_BOARD: i128 = -(1 << 50);

impl Master<'_, '_, '_> {
    pub(super) fn micro(&self, row: usize) -> i64 {
        self.in_micro(self.simplex.dual(row))
    }

    /// A dual in whole micro-cents.
    pub(super) fn in_micro(&self, dual: f64) -> i64 {
        (dual * self.scale * MICRO as f64).floor().clamp(-DUAL_LIMIT, DUAL_LIMIT) as i64
    }

    /// Duals beyond every limit, as of programs that nothing meets, are all lowered alike: so they prove
    /// their share of the bound, where duals cut off one by one would prove nothing.
    pub(super) fn rescale(&mut self) {
        let rounded = self.rounded.iter().map(|known| &known.row);
        let rows = self.parts.iter().chain(self.counts.values()).chain(self.links.values()).chain(rounded);
        let largest = rows.map(|&row| self.simplex.dual(row).abs()).fold(0.0, f64::max) * MICRO as f64;
        // The duals of rounding cuts count times their coefficients, on every span of a board and on itself.
        let of_board = |lists: &Rc<Lists>| (lists.most_spans() + 1) as f64 * self.heaviest(lists) * MICRO as f64;
        let heaviest = self.lists.as_ref().map_or(0.0, of_board);
        self.scale = (DUAL_LIMIT / largest).min(MOST_ROUNDED / heaviest).min(1.0);
    }

    /// Duals of parts and counts in whole micro-cents.
    pub(super) fn values(&self) -> Values {
        let layouts = &self.pricer.model.layouts;
        let part: Vec<i64> = self.parts.iter().map(|&row| self.micro(row).max(0)).collect();
        let mut values = Values { part, banned: self.banned.clone(), loose: self.loose, ..Values::default() };
        let table = |known: &mut Vec<Vec<Vec<i64>>>, size: &dyn Fn(&Layout) -> (usize, usize)| {
            if known.is_empty() {
                known.extend(layouts.iter().map(size).map(|(a, b)| vec![vec![0; b]; a]));
            }
        };
        for (&count, &row) in &self.counts {
            let sigma = self.micro(row);
            match count {
                _ if sigma == 0 => {}
                Count::Spans { layout, class, from } => {
                    table(&mut values.span, &|l| (l.classes.len(), l.spans.len()));
                    for (at, spans) in values.span[layout].iter_mut().enumerate() {
                        if class.is_none_or(|class| class == at) {
                            spans[from..].iter_mut().for_each(|value| *value += sigma);
                        }
                    }
                }
                Count::Filled { layout, group, from } => {
                    table(&mut values.fill, &|l| (l.across.len(), l.spans.len()));
                    values.fill[layout][group][from..].iter_mut().for_each(|value| *value += sigma);
                }
                Count::Rips { layout, fill, part, from } => {
                    let parts = self.parts.len();
                    table(&mut values.rip, &|l| (l.fills.len(), l.spans.len() * parts));
                    values.rip[layout][fill]
                        .iter_mut()
                        .skip(from * parts + part)
                        .step_by(parts)
                        .for_each(|v| *v += sigma);
                }
                Count::Boards | Count::Kind(_) | Count::Mode(_) => {}
            }
        }
        values.rounded = self.rounded_duals();
        values
    }

    /// What boards within the node's bounds must be worth at rounded duals, in whole numbers throughout.
    pub(super) fn cover(&self, values: &Values, board: impl Fn(Mode) -> Option<i64>) -> Cover {
        let model = self.pricer.model;
        let mut needed: i128 = self.need.iter().zip(&values.part).map(|(&n, &v)| i128::from(n) * i128::from(v)).sum();
        for (&count, &row) in &self.counts {
            if !matches!(count, Count::Kind(_)) {
                let sigma = i128::from(self.micro(row));
                let (low, high) = self.bounds_of(count);
                needed += sigma * i128::from(if sigma > 0 { low } else { high });
            }
        }
        for (sum, dual) in &values.rounded {
            needed += i128::from(*dual) * i128::from(sum.least());
        }
        let each = i128::from(self.counts.get(&Count::Boards).map_or(0, |&row| self.micro(row)));
        // Where no board of a kind can be cut, using one is as bad as can be.
        let mut worth = vec![NO_BOARD; model.kinds.len()];
        for &mode in &model.modes {
            let Some(board) = board(mode) else { continue };
            let dual = self.counts.get(&Count::Mode(mode)).map_or(0, |&row| self.micro(row));
            worth[mode.kind] = worth[mode.kind].max(i128::from(board) + i128::from(dual));
        }
        worth.iter_mut().for_each(|worth| *worth += each);
        Cover { needed, worth }
    }

    /// The bound that this proves with parts of boards.
    pub(super) fn proven(&self, cover: &Cover) -> i64 {
        let mut total = cover.needed;
        for ((kind, worth), (low, high)) in self.pricer.model.kinds.iter().zip(&cover.worth).zip(self.kind_bounds()) {
            let reduced = i128::from(kind.cost) * i128::from(MICRO) - worth;
            total += reduced * i128::from(if reduced < 0 { high } else { low });
        }
        let micro = i128::from(MICRO);
        i64::try_from((total + micro - 1).div_euclid(micro)).unwrap_or(i64::MAX / 4).max(0)
    }

    /// Adds the columns that gain at these duals; false when there are none.
    pub(super) fn add_gaining(&mut self, values: &Values, priced: &Priced, need: &[u32]) -> bool {
        let before = self.columns.len();
        let least = self.least_gain();
        let linked = self.linked(values);
        self.add_cuts(priced, least, true, (values, need));
        let gaining: Vec<(usize, usize, usize)> = self
            .links
            .iter()
            .filter(|&(&(layout, class, span), &row)| {
                priced.span(layout, class, span) - values.span(layout, class, span) > self.micro(row) + least
            })
            .map(|(&key, _)| key)
            .collect();
        for key in gaining {
            if let Some(rips) = self.pricer.rips(priced, key, values, need) {
                self.add(Column::Rips(rips));
            }
        }
        self.add_cuts(&linked, least, false, (values, need));
        self.columns.len() > before
    }

    /// Adds the listed columns that gain at these duals; false when there are none.
    pub(super) fn add_listed(&mut self, offers: &Offers<'_>, values: &Values) -> bool {
        let before = self.columns.len();
        let least = self.least_gain();
        for key in offers.keys() {
            let known = self.links.get(&key).map_or(0, |&row| self.micro(row).max(0));
            if let Some((worth, rips)) = offers.filling(key)
                && worth > known + least
            {
                self.add(Column::Rips(rips.clone()));
            }
        }
        for &mode in &self.pricer.model.modes {
            let price = self.price_of(mode).saturating_add(least);
            if let (Some(cut), Some(worth)) = (offers.cut(mode), offers.board(mode))
                && worth > price
            {
                self.add(Column::Cut(mode, cut.clone()));
            }
            // Cuts that recombine the fillings in the program.
            let linked = |span: usize| {
                let link = self.links.get(&(mode.layout, mode.class, span));
                link.map_or(0, |&row| self.micro(row).max(0)) + values.span(mode.layout, mode.class, span)
            };
            if let Some((worth, cut)) = offers.best_cut(mode, linked)
                && worth > price
            {
                self.add(Column::Cut(mode, cut.clone()));
            }
        }
        self.columns.len() > before
    }

    /// A column that gains less is left: in micro-cents, a share of the dearest board.
    fn least_gain(&self) -> i64 {
        let dearest = self.pricer.model.kinds.iter().map(|kind| kind.cost).max().unwrap_or(1).max(1);
        ((dearest as f64 * GAIN * MICRO as f64) as i64).max(1)
    }

    /// What a board costs less the duals of its counts.
    fn price_of(&self, mode: Mode) -> i64 {
        let dual = |count: Count| self.counts.get(&count).map_or(0, |&row| self.micro(row));
        let duals = dual(Count::Boards) + dual(Count::Kind(mode.kind)) + dual(Count::Mode(mode));
        self.pricer.model.kinds[mode.kind].cost.saturating_mul(MICRO).saturating_sub(duals)
    }

    /// Boards priced by the duals of the links there are: cuts that recombine known fillings.
    fn linked(&self, values: &Values) -> Priced {
        let model = self.pricer.model;
        let mut worth: Vec<Vec<Vec<(i64, usize)>>> =
            model.layouts.iter().map(|l| vec![vec![(0, 0); l.spans.len()]; l.classes.len()]).collect();
        for (&(layout, class, span), &row) in &self.links {
            worth[layout][class][span].0 = self.micro(row).max(0) + values.span(layout, class, span);
        }
        self.pricer.price_cuts(worth)
    }

    fn add_cuts(&mut self, priced: &Priced, least: i64, fill: bool, (values, need): (&Values, &[u32])) {
        let model = self.pricer.model;
        for &mode in &model.modes {
            if priced.board(mode) <= self.price_of(mode).saturating_add(least) {
                continue;
            }
            let mut cut: Vec<(usize, u32)> = Vec::new();
            for span in self.pricer.cut(priced, mode) {
                match cut.last_mut() {
                    Some((last, count)) if *last == span => *count += 1,
                    _ => cut.push((span, 1)),
                }
            }
            if fill {
                for &(span, _) in &cut {
                    let key = (mode.layout, mode.class, span);
                    if let Some(rips) = self.pricer.rips(priced, key, values, need) {
                        self.add(Column::Rips(rips));
                    }
                }
            }
            self.add(Column::Cut(mode, cut));
        }
    }
}
