//! Nested knapsacks: the best rips for every span, then the best spans for every board.
//!
//! Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions", Operations
//! Research 13 (1965): for given values of the parts, the best two-stage pattern is a knapsack
//! along the board over spans, each worth the best knapsack across it.

mod fill;

use std::rc::Rc;

use super::knapsack::{self, Choice, Fillings, Times};
use super::master::Rounded;
use super::model::{Fill, Hold, Layout, Mode, Model, Span};

/// Rips that fill one span of one class of boards.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rips {
    pub(super) layout: usize,
    pub(super) class: usize,
    pub(super) span: usize,
    pub(super) group: usize,
    /// What lies in a rip, how many such rips.
    pub(super) rips: Vec<(Hold, u32)>,
}

/// Values for pricing in whole micro-units.
#[derive(Debug, Clone, Default)]
pub(super) struct Values {
    /// Per unit of each part.
    pub(super) part: Vec<i64>,
    /// Added per rip of a part in a span of a fill: `[layout][fill][span * parts + part]`; empty for
    /// none.
    pub(super) rip: Vec<Vec<Vec<i64>>>,
    /// Added per span of a class: `[layout][class][span]`; empty for none.
    pub(super) span: Vec<Vec<Vec<i64>>>,
    /// Added per filled span of a group: `[layout][group][span]`; empty for none.
    pub(super) fill: Vec<Vec<Vec<i64>>>,
    /// Variants that must not be used; empty for none.
    pub(super) banned: Vec<bool>,
    /// True when spans may hold what shorter ones would hold as well.
    pub(super) loose: bool,
    /// Rounding cuts with what each is worth; only listed columns are priced with them.
    pub(super) rounded: Vec<(Rc<Rounded>, i64)>,
}

impl Values {
    pub(super) fn bans(&self, variant: usize) -> bool {
        self.banned.get(variant).is_some_and(|&banned| banned)
    }

    /// Worth of a rip that yields so many units of a part.
    pub(super) fn rip(&self, (layout, span): (usize, usize), fill: usize, (part, units): (usize, u32)) -> i64 {
        let more = self.rip.get(layout).map_or(0, |fills| fills[fill][span * self.part.len() + part]);
        self.part[part] * i64::from(units) + more
    }

    pub(super) fn fill(&self, layout: usize, group: usize, span: usize) -> i64 {
        self.fill.get(layout).map_or(0, |groups| groups[group][span])
    }

    pub(super) fn span(&self, layout: usize, class: usize, span: usize) -> i64 {
        self.span.get(layout).map_or(0, |classes| classes[class][span])
    }
}

/// Room left after a size is taken out, from the first room that holds it.
type Steps = (usize, Vec<u32>);

/// Multiples of a size kept as single choices; more are made of several of these.
const MULTIPLES: u32 = 32;

/// Knapsack tables of a model, made once.
#[derive(Debug)]
pub(super) struct Pricer<'a> {
    pub(super) model: &'a Model,
    /// `[layout][span]`.
    along: Vec<Vec<Steps>>,
    /// `[layout][variant][multiple - 1]`.
    across: Vec<Vec<Vec<Steps>>>,
    /// What a span can hold of a group: `[layout][span][group]`.
    holds: Vec<Vec<Vec<Vec<Hold>>>>,
}

/// What must lie in a span.
enum Key {
    /// Nothing in particular.
    Any,
    /// At least this rip in one of the rooms; the worth of the best rips with it.
    With { hold: Hold, room: usize, worth: i64 },
    /// Something that does not fit or is not needed.
    None,
}

/// The worth of every span and board at given values.
#[derive(Debug)]
pub(super) struct Priced {
    /// `[layout][class][span]`: value and group of the best rips; below 1 when it is of no use.
    spans: Vec<Vec<Vec<(i64, usize)>>>,
    /// `[layout][class]`.
    boards: Vec<Vec<PricedBoards>>,
}

/// The boards of one class at given values.
#[derive(Debug)]
struct PricedBoards {
    /// Spans worth cutting.
    useful: Vec<usize>,
    /// How a run of any length is best filled by them.
    fillings: Fillings,
    /// Per list of runs of the layout what a board with those is worth; 0 for boards of other classes.
    worth: Vec<i64>,
}

impl<'a> Pricer<'a> {
    pub(super) fn new(model: &'a Model) -> Self {
        let along = model.layouts.iter().map(along_steps).collect();
        let across = model.layouts.iter().map(|layout| across_steps(model, layout)).collect();
        let holds = model.layouts.iter().map(|layout| holds_by_group(model, layout)).collect();
        Self { model, along, across, holds }
    }

    /// Prices everything at `values`, rips never more than `need` asks for.
    pub(super) fn price(&self, values: &Values, need: &[u32]) -> Priced {
        self.price_cuts((0..self.model.layouts.len()).map(|at| self.price_spans(at, values, need)).collect())
    }

    /// Prices boards by the worth of their spans: `[layout][class][span]`, value and group.
    pub(super) fn price_cuts(&self, spans: Vec<Vec<Vec<(i64, usize)>>>) -> Priced {
        let boards = spans
            .iter()
            .enumerate()
            .map(|(at, spans)| (0..spans.len()).map(|class| self.price_boards(at, class, &spans[class])).collect())
            .collect();
        Priced { spans, boards }
    }

    /// Cells that pricing everything once touches.
    pub(super) fn work(&self) -> u64 {
        let of_layout = |layout: &Layout| {
            let across: usize = layout.fills.iter().map(|fill| fill.widest * layout.sizes.len()).sum();
            layout.spans.len() * (across + 2 * layout.classes.len() * layout.along.len())
        };
        self.model.layouts.iter().map(|layout| of_layout(layout) as u64).sum()
    }

    /// Cells that filling one board span by span touches.
    pub(super) fn board_work(&self, mode: Mode) -> u64 {
        let layout = &self.model.layouts[mode.layout];
        let across: usize = layout.fills.iter().map(|fill| fill.widest * layout.sizes.len()).sum();
        let blanks = layout.most_spans(mode, layout.spans[0].size) + 1;
        // About a third: parts that are covered already cost nothing.
        blanks as u64 * (layout.spans.len() * (across + layout.along.len())) as u64 / 3 + 1
    }

    /// The best filling of a run that may be shorter than the board's of that mode: spans, ascending, and
    /// their worth, all priced apart (two equal spans may together exceed the need).
    pub(super) fn price_room(
        &self,
        mode: Mode,
        room: usize,
        values: &Values,
        need: &[u32],
    ) -> Vec<(usize, usize, i64)> {
        let layout = &self.model.layouts[mode.layout];
        let mut worth = vec![(0, 0); layout.spans.len()];
        let (mut best, mut choices) = (Vec::new(), Vec::new());
        for (span, _) in layout.spans.iter().enumerate().filter(|(_, span)| span.size <= layout.along.sum(room)) {
            for (group, across) in layout.classes[mode.class].rooms.iter().enumerate() {
                let (Some(across), Some(fill)) = (across, layout.fill(mode.class, group)) else { continue };
                best.clear();
                best.resize(across.rooms[0] + 1, 0);
                self.choose((mode.layout, span), fill, (values, need), &mut choices);
                choices.iter().for_each(|&(choice, times, ..)| knapsack::fill(&mut best, choice, times));
                let filled = across.rooms.iter().map(|&room| best[room]).sum();
                if filled > worth[span].0 {
                    worth[span] = (filled, group);
                }
            }
        }
        let useful = rising(&worth);
        let choices = self.span_choices(mode.layout, &useful, |span| worth[span].0);
        let mut fillings = Fillings::default();
        fillings.solve(&choices, room);
        let mut spans = fillings.taken(&choices, room);
        spans.sort_unstable();
        spans.into_iter().map(|i| (useful[i], worth[useful[i]].1, worth[useful[i]].0)).collect()
    }

    fn price_spans(&self, at: usize, values: &Values, need: &[u32]) -> Vec<Vec<(i64, usize)>> {
        let layout = &self.model.layouts[at];
        let mut spans = vec![vec![(0, 0); layout.spans.len()]; layout.classes.len()];
        let (mut best, mut choices) = (Vec::new(), Vec::new());
        for (span, _) in layout.spans.iter().enumerate() {
            for (fill, &known) in layout.fills.iter().enumerate() {
                let group = known.group;
                best.clear();
                best.resize(known.widest + 1, 0);
                self.choose((at, span), fill, (values, need), &mut choices);
                choices.iter().for_each(|&(choice, times, ..)| knapsack::fill(&mut best, choice, times));
                let more = values.fill(at, group, span);
                for (class, spans) in spans.iter_mut().enumerate() {
                    let Some(rooms) = layout.rooms(class, known) else { continue };
                    let filled = rooms.iter().map(|&room| best[room]).sum();
                    let worth = match self.key_rip((at, span), (fill, rooms), (values, need), &best) {
                        Key::Any if more > 0 && filled == 0 => {
                            // A span that must be filled has to hold something, even at a loss.
                            let any = self.any_rip((at, span), (fill, rooms[0]), (values, need));
                            let Some((_, loss)) = any else { continue };
                            loss
                        }
                        Key::Any => filled,
                        Key::With { worth, .. } => worth,
                        Key::None => continue,
                    };
                    if worth + more > spans[span].0 {
                        spans[span] = (worth + more, group);
                    }
                }
            }
        }
        for (class, spans) in spans.iter_mut().enumerate() {
            for (span, worth) in spans.iter_mut().enumerate() {
                worth.0 += values.span(at, class, span);
            }
        }
        spans
    }

    /// The rips that may go into a span of a group: choices for the knapsack across, each with its
    /// hold and how many rips it stands for.
    fn choose<'b>(
        &'b self,
        (at, span): (usize, usize),
        fill: usize,
        (values, need): (&Values, &[u32]),
        choices: &mut Vec<(Choice<'b>, Times, Hold, u32)>,
    ) {
        let Fill { group, leaves, .. } = self.model.layouts[at].fills[fill];
        choices.clear();
        for hold in self.usable((at, span), group, (values, need)) {
            let variant = &self.model.variants[hold.variant];
            let multiples = &self.across[at][hold.variant];
            if multiples.is_empty() {
                continue;
            }
            let units = hold.pieces * leaves / self.model.parts[variant.part].unit;
            let value = values.rip((at, span), fill, (variant.part, units));
            if value <= 0 {
                continue;
            }
            let most = need[variant.part].div_ceil(units.max(1));
            let mut add = |rips: u32, times: Times| {
                let (first, steps) = &multiples[rips as usize - 1];
                choices.push((Choice { value: value * i64::from(rips), first: *first, steps }, times, hold, rips));
            };
            if most as usize > multiples.len() {
                add(1, Times::Any);
                continue;
            }
            let (mut left, mut rips) = (most, 1);
            while left > 0 {
                let now = rips.min(left);
                add(now, Times::Once);
                left -= now;
                rips = (rips * 2).min(MULTIPLES);
            }
        }
    }

    fn price_boards(&self, at: usize, class: usize, worth: &[(i64, usize)]) -> PricedBoards {
        let layout = &self.model.layouts[at];
        let useful = rising(worth);
        let modes = self.model.modes.iter().filter(|mode| mode.layout == at && mode.class == class);
        let last = modes.clone().map(|mode| layout.runs(*mode)[0]).max().unwrap_or(0);
        let mut fillings = Fillings::default();
        fillings.solve(&self.span_choices(at, &useful, |span| worth[span].0), last);
        let mut worth = vec![0; layout.runs.len()];
        for mode in modes {
            worth[mode.runs] = layout.runs(*mode).iter().map(|&run| fillings.value(run)).sum();
        }
        PricedBoards { useful, fillings, worth }
    }

    fn span_choices(&self, at: usize, spans: &[usize], value: impl Fn(usize) -> i64) -> Vec<Choice<'_>> {
        spans
            .iter()
            .map(|&span| {
                let (first, steps) = &self.along[at][span];
                Choice { value: value(span), first: *first, steps }
            })
            .collect()
    }

    /// The spans of a best board of a mode, ascending, one entry each.
    pub(super) fn cut(&self, priced: &Priced, mode: Mode) -> Vec<usize> {
        let PricedBoards { useful, fillings, .. } = &priced.boards[mode.layout][mode.class];
        let choices = self.span_choices(mode.layout, useful, |_| 0);
        let runs = self.model.layouts[mode.layout].runs(mode).iter();
        let mut spans: Vec<usize> =
            runs.flat_map(|&run| fillings.taken(&choices, run)).map(|choice| useful[choice]).collect();
        spans.sort_unstable();
        spans
    }
}

impl Pricer<'_> {
    /// The room left after a span is cut from it.
    pub(super) fn room_after(&self, layout: usize, span: usize, room: usize) -> usize {
        let (first, steps) = &self.along[layout][span];
        room.checked_sub(*first).map_or(0, |at| steps[at] as usize)
    }
}

impl Priced {
    /// Worth of the best board of a mode.
    pub(super) fn board(&self, mode: Mode) -> i64 {
        self.boards[mode.layout][mode.class].worth[mode.runs]
    }

    /// Worth of a span's best rips.
    pub(super) fn span(&self, layout: usize, class: usize, span: usize) -> i64 {
        self.spans[layout][class][span].0
    }
}

impl Rips {
    /// Units of each part, ascending by part.
    pub(super) fn units(&self, model: &Model) -> Vec<(usize, u32)> {
        let mut units: Vec<(usize, u32)> = Vec::new();
        let leaves = model.leaves(self.layout, self.class, self.group);
        for &(hold, count) in &self.rips {
            let (part, each) = model.units(hold, leaves);
            let more = each * count;
            match units.iter_mut().find(|(p, _)| *p == part) {
                Some((_, sum)) => *sum += more,
                None => units.push((part, more)),
            }
        }
        units.sort_unstable();
        units
    }
}

fn holds_by_group(model: &Model, layout: &Layout) -> Vec<Vec<Vec<Hold>>> {
    let groups = layout.across.len();
    let of_span = |span: &Span| {
        let of_group =
            |group| span.holds.iter().copied().filter(move |hold| model.variants[hold.variant].group == group);
        (0..groups).map(|group| of_group(group).collect()).collect()
    };
    layout.spans.iter().map(of_span).collect()
}

/// Spans worth more than every shorter one.
fn rising(worth: &[(i64, usize)]) -> Vec<usize> {
    let mut useful = Vec::new();
    let mut highest = 0;
    for (span, &(value, _)) in worth.iter().enumerate() {
        if value > highest {
            useful.push(span);
            highest = value;
        }
    }
    useful
}

fn along_steps(layout: &Layout) -> Vec<Steps> {
    layout.spans.iter().map(|span| layout.along.steps(span.size, layout.along.len() - 1)).collect()
}

fn across_steps(model: &Model, layout: &Layout) -> Vec<Vec<Steps>> {
    model
        .variants
        .iter()
        .zip(&layout.sizes)
        .map(|(variant, &size)| {
            let grid = &layout.across[variant.group];
            let last = grid.len() - 1;
            let most = (grid.sum(last) / size).min(2 * i64::from(MULTIPLES));
            (1..=most).map(|times| grid.steps(size * times, last)).collect()
        })
        .collect()
}
