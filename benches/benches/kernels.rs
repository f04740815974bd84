//! What a comparison is made of, from one equilibrium to a sweep.
#![allow(missing_docs, clippy::unwrap_used, reason = "criterion's macros define what is public; a run must not fail")]

use std::hint::black_box;
use std::time::Duration;

use brinefront::inputs::ion::Ion;
use brinefront::laws::equilibrium::loading_from_solution;
use brinefront::study;
use brinefront_benches::strategies;
use brinefront_tests::cases::loaded;
use criterion::{Criterion, criterion_group, criterion_main};

/// The loading in equilibrium with a feed of sodium, magnesium and calcium.
fn equilibrium(c: &mut Criterion) {
    let feed = [0.00261, 0.00198, 0.00399];
    c.bench_function("equilibrium", |b| {
        b.iter(|| loading_from_solution(black_box(&feed), &[1.0, 1.66, 2.6], &[1, 2, 2], 1.9).unwrap())
    });
}

/// 600 BV through a sodium bed: a whole breakthrough.
fn loading(c: &mut Criterion) {
    let [case, _] = strategies();
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    c.bench_function("loading", |b| b.iter(|| black_box(&case).load(&sodium, 600.0).unwrap()));
}

/// 2.5 BV of brine of 1.2 eq/L through a bed in equilibrium with the feed.
fn elution(c: &mut Criterion) {
    let [case, _] = strategies();
    let feed = brinefront::cycle::run::Loading::Feed;
    c.bench_function("elution", |b| b.iter(|| black_box(&case).elute(&feed, 2.5, 1.2).unwrap()));
}

/// Each strategy to its steady state.
fn cycle(c: &mut Criterion) {
    for case in strategies() {
        let name = format!("cycle, {}", case.regeneration.direction.name());
        c.bench_function(&name, |b| b.iter(|| black_box(&case).cycle().unwrap()));
    }
}

/// Eight doses to their steady states, on every core there is.
fn sweep(c: &mut Criterion) {
    let [case, _] = strategies();
    let doses = (0..8).map(|k| (60.0 + 20.0 * f64::from(k)).into()).collect();
    let axes = [("regeneration.dose_g_per_l".to_string(), doses)];
    c.bench_function("sweep of 8 doses", |b| b.iter(|| study::sweep(black_box(&case), &axes, None).unwrap()));
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(Duration::from_secs(5));
    targets = equilibrium, loading, elution, cycle, sweep
}
criterion_main!(benches);
