//! Strips on their way from boards to bundles; every change can be taken back.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;

use super::{BundleProblem, Given};

/// Who takes what from where. A bundle's *boards* are those it may take strips from; strips move
/// between bundles along their boards when room is wanted.
#[derive(Debug, Clone)]
pub(super) struct Flows {
    /// Per board the parts it yields, ascending.
    yields: Vec<Vec<Yield>>,
    /// Boards that yield a part, ascending; and, most first, the strips of the richest so many together.
    sources: Vec<Vec<usize>>,
    richest: Vec<Vec<u64>>,
    /// Per part the boards that have some left.
    open: Vec<BTreeSet<usize>>,
    /// Per bundle what it takes.
    takes: Vec<Vec<(usize, u64)>>,
    /// Per bundle its boards, ascending, and what it has of each part from each.
    links: Vec<Vec<Link>>,
    /// Bundles linked to a board.
    users: Vec<Vec<usize>>,
    journal: Vec<Change>,
    /// Kept so as not to be made anew: board, the place in this list it was reached from, and the bundle that
    /// moves from there to here.
    seen: Vec<(usize, usize, usize)>,
    /// Boards looked at.
    pub(super) work: u64,
}

/// Strips of one part that a board yields: in all, and those not given yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Yield {
    part: usize,
    supply: u64,
    free: u64,
}

#[derive(Debug, Clone)]
struct Link {
    board: usize,
    /// Per entry of `takes`.
    has: Vec<u64>,
}

#[derive(Debug, Clone, Copy)]
enum Change {
    Linked {
        bundle: usize,
        board: usize,
    },
    Unlinked {
        bundle: usize,
        board: usize,
    },
    /// Strips of an entry of `takes`, given (or given back when negative).
    Moved {
        bundle: usize,
        board: usize,
        entry: usize,
        strips: i64,
    },
}

/// Boards that a search for room visits at most.
const VISITS: usize = 64;

impl Flows {
    pub(super) fn new(problem: &BundleProblem) -> Self {
        let yielded = problem.boards.iter().flatten().map(|(part, _)| part + 1);
        let taken = problem.wants.iter().flat_map(|want| &want.takes).map(|(part, _)| part + 1);
        let parts = yielded.chain(taken).max().unwrap_or(0);
        let mut yields: Vec<Vec<Yield>> = Vec::with_capacity(problem.boards.len());
        let mut sources = vec![Vec::new(); parts];
        for (board, yielded) in problem.boards.iter().enumerate() {
            let some = yielded.iter().filter(|(_, strips)| *strips > 0);
            let mut of_board: Vec<Yield> =
                some.map(|&(part, strips)| Yield { part, supply: strips, free: strips }).collect();
            of_board.sort_unstable();
            of_board.iter().for_each(|of| sources[of.part].push(board));
            yields.push(of_board);
        }
        let nonzero = |takes: &Vec<(usize, u64)>| takes.iter().copied().filter(|(_, strips)| *strips > 0).collect();
        let mut flows = Self {
            open: sources.iter().map(|boards: &Vec<usize>| boards.iter().copied().collect()).collect(),
            yields,
            sources,
            richest: Vec::new(),
            takes: problem.wants.iter().map(|want| nonzero(&want.takes)).collect(),
            links: vec![Vec::new(); problem.wants.len()],
            users: vec![Vec::new(); problem.boards.len()],
            journal: Vec::new(),
            seen: Vec::new(),
            work: 0,
        };
        flows.richest = (0..parts).map(|part| flows.sums_of_richest(part)).collect();
        flows
    }

    fn sums_of_richest(&self, part: usize) -> Vec<u64> {
        let mut strips: Vec<u64> = self.sources[part].iter().map(|&board| self.supply(board, part)).collect();
        strips.sort_unstable_by(|a, b| b.cmp(a));
        let add = |sum: &mut u64, strips| {
            *sum += strips;
            Some(*sum)
        };
        strips.into_iter().scan(0, add).collect()
    }

    /// True when every part is yielded as often as it is taken.
    pub(super) fn suffices(&self) -> bool {
        let mut taken = vec![0; self.sources.len()];
        self.takes.iter().flatten().for_each(|take| taken[take.0] += take.1);
        taken.iter().zip(&self.richest).all(|(&taken, richest)| richest.last().copied().unwrap_or(0) >= taken)
    }

    /// The fewest boards that yield so many strips of a part; all and one more where they do not suffice.
    pub(super) fn fewest_for(&self, part: usize, strips: u64) -> usize {
        self.richest[part].partition_point(|&sum| sum < strips) + 1
    }

    fn yielded(&self, board: usize, part: usize) -> Option<&Yield> {
        let of_board = &self.yields[board];
        of_board.binary_search_by_key(&part, |of| of.part).ok().map(|at| &of_board[at])
    }

    pub(super) fn supply(&self, board: usize, part: usize) -> u64 {
        self.yielded(board, part).map_or(0, |of| of.supply)
    }

    pub(super) fn free(&self, board: usize, part: usize) -> u64 {
        self.yielded(board, part).map_or(0, |of| of.free)
    }

    pub(super) fn takes(&self, bundle: usize) -> &[(usize, u64)] {
        &self.takes[bundle]
    }

    /// Boards that yield something a bundle takes, ascending.
    pub(super) fn sources_of(&self, bundle: usize) -> Vec<usize> {
        let mut boards: Vec<usize> =
            self.takes[bundle].iter().flat_map(|take| self.sources[take.0].iter().copied()).collect();
        boards.sort_unstable();
        boards.dedup();
        boards
    }

    /// For each of these boards the last one before it that yields just the same.
    pub(super) fn twins(&self, boards: &[usize]) -> Vec<Option<usize>> {
        let mut last: BTreeMap<Vec<(usize, u64)>, usize> = BTreeMap::new();
        let yields = |board: usize| self.yields[board].iter().map(|of| (of.part, of.supply)).collect();
        boards.iter().map(|&board| last.insert(yields(board), board)).collect()
    }

    pub(super) fn boards_of(&self, bundle: usize) -> Vec<usize> {
        self.links[bundle].iter().map(|link| link.board).collect()
    }

    pub(super) fn doors_on(&self, board: usize) -> Vec<usize> {
        self.users[board].clone()
    }

    pub(super) fn is_unused(&self, board: usize) -> bool {
        self.users[board].is_empty()
    }

    pub(super) fn pairs(&self, bundles: &[usize]) -> usize {
        bundles.iter().map(|&bundle| self.links[bundle].len()).sum()
    }

    /// Boards that yield a part.
    pub(super) fn sources(&self, part: usize) -> &[usize] {
        &self.sources[part]
    }

    /// Boards that have some of a part left, in order, from after a board on.
    pub(super) fn open(&self, part: usize, after: Option<usize>) -> impl Iterator<Item = usize> {
        let from = after.map_or(Bound::Unbounded, Bound::Excluded);
        self.open[part].range((from, Bound::Unbounded)).copied()
    }

    /// Forgets how to take changes back.
    pub(super) fn settle(&mut self) {
        self.journal.clear();
    }

    pub(super) fn mark(&self) -> usize {
        self.journal.len()
    }

    /// Takes back every change since the mark.
    pub(super) fn undo(&mut self, mark: usize) {
        while self.journal.len() > mark {
            match self.journal.pop().expect("the journal is longer than the mark") {
                Change::Linked { bundle, board } => self.cut_link(bundle, board),
                Change::Unlinked { bundle, board } => self.tie_link(bundle, board),
                Change::Moved { bundle, board, entry, strips } => self.shift(bundle, board, entry, -strips),
            }
        }
    }

    /// Gives back all that a bundle has.
    pub(super) fn release(&mut self, bundle: usize) {
        for board in self.boards_of(bundle).into_iter().rev() {
            for entry in 0..self.takes[bundle].len() {
                let has = self.has(bundle, board, entry);
                if has > 0 {
                    self.change(Change::Moved { bundle, board, entry, strips: -has.cast_signed() });
                }
            }
            self.change(Change::Unlinked { bundle, board });
        }
    }

    /// Lets a bundle take all it wants from these boards, others making room where they can; false
    /// (and nothing changed) when that does not do.
    pub(super) fn give(&mut self, bundle: usize, boards: &[usize]) -> bool {
        let mark = self.mark();
        // In their order, so that each link is put behind the others.
        let mut boards = boards.to_vec();
        boards.sort_unstable();
        boards.into_iter().for_each(|board| self.change(Change::Linked { bundle, board }));
        for entry in 0..self.takes[bundle].len() {
            let mut want = self.draw_own(bundle, entry);
            while want > 0 {
                match self.draw(bundle, entry, want) {
                    0 => {
                        self.undo(mark);
                        return false;
                    }
                    drawn => want -= drawn,
                }
            }
        }
        true
    }

    /// A bundle's boards that yield a part. What is left should lie where other parts are left too, and together.
    fn own_boards(&self, bundle: usize, part: usize) -> Vec<usize> {
        let boards = self.links[bundle].iter().map(|link| link.board);
        let mut own: Vec<usize> = boards.filter(|&board| self.supply(board, part) > 0).collect();
        own.sort_by_cached_key(|&board| (self.others_free(board, part), self.free(board, part), board));
        own
    }

    /// Draws strips from what is free on the bundle's own boards; what is still wanted.
    fn draw_own(&mut self, bundle: usize, entry: usize) -> u64 {
        let (part, mut want) = self.takes[bundle][entry];
        for board in self.own_boards(bundle, part) {
            if want == 0 {
                break;
            }
            self.work += 1;
            let strips = want.min(self.free(board, part));
            if strips > 0 {
                self.change(Change::Moved { bundle, board, entry, strips: strips.cast_signed() });
                want -= strips;
            }
        }
        want
    }

    /// Cuts links over which nothing comes.
    pub(super) fn drop_idle(&mut self, bundle: usize) {
        let idle: Vec<usize> =
            self.links[bundle].iter().filter(|link| link.has.iter().all(|&n| n == 0)).map(|link| link.board).collect();
        idle.into_iter().for_each(|board| self.change(Change::Unlinked { bundle, board }));
    }

    /// Draws strips over the shortest chain of bundles that make room, where no own board has any free; 0 when there
    /// is none.
    fn draw(&mut self, bundle: usize, entry: usize, want: u64) -> u64 {
        let part = self.takes[bundle][entry].0;
        let mut seen = std::mem::take(&mut self.seen);
        seen.clear();
        seen.extend(self.own_boards(bundle, part).into_iter().map(|board| (board, usize::MAX, bundle)));
        let own = seen.len();
        let mut at = 0;
        let mut drawn = 0;
        while at < seen.len() && seen.len() <= own + VISITS {
            let board = seen[at].0;
            self.work += 1;
            if self.free(board, part) > 0 {
                drawn = self.pull(&seen, at, entry, want);
                break;
            }
            for &other in &self.users[board] {
                let Some(of_other) = self.takes[other].iter().position(|take| take.0 == part) else { continue };
                if other == bundle || self.has(other, board, of_other) == 0 {
                    continue;
                }
                for link in &self.links[other] {
                    let to = link.board;
                    if self.supply(to, part) > 0 && seen.iter().all(|known| known.0 != to) {
                        seen.push((to, at, other));
                    }
                }
            }
            at += 1;
        }
        self.seen = seen;
        drawn
    }

    /// True when a board has strips of another part to give.
    fn others_free(&self, board: usize, part: usize) -> bool {
        self.yields[board].iter().any(|other| other.part != part && other.free > 0)
    }

    /// Moves strips along the chain that ends at `seen[end]`.
    fn pull(&mut self, seen: &[(usize, usize, usize)], end: usize, entry: usize, want: u64) -> u64 {
        let bundle = seen.first().map_or(0, |first| first.2);
        let part = self.takes[bundle][entry].0;
        let of = |flows: &Self, other: usize| flows.takes[other].iter().position(|take| take.0 == part);
        let mut strips = want.min(self.free(seen[end].0, part));
        let mut at = end;
        while seen[at].1 != usize::MAX {
            let (_, from, mover) = seen[at];
            let entry = of(self, mover).expect("a mover takes the part");
            strips = strips.min(self.has(mover, seen[from].0, entry));
            at = from;
        }
        let signed = strips.cast_signed();
        let mut at = end;
        while seen[at].1 != usize::MAX {
            let (board, from, mover) = seen[at];
            let entry = of(self, mover).expect("a mover takes the part");
            self.change(Change::Moved { bundle: mover, board: seen[from].0, entry, strips: -signed });
            self.change(Change::Moved { bundle: mover, board, entry, strips: signed });
            at = from;
        }
        self.change(Change::Moved { bundle, board: seen[at].0, entry, strips: signed });
        strips
    }

    fn has(&self, bundle: usize, board: usize, entry: usize) -> u64 {
        let links = &self.links[bundle];
        links.binary_search_by_key(&board, |link| link.board).map_or(0, |at| links[at].has[entry])
    }

    fn change(&mut self, change: Change) {
        match change {
            Change::Linked { bundle, board } => self.tie_link(bundle, board),
            Change::Unlinked { bundle, board } => self.cut_link(bundle, board),
            Change::Moved { bundle, board, entry, strips } => self.shift(bundle, board, entry, strips),
        }
        self.journal.push(change);
    }

    fn tie_link(&mut self, bundle: usize, board: usize) {
        let at = self.links[bundle].partition_point(|link| link.board < board);
        let has = vec![0; self.takes[bundle].len()];
        self.links[bundle].insert(at, Link { board, has });
        self.users[board].push(bundle);
    }

    fn cut_link(&mut self, bundle: usize, board: usize) {
        let links = &mut self.links[bundle];
        if let Ok(at) = links.binary_search_by_key(&board, |link| link.board) {
            links.remove(at);
        }
        if let Some(at) = self.users[board].iter().rposition(|&user| user == bundle) {
            self.users[board].remove(at);
        }
    }

    fn shift(&mut self, bundle: usize, board: usize, entry: usize, strips: i64) {
        let part = self.takes[bundle][entry].0;
        let at = self.yields[board].binary_search_by_key(&part, |of| of.part);
        let free = &mut self.yields[board][at.expect("what a board does not yield is not given")].free;
        let before = *free;
        *free = free.checked_add_signed(-strips).expect("no more is given than there is");
        let now = *free;
        if now == 0 {
            self.open[part].remove(&board);
        } else if before == 0 {
            self.open[part].insert(board);
        }
        let links = &mut self.links[bundle];
        let at = links.binary_search_by_key(&board, |link| link.board).expect("strips move along links");
        let link = &mut links[at];
        link.has[entry] = link.has[entry].checked_add_signed(strips).expect("no more is given back than was had");
    }

    /// All that is given, by board, part and bundle.
    pub(super) fn given(&self) -> Vec<Given> {
        let mut given = Vec::new();
        for (bundle, links) in self.links.iter().enumerate() {
            for link in links {
                let rows = self.takes[bundle].iter().zip(&link.has).filter(|(_, strips)| **strips > 0);
                given.extend(rows.map(|(take, &strips)| Given { board: link.board, part: take.0, bundle, strips }));
            }
        }
        given.sort_unstable();
        given
    }
}
