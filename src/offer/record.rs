//! `quote.toml`: written, read back, and checked against the folder it lies in.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use rust_decimal::Decimal;
use sha2::{Digest, Sha256};

use super::OfferError;
use crate::bill::OfferHead;
use crate::files::{Desk, Entry, EventFile, Kind, LARGEST_TOML, Problem, QuoteFile, Sources, open_table};
use crate::measure::{Cents, Units};

/// The name of the record in a revision's folder.
pub(super) const RECORD: &str = "quote.toml";
/// Begins the first line; the digest of the rest, down to [`FOOT`], follows.
const SEAL: &str = "# seal ";
/// The last sealed line.
const FOOT: &str = "# ---- sealed to here; below is what happened to the offer since ----";

/// One frozen revision.
#[derive(Debug, Clone, PartialEq)]
pub struct Frozen {
    /// Its folder.
    pub folder: PathBuf,
    /// Number, revision and dates.
    pub head: OfferHead,
    /// The job's name.
    pub job: String,
    /// The job file's own name: a job of another name beside it has a quote of its own.
    pub job_file: String,
    /// Who it is for.
    pub client: Option<String>,
    /// Currency word of all amounts.
    pub currency: String,
    /// What the client pays.
    pub total: Cents,
    /// Hours that it takes.
    pub hours: Decimal,
    /// Boards of the rack that it takes: stock and how many.
    pub held: Vec<(String, u32)>,
    /// Every other file of the folder: name and SHA-256 in hexadecimal.
    pub files: Vec<(String, String)>,
    /// What happened to it, in the order of the file.
    pub events: Vec<Event>,
}

/// Something that happened to an offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// What.
    pub what: Happened,
    /// When.
    pub date: Date,
}

/// What may happen to an offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happened {
    /// The client took it.
    Accepted,
    /// The client, or the shop, let it go.
    Declined,
    /// Money before the work.
    Deposit(Cents),
    /// Money later.
    Payment(Cents),
}

impl Happened {
    /// The word in the file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::Declined => "declined",
            Self::Deposit(_) => "deposit",
            Self::Payment(_) => "payment",
        }
    }

    /// The money that came in with it.
    #[must_use]
    pub const fn amount(self) -> Option<Cents> {
        match self {
            Self::Deposit(amount) | Self::Payment(amount) => Some(amount),
            Self::Accepted | Self::Declined => None,
        }
    }
}

impl Frozen {
    /// Money received so far.
    #[must_use]
    pub fn received(&self) -> Cents {
        self.events.iter().filter_map(|event| event.what.amount()).sum()
    }

    /// The day on which something of that kind happened.
    #[must_use]
    pub fn day_of(&self, what: Happened) -> Option<Date> {
        self.events.iter().find(|event| event.what == what).map(|event| event.date)
    }

    /// A file of the folder, as it was frozen.
    ///
    /// # Errors
    /// [`OfferError`] when it cannot be read.
    pub fn file(&self, name: &str) -> Result<Vec<u8>, OfferError> {
        read(&self.folder.join(name))
    }

    /// The sealed text of the record.
    pub(super) fn text(&self) -> String {
        let mut body = String::new();
        let mut line = |key: &str, value: String| {
            let _ = writeln!(body, "{key} = {value}");
        };
        line("number", self.head.number.to_string());
        line("revision", self.head.revision.to_string());
        line("job", quoted(&self.job));
        line("job_file", quoted(&self.job_file));
        if let Some(client) = &self.client {
            line("client", quoted(client));
        }
        line("date", quoted(&self.head.date.to_string()));
        if let Some(until) = self.head.valid_until {
            line("valid_until", quoted(&until.to_string()));
        }
        line("currency", quoted(&self.currency));
        line("total", self.total.to_string());
        line("hours", self.hours.to_string());
        for (stock, boards) in &self.held {
            let _ = writeln!(body, "\n[[held]]\nstock = {}\nboards = {boards}", quoted(stock));
        }
        for (name, digest) in &self.files {
            let _ = writeln!(body, "\n[[file]]\nname = {}\nsha256 = {}", quoted(name), quoted(digest));
        }
        let _ = writeln!(body, "\n{FOOT}");
        format!("{SEAL}{}\n{body}", sha256(body.as_bytes()))
    }

    /// Reads the record of a folder.
    ///
    /// # Errors
    /// [`OfferError::Files`] with everything wrong with it.
    pub(super) fn open(folder: &Path) -> Result<Self, OfferError> {
        let path = folder.join(RECORD);
        let text = String::from_utf8_lossy(&read(&path)?).into_owned();
        let sources = Sources::in_memory(&path, text);
        let desk = Desk::new(&sources);
        let frozen = desk.open(&path, LARGEST_TOML, None).and_then(|(id, text)| {
            let file = open_table(&desk, (id, &text), Units::Inch, "the quote file", QuoteFile::read)?;
            Self::from_file(&desk, folder, &file)
        });
        match (desk.problems(), frozen) {
            (None, Some(frozen)) => Ok(frozen),
            (Some(problems), _) => Err(OfferError::Files(problems)),
            (None, None) => Err(OfferError::Edited { folder: folder.to_owned(), names: vec![RECORD.to_owned()] }),
        }
    }

    fn from_file(desk: &Desk, folder: &Path, file: &QuoteFile) -> Option<Self> {
        let head = &file.head;
        let number = file.number.need(desk, head, "number", "41");
        let revision = file.revision.need(desk, head, "revision", "1");
        let job = file.job.need(desk, head, "job", "\"seed library\"");
        let job_file = file.job_file.need(desk, head, "job_file", "\"job.toml\"");
        let date = file.date.need(desk, head, "date", "\"2026-03-02\"");
        let currency = file.currency.need(desk, head, "currency", "\"USD\"");
        let total = file.total.need(desk, head, "total", "1250.00");
        let held = file.held.list.iter().map(|row| {
            let stock = row.stock.need(desk, &row.head, "stock", "\"cherry 7\"");
            Some((stock?.value, row.boards.need(desk, &row.head, "boards", "2")?.value))
        });
        let held: Option<Vec<_>> = held.collect();
        let files = file.files.list.iter().map(|row| {
            let name = row.name.need(desk, &row.head, "name", "\"client.txt\"");
            Some((name?.value, row.sha256.need(desk, &row.head, "sha256", "\"...\"")?.value))
        });
        let files: Option<Vec<_>> = files.collect();
        let events: Vec<Option<Event>> = file.events.list.iter().map(|row| event(desk, row)).collect();
        let events: Option<Vec<Event>> = events.into_iter().collect();
        Some(Self {
            folder: folder.to_owned(),
            head: OfferHead {
                number: number?.value,
                revision: revision?.value,
                date: date?.value,
                valid_until: file.valid_until.given().map(|at| at.value),
            },
            job: job?.value,
            job_file: job_file?.value,
            client: file.client.given().map(|at| at.value.clone()),
            currency: currency?.value,
            total: Cents::nearest(total?.value)?,
            hours: file.hours.given().map_or(Decimal::ZERO, |at| at.value),
            held: held?,
            files: files?,
            events: events?,
        })
    }

    /// Files of the folder that are not what was frozen, or are gone; the record itself where its seal is broken.
    ///
    /// # Errors
    /// [`OfferError`] when the folder cannot be read.
    pub fn edited(&self) -> Result<Vec<String>, OfferError> {
        let mut names = Vec::new();
        if !sealed(&String::from_utf8_lossy(&read(&self.folder.join(RECORD))?)) {
            names.push(RECORD.to_owned());
        }
        for (name, digest) in &self.files {
            if fs::read(self.folder.join(name)).ok().is_none_or(|bytes| sha256(&bytes) != *digest) {
                names.push(name.clone());
            }
        }
        Ok(names)
    }

    /// The revision, if nobody has edited it.
    ///
    /// # Errors
    /// [`OfferError::Edited`] with the files that differ.
    pub fn whole(self) -> Result<Self, OfferError> {
        let names = self.edited()?;
        if names.is_empty() { Ok(self) } else { Err(OfferError::Edited { folder: self.folder, names }) }
    }
}

fn event(desk: &Desk, row: &EventFile) -> Option<Event> {
    let what = row.what.need(desk, &row.head, "what", "\"accepted\"");
    let date = row.date.need(desk, &row.head, "date", "\"2026-03-02\"");
    let what = what?.value;
    let money = matches!(what, "deposit" | "payment");
    let amount = match (&row.amount, money) {
        (Entry::Given(at), false) => {
            let problem = Problem::new(Kind::Conflict, at.place, format!("no money comes with `{what}`"));
            desk.add(problem.help("write money received as an event of its own: deposit or payment"));
            return None;
        }
        (_, false) => Cents::ZERO,
        (entry, true) => Cents::nearest(entry.need(desk, &row.head, "amount", "500.00")?.value)?,
    };
    let what = match what {
        "accepted" => Happened::Accepted,
        "declined" => Happened::Declined,
        "deposit" => Happened::Deposit(amount),
        _ => Happened::Payment(amount),
    };
    Some(Event { what, date: date?.value })
}

/// The lines that an event adds to a record.
pub(super) fn event_text(event: &Event) -> String {
    let amount = event.what.amount().map_or_else(String::new, |amount| format!("amount = {amount}\n"));
    format!("\n[[event]]\nwhat = \"{}\"\ndate = \"{}\"\n{amount}", event.what.word(), event.date)
}

/// Whether the digest in the first line is that of the lines it seals.
fn sealed(text: &str) -> bool {
    let Some((seal, rest)) = text.strip_prefix(SEAL).and_then(|text| text.split_once('\n')) else { return false };
    // A name holds no line end, so that none of them can pass for the last line.
    let Some(end) = rest.find(&format!("\n{FOOT}\n")) else { return false };
    rest.get(..end + FOOT.len() + 2).is_some_and(|body| sha256(body.as_bytes()) == seal)
}

/// SHA-256 (FIPS 180-4) in hexadecimal.
pub(super) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// A TOML basic string; names hold no control characters.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

pub(super) fn read(path: &Path) -> Result<Vec<u8>, OfferError> {
    crate::files::told(fs::read(path), "read", path).map_err(Into::into)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The digests of FIPS 180-4's example (`abc`) and of the empty text, as published by NIST.
    #[test]
    fn digests_are_those_of_the_standard() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(sha256(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    }

    #[test]
    fn a_record_reads_back_and_its_seal_ends_before_the_events() {
        let home = tempfile::tempdir().unwrap();
        let frozen = Frozen {
            folder: home.path().to_owned(),
            head: OfferHead {
                number: 41,
                revision: 2,
                date: "2026-03-02".parse().unwrap(),
                valid_until: Some("2026-04-01".parse().unwrap()),
            },
            job: "reading room, \"north\"".to_owned(),
            job_file: "job.toml".to_owned(),
            client: Some("a \\ b".to_owned()),
            currency: "USD".to_owned(),
            total: Cents::new(123_456),
            hours: Decimal::new(3_125, 2),
            held: vec![("cherry 7".to_owned(), 2)],
            files: vec![],
            events: vec![],
        };
        let text = frozen.text();
        fs::write(home.path().join(RECORD), &text).unwrap();
        let back = Frozen::open(home.path()).unwrap();
        assert_eq!(back, frozen);
        assert_eq!(back.edited().unwrap(), Vec::<String>::new());
        let deposit = Event { what: Happened::Deposit(Cents::new(50_000)), date: "2026-03-05".parse().unwrap() };
        fs::write(home.path().join(RECORD), text.clone() + &event_text(&deposit)).unwrap();
        let back = Frozen::open(home.path()).unwrap();
        assert_eq!((back.edited().unwrap().len(), back.received()), (0, Cents::new(50_000)));
        fs::write(home.path().join(RECORD), text.replace("1234.56", "1234.57")).unwrap();
        assert_eq!(Frozen::open(home.path()).unwrap().edited().unwrap(), [RECORD]);
    }
}
