//! The question an engineer asks: co-current or counter-current? Both to their steady state, on one core.
#![allow(missing_docs, clippy::unwrap_used, reason = "criterion's macros define what is public; a run must not fail")]

use std::hint::black_box;
use std::time::Duration;

use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::resin::BeadDiffusivity;
use brinefront_benches::{compare_one_after_the_other, strategies};
use criterion::{Criterion, criterion_group, criterion_main};

fn comparison(c: &mut Criterion) {
    let cases = strategies();
    let cycles = compare_one_after_the_other(&cases).unwrap();
    assert!(cycles.iter().all(|cycle| cycle.figures.settled), "a comparison counts at the steady state only");
    c.bench_function("comparison", |b| b.iter(|| compare_one_after_the_other(black_box(&cases)).unwrap()));
    // The same with shells in the beads, every ion at its own diffusivity.
    let diffusivities = [(Ion::NA, 1e-10), (Ion::MG, 2.5e-11), (Ion::CA, 2e-11)];
    let radial = cases.map(|mut case| {
        case.kinetics = Kinetics::Radial;
        case.rates.bead_per_s = None;
        case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities.into_iter().collect());
        case
    });
    let cycles = compare_one_after_the_other(&radial).unwrap();
    assert!(cycles.iter().all(|cycle| cycle.figures.settled), "a comparison counts at the steady state only");
    c.bench_function("comparison, radial beads", |b| {
        b.iter(|| compare_one_after_the_other(black_box(&radial)).unwrap());
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(Duration::from_secs(8));
    targets = comparison
}
criterion_main!(benches);
