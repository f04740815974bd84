//! What a regeneration took from the tank of reclaimed brine, and what it kept for the next.

use crate::cycle::history::{CycleHistory, StepHistory};
use crate::inputs::recipe_steps::StepName;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;

/// Reclaimed brine as it entered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reclaimed {
    pub volume_bv: f64,
    pub normality_eq_per_l: f64,
    /// Of its equivalents.
    pub hardness_fraction: f64,
    /// The salt's cation, as salt \[g per litre of bed\].
    pub salt_g_per_l: f64,
}

pub(super) fn of(plan: &CyclePlan, history: &CycleHistory) -> Option<Reclaimed> {
    let model = &plan.model;
    let salt_used = model.waters.salt;
    let held = history.reclaimed.as_ref().filter(|_| regenerated(&history.regeneration))?;
    let volume_bv = plan.reclaim?.volume_bv();
    let total: f64 = held.iter().sum();
    let hard: f64 = held.iter().zip(&model.hardness).map(|(eq, weight)| eq * weight).sum();
    let salt: f64 = held.iter().zip(&model.ions).filter(|(_, ion)| **ion == salt_used.cation()).map(|(eq, _)| eq).sum();
    Some(Reclaimed {
        volume_bv,
        normality_eq_per_l: total / volume_bv,
        hardness_fraction: hard / total.max(f64::MIN_POSITIVE),
        salt_g_per_l: salt * salt_used.g_per_eq(),
    })
}

/// Volume kept of what left in the steps of a regeneration \[bed volumes\]: as much as was put in, the tank being full.
pub(super) fn kept_bv(steps: &[StepHistory], history: &CycleHistory) -> f64 {
    match history.kept {
        Some(_) => steps.iter().filter(|step| step.name == StepName::ReclaimedBrine).map(|step| step.volume_bv).sum(),
        None => 0.0,
    }
}

/// Equivalents of an ion kept \[eq per litre of bed\].
pub(super) fn kept_eq_per_l(history: &CycleHistory, ion: usize) -> f64 {
    history.kept.as_ref().filter(|_| regenerated(&history.regeneration)).map_or(0.0, |kept| kept[ion])
}

/// Did the tank come into play? A first service run on new resin leaves it as it was.
fn regenerated(steps: &[StepHistory]) -> bool {
    steps.iter().any(|step| step.name == StepName::ReclaimedBrine)
}

/// Hardness kept \[eq per litre of bed\].
pub(super) fn kept_hardness(model: &Model, history: &CycleHistory) -> f64 {
    model.hardness.iter().enumerate().map(|(i, weight)| weight * kept_eq_per_l(history, i)).sum()
}
