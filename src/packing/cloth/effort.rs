//! Work done by a search, and whether it is to go on: asked between steps of any kind, so that no step keeps a
//! listener waiting.

use std::cell::{Cell, RefCell};

/// Work between two questions to the listener, in steps of about a nanosecond.
const EVERY: u64 = 2_000_000;

/// What a listener hears.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct News {
    /// Value of the best plan, in the goal's unit.
    pub value: Option<i128>,
    /// Bound, in the goal's unit.
    pub bound: i128,
    /// Nodes done.
    pub nodes: u32,
}

/// Counts work up to a limit.
pub(super) struct Effort<'a> {
    ear: RefCell<Box<dyn FnMut(News) -> bool + 'a>>,
    news: Cell<News>,
    limit: Cell<u64>,
    work: Cell<u64>,
    asked: Cell<u64>,
    stopped: Cell<bool>,
}

impl std::fmt::Debug for Effort<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} of {} steps", self.work.get(), self.limit.get())
    }
}

impl<'a> Effort<'a> {
    /// Nothing done yet. The ear hears the news; true says stop.
    pub(super) fn new(limit: u64, ear: impl FnMut(News) -> bool + 'a) -> Self {
        Self {
            ear: RefCell::new(Box::new(ear)),
            news: Cell::new(News::default()),
            limit: Cell::new(limit),
            work: Cell::new(0),
            asked: Cell::new(0),
            stopped: Cell::new(false),
        }
    }

    /// Without a limit, and nobody to say stop.
    #[cfg(test)]
    pub(super) fn endless() -> Self {
        Self::new(u64::MAX, |_| false)
    }

    /// What the listener hears from now on.
    pub(super) fn tell(&self, news: News) {
        self.news.set(news);
    }

    /// Counts work done and asks the listener from time to time.
    pub(super) fn spend(&self, work: u64) {
        self.work.set(self.work.get() + work);
        if self.work.get() - self.asked.get() >= EVERY {
            self.ask();
        }
    }

    /// Asks the listener now; true when it says, or has said, stop.
    pub(super) fn ask(&self) -> bool {
        self.asked.set(self.work.get());
        if !self.stopped.get() {
            self.stopped.set((self.ear.borrow_mut())(self.news.get()));
        }
        self.stopped.get()
    }

    /// Work done, in steps of about a nanosecond.
    pub(super) fn work(&self) -> u64 {
        self.work.get()
    }

    /// The listener has said stop.
    pub(super) fn stopped(&self) -> bool {
        self.stopped.get()
    }

    /// Does something with no more than so much work.
    pub(super) fn within<T>(&self, work: u64, some: impl FnOnce() -> T) -> T {
        let limit = self.limit.get();
        self.limit.set(limit.min(self.work.get().saturating_add(work)));
        let done = some();
        self.limit.set(limit);
        done
    }

    /// No more is to be done.
    pub(super) fn is_over(&self) -> bool {
        self.stopped.get() || self.work.get() >= self.limit.get()
    }
}
