//! When every count is whole but columns are not: pack the counted spans and rips exactly.

use super::dive::WHOLE;
use super::fill::{self, Boards, Rest};
use super::master::{Column, Count, Master};
use super::model::{Mode, Model};
use super::onedim::{Filled, Fit, Lengths, Rooms, fit};
use super::point::Point;
use super::pricing::Rips;
use super::root::Pattern;

/// Looks at a length before a question stays open.
const STEPS: u64 = 1_000_000;
/// Looks for all questions of one point.
const ALL_STEPS: u64 = 4_000_000;
/// Work that one look stands for.
const LOOK: u64 = 4;

/// Filled spans of one layout and span, per class.
type Fillings = Vec<Vec<Vec<Rips>>>;

/// The plan with the point's counts, or counts that no plan has together: none of them when that
/// stays open. It looks so many times as long as usual.
pub(super) fn plan(
    master: &mut Master<'_, '_, '_>,
    point: &Point,
    wanted: &Rest,
    times: u64,
) -> Result<Boards, Vec<Count>> {
    let mut left = ALL_STEPS * times;
    let plan = {
        let stop = || master.is_stopped();
        pack(master, point, wanted, &mut Steps { left: &mut left, each: STEPS * times, stop: &stop })
    };
    master.add_work((ALL_STEPS * times - left) * LOOK);
    plan
}

/// Looks that are left for all questions, and how many each may take.
struct Steps<'a> {
    left: &'a mut u64,
    each: u64,
    stop: &'a dyn Fn() -> bool,
}

fn pack(
    master: &Master<'_, '_, '_>,
    point: &Point,
    wanted: &Rest,
    steps: &mut Steps<'_>,
) -> Result<Boards, Vec<Count>> {
    let model = master.pricer.model;
    let mut boards: Boards = Vec::new();
    for layout in 0..model.layouts.len() {
        let mut fillings: Fillings = model.layouts[layout].classes.iter().map(|_| Vec::new()).collect();
        for span in 0..model.layouts[layout].spans.len() {
            let filled = fill_spans(master, point, (layout, span), steps)?;
            for (class, rips) in fillings.iter_mut().zip(filled) {
                class.push(rips);
            }
        }
        for (class, mut fillings) in fillings.into_iter().enumerate() {
            for (mode, spans) in cut_boards(master, point, (layout, class), steps)? {
                let mut filled: Vec<(Rips, u32)> = Vec::new();
                for span in spans {
                    if let Some(rips) = fillings[span].pop() {
                        match filled.iter_mut().find(|(same, _)| *same == rips) {
                            Some((_, times)) => *times += 1,
                            None => filled.push((rips, 1)),
                        }
                    }
                }
                let pattern = Pattern::new(model, mode, filled);
                match boards.iter_mut().find(|(known, _)| *known == pattern) {
                    Some((_, times)) => *times += 1,
                    None => boards.push((pattern, 1)),
                }
            }
        }
    }
    boards.retain(|(pattern, _)| !pattern.spans.is_empty());
    if fill::serves(model, &boards, wanted) { Ok(boards) } else { Err(Vec::new()) }
}

/// The counts that say how many spans of one length there are and what lies in them.
fn span_counts(model: &Model, layout: usize, span: usize) -> Vec<Count> {
    let mut counts = Vec::new();
    for from in [span, span + 1].into_iter().filter(|&from| from < model.layouts[layout].spans.len()) {
        let classes = 0..model.layouts[layout].classes.len();
        counts.extend(classes.map(|class| Count::Spans { layout, class: Some(class), from }));
        for fill in 0..model.layouts[layout].fills.len() {
            counts.extend((0..model.parts.len()).map(|part| Count::Rips { layout, fill, part, from }));
        }
    }
    counts
}

/// The counts that say which boards of a class there are and which spans are cut from them.
fn board_counts(model: &Model, layout: usize, class: usize) -> Vec<Count> {
    let modes = model.modes.iter().filter(|mode| mode.layout == layout && mode.class == class);
    let spans = 0..model.layouts[layout].spans.len();
    modes
        .map(|&mode| Count::Mode(mode))
        .chain(spans.map(|from| Count::Spans { layout, class: Some(class), from }))
        .collect()
}

fn settled(answer: Fit, counts: impl FnOnce() -> Vec<Count>) -> Result<Vec<Filled>, Vec<Count>> {
    match answer {
        Fit::Yes(filled) => Ok(filled),
        Fit::No => Err(counts()),
        Fit::Open => Err(Vec::new()),
    }
}

fn whole(value: f64) -> u32 {
    value.round().max(0.0) as u32
}

/// The fillings that the point has a whole number of times.
fn wholes(master: &Master<'_, '_, '_>, filled: impl Fn(&Column) -> Option<Filled>) -> Vec<(Filled, u32)> {
    let times = |col: usize| (master.simplex.value(col) + WHOLE).floor() as u32;
    let columns = master.columns.iter().enumerate().filter(|&(col, _)| times(col) > 0);
    columns.filter_map(|(col, column)| filled(column).map(|filled| (filled, times(col)))).collect()
}

/// Fits what fillings known to be whole leave, or else everything afresh: with hundreds of lengths
/// only the rest is small enough to be searched.
fn fit_from(wholes: &[(Filled, u32)], (rooms, lengths): (&[Rooms], &[Lengths]), steps: &mut Steps<'_>) -> Fit {
    let (mut free, mut left) = (rooms.to_vec(), lengths.to_vec());
    let mut known = Vec::new();
    for ((room, taken), times) in wholes {
        let enough = taken.iter().map(|&(at, n)| left[at].count / n.max(1)).min().unwrap_or(0);
        let times = enough.min(free[*room].count).min(*times);
        free[*room].count -= times;
        taken.iter().for_each(|&(at, n)| left[at].count -= n * times);
        known.extend(std::iter::repeat_n((*room, taken.clone()), times as usize));
    }
    match fit(&free, &left, (steps.each / 4, &mut *steps.left), steps.stop) {
        Fit::Yes(filled) => Fit::Yes(known.into_iter().chain(filled).collect()),
        Fit::No | Fit::Open => fit(rooms, lengths, (steps.each, &mut *steps.left), steps.stop),
    }
}

/// Packs the rips counted in one span into the spans counted, class by class.
fn fill_spans(
    master: &Master<'_, '_, '_>,
    point: &Point,
    (at, span): (usize, usize),
    steps: &mut Steps<'_>,
) -> Result<Vec<Vec<Rips>>, Vec<Count>> {
    let model = master.pricer.model;
    let layout = &model.layouts[at];
    let rooms: Vec<Rooms> = layout
        .classes
        .iter()
        .enumerate()
        .map(|(class, _)| Rooms {
            sizes: layout
                .fills
                .iter()
                .map(|&fill| {
                    let rooms = layout.rooms(class, fill).unwrap_or_default();
                    rooms.iter().map(|&room| layout.across[fill.group].sum(room)).collect()
                })
                .collect(),
            count: whole(point.spans[at][class][span]),
        })
        .collect();
    let mut holds = Vec::new();
    let mut lengths = Vec::new();
    for (fill, known) in layout.fills.iter().enumerate() {
        for &hold in &layout.spans[span].holds {
            let variant = &model.variants[hold.variant];
            let count = whole(point.rips[at][fill * point.parts + variant.part][span]);
            if variant.group == known.group && point.variants[hold.variant] > 1e-7 && count > 0 {
                holds.push(hold);
                lengths.push(Lengths { group: fill, size: layout.sizes[hold.variant], count });
            }
        }
    }
    let at_hand = |rips: &Rips| {
        let taken = rips.rips.iter().map(|&(hold, n)| holds.iter().position(|&h| h == hold).map(|at| (at, n)));
        (rips.layout == at && rips.span == span).then(|| taken.collect::<Option<Vec<_>>>()).flatten()
    };
    let wholes = wholes(master, |column| match column {
        Column::Rips(rips) => at_hand(rips).map(|taken| (rips.class, taken)),
        _ => None,
    });
    let filled = settled(fit_from(&wholes, (&rooms, &lengths), steps), || span_counts(model, at, span))?;
    let mut fillings = vec![Vec::new(); layout.classes.len()];
    for (class, taken) in filled {
        let group = model.variants[holds[taken[0].0].variant].group;
        let rips = taken.into_iter().map(|(at, n)| (holds[at], n)).collect();
        fillings[class].push(Rips { layout: at, class, span, group, rips });
    }
    Ok(fillings)
}

/// Packs the spans counted in one class into its boards.
fn cut_boards(
    master: &Master<'_, '_, '_>,
    point: &Point,
    (at, class): (usize, usize),
    steps: &mut Steps<'_>,
) -> Result<Vec<(Mode, Vec<usize>)>, Vec<Count>> {
    let model = master.pricer.model;
    let layout = &model.layouts[at];
    let modes: Vec<Mode> =
        model.modes.iter().copied().filter(|mode| mode.layout == at && mode.class == class).collect();
    let rooms: Vec<Rooms> = modes
        .iter()
        .map(|mode| {
            let runs = layout.runs(*mode).iter().map(|&run| layout.along.sum(run)).collect();
            Rooms { sizes: vec![runs], count: whole(point.modes[mode]) }
        })
        .collect();
    let spans: Vec<usize> = (0..layout.spans.len()).filter(|&span| point.spans[at][class][span] > 0.5).collect();
    let lengths: Vec<Lengths> = spans
        .iter()
        .map(|&span| Lengths { group: 0, size: layout.spans[span].size, count: whole(point.spans[at][class][span]) })
        .collect();
    let wholes = wholes(master, |column| match column {
        Column::Cut(mode, cut) => {
            let room = modes.iter().position(|known| known == mode)?;
            let taken = cut.iter().map(|&(span, n)| spans.iter().position(|&s| s == span).map(|at| (at, n)));
            taken.collect::<Option<Vec<_>>>().map(|taken| (room, taken))
        }
        _ => None,
    });
    let filled = settled(fit_from(&wholes, (&rooms, &lengths), steps), || board_counts(model, at, class))?;
    let cut = filled.into_iter().map(|(room, taken)| {
        let spans = taken.into_iter().flat_map(|(at, n)| std::iter::repeat_n(spans[at], n as usize)).collect();
        (modes[room], spans)
    });
    Ok(cut.collect())
}
