//! Boards and cloth are drawn as they are cut.

use slatwright::job::{self, Order};
use slatwright::measure::Length;
use slatwright::packing::{Budget, Flow};
use slatwright::plan::plan;
use slatwright::report::pages::{BoardScale, board_figure};
use slatwright::report::{Cell, cloth_pieces};

use crate::pages::sheets::{ODD, REAL, SMALL, between, pages, planned, rects, words};

/// Within a pixel means within a pixel where a hundredth of one is written.
#[test]
fn boards_are_drawn_as_the_plan_cuts_them() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let scale = BoardScale::of(&job, &plan);
        for board in &plan.boards.boards {
            let svg = board_figure(&job, &plan, board, scale).markup().into_string();
            let stock = &job.boards[board.stock];
            let whole = rects(&svg, "board")[0];
            let (along, across) = (whole.0 / stock.length.mm_f64(), whole.1 / stock.width.mm_f64());
            assert!((across / along - 1.5).abs() < 1e-3, "half as large again across: {across} to {along}");

            let blanks = rects(&svg, "blank");
            let mut sawn = rects(&svg, "rip");
            let crosscut = board.order == Order::CrosscutFirst;
            assert_eq!(blanks.len(), if crosscut { board.blanks.len() } else { 0 });
            let mut expected: Vec<(f64, f64)> = Vec::new();
            for (at, blank) in board.blanks.iter().enumerate() {
                let length = blank.length.mm_f64() * along;
                assert!(!crosscut || (blanks[at].0 - length).abs() < 1.0, "blank {at}: {} for {length}", blanks[at].0);
                let groups = if crosscut { blank.rips.len() } else { 1 };
                for rips in &blank.rips[..groups] {
                    let one = (length, rips.rip_width.mm_f64() * across);
                    expected.extend(std::iter::repeat_n(one, rips.rips as usize));
                }
            }
            let by_size = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
            sawn.iter_mut().for_each(|rect| *rect = (rect.0.round(), rect.1));
            expected.iter_mut().for_each(|rect| *rect = (rect.0.round(), rect.1));
            sawn.sort_by(by_size);
            expected.sort_by(by_size);
            assert_eq!(sawn.len(), expected.len(), "every rip is drawn");
            for (drawn, planned) in sawn.iter().zip(&expected) {
                assert!(
                    (drawn.0 - planned.0).abs() <= 1.0 && (drawn.1 - planned.1).abs() < 1.0,
                    "{drawn:?} for {planned:?}"
                );
            }
        }
    }
}

#[test]
fn cloth_is_drawn_as_it_lies() {
    let (job, plan) = planned(REAL);
    let page = &pages(&job, &plan)["pages/cloth.html"];
    let drawings = between(page, "<svg", "</svg>");
    let mut rows = cloth_pieces(&job, &plan).rows;
    rows.sort_by_key(|row| format!("{:?}", row[0]));
    let mut rows = rows.into_iter();
    assert!(!drawings.is_empty());
    for svg in drawings {
        let pieces = rects(svg, "piece");
        let mut scale = None;
        for drawn in pieces {
            let row = rows.next().expect("as many pieces as rows");
            let (Cell::Length(along), Cell::Length(across)) = (&row[5], &row[6]) else { panic!("{row:?}") };
            let scale = *scale.get_or_insert(drawn.0 / along.mm_f64());
            assert!((drawn.0 - along.mm_f64() * scale).abs() < 1.0 && (drawn.1 - across.mm_f64() * scale).abs() < 1.0);
        }
    }
    assert_eq!(rows.next(), None);
}

#[test]
fn a_board_is_drawn_blank_by_blank() {
    let (job, plan) = planned(SMALL);
    let scale = BoardScale::of(&job, &plan);
    insta::assert_snapshot!(lines(&board_figure(&job, &plan, &plan.boards.boards[0], scale).markup().into_string()));
}

#[test]
fn a_board_is_drawn_rip_by_rip() {
    let (job, plan) = planned(ODD);
    let scale = BoardScale::of(&job, &plan);
    insta::assert_snapshot!(lines(&board_figure(&job, &plan, &plan.boards.boards[0], scale).markup().into_string()));
}

/// One tag a line, so that a change shows where it is.
fn lines(svg: &str) -> String {
    svg.replace("><", ">\n<")
}

/// Hopper and Turton's 16 rectangles (2000, class C1, problem 1), in inches on 20 usable: they lie in 20 only when
/// some stand on others, and the sheet says where those are cut.
#[test]
fn the_cuts_of_stacks_are_said() {
    let sizes = "2 12,7 12,8 6,3 6,3 5,5 5,3 12,3 7,5 7,2 6,3 2,4 2,3 4,4 4,9 2,11 2";
    let mut text = String::from("name = \"stacks\"\nunits = \"in\"\ncloth = \"cloth.csv\"\n");
    for (at, size) in sizes.split(',').enumerate() {
        let (across, along) = size.split_once(' ').expect("two figures");
        text += &format!("[[cloth_piece]]\nname = \"p{at}\"\nalong = {along}\nacross = {across}\nquantity = 1\n");
    }
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,21,0.5,,12.00,yard,4.5\n";
    let sources = slatwright::files::Sources::in_memory("job.toml", text).with("cloth.csv", cloth);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    let plan = plan(&job, &Budget::default(), &mut |_, _| Flow::Continue).expect("a job that can be planned");
    assert_eq!(plan.cloth.length, Length::from_inches(20));
    let stacked = plan.cloth.bolts[0]
        .laid
        .iter()
        .filter(|a| plan.cloth.bolts[0].laid.iter().any(|b| b.x < a.x && a.x + a.along <= b.x + b.along));
    let page = words(&pages(&job, &plan)["pages/cloth.html"]);
    assert!(page.matches("In the level from ").count() >= 1 && stacked.count() >= 1, "{page}");
}

/// The bars of the maker's copy are as long as their figures, which make up the price; the hours are those of the plan.
#[test]
fn the_price_and_the_hours_are_drawn_in_their_parts() {
    let (job, plan) = planned(REAL);
    let page = &pages(&job, &plan)["pages/quote-maker.html"];
    let figures = between(page, "<svg class=\"fig\"", "</svg>");
    let drawn = |figure: &str| -> Vec<(f64, f64)> {
        let said = between(figure, "text-anchor=\"start\">", "<");
        // `4,471.14, 52.3 %` or `38 h 2 min`.
        let amount = |said: &&str| -> f64 {
            let figures = said.split(", ").next().expect("a first part").replace(',', "");
            let parsed = |text: &str| text.trim().parse::<f64>().expect("a figure");
            match figures.trim_end_matches(" min").split_once(" h") {
                Some((hours, "")) => parsed(hours),
                Some((hours, minutes)) => parsed(hours) + parsed(minutes) / 60.0,
                None => parsed(&figures),
            }
        };
        let long = rects(figure, "blank");
        assert_eq!(long.len(), said.len(), "{said:?}");
        long.iter().map(|bar| bar.0).zip(said.iter().map(amount)).collect()
    };
    let in_proportion = |bars: &[(f64, f64)], within: f64| {
        let longest = bars.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).expect("a bar");
        bars.iter().for_each(|bar| assert!((bar.0 - longest.0 * bar.1 / longest.1).abs() < within, "{bars:?}"));
    };
    let (price, hours) = (drawn(figures[0]), drawn(figures[1]));
    in_proportion(&price, 0.02);
    // To the minute that is said.
    in_proportion(&hours, 0.2);
    assert!(price.len() >= 5 && hours.len() == 2, "{price:?} {hours:?}");
    let cents = price.iter().map(|bar| (bar.1 * 100.0).round() as i64).sum::<i64>();
    assert_eq!(cents, plan.bill.total.get());
    let all = plan.bill.work.iter().map(|line| line.hours).sum::<rust_decimal::Decimal>();
    let all: f64 = all.to_string().parse().expect("hours");
    assert!((hours.iter().map(|bar| bar.1).sum::<f64>() - all).abs() < 1.5 / 60.0, "{hours:?} {all}");
}
