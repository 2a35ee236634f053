//! Every plan of a tiny job: sizes in whole inches, all blank lengths, all ways to fill them.

use std::collections::{BTreeMap, BTreeSet};

use slatwright::job::{Milling, Order, OrderRule};
use slatwright::measure::StockThickness;
use slatwright::packing::boards::{BoardKind, BoardProblem};

const INCH: i64 = 25_400_000;

/// Strips of each part, capped at what is wanted.
type Cover = Vec<u32>;

fn add(problem: &BoardProblem, a: &Cover, b: &Cover) -> Cover {
    a.iter().zip(b).zip(&problem.parts).map(|((x, y), part)| (x + y).min(part.count)).collect()
}

fn inches(nm: i64) -> i64 {
    assert_eq!(nm % INCH, 0, "the brute force counts in whole inches");
    nm / INCH
}

/// Ripped dimension and planed thickness in inches.
fn section(problem: &BoardProblem, part: usize, milling: Milling) -> (i64, i64) {
    let (strip, rules) = (&problem.parts[part], &problem.rules);
    let (width, thick) = (inches(strip.width.nm()), inches(strip.thickness.nm()));
    let trim = inches(rules.rip_trim.nm());
    match milling {
        Milling::Flat => (width + trim, thick),
        Milling::Edge => (thick + trim + inches(rules.edge_clean.nm()), width),
    }
}

fn leaves(problem: &BoardProblem, board: &BoardKind, planed: i64) -> u32 {
    let rules = &problem.rules;
    let rough = inches(board.thickness.actual().nm());
    let trim = if rough >= 2 { rules.face_trim_thick } else { rules.face_trim_thin };
    let surfaced = !matches!(board.thickness, StockThickness::Rough(_));
    let mut best = 0;
    for m in 1..=(if rules.resaw { 9 } else { 1 }) {
        let mut faces = 2 * inches(trim.nm());
        if surfaced {
            faces = faces.min((rough - planed).max(0));
        }
        let leaf = if m > 1 { m * inches(rules.leaf_trim.nm()) } else { 0 };
        if m * (planed + faces) + (m - 1) * inches(rules.resaw_kerf.nm()) + leaf <= rough {
            best = m as u32;
        }
    }
    best
}

/// All ways to put pieces side by side into a room: each piece has a size and what it yields.
fn rows(problem: &BoardProblem, pieces: &[(i64, Cover)], room: i64, kerf: i64) -> BTreeSet<Cover> {
    let mut known: BTreeMap<i64, BTreeSet<Cover>> = BTreeMap::new();
    known.insert(0, BTreeSet::from([vec![0; problem.parts.len()]]));
    for used in 0..=room {
        let Some(here) = known.get(&used).cloned() else { continue };
        for (size, cover) in pieces {
            let next = used + size + if used > 0 { kerf } else { 0 };
            if next <= room && *size > 0 {
                let more: Vec<Cover> = here.iter().map(|c| add(problem, c, cover)).collect();
                known.entry(next).or_default().extend(more);
            }
        }
    }
    best_of(known.into_values().flatten().collect())
}

/// Drops what another covers as well.
fn best_of(all: BTreeSet<Cover>) -> BTreeSet<Cover> {
    let beats = |a: &Cover, b: &Cover| a != b && a.iter().zip(b).all(|(x, y)| x >= y);
    all.iter().filter(|cover| !all.iter().any(|other| beats(other, cover))).cloned().collect()
}

/// Everything one board can yield in one order, each part milled as told.
fn board_covers(problem: &BoardProblem, board: &BoardKind, order: Order, millings: &[Milling]) -> BTreeSet<Cover> {
    let rules = &problem.rules;
    let edge = if order == Order::CrosscutFirst { rules.edge_trim_crosscut } else { rules.edge_trim_rip };
    let runs = clear_runs(problem, board);
    let held = if rules.hold_width.nm() > 0 { rules.hold_width.nm() + rules.rip_kerf.nm() } else { 0 };
    let width = inches(board.width.nm()) - inches(edge.nm()) - inches(held);
    let (rip_kerf, cross_kerf) = (inches(rules.rip_kerf.nm()), inches(rules.crosscut_kerf.nm()));
    let groups: BTreeSet<(Milling, i64)> =
        (0..problem.parts.len()).map(|p| (millings[p], section(problem, p, millings[p]).1)).collect();
    let piece = |part: usize| inches(problem.parts[part].length.nm()) + inches(rules.length_trim.nm());
    let yields = |part: usize, n: u32| -> Cover {
        let mut cover = vec![0; problem.parts.len()];
        cover[part] = n.min(problem.parts[part].count);
        cover
    };
    let crosscut = order == Order::CrosscutFirst;
    let first = if crosscut { runs.iter().copied().max().unwrap_or(0) } else { width };
    let mut spans: Vec<(i64, Cover)> = Vec::new();
    for span in 1..=first.max(0) {
        if order == Order::CrosscutFirst
            && (span < inches(rules.min_blank.nm()) || rules.max_blank.is_some_and(|most| span > inches(most.nm())))
        {
            continue;
        }
        for &(milling, planed) in &groups {
            let m = leaves(problem, board, planed);
            let mut pieces = Vec::new();
            for part in
                (0..problem.parts.len()).filter(|&p| (millings[p], section(problem, p, milling).1) == (milling, planed))
            {
                let rip = section(problem, part, milling).0;
                match order {
                    Order::CrosscutFirst => {
                        let n = (span + cross_kerf) / (piece(part) + cross_kerf);
                        pieces.push((rip, yields(part, n as u32 * m)));
                    }
                    Order::RipFirst if rip <= span => pieces.push((piece(part), yields(part, m))),
                    Order::RipFirst => {}
                }
            }
            let filled = if crosscut {
                rows(problem, &pieces, width, rip_kerf)
            } else {
                in_runs(problem, &pieces, &runs, cross_kerf)
            };
            spans.extend(filled.into_iter().map(|cover| (span, cover)));
        }
    }
    spans.retain(|(_, cover)| cover.iter().any(|&n| n > 0));
    if crosscut { in_runs(problem, &spans, &runs, cross_kerf) } else { rows(problem, &spans, first, rip_kerf) }
}

/// Lengths of the clear runs of a board, found inch by inch: an inch is clear between the trimmed ends and
/// outside every defect, which takes a kerf from where it begins at the least.
fn clear_runs(problem: &BoardProblem, board: &BoardKind) -> Vec<i64> {
    let (length, trim) = (inches(board.length.nm()), inches(problem.rules.end_trim.nm()));
    let kerf = inches(problem.rules.crosscut_kerf.nm());
    let mut runs = vec![0];
    for inch in trim..length - trim {
        let bad = board.defects.iter().any(|defect| {
            let from = inches(defect.from.nm());
            (from..inches(defect.to.nm()).max(from + kerf)).contains(&inch)
        });
        match runs.last_mut() {
            Some(run) if !bad => *run += 1,
            _ => runs.push(0),
        }
    }
    runs.retain(|&run| run > 0);
    runs
}

/// All ways to fill several runs, each on its own.
fn in_runs(problem: &BoardProblem, pieces: &[(i64, Cover)], runs: &[i64], kerf: i64) -> BTreeSet<Cover> {
    let mut all = BTreeSet::from([vec![0; problem.parts.len()]]);
    for &run in runs {
        let here = rows(problem, pieces, run, kerf);
        all = best_of(all.iter().flat_map(|known| here.iter().map(|more| add(problem, known, more))).collect());
    }
    all
}

/// The least price of any plan; `None` when there is none.
pub(crate) fn least_cost(problem: &BoardProblem) -> Option<i64> {
    let mut choices: Vec<Vec<Milling>> = vec![Vec::new()];
    for part in &problem.parts {
        choices = choices
            .into_iter()
            .flat_map(|known| {
                part.millings.list().iter().map(move |&m| known.iter().copied().chain([m]).collect::<Vec<_>>())
            })
            .collect();
    }
    choices.iter().filter_map(|millings| least_cost_milled(problem, millings)).min()
}

fn least_cost_milled(problem: &BoardProblem, millings: &[Milling]) -> Option<i64> {
    let orders: &[Order] = match problem.rules.order {
        OrderRule::Only(Order::CrosscutFirst) => &[Order::CrosscutFirst],
        OrderRule::Only(Order::RipFirst) => &[Order::RipFirst],
        OrderRule::Any => &[Order::CrosscutFirst, Order::RipFirst],
    };
    let wanted: Cover = problem.parts.iter().map(|part| part.count).collect();
    let mut costs: BTreeMap<Cover, i64> = BTreeMap::from([(vec![0; wanted.len()], 0)]);
    for board in &problem.stock {
        let covers: BTreeSet<Cover> =
            best_of(orders.iter().flat_map(|&order| board_covers(problem, board, order, millings)).collect());
        let most = board.available.unwrap_or(u32::MAX).min(wanted.iter().sum());
        let mut reached = costs.clone();
        for _ in 0..most {
            let mut next: BTreeMap<Cover, i64> = BTreeMap::new();
            for (known, cost) in &reached {
                for cover in &covers {
                    let sum = add(problem, known, cover);
                    let cost = cost + board.cost.get();
                    let best = next.entry(sum).or_insert(cost);
                    *best = (*best).min(cost);
                }
            }
            for (cover, cost) in &next {
                let best = costs.entry(cover.clone()).or_insert(*cost);
                *best = (*best).min(*cost);
            }
            reached = next;
        }
    }
    costs.get(&wanted).copied()
}
