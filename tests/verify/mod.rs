//! The judge itself: plans made by hand pass, and each plan with one thing wrong is refused by name.

use crate::common;

mod any_damage;
mod bill;
mod board_prices;
mod bundles_and_ease;
mod cloth;
mod crosscut_first;
mod defects;
mod doors_and_demand;
mod hand_made;
mod judged;
mod random_widths;
mod rip_first;

use common::plans::press;
use hand_made::{on_edge, resawn, rip_first, stacks, two_levels};
use judged::right;

#[test]
fn plans_made_by_hand_are_right() {
    for plan in [press(), rip_first(), on_edge(), resawn(), two_levels(), stacks()] {
        right(&plan);
    }
}
