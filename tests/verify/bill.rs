//! Cost lines and the shopping list.

use slatwright::measure::Cents;

use crate::common::plans::{Planned, press};
use crate::common::{decimal, inch};
use crate::verify::hand_made::full_bill;
use crate::verify::judged::{named_start, right, said, with, wrong};

#[test]
fn a_bill_that_does_not_add_up_is_named() {
    right(&full_bill());
    wrong(full_bill(), |p| p.bill.total = Cents::new(1), &["the lines of the bill sum to 634.15, not 0.01"]);
    let find = |p: &Planned, item: &str| p.bill.costs.iter().position(|line| line.item == item).unwrap();
    for item in ["cherry 6", "no. 10 duck", "glue", "sheet goods", "moulding", "hanging", "overhead", "tax"] {
        let gone = |p: &mut Planned| {
            let line = p.bill.costs.remove(find(p, item));
            p.bill.total = p.bill.total - line.cost;
        };
        let said = said(&with(full_bill(), gone));
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].starts_with(&format!("the bill has no line `{item}` under ")), "{said:#?}");
        let dearer = |p: &mut Planned| {
            let at = find(p, item);
            p.bill.costs[at].cost += Cents::new(1);
            p.bill.total += Cents::new(1);
        };
        named_start(full_bill(), dearer, &format!("`{item}` under "));
        let priced = |p: &mut Planned| {
            let at = find(p, item);
            p.bill.costs[at].unit_price += decimal("0.0001");
        };
        named_start(full_bill(), priced, &format!("`{item}` under "));
        let counted = |p: &mut Planned| {
            let at = find(p, item);
            p.bill.costs[at].quantity += decimal("0.0001");
        };
        named_start(full_bill(), counted, &format!("`{item}` under "));
    }
    let more = |p: &mut Planned| {
        let line = p.bill.costs[0].clone();
        p.bill.total += line.cost;
        p.bill.costs.push(line);
    };
    wrong(full_bill(), more, &["nothing asks for the line `cherry 6` under boards on the bill"]);
}

#[test]
fn board_lines_and_the_shopping_list_are_checked() {
    wrong(press(), |p| p.bill.boards.clear(), &["the bill has no board line for `cherry 6`"]);
    wrong(press(), |p| p.bill.boards[0].boards = 2, &["the bill counts 2 boards of `cherry 6`, the plan 3"]);
    wrong(
        press(),
        |p| p.bill.boards[0].cost = Cents::new(1),
        &["the boards of `cherry 6` cost 118.20, the bill says 0.01"],
    );
    wrong(
        press(),
        |p| p.bill.boards[0].volume = inch("1") * inch("12") * inch("12"),
        &["the boards of `cherry 6` hold 12.00 board feet, the bill says 1.00"],
    );
    let twice = |p: &mut Planned| p.bill.boards.push(p.bill.boards[0].clone());
    wrong(press(), twice, &["the bill has a board line for row 0 of the boards, which is not cut or listed twice"]);
    wrong(
        full_bill(),
        |p| p.bill.buy.clear(),
        &[
            "the shopping list lacks cherry 6",
            "the shopping list lacks no. 10 duck",
            "the shopping list lacks glue",
            "the shopping list lacks sheet goods",
        ],
    );
    wrong(
        press(),
        |p| p.bill.buy[0].at_least_width = Some(inch("5")),
        &["the shopping list lacks cherry 6", "nothing asks for `4/4 black cherry` on the shopping list"],
    );
    let fewer = |p: &mut Planned| {
        p.bill.buy[0].quantity = decimal("2");
        p.bill.buy[0].cost = Cents::new(7880);
    };
    wrong(
        press(),
        fewer,
        &["the shopping list lacks cherry 6", "nothing asks for `4/4 black cherry` on the shopping list"],
    );
    wrong(
        press(),
        |p| p.bill.buy[1].cost = Cents::new(500),
        &["shopping list, `no. 10 duck`: 0.375 at 14.5 do not cost 5.00"],
    );
}
