//! Cloth pieces and bolts.

use itertools::Itertools;

use super::Sheet;
use crate::job::{ClothUnit, Job};
use crate::measure::Price;
use crate::plan::Plan;
use crate::report::cell::Cell;

/// `cloth_pieces.csv`: one cloth piece a row, by bolt, x, y. Equal pieces go to their owners in job order.
#[must_use]
pub fn cloth_pieces(job: &Job, plan: &Plan) -> Sheet {
    let mut given = vec![0usize; plan.demand.cloth.len()];
    let mut rows = Vec::new();
    for (bolt, used) in bolts_by_name(job, plan) {
        for laid in used.laid.iter().sorted_by_key(|laid| (laid.x, laid.y)) {
            let need = &plan.demand.cloth[laid.piece];
            let owner = need.owners.get(given[laid.piece]);
            given[laid.piece] += 1;
            rows.push(vec![
                Cell::text(bolt),
                Cell::text(&need.name),
                Cell::text(owner.map_or("", |owner| owner.name.as_str())),
                Cell::Length(laid.x),
                Cell::Length(laid.y),
                Cell::Length(laid.along),
                Cell::Length(laid.across),
                Cell::YesNo(laid.turned),
                Cell::text(owner.map_or("", |owner| owner.band.word())),
            ]);
        }
    }
    Sheet::new("cloth_pieces", &["bolt", "piece", "door", "x", "y", "along", "across", "turned", "band"], rows)
}

fn bolts_by_name<'a>(
    job: &'a Job,
    plan: &'a Plan,
) -> impl Iterator<Item = (&'a str, &'a crate::packing::cloth::BoltUse)> {
    let bolts = job.bolts.iter().map(|bolt| bolt.bolt.as_str());
    bolts.zip(&plan.cloth.bolts).filter(|(_, used)| !used.laid.is_empty()).sorted_by_key(|(name, _)| *name)
}

/// `cloth_bolts.csv`: one bolt used a row, by name.
#[must_use]
pub fn cloth_bolts(job: &Job, plan: &Plan) -> Sheet {
    let rows = bolts_by_name(job, plan).map(|(name, used)| {
        let bolt = job.bolts.iter().find(|bolt| bolt.bolt == name).expect("the name came from this list");
        let (price, unit) = bolt.price.unwrap_or((Price::ZERO, ClothUnit::usual(job.units)));
        let unit = unit.word();
        vec![
            Cell::text(name),
            Cell::Length(bolt.width),
            Cell::Length(used.used),
            Cell::Length(used.bought),
            Cell::text(unit),
            Cell::Price(price),
            Cell::Money(used.cost),
            Cell::YesNo(!bolt.shrink_along.decimal().is_zero() || !bolt.shrink_across.decimal().is_zero()),
        ]
    });
    const COLUMNS: [&str; 8] = ["bolt", "width", "used_length", "bought_length", "unit", "price", "cost", "wash"];
    Sheet::new("cloth_bolts", &COLUMNS, rows.collect())
}
