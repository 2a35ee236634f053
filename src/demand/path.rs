//! How a family's chance grows with each strip more: the curve that the spares of a whole job are shared out by.

use super::belief::Belief;
use super::luck::{Level, Luck, Rejected};
use super::rejects::{MOST_STRIPS, Rejects};

/// Strips of one size that a job needs or still lacks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Size {
    /// Straight strips wanted; below zero where more are straight than wanted.
    pub(crate) lacking: i64,
    /// Strips that are cut in any case.
    pub(crate) coming: u64,
    /// The rate to be expected.
    pub(crate) mean: f64,
    /// Wood of one strip: what one more costs.
    pub(crate) wood: i128,
}

/// Sizes of which a longer one serves for a shorter one, the longest first.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Family {
    /// What is believed of their rejects, their means aside.
    pub(crate) belief: Belief,
    /// The sizes.
    pub(crate) sizes: Vec<Size>,
    /// The chance that was taken into account when its spares were counted otherwise: it is held against that. 1 where
    /// the spares are counted by the confidence.
    pub(crate) granted: f64,
}

/// Strips of a family that are expected to be cut, and the same times its sizes, beyond which it is taken apart: working
/// out what so many could serve each other with is long, and next to each other they still do.
const MOST_TOGETHER: f64 = 2_000.0;
const MOST_WITH_SIZES: f64 = 8_000.0;
/// Points of one curve.
const MOST_POINTS: usize = 6_000;
/// Steps from the first strips that are needed to the first point of a curve.
const MOST_STEPS: usize = 2_000;
/// Strips more of a size than so many times what it takes at its mean rate, and some, are never enough.
const NEVER_ENOUGH: f64 = 12.0;

/// The chances of a family, strip by strip.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Path {
    /// Logarithms of the chances, rising.
    pub(super) ln: Vec<f64>,
    /// The strips more at each of them.
    pub(super) more: More,
}

/// Strips beyond those that come in any case.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum More {
    /// Of a size that stands alone: so many at the first point, and one more at each.
    From(u64),
    /// Of each size.
    Each(Vec<Vec<u64>>),
}

impl Path {
    pub(super) fn more(&self, step: usize) -> Vec<u64> {
        match &self.more {
            More::From(first) => vec![first + step as u64],
            More::Each(each) => each[step].clone(),
        }
    }
}

/// Where a curve begins and ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends {
    /// The chance without which no choice is any good.
    pub(super) floor: f64,
    /// The risk that is as good as none.
    pub(super) tail: f64,
}

impl Family {
    pub(super) fn levels(&self, more: &[u64]) -> Vec<Level> {
        let level =
            |(size, more): (&Size, &u64)| Level { lacking: size.lacking, cut: size.coming + more, mean: size.mean };
        self.sizes.iter().zip(more).map(level).collect()
    }

    pub(super) fn luck(&self) -> Luck {
        Luck::new(&self.belief, &self.levels(&vec![0; self.sizes.len()]))
    }

    /// The logarithm of the chance, held against what was granted.
    pub(super) fn ln(&self, luck: &Luck, more: &[u64]) -> f64 {
        self.held(luck.enough(&self.levels(more)).ln())
    }

    fn held(&self, ln: f64) -> f64 {
        (ln - self.granted.ln()).min(0.0)
    }

    /// The chance of enough with so many strips more.
    pub(crate) fn chance(&self, more: &[u64]) -> f64 {
        self.luck().enough(&self.levels(more))
    }

    /// The same family; taken apart, from the longest size down, where it is too much to be taken together.
    pub(crate) fn parted(self) -> Vec<Self> {
        let mut parts: Vec<Self> = Vec::new();
        let mut strips = 0.0;
        for size in &self.sizes {
            let here = size.lacking.max(0) as f64 / (1.0 - size.mean);
            let fits = |part: &Self| {
                let all = strips + here;
                all <= MOST_TOGETHER && all * (part.sizes.len() + 1) as f64 <= MOST_WITH_SIZES
            };
            match parts.last_mut().filter(|part| fits(part)) {
                Some(part) => {
                    part.sizes.push(*size);
                    strips += here;
                }
                None => {
                    parts.push(Self { sizes: vec![*size], ..self.clone() });
                    strips = here;
                }
            }
        }
        parts
    }

    /// Its curve; `Err` names a size that needs more strips than are ever counted.
    pub(super) fn path(&self, ends: Ends) -> Result<Path, usize> {
        match self.sizes[..] {
            [size] => self.path_alone(size, ends).ok_or(0),
            _ => Walk::new(self).path(ends),
        }
    }

    fn path_alone(&self, size: Size, ends: Ends) -> Option<Path> {
        let simple = self.belief.weight.is_infinite() && self.belief.alike <= 0.0 && self.granted >= 1.0;
        if let (true, Ok(good), 0) = (simple, u64::try_from(size.lacking), size.lacking - size.coming.cast_signed()) {
            let Rejects { first, ln } = Rejects::new(good, size.mean, ends.floor)?;
            return Some(Path { ln, more: More::From(first) });
        }
        let luck = self.luck();
        let at = |more: u64| luck.one(Level { lacking: size.lacking, cut: size.coming + more, mean: size.mean });
        let enough = |more: u64| at(more).0 >= ends.floor * self.granted;
        let (mut low, mut first) = (0, 0);
        while !enough(first) {
            (low, first) = (first, (first * 2).max(1));
            if first > MOST_STRIPS {
                return None;
            }
        }
        while low + 1 < first {
            let middle = low.midpoint(first);
            if enough(middle) { first = middle } else { low = middle }
        }
        let step = coarse(&luck, &[size]);
        let (mut ln, mut each) = (Vec::new(), Vec::new());
        for more in (first..).step_by(usize::try_from(step).ok()?).take(MOST_POINTS) {
            let (chance, risk) = at(more);
            let now = self.held(if risk < 0.5 { (-risk).ln_1p() } else { chance.ln() });
            // What a strip more does not help is no point of the curve, but where it has only one.
            if ln.last().is_none_or(|last| now > *last) {
                ln.push(now);
                each.push(vec![more]);
            }
            if risk < ends.tail || now >= 0.0 {
                break;
            }
        }
        let unbroken = each.iter().zip(first..).all(|(each, more)| each[0] == more);
        Some(Path { ln, more: if unbroken { More::From(first) } else { More::Each(each) } })
    }
}

/// How many strips are added at a time: one, or a small part of what the rejects vary by.
fn coarse(luck: &Luck, sizes: &[Size]) -> u64 {
    let strips: f64 = sizes.iter().map(|size| size.lacking.max(0) as f64 / (1.0 - size.mean)).sum();
    let failing: f64 = sizes.iter().map(|size| size.lacking.max(0) as f64 * size.mean / (1.0 - size.mean)).sum();
    let rate = if strips > 0.0 { failing / strips } else { 0.0 };
    let varies = strips * rate * (1.0 - rate) * luck.spread(strips);
    ((varies.sqrt() / 7.0) as u64).max(1)
}

/// A family on its way from the fewest strips to practical certainty. For each rate it keeps the rejects of every size,
/// of those before it, and the chance that those after it are enough: with these the gain of one strip more of any size is
/// at hand.
struct Walk<'a> {
    family: &'a Family,
    luck: Luck,
    more: Vec<u64>,
    /// Strips to spare down to each size.
    spare: Vec<i64>,
    rates: Vec<AtRate>,
}

struct AtRate {
    shift: f64,
    chance: f64,
    /// Rejects of each size, and with one strip more.
    own: Vec<(Rejected, Rejected)>,
    /// Rejects of all sizes before each, and of all, where there was enough so far.
    before: Vec<Rejected>,
    /// The chance that each size and those after it are enough, by the rejects before: from the lowest of `before` less
    /// one.
    after: Vec<(u64, Vec<f64>)>,
}

impl<'a> Walk<'a> {
    fn new(family: &'a Family) -> Self {
        let luck = family.luck();
        let count = family.sizes.len();
        let rates = luck.rates().iter().map(|&(shift, chance)| AtRate {
            shift,
            chance,
            own: Vec::new(),
            before: Vec::new(),
            after: vec![(0, Vec::new()); count + 1],
        });
        let mut walk = Self { rates: rates.collect(), more: vec![0; count], spare: vec![0; count], family, luck };
        // Without a single reject these are needed.
        let mut spare = 0;
        for at in 0..count {
            let size = family.sizes[at];
            spare += size.coming.cast_signed() - size.lacking;
            if let Ok(short @ 1..) = u64::try_from(-spare) {
                (walk.more[at], spare) = (short, 0);
            }
        }
        let all: Vec<usize> = (0..count).collect();
        walk.set(&all);
        walk
    }

    /// Works everything out anew after the strips of these sizes have changed.
    fn set(&mut self, changed: &[usize]) {
        let levels = self.family.levels(&self.more);
        let mut spare = 0;
        for (at, level) in levels.iter().enumerate() {
            spare += level.cut.cast_signed() - level.lacking;
            self.spare[at] = spare;
        }
        for rate in &mut self.rates {
            for &at in changed {
                let more = Level { cut: levels[at].cut + 1, ..levels[at] };
                let own = (self.luck.rejects(levels[at], rate.shift), self.luck.rejects(more, rate.shift));
                if at < rate.own.len() { rate.own[at] = own } else { rate.own.push(own) }
            }
            rate.sum(&self.spare);
        }
    }

    fn chance(&self) -> f64 {
        let at_rate = |rate: &AtRate| -> f64 {
            rate.chance * rate.before.last().map_or(1.0, |all| all.chances.iter().sum::<f64>())
        };
        self.rates.iter().map(at_rate).sum::<f64>().min(1.0)
    }

    /// The chance with one strip more of a size.
    fn with_one(&self, at: usize) -> f64 {
        let room = self.spare[at] + 1;
        self.rates.iter().map(|rate| rate.chance * rate.with_one(at, room)).sum::<f64>().min(1.0)
    }

    fn add(&mut self, at: usize, strips: u64) {
        self.more[at] += strips;
        self.set(&[at]);
    }

    /// The size of which a strip more gains most for its wood.
    fn best(&self) -> usize {
        let now = self.chance().max(f64::MIN_POSITIVE).ln();
        let worth = |at: usize| {
            let gain = self.with_one(at).max(f64::MIN_POSITIVE).ln() - now;
            gain / self.family.sizes[at].wood.max(1) as f64
        };
        let all = (0..self.more.len()).map(|at| (worth(at), at));
        all.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map_or(0, |best| best.1)
    }

    fn path(mut self, ends: Ends) -> Result<Path, usize> {
        let step = coarse(&self.luck, &self.family.sizes);
        let held = |chance: f64| self.family.held(chance.ln());
        let floor = ends.floor * self.family.granted;
        if self.chance() < floor {
            self.start();
        }
        let mut steps = 0;
        while self.chance() < floor {
            let at = self.best();
            self.add(at, step);
            steps += 1;
            if steps > MOST_STEPS || self.never_enough(at) {
                return Err(at);
            }
        }
        let (mut ln, mut each) = (vec![held(self.chance())], vec![self.more.clone()]);
        while self.chance() < (1.0 - ends.tail) * self.family.granted.min(1.0) && each.len() < MOST_POINTS {
            let at = self.best();
            self.add(at, step);
            let now = held(self.chance());
            if ln.last().is_some_and(|last| now > *last) {
                ln.push(now);
                each.push(self.more.clone());
            } else if self.never_enough(at) {
                break;
            }
        }
        Ok(Path { ln, more: More::Each(each) })
    }

    fn never_enough(&self, at: usize) -> bool {
        let all: f64 = self.family.sizes.iter().map(|s| s.lacking.max(0) as f64 / (1.0 - s.mean)).sum();
        self.more[at] as f64 > all * NEVER_ENOUGH + 200.0
    }

    /// Goes on at once to about what fails for sure.
    fn start(&mut self) {
        let sizes = &self.family.sizes;
        for (more, size) in self.more.iter_mut().zip(sizes) {
            let strips = size.lacking.max(0) as f64 / (1.0 - size.mean);
            let varies = (strips * size.mean * (1.0 - size.mean) * self.luck.spread(strips)).sqrt();
            let least = (strips - 1.5 * varies - size.coming as f64).floor();
            // A cast of what is below zero is zero.
            *more = (*more).max(least as u64);
        }
        let all: Vec<usize> = (0..self.more.len()).collect();
        self.set(&all);
    }
}

impl AtRate {
    fn sum(&mut self, spare: &[i64]) {
        let count = self.own.len();
        self.before.clear();
        self.before.push(Rejected::none());
        for (own, spare) in self.own.iter().zip(spare) {
            let before = &self.before[self.before.len() - 1];
            let next = match u64::try_from(*spare) {
                Ok(spare) => before.and(&own.0, spare),
                Err(_) => Rejected { lowest: 0, chances: Vec::new() },
            };
            self.before.push(next);
        }
        self.after[count] = (0, vec![1.0]);
        for at in (0..count).rev() {
            let lowest = self.before[at].lowest.saturating_sub(1);
            let highest = if at == 0 { 0 } else { u64::try_from(spare[at - 1]).unwrap_or(0) };
            let reach = self.before[at].lowest + self.before[at].chances.len() as u64;
            let chance = |before: u64| self.goes_on(at, &self.own[at].0, before, spare[at], 0);
            let chances = (lowest..=highest.min(reach).max(lowest)).map(chance).collect();
            self.after[at] = (lowest, chances);
        }
    }

    fn with_one(&self, at: usize, room: i64) -> f64 {
        let before = (self.before[at].lowest..).zip(&self.before[at].chances);
        // With one strip more to spare, those after it stand as with one reject less.
        before.map(|(before, chance)| chance * self.goes_on(at, &self.own[at].1, before, room, 1)).sum()
    }

    /// The chance that a size, of which so many are rejects, and those after it are enough after so many rejects
    /// `before`, where there is `room` for so many in all and those after it stand as with some rejects `less`.
    fn goes_on(&self, at: usize, own: &Rejected, before: u64, room: i64, less: u64) -> f64 {
        let fewest = before + own.lowest;
        let Ok(fitting) = usize::try_from(room.saturating_add(1).saturating_sub_unsigned(fewest)) else { return 0.0 };
        let own = &own.chances[..fitting.min(own.chances.len())];
        if at + 2 == self.after.len() {
            return own.iter().sum();
        }
        let (lowest, after) = &self.after[at + 1];
        // Where `after` begins; what lies below it is as good as that.
        let below = usize::try_from((lowest + less).saturating_sub(fewest)).unwrap_or(usize::MAX).min(own.len());
        let first = usize::try_from((fewest + below as u64).saturating_sub(lowest + less)).unwrap_or(usize::MAX);
        let low: f64 = own[..below].iter().map(|own| own * after.first().copied().unwrap_or(0.0)).sum();
        let rest = after.get(first..).unwrap_or(&[]);
        own[below..].iter().zip(rest).fold(low, |sum, (own, after)| sum + own * after)
    }
}
