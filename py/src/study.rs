//! More than one run.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

use brinefront::numerics::effort::Effort;
use brinefront::study::{self, At, Comparison, LeakageMeasure, LeakageTarget, Point};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::Value;

use crate::convert::{count, plain, to_value, whole};
use crate::enter::{POLL, enter};
use crate::inputs::Case;
use crate::number::in_field;
use crate::{errors, figures, report};

/// Cycles, the sentence in metric units and in those of the trade, what bounds each, and the effort by name.
type Compared<'py> = (Vec<Bound<'py, PyAny>>, String, String, Vec<&'static str>, Bound<'py, PyAny>);

/// Compare strategies at equal dose or equal leakage.
#[pyfunction]
pub fn compare<'py>(
    py: Python<'py>,
    cases: Vec<Bound<'py, Case>>,
    at: &str,
    progress: Option<Py<PyAny>>,
) -> PyResult<Compared<'py>> {
    let at = at.parse::<At>().map_err(errors::to_python)?;
    let cases: Vec<_> = cases.iter().map(|case| case.get().0.clone()).collect();
    let found = enter(py, progress, |watch| study::compare_watched(&cases, at, watch))?;
    compared(py, found)
}

/// Compare strategies by the least salt with which a leakage stays within a bound, over a run that is held or free.
#[pyfunction]
pub fn compare_at_leakage<'py>(
    py: Python<'py>,
    cases: Vec<Bound<'py, Case>>,
    measure: &str,
    mg_per_l_caco3: f64,
    run_bv: Option<f64>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Compared<'py>> {
    let measure = measure.parse::<LeakageMeasure>().map_err(errors::to_python)?;
    let target = LeakageTarget { measure, mg_per_l_caco3, run_bv };
    let cases: Vec<_> = cases.iter().map(|case| case.get().0.clone()).collect();
    let found = enter(py, progress, |watch| study::compare_at_leakage_watched(&cases, target, watch))?;
    compared(py, found)
}

fn compared(py: Python<'_>, found: Comparison) -> PyResult<Compared<'_>> {
    let (sentence, sentence_us) = (found.sentence(), found.sentence_us());
    let bounds = found.bounds.iter().map(|bound| bound.name()).collect();
    let cycles: PyResult<Vec<_>> = found.cycles.into_iter().map(|one| report::cycle(py, one, None)).collect();
    Ok((cycles?, sentence, sentence_us, bounds, plain(py, &found.effort)?))
}

/// The bed at `moments` of a case's steady cycle, or of the last of `from_new_resin` cycles in a row, as arrays by name.
#[pyfunction]
pub fn through_time<'py>(
    py: Python<'py>,
    case: &Bound<'py, Case>,
    from_new_resin: Option<usize>,
    moments: &Bound<'py, PyAny>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Bound<'py, PyDict>> {
    let limits = "must be a whole number from 2, the start and the end of each step, to 5000";
    let moments = whole("moments", moments, limits)?;
    let case = &case.get().0;
    let found = enter(py, progress, |watch| case.through_time_watched(from_new_resin, moments, watch))?;
    report::through_time(py, found)
}

/// One point as Python gets it: figures by name if there are any, effort by name, and the error's text.
type Row<'py> = (Option<Bound<'py, PyDict>>, Bound<'py, PyAny>, String);

fn row<'py>(py: Python<'py>, point: &brinefront::Result<Point>) -> PyResult<Row<'py>> {
    match point {
        Ok(point) => Ok((Some(figures::by_name(py, &point.figures)?), plain(py, &point.effort)?, String::new())),
        Err(error) => Ok((None, plain(py, &Effort::default())?, error.to_string())),
    }
}

/// Names and values of the axes of a grid.
fn named(axes: &Bound<'_, PyDict>) -> PyResult<Vec<(String, Vec<Value>)>> {
    let mut named = Vec::with_capacity(axes.len());
    for (name, values) in axes {
        let name: String = name.extract()?;
        let values: PyResult<Vec<Value>> =
            values.try_iter()?.map(|value| to_value(&name, &value?, &in_field)).collect();
        named.push((name, values?));
    }
    Ok(named)
}

/// Run a grid of cases: figures, effort and error of each point, in row-major order of the axes.
#[pyfunction]
pub fn sweep<'py>(
    py: Python<'py>,
    case: &Bound<'py, Case>,
    axes: &Bound<'py, PyDict>,
    threads: Option<&Bound<'py, PyAny>>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Vec<Row<'py>>> {
    let named = named(axes)?;
    let threads = threads.map(|number| count("threads", number)).transpose()?;
    let case = case.get().0.clone();
    let found = enter(py, progress, |watch| study::sweep_watched(&case, &named, threads, watch))?;
    found.points.iter().map(|point| row(py, point)).collect()
}

/// A point with its place in the grid.
type Placed = (usize, brinefront::Result<Point>);

/// Points that wait for the caller beyond those that the sweep itself holds back.
const WAITING: usize = 16;

/// A grid of cases that hands over one point after the other while a thread of its own computes the next.
///
/// Closing it, or dropping the last reference to it, ends that thread before it returns.
#[pyclass(frozen, module = "brinefront._core")]
pub struct PointStream {
    total: usize,
    stop: Arc<AtomicBool>,
    points: Mutex<Option<Receiver<Placed>>>,
    worker: Mutex<Option<JoinHandle<brinefront::Result<()>>>>,
}

#[pymethods]
impl PointStream {
    #[new]
    fn new(case: &Bound<'_, Case>, axes: &Bound<'_, PyDict>, threads: Option<&Bound<'_, PyAny>>) -> PyResult<Self> {
        let named = named(axes)?;
        let threads = threads.map(|number| count("threads", number)).transpose()?;
        let case = case.get().0.clone();
        // What is wrong with the grid as a whole is said here, not at the first point.
        let total = study::sweep::count_points(&case, &named).map_err(errors::to_python)?;
        let stop = Arc::new(AtomicBool::new(false));
        let (sender, points) = sync_channel(WAITING);
        let stopped = Arc::clone(&stop);
        let worker = std::thread::Builder::new()
            .name("brinefront sweep".into())
            .spawn(move || {
                let watch = |_| {
                    if stopped.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
                };
                // The receiver is gone once the caller has had enough.
                study::sweep_each_watched(&case, &named, threads, &watch, |index, point| {
                    match sender.send((index, point)) {
                        Ok(()) => ControlFlow::Continue(()),
                        Err(_) => ControlFlow::Break(()),
                    }
                })
            })
            .map_err(|error| errors::internal(&format!("no thread for the sweep: {error}")))?;
        Ok(Self { total, stop, points: Mutex::new(Some(points)), worker: Mutex::new(Some(worker)) })
    }

    /// How many points the grid has.
    fn __len__(&self) -> usize {
        self.total
    }

    fn __iter__(this: Py<Self>) -> Py<Self> {
        this
    }

    /// Place, figures, effort and error of the next point; a signal, or an error of the sweep itself, is raised and ends it.
    fn __next__<'py>(&self, py: Python<'py>) -> PyResult<Option<(usize, Row<'py>)>> {
        loop {
            let next = py.detach(|| {
                let points = self.points.lock().unwrap_or_else(PoisonError::into_inner);
                points.as_ref().map_or(Err(RecvTimeoutError::Disconnected), |points| points.recv_timeout(POLL))
            });
            match next {
                Ok((index, point)) => return Ok(Some((index, row(py, &point)?))),
                Err(RecvTimeoutError::Timeout) => {
                    if let Err(raised) = py.check_signals() {
                        let _ = py.detach(|| self.end());
                        return Err(raised);
                    }
                }
                Err(RecvTimeoutError::Disconnected) => {
                    self.close(py)?;
                    return Ok(None);
                }
            }
        }
    }

    /// End the sweep; an error that ended it before is raised. Nothing happens the second time.
    fn close(&self, py: Python<'_>) -> PyResult<()> {
        match py.detach(|| self.end()) {
            None | Some(Ok(Ok(()) | Err(brinefront::Error::Interrupted))) => Ok(()),
            Some(Ok(Err(error))) => Err(errors::to_python(error)),
            Some(Err(_)) => Err(errors::internal("the sweep ended without a result")),
        }
    }
}

impl PointStream {
    /// Stop the thread and wait for it: at most for the time between two looks of its watcher.
    fn end(&self) -> Option<std::thread::Result<brinefront::Result<()>>> {
        self.stop.store(true, Ordering::Relaxed);
        drop(self.points.lock().unwrap_or_else(PoisonError::into_inner).take());
        let worker = self.worker.lock().unwrap_or_else(PoisonError::into_inner).take();
        worker.map(JoinHandle::join)
    }
}

impl Drop for PointStream {
    fn drop(&mut self) {
        // An error has no one left to be told.
        let _ = self.end();
    }
}
