//! A service run with a rest in its middle.
//!
//! At rest the liquid goes to equilibrium with the beads beside it, and the beads in themselves: the first water after it,
//! the slug, is not what left before. A leakage limit is armed again once one void volume has left, as at the start of a
//! run; the slug has figures of its own.

use crate::bed::model::Model;
use crate::bed::vessel::VesselState;
use crate::cycle::Onlookers;
use crate::cycle::history::{Restart, StepHistory, StopReason};
use crate::cycle::lifting::run_lifted;
use crate::cycle::parts::{append, ended_early, joined, shared_out};
use crate::cycle::recipe::service_plan;
use crate::cycle::recorder::Recorder;
use crate::cycle::step::{End, Plan, march_step};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::recipe::StepName;
use crate::units::convert::{bv_at_bv_per_h_to_s, h_to_s};

/// Run the service of a case, with its rest if it has one: the service as one step, and where it started again.
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub(super) fn run_service<const N: usize>(
    case: &Case,
    model: &Model,
    state: VesselState<N>,
    guide: &[f64],
    onlookers: &mut Onlookers<'_>,
) -> Result<(VesselState<N>, Option<StepHistory>, Option<Restart>)> {
    let plan: Plan<N> = service_plan(case, model);
    let flow = plan.flow_bv_per_h;
    let latest_s = plan.end.latest_s();
    let rest = case
        .service
        .standby_hours
        .zip(case.service.standby_after_bv)
        .map(|(hours, after_bv)| (h_to_s(hours), bv_at_bv_per_h_to_s(after_bv, flow)))
        .filter(|(_, after_s)| *after_s < latest_s);
    let Some((rest_s, after_s)) = rest else {
        let (state, parts) = run_lifted(model, state, &plan, &[], guide, onlookers)?;
        return Ok((state, joined(parts), None));
    };
    let guides = shared_out(guide, &[after_s, rest_s, latest_s - after_s]);
    let until = |end: End, most: f64| match end {
        End::After(_, reason) => End::After(most, reason),
        End::Rise { level, armed_s, .. } => End::Rise { level, armed_s, at_most_s: most },
        End::Fall { level, armed_s, .. } => End::Fall { level, armed_s, at_most_s: most },
    };
    let first = Plan { end: until(plan.end, after_s), ..plan.clone() };
    let (state, parts) = run_lifted(model, state, &first, &[], guides[0], onlookers)?;
    let Some(mut service) = joined(parts) else { return Ok((state, None, None)) };
    if ended_early(&service) {
        return Ok((state, Some(service), None));
    }
    let still = Plan {
        name: StepName::Standby,
        flow_bv_per_h: 0.0,
        rates: model.step_rates(plan.water, 0.0),
        end: End::After(rest_s, StopReason::Time),
        ..plan.clone()
    };
    onlookers.tell(model, &state, Recorder::begins);
    let (state, standing) = march_step(model, state, &still, guides[1], onlookers)?;
    onlookers.tell(model, &state, Recorder::ends);
    append(&mut service, standing, true);
    let restart = Restart { after_bv: service.volume_bv, rest_s, sample: service.sample_bv.len() };
    let second = Plan { end: until(plan.end, latest_s - after_s), ..plan.clone() };
    let (state, parts) = run_lifted(model, state, &second, &[], guides[2], onlookers)?;
    if let Some(rest_of_run) = joined(parts) {
        append(&mut service, rest_of_run, false);
    }
    // It was soft before its rest.
    if service.stop == StopReason::NeverSoft {
        service.stop = StopReason::LeakageLimit;
    }
    Ok((state, Some(service), Some(restart)))
}
