//! Demand: strips and cloth recounted from doors and loose pieces.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::chance::enough_good;
use super::wide::{length, nm};
use super::{Claim, Violation};
use crate::demand::Part;
use crate::doors::{Band, Door};
use crate::job::{Millings, SpareRate, Species};
use crate::measure::Length;

/// Species, length, width, thickness, millings.
pub(super) type Size = (Species, Length, i128, Length, Millings);

/// What one asker wants of a size.
pub(super) struct Wanted {
    pub(super) size: Size,
    pub(super) asker: String,
    pub(super) door: bool,
    pub(super) strips: u64,
    repair: u64,
    rate: SpareRate,
    no_spares: bool,
}

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let wanted = wanted(claim);
    let mut holders: BTreeMap<Size, usize> = BTreeMap::new();
    for (i, part) in claim.parts.iter().enumerate() {
        if let Some(first) = holders.insert(size_of(part), i) {
            let first = claim.parts[first].name.clone();
            found.push(Violation::PartTwice { first, second: part.name.clone() });
        }
    }
    check_names(claim.parts.iter().map(|part| &part.name), found);
    for want in wanted.iter().filter(|want| !holders.contains_key(&want.size)) {
        found.push(Violation::PartMissing { asker: want.asker.clone(), strips: want.strips });
    }
    for part in claim.parts {
        let size = size_of(part);
        let strips = sum(wanted.iter().filter(|want| want.size == size).map(|want| want.strips));
        if strips == 0 {
            found.push(Violation::PartUnasked { part: part.name.clone() });
        } else if strips != u64::from(part.needed) {
            let (claimed, expected) = (part.needed, strips);
            found.push(Violation::PartNeeded { part: part.name.clone(), claimed, expected });
        } else {
            check_uses(part, wanted.iter().filter(|want| want.size == size), found);
        }
    }
    check_spares(claim, &wanted, found);
    check_cloth(claim, found);
}

/// The bundle's label: who gets how many strips of the part.
fn check_uses<'a>(part: &Part, wanted: impl Iterator<Item = &'a Wanted>, found: &mut Vec<Violation>) {
    let mut strips: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
    for want in wanted {
        let asked = &mut strips.entry(&want.asker).or_default().1;
        *asked = asked.saturating_add(want.strips);
    }
    for part_use in &part.uses {
        strips.entry(&part_use.name).or_default().0 += u64::from(part_use.strips);
    }
    for (asker, (claimed, expected)) in strips.into_iter().filter(|(_, (claimed, asked))| claimed != asked) {
        found.push(Violation::PartUse { part: part.name.clone(), asker: asker.to_owned(), claimed, expected });
    }
}

fn check_names<'a>(names: impl Iterator<Item = &'a String>, found: &mut Vec<Violation>) {
    let mut times: BTreeMap<&String, u32> = BTreeMap::new();
    for name in names {
        *times.entry(name).or_default() += 1;
    }
    let twice = times.into_iter().filter(|(_, times)| *times > 1);
    found.extend(twice.map(|(name, _)| Violation::NameTwice { name: name.clone() }));
}

pub(super) fn size_of(part: &Part) -> Size {
    (part.species.clone(), part.length, nm(part.width), part.thickness, part.millings)
}

pub(super) fn wanted(claim: &Claim<'_>) -> Vec<Wanted> {
    let job = claim.job;
    let mut wanted = Vec::new();
    for door in claim.doors {
        let Some(spec) = job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.doors.get(door.index)) else {
            continue;
        };
        let slats = &spec.slats;
        let copies = u64::from(door.count);
        let mut want = |(width, thickness, millings): (i128, Length, Millings), strips: u64, repair: u64| {
            wanted.push(Wanted {
                size: (slats.species.clone(), door.slat_length, width, thickness, millings),
                asker: door.name.clone(),
                door: true,
                strips,
                repair,
                rate: job.spares.rate,
                no_spares: false,
            });
        };
        let repair = copies * u64::from(job.spares.repair_strips);
        want((nm(door.slat_width), slats.thickness, slats.milling), copies * u64::from(door.slats), repair);
        let lead = nm(door.lead_width) + nm(job.shop.clearance.lead_trim);
        want((lead, slats.lead_thickness, slats.lead_milling), copies, 0);
    }
    for strip in &job.strips {
        wanted.push(Wanted {
            size: (strip.species.clone(), strip.length, nm(strip.width), strip.thickness, strip.milling),
            asker: strip.name.clone(),
            door: false,
            strips: u64::from(strip.quantity),
            repair: 0,
            rate: strip.spares.unwrap_or(job.spares.rate),
            no_spares: strip.spares == Some(SpareRate::None),
        });
    }
    wanted.retain(|want| want.strips > 0);
    wanted
}

/// Counts of a damaged plan may run past any number.
fn sum(counts: impl Iterator<Item = u64>) -> u64 {
    counts.fold(0, u64::saturating_add)
}

/// Strips of one part under one reject rate.
struct Risk {
    good: u64,
    reject: f64,
}

/// Tolerance of the confidence: far above what the sums lose, far below any strip's effect.
const CONFIDENCE_TOLERANCE: f64 = 1e-9;

/// Rejects of a part under several rates, beyond which each rate is granted them all.
const MOST_SHARED: u64 = 5_000;

fn check_spares(claim: &Claim<'_>, wanted: &[Wanted], found: &mut Vec<Violation>) {
    let set_up = set_up_parts(claim, wanted);
    let mut at_risk: Vec<(&Part, Vec<Risk>, u64)> = Vec::new();
    for (i, part) in claim.parts.iter().enumerate() {
        let size = size_of(part);
        let asks: Vec<&Wanted> = wanted.iter().filter(|want| want.size == size).collect();
        // A part that is needed otherwise is named already, and its spares say nothing.
        if asks.is_empty() || sum(asks.iter().map(|want| want.strips)) != u64::from(part.needed) {
            continue;
        }
        let set_up = if set_up.contains(&i) { u64::from(claim.job.spares.setup_strips) } else { 0 };
        let (fixed, risks) = fixed_and_risks(&asks);
        let expected = fixed.saturating_add(set_up);
        let claimed = part.spares;
        match u64::from(claimed).checked_sub(expected) {
            None => found.push(Violation::SparesShort { part: part.name.clone(), claimed, expected }),
            Some(0) if risks.is_empty() => {}
            Some(_) if risks.is_empty() => {
                found.push(Violation::SparesOver { part: part.name.clone(), claimed, expected });
            }
            Some(rejects) => at_risk.push((part, risks, rejects)),
        }
    }
    check_confidence(claim.job.spares.confidence.f64(), &at_risk, found);
}

/// The product of the chances reaches the confidence, and no part could do with one spare less.
fn check_confidence(asked: f64, at_risk: &[(&Part, Vec<Risk>, u64)], found: &mut Vec<Violation>) {
    let chances: Vec<f64> = at_risk.iter().map(|(_, risks, rejects)| best_chance(risks, *rejects)).collect();
    let reached: f64 = chances.iter().product();
    let weakest = at_risk.iter().zip(&chances).min_by(|a, b| a.1.total_cmp(b.1));
    if let Some(((part, ..), _)) = weakest.filter(|_| reached < asked - CONFIDENCE_TOLERANCE) {
        found.push(Violation::ConfidenceShort { reached, asked, weakest: part.name.clone() });
    }
    for (i, (part, risks, rejects)) in at_risk.iter().enumerate().filter(|(_, (_, _, rejects))| *rejects > 0) {
        let others: f64 = chances.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, chance)| chance).product();
        let [risk] = &risks[..] else { continue };
        if others * chance(risk, rejects - 1) > asked + CONFIDENCE_TOLERANCE {
            let (claimed, expected) = (part.spares, u64::from(part.spares) - 1);
            found.push(Violation::SparesOver { part: part.name.clone(), claimed, expected });
        }
    }
}

/// Of each section's parts the shortest, leaving out those that want no spares at all.
fn set_up_parts(claim: &Claim<'_>, wanted: &[Wanted]) -> Vec<usize> {
    let mut sections: BTreeMap<(&Species, Length, Length), usize> = BTreeMap::new();
    for (i, part) in claim.parts.iter().enumerate() {
        let size = size_of(part);
        if wanted.iter().filter(|want| want.size == size).all(|want| want.no_spares) {
            continue;
        }
        let shortest = sections.entry((&part.species, part.width, part.thickness)).or_insert(i);
        if part.length < claim.parts[*shortest].length {
            *shortest = i;
        }
    }
    sections.into_values().collect()
}

/// Spares that are simply counted, and the groups whose spares answer a risk.
fn fixed_and_risks(asks: &[&Wanted]) -> (u64, Vec<Risk>) {
    let mut rates: Vec<SpareRate> = Vec::new();
    for ask in asks {
        if !rates.contains(&ask.rate) {
            rates.push(ask.rate);
        }
    }
    let mut fixed = sum(asks.iter().map(|ask| ask.repair));
    let mut risks = Vec::new();
    for rate in rates {
        let of_rate = || asks.iter().filter(|ask| ask.rate == rate);
        let strips = sum(of_rate().map(|ask| ask.strips));
        match rate {
            SpareRate::None => {}
            SpareRate::Percent(share) => {
                let spares = Decimal::from(strips).checked_mul(share.decimal()).and_then(|s| s.ceil().to_u64());
                fixed = fixed.saturating_add(spares.unwrap_or(u64::MAX));
            }
            SpareRate::RejectRate(reject) => {
                let good = strips.saturating_add(sum(of_rate().map(|ask| ask.repair)));
                risks.push(Risk { good, reject: reject.f64() });
            }
        }
    }
    (fixed, risks)
}

fn chance(risk: &Risk, spares: u64) -> f64 {
    enough_good(risk.good.saturating_add(spares), risk.good, risk.reject)
}

/// The best chance that `rejects` spares give the groups of one part. A spare goes where it helps most,
/// which is the best there is, since each chance is log-concave in its spares.
fn best_chance(risks: &[Risk], rejects: u64) -> f64 {
    if risks.len() == 1 || rejects > MOST_SHARED {
        return risks.iter().map(|risk| chance(risk, rejects)).product();
    }
    let mut given = vec![0u64; risks.len()];
    for _ in 0..rejects {
        let help = |i: usize| chance(&risks[i], given[i] + 1) / chance(&risks[i], given[i]);
        if let Some(best) = (0..risks.len()).max_by(|a, b| help(*a).total_cmp(&help(*b))) {
            given[best] += 1;
        }
    }
    risks.iter().zip(given).map(|(risk, spares)| chance(risk, spares)).product()
}

/// Along, across, and whether a piece may be turned.
type ClothSize = (Length, Length, bool);

fn check_cloth(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let job = claim.job;
    let doors = claim.doors.iter().flat_map(|door| {
        let turn = job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.turn).unwrap_or(job.shop.canvas.turn);
        let of_door =
            move |(along, band)| ((along, door.cloth_along_slat, turn), (door.name.as_str(), band), door.count);
        pieces_of(claim, door).into_iter().map(of_door)
    });
    let loose = job.cloth_pieces.iter();
    let loose = loose.map(|p| ((p.along, p.across, p.turn), (p.name.as_str(), Band::Whole), p.quantity));
    let mut wanted: BTreeMap<ClothSize, BTreeMap<(&str, Band), usize>> = BTreeMap::new();
    for (size, owner, count) in doors.chain(loose).filter(|(_, _, count)| *count > 0) {
        *wanted.entry(size).or_default().entry(owner).or_default() += count as usize;
    }
    check_names(claim.cloth_needs.iter().map(|need| &need.name), found);
    let mut planned: BTreeMap<ClothSize, &str> = BTreeMap::new();
    for need in claim.cloth_needs {
        let size = (need.along, need.across, need.turn);
        if let Some(first) = planned.insert(size, &need.name) {
            found.push(Violation::ClothTwice { first: first.to_owned(), second: need.name.clone() });
        }
        let Some(owners) = wanted.get(&size) else {
            found.push(Violation::ClothUnasked { piece: need.name.clone() });
            continue;
        };
        let mut copies: BTreeMap<(&str, Band), usize> = owners.keys().map(|owner| (*owner, 0)).collect();
        for owner in &need.owners {
            *copies.entry((&owner.name, owner.band)).or_default() += 1;
        }
        for (owner, claimed) in copies {
            let expected = owners.get(&owner).copied().unwrap_or(0);
            if claimed != expected {
                let (piece, owner) = (need.name.clone(), spelled(owner));
                found.push(Violation::ClothOwner { piece, owner, claimed, expected });
            }
        }
    }
    for (_, owners) in wanted.into_iter().filter(|(size, _)| !planned.contains_key(size)) {
        found.extend(owners.into_keys().map(|asker| Violation::ClothMissing { asker: spelled(asker) }));
    }
}

fn spelled((owner, band): (&str, Band)) -> String {
    if band == Band::Whole { owner.to_owned() } else { format!("{owner}, {} band", band.word()) }
}

/// The pieces of a door's cloth along the travel. Of two bands that meet under the middle of a slat the wider one is
/// as narrow as any such slat allows.
fn pieces_of(claim: &Claim<'_>, door: &Door) -> Vec<(Length, Band)> {
    let whole = vec![(door.cloth_along_travel, Band::Whole)];
    if !claim.job.cabinets.get(door.cabinet).is_some_and(|cabinet| cabinet.seam) {
        return whole;
    }
    let canvas = &claim.job.shop.canvas;
    let all = nm(door.cloth_along_travel);
    let to_first = nm(canvas.trim) + nm(canvas.lead_lap);
    let lead = |slat: u32| to_first + (i128::from(slat) * nm(door.slat_width)) - (nm(door.slat_width) + 1) / 2;
    let narrowest = (1..=door.slats).map(lead).min_by_key(|lead| (*lead).max(all - lead));
    let narrowest = narrowest.filter(|lead| *lead < all);
    narrowest.map_or(whole, |lead| vec![(length(lead), Band::Lead), (length(all - lead), Band::Tail)])
}
