//! How long packing cloth takes: one cabinet, a workshop's week, a factory.

#![allow(missing_docs, clippy::unwrap_used, reason = "a benchmark")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use slatwright::measure::{Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothProblem, PieceDemand, pack};
use slatwright::packing::{Budget, Flow};

fn bolt(width: i64, price: &str, length: Option<i64>) -> BoltKind {
    BoltKind {
        usable_width: Length::from_inches(width),
        usable_length: length.map(Length::from_inches),
        price: Price::parse(price).unwrap(),
        unit: Length::from_inches(36),
        increment: Length::from_64ths(288),
        shrink_along: Ratio::ZERO,
        on_hand: length.map(Length::from_inches),
    }
}

fn panel(along: i64, across: i64, turn: bool, count: u32) -> PieceDemand {
    PieceDemand { along: Length::from_64ths(along * 8), across: Length::from_64ths(across * 8), turn, count }
}

fn packing(c: &mut Criterion) {
    let cabinet = vec![panel(230, 220, false, 2), panel(180, 330, false, 1)];
    let factory = vec![panel(230, 220, false, 2_000), panel(180, 110, false, 2_000), panel(301, 155, false, 2_000)];
    let week = (0..16).map(|n| panel(80 + 37 * n % 200, 70 + 53 * n % 210, n % 2 == 0, 1 + n as u32 % 3)).collect();
    let cases = [
        ("one cabinet", cabinet, vec![bolt(58, "12", None)]),
        ("a week, one bolt and a remnant", week, vec![bolt(58, "12", None), bolt(54, "0", Some(60))]),
        ("two thousand cabinets", factory, vec![bolt(58, "12", None)]),
    ];
    for (name, pieces, bolts) in cases {
        let problem = ClothProblem { pieces, bolts };
        c.bench_function(name, |b| {
            b.iter(|| pack(black_box(&problem), &Budget::default(), &mut |_| Flow::Continue));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = packing
}
criterion_main!(benches);
