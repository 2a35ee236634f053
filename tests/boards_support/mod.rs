//! A second opinion on board plans: the cutting rules written again, sharing no code with the
//! packing, and helpers to state problems briefly.

#![allow(dead_code, reason = "each test binary uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

pub(crate) mod brute;
#[path = "../common/dice.rs"]
mod dice;
pub(crate) mod jobs;
pub(crate) mod patterns;
#[path = "../common/shop_rules.rs"]
mod shop_rules;

pub(crate) use shop_rules::cutting as shop_rules;

use std::collections::BTreeMap;

use slatwright::job::{CuttingRules, Milling, Millings, Order, OrderRule};
use slatwright::measure::{Cents, Length, Quarters, StockThickness};
use slatwright::packing::boards::{Blank, BoardKind, BoardPlan, BoardProblem, CutBoard, StripDemand};

pub(crate) fn sixty_fourths(n: i64) -> Length {
    Length::from_64ths(n)
}

/// Kerfs and trims of zero.
pub(crate) fn bare_rules(order: OrderRule) -> CuttingRules {
    CuttingRules {
        rip_kerf: Length::ZERO,
        crosscut_kerf: Length::ZERO,
        resaw_kerf: Length::ZERO,
        end_trim: Length::ZERO,
        edge_trim_crosscut: Length::ZERO,
        edge_trim_rip: Length::ZERO,
        hold_width: Length::ZERO,
        length_trim: Length::ZERO,
        rip_trim: Length::ZERO,
        edge_clean: Length::ZERO,
        face_trim_thin: Length::ZERO,
        face_trim_thick: Length::ZERO,
        resaw: false,
        leaf_trim: Length::ZERO,
        min_blank: Length::ZERO,
        max_blank: None,
        order,
    }
}

/// A strip `length` x `width` x `thickness`, in 1/64 in.
pub(crate) fn strip(length: i64, width: i64, thickness: i64, count: u32) -> StripDemand {
    StripDemand {
        label: 0,
        length: sixty_fourths(length),
        width: sixty_fourths(width),
        thickness: sixty_fourths(thickness),
        millings: Millings::Flat,
        count,
    }
}

/// A 4/4 rough board, sizes in 1/64 in.
pub(crate) fn board(length: i64, width: i64, available: Option<u32>, cents: i64) -> BoardKind {
    BoardKind {
        label: 0,
        thickness: StockThickness::Rough(Quarters::new(4).unwrap()),
        width: sixty_fourths(width),
        length: sixty_fourths(length),
        defects: Vec::new(),
        available,
        cost: Cents::new(cents),
    }
}

/// Reads a saved case: `kind,length,width,count,cents,leaves` in 1/64 in and cents. Strips of all
/// parts yield the same number of leaves, so they are as thick as so many leaves of a 1 in board.
pub(crate) fn saved_case(text: &str, order: Order) -> BoardProblem {
    let mut rules = bare_rules(OrderRule::Only(order));
    rules.rip_kerf = sixty_fourths(8);
    rules.crosscut_kerf = sixty_fourths(8);
    rules.end_trim = sixty_fourths(128);
    rules.edge_trim_crosscut = sixty_fourths(16);
    rules.edge_trim_rip = sixty_fourths(16);
    rules.resaw = true;
    let mut problem = BoardProblem { parts: Vec::new(), stock: Vec::new(), rules };
    for line in text.lines().filter(|line| !line.starts_with('#') && !line.starts_with("kind")) {
        let cells: Vec<&str> = line.split(',').collect();
        let figure = |at: usize| cells[at].parse::<i64>().unwrap();
        match cells[0] {
            "strip" => {
                problem.parts.push(strip(figure(1), figure(2), 64 / figure(5), figure(3) as u32));
            }
            "board" => problem.stock.push(board(figure(1), figure(2), cells[3].parse().ok(), figure(4))),
            other => panic!("{other} is no row of a saved case"),
        }
    }
    problem
}

/// Everything that is wrong with a plan; empty when it obeys every rule.
pub(crate) fn faults(problem: &BoardProblem, plan: &BoardPlan) -> Vec<String> {
    let mut faults = Vec::new();
    let mut used = vec![0u32; problem.stock.len()];
    let mut strips = vec![0u64; problem.parts.len()];
    let mut millings: BTreeMap<usize, Milling> = BTreeMap::new();
    let mut cost = 0;
    for (at, board) in plan.boards.iter().enumerate() {
        used[board.stock] += 1;
        cost += problem.stock[board.stock].cost.get();
        for fault in board_faults(problem, board, &mut strips, &mut millings) {
            faults.push(format!("board {at}: {fault}"));
        }
    }
    for (part, (&cut, strip)) in strips.iter().zip(&problem.parts).enumerate() {
        if cut < u64::from(strip.count) {
            faults.push(format!("part {part}: {cut} strips of {}", strip.count));
        }
    }
    for (stock, (&n, kind)) in used.iter().zip(&problem.stock).enumerate() {
        if kind.available.is_some_and(|most| n > most) {
            faults.push(format!("stock {stock}: {n} boards used"));
        }
    }
    if cost != plan.cost.get() {
        faults.push(format!("cost {cost} is not {}", plan.cost));
    }
    if plan.bound > plan.cost {
        faults.push(format!("bound {} above cost {}", plan.bound, plan.cost));
    }
    if plan.optimal != (plan.cost == plan.bound) {
        faults.push("optimal says otherwise than the bound".to_owned());
    }
    faults
}

fn board_faults(
    problem: &BoardProblem,
    board: &CutBoard,
    strips: &mut [u64],
    millings: &mut BTreeMap<usize, Milling>,
) -> Vec<String> {
    let rules = &problem.rules;
    let kind = &problem.stock[board.stock];
    let mut faults = Vec::new();
    if !matches!(rules.order, OrderRule::Any) && rules.order != OrderRule::Only(board.order) {
        faults.push("cut in an order the shop does not allow".to_owned());
    }
    let edge = if board.order == Order::CrosscutFirst { rules.edge_trim_crosscut } else { rules.edge_trim_rip };
    let length = kind.length.nm() - 2 * rules.end_trim.nm();
    let held = if rules.hold_width.nm() > 0 { rules.rip_kerf.nm() + rules.hold_width.nm() } else { 0 };
    let width = kind.width.nm() - edge.nm() - held;
    let (mut along, mut across) = (-rules.crosscut_kerf.nm(), -rules.rip_kerf.nm());
    for blank in &board.blanks {
        for group in &blank.rips {
            let part = &problem.parts[group.part];
            if part.label != kind.label {
                faults.push("a strip of another species".to_owned());
            }
            if *millings.entry(group.part).or_insert(blank.milling) != blank.milling {
                faults.push(format!("part {} has two millings", group.part));
            }
            if !part.millings.list().contains(&blank.milling) {
                faults.push(format!("part {} may not be milled so", group.part));
            }
            strips[group.part] += u64::from(group.rips) * u64::from(group.pieces) * u64::from(blank.leaves);
        }
        faults.extend(blank_faults(problem, kind, blank));
        match board.order {
            Order::CrosscutFirst => {
                along += blank.length.nm() + rules.crosscut_kerf.nm();
                faults.extend(crosscut_blank_faults(problem, blank, width));
            }
            Order::RipFirst => {
                let n = i64::from(blank.rips[0].rips);
                across += n * (blank.rips[0].rip_width.nm() + rules.rip_kerf.nm());
                faults.extend(full_length_rip_faults(problem, blank, length));
            }
        }
    }
    if along > length {
        faults.push(format!("blanks of {along} nm on {length} nm"));
    }
    faults.extend(place_faults(problem, kind, board));
    if across > width {
        faults.push(format!("rips of {across} nm on {width} nm"));
    }
    if board.blanks.is_empty() {
        faults.push("nothing is cut from it".to_owned());
    }
    faults
}

/// Blanks (rip first: runs of pieces) that lie over a defect, over an end, or over one another.
fn place_faults(problem: &BoardProblem, kind: &BoardKind, board: &CutBoard) -> Vec<String> {
    let rules = &problem.rules;
    let kerf = rules.crosscut_kerf.nm();
    let mut faults = Vec::new();
    let mut lines: Vec<Vec<(i64, i64)>> = vec![Vec::new()];
    for blank in &board.blanks {
        if board.order == Order::RipFirst {
            lines.push(Vec::new());
        }
        for (at, row) in blank.rips.iter().enumerate() {
            let piece = problem.parts[row.part].length.nm() + rules.length_trim.nm();
            let long = match board.order {
                Order::CrosscutFirst => blank.length.nm(),
                Order::RipFirst => i64::from(row.pieces) * (piece + kerf) - kerf,
            };
            if board.order == Order::CrosscutFirst && at > 0 {
                if row.from != blank.from() {
                    faults.push("rows of one blank begin apart".to_owned());
                }
            } else {
                lines.last_mut().unwrap().push((row.from.nm(), row.from.nm() + long));
            }
        }
    }
    let clear = (rules.end_trim.nm(), kind.length.nm() - rules.end_trim.nm());
    for mut line in lines {
        line.sort_unstable();
        for pair in line.windows(2).filter(|pair| pair[0].1 + kerf > pair[1].0) {
            faults.push(format!("{pair:?} lie too close"));
        }
        for &(from, to) in line.iter().filter(|(from, to)| *from < clear.0 || *to > clear.1) {
            faults.push(format!("{from} to {to} nm lies outside {clear:?}"));
        }
        for defect in &kind.defects {
            let bad = (defect.from.nm(), defect.to.nm().max(defect.from.nm() + kerf));
            for &(from, to) in line.iter().filter(|(from, to)| *from < bad.1 && *to > bad.0) {
                faults.push(format!("{from} to {to} nm lies over the defect {bad:?}"));
            }
        }
    }
    faults
}

/// Ripped dimension and planed thickness of a part.
fn ripped_and_planed(problem: &BoardProblem, part: usize, milling: Milling) -> (i64, i64) {
    let (strip, rules) = (&problem.parts[part], &problem.rules);
    match milling {
        Milling::Flat => (strip.width.nm() + rules.rip_trim.nm(), strip.thickness.nm()),
        Milling::Edge => (strip.thickness.nm() + rules.rip_trim.nm() + rules.edge_clean.nm(), strip.width.nm()),
    }
}

fn blank_faults(problem: &BoardProblem, kind: &BoardKind, blank: &Blank) -> Vec<String> {
    let rules = &problem.rules;
    let (rough, planed, m) = (kind.thickness.actual().nm(), blank.planed.nm(), i64::from(blank.leaves));
    let mut faults = Vec::new();
    let trim = if rough >= 50_800_000 { rules.face_trim_thick } else { rules.face_trim_thin };
    let mut faces = 2 * trim.nm();
    if !matches!(kind.thickness, StockThickness::Rough(_)) {
        faces = faces.min(rough - planed);
    }
    let leaf_trim = if m > 1 { m * rules.leaf_trim.nm() } else { 0 };
    if m < 1 || m * (planed + faces) + (m - 1) * rules.resaw_kerf.nm() + leaf_trim > rough || planed > rough {
        faults.push(format!("{m} leaves of {planed} nm out of {rough} nm"));
    }
    if m > 1 && !rules.resaw {
        faults.push("resawn in a shop that does not".to_owned());
    }
    if blank.rips.is_empty() {
        faults.push("a blank without rips".to_owned());
    }
    for group in &blank.rips {
        if ripped_and_planed(problem, group.part, blank.milling).1 != planed {
            faults.push(format!("part {} is not planed to {planed} nm", group.part));
        }
        if group.rips == 0 || group.pieces == 0 {
            faults.push("a row of nothing".to_owned());
        }
    }
    faults
}

fn crosscut_blank_faults(problem: &BoardProblem, blank: &Blank, width: i64) -> Vec<String> {
    let rules = &problem.rules;
    let mut faults = Vec::new();
    let mut across = -rules.rip_kerf.nm();
    for group in &blank.rips {
        let (rip, _) = ripped_and_planed(problem, group.part, blank.milling);
        if group.rip_width.nm() != rip {
            faults.push(format!("part {} is ripped to {} nm", group.part, group.rip_width.nm()));
        }
        across += i64::from(group.rips) * (group.rip_width.nm() + rules.rip_kerf.nm());
        let n = i64::from(group.pieces);
        let piece = problem.parts[group.part].length.nm() + rules.length_trim.nm();
        if n * piece + (n - 1) * rules.crosscut_kerf.nm() > blank.length.nm() {
            faults.push(format!("{n} pieces of part {} do not fit the blank", group.part));
        }
    }
    if across > width {
        faults.push(format!("rips of {across} nm across {width} nm"));
    }
    if blank.length < rules.min_blank || rules.max_blank.is_some_and(|most| blank.length > most) {
        faults.push(format!("a blank of {} nm", blank.length.nm()));
    }
    faults
}

fn full_length_rip_faults(problem: &BoardProblem, blank: &Blank, length: i64) -> Vec<String> {
    let rules = &problem.rules;
    let mut faults = Vec::new();
    if blank.length.nm() != length {
        faults.push("a full-length rip is not as long as the board".to_owned());
    }
    let mut along = -rules.crosscut_kerf.nm();
    for group in &blank.rips {
        if group.rips != blank.rips[0].rips || group.rip_width != blank.rips[0].rip_width {
            faults.push("rows of one full-length rip differ".to_owned());
        }
        if ripped_and_planed(problem, group.part, blank.milling).0 > group.rip_width.nm() {
            faults.push(format!("part {} is wider than its rip", group.part));
        }
        let piece = problem.parts[group.part].length.nm() + rules.length_trim.nm();
        along += i64::from(group.pieces) * (piece + rules.crosscut_kerf.nm());
    }
    if along > length {
        faults.push(format!("pieces of {along} nm along {length} nm"));
    }
    faults
}
