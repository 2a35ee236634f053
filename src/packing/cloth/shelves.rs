//! A plan at once, however many sizes there are: pieces from the tallest down, each in the level it fills best
//! (best-fit decreasing height; Coffman, Garey, Johnson and Tarjan 1980 for strips of one width).

use std::collections::BTreeMap;

use super::layout::{Layout, Level};
use super::model::Model;
use super::stacks::side_by_side;

/// A level that is being filled: its bolt and its pieces.
struct Shelf {
    bolt: usize,
    pieces: Vec<(usize, i64)>,
}

/// Levels with all pieces that find a place, and of each kind how many do not. `rates` are costs of a unit of
/// length.
pub(super) fn shelves(model: &Model, rates: &[i64]) -> (Layout, Vec<i64>) {
    let mut caps: Vec<Option<i64>> = model.bolts.iter().map(|bolt| bolt.cap).collect();
    let mut bolts: Vec<usize> = (0..model.bolts.len()).collect();
    // What costs least for its width is used up first.
    let by_rate = |&bolt: &usize| (i128::from(rates[bolt]) << 40) / i128::from(model.bolts[bolt].width.max(1));
    bolts.sort_by_key(|bolt| (by_rate(bolt), *bolt));
    let mut shelves: Vec<Shelf> = Vec::new();
    // Shelves by what is left across them.
    let mut open: BTreeMap<(i64, usize), ()> = BTreeMap::new();
    let mut missing = vec![0; model.kinds.len()];
    for (kind, ways) in tallest_first(model) {
        let mut left = model.kinds[kind].need;
        while left > 0 {
            let fitting = |&p: &usize| open.range((model.placements[p].across, 0)..).next().map(|(&key, ())| (key, p));
            // Shelves stand from the tallest down: only a piece laid the other way might be too tall for one.
            let tall = |&((_, at), p): &((i64, usize), usize)| height(model, &shelves[at]) >= model.placements[p].along;
            let held = ways.iter().filter_map(fitting).filter(tall).min();
            let (at, p, room) = match held {
                Some(((room, at), p)) => {
                    open.remove(&(room, at));
                    (at, p, room)
                }
                None => {
                    let Some((bolt, p)) = opened(model, &bolts, &mut caps, &ways) else { break };
                    shelves.push(Shelf { bolt, pieces: Vec::new() });
                    (shelves.len() - 1, p, model.bolts[bolt].width)
                }
            };
            let across = model.placements[p].across;
            let copies = left.min(room / across);
            shelves[at].pieces.push((p, copies));
            left -= copies;
            open.insert((room - copies * across, at), ());
        }
        missing[kind] = left;
    }
    let level = |shelf: Shelf| (Level { bolt: shelf.bolt, content: side_by_side(shelf.pieces) }, 1);
    (Layout { levels: shelves.into_iter().map(level).collect() }, missing)
}

fn height(model: &Model, shelf: &Shelf) -> i64 {
    shelf.pieces.first().map_or(0, |piece| model.placements[piece.0].along)
}

/// Kinds with the ways to lay them, each way lower than the one before; those that stand tallest at the lowest come
/// first.
fn tallest_first(model: &Model) -> Vec<(usize, Vec<usize>)> {
    let mut ways: Vec<(usize, Vec<usize>)> = (0..model.kinds.len()).map(|kind| (kind, Vec::new())).collect();
    for (p, placement) in model.placements.iter().enumerate() {
        ways[placement.kind].1.push(p);
    }
    ways.retain(|(kind, ways)| model.kinds[*kind].need > 0 && !ways.is_empty());
    let along = |ways: &[usize]| ways.iter().map(|&p| model.placements[p].along).min();
    ways.sort_by_key(|(kind, ways)| (std::cmp::Reverse(along(ways)), *kind));
    ways
}

/// The first bolt with room for a level that a kind opens, and how it lies there: as low as can be.
fn opened(model: &Model, bolts: &[usize], caps: &mut [Option<i64>], ways: &[usize]) -> Option<(usize, usize)> {
    for &bolt in bolts {
        for &p in ways {
            let placement = &model.placements[p];
            let fits = placement.across <= model.bolts[bolt].width;
            if fits && caps[bolt].is_none_or(|cap| placement.along <= cap) {
                if let Some(cap) = &mut caps[bolt] {
                    *cap -= placement.along;
                }
                return Some((bolt, p));
            }
        }
    }
    None
}
