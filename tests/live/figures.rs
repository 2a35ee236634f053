//! The page's figures are those of the commands.

use std::fs;
use std::path::Path;

use slatwright::measure::{Units, parse_length};

use super::{Served, plain, serve, starter};
use crate::checks::random_job::{Bytes, SHEETS, write};
use crate::common::dice::Dice;
use crate::common::program;

/// Rows of the table within an element, cell by cell.
fn rows(html: &str, id: &str) -> Vec<Vec<String>> {
    let Some((_, rest)) = html.split_once(&format!(" id=\"{id}\"")) else { return Vec::new() };
    let body = rest.split_once("<tbody>").unwrap().1.split_once("</tbody>").unwrap().0;
    let cells = |row: &str| row.split("<td>").skip(1).map(plain).collect();
    body.split("<tr>").skip(1).map(cells).collect()
}

fn csv_rows(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn printed(job: &Path, command: &str) -> (bool, String) {
    let run = program().args([command, job.to_str().unwrap(), "--csv"]).output();
    let run = run.unwrap();
    (run.status.success(), String::from_utf8(run.stdout).unwrap())
}

/// A cell of the screen says the same as one of the table: a length as a tape shows it.
fn same(screen: &str, csv: &str, units: Units) -> bool {
    // Thousands are marked on a screen.
    let figures = screen.replace(',', "");
    if screen == csv.trim_start_matches('\'') || (figures == csv && csv.parse::<f64>().is_ok()) {
        return true;
    }
    let (sign, size) = match screen.trim_start_matches('~').strip_prefix('-') {
        Some(size) => (-1.0, size),
        None => (1.0, screen.trim_start_matches('~')),
    };
    let (Ok(length), Ok(figure)) = (parse_length(size, units), csv.parse::<f64>()) else { return false };
    let (one, step) = if units == Units::Inch { (25.4, 1.0 / 64.0) } else { (1.0, 0.1) };
    (sign * length.mm_f64() / one - figure).abs() <= step / 2.0 + 1e-6
}

fn same_rows(page: &[Vec<String>], table: &[Vec<String>], units: Units, what: &str) {
    assert_eq!(page.len(), table.len(), "{what}");
    for (shown, row) in page.iter().zip(table) {
        let all = shown.len() == row.len() && shown.iter().zip(row).all(|(screen, csv)| same(screen, csv, units));
        assert!(all, "{what}\n{shown:?}\n{row:?}");
    }
}

/// All that the page shows of a job beside what the commands print of it; true where there is a price.
fn agrees(served: &Served, job: &Path, (cabinets, units): (usize, Units)) -> bool {
    let (_, fit) = printed(job, "check");
    let mut shown = Vec::new();
    for cabinet in 0..cabinets {
        shown.extend(rows(&served.get(&format!("?cabinet={cabinet}")).1, "checks"));
    }
    same_rows(&shown, &csv_rows(&fit), units, "check");
    let (priced, costs) = printed(job, "quote");
    let card = served.card();
    assert_eq!(super::attribute(&card, "data-stand") == "whole", priced, "{card}");
    if priced {
        let costs = csv_rows(&costs);
        same_rows(&rows(&card, "lines"), &costs, units, "quote");
        let cents = |row: &Vec<String>| row[5].replace('.', "").parse::<i64>().unwrap();
        let total: i64 = costs.iter().map(cents).sum();
        let said = plain(card.split_once("<h2>").unwrap().1.split_once("</h2>").unwrap().0);
        assert_eq!(said.split(' ').next_back().unwrap().replace(['.', ','], "").parse::<i64>().unwrap(), total);
    }
    priced
}

#[test]
#[ignore = "a minute and a half: .ci/run runs it"]
fn a_hundred_random_jobs_have_the_figures_of_the_commands() {
    let mut dice = Dice::new(10_100);
    let (mut compared, mut priced) = (0, 0);
    while compared < 100 {
        let bytes: Vec<u8> = (0..600).map(|_| dice.below(256) as u8).collect();
        let written = write(&mut Bytes::new(&bytes));
        let Ok(job) = slatwright::job::parse(&written.sources()) else { continue };
        let home = tempfile::tempdir().unwrap();
        let files = [("shop.toml", &written.shop), ("boards.csv", &written.boards), ("cloth.csv", &written.cloth)];
        for (name, text) in files {
            fs::write(home.path().join(name), text).unwrap();
        }
        fs::write(home.path().join("sheets.csv"), SHEETS).unwrap();
        let path = home.path().join("job.toml");
        fs::write(&path, &written.job).unwrap();
        priced += u32::from(agrees(&serve(&path), &path, (job.cabinets.len(), job.units)));
        compared += 1;
    }
    assert!(priced > 20, "{priced} of {compared} have a price");
}

#[test]
fn a_quote_is_frozen_as_the_command_does_and_read_back() {
    let (home, path) = starter();
    let served = serve(&path);
    let card = served.card();
    let total = plain(card.split_once("<h2>").unwrap().1.split_once("</h2>").unwrap().0);
    let (_, page) = served.post("edit", &[("what", "freeze"), ("seen", &served.mark())]);
    let said = super::text_of(&page, "notice");
    assert!(said.starts_with("Frozen as revision 1 of quote ") && said.contains(&total), "{said}");
    let number = said.split("quote ").nth(1).unwrap().split(':').next().unwrap();
    let folder = home.path().join("quotes").join(format!("{number}-r1"));
    assert_eq!(fs::read_to_string(folder.join("client.txt")).unwrap(), "client of seed library, reading room\n");
    assert!(fs::read_to_string(folder.join("quote.toml")).unwrap().contains("2031-04-05"));
    let (status, sheet) = served.get("frozen/1");
    assert_eq!((status, sheet), (200, fs::read_to_string(folder.join("plan/pages/quote-client.html")).unwrap()));
    let (status, sheets) = served.get("sheets/job.html");
    assert!(status == 200 && sheets.contains("Rip sheet"));
    // What was changed after it is not frozen by a page that does not know of it.
    let old = served.mark();
    served.set("cabinet.0.count", "3");
    let (_, page) = served.post("edit", &[("what", "freeze"), ("seen", &old)]);
    assert!(super::text_of(&page, "notice").contains("nothing was written"));
    assert!(!home.path().join("quotes").join(format!("{number}-r2")).exists());
}
