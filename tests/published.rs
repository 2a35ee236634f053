//! Published instances, and instances made as a publication says, in one table. Long: run by hand with
//! `cargo test --release --test suite published:: -- --ignored --nocapture`.
//!
//! The data sets themselves are not shipped: what stands here is written from the papers named beside it, or
//! made by their rules with a generator of our own, so those are the same classes, not the same files.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests")]
#![allow(clippy::duplicate_mod, reason = "the helpers of boards and of cloth share their dice")]

use crate::boards_support;
use crate::cloth_support;
use crate::instances;

use std::time::Instant;

use boards_support::{bare_rules, board, saved_case, strip};
use cloth_support::Dice;
use instances::{HOPPER_TURTON_C1P1, PAPER_MILL};
use slatwright::job::{Order, OrderRule};
use slatwright::measure::{Length, Price, Ratio};
use slatwright::packing::boards::BoardProblem;
use slatwright::packing::cloth::{BoltKind, ClothProblem, PieceDemand};
use slatwright::packing::{Budget, Flow, boards, cloth};

/// One instance: what is packed, and the optimum where it is known from outside.
struct Instance {
    what: What,
    known: Option<i64>,
}

enum What {
    Boards(BoardProblem),
    Cloth(ClothProblem),
}

/// What came of it: the value of the plan and its bound, in boards, cents or thousandths of an inch.
struct Outcome {
    value: i64,
    bound: i64,
    known: Option<i64>,
    seconds: f64,
}

impl Instance {
    fn solve(self) -> Outcome {
        let start = Instant::now();
        let budget = Budget::default();
        let (value, bound) = match &self.what {
            What::Boards(problem) => {
                let plan = boards::pack(problem, &budget, &mut |_| Flow::Continue).unwrap();
                assert_eq!(boards_support::faults(problem, &plan), Vec::<String>::new());
                (plan.cost.get(), plan.bound.get())
            }
            What::Cloth(problem) => {
                let plan = cloth::pack(problem, &budget, &mut |_| Flow::Continue).unwrap();
                assert_eq!(cloth_support::faults(problem, &plan), Vec::<String>::new());
                (plan.length.nm() / 25_400, plan.length_bound.nm() / 25_400)
            }
        };
        let seconds = start.elapsed().as_secs_f64();
        // An optimum with fewer rules is a bound on ours; with the same rules it is ours.
        if let Some(known) = self.known {
            assert!(value >= known, "{value} is less than the published {known}");
        }
        Outcome { value, bound, known: self.known, seconds }
    }
}

/// A one-dimensional instance: rolls as boards one rip wide, each for a cent.
fn rolls(length: i64, pieces: &[(i64, u32)], known: Option<i64>) -> Instance {
    let problem = BoardProblem {
        parts: pieces.iter().map(|&(size, count)| strip(size, 64, 64, count)).collect(),
        stock: vec![board(length, 64, None, 1)],
        rules: bare_rules(OrderRule::Only(Order::RipFirst)),
    };
    Instance { what: What::Boards(problem), known }
}

/// A strip of a width in which (across, along, count) are laid, inches.
fn strip_packing(width: i64, sizes: &[(i64, i64, u32)], turn: bool, known: Option<i64>) -> Instance {
    let piece = |&(across, along, count): &(i64, i64, u32)| PieceDemand {
        along: Length::from_inches(along),
        across: Length::from_inches(across),
        turn,
        count,
    };
    let roll = BoltKind {
        usable_width: Length::from_inches(width),
        usable_length: None,
        price: Price::parse("36").unwrap(),
        unit: Length::from_inches(36),
        increment: Length::ZERO,
        shrink_along: Ratio::ZERO,
        on_hand: None,
    };
    let problem = ClothProblem { pieces: sizes.iter().map(piece).collect(), bolts: vec![roll] };
    Instance { what: What::Cloth(problem), known: known.map(|inches| inches * 1000) }
}

/// Rolls of textbooks: the paper mill of the encyclopaedia article "Cutting stock problem" (73); V. Chvátal,
/// Linear Programming, 1983, chapter 13 (453); R. Fourer, D. Gay and B. Kernighan, AMPL, cutting-stock
/// example (47); the example of the AMPL interface's manual (18). Optima recomputed over all patterns.
fn textbook_rolls() -> Vec<Instance> {
    vec![
        rolls(5600, &PAPER_MILL, Some(73)),
        rolls(100, &[(45, 97), (36, 610), (31, 395), (14, 211)], Some(453)),
        rolls(110, &[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)], Some(47)),
        rolls(6450, &[(677, 10), (756, 40), (1746, 33), (1876, 10)], Some(18)),
    ]
}

fn counted(mut sizes: Vec<i64>) -> Vec<(i64, u32)> {
    sizes.sort_unstable();
    let mut counted: Vec<(i64, u32)> = Vec::new();
    for size in sizes {
        match counted.last_mut() {
            Some((held, count)) if *held == size => *count += 1,
            _ => counted.push((size, 1)),
        }
    }
    counted
}

/// Triplets as E. Falkenauer ("A hybrid grouping genetic algorithm for bin packing", Journal of Heuristics 2,
/// 1996) makes them: three items of 250 to 499 fill each bin of 1000, so 60 items take 20 bins (the drawing of
/// the sizes from memory).
fn triplets() -> Vec<Instance> {
    let make = |seed| {
        let mut dice = Dice::new(seed);
        let mut sizes = Vec::new();
        for _ in 0..20 {
            let first = dice.between(380, 490);
            let second = dice.between(250, (1000 - first) / 2 - 1);
            sizes.extend([first, second, 1000 - first - second]);
        }
        rolls(1000, &counted(sizes), Some(20))
    };
    (0..20).map(make).collect()
}

/// The uniform class of the same paper: 120 items of 20 to 100 in bins of 150.
fn uniform() -> Vec<Instance> {
    let make = |seed| {
        let mut dice = Dice::new(seed);
        rolls(150, &counted((0..120).map(|_| dice.between(20, 100)).collect()), None)
    };
    (0..20).map(make).collect()
}

/// P. Schwerin and G. Wäscher ("The bin-packing problem: a problem generator and some numerical experiments
/// with FFD packing and MTP", International Transactions in Operational Research 4, 1997), first set: 100
/// items of 150 to 200 in bins of 1000.
fn narrow_range() -> Vec<Instance> {
    let make = |seed| {
        let mut dice = Dice::new(seed);
        rolls(1000, &counted((0..100).map(|_| dice.between(150, 200)).collect()), None)
    };
    (0..20).map(make).collect()
}

/// Strips whose least height with free placing is published: E. Hopper and B. Turton (2000), class C1, problem 1
/// (20); G. Kendall's 13 items (140, from memory). Our cuts are fewer, so those are bounds for ours.
fn placed_freely() -> Vec<Instance> {
    let kendall = [
        (24, 16, 1),
        (28, 16, 2),
        (60, 14, 2),
        (20, 28, 1),
        (22, 26, 2),
        (42, 44, 1),
        (18, 70, 1),
        (62, 26, 1),
        (18, 48, 2),
    ];
    let c1p1: Vec<_> = HOPPER_TURTON_C1P1.iter().map(|&(w, h)| (w, h, 1)).collect();
    vec![
        strip_packing(20, &c1p1, false, Some(20)),
        strip_packing(20, &c1p1, true, Some(20)),
        strip_packing(80, &kendall, false, Some(139)),
        strip_packing(80, &kendall, true, Some(139)),
    ]
}

/// J. Berkey and P. Wang ("Two-dimensional finite bin-packing algorithms", Journal of the Operational Research
/// Society 38, 1987): 20 items of 1 to `most` on a strip of `width`; classes I, II, III and V.
fn berkey_wang(width: i64, most: i64) -> Vec<Instance> {
    let make = |seed| {
        let mut dice = Dice::new(seed);
        let items: Vec<_> = (0..20).map(|_| (dice.between(1, most), dice.between(1, most), 1)).collect();
        strip_packing(width, &items, false, None)
    };
    (0..10).map(make).collect()
}

/// The same authors' items in square bins, classes I to VI: 20 items of 1 to `most`, a bin a board for a cent, cut
/// across and then along. Such cutting in two stages is the level packing of A. Lodi, S. Martello and D. Vigo ("Models
/// and bounds for two-dimensional level packing problems", Journal of Combinatorial Optimization 8, 2004), but that
/// pieces may lie end to end in a rip.
fn berkey_wang_bins(side: i64, most: i64) -> Vec<Instance> {
    let make = |seed| {
        let mut dice = Dice::new(seed);
        bins(side, &(0..20).map(|_| (dice.between(1, most), dice.between(1, most))).collect::<Vec<_>>())
    };
    (0..10).map(make).collect()
}

/// S. Martello and D. Vigo ("Exact solution of the two-dimensional finite bin packing problem", Management Science 44,
/// 1998), classes VII to X, from memory: bins of 100 by 100; seven items in ten are of the kind that the class is of
/// (wide and low, narrow and high, both large, both small), one in ten of each other.
fn martello_vigo_bins(class: i64) -> Vec<Instance> {
    let sizes = [((67, 100), (1, 50)), ((1, 50), (67, 100)), ((50, 100), (50, 100)), ((1, 50), (1, 50))];
    let make = |seed| {
        let mut dice = Dice::new(seed);
        let mut item = || {
            let other = dice.between(0, 9);
            let kind = if other < 3 { (class + 1 + other) % 4 } else { class };
            let ((narrow, wide), (low, high)) = sizes[usize::try_from(kind).unwrap()];
            (dice.between(narrow, wide), dice.between(low, high))
        };
        bins(100, &(0..20).map(|_| item()).collect::<Vec<_>>())
    };
    (0..10).map(make).collect()
}

/// Items, (across, along), in square bins.
fn bins(side: i64, items: &[(i64, i64)]) -> Instance {
    let problem = BoardProblem {
        parts: items.iter().map(|&(across, along)| strip(along, across, 64, 1)).collect(),
        stock: vec![board(side, side, None, 1)],
        rules: bare_rules(OrderRule::Only(Order::CrosscutFirst)),
    };
    Instance { what: What::Boards(problem), known: None }
}

/// The two saved cases of one cabinet, in both orders; optima by an arc-flow program.
fn cabinets() -> Vec<Instance> {
    let mut cases = Vec::new();
    for (text, known) in [(include_str!("instances/small1.csv"), 4578), (include_str!("instances/onhand1.csv"), 15441)]
    {
        for order in [Order::CrosscutFirst, Order::RipFirst] {
            let mut problem = saved_case(text, order);
            problem.rules.max_blank = problem.parts.iter().map(|part| part.length).max();
            cases.push(Instance { what: What::Boards(problem), known: Some(known) });
        }
    }
    cases
}

fn row(name: &str, instances: Vec<Instance>) {
    let all: Vec<Outcome> = instances.into_iter().map(Instance::solve).collect();
    let gap = |outcome: &Outcome| 100.0 * (outcome.value - outcome.bound) as f64 / outcome.value as f64;
    let proven = all.iter().filter(|outcome| outcome.value == outcome.bound).count();
    let met = all.iter().filter(|outcome| outcome.known == Some(outcome.value)).count();
    let known = all.iter().filter(|outcome| outcome.known.is_some()).count();
    let open: Vec<f64> = all.iter().map(gap).filter(|gap| *gap > 0.0).collect();
    let mean = open.iter().sum::<f64>() / open.len().max(1) as f64;
    let worst = open.iter().copied().fold(0.0, f64::max);
    let seconds = all.iter().map(|outcome| outcome.seconds).sum::<f64>() / all.len() as f64;
    let slowest = all.iter().map(|outcome| outcome.seconds).fold(0.0, f64::max);
    let gaps = if open.is_empty() { "-".to_owned() } else { format!("mean {mean:.2} %, worst {worst:.2} %") };
    println!(
        "| {name} | {} | {proven} | {gaps} | {} | mean {seconds:.2}, most {slowest:.2} |",
        all.len(),
        if known > 0 { format!("{met} of {known}") } else { "-".to_owned() },
    );
}

#[test]
#[ignore = "takes minutes"]
fn the_table() {
    println!("| instances | how many | proven | gaps of the rest | published optimum met | seconds |");
    println!("| --- | --- | --- | --- | --- | --- |");
    row("rolls of textbooks", textbook_rolls());
    row("triplets, 60 items (Falkenauer 1996)", triplets());
    row("uniform, 120 items (Falkenauer 1996)", uniform());
    row("150 to 200 of 1000, 100 items (Schwerin and Wäscher 1997)", narrow_range());
    row("one cabinet's boards, four cases", cabinets());
    row("strips placed freely (Hopper and Turton 2000, Kendall)", placed_freely());
    for (class, width, most) in [("I", 10, 10), ("II", 30, 10), ("III", 40, 35), ("V", 100, 100)] {
        row(&format!("class {class}, 20 items on a strip (Berkey and Wang 1987)"), berkey_wang(width, most));
    }
    let classes = [("I", 10, 10), ("II", 30, 10), ("III", 40, 35), ("IV", 100, 35), ("V", 100, 100), ("VI", 300, 100)];
    for (class, side, most) in classes {
        row(&format!("class {class}, 20 items in bins (Berkey and Wang 1987)"), berkey_wang_bins(side, most));
    }
    for (class, name) in (0..).zip(["VII", "VIII", "IX", "X"]) {
        row(&format!("class {name}, 20 items in bins (Martello and Vigo 1998)"), martello_vigo_bins(class));
    }
}
