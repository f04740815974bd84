//! Recipes resolved against a model and run one step after another; the bed keeps what each step left in it.

use crate::bed::ledger::Ledger;
use crate::bed::model::Model;
use crate::bed::vessel::VesselState;
use crate::cycle::Onlookers;
use crate::cycle::history::{CycleHistory, StepHistory, StopReason};
use crate::cycle::lifting::run_lifted;
use crate::cycle::parts::joined;
use crate::cycle::reclaim::{self, Reclaim};
use crate::cycle::recorder::Recorder;
use crate::cycle::rest::run_service;
use crate::cycle::step::{End, Plan};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::free_recipe::Recipe;
use crate::inputs::ion::Ion;
use crate::inputs::recipe::{Step, StepDirection, StepEnd, StepName, StepWater};
use crate::numerics::effort::Effort;
use crate::units::convert::{bv_at_bv_per_h_to_s, mg_per_l_caco3_to_eq_per_l, mg_per_l_to_eq_per_l, min_to_s};

/// Service without a metered end stops at this many times the throughput that would load the whole bed.
const MOST_LOADINGS: f64 = 20.0;

/// The steps of a case between two service runs.
///
/// # Errors
/// [`crate::Error::Value`] for a step that is left no volume.
pub fn regeneration_steps(case: &Case, model: &Model) -> Result<Vec<Step>> {
    let resolved = |recipe: &Recipe| recipe.resolved(&case.regeneration, &case.bed, model.brine_bv);
    case.recipe.as_ref().map_or_else(|| resolved(&Recipe::of(&case.regeneration)), resolved)
}

/// A step of a recipe as a plan.
pub fn plan<const N: usize>(model: &Model, step: &Step) -> Plan<N> {
    let weights: [f64; N] = std::array::from_fn(|i| model.hardness[i]);
    // Until what the vessel held when the step began has left, its effluent says nothing of the rinse: after a reversal the
    // end that is already clean leaves first.
    let armed_s = bv_at_bv_per_h_to_s(model.liquid_bv(), step.flow_bv_per_h);
    let end = match step.end {
        StepEnd::VolumeBv(volume) => {
            End::After(bv_at_bv_per_h_to_s(volume, step.flow_bv_per_h), StopReason::Throughput)
        }
        StepEnd::TimeMin(minutes) => End::After(min_to_s(minutes), StopReason::Time),
        StepEnd::HardnessBelow { mg_per_l_caco3, at_most_bv } => End::Fall {
            level: mg_per_l_caco3_to_eq_per_l(mg_per_l_caco3),
            armed_s,
            at_most_s: bv_at_bv_per_h_to_s(at_most_bv, step.flow_bv_per_h),
        },
        // Chloride is what the normality leaves beside the feed's other anions.
        StepEnd::ChlorideBelow { mg_per_l, at_most_bv } => End::Fall {
            level: mg_per_l_to_eq_per_l(mg_per_l, Ion::CL.g_per_eq()) + model.feed.normality() - model.feed.of(Ion::CL),
            armed_s,
            at_most_s: bv_at_bv_per_h_to_s(at_most_bv, step.flow_bv_per_h),
        },
    };
    let watched = if matches!(step.end, StepEnd::ChlorideBelow { .. }) { [1.0; N] } else { weights };
    Plan {
        name: step.name,
        water: step.water,
        direction: step.direction,
        flow_bv_per_h: step.flow_bv_per_h,
        rates: model.step_rates(step.water, step.flow_bv_per_h),
        inlet: model.cations_of(model.water(step.water)),
        end,
        watched,
    }
}

/// The service run of a case as a plan.
pub fn service_plan<const N: usize>(case: &Case, model: &Model) -> Plan<N> {
    let flow = case.service.flow_bv_per_h;
    let inlet: [f64; N] = model.cations_of(&model.feed);
    let watched: [f64; N] = std::array::from_fn(|i| model.hardness[i]);
    let metered = case.service.volume_bv.map(|volume| bv_at_bv_per_h_to_s(volume, flow));
    let end = match case.service.limit_mg_per_l_caco3 {
        None => End::After(metered.unwrap_or(0.0), StopReason::Throughput),
        Some(limit) => {
            let hardness: f64 = inlet.iter().zip(&watched).map(|(c, w)| c * w).sum();
            let whole = MOST_LOADINGS * (1.0 + model.capacity / hardness.max(1e-9));
            End::Rise {
                level: mg_per_l_caco3_to_eq_per_l(limit),
                armed_s: bv_at_bv_per_h_to_s(model.liquid_bv(), flow),
                at_most_s: metered.unwrap_or(bv_at_bv_per_h_to_s(whole, flow)),
            }
        }
    };
    Plan {
        name: StepName::Service,
        water: StepWater::Feed,
        direction: StepDirection::WithService,
        flow_bv_per_h: flow,
        rates: model.step_rates(StepWater::Feed, flow),
        inlet,
        end,
        watched,
    }
}

/// A backwash: the liquid in void and stirred spaces is replaced by its water, and the top of the bed is turned over.
///
/// Its liquid needs no march: it passes in minutes through a bed that it keeps in motion, and that fills the freeboard.
fn run_backwash<const N: usize>(
    model: &Model,
    mut state: VesselState<N>,
    step: &Step,
) -> (VesselState<N>, StepHistory) {
    let water: [f64; N] = model.cations_of(model.water(step.water));
    let volume_bv = step.end.most_bv(step.flow_bv_per_h);
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

/// Run the steps between two service runs, then service. `new_resin` leaves the regeneration out: a first service run.
/// `guide` is a neighbouring cycle whose time steps are followed, `reclaimed` what the tank of reclaimed brine holds
/// \[eq per litre of bed\]; what it holds afterwards is `kept` of the history.
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub(super) fn run_cycle<const N: usize>(
    case: &Case,
    model: &Model,
    mut state: VesselState<N>,
    reclaimed: Option<[f64; N]>,
    new_resin: bool,
    guide: Option<&CycleHistory>,
    onlookers: &mut Onlookers<'_>,
) -> Result<(VesselState<N>, CycleHistory)> {
    let held_before = state.held(model);
    let regeneration = regeneration_steps(case, model)?;
    let brines = regeneration.iter().filter(|step| step.name == StepName::Brine);
    let brine_bv = brines.map(|step| step.end.most_bv(step.flow_bv_per_h)).sum();
    let regeneration = if new_resin { Vec::new() } else { reclaim::with_reclaimed(case, regeneration)? };
    // Before the first regeneration the tank keeps what it holds.
    let mut reclaim = Reclaim::<N>::of(case).filter(|_| !new_resin);
    let mut steps = Vec::with_capacity(1 + regeneration.len());
    let guide_of = |place: usize| {
        guide.and_then(|cycle| cycle.steps.get(place)).map_or(&[][..], |step| step.time_steps_s.as_slice())
    };
    for step in regeneration {
        if step.name == StepName::Backwash {
            onlookers.tell(model, &state, Recorder::begins);
            let (next, history) = run_backwash(model, state, &step);
            state = next;
            steps.push(history);
            onlookers.tell(model, &state, Recorder::ends);
            continue;
        }
        let mut plan = plan(model, &step);
        if let (StepName::ReclaimedBrine, Some(held)) = (step.name, reclaimed) {
            plan.inlet = held.map(|eq| eq / reclaim::volume_bv(case));
        }
        let cuts = reclaim.as_mut().map_or_else(Vec::new, |reclaim| reclaim.cuts_s(&step));
        let (next, parts) = run_lifted(model, state, &plan, &cuts, guide_of(steps.len()), onlookers)?;
        state = next;
        if let Some(reclaim) = &mut reclaim {
            reclaim.count(&parts);
        }
        steps.extend(joined(parts));
    }
    let loading_at_service = state.mean_loading(model).to_vec();
    let (state, service, restart) = run_service(case, model, state, guide_of(steps.len()), onlookers)?;
    steps.extend(service);
    let held_after = state.held(model);
    let kept = reclaim.as_ref().map_or(reclaimed, |reclaim| Some(reclaim.kept()));
    let mut ledger = Ledger::<N>::default();
    for step in &steps {
        ledger.count(&std::array::from_fn(|i| step.entered[i]), &std::array::from_fn(|i| step.left[i]));
    }
    let tank = if reclaim.is_some() { (reclaimed, kept) } else { (None, None) };
    let ledger_error = system_error(&ledger, (&held_before, &held_after), tank);
    let history = CycleHistory {
        brine_bv,
        ledger_error,
        held_before: held_before.to_vec(),
        held_after: held_after.to_vec(),
        loading_at_service,
        loading_after: state.mean_loading(model).to_vec(),
        steps,
        restart,
        reclaimed: reclaimed.map(|held| held.to_vec()),
        kept: kept.map(|held| held.to_vec()),
    };
    Ok((state, history))
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
