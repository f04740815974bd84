//! Hydraulics of every step as a table: of a finished cycle, or of one that has not been run.
//!
//! Laws and their sources: [`crate::laws::hydraulics`]. Pressure drop by S. Ergun (1952), settling with the drag of N.-S.
//! Cheng (2009), onset of lifting by C. Y. Wen and Y. H. Yu (1966), expansion by J. F. Richardson and W. N. Zaki (1954),
//! fronts by S. Hill (1952).

use serde::Serialize;

use crate::bed::hydraulics::{BedState, StepFlow};
use crate::inputs::recipe_steps::StepName;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::steps::PlannedStep;
use crate::report::flow::{Front, Way};
use crate::report::note::Note;
use crate::report::wording::as_words::step_in_words;
use crate::units::convert::{bv_per_h_to_m_per_s, pa_s_to_mpa_s};

/// What the flow of one step does to the bed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct HydraulicsRow {
    /// Its name.
    #[serde(serialize_with = "step_in_words")]
    pub step: StepName,
    /// Its liquid.
    pub liquid: StepWater,
    /// Its way through the vessel.
    pub way: Way,
    /// Superficial velocity \[m/h\].
    pub velocity_m_per_h: f64,
    /// Density of the liquid \[kg/m3\].
    pub density_kg_per_m3: f64,
    /// Viscosity of the liquid \[mPa s\].
    pub viscosity_mpa_s: f64,
    /// Reynolds number of a bead in the superficial flow.
    pub reynolds: f64,
    /// What the beads do.
    pub bed: BedState,
    /// Pressure lost over the settled bed (Ergun), the liquid's weight apart \[kPa\]; none where the flow lifts it.
    pub pressure_drop_kpa: Option<f64>,
    /// Rise of the bed over its settled depth (Richardson and Zaki) \[%\]; none where the flow does not lift it or carries it
    /// away.
    pub expansion_percent: Option<f64>,
    /// Velocity from which an upflow of the liquid lifts a bed that nothing holds (Wen and Yu) \[m/h\].
    pub onset_m_per_h: f64,
    /// Velocity from which an upflow of the liquid carries the beads away (Richardson and Zaki) \[m/h\].
    pub carries_away_from_m_per_h: f64,
    /// Velocity at which one bead settles in the liquid \[m/h\].
    pub terminal_m_per_h: f64,
    /// What becomes of the front where one liquid pushes out another through a bed at rest (Hill).
    pub front: Front,
    /// Velocity at which the front changes between the two \[m/h\]; none if it never does.
    pub front_critical_m_per_h: Option<f64>,
    /// What the numbers should be read with.
    pub notes: Vec<Note>,
}

/// What decides the hydraulics of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flow {
    pub(super) name: StepName,
    pub(super) water: StepWater,
    pub(super) direction: StepDirection,
    pub(super) flow_bv_per_h: f64,
}

impl Flow {
    /// Does it go up through the vessel? A backwash always does, whichever way service runs.
    pub(super) fn upward(self, model: &Model) -> bool {
        self.name == StepName::Backwash || (self.direction == StepDirection::WithService) != model.service_down
    }

    /// The flow as the bed feels it.
    pub(super) fn through(self, model: &Model, finds: StepWater) -> StepFlow {
        StepFlow {
            water: self.water,
            finds,
            velocity_m_per_s: bv_per_h_to_m_per_s(self.flow_bv_per_h, model.depth_m),
            upward: self.upward(model),
            backwash: self.name == StepName::Backwash,
        }
    }
}

/// The hydraulics of a cycle's steps, service last and as one, without a run.
pub fn of_plan(plan: &CyclePlan) -> Vec<HydraulicsRow> {
    let flow = |step: &PlannedStep| Flow {
        name: step.name,
        water: step.water,
        direction: step.direction,
        flow_bv_per_h: step.flow_bv_per_h,
    };
    rows(&plan.model, plan.regeneration.iter().chain(plan.service.steps.first()).map(flow))
}

/// A row for each step; before the first, the bed is full of feed.
pub(super) fn rows(model: &Model, steps: impl Iterator<Item = Flow>) -> Vec<HydraulicsRow> {
    let mut in_bed = StepWater::Feed;
    steps
        .map(|step| {
            let finds = if step.flow_bv_per_h > 0.0 { std::mem::replace(&mut in_bed, step.water) } else { in_bed };
            row(model, step, finds)
        })
        .collect()
}

fn row(model: &Model, step: Flow, finds: StepWater) -> HydraulicsRow {
    let found = model.hydraulics(step.through(model, finds));
    HydraulicsRow {
        step: step.name,
        liquid: step.water,
        way: match (found.bed, step.upward(model)) {
            (BedState::AtRest, _) => Way::None,
            (_, true) => Way::Up,
            (_, false) => Way::Down,
        },
        velocity_m_per_h: found.velocity_m_per_h,
        density_kg_per_m3: found.liquid.density_kg_per_m3,
        viscosity_mpa_s: pa_s_to_mpa_s(found.liquid.viscosity_pa_s),
        reynolds: found.reynolds,
        bed: found.bed,
        pressure_drop_kpa: found.pressure_drop_kpa,
        expansion_percent: found.expansion_percent,
        onset_m_per_h: found.onset_m_per_h,
        carries_away_from_m_per_h: found.carries_away_from_m_per_h,
        terminal_m_per_h: found.terminal_m_per_h,
        front: match found.front_is_stable {
            Some(true) => Front::Stable,
            Some(false) => Front::Fingers,
            None => Front::None,
        },
        front_critical_m_per_h: found.front_critical_m_per_h,
        notes: found.notes.into_iter().chain(found.limits).map(|note| Note::hydraulic(step.name, note)).collect(),
    }
}
