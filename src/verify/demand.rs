//! Demand: strips and cloth recounted from doors and loose pieces.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::belief::{Believed, believed, rate_of};
use super::chance::{Stand, enough_good, first_part};
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
                rate: rate_of_size(claim, &slats.species, door.slat_length),
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
            rate: strip.spares.unwrap_or_else(|| rate_of_size(claim, &strip.species, strip.length)),
            no_spares: strip.spares == Some(SpareRate::None),
        });
    }
    wanted.retain(|want| want.strips > 0);
    wanted
}

/// The job's rate for strips of a wood and a length: of several the first that is for such strips.
fn rate_of_size(claim: &Claim<'_>, species: &Species, length: Length) -> SpareRate {
    let spares = &claim.job.spares;
    for of in &spares.rates {
        let short_enough = match of.under {
            Some(under) => length < under,
            None => true,
        };
        if short_enough && (of.species.is_none() || of.species.as_ref() == Some(species)) {
            return SpareRate::RejectRate(of.rate);
        }
    }
    spares.rate
}

/// Counts of a damaged plan may run past any number.
fn sum(counts: impl Iterator<Item = u64>) -> u64 {
    counts.fold(0, u64::saturating_add)
}

/// A part whose spares answer a risk.
struct AtRisk<'a> {
    part: &'a Part,
    believed: Believed,
    stand: Stand,
    /// Spares beyond those that are simply counted.
    rejects: u64,
}

/// Tolerance of the confidence: far above what the sums lose, far below any strip's effect.
const CONFIDENCE_TOLERANCE: f64 = 1e-7;

fn check_spares(claim: &Claim<'_>, wanted: &[Wanted], found: &mut Vec<Violation>) {
    let set_up = set_up_parts(claim, wanted);
    let mut at_risk: Vec<AtRisk<'_>> = Vec::new();
    for (i, part) in claim.parts.iter().enumerate() {
        let size = size_of(part);
        let asks: Vec<&Wanted> = wanted.iter().filter(|want| want.size == size).collect();
        // A part that is needed otherwise is named already, and its spares say nothing.
        if asks.is_empty() || sum(asks.iter().map(|want| want.strips)) != u64::from(part.needed) {
            continue;
        }
        let set_up = if set_up.contains(&i) { u64::from(claim.job.spares.setup_strips) } else { 0 };
        let expected = fixed(&asks).saturating_add(set_up);
        let risk = risk(claim, part, &asks);
        let claimed = part.spares;
        match u64::from(claimed).checked_sub(expected) {
            None => found.push(Violation::SparesShort { part: part.name.clone(), claimed, expected }),
            Some(rejects) => match risk {
                Some((stand, believed)) => {
                    let stand = Stand { cut: stand.good.saturating_add(rejects), ..stand };
                    at_risk.push(AtRisk { part, believed, stand, rejects });
                }
                None if rejects == 0 => {}
                None => found.push(Violation::SparesOver { part: part.name.clone(), claimed, expected }),
            },
        }
    }
    let asked = claim.job.spares.confidence.f64();
    if claim.job.spares.second_trip.is_none() && (claim.confidence - asked).abs() > CONFIDENCE_TOLERANCE {
        found.push(Violation::Confidence { claimed: claim.confidence, asked });
    }
    check_confidence(claim.confidence, &at_risk, found);
}

/// The parts that serve each other: one section, one choice of millings, the longest first.
fn families<'a>(at_risk: &'a [AtRisk<'a>]) -> Vec<Vec<&'a AtRisk<'a>>> {
    let mut families: BTreeMap<(&Species, Length, Length, Millings), Vec<&AtRisk<'_>>> = BTreeMap::new();
    for risk in at_risk {
        let part = risk.part;
        families.entry((&part.species, part.width, part.thickness, part.millings)).or_default().push(risk);
    }
    let mut parts = Vec::new();
    for mut family in families.into_values() {
        family.sort_by_key(|risk| std::cmp::Reverse(risk.part.length));
        while let Some(first) = first_part(family.iter().map(|risk| risk.stand)) {
            let rest = family.split_off(first);
            parts.push(std::mem::replace(&mut family, rest));
        }
        parts.push(family);
    }
    parts
}

/// The product of the families' chances reaches the confidence, and no part could do with one spare less.
fn check_confidence(asked: f64, at_risk: &[AtRisk<'_>], found: &mut Vec<Violation>) {
    let families = families(at_risk);
    let chance = |family: &[&AtRisk<'_>], less: Option<usize>| {
        let stand = |(at, risk): (usize, &&AtRisk<'_>)| Stand {
            cut: risk.stand.cut - u64::from(less == Some(at)),
            ..risk.stand
        };
        let stands: Vec<Stand> = family.iter().enumerate().map(stand).collect();
        enough_good(&family[0].believed, &stands)
    };
    let chances: Vec<f64> = families.iter().map(|family| chance(family, None)).collect();
    let reached: f64 = chances.iter().product();
    let weakest = families.iter().zip(&chances).min_by(|a, b| a.1.total_cmp(b.1));
    if let Some((family, _)) = weakest.filter(|_| reached < asked - CONFIDENCE_TOLERANCE) {
        let names: Vec<&str> = family.iter().map(|risk| risk.part.name.as_str()).collect();
        found.push(Violation::ConfidenceShort { reached, asked, weakest: names.join(", ") });
    }
    for (i, family) in families.iter().enumerate() {
        let others: f64 = chances.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, chance)| chance).product();
        for (at, risk) in family.iter().enumerate().filter(|(_, risk)| risk.rejects > 0) {
            if others * chance(family, Some(at)) > asked + CONFIDENCE_TOLERANCE {
                let (claimed, expected) = (risk.part.spares, u64::from(risk.part.spares) - 1);
                found.push(Violation::SparesOver { part: risk.part.name.clone(), claimed, expected });
            }
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

/// Spares that are simply counted.
fn fixed(asks: &[&Wanted]) -> u64 {
    let mut shares: Vec<SpareRate> = Vec::new();
    for ask in asks {
        if !shares.contains(&ask.rate) {
            shares.push(ask.rate);
        }
    }
    let mut fixed = sum(asks.iter().map(|ask| ask.repair));
    for rate in shares {
        if let SpareRate::Percent(share) = rate {
            let strips = sum(asks.iter().filter(|ask| ask.rate == rate).map(|ask| ask.strips));
            let spares = Decimal::from(strips).checked_mul(share.decimal()).and_then(|s| s.ceil().to_u64());
            fixed = fixed.saturating_add(spares.unwrap_or(u64::MAX));
        }
    }
    fixed
}

/// The good strips whose spares answer a risk, and the rate to be expected of them; `None` where there are none.
fn risk(claim: &Claim<'_>, part: &Part, asks: &[&Wanted]) -> Option<(Stand, Believed)> {
    let (mut good, mut bad, mut known) = (0u64, 0.0, None);
    for (ask, rate) in asks.iter().filter_map(|ask| Some((ask, rate_of(ask.rate)?))) {
        let (mean, of) = believed(claim.job, rate, part);
        let strips = ask.strips.saturating_add(ask.repair);
        good = good.saturating_add(strips);
        bad += strips as f64 * mean;
        known = Some(of);
    }
    Some((Stand { good, cut: good, mean: bad / good as f64 }, known.filter(|_| good > 0)?))
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
