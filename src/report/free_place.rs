//! Where on a drawing there is room for a block of words.

use super::drawing::{Item, Place, extent};

/// Lines are looked at in steps of so many millimetres, and so far from each a block stays away.
const STEP: f64 = 2.0;
const AWAY: f64 = 3.0;
/// Places are tried in steps of so many millimetres.
const TRIED: f64 = 5.0;

/// The lower left corner of a free place for a block of this width and height within what the items take up: the lowest
/// there is, and of those the leftmost. `None` where the items leave no such place.
pub(super) fn free_place(items: &[Item], (width, height): (f64, f64)) -> Option<Place> {
    let (low, high) = extent(items);
    let inked: Vec<Place> = items.iter().flat_map(points).collect();
    let free = |at: &Place| {
        let hit = |ink: &Place| {
            let beside = ink.x < at.x - AWAY || ink.x > at.x + width + AWAY;
            !beside && ink.y > at.y - AWAY && ink.y < at.y + height + AWAY
        };
        !inked.iter().any(hit)
    };
    let steps = |from: f64, to: f64, size: f64| {
        let steps = ((to - from - size) / TRIED).floor();
        (0..=if steps < 0.0 { -1 } else { steps as i64 }).map(move |step| from + TRIED * step as f64)
    };
    let rows = steps(low.y, high.y, height);
    rows.flat_map(|y| steps(low.x, high.x, width).map(move |x| Place::new(x, y))).find(free)
}

/// Points of an item, near enough to each other that nothing slips through between them.
fn points(item: &Item) -> Vec<Place> {
    let between = |from: Place, to: Place| {
        let count = ((to.x - from.x).hypot(to.y - from.y) / STEP).ceil().max(1.0);
        (0..=count as i64).map(move |at| {
            let part = at as f64 / count;
            Place::new(from.x + (to.x - from.x) * part, from.y + (to.y - from.y) * part)
        })
    };
    match item {
        Item::Line { from, to, .. } => between(*from, *to).collect(),
        Item::Arc { centre, radius, start, sweep, .. } => {
            let count = (radius * sweep.to_radians() / STEP).ceil().max(1.0);
            let at = |at: i64| (start + sweep * at as f64 / count).to_radians();
            let on = |angle: f64| centre.moved(radius * angle.cos(), radius * angle.sin());
            (0..=count as i64).map(|step| on(at(step))).collect()
        }
        Item::Outline { corners, .. } => {
            corners.iter().zip(corners.iter().cycle().skip(1)).flat_map(|(from, to)| between(*from, *to)).collect()
        }
        Item::Text { .. } => {
            let (low, high) = extent(std::slice::from_ref(item));
            between(low, Place::new(high.x, low.y)).chain(between(Place::new(low.x, high.y), high)).collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawing::Layer;
    use super::*;

    fn line(from: (f64, f64), to: (f64, f64)) -> Item {
        Item::Line { from: Place::new(from.0, from.1), to: Place::new(to.0, to.1), layer: Layer::Wall }
    }

    #[test]
    fn a_block_goes_where_nothing_is_drawn() {
        let angle = [line((0.0, 0.0), (0.0, 100.0)), line((0.0, 100.0), (100.0, 100.0))];
        assert_eq!(free_place(&angle, (80.0, 60.0)), Some(Place::new(5.0, 0.0)));
        assert_eq!(free_place(&angle, (80.0, 96.5)), Some(Place::new(5.0, 0.0)));
        assert_eq!(free_place(&angle, (80.0, 97.5)), None, "it would come within 3 mm of a line");
        assert_eq!(free_place(&angle, (120.0, 10.0)), None, "it would stand out");
        let crossed = [&angle[..], &[line((0.0, 40.0), (100.0, 40.0))]].concat();
        assert_eq!(free_place(&crossed, (80.0, 45.0)), Some(Place::new(5.0, 45.0)));
        assert_eq!(free_place(&crossed, (80.0, 60.0)), None);
    }
}
