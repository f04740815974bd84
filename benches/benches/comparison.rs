//! The question an engineer asks: co-current or counter-current? Both to their steady state, on one core.
#![allow(missing_docs, clippy::unwrap_used, reason = "criterion's macros define what is public; a run must not fail")]

use std::hint::black_box;
use std::time::Duration;

use brinefront_benches::{compare_one_after_the_other, strategies};
use criterion::{Criterion, criterion_group, criterion_main};

fn comparison(c: &mut Criterion) {
    let cases = strategies();
    let cycles = compare_one_after_the_other(&cases).unwrap();
    assert!(cycles.iter().all(|cycle| cycle.figures.settled), "a comparison counts at the steady state only");
    c.bench_function("comparison", |b| b.iter(|| compare_one_after_the_other(black_box(&cases)).unwrap()));
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(Duration::from_secs(8));
    targets = comparison
}
criterion_main!(benches);
