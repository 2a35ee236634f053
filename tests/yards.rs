//! Made-up yards: what the boards of a job cost by the list alone, board by board as they come to hand, and from the whole
//! pile, each beside what no purchase can cost less than.
//!
//! `cargo test --test suite yards::three_hundred -- --ignored --nocapture` prints the figures.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use slatwright::demand::{self, Part};
use slatwright::files::Sources;
use slatwright::job::{BoardPlace, BoardStock, BoardUnit, Job, Species, parse};
use slatwright::measure::{Cents, Length, Price, Units, parse_thickness};
use slatwright::packing::{Budget, Flow};
use slatwright::shopfloor::{YARD, at_the_yard, from_the_pile};

use crate::boards_support::jobs::Dice;

/// Boards that lie in the pile.
const LYING: i64 = 16;

fn job(dice: &mut Dice) -> Job {
    let strip = |at: i64, dice: &mut Dice| {
        let (length, quantity) = (dice.between(16, 40), dice.between(8, 40));
        let width = ["5/8", "5/8", "1-1/4"][dice.between(0, 2) as usize];
        format!(
            "[[strip]]\nname = \"s{at}\"\nspecies = \"cherry\"\nlength = {length}\nwidth = \"{width}\"\n\
             thickness = \"3/8\"\nquantity = {quantity}\n"
        )
    };
    let strips: String = (0..dice.between(1, 3)).map(|at| strip(at, dice)).collect();
    let boards = "stock,species,thickness,width,length,on_hand,price,per\n\
                  c5,cherry,4/4 rough,5,96,,9.20,bf\nc6,cherry,4/4 rough,6,96,,9.85,bf\nc8,cherry,4/4 rough,8,120,,10.40,bf\n";
    let text = format!("name = 'made up'\nboards = 'boards.csv'\n{strips}");
    parse(&Sources::in_memory("job.toml", text).with("boards.csv", boards)).unwrap()
}

/// Boards of any size, by the foot up to an eighth cheaper than the list, or a little dearer.
fn pile(dice: &mut Dice) -> Vec<BoardStock> {
    let board = |at: i64, dice: &mut Dice| {
        let (width, length) = (dice.between(16, 40), dice.between(48, 132));
        let feet = width as f64 / 4.0 * length as f64 / 144.0;
        let price = feet * 9.85 * dice.between(88, 104) as f64 / 100.0;
        let cents = Cents::new((price * 100.0).round() as i64);
        BoardStock {
            stock: format!("p{at}"),
            species: Species::named("cherry").unwrap(),
            thickness: parse_thickness("4/4", Units::Inch).unwrap(),
            width: Length::from_64ths(width * 16),
            length: Length::from_inches(length),
            defects: Vec::new(),
            place: BoardPlace::Yard,
            on_hand: None,
            price: Some((Price::new(cents.decimal()).unwrap(), BoardUnit::Each)),
            unit_cost: cents,
            random: false,
            widths: None,
            held: Vec::new(),
        }
    };
    (0..LYING).map(|at| board(at, dice)).collect()
}

/// Board after board in the order in which they lie: taken where it is worth more than its price. What is not needed in
/// the end goes back.
fn one_by_one(job: &Job, parts: &[Part], pile: &[BoardStock]) -> Cents {
    let mut picked: Vec<BoardStock> = Vec::new();
    let ask = |rows: &[BoardStock]| at_the_yard(job, parts, rows, &YARD, &mut |_, _| Flow::Continue).unwrap();
    for board in pile {
        let yard = ask(&[&picked[..], std::slice::from_ref(board)].concat());
        if yard.offers[0].worth > yard.offers[0].price {
            picked.push(BoardStock { on_hand: Some(1), ..board.clone() });
        }
    }
    let back = ask(&picked).to_go_back;
    picked.retain(|board| !back.contains(&board.stock));
    let end = ask(&picked);
    end.spent + end.finish.plan.boards.cost
}

/// Sums over yards of one seed each: by the list, one by one, from the pile, and what nothing costs less than.
fn bought(seeds: std::ops::Range<u64>) -> [f64; 4] {
    let mut sums = [0.0; 4];
    for seed in seeds {
        let mut dice = Dice::new(seed);
        let (job, pile) = (job(&mut dice), pile(&mut dice));
        let parts = demand::pool(&job, &[]).unwrap().parts;
        let whole = from_the_pile(&job, &parts, (&[], &pile), &Budget::default(), &mut |_, _| Flow::Continue).unwrap();
        let list = whole.list_alone.unwrap().plan.boards.cost;
        let boards = &whole.finish.plan.boards;
        let all = [list, one_by_one(&job, &parts, &pile), boards.cost, boards.bound];
        assert!(all[..3].iter().all(|cost| *cost >= boards.bound), "seed {seed}: {all:?}");
        sums.iter_mut().zip(all).for_each(|(sum, cost)| *sum += cost.get() as f64);
    }
    sums
}

/// The pile answers better than board after board, and that better than the list.
#[test]
fn a_yard_is_worth_going_through() {
    let [list, hand, pile, bound] = bought(0..8);
    assert!(list > 1.1 * hand && hand >= pile * 0.999, "{list} {hand} {pile} {bound}");
    assert!(hand < 1.05 * bound && pile < 1.01 * bound, "{hand} {pile} {bound}");
}

#[test]
#[ignore = "prints figures"]
#[allow(clippy::print_stdout, reason = "it is run for what it prints")]
fn three_hundred_yards() {
    let [list, hand, pile, bound] = bought(10_000..10_300);
    println!(
        "by the list {:.3}, one by one {:.3}, from the pile {:.3} of what nothing costs less than",
        list / bound,
        hand / bound,
        pile / bound
    );
    assert!(hand / bound < 1.035 && pile / bound < 1.01, "{hand} {pile} {bound}");
}
