//! The salt efficiency that equilibrium allows.
//!
//! An ideal bed, in plug flow and in equilibrium everywhere, is given its dose of brine, one void volume of the brine water
//! that pushes the brine out, and then service to its limit. Nothing is lost to rinses; a backwash that turns the bed over
//! stays. What is left is what selectivity alone costs: in brine the beads take up some hardness again, so that the
//! last of the salt leaves unused.
//!
//! Hardness enters in a shock, behind which the bed is loaded with the feed. When that shock reaches the outlet, all of the
//! bed is, whatever direction the brine came from. So both directions have the same capacity,
//! [`crate::laws::waves::driven_off_eq_per_l`], and direction decides on leakage, unless what leaves reaches the limit
//! before the shock does; with the brine co-current, small doses leave the outlet loaded, and the water is never soft.
//!
//! # Several divalents
//!
//! With one divalent cation this is the exact limit of a plug-flow bed. With several there is no such closed form, because
//! beds sort their ions: counter-current they keep a heel of calcium and work with magnesium, and pass what the mean
//! selectivity allows by 3.9 % (default case, 96 g/L, 200 cells). So in brine all of them have the coefficient of the one held least.
//! Beside the same loading its liquid holds at least as much hardness, and a bed that gives off more at every loading has
//! given off more at every time (comparison of two scalar laws, by the loading above a depth; derived here). It is a
//! ceiling then, not the limit itself. Traces of other monovalent cations count as the salt's.
//!
//! The brine's own water adds its monovalent ions to the salt, and the bed's void begins service soft: at weak brine and
//! small doses the ceiling passes 1 by that.

use serde::Serialize;

use crate::cycle::ideal::{Elution, Ideal};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::recipe_steps::StepName;
use crate::inputs::regeneration::Direction;
use crate::inputs::service::CUSTOMARY_LIMIT_MG_PER_L_CACO3;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use crate::plan::steps::{PlannedStep, StopReason};
use crate::study::no_march::any_grid;
use crate::units::convert::{eq_per_g_to_gr_per_lb, mg_per_l_caco3_to_eq_per_l};

/// Levels of the resin's fraction. With so many the closed form is met within 2e-5 where it holds.
const LEVELS: usize = 400;

/// The ceiling at one dose.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Ceiling {
    /// Direction of the brine.
    pub direction: Direction,
    /// Salt \[g per litre of resin\].
    pub dose_g_per_l: f64,
    /// Hardness removed in one service run \[eq/L of bed\]; 0 if never soft.
    pub capacity_eq_per_l: f64,
    /// Hardness removed over the salt's equivalents.
    pub salt_efficiency_fraction: f64,
    /// Grains of hardness as CaCO3 per pound of salt.
    pub salt_efficiency_gr_per_lb: f64,
    /// Length of the run \[bed volumes\]; 0 if never soft.
    pub run_length_bv: f64,
    /// Why service ended: leakage limit or never soft.
    pub stop_reason: StopReason,
    /// Does the cycle repeat itself?
    pub settled: bool,
}

impl Case {
    /// The ceiling of the salt efficiency in the direction of the case and, through its mirror, in the other, at each
    /// dose \[g/L\]: co-current first.
    ///
    /// Water, resin, salt, strength, brine water, backwash and limit are the case's (17 mg/L as CaCO3 if it has none);
    /// a free recipe and a metered volume are left aside.
    ///
    /// # Errors
    /// [`Error::Value`](crate::Error::Value) for a case or a dose that is not valid.
    pub fn efficiency_ceiling(&self, doses_g_per_l: &[f64]) -> Result<Vec<Ceiling>> {
        self.validate_cycle()?;
        let both = if self.regeneration.direction == Direction::CoCurrent {
            [self.clone(), self.mirrored()]
        } else {
            [self.mirrored(), self.clone()]
        };
        both.iter().flat_map(|case| doses_g_per_l.iter().map(|dose| at_dose(case, *dose))).collect()
    }
}

fn at_dose(case: &Case, dose_g_per_l: f64) -> Result<Ceiling> {
    let mut case = Case { recipe: None, ..any_grid(case) };
    case.regeneration.dose_g_per_l = dose_g_per_l;
    case.validate()?;
    let model = Model::new(&case, &[])?;
    let ideal = Ideal::new(&model, Elution::LeastHeld)?;
    let limit = mg_per_l_caco3_to_eq_per_l(case.service.limit_mg_per_l_caco3.unwrap_or(CUSTOMARY_LIMIT_MG_PER_L_CACO3));
    let cycle = ideal.steady(&steps(&case, &model), Some(limit), None, LEVELS)?;
    let (run_length_bv, kept) = match cycle.service() {
        Some(service) if !cycle.never_soft => (service.volume_bv, service.kept_eq_per_l),
        _ => (0.0, 0.0),
    };
    let capacity_eq_per_l = kept * ideal.hardness_share;
    Ok(Ceiling {
        direction: case.regeneration.direction,
        dose_g_per_l,
        capacity_eq_per_l,
        salt_efficiency_fraction: capacity_eq_per_l * case.regeneration.salt.g_per_eq() / dose_g_per_l,
        salt_efficiency_gr_per_lb: eq_per_g_to_gr_per_lb(capacity_eq_per_l / dose_g_per_l),
        run_length_bv,
        stop_reason: if cycle.never_soft { StopReason::NeverSoft } else { StopReason::LeakageLimit },
        settled: cycle.settled,
    })
}

/// Backwash if the case has one, brine, and one void volume behind it.
fn steps(case: &Case, model: &Model) -> Vec<PlannedStep> {
    let regeneration = &case.regeneration;
    let direction = StepDirection::of(regeneration.direction);
    let water = StepWater::of(regeneration.brine_water);
    let flow_bv_per_h = regeneration.flow_bv_per_h;
    let step = |name, water, direction, volume, mixing| {
        let end = StepEnd::VolumeBv(volume);
        PlannedStep::of(model, &Step { name, water, flow_bv_per_h, direction, end, mixing })
    };
    let mut steps = Vec::with_capacity(3);
    if regeneration.backwash_minutes() > 0.0 {
        // Enough to fill the void with feed; more would change nothing.
        let mixing = regeneration.mixing();
        steps.push(step(StepName::Backwash, StepWater::Feed, StepDirection::AgainstService, 1.0, mixing));
    }
    steps.push(step(StepName::Brine, StepWater::Brine, direction, model.waters.brine_bv, 0.0));
    steps.push(step(StepName::SlowRinse, water, direction, model.void_fraction, 0.0));
    steps
}
