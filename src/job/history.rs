//! What the shop has learned from its jobs: the history file that the shop file points to.

use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

use super::{Operation, Species};
use crate::measure::Length;

/// The rows of a history by their kind. Each kind of row has its list; a row says its kind in the column `kind`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct History {
    /// Strips that came off the saw, a section of a job a row (`kind` empty or `strips`), and a row for each length of
    /// them (`kind` is `length`).
    pub sections: Vec<SectionHistory>,
    /// Hours that operations took, an operation of a job a row (`kind` is `operation`).
    pub operations: Vec<OperationHistory>,
}

/// One operation of one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OperationHistory {
    /// The job's name.
    pub job: String,
    /// The mark of its plan, cut short; empty in a row of somebody's own.
    pub plan: String,
    /// Which operation.
    pub operation: Operation,
    /// Minutes a unit in the shop file of that day; zero where it is not known.
    pub minutes: Decimal,
    /// Hours by the shop file's own figures of that day, nothing learned in them.
    pub quoted: Decimal,
    /// Hours it took.
    pub hours: Decimal,
}

/// What past jobs tell of an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Learned {
    /// What it takes for each hour by the shop file's own figures, in the mean.
    pub factor: Decimal,
    /// How far a job may lie from that: the standard deviation, as a share of the hours.
    pub spread: Decimal,
    /// How many jobs tell of it.
    pub jobs: u32,
}

/// The shop's own figures count for as many jobs: an assumption, no source.
const OWN_FIGURES_COUNT_FOR: u32 = 4;

/// A row that took longer than so many times what was quoted is a slip of the pen, and tells nothing.
const MOST_TIMES_AS_LONG: Decimal = Decimal::ONE_HUNDRED;

impl Learned {
    /// Nothing yet: the shop's own figures, with the spread they are said to have.
    #[must_use]
    pub const fn nothing(spread: Decimal) -> Self {
        Self { factor: Decimal::ONE, spread, jobs: 0 }
    }

    /// From the rows of one operation. The mean is that of a prior of four jobs, each as long as a recorded one is in the
    /// mean and done in the hours of the shop's own figures, and of the recorded ones after it; the variance is pooled
    /// likewise, and widened by what the mean itself is unsure of (the usual conjugate rules for a normal mean and
    /// variance, with the prior's weight in jobs). Rows from a day with other minutes are brought to those of today.
    #[must_use]
    pub fn from(rows: &[&OperationHistory], minutes: Decimal, spread: Decimal) -> Self {
        let then = |row: &OperationHistory| {
            let known = !row.minutes.is_zero() && !minutes.is_zero();
            let quoted = if known { row.quoted.checked_mul(minutes)?.checked_div(row.minutes)? } else { row.quoted };
            let most = quoted.checked_mul(MOST_TIMES_AS_LONG)?;
            (!quoted.is_zero() && row.hours <= most).then_some((quoted, row.hours))
        };
        let jobs: Vec<(Decimal, Decimal)> = rows.iter().filter_map(|row| then(row)).collect();
        let count = u32::try_from(jobs.len()).unwrap_or(u32::MAX);
        let (quoted, hours) =
            jobs.iter().fold((Decimal::ZERO, Decimal::ZERO), |sum, job| (sum.0 + job.0, sum.1 + job.1));
        let prior = Decimal::from(OWN_FIGURES_COUNT_FOR);
        let mean = || {
            let usual = quoted.checked_div(Decimal::from(count))?;
            let all = prior.checked_add(Decimal::from(count))?;
            prior.checked_add(hours.checked_div(usual)?)?.checked_div(all)
        };
        let Some(factor) = mean() else { return Self::nothing(spread) };
        let off = jobs.iter().filter_map(|(quoted, hours)| {
            let off = hours.checked_div(*quoted)?.checked_sub(factor)?;
            off.checked_mul(off)
        });
        let all = prior + Decimal::from(count);
        let pooled = (prior * spread * spread + off.sum::<Decimal>()) / all;
        let widened = pooled * (all + Decimal::ONE) / all;
        let spread = widened.to_f64().map(f64::sqrt).and_then(Decimal::from_f64).unwrap_or(spread);
        Self { factor: factor.round_dp(4).normalize(), spread: spread.round_dp(4).normalize(), jobs: count }
    }
}

/// One section of one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionHistory {
    /// The job's name.
    pub job: String,
    /// The mark of its first plan, cut short; empty in a row of somebody's own.
    pub plan: String,
    /// Its wood.
    pub species: Species,
    /// Width of the strips.
    pub width: Length,
    /// Thickness of the strips.
    pub thickness: Length,
    /// Boards they came from.
    pub boards: u64,
    /// Strips cut.
    pub cut: u64,
    /// Strips rejected.
    pub rejected: u64,
    /// How far they came by the board: the variance of the rejects of its boards over that of strips that fail each by
    /// itself. `None` where it is not known.
    pub by_board: Option<Decimal>,
    /// Hours at the saw.
    pub hours: Decimal,
    /// The same strips by their length; empty where that is not known.
    pub lengths: Vec<LengthHistory>,
}

/// Strips of one length among those of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LengthHistory {
    /// Their length.
    pub length: Length,
    /// Strips cut.
    pub cut: u64,
    /// Strips rejected.
    pub rejected: u64,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(minutes: &str, quoted: &str, hours: &str) -> OperationHistory {
        let figure = |text: &str| text.parse().expect("a figure");
        OperationHistory {
            job: "past".to_owned(),
            plan: String::new(),
            operation: Operation::Rip,
            minutes: figure(minutes),
            quoted: figure(quoted),
            hours: figure(hours),
        }
    }

    fn from(rows: &[OperationHistory]) -> (String, String, u32) {
        let quarter = Decimal::new(25, 2);
        let learned = Learned::from(&rows.iter().collect::<Vec<_>>(), Decimal::ONE, quarter);
        (learned.factor.to_string(), learned.spread.to_string(), learned.jobs)
    }

    /// Four jobs as the shop says and one that took half as long again: (4 + 1.5) / 5 = 1.1. Variance: four at .25 squared
    /// and one .4 off, (.25 + .16) / 5 = .082, times 6/5: .0984, whose root is .3137.
    #[test]
    fn one_job_moves_the_shops_figures_by_a_fifth() {
        assert_eq!(from(&[row("1", "2", "3")]), ("1.1".to_owned(), "0.3137".to_owned(), 1));
        assert_eq!(from(&[]), ("1".to_owned(), "0.25".to_owned(), 0));
    }

    /// Jobs that agree leave less room: twelve at 1.2 give (4 + 14.4) / 16 = 1.15 and sqrt((.25 + 12 x .0025) / 16 x 17/16).
    #[test]
    fn jobs_that_agree_narrow_the_spread() {
        let jobs: Vec<_> = (0..12).map(|_| row("1", "5", "6")).collect();
        assert_eq!(from(&jobs), ("1.15".to_owned(), "0.1364".to_owned(), 12));
    }

    /// A job of that day's 2 minutes a rip, of which today's file says 1: its 2 hours quoted are 1 of today's.
    #[test]
    fn a_row_of_other_minutes_is_brought_to_todays() {
        assert_eq!(from(&[row("2", "2", "1")]).0, "1");
        assert_eq!(from(&[row("0", "2", "2")]).0, "1");
        // What was quoted at nothing tells nothing, nor does a figure that nobody works to, however many there are.
        let slip = row("10000", "0.0001", "10000");
        assert_eq!(from(&[slip.clone(), slip]).2, 0);
        assert_eq!(from(&[row("1", "0", "2")]).2, 0);
    }
}
