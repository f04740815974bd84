//! The same work as in `parallel`, on the caller's thread alone.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::error::Result;

/// Run something on each of a few items.
///
/// # Errors
/// That of the first item that fails.
pub(super) fn of_all<A, T>(items: &[A], run: impl Fn(&A) -> Result<T>) -> Result<Vec<T>> {
    items.iter().map(run).collect()
}

/// Do the pieces of work 0 to `total` and hand each result to `each` before the next is begun; there is one thread,
/// however many are asked for.
///
/// `each` ends the work with `Break`, and a piece of work ends it by raising the flag it is given.
///
/// # Errors
/// None: the signature is that of several threads.
pub(super) fn in_order<T>(
    _threads: Option<usize>,
    total: usize,
    work: impl Fn(usize, &AtomicBool) -> T,
    mut each: impl FnMut(usize, T) -> ControlFlow<()>,
) -> Result<()> {
    let over = AtomicBool::new(false);
    for index in 0..total {
        if over.load(Ordering::Relaxed) || each(index, work(index, &over)).is_break() {
            break;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::Error;

    fn handed(work: impl Fn(usize, &AtomicBool) -> usize, until: usize) -> Vec<usize> {
        let mut handed = Vec::new();
        in_order(None, 100, work, |index, result| {
            assert_eq!(index, handed.len());
            handed.push(result);
            if index == until { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })
        .unwrap();
        handed
    }

    #[test]
    fn results_come_in_order_until_somebody_ends_the_work() {
        assert_eq!(handed(|index, _| 2 * index, 100), (0..100).map(|index| 2 * index).collect::<Vec<_>>());
        assert_eq!(handed(|index, _| index, 9).len(), 10);
        let give_up = |index: usize, over: &AtomicBool| {
            over.store(index == 3, Ordering::Relaxed);
            index
        };
        assert_eq!(handed(give_up, 100), [0, 1, 2, 3]);
    }

    #[test]
    fn the_first_error_is_the_one_that_is_told() {
        let odd = |number: &usize| if number % 2 == 1 { Err(Error::value("n", number, "even")) } else { Ok(*number) };
        assert_eq!(of_all(&[2, 4], odd), Ok(vec![2, 4]));
        assert_eq!(of_all(&[2, 3, 5], odd), Err(Error::value("n", 3, "even")));
    }
}
