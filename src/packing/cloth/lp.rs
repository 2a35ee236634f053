//! Duals of a cloth program from the shared linear programs: the second opinion on the inner simplex.

use super::simplex::{Side, Sparse};
use crate::packing::lp::{Program, Sense};

/// Duals of the least cost over columns at least zero, good to about 1e-8: what one more on a
/// right-hand side would cost. `None` when the solver finds no answer.
pub(super) fn duals(sides: &[Side], columns: &[Sparse]) -> Option<Vec<f64>> {
    let mut program = Program::default();
    for side in sides {
        program.row(if side.at_least { Sense::AtLeast } else { Sense::AtMost }, side.rhs);
    }
    for column in columns {
        program.column(column.cost, column.entries.clone());
    }
    program.solve().ok().map(|optimum| optimum.duals)
}

#[cfg(test)]
mod tests {
    use super::super::effort::Effort;
    use super::super::simplex::Simplex;
    use super::*;
    use proptest::prelude::*;

    /// Least cost by the duals.
    fn least(sides: &[Side], columns: &[Sparse]) -> f64 {
        duals(sides, columns).unwrap().iter().zip(sides).map(|(dual, side)| dual * side.rhs).sum()
    }

    /// Chvátal, Linear Programming (1983), chapter 13: 100 in, 45 x 97, 36 x 610, 31 x 395, 14 x 211; all
    /// patterns give 452.25.
    #[test]
    fn both_solvers_agree_with_chvatals_cutting_stock_program() {
        let (sizes, needs) = ([45, 36, 31, 14], [97.0, 610.0, 395.0, 211.0]);
        let mut columns = Vec::new();
        for a in 0..=2 {
            for b in 0..=2 {
                for c in 0..=3 {
                    for d in 0..=7 {
                        let counts = [a, b, c, d];
                        let length: i32 = counts.iter().zip(sizes).map(|(n, size)| n * size).sum();
                        if length > 0 && length <= 100 {
                            let used = counts.iter().enumerate().filter(|(_, n)| **n > 0);
                            let entries = used.map(|(row, &n)| (row, f64::from(n))).collect();
                            columns.push(Sparse { cost: 1.0, entries });
                        }
                    }
                }
            }
        }
        let sides: Vec<Side> = needs.into_iter().map(|rhs| Side { rhs, at_least: true }).collect();
        let cost = least(&sides, &columns);
        assert!((cost - 452.25).abs() < 1e-5, "{cost}");
        let mut inner = Simplex::new(sides, columns, None);
        inner.solve(&Effort::endless());
        let cost: f64 = inner.used().iter().map(|(_, value)| value).sum();
        assert!((cost - 452.25).abs() < 1e-5, "{cost}");
    }

    proptest! {
        /// The simplex and the interior point solver find the same least cost, also after a row more.
        #[test]
        fn the_inner_simplex_agrees_with_good_lp(
            needs in prop::collection::vec(1.0..20.0_f64, 1..6),
            raw in prop::collection::vec((0.2..1.0_f64, prop::collection::vec(0_u8..4, 6)), 1..12),
            most in 1.0..9.0_f64,
        ) {
            let n = needs.len();
            let mut columns: Vec<Sparse> = raw
                .iter()
                .map(|(cost, figures)| Sparse {
                    cost: *cost,
                    entries: (0..n).filter(|&r| figures[r] > 0).map(|r| (r, f64::from(figures[r]))).collect(),
                })
                .collect();
            columns.extend((0..n).map(|row| Sparse { cost: 1.0, entries: vec![(row, 1.0)] }));
            let sides: Vec<Side> = needs.iter().map(|&rhs| Side { rhs, at_least: true }).collect();
            let mut inner = Simplex::new(sides.clone(), columns.clone(), None);
            inner.solve(&Effort::endless());
            let cost = |program: &Simplex, columns: &[Sparse]| -> f64 {
                program.used().iter().map(|&(column, value)| columns[column].cost * value).sum()
            };
            prop_assert!((least(&sides, &columns) - cost(&inner, &columns)).abs() < 1e-4);

            // One row more on the first column, started from the basis of the program without it.
            let mut basis = inner.basis().to_vec();
            basis.push(super::super::simplex::Var::Slack(n));
            let mut figures = vec![0.0; columns.len()];
            figures[0] = 1.0;
            columns[0].entries.push((n, 1.0));
            for at_least in [false, true] {
                let side = Side { rhs: most, at_least };
                let probed = inner.probe(side, &figures, (usize::MAX, &Effort::endless()));
                let sides: Vec<Side> = sides.iter().copied().chain([side]).collect();
                let mut more = Simplex::new(sides.clone(), columns.clone(), Some(&basis));
                more.solve(&Effort::endless());
                prop_assert!((least(&sides, &columns) - cost(&more, &columns)).abs() < 1e-4);
                prop_assert!((probed - more.value()).abs() < 1e-4, "{probed} {}", more.value());
            }
        }
    }
}
