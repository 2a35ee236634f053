//! From first plans to better ones and higher bounds: searches, and parts of the plan packed anew.

use super::renew::Renewal;
use super::root;
use super::search::Wood;
use super::second::{self, First, Start};
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

/// Percent of the budget that everything may take, linear programs and first plans included: about seven seconds by
/// the default budget.
const IN_ALL: u64 = 133;

/// Betters plans and bounds for as much work as a budget allows; each species that is not proven yet has an equal share.
pub(super) fn improve<'a, 'b, 'c>(
    mut woods: Vec<Wood<'a, 'b, 'c>>,
    budget: u64,
    threads: Threads,
) -> Vec<Wood<'a, 'b, 'c>> {
    let spent: u64 = woods.iter().map(|wood| wood.spent).sum();
    let work = budget.min((budget * IN_ALL / 100).saturating_sub(spent));
    let mut open: Vec<&mut Wood<'a, 'b, 'c>> = woods.iter_mut().filter(|wood| !wood.is_done()).collect();
    let share = work / open.len().max(1) as u64;
    let mut left = 0;
    let mut trees = Vec::new();
    open.retain_mut(|wood| {
        let (tree, done) = begin(wood, share);
        left += share.saturating_sub(done);
        let goes_on = tree.is_some() && !wood.state.is_proven() && !wood.state.stop();
        trees.extend(tree.filter(|_| goes_on));
        goes_on
    });
    let left = left / open.len().max(1) as u64;
    if left > 0 {
        go_on(open, trees, (share, left), threads);
    }
    woods
}

/// A first search, or a renewal where there are too many boards for one; the search, and the work done.
fn begin<'a, 'b, 'c>(wood: &mut Wood<'a, 'b, 'c>, work: u64) -> (Option<Tree<'a, 'b, 'c>>, u64) {
    wood.turn_to();
    wood.columns.work_on();
    let state = &mut wood.state;
    let boards: u64 = state.best.iter().flat_map(|best| &best.1).map(|(_, count)| u64::from(*count)).sum();
    if boards > TREE_BOARDS {
        return (None, Renewal::default().run(state, &mut wood.columns, work * RENEWAL_ALONE / 100));
    }
    let values = wood.rest.values(root::need_values(&wood.root.duals));
    let mut tree = Tree::new(state, (&wood.root, &values), Manner::FIRST);
    let done = tree.search(state, work * FIRST / 100);
    (Some(tree), done)
}

/// Searches on, each with a second one beside it, for `left` of a `share` of the work each.
fn go_on<'a, 'b, 'c>(
    woods: Vec<&mut Wood<'a, 'b, 'c>>,
    trees: Vec<Tree<'a, 'b, 'c>>,
    (share, left): (u64, u64),
    threads: Threads,
) {
    let slice = (share / SLICES).max(1);
    let mut pairs: Vec<(First<'_, 'a, 'b, 'c>, Start<'_>)> = Vec::new();
    for (wood, tree) in woods.into_iter().zip(trees) {
        let Wood { at, state, rest, root, columns, .. } = wood;
        let (model, wanted, news) = (state.pricer.model, state.wanted.clone(), state.news());
        let start = Start { model, wanted, rest, root, news, slice, most: left };
        let for_renewal = share * RENEWAL / 100;
        let renewal = Renewal::default();
        pairs.push((First { at: *at, state, tree, columns, renewal, for_renewal, slice, left }, start));
    }
    let (mut firsts, starts): (Vec<_>, Vec<_>) = pairs.into_iter().unzip();
    second::side_by_side(&mut firsts, &starts, threads);
}
