//! What the judge says of a plan with something done to it.

use slatwright::verify::verify;

use crate::common::plans::Planned;

pub(crate) fn said(plan: &Planned) -> Vec<String> {
    verify(&plan.claim()).iter().map(ToString::to_string).collect()
}

pub(crate) fn right(plan: &Planned) {
    assert_eq!(said(plan), Vec::<String>::new());
}

/// The plan with something done to it.
pub(crate) fn with(mut plan: Planned, damage: impl FnOnce(&mut Planned)) -> Planned {
    let before = (plan.tied.clone(), plan.ease, plan.demand.bundles.clone());
    damage(&mut plan);
    // What is told of the bundles follows the boards, unless that is what was damaged.
    let told = (&plan.tied, &plan.ease, &plan.demand.bundles);
    if told == (&before.0, &before.1, &before.2) { plan.bundled() } else { plan }
}

/// Exactly these violations come out.
#[track_caller]
pub(crate) fn wrong(plan: Planned, damage: impl FnOnce(&mut Planned), expected: &[&str]) {
    assert_eq!(said(&with(plan, damage)), expected);
}

/// This violation is among those that come out.
#[track_caller]
pub(crate) fn named(plan: Planned, damage: impl FnOnce(&mut Planned), expected: &str) {
    let said = said(&with(plan, damage));
    assert!(said.iter().any(|s| s == expected), "{said:#?}");
}

#[track_caller]
pub(crate) fn named_start(plan: Planned, damage: impl FnOnce(&mut Planned), start: &str) {
    let said = said(&with(plan, damage));
    assert!(said.len() == 1 && said[0].starts_with(start), "{said:#?}");
}
