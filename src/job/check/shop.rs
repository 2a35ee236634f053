//! The shop: rules and rates, from the shop file or by default.

use rust_decimal::Decimal;

use super::defaults::{self, Defaults, Standard, or};
use super::names::Names;
use super::pricing;
use super::{Check, Uses, all, casework, optional};
use crate::files::{
    AboutFile, CanvasFile, ClearanceFile, ConsumableFile, CuttingFile, Entry, JobFile, Kind, LabourFile, OverlapFile,
    Problem, ShopFile,
};
use crate::job::{
    CanvasRules, Clearance, Consumable, ConsumableArea, Cutter, CuttingRules, EndClear, LabourBasis, LabourLine, Order,
    OrderRule, Overlap, Shop, ShopCard,
};
use crate::measure::{Length, Ratio, Units};

/// The shop as the job uses it; `None` when a value is faulty (noted).
pub(super) fn settle(check: &Check, file: &ShopFile, written: &JobFile, uses: Uses) -> Option<Shop> {
    let cutting = cutting(check, &file.cutting, uses);
    let panels = casework::rules(check, &file.panels, uses.cases);
    let clearance = clearance(&check.defaults, &file.clearance, uses);
    let dxf_units = dxf_units(&check.defaults, &file.dxf_units, uses);
    let canvas = canvas(&check.defaults, &file.canvas, uses);
    let cutters = cutters(check, file);
    let labour = all(file.labour.list.iter().map(|line| labour(check, line)).collect());
    let (counted, spread): (Vec<_>, Vec<_>) =
        file.consumables.list.iter().partition(|line| !line.quantity.is_missing() || !line.per.is_missing());
    let consumables = all(spread.into_iter().map(|line| consumable(check, line)).collect());
    let pricing = pricing::settle(check, file, written, &counted);
    let currency = check.defaults.other(&file.currency, "currency", "USD".to_owned(), "USD");
    let climate =
        file.climate.humidity.iter().filter_map(|(key, entry)| entry.given().map(|at| ((*key).to_owned(), at.value)));
    Some(Shop {
        about: about(&file.about)?,
        cutting: cutting?,
        panels: panels?,
        clearance: clearance?,
        dxf_units: dxf_units?,
        canvas: canvas?,
        cutters: cutters?,
        currency: currency?,
        // No overhead, no tax and no allowance are the absence of a line, not a value taken.
        yard_allowance: or(&file.yard_allowance, Ratio::ZERO)?,
        // The path is relative to the shop file, which only its opener knows.
        second_trip: optional(&file.second_trip)?,
        history: optional(&file.history)?.map(Into::into),
        labour: labour?,
        consumables: consumables?,
        overhead: or(&file.overhead, Ratio::ZERO)?,
        tax: or(&file.tax, Ratio::ZERO)?,
        pricing: pricing?,
        climate: climate.collect(),
    })
}

fn about(file: &AboutFile) -> Option<ShopCard> {
    Some(ShopCard {
        name: optional(&file.name)?,
        address: or(&file.address, Vec::new())?,
        contact: optional(&file.contact)?,
        tax_number: optional(&file.tax_number)?,
        next_quote: optional(&file.next_quote)?,
    })
}

fn cutting(check: &Check, file: &CuttingFile, uses: Uses) -> Option<CuttingRules> {
    let rips = |entry, standard| check.defaults.length(uses.rips, entry, standard);
    let order = order(check, file, uses);
    let resaw = or(&file.resaw, false)?;
    if uses.rips && file.resaw.is_missing() {
        check.defaults.note("[cutting] resaw", "false".to_owned(), defaults::COMMON_PRACTICE);
    }
    let when = |matters: bool, entry, standard: &Standard| check.defaults.length(uses.rips && matters, entry, standard);
    let min_blank = rips(&file.min_blank, &defaults::MIN_BLANK);
    let max_blank = optional(&file.max_blank);
    let rules = CuttingRules {
        rip_kerf: rips(&file.rip_kerf, &defaults::RIP_KERF)?,
        crosscut_kerf: rips(&file.crosscut_kerf, &defaults::CROSSCUT_KERF)?,
        resaw_kerf: when(resaw, &file.resaw_kerf, &defaults::RESAW_KERF)?,
        end_trim: rips(&file.end_trim, &defaults::END_TRIM)?,
        edge_trim_crosscut: when(
            order? != OrderRule::Only(Order::RipFirst),
            &file.edge_trim,
            &defaults::EDGE_TRIM_CROSSCUT,
        )?,
        edge_trim_rip: when(
            order? != OrderRule::Only(Order::CrosscutFirst),
            &file.edge_trim,
            &defaults::EDGE_TRIM_RIP,
        )?,
        hold_width: rips(&file.hold_width, &defaults::HOLD_WIDTH)?,
        length_trim: rips(&file.length_trim, &defaults::LENGTH_TRIM)?,
        rip_trim: rips(&file.rip_trim, &defaults::RIP_TRIM)?,
        edge_clean: when(uses.edge_milling, &file.edge_clean, &defaults::EDGE_CLEAN)?,
        face_trim_thin: rips(&file.face_trim, &defaults::FACE_TRIM_THIN)?,
        face_trim_thick: rips(&file.face_trim, &defaults::FACE_TRIM_THICK)?,
        resaw,
        leaf_trim: when(resaw, &file.leaf_trim, &defaults::LEAF_TRIM)?,
        min_blank: min_blank?,
        max_blank: max_blank?,
        order: order?,
    };
    refuse_no_blank(check, file, &rules);
    Some(rules)
}

fn order(check: &Check, file: &CuttingFile, uses: Uses) -> Option<OrderRule> {
    if uses.rips && file.order.is_missing() {
        check.defaults.note("[cutting] order", Order::CrosscutFirst.word().to_owned(), defaults::COMMON_PRACTICE);
    }
    Some(match or(&file.order, "crosscut-first")? {
        "rip-first" => OrderRule::Only(Order::RipFirst),
        "any" => OrderRule::Any,
        _ => OrderRule::Only(Order::CrosscutFirst),
    })
}

fn refuse_no_blank(check: &Check, file: &CuttingFile, rules: &CuttingRules) {
    let (Some(most), Some(at)) = (rules.max_blank, file.max_blank.given()) else { return };
    if most < rules.min_blank || most == Length::ZERO {
        let least = rules.min_blank.show(check.units);
        let what = format!("`max_blank` allows no blank: `min_blank` is {least} {}", check.units);
        let problem = Problem::new(Kind::Conflict, at.place, what);
        let problem = match file.min_blank.place() {
            Some(place) => problem.also(place, "the least length is set here"),
            None => problem,
        };
        check.note(problem.help("leave it out for no upper bound"));
    }
}

fn clearance(defaults: &Defaults, file: &ClearanceFile, uses: Uses) -> Option<Clearance> {
    let doors = |entry, standard| defaults.length(uses.doors, entry, standard);
    if uses.doors && file.overlap.is_missing() {
        defaults.note_for("[clearance] overlap", "2 slats".to_owned(), &defaults::OVERLAP);
    }
    Some(Clearance {
        running: doors(&file.running, &defaults::RUNNING)?,
        end_play: doors(&file.end_play, &defaults::END_PLAY_STANDARD)?,
        shoulder: doors(&file.shoulder, &defaults::SHOULDER_STANDARD)?,
        overlap: match or(&file.overlap, OverlapFile::Slats(2))? {
            OverlapFile::Slats(n) => Overlap::Slats(n),
            OverlapFile::Length(length) => Overlap::Length(length),
        },
        lead_trim: doors(&file.lead_trim, &defaults::LEAD_TRIM)?,
        front_wall: doors(&file.front_wall, &defaults::FRONT_WALL)?,
        least_tongue: least_tongue(defaults, &file.least_tongue, uses)?,
    })
}

/// Millimetres in every job unless the shop says otherwise: what a template measured so far.
fn dxf_units(defaults: &Defaults, entry: &Entry<&'static str>, uses: Uses) -> Option<Units> {
    if uses.doors && entry.is_missing() {
        defaults.note("dxf_units", "mm".to_owned(), defaults::COMMON_PRACTICE);
    }
    Some(if or(entry, "mm")? == "in" { Units::Inch } else { Units::Millimetre })
}

/// The least tongue, where the shop has a rule of its own.
fn least_tongue(defaults: &Defaults, entry: &Entry<Length>, uses: Uses) -> Option<Option<Length>> {
    if uses.doors && entry.is_missing() {
        let shown = match defaults.units() {
            Units::Inch => "1/8 in, or 2/5 of the slat's thickness where that is more",
            Units::Millimetre => "3 mm, or 0.4 of the slat's thickness where that is more",
        };
        defaults.note("[clearance] least_tongue", shown.to_owned(), defaults::COMMON_PRACTICE);
    }
    optional(entry)
}

fn canvas(defaults: &Defaults, file: &CanvasFile, uses: Uses) -> Option<CanvasRules> {
    let doors = |entry, standard| defaults.length(uses.doors, entry, standard);
    let least = defaults.usual(&defaults::END_CLEAR);
    let end_clear = match &file.end_clear {
        Entry::Missing => EndClear::AtLeast(least),
        Entry::Faulty => return None,
        Entry::Given(at) => EndClear::Given(at.value),
    };
    if uses.doors && file.end_clear.is_missing() {
        let (least, past) = (defaults.shown(&defaults::END_CLEAR), defaults.shown(&defaults::PAST_RABBET));
        let shown = format!("{least}, or rabbet_length + {past} where that is more");
        defaults.note("[cloth] end_clear", shown, defaults::COMMON_PRACTICE);
    }
    if uses.doors && file.turn.is_missing() {
        let why = "common practice, no source; the warp runs along the travel";
        defaults.note("[cloth] turn", "false".to_owned(), why);
    }
    Some(CanvasRules {
        end_clear,
        past_rabbet: defaults.usual(&defaults::PAST_RABBET),
        tail_clear: doors(&file.tail_clear, &defaults::TAIL_CLEAR)?,
        lead_lap: doors(&file.lead_lap, &defaults::LEAD_LAP)?,
        trim: doors(&file.trim, &defaults::CLOTH_TRIM)?,
        turn: or(&file.turn, false)?,
    })
}

fn cutters(check: &Check, file: &ShopFile) -> Option<Vec<Cutter>> {
    let mut names = Names::of("cutter");
    let cutters = file.cutters.list.iter().map(|cutter| {
        let name = cutter.name.need(check.desk, &cutter.head, "name", "\"rabbet 3/8 x 3/16\"");
        let width = cutter.width.need(check.desk, &cutter.head, "width", "\"3/8\"");
        let height = cutter.height.need(check.desk, &cutter.head, "height", "\"3/16\"");
        if let Some(name) = &name {
            names.take(check, &name.value, name.place);
        }
        Some(Cutter { name: name?.value, width: width?.value, height: height?.value })
    });
    all(cutters.collect())
}

fn labour(check: &Check, line: &LabourFile) -> Option<LabourLine> {
    let name = line.name.need(check.desk, &line.head, "name", "\"hanging\"");
    let hours = line.hours.need(check.desk, &line.head, "hours", "1.5");
    let rate = line.rate.need(check.desk, &line.head, "rate", "60.00");
    let per = check.defaults.other(&line.per, "[[labour]] per", "job", "job");
    Some(LabourLine { name: name?.value, hours: hours?.value, rate: rate?.value, per: basis(per?) })
}

/// What a word of the shop file counts by.
pub(super) fn basis(word: &str) -> LabourBasis {
    match word {
        "cabinet" => LabourBasis::Cabinet,
        "door" => LabourBasis::Door,
        "board" => LabourBasis::Board,
        "strip" => LabourBasis::Strip,
        _ => LabourBasis::Job,
    }
}

/// Square metres in a square foot, exact.
const SQUARE_METRES_PER_SQUARE_FOOT: Decimal = Decimal::from_parts(9_290_304, 0, 0, false, 8);

/// The square feet that one unit covers, given in either unit of area.
fn covers(check: &Check, line: &ConsumableFile) -> Option<Decimal> {
    let (feet, metres) = (&line.covers_square_feet, &line.covers_square_metres);
    if let (Some(feet), Some(metres)) = (feet.place(), metres.place()) {
        let problem = Problem::new(Kind::Conflict, metres, "what one unit covers is given twice");
        check.note(problem.also(feet, "the first one is here").help("keep one of them"));
        return None;
    }
    if !metres.is_missing() {
        return metres.given().map(|at| at.value / SQUARE_METRES_PER_SQUARE_FOOT);
    }
    let (key, example) = match check.units {
        Units::Inch => ("covers_square_feet", "200"),
        Units::Millimetre => ("covers_square_metres", "20"),
    };
    feet.need(check.desk, &line.head, key, example).map(|at| at.value)
}

fn consumable(check: &Check, line: &ConsumableFile) -> Option<Consumable> {
    let name = line.name.need(check.desk, &line.head, "name", "\"hide glue\"");
    let price = line.price.need(check.desk, &line.head, "price", "18.50");
    let covers = covers(check, line);
    let on = line.on.need(check.desk, &line.head, "on", "\"glued\"");
    let unit = check.defaults.other(&line.unit, "[[consumable]] unit", "each".to_owned(), "each");
    let coats = check.defaults.other(&line.coats, "[[consumable]] coats", 1, "1");
    let whole_units = check.defaults.other(&line.whole_units, "[[consumable]] whole_units", false, "false");
    Some(Consumable {
        name: name?.value,
        price: price?.value,
        unit: unit?,
        covers_square_feet: covers?,
        coats: coats?,
        whole_units: whole_units?,
        on: match on?.value {
            "show" => ConsumableArea::Show,
            "panel" => ConsumableArea::Panel,
            _ => ConsumableArea::Glued,
        },
    })
}
