//! A plan without much thought: every size in blanks (rip first: rips) that hold nothing else, whole boards of them, and what
//! is left of all sizes side by side. There at once however many sizes there are.

use std::collections::BTreeMap;

use super::fill::{Boards, Rest};
use super::model::{Hold, Mode, Model};
use super::pricing::Rips;
use super::root::Pattern;

/// A board full of one part.
struct Full {
    mode: Mode,
    hold: Hold,
    span: usize,
    /// Equal spans in the board, and rips in each.
    spans: u32,
    rips: u32,
    /// Units of the part in a span, and in the board.
    of_span: u32,
    units: u32,
}

/// What is left of each run of a board, and what lies in it.
type Half = (Vec<i64>, Vec<(Rips, u32)>);

/// Spans of one mode that are still to be laid into boards, each with its size.
type Pool = BTreeMap<Mode, Vec<(i64, Rips)>>;

/// Covers what is needed size by size, each from the boards that are cheapest by the strip; `None` where boards run out.
pub(super) fn size_by_size(model: &Model, rest: &Rest) -> Option<Boards> {
    let mut rest = rest.clone();
    let mut boards = Boards::new();
    let mut pool = Pool::new();
    for part in 0..model.parts.len() {
        let variant = variant_of(model, part, &rest)?;
        while rest.need[part] > 0 {
            let full = cheapest(model, variant, &rest)?;
            let need = rest.need[part];
            let limit = rest.stock[full.mode.kind];
            if need < full.units && limit.is_none() {
                let size = model.layouts[full.mode.layout].spans[full.span].size;
                let spans = need.div_ceil(full.of_span) as usize;
                let pool = pool.entry(full.mode).or_default();
                pool.extend(std::iter::repeat_n((size, full.rips(model)), spans));
                rest.need[part] = 0;
                continue;
            }
            let (times, spans) = match need / full.units {
                // The last board is cut as far as it takes.
                0 => (1, need.div_ceil(full.of_span)),
                times => (times, full.spans),
            };
            let times = limit.map_or(times, |left| left.min(times));
            let pattern = Pattern::new(model, full.mode, vec![(full.rips(model), spans)]);
            rest.cut(&pattern, times);
            boards.push((pattern, times));
        }
    }
    boards.extend(pool.into_iter().flat_map(|(mode, spans)| side_by_side(model, mode, spans)));
    Some(boards)
}

/// Lays spans into boards of one mode, longest first, each into the first run that has room.
fn side_by_side(model: &Model, mode: Mode, mut spans: Vec<(i64, Rips)>) -> Boards {
    spans.sort_by(|a, b| b.cmp(a));
    let layout = &model.layouts[mode.layout];
    let runs: Vec<i64> = layout.runs(mode).iter().map(|&run| layout.along.sum(run)).collect();
    let mut boards: Vec<Half> = Vec::new();
    for (size, rips) in spans {
        let fits = boards.iter().position(|(left, _)| left.iter().any(|&left| left >= size));
        let at = fits.unwrap_or_else(|| {
            boards.push((runs.clone(), Vec::new()));
            boards.len() - 1
        });
        let (left, held) = &mut boards[at];
        if let Some(run) = left.iter_mut().find(|left| **left >= size) {
            *run -= size;
        }
        match held.iter_mut().find(|(known, _)| *known == rips) {
            Some((_, count)) => *count += 1,
            None => held.push((rips, 1)),
        }
    }
    boards.into_iter().map(|(_, held)| (Pattern::new(model, mode, held), 1)).collect()
}

/// The first milling of a part that may be used and that a board yields; any, where nothing of it is needed.
fn variant_of(model: &Model, part: usize, rest: &Rest) -> Option<usize> {
    let bans = |variant: usize| rest.banned.get(variant).is_some_and(|&banned| banned);
    let mut variants = (0..model.variants.len()).filter(|&v| model.variants[v].part == part && !bans(v));
    variants.find(|&v| rest.need[part] == 0 || cheapest(model, v, rest).is_some())
}

fn cheapest(model: &Model, variant: usize, rest: &Rest) -> Option<Full> {
    let there = model.modes.iter().filter(|mode| rest.stock[mode.kind] != Some(0));
    let full = there.filter_map(|&mode| fullest(model, mode, variant));
    let need = rest.need[model.variants[variant].part].max(1);
    // Price by the strip that is needed, compared crosswise.
    full.min_by(|a, b| {
        let price = |full: &Full, other: &Full| {
            i128::from(model.kinds[full.mode.kind].cost) * i128::from(other.units.min(need))
        };
        price(a, b).cmp(&price(b, a)).then(a.mode.cmp(&b.mode))
    })
}

/// The board of a mode with as much of a variant as equal spans hold.
fn fullest(model: &Model, mode: Mode, variant: usize) -> Option<Full> {
    let layout = &model.layouts[mode.layout];
    let group = model.variants[variant].group;
    let room = layout.classes[mode.class].rooms[group].as_ref()?;
    let size = layout.sizes[variant].max(1);
    let rips: i64 = room.rooms.iter().map(|&room| layout.across[group].sum(room) / size).sum();
    let rips = u32::try_from(rips).ok()?;
    let full = |(span, known): (usize, &super::model::Span)| {
        let hold = known.holds.iter().copied().find(|hold| hold.variant == variant)?;
        let spans = u32::try_from(layout.most_spans(mode, known.size)).ok()?;
        let of_span = model.yields(mode.layout, mode.class, hold).checked_mul(rips)?;
        let units = of_span.checked_mul(spans).filter(|&units| units > 0)?;
        Some(Full { mode, hold, span, spans, rips, of_span, units })
    };
    layout.spans.iter().enumerate().filter_map(full).max_by_key(|full| (full.units, std::cmp::Reverse(full.span)))
}

impl Full {
    /// What fills one of its spans.
    fn rips(&self, model: &Model) -> Rips {
        let Mode { layout, class, .. } = self.mode;
        let group = model.variants[self.hold.variant].group;
        Rips { layout, class, span: self.span, group, rips: vec![(self.hold, self.rips)] }
    }
}

#[cfg(test)]
mod tests {
    use super::super::BoardProblem;
    use super::super::fill::serves;
    use super::super::model::Rounding;
    use super::super::samples::{bare_rules, board, strip};
    use super::*;
    use crate::job::{Millings, OrderRule};
    use crate::measure::Length;
    use crate::packing::noise::Noise;

    fn problem(seed: u64) -> BoardProblem {
        let mut noise = Noise::new(seed);
        let mut below = |limit: u64| noise.below(limit).cast_signed();
        let millings = [Millings::Flat, Millings::Edge, Millings::Any];
        let parts = (0..50).map(|at| {
            let mut strip = strip(6 + below(40), 1, 1 + u32::try_from(below(40)).unwrap());
            // On edge a strip is as thick as the board at the most.
            let widest = if at % 3 == 1 { 33 } else { 100 };
            (strip.width, strip.thickness) = (Length::from_64ths(32 + below(widest)), Length::from_64ths(24));
            strip.millings = millings[at % 3];
            strip
        });
        let mut stock = vec![board(6, 96, 3_900), board(8, 120, 6_600), board(4, 60, 0)];
        stock[2].available = Some(3);
        let mut rules = bare_rules();
        rules.rip_kerf = Length::from_64ths(8);
        rules.crosscut_kerf = Length::from_64ths(8);
        rules.order = OrderRule::Any;
        BoardProblem { parts: parts.collect(), stock, rules }
    }

    /// Every blank and every rip holds one size, and together the boards cover what is needed from what there is.
    #[test]
    fn every_size_has_blanks_of_its_own() {
        for seed in 1..20 {
            let problem = problem(seed);
            let (parts, stock) = ((0..50).collect::<Vec<_>>(), vec![0, 1, 2]);
            let model = Model::build(&problem, &parts, &stock, Rounding::Exact).unwrap();
            let whole = Rest::whole(&model);
            let boards = size_by_size(&model, &whole).unwrap();
            assert!(serves(&model, &boards, &whole), "seed {seed}");
            let mut spans = boards.iter().flat_map(|(pattern, _)| &pattern.spans);
            assert!(spans.all(|(rips, count)| rips.rips.len() == 1 && *count > 0), "seed {seed}");
            // The boards on hand cost nothing and go first.
            let free = boards.iter().filter(|(pattern, _)| model.kinds[pattern.mode.kind].cost == 0);
            assert_eq!(free.map(|(_, count)| count).sum::<u32>(), 3, "seed {seed}");
        }
    }

    #[test]
    fn boards_that_run_out_are_no_plan() {
        let mut problem = problem(1);
        problem.stock.iter_mut().for_each(|kind| kind.available = Some(2));
        let parts: Vec<usize> = (0..50).collect();
        let model = Model::build(&problem, &parts, &[0, 1, 2], Rounding::Exact).unwrap();
        assert_eq!(size_by_size(&model, &Rest::whole(&model)), None);
    }
}
