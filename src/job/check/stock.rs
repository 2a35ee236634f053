//! Boards and bolts: rows of the CSV files made into stock with prices.

use super::defaults::or;
use super::names::Names;
use super::woods::species;
use super::{Check, all, optional};
use crate::files::{BoardRow, ClothRow, Entry, Head, Kind, Place, Problem, Tables};
use crate::job::{BoardPlace, BoardStock, BoardUnit, Bolt, ClothUnit, Defect, Hold};
use crate::measure::{Cents, Length, NM3_PER_BOARD_FOOT, NM3_PER_M3, Price, Ratio, StockThickness};

/// Nanometres in a foot.
const NM_PER_FOOT: i128 = 304_800_000;

/// What a row without a count on hand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Uncounted {
    /// Sold in any number, none of which anybody has looked at.
    ForSale,
    /// The one board in the hands of whoever stands in the yard.
    InHand,
}

/// All boards in file order; `None` when one is faulty (noted).
pub(super) fn boards(check: &Check, rows: &Tables<BoardRow>, uncounted: Uncounted) -> Option<Vec<BoardStock>> {
    let mut names = Names::of("stock");
    let boards = all(rows.list.iter().map(|row| board(check, &mut names, row, uncounted)).collect());
    boards.filter(|_| !rows.faulty)
}

fn board(check: &Check, names: &mut Names, row: &BoardRow, uncounted: Uncounted) -> Option<BoardStock> {
    let head = row_head(row.place);
    let stock = cell(check, &row.stock, &head, "stock");
    let wood = cell(check, &row.species, &head, "species");
    let wood = wood.and(row.species.given()).and_then(|at| species(check, at));
    let thickness = cell(check, &row.thickness, &head, "thickness");
    let width = cell(check, &row.width, &head, "width");
    let length = cell(check, &row.length, &head, "length");
    if let Some(at) = row.stock.given() {
        names.take(check, &at.value, at.place);
    }
    let on_hand = optional(&row.on_hand);
    let sold = row.on_hand.is_missing();
    let price = priced(check, (&row.price, row.price_place), (&row.per, row.per_place), sold, "bf, m3, each or lf");
    let random = or(&row.random, false);
    let defects = defects(check, row, sold && uncounted == Uncounted::ForSale);
    let widths = widths(check, row, random == Some(true));
    let held = held(check, row);
    let (thickness, width, length) = (thickness?, width?, length?);
    let price = price?.map(|(price, per)| (price, board_unit(per)));
    let unit_cost = match price {
        Some((price, per)) => {
            board_cost(price, per, thickness, width, length).expect("bounded sizes times a bounded price")
        }
        None => Cents::ZERO,
    };
    Some(BoardStock {
        stock: stock?,
        species: wood?,
        thickness,
        width,
        length,
        defects: defects?,
        place: if sold { BoardPlace::Yard } else { BoardPlace::Rack },
        on_hand: on_hand?,
        price,
        unit_cost,
        random: random?,
        widths: widths?,
        held: held?,
    })
}

/// Boards of the row that are held for jobs.
fn held(check: &Check, row: &BoardRow) -> Option<Vec<Hold>> {
    let Some(at) = row.held.given() else { return row.held.is_missing().then(Vec::new) };
    if row.on_hand.is_missing() {
        let problem = Problem::new(Kind::Conflict, at.place, "boards for sale cannot be held for a job");
        check.note(problem.help("only boards on hand are held: write how many there are in `on_hand`"));
        return None;
    }
    let all = row.on_hand.given()?.value;
    let hold = |(boards, by): &(Option<u32>, String)| Hold { boards: boards.unwrap_or(all), by: by.clone() };
    Some(at.value.iter().map(hold).collect())
}

/// The range of widths that random boards come in.
fn widths(check: &Check, row: &BoardRow, random: bool) -> Option<Option<(Length, Length)>> {
    let (least, most) = match (&row.min_width, &row.max_width) {
        (Entry::Missing, Entry::Missing) => return Some(None),
        (Entry::Given(least), Entry::Given(most)) => (least, most),
        (Entry::Given(given), Entry::Missing) | (Entry::Missing, Entry::Given(given)) => {
            let problem = Problem::new(Kind::Missing, given.place, "one end of the range of widths is missing");
            check.note(problem.help("write both `min_width` and `max_width`, or neither"));
            return None;
        }
        _ => return None,
    };
    let by_volume = row.per.given().is_some_and(|per| ["bf", "m3"].contains(&per.value));
    if !random || !row.on_hand.is_missing() || !by_volume {
        let what = "a range of widths for boards that are not sold in random widths by their volume";
        let problem = Problem::new(Kind::Conflict, least.place, what);
        check.note(problem.help("it takes `random` = yes, `per` = bf or m3 and an empty `on_hand`"));
    }
    let width = row.width.given()?.value;
    let show = |length: Length| format!("{} {}", length.show(check.units), check.units);
    if most.value <= least.value {
        let what =
            format!("the widest board, {}, is not wider than the narrowest, {}", show(most.value), show(least.value));
        check.note(Problem::new(Kind::Conflict, most.place, what).help("a range runs from narrow to wide"));
    } else if !(least.value..=most.value).contains(&width) {
        let what = format!("the planning width of {} lies outside the range of widths", show(width));
        let range = format!("plan at a width from {} to {}", show(least.value), show(most.value));
        check.note(Problem::new(Kind::Conflict, least.place, what).help(range));
    }
    Some(Some((least.value, most.value)))
}

/// What is to be cut out of a board that somebody has looked at.
fn defects(check: &Check, row: &BoardRow, for_sale: bool) -> Option<Vec<Defect>> {
    let Some(spans) = row.defects.given() else {
        return row.defects.is_missing().then(Vec::new);
    };
    if for_sale {
        let what = "defects of boards that are for sale, any number of them";
        let problem = Problem::new(Kind::Conflict, spans.place, what);
        check.note(problem.help("only boards on hand have known defects: write how many there are in `on_hand`"));
    }
    let length = row.length.given()?;
    let show = |length: Length| format!("{} {}", length.show(check.units), check.units);
    if let Some((from, to)) = spans.value.iter().find(|(_, to)| *to > length.value) {
        let what = format!("the defect from {} to {} lies outside the board", show(*from), show(*to));
        let problem = Problem::new(Kind::BadValue, spans.place, what);
        check.note(
            problem.help(format!("the board is {} long; both figures are measured from one end", show(length.value))),
        );
    }
    let cut_out: Length = spans.value.iter().map(|(from, to)| *to - *from).sum();
    if cut_out == length.value {
        let problem = Problem::new(Kind::Conflict, spans.place, "the defects leave nothing of the board");
        check.note(problem.help("take the row out, or write 0 in `on_hand`"));
    }
    Some(spans.value.iter().map(|&(from, to)| Defect { from, to }).collect())
}

fn row_head(place: Place) -> Head {
    Head { title: "this row".to_owned(), place }
}

/// A cell that has to be filled.
fn cell<T: Clone>(check: &Check, entry: &Entry<T>, head: &Head, column: &str) -> Option<T> {
    if entry.is_missing() {
        let problem = Problem::new(Kind::Missing, head.place, format!("`{column}` is empty in {}", head.title));
        check.note(problem.help("every row needs one"));
    }
    entry.given().map(|at| at.value.clone())
}

/// Price and its unit. What is for sale needs both; what is owned may have neither and is free then.
fn priced(
    check: &Check,
    (price, price_place): (&Entry<Price>, Place),
    (per, per_place): (&Entry<&'static str>, Place),
    sold: bool,
    units: &str,
) -> Option<Option<(Price, &'static str)>> {
    if price.is_missing() && sold {
        let problem = Problem::new(Kind::Missing, price_place, "the price is missing: this row is for sale");
        check.note(problem.help("write a price; only what is on hand may be free"));
    }
    if per.is_missing() && (sold || !price.is_missing()) {
        let problem = Problem::new(Kind::Missing, per_place, "`per` is empty: what is the price for?");
        check.note(problem.help(format!("write {units}")));
    }
    match (price, per) {
        (Entry::Faulty, _) | (_, Entry::Faulty) => None,
        (Entry::Missing, _) if sold => None,
        (Entry::Missing, _) => Some(None),
        (Entry::Given(_), Entry::Missing) => None,
        (Entry::Given(price), Entry::Given(per)) => Some(Some((price.value, per.value))),
    }
}

fn board_unit(word: &str) -> BoardUnit {
    match word {
        "bf" => BoardUnit::BoardFoot,
        "m3" => BoardUnit::CubicMetre,
        "lf" => BoardUnit::LinealFoot,
        _ => BoardUnit::Each,
    }
}

/// Price of one whole board to the cent, halves up, in exact integers; `None` when it does not fit.
///
/// A board foot is charged by the quarter size, under 1 in as 1 in; a cubic metre by the quarter size or the
/// plain thickness as it stands, for the one-inch rule belongs to board feet.
fn board_cost(price: Price, per: BoardUnit, thickness: StockThickness, width: Length, length: Length) -> Option<Cents> {
    let volume = |thickness: Length| (thickness * width * length).nm3();
    let (amount, unit) = match per {
        BoardUnit::BoardFoot => (volume(thickness.charged()), NM3_PER_BOARD_FOOT),
        BoardUnit::CubicMetre => (volume(thickness.nominal()), NM3_PER_M3),
        BoardUnit::LinealFoot => (i128::from(length.nm()), NM_PER_FOOT),
        BoardUnit::Each => (1, 1),
    };
    // Prices have at most four places: count them in hundredths of a cent.
    let mut figure = price.decimal();
    figure.rescale(4);
    let hundredths = amount.checked_mul(figure.mantissa())?;
    let (cents, rest) = (hundredths / (unit * 100), hundredths % (unit * 100));
    let cents = if rest * 2 >= unit * 100 { cents + 1 } else { cents };
    i64::try_from(cents).ok().map(Cents::new)
}

/// All bolts in file order; `None` when one is faulty (noted).
pub(super) fn bolts(check: &Check, rows: &Tables<ClothRow>) -> Option<Vec<Bolt>> {
    let mut names = Names::of("bolt");
    let bolts = all(rows.list.iter().map(|row| bolt(check, &mut names, row)).collect());
    bolts.filter(|_| !rows.faulty)
}

fn bolt(check: &Check, names: &mut Names, row: &ClothRow) -> Option<Bolt> {
    let head = row_head(row.place);
    let name = cell(check, &row.bolt, &head, "bolt");
    let width = cell(check, &row.width, &head, "width");
    let selvage = cell(check, &row.selvage, &head, "selvage");
    if let Some(at) = row.bolt.given() {
        names.take(check, &at.value, at.place);
    }
    let sold = row.on_hand_length.is_missing();
    let on_hand = optional(&row.on_hand_length);
    let price = priced(check, (&row.price, row.price_place), (&row.per, row.per_place), sold, "yard or metre");
    let increment =
        if sold { cell(check, &row.increment, &head, "increment") } else { or(&row.increment, Length::ZERO) };
    let shrink_along = or(&row.shrink_along, Ratio::ZERO);
    let shrink_across = or(&row.shrink_across, Ratio::ZERO);
    let (width, selvage) = (width?, selvage?);
    if selvage * 2 >= width {
        let place = row.selvage.place().unwrap_or(row.place);
        let problem = Problem::new(Kind::Conflict, place, "two selvages take the whole width of the bolt");
        check.note(problem.help("the selvage is the unusable edge, each side"));
    }
    let metre = |(price, per)| (price, if per == "metre" { ClothUnit::Metre } else { ClothUnit::Yard });
    Some(Bolt {
        bolt: name?,
        width,
        selvage,
        on_hand: on_hand?,
        price: price?.map(metre),
        increment: increment?,
        shrink_along: shrink_along?,
        shrink_across: shrink_across?,
        taken_as_washed: row.shrink_along.is_missing() && row.shrink_across.is_missing(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Units, parse_length, parse_thickness};

    fn cost(price: &str, per: BoardUnit, thickness: &str, width: &str, length: &str) -> i64 {
        let read = |text| parse_length(text, Units::Inch).unwrap();
        let thickness = parse_thickness(thickness, Units::Inch).unwrap();
        board_cost(Price::parse(price).unwrap(), per, thickness, read(width), read(length)).unwrap().get()
    }

    /// Board feet of the published examples (powershardwoods.com: 1 x 6 x 96 = 4; woodworkingtips.com etip04:
    /// 1 x 9 x 96 = 6 and 1.5 x 9 x 96 = 9; inman.com 2008-12-05: 2 x 10 x 14 ft = 23.33), at a price each.
    #[test]
    fn board_feet_are_paid_by_the_quarter_size() {
        assert_eq!(cost("9.85", BoardUnit::BoardFoot, "4/4", "6", "96"), 3940);
        assert_eq!(cost("1", BoardUnit::BoardFoot, "4/4", "9", "96"), 600);
        assert_eq!(cost("1", BoardUnit::BoardFoot, "6/4", "9", "96"), 900);
        assert_eq!(cost("1", BoardUnit::BoardFoot, "8/4", "10", "14 ft"), 2333);
        assert_eq!(cost("9.85", BoardUnit::BoardFoot, "4/4 s2s 13/16", "6", "96"), 3940);
        // Under an inch pays as an inch (goodwoodcorp.com, "Hardwood terminology").
        assert_eq!(cost("9.85", BoardUnit::BoardFoot, "3/4", "6", "96"), 3940);
    }

    #[test]
    fn the_other_units_are_paid_by_volume_length_or_board() {
        assert_eq!(cost("1450", BoardUnit::CubicMetre, "27 mm", "150 mm", "2400 mm"), 1409);
        assert_eq!(cost("1450", BoardUnit::CubicMetre, "19 mm", "150 mm", "2400 mm"), 992);
        assert_eq!(cost("2.25", BoardUnit::LinealFoot, "4/4", "6", "96"), 1800);
        assert_eq!(cost("2.25", BoardUnit::LinealFoot, "4/4", "6", "8 ft"), 1800);
        assert_eq!(cost("31.5", BoardUnit::Each, "4/4", "6", "96"), 3150);
    }

    #[test]
    fn a_half_cent_rounds_up_and_less_does_not() {
        assert_eq!(cost("0.125", BoardUnit::Each, "4/4", "6", "96"), 13);
        assert_eq!(cost("0.1249", BoardUnit::Each, "4/4", "6", "96"), 12);
        assert_eq!(cost("0.0025", BoardUnit::LinealFoot, "4/4", "6", "24"), 1);
        assert_eq!(cost("0.0024", BoardUnit::LinealFoot, "4/4", "6", "24"), 0);
    }

    #[test]
    fn the_dearest_board_that_a_file_may_hold_has_a_price() {
        for unit in [BoardUnit::BoardFoot, BoardUnit::CubicMetre, BoardUnit::Each, BoardUnit::LinealFoot] {
            assert!(cost("1000000", unit, "40/4", "2 m", "30 m") >= 100_000_000, "{unit:?}");
        }
    }
}
