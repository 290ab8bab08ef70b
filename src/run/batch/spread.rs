//! Work on as many threads as there are.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// Does something for each of some things and gives what comes of it in their order.
///
/// Each worker has a pool of rayon's of its own, of which there are as many as things or threads, whichever are fewer:
/// in one pool for all a thread that waits for a part of one map would begin another, and one more in that.
pub(super) fn each<T: Sync, R: Send>(
    threads: usize,
    things: &[T],
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let all = std::thread::available_parallelism().map_or(1, Into::into);
    let threads = if threads == 0 { all } else { threads };
    let workers = threads.min(things.len()).max(1);
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(things.len()));
    let at_work = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            let Some(thing) = things.get(i) else { break };
            let found = work(thing);
            done.lock().unwrap_or_else(PoisonError::into_inner).push((i, found));
        }
    };
    std::thread::scope(|scope| {
        for worker in 0..workers {
            // The first ones have what does not go round.
            let own = threads / workers + usize::from(worker < threads % workers);
            let at_work = &at_work;
            scope.spawn(move || {
                match rayon::ThreadPoolBuilder::new().num_threads(own).build() {
                    Ok(pool) => pool.install(at_work),
                    // Without a pool of its own it works in the one that all share.
                    Err(_) => at_work(),
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, found)| found).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_is_done_once_and_comes_back_in_order() {
        let things: Vec<usize> = (0..1000).collect();
        for threads in [0, 1, 2, 7] {
            let count = AtomicUsize::new(0);
            let squares = each(threads, &things, |thing| {
                count.fetch_add(1, Ordering::Relaxed);
                thing * thing
            });
            assert_eq!(count.into_inner(), 1000);
            assert!(squares.iter().enumerate().all(|(i, square)| *square == i * i));
        }
        assert!(each(2, &[], |(): &()| ()).is_empty());
    }

    #[test]
    fn threads_that_are_left_over_help() {
        let both = std::sync::Barrier::new(2);
        let own = each(5, &[0, 1], |_| {
            both.wait();
            rayon::current_num_threads()
        });
        assert_eq!(own.iter().sum::<usize>(), 5, "{own:?}");
    }
}
