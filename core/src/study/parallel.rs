//! Work done on several threads and handed over in order, with a bounded number of results waiting.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError, mpsc};

use rayon::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::error::{Error, Result};

/// More threads than this for each core only hold each other up, and a slip of the hand would stop the machine.
const MOST_THREADS_A_CORE: usize = 8;

/// Pieces per thread that may be ahead of the next one to be handed over: a slow piece holds up the others only beyond.
const AHEAD: usize = 64;

/// Raised when nobody wants results any more, by whichever way the hand-over ends.
struct Over<'a>(&'a AtomicBool);

impl Drop for Over<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// A pool for one call, dropped at its end: a process that forks later inherits no threads.
fn pool(threads: Option<usize>) -> Result<ThreadPool> {
    let most = MOST_THREADS_A_CORE * std::thread::available_parallelism().map_or(1, usize::from);
    if let Some(given) = threads.filter(|given| !(1..=most).contains(given)) {
        let limits = format!("must be 1 to {most} here, {MOST_THREADS_A_CORE} for each core");
        return Err(Error::value("threads", given, limits));
    }
    ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|e| Error::value("threads", threads.unwrap_or(0), e.to_string()))
}

/// Run something on each of a few items, at most one thread an item.
///
/// # Errors
/// That of an item, whichever is first to fail.
pub(super) fn of_all<A: Sync, T: Send>(items: &[A], run: impl Fn(&A) -> Result<T> + Sync) -> Result<Vec<T>> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    pool(Some(items.len().min(cores)))?.install(|| items.par_iter().map(&run).collect())
}

/// Do the pieces of work 0 to `total` on so many threads, all cores if `None`, and hand their results to `each` on the
/// caller's thread, in order.
///
/// At most 64 results a thread are held, however slow `each` or a single piece is. `each` ends the work with `Break`, and
/// a piece of work ends it by raising the flag it is given; that flag also tells a piece that its result is no longer
/// wanted. A panic in a piece is raised again on the caller's thread.
///
/// # Errors
/// [`Error::Value`] if the system gives no threads.
pub(super) fn in_order<T: Send>(
    threads: Option<usize>,
    total: usize,
    work: impl Fn(usize, &AtomicBool) -> T + Sync,
    mut each: impl FnMut(usize, T) -> ControlFlow<()>,
) -> Result<()> {
    let pool = pool(threads)?;
    let workers = pool.current_num_threads().min(total);
    let ahead = workers.saturating_mul(AHEAD);
    let over = AtomicBool::new(false);
    // A ticket is the right to do one piece. As many are out as may be ahead, and one more for each piece handed over.
    let (tickets, queue) = mpsc::channel::<usize>();
    let queue = Mutex::new(queue);
    let worker = |results: mpsc::Sender<_>| {
        loop {
            let ticket = queue.lock().unwrap_or_else(PoisonError::into_inner).recv();
            let Ok(index) = ticket else { return };
            if over.load(Ordering::Relaxed) {
                return;
            }
            let result = catch_unwind(AssertUnwindSafe(|| work(index, &over)));
            if results.send((index, result)).is_err() {
                return;
            }
        }
    };
    pool.in_place_scope(|scope| {
        let (results, arrivals) = mpsc::channel();
        for _ in 0..workers {
            let (worker, results) = (&worker, results.clone());
            scope.spawn(move |_| worker(results));
        }
        // The workers alone hold a sender now: when all have left, the wait for arrivals ends.
        drop(results);
        // Taken into the scope so that both end with it, before it waits for the workers.
        let (tickets, _over) = (tickets, Over(&over));
        let mut given = 0;
        let mut early = BTreeMap::new();
        for next in 0..total {
            while given < total.min(next + ahead) && tickets.send(given).is_ok() {
                given += 1;
            }
            let result = loop {
                if let Some(result) = early.remove(&next) {
                    break result;
                }
                match arrivals.recv() {
                    Ok((index, Ok(result))) => _ = early.insert(index, result),
                    Ok((_, Err(panic))) => resume_unwind(panic),
                    Err(_) => return,
                }
            };
            if each(next, result).is_break() {
                return;
            }
        }
    });
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicUsize;
    use std::time::Duration;

    use super::*;

    #[test]
    fn results_come_in_order_and_only_so_many_wait() {
        for threads in [1, 2, 5] {
            let started = AtomicUsize::new(0);
            let mut handed = Vec::new();
            let slow_first = |index: usize, _: &AtomicBool| {
                started.fetch_add(1, Ordering::Relaxed);
                if index == 0 {
                    std::thread::sleep(Duration::from_millis(50));
                }
                index
            };
            in_order(Some(threads), 1000, slow_first, |index, result| {
                assert_eq!(index, result);
                assert!(started.load(Ordering::Relaxed) <= index + threads * AHEAD, "too far ahead of {index}");
                handed.push(result);
                ControlFlow::Continue(())
            })
            .unwrap();
            assert_eq!(handed, (0..1000).collect::<Vec<_>>());
        }
    }

    #[test]
    fn a_break_ends_the_work() {
        let started = AtomicUsize::new(0);
        let count = |_: usize, _: &AtomicBool| started.fetch_add(1, Ordering::Relaxed);
        in_order(Some(2), 1_000_000, count, |index, _| {
            if index == 9 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })
        .unwrap();
        assert!(started.load(Ordering::Relaxed) <= 10 + 2 * AHEAD);
    }

    #[test]
    fn a_piece_can_end_the_work() {
        let mut handed = 0;
        let give_up = |index: usize, over: &AtomicBool| over.store(index == 3, Ordering::Relaxed);
        in_order(Some(1), 100, give_up, |_, ()| {
            handed += 1;
            ControlFlow::Continue(())
        })
        .unwrap();
        assert_eq!(handed, 4);
    }

    #[test]
    fn a_panic_is_raised_again() {
        let fall = |index: usize, _: &AtomicBool| assert!(index < 5, "piece {index} fell");
        let caught = catch_unwind(|| {
            in_order(Some(2), 1_000_000, fall, |_, ()| ControlFlow::Continue(())).unwrap();
        });
        let said = caught.unwrap_err().downcast::<String>().unwrap();
        assert!(said.contains("fell"), "{said}");
    }
}
