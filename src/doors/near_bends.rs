//! Bends nearer than a slat: poses of the whole chain say what they ask of the groove, and what was found is kept.

use super::bend_need::Asked;
use super::chain::Piece;
use super::groove_need::{Bend, loose_slat};
use super::joint::{GrooveArc, Lie, half_angle};
use super::layout::Layout;
use super::poses::{Chain, Lead, gap_fold, least_groove};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Bends with more straight run than this many slats between them have nothing to do with each other: a hinge is back
/// in the middle of the groove after little more than one.
const APART: f64 = 4.0;

/// Needs found by poses so far. Trying out another groove or travel asks nothing new of them.
#[derive(Debug, Default)]
pub(super) struct Known {
    needs: RefCell<BTreeMap<Vec<u64>, Option<f64>>>,
}

/// How a layout comes by the needs of near bends.
#[derive(Debug, Clone, Copy)]
pub(super) enum Poses<'a> {
    /// Poses are sought where none are known.
    Sought(&'a Known),
    /// Known poses serve; where there are none, what a loose slat needs in each bend, which is hardly ever too much: for
    /// trying out many changes.
    AsKnown(&'a Known),
}

/// A part of the lead slat that passes near bends: its guided length, and the centreline station that its hinge
/// reaches.
#[derive(Debug, Clone, Copy)]
pub(super) struct LeadIn {
    pub(super) guided: f64,
    pub(super) reaches: f64,
}

/// Bends in stretches that have nothing to do with each other, for slats of `width`.
pub(super) fn stretches(bends: &[(f64, Bend)], width: f64) -> impl Iterator<Item = &[(f64, Bend)]> {
    bends.chunk_by(move |a, b| gap(a, b) < APART * width)
}

/// True when a slat of `width` can be in two bends of a stretch at once.
pub(super) fn near(stretch: &[(f64, Bend)], width: f64) -> bool {
    stretch.windows(2).any(|pair| gap(&pair[0], &pair[1]) < width)
}

/// Straight run between two bends.
fn gap(a: &(f64, Bend), b: &(f64, Bend)) -> f64 {
    b.0 - a.0 - a.1.radius * a.1.angle
}

/// What a stretch asks by poses; `None` where none are found or sought. `rule` is what it asks by rule.
pub(super) fn by_poses(
    layout: &Layout<'_>,
    stretch: &[(f64, Bend)],
    lead: Option<LeadIn>,
    rule: Asked,
) -> Option<Asked> {
    let start = stretch.first()?.0;
    let section = layout.section();
    let fold = |width: f64| joint_fold(layout, stretch, width);
    let chain = Chain {
        tongue: section.tongue,
        width: section.width,
        gap: section.gap,
        fold: fold(section.width),
        lead: lead.map(|lead| Lead {
            guided: lead.guided,
            // Pulled or pushed, the hinge stands elsewhere by no more than the play.
            reaches: lead.reaches - start + rule.need - section.tongue.thickness,
            fold: fold(f64::midpoint(lead.guided, section.width)),
        }),
    };
    let track = pieces(stretch);
    let key = key(&track, &chain);
    let (known, sought) = match layout.poses {
        Poses::Sought(known) => (known, true),
        Poses::AsKnown(known) => (known, false),
    };
    let found = known.needs.borrow().get(&key).copied();
    let need = match found {
        Some(need) => need,
        None if !sought => Some(loose_need(&chain, stretch)),
        None => {
            let need = least_groove(&track, &chain, rule.need).map(|certificate| certificate.groove());
            known.needs.borrow_mut().insert(key, need);
            need
        }
    };
    need.map(|need| Asked { need, together: true, ..rule })
}

/// Less than the chain needs, short arcs in an S apart: what its longest part asks of each bend by itself.
fn loose_need(chain: &Chain, stretch: &[(f64, Bend)]) -> f64 {
    let width = match chain.lead {
        Some(lead) if lead.reaches.is_infinite() => lead.guided.max(chain.width),
        _ => chain.width,
    };
    let needs = stretch.iter().map(|(_, bend)| loose_slat(*bend, width, chain.tongue.thickness));
    needs.fold(chain.tongue.thickness, f64::max)
}

/// How far joints of slats fold on the reverse bends: both bevels, and what a gap adds. Bevels too small for the bends fail a check of their
/// own: the groove is then judged for the least that would do.
fn joint_fold(layout: &Layout<'_>, stretch: &[(f64, Bend)], width: f64) -> f64 {
    let section = layout.section();
    let least = stretch.iter().filter(|(_, bend)| !bend.concave).map(|(_, bend)| {
        let arc = GrooveArc::about(bend.radius, layout.track.groove, false);
        half_angle(width + section.gap, arc.hinge_radius(section.tongue, section.width, Lie::Pulled))
    });
    let slats = &layout.spec.slats;
    let folds = gap_fold(slats.edge_bevel.to_radians(), section.gap, slats.thickness.mm_f64());
    least.fold(folds, |most, lean| most.max(2.0 * lean))
}

fn pieces(stretch: &[(f64, Bend)]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for (index, here) in stretch.iter().enumerate() {
        if index > 0 {
            pieces.push(Piece::Straight(gap(&stretch[index - 1], here).max(0.0)));
        }
        let Bend { radius, angle, concave } = here.1;
        pieces.push(Piece::Arc { radius, angle, concave });
    }
    pieces
}

/// Every figure that poses depend on, to the bit.
fn key(track: &[Piece], chain: &Chain) -> Vec<u64> {
    let mut figures = vec![chain.tongue.thickness, chain.tongue.offset, chain.width, chain.gap, chain.fold];
    figures.extend(chain.lead.iter().flat_map(|lead| [lead.guided, lead.reaches, lead.fold]));
    for piece in track {
        match *piece {
            Piece::Straight(length) => figures.push(length),
            Piece::Arc { radius, angle, concave } => figures.extend([if concave { radius } else { -radius }, angle]),
        }
    }
    figures.into_iter().map(f64::to_bits).collect()
}
