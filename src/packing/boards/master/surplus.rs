//! A reward for what is cut beyond the needs.

use super::{Column, Master};
use crate::packing::boards::root::MICRO;

/// Share of its worth that a surplus unit is rewarded with.
const REWARD: f64 = 0.8;

impl Master<'_, '_, '_> {
    /// Rewards what is cut beyond the needs, with a share of what it is worth in micro-cents, wherever that is paid:
    /// where boards are given. Once branches use them all, their cost says nothing any more, and without the reward
    /// any filling would be as good as any other. A bound proven at such duals is one like any other, if a little
    /// lower; a program without a solution is still none.
    pub(in super::super) fn reward(&mut self, worth: &[i64]) {
        for (part, &worth) in worth.iter().enumerate() {
            let reward = REWARD * worth as f64 / MICRO as f64;
            let col = self.simplex.col(-reward, &[(self.parts[part], -1.0)]);
            self.simplex.bound_col(col, 0.0, 0.0);
            self.columns.push(Column::Missing);
            self.surplus.push(col);
        }
    }

    /// Pays the reward from here on, or not.
    pub(in super::super) fn pay_surplus(&mut self, pays: bool) {
        if std::mem::replace(&mut self.pays, pays) == pays {
            return;
        }
        let most = if pays { f64::INFINITY } else { 0.0 };
        self.surplus.iter().for_each(|&col| self.simplex.bound_col(col, 0.0, most));
    }
}
