//! Single runs through a bed of known loading: one loading, one elution.

use std::collections::BTreeMap;

use crate::bed::ledger::Ledger;
use crate::bed::model::Model;
use crate::bed::state::State;
use crate::bed::vessel::VesselState;
use crate::cycle::history::{StepHistory, StopReason};
use crate::cycle::lifting::run_lifted;
use crate::cycle::parts::joined;
use crate::cycle::step::{End, Plan};
use crate::cycle::{Onlookers, Progress, Watch, for_ion_count};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::inputs::ion::Ion;
use crate::inputs::recipe::{StepDirection, StepName, StepWater};
use crate::inputs::regeneration::Direction;
use crate::units::convert::bv_at_bv_per_h_to_s;

/// The loading that a single run begins from.
#[derive(Debug, Clone, PartialEq)]
pub enum Loading {
    /// In equilibrium with the feed.
    Feed,
    /// Equivalent fractions of the capacity.
    Fractions(BTreeMap<Ion, f64>),
}

impl Loading {
    /// The cations it names.
    fn ions(&self) -> Result<Vec<Ion>> {
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
            Self::Feed => State::in_equilibrium_with(model, model.cations_of(&model.feed))?,
            Self::Fractions(fractions) => {
                let y = std::array::from_fn(|i| fractions.get(&model.ions[i]).copied().unwrap_or(0.0));
                State::uniform(model, y, model.feed.normality())?
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

/// What a single run is fed with.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Inlet {
    /// The feed, in the direction and at the flow of service.
    Feed,
    /// The salt's cation alone at this normality \[eq/L\], in the direction and at the flow of the brine.
    Salt(f64),
}

/// Load a bed with the feed, in the direction and at the flow of service, for a volume \[BV\].
///
/// # Errors
/// [`Error::Value`] for a case or a loading that is not valid; else as [`crate::cycle::step::run_step`].
pub fn load(case: &Case, from: &Loading, volume_bv: f64, watch: &Watch<'_>) -> Result<(Model, RunHistory)> {
    single(case, from, volume_bv, Inlet::Feed, watch)
}

/// Elute a bed with the salt's cation alone at a total normality \[eq/L\], in the direction and at the flow of the
/// brine, for a volume \[BV\].
///
/// # Errors
/// As [`load`].
pub fn elute(
    case: &Case,
    from: &Loading,
    volume_bv: f64,
    normality_eq_per_l: f64,
    watch: &Watch<'_>,
) -> Result<(Model, RunHistory)> {
    if !(normality_eq_per_l.is_finite() && normality_eq_per_l > 0.0 && normality_eq_per_l <= 20.0) {
        return Err(Error::value(
            "normality_eq_per_l",
            normality_eq_per_l,
            "must be a number above 0 and at most 20 eq/L",
        ));
    }
    single(case, from, volume_bv, Inlet::Salt(normality_eq_per_l), watch)
}

fn single(case: &Case, from: &Loading, volume_bv: f64, inlet: Inlet, watch: &Watch<'_>) -> Result<(Model, RunHistory)> {
    if !(volume_bv.is_finite() && volume_bv > 0.0 && volume_bv <= 1e7) {
        return Err(Error::value("volume_bv", volume_bv, "must be a number above 0 and at most 1e7 BV"));
    }
    let model = Model::new(case, &from.ions()?)?;
    if let (Some(activities), Inlet::Salt(normality)) = (&model.activities, inlet) {
        activities.check_strength("a regenerant", normality)?;
    }
    let history = for_ion_count!(model.ions.len(), march, case, &model, from, volume_bv, inlet, watch)?;
    Ok((model, history))
}

fn march<const N: usize>(
    case: &Case,
    model: &Model,
    from: &Loading,
    volume_bv: f64,
    inlet: Inlet,
    watch: &Watch<'_>,
) -> Result<RunHistory> {
    let state = from.state::<N>(model)?;
    let (name, water, direction, flow) = match inlet {
        Inlet::Feed => (StepName::Service, StepWater::Feed, StepDirection::WithService, case.service.flow_bv_per_h),
        Inlet::Salt(_) => {
            let direction = match case.regeneration.direction {
                Direction::CoCurrent => StepDirection::WithService,
                Direction::CounterCurrent => StepDirection::AgainstService,
            };
            (StepName::Brine, StepWater::Brine, direction, case.regeneration.flow_bv_per_h)
        }
    };
    let entering: [f64; N] = match inlet {
        Inlet::Feed => model.cations_of(&model.feed),
        Inlet::Salt(normality) => {
            std::array::from_fn(|i| if model.ions[i] == model.salt_cation { normality } else { 0.0 })
        }
    };
    let plan = Plan {
        name,
        water,
        direction,
        flow_bv_per_h: flow,
        rates: model.step_rates(water, flow),
        inlet: entering,
        end: End::After(bv_at_bv_per_h_to_s(volume_bv, flow), StopReason::Throughput),
        watched: [0.0; N],
    };
    let before = state.held(model);
    let mut onlookers = Onlookers::watcher(watch, Progress::default());
    let (state, parts) = run_lifted(model, state, &plan, &[], &[], &mut onlookers)?;
    let step = joined(parts).ok_or_else(|| Error::value("volume_bv", volume_bv, "lets nothing through"))?;
    let mut ledger = Ledger::<N>::default();
    ledger.count(&std::array::from_fn(|i| step.entered[i]), &std::array::from_fn(|i| step.left[i]));
    Ok(RunHistory { ledger_error: ledger.error(&before, &state.held(model)), step })
}
