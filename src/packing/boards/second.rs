//! A second search beside the first, unlike it, on a thread of its own or in turn.
//!
//! How many nodes a proof takes is a matter of luck: a hundred or ten thousand for the same job, as the first branches
//! fall (Gomes, Selman, Crato and Kautz, "Heavy-tailed phenomena in satisfiability and constraint satisfaction
//! problems", 2000, from memory). After every slice of work the two tell each other the best plan and the bound, and a
//! bound that one has proven closes sets of boards for the other. What each does follows from the work done alone, so
//! the result is the same whichever is faster, and on one thread.

use std::cell::RefCell;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread::{self, Builder};
use std::time::Duration;

use super::Watch;
use super::fill::Rest;
use super::model::Model;
use super::pricing::Pricer;
use super::root::{self, Root};
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

/// Slices of the first search, each with a slice of the second beside it, until the plan is proven, the listener stops
/// it or `first` says that it is done.
pub(super) fn side_by_side<'a, 'b, 'c>(
    state: &mut State<'a, 'b, 'c>,
    start: &Start<'_>,
    threads: Threads,
    first: &mut dyn FnMut(&mut State<'a, 'b, 'c>) -> bool,
) {
    match threads {
        Threads::One => in_turn(state, start, first),
        Threads::Several => at_once(state, start, first),
    }
}

fn in_turn<'a, 'b, 'c>(
    state: &mut State<'a, 'b, 'c>,
    start: &Start<'_>,
    first: &mut dyn FnMut(&mut State<'a, 'b, 'c>) -> bool,
) {
    let watch = state.watch;
    let asked = |_: Progress| if watch.borrow_mut().stop() { Flow::Stop } else { Flow::Continue };
    with_second(start, asked, |second| {
        loop {
            let news = state.news();
            let goes_on = first(state);
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

fn at_once<'a, 'b, 'c>(
    state: &mut State<'a, 'b, 'c>,
    start: &Start<'_>,
    first: &mut dyn FnMut(&mut State<'a, 'b, 'c>) -> bool,
) {
    let stopped = AtomicBool::new(false);
    let asked = |_: Progress| if stopped.load(Ordering::Relaxed) { Flow::Stop } else { Flow::Continue };
    let spawned = thread::scope(|scope| {
        let (ask, slices) = mpsc::channel::<News>();
        let (tell, told) = mpsc::channel();
        let worker = move || {
            with_second(start, asked, |second| {
                // Nobody waits for an answer any more once the first search is done.
                while let Ok(news) = slices.recv()
                    && tell.send(second(news)).is_ok()
                {}
            });
        };
        let Ok(worker) = Builder::new().spawn_scoped(scope, worker) else { return false };
        while ask.send(state.news()).is_ok() {
            let goes_on = first(state);
            let done = state.is_proven() || state.stop();
            stopped.store(done, Ordering::Relaxed);
            let Some(found) = answer(state, &told, &stopped) else { break };
            // What the second found in a slice in which the first was done depends on how far it came.
            if !state.is_proven() {
                state.hear(found);
            }
            if done || !goes_on || state.is_proven() || state.stop() {
                break;
            }
        }
        drop(ask);
        worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        true
    });
    // No thread to be had: then in turn.
    if !spawned {
        in_turn(state, start, first);
    }
}

/// Waits for the second search, and passes on when it is to stop; `None` when it has panicked.
fn answer(state: &State<'_, '_, '_>, told: &Receiver<News>, stopped: &AtomicBool) -> Option<News> {
    loop {
        match told.recv_timeout(WAIT) {
            Ok(news) => return Some(news),
            Err(RecvTimeoutError::Timeout) => {
                stopped.fetch_or(state.stop(), Ordering::Relaxed);
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
    let watch = RefCell::new(Watch::new(&mut listener, Some(0)));
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
