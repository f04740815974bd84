//! The memory of a stream does not grow with its length. Alone in its program: the system counts a process, not a test.
#![allow(clippy::unwrap_used, reason = "a test that fails is meant to panic")]

use std::ops::ControlFlow;

use brinefront::inputs::regeneration::Direction;
use brinefront::study;
use brinefront_tests::cases::tiny;
use brinefront_tests::process::peak_mb;
use serde_json::Value;

/// Growth that is allowed \[MB\]: pages that the allocator takes a little later, 0.5 MB as measured. The second stream held
/// in memory is 15 MB.
const ALLOWED_MB: f64 = 3.0;

fn stream(doses: impl Iterator<Item = f64>, flows: usize) -> (usize, usize) {
    let doses: Vec<Value> = doses.map(Value::from).collect();
    let flows: Vec<Value> = (0..flows).map(|k| (2.0 + 0.01 * k as f64).into()).collect();
    let axes = [("regeneration.dose_g_per_l".to_string(), doses), ("regeneration.flow_bv_per_h".to_string(), flows)];
    let (mut good, mut bad) = (0, 0);
    study::sweep_each(&tiny(Direction::CounterCurrent, 96.0), &axes, Some(2), |_, point| {
        if point.is_ok() {
            good += 1
        } else {
            bad += 1
        }
        ControlFlow::Continue(())
    })
    .unwrap();
    (good, bad)
}

#[test]
fn the_peak_of_a_stream_does_not_grow_with_its_length() {
    if peak_mb().is_none() {
        eprintln!("this system does not count a process's peak resident set: nothing to measure");
        return;
    }
    let doses = |count: usize| (0..count).map(|k| 60.0 + 0.5 * k as f64);
    let refused = |count: usize| (0..count).map(|k| -1.0 - k as f64);
    assert_eq!(stream(doses(20), 10), (200, 0));
    assert_eq!(stream(refused(20), 10), (0, 200));
    let short = peak_mb().unwrap();
    assert_eq!(stream(doses(100), 20), (2000, 0));
    assert_eq!(stream(refused(100), 200), (0, 20_000));
    let long = peak_mb().unwrap();
    eprintln!("peak resident set {short:.2} MB after 200 points of each kind, {long:.2} MB after 2000 and 20000");
    assert!(long - short < ALLOWED_MB, "{short:.2} MB grew to {long:.2} MB");
}
