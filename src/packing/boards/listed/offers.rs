//! What listed columns are worth, rounding cuts included.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Cut, Lists};
use crate::packing::boards::master::{Key, Rounded};
use crate::packing::boards::model::{Hold, Mode, Model};
use crate::packing::boards::pricing::{Rips, Values};

/// Rounding cuts whose coefficients a list keeps.
const MOST_KNOWN: usize = 250;

/// Worth of a filling that holds what must not be used.
const BANNED: i64 = -(1 << 60);

/// Coefficients of all columns in one rounding cut.
#[derive(Debug, Clone, Default)]
pub(in super::super) struct Coefficients {
    fillings: BTreeMap<Key, Vec<i64>>,
    cuts: BTreeMap<Mode, Vec<i64>>,
    /// The largest, whatever its sign.
    largest: i64,
}

/// The listed columns at some values: the best of each span and board.
pub(in super::super) struct Offers<'a> {
    fillings: BTreeMap<Key, Offer<'a, Rips>>,
    spans: BTreeMap<Key, i64>,
    cuts: BTreeMap<Mode, Offer<'a, Cut>>,
}

struct Offer<'a, T> {
    worth: Vec<i64>,
    best: i64,
    list: &'a [T],
}

impl<'a, T> Offer<'a, T> {
    fn new(list: &'a [T], worth: Vec<i64>) -> Self {
        let best = worth.iter().copied().max().unwrap_or(0);
        Self { worth, best, list }
    }

    fn within(&self, loss: i128) -> impl Iterator<Item = &T> {
        let best = i128::from(self.best);
        self.list.iter().zip(&self.worth).filter(move |(_, worth)| best - i128::from(**worth) <= loss).map(|(t, _)| t)
    }

    fn first(&self) -> Option<&T> {
        self.worth.iter().position(|&worth| worth == self.best).map(|at| &self.list[at])
    }
}

impl Lists {
    /// What the columns are worth at these values.
    pub(in super::super) fn price(&self, model: &Model, values: &Values) -> Offers<'_> {
        let rounded: Vec<(Rc<Coefficients>, i64)> =
            values.rounded.iter().map(|(sum, dual)| (self.coefficients(model, sum), *dual)).collect();
        if self.known.borrow().len() > MOST_KNOWN {
            self.forget();
        }
        let fillings: BTreeMap<Key, Offer<'_, Rips>> = self
            .fillings
            .iter()
            .map(|(&key, list)| {
                let mut worths: Vec<i64> = list.iter().map(|rips| worth(model, values, rips)).collect();
                for (known, dual) in &rounded {
                    worths.iter_mut().zip(&known.fillings[&key]).for_each(|(worth, times)| *worth += times * dual);
                }
                (key, Offer::new(list, worths))
            })
            .collect();
        let spans: BTreeMap<Key, i64> =
            fillings.iter().map(|(&key, offer)| (key, offer.best.max(0) + values.span(key.0, key.1, key.2))).collect();
        let cuts = self
            .cuts
            .iter()
            .map(|(&mode, list)| {
                let worth = of_spans(model, mode, &spans);
                let of_cut = |cut: &Cut| cut.iter().map(|&(span, n)| worth[span] * i64::from(n)).sum();
                let mut worths: Vec<i64> = list.iter().map(of_cut).collect();
                for (known, dual) in &rounded {
                    worths.iter_mut().zip(&known.cuts[&mode]).for_each(|(worth, times)| *worth += times * dual);
                }
                (mode, Offer::new(list, worths))
            })
            .collect();
        Offers { fillings, spans, cuts }
    }

    /// The coefficients of the listed columns in a rounding cut.
    fn coefficients(&self, model: &Model, sum: &Rc<Rounded>) -> Rc<Coefficients> {
        if let Some((_, known)) = self.known.borrow().iter().find(|(known, _)| Rc::ptr_eq(known, sum)) {
            return Rc::clone(known);
        }
        self.made.set(self.made.get() + sum.own_work() * self.len() as u64);
        let inner: Vec<(Rc<Coefficients>, i64)> =
            sum.inner().iter().map(|(inner, times)| (self.coefficients(model, inner), *times)).collect();
        let fillings = self.fillings.iter().map(|(&key, list)| {
            let inner: Vec<(&[i64], i64)> =
                inner.iter().map(|(known, times)| (&known.fillings[&key][..], *times)).collect();
            let of_rips = |(at, rips): (usize, &Rips)| {
                sum.of_rips(model, rips, inner.iter().map(|(known, times)| known[at] * times).sum())
            };
            (key, list.iter().enumerate().map(of_rips).collect())
        });
        let fillings: BTreeMap<Key, Vec<i64>> = fillings.collect();
        let cuts = self.cuts.iter().map(|(&mode, list)| {
            let inner: Vec<(&[i64], i64)> =
                inner.iter().map(|(known, times)| (&known.cuts[&mode][..], *times)).collect();
            let of_cut = |(at, spans): (usize, &Cut)| {
                sum.of_cut(mode, spans, inner.iter().map(|(known, times)| known[at] * times).sum())
            };
            (mode, list.iter().enumerate().map(of_cut).collect())
        });
        let cuts: BTreeMap<Mode, Vec<i64>> = cuts.collect();
        let all = fillings.values().chain(cuts.values()).flatten();
        let largest = all.map(|times| times.abs()).max().unwrap_or(0);
        let found = Rc::new(Coefficients { fillings, cuts, largest });
        self.known.borrow_mut().push((Rc::clone(sum), Rc::clone(&found)));
        found
    }

    /// The largest coefficient of a listed column in a rounding cut.
    pub(in super::super) fn largest(&self, model: &Model, sum: &Rc<Rounded>) -> i64 {
        self.coefficients(model, sum).largest
    }

    /// Forgets the coefficients of rounding cuts, which take more room than the list.
    pub(in super::super) fn forget(&self) {
        self.known.borrow_mut().clear();
    }

    /// The lists without the columns that lose more than `loss`; `None` when few do.
    pub(in super::super) fn shortened(&self, offers: &Offers<'_>, loss: i128) -> Option<Self> {
        let fillings: BTreeMap<Key, Vec<Rips>> =
            offers.fillings.iter().map(|(&key, offer)| (key, offer.within(loss).cloned().collect())).collect();
        let cuts = offers.cuts.iter().map(|(&mode, offer)| (mode, offer.within(loss).cloned().collect())).collect();
        let lists = Self { fillings, cuts, ..Self::default() };
        (lists.len() * 10 < self.len() * 9).then(|| lists.with_members())
    }
}

impl Offers<'_> {
    /// Worth of the best board of a mode; `None` when no plan holds one.
    pub(in super::super) fn board(&self, mode: Mode) -> Option<i64> {
        self.cuts.get(&mode).filter(|offer| !offer.list.is_empty()).map(|offer| offer.best)
    }

    /// Worth of a span's best filling without what the span itself is worth, and that filling.
    pub(in super::super) fn filling(&self, key: Key) -> Option<(i64, &Rips)> {
        self.fillings.get(&key).and_then(|offer| Some((offer.best, offer.first()?)))
    }

    /// The best cut of a mode.
    pub(in super::super) fn cut(&self, mode: Mode) -> Option<&Cut> {
        self.cuts.get(&mode).and_then(Offer::first)
    }

    /// The cut of a mode that is worth most when spans are worth so much.
    pub(in super::super) fn best_cut(&self, mode: Mode, span: impl Fn(usize) -> i64) -> Option<(i64, &Cut)> {
        let worth = |cut: &Cut| cut.iter().map(|&(at, n)| span(at) * i64::from(n)).sum::<i64>();
        let list = self.cuts.get(&mode)?.list;
        list.iter().map(|cut| (worth(cut), cut)).max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(a.1)))
    }

    /// The spans that are cut.
    pub(in super::super) fn keys(&self) -> impl Iterator<Item = Key> + '_ {
        self.spans.keys().copied()
    }
}

/// Worth of each span that boards of a mode are cut into, by its place.
fn of_spans(model: &Model, mode: Mode, worth: &BTreeMap<Key, i64>) -> Vec<i64> {
    let mut spans = vec![0; model.layouts[mode.layout].spans.len()];
    let keys = (mode.layout, mode.class, 0)..(mode.layout, mode.class + 1, 0);
    for (&(.., span), &worth) in worth.range(keys) {
        spans[span] = worth;
    }
    spans
}

/// What a filling is worth.
fn worth(model: &Model, values: &Values, rips: &Rips) -> i64 {
    if rips.rips.iter().any(|(hold, _)| values.bans(hold.variant)) {
        return BANNED;
    }
    let at = (rips.layout, rips.span);
    let fill = model.layouts[rips.layout].fill(rips.class, rips.group).unwrap_or(0);
    let leaves = model.leaves(rips.layout, rips.class, rips.group);
    let of_rip = |&(hold, count): &(Hold, u32)| values.rip(at, fill, model.units(hold, leaves)) * i64::from(count);
    rips.rips.iter().map(of_rip).sum::<i64>() + values.fill(rips.layout, rips.group, rips.span)
}
