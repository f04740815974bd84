//! The service run of a case: its flow, its ends, and its steps, three where it rests in its middle.
//!
//! At rest the liquid goes to equilibrium with the beads beside it, and the beads in themselves: the first water after it,
//! the slug, is not what left before. A leakage limit is armed again once one void volume has left, as at the start of a
//! run; the slug has figures of its own.

use crate::inputs::recipe_steps::StepName;
use crate::inputs::service::Service;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::steps::{End, PlannedStep, StopReason};
use crate::units::convert::{bv_at_bv_per_h_to_s, h_to_s, mg_per_l_caco3_to_eq_per_l};

/// Service without a metered end stops at this many times the throughput that would load the whole bed.
const MOST_LOADINGS: f64 = 20.0;
/// Hardness of a feed that counts as none \[eq/L\].
const NO_HARDNESS: f64 = 1e-9;

/// Throughput at which a run to a limit ends all the same \[bed volumes\], for a capacity \[eq/L of bed\] and a feed of so
/// much hardness \[eq/L\].
pub fn longest_run_bv(capacity: f64, hardness: f64) -> f64 {
    MOST_LOADINGS * (1.0 + capacity / hardness)
}

/// A service run.
#[derive(Debug, Clone, PartialEq)]
pub struct ServicePlan {
    /// Flow \[bed volumes per hour\].
    pub flow_bv_per_h: f64,
    /// Leakage that ends it \[eq/L\], if one does.
    pub limit_eq_per_l: Option<f64>,
    /// Throughput that ends it \[bed volumes\], if it is metered.
    pub metered_bv: Option<f64>,
    /// Its steps: service alone, or service, standby and service. Each begins unless what leaves has ended the run.
    pub steps: Vec<PlannedStep>,
}

impl ServicePlan {
    /// The service run of a case.
    pub(super) fn of(model: &Model, service: &Service) -> Self {
        let flow_bv_per_h = service.flow_bv_per_h;
        let in_s = |volume_bv: f64| bv_at_bv_per_h_to_s(volume_bv, flow_bv_per_h);
        let limit_eq_per_l = service.limit_mg_per_l_caco3.map(mg_per_l_caco3_to_eq_per_l);
        let inlet = model.cations_of(StepWater::Feed);
        let hardness: f64 = inlet.iter().zip(&model.hardness).map(|(c, weight)| c * weight).sum();
        let longest_bv = longest_run_bv(model.capacity, hardness.max(NO_HARDNESS));
        let end = match limit_eq_per_l {
            None => End::After(service.volume_bv.map_or(0.0, in_s), StopReason::Throughput),
            Some(level) => End::Rise {
                level,
                armed_s: in_s(model.liquid_bv()),
                at_most_s: in_s(service.volume_bv.unwrap_or(longest_bv)),
                above_when_armed: StopReason::NeverSoft,
            },
        };
        let whole = PlannedStep {
            name: StepName::Service,
            water: StepWater::Feed,
            direction: StepDirection::WithService,
            flow_bv_per_h,
            rates: model.step_rates(StepWater::Feed, flow_bv_per_h),
            inlet,
            end,
            most_bv: service.volume_bv.unwrap_or(longest_bv),
            mixing: 0.0,
        };
        let rest = service.standby_hours.zip(service.standby_after_bv);
        let steps = match rest.filter(|(_, after_bv)| in_s(*after_bv) < end.latest_s()) {
            None => vec![whole],
            Some((hours, after_bv)) => around_a_rest(model, whole, h_to_s(hours), after_bv),
        };
        Self { flow_bv_per_h, limit_eq_per_l, metered_bv: service.volume_bv, steps }
    }
}

/// A run with a standby of `rest_s` \[s\] after `after_bv` \[bed volumes\].
fn around_a_rest(model: &Model, whole: PlannedStep, rest_s: f64, after_bv: f64) -> Vec<PlannedStep> {
    let after_s = bv_at_bv_per_h_to_s(after_bv, whole.flow_bv_per_h);
    let left = whole.end.at_most(whole.end.latest_s() - after_s);
    let before = PlannedStep { end: whole.end.at_most(after_s), most_bv: after_bv, ..whole.clone() };
    let standby = PlannedStep {
        name: StepName::Standby,
        flow_bv_per_h: 0.0,
        rates: model.step_rates(whole.water, 0.0),
        end: End::After(rest_s, StopReason::Time),
        most_bv: 0.0,
        ..whole.clone()
    };
    let end = match left {
        // It was soft before its rest.
        End::Rise { level, armed_s, at_most_s, .. } => {
            End::Rise { level, armed_s, at_most_s, above_when_armed: StopReason::LeakageLimit }
        }
        other => other,
    };
    let after = PlannedStep { end, most_bv: whole.most_bv - after_bv, ..whole };
    vec![before, standby, after]
}
