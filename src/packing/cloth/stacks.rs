//! Stacks: pieces on one another in one column of a level; and levels as stacks side by side.
//!
//! A level is as high as its tallest piece. Beside it shorter pieces may stand on one another, as
//! long as they stay within the level; a stack is as wide as its widest piece. Cut across the bolt,
//! then along it between the stacks, then across each stack, and trim.

use super::model::Model;

/// Pieces on one another: (placement, copies), by placement.
pub(super) type Stack = Vec<(usize, i64)>;

/// Stacks side by side, each with how often it stands there, sorted.
pub(super) type Content = Vec<(Stack, i64)>;

/// Pieces side by side, each a stack of its own.
pub(super) fn side_by_side(pieces: impl IntoIterator<Item = (usize, i64)>) -> Content {
    let mut content: Content = pieces.into_iter().map(|(p, copies)| (vec![(p, 1)], copies)).collect();
    content.sort_unstable();
    content
}

/// Pieces of a content: (placement, copies), with repeats.
pub(super) fn pieces(content: &Content) -> impl Iterator<Item = (usize, i64)> + '_ {
    content.iter().flat_map(|(stack, times)| stack.iter().map(move |&(p, copies)| (p, copies * times)))
}

/// Along the bolt, in units: all its pieces.
pub(super) fn height(model: &Model, stack: &Stack) -> i64 {
    stack.iter().map(|&(p, copies)| model.placements[p].along * copies).sum()
}

/// Across the bolt, nm: its widest piece.
pub(super) fn width(model: &Model, stack: &Stack) -> i64 {
    stack.iter().map(|&(p, _)| model.placements[p].across).max().unwrap_or(0)
}

/// The tallest piece of a content.
pub(super) fn tallest(model: &Model, content: &Content) -> i64 {
    content.iter().flat_map(|(stack, _)| stack).map(|&(p, _)| model.placements[p].along).max().unwrap_or(0)
}

/// The stacks one by one.
pub(super) fn apart(content: &Content) -> Vec<Stack> {
    content.iter().flat_map(|(stack, times)| std::iter::repeat_n(stack.clone(), *times as usize)).collect()
}

/// Stacks to a content: equal ones counted, empty ones left out.
pub(super) fn together(mut stacks: Vec<Stack>) -> Content {
    for stack in &mut stacks {
        stack.retain(|&(_, copies)| copies > 0);
        stack.sort_unstable();
        stack.dedup_by(|next, held| {
            next.0 == held.0 && {
                held.1 += next.1;
                true
            }
        });
    }
    stacks.retain(|stack| !stack.is_empty());
    stacks.sort_unstable();
    let mut content: Content = Vec::new();
    for stack in stacks {
        match content.last_mut() {
            Some((last, times)) if *last == stack => *times += 1,
            _ => content.push((stack, 1)),
        }
    }
    content
}

/// Adds a piece to a stack.
pub(super) fn add(stack: &mut Stack, placement: usize) {
    match stack.iter_mut().find(|(p, _)| *p == placement) {
        Some((_, copies)) => *copies += 1,
        None => stack.push((placement, 1)),
    }
}

/// Keeps of every kind no more than `free` copies, counted down as it goes, and takes the shortest
/// pieces off stacks that are then taller than the tallest piece.
pub(super) fn settled(model: &Model, content: &Content, free: &mut [i64]) -> Content {
    if content.iter().all(|(stack, _)| stack.len() == 1 && stack[0].1 == 1) {
        let mut kept = content.clone();
        for (stack, times) in &mut kept {
            let need = &mut free[model.placements[stack[0].0].kind];
            *times = (*times).min(*need);
            *need -= *times;
        }
        kept.retain(|&(_, times)| times > 0);
        return kept;
    }
    let mut stacks = apart(content);
    // Tall pieces keep their place first: they carry the level.
    stacks.sort_by_key(|stack| std::cmp::Reverse(stack.iter().map(|&(p, _)| model.placements[p].along).max()));
    for (p, copies) in stacks.iter_mut().flatten() {
        let need = &mut free[model.placements[*p].kind];
        *copies = (*copies).min(*need);
        *need -= *copies;
    }
    let most = tallest(model, &together(stacks.clone()));
    for stack in &mut stacks {
        let mut over = height(model, stack) - most;
        stack.sort_unstable();
        while over > 0 {
            let Some((p, copies)) = stack.iter_mut().find(|(_, copies)| *copies > 0) else { break };
            *copies -= 1;
            free[model.placements[*p].kind] += 1;
            over -= model.placements[*p].along;
        }
    }
    together(stacks)
}
