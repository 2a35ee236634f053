//! Questions about values that are allowed and hardly ever meant: said, and taken as written.

use super::Check;
use crate::files::{BoardRow, Entry, JobFile, Place, ShopFile};
use crate::measure::{Length, Units};

/// No blade of a small shop takes more (common practice, no source).
const WIDEST_KERF: Length = Length::from_64ths(32);
/// No yard sells a narrower or shorter board, and few racks keep one (common practice, no source).
const NARROWEST_BOARD: Length = Length::from_64ths(32);
const SHORTEST_BOARD: Length = Length::from_inches(4);

/// What the shop's saws and the job's spares leave to ask.
pub(super) fn of_shop_and_job(check: &Check, shop: &ShopFile, job: &JobFile) -> Vec<String> {
    let mut asked = Vec::new();
    let cutting = &shop.cutting;
    let usual = match check.units {
        Units::Inch => "1/16 to 1/4 in",
        Units::Millimetre => "1.5 to 6 mm",
    };
    for (key, kerf) in [
        ("rip_kerf", &cutting.rip_kerf),
        ("crosscut_kerf", &cutting.crosscut_kerf),
        ("resaw_kerf", &cutting.resaw_kerf),
    ] {
        if let Some(at) = kerf.given().filter(|at| at.value > WIDEST_KERF) {
            let said = check.said(at.value, at.place);
            asked.push(question(check, at.place, &format!("`{key}` is {said}, and most blades take {usual}")));
        }
    }
    let spares = job.spares.given().map(|at| &at.value);
    if let Some(at) = spares.and_then(|spares| spares.confidence.given()).filter(|at| at.value.decimal().is_zero()) {
        let what = "`confidence` is 0, so no strip is added for those that fail; 0.95 is usual";
        asked.push(question(check, at.place, what));
    }
    asked
}

/// What the sizes of the boards leave to ask.
pub(super) fn of_boards(check: &Check, asked: &mut Vec<String>, rows: &[BoardRow]) {
    let mut small = |entry: &Entry<Length>, least: Length, word: &str| {
        if let Some(at) = entry.given().filter(|at| at.value < least) {
            let what = format!("a board {} {word}: check the unit", check.said(at.value, at.place));
            asked.push(question(check, at.place, &what));
        }
    };
    for row in rows {
        small(&row.width, NARROWEST_BOARD, "wide");
        small(&row.length, SHORTEST_BOARD, "long");
    }
}

fn question(check: &Check, place: Place, what: &str) -> String {
    format!("{}: {what}", check.desk.line(place))
}
