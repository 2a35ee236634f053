//! `buy --worth`: what a board of each size is worth, and what one more strip costs.

use itertools::Itertools;

use super::{NOTHING_RIPPED, money, title, wrapped};
use crate::cli::width::table;
use crate::demand::Demand;
use crate::job::Job;
use crate::report::{self, Cell, Sheet, printable};
use crate::shopfloor::WorthTable;

/// Columns of the sheet with their heads on the screen.
type Heads = &'static [(&'static str, &'static str)];
const FOR_SALE: Heads = &[
    ("width", "width"),
    ("length", "length"),
    ("item", "sold as"),
    ("price", "price"),
    ("worth", "worth"),
    ("estimate", "estimate"),
    ("replanned", "replanned"),
];
const ON_HAND: Heads = &[
    ("item", "board"),
    ("species", "wood"),
    ("thickness", "thick"),
    ("width", "width"),
    ("length", "length"),
    ("worth", "worth"),
    ("estimate", "estimate"),
    ("replanned", "replanned"),
];
const STRIPS: Heads = &[
    ("item", "part"),
    ("species", "wood"),
    ("length", "length"),
    ("width", "width"),
    ("thickness", "thick"),
    ("worth", "cost"),
    ("estimate", "estimate"),
    ("replanned", "replanned"),
];

/// Sizes for sale wood by wood, the rack, then the strips.
pub(in crate::cli) fn worth(job: &Job, demand: &Demand, found: &WorthTable) -> String {
    let money = printable(&job.shop.currency);
    let mut out = title(job, &format!("what a board is worth, {money}, lengths in {}", job.units.plural()));
    if demand.parts.is_empty() {
        return out + NOTHING_RIPPED;
    }
    let sheet = report::worth(job, demand, found);
    let group = |row: &Vec<Cell>| match &row[0] {
        Cell::Text(what) if what == "rack" => "rack",
        Cell::Text(what) if what == "strip" => "strip",
        _ => "sale",
    };
    let woods = sheet.rows.iter().filter(|row| group(row) == "sale").chunk_by(|row| (row[2].clone(), row[3].clone()));
    let woods: Vec<Vec<Vec<Cell>>> = woods.into_iter().map(|(_, rows)| rows.cloned().collect()).collect();
    for rows in woods {
        let wood = format!("{} {}", rows[0][3].screen(job.units), rows[0][2].screen(job.units));
        out += &wrapped(&format!("One more board of {wood}, if it were free, would save"), 2);
        out += &table(&part_of(&sheet, rows), job, FOR_SALE);
        out.push('\n');
    }
    let rack: Vec<Vec<Cell>> = sheet.rows.iter().filter(|row| group(row) == "rack").cloned().collect();
    if !rack.is_empty() {
        out += "What one of the boards on hand saves\n";
        out += &table(&part_of(&sheet, rack), job, ON_HAND);
        out.push('\n');
        if !found.cut_short && found.boards.iter().any(|board| board.worth.exact.is_none()) {
            out += "No figure: the job needs it.\n\n";
        }
    }
    out += "What one more strip would cost\n";
    let strips = sheet.rows.iter().filter(|row| group(row) == "strip").cloned().collect();
    out += &table(&part_of(&sheet, strips), job, STRIPS);
    out.push('\n');
    out + &meaning(job, found)
}

fn part_of(sheet: &Sheet, rows: Vec<Vec<Cell>>) -> Sheet {
    Sheet { name: sheet.name, columns: sheet.columns.clone(), rows }
}

fn meaning(job: &Job, found: &WorthTable) -> String {
    let mut out = wrapped(
        &format!(
            "`worth` and `cost` are by the linear relaxation (the boards of the job: {}), solved again for every figure: \
             right for many. `estimate` is read off one solution: one more board never saves more than that. \
             `replanned` is what a new, quick plan makes of just one: boards come whole, so that it goes in steps.",
            money(job, found.cost)
        ),
        2,
    );
    if found.cut_short {
        out += &wrapped("Stopped early: where there is no figure it was not worked out.", 2);
    } else if found.replanned.iter().all(Option::is_none) {
        out += &wrapped("A job of so many strips is not planned anew for one of them.", 2);
    } else if !found.settled {
        out += &wrapped("The sizes are so fine that they were rounded: the figures are near, not exact.", 2);
    }
    out
}
