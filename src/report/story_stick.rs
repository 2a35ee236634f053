//! A story stick at full size: lengths marked off once from one end, in columns that are cut out and joined end to end.

use super::drawing::{Anchor, Drawing, Item, Layer, Place};
use crate::files::shortened;
use crate::measure::{Length, Units};

/// Columns of a sheet, as wide as letter and A4 paper both have room for.
const COLUMNS: usize = 4;
const WIDE: f64 = 48.0;
/// Where the stick's line runs in its column, and how far a mark reaches to either side.
const LINE: f64 = 7.0;
const REACH: f64 = 3.0;
/// Where the words begin, how high they are, and how far apart.
const WORDS: f64 = 15.0;
const LETTERS: f64 = 3.3;
const APART: f64 = 4.2;
/// Letters that a column has room for.
const LONGEST: usize = 18;
/// White above and below.
const MARGIN: f64 = 4.0;

/// A length to be marked off, and what it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Notch {
    /// From the end of the stick.
    pub at: Length,
    /// In a few words.
    pub words: String,
}

/// What of the stick one column holds: whole inches or centimetres, so that a rule laid on it is true at its ends.
#[must_use]
pub fn column_of_a_stick(units: Units) -> Length {
    match units {
        Units::Inch => Length::from_inches(9),
        Units::Millimetre => Length::from_mm(230),
    }
}

/// The sheets of a stick with these marks, in millimetres, the end that is measured from below at the left of the first
/// one; none for no marks.
#[must_use]
pub fn story_stick(title: &str, notches: &[Notch], units: Units) -> Vec<Drawing> {
    let mut notches = notches.to_vec();
    notches.sort();
    notches.dedup();
    let Some(last) = notches.last() else { return Vec::new() };
    let high = column_of_a_stick(units);
    let columns: Vec<Vec<Item>> =
        (0..=last.at.nm() / high.nm()).map(|at| one_column(at, &notches, (high, units))).collect();
    let sheet = |columns: &[Vec<Item>]| {
        let place = |(at, items): (usize, &Vec<Item>)| {
            items.iter().map(move |item| item.moved(WIDE * at as f64, MARGIN)).collect::<Vec<_>>()
        };
        Drawing {
            title: title.to_owned(),
            width: WIDE * COLUMNS as f64,
            height: high.mm_f64() + 2.0 * MARGIN,
            items: columns.iter().enumerate().flat_map(place).collect(),
            window: None,
            marks: Vec::new(),
        }
    };
    columns.chunks(COLUMNS).map(sheet).collect()
}

/// A column from its lower end: the line, the marks on it, and beside each its figure and its words.
fn one_column(at: i64, notches: &[Notch], (high, units): (Length, Units)) -> Vec<Item> {
    let from = high * at;
    let line = |from: (f64, f64), to: (f64, f64), layer| Item::Line {
        from: Place::new(from.0, from.1),
        to: Place::new(to.0, to.1),
        layer,
    };
    let top = high.mm_f64();
    let mut items = vec![line((LINE, 0.0), (LINE, top), Layer::Wall)];
    // Where columns are cut and joined.
    for end in [0.0, top] {
        items.push(line((0.0, end), (WIDE - 4.0, end), Layer::Mark));
    }
    let here: Vec<&Notch> = notches.iter().filter(|n| n.at >= from && n.at < from + high).collect();
    let places: Vec<f64> = here.iter().map(|notch| (notch.at - from).mm_f64()).collect();
    let words = spread(&places, APART, (1.0, top - LETTERS));
    for ((notch, y), beside) in here.iter().zip(&places).zip(words) {
        items.push(line((LINE - REACH, *y), (LINE + REACH, *y), Layer::Stop));
        items.push(line((LINE + REACH, *y), (WORDS - 0.8, beside + LETTERS / 2.0), Layer::Mark));
        let said = shortened(&notch.words, LONGEST.saturating_sub(notch.at.show_nearest(units).chars().count() + 1));
        items.push(Item::Text {
            at: Place::new(WORDS, beside),
            height: LETTERS,
            anchor: Anchor::Start,
            text: format!("{} {said}", notch.at.show_nearest(units)).trim_end().to_owned(),
        });
    }
    items
}

/// Places at least so far apart and within two ends, in order, each as near above its own as that allows; nearer to each
/// other where there is no room for so many.
fn spread(wanted: &[f64], apart: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let apart = apart.min((high - low) / wanted.len().max(1) as f64);
    let mut places: Vec<f64> = Vec::with_capacity(wanted.len());
    for at in wanted {
        let after = places.last().map_or(low, |last| last + apart);
        places.push(at.max(after));
    }
    // What has run over the upper end is pushed back down.
    let mut most = high;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - apart;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notch(sixtyfourths: i64, words: &str) -> Notch {
        Notch { at: Length::from_64ths(sixtyfourths), words: words.to_owned() }
    }

    #[test]
    fn a_mark_stands_where_its_length_ends() {
        let notches =
            [notch(64 * 10, "rip"), notch(64 * 40 + 32, "blank"), notch(48, "setback"), notch(64 * 10, "rip")];
        let sheets = story_stick("stick", &notches, Units::Inch);
        assert_eq!(sheets.len(), 2, "five columns of 9 in");
        let ticks = |sheet: &Drawing| -> Vec<(f64, f64)> {
            let tick = |item: &Item| match item {
                Item::Line { from, layer: Layer::Stop, .. } => Some((from.x, from.y - MARGIN)),
                _ => None,
            };
            sheet.items.iter().filter_map(tick).collect()
        };
        // 10 in is an inch up the second column, 40-1/2 in is 4-1/2 in up the fifth, the first of the second sheet.
        let at = |column: f64, inches: f64| (WIDE * column + LINE - REACH, inches * 25.4);
        let near = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9;
        let first = ticks(&sheets[0]);
        assert!(first.len() == 2 && near(first[0], at(0.0, 0.75)) && near(first[1], at(1.0, 1.0)), "{first:?}");
        let second = ticks(&sheets[1]);
        assert!(second.len() == 1 && near(second[0], at(0.0, 4.5)), "{second:?}");
        assert!(sheets.iter().all(|sheet| sheet.width <= 193.0 && sheet.height <= 238.0), "they fit letter and A4");
    }

    #[test]
    fn words_keep_apart_and_in_order() {
        assert_eq!(spread(&[1.0, 2.0, 10.0], 4.0, (0.0, 20.0)), [1.0, 5.0, 10.0]);
        assert_eq!(spread(&[18.0, 19.0, 19.5], 4.0, (0.0, 20.0)), [12.0, 16.0, 20.0]);
        let many: Vec<f64> = (0..40).map(f64::from).collect();
        let places = spread(&many, 4.0, (0.0, 40.0));
        assert!(places.windows(2).all(|two| two[1] - two[0] > 0.99) && places[39] <= 40.0, "{places:?}");
    }
}
