//! How long the printed sheets of a job of 300 boards take: they must be ready in under 2 s.

use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use slatwright::job;
use slatwright::measure::Length;
use slatwright::packing::{Budget, Flow};
use slatwright::plan::plan;
use slatwright::report::pages::page_files;

fn three_hundred_boards(criterion: &mut Criterion) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../jobs/harbour_archive.toml");
    let job = job::load(&path).expect("the demo job loads");
    let mut plan = plan(&job, &Budget::default(), &mut |_, _| Flow::Continue).expect("the demo job is planned");
    let real = plan.boards.boards.clone();
    let unlike = |(n, board): (i64, &slatwright::packing::boards::CutBoard)| {
        let mut board = board.clone();
        board.blanks[0].length += Length::from_nm(n);
        board
    };
    plan.boards.boards = (0..300).zip(real.iter().cycle()).map(unlike).collect();
    criterion.bench_function("pages of 300 boards", |bench| bench.iter(|| page_files(&job, &plan)));
}

criterion_group!(benches, three_hundred_boards);
criterion_main!(benches);
