//! What was recorded: samples of the liquid that left, profiles after each step, ledgers, effort.

use crate::cycle::outcome::SearchEnd;
use crate::inputs::recipe_steps::StepName;
use crate::numerics::effort::Effort;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::steps::StopReason;

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
    /// Loading after the step of each of [`crate::plan::model::Model::tubes`] \[eq/L of bed\]; shape (tubes x cells x ions),
    /// empty for one.
    pub tube_loading: Vec<f64>,
    /// What it cost.
    pub effort: Effort,
}

impl StepHistory {
    /// Did what left end it, before its time?
    pub fn ended_early(&self) -> bool {
        matches!(self.stop, StopReason::LeakageLimit | StopReason::NeverSoft | StopReason::Rinsed)
    }

    /// Add a part that came after. `smooth` where what leaves goes on as it did: then the part's first sample is the last
    /// one that is there already, and is left out.
    pub fn append(&mut self, part: Self, smooth: bool) {
        let ions = part.left.len();
        let skip = usize::from(smooth && !self.sample_bv.is_empty() && !part.sample_bv.is_empty());
        let passed = self.volume_bv;
        self.sample_bv.extend(part.sample_bv.iter().skip(skip).map(|bv| passed + bv));
        self.sample_eq_per_l.extend_from_slice(part.sample_eq_per_l.get(skip * ions..).unwrap_or(&[]));
        self.time_steps_s.extend_from_slice(&part.time_steps_s);
        self.duration_s += part.duration_s;
        self.volume_bv += part.volume_bv;
        self.stop = part.stop;
        let add = |sums: &mut Vec<f64>, more: &[f64]| sums.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
        add(&mut self.entered, &part.entered);
        add(&mut self.left, &part.left);
        self.loading = part.loading;
        self.liquid = part.liquid;
        self.tube_loading = part.tube_loading;
        self.effort.add(&part.effort);
    }
}

/// One cycle: from the end of service through regeneration and service to its next end.
#[derive(Debug, Clone, PartialEq)]
pub struct CycleHistory {
    /// The steps between two service runs, in their order; none in a first cycle on new resin.
    pub regeneration: Vec<StepHistory>,
    /// The service run: one step, or its parts around a rest.
    pub service: Vec<StepHistory>,
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
    /// Reclaimed brine that the regeneration began with, by ion \[eq per litre of bed\]; none without reclaim.
    pub reclaimed: Option<Vec<f64>>,
    /// Spent regenerant kept for the next one, by ion \[eq per litre of bed\]; it left the bed, but not to the drain.
    pub kept: Option<Vec<f64>>,
}

impl CycleHistory {
    /// All steps in their order.
    pub fn steps(&self) -> impl Iterator<Item = &StepHistory> {
        self.regeneration.iter().chain(&self.service)
    }

    /// Was the effluent above the limit from the start?
    pub fn never_soft(&self) -> bool {
        self.service.last().is_some_and(|step| step.stop == StopReason::NeverSoft)
    }
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
    /// How it ended.
    pub search_end: SearchEnd,
    /// What all cycles cost.
    pub effort: Effort,
}
