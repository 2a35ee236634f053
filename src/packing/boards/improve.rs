//! From a first plan to a better one and a higher bound: searches, and parts of the plan packed anew.

use super::fill::Rest;
use super::renew::Renewal;
use super::root::{self, Columns, Root};
use super::search::State;
use super::second::{self, Start};
use super::tree::{Manner, Tree};
use crate::packing::Threads;

/// Plans of more boards than this are within a part in a thousand of the bound anyway, and a search
/// cannot close them.
const TREE_BOARDS: u64 = 300;

/// Percent of the work: a first search that dives a lot, which proves most jobs; the renewal of parts of
/// the plan. With what is left the search goes on and dives less. All but the first has a second search beside it.
const FIRST: u64 = 20;
const RENEWAL: u64 = 30;
/// Percent of the work for renewal where no search comes after it: with so many boards more brings little.
const RENEWAL_ALONE: u64 = 20;
/// The two searches tell each other what they found so many times.
const SLICES: u64 = 30;

/// Betters the plan and the bound for `work`; `rest` is what the linear program was solved for.
pub(super) fn improve<'a, 'b, 'c>(
    state: &mut State<'a, 'b, 'c>,
    (rest, root): (&Rest, &Root),
    columns: &mut Columns<'a, 'b, 'c>,
    (work, threads): (u64, Threads),
) {
    let boards: u64 = state.best.iter().flat_map(|best| &best.1).map(|(_, count)| u64::from(*count)).sum();
    if boards > TREE_BOARDS {
        Renewal::default().run(state, columns, work * RENEWAL_ALONE / 100);
        return;
    }
    let values = rest.values(root::need_values(&root.duals));
    let mut tree = Tree::new(state, (root, &values), Manner::FIRST);
    let done = tree.search(state, work * FIRST / 100);
    let left = work.saturating_sub(done);
    if state.is_proven() || left == 0 || state.stop() {
        return;
    }
    let slice = (work / SLICES).max(1);
    let (model, wanted, news) = (state.pricer.model, state.wanted.clone(), state.news());
    let start = Start { model, wanted, rest, root, news, slice, most: left };
    let mut first = First { tree, columns, renewal: Renewal::default(), for_renewal: work * RENEWAL / 100, left };
    second::side_by_side(state, &start, threads, &mut |state| first.goes_on(state, slice));
}

/// The first search once it has a second beside it: it packs parts anew, then goes on as before.
struct First<'t, 'a, 'b, 'c> {
    tree: Tree<'a, 'b, 'c>,
    columns: &'t mut Columns<'a, 'b, 'c>,
    renewal: Renewal,
    for_renewal: u64,
    left: u64,
}

impl First<'_, '_, '_, '_> {
    /// Does a slice of work; false when there is nothing left to do.
    fn goes_on(&mut self, state: &mut State<'_, '_, '_>, slice: u64) -> bool {
        let slice = slice.min(self.left);
        let mut done = self.renewal.run(state, self.columns, slice.min(self.for_renewal));
        self.for_renewal = self.for_renewal.saturating_sub(done);
        if done == 0 {
            self.tree.dive_less();
            done = self.tree.search_on(state, (slice, self.left));
        }
        self.left = self.left.saturating_sub(done);
        done > 0 && self.left > 0
    }
}
