//! Board packing of one cabinet as an arc-flow program, solved by HiGHS: the same proven cost, and how much
//! longer that takes. Long: run by hand with
//! `cargo test --release --features highs --test arc_flow -- --ignored --nocapture`.
//!
//! The model is J. M. Valerio de Carvalho's ("Exact solution of bin-packing problems using column
//! generation and branch-and-bound", Annals of Operations Research 86, 1999), once along the board and once
//! across each blank: a cut of a board is a path whose arcs are blanks, a blank is a path whose arcs are
//! rips. The cutting rules are written again here.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests")]

mod boards_support;

use std::collections::{BTreeMap, BTreeSet};
use std::time::Instant;

use boards_support::jobs::{Dice, Size, job};
use boards_support::{faults, saved_case};
use slatwright::job::{Millings, Order, OrderRule};
use slatwright::packing::boards::{BoardProblem, pack};
use slatwright::packing::whole::{WholeAnswer, WholeProgram};
use slatwright::packing::{Budget, Flow};

/// HiGHS stops after about so many seconds; an unfinished case counts with what it took.
const SECONDS: f64 = 120.0;

/// A path graph from 0 to `room`: arcs (item, from, to), items from the largest to the smallest, so
/// that of the orders of one choice few are left.
struct Paths {
    arcs: Vec<(usize, i64, i64)>,
    nodes: BTreeSet<i64>,
}

impl Paths {
    fn new(room: i64, sizes: &[(usize, i64)]) -> Self {
        let mut sizes = sizes.to_vec();
        sizes.sort_by_key(|&(item, size)| (-size, item));
        let (mut nodes, mut arcs) = (BTreeSet::from([0]), Vec::new());
        for (item, size) in sizes {
            let mut open: BTreeSet<i64> = nodes.clone();
            while let Some(from) = open.pop_first() {
                if from + size <= room {
                    arcs.push((item, from, from + size));
                    if nodes.insert(from + size) {
                        open.insert(from + size);
                    }
                }
            }
        }
        Self { arcs, nodes }
    }
}

/// Adds the columns of a graph: `source` has entries for each path, `item` for each arc of an item. Paths
/// may end at every node.
fn add_paths(
    program: &mut WholeProgram,
    paths: &Paths,
    most: u32,
    source: (i64, u32, &[(usize, i64)]),
    item: &dyn Fn(usize) -> Vec<(usize, i64)>,
) {
    let rows: BTreeMap<i64, usize> = paths.nodes.iter().map(|&node| (node, program.equal(0))).collect();
    let mut entries = vec![(rows[&0], 1)];
    entries.extend_from_slice(source.2);
    program.column(source.0, source.1, &entries);
    for &(thing, from, to) in &paths.arcs {
        let mut entries = vec![(rows[&from], -1), (rows[&to], 1)];
        entries.extend(item(thing));
        program.column(0, most, &entries);
    }
    for row in rows.values() {
        program.column(0, most, &[(*row, -1)]);
    }
}

/// A first cut: blanks along the board, or full-length rips across it. (size, part: pieces in one rip).
type Span = (i64, Vec<(usize, i64)>);

/// The program of a problem with one species, all strips flat, of one thickness, in one order.
fn arc_flow(problem: &BoardProblem, order: Order) -> WholeProgram {
    let rules = &problem.rules;
    let (crosscut, rip) = (rules.crosscut_kerf.nm(), rules.rip_kerf.nm());
    let mut program = WholeProgram::default();
    let leaves = leaves(problem);
    let needs: Vec<usize> =
        problem.parts.iter().map(|part| program.at_least(i64::from(part.count.div_ceil(leaves as u32)))).collect();
    let most = problem.parts.iter().map(|part| part.count).sum::<u32>();
    let rooms: Vec<(i64, i64)> = problem
        .stock
        .iter()
        .map(|board| {
            let length = (board.length - rules.end_trim * 2).nm() + crosscut;
            let held = if rules.hold_width.nm() > 0 { rules.hold_width.nm() + rip } else { 0 };
            let width = (board.width - rules.edge_trim(order)).nm() - held + rip;
            if order == Order::CrosscutFirst { (length, width) } else { (width, length) }
        })
        .collect();
    let spans = spans(problem, order, rooms.iter().map(|room| room.0).max().unwrap());
    let first_kerf = if order == Order::CrosscutFirst { crosscut } else { rip };
    let sizes: Vec<(usize, i64)> = spans.iter().enumerate().map(|(at, span)| (at, span.0 + first_kerf)).collect();
    // Rows: spans cut out of boards so wide (or long) are at least those filled.
    let seconds: BTreeSet<i64> = rooms.iter().map(|room| room.1).collect();
    let mut links = BTreeMap::new();
    for &room in &seconds {
        for at in 0..spans.len() {
            links.insert((room, at), program.equal(0));
        }
    }
    for (board, &(first, second)) in problem.stock.iter().zip(&rooms) {
        let boards = board.available.unwrap_or(most);
        let paths = Paths::new(first, &sizes);
        add_paths(&mut program, &paths, most, (board.cost.get(), boards, &[]), &|at| vec![(links[&(second, at)], -1)]);
    }
    for (&(room, at), &link) in &links {
        let held = &spans[at].1;
        let across: Vec<(usize, i64)> = held
            .iter()
            .map(|&(part, _)| {
                let strip = &problem.parts[part];
                let size = if order == Order::CrosscutFirst {
                    (strip.width + rules.rip_trim).nm() + rip
                } else {
                    (strip.length + rules.length_trim).nm() + crosscut
                };
                (part, size)
            })
            .collect();
        let pieces: BTreeMap<usize, i64> = held.iter().copied().collect();
        let paths = Paths::new(room, &across);
        add_paths(&mut program, &paths, most, (0, most, &[(link, 1)]), &|part| vec![(needs[part], pieces[&part])]);
    }
    program
}

/// Strips out of the thickness of a board, the same on all boards and for all parts here.
fn leaves(problem: &BoardProblem) -> i64 {
    if problem.rules.resaw { problem.stock[0].thickness.actual().nm() / problem.parts[0].thickness.nm() } else { 1 }
}

/// Blank lengths that are just as long as some number of pieces; or the widths of full-length rips, which
/// yield pieces no wider.
fn spans(problem: &BoardProblem, order: Order, room: i64) -> Vec<Span> {
    let rules = &problem.rules;
    let parts: Vec<(i64, i64)> = problem
        .parts
        .iter()
        .map(|part| ((part.length + rules.length_trim).nm(), (part.width + rules.rip_trim).nm()))
        .collect();
    if order == Order::RipFirst {
        let widths: BTreeSet<i64> = parts.iter().map(|part| part.1).collect();
        let holds = |width| (0..parts.len()).filter(|&at| parts[at].1 <= width).map(|at| (at, 1)).collect();
        return widths.into_iter().map(|width| (width, holds(width))).collect();
    }
    let kerf = rules.crosscut_kerf.nm();
    let mut lengths = BTreeSet::new();
    for &(length, _) in &parts {
        let mut n = 1;
        while n * (length + kerf) <= room {
            lengths.insert((n * (length + kerf) - kerf).max(rules.min_blank.nm()));
            n += 1;
        }
    }
    lengths.retain(|&length| rules.max_blank.is_none_or(|most| length <= most.nm()));
    let holds = |blank: i64| {
        let count = |at: usize| (at, (blank + kerf) / (parts[at].0 + kerf));
        (0..parts.len()).map(count).filter(|&(_, n)| n > 0).collect()
    };
    lengths.into_iter().map(|length| (length, holds(length))).collect()
}

/// Solves a case both ways and prints what it took; seconds of ours and of HiGHS.
fn compare(name: &str, problem: &BoardProblem) -> (f64, f64) {
    let OrderRule::Only(order) = problem.rules.order else { panic!("{name} has one order") };
    let start = Instant::now();
    let plan = pack(problem, &Budget::default(), &mut |_| Flow::Continue).unwrap();
    let ours = start.elapsed().as_secs_f64();
    assert_eq!(faults(problem, &plan), Vec::<String>::new());
    let start = Instant::now();
    let program = arc_flow(problem, order);
    let answer = program.least(SECONDS);
    let theirs = start.elapsed().as_secs_f64();
    let cost = plan.cost.get();
    match answer {
        Some(WholeAnswer { cost: found, proven: true, .. }) => {
            if plan.optimal {
                assert_eq!(found, cost, "{name}");
            } else {
                assert!((plan.bound.get()..=cost).contains(&found), "{name}: {found}");
            }
            println!(
                "{name}: {cost} cents both, ours {ours:.3} s, arc-flow {theirs:.2} s, {} columns",
                program.columns()
            );
        }
        Some(WholeAnswer { cost: found, .. }) => {
            assert!(found >= plan.bound.get(), "{name}: {found}");
            println!("{name}: ours {cost} in {ours:.3} s, arc-flow {found} unproven after {theirs:.1} s");
        }
        None => println!("{name}: ours {cost} in {ours:.3} s, arc-flow found nothing in {theirs:.1} s"),
    }
    assert!(plan.optimal, "{name} is proven");
    (ours, theirs)
}

#[test]
#[ignore = "takes minutes"]
fn arc_flow_finds_the_same_costs_and_takes_longer() {
    let mut total = (0.0, 0.0);
    let mut add = |name: &str, problem: &BoardProblem| {
        let (ours, theirs) = compare(name, problem);
        total = (total.0 + ours, total.1 + theirs);
    };
    for order in [Order::CrosscutFirst, Order::RipFirst] {
        add(&format!("small1 {order:?}"), &saved_case(include_str!("instances/small1.csv"), order));
    }
    let mut cases = 0;
    for seed in 0.. {
        let mut dice = Dice::new(seed);
        let size = Size { cabinets: 1, sizes: 4, buyable: 5, unique: 0 };
        let problem = job(&mut dice, size);
        let plain = problem.parts.iter().all(|part| part.millings == Millings::Flat);
        if plain && problem.rules.order != OrderRule::Any {
            add(&format!("one cabinet {seed} {:?}", problem.rules.order), &problem);
            cases += 1;
        }
        if cases == 8 {
            break;
        }
    }
    println!("ours {:.3} s, arc-flow {:.1} s: {:.0} times as long", total.0, total.1, total.1 / total.0);
    assert!(total.1 >= 20.0 * total.0);
}
