//! Every cut and filling that a plan from a given set of boards can hold.
//!
//! With the boards given, what they are worth at most and what is needed lie close together. All
//! that a plan loses against the best cut of each board and the best filling of each span must fit
//! between: whatever loses more by itself is in no plan. What is left is often short enough to be
//! written down (the enumeration of routes within the gap, Baldacci, Christofides and Mingozzi 2008,
//! carried over from vehicles to boards). Pricing then runs through the lists, and the further the
//! search goes the shorter they get.

mod choose;
mod offers;

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use choose::{Thing, choose};
use offers::Coefficients;
pub(super) use offers::Offers;

use super::master::{Column, Key, Rounded};
use super::model::{Hold, Mode};
use super::pricing::{Priced, Pricer, Rips, Values};

/// Columns a list may hold; with more the knapsacks are faster.
const MOST_COLUMNS: usize = 6_000;
/// Steps of the search for them.
const MOST_STEPS: u32 = 300_000;
/// Work of one such step and of pricing one column, in touched cells.
const STEP_WORK: u64 = 2;
const COLUMN_WORK: u64 = 8;

/// Spans of one board, each with how many are equal.
type Cut = Vec<(usize, u32)>;

/// The columns that are left.
#[derive(Debug, Clone, Default)]
pub(super) struct Lists {
    fillings: BTreeMap<Key, Vec<Rips>>,
    cuts: BTreeMap<Mode, Vec<Cut>>,
    members: BTreeSet<Column>,
    /// Coefficients of the columns in rounding cuts that priced them.
    known: RefCell<Vec<(Rc<Rounded>, Rc<Coefficients>)>>,
    /// Work of making them.
    made: Cell<u64>,
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
        let mut steps = MOST_STEPS;
        let lists = i64::try_from(loss).ok();
        let lists = lists.and_then(|loss| Self::within(pricer, (values, priced, need), boards, (loss, &mut steps)));
        (lists, STEP_WORK * u64::from(MOST_STEPS - steps))
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
                found.len() < MOST_COLUMNS
            })?;
            keys.extend(found.iter().flatten().map(|&(span, _)| (mode.layout, mode.class, span)));
            lists.cuts.insert(mode, found);
        }
        for key in keys {
            let found = fillings(pricer, key, (values, priced, need), loss, steps)?;
            lists.fillings.insert(key, found);
        }
        (lists.len() <= MOST_COLUMNS).then(|| lists.with_members())
    }

    /// Work of running through the lists once, and of the coefficients made since the last time it was asked for.
    pub(super) fn work(&self) -> u64 {
        COLUMN_WORK * self.len() as u64 + self.made.take()
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

    /// Spans of a listed cut, at most.
    pub(super) fn most_spans(&self) -> i64 {
        let spans = |cut: &Cut| cut.iter().map(|&(_, n)| i64::from(n)).sum::<i64>();
        self.cuts.values().flatten().map(spans).max().unwrap_or(0)
    }

    /// True for a column that a plan can hold.
    pub(super) fn holds(&self, column: &Column) -> bool {
        self.members.contains(column)
    }
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
            found.len() < MOST_COLUMNS
        })?;
    }
    Some(found)
}
