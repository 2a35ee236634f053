//! Everything a board of a tiny job can yield, in whole inches, and the linear program over it: a second
//! opinion on the linear relaxation that shares no code with the packing.

use std::collections::{BTreeMap, BTreeSet};

use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, microlp, variable};
use slatwright::job::{Milling, Order, OrderRule};
use slatwright::packing::boards::{BoardKind, BoardProblem};

const INCH: i64 = 25_400_000;

/// Strips of each part.
type Yield = Vec<u32>;

fn inches(length: slatwright::measure::Length) -> i64 {
    assert_eq!(length.nm() % INCH, 0, "patterns are counted in whole inches");
    length.nm() / INCH
}

/// What nothing else beats.
fn best_of(all: BTreeSet<Yield>) -> BTreeSet<Yield> {
    let beats = |a: &Yield, b: &Yield| a != b && a.iter().zip(b).all(|(x, y)| x >= y);
    all.iter().filter(|one| !all.iter().any(|other| beats(other, one))).cloned().collect()
}

/// Pieces side by side in a room: each has a size, a yield and how often it may be there.
fn rows(parts: usize, pieces: &[(i64, Yield, u32)], room: i64, kerf: i64) -> BTreeSet<Yield> {
    let mut known: BTreeMap<i64, BTreeSet<Yield>> = BTreeMap::from([(0, BTreeSet::from([vec![0; parts]]))]);
    for (size, yields, most) in pieces {
        let mut next = known.clone();
        for (used, sums) in &known {
            let mut sums = sums.clone();
            let mut used = *used;
            for _ in 0..*most {
                used += size + if used > 0 { kerf } else { 0 };
                if used > room {
                    break;
                }
                sums = sums.iter().map(|sum| sum.iter().zip(yields).map(|(a, b)| a + b).collect()).collect();
                next.entry(used).or_default().extend(sums.iter().cloned());
            }
        }
        known = next.into_iter().map(|(used, sums)| (used, best_of(sums))).collect();
    }
    best_of(known.into_values().flatten().collect())
}

/// All yields of one board, without resawing and without least blanks. With `capped` no blank (rip first: no
/// full-length rip) holds more of a part than is wanted; a whole board may.
pub(crate) fn yields(problem: &BoardProblem, board: &BoardKind, order: Order, capped: bool) -> BTreeSet<Yield> {
    let rules = &problem.rules;
    assert!(!rules.resaw && rules.min_blank.nm() == 0 && rules.max_blank.is_none());
    let edge = if order == Order::CrosscutFirst { rules.edge_trim_crosscut } else { rules.edge_trim_rip };
    let length = inches(board.length) - 2 * inches(rules.end_trim);
    let held = if rules.hold_width.nm() > 0 { inches(rules.hold_width) + inches(rules.rip_kerf) } else { 0 };
    let width = inches(board.width) - inches(edge) - held;
    let (rip_kerf, cross_kerf) = (inches(rules.rip_kerf), inches(rules.crosscut_kerf));
    let parts = problem.parts.len();
    let one = |part: usize, n: u32| -> Yield { (0..parts).map(|p| if p == part { n } else { 0 }).collect() };
    let mut groups: BTreeMap<(Milling, i64), Vec<(usize, i64)>> = BTreeMap::new();
    for (at, part) in problem.parts.iter().enumerate().filter(|(_, part)| part.count > 0) {
        for &milling in part.millings.list() {
            let (rip, planed) = match milling {
                Milling::Flat => (inches(part.width) + inches(rules.rip_trim), inches(part.thickness)),
                Milling::Edge => {
                    let clean = inches(rules.rip_trim) + inches(rules.edge_clean);
                    (inches(part.thickness) + clean, inches(part.width))
                }
            };
            if planed <= inches(board.thickness.actual()) {
                groups.entry((milling, planed)).or_default().push((at, rip));
            }
        }
    }
    let (first, second) = if order == Order::CrosscutFirst { (length, width) } else { (width, length) };
    let mut spans: Vec<(i64, Yield, u32)> = Vec::new();
    for span in 1..=first.max(0) {
        for members in groups.values() {
            let mut pieces = Vec::new();
            for &(part, rip) in members {
                let wanted = if capped { problem.parts[part].count } else { u32::MAX };
                let rough = inches(problem.parts[part].length) + inches(rules.length_trim);
                match order {
                    Order::CrosscutFirst => {
                        let n = ((span + cross_kerf) / (rough + cross_kerf)).min(i64::from(wanted)) as u32;
                        if n > 0 {
                            pieces.push((rip, one(part, n), wanted.div_ceil(n)));
                        }
                    }
                    Order::RipFirst if rip <= span => pieces.push((rough, one(part, 1), wanted)),
                    Order::RipFirst => {}
                }
            }
            let kerf = if order == Order::CrosscutFirst { rip_kerf } else { cross_kerf };
            spans.extend(rows(parts, &pieces, second, kerf).into_iter().map(|filled| (span, filled, u32::MAX)));
        }
    }
    spans.retain(|(_, filled, _)| filled.iter().any(|&n| n > 0));
    rows(parts, &spans, first, if order == Order::CrosscutFirst { cross_kerf } else { rip_kerf })
}

/// The optimum of the linear program over all of them, in cents; `None` when the boards do not do.
pub(crate) fn linear_optimum(problem: &BoardProblem, capped: bool) -> Option<f64> {
    let orders: &[Order] = match problem.rules.order {
        OrderRule::Only(Order::CrosscutFirst) => &[Order::CrosscutFirst],
        OrderRule::Only(Order::RipFirst) => &[Order::RipFirst],
        OrderRule::Any => &[Order::CrosscutFirst, Order::RipFirst],
    };
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::default();
    let mut made = vec![Expression::default(); problem.parts.len()];
    let mut limits = Vec::new();
    for board in problem.stock.iter().filter(|board| board.available != Some(0)) {
        let all: BTreeSet<Yield> = orders.iter().flat_map(|&order| yields(problem, board, order, capped)).collect();
        let mut used = Expression::default();
        for sum in best_of(all) {
            let x = variables.add(variable().min(0));
            cost += x * board.cost.get() as f64;
            used += x;
            for (made, n) in made.iter_mut().zip(sum) {
                *made += x * f64::from(n);
            }
        }
        limits.extend(board.available.map(|most| (used, f64::from(most))));
    }
    let mut model = variables.minimise(&cost).using(microlp);
    for (made, part) in made.into_iter().zip(&problem.parts) {
        model.add_constraint(constraint!(made >= f64::from(part.count)));
    }
    for (used, most) in limits {
        model.add_constraint(constraint!(used <= most));
    }
    model.solve().ok().map(|found| found.eval(&cost))
}
