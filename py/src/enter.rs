//! The one way into a computation: it releases the interpreter, watches for Ctrl-C and maps errors.

use std::ops::ControlFlow;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use brinefront::cycle::{Progress, Watch};
use pyo3::prelude::*;

use crate::errors;

/// How often the caller's thread looks for a signal.
pub const POLL: Duration = Duration::from_millis(20);
/// How often a progress callback may be called.
const REPORT: Duration = Duration::from_millis(100);

/// Run `work` on a thread of its own while this one, which alone can see signals, polls for them.
///
/// `progress` is called with `(done, total, cycle, residual)`, at most ten times a second. A signal, or an exception
/// that it raises, stops the work at the next look of its watcher and is then raised.
pub fn enter<T: Send>(
    py: Python<'_>,
    progress: Option<Py<PyAny>>,
    work: impl FnOnce(&Watch<'_>) -> brinefront::Result<T> + Send,
) -> PyResult<T> {
    let stop = AtomicBool::new(false);
    let latest: Mutex<Option<Progress>> = Mutex::new(None);
    let watch = |now: Progress| {
        if let Ok(mut place) = latest.lock() {
            *place = Some(now);
        }
        if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    py.detach(|| {
        std::thread::scope(|scope| {
            let (done, finished) = channel();
            let (watch, stop, latest) = (&watch, &stop, &latest);
            let worker = scope.spawn(move || {
                // The receiver outlives this thread unless the caller has given up on the result.
                let _ = done.send(work(watch));
            });
            let mut reported = Instant::now();
            loop {
                match finished.recv_timeout(POLL) {
                    Ok(result) => return result.map_err(errors::to_python),
                    Err(RecvTimeoutError::Disconnected) => {
                        let _ = worker.join();
                        return Err(errors::internal("the computation ended without a result"));
                    }
                    Err(RecvTimeoutError::Timeout) => {}
                }
                let due = reported.elapsed() >= REPORT;
                let news = if due { latest.lock().ok().and_then(|mut place| place.take()) } else { None };
                if let Err(raised) = Python::attach(|py| look(py, progress.as_ref(), news.as_ref())) {
                    stop.store(true, Ordering::Relaxed);
                    return Err(raised);
                }
                if due {
                    reported = Instant::now();
                }
            }
        })
    })
}

/// Do what may block for ever on a thread of its own while this one looks for signals; one that is raised leaves the
/// thread behind.
pub fn wait<T: Send + 'static>(py: Python<'_>, work: impl FnOnce() -> T + Send + 'static) -> PyResult<T> {
    let (done, finished) = channel();
    std::thread::spawn(move || {
        // The receiver is gone if the caller was interrupted.
        let _ = done.send(work());
    });
    py.detach(move || {
        loop {
            match finished.recv_timeout(POLL) {
                Ok(found) => return Ok(found),
                Err(RecvTimeoutError::Disconnected) => return Err(errors::internal("a file was not read to its end")),
                Err(RecvTimeoutError::Timeout) => Python::attach(|py| py.check_signals())?,
            }
        }
    })
}

/// Handle pending signals and report progress.
fn look(py: Python<'_>, progress: Option<&Py<PyAny>>, news: Option<&Progress>) -> PyResult<()> {
    py.check_signals()?;
    if let (Some(callback), Some(now)) = (progress, news) {
        callback.call1(py, (now.done, now.total, now.cycle, now.residual))?;
    }
    Ok(())
}
