//! The simplex against a library and against itself from a cold start.

use itertools::iproduct;

use super::*;
use crate::packing::lp::{Program, Sense};
use crate::packing::noise::Noise;

/// A random covering program with boxed counts, in both solvers.
fn random(noise: &mut Noise) -> (Simplex, Program, usize, usize) {
    let (m, n) = (2 + noise.below(8) as usize, 3 + noise.below(20) as usize);
    let (mut own, mut other) = (Simplex::default(), Program::default());
    for _ in 0..m {
        let need = noise.below(40) as f64;
        own.row(need, f64::INFINITY, &[]);
        other.row(Sense::AtLeast, need);
    }
    for row in 0..m {
        own.col(5_000.0, &[(row, 1.0)]);
        other.column(5_000.0, vec![(row, 1.0)]);
    }
    for _ in 0..n {
        let cost = 1.0 + noise.below(100) as f64;
        let entries: Vec<(usize, f64)> =
            (0..m).map(|row| (row, (noise.below(3) / 2 * (1 + noise.below(5))) as f64)).collect();
        own.col(cost, &entries);
        other.column(cost, entries);
    }
    (own, other, m, n)
}

#[test]
fn optima_and_duals_agree_with_the_library() {
    let mut noise = Noise::new(7);
    for _ in 0..200 {
        let (mut own, other, m, _) = random(&mut noise);
        assert_eq!(own.solve(), Outcome::Optimal);
        let best = other.solve().unwrap();
        assert!((own.cost() - best.value).abs() < 1e-4 * (1.0 + best.value), "{} {}", own.cost(), best.value);
        let worth: f64 = (0..m).map(|row| own.dual(row) * own.rows[row].lower).sum();
        assert!((worth - best.value).abs() < 1e-4 * (1.0 + best.value), "{worth} {}", best.value);
    }
}

#[test]
fn a_warm_start_after_changes_equals_a_cold_one() {
    let mut noise = Noise::new(11);
    for _ in 0..200 {
        let (mut own, _, m, n) = random(&mut noise);
        assert_eq!(own.solve(), Outcome::Optimal);
        for _ in 0..12 {
            match noise.below(4) {
                0 => {
                    let entries: Vec<(usize, f64)> = (0..m).map(|row| (row, noise.below(4) as f64)).collect();
                    own.col(1.0 + noise.below(60) as f64, &entries);
                }
                1 => {
                    let entries: Vec<(usize, f64)> = (m..m + n).map(|col| (col, noise.below(2) as f64)).collect();
                    let row = own.row(0.0, 1e4, &entries);
                    own.col(9_000.0, &[(row, 1.0)]);
                    own.col(9_000.0, &[(row, -1.0)]);
                    own.bound_row(row, noise.below(9) as f64, 9.0 + noise.below(9) as f64);
                }
                _ => {
                    let low = noise.below(6) as f64;
                    own.bound_col(m + noise.below(n as u64) as usize, low, f64::INFINITY);
                }
            }
            assert_eq!(own.solve(), Outcome::Optimal);
            let mut cold = own.clone();
            cold.restart();
            assert_eq!(cold.solve(), Outcome::Optimal);
            assert!((own.cost() - cold.cost()).abs() < 1e-5 * (1.0 + cold.cost()), "{} {}", own.cost(), cold.cost());
        }
    }
}

#[test]
fn a_probe_tells_what_a_bound_costs_and_leaves_everything_as_it_was() {
    let mut noise = Noise::new(13);
    let mut told = 0;
    for _ in 0..200 {
        let (mut own, _, m, _) = random(&mut noise);
        assert_eq!(own.solve(), Outcome::Optimal);
        let duals: Vec<f64> = (0..m).map(|row| own.dual(row)).collect();
        let (cost, row, low) = (own.cost(), noise.below(m as u64) as usize, noise.below(60) as f64);
        let estimate = own.probe_row(row, (low, f64::INFINITY), 1_000);
        let after: Vec<f64> = (0..m).map(|row| own.dual(row)).collect();
        assert!((own.cost() - cost).abs() < 1e-9 && duals == after);
        own.bound_row(row, low, f64::INFINITY);
        assert_eq!(own.solve(), Outcome::Optimal);
        assert!((own.cost() - estimate).abs() < 1e-4 * (1.0 + estimate), "{} {estimate}", own.cost());
        told += u32::from(estimate > cost + 1.0);
    }
    assert!(told > 20, "hardly any bound cost anything: {told}");
}

#[test]
fn a_probe_of_what_cannot_be_is_infinite() {
    let mut own = Simplex::default();
    let row = own.row(1.0, 9.0, &[]);
    let col = own.col(1.0, &[(row, 1.0)]);
    own.bound_col(col, 0.0, 3.0);
    assert_eq!(own.solve(), Outcome::Optimal);
    assert!(own.probe_row(row, (5.0, 9.0), 100).is_infinite());
}

#[test]
fn columns_asleep_count_again_once_they_may_be_more_than_nought() {
    let mut noise = Noise::new(17);
    let mut slept = 0;
    for _ in 0..100 {
        let (mut own, _, m, n) = random(&mut noise);
        assert_eq!(own.solve(), Outcome::Optimal);
        let before = own.cost();
        (m..m + n).filter(|col| col % 2 == 0).for_each(|col| own.bound_col(col, 0.0, 0.0));
        assert_eq!(own.solve(), Outcome::Optimal);
        own.doze();
        slept += m + n - own.awake.len();
        let without = own.cost();
        assert!(without > before - 1e-6);
        own.bound_row(0, 45.0, f64::INFINITY);
        assert_eq!(own.solve(), Outcome::Optimal);
        own.bound_row(0, own.rows[0].lower.min(0.0), f64::INFINITY);
        (m..m + n).for_each(|col| own.bound_col(col, 0.0, f64::INFINITY));
        assert_eq!(own.solve(), Outcome::Optimal);
        let mut cold = own.clone();
        cold.restart();
        assert_eq!(cold.solve(), Outcome::Optimal);
        assert_eq!(own.awake.len(), m + n);
        assert!((own.cost() - cold.cost()).abs() < 1e-5 * (1.0 + cold.cost()));
    }
    assert!(slept > 100);
}

#[test]
fn without_rows_that_bind_nothing_the_program_goes_on_as_a_new_one() {
    let mut noise = Noise::new(19);
    let mut dropped = 0;
    for _ in 0..200 {
        let (mut own, _, m, n) = random(&mut noise);
        let more: Vec<(usize, usize)> = (0..4)
            .map(|_| {
                let entries: Vec<(usize, f64)> = (m..m + n).map(|col| (col, noise.below(3) as f64)).collect();
                let row = own.row(noise.below(60) as f64, f64::INFINITY, &entries);
                (row, own.col(9_000.0, &[(row, 1.0)]))
            })
            .collect();
        assert_eq!(own.solve(), Outcome::Optimal);
        // Rows that bind stay; those that no longer say anything go, with what they lack.
        more.iter().skip(1).for_each(|&(row, _)| own.bound_row(row, -1e4, f64::INFINITY));
        assert_eq!(own.solve(), Outcome::Optimal);
        let cost = own.cost();
        let (gone, lacks): (Vec<usize>, Vec<usize>) =
            more.iter().skip(1).filter(|(row, _)| own.rest(*row).is_none()).copied().unzip();
        lacks.iter().for_each(|&col| own.bound_col(col, 0.0, 0.0));
        let moved = own.drop_rows(&gone);
        dropped += gone.len();
        assert_eq!(own.rows.len(), m + 4 - gone.len());
        assert!((0..m).all(|row| moved[row] == row));
        assert_eq!(own.solve(), Outcome::Optimal);
        assert!((own.cost() - cost).abs() < 1e-6 * (1.0 + cost), "{} {cost}", own.cost());
        // A new row takes the column of one that is gone, and the program is changed elsewhere too.
        if noise.below(2) == 0 {
            own.doze();
        }
        let entries: Vec<(usize, f64)> = (m..m + n).map(|col| (col, 1.0 + noise.below(2) as f64)).collect();
        let row = own.row(5.0 + noise.below(90) as f64, f64::INFINITY, &entries);
        match lacks.first() {
            Some(&col) => own.renew(col, &[(row, 1.0)]),
            None => own.bound_row(row, 0.0, f64::INFINITY),
        }
        own.bound_row(0, 45.0, f64::INFINITY);
        assert_eq!(own.solve(), Outcome::Optimal);
        let mut cold = own.clone();
        cold.restart();
        assert_eq!(cold.solve(), Outcome::Optimal);
        assert!((own.cost() - cold.cost()).abs() < 1e-5 * (1.0 + cold.cost()), "{} {}", own.cost(), cold.cost());
    }
    assert!(dropped > 300, "{dropped}");
}

/// Chvátal, Linear Programming (1983), chapter 13: 100 in, 45 x 97, 36 x 610, 31 x 395, 14 x 211; all
/// patterns give 452.25.
#[test]
fn chvatals_cutting_stock_program_has_its_optimum() {
    let (sizes, needs) = ([45, 36, 31, 14], [97.0, 610.0, 395.0, 211.0]);
    let (mut own, mut other) = (Simplex::default(), Program::default());
    for need in needs {
        own.row(need, f64::INFINITY, &[]);
        other.row(Sense::AtLeast, need);
    }
    for counts in iproduct!(0..=2, 0..=2, 0..=3, 0..=7).map(|(a, b, c, d)| [a, b, c, d]) {
        let length: i32 = counts.iter().zip(sizes).map(|(n, size)| n * size).sum();
        if length > 0 && length <= 100 {
            let entries: Vec<(usize, f64)> = counts.iter().enumerate().map(|(row, &n)| (row, f64::from(n))).collect();
            own.col(1.0, &entries);
            other.column(1.0, entries);
        }
    }
    assert_eq!(own.solve(), Outcome::Optimal);
    for cost in [own.cost(), other.solve().unwrap().value] {
        assert!((cost - 452.25).abs() < 1e-5, "{cost}");
    }
}

/// A row that cannot be met: the duals of what it lacks say so, whatever all else costs.
#[test]
fn duals_of_what_is_lacking_prove_that_a_row_cannot_be_met() {
    let mut own = Simplex::default();
    let need = own.row(5.0, f64::INFINITY, &[]);
    let most = own.row(0.0, 3.0, &[]);
    own.col(1.0, &[(need, 1.0), (most, 1.0)]);
    let lacks = own.col(1e4, &[(need, 1.0)]);
    assert_eq!(own.solve(), Outcome::Optimal);
    assert!((own.value(lacks) - 2.0).abs() < 1e-9);
    let duals = own.duals_of(|col| col == lacks);
    assert!((duals[need] * 5.0 + duals[most] * 3.0 - 2.0).abs() < 1e-9, "{duals:?}");
}
