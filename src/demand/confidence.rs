//! How the spares of a whole job are shared out over its sizes: the confidence is reached with the
//! least wood.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::collections::BinaryHeap;
use std::rc::Rc;

use itertools::Itertools;

use super::luck::Luck;
use super::path::{Ends, Family, More, Path};
use crate::side_by_side::side_by_side;

/// Strips beyond those that come in any case.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chosen {
    /// Of each size of each family.
    pub(crate) more: Vec<Vec<u64>>,
    /// False when so many sizes were asked about that a good choice stands for the one of least wood.
    pub(crate) proven: bool,
}

/// Two sums of logarithms closer than this are taken as equal: the tails are exact to about that.
const TOLERANCE: f64 = 1e-12;

/// States kept of one size, and of all, before the exact search gives way to the greedy answer.
const MOST_STATES: usize = 40_000;
const MOST_STATES_IN_ALL: usize = 400_000;

/// Choices looked at before it does so.
const MOST_LOOKED_AT: usize = 6_000_000;

/// Entries of the bound tables before the exact search is not begun at all.
const MOST_STEPS: usize = 1_000_000;

/// The part of the risk that may be left where a curve ends, shared by all curves.
const REST_OF_RISK: f64 = 1.0 / 50.0;

/// The choice of least wood with a product of chances of at least `confidence`. `Err` names a size, by family and
/// place in it, that needs more strips than are ever counted.
///
/// First greedily: the step that gains most probability for its wood, again and again, then steps that turn out not to
/// be needed are taken back. Then exactly: families are added one at a time, states that another beats in wood
/// and probability are dropped, and so is every state that could not beat the greedy answer even
/// if the steps still to come could be split. Of sizes that stand alone each step is a strip, and that choice is the
/// least there is. The curve of a family of several sizes is one way up of many: from there strips are taken back and
/// exchanged for shorter ones, one by one, for as long as the confidence holds.
pub(crate) fn least_wood(families: &[Family], confidence: f64) -> Result<Chosen, (usize, usize)> {
    let curves = curves(families, confidence)?;
    let target = if confidence > 0.0 { confidence.ln() - TOLERANCE } else { f64::NEG_INFINITY };
    let greedy = greedy(&curves, target);
    let (steps, proven) = match exact(&curves, target, total_wood(&curves, &greedy)) {
        Search::Better(steps) => (steps, true),
        Search::NoBetter => (greedy, true),
        Search::TooLarge => (greedy, false),
    };
    let mut more: Vec<Vec<u64>> = curves.iter().zip(steps).map(|(curve, step)| curve.path.more(step)).collect();
    if curves.iter().any(|curve| matches!(curve.path.more, More::Each(_))) {
        Polish::new(families, &more, target).polish(&mut more);
    }
    Ok(Chosen { more, proven })
}

/// What tells curves of sizes that stand alone apart.
type Alone = (i64, u64, [u64; 4]);

fn curves(families: &[Family], confidence: f64) -> Result<Vec<Curve>, (usize, usize)> {
    let rest = (1.0 - confidence) * REST_OF_RISK / families.len().max(1) as f64;
    let ends = Ends { floor: confidence - TOLERANCE, tail: rest.max(1e-15) };
    // Of sizes that stand alone and are alike, the first is worked out for all.
    let mut first: BTreeMap<Alone, usize> = BTreeMap::new();
    let mut different = Vec::with_capacity(families.len());
    let mut which = Vec::with_capacity(families.len());
    for (at, family) in families.iter().enumerate() {
        let place = match family.sizes[..] {
            [size] => {
                let belief = family.belief;
                let figures = [size.mean, belief.weight, belief.alike, family.granted].map(f64::to_bits);
                *first.entry((size.lacking, size.coming, figures)).or_insert(different.len())
            }
            _ => different.len(),
        };
        if place == different.len() {
            different.push((at, family));
        }
        which.push(place);
    }
    let paths = side_by_side(&different, |(at, family)| family.path(ends).map_err(|size| (*at, size)));
    let paths: Vec<Rc<Path>> = paths.into_iter().map(|path| path.map(Rc::new)).try_collect()?;
    Ok(which.iter().zip(families).map(|(place, family)| Curve::new(Rc::clone(&paths[*place]), family)).collect())
}

/// The wood of strips of a family.
fn wood_of(family: &Family, more: &[u64]) -> i128 {
    family.sizes.iter().zip(more).map(|(size, more)| size.wood * i128::from(*more)).sum()
}

/// Strips taken back and exchanged one by one.
struct Polish<'a> {
    families: &'a [Family],
    lucks: Vec<Luck>,
    ln: Vec<f64>,
    target: f64,
}

/// Sizes of a job up to which strips are exchanged.
const MOST_EXCHANGED: usize = 24;

impl<'a> Polish<'a> {
    fn new(families: &'a [Family], more: &[Vec<u64>], target: f64) -> Self {
        let lucks: Vec<Luck> = families.iter().map(Family::luck).collect();
        let ln = families.iter().zip(&lucks).zip(more).map(|((family, luck), more)| family.ln(luck, more)).collect();
        Self { families, lucks, ln, target }
    }

    /// Takes the change of one family when the confidence still holds.
    fn try_with(&mut self, at: usize, more: &mut Vec<u64>, change: &dyn Fn(&mut Vec<u64>) -> bool) -> bool {
        let mut changed = more.clone();
        if !change(&mut changed) {
            return false;
        }
        let ln = self.families[at].ln(&self.lucks[at], &changed);
        let others: f64 = self.ln.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, ln)| ln).sum();
        let holds = others + ln >= self.target;
        if holds {
            (self.ln[at], *more) = (ln, changed);
        }
        holds
    }

    fn polish(&mut self, more: &mut [Vec<u64>]) {
        let mut places: Vec<(usize, usize)> = Vec::new();
        for (at, family) in self.families.iter().enumerate() {
            places.extend((0..family.sizes.len()).map(|size| (at, size)));
        }
        let wood = |(at, size): (usize, usize)| self.families[at].sizes[size].wood;
        places.sort_by_key(|place| std::cmp::Reverse(wood(*place)));
        self.take_back(more, &places);
        while places.len() <= MOST_EXCHANGED && self.exchange(more, &places) {
            self.take_back(more, &places);
        }
    }

    fn take_back(&mut self, more: &mut [Vec<u64>], places: &[(usize, usize)]) {
        for &(at, size) in places {
            let less = |more: &mut Vec<u64>| {
                more[size].checked_sub(1).is_some_and(|less| {
                    more[size] = less;
                    true
                })
            };
            while self.try_with(at, &mut more[at], &less) {}
        }
    }

    /// One strip for a shorter one of its family; true when there was one to exchange.
    fn exchange(&mut self, more: &mut [Vec<u64>], places: &[(usize, usize)]) -> bool {
        for &(at, long) in places {
            for short in 0..self.families[at].sizes.len() {
                let saves = self.families[at].sizes[short].wood < self.families[at].sizes[long].wood;
                let swap = |more: &mut Vec<u64>| {
                    let Some(less) = more[long].checked_sub(1) else { return false };
                    (more[long], more[short]) = (less, more[short] + 1);
                    true
                };
                if saves && self.try_with(at, &mut more[at], &swap) {
                    return true;
                }
            }
        }
        false
    }
}

/// One family: what each further step gains and costs. Step 0 is the fewest strips that reach the confidence
/// alone, which every answer needs, since no other factor exceeds one.
struct Curve {
    path: Rc<Path>,
    /// Wood of each step, less that of the first.
    wood: Vec<i128>,
}

impl Curve {
    fn new(path: Rc<Path>, family: &Family) -> Self {
        let first = wood_of(family, &path.more(0));
        let wood = match &path.more {
            More::From(_) => (0..path.ln.len()).map(|step| family.sizes[0].wood * step as i128).collect(),
            More::Each(each) => each.iter().map(|more| wood_of(family, more) - first).collect(),
        };
        Self { path, wood }
    }

    /// What the step after this one costs.
    fn next_wood(&self, step: usize) -> i128 {
        self.wood[step + 1] - self.wood[step]
    }

    fn gain(&self, step: usize) -> Option<f64> {
        Some(self.path.ln.get(step + 1)? - self.path.ln[step])
    }
}

fn total_wood(curves: &[Curve], steps: &[usize]) -> i128 {
    curves.iter().zip(steps).map(|(curve, step)| curve.wood[*step]).sum()
}

fn reached(curves: &[Curve], steps: &[usize]) -> f64 {
    curves.iter().zip(steps).map(|(curve, step)| curve.path.ln[*step]).sum()
}

/// The spare of one size that would come next, and what it gains for its wood.
#[derive(Debug, Clone, Copy)]
struct Next {
    worth: f64,
    size: usize,
}

impl Next {
    fn of(curves: &[Curve], steps: &[usize], size: usize) -> Option<Self> {
        let gain = curves[size].gain(steps[size])?;
        Some(Self { worth: gain / curves[size].next_wood(steps[size]).max(1) as f64, size })
    }
}

impl PartialEq for Next {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Next {}

impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Next {
    fn cmp(&self, other: &Self) -> Ordering {
        self.worth.total_cmp(&other.worth).then(other.size.cmp(&self.size))
    }
}

fn greedy(curves: &[Curve], target: f64) -> Vec<usize> {
    let mut steps = vec![0; curves.len()];
    let mut next: BinaryHeap<Next> = (0..curves.len()).filter_map(|size| Next::of(curves, &steps, size)).collect();
    let mut sum = reached(curves, &steps);
    // Every curve ends in practical certainty: the target is met before all of them end.
    let add = |steps: &mut Vec<usize>, next: &mut BinaryHeap<Next>| {
        let Next { size, .. } = next.pop()?;
        let gain = curves[size].gain(steps[size])?;
        steps[size] += 1;
        next.extend(Next::of(curves, steps, size));
        Some(gain)
    };
    while sum < target {
        let Some(gain) = add(&mut steps, &mut next) else { break };
        sum += gain;
    }
    let mut dearest: Vec<usize> = (0..curves.len()).collect();
    dearest.sort_by_key(|i| std::cmp::Reverse(curves[*i].wood.get(1).copied()));
    for i in dearest {
        while let Some(gain) = steps[i].checked_sub(1).and_then(|step| curves[i].gain(step)) {
            if sum - gain < target {
                break;
            }
            (steps[i], sum) = (steps[i] - 1, sum - gain);
        }
    }
    // A sum kept up step by step may be off in its last places; what was taken back comes next again.
    next = (0..curves.len()).filter_map(|size| Next::of(curves, &steps, size)).collect();
    while reached(curves, &steps) < target && add(&mut steps, &mut next).is_some() {}
    steps
}

enum Search {
    Better(Vec<usize>),
    NoBetter,
    TooLarge,
}

/// One choice for the first few sizes.
#[derive(Clone, Copy)]
struct State {
    wood: i128,
    ln: f64,
    parent: usize,
    step: usize,
}

/// Looks for a choice that takes less wood than `upper`.
fn exact(curves: &[Curve], target: f64, upper: i128) -> Search {
    let Some(bounds) = SplitBound::of_suffixes(curves, upper) else { return Search::TooLarge };
    let mut layers = vec![vec![State { wood: 0, ln: 0.0, parent: 0, step: 0 }]];
    let (mut kept, mut looked_at) = (0, 0);
    for (curve, bound) in curves.iter().zip(&bounds[1..]) {
        let mut next = Vec::new();
        for (parent, state) in layers[layers.len() - 1].iter().enumerate() {
            for (step, ln) in curve.path.ln.iter().enumerate() {
                looked_at += 1;
                let wood = state.wood + curve.wood[step];
                let ln = state.ln + ln;
                if wood >= upper {
                    break;
                }
                // The guard keeps a rounding error of the bound from dropping the best choice.
                if (wood as f64 + bound.least(target - ln)) * (1.0 - 1e-12) < upper as f64 {
                    next.push(State { wood, ln, parent, step });
                }
            }
            if next.len() > MOST_STATES * 16 || looked_at > MOST_LOOKED_AT {
                return Search::TooLarge;
            }
        }
        keep_undominated(&mut next);
        kept += next.len();
        if next.len() > MOST_STATES || kept > MOST_STATES_IN_ALL {
            return Search::TooLarge;
        }
        layers.push(next);
    }
    let last = layers[curves.len()].iter().enumerate().filter(|(_, s)| s.ln >= target);
    match last.min_by_key(|(_, s)| s.wood) {
        Some((index, _)) => Search::Better(trace(&layers, index)),
        None => Search::NoBetter,
    }
}

fn keep_undominated(states: &mut Vec<State>) {
    states.sort_by(|a, b| a.wood.cmp(&b.wood).then(b.ln.total_cmp(&a.ln)));
    let mut best = f64::NEG_INFINITY;
    states.retain(|state| {
        let keep = state.ln > best;
        best = best.max(state.ln);
        keep
    });
}

fn trace(layers: &[Vec<State>], mut index: usize) -> Vec<usize> {
    let mut steps: Vec<usize> = Vec::with_capacity(layers.len());
    for layer in layers[1..].iter().rev() {
        steps.push(layer[index].step);
        index = layer[index].parent;
    }
    steps.reverse();
    steps
}

/// The least wood with which some sizes gain a given logarithm when spares may be split: by
/// concavity the steps in order of gain per wood.
struct SplitBound {
    base: f64,
    gains: Vec<f64>,
    woods: Vec<f64>,
}

impl SplitBound {
    /// One for the sizes from each index on (the last one for none); `None` when they grow too large.
    fn of_suffixes(curves: &[Curve], upper: i128) -> Option<Vec<Self>> {
        let mut steps: Vec<(f64, f64)> = Vec::new();
        let mut base = 0.0;
        let mut entries = 0;
        let mut bounds = vec![Self::new(base, &steps)];
        for curve in curves.iter().rev() {
            base += curve.path.ln[0];
            let mut step = 0;
            while let Some(gain) = curve.gain(step).filter(|_| curve.wood[step] < upper) {
                steps.push((gain, curve.next_wood(step) as f64));
                step += 1;
            }
            entries += steps.len();
            if entries > MOST_STEPS {
                return None;
            }
            steps.sort_by(|a, b| (b.0 * a.1).total_cmp(&(a.0 * b.1)));
            bounds.push(Self::new(base, &steps));
        }
        bounds.reverse();
        Some(bounds)
    }

    fn new(base: f64, steps: &[(f64, f64)]) -> Self {
        let sum = |total: &mut f64, step: f64| {
            *total += step;
            Some(*total)
        };
        let gains = steps.iter().map(|s| s.0).scan(0.0, sum).collect();
        let woods = steps.iter().map(|s| s.1).scan(0.0, sum).collect();
        Self { base, gains, woods }
    }

    /// Least wood to bring these sizes to `ln`; infinite when all allowed steps together do not.
    fn least(&self, ln: f64) -> f64 {
        let wanted = ln - self.base - TOLERANCE;
        if wanted <= 0.0 {
            return 0.0;
        }
        let at = self.gains.partition_point(|gain| *gain < wanted);
        let Some(gain) = self.gains.get(at) else { return f64::INFINITY };
        let (gained, spent) = if at == 0 { (0.0, 0.0) } else { (self.gains[at - 1], self.woods[at - 1]) };
        spent + (self.woods[at] - spent) * (wanted - gained) / (gain - gained)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::belief::Belief;
    use super::super::path::Size as Strips;
    use super::super::rejects::Rejects;
    use super::*;

    /// A size that stands alone and fails at a rate known beyond doubt.
    #[derive(Debug, Clone, Copy)]
    struct Size {
        good: u64,
        reject: f64,
        wood: i128,
    }

    struct Allowed {
        rejects: Vec<u64>,
        proven: bool,
    }

    fn least_wood(sizes: &[Size], confidence: f64) -> Result<Allowed, (usize, usize)> {
        let family = |size: &Size| Family {
            belief: Belief::sure(size.reject),
            sizes: vec![needed(size.good, size.reject, size.wood)],
            granted: 1.0,
        };
        let families: Vec<Family> = sizes.iter().map(family).collect();
        let Chosen { more, proven } = super::least_wood(&families, confidence)?;
        Ok(Allowed { rejects: more.into_iter().flatten().collect(), proven })
    }

    fn needed(good: u64, mean: f64, wood: i128) -> Strips {
        Strips { lacking: good.cast_signed(), coming: good, mean, wood }
    }

    fn strips(good: u64, reject: f64, confidence: f64) -> u64 {
        good + least_wood(&[Size { good, reject, wood: 1 }], confidence).unwrap().rejects[0]
    }

    fn serving(weight: f64, by_board: f64, sizes: &[(u64, i128)]) -> Family {
        let belief = Belief { mean: 0.12, weight, alike: (by_board - 1.0) / 19.0, jobs: 0, strips: 0 };
        let sizes = sizes.iter().map(|(good, wood)| needed(*good, 0.12, *wood)).collect();
        Family { belief, sizes, granted: 1.0 }
    }

    /// Three sizes that serve each other: every choice up to so many spares of each.
    #[test]
    fn sizes_that_serve_each_other_take_about_the_least_wood_there_is() {
        let (mut found, mut least) = (0, 0);
        for (weight, by_board) in [(f64::INFINITY, 1.0), (200.0, 1.0), (200.0, 2.0)] {
            for goods in [[6, 12, 5], [12, 2, 9], [3, 3, 14]] {
                let family = serving(weight, by_board, &[(goods[0], 40), (goods[1], 31), (goods[2], 22)]);
                let chosen = super::least_wood(std::slice::from_ref(&family), 0.95).unwrap();
                let luck = family.luck();
                assert!(luck.enough(&family.levels(&chosen.more[0])) >= 0.95 - 1e-11);
                let choices = (0..10u64).flat_map(|a| (0..12).flat_map(move |b| (0..10).map(move |c| [a, b, c])));
                let enough = choices.filter(|more| luck.enough(&family.levels(more)) >= 0.95);
                least += enough.map(|more| wood_of(&family, &more)).min().unwrap();
                found += wood_of(&family, &chosen.more[0]);
            }
        }
        assert!(found * 100 <= least * 102 && found >= least, "{found} for {least}");
    }

    /// Four lengths at 12 %, as in a job of three cases: 48 spares where longer ones serve, worked out beforehand.
    #[test]
    fn longer_strips_that_serve_save_a_quarter_of_the_spares() {
        let sizes = [(54, 346), (128, 286), (24, 266), (38, 206)];
        let spares = |families: &[Family]| {
            let chosen = super::least_wood(families, 0.96).unwrap();
            chosen.more.iter().flatten().sum::<u64>()
        };
        let family = serving(f64::INFINITY, 1.0, &sizes);
        let apart: Vec<Family> = sizes.iter().map(|size| serving(f64::INFINITY, 1.0, &[*size])).collect();
        let (together, apart) = (spares(&[family]), spares(&apart));
        assert!(together * 4 <= apart * 3 + 4 && together > 35, "{together} {apart}");
    }

    /// A hundred lengths of one section took minutes.
    #[test]
    fn a_hundred_lengths_are_taken_apart_into_families() {
        let sizes: Vec<(u64, i128)> = (0..100).map(|i| (20, 400 - i)).collect();
        let families = serving(200.0, 1.0, &sizes).parted();
        assert!(families.len() > 3 && families.len() < 12, "{}", families.len());
        let chosen = super::least_wood(&families, 0.95).unwrap();
        let chance: f64 = families.iter().zip(&chosen.more).map(|(family, more)| family.chance(more)).product();
        assert!(chance >= 0.95 - 1e-11, "{chance}");
    }

    /// Long runs are counted in coarse steps and still lack no strip and have none too many.
    #[test]
    fn thousands_of_strips_that_serve_each_other_are_shared_out() {
        let family = serving(200.0, 1.5, &[(300, 40), (900, 31), (700, 22), (500, 16)]);
        let chosen = super::least_wood(std::slice::from_ref(&family), 0.95).unwrap();
        let luck = family.luck();
        let chance = |more: &[u64]| luck.enough(&family.levels(more));
        assert!(chance(&chosen.more[0]) >= 0.95 - 1e-11);
        for at in 0..4 {
            let mut less = chosen.more[0].clone();
            less[at] -= 1;
            assert!(chance(&less) < 0.95, "{at}: {:?}", chosen.more);
        }
    }

    /// Smallest m with P(Bin(m, 1 - p) >= n) >= c, from scipy 1.17.1 (`scipy.stats.binom` and
    /// `nbinom`) and exact rationals, which agree.
    #[test]
    fn one_size_needs_the_published_number_of_strips() {
        type Row = (u64, [(f64, [u64; 3]); 4]);
        let table: [Row; 5] = [
            (10, [(0.02, [11, 11, 12]), (0.05, [12, 12, 13]), (0.1, [13, 13, 14]), (0.2, [15, 16, 18])]),
            (24, [(0.02, [25, 26, 27]), (0.05, [27, 27, 29]), (0.1, [29, 30, 31]), (0.2, [34, 35, 37])]),
            (60, [(0.02, [63, 63, 64]), (0.05, [66, 66, 68]), (0.1, [70, 71, 74]), (0.2, [81, 83, 86])]),
            (137, [(0.02, [142, 143, 144]), (0.05, [148, 149, 151]), (0.1, [158, 159, 163]), (0.2, [180, 182, 188])]),
            (400, [(0.02, [412, 413, 416]), (0.05, [427, 429, 433]), (0.1, [454, 456, 462]), (0.2, [514, 519, 527])]),
        ];
        for (good, rows) in table {
            for (reject, expected) in rows {
                let got = [0.9, 0.95, 0.99].map(|c| strips(good, reject, c));
                assert_eq!(got, expected, "{good} strips at {reject}");
            }
        }
    }

    #[test]
    fn an_exact_tie_counts_as_reached() {
        assert_eq!(strips(1, 0.1, 0.9), 1);
        assert_eq!(strips(1, 0.5, 0.75), 2);
        assert_eq!(strips(1, 0.3, 0.973), 3);
        assert_eq!(strips(5, 0.2, 0.0), 5);
    }

    /// Every choice up to 14 rejects a size, plainly.
    fn brute(sizes: &[Size], confidence: f64) -> i128 {
        let ln: Vec<Vec<f64>> = sizes.iter().map(|s| Rejects::new(s.good, s.reject, 0.0).unwrap().ln).collect();
        let mut best = i128::MAX;
        let mut steps = vec![0usize; sizes.len()];
        loop {
            let tails = steps.iter().zip(&ln).map(|(k, ln)| ln.get(*k).map_or(1.0, |ln| ln.exp()));
            if tails.product::<f64>() >= confidence - TOLERANCE {
                best = best.min(steps.iter().zip(sizes).map(|(k, s)| s.wood * *k as i128).sum());
            }
            let Some(i) = steps.iter().position(|k| *k < 14) else { return best };
            steps[..i].fill(0);
            steps[i] += 1;
        }
    }

    fn size() -> impl Strategy<Value = Size> {
        size_up_to(30, 20)
    }

    fn size_up_to(good: u64, percent: u32) -> impl Strategy<Value = Size> {
        (1..good, 1..percent, 1i128..60).prop_map(|(good, reject, wood)| Size {
            good,
            reject: f64::from(reject) / 100.0,
            wood,
        })
    }

    fn product(sizes: &[Size], rejects: &[u64]) -> f64 {
        sizes.iter().zip(rejects).fold(1.0, |product, (size, k)| {
            let curve = Rejects::new(size.good, size.reject, 0.0).unwrap();
            let step = usize::try_from(k - curve.first).unwrap();
            product * curve.ln.get(step).map_or(1.0, |ln| ln.exp())
        })
    }

    fn wood(sizes: &[Size], rejects: &[u64]) -> i128 {
        sizes.iter().zip(rejects).map(|(size, k)| size.wood * i128::from(*k)).sum()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn no_choice_takes_less_wood(
            // 15 strips at 14 % stay under ten rejects with all but certainty.
            sizes in proptest::collection::vec(size_up_to(16, 15), 1..=3), c in 50u32..97
        ) {
            let confidence = f64::from(c) / 100.0;
            let allowed = least_wood(&sizes, confidence).unwrap();
            prop_assert!(allowed.proven);
            prop_assert_eq!(wood(&sizes, &allowed.rejects), brute(&sizes, confidence));
        }

        #[test]
        fn the_product_reaches_the_confidence(sizes in proptest::collection::vec(size(), 1..=9), c in 1u32..1000) {
            let confidence = f64::from(c) / 1000.0;
            let allowed = least_wood(&sizes, confidence).unwrap();
            prop_assert!(allowed.proven);
            prop_assert!(product(&sizes, &allowed.rejects) >= confidence - 1e-11);
        }

        #[test]
        fn more_confidence_or_worse_wood_never_needs_less(
            sizes in proptest::collection::vec(size(), 1..=5), c in 50u32..95
        ) {
            let at = |sizes: &[Size], c: u32| wood(sizes, &least_wood(sizes, f64::from(c) / 100.0).unwrap().rejects);
            let worse: Vec<Size> = sizes.iter().map(|s| Size { reject: s.reject + 0.01, ..*s }).collect();
            prop_assert!(at(&sizes, c) <= at(&sizes, c + 1));
            prop_assert!(at(&sizes, c) <= at(&worse, c));
        }

        #[test]
        fn pooling_two_sizes_never_takes_more(a in 1u64..200, b in 1u64..200, p in 1u32..30, c in 50u32..99) {
            let size = |good| Size { good, reject: f64::from(p) / 100.0, wood: 1 };
            let c = f64::from(c) / 100.0;
            let apart: u64 = least_wood(&[size(a), size(b)], c).unwrap().rejects.iter().sum();
            prop_assert!(least_wood(&[size(a + b)], c).unwrap().rejects[0] <= apart);
        }
    }

    #[test]
    fn large_counts_and_many_sizes_are_shared_out_exactly() {
        let sizes: Vec<Size> =
            (0..24).map(|i| Size { good: 20 + 5000 * (i % 5), reject: 0.15, wood: 100 + 7 * i128::from(i) }).collect();
        let allowed = least_wood(&sizes, 0.95).unwrap();
        assert!(allowed.proven);
        assert!(product(&sizes, &allowed.rejects) >= 0.95 - 1e-11);
    }

    /// Spares one by one over thousands of sizes, each chosen among all of them, took half a minute.
    #[test]
    fn six_thousand_sizes_are_shared_out_at_once() {
        let sizes: Vec<Size> = (0..6_000)
            .map(|i| Size { good: 1 + i % 90, reject: 0.15, wood: 1_000 + i128::from(i * 37 % 997) })
            .collect();
        let allowed = least_wood(&sizes, 0.95).unwrap();
        assert!(product(&sizes, &allowed.rejects) >= 0.95 - 1e-9);
        // No spare can be left out: each takes the product below the confidence.
        let spare = |i: usize| {
            let mut less = allowed.rejects.clone();
            less[i] -= 1;
            less[i] < Rejects::new(sizes[i].good, 0.15, 0.95).unwrap().first || product(&sizes, &less) < 0.95
        };
        assert!([0, 17, 2_500, 5_999].into_iter().all(spare));
    }
}
