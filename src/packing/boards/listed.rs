//! Every cut and filling that a plan from a given set of boards can hold.
//!
//! With the boards given, what they are worth at most and what is needed lie close together. All
//! that a plan loses against the best cut of each board and the best filling of each span must fit
//! between: whatever loses more by itself is in no plan. What is left is often short enough to be
//! written down (the enumeration of routes within the gap, Baldacci, Christofides and Mingozzi 2008,
//! carried over from vehicles to boards). Pricing then runs through the lists, and the further the
//! search goes the shorter they get.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::master::{Column, Rounded};
use super::model::{Hold, Mode, Model};
use super::pricing::{Priced, Pricer, Rips, Values};

/// Columns a list may hold; with more the knapsacks are faster.
pub(super) fn knob(name: &str, usual: usize) -> usize {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}
static MC: std::sync::LazyLock<usize> = std::sync::LazyLock::new(|| knob("MC", 3000));
static MS: std::sync::LazyLock<usize> = std::sync::LazyLock::new(|| knob("MS", 300000));

/// Steps of the search for them.


/// Cuts whose coefficients are kept.
const MOST_KNOWN: usize = 60;

/// Work of one such step and of pricing one column, in touched cells.
const STEP_WORK: u64 = 2;
const COLUMN_WORK: u64 = 4;

/// Worth of a filling that holds what must not be used.
const BANNED: i64 = -(1 << 60);

/// Layout, class and span.
type Key = (usize, usize, usize);
/// Spans of one board, each with how many are equal.
type Cut = Vec<(usize, u32)>;

/// The columns that are left.
#[derive(Debug, Clone, Default)]
pub(super) struct Lists {
    fillings: BTreeMap<Key, Vec<Rips>>,
    cuts: BTreeMap<Mode, Vec<Cut>>,
    members: BTreeSet<Column>,
    /// Coefficients of the columns in cuts that priced them.
    known: RefCell<Vec<(Rc<Rounded>, Rc<Coefficients>)>>,
}

/// Coefficients of all columns in one cut.
#[derive(Debug, Clone, Default)]
pub(super) struct Coefficients {
    fillings: BTreeMap<Key, Vec<i64>>,
    cuts: BTreeMap<Mode, Vec<i64>>,
}

/// The listed columns at some values: the best of each span and board.
pub(super) struct Offers<'a> {
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
    /// All columns that lose no more than `loss` at these values, where there are not too many, and the
    /// work of looking for them. `boards` says how many there are of each kind.
    pub(super) fn new(
        pricer: &Pricer<'_>,
        (values, priced, need): (&Values, &Priced, &[u32]),
        boards: &[u32],
        loss: i128,
    ) -> (Option<Self>, u64) {
        let mut steps = (*MS as u32);
        let lists = i64::try_from(loss).ok();
        let lists = lists.and_then(|loss| Self::within(pricer, (values, priced, need), boards, (loss, &mut steps)));
        (lists, STEP_WORK * u64::from((*MS as u32) - steps))
    }

    fn within(
        pricer: &Pricer<'_>,
        (values, priced, need): (&Values, &Priced, &[u32]),
        boards: &[u32],
        (loss, steps): (i64, &mut u32),
    ) -> Option<Self> {
        let model = pricer.model;
        let mut lists = Self::default();
        let mut keys: BTreeSet<Key> = BTreeSet::new();
        for &mode in model.modes.iter().filter(|mode| boards[mode.kind] > 0) {
            let [run] = model.layouts[mode.layout].runs(mode)[..] else { return None };
            let layout = &model.layouts[mode.layout];
            let things: Vec<Thing> = (0..layout.spans.len())
                .map(|span| Thing {
                    size: layout.spans[span].size,
                    value: priced.span(mode.layout, mode.class, span),
                    most: u32::MAX,
                })
                .collect();
            let room = layout.along.sum(run);
            let mut found = Vec::new();
            choose(&things, room, priced.board(mode).saturating_sub(loss), steps, &mut |cut| {
                found.push(cut.to_vec());
                found.len() < *MC
            })?;
            keys.extend(found.iter().flatten().map(|&(span, _)| (mode.layout, mode.class, span)));
            lists.cuts.insert(mode, found);
        }
        for key in keys {
            let found = fillings(pricer, key, (values, priced, need), loss, steps)?;
            lists.fillings.insert(key, found);
        }
        (lists.len() <= *MC).then(|| lists.with_members())
    }

    /// Work of running through the lists once.
    pub(super) fn work(&self) -> u64 {
        COLUMN_WORK * self.len() as u64
    }

    pub(super) fn len(&self) -> usize {
        self.fillings.values().map(Vec::len).sum::<usize>() + self.cuts.values().map(Vec::len).sum::<usize>()
    }

    fn with_members(mut self) -> Self {
        let fillings = self.fillings.values().flatten().map(|rips| Column::Rips(rips.clone()));
        let cuts = self.cuts.iter().flat_map(|(mode, cuts)| cuts.iter().map(|cut| Column::Cut(*mode, cut.clone())));
        self.members = fillings.chain(cuts).collect();
        self
    }

    /// True for a column that a plan can hold.
    pub(super) fn holds(&self, column: &Column) -> bool {
        self.members.contains(column)
    }

    /// What the columns are worth at these values.
    pub(super) fn price(&self, model: &Model, values: &Values) -> Offers<'_> {
        let cuts: Vec<(Rc<Coefficients>, i64)> =
            values.cuts.iter().map(|(cut, dual)| (self.coefficients(model, cut), *dual)).collect();
        self.forget(values);
        let fillings: BTreeMap<Key, Offer<'_, Rips>> = self
            .fillings
            .iter()
            .map(|(&key, list)| {
                let mut worths: Vec<i64> = list.iter().map(|rips| worth(model, values, rips)).collect();
                for (known, dual) in &cuts {
                    worths.iter_mut().zip(&known.fillings[&key]).for_each(|(worth, times)| *worth += times * dual);
                }
                (key, Offer::new(list, worths))
            })
            .collect();
        let spans: BTreeMap<Key, i64> =
            fillings.iter().map(|(&key, offer)| (key, offer.best.max(0) + values.span(key.0, key.1, key.2))).collect();
        let of_cut = |mode: Mode, cut: &Cut| {
            cut.iter().map(|&(span, n)| spans[&(mode.layout, mode.class, span)] * i64::from(n)).sum::<i64>()
        };
        let cuts = self
            .cuts
            .iter()
            .map(|(&mode, list)| {
                let mut worths: Vec<i64> = list.iter().map(|cut| of_cut(mode, cut)).collect();
                for (known, dual) in &cuts {
                    worths.iter_mut().zip(&known.cuts[&mode]).for_each(|(worth, times)| *worth += times * dual);
                }
                (mode, Offer::new(list, worths))
            })
            .collect();
        Offers { fillings, spans, cuts }
    }

    /// The coefficients of the listed columns in a cut.
    fn coefficients(&self, model: &Model, cut: &Rc<Rounded>) -> Rc<Coefficients> {
        if let Some((_, known)) = self.known.borrow().iter().find(|(known, _)| Rc::ptr_eq(known, cut)) {
            return Rc::clone(known);
        }
        let inner: Vec<(Rc<Coefficients>, i64)> =
            cut.inner().iter().map(|(inner, times)| (self.coefficients(model, inner), *times)).collect();
        let fillings = self.fillings.iter().map(|(&key, list)| {
            let of_rips = |(at, rips): (usize, &Rips)| {
                let more = inner.iter().map(|(known, times)| known.fillings[&key][at] * times).sum();
                cut.of_rips_with(model, rips, &rips.units(model), more)
            };
            (key, list.iter().enumerate().map(of_rips).collect())
        });
        let fillings = fillings.collect();
        let cuts = self.cuts.iter().map(|(&mode, list)| {
            let of_cut = |(at, spans): (usize, &Cut)| {
                let more = inner.iter().map(|(known, times)| known.cuts[&mode][at] * times).sum();
                cut.of_cut_with(mode, spans, more)
            };
            (mode, list.iter().enumerate().map(of_cut).collect())
        });
        let found = Rc::new(Coefficients { fillings, cuts: cuts.collect() });
        self.known.borrow_mut().push((Rc::clone(cut), Rc::clone(&found)));
        found
    }

    /// Forgets the coefficients of cuts that are no longer used, once there are many.
    fn forget(&self, values: &Values) {
        let mut known = self.known.borrow_mut();
        if known.len() > MOST_KNOWN {
            known.retain(|(known, _)| values.cuts.iter().any(|(cut, _)| Rc::ptr_eq(known, cut)));
        }
    }

    /// The lists without the columns that lose more than `loss`; `None` when few do.
    pub(super) fn shortened(&self, offers: &Offers<'_>, loss: i128) -> Option<Self> {
        let fillings: BTreeMap<Key, Vec<Rips>> =
            offers.fillings.iter().map(|(&key, offer)| (key, offer.within(loss).cloned().collect())).collect();
        let cuts = offers.cuts.iter().map(|(&mode, offer)| (mode, offer.within(loss).cloned().collect())).collect();
        let lists = Self { fillings, cuts, ..Self::default() };
        (lists.len() * 10 < self.len() * 9).then(|| lists.with_members())
    }
}

impl Offers<'_> {
    /// Worth of the best board of a mode; `None` when no plan holds one.
    pub(super) fn board(&self, mode: Mode) -> Option<i64> {
        self.cuts.get(&mode).filter(|offer| !offer.list.is_empty()).map(|offer| offer.best)
    }

    /// Worth of a span's best filling without what the span itself is worth, and that filling.
    pub(super) fn filling(&self, key: Key) -> Option<(i64, &Rips)> {
        self.fillings.get(&key).and_then(|offer| Some((offer.best, offer.first()?)))
    }

    /// The best cut of a mode.
    pub(super) fn cut(&self, mode: Mode) -> Option<&Cut> {
        self.cuts.get(&mode).and_then(Offer::first)
    }

    /// The cut of a mode that is worth most when spans are worth so much.
    pub(super) fn best_cut(&self, mode: Mode, span: impl Fn(usize) -> i64) -> Option<(i64, &Cut)> {
        let worth = |cut: &Cut| cut.iter().map(|&(at, n)| span(at) * i64::from(n)).sum::<i64>();
        let list = self.cuts.get(&mode)?.list;
        list.iter().map(|cut| (worth(cut), cut)).max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(a.1)))
    }

    /// The spans that are cut.
    pub(super) fn keys(&self) -> impl Iterator<Item = Key> + '_ {
        self.spans.keys().copied()
    }
}

/// What a filling is worth.
fn worth(model: &Model, values: &Values, rips: &Rips) -> i64 {
    if rips.rips.iter().any(|(hold, _)| values.bans(hold.variant)) {
        return BANNED;
    }
    let at = (rips.layout, rips.span);
    let fill = model.layouts[rips.layout].fill(rips.class, rips.group).unwrap_or(0);
    let of_rip = |&(hold, count): &(Hold, u32)| {
        let units = model.yields(rips.layout, rips.class, hold);
        values.rip(at, fill, (model.variants[hold.variant].part, units)) * i64::from(count)
    };
    rips.rips.iter().map(of_rip).sum::<i64>() + values.fill(rips.layout, rips.group, rips.span)
}

/// All fillings of a span that lose no more than `loss`.
fn fillings(
    pricer: &Pricer<'_>,
    (at, class, span): Key,
    (values, priced, need): (&Values, &Priced, &[u32]),
    loss: i64,
    steps: &mut u32,
) -> Option<Vec<Rips>> {
    let model = pricer.model;
    let layout = &model.layouts[at];
    let least = (priced.span(at, class, span) - values.span(at, class, span)).saturating_sub(loss);
    let mut found = Vec::new();
    for (fill, &known) in layout.fills.iter().enumerate() {
        let Some(rooms) = layout.rooms(class, known) else { continue };
        let &[room] = rooms else { return None };
        let holds: Vec<Hold> = pricer.usable((at, span), known.group, (values, need)).collect();
        let things: Vec<Thing> = holds
            .iter()
            .map(|&hold| {
                let part = model.variants[hold.variant].part;
                let units = model.yields(at, class, hold);
                let value = values.rip((at, span), fill, (part, units));
                Thing { size: layout.sizes[hold.variant], value, most: need[part].div_ceil(units.max(1)) }
            })
            .collect();
        let more = values.fill(at, known.group, span);
        choose(&things, layout.across[known.group].sum(room), least - more, steps, &mut |taken| {
            let mut rips: Vec<(Hold, u32)> = taken.iter().map(|&(at, n)| (holds[at], n)).collect();
            rips.sort_unstable();
            let rips = Rips { layout: at, class, span, group: known.group, rips };
            if model.is_tight(&rips) {
                found.push(rips);
            }
            found.len() < *MC
        })?;
    }
    Some(found)
}

/// Something to be put into a room, up to so many times.
#[derive(Debug, Clone, Copy)]
struct Thing {
    size: i64,
    value: i64,
    most: u32,
}

/// Takes a choice, each thing with how often; false says stop.
type Take<'a> = dyn FnMut(&[(usize, u32)]) -> bool + 'a;

/// Every choice of one thing or more that fits the room and is worth `least`; `None` when `take` says stop
/// or the steps run out.
fn choose(things: &[Thing], room: i64, least: i64, steps: &mut u32, take: &mut Take<'_>) -> Option<()> {
    let mut order: Vec<usize> = (0..things.len()).collect();
    let density = |at: usize| (i128::from(things[at].value), i128::from(things[at].size.max(1)));
    order.sort_by(|&a, &b| {
        let ((v, s), (w, t)) = (density(a), density(b));
        (w * s).cmp(&(v * t)).then(a.cmp(&b))
    });
    Chooser { things, order, least, steps, take, taken: Vec::new() }.go(0, room, 0)
}

struct Chooser<'a> {
    things: &'a [Thing],
    /// Most worth for its size first.
    order: Vec<usize>,
    least: i64,
    steps: &'a mut u32,
    take: &'a mut Take<'a>,
    taken: Vec<(usize, u32)>,
}

impl Chooser<'_> {
    fn go(&mut self, next: usize, room: i64, worth: i64) -> Option<()> {
        *self.steps = self.steps.checked_sub(1)?;
        let Some(&at) = self.order.get(next) else {
            if worth < self.least || self.taken.is_empty() {
                return Some(());
            }
            let mut taken = self.taken.clone();
            taken.sort_unstable();
            return (self.take)(&taken).then_some(());
        };
        let Thing { size, value, most } = self.things[at];
        // No room is worth more than filled with what is worth most for its size.
        let more = i128::from(value.max(0)) * i128::from(room) / i128::from(size.max(1));
        if i128::from(worth) + more < i128::from(self.least) {
            return Some(());
        }
        let fits = u32::try_from(room / size.max(1)).unwrap_or(u32::MAX).min(most);
        for count in (0..=fits).rev() {
            if count > 0 {
                self.taken.push((at, count));
            }
            self.go(next + 1, room - size * i64::from(count), worth + value * i64::from(count))?;
            if count > 0 {
                self.taken.pop();
            }
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every choice, one thing after another.
    fn plain(things: &[Thing], room: i64, worth: i64, least: i64) -> BTreeSet<Vec<u32>> {
        let Some((last, rest)) = things.split_last() else {
            return if room >= 0 && worth >= least { BTreeSet::from([Vec::new()]) } else { BTreeSet::new() };
        };
        let with = |count: u32| {
            let (size, value) = (last.size * i64::from(count), last.value * i64::from(count));
            let choices = if size > room { BTreeSet::new() } else { plain(rest, room - size, worth + value, least) };
            choices.into_iter().map(move |mut choice| {
                choice.push(count);
                choice
            })
        };
        (0..=last.most).flat_map(with).collect()
    }

    proptest! {
        #[test]
        fn every_choice_that_is_worth_enough_is_found_once(
            things in prop::collection::vec((1i64..9, -4i64..20, 0u32..4), 1..5),
            room in 0i64..25,
            least in -5i64..60,
        ) {
            let things: Vec<Thing> =
                things.into_iter().map(|(size, value, most)| Thing { size, value, most }).collect();
            let (mut found, mut steps) = (Vec::new(), u32::MAX);
            choose(&things, room, least, &mut steps, &mut |taken| {
                let mut counts = vec![0; things.len()];
                taken.iter().for_each(|&(at, n)| counts[at] = n);
                found.push(counts);
                true
            })
            .unwrap();
            let mut known = plain(&things, room, 0, least);
            known.remove(&vec![0; things.len()]);
            prop_assert_eq!(found.len(), known.len());
            prop_assert_eq!(found.into_iter().collect::<BTreeSet<_>>(), known);
        }
    }

    #[test]
    fn a_search_that_takes_too_long_is_given_up() {
        let things = vec![Thing { size: 1, value: 1, most: 100 }; 8];
        assert_eq!(choose(&things, 100, 0, &mut 1_000, &mut |_| true), None);
        assert_eq!(choose(&things, 100, 0, &mut u32::MAX.clone(), &mut |_| false), None);
    }
}
