//! The packing of one species in whole numbers: which blank lengths, widths and leaves there are.
//!
//! Both cutting orders have the same form. The first cut parts the board along its first dimension
//! into *spans* (crosscut first: blanks of some length; rip first: full-length rips of some width),
//! the second cut fills each span along its second dimension (rips across a blank; pieces along a
//! rip). Kerfs are added to every size and once to every room; sizes are divided by their greatest
//! common divisor and rooms lowered to their largest reachable sum, which merges boards that differ
//! only in waste.

use std::collections::{BTreeMap, BTreeSet};

use super::grid::Grid;
use super::pricing::Rips;
use super::{BoardKind, BoardProblem, spans};
use crate::job::{CuttingRules, Milling, Order, OrderRule, clear_runs};
use crate::measure::{Length, StockThickness};

/// One species' strips and boards.
#[derive(Debug, Clone)]
pub(super) struct Model {
    pub(super) parts: Vec<Part>,
    pub(super) variants: Vec<Variant>,
    pub(super) groups: Vec<Group>,
    pub(super) kinds: Vec<Kind>,
    pub(super) layouts: Vec<Layout>,
    pub(super) modes: Vec<Mode>,
}

/// One strip size wanted. Needs are counted in units of `unit` strips: where every board yields two
/// leaves, 9 strips are 5 units, and so is the bound.
#[derive(Debug, Clone)]
pub(super) struct Part {
    /// Index into the problem.
    pub(super) index: usize,
    /// Strips per unit.
    pub(super) unit: u32,
    /// Units wanted.
    pub(super) need: u32,
}

/// A part under one of its millings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Variant {
    /// Index into [`Model::parts`].
    pub(super) part: usize,
    /// Index into [`Model::groups`].
    pub(super) group: usize,
    /// Rough length.
    pub(super) length: Length,
    /// Ripped dimension.
    pub(super) rip: Length,
}

/// What may share a blank: one milling, one planed thickness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Group {
    pub(super) milling: Milling,
    pub(super) planed: Length,
}

/// Boards that are alike for cutting.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// Price of one in cents.
    pub(super) cost: i64,
    /// Boards to be had; `None` for any number.
    pub(super) available: Option<u32>,
    /// Indices into the problem's stock, in the order they are used up.
    pub(super) members: Vec<usize>,
}

/// One kind cut in one order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Mode {
    pub(super) kind: usize,
    pub(super) layout: usize,
    pub(super) class: usize,
    /// Clear runs along the first dimension: index into [`Layout::runs`].
    pub(super) runs: usize,
}

/// One cutting order.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) order: Order,
    /// Ascending by size.
    pub(super) spans: Vec<Span>,
    /// Sums of spans.
    pub(super) along: Grid,
    /// The runs of a board between its defects as indices into `along`, longest first; a board is one
    /// run when it is ripped first, or clear. Ascending, so that equal boards are told by the index.
    pub(super) runs: Vec<Vec<usize>>,
    /// Sums across, per group.
    pub(super) across: Vec<Grid>,
    /// Size across per variant, kerf included.
    pub(super) sizes: Vec<i64>,
    pub(super) classes: Vec<Class>,
    /// What shares one knapsack across, ascending.
    pub(super) fills: Vec<Fill>,
}

/// A group in so many leaves, with the widest room of any class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Fill {
    pub(super) group: usize,
    pub(super) leaves: u32,
    pub(super) widest: usize,
}

impl Layout {
    /// Rooms of a class for a fill; `None` when its boards do not yield it.
    pub(super) fn rooms(&self, class: usize, fill: Fill) -> Option<&[usize]> {
        let room = self.classes[class].rooms[fill.group].as_ref();
        room.filter(|room| room.leaves == fill.leaves).map(|room| room.rooms.as_slice())
    }

    /// The runs of a mode, longest first.
    pub(super) fn runs(&self, mode: Mode) -> &[usize] {
        &self.runs[mode.runs]
    }

    /// More spans at least so long than this are never cut from a board.
    pub(super) fn most_spans(&self, mode: Mode, size: i64) -> i64 {
        self.runs(mode).iter().map(|&run| self.along.sum(run) / size.max(1)).sum()
    }

    /// The fill of a group in a class.
    pub(super) fn fill(&self, class: usize, group: usize) -> Option<usize> {
        let room = self.classes[class].rooms[group].as_ref()?;
        self.fills.iter().position(|fill| (fill.group, fill.leaves) == (group, room.leaves))
    }
}

/// A blank length or a full-length rip's width.
#[derive(Debug, Clone)]
pub(super) struct Span {
    /// Scaled, kerf included.
    pub(super) size: i64,
    /// As cut.
    pub(super) length: Length,
    /// What it can hold.
    pub(super) holds: Vec<Hold>,
    /// Per group the variants of which one must lie in the span, or a shorter span or two shorter
    /// ones would do; `None` where anything goes.
    pub(super) keys: Vec<Option<Vec<usize>>>,
}

/// So many pieces of a variant lie in one rip of a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Hold {
    pub(super) variant: usize,
    pub(super) pieces: u32,
}

/// Room across per group; boards of one class fill their spans alike.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Class {
    pub(super) rooms: Vec<Option<Room>>,
}

/// Room across for one group.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Room {
    /// Indices into the group's grid across, longest first: the runs of a full-length rip between the
    /// board's defects; one when the board is clear, or crosscut first.
    pub(super) rooms: Vec<usize>,
    /// Leaves resawn from the thickness.
    pub(super) leaves: u32,
}

/// Sizes so fine that their sums overflow any table: the caller rounds them and tries again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooFine;

/// How sizes become whole numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rounding {
    /// Divided by their greatest common divisor.
    Exact,
    /// Coarse, sizes up and rooms down: its plans can be cut.
    Tight,
    /// Coarse, sizes down and rooms up: its bounds hold.
    Loose,
}

/// Cells of a coarse room: 0.006 in on a board of 8 ft.
const COARSE_CELLS: i64 = 1 << 14;

impl Rounding {
    /// The length of one cell for these sizes and rooms.
    fn unit(self, sizes: impl Iterator<Item = Length>, room: Length) -> i64 {
        match self {
            Self::Exact => sizes.fold(0, |unit, size| gcd(unit, size.nm())).max(1),
            Self::Tight | Self::Loose => (room.nm() / COARSE_CELLS).max(1),
        }
    }

    fn size(self, size: Length, unit: i64) -> i64 {
        let up = if self == Self::Tight { unit - 1 } else { 0 };
        ((size.nm() + up) / unit).max(1)
    }

    fn room(self, room: Length, unit: i64) -> i64 {
        let up = if self == Self::Loose { unit - 1 } else { 0 };
        (room.nm() + up).div_euclid(unit).max(0)
    }
}

/// Leaves of planed thickness `planed` out of a board: the most that fit, 0 when not even one does.
pub(super) fn leaves(rules: &CuttingRules, thickness: StockThickness, planed: Length) -> u32 {
    let rough = thickness.actual();
    if planed > rough || !planed.is_positive() {
        return 0;
    }
    let mut faces = rules.face_trim(rough) * 2;
    if thickness.is_surfaced() {
        faces = faces.min(rough - planed);
    }
    let resawn = if rules.resaw {
        (rough + rules.resaw_kerf).nm() / (planed + faces + rules.leaf_trim + rules.resaw_kerf).nm()
    } else {
        0
    };
    if resawn >= 2 { resawn.min(1_000) as u32 } else { u32::from(planed + faces <= rough) }
}

/// Usable width of a board under a cutting order; may be negative.
pub(super) fn usable_width(rules: &CuttingRules, order: Order, width: Length) -> Length {
    width - rules.edge_trim(order) - rules.hold_width
}

/// Ripped dimension of a strip under a milling.
pub(super) fn rip_dimension(rules: &CuttingRules, milling: Milling, width: Length, thickness: Length) -> Length {
    match milling {
        Milling::Flat => width + rules.rip_trim,
        Milling::Edge => thickness + rules.rip_trim + rules.edge_clean,
    }
}

/// Cutting orders that the rules allow.
pub(super) fn orders(rule: OrderRule) -> &'static [Order] {
    match rule {
        OrderRule::Only(Order::CrosscutFirst) => &[Order::CrosscutFirst],
        OrderRule::Only(Order::RipFirst) => &[Order::RipFirst],
        OrderRule::Any => &[Order::CrosscutFirst, Order::RipFirst],
    }
}

impl Model {
    /// Builds the model of one species: `parts` and `stock` are indices into the problem.
    ///
    /// # Errors
    /// [`TooFine`] when the sizes have too many sums.
    pub(super) fn build(
        problem: &BoardProblem,
        parts: &[usize],
        stock: &[usize],
        rounding: Rounding,
    ) -> Result<Self, TooFine> {
        let (variants, groups) = variants(problem, parts);
        let mut boards: Vec<(Vec<Mode>, usize)> = stock.iter().map(|&index| (Vec::new(), index)).collect();
        let mut layouts = Vec::new();
        for &order in orders(problem.rules.order) {
            let demand: Vec<u32> = parts.iter().map(|&i| problem.parts[i].count).collect();
            let (layout, modes) = layout((problem, order, rounding), (&variants, &groups), &demand, stock)?;
            for (board, mode) in boards.iter_mut().zip(modes) {
                board.0.extend(mode.map(|(class, runs)| Mode { kind: 0, layout: layouts.len(), class, runs }));
            }
            layouts.push(layout);
        }
        let (kinds, modes) = kinds(problem, &boards, &layouts);
        let parts = parts.iter().map(|&index| Part { index, unit: 1, need: problem.parts[index].count }).collect();
        let mut model = Self { parts, variants, groups, kinds, layouts, modes };
        model.count_in_units();
        Ok(model)
    }

    /// True when a span could not as well be shorter or parted in two for what lies in it.
    pub(super) fn is_tight(&self, rips: &Rips) -> bool {
        let keys = &self.layouts[rips.layout].spans[rips.span].keys[rips.group];
        keys.as_ref().is_none_or(|keys| rips.rips.iter().any(|(hold, _)| keys.contains(&hold.variant)))
    }

    /// Units of a part that one rip of `hold` yields in a class.
    pub(super) fn yields(&self, layout: usize, class: usize, hold: Hold) -> u32 {
        let variant = &self.variants[hold.variant];
        let leaves = self.layouts[layout].classes[class].rooms[variant.group].as_ref().map_or(0, |room| room.leaves);
        hold.pieces * leaves / self.parts[variant.part].unit
    }

    /// Counts every need in the greatest common divisor of all yields.
    fn count_in_units(&mut self) {
        let mut units = vec![0u32; self.parts.len()];
        for layout in &self.layouts {
            for hold in layout.spans.iter().flat_map(|span| &span.holds) {
                let variant = &self.variants[hold.variant];
                for room in layout.classes.iter().filter_map(|class| class.rooms[variant.group].as_ref()) {
                    units[variant.part] =
                        gcd(i64::from(units[variant.part]), i64::from(hold.pieces * room.leaves)) as u32;
                }
            }
        }
        for (part, unit) in self.parts.iter_mut().zip(units) {
            part.unit = unit.max(1);
            part.need = part.need.div_ceil(part.unit);
        }
    }

    /// More boards than this of one kind are never of use: each board covers at least one unit.
    pub(super) fn most_boards(&self, kind: usize, need: &[u32]) -> u32 {
        let units: u64 = need.iter().map(|&n| u64::from(n)).sum();
        let useful = u32::try_from(units).unwrap_or(u32::MAX);
        self.kinds[kind].available.map_or(useful, |available| available.min(useful))
    }
}

fn variants(problem: &BoardProblem, parts: &[usize]) -> (Vec<Variant>, Vec<Group>) {
    let rules = &problem.rules;
    let mut groups: Vec<Group> = Vec::new();
    let mut variants = Vec::new();
    for (part, &index) in parts.iter().enumerate() {
        let strip = &problem.parts[index];
        for &milling in strip.millings.list() {
            let planed = if milling == Milling::Flat { strip.thickness } else { strip.width };
            let group = Group { milling, planed };
            let group = groups.iter().position(|&g| g == group).unwrap_or_else(|| {
                groups.push(group);
                groups.len() - 1
            });
            let rip = rip_dimension(rules, milling, strip.width, strip.thickness);
            variants.push(Variant { part, group, length: strip.length + rules.length_trim, rip });
        }
    }
    (variants, groups)
}

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
type BoardRooms = Vec<Option<(usize, usize)>>;

fn layout(
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

/// Boards of one price with the same rooms are one kind; limited ones are used up first.
fn kinds(problem: &BoardProblem, boards: &[(Vec<Mode>, usize)], layouts: &[Layout]) -> (Vec<Kind>, Vec<Mode>) {
    let mut alike: BTreeMap<(i64, Vec<Mode>), Vec<usize>> = BTreeMap::new();
    for (modes, index) in boards.iter().filter(|(modes, _)| !modes.is_empty()) {
        alike.entry((problem.stock[*index].cost.get(), modes.clone())).or_default().push(*index);
    }
    let alike: Vec<(i64, Vec<Mode>, Kind)> = alike
        .into_iter()
        .map(|((cost, modes), mut members)| {
            members.sort_by_key(|&i| (problem.stock[i].available.is_none(), i));
            let available =
                members.iter().try_fold(0u32, |sum, &i| problem.stock[i].available.map(|n| sum.saturating_add(n)));
            (cost, modes, Kind { cost, available, members })
        })
        .collect();
    let mut kinds = Vec::new();
    let mut all_modes = Vec::new();
    for (at, (cost, modes, kind)) in alike.iter().enumerate() {
        let beaten = alike.iter().enumerate().any(|(other, (price, better, rival))| {
            other != at && rival.available.is_none() && price <= cost && covers(better, modes, layouts)
        });
        if !beaten {
            all_modes.extend(modes.iter().map(|mode| Mode { kind: kinds.len(), ..*mode }));
            kinds.push(kind.clone());
        }
    }
    (kinds, all_modes)
}

/// True when a board with the modes `better` can do all that one with `modes` can.
fn covers(better: &[Mode], modes: &[Mode], layouts: &[Layout]) -> bool {
    modes.iter().all(|mode| {
        better.iter().any(|rival| {
            let layout = &layouts[mode.layout];
            rival.layout == mode.layout
                && holds_runs(&layout.along, layout.runs(*rival), layout.runs(*mode))
                && layout.across.iter().enumerate().all(|(group, grid)| {
                    match (&layout.classes[rival.class].rooms[group], &layout.classes[mode.class].rooms[group]) {
                        (_, None) => true,
                        (None, Some(_)) => false,
                        (Some(a), Some(b)) => a.leaves >= b.leaves && holds_runs(grid, &a.rooms, &b.rooms),
                    }
                })
        })
    })
}

/// True when the runs `better` hold all that `runs` do: one by one, or all side by side in the longest.
fn holds_runs(grid: &Grid, better: &[usize], runs: &[usize]) -> bool {
    let one_by_one = better.len() >= runs.len() && better.iter().zip(runs).all(|(a, b)| a >= b);
    one_by_one || grid.sum(better[0]) >= runs.iter().map(|&run| grid.sum(run)).sum()
}

pub(super) fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}
