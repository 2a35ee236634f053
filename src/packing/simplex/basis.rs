//! The basis: saved, restored, and everything that follows from it made anew.

use super::inverse::Inverse;
use super::{Basis, Line, PIVOT, Place, Simplex, Var};

impl Simplex {
    /// Back to the basis of all row activities, from where every program with costs at or above 0
    /// can be solved.
    pub(in super::super) fn restart(&mut self) {
        for col in &mut self.cols {
            if col.place != Place::Upper || col.upper.is_infinite() {
                col.place = Place::Lower;
            }
            if col.place == Place::Upper && col.cost >= 0.0 {
                col.place = Place::Lower;
            }
        }
        self.basis = (0..self.rows.len()).map(Var::Row).collect();
        self.refactor();
    }

    /// The basis, to come back to.
    pub(in super::super) fn snapshot(&self) -> Basis {
        let upper = |lines: &[Line]| lines.iter().map(|line| line.place == Place::Upper).collect();
        Basis { basis: self.basis.clone(), rows_up: upper(&self.rows), cols_up: upper(&self.cols) }
    }

    /// Back to a basis saved before; rows added since rest on their own activity.
    pub(in super::super) fn restore(&mut self, saved: &Basis) {
        let lines = [(&mut self.rows, &saved.rows_up), (&mut self.cols, &saved.cols_up)];
        for (lines, up) in lines {
            for (at, line) in lines.iter_mut().enumerate() {
                let up = up.get(at).is_some_and(|&up| up) && line.upper.is_finite();
                line.place = if up { Place::Upper } else { Place::Lower };
            }
        }
        for var in &saved.basis {
            if let Var::Col(col) = *var {
                self.wake(col);
            }
        }
        self.basis.clone_from(&saved.basis);
        self.basis.extend((saved.basis.len()..self.rows.len()).map(Var::Row));
        self.refactor();
    }

    /// Makes the inverse, the values and the duals anew from the basis.
    pub(super) fn refactor(&mut self) {
        let m = self.rows.len();
        let wanted = std::mem::take(&mut self.basis);
        self.inverse = Inverse::of_activities(m);
        // Start from all row activities and bring in the wanted columns one by one.
        self.basis = (0..m).map(Var::Row).collect();
        let mut free: Vec<bool> = vec![true; m];
        for &var in &wanted {
            if let Var::Row(row) = var {
                free[row] = false;
            }
        }
        let mut columns: Vec<usize> =
            wanted.into_iter().filter_map(|var| if let Var::Col(col) = var { Some(col) } else { None }).collect();
        columns.sort_by_key(|&col| self.entries[col].len());
        for col in columns {
            let column = self.solved_column(Var::Col(col));
            let best = (0..m).filter(|&at| free[at]).max_by(|&a, &b| column[a].abs().total_cmp(&column[b].abs()));
            match best {
                Some(at) if column[at].abs() > PIVOT => {
                    free[at] = false;
                    self.work += self.inverse.replace(at, &column);
                    self.basis[at] = Var::Col(col);
                }
                _ => self.cols[col].place = Place::Lower,
            }
        }
        for at in 0..m {
            let var = self.basis[at];
            self.line_mut(var).place = Place::Basic(at);
        }
        self.pivots = 0;
        self.compute_values();
        self.compute_duals();
    }

    pub(super) fn compute_values(&mut self) {
        let m = self.rows.len();
        let mut right = vec![0.0; m];
        for (at, row) in self.rows.iter().enumerate() {
            if !row.is_basic() {
                right[at] += row.value();
            }
        }
        for &col in &self.awake {
            let line = &self.cols[col];
            let value = line.value();
            if !line.is_basic() && value.abs() > 0.0 {
                for &(row, coefficient) in &self.entries[col] {
                    right[row as usize] -= coefficient * value;
                }
            }
        }
        self.inverse.times(&right, &mut self.x);
        self.work += (m * m) as u64;
    }

    pub(super) fn compute_duals(&mut self) {
        let m = self.rows.len();
        let mut y = vec![0.0; m];
        for (position, &var) in self.basis.iter().enumerate() {
            let cost = self.line(var).cost;
            if cost.abs() > 0.0 {
                for (sum, value) in y.iter_mut().zip(self.inverse.line(position)) {
                    *sum += cost * value;
                }
            }
        }
        self.y = y;
        for at in 0..self.awake.len() {
            let col = self.awake[at];
            self.d[col] = self.reduced(col);
        }
        self.work += (m * m) as u64;
    }

    /// Changes what columns cost.
    pub(in super::super) fn charge(&mut self, cols: &[usize], cost: f64) {
        cols.iter().for_each(|&col| self.cols[col].cost = cost);
        self.compute_duals();
    }

    /// Drops rows whose activity is in the basis; where each of the others is now.
    pub(in super::super) fn drop_rows(&mut self, gone: &[usize]) -> Vec<usize> {
        let stays: Vec<bool> = (0..self.rows.len()).map(|row| !gone.contains(&row)).collect();
        let mut new = Vec::with_capacity(stays.len());
        let mut next = 0;
        for &stays in &stays {
            new.push(next);
            next += usize::from(stays);
        }
        let kept: Vec<bool> = self.basis.iter().map(|var| !matches!(var, Var::Row(row) if !stays[*row])).collect();
        self.inverse.keep(&kept, &stays);
        keep(&mut self.x, &kept);
        keep(&mut self.basis, &kept);
        keep(&mut self.rows, &stays);
        keep(&mut self.y, &stays);
        for var in &mut self.basis {
            if let Var::Row(row) = var {
                *row = new[*row];
            }
        }
        for entries in &mut self.entries {
            entries.retain(|&(row, _)| stays[row as usize]);
            entries.iter_mut().for_each(|(row, _)| *row = new[*row as usize] as u32);
        }
        for position in 0..self.basis.len() {
            let var = self.basis[position];
            self.line_mut(var).place = Place::Basic(position);
        }
        self.packed.stale = true;
        self.work += (self.rows.len() * self.rows.len()) as u64;
        new
    }

    /// A resting column of a row that is gone, with entries in a row whose activity is in the basis: as neither
    /// has a dual, the reduced cost stays.
    pub(in super::super) fn renew(&mut self, col: usize, entries: &[(usize, f64)]) {
        self.entries[col] = entries.iter().map(|&(row, coefficient)| (row as u32, coefficient)).collect();
        self.packed.stale = true;
        self.bound_col(col, 0.0, f64::INFINITY);
    }
}

pub(super) fn keep<T>(list: &mut Vec<T>, stays: &[bool]) {
    let mut stays = stays.iter();
    list.retain(|_| stays.next().is_some_and(|&stays| stays));
}
