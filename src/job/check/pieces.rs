//! Loose strips, loose cloth pieces, extra lines and spares.

use rust_decimal::Decimal;

use super::defaults::or;
use super::slats::{milling, refuse_thinner};
use super::woods::species;
use super::{COMMON_PRACTICE, Check, SparesUsed, Uses, all};
use crate::files::{Entry, Kind, LineFile, PieceFile, Place, Problem, RateFile, SparesFile, StripFile};
use crate::job::{ExtraLine, LooseCloth, LooseStrip, RateOf, SpareRate, SparesRule, WORST_REJECT_RATE};
use crate::measure::{Length, Price, Ratio};

/// Cost groups that the bill computes itself.
const COMPUTED_GROUPS: [&str; 10] =
    ["burden", "overhead", "tax", "contingency", "markup", "margin", "discount", "least charge", "rounding", "rack"];

pub(super) fn strips(check: &Check, files: &[StripFile]) -> Option<Vec<LooseStrip>> {
    all(files.iter().map(|file| strip(check, file)).collect())
}

/// Whether the client reads nothing of it.
fn in_the_price(entry: &Entry<&'static str>) -> Option<bool> {
    or(entry, "named").map(|word| word == "in the price")
}

fn strip(check: &Check, file: &StripFile) -> Option<LooseStrip> {
    let need = |entry: &Entry<Length>, key, example| entry.need(check.desk, &file.head, key, example);
    let name = file.name.need(check.desk, &file.head, "name", "\"counter edging\"");
    let wood = file.species.need(check.desk, &file.head, "species", "\"cherry\"").and_then(|at| species(check, &at));
    let length = need(&file.length, "length", "\"31\"");
    let width = need(&file.width, "width", "\"3/4\"");
    let thickness = need(&file.thickness, "thickness", "\"3/8\"");
    let quantity = file.quantity.need(check.desk, &file.head, "quantity", "14");
    for (key, entry) in [("length", &file.length), ("width", &file.width), ("thickness", &file.thickness)] {
        refuse_thinner(check, key, entry);
    }
    let milling = milling(check, &file.milling, "[[strip]] milling");
    Some(LooseStrip {
        name: name?.value,
        species: wood?,
        length: length?.value,
        width: width?.value,
        thickness: thickness?.value,
        quantity: quantity?.value,
        spares: strip_spares(check, file)?,
        milling: milling?,
        in_the_price: in_the_price(&file.client)?,
    })
}

/// The strip's own spares: none unless it asks for them, for a loose strip is cut again more easily than a door's.
fn strip_spares(check: &Check, file: &StripFile) -> Option<Option<SpareRate>> {
    if file.no_spares {
        return Some(Some(SpareRate::None));
    }
    match &file.spares {
        Entry::Missing => {
            check.defaults.note("[[strip]] spares", "none".to_owned(), COMMON_PRACTICE);
            Some(Some(SpareRate::None))
        }
        Entry::Faulty => None,
        Entry::Given(at) => match rate(check, &at.value, at.place)? {
            Some(rate) => Some(Some(rate)),
            None => {
                let problem = Problem::new(Kind::Missing, at.place, "these spares say nothing");
                check.note(problem.help("write { reject_rate = 0.1 }, { percent = 10 } or \"none\""));
                None
            }
        },
    }
}

/// The one rate a table gives, if any; `None` when it is faulty or gives several.
fn rate(check: &Check, file: &SparesFile, table: Place) -> Option<Option<SpareRate>> {
    let none = or(&file.none, false);
    let percent = file.percent.given().map(|at| (SpareRate::Percent(at.value), at.place));
    let reject = file.reject_rate.given().map(|at| (SpareRate::RejectRate(at.value), at.place));
    let no = file.none.given().filter(|at| at.value).map(|at| (SpareRate::None, at.place));
    if let Some((SpareRate::RejectRate(rate), place)) = reject
        && rate.decimal() > WORST_REJECT_RATE
    {
        let what = format!("a reject rate of {rate} leaves no strip to count on");
        check.note(
            Problem::new(Kind::BadValue, place, what).help(format!("at most {WORST_REJECT_RATE}; 0.08 means 8 %")),
        );
        return None;
    }
    let given: Vec<_> = [reject, percent, no].into_iter().flatten().collect();
    if let [_, second, ..] = given.as_slice() {
        let problem = Problem::new(Kind::Conflict, second.1, "spares are given in two ways");
        check.note(problem.also(table, "in this table").help("keep one of reject_rate, percent and none"));
        return None;
    }
    none?;
    if matches!(file.percent, Entry::Faulty) || matches!(file.reject_rate, Entry::Faulty) {
        return None;
    }
    Some(given.first().map(|(rate, _)| *rate))
}

/// Strips that a rate from the job file counts for: a maker's figure is experience, but not for ever. Common practice,
/// no source.
const KNOWN_FROM: u32 = 200;

/// The job's spares. With `none = true` the setting and repair strips are left out too, unless written.
pub(super) fn spares(
    check: &Check,
    entry: &Entry<SparesFile>,
    second_trip: &Entry<Price>,
    uses: Uses,
) -> Option<SparesRule> {
    let (file, place) = match entry {
        Entry::Missing => (SparesFile::default(), Place::default()),
        Entry::Faulty => return None,
        Entry::Given(at) => (at.value.clone(), at.place),
    };
    let note = |missing: bool, key: &str, value: &str| {
        if missing {
            check.defaults.note(&format!("[spares] {key}"), value.to_owned(), COMMON_PRACTICE);
        }
    };
    let given = rate(check, &file, place)?;
    let rates = rates(check, &file, place)?;
    // What no entry of a list is for takes the rate of the last one, which is for all.
    let given = given.or(rates.last().map(|last| SpareRate::RejectRate(last.rate)));
    let rate = given.unwrap_or(SpareRate::RejectRate(usual(15)));
    let none = rate == SpareRate::None;
    let SparesUsed { rate: rate_used, any, own_reject_rate } = uses.spares;
    note(given.is_none() && rate_used, "reject_rate", "0.15");
    let confidence_used = own_reject_rate || rate_used && matches!(rate, SpareRate::RejectRate(_));
    note(file.known_from.is_missing() && confidence_used, "known_from", "200");
    note(file.by_board.is_missing() && confidence_used, "by_board", "1");
    // What a second trip costs says how sure it has to be, where the job does not.
    let second_trip = second_trip.given().map(|at| at.value).filter(|_| file.confidence.is_missing());
    note(file.confidence.is_missing() && confidence_used && second_trip.is_none(), "confidence", "0.95");
    note(file.setup_strips.is_missing() && any && !none, "setup_strips", "2");
    note(file.repair_strips.is_missing() && uses.doors && !none, "repair_strips", "1");
    Some(SparesRule {
        rate,
        rates,
        known_from: Some(or(&file.known_from, KNOWN_FROM)?),
        by_board: or(&file.by_board, Decimal::ONE)?,
        second_trip,
        confidence: or(&file.confidence, usual(95))?,
        setup_strips: or(&file.setup_strips, if none { 0 } else { 2 })?,
        repair_strips: or(&file.repair_strips, if none { 0 } else { 1 })?,
    })
}

/// The rates of a list; empty where there is none. The last one is for all strips that are left.
fn rates(check: &Check, file: &SparesFile, table: Place) -> Option<Vec<RateOf>> {
    let (list, place) = match &file.reject_rates {
        Entry::Missing => return Some(Vec::new()),
        Entry::Faulty => return None,
        Entry::Given(at) => (&at.value, at.place),
    };
    if !(file.percent.is_missing() && file.none.is_missing()) {
        let problem = Problem::new(Kind::Conflict, place, "spares are given in two ways");
        check.note(problem.also(table, "in this table").help("keep one of reject_rate, percent and none"));
        return None;
    }
    let rates: Vec<Option<RateOf>> = list.iter().map(|file| rate_of(check, file)).collect();
    let for_all = list.last().is_some_and(|last| last.under.is_missing() && last.species.is_missing());
    if !for_all {
        let problem = Problem::new(Kind::Missing, place, "these rates leave out some strips");
        check.note(problem.help("end the list with `{ rate = 0.15 }`: for all that are left"));
        return None;
    }
    all(rates)
}

fn rate_of(check: &Check, file: &RateFile) -> Option<RateOf> {
    let rate = file.rate.need(check.desk, &file.head, "rate", "0.08")?;
    if rate.value.decimal() > WORST_REJECT_RATE {
        let what = format!("a reject rate of {} leaves no strip to count on", rate.value);
        let place = file.rate.given().map_or(file.head.place, |at| at.place);
        check.note(
            Problem::new(Kind::BadValue, place, what).help(format!("at most {WORST_REJECT_RATE}; 0.08 means 8 %")),
        );
        return None;
    }
    let species = match &file.species {
        Entry::Missing => None,
        Entry::Faulty => return None,
        Entry::Given(at) => Some(species(check, at)?),
    };
    let under = match &file.under {
        Entry::Missing => None,
        Entry::Faulty => return None,
        Entry::Given(at) => Some(at.value),
    };
    Some(RateOf { under, species, rate: rate.value })
}

/// A whole percentage of a hundred or less.
fn usual(percent: i64) -> Ratio {
    Ratio::percent(Decimal::from(percent)).expect("a whole percentage is a ratio")
}

pub(super) fn cloth_pieces(check: &Check, files: &[PieceFile]) -> Option<Vec<LooseCloth>> {
    all(files.iter().map(|file| cloth_piece(check, file)).collect())
}

fn cloth_piece(check: &Check, file: &PieceFile) -> Option<LooseCloth> {
    let name = file.name.need(check.desk, &file.head, "name", "\"test panel\"");
    let along = file.along.need(check.desk, &file.head, "along", "\"20\"");
    let across = file.across.need(check.desk, &file.head, "across", "\"14\"");
    let quantity = file.quantity.need(check.desk, &file.head, "quantity", "2");
    for (key, entry) in [("along", &file.along), ("across", &file.across)] {
        refuse_thinner(check, key, entry);
    }
    let turn = check.defaults.other(&file.turn, "[[cloth_piece]] turn", false, "false");
    Some(LooseCloth {
        name: name?.value,
        along: along?.value,
        across: across?.value,
        quantity: quantity?.value,
        turn: turn?,
        in_the_price: in_the_price(&file.client)?,
    })
}

pub(super) fn lines(check: &Check, files: &[LineFile]) -> Option<Vec<ExtraLine>> {
    all(files.iter().map(|file| line(check, file)).collect())
}

fn line(check: &Check, file: &LineFile) -> Option<ExtraLine> {
    let name = file.name.need(check.desk, &file.head, "name", "\"case sheet goods\"");
    let quantity = file.quantity.need(check.desk, &file.head, "quantity", "3");
    let price = file.price.need(check.desk, &file.head, "price", "84.00");
    let group = check.defaults.other(&file.group, "[[line]] group", "materials".to_owned(), "materials");
    let unit = check.defaults.other(&file.unit, "[[line]] unit", "each".to_owned(), "each");
    let taxed = check.defaults.other(&file.taxed, "[[line]] taxed", true, "true");
    if let Some(at) = file.group.given()
        && COMPUTED_GROUPS.contains(&at.value.as_str())
    {
        let what = format!("the group `{}` is computed, no line can join it", at.value);
        check.note(Problem::new(Kind::BadValue, at.place, what).help("choose another word, such as \"materials\""));
    }
    Some(ExtraLine {
        name: name?.value,
        group: group?,
        quantity: quantity?.value,
        unit: unit?,
        price: price?.value,
        taxed: taxed?,
        in_the_price: in_the_price(&file.client)?,
    })
}
