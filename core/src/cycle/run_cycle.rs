//! A whole cycle run, one step after another; the bed keeps what each step left in it.

use crate::bed::ledger::Ledger;
use crate::bed::vessel::VesselState;
use crate::cycle::cycle_state::CycleState;
use crate::cycle::history::{CycleHistory, StepHistory};
use crate::cycle::lifting::run_lifted;
use crate::cycle::observers::Observers;
use crate::cycle::reclaim::ReclaimTank;
use crate::cycle::recorder::Recorder;
use crate::cycle::step_schedule::StepSchedule;
use crate::cycle::substeps::joined;
use crate::error::Result;
use crate::inputs::recipe_steps::StepName;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;
use crate::plan::steps::{PlannedStep, StopReason};
use crate::units::convert::bv_at_bv_per_h_to_s;

/// A backwash: the liquid in void and stirred spaces is replaced by its water, and the top of the bed is turned over.
///
/// Its liquid needs no march: it passes in minutes through a bed that it keeps in motion, and that fills the freeboard.
fn run_backwash<const N: usize>(
    model: &Model,
    mut state: VesselState<N>,
    step: &PlannedStep,
) -> (VesselState<N>, StepHistory) {
    let water: [f64; N] = in_order(&step.inlet);
    let volume_bv = step.most_bv;
    let before = state.held(model);
    // Less than there is replaces that part of it, in bed and spaces alike.
    let replaced = (volume_bv / model.liquid_bv()).min(1.0);
    let old_liquid = state.mean_liquid(model);
    state.displace_liquid(replaced, &water);
    state.mix_resin(model, step.mixing, model.service_down);
    let after = state.held(model);
    let entered: Vec<f64> = water.iter().map(|c| c * volume_bv).collect();
    let left: Vec<f64> = (0..N).map(|i| entered[i] - (after[i] - before[i])).collect();
    // What was in the vessel comes first, then the wash water.
    let displaced = volume_bv.min(model.liquid_bv());
    let mut samples = vec![(0.0, old_liquid), (displaced, old_liquid)];
    if volume_bv > displaced {
        samples.extend([(displaced, water), (volume_bv, water)]);
    }
    let history = StepHistory {
        name: step.name,
        water: step.water,
        direction: step.direction,
        flow_bv_per_h: step.flow_bv_per_h,
        duration_s: bv_at_bv_per_h_to_s(volume_bv, step.flow_bv_per_h),
        volume_bv,
        stop: StopReason::Throughput,
        time_steps_s: Vec::new(),
        inlet_normality: water.iter().sum(),
        sample_bv: samples.iter().map(|(bv, _)| *bv).collect(),
        sample_eq_per_l: samples.iter().flat_map(|(_, c)| *c).collect(),
        entered,
        left,
        loading: state.loading(model),
        liquid: state.liquid(model),
        tube_loading: state.tube_loading(),
        effort: Effort::default(),
    };
    (state, history)
}

/// Values by ion as an array.
fn in_order<const N: usize>(values: &[f64]) -> [f64; N] {
    std::array::from_fn(|i| values[i])
}

/// Run the steps between two service runs, then service. `new_resin` leaves the regeneration out: a first service run,
/// before which the tank of reclaimed brine keeps what it holds. The time steps of `schedule` are followed.
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub(super) fn run_cycle<const N: usize>(
    plan: &CyclePlan,
    state: CycleState<N>,
    new_resin: bool,
    schedule: &StepSchedule,
    observers: &mut Observers<'_>,
) -> Result<(CycleState<N>, CycleHistory)> {
    let model = &plan.model;
    let CycleState { mut vessel, tank: reclaimed } = state;
    let held_before = vessel.held(model);
    let between = if new_resin { &[][..] } else { &plan.regeneration };
    let mut tank = plan.reclaim.filter(|_| !new_resin).map(ReclaimTank::<N>::new);
    let mut regeneration: Vec<StepHistory> = Vec::with_capacity(between.len());
    for step in between {
        if step.name == StepName::Backwash {
            observers.show(model, &vessel, Recorder::begins);
            let (next, history) = run_backwash(model, vessel, step);
            vessel = next;
            regeneration.push(history);
            observers.show(model, &vessel, Recorder::ends);
            continue;
        }
        let step = with_what_enters(plan, step, reclaimed);
        let cuts = tank.as_mut().map_or_else(Vec::new, |tank| tank.cuts_s(&step));
        let schedule_s = schedule.of_step(regeneration.len());
        let (next, parts) = run_lifted(model, vessel, &step, &cuts, schedule_s, observers)?;
        vessel = next;
        if let Some(tank) = &mut tank {
            tank.count(&parts);
        }
        regeneration.extend(joined(parts));
    }
    let loading_at_service = vessel.mean_loading(model).to_vec();
    let mut service: Vec<StepHistory> = Vec::with_capacity(plan.service.steps.len());
    for step in &plan.service.steps {
        let schedule_s = schedule.of_step(regeneration.len() + service.len());
        let (next, parts) = run_lifted(model, vessel, step, &[], schedule_s, observers)?;
        vessel = next;
        service.extend(joined(parts));
        if service.last().is_some_and(StepHistory::ended_early) {
            break;
        }
    }
    let held_after = vessel.held(model);
    let kept = tank.as_ref().map_or(reclaimed, |tank| Some(tank.kept()));
    let mut ledger = Ledger::<N>::default();
    for step in &regeneration {
        ledger.count(&in_order(&step.entered), &in_order(&step.left));
    }
    let mut of_service = Ledger::<N>::default();
    for step in &service {
        of_service.count(&in_order(&step.entered), &in_order(&step.left));
    }
    ledger.add(&of_service);
    let tanks = if tank.is_some() { (reclaimed, kept) } else { (None, None) };
    let ledger_error = system_error(&ledger, (&held_before, &held_after), tanks);
    let history = CycleHistory {
        regeneration,
        service,
        ledger_error,
        held_before: held_before.to_vec(),
        held_after: held_after.to_vec(),
        loading_at_service,
        loading_after: vessel.mean_loading(model).to_vec(),
        reclaimed: reclaimed.map(|held| held.to_vec()),
        kept: kept.map(|held| held.to_vec()),
    };
    Ok((CycleState { vessel, tank: kept }, history))
}

/// A step with what enters it: reclaimed brine is what the tank holds \[eq per litre of bed\].
fn with_what_enters<const N: usize>(plan: &CyclePlan, step: &PlannedStep, reclaimed: Option<[f64; N]>) -> PlannedStep {
    let mut step = step.clone();
    if let (StepName::ReclaimedBrine, Some(held), Some(reclaim)) = (step.name, reclaimed, plan.reclaim) {
        step.inlet = held.iter().map(|eq| eq / reclaim.volume_bv()).collect();
    }
    step
}

/// Ledger of the bed, and of bed and tank together where there is one: what came from the tank did not enter the plant,
/// and what went to it did not leave.
fn system_error<const N: usize>(
    ledger: &Ledger<N>,
    (bed_before, bed_after): (&[f64; N], &[f64; N]),
    tank: (Option<[f64; N]>, Option<[f64; N]>),
) -> f64 {
    let (Some(tank_before), Some(tank_after)) = tank else {
        return ledger.error(bed_before, bed_after);
    };
    let sum = |a: &[f64; N], b: &[f64; N]| -> [f64; N] { std::array::from_fn(|i| a[i] + b[i]) };
    let less = |a: &[f64; N], b: &[f64; N]| -> [f64; N] { std::array::from_fn(|i| a[i] - b[i]) };
    let plant = Ledger { entered: less(&ledger.entered, &tank_before), left: less(&ledger.left, &tank_after) };
    plant.error(&sum(bed_before, &tank_before), &sum(bed_after, &tank_after))
}
