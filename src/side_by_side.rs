//! Independent work on as many processors as there are, with the answers in the order of the questions.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// What `work` makes of each item, in the order of the items, whoever was ready first.
pub(crate) fn side_by_side<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let processors = thread::available_parallelism().map_or(1, NonZero::get);
    let helpers = processors.min(items.len()).saturating_sub(1);
    let next = AtomicUsize::new(0);
    let share = || {
        let mut done = Vec::new();
        while let Some((at, item)) = items.iter().enumerate().nth(next.fetch_add(1, Ordering::Relaxed)) {
            done.push((at, work(item)));
        }
        done
    };
    let mut done = thread::scope(|scope| {
        // Where no thread more can be had, those that are there do the work.
        let helpers: Vec<_> =
            (0..helpers).map_while(|_| thread::Builder::new().spawn_scoped(scope, share).ok()).collect();
        let mut done = share();
        for helper in helpers {
            done.extend(helper.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        done
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, answer)| answer).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_come_in_the_order_of_the_questions() {
        let items: Vec<u64> = (0..1_000).collect();
        // The first ones take longest.
        let work = |item: &u64| (0..(1_000 - item) * 50).fold(*item, |sum, i| std::hint::black_box(sum ^ i ^ i));
        assert_eq!(side_by_side(&items, work), items);
        assert!(side_by_side(&[], work).is_empty());
    }

    #[test]
    #[should_panic(expected = "the 700th")]
    fn what_goes_wrong_in_one_goes_wrong_for_all() {
        let items: Vec<u32> = (0..1_000).collect();
        side_by_side(&items, |item| assert!(*item != 700, "the 700th"));
    }
}
