//! `quote.toml` of a frozen quote as written: what was offered, and what happened to the offer since.

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::toml_table::Table;
use super::{Entry, Head, Tables};

/// Quote numbers, revisions, and boards of one kind.
const MOST: u32 = 100_000_000;

/// The whole file.
#[derive(Debug, Default)]
pub(crate) struct QuoteFile {
    pub(crate) head: Head,
    pub(crate) number: Entry<u32>,
    pub(crate) revision: Entry<u32>,
    pub(crate) job: Entry<String>,
    pub(crate) job_file: Entry<String>,
    pub(crate) client: Entry<String>,
    pub(crate) date: Entry<Date>,
    pub(crate) valid_until: Entry<Date>,
    pub(crate) currency: Entry<String>,
    pub(crate) total: Entry<Decimal>,
    pub(crate) hours: Entry<Decimal>,
    pub(crate) held: Tables<HeldFile>,
    pub(crate) files: Tables<DigestFile>,
    pub(crate) events: Tables<EventFile>,
}

impl QuoteFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            number: t.count("number", 1, MOST),
            revision: t.count("revision", 1, MOST),
            job: t.text("job"),
            job_file: t.text("job_file"),
            client: t.text("client"),
            date: t.date("date"),
            valid_until: t.date("valid_until"),
            currency: t.text("currency"),
            total: t.amount("total", u32::MAX),
            hours: t.amount("hours", MOST),
            held: t.tables("held", HeldFile::read),
            files: t.tables("file", DigestFile::read),
            events: t.tables("event", EventFile::read),
        }
    }
}

/// `[[held]]`: boards of the rack that the offer takes.
#[derive(Debug, Default)]
pub(crate) struct HeldFile {
    pub(crate) head: Head,
    pub(crate) stock: Entry<String>,
    pub(crate) boards: Entry<u32>,
}

impl HeldFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), stock: t.text("stock"), boards: t.count("boards", 1, MOST) }
    }
}

/// `[[file]]`: a file of the folder and its digest.
#[derive(Debug, Default)]
pub(crate) struct DigestFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) sha256: Entry<String>,
}

impl DigestFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), name: t.text("name"), sha256: t.text("sha256") }
    }
}

/// `[[event]]`: what happened to the offer.
#[derive(Debug, Default)]
pub(crate) struct EventFile {
    pub(crate) head: Head,
    pub(crate) what: Entry<&'static str>,
    pub(crate) date: Entry<Date>,
    pub(crate) amount: Entry<Decimal>,
}

impl EventFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            what: t.word("what", &["accepted", "declined", "deposit", "payment"]),
            date: t.date("date"),
            amount: t.amount("amount", u32::MAX),
        }
    }
}
