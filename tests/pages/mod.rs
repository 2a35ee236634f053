//! The printed sheets, as far as no browser is needed. What needs one (overflow at letter, A4 and phone width, the
//! PDF, valid markup) is `tests/pages_browser.rs`, which `.ci/run` runs.

mod case_sheet;
mod figures;
mod markup;
mod rip_sheet;
pub(crate) mod sheets;
mod story_stick;
mod worth_card;

use sheets::{REAL, pages, planned, words};
use slatwright::measure::Length;
use slatwright::report::pages::page_files;

#[test]
fn every_sheet_of_a_job_is_there_and_in_the_whole() {
    let (job, plan) = planned(REAL);
    let pages = pages(&job, &plan);
    let office = ["pages/story-stick.html", "pages/quote-client.html", "pages/quote-maker.html", "pages/defaults.html"];
    let apart = |name: &&str| *name != "job.html" && !office.contains(name);
    let singles: Vec<&str> = pages.keys().map(String::as_str).filter(apart).collect();
    for sheet in ["buy", "rip", "cloth", "glue-up", "case-4", "bends", "tags"] {
        assert!(singles.contains(&format!("pages/{sheet}.html").as_str()), "{sheet} in {singles:?}");
    }
    let whole = &pages["job.html"];
    // Whoever is handed the sheets sees no price; the office finds its papers from there.
    assert!(!words(whole).contains(&plan.bill.total.to_string()));
    assert!(office.iter().all(|name| whole.contains(&format!("href=\"{name}\""))));
    for name in singles {
        let body = pages[name].split("<main>").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap();
        assert!(whole.contains(body), "{name} stands in the whole as it is by itself");
    }
}

#[test]
fn the_client_sees_the_price_and_no_cost() {
    let (job, plan) = planned(REAL);
    let client = words(&pages(&job, &plan)["pages/quote-client.html"]);
    let quote = slatwright::bill::quote(&job, &plan.doors, &plan.bill);
    assert!(client.replace(',', "").contains(&format!("USD {}", quote.total)));
    for line in plan.bill.costs.iter().filter(|line| line.cost.get() >= 1000) {
        assert!(!client.contains(&line.cost.to_string()), "{} {}", line.item, line.cost);
        assert!(line.group != "labour" || !client.contains(&line.item), "{}", line.item);
    }
    let maker = words(&pages(&job, &plan)["pages/quote-maker.html"]);
    assert!(plan.bill.costs.iter().all(|line| maker.contains(&line.cost.to_string())));
}

#[test]
fn pages_come_out_the_same_twice() {
    let (job, plan) = planned(REAL);
    assert_eq!(page_files(&job, &plan), page_files(&job, &plan));
}

/// Three hundred boards, no two alike: every one is drawn. The time it takes is the bench's.
#[test]
fn a_job_of_three_hundred_boards_stays_under_five_megabytes() {
    let (job, mut plan) = planned(REAL);
    let real = plan.boards.boards.clone();
    plan.boards.boards = (0..300i64)
        .zip(real.iter().cycle())
        .map(|(n, board)| {
            let mut board = board.clone();
            board.blanks[0].length += Length::from_nm(n);
            board
        })
        .collect();
    let files = page_files(&job, &plan);
    let whole = &files.iter().find(|(name, _)| name == "job.html").unwrap().1;
    let drawings = String::from_utf8_lossy(whole).matches("<svg").count();
    assert!(drawings > 300 && whole.len() < 5_000_000, "{drawings} drawings, {} bytes", whole.len());
}
