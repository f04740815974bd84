//! What was recorded: samples of the liquid that left, profiles after each step, ledgers, effort.

use crate::inputs::recipe::{StepDirection, StepName, StepWater};
use crate::numerics::effort::Effort;

/// Why a step ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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

impl StopReason {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Throughput => "throughput",
            Self::Time => "time",
            Self::LeakageLimit => "leakage limit",
            Self::NeverSoft => "never soft",
            Self::Rinsed => "rinsed",
        }
    }
}

/// One step as it was run, with N ions erased to slices in the order of the model.
#[derive(Debug, Clone, PartialEq)]
pub struct StepHistory {
    /// Its name.
    pub name: StepName,
    /// Its water.
    pub water: StepWater,
    /// Its direction.
    pub direction: StepDirection,
    /// Flow \[BV/h\].
    pub flow_bv_per_h: f64,
    /// Duration \[s\].
    pub duration_s: f64,
    /// Volume passed \[BV\].
    pub volume_bv: f64,
    /// Why it ended.
    pub stop: StopReason,
    /// Normality of what entered \[eq/L\].
    pub inlet_normality: f64,
    /// Time steps as they were chosen \[s\]; an event may have cut the last one short.
    pub time_steps_s: Vec<f64>,
    /// Throughput of each sample \[BV\], from 0; none without flow.
    pub sample_bv: Vec<f64>,
    /// Liquid that left \[eq/L\]; shape (samples x ions), row by row.
    pub sample_eq_per_l: Vec<f64>,
    /// Equivalents entered, by ion \[eq per litre of bed\].
    pub entered: Vec<f64>,
    /// Equivalents left, by ion \[eq per litre of bed\].
    pub left: Vec<f64>,
    /// Loading after the step \[eq/L of bed\], mean of stream tubes by area; shape (cells x ions), from the service inlet.
    pub loading: Vec<f64>,
    /// Liquid after the step \[eq/L\], likewise; shape (cells x ions), from the service inlet.
    pub liquid: Vec<f64>,
    /// Loading after the step of each of [`crate::bed::model::Model::tubes`] \[eq/L of bed\]; shape (tubes x cells x ions),
    /// empty for one.
    pub tube_loading: Vec<f64>,
    /// What it cost.
    pub effort: Effort,
}

/// One cycle: from the end of service through regeneration and service to its next end.
#[derive(Debug, Clone, PartialEq)]
pub struct CycleHistory {
    /// Brine of the recipe, over all its brine steps \[BV\].
    pub brine_bv: f64,
    /// The steps in their order; the last is service.
    pub steps: Vec<StepHistory>,
    /// Held in the bed when the cycle began, by ion \[eq per litre of bed\].
    pub held_before: Vec<f64>,
    /// Held when it ended.
    pub held_after: Vec<f64>,
    /// Mean loading when service began, by ion \[eq per litre of bed\].
    pub loading_at_service: Vec<f64>,
    /// Mean loading when service ended.
    pub loading_after: Vec<f64>,
    /// Worst ion of the ledger, relative to what entered over the cycle: bed and tank of reclaimed brine together.
    pub ledger_error: f64,
    /// Where service went on after a rest in its middle.
    pub restart: Option<Restart>,
    /// Reclaimed brine that the regeneration began with, by ion \[eq per litre of bed\]; none without reclaim.
    pub reclaimed: Option<Vec<f64>>,
    /// Spent regenerant kept for the next one, by ion \[eq per litre of bed\]; it left the bed, but not to the drain.
    pub kept: Option<Vec<f64>>,
}

/// Where a step went on after a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Restart {
    /// Throughput of the run when it rested \[bed volumes\].
    pub after_bv: f64,
    /// Duration of the rest \[s\].
    pub rest_s: f64,
    /// The first of the run's samples after it.
    pub sample: usize,
}

/// What the search for the cyclic steady state did.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// Cycles run.
    pub cycles: usize,
    /// Largest change of loading over the last cycle, relative to capacity.
    pub residual: f64,
    /// Estimated distance of the loading from the steady one, relative to capacity.
    pub distance: f64,
    /// Did it settle?
    pub settled: bool,
    /// What it did, in words.
    pub outcome: String,
    /// What all cycles cost.
    pub effort: Effort,
}
