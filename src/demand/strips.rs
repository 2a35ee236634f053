//! Strips asked for, pooled into parts.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::belief::{Belief, Past, Section};
use super::confidence::{Chosen, least_wood};
use super::path::{Family, Size};
use super::rejects::MOST_STRIPS;
use super::{DemandError, PartUse};
use crate::doors::Door;
use crate::job::{Job, Millings, SpareRate, Species};
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
    pub(super) fn section(&self) -> Section<'_> {
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
            rate: strip.spares.unwrap_or_else(|| job.spares.rate_of(&strip.species, strip.length)),
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
        rate: job.spares.rate_of(&slats.species, door.slat_length),
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

impl Lot {
    /// Good strips whose spares answer the confidence.
    pub(super) fn at_risk(&self) -> u64 {
        self.at_a_rate().map(|(_, good)| good).sum()
    }

    fn at_a_rate(&self) -> impl Iterator<Item = (SpareRate, u64)> {
        let rated = self.groups.iter().filter(|group| matches!(group.rate, SpareRate::RejectRate(_)));
        rated.map(|group| (group.rate, group.needed + group.repair))
    }

    /// What is believed of its rejects. Strips of one size under several rates lie on one pile: they fail at the mean.
    pub(super) fn belief<'a>(&'a self, beliefs: &mut Beliefs<'a>) -> Belief {
        let all = self.at_risk();
        let mut rated = self.at_a_rate();
        let Some((first, good)) = rated.next() else {
            return beliefs.of(self.groups.first().map_or(SpareRate::None, |group| group.rate), &self.key);
        };
        let first = beliefs.of(first, &self.key);
        let mut sum = first.mean * good as f64;
        for (rate, good) in rated {
            sum += beliefs.of(rate, &self.key).mean * good as f64;
        }
        Belief { mean: sum / all.max(1) as f64, ..first }
    }
}

/// What is believed before anything is cut, worked out once for each size and rate.
pub(super) struct Beliefs<'a> {
    job: &'a Job,
    past: BTreeMap<Section<'a>, Past<'a>>,
    known: BTreeMap<(Section<'a>, Length), Vec<(SpareRate, Belief)>>,
}

impl<'a> Beliefs<'a> {
    pub(super) fn new(job: &'a Job) -> Self {
        Self { job, past: BTreeMap::new(), known: BTreeMap::new() }
    }

    fn of(&mut self, rate: SpareRate, key: &'a SizeKey) -> Belief {
        let (section, length) = (key.section(), key.length);
        let known = self.known.entry((section, length)).or_default();
        if let Some((_, belief)) = known.iter().find(|(of, _)| *of == rate) {
            return *belief;
        }
        let past = self.past.entry(section).or_insert_with(|| Past::of(self.job, section));
        let belief = Belief::prior(self.job, rate, past, length);
        known.push((rate, belief));
        belief
    }
}

/// Strips beyond the needed ones, lot by lot.
pub(super) struct Spares {
    /// In the shape of the batches that came in.
    pub(super) strips: Vec<Vec<u64>>,
    /// False when the reject spares are a good choice that is not proven to take the least wood.
    pub(super) proven: bool,
}

/// Everything about the spares of batches of lots but the confidence.
pub(super) struct Asked<'a> {
    batches: &'a [Vec<Lot>],
    /// Set-up, repair and what is counted by the hundred, in the shape of the batches.
    fixed: Vec<Vec<u64>>,
    families: Vec<Family>,
    /// The lots of each family, by batch and place.
    places: Vec<Vec<(usize, usize)>>,
}

impl<'a> Asked<'a> {
    /// What is asked of batches of lots that are each set up on their own, with one confidence for them all.
    pub(super) fn of(batches: &'a [Vec<Lot>], beliefs: &mut Beliefs<'a>) -> Result<Self, DemandError> {
        let set_up = beliefs.job.spares.setup_strips;
        let mut fixed: Vec<Vec<u64>> = batches.iter().map(|lots| setup_strips(lots, set_up)).collect();
        let mut families: Vec<Family> = Vec::new();
        let mut places: Vec<Vec<(usize, usize)>> = Vec::new();
        for (batch, lots) in batches.iter().enumerate() {
            let mut serving: BTreeMap<_, Vec<usize>> = BTreeMap::new();
            for (at, lot) in lots.iter().enumerate() {
                for group in &lot.groups {
                    fixed[batch][at] += group.repair;
                    if let SpareRate::Percent(share) = group.rate {
                        fixed[batch][at] += share_of(group.needed, share.decimal(), lot)?;
                    }
                }
                if lot.at_risk() > 0 {
                    serving.entry((lot.key.section(), lot.key.millings)).or_default().push(at);
                }
            }
            for mut sizes in serving.into_values() {
                sizes.sort_by_key(|at| std::cmp::Reverse(lots[*at].key.length));
                let mut sizes = sizes.into_iter();
                for family in family(lots, sizes.as_slice(), beliefs).parted() {
                    places.push(sizes.by_ref().take(family.sizes.len()).map(|at| (batch, at)).collect());
                    families.push(family);
                }
            }
        }
        Ok(Self { batches, fixed, families, places })
    }

    /// The sizes of each family.
    pub(super) fn keys(&self) -> impl Iterator<Item = Vec<&SizeKey>> {
        let key = |&(batch, at): &(usize, usize)| &self.batches[batch][at].key;
        self.places.iter().map(move |places| places.iter().map(key).collect())
    }

    /// The least spares that reach a confidence, family by family.
    pub(super) fn choose(&self, confidence: f64) -> Result<Chosen, DemandError> {
        least_wood(&self.families, confidence).map_err(|(family, size)| {
            let (batch, at) = self.places[family][size];
            too_many(&self.batches[batch][at])
        })
    }

    /// The chance of enough with such spares.
    pub(super) fn chance(&self, more: &[Vec<u64>]) -> f64 {
        self.families.iter().zip(more).map(|(family, more)| family.chance(more)).product()
    }

    /// All spares that reach a confidence.
    pub(super) fn spares(self, confidence: f64) -> Result<Spares, DemandError> {
        let chosen = self.choose(confidence)?;
        let mut strips = self.fixed;
        for (places, more) in self.places.iter().zip(chosen.more) {
            for (&(batch, at), more) in places.iter().zip(more) {
                strips[batch][at] += more;
            }
        }
        Ok(Spares { strips, proven: chosen.proven })
    }
}

/// Lots of one section and one milling, the longest first: a longer straight strip makes a shorter one.
fn family<'a>(lots: &'a [Lot], sizes: &[usize], beliefs: &mut Beliefs<'a>) -> Family {
    let belief = lots[sizes[0]].belief(beliefs);
    let mut size = |at: &usize| {
        let good = lots[*at].at_risk();
        let mean = lots[*at].belief(beliefs).mean;
        Size { lacking: good.cast_signed(), coming: good, mean, wood: lots[*at].key.wood().nm3() }
    };
    Family { belief, sizes: sizes.iter().map(&mut size).collect(), granted: 1.0 }
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
