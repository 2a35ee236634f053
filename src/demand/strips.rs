//! Strips asked for, pooled into parts.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::confidence::{Size, least_wood};
use super::rejects::MOST_STRIPS;
use super::{DemandError, PartUse};
use crate::doors::Door;
use crate::job::{Job, Millings, SpareRate, SparesRule, Species};
use crate::measure::{Length, Volume};

/// What makes strips interchangeable, in the order in which parts are listed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SizeKey {
    pub(super) species: Species,
    pub(super) width: Length,
    pub(super) thickness: Length,
    pub(super) length: Length,
    pub(super) millings: Millings,
}

impl SizeKey {
    pub(super) fn wood(&self) -> Volume {
        self.length * self.width * self.thickness
    }

    /// One setting of fence and cutter.
    fn section(&self) -> (&Species, Length, Length) {
        (&self.species, self.width, self.thickness)
    }
}

/// Strips of one size that one door or one loose strip asks for.
#[derive(Debug, Clone)]
pub(super) struct Ask {
    key: SizeKey,
    name: String,
    role: &'static str,
    strips: u64,
    repair: u64,
    rate: SpareRate,
    loose: bool,
    /// A loose strip that says `spares = "none"`: not a strip beyond its count.
    exact: bool,
}

/// Every ask, doors first, in job order; strips of a door together.
pub(super) fn asks(job: &Job, doors: &[Door]) -> Vec<Vec<Ask>> {
    let of_doors = doors.iter().filter_map(|door| door_asks(job, door));
    let of_strips = job.strips.iter().map(|strip| {
        let key = SizeKey {
            species: strip.species.clone(),
            width: strip.width,
            thickness: strip.thickness,
            length: strip.length,
            millings: strip.milling,
        };
        vec![Ask {
            key,
            name: strip.name.clone(),
            role: "strip",
            strips: u64::from(strip.quantity),
            repair: 0,
            rate: strip.spares.unwrap_or(job.spares.rate),
            loose: true,
            exact: strip.spares == Some(SpareRate::None),
        }]
    });
    of_doors.chain(of_strips).collect()
}

/// Ordinary slats and the lead slat of all copies of one door.
fn door_asks(job: &Job, door: &Door) -> Option<Vec<Ask>> {
    let slats = &job.cabinets.get(door.cabinet)?.doors.get(door.index)?.slats;
    let count = u64::from(door.count);
    let ask = |role, (width, thickness, millings), strips, repair| Ask {
        key: SizeKey { species: slats.species.clone(), width, thickness, length: door.slat_length, millings },
        name: door.name.clone(),
        role,
        strips,
        repair,
        rate: job.spares.rate,
        loose: false,
        exact: false,
    };
    let repair = u64::from(job.spares.repair_strips) * count;
    let lead_width = door.lead_width + job.shop.clearance.lead_trim;
    Some(vec![
        ask("slat", (door.slat_width, slats.thickness, slats.milling), u64::from(door.slats) * count, repair),
        ask("lead slat", (lead_width, slats.lead_thickness, slats.lead_milling), count, 0),
    ])
}

/// Strips of one size, pooled.
#[derive(Debug, Clone)]
pub(super) struct Lot {
    pub(super) key: SizeKey,
    /// No door asks for it.
    pub(super) loose: bool,
    pub(super) needed: u64,
    pub(super) uses: Vec<PartUse>,
    groups: Vec<Group>,
    exact: bool,
}

/// Strips of a lot that share a spares rule.
#[derive(Debug, Clone)]
struct Group {
    rate: SpareRate,
    needed: u64,
    repair: u64,
}

/// Pools asks into lots, doors' sizes first, then by species, width, thickness and length.
pub(super) fn pool_asks<'a>(asks: impl Iterator<Item = &'a Ask>) -> Result<Vec<Lot>, DemandError> {
    let mut lots: BTreeMap<&SizeKey, Lot> = BTreeMap::new();
    for ask in asks.filter(|ask| ask.strips > 0) {
        let strips = u32::try_from(ask.strips).ok().filter(|_| ask.strips.max(ask.repair) <= MOST_STRIPS);
        let strips = strips.ok_or_else(|| DemandError::TooManyStrips { name: ask.name.clone() })?;
        let lot = lots.entry(&ask.key).or_insert_with(|| Lot {
            key: ask.key.clone(),
            loose: true,
            needed: 0,
            uses: Vec::new(),
            groups: Vec::new(),
            exact: true,
        });
        lot.loose &= ask.loose;
        lot.exact &= ask.exact;
        lot.needed += ask.strips;
        lot.uses.push(PartUse { name: ask.name.clone(), role: ask.role, strips });
        let at = lot.groups.iter().position(|group| group.rate == ask.rate).unwrap_or_else(|| {
            lot.groups.push(Group { rate: ask.rate, needed: 0, repair: 0 });
            lot.groups.len() - 1
        });
        lot.groups[at].needed += ask.strips;
        lot.groups[at].repair += ask.repair;
    }
    let mut lots: Vec<Lot> = lots.into_values().collect();
    lots.sort_by_key(|lot| lot.loose);
    Ok(lots)
}

/// Strips beyond the needed ones, lot by lot.
pub(super) struct Spares {
    /// In the shape of the batches that came in.
    pub(super) strips: Vec<Vec<u64>>,
    /// False when the reject spares are a good choice that is not proven to take the least wood.
    pub(super) proven: bool,
}

/// Spares for batches of lots that are each set up on their own, with one confidence for them all.
pub(super) fn spares(batches: &[Vec<Lot>], rule: &SparesRule) -> Result<Spares, DemandError> {
    let mut strips: Vec<Vec<u64>> = batches.iter().map(|lots| setup_strips(lots, rule.setup_strips)).collect();
    let mut sizes = Vec::new();
    let mut places = Vec::new();
    for (batch, lots) in batches.iter().enumerate() {
        for (at, lot) in lots.iter().enumerate() {
            for group in &lot.groups {
                strips[batch][at] += group.repair;
                match group.rate {
                    SpareRate::None => {}
                    SpareRate::Percent(share) => strips[batch][at] += share_of(group.needed, share.decimal(), lot)?,
                    SpareRate::RejectRate(rate) => {
                        let good = group.needed + group.repair;
                        sizes.push(Size { good, reject: rate.f64(), wood: lot.key.wood().nm3() });
                        places.push((batch, at));
                    }
                }
            }
        }
    }
    let allowed =
        least_wood(&sizes, rule.confidence.f64()).map_err(|i| too_many(&batches[places[i].0][places[i].1]))?;
    for ((batch, at), rejects) in places.into_iter().zip(allowed.rejects) {
        strips[batch][at] += rejects;
    }
    Ok(Spares { strips, proven: allowed.proven })
}

/// A share of the needed strips, rounded up.
fn share_of(needed: u64, share: Decimal, lot: &Lot) -> Result<u64, DemandError> {
    let strips = Decimal::from(needed).checked_mul(share).and_then(|strips| strips.ceil().to_u64());
    strips.filter(|strips| *strips <= MOST_STRIPS).ok_or_else(|| too_many(lot))
}

fn too_many(lot: &Lot) -> DemandError {
    DemandError::TooManyStrips { name: lot.uses.first().map_or_else(String::new, |first| first.name.clone()) }
}

/// The set-up strips of each section, on its shortest lot: the first cut of a setting spoils the
/// least wood there. Lots that must come out exactly are passed over.
fn setup_strips(lots: &[Lot], per_section: u32) -> Vec<u64> {
    let mut shortest: BTreeMap<_, usize> = BTreeMap::new();
    for (at, lot) in lots.iter().enumerate().filter(|(_, lot)| !lot.exact) {
        let best = shortest.entry(lot.key.section()).or_insert(at);
        if lot.key.length < lots[*best].key.length {
            *best = at;
        }
    }
    let mut strips = vec![0; lots.len()];
    for at in shortest.into_values() {
        strips[at] = u64::from(per_section);
    }
    strips
}
