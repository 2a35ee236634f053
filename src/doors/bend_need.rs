//! What ordinary slats and the lead slat ask of a track's bends.
//!
//! Where bends lie at least a slat apart each is judged by itself. Nearer ones are judged by poses of the whole chain
//! ([`super::poses`]). Where no poses are found rules stand in: bends of one sense are taken together
//! ([`super::track::BendGroup`]), opposite ones are one S ([`super::groove_need::s_need`]).

use super::fit::{CheckItem, LEAD, SLAT};
use super::groove_need::{Bend, Tongue, chain_need, lead_entering, s_need};
use super::joint::Lie;
use super::layout::Layout;
use super::near_bends::{LeadIn, by_poses, near, stretches};
use super::track::{BendGroup, ChainSection, groups};

/// What one kind of slat asks of the bends that ask most.
#[derive(Debug, Clone, Copy)]
pub(super) struct Demand {
    pub(super) item: CheckItem,
    /// The bend that asks most; of an S the one that asks more. `None` when the straight runs decide.
    pub(super) group: Option<BendGroup>,
    /// Least groove width; infinite where no groove serves.
    pub(super) need: f64,
    /// The width that decides: the slat's, or the guided part of the lead slat.
    pub(super) width: f64,
    /// Bends nearer than a slat ask this together: no bend does by itself.
    pub(super) together: bool,
}

/// A need before it has a name.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    pub(super) need: f64,
    pub(super) group: Option<BendGroup>,
    pub(super) together: bool,
}

/// Ordinary slats pass every bend, in service or when the door is loaded.
pub(super) fn slat_demand(layout: &Layout<'_>) -> Demand {
    let section = layout.section();
    let most = widest(section.tongue, passing(layout, &layout.track.bends(), section.width, None));
    demand(SLAT, most, section.width)
}

/// The lead slat's guided part passes every bend when it is loaded with the door; fitted afterwards it meets only what
/// its travel reaches.
pub(super) fn lead_demand(layout: &Layout<'_>) -> Demand {
    let section = layout.section();
    let guided = layout.guided().mm_f64();
    let widest_part = guided.max(section.width);
    // The lead slat runs in the same groove as the others: it never asks less than they do.
    let slats = slat_demand(layout);
    if guided <= section.width {
        return Demand { item: LEAD, ..slats };
    }
    let needs = if layout.lead_is_loaded() {
        passing(layout, &layout.track.bends(), guided, Some(LeadIn { guided, reaches: f64::INFINITY }))
    } else {
        lead_in_service(layout, guided)
    };
    let most = widest(section.tongue, needs);
    if slats.need >= most.need { Demand { item: LEAD, ..slats } } else { demand(LEAD, most, widest_part) }
}

fn demand(item: CheckItem, asked: Asked, width: f64) -> Demand {
    Demand { item, group: asked.group, need: asked.need, width, together: asked.together }
}

/// What `bends` ask of a chain whose widest part is `width`: near ones by poses, the others by rule.
fn passing(layout: &Layout<'_>, bends: &[(f64, Bend)], width: f64, lead: Option<LeadIn>) -> Vec<Asked> {
    let ChainSection { tongue, gap, .. } = layout.section();
    let stretch_asks = |stretch: &[(f64, Bend)]| {
        let rule = by_rule(stretch, tongue, width);
        let by_rule = widest(tongue, rule.clone());
        let posed = if near(stretch, width + gap) { by_poses(layout, stretch, lead, by_rule) } else { None };
        // With gaps of canvas poses are led in one way of many: the rule may ask less.
        let posed = posed.filter(|posed| gap <= 0.0 || posed.need < by_rule.need);
        posed.map_or(rule, |posed| vec![posed])
    };
    stretches(bends, width + gap).flat_map(stretch_asks).collect()
}

/// The need of every bend, and of every S, for slats of `width`.
fn by_rule(bends: &[(f64, Bend)], tongue: Tongue, width: f64) -> Vec<Asked> {
    let groups = groups(bends, width);
    let alone =
        |group: &BendGroup| Asked { need: chain_need(group.bend, tongue, width), group: Some(*group), together: false };
    let mut needs: Vec<Asked> = groups.iter().map(alone).collect();
    // Groups of one sense are apart already: neighbours nearer than a slat are opposite.
    let near = groups.chunk_by(|a, b| b.start - a.end < width);
    needs.extend(near.filter(|near| near.len() > 1).map(|near| {
        let of_sense =
            |concave: bool| widest(tongue, near.iter().filter(|group| group.bend.concave == concave).map(alone));
        let (concave, reverse) = (of_sense(true), of_sense(false));
        let group = if concave.need >= reverse.need { concave.group } else { reverse.group };
        Asked { need: s_need(tongue, concave.need, reverse.need), group, together: true }
    }));
    needs
}

/// Station on the centreline that the lead slat's hinge reaches, the door open.
pub(super) fn lead_reaches(layout: &Layout<'_>) -> f64 {
    let section = layout.section();
    let path = layout.track.canvas_path(section.tongue, section.width, Lie::Pulled);
    let hinge = path.next_hinge(layout.run.travel.mm_f64(), section.lead_width);
    layout.track.lead_hinge_on_centreline(&section, hinge)
}

/// The bends that the lead slat's travel reaches.
fn lead_in_service(layout: &Layout<'_>, guided: f64) -> Vec<Asked> {
    let section = layout.section();
    let reaches = lead_reaches(layout);
    let bends = layout.track.bends();
    let entered = |stretch: &[(f64, Bend)]| {
        let met = stretch.iter().take_while(|(start, _)| reaches > *start).count();
        match stretch {
            [] => Vec::new(),
            _ if met == 0 => Vec::new(),
            // Within the first bend the slats behind decide what its neighbours ask.
            [(start, bend), ..] if met == 1 && !near(stretch, guided) => {
                let need = lead_entering(*bend, section.tongue, section.width, guided, (reaches - start) / bend.radius);
                vec![Asked { need, group: groups(&stretch[..1], guided).pop(), together: false }]
            }
            _ => passing(layout, stretch, guided, Some(LeadIn { guided, reaches })),
        }
    };
    stretches(&bends, guided).flat_map(entered).collect()
}

/// The greatest need; a track without bends needs no more than the tongue.
fn widest(tongue: Tongue, needs: impl IntoIterator<Item = Asked>) -> Asked {
    let least = Asked { need: tongue.thickness, group: None, together: false };
    needs.into_iter().fold(least, |most, next| if next.need > most.need { next } else { most })
}
