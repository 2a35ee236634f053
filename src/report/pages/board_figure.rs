//! One board as it is cut: blanks, rips, kerfs, trims, the width that is held, and what is left over.

use super::figure::{Figure, Hang, fits};
use super::shell::{Words, count};
use crate::cutting::{clear_runs, held, usable_length};
use crate::demand::Part;
use crate::job::{BoardStock, CuttingRules, Job, Order};
use crate::measure::Length;
use crate::packing::boards::{Blank, CutBoard, RipGroup};
use crate::plan::Plan;

/// Room over a board for the numbers of its blanks, and under it for their lengths.
const OVER: f64 = 16.0;
const UNDER: f64 = 22.0;
const SIDE: f64 = 3.0;
/// Every board figure is this wide, so that all boards of a job share one scale on any paper.
const WIDTH: f64 = 700.0;
/// A letter is this high: a label needs as much.
const LETTERS: f64 = 10.0;

/// The scale of all boards of a job: pixels per millimetre. Across the grain it is half as much again, because a
/// board is ten to twenty times as long as it is wide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoardScale {
    /// Along the grain.
    pub along: f64,
    /// Across it.
    pub across: f64,
}

impl BoardScale {
    /// The scale at which the longest board that is used fills the sheet.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan) -> Self {
        let used = plan.boards.boards.iter().filter_map(|board| job.boards.get(board.stock));
        Self::holding(used.map(|stock| stock.length))
    }

    /// The scale at which the longest of these boards fills the sheet.
    pub(crate) fn holding(lengths: impl Iterator<Item = Length>) -> Self {
        let longest = lengths.map(Length::mm_f64).fold(1.0, f64::max);
        let along = (WIDTH - 2.0 * SIDE) / longest;
        Self { along, across: 1.5 * along }
    }

    fn x(self, length: Length) -> f64 {
        length.mm_f64() * self.along
    }

    fn y(self, length: Length) -> f64 {
        length.mm_f64() * self.across
    }
}

/// Rips of a blank in the order they are sawn: widest first, so that every fence setting comes once.
pub(super) fn saw_order(blank: &Blank) -> Vec<&RipGroup> {
    let mut rips: Vec<&RipGroup> = blank.rips.iter().collect();
    rips.sort_by_key(|rips| (std::cmp::Reverse(rips.rip_width), rips.part));
    rips
}

/// What is left beside the rips of a blank: the width that is held.
fn held_beside(rules: &CuttingRules, stock: &BoardStock, blank: &Blank) -> Length {
    let rips: Vec<(Length, u32)> = blank.rips.iter().map(|rips| (rips.rip_width, rips.rips)).collect();
    held(rules, Order::CrosscutFirst, stock.width, &rips)
}

/// What is left of a board's length past its last blank, both trims off; of a board with defects, past
/// the last blank of each clear run. As (from, to) along the board.
fn left_along(rules: &CuttingRules, stock: &BoardStock, board: &CutBoard) -> Vec<(Length, Length)> {
    let mut left = clear_runs(rules, stock.length, &stock.defects);
    for run in &mut left {
        let inside = board.blanks.iter().filter(|blank| run.0 <= blank.from() && blank.from() < run.1);
        let ends = inside.map(|blank| blank.from() + blank.length + rules.crosscut_kerf);
        run.0 = ends.max().unwrap_or(run.0);
    }
    left.retain(|(from, to)| to > from);
    left
}

/// What is left of a board's width past its last full-length rip.
fn left_beside(rules: &CuttingRules, stock: &BoardStock, board: &CutBoard) -> Length {
    let rips = board.blanks.iter().filter_map(|blank| blank.rips.first()).map(|rips| (rips.rip_width, rips.rips));
    held(rules, Order::RipFirst, stock.width, &rips.collect::<Vec<_>>())
}

/// The drawing of one board of a plan, at the scale of its job.
#[must_use]
pub fn board_figure(job: &Job, plan: &Plan, board: &CutBoard, scale: BoardScale) -> Figure {
    figure_of(job, &plan.demand.parts, (&job.boards[board.stock], board), scale)
}

/// The drawing of a board that is cut into strips of these parts.
pub(crate) fn figure_of(
    job: &Job,
    parts: &[Part],
    (stock, board): (&BoardStock, &CutBoard),
    scale: BoardScale,
) -> Figure {
    let (length, width) = (scale.x(stock.length), scale.y(stock.width));
    let words = Words::new(job);
    let cuts = match board.order {
        Order::CrosscutFirst => format!("{} across its length", count(board.blanks.len() as u64, "blank")),
        Order::RipFirst => {
            let rips =
                board.blanks.iter().filter_map(|blank| blank.rips.first()).map(|rips| u64::from(rips.rips)).sum();
            format!("{} along its whole length", count(rips, "rip"))
        }
    };
    let label = format!("Board {} by {}: {cuts}", words.len(stock.width), words.len(stock.length));
    let mut sheet = BoardSheet {
        figure: Figure::new(label, WIDTH, OVER + width + UNDER),
        rules: &job.shop.cutting,
        parts,
        words,
        scale,
        stock,
    };
    let trim = scale.x(sheet.rules.end_trim);
    for x in [SIDE, SIDE + length - trim] {
        sheet.crossed("waste", (x, OVER), (trim, width));
    }
    match board.order {
        Order::CrosscutFirst => sheet.blanks(board),
        Order::RipFirst => sheet.full_rips(board),
    }
    sheet.defects();
    sheet.figure.rect("board", (SIDE, OVER), (length, width));
    sheet.figure
}

struct BoardSheet<'a> {
    figure: Figure,
    rules: &'a CuttingRules,
    parts: &'a [Part],
    words: Words,
    scale: BoardScale,
    stock: &'a BoardStock,
}

impl BoardSheet<'_> {
    /// A field that is lost: crossed through.
    fn crossed(&mut self, pen: &'static str, (x, y): (f64, f64), (w, h): (f64, f64)) {
        if w > 0.4 && h > 0.4 {
            self.figure.rect(pen, (x, y), (w, h));
            self.figure.line(pen, (x, y), (x + w, y + h));
        }
    }

    /// What is cut out, with where it begins and ends.
    fn defects(&mut self) {
        for defect in &self.stock.defects {
            let place = (SIDE + self.scale.x(defect.from), OVER);
            let size = (self.scale.x(defect.to - defect.from), self.scale.y(self.stock.width));
            self.figure.rect("paper", place, size);
            self.crossed("waste", place, size);
            let span = format!("{} to {}", self.words.len(defect.from), self.words.len(defect.to));
            self.figure.text("small", Hang::Middle, (place.0 + size.0 / 2.0, OVER - 4.0), span);
        }
    }

    /// Words on a field, on white, where there is room for them.
    fn label(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), text: &str) {
        if h < LETTERS || !fits(text, w) {
            return;
        }
        let (middle, half) = (f64::midpoint(x, x + w), text.chars().count() as f64 * 3.55 + 3.0);
        let at = y + h / 2.0;
        self.figure.rect("paper", (middle - half, at - LETTERS / 2.0), (half * 2.0, LETTERS));
        self.figure.text("small", Hang::Middle, (middle, at + 4.0), text);
    }

    fn blanks(&mut self, board: &CutBoard) {
        let edge = self.scale.y(self.rules.edge_trim(Order::CrosscutFirst)) / 2.0;
        let height = self.scale.y(self.stock.width) - 2.0 * edge;
        for (number, blank) in (1..).zip(&board.blanks) {
            let (x, w) = (SIDE + self.scale.x(blank.from()), self.scale.x(blank.length));
            self.rips_across(blank, (x, OVER + edge), w);
            self.figure.rect("blank", (x, OVER + edge), (w, height));
            self.figure.text("mark", Hang::Middle, (x + w / 2.0, OVER - 4.0), number.to_string());
            let below = OVER + self.scale.y(self.stock.width) + 6.0;
            self.figure.dimension((x, x + w), below, &self.words.len(blank.length));
        }
        for (from, to) in left_along(self.rules, self.stock, board) {
            let left = to - from;
            let size = (self.scale.x(left), self.scale.y(self.stock.width));
            let place = (SIDE + self.scale.x(from), OVER);
            self.figure.rect("offcut", place, size);
            self.figure.grain(place, size);
            self.label(place, size, &format!("left {}", self.words.size(left, self.stock.width)));
        }
    }

    /// The rips of one blank from its jointed edge down, and below them what is held.
    fn rips_across(&mut self, blank: &Blank, (x, top): (f64, f64), w: f64) {
        let kerf = self.scale.y(self.rules.rip_kerf);
        let mut y = top;
        for rips in saw_order(blank) {
            let (height, group_top) = (self.scale.y(rips.rip_width), y);
            for _ in 0..rips.rips {
                self.figure.rect("rip", (x, y), (w, height));
                y += height + kerf;
            }
            let group = y - kerf - group_top;
            self.pieces_along((x, group_top), group, blank, rips);
            let name = &self.parts[rips.part].name;
            let said = format!("{} x {} {name}", rips.rips, self.words.len(rips.rip_width));
            self.label((x, group_top), (w, group), &said);
        }
        let held = held_beside(self.rules, self.stock, blank);
        let (place, size) = ((x, y), (w, self.scale.y(held)));
        self.figure.grain(place, size);
        self.label(place, size, &format!("held {}", self.words.len(held)));
    }

    /// Where the pieces of equal rips end, and the waste past them.
    fn pieces_along(&mut self, (x, top): (f64, f64), height: f64, blank: &Blank, rips: &RipGroup) {
        let piece = self.parts[rips.part].length + self.rules.length_trim;
        let mut at = Length::ZERO;
        for _ in 0..rips.pieces {
            at += piece;
            let end = x + self.scale.x(at);
            if at + self.rules.crosscut_kerf < blank.length {
                self.figure.line("cutline", (end, top), (end, top + height));
            }
            at += self.rules.crosscut_kerf;
        }
        let left = blank.length - at;
        if left.is_positive() {
            let place = (x + self.scale.x(at), top);
            self.figure.line("waste", place, (x + self.scale.x(blank.length), top + height));
        }
    }

    fn full_rips(&mut self, board: &CutBoard) {
        let usable = usable_length(self.rules, self.stock.length);
        let (x, w) = (SIDE + self.scale.x(self.rules.end_trim), self.scale.x(usable));
        let kerf = self.scale.y(self.rules.rip_kerf);
        let mut y = OVER + self.scale.y(self.rules.edge_trim(Order::RipFirst)) / 2.0;
        for (number, blank) in (1..).zip(&board.blanks) {
            let Some(first) = blank.rips.first() else { continue };
            let (height, top) = (self.scale.y(first.rip_width), y);
            for _ in 0..first.rips {
                self.figure.rect("rip", (x, y), (w, height));
                y += height + kerf;
            }
            let group = y - kerf - top;
            self.pieces_of_rip(blank, top, group);
            let said = format!("{number}: {} x {}", first.rips, self.words.len(first.rip_width));
            self.label((x, top), (w, group), &said);
        }
        let left = left_beside(self.rules, self.stock, board);
        let (place, size) = ((x, y), (w, self.scale.y(left)));
        self.figure.grain(place, size);
        self.label(place, size, &format!("held {}", self.words.len(left)));
        let below = OVER + self.scale.y(self.stock.width) + 6.0;
        self.figure.dimension((x, x + w), below, &self.words.len(usable));
    }

    /// Crosscuts of a full-length rip, all its parts one after the other.
    fn pieces_of_rip(&mut self, blank: &Blank, top: f64, height: f64) {
        for rips in &blank.rips {
            let piece = self.parts[rips.part].length + self.rules.length_trim;
            let mut at = rips.from;
            for _ in 0..rips.pieces {
                at += piece;
                let end = SIDE + self.scale.x(at);
                self.figure.line("cutline", (end, top), (end, top + height));
                at += self.rules.crosscut_kerf;
            }
        }
    }
}
