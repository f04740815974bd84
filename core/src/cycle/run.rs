//! Single runs through a bed of known loading: one loading, one elution.

use std::collections::BTreeMap;

use crate::bed::ledger::Ledger;
use crate::bed::state::State;
use crate::bed::vessel::VesselState;
use crate::cycle::history::StepHistory;
use crate::cycle::ion_count::for_ion_count;
use crate::cycle::lifting::run_lifted;
use crate::cycle::observers::{Observers, Progress, Watch};
use crate::cycle::substeps::joined;
use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepWater;
use crate::plan::run_plan::RunPlan;

/// The loading that a single run begins from.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Loading {
    /// In equilibrium with the feed.
    Feed,
    /// Equivalent fractions of the capacity.
    Fractions(BTreeMap<Ion, f64>),
}

impl Loading {
    /// The cations it names.
    ///
    /// # Errors
    /// [`Error::Value`] for an anion.
    pub fn ions(&self) -> Result<Vec<Ion>> {
        match self {
            Self::Feed => Ok(Vec::new()),
            Self::Fractions(fractions) => match fractions.keys().find(|ion| !ion.is_cation()) {
                Some(anion) => Err(Error::value("from_loading", anion, "a cation resin holds no anion")),
                None => Ok(fractions.keys().copied().collect()),
            },
        }
    }

    /// The vessel: a bed so loaded, and the spaces beside it full of the liquid that its void holds.
    fn state<const N: usize>(&self, model: &Model) -> Result<VesselState<N>> {
        let bed: State<N> = match self {
            Self::Feed => {
                let feed = model.cations_of(StepWater::Feed);
                State::in_equilibrium_with(model, std::array::from_fn(|i| feed[i]))?
            }
            Self::Fractions(fractions) => {
                let y = std::array::from_fn(|i| fractions.get(&model.ions[i]).copied().unwrap_or(0.0));
                State::uniform(model, y, model.waters.feed.normality())?
            }
        };
        Ok(VesselState::uniform(model, bed))
    }
}

/// One run, and what it left.
#[derive(Debug, Clone, PartialEq)]
pub struct RunHistory {
    /// The run.
    pub step: StepHistory,
    /// Worst ion of the ledger, relative to what entered.
    pub ledger_error: f64,
}

/// Run a bed of a loading through a single run.
///
/// # Errors
/// [`Error::Value`] for a loading that is not valid; else as [`crate::cycle::step::run_step`].
pub fn run(plan: &RunPlan, from: &Loading, watch: &Watch<'_>) -> Result<RunHistory> {
    for_ion_count!(plan.model.ions.len(), march, plan, from, watch)
}

fn march<const N: usize>(plan: &RunPlan, from: &Loading, watch: &Watch<'_>) -> Result<RunHistory> {
    let RunPlan { model, step } = plan;
    let state = from.state::<N>(model)?;
    let before = state.held(model);
    let mut observers = Observers::watcher(watch, Progress::default());
    let (state, parts) = run_lifted(model, state, step, &[], &[], &mut observers)?;
    let step = joined(parts).ok_or_else(|| Error::value("volume_bv", step.most_bv, "lets nothing through"))?;
    let mut ledger = Ledger::<N>::default();
    ledger.count(&std::array::from_fn(|i| step.entered[i]), &std::array::from_fn(|i| step.left[i]));
    Ok(RunHistory { ledger_error: ledger.error(&before, &state.held(model)), step })
}
