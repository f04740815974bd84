//! A sweep handed over point by point: in the grid's order, with the bits of the sweep in memory, and ended at any point.
#![allow(clippy::unwrap_used, reason = "a test that fails is meant to panic")]

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use brinefront::cycle::Progress;
use brinefront::inputs::regeneration::Direction;
use brinefront::numerics::effort::Effort;
use brinefront::study::{self, Point};
use brinefront::{Error, Result};
use brinefront_tests::cases::tiny;
use serde_json::Value;

type Axes = Vec<(String, Vec<Value>)>;

/// Twelve points, three of which cannot be run.
fn grid() -> Axes {
    let doses = vec![60.0.into(), (-1.0).into(), 90.0.into(), 120.0.into()];
    let flows = vec![2.0.into(), 3.0.into(), 4.0.into()];
    vec![("regeneration.dose_g_per_l".into(), doses), ("regeneration.flow_bv_per_h".into(), flows)]
}

fn streamed(axes: &Axes, threads: usize) -> Vec<Result<Point>> {
    let mut points = Vec::new();
    let case = tiny(Direction::CounterCurrent, 96.0);
    study::sweep_each(&case, axes, Some(threads), |index, point| {
        assert_eq!(index, points.len(), "points come in the grid's order");
        points.push(point);
        ControlFlow::Continue(())
    })
    .unwrap();
    points
}

#[test]
fn a_stream_gives_the_bits_of_the_sweep_in_memory_and_of_single_runs() {
    let case = tiny(Direction::CounterCurrent, 96.0);
    // Debug prints the shortest text that gives the same bits back.
    let bits = |points: &[Result<Point>]| format!("{points:?}");
    let in_memory = study::sweep(&case, &grid(), Some(1)).unwrap();
    for threads in [1, 2] {
        assert_eq!(bits(&streamed(&grid(), threads)), bits(&in_memory.points), "{threads} threads");
    }
    let by_itself = case
        .with_all(&[("regeneration.dose_g_per_l", 90.0.into()), ("regeneration.flow_bv_per_h", 3.0.into())])
        .and_then(|case| case.cycle())
        .unwrap();
    let seventh = in_memory.points[7].as_ref().unwrap();
    assert_eq!((&seventh.figures, seventh.effort), (&by_itself.figures, by_itself.effort));
}

#[test]
fn a_point_that_cannot_be_run_keeps_its_error() {
    for (index, point) in streamed(&grid(), 2).iter().enumerate() {
        match point {
            Ok(_) => assert!(!(3..6).contains(&index)),
            Err(Error::Value { field, value, .. }) => {
                assert!((3..6).contains(&index));
                assert_eq!((field.as_str(), value.as_str()), ("regeneration.dose_g_per_l", "-1"));
            }
            Err(other) => panic!("{other}"),
        }
    }
}

#[test]
fn the_effort_of_a_sweep_is_that_of_its_points() {
    let sweep = study::sweep(&tiny(Direction::CounterCurrent, 96.0), &grid(), Some(2)).unwrap();
    let mut total = Effort::default();
    sweep.points.iter().flatten().for_each(|point| total.add(&point.effort));
    assert_eq!(sweep.effort(), total);
    assert!(sweep.points.iter().flatten().all(|point| point.effort.steps > 0 && point.effort.cycles > 0));
}

/// A grid that would take hours ends when the caller has had enough, and nothing far ahead has been begun.
#[test]
fn a_stream_ends_when_it_is_told_to() {
    let doses = (0..1000).map(|k| (60.0 + 0.1 * f64::from(k)).into()).collect();
    let flows = (0..1000).map(|k| (2.0 + 0.001 * f64::from(k)).into()).collect();
    let axes: Axes = vec![("regeneration.dose_g_per_l".into(), doses), ("regeneration.flow_bv_per_h".into(), flows)];
    let begun = AtomicUsize::new(0);
    let watch = |now: Progress| {
        begun.fetch_max(now.done, Ordering::Relaxed);
        ControlFlow::Continue(())
    };
    let mut taken = 0;
    let case = tiny(Direction::CounterCurrent, 96.0);
    study::sweep_each_watched(&case, &axes, Some(2), &watch, |_, point| {
        assert!(point.is_ok());
        taken += 1;
        if taken == 5 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    })
    .unwrap();
    assert_eq!(taken, 5);
    assert!(begun.load(Ordering::Relaxed) < 5 + 2 * 64);
}

/// The watcher ends it too, even where every point fails before it has run at all.
#[test]
fn a_stream_is_interrupted_by_its_watcher() {
    for first in [60.0, -1.0] {
        let doses: Vec<Value> = (0..100_000).map(|k| (first * (1.0 + 1e-6 * f64::from(k))).into()).collect();
        let axes: Axes = vec![("regeneration.dose_g_per_l".into(), doses)];
        let watch = |now: Progress| if now.done >= 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
        let mut taken = 0;
        let stopped =
            study::sweep_each_watched(&tiny(Direction::CounterCurrent, 96.0), &axes, Some(2), &watch, |_, _| {
                taken += 1;
                ControlFlow::Continue(())
            });
        assert_eq!(stopped, Err(Error::Interrupted));
        assert!(taken < 1000, "{taken} points were handed over after the interruption");
    }
}

#[test]
fn a_grid_that_cannot_be_counted_is_refused() {
    let axis: (String, Vec<Value>) = ("cells".into(), vec![10.into(); 65_536]);
    let axes: Axes = vec![axis; 4];
    let refused =
        study::sweep_each(&tiny(Direction::CounterCurrent, 96.0), &axes, Some(1), |_, _| ControlFlow::Break(()));
    assert!(matches!(refused, Err(Error::Value { field, .. }) if field == "axes"));
}
