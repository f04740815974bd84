//! How far a trial step is from what its history predicted: its local error.

use crate::bed::column::history::History;
use crate::bed::profile::Profile;
use crate::bed::time_step::TimeStep;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::{larger, largest};

/// What errors are measured against.
#[derive(Debug, Clone, Copy)]
pub(super) struct Allowed {
    /// Error allowed in one time step, relative to capacity and normality.
    pub tolerance: f64,
    /// Total capacity \[eq/L of bed\].
    pub capacity: f64,
}

/// Largest local error of the trial step, in units of what is allowed, not a number where one of them is none; its normality
/// and rates on the way.
#[inline(always)]
pub(super) fn error<const N: usize>(
    allowed: &Allowed,
    history: &mut History<N>,
    step: &mut TimeStep<N>,
    trial: &mut Profile<N>,
) -> f64 {
    let weights = step.weights;
    let cells = history.now.cells();
    let per_loading = 1.0 / allowed.capacity;
    let per_normality = 1.0 / step.normality_scale;
    let per_theta = 1.0 / weights.theta;
    let mut worst = 0.0_f64;
    let miss = &mut step.miss.row_mut(0)[..cells];
    trial.normality.fill(0.0);
    let [rate, new_rate] = &mut history.loading_rate;
    let [last, earlier] = &history.before;
    for i in 0..N {
        let q = &history.now.loading.row(i)[..cells];
        let (q1, q2) = (&last.loading.row(i)[..cells], &earlier.loading.row(i)[..cells]);
        let (new, explicit) = (&trial.loading.row(i)[..cells], &step.loading.row(i)[..cells]);
        let (rate, new_rate) = (&rate.row(i)[..cells], &mut new_rate.row_mut(i)[..cells]);
        if step.blended {
            for (j, weight) in step.exchange_weight.row(0).iter().enumerate() {
                new_rate[j] = (new[j] - explicit[j]) / weight;
            }
        } else {
            for j in 0..cells {
                new_rate[j] = (new[j] - explicit[j]) * per_theta;
            }
        }
        for j in 0..cells {
            miss[j] = (new[j] - q[j] - weights.predicted(rate[j], q[j] - q1[j], q1[j] - q2[j])).abs();
        }
        worst = larger(worst, largest(miss, 0.0) * per_loading);
        for (n, c) in trial.normality.row_mut(0).iter_mut().zip(trial.liquid.row(i)) {
            *n += c;
        }
    }
    let n = &history.now.normality.row(0)[..cells];
    let (n1, n2) = (&last.normality.row(0)[..cells], &earlier.normality.row(0)[..cells]);
    let new = &trial.normality.row(0)[..cells];
    let [rate, new_rate] = &mut history.normality_rate;
    let (rate, new_rate) = (&rate.row(0)[..cells], &mut new_rate.row_mut(0)[..cells]);
    for j in 0..cells {
        new_rate[j] = (new[j] - n[j] - weights.of_history(n[j] - n1[j], n1[j] - n2[j])) * per_theta;
    }
    for j in 0..cells {
        miss[j] = (new[j] - n[j] - weights.predicted(rate[j], n[j] - n1[j], n1[j] - n2[j])).abs();
    }
    worst = larger(worst, largest(miss, 0.0) * per_normality);
    // A first step has no history to predict from: it is chosen small instead.
    if weights.order == 1 { 0.0 } else { worst * weights.error_fraction / allowed.tolerance }
}

/// The cell where the loading of a trial step is furthest from its prediction, and how far that is \[eq/L of bed\]; what is
/// not a number is further than any.
pub(super) fn worst_cell<const N: usize>(history: &History<N>, weights: &Weights, trial: &Profile<N>) -> (usize, f64) {
    let miss = |j: usize| {
        (0..N)
            .map(|i| {
                let [q, q1, q2] = history.rows(|bed| &bed.loading, i);
                let rate = history.loading_rate[0].row(i)[j];
                let predicted = weights.predicted(rate, q[j] - q1[j], q1[j] - q2[j]);
                (trial.loading.row(i)[j] - q[j] - predicted).abs()
            })
            .max_by(f64::total_cmp)
            .unwrap_or(0.0)
    };
    let cells = (0..history.now.cells()).map(|j| (j, miss(j)));
    cells.max_by(|(_, a), (_, b)| a.total_cmp(b)).unwrap_or((0, 0.0))
}
