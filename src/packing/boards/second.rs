//! A second search beside the first, unlike it, on a thread of its own or in turn.
//!
//! How many nodes a proof takes is a matter of luck: a hundred or ten thousand for the same job, as the first branches
//! fall (Gomes, Selman, Crato and Kautz, "Heavy-tailed phenomena in satisfiability and constraint satisfaction
//! problems", 2000, from memory). After every slice of work the two tell each other the best plan and the bound, and a
//! bound that one has proven closes sets of boards for the other. What each does follows from the work done alone, so
//! the result is the same whichever is faster, and on one thread.

use std::cell::RefCell;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, Builder};
use std::time::Duration;

use super::Watch;
use super::fill::Rest;
use super::model::Model;
use super::pricing::Pricer;
use super::renew::Renewal;
use super::root::{self, Columns, Root};
use super::search::{News, State};
use super::tree::{Manner, Tree};
use crate::packing::{Flow, Progress, Threads};

/// How often the listener is asked while the first search waits for the second.
const WAIT: Duration = Duration::from_millis(10);

/// What the second search starts from.
pub(super) struct Start<'a> {
    pub(super) model: &'a Model,
    /// What is wanted, and with which millings the linear program was solved.
    pub(super) wanted: Rest,
    pub(super) rest: &'a Rest,
    pub(super) root: &'a Root,
    /// What the first search knows.
    pub(super) news: News,
    /// Work of a slice, and of all of them at most.
    pub(super) slice: u64,
    pub(super) most: u64,
}

/// A first search once it has a second beside it: it packs parts anew, then goes on as before.
pub(super) struct First<'t, 'a, 'b, 'c> {
    /// The place of its species among the others.
    pub(super) at: usize,
    pub(super) state: &'t mut State<'a, 'b, 'c>,
    pub(super) tree: Tree<'a, 'b, 'c>,
    pub(super) columns: &'t mut Columns<'a, 'b, 'c>,
    pub(super) renewal: Renewal,
    pub(super) for_renewal: u64,
    pub(super) slice: u64,
    pub(super) left: u64,
}

impl<'a, 'b, 'c> First<'_, 'a, 'b, 'c> {
    /// What it knows; what is heard from now on is about its species.
    fn state(&mut self) -> &mut State<'a, 'b, 'c> {
        self.state.watch.borrow_mut().at = self.at;
        self.state
    }

    /// Does a slice of work; false when there is nothing left to do.
    fn goes_on(&mut self) -> bool {
        self.state.watch.borrow_mut().at = self.at;
        let slice = self.slice.min(self.left);
        let mut done = self.renewal.run(self.state, self.columns, slice.min(self.for_renewal));
        self.for_renewal = self.for_renewal.saturating_sub(done);
        if done == 0 {
            self.tree.dive_less();
            done = self.tree.search_on(self.state, (slice, self.left));
        }
        self.left = self.left.saturating_sub(done);
        done > 0 && self.left > 0
    }
}

/// Slices of each first search in turn, each with a slice of its second beside it, until the plan is proven, the
/// listener stops it or the first says that it is done.
pub(super) fn side_by_side(firsts: &mut [First<'_, '_, '_, '_>], starts: &[Start<'_>], threads: Threads) {
    match threads {
        Threads::One => firsts.iter_mut().zip(starts).for_each(|(first, start)| in_turn(first, start)),
        Threads::Several => at_once(firsts, starts),
    }
}

fn in_turn(first: &mut First<'_, '_, '_, '_>, start: &Start<'_>) {
    let watch = first.state().watch;
    let asked = |_: Progress| if watch.borrow_mut().stop() { Flow::Stop } else { Flow::Continue };
    with_second(start, asked, |second| {
        loop {
            let news = first.state().news();
            let goes_on = first.goes_on();
            let state = first.state();
            if state.is_proven() || state.stop() {
                return;
            }
            let found = second(news);
            state.hear(found);
            if !goes_on || state.is_proven() || state.stop() {
                return;
            }
        }
    });
}

/// A second search on a thread of its own: where it is asked and where it answers.
struct Second<'s> {
    ask: Sender<News>,
    told: Receiver<News>,
    stopped: &'s AtomicBool,
}

fn at_once(firsts: &mut [First<'_, '_, '_, '_>], starts: &[Start<'_>]) {
    let stopped: Vec<AtomicBool> = starts.iter().map(|_| AtomicBool::new(false)).collect();
    let mut alone = vec![false; starts.len()];
    thread::scope(|scope| {
        let mut seconds: Vec<Option<Second<'_>>> = Vec::new();
        for (start, stopped) in starts.iter().zip(&stopped) {
            let (ask, slices) = mpsc::channel::<News>();
            let (tell, told) = mpsc::channel();
            let asked = |_: Progress| if stopped.load(Ordering::Relaxed) { Flow::Stop } else { Flow::Continue };
            let worker = move || {
                with_second(start, asked, |second| {
                    // Nobody waits for an answer any more once the first search is done.
                    while let Ok(news) = slices.recv()
                        && tell.send(second(news)).is_ok()
                    {}
                });
            };
            let spawned = Builder::new().spawn_scoped(scope, worker);
            seconds.push(spawned.is_ok().then_some(Second { ask, told, stopped }));
        }
        // No thread to be had: then in turn.
        alone = seconds.iter().map(Option::is_none).collect();
        while seconds.iter().any(Option::is_some) {
            for (first, second) in firsts.iter_mut().zip(&mut seconds) {
                if second.as_ref().is_some_and(|second| !one_slice(first, second)) {
                    *second = None;
                }
            }
        }
    });
    let left = firsts.iter_mut().zip(starts).zip(alone).filter(|(_, alone)| *alone);
    left.for_each(|((first, start), _)| in_turn(first, start));
}

/// A slice of both searches; false when they are done.
fn one_slice(first: &mut First<'_, '_, '_, '_>, second: &Second<'_>) -> bool {
    // Its thread is gone only when it has panicked, which the end of the scope passes on.
    if second.ask.send(first.state().news()).is_err() {
        return false;
    }
    let goes_on = first.goes_on();
    let state = first.state();
    let done = state.is_proven() || state.stop();
    second.stopped.store(done, Ordering::Relaxed);
    let Some(found) = answer(state, second) else { return false };
    // What the second found in a slice in which the first was done depends on how far it came.
    if !state.is_proven() {
        state.hear(found);
    }
    !done && goes_on && !state.is_proven() && !state.stop()
}

/// Waits for the second search, and passes on when it is to stop; `None` when it has panicked.
fn answer(state: &State<'_, '_, '_>, second: &Second<'_>) -> Option<News> {
    loop {
        match second.told.recv_timeout(WAIT) {
            Ok(news) => return Some(news),
            Err(RecvTimeoutError::Timeout) => {
                second.stopped.fetch_or(state.stop(), Ordering::Relaxed);
            }
            Err(RecvTimeoutError::Disconnected) => return None,
        }
    }
}

/// Sets up the second search and gives `run` its slices: each takes what is new and says what it found.
fn with_second(
    start: &Start<'_>,
    mut listener: impl FnMut(Progress) -> Flow,
    run: impl FnOnce(&mut dyn FnMut(News) -> News),
) {
    let pricer = Pricer::new(start.model);
    let watch = RefCell::new(Watch::new(&mut listener, 1));
    let mut state = State::second(&pricer, start.wanted.clone(), &start.news, &watch);
    let values = start.rest.values(root::need_values(&start.root.duals));
    let mut tree = Tree::new(&state, (start.root, &values), Manner::SECOND);
    let mut left = start.most;
    run(&mut |news| {
        state.hear(news);
        let before = watch.borrow().nodes;
        left = left.saturating_sub(tree.search_on(&mut state, (start.slice.min(left), left)));
        let mut news = state.news();
        news.nodes = watch.borrow().nodes - before;
        news
    });
}
