//! Layers that a step leaves on the beads where its water enters, thinner than any front: cells are cut to them.

use crate::inputs::recipe_steps::StepName;
use crate::numerics::grid::Layers;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::steps::PlannedStep;

/// The layer that steps leave at the service outlet, which the next run is in contact with last: beads in the sodium form
/// take hardness out of a dilute liquid within
///
/// ```text
/// lambda = u/kf_a + eps D/u
/// ```
///
/// the decay of C(z) where C* is next to nothing (u superficial, kf_a of the film, eps D/u of dispersion). What enters
/// with the service flow leaves no layer that matters: the run covers it.
pub(super) fn layers(model: &Model, steps: &[PlannedStep]) -> Layers {
    let thinnest = steps.iter().filter(|step| leaves_layer(model, step)).map(|step| {
        let rates = &step.rates;
        rates.velocity * rates.film_s + model.void_fraction * rates.dispersion / rates.velocity
    });
    let lowest = thinnest.fold(f64::INFINITY, f64::min);
    Layers { first: None, last: lowest.is_finite().then(|| lowest / model.depth_m) }
}

fn leaves_layer(model: &Model, step: &PlannedStep) -> bool {
    // A backwash is not marched.
    let hard = step.inlet.iter().zip(&model.hardness).any(|(c, counts)| c * counts > 0.0);
    hard && step.water != StepWater::Brine
        && !matches!(step.name, StepName::Service | StepName::Backwash)
        && step.direction == StepDirection::AgainstService
        && step.rates.velocity > 0.0
}
