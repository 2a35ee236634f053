//! At the yard: the board in hand, what is picked, what is covered and what is short.
//!
//! All of it stands in `picked.csv` beside the job, in the form that `yard` and `plan --picked` read: a board that is
//! measured is a row of its own without a count, a board taken has the count 1, one left there 0.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::http::Request;
use super::rows;
use super::session::Laid;
use crate::demand::{Part, pool};
use crate::files::{LARGEST_CSV, Problems, Sources, cells_of, read_disk};
use crate::job::{BoardPlace, BoardStock, BoardUnit, Job, parse_picked};
use crate::measure::{Length, StockThickness, Units, parse_length, parse_thickness};
use crate::packing::Flow;
use crate::shopfloor::{FloorError, YARD, Yard, at_the_yard, replace};

/// The first line of a list that is begun here.
const HEADER: &str = "stock,species,thickness,width,length,on_hand,price,per,defects\n";
/// Boards of one trip.
const MOST_BOARDS: usize = 400;

/// A trip to the yard.
pub(super) struct Trip {
    pub(super) laid: Arc<Laid>,
    pub(super) parts: Vec<Part>,
    /// Boards as the file has them: picked, left, in hand.
    pub(super) rows: Vec<BoardStock>,
    /// The text of the file; `None` where there is none yet.
    pub(super) text: Option<String>,
    path: PathBuf,
}

/// A board as it is measured, cell by cell as it was typed.
#[derive(Debug, Clone, Default)]
pub(super) struct Measured {
    pub(super) width: String,
    pub(super) length: String,
    pub(super) thickness: String,
    pub(super) species: String,
    pub(super) defects: String,
    pub(super) price: String,
    pub(super) per: String,
}

/// What is wrong with a board: the column, empty for the whole of it, and the words.
pub(super) type Wrong = Vec<(String, String)>;

impl Measured {
    pub(super) fn of(request: &Request, units: Units) -> Self {
        let text = |name: &str| request.value(name).unwrap_or_default().trim().chars().take(100).collect::<String>();
        let size = |name: &str| sized(&text(name), &text(&format!("{name}_eighths")), units);
        Self {
            width: size("width"),
            length: size("length"),
            thickness: text("thickness"),
            species: text("species"),
            defects: text("defects"),
            price: text("price"),
            per: text("per"),
        }
    }
}

/// A size with its eighths as a boards file has it, which is in decimals; as it was typed where it is no size.
fn sized(whole: &str, eighths: &str, units: Units) -> String {
    let eighths = eighths.parse::<i64>().ok().filter(|n| (1..8).contains(n)).unwrap_or(0);
    match parse_length(if whole.is_empty() { "0" } else { whole }, units) {
        Ok(length) if eighths > 0 || !whole.is_empty() => (length + Length::from_64ths(eighths * 8)).decimal(units),
        _ => whole.to_owned(),
    }
}

/// The list of boards picked lies beside the job.
pub(super) fn picked_file(job: &Path) -> PathBuf {
    job.with_file_name("picked.csv")
}

/// How many boards were picked; none where there is no list that reads.
pub(super) fn picked(job: &Path, units: Units) -> u64 {
    let rows = parse_picked(&Sources::on_disk(&picked_file(job)), units).unwrap_or_default();
    rows.iter().filter_map(|row| row.on_hand).map(u64::from).sum()
}

impl Trip {
    pub(super) fn open(job: &Path, laid: Arc<Laid>) -> Result<Self, String> {
        if laid.doors.iter().any(|door| !door.fits()) {
            return Err(
                "A door of the job does not fit as it is now: boards are picked for it once it does.".to_owned()
            );
        }
        let parts = pool(&laid.job, &laid.doors).map_err(|error| error.to_string())?.parts;
        let path = picked_file(job);
        let text = match path.exists() {
            true => Some(text_of(&path)?),
            false => None,
        };
        let rows = match &text {
            Some(text) => read(&path, text, laid.job.units).map_err(|problems| all_words(&problems))?,
            None => Vec::new(),
        };
        Ok(Self { laid, parts, rows, text, path })
    }

    pub(super) fn job(&self) -> &Job {
        &self.laid.job
    }

    /// Boards that were measured and neither taken nor left.
    pub(super) fn in_hand(&self) -> impl Iterator<Item = &BoardStock> {
        self.rows.iter().filter(|row| row.on_hand.is_none())
    }

    pub(super) fn taken(&self) -> impl Iterator<Item = &BoardStock> {
        self.rows.iter().filter(|row| row.on_hand.is_some_and(|count| count > 0))
    }

    pub(super) fn left(&self) -> impl Iterator<Item = &BoardStock> {
        self.rows.iter().filter(|row| row.on_hand == Some(0))
    }

    /// What `yard` says of it.
    pub(super) fn standing(&self) -> Result<Yard, FloorError> {
        at_the_yard(self.job(), &self.parts, &self.rows, &YARD, &mut |_, _| Flow::Continue)
    }

    /// What is asked first: the wood and the thickness of the last board, or what the yard has most of.
    pub(super) fn usual(&self) -> Measured {
        let units = self.job().units;
        let last = self.rows.last().map(|row| (row.species.word().to_owned(), row.thickness));
        let wood = self.parts.first().map(|part| part.species.word().to_owned());
        let listed = || {
            let wood = wood.clone()?;
            let sold = self.sold(&wood).next().map(|row| row.thickness);
            Some((wood, sold?))
        };
        match last.or_else(listed) {
            Some((species, thickness)) => Measured { species, thickness: thickness.show(units), ..Measured::default() },
            None => Measured { species: wood.unwrap_or_default(), ..Measured::default() },
        }
    }

    /// Rows of the yard's list of one wood.
    fn sold(&self, wood: &str) -> impl Iterator<Item = &BoardStock> + use<'_> {
        let named = crate::job::Species::named(wood).ok();
        self.job().boards.iter().filter(move |row| {
            row.place == BoardPlace::Yard && named.as_ref().is_some_and(|wood| wood.name() == row.species.name())
        })
    }

    /// Thicknesses that the yard's list has of these woods.
    pub(super) fn thicknesses(&self) -> Vec<StockThickness> {
        let mut all: Vec<StockThickness> = Vec::new();
        for row in self.job().boards.iter().filter(|row| row.place == BoardPlace::Yard) {
            if !all.contains(&row.thickness) {
                all.push(row.thickness);
            }
        }
        all
    }

    /// Woods that strips are wanted of.
    pub(super) fn woods(&self) -> Vec<String> {
        let mut all: Vec<String> = self.parts.iter().map(|part| part.species.word().to_owned()).collect();
        all.dedup();
        all.sort();
        all.dedup();
        all
    }

    /// The row of the list by whose price such a board is sold: of its wood and thickness, the nearest in width. A price
    /// for a whole board says nothing of another one.
    pub(super) fn listed(&self, wood: &str, thickness: StockThickness, width: Length) -> Option<&BoardStock> {
        let by_measure = |row: &&BoardStock| row.price.is_some_and(|(_, per)| per != BoardUnit::Each);
        let alike = self.sold(wood).filter(|row| row.thickness == thickness).filter(by_measure);
        alike.min_by_key(|row| if row.width > width { row.width - width } else { width - row.width })
    }

    /// Puts a measured board into the list, in hand.
    pub(super) fn measure(&self, board: &Measured) -> Result<(), Wrong> {
        let whole = |words: String| vec![(String::new(), words)];
        let units = self.job().units;
        if self.rows.len() >= MOST_BOARDS {
            return Err(whole(format!("There are {MOST_BOARDS} boards in the list: begin another one.")));
        }
        let thickness = parse_thickness(&board.thickness, units).ok();
        let width = parse_length(&board.width, units).ok();
        let thickness_read = thickness.is_some();
        let listed = thickness.zip(width).and_then(|(thick, width)| self.listed(&board.species, thick, width));
        let by_list = listed.and_then(|row| row.price).filter(|_| board.price.is_empty());
        let (price, per) = match by_list {
            Some((price, per)) => (price.decimal().to_string(), per.word()),
            None => (board.price.clone(), board.per.as_str()),
        };
        let name = self.free_name();
        let thickness = thickness.map_or_else(|| board.thickness.clone(), |thick| thick.csv(units));
        let cells = [
            ("stock", name.as_str()),
            ("species", &board.species),
            ("thickness", &thickness),
            ("width", &board.width),
            ("length", &board.length),
            // A price of nothing stands in for one that is not known, so that all else is looked at too.
            ("price", if price.is_empty() { "0" } else { &price }),
            ("per", per),
            ("defects", &board.defects),
        ];
        let text = rows::add(self.text.as_deref().unwrap_or(HEADER), &cells);
        let mut wrong =
            read(&self.path, &text, units).map_or_else(|problems| by_column(&problems, &text), |_| Vec::new());
        if price.is_empty() && thickness_read && width.is_some() {
            wrong.push(("price".to_owned(), "the list has no price for such a board: say what it costs".to_owned()));
        }
        if wrong.is_empty() { self.write(&text).map_err(whole) } else { Err(wrong) }
    }

    /// A name that no board has: `yard 7`, to be pencilled on its end.
    fn free_name(&self) -> String {
        let taken = |name: &str| self.rows.iter().chain(&self.job().boards).any(|row| row.stock == name);
        (self.rows.len() + 1..).map(|n| format!("yard {n}")).find(|name| !taken(name)).unwrap_or_default()
    }

    /// So many boards of a row are taken; none: it stays there.
    pub(super) fn decide(&self, stock: &str, count: u32) -> Result<(), String> {
        let at = self.rows.iter().position(|row| row.stock == stock).ok_or("There is no such board in the list.")?;
        let text = self.text.as_deref().unwrap_or_default();
        let text = rows::set(text, at, "on_hand", &count.to_string()).ok_or("The list changed: look at it again.")?;
        self.write(&text)
    }

    fn write(&self, text: &str) -> Result<(), String> {
        let seen = self.text.as_ref().map(String::as_bytes);
        replace(&self.path, seen, text.as_bytes()).map_err(|error| error.to_string())
    }
}

fn text_of(path: &Path) -> Result<String, String> {
    let bytes = read_disk(path, LARGEST_CSV).map_err(|fault| fault.what)?;
    String::from_utf8(bytes).map_err(|_| format!("`{}` is not UTF-8 text", path.display()))
}

fn read(path: &Path, text: &str, units: Units) -> Result<Vec<BoardStock>, Problems> {
    parse_picked(&Sources::in_memory(path, text), units)
}

/// Every problem of the list with its line.
fn all_words(problems: &Problems) -> String {
    let said = problems.iter().take(5).map(|problem| {
        let line = problem.place.span.map_or(0, |span| problems.file(problem.place).line_column(span.start).0);
        format!("picked.csv, line {line}: {}; {}", problem.what, problem.help)
    });
    said.collect::<Vec<_>>().join("\n")
}

/// Problems of the last row by their columns.
fn by_column(problems: &Problems, text: &str) -> Wrong {
    let table = cells_of(text);
    let header = table.first().map_or(&[][..], Vec::as_slice);
    let last = table.last().map_or(&[][..], Vec::as_slice);
    let column = |start: usize, end: usize| {
        let found = header.iter().zip(last).find(|(_, (_, span))| span.start == start && span.end == end);
        found.map_or(String::new(), |((name, _), _)| name.trim().to_lowercase())
    };
    let words = |problem: &crate::files::Problem| {
        let at = problem.place.span.map_or(String::new(), |span| column(span.start, span.end));
        (at, format!("{}; {}", problem.what, problem.help))
    };
    problems.iter().map(words).collect()
}
