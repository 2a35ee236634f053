//! One cutting order in whole numbers: which spans there are, and what room each board has for them.

use std::collections::BTreeSet;

use super::grid::Grid;
use super::model::{Class, Fill, Group, Layout, Room, Rounding, Span, TooFine, Variant};
use super::{BoardKind, BoardProblem, spans};
use crate::cutting::{clear_runs, leaves, usable_width};
use crate::job::Order;
use crate::measure::Length;

/// Usable sizes of one board: its clear runs along the first cut's line of pieces, then those across
/// it. Defects part the length, whichever cut comes first.
struct Usable {
    along: Vec<Length>,
    across: Vec<Length>,
}

fn usable_sizes(problem: &BoardProblem, order: Order, stock: &[usize]) -> Vec<Usable> {
    let of = |board: &BoardKind| {
        let width = usable_width(&problem.rules, order, board.width);
        let mut runs: Vec<Length> =
            clear_runs(&problem.rules, board.length, &board.defects).into_iter().map(|(from, to)| to - from).collect();
        runs.sort_unstable_by(|a, b| b.cmp(a));
        match order {
            Order::CrosscutFirst => Usable { along: runs, across: vec![width] },
            Order::RipFirst => Usable { along: vec![width], across: runs },
        }
    };
    stock.iter().map(|&index| of(&problem.stock[index])).collect()
}

/// For each milling group the grid of its variants' sizes across; `None` when one is too fine.
fn group_grids(variants: &[Variant], groups: usize, sizes: &[i64], widest: i64) -> Option<Vec<Grid>> {
    let of_group = |g: usize| variants.iter().zip(sizes).filter(move |(v, _)| v.group == g).map(|(_, &size)| size);
    (0..groups).map(|g| Grid::new(&of_group(g).collect::<Vec<i64>>(), widest)).collect()
}

/// Class and runs along of each board, where it yields anything.
pub(super) type BoardRooms = Vec<Option<(usize, usize)>>;

/// Builds one cutting order for the boards of one species.
///
/// # Errors
/// [`TooFine`] when the sizes have too many sums.
pub(super) fn build(
    (problem, order, rounding): (&BoardProblem, Order, Rounding),
    (variants, groups): (&[Variant], &[Group]),
    demand: &[u32],
    stock: &[usize],
) -> Result<(Layout, BoardRooms), TooFine> {
    let rules = &problem.rules;
    let crosscut = order == Order::CrosscutFirst;
    let (along_kerf, across_kerf) =
        if crosscut { (rules.crosscut_kerf, rules.rip_kerf) } else { (rules.rip_kerf, rules.crosscut_kerf) };
    let usable = usable_sizes(problem, order, stock);
    let longest = usable.iter().flat_map(|usable| &usable.along).copied().max().unwrap_or(Length::ZERO);
    let spans = if crosscut { spans::blanks(rules, variants, demand, longest) } else { spans::rips(variants, longest) };
    let along_unit = rounding.unit(spans.iter().map(|span| span.0 + along_kerf), longest);
    let mut spans: Vec<Span> = spans
        .into_iter()
        .map(|(length, holds)| Span {
            size: rounding.size(length + along_kerf, along_unit),
            length,
            holds,
            keys: Vec::new(),
        })
        .collect();
    let keys = spans::keys(&spans, variants, groups.len());
    spans.iter_mut().zip(keys).for_each(|(span, keys)| span.keys = keys);
    let across = |v: &Variant| (if crosscut { v.rip } else { v.length }) + across_kerf;
    let widest = usable.iter().flat_map(|usable| &usable.across).copied().max().unwrap_or(Length::ZERO);
    let across_unit = rounding.unit(variants.iter().map(across), widest);
    let sizes: Vec<i64> = variants.iter().map(|v| rounding.size(across(v), across_unit)).collect();
    let widest = rounding.room(widest + across_kerf, across_unit);
    let across = group_grids(variants, groups.len(), &sizes, widest).ok_or(TooFine)?;
    let span_sizes: Vec<i64> = spans.iter().map(|span| span.size).collect();
    let along = Grid::new(&span_sizes, rounding.room(longest + along_kerf, along_unit)).ok_or(TooFine)?;

    let mut layout =
        Layout { order, spans, along, runs: Vec::new(), across, sizes, classes: Vec::new(), fills: Vec::new() };
    let along = |room: &Length| rounding.room(*room + along_kerf, along_unit);
    let across = |room: &Length| rounding.room(*room + across_kerf, across_unit);
    let boards: Vec<Option<(Class, Vec<usize>)>> = stock
        .iter()
        .zip(&usable)
        .map(|(&index, usable)| {
            let runs = floors(&layout.along, usable.along.iter().map(along));
            let rooms = groups.iter().zip(&layout.across).map(|(group, grid)| {
                let leaves = leaves(rules, problem.stock[index].thickness, group.planed);
                let rooms = floors(grid, usable.across.iter().map(across));
                (leaves > 0 && !rooms.is_empty()).then_some(Room { rooms, leaves })
            });
            let class = Class { rooms: rooms.collect() };
            let longest = layout.along.sum(*runs.first()?);
            let widest = usable.across.iter().map(across).max()?;
            let fits = |span: &Span| span.size <= longest && holds_any(span, &class, variants, (&layout.sizes, widest));
            layout.spans.iter().any(fits).then_some((class, runs))
        })
        .collect();
    let modes = classify(&mut layout, boards);
    Ok((layout, modes))
}

/// Gives boards of equal rooms one class and boards of equal runs one list of them.
fn classify(layout: &mut Layout, boards: Vec<Option<(Class, Vec<usize>)>>) -> BoardRooms {
    layout.runs = boards.iter().flatten().map(|(_, runs)| runs.clone()).collect::<BTreeSet<_>>().into_iter().collect();
    let mut modes = Vec::new();
    for board in boards {
        modes.push(board.map(|(class, runs)| {
            let runs = layout.runs.binary_search(&runs).expect("all runs were collected above");
            let at = layout.classes.iter().position(|known| *known == class).unwrap_or_else(|| {
                layout.classes.push(class);
                layout.classes.len() - 1
            });
            (at, runs)
        }));
    }
    layout.fills = fills(&layout.classes);
    modes
}

/// The largest reachable sums in some rooms, largest first, without rooms that hold nothing.
fn floors(grid: &Grid, rooms: impl Iterator<Item = i64>) -> Vec<usize> {
    let mut floors: Vec<usize> = rooms.map(|room| grid.floor(room)).filter(|&room| room > 0).collect();
    floors.sort_unstable_by(|a, b| b.cmp(a));
    floors
}

fn fills(classes: &[Class]) -> Vec<Fill> {
    let mut fills: Vec<Fill> = Vec::new();
    for class in classes {
        for (group, room) in class.rooms.iter().enumerate().filter_map(|(g, room)| Some((g, room.as_ref()?))) {
            let widest = room.rooms[0];
            match fills.iter_mut().find(|fill| (fill.group, fill.leaves) == (group, room.leaves)) {
                Some(fill) => fill.widest = fill.widest.max(widest),
                None => fills.push(Fill { group, leaves: room.leaves, widest }),
            }
        }
    }
    fills.sort_unstable();
    fills
}

fn holds_any(span: &Span, class: &Class, variants: &[Variant], (sizes, room): (&[i64], i64)) -> bool {
    span.holds.iter().any(|hold| class.rooms[variants[hold.variant].group].is_some() && sizes[hold.variant] <= room)
}
