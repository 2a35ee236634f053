//! The quote as a document: what the client reads, and beside it what the maker keeps.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::materials::units_text;
use super::{Bill, CostLine, Share, margin_of_markup, markup_of_margin};
use crate::doors::Door;
use crate::job::{
    BoardPlace, Cabinet, ConsumableArea, Gain, Job, LabourBasis, Operation, Person, RackWorth, TaxOn, WorkStage,
};
use crate::measure::{Cents, Length, apportion};

/// A quote: plain data that a page, a terminal or a CSV file can show.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// Who makes the offer: the lines at the head of the page.
    pub shop: Vec<String>,
    /// Number and dates, once it is frozen.
    pub head: Option<OfferHead>,
    /// What the job is called.
    pub job: String,
    /// Who it is for.
    pub client: Option<String>,
    /// Currency word of every amount.
    pub currency: String,
    /// What is built, a sentence a cabinet design or loose piece.
    pub scope: Vec<String>,
    /// The doors, a sentence each.
    pub doors: Vec<String>,
    /// Materials in words.
    pub materials: Vec<String>,
    /// What each thing built comes to, all that is on top of its cost included; they sum to the first line of `price`.
    /// Empty where the client reads of nothing by name.
    pub items: Vec<QuoteItem>,
    /// The price: lines that sum to `total`; no cost and no margin among them.
    pub price: Vec<(String, Cents)>,
    /// What the client pays.
    pub total: Cents,
    /// Payments; they sum to `total`.
    pub payments: Vec<Payment>,
    /// Lead time, validity, exclusions, changes: a heading and its sentence.
    pub terms: Vec<(String, String)>,
    /// What the client does not see.
    pub maker: MakerPart,
}

/// Number and dates of an offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OfferHead {
    /// The number of the job's quote.
    pub number: u32,
    /// Which version of it, from 1.
    pub revision: u32,
    /// The day it was made.
    pub date: Date,
    /// The last day it stands.
    pub valid_until: Option<Date>,
}

impl OfferHead {
    /// `quote 41, revision 2, 2026-03-02, valid until 2026-04-01`.
    #[must_use]
    pub fn say(&self) -> String {
        let until = self.valid_until.map_or_else(String::new, |until| format!(", valid until {until}"));
        format!("quote {}, revision {}, {}{until}", self.number, self.revision, self.date)
    }
}

/// One thing that the client gets, with its price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteItem {
    /// `cabinet`, `strip`, `cloth piece` or `line`.
    pub what: &'static str,
    /// Its name.
    pub name: String,
    /// It in a sentence, as in the scope.
    pub words: String,
    /// How many.
    pub count: Decimal,
    /// What all of them come to.
    pub amount: Cents,
}

/// One payment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Payment {
    /// What it is called.
    pub name: String,
    /// When it falls due.
    pub due: String,
    /// How much.
    pub amount: Cents,
}

/// The maker's part of a quote.
#[derive(Debug, Clone, PartialEq)]
pub struct MakerPart {
    /// The quote in a line, and what it lacks.
    pub verdict: Verdict,
    /// Hours by stage, in the order of work: maker's, helper's. Plain labour lines are the maker's, under `other`.
    pub stages: Vec<(WorkStage, Decimal, Decimal)>,
    /// Hours needed and hours there are, of each person.
    pub people: Vec<PersonHours>,
    /// How long the panels occupy their forms, in words; empty without doors.
    pub forms: String,
    /// Markup and margin of this price, each as a share, whichever was given; `None` without either.
    pub gain: Option<(Decimal, Decimal)>,
    /// What each door, loose piece and the job itself costs.
    pub shares: Vec<Share>,
}

/// The quote in a line: what comes in, how long it takes, what is earned, and what is missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// What the client pays.
    pub total: Cents,
    /// Hours of the shop.
    pub hours: Decimal,
    /// Markup or margin in money, discount taken off, rounding and a least charge put on.
    pub gain: Cents,
    /// What a quote should have and this one has not.
    pub missing: Vec<String>,
}

/// One person's hours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonHours {
    /// Whose.
    pub person: Person,
    /// Hours that the job takes.
    pub needed: Decimal,
    /// Hours that there are, if the job says so.
    pub there: Option<Decimal>,
}

impl PersonHours {
    /// False when fewer hours are there than needed.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.there.is_none_or(|there| there >= self.needed)
    }

    /// `helper: 8.4 h needed, 4 h available: 4.4 h short`.
    #[must_use]
    pub fn say(&self) -> String {
        let (who, needed) = (self.person.word(), tenth(self.needed));
        match self.there {
            None => format!("{who}: {needed} h needed"),
            Some(there) if self.fits() => format!("{who}: {needed} h needed, {} h available", there.normalize()),
            Some(there) => {
                let short = tenth(self.needed - there);
                format!("{who}: {needed} h needed, {} h available: {short} h short", there.normalize())
            }
        }
    }
}

/// To a tenth of an hour, never less than there is.
fn tenth(hours: Decimal) -> Decimal {
    hours.round_dp_with_strategy(1, rust_decimal::RoundingStrategy::ToPositiveInfinity).normalize()
}

/// The quote of a planned job.
#[must_use]
pub fn quote(job: &Job, doors: &[Door], bill: &Bill) -> Quote {
    headed_quote(job, doors, bill, None)
}

/// The same with its number and dates, where it has them.
#[must_use]
pub fn headed_quote(job: &Job, doors: &[Door], bill: &Bill, head: Option<OfferHead>) -> Quote {
    let price = price(job, bill);
    let items = items(job, bill, price.first().map_or(Cents::ZERO, |line| line.1));
    Quote {
        shop: job.shop.about.lines(),
        head,
        job: job.name.clone(),
        client: job.client.clone(),
        currency: job.shop.currency.clone(),
        scope: scope(job).into_iter().map(|item| item.words).collect(),
        doors: doors.iter().map(|door| door_words(job, door)).collect(),
        materials: materials(job, doors),
        items,
        price,
        total: bill.total,
        payments: payments(job, bill.total),
        terms: terms(job, head),
        maker: MakerPart {
            verdict: verdict(job, bill),
            stages: stages(job, bill),
            people: people(job, bill),
            forms: forms(job, doors),
            gain: gain(job.shop.pricing.gain),
            shares: bill.shares.clone(),
        },
    }
}

fn size(job: &Job, lengths: &[Length]) -> String {
    let shown: Vec<_> = lengths.iter().map(|length| length.show_nearest(job.units)).collect();
    format!("{} {}", shown.join(" x "), job.units)
}

/// What the client gets by name, without its price.
fn scope(job: &Job) -> Vec<QuoteItem> {
    let item = |what, name: &str, count: Decimal, words| {
        let (name, amount) = (name.to_owned(), Cents::ZERO);
        QuoteItem { what, name, words, count, amount }
    };
    let cabinets = job.cabinets.iter().map(|c| item("cabinet", &c.name, c.count.into(), cabinet_words(job, c)));
    let strips = job.strips.iter().filter(|strip| !strip.in_the_price).map(|strip| {
        let sizes = size(job, &[strip.length, strip.width, strip.thickness]);
        let words = format!("{} x {}: {}, {sizes}", strip.quantity, strip.name, strip.species);
        item("strip", &strip.name, strip.quantity.into(), words)
    });
    let pieces = job.cloth_pieces.iter().filter(|piece| !piece.in_the_price).map(|piece| {
        let words = format!("{} x {}: cloth, {}", piece.quantity, piece.name, size(job, &[piece.along, piece.across]));
        item("cloth piece", &piece.name, piece.quantity.into(), words)
    });
    let lines = job.lines.iter().filter(|line| !line.in_the_price).map(|line| {
        let words = format!("{} ({})", line.name, units_text(line.quantity, &line.unit));
        item("line", &line.name, line.quantity, words)
    });
    cabinets.chain(strips).chain(pieces).chain(lines).collect()
}

fn cabinet_words(job: &Job, cabinet: &Cabinet) -> String {
    let doors = cabinet.doors.len();
    let words = if doors == 1 { "1 tambour door".to_owned() } else { format!("{doors} tambour doors") };
    let each = if cabinet.count == 1 { "" } else { " each" };
    let inside = cabinet.inside.map_or_else(String::new, |inside| {
        format!(", inside {} (w x d x h)", size(job, &[inside.width, inside.depth, inside.height]))
    });
    let case = cabinet.case.as_ref().map_or_else(String::new, |case| format!(", the case in {}", case.material.name));
    format!("{} x {}: {words}{each}{inside}{case}", cabinet.count, cabinet.name)
}

/// The amount shared out to what the client reads of, by what each costs; what is not named, and what the job costs
/// as a whole, goes with it. The shares sum to the amount to the cent.
fn items(job: &Job, bill: &Bill, amount: Cents) -> Vec<QuoteItem> {
    let mut items = scope(job);
    let mut costs: BTreeMap<(&str, &str), Cents> = BTreeMap::new();
    for share in &bill.shares {
        let named = match share.cabinet.and_then(|at| job.cabinets.get(at)) {
            Some(cabinet) => ("cabinet", cabinet.name.as_str()),
            None => (share.what, share.name.as_str()),
        };
        *costs.entry(named).or_default() += share.total();
    }
    for (line, cost) in job.lines.iter().zip(extra_lines(bill)) {
        *costs.entry(("line", line.name.as_str())).or_default() += cost.cost;
    }
    let cost_of = |item: &QuoteItem| costs.get(&(item.what, item.name.as_str())).map_or(0, |cost| cost.get().max(0));
    let weights: Vec<i128> = items.iter().map(|item| cost_of(item).into()).collect();
    if weights.iter().sum::<i128>() == 0 {
        return Vec::new();
    }
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by_key(|at| (items[*at].what, items[*at].name.clone()));
    for (item, share) in items.iter_mut().zip(apportion(amount, &weights, &order)) {
        item.amount = share;
    }
    items
}

fn verdict(job: &Job, bill: &Bill) -> Verdict {
    let of = |groups: &[&str]| -> Cents {
        let lines = bill.costs.iter().filter(|line| groups.contains(&line.group.as_str()));
        lines.map(|line| line.cost).sum()
    };
    let hours = bill.costs.iter().filter(|line| line.group == "labour" && line.unit == "hour");
    let hours: Decimal = hours.map(|line| line.quantity).sum();
    let gain = of(&["markup", "margin", "discount", "least charge", "rounding"]);
    let mut missing = Vec::new();
    if of(&["markup", "margin"]) == Cents::ZERO {
        missing.push("a margin: this is sold at cost".to_owned());
    }
    if hours.is_zero() {
        missing.push("labour: not one hour is in it".to_owned());
    } else if !job.cabinets.is_empty()
        && !makes_cases(bill)
        && !job.shop.labour.iter().any(|line| line.per == LabourBasis::Cabinet)
    {
        missing.push("hours for the cases: no `[[labour]]` is counted by the cabinet".to_owned());
    }
    if job.defaults.iter().any(|used| used.key == "tax_on") {
        missing.push("the tax basis: set `tax_on`".to_owned());
    }
    missing.extend(deposit(job, bill));
    missing.extend(unpriced_rack(job, bill));
    Verdict { total: bill.total, hours, gain, missing }
}

/// True when the hours of making cases are counted by operations.
fn makes_cases(bill: &Bill) -> bool {
    bill.work.iter().any(|line| line.rule.operation == Operation::CaseGlueUp)
}

/// A first payment that does not cover what must be bought first.
fn deposit(job: &Job, bill: &Bill) -> Option<String> {
    let first = payments(job, bill.total).into_iter().next().filter(|_| !job.shop.pricing.stages.is_empty())?;
    let buy: Cents = bill.buy.iter().map(|line| line.cost).sum();
    let money = |amount: Cents| amount.marked(&job.shop.currency);
    let words = || {
        let (paid, buy) = (money(first.amount), money(buy));
        format!("a first payment that covers what must be bought first: {paid} of {buy}")
    };
    (first.amount < buy).then(words)
}

/// Rack boards that the shop prices and nobody sells.
fn unpriced_rack(job: &Job, bill: &Bill) -> Option<String> {
    let used = bill.boards.iter().map(|line| &job.boards[line.stock]);
    let free = used.filter(|stock| stock.place == BoardPlace::Rack && stock.price.is_none());
    let unpriced = free.filter(|stock| super::lumber::replacement(job, stock).is_none());
    let names: Vec<&str> = unpriced.map(|stock| stock.stock.as_str()).collect();
    let asked = job.shop.pricing.rack == RackWorth::Replacement && !names.is_empty();
    asked.then(|| format!("a price for the rack: no such board is for sale as {}", names.join(", ")))
}

/// The cost lines of the job's extra lines, in the order of the job.
fn extra_lines(bill: &Bill) -> &[CostLine] {
    bill.costs.get(bill.extra.clone()).unwrap_or_default()
}

fn door_words(job: &Job, door: &Door) -> String {
    let wood = job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.doors.get(door.index));
    let wood = wood.map_or_else(String::new, |spec| format!(" of {}", spec.slats.species));
    let size = size(job, &[door.slat_length, door.door_length]);
    format!("{} x {}: a tambour door{wood}, {size}", door.count, door.name)
}

/// Woods, cloth, glue and finish, each named once.
fn materials(job: &Job, doors: &[Door]) -> Vec<String> {
    let mut said = Vec::new();
    let mut say = |text: String| {
        if !said.contains(&text) {
            said.push(text);
        }
    };
    for spec in job.cabinets.iter().flat_map(|cabinet| &cabinet.doors) {
        say(format!("{} slats, {}", spec.slats.species, size(job, &[spec.slats.width, spec.slats.thickness])));
    }
    for strip in job.strips.iter().filter(|strip| !strip.in_the_price) {
        say(format!("{} strips", strip.species));
    }
    if !doors.is_empty() {
        say("cotton cloth, glued to the back of the slats".to_owned());
    }
    for finish in job.shop.consumables.iter().filter(|c| c.on == ConsumableArea::Show) {
        let coats = if finish.coats == 1 { "one coat".to_owned() } else { format!("{} coats", finish.coats) };
        say(format!("{}, {coats} on the show faces", finish.name));
    }
    said
}

/// Tax at cost would give the cost away, so it is inside the price, as are a least charge and the rounding; each tax
/// on the price is shown.
fn price(job: &Job, bill: &Bill) -> Vec<(String, Cents)> {
    let of = |group: &str| bill.costs.iter().filter(|line| line.group == group).map(|line| line.cost).sum::<Cents>();
    let (discount, tax) = (of("discount"), of("tax"));
    let stated: Vec<(String, Cents)> = job
        .shop
        .taxes()
        .iter()
        .filter(|tax| tax.on == TaxOn::Price)
        .map(|tax| {
            let lines = bill.costs.iter().filter(|line| line.group == "tax" && line.item == tax.name);
            (format!("{} of {}", tax.name, tax.rate), lines.map(|line| line.cost).sum())
        })
        .collect();
    let shown_tax: Cents = stated.iter().map(|line| line.1).sum();
    let work = if tax == shown_tax { "the work as described" } else { "the work as described, tax included" };
    let mut lines = vec![(work.to_owned(), bill.total - shown_tax - discount)];
    if discount != Cents::ZERO {
        lines.push((format!("discount of {}", job.shop.pricing.discount), discount));
    }
    lines.extend(stated.into_iter().filter(|line| line.1 != Cents::ZERO));
    lines
}

fn payments(job: &Job, total: Cents) -> Vec<Payment> {
    let stages = &job.shop.pricing.stages;
    if stages.is_empty() {
        return vec![Payment { name: "payment".to_owned(), due: "on delivery".to_owned(), amount: total }];
    }
    let shares = stages.iter().map(|stage| (stage.share.decimal() * Decimal::from(100_000_000)).to_i128().unwrap_or(0));
    // What is left over in cents goes to the last, the balance.
    let order: Vec<usize> = (0..stages.len()).rev().collect();
    let amounts = apportion(total, &shares.collect::<Vec<_>>(), &order);
    let payment = |(stage, amount): (&crate::job::PayStage, Cents)| Payment {
        name: stage.name.clone(),
        due: stage.due.clone(),
        amount,
    };
    stages.iter().zip(amounts).map(payment).collect()
}

fn terms(job: &Job, head: Option<OfferHead>) -> Vec<(String, String)> {
    let terms = &job.shop.pricing.terms;
    let mut list = Vec::new();
    let mut add = |heading: &str, text: String| list.push((heading.to_owned(), text));
    if let Some(lead) = &terms.lead_time {
        add("lead time", lead.clone());
    }
    match (terms.valid_days, head.and_then(|head| head.valid_until)) {
        (_, Some(until)) => add("validity", format!("this quote is valid until {until}")),
        (Some(1), None) => add("validity", "this quote is valid for a day from its date".to_owned()),
        (Some(days), None) => add("validity", format!("this quote is valid for {days} days from its date")),
        (None, None) => {}
    }
    if !terms.exclusions.is_empty() {
        add("not included", terms.exclusions.join("; "));
    }
    let rate = terms.change_rate.map_or_else(String::new, |rate| {
        format!(": {} {rate} for an hour of work, materials as quoted", job.shop.currency)
    });
    add("changes", format!("priced in writing and agreed before they are made{rate}"));
    list
}

fn stages(job: &Job, bill: &Bill) -> Vec<(WorkStage, Decimal, Decimal)> {
    let mut stages: Vec<(WorkStage, Decimal, Decimal)> = Vec::new();
    for line in &bill.work {
        let stage = line.rule.operation.stage();
        let at = stages.iter().position(|entry| entry.0 == stage).unwrap_or_else(|| {
            stages.push((stage, Decimal::ZERO, Decimal::ZERO));
            stages.len() - 1
        });
        match line.rule.person {
            Person::Maker => stages[at].1 += line.hours,
            Person::Helper => stages[at].2 += line.hours,
        }
    }
    stages.sort_by_key(|entry| entry.0);
    let other = plain_hours(job, bill);
    if !other.is_zero() {
        stages.push((WorkStage::Other, other, Decimal::ZERO));
    }
    stages
}

/// Hours of the plain labour lines.
fn plain_hours(job: &Job, bill: &Bill) -> Decimal {
    let named = |item: &str| job.shop.labour.iter().any(|line| line.name == item);
    bill.costs.iter().filter(|l| l.group == "labour" && l.unit == "hour" && named(&l.item)).map(|l| l.quantity).sum()
}

fn people(job: &Job, bill: &Bill) -> Vec<PersonHours> {
    let there = &job.shop.pricing.hours;
    let hours = |person| bill.work.iter().filter(move |line| line.rule.person == person).map(|line| line.hours);
    let maker: Decimal = hours(Person::Maker).sum::<Decimal>() + plain_hours(job, bill);
    let helper: Decimal = hours(Person::Helper).sum();
    let people = [(Person::Maker, maker, there.maker), (Person::Helper, helper, there.helper)];
    let asked = people.into_iter().filter(|(_, needed, there)| !needed.is_zero() || there.is_some());
    asked.map(|(person, needed, there)| PersonHours { person, needed, there }).collect()
}

/// Panels that share a form follow one another; forms of different lengths work side by side.
fn forms(job: &Job, doors: &[Door]) -> String {
    let mut forms: std::collections::BTreeMap<Length, u32> = std::collections::BTreeMap::new();
    for door in doors {
        *forms.entry(door.slat_length).or_default() += door.count;
    }
    let Some(most) = forms.values().max() else { return String::new() };
    let each = job.shop.pricing.hours.in_form;
    let hours = (each * Decimal::from(*most)).normalize();
    let (count, plural) = (forms.len(), if forms.len() == 1 { "" } else { "s, one a slat length" });
    format!("{count} form{plural}; the busiest takes {most} panels one after another, {each} h each: {hours} h in all")
}

fn gain(gain: Gain) -> Option<(Decimal, Decimal)> {
    match gain {
        Gain::None => None,
        Gain::Markup(markup) => Some((markup, margin_of_markup(markup))),
        Gain::Margin(margin) => Some((markup_of_margin(margin.decimal())?, margin.decimal())),
    }
}
