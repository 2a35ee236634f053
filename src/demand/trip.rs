//! What a second trip costs, and the confidence at which spares and the risk of it come to least.

use rust_decimal::prelude::ToPrimitive;

use super::strips::{Asked, SizeKey};
use crate::cutting::{StripSize, leaves, orders, planed_to, rip_dimension, usable_length, usable_width, yields};
use crate::job::{BoardPlace, BoardStock, Job, Order};
use crate::measure::{Cents, Price};

/// A confidence that was chosen by what a second trip costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondTrip {
    /// What one costs, as the shop says.
    pub cost: Price,
    /// The wood of the spares at the confidence chosen, by the cheapest boards for sale.
    pub spares: Cents,
    /// The chance that one is made, times its cost.
    pub risk: Cents,
}

/// Percentages that are looked at first, and beyond those the finest ones.
const FIRST: [f64; 12] = [0.0, 30.0, 50.0, 60.0, 70.0, 80.0, 85.0, 90.0, 94.0, 97.0, 99.0, 99.9];
/// Percentages to either side of the best of these that are looked at then.
const BESIDE: [f64; 9] = [-4.0, -3.0, -2.0, -1.0, -0.5, 0.5, 1.0, 2.0, 3.0];

/// The confidence at which expected cost is least.
pub(super) fn cheapest_confidence(job: &Job, asked: &Asked, trip: Price) -> Option<(f64, SecondTrip)> {
    let each: Vec<Vec<f64>> =
        asked.keys().map(|family| family.iter().map(|key| strip_cost(job, key)).collect()).collect();
    let per_trip = trip.decimal().to_f64()? * 100.0;
    let mut best: Option<(f64, f64, f64, f64)> = None;
    let look = |percent: f64, best: &mut Option<(f64, f64, f64, f64)>| {
        if !(0.0..100.0).contains(&percent) {
            return;
        }
        let Ok(chosen) = asked.choose(percent / 100.0) else { return };
        let wood: f64 = each
            .iter()
            .zip(&chosen.more)
            .flat_map(|(each, more)| each.iter().zip(more))
            .map(|(c, n)| c * *n as f64)
            .sum();
        let risk = (1.0 - asked.chance(&chosen.more)) * per_trip;
        if best.is_none_or(|(least, ..)| wood + risk < least - 1e-9) {
            *best = Some((wood + risk, percent, wood, risk));
        }
    };
    for percent in FIRST {
        look(percent, &mut best);
    }
    let middle = best?.1;
    for beside in BESIDE {
        look(middle + beside, &mut best);
    }
    let (_, percent, wood, risk) = best?;
    let cents = |figure: f64| Cents::new(figure.round() as i64);
    Some(((percent * 10.0).round() / 1_000.0, SecondTrip { cost: trip, spares: cents(wood), risk: cents(risk) }))
}

/// What a strip costs, in cents: its share of the usable face of the board for sale where that is least, kerfs with it.
fn strip_cost(job: &Job, key: &SizeKey) -> f64 {
    let rules = &job.shop.cutting;
    let SizeKey { length, width, thickness, millings, .. } = *key;
    let size = StripSize { length, width, thickness, millings };
    let share = |board: &BoardStock, order: Order| {
        let along = (usable_length(rules, board.length) + rules.crosscut_kerf).nm() as f64;
        let across = (usable_width(rules, order, board.width) + rules.rip_kerf).nm() as f64;
        let own = (length + rules.length_trim + rules.crosscut_kerf).nm() as f64;
        let each = millings.list().iter().filter_map(|&milling| {
            let out = leaves(rules, board.thickness, planed_to(milling, width, thickness));
            let rip = (rip_dimension(rules, milling, width, thickness) + rules.rip_kerf).nm() as f64;
            (out > 0).then(|| own * rip / (along * across * f64::from(out)))
        });
        each.min_by(f64::total_cmp)
    };
    let sold = job.boards.iter().filter(|board| board.place == BoardPlace::Yard && board.species == key.species);
    let cut = sold.filter(|board| yields(rules, &size, &(*board).into()));
    let costs = cut.flat_map(|board| {
        let cost = board.unit_cost.get() as f64;
        orders(rules.order).iter().filter_map(move |&order| Some(share(board, order)? * cost))
    });
    costs.min_by(f64::total_cmp).unwrap_or(0.0)
}
