//! Laws that every packing of cloth obeys, on random problems too large to try every plan.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::common::all_cases;

use proptest::prelude::*;
use slatwright::measure::{Cents, Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothPlan, ClothProblem, ClothShortage, PieceDemand, pack};
use slatwright::packing::{Budget, Flow};

fn small() -> Budget {
    Budget { nodes: 150, tries: 20 }
}

fn packed(problem: &ClothProblem) -> Result<ClothPlan, ClothShortage> {
    pack(problem, &small(), &mut |_| Flow::Continue)
}

fn eighths(n: i64) -> Length {
    Length::from_64ths(n * 8)
}

prop_compose! {
    fn piece()(along in 40i64..400, across in 40i64..400, turn: bool, count in 1u32..5) -> PieceDemand {
        PieceDemand { along: eighths(along), across: eighths(across), turn, count }
    }
}

prop_compose! {
    fn roll()(width in 400i64..560, cents in 100i64..2000, step in 0i64..80, shrink in 0i64..12) -> BoltKind {
        BoltKind {
            usable_width: eighths(width),
            usable_length: None,
            price: Price::parse(&format!("{}.{:02}", cents / 100, cents % 100)).unwrap(),
            unit: Length::from_inches(36),
            increment: eighths(step),
            shrink_along: Ratio::below_one(Price::parse(&format!("0.{shrink:02}")).unwrap().decimal()).unwrap(),
            on_hand: None,
        }
    }
}

prop_compose! {
    fn remnant()(width in 200i64..560, length in 100i64..900) -> BoltKind {
        BoltKind {
            usable_width: eighths(width),
            usable_length: Some(eighths(length)),
            price: Price::ZERO,
            unit: Length::from_inches(36),
            increment: Length::ZERO,
            shrink_along: Ratio::ZERO,
            on_hand: Some(eighths(length)),
        }
    }
}

prop_compose! {
    fn problem()(
        pieces in prop::collection::vec(piece(), 1..9),
        roll in roll(),
        mut bolts in prop::collection::vec(remnant(), 0..3),
    ) -> ClothProblem {
        bolts.insert(0, roll);
        ClothProblem { pieces, bolts }
    }
}

fn valid(problem: &ClothProblem, plan: &ClothPlan) {
    assert!(plan.cost_bound <= plan.cost && plan.length_bound <= plan.length);
    assert_eq!(plan.optimal, plan.cost_bound == plan.cost);
    let mut laid = vec![0; problem.pieces.len()];
    for (bolt, used) in problem.bolts.iter().zip(&plan.bolts) {
        for (at, a) in used.laid.iter().enumerate() {
            laid[a.piece] += 1;
            assert!(a.x >= Length::ZERO && a.x + a.along <= used.used);
            assert!(a.y >= Length::ZERO && a.y + a.across <= bolt.usable_width);
            for b in &used.laid[at + 1..] {
                let apart =
                    a.x + a.along <= b.x || b.x + b.along <= a.x || a.y + a.across <= b.y || b.y + b.across <= a.y;
                assert!(apart, "{a:?} {b:?}");
            }
        }
        assert!(bolt.usable_length.is_none_or(|most| used.used <= most));
        assert!(used.bought >= used.used || used.used == Length::ZERO);
    }
    assert!(problem.pieces.iter().zip(&laid).all(|(piece, laid)| piece.count == *laid));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: if all_cases() { 48 } else { 16 }, ..ProptestConfig::default() })]

    #[test]
    fn a_plan_is_valid_and_above_its_bound(problem in problem()) {
        if let Ok(plan) = packed(&problem) {
            valid(&problem, &plan);
        }
    }

    /// Every bound holds for every plan found for the same pieces, also with more effort.
    #[test]
    fn no_plan_beats_a_bound_proven_with_less_work(problem in problem()) {
        let hasty = pack(&problem, &Budget { nodes: 3, tries: 2 }, &mut |_| Flow::Continue);
        if let (Ok(hasty), Ok(plan)) = (hasty, packed(&problem)) {
            prop_assert!(hasty.cost_bound <= plan.cost && hasty.length_bound <= plan.length);
            prop_assert!(plan.cost_bound <= hasty.cost && plan.length_bound <= hasty.length);
        }
    }

    #[test]
    fn more_cloth_never_costs_more(problem in problem(), more in remnant()) {
        let mut richer = problem.clone();
        richer.bolts.push(more);
        if let (Ok(plan), Ok(rich)) = (packed(&problem), packed(&richer)) {
            prop_assert!(rich.cost_bound <= plan.cost && rich.length_bound <= plan.length);
            prop_assert!(!rich.optimal || rich.cost <= plan.cost);
        }
    }

    #[test]
    fn a_wider_bolt_at_the_same_price_never_costs_more(problem in problem(), by in 1i64..200) {
        let mut wider = problem.clone();
        wider.bolts[0].usable_width += eighths(by);
        if let (Ok(plan), Ok(wide)) = (packed(&problem), packed(&wider)) {
            prop_assert!(wide.cost_bound <= plan.cost && wide.length_bound <= plan.length);
            prop_assert!(!wide.optimal || wide.cost <= plan.cost);
        }
    }

    #[test]
    fn the_order_of_the_pieces_changes_nothing(problem in problem(), turn in 0usize..8) {
        let mut other = problem.clone();
        let by = turn % other.pieces.len();
        other.pieces.rotate_left(by);
        match (packed(&problem), packed(&other)) {
            (Ok(a), Ok(b)) => {
                prop_assert_eq!((a.cost, a.cost_bound, a.length), (b.cost, b.cost_bound, b.length));
            }
            (a, b) => prop_assert_eq!(a.is_err(), b.is_err()),
        }
    }

    #[test]
    fn stopping_at_once_still_gives_a_plan_and_a_bound(problem in problem()) {
        if let Ok(plan) = pack(&problem, &small(), &mut |_| Flow::Stop) {
            valid(&problem, &plan);
            let best = packed(&problem).unwrap();
            prop_assert!(plan.cost_bound <= best.cost && plan.length_bound <= best.length);
            prop_assert!(plan.cut_short || plan.optimal);
        }
    }
}

#[test]
fn no_pieces_need_no_cloth() {
    let bolts = vec![
        BoltKind {
            usable_width: eighths(464),
            usable_length: None,
            price: Price::parse("12").unwrap(),
            unit: Length::from_inches(36),
            increment: eighths(36),
            shrink_along: Ratio::ZERO,
            on_hand: None,
        };
        2
    ];
    for bolts in [bolts, Vec::new()] {
        let problem = ClothProblem { pieces: Vec::new(), bolts };
        let plan = packed(&problem).unwrap();
        assert_eq!(plan.bolts.len(), problem.bolts.len());
        assert!(plan.bolts.iter().all(|bolt| bolt.laid.is_empty() && bolt.bought == Length::ZERO));
        assert_eq!(
            (plan.cost, plan.cost_bound, plan.length, plan.length_bound),
            (Cents::ZERO, Cents::ZERO, Length::ZERO, Length::ZERO)
        );
        assert!(plan.optimal && !plan.cut_short);
    }
}

#[test]
fn shortages_say_what_is_missing() {
    let piece =
        |along, across, turn, count| PieceDemand { along: eighths(along), across: eighths(across), turn, count };
    let remnant = BoltKind {
        usable_width: eighths(300),
        usable_length: Some(eighths(100)),
        price: Price::ZERO,
        unit: Length::from_inches(36),
        increment: Length::ZERO,
        shrink_along: Ratio::ZERO,
        on_hand: Some(eighths(100)),
    };
    let wide = ClothProblem { pieces: vec![piece(50, 50, false, 1), piece(50, 301, false, 2)], bolts: vec![remnant] };
    assert_eq!(packed(&wide).unwrap_err(), ClothShortage::TooWide(vec![(1, eighths(300))]));
    let turned = ClothProblem { pieces: vec![piece(100, 301, true, 1)], bolts: vec![remnant] };
    assert_eq!(packed(&turned).unwrap_err(), ClothShortage::TooLong(vec![(0, eighths(100))]));
    let many = ClothProblem { pieces: vec![piece(60, 150, false, 3)], bolts: vec![remnant] };
    assert_eq!(packed(&many).unwrap_err(), ClothShortage::RunsShort(vec![(0, 1)]));
    let none = ClothProblem { pieces: vec![piece(60, 150, false, 3)], bolts: Vec::new() };
    assert_eq!(packed(&none).unwrap_err(), ClothShortage::RunsShort(vec![(0, 3)]));
}

/// The longest sizes a file may hold, and figures without a common divisor.
#[test]
fn extremes_do_not_panic() {
    let limit = Length::LIMIT;
    let odd = |nm| Length::from_nm(nm);
    let bolt = |width, length: Option<Length>| BoltKind {
        usable_width: width,
        usable_length: length,
        price: Price::parse("1000000").unwrap(),
        unit: Length::from_mm(1),
        increment: Length::from_nm(1),
        shrink_along: Ratio::below_one(Price::parse("0.99").unwrap().decimal()).unwrap(),
        on_hand: length,
    };
    let piece = |along, across, turn, count| PieceDemand { along, across, turn, count };
    let cases = [
        vec![piece(limit, limit, true, 3_000)],
        vec![piece(odd(1), odd(1), true, 3_000), piece(limit, odd(1), true, 3)],
        vec![piece(odd(999_999_937), odd(777_777_777), true, 40), piece(odd(123_456_789), odd(1_000_003), false, 500)],
    ];
    for pieces in cases {
        for bolts in [vec![bolt(limit, None)], vec![bolt(limit, Some(limit)), bolt(limit, None), bolt(odd(1), None)]] {
            let problem = ClothProblem { pieces: pieces.clone(), bolts };
            let plan = pack(&problem, &Budget { nodes: 20, tries: 5 }, &mut |_| Flow::Continue).unwrap();
            assert!(plan.cost_bound <= plan.cost && plan.length_bound <= plan.length);
        }
    }
}
