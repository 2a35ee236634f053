//! Made-up jobs that look like a shop's: doors of a few sizes, yard boards, boards on the rack.

use slatwright::job::{Millings, Order, OrderRule};
use slatwright::measure::Cents;
use slatwright::packing::boards::{BoardKind, BoardProblem, StripDemand};

pub(crate) use super::dice::Dice;
use super::{board, shop_rules, strip};

/// How large a job is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    pub(crate) cabinets: i64,
    pub(crate) sizes: usize,
    pub(crate) buyable: usize,
    pub(crate) unique: usize,
}

impl Size {
    /// Sizes of one to twelve cabinets, the small ones more often.
    pub(crate) fn any(dice: &mut Dice) -> Self {
        let small = dice.chance(2);
        Self {
            cabinets: if small { dice.between(1, 3) } else { dice.between(1, 12) },
            sizes: if small { dice.between(2, 6) } else { dice.between(2, 12) } as usize,
            buyable: dice.between(3, 12) as usize,
            unique: if dice.chance(2) { 0 } else { dice.between(1, 40) as usize },
        }
    }
}

/// A job of slats and lead slats: parts come in pairs of one length.
pub(crate) fn job(dice: &mut Dice, size: Size) -> BoardProblem {
    let order = match dice.below(10) {
        0..=6 => OrderRule::Only(Order::CrosscutFirst),
        7 | 8 => OrderRule::Only(Order::RipFirst),
        _ => OrderRule::Any,
    };
    let lengths = size.sizes.div_ceil(2);
    let thickness = [24, 24, 20, 28][dice.below(4) as usize];
    let slat = [40, 40, 48, 36][dice.below(4) as usize];
    let lead = slat + dice.between(3, 8) * 8;
    let mut parts: Vec<StripDemand> = Vec::new();
    for at in 0..lengths {
        let length = dice.between(14 * 16, 40 * 16) * 4;
        let cabinets =
            (size.cabinets / lengths as i64 + i64::from((at as i64) < size.cabinets % lengths as i64)).max(1);
        let doors = cabinets * dice.between(1, 2);
        let slats = doors * dice.between(22, 52);
        let mut slats = strip(length, slat, thickness, (slats + slats / 12 + 3) as u32);
        if dice.chance(12) {
            slats.millings = Millings::Any;
        }
        parts.push(slats);
        if parts.len() < size.sizes {
            parts.push(strip(length, lead, thickness, (doors + 2) as u32));
        }
    }
    let mut stock: Vec<BoardKind> = Vec::new();
    let rate = dice.between(650, 1400);
    let price = |length: i64, width: i64, rate: i64| length * width * rate / (64 * 64 * 144);
    for _ in 0..size.buyable {
        let (feet, width) = ([6, 7, 8, 8, 10, 12][dice.below(6) as usize], dice.between(8, 22) * 32);
        // Wide boards cost more by the foot.
        let rate = rate + if width > 8 * 64 { dice.between(50, 200) } else { 0 };
        stock.push(board(feet * 12 * 64, width, None, price(feet * 12 * 64, width, rate)));
    }
    let free = dice.chance(3);
    for _ in 0..size.unique {
        let (length, width) = (dice.between(24 * 8, 120 * 8) * 8, dice.between(3 * 8, 11 * 8) * 8);
        let share = dice.between(40, 80);
        let cents = if free { 0 } else { price(length, width, rate * share / 100) };
        stock.push(board(length, width, Some(1), cents));
    }
    // A long board for sale, so that the job can be done.
    stock.push(board(8 * 12 * 64, 8 * 64, None, price(8 * 12 * 64, 8 * 64, rate + 100)));
    BoardProblem { parts, stock, rules: shop_rules(order) }
}

/// A large shop: many doors, many sizes.
pub(crate) fn shop(seed: u64, doors: i64, sizes: usize, buyable: usize, unique: usize) -> BoardProblem {
    let mut dice = Dice::new(seed);
    let mut problem = job(&mut dice, Size { cabinets: doors / 2, sizes, buyable, unique });
    problem.rules = shop_rules(OrderRule::Only(Order::CrosscutFirst));
    for kind in &mut problem.stock {
        if kind.available.is_some() && kind.cost == Cents::ZERO {
            kind.cost = Cents::new(150);
        }
    }
    problem
}
