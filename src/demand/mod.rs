//! Demand: strips pooled over all doors, cabinets and loose strips, with their spares, and the
//! cloth pieces.
//!
//! Slats of equal species, sizes and allowed millings are one part, whichever door they are for: the
//! fence is set once for all of them, and they share their spares. Spares are counted for the whole
//! job: with a reject rate the chance that no size runs short reaches the confidence asked for, with as little wood as
//! can be. A longer straight strip makes a shorter one of its section, and what is not known of the rate, and boards
//! whose strips fail together, are in that chance ([`Belief`]).

mod belief;
mod bundles;
mod cloth;
mod confidence;
mod luck;
mod marks;
mod path;
mod rejects;
mod strips;
mod trip;

use thiserror::Error;

pub use self::belief::{BOARD_LOT, Belief, HISTORY_WEIGHT, NONE_WEIGHT, PERCENT_WEIGHT, Section, spread};
pub use self::bundles::{Bundle, Takes};
pub(crate) use self::confidence::least_wood;
pub(crate) use self::path::{Family, Size};
pub use self::trip::SecondTrip;
use itertools::Itertools;

use crate::cutting::StripSize;
use crate::doors::{Band, Door};
use crate::job::{Job, Millings, Species};
use crate::measure::{Length, Volume};

/// What is to be cut, and what pooling it saved.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// The pooled strips: sizes that doors ask for first, then by species, width, thickness, length.
    pub parts: Vec<Part>,
    /// The cloth pieces in job order, equal ones merged.
    pub cloth: Vec<ClothNeed>,
    /// Who gets a bundle of strips: doors with their copies in job order, then loose strips.
    pub bundles: Vec<Bundle>,
    /// The chance asked for that nothing is cut a second time: the job's, or the one that `trip` chose.
    pub confidence: f64,
    /// How the confidence was chosen, where the shop says what a second trip costs and the job asks for none.
    pub trip: Option<SecondTrip>,
    /// Pooled spares beside those of doors made one by one.
    pub pooling: PoolingSaved,
    /// What the maker should know of the counting.
    pub notes: Vec<String>,
}

/// Spares of the pooled job beside those that the same job would take when every door of the file
/// (with its copies) and every loose strip were cut on its own, to the same confidence for the whole
/// job and set up each time. Pooled wood is never more: any answer for separate doors is one for
/// the pooled sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PoolingSaved {
    /// Spare strips with every door on its own.
    pub separate: u64,
    /// Wood of those.
    pub separate_wood: Volume,
    /// Spare strips pooled.
    pub pooled: u64,
    /// Wood of those.
    pub pooled_wood: Volume,
}

/// Why a demand cannot be counted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DemandError {
    /// More strips of one size than are ever counted.
    #[error("`{name}` asks for over {} strips of one size with its spares", rejects::MOST_STRIPS)]
    TooManyStrips {
        /// A door or a loose strip that uses the size.
        name: String,
    },
    /// More strips of all sizes together than are ever counted.
    #[error("the job asks for {strips} strips with their spares, over {}", rejects::MOST_STRIPS)]
    TooManyInAll {
        /// How many.
        strips: u64,
        /// The door or loose strip that asks for most.
        name: String,
    },
    /// More sizes of one wood than are packed together.
    #[error("{species} is cut to {sizes} different sizes; at most {MOST_SIZES} are packed together")]
    TooManySizes {
        /// The wood.
        species: String,
        /// Different sizes of strips asked of it.
        sizes: usize,
        /// A door or a loose strip of that wood.
        name: String,
    },
    /// More cloth pieces than are ever counted.
    #[error("with `{name}` the job asks for over {} cloth pieces", cloth::MOST_PIECES)]
    TooManyPieces {
        /// The door or the loose piece that went over.
        name: String,
    },
}

/// Sizes of strips of one wood in one job, far above any shop's: packing many more takes minutes.
pub const MOST_SIZES: usize = 150;

/// Pools a job's strips and cloth and adds the spares.
///
/// A part needs what doors and loose strips ask for. Its spares are, together:
/// - `repair_strips` of the ordinary slat for every door built, left with the client;
/// - for a share in percent, that share of the needed strips, rounded up;
/// - for a reject rate, the strips beyond the good ones (needed and repair) that bring the chance that all sizes have
///   enough to the confidence at least wood, wood standing for cost. Sizes of one section and the same millings are a
///   family, in which a longer straight strip serves for a shorter one; the chances of the families are multiplied.
///   Strips of one part under several rates fail at their mean;
/// - `setup_strips` for every section (species, width, thickness), on its shortest part.
///
/// A loose strip with `spares = "none"` comes out exactly, set-up strips included: its section gets
/// them only when another part shares it.
///
/// # Errors
/// [`DemandError`] when a size or the cloth runs to numbers that are never cut.
pub fn pool(job: &Job, doors: &[Door]) -> Result<Demand, DemandError> {
    let asks = strips::asks(job, doors);
    let pooled = [strips::pool_asks(asks.iter().flatten())?];
    check_sizes(&pooled[0])?;
    let mut beliefs = strips::Beliefs::new(job);
    let spares = strips::Asked::of(&pooled, &mut beliefs)?;
    let chosen = job.spares.second_trip.and_then(|trip| trip::cheapest_confidence(job, &spares, trip));
    let confidence = chosen.map_or(job.spares.confidence.f64(), |chosen| chosen.0);
    let spares = spares.spares(confidence)?;
    let separate: Vec<Vec<strips::Lot>> =
        asks.iter().map(|batch| strips::pool_asks(batch.iter())).collect::<Result<_, _>>()?;
    let separate_spares = strips::Asked::of(&separate, &mut strips::Beliefs::new(job))?.spares(confidence)?;
    let believed: Vec<Belief> = pooled[0].iter().map(|lot| lot.belief(&mut beliefs)).collect();

    let mut pooling = PoolingSaved::default();
    (pooling.pooled, pooling.pooled_wood) = spare_totals(&pooled, &spares.strips);
    (pooling.separate, pooling.separate_wood) = spare_totals(&separate, &separate_spares.strips);
    let mut notes = Vec::new();
    if !spares.proven {
        notes.push("spares: so many sizes that a good choice stands for the one of least wood".to_owned());
    }
    let [lots] = pooled;
    let count = lots.len();
    let spares = spares.strips.into_iter().flatten().zip(believed);
    let parts = lots.into_iter().zip(spares).enumerate().map(|(i, (lot, spares))| part(i, count, lot, spares));
    let parts: Vec<Part> = parts.collect::<Result<_, _>>()?;
    let strips = parts.iter().map(|part| u64::from(part.total())).sum();
    if strips > rejects::MOST_STRIPS {
        return Err(DemandError::TooManyInAll { strips, name: asks_most(&parts) });
    }
    let bundles = bundles::bundles(job, doors, &parts);
    let (cloth, trip) = (cloth::cloth_needs(job, doors)?, chosen.map(|chosen| chosen.1));
    Ok(Demand { parts, cloth, bundles, confidence, trip, pooling, notes })
}

fn check_sizes(lots: &[strips::Lot]) -> Result<(), DemandError> {
    let by_wood = lots.iter().into_group_map_by(|lot| lot.key.species.name());
    let most = by_wood.into_iter().max_by_key(|(wood, lots)| (lots.len(), *wood));
    match most.filter(|(_, lots)| lots.len() > MOST_SIZES) {
        Some((wood, lots)) => Err(DemandError::TooManySizes {
            species: wood.to_owned(),
            sizes: lots.len(),
            name: lots[0].uses.first().map_or_else(String::new, |user| user.name.clone()),
        }),
        None => Ok(()),
    }
}

/// Who asks for most strips of one size.
fn asks_most(parts: &[Part]) -> String {
    let users = parts.iter().flat_map(|part| &part.uses);
    users.rev().max_by_key(|user| user.strips).map_or_else(String::new, |user| user.name.clone())
}

impl DemandError {
    /// A door, a loose strip or a loose cloth piece that it comes from.
    #[must_use]
    pub fn user(&self) -> &str {
        match self {
            Self::TooManyStrips { name }
            | Self::TooManyInAll { name, .. }
            | Self::TooManySizes { name, .. }
            | Self::TooManyPieces { name } => name,
        }
    }
}

fn part(index: usize, count: usize, lot: strips::Lot, (spares, belief): (u64, Belief)) -> Result<Part, DemandError> {
    let too_many =
        || DemandError::TooManyStrips { name: lot.uses.first().map_or_else(String::new, |u| u.name.clone()) };
    if lot.needed + spares > rejects::MOST_STRIPS {
        return Err(too_many());
    }
    Ok(Part {
        name: numbered('S', index, count),
        species: lot.key.species.clone(),
        length: lot.key.length,
        width: lot.key.width,
        thickness: lot.key.thickness,
        millings: lot.key.millings,
        needed: u32::try_from(lot.needed).map_err(|_| too_many())?,
        spares: u32::try_from(spares).map_err(|_| too_many())?,
        at_risk: lot.at_risk() > 0,
        belief,
        uses: lot.uses,
    })
}

fn spare_totals(batches: &[Vec<strips::Lot>], spares: &[Vec<u64>]) -> (u64, Volume) {
    let lots = batches.iter().flatten().zip(spares.iter().flatten());
    // Counts run to millions at most, so the cast keeps them.
    lots.fold((0, Volume::default()), |(strips, wood), (lot, n)| (strips + n, wood + lot.key.wood() * n.cast_signed()))
}

/// `S01`, `S02` ... with as many digits as the last one needs, so that names sort as they are listed.
fn numbered(letter: char, index: usize, count: usize) -> String {
    let digits = count.to_string().len().max(2);
    format!("{letter}{:0digits$}", index + 1)
}

/// One pooled strip size.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Unique short name, written on the bundle: `S01`.
    pub name: String,
    /// Its wood.
    pub species: Species,
    /// Finished length, without `length_trim`.
    pub length: Length,
    /// Width to rip for flat milling, `lead_trim` included, without `rip_trim`.
    pub width: Length,
    /// Finished thickness.
    pub thickness: Length,
    /// Allowed millings.
    pub millings: Millings,
    /// Strips the doors and loose pieces need.
    pub needed: u32,
    /// Strips beyond that: rejects, set-up, repair.
    pub spares: u32,
    /// What is believed of its rejects before any is cut.
    pub belief: Belief,
    /// Its spares answer the confidence of the job; otherwise they are none, or counted by the hundred.
    pub at_risk: bool,
    /// Who asked, in job order.
    pub uses: Vec<PartUse>,
}

impl Part {
    /// Strips to cut.
    #[must_use]
    pub const fn total(&self) -> u32 {
        self.needed + self.spares
    }

    /// What it shares with strips that are cut with the same setting of fence and cutter.
    #[must_use]
    pub const fn section(&self) -> Section<'_> {
        (&self.species, self.width, self.thickness)
    }

    /// Its size.
    #[must_use]
    pub const fn size(&self) -> StripSize {
        let Self { length, width, thickness, millings, .. } = *self;
        StripSize { length, width, thickness, millings }
    }
}

/// One asker of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartUse {
    /// Door or loose strip name.
    pub name: String,
    /// `slat`, `lead slat` or `strip`.
    pub role: &'static str,
    /// Strips needed, all copies together.
    pub strips: u32,
}

/// One kind of cloth piece.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothNeed {
    /// Unique short name: `C01`.
    pub name: String,
    /// The doors (or loose pieces) it is for, each named once, in job order.
    pub doors: Vec<String>,
    /// Along the bolt.
    pub along: Length,
    /// Across the bolt.
    pub across: Length,
    /// May be turned a quarter.
    pub turn: bool,
    /// Pieces to cut; copy `i` belongs to `owners[i]`.
    pub owners: Vec<Owner>,
}

/// Whose one piece of cloth is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owner {
    /// The door, or the loose piece.
    pub name: String,
    /// Which piece of the door's cloth.
    pub band: Band,
}
