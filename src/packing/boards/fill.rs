//! Whole boards filled one by one for what is still needed.

use super::model::{Mode, Model};
use super::place;
use super::pricing::{Pricer, Rips, Values};
use super::root::Pattern;

/// What is still to be cut, from what is still there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rest {
    pub(super) need: Vec<u32>,
    pub(super) stock: Vec<Option<u32>>,
    /// Variants not to be used, so that each part keeps to one milling.
    pub(super) banned: Vec<bool>,
}

/// Boards with how many are cut alike.
pub(super) type Boards = Vec<(Pattern, u32)>;

impl Rest {
    pub(super) fn whole(model: &Model) -> Self {
        Self {
            need: model.parts.iter().map(|part| part.need).collect(),
            stock: model.kinds.iter().map(|kind| kind.available).collect(),
            banned: Vec::new(),
        }
    }

    /// Values for pricing what is left.
    pub(super) fn values(&self, part: Vec<i64>) -> Values {
        Values { part, banned: self.banned.clone(), ..Values::default() }
    }

    pub(super) fn is_covered(&self) -> bool {
        self.need.iter().all(|&units| units == 0)
    }

    /// Takes out `count` boards of a pattern.
    pub(super) fn cut(&mut self, pattern: &Pattern, count: u32) {
        for &(part, units) in &pattern.units {
            self.need[part] = self.need[part].saturating_sub(units.saturating_mul(count));
        }
        if let Some(left) = &mut self.stock[pattern.mode.kind] {
            *left = left.saturating_sub(count);
        }
    }

    /// How often a pattern can be cut without cutting more of any part than is needed.
    pub(super) fn times(&self, pattern: &Pattern) -> u32 {
        let needed = pattern.units.iter().map(|&(part, units)| self.need[part] / units.max(1)).min().unwrap_or(0);
        self.stock[pattern.mode.kind].map_or(needed, |left| left.min(needed))
    }
}

/// Price of boards in cents.
pub(super) fn cost(model: &Model, boards: &Boards) -> i64 {
    boards.iter().map(|(pattern, count)| model.kinds[pattern.mode.kind].cost * i64::from(*count)).sum()
}

/// Fills one board span by span: after each the needs shrink, so nothing is cut that is not needed.
pub(super) fn board(pricer: &Pricer<'_>, mode: Mode, values: &Values, need: &[u32]) -> Pattern {
    let model = pricer.model;
    let values = &Values { loose: true, ..values.clone() };
    let mut need = need.to_vec();
    let mut spans: Vec<(Rips, u32)> = Vec::new();
    for &run in model.layouts[mode.layout].runs(mode) {
        let mut room = run;
        loop {
            let best = pricer.price_room(mode, room, values, &need);
            let Some(&(span, group, _)) = best.iter().max_by_key(|(_, _, worth)| *worth) else { break };
            let Some(rips) = pricer.rips_of((mode.layout, mode.class, span), group, values, &need) else { break };
            for (part, units) in rips.units(model) {
                need[part] = need[part].saturating_sub(units);
            }
            room = pricer.room_after(mode.layout, span, room);
            match spans.iter_mut().find(|(known, _)| *known == rips) {
                Some((_, count)) => *count += 1,
                None => spans.push((rips, 1)),
            }
        }
    }
    Pattern::new(model, mode, spans)
}

/// How many of the most promising boards are filled to see which is best.
const LOOK_AT: usize = 3;

/// Covers the rest board by board, the best value for its price first, ending with the cheapest
/// board that covers all that is left. `None` when stock runs out, the price reaches `limit`, or `goes_on`,
/// which hears of the work of every board, says so.
pub(super) fn greedy(
    pricer: &Pricer<'_>,
    rest: &Rest,
    values: &Values,
    (limit, goes_on): (i64, &mut dyn FnMut(u64) -> bool),
) -> Option<Boards> {
    let mut rest = rest.clone();
    let mut boards: Boards = Vec::new();
    let mut spent = 0;
    while !rest.is_covered() {
        let found = next_board(pricer, &rest, values, limit - spent)?;
        if !goes_on(pricer.work() + LOOK_AT as u64 * pricer.board_work(found.mode)) {
            return None;
        }
        let times = rest.times(&found).max(1);
        rest.cut(&found, times);
        spent += pricer.model.kinds[found.mode.kind].cost * i64::from(times);
        if spent >= limit {
            return None;
        }
        boards.push((found, times));
    }
    Some(boards)
}

fn next_board(pricer: &Pricer<'_>, rest: &Rest, values: &Values, left: i64) -> Option<Pattern> {
    let model = pricer.model;
    let priced = pricer.price(values, &rest.need);
    let needed: i128 =
        rest.need.iter().zip(&values.part).map(|(&units, &value)| i128::from(units) * i128::from(value)).sum();
    let cost = |mode: &Mode| model.kinds[mode.kind].cost;
    let mut modes: Vec<(Mode, i64)> = model
        .modes
        .iter()
        .filter(|mode| rest.stock[mode.kind] != Some(0) && cost(mode) <= left)
        .map(|&mode| (mode, priced.board(mode)))
        .filter(|&(_, worth)| worth > 0)
        .collect();
    modes.sort_by_key(|(mode, _)| cost(mode));
    let mut last = None;
    for (mode, _) in modes.iter().filter(|(_, worth)| i128::from(*worth) >= needed) {
        let pattern = board(pricer, *mode, values, &rest.need);
        if covers(&pattern, &rest.need) {
            last = Some(pattern);
            break;
        }
    }
    // Value per cent, compared crosswise; free boards first.
    modes.sort_by(|(a, x), (b, y)| {
        (i128::from(*y) * i128::from(cost(a))).cmp(&(i128::from(*x) * i128::from(cost(b)))).then(a.cmp(b))
    });
    let worth = |pattern: &Pattern| -> i128 {
        let units =
            |&(part, units): &(usize, u32)| i128::from(units.min(rest.need[part])) * i128::from(values.part[part]);
        pattern.units.iter().map(units).sum()
    };
    let filled = modes.iter().take(LOOK_AT).map(|(mode, _)| board(pricer, *mode, values, &rest.need));
    let best = filled.filter(|pattern| worth(pattern) > 0).max_by(|a, b| {
        let rate = |x: &Pattern, y: &Pattern| worth(x) * i128::from(cost(&y.mode));
        rate(a, b).cmp(&rate(b, a)).then(b.mode.cmp(&a.mode))
    });
    match (last, best) {
        // Closing is worth it when the board costs no more than its share of what is left.
        (Some(close), Some(best)) if cost(&close.mode) <= cost(&best.mode) || worth(&best) < needed => {
            let rated = worth(&best) * i128::from(cost(&close.mode));
            Some(if rated <= needed * i128::from(cost(&best.mode)) || cost(&close.mode) <= cost(&best.mode) {
                close
            } else {
                best
            })
        }
        (Some(close), None) => Some(close),
        (_, best) => best,
    }
}

fn covers(pattern: &Pattern, need: &[u32]) -> bool {
    need.iter()
        .enumerate()
        .all(|(part, &units)| units == 0 || pattern.units.iter().any(|&(p, covered)| p == part && covered >= units))
}

/// True when boards cover every need, keep to the stock and mill each part one way, and what is cut
/// from them can be laid between their defects.
pub(super) fn serves(model: &Model, boards: &Boards, wanted: &Rest) -> bool {
    let need = &wanted.need;
    let mut units = vec![0u64; need.len()];
    let mut used = vec![0u64; model.kinds.len()];
    let mut milled = vec![None; need.len()];
    for (pattern, count) in boards {
        for (hold, _) in pattern.spans.iter().flat_map(|(rips, _)| &rips.rips) {
            let part = model.variants[hold.variant].part;
            if *milled[part].get_or_insert(hold.variant) != hold.variant {
                return false;
            }
        }
        if !place::can(model, pattern) {
            return false;
        }
        used[pattern.mode.kind] += u64::from(*count);
        for &(part, n) in &pattern.units {
            units[part] += u64::from(n) * u64::from(*count);
        }
    }
    units.iter().zip(need).all(|(&have, &need)| have >= u64::from(need))
        && used.iter().zip(&wanted.stock).all(|(&n, there)| there.is_none_or(|most| n <= u64::from(most)))
}
