//! What lies in one span: the best rips, and the one without which a shorter span would do.

use super::{Key, Priced, Pricer, Rips, Values};
use crate::packing::boards::knapsack::{self, Choice, Times};
use crate::packing::boards::model::Hold;

impl Pricer<'_> {
    /// The rip that a span must hold to be of use, with the worth of all rips then; `best` holds the
    /// worth of every room across.
    pub(super) fn key_rip(
        &self,
        (at, span): (usize, usize),
        (fill, rooms): (usize, &[usize]),
        (values, need): (&Values, &[u32]),
        best: &[i64],
    ) -> Key {
        let layout = &self.model.layouts[at];
        let group = layout.fills[fill].group;
        let keys = match &layout.spans[span].keys[group] {
            Some(keys) if !values.loose => keys,
            _ => return Key::Any,
        };
        let filled: i64 = rooms.iter().map(|&room| best[room]).sum();
        let mut key = Key::None;
        for hold in self.usable((at, span), group, (values, need)).filter(|hold| keys.contains(&hold.variant)) {
            let Some((first, steps)) = self.across[at][hold.variant].first() else { continue };
            let part = self.model.variants[hold.variant].part;
            let units = hold.pieces * layout.fills[fill].leaves / self.model.parts[part].unit;
            let value = values.rip((at, span), fill, (part, units));
            for (room, &size) in rooms.iter().enumerate() {
                // Rooms are sorted: a shorter one holds the rip no better.
                let Some(&left) = size.checked_sub(*first).and_then(|at| steps.get(at)) else { break };
                let worth = value + filled - best[size] + best[left as usize];
                if !matches!(key, Key::With { worth: known, .. } if known >= worth) {
                    key = Key::With { hold, room, worth };
                }
            }
        }
        key
    }

    /// The best rips of a span, priced with the same values and needs; `None` when it is of no use.
    pub(in super::super) fn rips(
        &self,
        priced: &Priced,
        (layout, class, span): (usize, usize, usize),
        values: &Values,
        need: &[u32],
    ) -> Option<Rips> {
        let (_, group) = priced.spans[layout][class][span];
        self.rips_of((layout, class, span), group, values, need)
    }

    /// Holds of a group in a span that may be used and are needed.
    pub(in super::super) fn usable(
        &self,
        (layout, span): (usize, usize),
        group: usize,
        (values, need): (&Values, &[u32]),
    ) -> impl Iterator<Item = Hold> {
        let may = move |hold: &Hold| need[self.model.variants[hold.variant].part] > 0 && !values.bans(hold.variant);
        self.holds[layout][span][group].iter().copied().filter(may)
    }

    /// The most valuable rip that fits, with its worth.
    pub(super) fn any_rip(
        &self,
        at: (usize, usize),
        (fill, room): (usize, usize),
        (values, need): (&Values, &[u32]),
    ) -> Option<(Hold, i64)> {
        let known = &self.model.layouts[at.0];
        let group = known.fills[fill].group;
        let fits = |hold: &Hold| known.sizes[hold.variant] <= known.across[group].sum(room);
        let worth = |hold: Hold| {
            let part = self.model.variants[hold.variant].part;
            let units = hold.pieces * known.fills[fill].leaves / self.model.parts[part].unit;
            (hold, values.rip(at, fill, (part, units)))
        };
        self.usable(at, group, (values, need)).filter(fits).map(worth).max_by_key(|&(_, worth)| worth)
    }

    /// The best rips of one group in a span; `None` when nothing there is of use.
    pub(in super::super) fn rips_of(
        &self,
        (layout, class, span): (usize, usize, usize),
        group: usize,
        values: &Values,
        need: &[u32],
    ) -> Option<Rips> {
        let rooms = &self.model.layouts[layout].classes[class].rooms[group].as_ref()?.rooms;
        let fill = self.model.layouts[layout].fill(class, group)?;
        let mut choices = Vec::new();
        self.choose((layout, span), fill, (values, need), &mut choices);
        let plain: Vec<(Choice<'_>, Times)> = choices.iter().map(|&(choice, times, ..)| (choice, times)).collect();
        let mut best = vec![0; rooms[0] + 1];
        plain.iter().for_each(|&(choice, times)| knapsack::fill(&mut best, choice, times));
        let wanted = (values, need);
        let mut left = rooms.clone();
        let key = match self.key_rip((layout, span), (fill, rooms), wanted, &best) {
            Key::Any => None,
            Key::None => return None,
            Key::With { hold, room, .. } => {
                let (first, steps) = self.across[layout][hold.variant].first()?;
                left[room] = *steps.get(left[room].checked_sub(*first)?)? as usize;
                Some(hold)
            }
        };
        let mut counts = vec![0; plain.len()];
        for room in left {
            counts.iter_mut().zip(knapsack::taken(&plain, room)).for_each(|(count, more)| *count += more);
        }
        let mut rips: Vec<(Hold, u32)> = Vec::new();
        for (&(_, _, hold, each), count) in choices.iter().zip(counts) {
            match rips.last_mut() {
                Some(last) if last.0 == hold => last.1 += each * count,
                _ => rips.push((hold, each * count)),
            }
        }
        rips.retain(|&(_, count)| count > 0);
        if let Some(hold) = key {
            match rips.iter_mut().find(|(known, _)| *known == hold) {
                Some((_, count)) => *count += 1,
                None => rips.push((hold, 1)),
            }
            rips.sort_unstable();
        }
        if rips.is_empty() && values.fill(layout, group, span) > 0 {
            // What is asked for is a filled span, whatever it holds.
            rips.extend(self.any_rip((layout, span), (fill, rooms[0]), (values, need)).map(|(hold, _)| (hold, 1)));
        }
        (!rips.is_empty()).then_some(Rips { layout, class, span, group, rips })
    }
}
