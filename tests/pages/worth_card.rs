//! The worth card says what the table of `buy --worth` says.

use slatwright::packing::Flow;
use slatwright::report::pages::worth_card;
use slatwright::shopfloor::worth_table;

use crate::pages::sheets::{SMALL, between, planned, words};

#[test]
fn every_size_for_sale_stands_in_the_grid_with_its_worth_and_its_price() {
    let (job, plan) = planned(SMALL);
    let found = worth_table(&job, &plan.demand, &mut |_| Flow::Continue).unwrap();
    let page = worth_card(&job, &found);
    let mut read = 0;
    let tables = between(&page, "<table class=\"worth\">", "</table>");
    let cell = |of: &str| words(&format!("<{of}")).trim().to_owned();
    for table in &tables {
        let heads: Vec<String> = between(table, "<th scope=\"col\"", "</th>").into_iter().map(cell).collect();
        for row in between(table, "<tr><th scope=\"row\"", "</tr>") {
            let width = cell(&format!("th{}", row.split("</th>").next().unwrap()));
            for (head, figure) in heads[1..].iter().zip(between(row, "<td", "</td>").into_iter().map(cell)) {
                let length = head.strip_suffix(" long").unwrap();
                let sold = |board: &&slatwright::shopfloor::BoardWorth| {
                    let shown = (board.width.show_nearest(job.units), board.length.show_nearest(job.units));
                    shown == (width.clone(), length.to_owned())
                        && board.stock.is_none_or(|at| job.boards[at].on_hand.is_none())
                };
                let Some(board) = found.boards.iter().find(sold) else {
                    assert_eq!(figure, "");
                    continue;
                };
                let worth = board.worth.exact.expect("worked out to the end").to_string();
                let price = board.stock.map_or(String::new(), |at| format!(" ({})", job.boards[at].unit_cost));
                assert_eq!(figure, format!("{worth}{price}"), "{width} x {length}");
                read += 1;
            }
        }
    }
    let for_sale = found.boards.iter().filter(|board| board.stock.is_none_or(|at| job.boards[at].on_hand.is_none()));
    assert!(read == for_sale.count() && read > 2, "{read} figures");
}
