//! The packing of one species in whole numbers: which blank lengths, widths and leaves there are.
//!
//! Both cutting orders have the same form. The first cut parts the board along its first dimension
//! into *spans* (crosscut first: blanks of some length; rip first: full-length rips of some width),
//! the second cut fills each span along its second dimension (rips across a blank; pieces along a
//! rip). Kerfs are added to every size and once to every room; sizes are divided by their greatest
//! common divisor and rooms lowered to their largest reachable sum, which merges boards that differ
//! only in waste.

use super::grid::Grid;
use super::pricing::Rips;
use super::{BoardProblem, kinds, layout};
use crate::cutting::{orders, planed_to, rip_dimension};
use crate::job::{Milling, Order};
use crate::measure::Length;

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
    pub(super) fn unit(self, sizes: impl Iterator<Item = Length>, room: Length) -> i64 {
        match self {
            Self::Exact => sizes.fold(0, |unit, size| gcd(unit, size.nm())).max(1),
            Self::Tight | Self::Loose => (room.nm() / COARSE_CELLS).max(1),
        }
    }

    pub(super) fn size(self, size: Length, unit: i64) -> i64 {
        let up = if self == Self::Tight { unit - 1 } else { 0 };
        ((size.nm() + up) / unit).max(1)
    }

    pub(super) fn room(self, room: Length, unit: i64) -> i64 {
        let up = if self == Self::Loose { unit - 1 } else { 0 };
        (room.nm() + up).div_euclid(unit).max(0)
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
            let (layout, modes) = layout::build((problem, order, rounding), (&variants, &groups), &demand, stock)?;
            for (board, mode) in boards.iter_mut().zip(modes) {
                board.0.extend(mode.map(|(class, runs)| Mode { kind: 0, layout: layouts.len(), class, runs }));
            }
            layouts.push(layout);
        }
        let (kinds, modes) = kinds::alike(problem, &boards, &layouts);
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
        self.units(hold, self.leaves(layout, class, self.variants[hold.variant].group)).1
    }

    /// Leaves into which boards of a class are resawn for a group; 0 where it has no room.
    pub(super) fn leaves(&self, layout: usize, class: usize, group: usize) -> u32 {
        self.layouts[layout].classes[class].rooms[group].as_ref().map_or(0, |room| room.leaves)
    }

    /// The part of a rip of `hold`, and how many of its units so many leaves of the rip yield.
    pub(super) fn units(&self, hold: Hold, leaves: u32) -> (usize, u32) {
        let part = self.variants[hold.variant].part;
        let (pieces, unit) = (hold.pieces * leaves, self.parts[part].unit);
        // Nearly always, and a division is slow.
        (part, if unit == 1 { pieces } else { pieces / unit })
    }

    /// True for a variant that some board yields.
    pub(super) fn is_yielded(&self, variant: usize) -> bool {
        self.modes.iter().any(|mode| {
            let layout = &self.layouts[mode.layout];
            let group = self.variants[variant].group;
            let room = layout.classes[mode.class].rooms[group].as_ref();
            let wide = room.is_some_and(|room| layout.across[group].sum(room.rooms[0]) >= layout.sizes[variant]);
            let longest = layout.along.sum(layout.runs(*mode)[0]);
            let mut spans = layout.spans.iter().filter(|span| span.size <= longest);
            wide && spans.any(|span| span.holds.iter().any(|hold| hold.variant == variant))
        })
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
            let planed = planed_to(milling, strip.width, strip.thickness);
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

pub(super) fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}
