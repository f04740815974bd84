//! Steps that lift the bed: beads mix while the liquid goes through.
//!
//! Exchange and mixing take turns. The step is marched in parts, each so short that no more enters in it than a hundredth of
//! the bed's capacity, unless that took more than 400 parts; dispersion takes half of a part's time before it and half after,
//! full mixing is repeated between the parts. Stream tubes mix each by itself, all by the onset at the mean velocity.

use crate::bed::vessel::VesselState;
use crate::cycle::history::StepHistory;
use crate::cycle::observers::Observers;
use crate::cycle::substeps::run_in_parts;
use crate::error::Result;
use crate::inputs::recipe_steps::StepName;
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepDirection;
use crate::plan::solid_mixing::SolidMixing;
use crate::plan::steps::PlannedStep;

/// What enters in one part, as a share of the capacity of the bed. The error of taking turns falls with it in proportion: at
/// this share a bed mixed through is off by 0.2 % in capacity and 0.5 % in half-run leakage, one with dispersion by less
/// (built-in scenario, nothing holding its bed). Half the share costs 1.5 times the time.
const SHARE_OF_CAPACITY: f64 = 0.01;
/// Most parts of a step.
const MOST_PARTS: f64 = 400.0;

/// A step that lifts the bed, and how beads mix in it.
struct Lifting {
    mixing: SolidMixing,
    /// Normality above which a cell is lifted \[eq/L\].
    above_eq_per_l: f64,
    /// Time between two mixings \[s\].
    every_s: f64,
}

impl Lifting {
    /// None for a step that leaves every bead where it is.
    fn of(model: &Model, step: &PlannedStep) -> Option<Self> {
        let mixing = model.lifted_mixing?;
        let upward = (step.direction == StepDirection::WithService) != model.service_down;
        if !upward || step.flow_bv_per_h <= 0.0 {
            return None;
        }
        let above_eq_per_l = model.lifting_normality(step.rates.velocity)?;
        // Between two service runs there is brine in the bed, whatever enters.
        let normality =
            if step.name == StepName::Service { model.waters.feed.normality() } else { model.waters.brine.normality() };
        let bv_per_s = step.rates.velocity / model.depth_m;
        let every_s = SHARE_OF_CAPACITY * model.capacity / (normality * bv_per_s);
        let every_s = every_s.max(step.end.latest_s() / MOST_PARTS);
        Some(Self { mixing, above_eq_per_l, every_s })
    }
}

/// Run a step, cut at `cuts_s` \[s since it began\], with the beads mixing as far as the step lifts them.
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub(super) fn run_lifted<const N: usize>(
    model: &Model,
    state: VesselState<N>,
    step: &PlannedStep,
    cuts_s: &[f64],
    schedule_s: &[f64],
    observers: &mut Observers<'_>,
) -> Result<(VesselState<N>, Vec<StepHistory>)> {
    let Some(lifting) = Lifting::of(model, step) else {
        return run_in_parts(model, state, step, cuts_s, schedule_s, observers, |_, _| {});
    };
    let latest = step.end.latest_s();
    let parts = (latest / lifting.every_s).ceil().max(1.0) as usize;
    let mut cuts: Vec<f64> =
        (1..parts).map(|k| latest * k as f64 / parts as f64).chain(cuts_s.iter().copied()).collect();
    cuts.sort_unstable_by(f64::total_cmp);
    let Lifting { mixing, above_eq_per_l, .. } = lifting;
    run_in_parts(model, state, step, &cuts, schedule_s, observers, |state, between| {
        let seconds = 0.5 * (between.passed_s + between.coming_s);
        for bed in &mut state.tubes {
            bed.mix_lifted(above_eq_per_l, mixing, seconds, (&model.grid, model.depth_m));
        }
    })
}
