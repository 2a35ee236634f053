//! Pricing as written: rates, operations, stages and terms in the shop file, hours and alternatives in the job file.

use rust_decimal::Decimal;

use super::toml_table::Table;
use super::{Entry, Head, Tables};
use crate::measure::{Length, Price, Ratio};

/// Minutes of one operation, hours of one job: more is taken for a slip.
const MOST_FIGURE: u32 = 10_000;
/// The most that an operation is unsure of: three times its hours.
const MOST_SPREAD: u32 = 3;
/// A markup above five times the cost is a percentage written as a whole number.
const MOST_MARKUP: u32 = 5;

/// What the shop file says about the price.
#[derive(Debug, Default)]
pub(crate) struct PriceFile {
    pub(crate) contingency: Entry<Ratio>,
    pub(crate) markup: Entry<Decimal>,
    pub(crate) margin: Entry<Ratio>,
    pub(crate) gains: Tables<GainFile>,
    pub(crate) overhead_hour: Entry<Price>,
    pub(crate) least_charge: Entry<Price>,
    pub(crate) round_to: Entry<Price>,
    pub(crate) flow: Entry<&'static str>,
    pub(crate) pass_depth: Entry<Length>,
    pub(crate) tax_on: Entry<&'static str>,
    pub(crate) tax_name: Entry<String>,
    pub(crate) second_tax: Entry<TaxFile>,
    pub(crate) rates: Entry<RatesFile>,
    pub(crate) operations: Tables<OperationFile>,
    pub(crate) stages: Tables<StageFile>,
    pub(crate) terms: TermsFile,
    pub(crate) in_form: Entry<Decimal>,
}

impl PriceFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        Self {
            contingency: t.rate("contingency"),
            markup: t.figure("markup", MOST_MARKUP),
            margin: t.rate("margin"),
            gains: t.tables("gain", GainFile::read),
            overhead_hour: t.price("overhead_per_hour"),
            least_charge: t.price("least_charge"),
            round_to: t.price("round_to"),
            flow: t.word("flow", &["boards", "settings"]),
            pass_depth: t.size("pass_depth"),
            tax_on: t.word("tax_on", TAX_BASES),
            tax_name: t.text("tax_name"),
            second_tax: t.table("second_tax", TaxFile::read),
            rates: t.table("rates", RatesFile::read),
            operations: t.tables("operation", OperationFile::read),
            stages: t.tables("stage", StageFile::read),
            terms: match t.table("terms", TermsFile::read) {
                Entry::Given(at) => at.value,
                Entry::Missing | Entry::Faulty => TermsFile::default(),
            },
            in_form: t.figure("hours_in_form", MOST_FIGURE),
        }
    }
}

/// What a tax falls on.
const TAX_BASES: &[&str] = &["materials", "price"];

/// `[second_tax]`.
#[derive(Debug, Clone, Default)]
pub(crate) struct TaxFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) rate: Entry<Ratio>,
    pub(crate) on: Entry<&'static str>,
}

impl TaxFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), name: t.text("name"), rate: t.rate("rate"), on: t.word("on", TAX_BASES) }
    }
}

/// `[[gain]]`: a group of cost lines with a gain of its own.
#[derive(Debug, Default)]
pub(crate) struct GainFile {
    pub(crate) head: Head,
    pub(crate) group: Entry<String>,
    pub(crate) markup: Entry<Decimal>,
    pub(crate) margin: Entry<Ratio>,
}

impl GainFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            group: t.text("group"),
            markup: t.figure("markup", MOST_MARKUP),
            margin: t.rate("margin"),
        }
    }
}

/// `[rates]`: what an hour costs, and what the rack and leftovers are worth.
#[derive(Debug, Clone, Default)]
pub(crate) struct RatesFile {
    pub(crate) maker: Entry<Price>,
    pub(crate) helper: Entry<Price>,
    pub(crate) burden: Entry<Ratio>,
    pub(crate) rack: Entry<&'static str>,
    pub(crate) offcut_value: Entry<Price>,
    pub(crate) spread: Entry<Decimal>,
}

impl RatesFile {
    fn read(t: &mut Table) -> Self {
        Self {
            maker: t.price("maker"),
            helper: t.price("helper"),
            burden: t.rate("burden"),
            rack: t.word("rack", &["free", "replacement"]),
            offcut_value: t.price("offcut_value"),
            spread: t.amount("spread", MOST_SPREAD),
        }
    }
}

/// `[[operation]]`.
#[derive(Debug, Default)]
pub(crate) struct OperationFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) person: Entry<&'static str>,
    pub(crate) minutes: Entry<Decimal>,
    pub(crate) slat_minutes: Entry<Decimal>,
    pub(crate) setup: Entry<Decimal>,
    pub(crate) spread: Entry<Decimal>,
}

impl OperationFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            person: t.word("person", &["maker", "helper"]),
            minutes: t.amount("minutes", MOST_FIGURE),
            slat_minutes: t.amount("slat_minutes", MOST_FIGURE),
            setup: t.amount("setup", MOST_FIGURE),
            spread: t.amount("spread", MOST_SPREAD),
        }
    }
}

/// `[[stage]]`: one payment.
#[derive(Debug, Default)]
pub(crate) struct StageFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) due: Entry<String>,
    pub(crate) share: Entry<Decimal>,
}

impl StageFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), name: t.text("name"), due: t.text("due"), share: t.figure("share", 1) }
    }
}

/// `[terms]`: what the client reads beside the price.
#[derive(Debug, Default)]
pub(crate) struct TermsFile {
    pub(crate) valid_days: Entry<u32>,
    pub(crate) lead_time: Entry<String>,
    pub(crate) exclusions: Entry<String>,
    pub(crate) change_rate: Entry<Price>,
}

impl TermsFile {
    fn read(t: &mut Table) -> Self {
        Self {
            valid_days: t.count("valid_days", 1, 3_650),
            lead_time: t.text("lead_time"),
            exclusions: t.text("exclusions"),
            change_rate: t.price("change_rate"),
        }
    }
}

/// `[hours]` of the job file: how many there are.
#[derive(Debug, Clone, Default)]
pub(crate) struct HoursFile {
    pub(crate) maker: Entry<Decimal>,
    pub(crate) helper: Entry<Decimal>,
}

impl HoursFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        Self { maker: t.amount("maker", MOST_FIGURE), helper: t.amount("helper", MOST_FIGURE) }
    }
}
