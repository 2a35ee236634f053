//! How long board packing takes: one cabinet, a few, a large shop.

#![allow(clippy::unwrap_used, reason = "a benchmark")]
#![allow(missing_docs, reason = "criterion's macro makes a public function without documentation")]

#[path = "../boards_support/mod.rs"]
mod boards_support;

use boards_support::jobs::{Dice, Size, job, shop};
use criterion::{Criterion, criterion_group, criterion_main};
use slatwright::packing::boards::{BoardProblem, pack};
use slatwright::packing::{Budget, Flow};

fn packed(problem: &BoardProblem) -> i64 {
    pack(problem, &Budget::default(), &mut |_| Flow::Continue).unwrap().cost.get()
}

fn boards(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("boards");
    group.sample_size(10);
    let one = job(&mut Dice::new(20), Size { cabinets: 1, sizes: 4, buyable: 5, unique: 0 });
    group.bench_function("one cabinet", |bench| bench.iter(|| packed(&one)));
    let few = job(&mut Dice::new(12), Size { cabinets: 5, sizes: 7, buyable: 6, unique: 12 });
    group.bench_function("five cabinets, 12 boards on the rack", |bench| bench.iter(|| packed(&few)));
    let large = shop(1, 1_000, 30, 12, 80);
    group.bench_function("1000 doors, 30 sizes, 80 boards on the rack", |bench| bench.iter(|| packed(&large)));
    group.finish();
}

criterion_group!(benches, boards);
criterion_main!(benches);
