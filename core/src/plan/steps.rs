//! A step as it is marched: velocity, resistances, what enters, and what ends it, in SI and equivalents per litre.

use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::plan::model::Model;
use crate::plan::rates::StepRates;
use crate::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use crate::units::convert::{bv_at_bv_per_h_to_s, mg_per_l_caco3_to_eq_per_l, mg_per_l_to_eq_per_l, min_to_s};

/// Why a step ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum StopReason {
    /// Its volume had passed.
    Throughput,
    /// Its time was over.
    Time,
    /// The effluent met the limit.
    LeakageLimit,
    /// The effluent was above the limit when the limit was armed.
    NeverSoft,
    /// The effluent had been rinsed down to what was asked.
    Rinsed,
}

/// What is watched in the effluent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Watched {
    /// The ions that count as hardness.
    Hardness,
    /// All cations.
    Normality,
}

/// What ends a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// A time \[s\] and the reason to state.
    After(f64, StopReason),
    /// Effluent hardness rises to a level, armed after `armed_s` \[s\]; at the latest after `at_most_s`.
    Rise {
        /// Level \[eq/L\].
        level: f64,
        /// Time after which it counts \[s\].
        armed_s: f64,
        /// Time at which the step ends all the same \[s\].
        at_most_s: f64,
        /// The reason to state where the effluent is above the level when that is armed.
        above_when_armed: StopReason,
    },
    /// Something in the effluent is down to a level, armed after `armed_s` \[s\]; at the latest after `at_most_s`.
    Fall {
        /// What falls.
        of: Watched,
        /// Level \[eq/L\].
        level: f64,
        /// Time after which it counts \[s\].
        armed_s: f64,
        /// Time at which the step ends all the same \[s\].
        at_most_s: f64,
    },
}

impl End {
    /// Time at which it ends at the latest \[s\].
    pub fn latest_s(self) -> f64 {
        match self {
            Self::After(seconds, _) => seconds,
            Self::Rise { at_most_s, .. } | Self::Fall { at_most_s, .. } => at_most_s,
        }
    }

    /// The same at another time at the latest \[s\].
    #[must_use]
    pub fn at_most(self, most_s: f64) -> Self {
        match self {
            Self::After(_, reason) => Self::After(most_s, reason),
            Self::Rise { level, armed_s, above_when_armed, .. } => {
                Self::Rise { level, armed_s, at_most_s: most_s, above_when_armed }
            }
            Self::Fall { of, level, armed_s, .. } => Self::Fall { of, level, armed_s, at_most_s: most_s },
        }
    }

    /// The end of the part from `from_s` to `to_s` \[s\] of a step that ends so.
    #[must_use]
    pub fn of_part(self, from_s: f64, to_s: f64) -> Self {
        let armed_later = |armed_s: f64| (armed_s - from_s).max(0.0);
        match self.at_most(to_s - from_s) {
            Self::Rise { level, armed_s, at_most_s, above_when_armed } => {
                Self::Rise { level, armed_s: armed_later(armed_s), at_most_s, above_when_armed }
            }
            Self::Fall { of, level, armed_s, at_most_s } => {
                Self::Fall { of, level, armed_s: armed_later(armed_s), at_most_s }
            }
            after @ Self::After(..) => after,
        }
    }

    /// What decides it in the effluent.
    pub fn watched(self) -> Watched {
        match self {
            Self::Fall { of, .. } => of,
            Self::Rise { .. } | Self::After(..) => Watched::Hardness,
        }
    }
}

/// A step with every number in place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStep {
    /// Its name.
    pub name: StepName,
    /// Its water.
    pub water: StepWater,
    /// Its direction.
    pub direction: StepDirection,
    /// Flow \[bed volumes per hour\], as reports state it and stream tubes share it out.
    pub flow_bv_per_h: f64,
    /// Velocity and resistances at the mean flow.
    pub rates: StepRates,
    /// What enters \[eq/L\], in the order of [`Model::ions`].
    pub inlet: Vec<f64>,
    /// What ends it.
    pub end: End,
    /// Volume that passes at most \[bed volumes\].
    pub most_bv: f64,
    /// Fraction of the bed, from the top, that it turns over (backwash only).
    pub mixing: f64,
}

impl PlannedStep {
    /// A resolved step of a recipe.
    pub fn of(model: &Model, step: &Step) -> Self {
        let in_s = |volume_bv: f64| bv_at_bv_per_h_to_s(volume_bv, step.flow_bv_per_h);
        // Until what the vessel held when the step began has left, its effluent is no measure of the rinse: after a
        // reversal the end that is already clean leaves first.
        let armed_s = in_s(model.liquid_bv());
        let end = match step.end {
            StepEnd::VolumeBv(volume) => End::After(in_s(volume), StopReason::Throughput),
            StepEnd::TimeMin(minutes) => End::After(min_to_s(minutes), StopReason::Time),
            StepEnd::HardnessBelow { mg_per_l_caco3, at_most_bv } => End::Fall {
                of: Watched::Hardness,
                level: mg_per_l_caco3_to_eq_per_l(mg_per_l_caco3),
                armed_s,
                at_most_s: in_s(at_most_bv),
            },
            // Chloride is what the normality leaves beside the feed's other anions.
            StepEnd::ChlorideBelow { mg_per_l, at_most_bv } => End::Fall {
                of: Watched::Normality,
                level: mg_per_l_to_eq_per_l(mg_per_l, Ion::CL.g_per_eq()) + model.waters.feed.normality()
                    - model.waters.feed.of(Ion::CL),
                armed_s,
                at_most_s: in_s(at_most_bv),
            },
        };
        Self {
            name: step.name,
            water: step.water,
            direction: step.direction,
            flow_bv_per_h: step.flow_bv_per_h,
            rates: model.step_rates(step.water, step.flow_bv_per_h),
            inlet: model.cations_of(step.water),
            end,
            most_bv: step.end.most_bv(step.flow_bv_per_h),
            mixing: step.mixing,
        }
    }
}
