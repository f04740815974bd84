//! A grid of cases, run in parallel. Every case is run by itself, so the bits do not depend on the threads.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;
use serde_json::Value;

use crate::cycle::{Progress, Watch};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::report::figures::Figures;
use crate::study::{pool, single};

/// Cases that one grid may hold.
const MOST_CASES: usize = 10_000_000;

/// A grid of figures.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// Dotted name and values of each axis.
    pub axes: Vec<(String, Vec<Value>)>,
    /// The figures, or why there are none; the last axis varies fastest. Shape: the product of the axes.
    pub figures: Vec<Result<Figures>>,
}

/// Run a case over the grid of `axes` (dotted names, as in a case file) on `threads` threads (all cores if `None`).
///
/// A point that fails keeps its error; the others are not lost.
///
/// # Errors
/// [`Error::Value`] for no axis, an empty one, a name that is no field, or too many cases; [`Error::Interrupted`].
pub fn sweep(case: &Case, axes: &[(String, Vec<Value>)], threads: Option<usize>, watch: &Watch<'_>) -> Result<Sweep> {
    case.validate()?;
    if axes.is_empty() {
        return Err(Error::value("axes", "none", "name at least one field to vary"));
    }
    let mut total = 1_usize;
    for (name, values) in axes {
        if values.is_empty() {
            return Err(Error::value(name, "no values", "give at least one"));
        }
        total = total.saturating_mul(values.len());
    }
    if total > MOST_CASES {
        return Err(Error::value("axes", total, format!("a grid holds at most {MOST_CASES} cases")));
    }
    // A name that is wrong is wrong everywhere: say so at once. A value may be wrong by itself.
    for (name, values) in axes {
        if let Err(Error::Value { limits, .. }) = case.with(name, values[0].clone())
            && (limits.contains("no such field") || limits.contains("unknown field"))
        {
            return Err(Error::value(name, &values[0], limits));
        }
    }
    let done = AtomicUsize::new(0);
    let point = |index: usize| -> Result<Figures> {
        let progress = |inner: Progress| watch(Progress { done: done.load(Ordering::Relaxed), total, ..inner });
        let changes = changes(axes, index);
        let figures =
            case.with_all(&changes).and_then(|case| single::cycle(&case, &progress)).map(|report| report.figures);
        done.fetch_add(1, Ordering::Relaxed);
        figures
    };
    let figures: Vec<_> = pool(threads)?.install(|| (0..total).into_par_iter().map(point).collect());
    let over = Progress { done: total, total, ..Progress::default() };
    if watch(over) == ControlFlow::Break(()) || figures.contains(&Err(Error::Interrupted)) {
        return Err(Error::Interrupted);
    }
    Ok(Sweep { axes: axes.to_vec(), figures })
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
