//! The picture of a bolt: one drawing, or for a long bolt several with levels that are cut alike drawn once.

use super::cloth_page::{Laid, Level};
use super::figure::{Figure, Hang, fits};
use super::shell::{Words, count};
use crate::job::Bolt;
use crate::measure::Length;
use crate::packing::cloth::BoltUse;
use crate::report::printable;

const WIDTH: f64 = 700.0;
const HEIGHT: f64 = 190.0;
/// A line of words below the drawing.
const LINE: f64 = 13.0;
/// White at the left and above.
const EDGE: f64 = 3.0;
/// A bolt that would be drawn lower than this is drawn in several pieces, each so high.
const LOWEST: f64 = 100.0;
const OF_A_LONG_ONE: f64 = 130.0;

/// Levels next to each other that are cut alike.
struct Run<'a, 'b> {
    level: &'b Level<'a>,
    alike: usize,
    /// Where the last of them ends.
    to: Length,
}

/// The drawings of one bolt, in the order in which it is cut.
pub(super) fn bolt_figures(
    words: Words,
    bolt: &Bolt,
    used: &BoltUse,
    pieces: &[Laid],
    levels: &[Level<'_>],
) -> Vec<Figure> {
    let (long, wide) = (used.used.mm_f64().max(1.0), bolt.usable_width().mm_f64().max(1.0));
    let whole = ((WIDTH - 2.0 * EDGE) / long).min(HEIGHT / wide);
    let name = printable(&bolt.bolt);
    let size = words.size(bolt.usable_width(), used.used);
    let laid = format!("{} laid on {name}, {size} of it", count(pieces.len() as u64, "piece"));
    if wide * whole >= LOWEST || levels.len() < 2 {
        let runs: Vec<Run> = levels.iter().map(|level| Run { level, alike: 1, to: level.to }).collect();
        let label = format!("{laid}, the edge that is measured from below");
        return vec![drawn(words, label, &runs, (whole, wide, long))];
    }
    let runs = runs(levels);
    let longest = levels.iter().map(|level| (level.to - level.from).mm_f64()).fold(1.0, f64::max);
    // All in one row as high as a short bolt where that goes; no level is longer than the sheet is wide.
    let in_one = ((WIDTH - 2.0 * EDGE) / length(&runs).max(1.0)).min(HEIGHT / wide);
    let scale = in_one.max(OF_A_LONG_ONE / wide).min((WIDTH - 2.0 * EDGE) / longest);
    let rows = rows(runs, (WIDTH - 2.0 * EDGE) / scale * (1.0 + 1e-9));
    let of = rows.len();
    let label = |at: usize| format!("{laid}, part {at} of {of}, levels that are cut alike drawn once");
    let row = |(at, row): (usize, &Vec<Run>)| drawn(words, label(at), row, (scale, wide, length(row)));
    (1..).zip(&rows).map(row).collect()
}

fn length(runs: &[Run<'_, '_>]) -> f64 {
    runs.iter().map(|run| (run.level.to - run.level.from).mm_f64()).sum()
}

/// Levels gathered where the same pieces lie in the same places.
fn runs<'a, 'b>(levels: &'b [Level<'a>]) -> Vec<Run<'a, 'b>> {
    let mut runs: Vec<Run<'a, 'b>> = Vec::new();
    for level in levels {
        match runs.last_mut().filter(|run| alike(run.level, level)) {
            Some(run) => (run.alike, run.to) = (run.alike + 1, level.to),
            None => runs.push(Run { level, alike: 1, to: level.to }),
        }
    }
    runs
}

fn alike(a: &Level<'_>, b: &Level<'_>) -> bool {
    let lies = |level: &Level<'_>| {
        let pieces = level.stacks.iter().flat_map(|stack| stack.pieces.clone());
        pieces.map(|p| (p.name.clone(), p.x - level.from, p.y, p.along, p.across, p.turned)).collect::<Vec<_>>()
    };
    lies(a) == lies(b)
}

/// As many runs beside each other as there is room for, at least one.
fn rows<'a, 'b>(runs: Vec<Run<'a, 'b>>, room: f64) -> Vec<Vec<Run<'a, 'b>>> {
    let mut rows: Vec<Vec<Run<'a, 'b>>> = Vec::new();
    for run in runs {
        match rows.last_mut().filter(|row| length(row) + length(std::slice::from_ref(&run)) <= room) {
            Some(row) => row.push(run),
            None => rows.push(vec![run]),
        }
    }
    rows
}

/// Runs beside each other; the edge that is measured from lies towards the reader.
fn drawn(words: Words, label: String, runs: &[Run<'_, '_>], (scale, wide, long): (f64, f64, f64)) -> Figure {
    let at = |length: Length| length.mm_f64() * scale;
    let ends = |run: &Run| (words.len(run.to), at(run.level.to - run.level.from));
    let is_crowded = |run: &Run| {
        let (end, room) = ends(run);
        !fits(&end, room)
    };
    let alike = if runs.iter().any(|run| run.alike > 1) { LINE } else { 0.0 };
    let crowded = if runs.iter().skip(1).any(is_crowded) { LINE } else { 0.0 };
    let mut figure = Figure::new(label, WIDTH, wide * scale + 2.0 * LINE + alike + crowded);
    figure.rect("board", (EDGE, EDGE), (long * scale, wide * scale));
    let up = |length: Length| EDGE + wide * scale - at(length);
    let mut from = EDGE;
    for run in runs {
        let level = run.level;
        let x = |length: Length| from + at(length - level.from);
        for piece in level.stacks.iter().flat_map(|stack| &stack.pieces) {
            let (w, h) = (at(piece.along), at(piece.across));
            piece_figure(&mut figure, words, piece, (x(piece.x), up(piece.y) - h, w, h), run.alike == 1);
        }
        let to = x(level.to);
        figure.line("cutline", (to, 0.0), (to, wide * scale + 9.0));
        let below = wide * scale + 21.0;
        // What has no room beside what stands before it stands lower.
        let lower = if from > EDGE && is_crowded(run) { alike + crowded } else { 0.0 };
        figure.text("small", Hang::End, (to, below + lower), words.len(run.to));
        if run.alike > 1 {
            figure.text("small", Hang::End, (to, below + LINE), format!("{} alike", run.alike));
        }
        for stack in &level.stacks {
            let (edge, top) = (up(stack.from), up(stack.to));
            figure.line("cutline", (from, top), (to, top));
            for cut in stack.cuts() {
                figure.line("cutline", (x(cut), edge), (x(cut), top));
            }
        }
        from = to;
    }
    figure
}

fn piece_figure(figure: &mut Figure, words: Words, piece: &Laid, (x, y, w, h): (f64, f64, f64, f64), owned: bool) {
    figure.rect("piece", (x, y), (w, h));
    let middle = (x + w / 2.0, y + h / 2.0);
    figure.text("mark", Hang::Middle, middle, &piece.name);
    let size = words.size(piece.along, piece.across);
    if fits(&size, w) && h > 38.0 {
        figure.text("small", Hang::Middle, (middle.0, middle.1 + 13.0), size);
    }
    let owner = printable(&piece.owner);
    if owned && fits(&owner, w) && h > 54.0 {
        figure.text("small", Hang::Middle, (middle.0, middle.1 + 25.0), owner);
    }
}

#[cfg(test)]
mod tests {
    use super::super::cloth_page::Stack;
    use super::*;

    fn piece(name: &str, x: i64, across: i64) -> Laid {
        let mm = |mm: i64| Length::from_nm(mm * 1_000_000);
        let (x, y, along, across) = (mm(x), mm(0), mm(500), mm(across));
        Laid { name: name.to_owned(), owner: "door".to_owned(), x, y, along, across, turned: false }
    }

    #[test]
    fn levels_cut_alike_are_drawn_once_and_rows_hold_what_there_is_room_for() {
        let pieces: Vec<Laid> =
            (0..9).map(|at| if at == 4 { piece("C02", at * 500, 700) } else { piece("C01", at * 500, 600) }).collect();
        let stack = |laid| Stack { from: Length::ZERO, to: Length::from_mm(700), pieces: vec![laid] };
        let levels: Vec<Level> = pieces
            .iter()
            .map(|laid| Level { from: laid.x, to: laid.x + laid.along, stacks: vec![stack(laid)] })
            .collect();
        let found = runs(&levels);
        let said: Vec<(usize, Length)> = found.iter().map(|run| (run.alike, run.to)).collect();
        assert_eq!(said, [(4, 2_000), (1, 2_500), (4, 4_500)].map(|(alike, to)| (alike, Length::from_mm(to))));
        let rows = rows(found, 1_200.0);
        assert_eq!(rows.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
    }
}
