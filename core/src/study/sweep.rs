//! A grid of cases, run in parallel. Every case is run by itself, so the bits do not depend on the threads.
//!
//! [`sweep_each`] hands over one point after the other and holds only a window of them: its memory does not grow with
//! the grid. [`sweep`] collects what it hands over.
//!
//! A point is not begun from its neighbour's steady state, which would save cycles: its bits would then depend on which
//! points had been finished before it.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use serde::Serialize;
use serde_json::Value;

use crate::cycle::{Progress, Watch, unwatched};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::figures::Figures;
use crate::study::recovery::AboveLimit;
use crate::study::single;
use crate::study::threads::in_order;

/// Cases that one grid in memory may hold.
const MOST_CASES: usize = 10_000_000;

/// What one point of a grid gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Point {
    /// Its figures.
    pub figures: Figures,
    /// What it cost.
    pub effort: Effort,
}

/// A grid of points.
#[derive(Debug, Clone, Serialize)]
#[non_exhaustive]
pub struct Sweep {
    /// Dotted name and values of each axis.
    pub axes: Vec<(String, Vec<Value>)>,
    /// The points, or why there is none; the last axis varies fastest. Shape: the product of the axes.
    pub points: Vec<Result<Point>>,
}

impl Sweep {
    /// What all points together cost; a point that failed counts nothing.
    pub fn effort(&self) -> Effort {
        self.points.iter().flatten().map(|point| &point.effort).sum()
    }
}

/// Run a case over the grid of `axes` (dotted names, as in a case file) on `threads` threads (all cores if `None`;
/// without the feature `threads` on the caller's alone).
///
/// A point that fails keeps its error; the others are not lost.
///
/// # Errors
/// As [`sweep_each`]; [`Error::Value`] for more cases than memory should hold.
pub fn sweep(case: &Case, axes: &[(String, Vec<Value>)], threads: Option<usize>) -> Result<Sweep> {
    sweep_watched(case, axes, threads, &unwatched)
}

/// [`sweep`] under a watcher, which is called from its threads.
///
/// # Errors
/// As [`sweep`]; [`Error::Interrupted`] from the watcher.
pub fn sweep_watched(
    case: &Case,
    axes: &[(String, Vec<Value>)],
    threads: Option<usize>,
    watch: &Watch<'_>,
) -> Result<Sweep> {
    let total = count_points(case, axes)?;
    if total > MOST_CASES {
        return Err(Error::value("axes", total, format!("a grid in memory holds at most {MOST_CASES} cases")));
    }
    let mut points = Vec::with_capacity(total);
    sweep_each_watched(case, axes, threads, watch, |_, point| {
        points.push(point);
        ControlFlow::Continue(())
    })?;
    Ok(Sweep { axes: axes.to_vec(), points })
}

/// Run a case over a grid as [`sweep`] does and hand every point over as soon as it and all before it are finished.
///
/// `each` gets the place of the point in the grid (the last axis varies fastest) and what it gave; it is called on the
/// caller's thread, in the order of the grid, and ends the sweep with `Break`. Cases are made from the axes when their
/// turn comes, and no thread runs further ahead than a fixed number of points: memory does not depend on the length of
/// the grid, however slow `each` is.
///
/// # Errors
/// [`Error::Value`] for no axis, an empty one, or more points than can be counted; [`Error::NoSuchField`] for a name
/// that no field has.
pub fn sweep_each(
    case: &Case,
    axes: &[(String, Vec<Value>)],
    threads: Option<usize>,
    each: impl FnMut(usize, Result<Point>) -> ControlFlow<()>,
) -> Result<()> {
    sweep_each_watched(case, axes, threads, &unwatched, each)
}

/// [`sweep_each`] under a watcher, which is called from its threads.
///
/// # Errors
/// As [`sweep_each`]; [`Error::Interrupted`] from the watcher.
pub fn sweep_each_watched(
    case: &Case,
    axes: &[(String, Vec<Value>)],
    threads: Option<usize>,
    watch: &Watch<'_>,
    mut each: impl FnMut(usize, Result<Point>) -> ControlFlow<()>,
) -> Result<()> {
    let total = count_points(case, axes)?;
    let done = AtomicUsize::new(0);
    let interrupted = AtomicBool::new(false);
    let work = |index: usize, over: &AtomicBool| {
        let inner_watch = |inner: Progress| {
            if over.load(Ordering::Relaxed) {
                return ControlFlow::Break(());
            }
            let outer = watch(Progress { done: done.load(Ordering::Relaxed), total, ..inner });
            interrupted.fetch_or(outer.is_break(), Ordering::Relaxed);
            outer
        };
        let point = point(case, axes, index, &inner_watch);
        done.fetch_add(1, Ordering::Relaxed);
        if point == Err(Error::Interrupted) {
            over.store(true, Ordering::Relaxed);
        }
        point
    };
    in_order(threads, total, work, |index, point| {
        if point == Err(Error::Interrupted) {
            return ControlFlow::Break(());
        }
        each(index, point)?;
        // Points that fail at once never look at the watcher: a long row of them must end too.
        let now = watch(Progress { done: done.load(Ordering::Relaxed), total, ..Progress::default() });
        interrupted.fetch_or(now.is_break(), Ordering::Relaxed);
        now
    })?;
    if interrupted.into_inner() { Err(Error::Interrupted) } else { Ok(()) }
}

/// How many points a grid has, once its axes have been checked.
///
/// # Errors
/// As [`sweep_each`].
pub fn count_points(case: &Case, axes: &[(String, Vec<Value>)]) -> Result<usize> {
    case.validate()?;
    if axes.is_empty() {
        return Err(Error::value("axes", "none", "name at least one field to vary"));
    }
    let mut total = 1_usize;
    for (name, values) in axes {
        if values.is_empty() {
            return Err(Error::value(name, "no values", "give at least one"));
        }
        total = total.checked_mul(values.len()).ok_or_else(|| {
            Error::value("axes", "their product", format!("a grid has at most {} points", usize::MAX))
        })?;
    }
    // A name that is wrong is wrong everywhere: say so at once. A value may be wrong by itself.
    for (name, values) in axes {
        if let Err(Error::NoSuchField { reason, .. }) = case.with(name, values[0].clone()) {
            return Err(Error::NoSuchField { field: name.into(), value: values[0].to_string(), reason });
        }
    }
    Ok(total)
}

/// One point to its steady state.
fn point(case: &Case, axes: &[(String, Vec<Value>)], index: usize, watch: &Watch<'_>) -> Result<Point> {
    let case = case.with_all(&changes(axes, index))?;
    single::cycle(&case, AboveLimit::Runs, watch).map(|report| Point { figures: report.figures, effort: report.effort })
}

/// The changes that make a point of the grid; the last axis varies fastest.
fn changes(axes: &[(String, Vec<Value>)], index: usize) -> Vec<(&str, Value)> {
    let mut rest = index;
    let mut chosen: Vec<_> = axes
        .iter()
        .rev()
        .map(|(name, values)| {
            let value = values[rest % values.len()].clone();
            rest /= values.len();
            (name.as_str(), value)
        })
        .collect();
    chosen.reverse();
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_axis_varies_fastest() {
        let axes =
            vec![("a".to_string(), vec![1.into(), 2.into()]), ("b".to_string(), vec![3.into(), 4.into(), 5.into()])];
        let at = |index| changes(&axes, index).into_iter().map(|(_, v)| v.as_i64().unwrap()).collect::<Vec<_>>();
        assert_eq!(at(0), [1, 3]);
        assert_eq!(at(2), [1, 5]);
        assert_eq!(at(3), [2, 3]);
    }
}
