//! A plan bettered: a few of its levels are taken out and their pieces laid anew.

use super::dive::Dive;
use super::effort::Effort;
use super::layout::Layout;
use super::model::Model;
use crate::packing::noise::Noise;

/// Levels taken out at once: at least this many, and up to so many more.
const LEVELS: (u64, u64) = (2, 6);
/// Work of one dive on what was taken out.
const MOST_WORK: u64 = 5_000_000;

/// Plans that share all but a few levels with `layout`.
pub(super) fn rework(
    model: &Model,
    weights: &[i64],
    rates: &[i64],
    layout: &Layout,
    random: &mut Noise,
    effort: &Effort<'_>,
) -> Vec<Layout> {
    let (kept, out) = split(layout, random);
    let used = kept.lengths(model);
    let caps = model.bolts.iter().zip(&used).map(|(bolt, used)| bolt.cap.map(|cap| cap - used)).collect();
    let (part, numbers) = model.part(&out.laid(model), caps);
    let dive = Dive { model: &part, weights, rates, columns: Vec::new(), most_work: MOST_WORK, effort };
    let mut layouts = Vec::new();
    dive.run(Vec::new(), random, &mut |found| {
        let mut whole = kept.clone();
        whole.levels.extend(found.levels.into_iter().map(|(level, times)| (level.renumbered(&numbers), times)));
        layouts.push(whole);
    });
    layouts
}

/// Splits a plan by chance: what stays, and a few levels.
fn split(layout: &Layout, random: &mut Noise) -> (Layout, Layout) {
    let (mut kept, mut out) = (layout.clone(), Layout::default());
    for _ in 0..LEVELS.0 + random.below(LEVELS.1) {
        let open: Vec<usize> = (0..kept.levels.len()).filter(|&at| kept.levels[at].1 > 0).collect();
        if open.is_empty() {
            break;
        }
        let at = open[random.below(open.len() as u64) as usize];
        kept.levels[at].1 -= 1;
        out.levels.push((kept.levels[at].0.clone(), 1));
    }
    kept.levels.retain(|(_, times)| *times > 0);
    (kept, out)
}
