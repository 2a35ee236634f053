//! A panel with its grooves, seen on its inside face, and a sheet as it is cut.

use super::figure::{Figure, Hang, figure, fits};
use super::shell::Words;
use crate::case::Panel;
use crate::job::{DoorSpec, DoorTrack, Hand, Job, Order};
use crate::measure::Length;
use crate::packing::boards::{Blank, CutBoard};
use crate::plan::Plan;

/// Room of a drawing across the sheet, and the most it is high.
const WIDE: f64 = 420.0;
const HIGH: f64 = 210.0;

/// The panel lying with its front edge below: of top and bottom the length across, of a side its top end at the right. `over`
/// is what it runs past the inside of the case at each end, `behind` what it runs past the back's inside face.
pub(super) fn grooved_panel(
    words: Words,
    (panel, door): (&Panel, &DoorSpec),
    (over, behind): (Length, Length),
    turns: bool,
) -> Figure {
    let (long, wide) = (panel.length.mm_f64().max(1.0), panel.width.mm_f64().max(1.0));
    let scale = ((WIDE - 110.0) / long).min((HIGH - 50.0) / wide);
    let (left, top) = (64.0, 14.0);
    let (w, h) = (long * scale, wide * scale);
    let mut sheet = Figure::new(
        format!("{}, inside face, front edge below, with the centrelines of its grooves", panel.name),
        WIDE,
        top + h + 40.0,
    );
    sheet.rect("board", (left, top), (w, h));
    let foot = top + h;
    if let DoorTrack::Case { hand, setback, side_inset, back_inset, corner_radius, .. } = &door.track {
        let front = foot - setback.mm_f64() * scale;
        let back = top + (behind + *back_inset).mm_f64() * scale;
        let inset = (over + *side_inset).mm_f64() * scale;
        let radius = corner_radius.mm_f64() * scale;
        let ends: &[f64] = match hand {
            Hand::Left => &[1.0],
            Hand::Right | Hand::Up => &[-1.0],
            Hand::PairLeft | Hand::PairRight => &[1.0, -1.0],
        };
        for side in ends {
            // From the middle of the front edge, or from the far end for a single door, round the corner to the back.
            let pair = ends.len() == 2;
            let start = match (pair, *side > 0.0) {
                (true, _) => left + w / 2.0,
                (false, true) => left + w - over.mm_f64() * scale,
                (false, false) => left + over.mm_f64() * scale,
            };
            let run = if *side > 0.0 { left + inset } else { left + w - inset };
            let sweep = u8::from(*side > 0.0);
            let r = figure(radius);
            let arc = |x: f64, y: f64| format!("A{r} {r} 0 0 {sweep} {} {}", figure(x), figure(y));
            let mut d = format!("M{} {}H{}", figure(start), figure(front), figure(run + side * radius));
            d.push_str(&arc(run, front - radius));
            if turns {
                d.push_str(&format!("V{}", figure(back + radius)));
                d.push_str(&arc(run + side * radius, back));
                d.push_str(&format!("H{}", figure(start)));
            } else {
                d.push_str(&format!("V{}", figure(top + behind.mm_f64() * scale)));
            }
            sheet.path("centre", d);
        }
        let at = if ends.contains(&1.0) { (left, left + inset) } else { (left + w - inset, left + w) };
        sheet.dimension(at, top - 6.0, "");
        sheet.text("small", Hang::Middle, (f64::midpoint(at.0, at.1), top - 3.0), words.len(over + *side_inset));
        sheet.text("small", Hang::End, (left - 6.0, front + 3.0), format!("{} up", words.len(*setback)));
    }
    sheet.text("word", Hang::Middle, (left + w / 2.0, foot + 12.0), "front edge");
    sheet.dimension((left, left + w), foot + 20.0, &words.len(panel.length));
    sheet.text("word", Hang::End, (left - 6.0, top + h / 2.0), format!("{} wide", words.len(panel.width)));
    sheet
}

/// The scale of all sheets of a job: the longest is as wide as the drawing.
pub(super) fn sheet_scale(job: &Job, plan: &Plan) -> f64 {
    let used = plan.cased.sheets.boards.iter().map(|board| job.sheets[board.stock].length.mm_f64());
    WIDE / used.fold(1.0, f64::max)
}

/// A sheet as it is cut, its grain across the drawing.
pub(super) fn sheet_figure(job: &Job, plan: &Plan, board: &CutBoard, scale: f64) -> Figure {
    let stock = &job.sheets[board.stock];
    let (long, wide) = (stock.length.mm_f64().max(1.0), stock.width.mm_f64().max(1.0));
    let drawn = Drawn { plan, board, scale, kerf: job.shop.panels.kerf, trim: job.shop.panels.trim };
    let mut sheet = Figure::new(format!("{} as it is cut", stock.sheet), WIDE, wide * scale);
    sheet.rect("board", (0.0, 0.0), (long * scale, wide * scale));
    match board.order {
        Order::CrosscutFirst => drawn.crosscut(&mut sheet),
        Order::RipFirst => drawn.ripped(&mut sheet),
    }
    sheet
}

struct Drawn<'a> {
    plan: &'a Plan,
    board: &'a CutBoard,
    scale: f64,
    kerf: Length,
    trim: Length,
}

impl Drawn<'_> {
    /// Lengths across the sheet one behind the other, rips beside one another in each, pieces along each rip.
    fn crosscut(&self, sheet: &mut Figure) {
        for blank in &self.board.blanks {
            let mut y = self.trim;
            for row in &blank.rips {
                for _ in 0..row.rips {
                    self.pieces(sheet, (blank.from(), y), row.part, row.pieces);
                    y = y + row.rip_width + self.kerf;
                }
            }
        }
    }

    /// Full-length rips beside one another, pieces along each.
    fn ripped(&self, sheet: &mut Figure) {
        let mut y = self.trim;
        for blank in &self.board.blanks {
            let Some(first) = blank.rips.first() else { continue };
            for _ in 0..first.rips {
                self.row(sheet, blank, y);
                y = y + first.rip_width + self.kerf;
            }
        }
    }

    fn row(&self, sheet: &mut Figure, blank: &Blank, y: Length) {
        for row in &blank.rips {
            self.pieces(sheet, (row.from, y), row.part, row.pieces);
        }
    }

    fn pieces(&self, sheet: &mut Figure, (from, y): (Length, Length), part: usize, pieces: u32) {
        let part = &self.plan.cased.case.parts[part];
        let size = (part.length.mm_f64() * self.scale, part.width.mm_f64() * self.scale);
        let mut x = from;
        for _ in 0..pieces {
            let corner = (x.mm_f64() * self.scale, y.mm_f64() * self.scale);
            sheet.rect("strip", corner, size);
            if fits(&part.name, size.0) && size.1 > 9.0 {
                let middle = (corner.0 + size.0 / 2.0, corner.1 + size.1 / 2.0 + 3.0);
                sheet.text("mark", Hang::Middle, middle, part.name.clone());
            }
            x = x + part.length + self.kerf;
        }
    }
}
