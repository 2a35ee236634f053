//! The inverse of the basis, line by line.

use super::basis::keep;

/// The inverse with the squared length of each of its lines: the steepest edge weights of the dual
/// simplex (Forrest and Goldfarb 1992), exact because the lines are at hand.
#[derive(Debug, Clone, Default)]
pub(super) struct Inverse {
    lines: Vec<Vec<f64>>,
    norms: Vec<f64>,
}

/// Lines with more than one part in so many filled are updated in full, which a processor does
/// faster than picking out the filled ones.
const DENSE: usize = 4;

impl Inverse {
    /// The inverse of the basis of `m` row activities.
    pub(super) fn of_activities(m: usize) -> Self {
        let unit = |at| {
            let mut line = vec![0.0; m];
            line[at] = -1.0;
            line
        };
        Self { lines: (0..m).map(unit).collect(), norms: vec![1.0; m] }
    }

    /// Adds the line of a new row, which is one longer than the others.
    pub(super) fn push(&mut self, line: Vec<f64>) {
        for known in &mut self.lines {
            known.push(0.0);
        }
        self.norms.push(norm(&line));
        self.lines.push(line);
    }

    /// Keeps the lines and figures of these positions and rows.
    pub(super) fn keep(&mut self, positions: &[bool], rows: &[bool]) {
        keep(&mut self.lines, positions);
        for line in &mut self.lines {
            keep(line, rows);
        }
        self.norms = self.lines.iter().map(|line| norm(line)).collect();
    }

    pub(super) fn line(&self, position: usize) -> &[f64] {
        &self.lines[position]
    }

    pub(super) fn norm(&self, position: usize) -> f64 {
        self.norms[position]
    }

    /// The inverse times the column of a row's activity.
    pub(super) fn of_row(&self, row: usize) -> Vec<f64> {
        self.lines.iter().map(|line| -line[row]).collect()
    }

    /// The inverse times a column given by its rows and coefficients.
    pub(super) fn of_column(&self, entries: &[(u32, f64)]) -> Vec<f64> {
        let times = |line: &Vec<f64>| entries.iter().map(|&(row, factor)| line[row as usize] * factor).sum();
        self.lines.iter().map(times).collect()
    }

    /// The inverse times a right side.
    pub(super) fn times(&self, right: &[f64], x: &mut [f64]) {
        let filled: Vec<(usize, f64)> =
            right.iter().copied().enumerate().filter(|(_, value)| value.abs() > 0.0).collect();
        for (x, line) in x.iter_mut().zip(&self.lines) {
            *x = filled.iter().map(|&(at, value)| line[at] * value).sum();
        }
    }

    /// The variable with this solved column takes `position`; returns how many figures changed.
    pub(super) fn replace(&mut self, position: usize, column: &[f64]) -> u64 {
        let mut line = std::mem::take(&mut self.lines[position]);
        let pivot = column[position];
        let mut filled = Vec::with_capacity(line.len());
        for (at, value) in line.iter_mut().enumerate() {
            if value.abs() > 0.0 {
                *value /= pivot;
                filled.push(at);
            }
        }
        let dense = filled.len() * DENSE > line.len();
        let mut work = 0;
        for ((other, known), &factor) in self.lines.iter_mut().zip(&mut self.norms).zip(column) {
            if factor.abs() > 1e-13 && !other.is_empty() {
                if dense {
                    *known = subtract(other, &line, factor);
                } else {
                    filled.iter().for_each(|&at| other[at] -= factor * line[at]);
                    *known = norm(other);
                }
                work += filled.len() as u64;
            }
        }
        self.norms[position] = norm(&line);
        self.lines[position] = line;
        work
    }
}

/// Lanes that a processor works on together.
const LANES: usize = 4;

/// Takes `factor` times `line` from `other`; returns the squared length that is left.
fn subtract(other: &mut [f64], line: &[f64], factor: f64) -> f64 {
    let mut sums = [0.0; LANES];
    let mut lanes = other.chunks_exact_mut(LANES);
    let mut values = line.chunks_exact(LANES);
    for (lane, values) in lanes.by_ref().zip(values.by_ref()) {
        for at in 0..LANES {
            lane[at] -= factor * values[at];
            sums[at] += lane[at] * lane[at];
        }
    }
    let mut sum: f64 = sums.iter().sum();
    for (value, by) in lanes.into_remainder().iter_mut().zip(values.remainder()) {
        *value -= factor * by;
        sum += *value * *value;
    }
    sum
}

fn norm(line: &[f64]) -> f64 {
    let mut sums = [0.0; LANES];
    let lanes = line.chunks_exact(LANES);
    let rest: f64 = lanes.remainder().iter().map(|value| value * value).sum();
    for lane in lanes {
        for at in 0..LANES {
            sums[at] += lane[at] * lane[at];
        }
    }
    sums.iter().sum::<f64>() + rest
}
