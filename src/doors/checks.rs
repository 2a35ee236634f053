//! Runs every check of a door, in a fixed order.

use super::checks_bend::bend_checks;
use super::checks_case::case_checks;
use super::checks_run::track_checks;
use super::fit::{Check, DOOR, FitCheck, LEAD, SLAT, at_least, at_most, length};
use super::jamming::jamming_checks;
use super::layout::{Layout, MOST_SLATS};
use super::yaw::loose_yaw;
use crate::measure::Length;

/// More pieces than any track has.
const MOST_SEGMENTS: usize = 10_000;

/// Every check of a door and what its maker should know beside them.
pub(super) fn run_checks(layout: &Layout<'_>) -> (Vec<FitCheck>, Vec<String>) {
    let mut notes = Vec::new();
    let mut checks = section_checks(layout);
    if sound(layout) {
        checks.extend(case_checks(layout));
        checks.extend(lead_tongue(layout));
        checks.extend(bend_checks(layout, &mut notes));
        checks.extend(track_checks(layout, &mut notes));
        checks.extend(jamming_checks(layout));
    }
    checks.extend(cloth_checks(layout));
    (checks, notes)
}

/// True when the section has a tongue to speak of and a count of slats that can be walked.
pub(super) fn sound(layout: &Layout<'_>) -> bool {
    let slats = &layout.spec.slats;
    layout.tongue().is_positive()
        && slats.width.is_positive()
        && slats.lead_width.is_positive()
        && layout.slats < MOST_SLATS
        && layout.run.path.len() < MOST_SEGMENTS
}

/// Tongue and slat length.
fn section_checks(layout: &Layout<'_>) -> Vec<FitCheck> {
    let (spec, units) = (layout.spec, layout.units);
    let (tongue, groove) = (layout.tongue(), spec.groove);
    let mut checks = Vec::new();
    if !tongue.is_positive() {
        let depth = spec.slats.rabbet_depth;
        checks.push(FitCheck::lengths(Check::RabbetDepth, SLAT, depth, spec.slats.thickness).and(false).advise(|| {
            format!("the rabbet leaves no tongue: cut it less than {} deep", at_most(spec.slats.thickness, units))
        }));
    }
    checks.push(FitCheck::lengths(Check::TongueFit, SLAT, tongue, groove.width).and(tongue < groove.width).advise(
        || {
            let depth = spec.slats.rabbet_depth + tongue - groove.width + layout.shop.clearance.running;
            format!(
                "the tongue is no thinner than the groove: cut the rabbet {} deep, or rout the groove {} wide",
                at_least(depth, units),
                at_least(tongue + layout.shop.clearance.running, units)
            )
        },
    ));
    let needed = groove.depth + layout.shop.clearance.shoulder;
    checks.push(FitCheck::lengths(Check::TongueLength, SLAT, needed, spec.slats.rabbet_length).advise(|| {
        let depth = spec.slats.rabbet_length - layout.shop.clearance.shoulder;
        format!(
            "the shoulder would drag on the case: cut the rabbet {} long, or the groove at most {} deep",
            at_least(needed, units),
            at_most(depth, units)
        )
    }));
    let tongues = spec.slats.rabbet_length * 2;
    let slat = layout.slat_length();
    checks.push(FitCheck::lengths(Check::SlatLength, SLAT, tongues, slat).and(slat > tongues).advise(|| {
        let between = tongues - groove.depth * 2 + layout.shop.clearance.end_play;
        format!("the slat is shorter than its two tongues: {} between the grooved faces is too little", {
            at_most(spec.between.min(between), units)
        })
    }));
    if layout.slats >= MOST_SLATS {
        let reach = spec.slats.width * i64::from(MOST_SLATS);
        checks.push(
            FitCheck::lengths(Check::Slats, DOOR, layout.run.cover, reach)
                .and(false)
                .advise(|| format!("more than {MOST_SLATS} slats of {} are no door", at_most(spec.slats.width, units))),
        );
    }
    checks
}

/// A lead tongue cut back so far that it could turn round in the groove guides nothing.
fn lead_tongue(layout: &Layout<'_>) -> Option<FitCheck> {
    // Screwed to the first slat it has none.
    layout.spec.slats.lead_tongue.filter(|tongue| tongue.is_positive())?;
    let (groove, tau) = (layout.spec.groove.width.mm_f64(), layout.tongue().mm_f64());
    let left = layout.lead_tongue();
    let least = (groove * groove - tau * tau).max(0.0).sqrt();
    let holds = loose_yaw(groove, left.mm_f64(), tau).is_some();
    Some(FitCheck::lengths(Check::LeadTongue, LEAD, length(least), left).and(holds).advise(|| {
        format!(
            "so short a tongue can turn round in the groove: leave more than {}",
            at_least(length(least), layout.units)
        )
    }))
}

/// The cloth keeps off the rabbets, and there is cloth at all.
fn cloth_checks(layout: &Layout<'_>) -> Vec<FitCheck> {
    let units = layout.units;
    let least = layout.least_end_clear();
    let clear = layout.end_clear();
    let off_rabbet = FitCheck::lengths(Check::EndClear, SLAT, least, clear)
        .advise(|| format!("cloth would reach the rabbet: keep {} bare at each slat end", at_least(least, units)));
    let width = layout.slat_length() - clear * 2;
    let some = FitCheck::lengths(Check::ClothWidth, SLAT, Length::ZERO, width)
        .and(width.is_positive())
        .advise(|| format!("{} bare at each end leaves no cloth on the slat", at_least(clear, units)));
    let lap = FitCheck::lengths(Check::LeadLap, LEAD, layout.shop.canvas.lead_lap, layout.spec.slats.lead_width)
        .advise(|| {
            format!("the lead slat is narrower than the cloth laid on it: lap at most {}", {
                at_most(layout.spec.slats.lead_width, units)
            })
        });
    vec![off_rabbet, some, lap]
}
