//! A single run: a bed loaded once, or eluted once.

use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use crate::plan::steps::PlannedStep;

/// Largest volume of a single run \[bed volumes\].
const MOST_BV: f64 = 1e7;
/// Strongest regenerant \[eq/L\].
const STRONGEST_EQ_PER_L: f64 = 20.0;

/// Everything that a single run is run and reported from.
#[derive(Debug, Clone)]
pub struct RunPlan {
    /// The coefficients.
    pub model: Model,
    /// The run.
    pub step: PlannedStep,
}

impl RunPlan {
    /// Loading with the feed, in the direction and at the flow of service, for a volume \[bed volumes\]; `also` names ions
    /// that the bed's loading brings in.
    ///
    /// # Errors
    /// [`Error::Value`] for a case or a volume that is not valid.
    pub fn loading(case: &Case, also: &[Ion], volume_bv: f64) -> Result<Self> {
        check_volume(volume_bv)?;
        let model = Model::new(case, also)?;
        let step = PlannedStep::of(
            &model,
            &Step {
                name: StepName::Service,
                water: StepWater::Feed,
                flow_bv_per_h: case.service.flow_bv_per_h,
                direction: StepDirection::WithService,
                end: StepEnd::VolumeBv(volume_bv),
                mixing: 0.0,
            },
        );
        Ok(Self { model, step })
    }

    /// Elution with the salt's cation alone at a total normality \[eq/L\], in the direction and at the flow of the brine,
    /// for a volume \[bed volumes\].
    ///
    /// # Errors
    /// As [`RunPlan::loading`]; [`Error::Value`] for a normality out of limits.
    pub fn elution(case: &Case, also: &[Ion], volume_bv: f64, normality_eq_per_l: f64) -> Result<Self> {
        let normality = normality_eq_per_l;
        if !(normality.is_finite() && normality > 0.0 && normality <= STRONGEST_EQ_PER_L) {
            return Err(Error::value(
                "normality_eq_per_l",
                normality,
                format!("must be a number above 0 and at most {STRONGEST_EQ_PER_L} eq/L"),
            ));
        }
        check_volume(volume_bv)?;
        let model = Model::new(case, also)?;
        if let Some(activities) = &model.activities {
            activities.check_strength("a regenerant", normality)?;
        }
        let step = PlannedStep::of(
            &model,
            &Step {
                name: StepName::Brine,
                water: StepWater::Brine,
                flow_bv_per_h: case.regeneration.flow_bv_per_h,
                direction: StepDirection::of(case.regeneration.direction),
                end: StepEnd::VolumeBv(volume_bv),
                mixing: 0.0,
            },
        );
        let salt_cation = model.waters.salt.cation();
        let of = |ion: &Ion| if *ion == salt_cation { normality } else { 0.0 };
        let step = PlannedStep { inlet: model.ions.iter().map(of).collect(), ..step };
        Ok(Self { model, step })
    }
}

fn check_volume(volume_bv: f64) -> Result<()> {
    if !(volume_bv.is_finite() && volume_bv > 0.0 && volume_bv <= MOST_BV) {
        return Err(Error::value("volume_bv", volume_bv, "must be a number above 0 and at most 1e7 BV"));
    }
    Ok(())
}
