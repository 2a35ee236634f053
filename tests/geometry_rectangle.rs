//! A rigid rectangle moved through random tracks by search, with exact clearances to both walls, against the formula.

use crate::common::{all_cases, some_of};
use crate::geometry_support;

use geometry_support::band::{Band, Dice};
use slatwright::doors::groove_need::{Bend, loose_slat};

/// The least groove for a `width` x `tau` tongue about `station`: over every offset and yaw, by a shrinking grid.
fn section(band: &Band, station: f64, width: f64, tau: f64) -> f64 {
    let (point, heading) = band.at(station);
    let need = |offset: f64, yaw: f64| {
        let (sine, cosine) = (heading + yaw).sin_cos();
        let middle = (point.0 - offset * heading.sin(), point.1 + offset * heading.cos());
        let half = (width / 2.0 * cosine, width / 2.0 * sine);
        let ends = ((middle.0 - half.0, middle.1 - half.1), (middle.0 + half.0, middle.1 + half.1));
        band.need(ends.0, ends.1, [-tau / 2.0, tau / 2.0])
    };
    let (mut best, mut offset, mut yaw) = (need(0.0, 0.0), 0.0, 0.0);
    let (mut reach, mut turn) = (width / 2.0, 0.6);
    while reach > 1e-7 * width {
        let centre = (offset, yaw);
        for i in -3..=3 {
            for j in -3..=3 {
                let pose = (centre.0 + reach * f64::from(i) / 3.0, centre.1 + turn * f64::from(j) / 3.0);
                let here = need(pose.0, pose.1);
                if here < best {
                    (best, offset, yaw) = (here, pose.0, pose.1);
                }
            }
        }
        // Shrink only once the best lies inside, so that a valley is followed to its end.
        if (offset - centre.0).abs() < reach * 0.9 && (yaw - centre.1).abs() < turn * 0.9 {
            reach *= 0.5;
            turn *= 0.5;
        }
    }
    best
}

/// The whole passage: the station that asks most.
fn passage(band: &Band, around: (f64, f64), steps: u32, width: f64, tau: f64) -> f64 {
    let station = |i: u32| around.0 + (around.1 - around.0) * f64::from(i) / f64::from(steps);
    (0..=steps).map(|i| section(band, station(i), width, tau)).fold(0.0, f64::max)
}

#[test]
fn a_rectangle_searched_through_random_bends_agrees() {
    let mut dice = Dice(7);
    let mut worst = (0.0f64, 0.0f64);
    let mut long = 0;
    for _ in 0..some_of(2_000) {
        let radius = dice.between(1.0, 6.0);
        let degrees = dice.between(15.0, 175.0);
        let width = dice.between(0.1, 1.6) * radius.min(2.0);
        let tau = dice.between(0.05, 0.2) * radius.min(2.0).min(width * 4.0);
        let run = 3.0 * width + radius;
        let band = Band::new(&[(run, 0.0, true), (radius, degrees, true), (run, 0.0, true)]);
        let bend = Bend { radius, angle: degrees.to_radians(), concave: true };
        let formula = loose_slat(bend, width, tau);
        if formula >= 2.0 * radius {
            continue;
        }
        long += u32::from(bend.angle * radius < width);
        // Mid arc asks most; a few stations beside it would show otherwise.
        let middle = band.length() / 2.0;
        let searched = section(&band, middle, width, tau);
        let beside = passage(&band, (middle - width, middle - width / 8.0), 3, width, tau);
        worst.0 = worst.0.max((searched - formula) / width);
        worst.1 = worst.1.max((formula - searched) / width);
        assert!(beside <= searched + 1e-5 * width, "{bend:?} {width} {tau}: {beside} beside {searched}");
        assert!((searched - formula).abs() <= 2e-5 * width, "{bend:?} {width} {tau}: {searched} {formula}");
    }
    assert!(long > some_of(100), "only {long} slats longer than their arc were tried");
    assert!(worst.0 < 2e-5 && worst.1 < 2e-5, "{worst:?}");
}

#[test]
fn a_reverse_bend_asks_the_same_of_a_loose_rectangle() {
    let mut dice = Dice(11);
    for _ in 0..100 {
        let radius = dice.between(1.0, 4.0);
        let width = dice.between(0.2, 1.0) * radius;
        let tau = dice.between(0.05, 0.2);
        let track = |concave| [(4.0 * radius, 0.0, true), (radius, 80.0, concave), (4.0 * radius, 0.0, true)];
        let (one, other) = (Band::new(&track(true)), Band::new(&track(false)));
        let middle = one.length() / 2.0;
        let needs = (section(&one, middle, width, tau), section(&other, middle, width, tau));
        assert!((needs.0 - needs.1).abs() < 1e-5 * width, "{needs:?}");
    }
}

#[test]
fn two_near_bends_are_safe_as_one() {
    // Two arcs of 45 degrees, R 1, half an inch apart, a 3 x 1/4 tongue: 0.907 needed, 0.757 by the arc alone.
    let band = Band::new(&[(6.0, 0.0, true), (1.0, 45.0, true), (0.5, 0.0, true), (1.0, 45.0, true), (6.0, 0.0, true)]);
    let middle = band.length() / 2.0;
    let searched = passage(&band, (middle - 2.0, middle), 40, 3.0, 0.25);
    assert!((searched - 0.907).abs() < 0.001, "{searched}");
    let alone = Bend { radius: 1.0, angle: 45f64.to_radians(), concave: true };
    assert!((loose_slat(alone, 3.0, 0.25) - 0.757).abs() < 0.001);
    let together = Bend { angle: 90f64.to_radians(), ..alone };
    assert!(loose_slat(together, 3.0, 0.25) >= searched);
}

#[test]
fn two_bends_of_any_sense_pass_what_is_called_enough() {
    let mut dice = Dice(41);
    let mut over_alone = 0;
    for round in 0..if all_cases() { 80 } else { 40 } {
        let same = round % 2 == 0;
        let bend = |dice: &mut Dice, concave| Bend {
            radius: dice.between(1.0, 3.0),
            angle: dice.between(20.0, if same { 50.0 } else { 80.0 }).to_radians(),
            concave,
        };
        let (first, second) = (bend(&mut dice, true), bend(&mut dice, same));
        // Long slats are where two near bends ask more than each alone.
        let width =
            if same { dice.between(1.0, 3.0) } else { dice.between(0.3, 1.2) } * first.radius.min(second.radius);
        let tau = dice.between(0.05, 0.15);
        let gap = dice.between(0.0, if same { 0.4 } else { 1.0 }) * width;
        let piece = |bend: Bend| (bend.radius, bend.angle.to_degrees(), bend.concave);
        let run = 4.0 * width;
        let band = Band::new(&[(run, 0.0, true), piece(first), (gap, 0.0, true), piece(second), (run, 0.0, true)]);
        let end = band.length() - run;
        let searched = passage(&band, (run - width / 2.0, end + width / 2.0), 16, width, tau);
        let alone = loose_slat(first, width, tau).max(loose_slat(second, width, tau));
        let enough = if same {
            let together = Bend {
                radius: first.radius.min(second.radius),
                angle: (first.angle + second.angle).min(std::f64::consts::PI),
                concave: true,
            };
            loose_slat(together, width, tau)
        } else {
            alone
        };
        assert!(searched <= enough + 2e-5 * width, "{first:?} {second:?} {width} {gap}: {searched} {enough}");
        over_alone += u32::from(searched > alone + 1e-3 * width);
    }
    assert!(over_alone > 3, "each arc by itself would have been too little for some, {over_alone}");
}
