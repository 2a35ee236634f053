//! What is said of a plan whose packing was stopped before its work was done: the same words on every screen and sheet.

use crate::job::Job;
use crate::measure::Cents;
use crate::packing::boards::BoardPlan;
use crate::packing::cloth::ClothPlan;
use crate::plan::Plan;
use crate::report::printable;

/// How much dearer than need be the parts of a plan may be that were cut short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutShort {
    /// Boards, over their bound; zero when their packing was not stopped.
    pub boards: Cents,
    /// Cloth, likewise.
    pub cloth: Cents,
    /// Sheets, likewise.
    pub sheets: Cents,
}

impl CutShort {
    /// `None` for a plan that was not cut short.
    #[must_use]
    pub fn of(boards: &BoardPlan, cloth: &ClothPlan, sheets: &BoardPlan) -> Option<Self> {
        let open = |stopped: bool, cost: Cents, bound: Cents| if stopped { cost - bound } else { Cents::ZERO };
        (boards.cut_short || cloth.cut_short || sheets.cut_short).then(|| Self {
            boards: open(boards.cut_short, boards.cost, boards.bound),
            cloth: open(cloth.cut_short, cloth.cost, cloth.cost_bound),
            sheets: open(sheets.cut_short, sheets.cost, sheets.bound),
        })
    }

    /// One sentence, without a full stop.
    #[must_use]
    pub fn say(self, currency: &str) -> String {
        let money = printable(currency);
        let amounts = [("boards", self.boards), ("cloth", self.cloth), ("sheets", self.sheets)];
        let open = amounts.iter().filter(|(_, amount)| *amount > Cents::ZERO);
        let open: Vec<String> = open.map(|(what, amount)| format!("{what} by up to {money} {amount}")).collect();
        let dearer =
            if open.is_empty() { String::new() } else { format!("; dearer than need be: {}", open.join(", ")) };
        format!("this plan was cut short, the packing was stopped early{dearer}")
    }
}

/// What is said of a plan that was cut short; `None` for any other.
#[must_use]
pub fn cut_short(job: &Job, plan: &Plan) -> Option<String> {
    Some(CutShort::of(&plan.boards, &plan.cloth, &plan.cased.sheets)?.say(&job.shop.currency))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_open_is_named() {
        let say = |boards, cloth| {
            CutShort { boards: Cents::new(boards), cloth: Cents::new(cloth), sheets: Cents::ZERO }.say("USD")
        };
        assert!(say(549, 0).ends_with("dearer than need be: boards by up to USD 5.49"), "{}", say(549, 0));
        assert!(say(549, 3).ends_with("boards by up to USD 5.49, cloth by up to USD 0.03"), "{}", say(549, 3));
        assert!(!say(0, 0).contains("dearer"));
    }
}
