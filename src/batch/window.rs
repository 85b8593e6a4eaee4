//! Many pieces of work at once, their results handed on in order, with bounded memory.

use crate::error::Result;
use std::num::NonZeroUsize;

/// The most threads a batch uses, whatever is asked for.
pub const MOST_JOBS: usize = 1024;

/// Results a worker may be ahead of the oldest that is still worked on.
///
/// A row takes a few kilobytes, so many can wait for one large scan; a run that is ended by force
/// loses no more than these.
#[cfg(feature = "parallel")]
const AHEAD: usize = 32;

/// `take` of each `make(index)` in the order of the indices, the first fault of `take` ending it.
///
/// At most `jobs` threads work, each on one index at a time. Every worker has a pool of its own for
/// what `make` does in parallel: in a shared one, a thread that waits for a part of its scan would
/// begin another scan in the meantime, and hold both.
#[cfg(feature = "parallel")]
pub(super) fn in_order<T: Send>(
    count: usize,
    jobs: NonZeroUsize,
    make: impl Fn(usize) -> T + Sync,
    mut take: impl FnMut(T) -> Result<()>,
) -> Result<()> {
    use std::collections::BTreeMap;
    use std::sync::{Mutex, mpsc};

    let jobs = jobs.get().min(MOST_JOBS);
    let workers = jobs.min(count);
    let pools = (0..workers)
        .map(|_| pool(jobs / workers))
        .collect::<Result<Vec<_>>>()?;
    let (order, orders) = mpsc::channel();
    let (orders, make, pools) = (&Mutex::new(orders), &make, &pools);
    let (hand_in, results) = mpsc::channel();
    std::thread::scope(move |scope| {
        for pool in pools {
            let hand_in = hand_in.clone();
            let work = move || {
                let next = || orders.lock().ok().and_then(|queue| queue.recv().ok());
                while let Some(index) = next() {
                    let made = pool.install(|| make(index));
                    if hand_in.send((index, made)).is_err() {
                        break; // Nobody waits any more.
                    }
                }
            };
            let worker = std::thread::Builder::new().spawn_scoped(scope, work);
            worker.map_err(|error| no_threads(&error))?;
        }
        drop(hand_in);
        let mut waiting = BTreeMap::new();
        let mut asked = 0;
        for index in 0..count {
            while asked < count.min(index + AHEAD * workers) {
                order.send(asked).map_err(|error| no_threads(&error))?;
                asked += 1;
            }
            while !waiting.contains_key(&index) {
                let (at, made) = results.recv().map_err(|error| no_threads(&error))?;
                waiting.insert(at, made);
            }
            if let Some(made) = waiting.remove(&index) {
                take(made)?;
            }
        }
        Ok(())
    })
}

/// `take` of each `make(index)`, one after the other.
#[cfg(not(feature = "parallel"))]
pub(super) fn in_order<T>(
    count: usize,
    _jobs: NonZeroUsize,
    make: impl Fn(usize) -> T,
    take: impl FnMut(T) -> Result<()>,
) -> Result<()> {
    (0..count).map(make).try_for_each(take)
}

#[cfg(feature = "parallel")]
fn pool(threads: usize) -> Result<rayon::ThreadPool> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    pool.map_err(|error| no_threads(&error))
}

#[cfg(feature = "parallel")]
fn no_threads(error: &dyn std::error::Error) -> crate::Error {
    crate::Error::options(format!(
        "the threads asked for cannot be had: {error}; ask for fewer jobs"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::Error;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    fn jobs(count: usize) -> NonZeroUsize {
        NonZeroUsize::new(count).unwrap()
    }

    #[test]
    fn results_come_in_order_whichever_is_ready_first() {
        for count in [0, 1, 2, 97] {
            let mut seen = Vec::new();
            let make = |index: usize| {
                let slow = index.is_multiple_of(7);
                std::thread::sleep(Duration::from_micros(if slow { 2000 } else { 50 }));
                index * index
            };
            in_order(count, jobs(3), make, |made| {
                seen.push(made);
                Ok(())
            })
            .unwrap();
            let expected: Vec<usize> = (0..count).map(|index| index * index).collect();
            assert_eq!(seen, expected);
        }
    }

    /// While the first is still worked on, the others run no further than the window.
    #[test]
    fn no_more_is_begun_than_the_window_holds() {
        let begun = AtomicUsize::new(0);
        let most = AtomicUsize::new(0);
        let taken = AtomicUsize::new(0);
        let make = |index: usize| {
            let ahead = begun.fetch_add(1, Ordering::SeqCst) + 1 - taken.load(Ordering::SeqCst);
            most.fetch_max(ahead, Ordering::SeqCst);
            if index == 0 {
                std::thread::sleep(Duration::from_millis(100));
            }
        };
        in_order(5000, jobs(2), make, |()| {
            taken.fetch_add(1, Ordering::SeqCst);
            Ok(())
        })
        .unwrap();
        assert_eq!(begun.load(Ordering::SeqCst), 5000);
        // The count of those taken may lag behind by the one in hand.
        assert!(most.load(Ordering::SeqCst) <= 2 * 32 + 1, "{most:?}");
    }

    #[test]
    fn the_first_fault_of_the_taker_ends_it() {
        let begun = AtomicUsize::new(0);
        let error = in_order(
            100_000,
            jobs(2),
            |index| {
                begun.fetch_add(1, Ordering::SeqCst);
                index
            },
            |index| match index {
                10 => Err(Error::options("full")),
                _ => Ok(()),
            },
        );
        assert_eq!(error.unwrap_err().to_string(), "full");
        assert!(begun.load(Ordering::SeqCst) < 200, "{begun:?}");
    }
}
