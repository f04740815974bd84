//! The steps that a regeneration is made of, every default filled in, in the units of a recipe.

use crate::inputs::recipe_steps::StepName;
use crate::inputs::regeneration::{BrineWater, Direction};
use crate::units::convert::{min_to_s, s_at_bv_per_h_to_bv};

/// Which water a step is fed with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepWater {
    /// The raw feed.
    Feed,
    /// The feed softened.
    Soft,
    /// The regenerant, made with the brine water.
    Brine,
}

impl StepWater {
    /// The water that a recipe names.
    pub fn of(water: BrineWater) -> Self {
        match water {
            BrineWater::Soft => Self::Soft,
            BrineWater::Feed => Self::Feed,
        }
    }
}

/// Direction of flow, relative to service.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepDirection {
    /// With the service flow.
    WithService,
    /// Against the service flow.
    AgainstService,
}

impl StepDirection {
    /// That of the brine.
    pub fn of(direction: Direction) -> Self {
        match direction {
            Direction::CoCurrent => Self::WithService,
            Direction::CounterCurrent => Self::AgainstService,
        }
    }
}

/// What ends a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StepEnd {
    /// A volume \[bed volumes\].
    VolumeBv(f64),
    /// A time \[min\].
    TimeMin(f64),
    /// Effluent hardness down to this \[mg/L as CaCO3\] once one void volume has left, within `at_most_bv` \[bed volumes\].
    HardnessBelow {
        /// The hardness \[mg/L as CaCO3\].
        mg_per_l_caco3: f64,
        /// Volume at which the step ends all the same \[bed volumes\].
        at_most_bv: f64,
    },
    /// Effluent chloride down to this \[mg/L\] once one void volume has left, within `at_most_bv` \[bed volumes\].
    ChlorideBelow {
        /// The chloride \[mg/L\].
        mg_per_l: f64,
        /// Volume at which the step ends all the same \[bed volumes\].
        at_most_bv: f64,
    },
}

impl StepEnd {
    /// Volume that passes until this end at a flow \[bed volumes\]; of an end on what leaves, the most that may pass.
    pub fn most_bv(self, flow_bv_per_h: f64) -> f64 {
        match self {
            Self::VolumeBv(volume) => volume,
            Self::TimeMin(minutes) => s_at_bv_per_h_to_bv(min_to_s(minutes), flow_bv_per_h),
            Self::HardnessBelow { at_most_bv, .. } | Self::ChlorideBelow { at_most_bv, .. } => at_most_bv,
        }
    }
}

/// One step of a recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// What it is called.
    pub name: StepName,
    /// Its water.
    pub water: StepWater,
    /// Its flow \[bed volumes per hour\].
    pub flow_bv_per_h: f64,
    /// Its direction.
    pub direction: StepDirection,
    /// What ends it.
    pub end: StepEnd,
    /// Fraction of the bed, from the top, that the step turns over (backwash only).
    pub mixing: f64,
}
