//! Pricing: rates, operations with their default minutes, stages that sum, and what excludes what.

use rust_decimal::Decimal;

use super::defaults::or;
use super::names::Names;
use super::shop::basis;
use super::{Check, all, optional};
use crate::files::{
    ConsumableFile, Entry, GainFile, HoursFile, JobFile, Kind, OperationFile, Place, PriceFile, Problem, RatesFile,
    ShopFile, nearest,
};
use crate::job::{
    CountedConsumable, Flow, Gain, HoursThereAre, Learned, Operation, OperationRule, PayStage, Person, Pricing,
    RackWorth, Tax, TaxOn, Terms, USUAL_SPREAD,
};
use crate::measure::{Cents, Length, Price, Ratio, Units};

/// Reason of every default minute.
const FROM_MEMORY: &str = "assumption from memory: time your own and set it";

/// The pricing of shop and job; `None` when a value is faulty (noted).
pub(super) fn settle(
    check: &Check,
    shop: &ShopFile,
    written: &JobFile,
    counted: &[&ConsumableFile],
) -> Option<Pricing> {
    let file = &shop.price;
    let operations = operations(check, file, written);
    let counted = all(counted.iter().map(|line| counted_consumable(check, line)).collect());
    let gain = gain(check, file);
    let stages = stages(check, file);
    let terms = terms(file);
    let hours = hours(check, file, written);
    let tax_on = or(&file.tax_on, "materials");
    let second_tax = second_tax(check, file);
    let group_gains = group_gains(check, file);
    let rates = file.rates.given().map_or_else(RatesFile::default, |at| at.value.clone());
    let pass_depth = pass_depth(check, file, operations.as_deref());
    let cents = |entry: &Entry<Price>| or(entry, Price::ZERO).and_then(|price| Cents::nearest(price.decimal()));
    if file.tax_on.is_missing() && shop.tax.given().is_some_and(|at| !at.value.decimal().is_zero()) {
        let why = "common practice, no source; what is taxed differs by place";
        check.defaults.note("tax_on", "materials".to_owned(), why);
    }
    Some(Pricing {
        operations: operations?,
        counted: counted?,
        flow: if or(&file.flow, "boards")? == "settings" { Flow::Settings } else { Flow::Boards },
        pass_depth: pass_depth?,
        rack: if or(&rates.rack, "free")? == "replacement" { RackWorth::Replacement } else { RackWorth::Free },
        offcut_value: or(&rates.offcut_value, Price::ZERO)?,
        burden: or(&rates.burden, Ratio::ZERO)?,
        spread: or(&rates.spread, USUAL_SPREAD)?,
        overhead_hour: or(&file.overhead_hour, Price::ZERO)?,
        contingency: or(&file.contingency, Ratio::ZERO)?,
        gain: gain?,
        group_gains: group_gains?,
        least_charge: cents(&file.least_charge)?,
        round_to: cents(&file.round_to)?,
        discount: or(&written.discount, Ratio::ZERO)?,
        tax_on: taxed_on(tax_on?),
        tax_name: optional(&file.tax_name)?,
        second_tax: second_tax?,
        stages: stages?,
        terms: terms?,
        hours: hours?,
    })
}

fn taxed_on(word: &str) -> TaxOn {
    if word == "price" { TaxOn::Price } else { TaxOn::Materials }
}

fn second_tax(check: &Check, file: &PriceFile) -> Option<Option<Tax>> {
    let at = match &file.second_tax {
        Entry::Missing => return Some(None),
        Entry::Faulty => return None,
        Entry::Given(at) => &at.value,
    };
    let name = at.name.need(check.desk, &at.head, "name", "\"county tax\"");
    let rate = at.rate.need(check.desk, &at.head, "rate", "0.02");
    let on = at.on.need(check.desk, &at.head, "on", "\"price\"");
    let name = name?;
    if file.tax_name.given().map_or("tax", |first| &first.value) == name.value {
        let problem = Problem::new(Kind::Duplicate, name.place, format!("both taxes are called `{}`", name.value));
        check.note(problem.help("give each its own name: `tax_name` is the first one's"));
    }
    Some(Some(Tax { name: name.value, rate: rate?.value, on: taxed_on(on?.value) }))
}

/// Groups with a gain of their own; one that says none is passed through.
fn group_gains(check: &Check, file: &PriceFile) -> Option<Vec<(String, Gain)>> {
    let mut names = Names::of("gain");
    let one = |row: &GainFile| {
        let group = row.group.need(check.desk, &row.head, "group", "\"hardware\"")?;
        names.take(check, &group.value, group.place);
        Some((group.value, one_gain(check, &row.markup, &row.margin)?))
    };
    all(file.gains.list.iter().map(one).collect()).filter(|_| !file.gains.faulty)
}

/// What the planer takes off in one pass, where the job is planed and priced by operations.
fn pass_depth(check: &Check, file: &PriceFile, rules: Option<&[OperationRule]>) -> Option<Option<Length>> {
    let planed = rules.is_some_and(|rules| rules.iter().any(|rule| rule.operation == Operation::Plane));
    let given = optional(&file.pass_depth)?;
    if !planed || given.is_some() {
        return Some(given);
    }
    let (usual, shown) = match check.units {
        Units::Inch => (Length::from_64ths(4), "1/16"),
        Units::Millimetre => (Length::from_nm(1_500_000), "1.5"),
    };
    check.defaults.note("pass_depth", shown.to_owned(), "common practice, no source; the planer's manual comes first");
    Some(Some(usual))
}

/// Operations of this job: none without rates, unless one is written.
fn operations(check: &Check, file: &PriceFile, written: &JobFile) -> Option<Vec<OperationRule>> {
    let mut named: Vec<(Operation, &OperationFile)> = Vec::new();
    let mut sound = !file.operations.faulty && !matches!(file.rates, Entry::Faulty);
    let mut names = Names::of("operation");
    for row in &file.operations.list {
        match operation(check, row, &mut names) {
            Some(operation) => named.push((operation, row)),
            None => sound = false,
        }
    }
    let paid = file.rates.given().is_some_and(|at| !at.value.maker.is_missing() || !at.value.helper.is_missing());
    if !paid && file.operations.list.is_empty() {
        return sound.then(Vec::new);
    }
    let rates = file.rates.given().map_or_else(RatesFile::default, |at| at.value.clone());
    let spread = or(&rates.spread, USUAL_SPREAD)?;
    if rates.spread.is_missing() {
        check.defaults.note("[rates] spread", USUAL_SPREAD.to_string(), FROM_MEMORY);
    }
    let of_job = Operation::all().filter(|operation| may_occur(*operation, written));
    let rules = of_job.map(|operation| {
        let row = named.iter().find(|(named, _)| *named == operation).map(|(_, row)| *row);
        rule(check, operation, row, spread)
    });
    let mut rules = all(rules.collect())?;
    let head = file.operations.list.first().map(|row| row.head.place);
    let place = file.rates.place().or(head)?;
    for person in [Person::Maker, Person::Helper] {
        sound &= pay(check, place, &rates, person, &mut rules);
    }
    sound.then_some(rules)
}

/// Gives one person's operations their rate; false when there is none (noted) or it is faulty.
fn pay(check: &Check, place: Place, rates: &RatesFile, person: Person, rules: &mut [OperationRule]) -> bool {
    let entry = match person {
        Person::Maker => &rates.maker,
        Person::Helper => &rates.helper,
    };
    let mut paid = rules.iter_mut().filter(|rule| rule.person == person);
    if let Some(at) = entry.given() {
        paid.for_each(|rule| rule.rate = at.value);
        return true;
    }
    // An operation that takes no time needs no rate.
    let Some(rule) = paid.find(|rule| !rule.minutes.is_zero() || !rule.setup.is_zero()) else { return true };
    if entry.is_missing() {
        let (word, who) = (rule.operation.word(), person.word());
        let what = format!("the {who} has no rate, but does operations of this job, `{word}` among them");
        let help = format!("add `{who} = 30.00` to `[rates]`, or give those operations another `person`");
        check.note(Problem::new(Kind::Missing, place, what).help(help));
    }
    false
}

/// The operation a row names, or a note with the nearest one.
fn operation(check: &Check, row: &OperationFile, names: &mut Names) -> Option<Operation> {
    let name = row.name.need(check.desk, &row.head, "name", "\"ripping\"")?;
    let known = Operation::all().find(|operation| operation.word() == name.value);
    if known.is_none() {
        let problem = Problem::new(Kind::UnknownName, name.place, format!("unknown operation `{}`", name.value));
        check.note(match nearest(&name.value, Operation::all().map(Operation::word)) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => {
                let words: Vec<_> = Operation::all().map(Operation::word).collect();
                problem.help(format!("known operations: {}", words.join(", ")))
            }
        });
        return None;
    }
    names.take(check, &name.value, name.place);
    known
}

/// What the files alone tell of an operation: doors ask for most, strips for sawing, pieces for cloth.
fn may_occur(operation: Operation, written: &JobFile) -> bool {
    let doors = !written.cabinets.list.is_empty();
    match operation {
        Operation::Wash => doors || !written.cloth_pieces.list.is_empty(),
        Operation::Crosscut | Operation::Joint | Operation::Plane | Operation::Rip | Operation::Sort => {
            doors || !written.strips.list.is_empty()
        }
        Operation::PanelGlueUp | Operation::PanelCut | Operation::PanelEdge | Operation::CaseGlueUp => {
            doors && super::casework::asked(written)
        }
        Operation::Template
        | Operation::TestCorner
        | Operation::Forms
        | Operation::Grooves
        | Operation::Chamfer
        | Operation::GlueUp
        | Operation::Trim
        | Operation::Rabbet
        | Operation::Sand
        | Operation::Finish
        | Operation::Hang => doors,
    }
}

fn rule(check: &Check, operation: Operation, row: Option<&OperationFile>, spread: Decimal) -> Option<OperationRule> {
    let (no_figure, no_word) = (Entry::Missing, Entry::Missing);
    let key = |part: &str| format!("[[operation]] `{}` {part}", operation.word());
    let figure = |entry: &Entry<Decimal>, part: &str, usual: Decimal| {
        if entry.is_missing() {
            check.defaults.note(&key(part), usual.to_string(), FROM_MEMORY);
        }
        or(entry, usual)
    };
    let minutes = figure(row.map_or(&no_figure, |row| &row.minutes), "minutes", operation.usual_minutes(check.units));
    let setup = figure(row.map_or(&no_figure, |row| &row.setup), "setup", operation.usual_setup());
    let by_slat = row.map_or(&no_figure, |row| &row.slat_minutes);
    let slat_minutes = match operation.usual_slat_minutes() {
        none if none.is_zero() => {
            if let Some(place) = by_slat.place() {
                let what = format!("`{}` does not take longer for more slats", operation.word());
                let problem = Problem::new(Kind::Conflict, place, what);
                check.note(problem.help("`slat_minutes` is for glue-up, trimming and rabbets"));
            }
            Some(Decimal::ZERO)
        }
        usual => figure(by_slat, "slat_minutes", usual),
    };
    let person = row.map_or(&no_word, |row| &row.person);
    if person.is_missing() {
        check.defaults.note(&key("person"), operation.usual_person().word().to_owned(), FROM_MEMORY);
    }
    let person = or(person, operation.usual_person().word())?;
    let person = if person == "maker" { Person::Maker } else { Person::Helper };
    Some(OperationRule {
        operation,
        person,
        minutes: minutes?,
        slat_minutes: slat_minutes?,
        setup: setup?,
        rate: Price::ZERO,
        learned: Learned::nothing(or(row.map_or(&no_figure, |row| &row.spread), spread)?),
    })
}

fn counted_consumable(check: &Check, line: &ConsumableFile) -> Option<CountedConsumable> {
    let name = line.name.need(check.desk, &line.head, "name", "\"rollers\"");
    let price = line.price.need(check.desk, &line.head, "price", "1.20");
    let quantity = line.quantity.need(check.desk, &line.head, "quantity", "2");
    let spread = [
        line.covers_square_feet.place().map(|place| ("covers_square_feet", place)),
        line.covers_square_metres.place().map(|place| ("covers_square_metres", place)),
        line.coats.place().map(|place| ("coats", place)),
        line.on.place().map(|place| ("on", place)),
    ];
    if let Some((key, place)) = spread.into_iter().flatten().next() {
        let what = format!("`{key}` is for what is spread, `quantity` and `per` for what is counted");
        check.note(Problem::new(Kind::Conflict, place, what).help("keep one of the two ways"));
        return None;
    }
    let per = check.defaults.other(&line.per, "[[consumable]] per", "job", "job");
    let unit = check.defaults.other(&line.unit, "[[consumable]] unit", "each".to_owned(), "each");
    let whole_units = check.defaults.other(&line.whole_units, "[[consumable]] whole_units", false, "false");
    Some(CountedConsumable {
        name: name?.value,
        price: price?.value,
        unit: unit?,
        quantity: quantity?.value,
        per: basis(per?),
        whole_units: whole_units?,
    })
}

fn gain(check: &Check, file: &PriceFile) -> Option<Gain> {
    one_gain(check, &file.markup, &file.margin)
}

fn one_gain(check: &Check, markup: &Entry<Decimal>, margin: &Entry<Ratio>) -> Option<Gain> {
    if let (Some(markup), Some(margin)) = (markup.place(), margin.place()) {
        let what = "both `markup` and `margin` are given";
        let help = "keep one: a markup is a share of the cost, a margin a share of the price";
        check.note(Problem::new(Kind::Conflict, margin, what).also(markup, "the markup").help(help));
        return None;
    }
    let markup = optional(markup)?;
    let margin = optional(margin)?;
    Some(match (markup, margin) {
        (Some(markup), _) => Gain::Markup(markup),
        (None, Some(margin)) => Gain::Margin(margin),
        (None, None) => Gain::None,
    })
}

fn stages(check: &Check, file: &PriceFile) -> Option<Vec<PayStage>> {
    let mut names = Names::of("stage");
    let stages = file.stages.list.iter().map(|row| {
        let name = row.name.need(check.desk, &row.head, "name", "\"on order\"");
        let due = row.due.need(check.desk, &row.head, "due", "\"when the order is signed\"");
        let share = row.share.need(check.desk, &row.head, "share", "0.4");
        if let Some(name) = &name {
            names.take(check, &name.value, name.place);
        }
        let share = Ratio::percent(share?.value * Decimal::ONE_HUNDRED).ok();
        Some(PayStage { name: name?.value, due: due?.value, share: share? })
    });
    let stages = all(stages.collect())?;
    let sum: Decimal = stages.iter().map(|stage| stage.share.decimal()).sum();
    if let Some(row) = file.stages.list.first().filter(|_| sum != Decimal::ONE) {
        let sum = (sum * Decimal::ONE_HUNDRED).normalize();
        let what = format!("the stages sum to {sum} % of the price");
        check.note(Problem::new(Kind::Conflict, row.head.place, what).help("their shares together make 1"));
        return None;
    }
    if file.stages.faulty { None } else { Some(stages) }
}

fn terms(file: &PriceFile) -> Option<Terms> {
    let listed = optional(&file.terms.exclusions)?.unwrap_or_default();
    Some(Terms {
        valid_days: optional(&file.terms.valid_days)?,
        lead_time: optional(&file.terms.lead_time)?,
        exclusions: listed.split(';').map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned).collect(),
        change_rate: optional(&file.terms.change_rate)?,
    })
}

fn hours(check: &Check, file: &PriceFile, written: &JobFile) -> Option<HoursThereAre> {
    let there = match &written.hours {
        Entry::Missing => HoursFile::default(),
        Entry::Faulty => return None,
        Entry::Given(at) => at.value.clone(),
    };
    let usual = HoursThereAre::default().in_form;
    let paid = file.rates.given().is_some_and(|at| !at.value.maker.is_missing() || !at.value.helper.is_missing());
    let priced = paid && !written.cabinets.list.is_empty();
    if file.in_form.is_missing() && priced {
        check.defaults.note("hours_in_form", usual.to_string(), FROM_MEMORY);
    }
    Some(HoursThereAre {
        maker: optional(&there.maker)?,
        helper: optional(&there.helper)?,
        in_form: or(&file.in_form, usual)?,
    })
}
