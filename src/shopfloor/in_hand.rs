//! Boards in hand at the yard: what each would be worth.

use super::Finish;
use super::finish::Ask;
use super::picked::{offered, owned};
use crate::cutting::{StripSize, worth_keeping};
use crate::demand::Part;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::{Cents, Units, Volume};
use crate::plan::CannotPlan;

/// What one more board would be worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its name in the file.
    pub stock: String,
    /// Its price.
    pub price: Cents,
    /// How much cheaper the rest becomes with it, both finishes solved anew, and how much more wood is left.
    pub worth: Cents,
    /// No less than this: what is saved is proven, what is left is that of the two finishes.
    pub at_least: Cents,
    /// No more than this, likewise.
    pub at_most: Cents,
}

/// What to do with a board in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It is worth more than its price.
    Take,
    /// It is worth less than its price.
    Leave,
    /// Its worth is within 1 % of its price, or what is proven does not tell on which side of it.
    TossUp,
}

impl Verdict {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Take => "take it",
            Self::Leave => "leave it",
            Self::TossUp => "toss-up",
        }
    }
}

impl Offer {
    /// The verdict, as far as it is known.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.at_most.get() <= 0 {
            return Verdict::Leave;
        }
        let (worth, price) = (i128::from(self.worth.get()), i128::from(self.price.get()));
        if (worth - price).abs() * 100 < price || worth == price {
            return Verdict::TossUp;
        }
        match (worth > price, self.at_least >= self.price, self.at_most <= self.price) {
            (true, true, _) => Verdict::Take,
            (false, _, true) => Verdict::Leave,
            _ => Verdict::TossUp,
        }
    }
}

/// How the boards in hand are judged.
///
/// The worth of a board is what the boards of the job cost without it less what they cost with it, for
/// nothing: the saving that it is bought for. Picked boards count at their prices, for they may still go back. What the
/// shop says wood that is left is worth (`offcut_value`) is counted on both sides: offcuts worth keeping, and boards at
/// hand that are not cut. The proven limits of a worth follow from the two bounds: at least the bound without less the
/// cost with, at most the cost without less the bound with. Only strips of the woods in hand are packed for it; the
/// others cost the same with and without.
///
/// Of several boards in hand those that are cut together at least cost are found first, each at its price; each board
/// is then judged beside the others of these, so that of three alike of which one is needed, one is taken.
pub(super) struct Judging<'a> {
    in_hand: &'a [&'a BoardStock],
    /// Strips of the woods in hand.
    wants: Vec<u32>,
    /// Picked boards, each at its price.
    picked: Vec<BoardStock>,
}

impl<'a> Judging<'a> {
    pub(super) fn new(parts: &[Part], in_hand: &'a [&'a BoardStock], picked: Vec<BoardStock>) -> Self {
        let asked = |part: &Part| in_hand.iter().any(|row| row.species == part.species);
        let wants = parts.iter().map(|part| if asked(part) { part.total() } else { 0 });
        Self { wants: wants.collect(), in_hand, picked }
    }

    fn ask(&self, boards: impl Iterator<Item = BoardStock>) -> Ask {
        Ask { wants: self.wants.clone(), boards: boards.chain(self.picked.iter().cloned()).collect() }
    }

    fn given(&self, rows: &[&BoardStock]) -> Ask {
        self.ask(rows.iter().map(|row| owned(row, 1)))
    }

    /// What has to be solved first: the job without the only board in hand and with it, or with all at their prices.
    pub(super) fn first(&self) -> Vec<Ask> {
        match self.in_hand {
            [] => Vec::new(),
            [only] => vec![self.given(&[]), self.given(&[*only])],
            all => vec![self.ask(all.iter().map(|row| offered(row, 1)))],
        }
    }

    /// A verdict on each, from what was solved first and what `solve` then makes of the sets that are held against each
    /// other.
    pub(super) fn offers(
        &self,
        job: &Job,
        first: &[Finish],
        solve: &mut dyn FnMut(Vec<Ask>) -> Result<Vec<Finish>, CannotPlan>,
    ) -> Result<Vec<Offer>, CannotPlan> {
        let all = match (self.in_hand, first) {
            ([only], [without, with]) => return Ok(vec![offer(job, only, without, with)]),
            (_, [all]) => all,
            _ => return Ok(Vec::new()),
        };
        let together: Vec<&BoardStock> = self.in_hand.iter().copied().filter(|row| all.uses(&row.stock) > 0).collect();
        let is_one = |row: &BoardStock| together.iter().any(|other| other.stock == row.stock);
        let mut asked: Vec<Ask> = self.in_hand.iter().map(|row| self.given(&against(&together, row))).collect();
        asked.push(self.given(&together));
        let solved = solve(asked)?;
        let with_these = &solved[self.in_hand.len()];
        let offers = self.in_hand.iter().zip(&solved).map(|(row, other)| {
            if is_one(row) { offer(job, row, other, with_these) } else { offer(job, row, with_these, other) }
        });
        Ok(offers.collect())
    }
}

/// The set that a board is judged by beside those that are cut together: these without it, or with it.
fn against<'a>(together: &[&'a BoardStock], row: &'a BoardStock) -> Vec<&'a BoardStock> {
    let others: Vec<&BoardStock> = together.iter().copied().filter(|other| other.stock != row.stock).collect();
    if others.len() < together.len() { others } else { [others, vec![row]].concat() }
}

fn offer(job: &Job, row: &BoardStock, without: &Finish, with: &Finish) -> Offer {
    // A plan that does without the board is a plan with it: a dearer answer is the search's, not the board's.
    let unused = with.plan.boards.cost > without.plan.boards.cost;
    let left_without = left_of(without);
    let left_with = if unused { left_without + row.volume() } else { left_of(with) };
    let left = left_worth(job, left_with) - left_worth(job, left_without);
    let (without, with) = (&without.plan.boards, &with.plan.boards);
    let cost_with = with.cost.min(without.cost);
    Offer {
        stock: row.stock.clone(),
        price: row.unit_cost,
        worth: without.cost - cost_with + left,
        at_least: (without.bound - cost_with).max(Cents::ZERO) + left,
        at_most: without.cost - with.bound + left,
    }
}

/// Wood of the shop's own that is left when a finish is cut: offcuts worth keeping for its strips, and boards that are
/// not cut, but for those that are still the yard's.
fn left_of(finish: &Finish) -> Volume {
    let (rules, boards) = (&finish.job.shop.cutting, &finish.job.boards);
    let own = |board: &BoardStock| board.on_hand.filter(|_| board.place != BoardPlace::Yard).unwrap_or(0);
    let mut uncut: Vec<u32> = boards.iter().map(own).collect();
    let mut left = Volume::default();
    for cut in &finish.plan.boards.boards {
        let stock = &boards[cut.stock];
        uncut[cut.stock] = uncut[cut.stock].saturating_sub(1);
        let parts = finish.plan.demand.parts.iter().filter(|part| part.species == stock.species);
        let strips: Vec<StripSize> = parts.map(Part::size).collect();
        let kept = cut.left(rules, &stock.into());
        let kept = kept.iter().filter(|left| worth_keeping(rules, &strips, &left.board()));
        left = kept.fold(left, |sum, of| sum + of.length * of.width * of.thickness.charged() * i64::from(of.pieces));
    }
    boards.iter().zip(uncut).fold(left, |sum, (board, uncut)| sum + board.volume() * i64::from(uncut))
}

/// What wood that is left is worth to the shop.
fn left_worth(job: &Job, wood: Volume) -> Cents {
    let amount = match job.units {
        Units::Inch => wood.board_feet(4),
        Units::Millimetre => wood.cubic_metres(6),
    };
    let worth = job.shop.pricing.offcut_value.decimal().checked_mul(amount);
    worth.and_then(Cents::nearest).unwrap_or(Cents::ZERO)
}
