//! Sizes of boards and strips under the shop's rules.

use crate::job::{BoardStock, CuttingRules, Defect, Milling, Millings, Order, OrderRule};
use crate::measure::{Length, StockThickness};

/// A strip as the saw sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StripSize {
    /// Finished length, without `length_trim`.
    pub length: Length,
    /// Width, without `rip_trim`.
    pub width: Length,
    /// Thickness.
    pub thickness: Length,
    /// Allowed millings.
    pub millings: Millings,
}

/// A board as the saw sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoardSize<'a> {
    /// Its thickness.
    pub thickness: StockThickness,
    /// Full width.
    pub width: Length,
    /// Full length.
    pub length: Length,
    /// What must be cut out.
    pub defects: &'a [Defect],
}

impl<'a> From<&'a BoardStock> for BoardSize<'a> {
    fn from(board: &'a BoardStock) -> Self {
        let BoardStock { thickness, width, length, defects, .. } = board;
        Self { thickness: *thickness, width: *width, length: *length, defects }
    }
}

/// Length between a board's trimmed ends; may be negative.
#[must_use]
pub fn usable_length(rules: &CuttingRules, length: Length) -> Length {
    length - rules.end_trim * 2
}

/// Usable width of a board under a cutting order; may be negative. What is held keeps its width after the last
/// cut, which takes its kerf beside it; where nothing is held there is no such cut.
#[must_use]
pub fn usable_width(rules: &CuttingRules, order: Order, width: Length) -> Length {
    let held = if rules.hold_width.is_positive() { rules.hold_width + rules.rip_kerf } else { Length::ZERO };
    width - rules.edge_trim(order) - held
}

/// Cutting orders that the rules allow.
#[must_use]
pub const fn orders(rule: OrderRule) -> &'static [Order] {
    match rule {
        OrderRule::Only(Order::CrosscutFirst) => &[Order::CrosscutFirst],
        OrderRule::Only(Order::RipFirst) => &[Order::RipFirst],
        OrderRule::Any => &[Order::CrosscutFirst, Order::RipFirst],
    }
}

/// Ripped dimension of a strip under a milling.
#[must_use]
pub fn rip_dimension(rules: &CuttingRules, milling: Milling, width: Length, thickness: Length) -> Length {
    match milling {
        Milling::Flat => width + rules.rip_trim,
        Milling::Edge => thickness + rules.rip_trim + rules.edge_clean,
    }
}

/// What a blank is planed to for a strip under a milling.
#[must_use]
pub const fn planed_to(milling: Milling, width: Length, thickness: Length) -> Length {
    match milling {
        Milling::Flat => thickness,
        Milling::Edge => width,
    }
}

/// Leaves of planed thickness `planed` out of a board: the most that fit, 0 when not even one does.
#[must_use]
pub fn leaves(rules: &CuttingRules, thickness: StockThickness, planed: Length) -> u32 {
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

/// The lengths of a board that blanks and pieces may lie in: what is left between its trimmed ends when
/// every defect is cut out, each as (from, to) from the end that the board is measured from.
///
/// A crosscut beside a defect takes its kerf out of the defect, as a trimming cut takes it out of the
/// trimmed end. The two cuts that free a defect may share its width, so a defect costs its own length
/// and nothing more, but never less than one kerf: a shorter one counts as a kerf long from where it
/// begins.
///
/// ```
/// # use slatwright::cutting::clear_runs;
/// # use slatwright::job::{CuttingRules, Defect, Order, OrderRule};
/// # use slatwright::measure::Length;
/// # let zero = Length::ZERO;
/// # let inch = Length::from_inches;
/// # let rules = CuttingRules {
/// #     rip_kerf: zero, crosscut_kerf: Length::from_64ths(8), resaw_kerf: zero, end_trim: inch(1), edge_trim_crosscut: zero,
/// #     edge_trim_rip: zero, hold_width: zero, length_trim: zero, rip_trim: zero, edge_clean: zero,
/// #     face_trim_thin: zero, face_trim_thick: zero, resaw: false, leaf_trim: zero, min_blank: zero,
/// #     max_blank: None, order: OrderRule::Only(Order::CrosscutFirst),
/// # };
/// let knot = [Defect { from: inch(12), to: inch(15) }];
/// assert_eq!(clear_runs(&rules, inch(40), &knot), [(inch(1), inch(12)), (inch(15), inch(39))]);
/// // A hair crack costs the eighth that the saw takes.
/// let crack = [Defect { from: inch(12), to: inch(12) + Length::from_64ths(1) }];
/// assert_eq!(clear_runs(&rules, inch(40), &crack)[1], (inch(12) + Length::from_64ths(8), inch(39)));
/// ```
#[must_use]
pub fn clear_runs(rules: &CuttingRules, length: Length, defects: &[Defect]) -> Vec<(Length, Length)> {
    let end = length - rules.end_trim;
    let mut runs = Vec::new();
    let mut clear = rules.end_trim;
    let mut defects = defects.to_vec();
    defects.sort_unstable();
    for defect in defects {
        runs.push((clear, defect.from.min(end)));
        clear = clear.max(defect.to).max(defect.from + rules.crosscut_kerf);
    }
    runs.push((clear, end));
    runs.retain(|(from, to)| to > from);
    runs
}

/// True when at least one such strip comes out of such a board.
#[must_use]
pub fn yields(rules: &CuttingRules, strip: &StripSize, board: &BoardSize<'_>) -> bool {
    let rough = strip.length + rules.length_trim;
    let runs = clear_runs(rules, board.length, board.defects);
    let longest = runs.into_iter().map(|(from, to)| to - from).max().unwrap_or(Length::ZERO);
    let fits = |order: Order, milling: Milling| {
        let crosscut = order == Order::CrosscutFirst;
        let blank = if crosscut { rough.max(rules.min_blank) } else { rough };
        leaves(rules, board.thickness, planed_to(milling, strip.width, strip.thickness)) > 0
            && !(crosscut && rules.max_blank.is_some_and(|most| blank > most))
            && blank <= longest
            && rip_dimension(rules, milling, strip.width, strip.thickness) <= usable_width(rules, order, board.width)
    };
    orders(rules.order).iter().any(|&order| strip.millings.list().iter().any(|&milling| fits(order, milling)))
}
