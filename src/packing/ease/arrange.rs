//! Blanks exchanged between boards so that each board holds fewer different parts.
//!
//! A door finds its strips on few boards when a part lies on few boards. How many parts lie on how many
//! boards is quickly counted, so it stands in for the number that is wanted until the doors are tied.

use std::collections::BTreeSet;

use super::room;
use crate::packing::boards::{Blank, BoardProblem, CutBoard};
use crate::packing::bundles::Want;

/// Exchanges looked at, at most.
const WORK: u64 = 50_000;

/// Plans of more boards stay as they are: most of their boards are cut alike, and should be.
const MOST_BOARDS: usize = 60;

/// A blank on its board, as far as exchanges are concerned.
#[derive(Clone)]
struct Piece {
    blank: Blank,
    /// Along the board with its kerf, across it without the last one, in nanometres.
    along: i64,
    across: i64,
    /// Parts of doors in it, ascending.
    parts: Vec<usize>,
}

/// A board that takes part.
struct Row {
    at: usize,
    /// Boards of different wood or thickness do not exchange.
    wood: usize,
    pieces: Vec<Piece>,
    slack: i64,
    across: i64,
    /// Blanks that hold each part.
    holds: Vec<u32>,
}

/// Boards with as few parts on each as exchanges of single blanks bring about.
pub(super) fn arrange(problem: &BoardProblem, boards: &[CutBoard], wants: &[Want]) -> Vec<CutBoard> {
    if boards.len() > MOST_BOARDS {
        return boards.to_vec();
    }
    let of_doors: BTreeSet<usize> =
        wants.iter().filter(|want| want.door).flat_map(|want| &want.takes).map(|take| take.0).collect();
    let mut rows = rows(problem, boards, &of_doors);
    let mut work = WORK;
    while pass(&mut rows, &mut work) && work > 0 {}
    let mut arranged = boards.to_vec();
    for row in rows {
        arranged[row.at].blanks = row.pieces.into_iter().map(|piece| piece.blank).collect();
        arranged[row.at].blanks.sort_by_key(|blank| std::cmp::Reverse(blank.length));
        room::lay_out(problem, &mut arranged[row.at]);
    }
    arranged
}

fn rows(problem: &BoardProblem, boards: &[CutBoard], of_doors: &BTreeSet<usize>) -> Vec<Row> {
    let mut woods = Vec::new();
    let mut rows = Vec::new();
    for (at, board) in boards.iter().enumerate().filter(|(_, board)| room::is_free(problem, board)) {
        let kind = &problem.stock[board.stock];
        let wood = (kind.label, kind.thickness);
        let wood = woods.iter().position(|&known| known == wood).unwrap_or_else(|| {
            woods.push(wood);
            woods.len() - 1
        });
        let pieces: Vec<Piece> = board.blanks.iter().map(|blank| piece(problem, blank, of_doors)).collect();
        let mut holds = vec![0; problem.parts.len()];
        pieces.iter().flat_map(|piece| &piece.parts).for_each(|&part| holds[part] += 1);
        rows.push(Row {
            at,
            wood,
            slack: room::left_along(problem, board).nm(),
            across: room::across(problem, board).nm(),
            pieces,
            holds,
        });
    }
    rows
}

fn piece(problem: &BoardProblem, blank: &Blank, of_doors: &BTreeSet<usize>) -> Piece {
    let parts: BTreeSet<usize> =
        blank.rips.iter().map(|rips| rips.part).filter(|part| of_doors.contains(part)).collect();
    Piece {
        along: (blank.length + problem.rules.crosscut_kerf).nm(),
        across: room::sawn(problem, blank).nm(),
        parts: parts.into_iter().collect(),
        blank: blank.clone(),
    }
}

/// Makes every exchange that helps, once through; true when there was one.
fn pass(rows: &mut [Row], work: &mut u64) -> bool {
    let mut helped = false;
    for a in 0..rows.len() {
        for b in 0..rows.len() {
            if a == b || rows[a].wood != rows[b].wood {
                continue;
            }
            for x in (0..rows[a].pieces.len()).rev() {
                // A blank moves over, if its board keeps another, or changes places with one.
                let partners = (0..=rows[b].pieces.len()).map(|y| (y < rows[b].pieces.len()).then_some(y));
                for y in partners {
                    *work = work.saturating_sub(1);
                    if *work == 0 {
                        return helped;
                    }
                    if x < rows[a].pieces.len() && fits(&rows[a], &rows[b], x, y) && gain(&rows[a], &rows[b], x, y) > 0
                    {
                        exchange(rows, (a, x), (b, y));
                        helped = true;
                        break;
                    }
                }
            }
        }
    }
    helped
}

fn fits(a: &Row, b: &Row, x: usize, y: Option<usize>) -> bool {
    let (there, back) = (&a.pieces[x], y.map(|y| &b.pieces[y]));
    let more = there.along - back.map_or(0, |piece| piece.along);
    (back.is_some() || a.pieces.len() > 1)
        && more <= b.slack
        && -more <= a.slack
        && there.across <= b.across
        && back.is_none_or(|piece| piece.across <= a.across)
}

/// How many fewer parts lie on the two boards after the exchange.
fn gain(a: &Row, b: &Row, x: usize, y: Option<usize>) -> i32 {
    let there = &a.pieces[x].parts;
    let none = Vec::new();
    let back = y.map_or(&none, |y| &b.pieces[y].parts);
    let one_way = |from: &Row, to: &Row, parts: &[usize], returned: &[usize]| -> i32 {
        let moved = parts.iter().filter(|part| !returned.contains(part));
        moved.map(|&part| i32::from(from.holds[part] == 1) - i32::from(to.holds[part] == 0)).sum()
    };
    one_way(a, b, there, back) + one_way(b, a, back, there)
}

fn exchange(rows: &mut [Row], (a, x): (usize, usize), (b, y): (usize, Option<usize>)) {
    let there = rows[a].pieces.remove(x);
    let back = y.map(|y| rows[b].pieces.remove(y));
    if let Some(back) = back {
        take(&mut rows[b], &back);
        put(&mut rows[a], back);
    }
    take(&mut rows[a], &there);
    put(&mut rows[b], there);
}

fn take(row: &mut Row, piece: &Piece) {
    row.slack += piece.along;
    piece.parts.iter().for_each(|&part| row.holds[part] -= 1);
}

fn put(row: &mut Row, piece: Piece) {
    row.slack -= piece.along;
    piece.parts.iter().for_each(|&part| row.holds[part] += 1);
    row.pieces.push(piece);
}
