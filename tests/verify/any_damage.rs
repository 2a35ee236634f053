//! Whatever is done to a plan, the judge answers.

use slatwright::job::Order;
use slatwright::measure::{Cents, Length};
use slatwright::verify::verify;

use crate::common::plans::Planned;
use crate::common::{decimal, inch};
use crate::verify::hand_made::{full_bill, rip_first, two_levels};
use crate::verify::judged::said;

/// Whatever a damaged plan holds, the judge answers: it neither panics nor overflows.
#[test]
fn no_damage_makes_the_judge_stumble() {
    let damages: &[fn(&mut Planned, Length)] = &[
        |p, _| p.boards.boards.iter_mut().for_each(|b| b.stock = usize::MAX),
        |p, at| p.boards.boards.iter_mut().flat_map(|b| &mut b.blanks).for_each(|b| (b.length, b.planed) = (at, at)),
        |p, _| p.boards.boards.iter_mut().flat_map(|b| &mut b.blanks).for_each(|b| b.leaves = u32::MAX),
        |p, at| {
            for row in p.boards.boards.iter_mut().flat_map(|b| &mut b.blanks).flat_map(|b| &mut b.rips) {
                (row.part, row.rip_width, row.rips, row.pieces) = (row.part, at, u32::MAX, u32::MAX);
            }
        },
        |p, _| {
            p.boards.boards.iter_mut().flat_map(|b| &mut b.blanks).flat_map(|b| &mut b.rips).for_each(|r| r.part = 99)
        },
        |p, _| p.boards.boards.iter_mut().for_each(|b| b.order = Order::RipFirst),
        |p, _| (p.boards.cost, p.boards.bound) = (Cents::new(i64::MIN), Cents::new(i64::MAX)),
        |p, at| p.cloth.bolts.iter_mut().for_each(|b| (b.used, b.bought) = (at, at)),
        |p, at| {
            for laid in p.cloth.bolts.iter_mut().flat_map(|b| &mut b.laid) {
                (laid.x, laid.y, laid.along, laid.across) = (at, at, at, at);
            }
        },
        |p, _| p.cloth.bolts.iter_mut().flat_map(|b| &mut b.laid).for_each(|l| l.piece = usize::MAX),
        |p, _| (p.cloth.cost, p.cloth.cost_bound) = (Cents::new(i64::MIN), Cents::new(i64::MAX)),
        |p, _| p.cloth.bolts.iter_mut().for_each(|b| b.cost = Cents::new(i64::MAX)),
        |p, at| {
            for door in &mut p.doors {
                (door.slat_width, door.lead_width, door.slat_length, door.door_length) = (at, at, at, at);
                (door.cloth_along_slat, door.cloth_along_travel, door.cover, door.tongue) = (at, at, at, at);
            }
        },
        |p, _| p.doors.iter_mut().for_each(|d| (d.slats, d.count) = (u32::MAX, u32::MAX)),
        |p, _| p.doors.iter_mut().for_each(|d| d.index = usize::MAX),
        |p, at| p.demand.parts.iter_mut().for_each(|s| (s.length, s.width, s.thickness) = (at, at, at)),
        |p, _| p.demand.parts.iter_mut().for_each(|s| (s.needed, s.spares) = (u32::MAX, u32::MAX)),
        |p, _| p.demand.parts.clear(),
        |p, at| p.demand.cloth.iter_mut().for_each(|c| (c.along, c.across) = (at, at)),
        |p, _| p.demand.cloth.clear(),
        |p, _| p.bill.costs.iter_mut().for_each(|l| (l.cost, l.quantity) = (Cents::new(i64::MAX), decimal("7e28"))),
        |p, _| p.bill.buy.iter_mut().for_each(|l| l.quantity = decimal("7e28")),
        |p, at| p.bill.boards.iter_mut().for_each(|l| (l.stock, l.volume) = (l.stock + 9, at * inch("1") * inch("1"))),
        |p, _| p.bill.boards.iter_mut().for_each(|l| (l.boards, l.cost) = (u32::MAX, Cents::new(i64::MIN))),
    ];
    never_stumbles(damages);
}

#[test]
fn no_damage_to_bundles_makes_the_judge_stumble() {
    never_stumbles(&[
        |p, _| p.tied.given.iter_mut().for_each(|g| (g.board, g.strips) = (usize::MAX, u64::MAX)),
        |p, _| p.tied.given.iter_mut().for_each(|g| (g.part, g.bundle) = (usize::MAX, usize::MAX)),
        |p, _| p.tied.given.iter_mut().for_each(|g| g.strips = u64::MAX),
        // The first part past the last, in a bundle that is there.
        |p, _| p.tied.given.iter_mut().for_each(|g| g.part = p.demand.parts.len()),
        |p, _| (p.tied.pairs, p.tied.bound) = (u64::MAX, u64::MAX),
        |p, _| p.demand.bundles.iter_mut().for_each(|b| b.door = !b.door),
        |p, _| (p.ease.blank_lengths, p.ease.fence_settings) = (usize::MAX, usize::MAX),
    ]);
}

/// Damage with figures far out of range is told, and each kind of it seen on some plan.
fn never_stumbles(damages: &[fn(&mut Planned, Length)]) {
    let far = Length::from_nm(i64::MAX);
    let low = Length::from_nm(i64::MIN);
    for (i, damage) in damages.iter().enumerate() {
        for plan in [full_bill(), rip_first(), two_levels()] {
            for at in [far, low, Length::ZERO] {
                let mut plan = plan.clone();
                damage(&mut plan, at);
                for violation in verify(&plan.claim()) {
                    assert!(!violation.to_string().is_empty());
                }
            }
        }
        let harmed = |mut plan: Planned| {
            damage(&mut plan, far);
            !said(&plan).is_empty()
        };
        assert!([full_bill(), rip_first(), two_levels()].into_iter().any(harmed), "damage {i} goes unseen");
    }
}
