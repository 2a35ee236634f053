//! Every choice of things that fits a room and is worth enough.

/// Something to be put into a room, up to so many times.
#[derive(Debug, Clone, Copy)]
pub(super) struct Thing {
    pub(super) size: i64,
    pub(super) value: i64,
    pub(super) most: u32,
}

/// Takes a choice, each thing with how often; false says stop.
pub(super) type Take<'a> = dyn FnMut(&[(usize, u32)]) -> bool + 'a;

/// Every choice of one thing or more that fits the room and is worth `least`; `None` when `take` says stop
/// or the steps run out.
pub(super) fn choose(things: &[Thing], room: i64, least: i64, steps: &mut u32, take: &mut Take<'_>) -> Option<()> {
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
    use std::collections::BTreeSet;

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
