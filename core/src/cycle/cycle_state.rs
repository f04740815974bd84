//! What a cycle hands on to the next one: a vessel and the tank of reclaimed brine.

use crate::bed::state::{State, shift_towards};
use crate::bed::vessel::VesselState;
use crate::error::Result;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepWater;

/// Vessel and tank between two cycles, at the end of service.
#[derive(Debug, Clone, PartialEq)]
pub struct CycleState<const N: usize> {
    /// The vessel.
    pub vessel: VesselState<N>,
    /// What the tank of reclaimed brine holds \[eq per litre of bed\], if there is one.
    pub tank: Option<[f64; N]>,
}

impl<const N: usize> CycleState<N> {
    /// Sodium-form resin in softened water, and a tank full of fresh brine.
    pub fn of_new_resin(plan: &CyclePlan) -> Result<Self> {
        let model = &plan.model;
        let mut y = [0.0; N];
        y[0] = 1.0;
        let vessel = VesselState::uniform(model, State::uniform(model, y, model.waters.feed.normality())?);
        let fresh = model.cations_of(StepWater::Brine);
        let full = |volume_bv: f64| std::array::from_fn(|i| fresh[i] * volume_bv);
        Ok(Self { vessel, tank: plan.reclaim.map(|reclaim| full(reclaim.volume_bv())) })
    }

    /// What must be given back: the loading of every cell, or shell of it, in every tube, what stirred spaces hold, and last
    /// what the tank holds, all in equivalents per litre of bed.
    pub fn handed_on(&self, model: &Model) -> Vec<f64> {
        let mut values = self.vessel.handed_on(model);
        values.extend(self.tank.into_iter().flatten());
        values
    }

    /// Move towards other values of [`CycleState::handed_on`], each part as far as every value stays positive.
    pub fn shift_towards(&mut self, proposal: &[f64], model: &Model) {
        let (of_vessel, of_tank) = proposal.split_at(proposal.len() - self.tank.map_or(0, |held| held.len()));
        self.vessel.shift_towards(of_vessel, model);
        if let Some(held) = &mut self.tank {
            shift_towards(held, of_tank);
        }
    }
}
